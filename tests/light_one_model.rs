//! One model of light on a face: on snow, sand and grass all jobs give the same light for
//! the same place, facing and minute.

use chrono::{DateTime, TimeZone};
use chrono_tz::Tz;
use geo::Coord;
use glam::DVec3;

use crate::support;
use quarterstop::camera::Split;
use quarterstop::engine::Prepared;
use quarterstop::engine::season::{Season, Wanted, Weather};
use quarterstop::geometry::OverlayScratch;
use quarterstop::jobs::match_plan::ReferencePoint;
use quarterstop::light::{Air, Sharing, Sky};
use quarterstop::venue::{CameraPost, Mark, PlayingSurface, Venue};

/// Jobs that ask for one place differ by rounding alone, stops.
const SAME_STOPS: f64 = 0.002;
/// A camera's cover is a patch of two metres around the place, and a season's light is
/// linear between places of the sun, stops.
const COVER_STOPS: f64 = 0.03;

/// A place in full sun, one in the shade of the stands with sunlit ground beside it, and
/// one at the touchline.
const PLACES: [[f64; 2]; 3] = [[5.0, 12.0], [-20.0, -14.0], [0.0, 33.0]];

fn time() -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, 16, 10, 0).unwrap()
}

/// A bowl with a mark at each place and a camera with a long lens for it.
fn ground(surface: PlayingSurface) -> Venue {
    let mut venue = support::bowl(24, 0.0);
    let field = &mut venue.field;
    (field.surface, field.surface_reflectance) = (surface, surface.usual_reflectance());
    (field.surrounds_surface, field.surrounds_reflectance) = (surface, surface.usual_reflectance());
    for (i, [x, y]) in PLACES.into_iter().enumerate() {
        venue.field.marks.push(Mark { name: format!("place {i}"), at: Coord { x, y } });
        venue.cameras.push(CameraPost {
            name: format!("camera {i}"),
            at: DVec3::new(-8.0, -62.0, 14.0),
            aims: vec![DVec3::new(x, y, 0.0)],
            horizontal_fov_deg: 1.2,
            aspect: 16.0 / 9.0,
            floodlight: None,
            exposure: Default::default(),
            sway: Default::default(),
        });
    }
    venue
}

fn stops(a: f64, b: f64) -> f64 {
    (a / b).log2().abs()
}

/// Light on the side that the place is on.
fn side(split: &Split, in_sun: bool) -> f64 {
    let side = if in_sun { split.sunlit } else { split.shaded };
    side.unwrap().light.lux()
}

#[test]
fn all_jobs_give_the_same_light() {
    let air = Air::default();
    for surface in [PlayingSurface::Snow, PlayingSurface::Sand, PlayingSurface::Grass] {
        let venue = ground(surface);
        let own = Prepared::new(&venue, support::date());
        let shared = Prepared::sharing(&venue, support::date(), Sharing::Shared);
        let mut bench = OverlayScratch::default();
        let instant = own.instant(time(), Sky::Clear, &air, &mut bench);
        let as_positions = shared.instant(time(), Sky::Clear, &air, &mut bench);
        let season =
            Season::new(&venue, Weather { sky: Sky::Clear, air: air.into() }, Wanted::EVERYTHING);
        let row = season.rows(&[time()]).remove(0);
        for (i, [x, y]) in PLACES.into_iter().enumerate() {
            let at = Coord { x, y };
            let in_sun = instant.face.shadow.transmission_at(at).share() >= 1.0;
            let turf_in_sun = instant.turf.shadow.transmission_at(at).share() >= 1.0;
            // matching: the mark's face toward the camera
            let mark = venue.field.marks.iter().position(|m| m.name == format!("place {i}"));
            let matched = instant.faces[mark.unwrap()][i].unwrap().lux();
            // split: the camera's own cover
            let subject = side(&instant.cameras[i].subject, in_sun);
            assert!(stops(matched, subject) < COVER_STOPS, "{surface:?} {i}: {matched} {subject}");
            // positions: faces made from a shared set
            let positions = side(&as_positions.cameras[i].subject, in_sun);
            assert!(stops(subject, positions) < 2.0 * COVER_STOPS, "{surface:?} {i}: {positions}");
            // year and start times
            let view = row.cameras[i].view.unwrap();
            let year = side(&view.subject, in_sun);
            assert!(stops(subject, year) < COVER_STOPS, "{surface:?} {i}: {subject} {year}");
            // light maps, and the turf that cameras see
            let reference = ReferencePoint { name: "place".into(), at };
            let map = own.light_map(time(), Sky::Clear, &air, reference, Some(20.0));
            let turf = side(&instant.cameras[i].turf, turf_in_sun);
            let mapped = map.reference_light.lux();
            assert!(stops(mapped, turf) < COVER_STOPS, "{surface:?} {i}: {mapped} {turf}");
            let year = side(&view.turf, turf_in_sun);
            assert!(stops(turf, year) < COVER_STOPS, "{surface:?} {i}: {turf} {year}");
        }
        // the same place asked for twice
        let again = own.instant(time(), Sky::Clear, &air, &mut bench);
        for (a, b) in instant.faces.iter().flatten().zip(again.faces.iter().flatten()) {
            let lux = |light: &Option<_>| light.map(quarterstop::light::Tristimulus::lux);
            let off = lux(a).zip(lux(b)).map(|(a, b)| stops(a, b));
            assert!(off.is_none_or(|off| off < SAME_STOPS));
        }
    }
}
