//! Light maps and the profile across an edge, against closed forms.

use chrono::{DateTime, TimeZone, Utc};
use chrono_tz::Tz;
use geo::Coord;
use glam::DVec3;

use crate::support;
use quarterstop::base::units::Lux;
use quarterstop::engine::Prepared;
use quarterstop::jobs::match_plan::LightMap;
use quarterstop::light::{Air, FloodlightState, Sky};
use quarterstop::solar;
use quarterstop::solar::SUN_DIAMETER_DEG;
use quarterstop::venue::{FloodlightUse, Floodlights, Mark, Part, Shape, Venue};

/// Invented: an April afternoon.
fn at(hour: u32, minute: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, hour, minute, 0).unwrap()
}

/// A plate over everything south of a line, `height` up, so that the edge of its
/// shadow runs east to west through the centre of play at `time`.
fn plated(time: DateTime<Tz>, height: f64, transmittance: f64) -> Venue {
    let mut venue = support::open_field(&[[-40., -40.], [40., -40.], [40., 40.], [-40., 40.]], 0.0);
    let sun = solar::position(&venue.place, time.with_timezone(&Utc)).toward();
    let (far, rim) = (4000.0, sun.y / sun.z * height);
    let corners = [(-far, -far), (far, -far), (far, rim), (-far, rim)];
    let corners = corners.map(|(x, y)| DVec3::new(x, y, height)).to_vec();
    let plate = support::body(Part::Roof, Shape::Sheet { corners }, transmittance);
    venue.occluders.push(support::occluder("plate", vec![plate]));
    venue
}

fn map(venue: &Venue, time: DateTime<Tz>, sky: Sky) -> LightMap {
    let prepared = Prepared::new(venue, support::date());
    let reference = prepared.reference(None).unwrap();
    prepared.light_map(time, sky, &Air::default(), reference, None)
}

/// Geometry: a straight edge uncovers an evenly bright disc by
/// `1/2 + (u sqrt(1 - u^2) + asin u) / pi`, `u` from -1 to 1 across the penumbra
/// (area of a circular segment), and the penumbra of a level edge across the way
/// of the light is `distance * diameter` over the sine of the elevation.
#[test]
fn a_straight_edge_uncovers_the_sun_as_a_disc() {
    let time = at(15, 20);
    for (height, transmittance) in [(12.0, 0.0), (30.0, 0.0), (30.0, 0.4)] {
        let venue = plated(time, height, transmittance);
        let profile = map(&venue, time, Sky::Clear).profile.unwrap();
        assert!(profile.at.x.hypot(profile.at.y) < 0.01, "{:?}", profile.at);
        let sun = solar::position(&venue.place, time.with_timezone(&Utc));
        let toward = sun.toward();
        // blur of a point to an ellipse, and its extent north to south
        let disc = SUN_DIAMETER_DEG.to_radians() * height / toward.z;
        let azimuth = sun.azimuth.radians();
        let width = disc * azimuth.sin().hypot(azimuth.cos() / toward.z);
        assert!((profile.penumbra_m / width - 1.0).abs() < 1e-3, "{profile:?} {width}");
        let mut within = 0;
        for point in &profile.points {
            let u = (2.0 * point.metres / width).clamp(-1.0, 1.0);
            let uncovered = 0.5 + (u * (1.0 - u * u).sqrt() + u.asin()) / std::f64::consts::PI;
            let exact = transmittance + (1.0 - transmittance) * uncovered;
            // 600 points of the disc tell its parts to half a per cent
            assert!((point.transmission - exact).abs() < 0.01, "{point:?} {exact}");
            within += usize::from(u.abs() < 1.0);
        }
        // 12.5 mm apart where the reach is least: at 12 m a penumbra holds some sixteen
        assert!(within >= 15, "{within} points in the penumbra");
        // stops count down from the sunlit end and end at the light's own ratio
        let (first, last) = (profile.points[0], profile.points.last().unwrap());
        assert!(last.stops.stops().abs() < 1e-9);
        let ratio = (first.light.lux() / last.light.lux()).log2();
        assert!((first.stops.stops() - ratio).abs() < 1e-12 && ratio < -0.5);
    }
}

/// The map tells what the scene does: full sun far north of the edge, shade far
/// south of it, and about half of the direct light on the edge.
#[test]
fn a_map_is_lit_where_the_shadow_is_not() {
    let time = at(15, 20);
    let venue = plated(time, 30.0, 0.0);
    let map = map(&venue, time, Sky::Clear);
    assert_eq!(map.light.len(), map.grid.count());
    assert!(map.light.iter().all(Option::is_some));
    assert!((6800..7600).contains(&map.grid.count()), "{}", map.grid.count());
    let direct = map.profile.as_ref().unwrap().points.last().unwrap().light.lux()
        - map.profile.as_ref().unwrap().points[0].light.lux();
    let mean = |from: f64, to: f64| {
        let nodes = (0..map.grid.count()).filter(|&n| {
            // bearing 0: along is north
            (from..to).contains(&map.grid.node(n).along_m)
        });
        let lux: Vec<f64> = nodes.map(|n| map.light[n].unwrap().lux()).collect();
        lux.iter().sum::<f64>() / lux.len() as f64
    };
    let (shade, sun) = (mean(-39.0, -5.0), mean(5.0, 39.0));
    assert!((sun - shade) > 0.9 * direct, "{sun} {shade} {direct}");
    // stops of the map count from the point of reference, on the edge itself
    let node = (0..map.grid.count())
        .max_by(|&a, &b| map.light[a].unwrap().lux().total_cmp(&map.light[b].unwrap().lux()));
    let brightest = map.stops(node.unwrap()).unwrap().stops();
    let by_hand = (map.light[node.unwrap()].unwrap().lux() / map.reference_light.lux()).log2();
    assert!((brightest - by_hand).abs() < 1e-12 && brightest > 0.3);
}

#[test]
fn without_direct_sun_there_is_a_map_but_no_edge() {
    let time = at(15, 20);
    let venue = plated(time, 30.0, 0.0);
    for (when, sky) in [(time, Sky::Overcast), (time, Sky::Cumulus), (at(21, 0), Sky::Clear)] {
        let map = map(&venue, when, sky);
        assert!(map.profile.is_none(), "{sky:?}");
        assert!(map.reference_light.lux() > 0.0);
    }
}

/// Additivity: floodlights add their level everywhere, and only while they are lit.
#[test]
fn lit_floodlights_add_their_level() {
    let time = at(20, 15);
    let mut venue = plated(time, 30.0, 0.0);
    let dark = map(&venue, time, Sky::Clear);
    assert_eq!(dark.floodlight, FloodlightState::None);
    for (when, lit) in [
        (FloodlightUse::Always, true),
        (FloodlightUse::Never, false),
        (FloodlightUse::FromTime(chrono::NaiveTime::from_hms_opt(20, 0, 0).unwrap()), true),
        (FloodlightUse::FromTime(chrono::NaiveTime::from_hms_opt(20, 30, 0).unwrap()), false),
        (FloodlightUse::BelowDaylight(Lux::from_lux(8000.0)), true),
        (FloodlightUse::BelowDaylight(Lux::from_lux(1.0)), false),
    ] {
        venue.floodlights = Some(Floodlights {
            horizontal: Lux::from_lux(1500.0),
            vertical: Lux::from_lux(1000.0),
            colour_temperature_k: 5600.0,
            when,
        });
        let map = map(&venue, time, Sky::Clear);
        assert_eq!(map.floodlight == FloodlightState::Lit, lit, "{when:?}");
        let more = map.reference_light.lux() - dark.reference_light.lux();
        assert!((more - if lit { 1500.0 } else { 0.0 }).abs() < 1e-6, "{when:?}: {more}");
    }
}

#[test]
fn a_reference_is_a_mark_or_the_centre_of_play() {
    let mut venue = support::football();
    let name = |venue: &Venue, asked| {
        Prepared::new(venue, support::date()).reference(asked).map(|r| r.name)
    };
    assert_eq!(name(&venue, None).as_deref(), Some("centre of play"));
    venue.field.marks = vec![Mark { name: "wicket".into(), at: Coord { x: 10.0, y: 0.0 } }];
    assert_eq!(name(&venue, Some("wicket")).as_deref(), Some("wicket"));
    assert_eq!(name(&venue, Some("net")), None);
    venue.field.marks[0].at.x = 0.0;
    assert_eq!(name(&venue, None).as_deref(), Some("wicket"));
}
