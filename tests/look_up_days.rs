//! When a place is lit, against formulas of its own.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use glam::DVec3;

use crate::support;
use quarterstop::base::frame::FieldPoint;
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::engine::{SpotError, SpotKind, Surroundings, find, point};
use quarterstop::jobs::look_up::{LookUp, Sunlight};
use quarterstop::solar::{TurningPoint, crossings, position};
use quarterstop::venue::{CameraPost, Horizon, Part, Shape, Venue};

/// Spans are told to the second, and begin with the first second of their state.
const TO_THE_SECOND: TimeDelta = TimeDelta::seconds(2);

fn date(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

fn looked(venue: &Venue, on: NaiveDate) -> LookUp {
    let around = Surroundings::new(venue, on);
    let spot = find(&around, "centre of play", 1.7).unwrap();
    LookUp::new(&around, spot, on, None)
}

fn open_at(latitude_deg: f64, longitude_deg: f64, zone: Tz) -> Venue {
    let mut venue = support::football();
    venue.place.latitude_deg = latitude_deg;
    venue.place.longitude_deg = longitude_deg;
    venue.place.zone = zone;
    venue
}

fn spans(look: &LookUp, day: usize, state: Sunlight) -> Vec<(DateTime<Tz>, DateTime<Tz>)> {
    let all = look.days[day].spans.iter().filter(|s| s.sunlight == state);
    all.map(|s| (s.from, s.until)).collect()
}

/// Check "a place in the open is lit from rise to set": against the crossings of the
/// apparent elevation, and against the hour angle equation cos H = (sin a - sin phi sin
/// delta) / (cos phi cos delta) for the sun's middle at -34' (Meeus, Astronomical
/// Algorithms, 2nd ed., ch. 12, 15 and 25; constants from memory).
#[test]
fn a_place_in_the_open_is_lit_from_rise_to_set() {
    for (latitude, longitude, zone, on) in [
        (52.0, -0.5, Tz::Europe__London, date(2027, 4, 17)),
        (-35.3, 149.1, Tz::Australia__Sydney, date(2027, 12, 3)),
        (0.0, 36.8, Tz::Africa__Nairobi, date(2027, 3, 20)),
        (64.1, -21.9, Tz::Atlantic__Reykjavik, date(2027, 1, 20)),
    ] {
        let venue = open_at(latitude, longitude, zone);
        let look = looked(&venue, on);
        let lit = spans(&look, 0, Sunlight::Lit);
        assert_eq!(lit.len(), 1, "{zone}");
        let (from, until) = lit[0];
        let over = |t: DateTime<Utc>| position(&venue.place, t).apparent_elevation.degrees();
        let noon = from + (until - from) / 2;
        let half = TimeDelta::hours(12);
        let (a, b) = (noon.with_timezone(&Utc) - half, noon.with_timezone(&Utc) + half);
        let found = crossings(over, a, b, TimeDelta::minutes(10));
        assert_eq!(found.len(), 2);
        assert!((found[0].0 - from.with_timezone(&Utc)).abs() <= TO_THE_SECOND);
        assert!((found[1].0 - until.with_timezone(&Utc)).abs() <= TO_THE_SECOND);

        let (rise, set) = by_hour_angle(latitude, longitude, on);
        let clock = |t: DateTime<Tz>| {
            let utc = t.with_timezone(&Utc);
            (utc - on.and_hms_opt(0, 0, 0).unwrap().and_utc()).num_seconds() as f64 / 3600.0
        };
        // refraction of this air is 0.01 degree from 34', Meeus' short series is good to
        // 0.01, `spa` to 0.01: together half a minute where the sun sinks 4 degrees an
        // hour
        assert!((clock(from) - rise).abs() < 0.5 / 60.0, "{zone}: {} {rise}", clock(from));
        assert!((clock(until) - set).abs() < 0.5 / 60.0, "{zone}: {} {set}", clock(until));
    }
}

/// Hours UTC of the date at which the sun's middle is at -34'.
fn by_hour_angle(latitude_deg: f64, longitude_deg: f64, on: NaiveDate) -> (f64, f64) {
    let midnight = on.and_hms_opt(0, 0, 0).unwrap().and_utc().timestamp() as f64 / 86_400.0;
    let solve = |side: f64| {
        let mut utc = 12.0 - longitude_deg / 15.0;
        for _ in 0..6 {
            let days = midnight + utc / 24.0 + 2_440_587.5 - 2_451_545.0;
            let (ascension, declination) = sun_by_meeus(days);
            // (12.4), without the two terms of the centuries
            let sidereal = 280.460_618_37 + 360.985_647_366_29 * days;
            let now = (sidereal + longitude_deg - ascension + 180.0).rem_euclid(360.0) - 180.0;
            let (phi, delta) = (latitude_deg.to_radians(), declination.to_radians());
            let sine = (-34.0_f64 / 60.0).to_radians().sin();
            let cosine = (sine - phi.sin() * delta.sin()) / (phi.cos() * delta.cos());
            utc += (side * cosine.acos().to_degrees() - now) / 15.041;
        }
        utc
    };
    (solve(-1.0), solve(1.0))
}

/// Right ascension and declination, degrees, to 0.01 degree: Meeus, ch. 25, low
/// accuracy; days from J2000.
fn sun_by_meeus(days: f64) -> (f64, f64) {
    let t = days / 36_525.0;
    let mean = 280.466_46 + 36_000.769_83 * t;
    let m = (357.529_11 + 35_999.050_29 * t).to_radians();
    let centre = (1.914_602 - 0.004_817 * t) * m.sin()
        + 0.019_993 * (2.0 * m).sin()
        + 0.000_289 * (3.0 * m).sin();
    let node = (125.04 - 1934.136 * t).to_radians();
    let lambda = (mean + centre - 0.005_69 - 0.004_78 * node.sin()).to_radians();
    let epsilon = (23.439_291 - 0.013_004 * t + 0.002_56 * node.cos()).to_radians();
    let ascension = (epsilon.cos() * lambda.sin()).atan2(lambda.cos()).to_degrees();
    (ascension, (epsilon.sin() * lambda.sin()).asin().to_degrees())
}

/// Check "one endless wall": the sun clears it where tan(e) = height / distance x
/// cos(azimuth from the normal) (plane trigonometry), to the second.
#[test]
fn a_wall_hides_the_sun_as_its_closed_form_says() {
    let mut venue = open_at(52.0, -0.5, Tz::Europe__London);
    let (height, distance) = (14.0, 30.0);
    let wall = vec![
        DVec3::new(-distance, -5e4, -50.0),
        DVec3::new(-distance, 5e4, -50.0),
        DVec3::new(-distance, 5e4, height),
        DVec3::new(-distance, -5e4, height),
    ];
    let body = support::body(Part::Panel, Shape::Sheet { corners: wall }, 0.0);
    venue.occluders.push(support::occluder("West wall", vec![body]));
    let look = looked(&venue, date(2027, 4, 17));
    let mut checked = 0;
    for (index, day) in look.days.iter().enumerate() {
        let over = |t: DateTime<Utc>| {
            let sun = position(&venue.place, t);
            let facing = (sun.azimuth.degrees() - 270.0).to_radians().cos();
            let rim = ((height - 1.7) / distance * facing).atan();
            sun.apparent_elevation.radians().tan() - rim.tan()
        };
        let noon = day.sun.noon().with_timezone(&Utc);
        let gone = crossings(over, noon, noon + TimeDelta::hours(9), TimeDelta::minutes(5));
        let (expected, _) = gone[0];
        let hidden = spans(&look, index, Sunlight::Hidden { by: 0 });
        assert_eq!(hidden.len(), 1, "{}", day.date);
        let off = hidden[0].0.with_timezone(&Utc) - expected;
        assert!(off.abs() <= TO_THE_SECOND, "{}: {off}", day.date);
        checked += 1;
    }
    assert_eq!(checked, 5);
}

/// Check "noon at the solstices": 90 - latitude +- 23.44, in the middle of the chart;
/// "sunrise at the equinoxes": due east but for half a degree, which is what the sun's
/// declination of up to half a day and refraction of 34' times tan(latitude) do
/// (spherical trigonometry).
#[test]
fn seasons_stand_where_spherical_trigonometry_puts_them() {
    for (latitude, zone, longitude) in
        [(52.0, Tz::Europe__London, -0.5), (-35.3, Tz::Australia__Sydney, 149.1)]
    {
        let venue = open_at(latitude, longitude, zone);
        let look = looked(&venue, date(2027, 2, 10));
        assert_eq!(look.days.len(), 5);
        for day in &look.days[1..] {
            let highest = day.path.iter().map(|p| p.elevation.degrees()).fold(f64::MIN, f64::max);
            let declination = match day.season.unwrap() {
                TurningPoint::JuneSolstice => 23.44,
                TurningPoint::DecemberSolstice => -23.44,
                TurningPoint::MarchEquinox | TurningPoint::SeptemberEquinox => 0.0,
            };
            // refraction, and declination of the noon before or after an equinox
            let expected = 90.0 - (latitude - declination).abs();
            let tolerance = if declination == 0.0 { 0.25 } else { 0.07 };
            assert!((highest - expected).abs() < tolerance, "{zone} {:?} {highest}", day.season);
            if declination == 0.0 {
                let risen = day.path.iter().find(|p| p.elevation.degrees() > 0.0).unwrap();
                let east: f64 = risen.azimuth.degrees() - 90.0;
                let slant = (34.0 / 60.0 + 0.25) * latitude.abs().to_radians().tan() + 0.45;
                assert!(east.abs() < slant, "{zone} {:?} {east}", day.season);
            }
        }
    }
}

#[test]
fn spans_fill_the_civil_day_whatever_the_clock_does() {
    // clocks in the United Kingdom change on 28 March and 31 October 2027 (Summer Time
    // Act 1972: last Sundays, 1 h UTC): 23 and 25 hours
    let venue = open_at(52.0, -0.5, Tz::Europe__London);
    for (on, hours) in [(date(2027, 3, 28), 23), (date(2027, 10, 31), 25), (date(2027, 7, 1), 24)] {
        let day = &looked(&venue, on).days[0];
        let (first, last) = (day.spans.first().unwrap(), day.spans.last().unwrap());
        assert_eq!(first.from.date_naive(), on);
        assert_eq!(last.until - first.from, TimeDelta::hours(hours), "{on}");
        assert!(day.spans.windows(2).all(|w| w[0].until == w[1].from));
        assert!(day.spans.windows(2).all(|w| w[0].sunlight != w[1].sunlight));
    }
}

#[test]
fn polar_days_and_nights_are_told_as_such() {
    let venue = open_at(78.2, 15.6, Tz::Arctic__Longyearbyen);
    let look = looked(&venue, date(2027, 12, 10));
    let of = |season| look.days.iter().find(|d| d.season == Some(season)).unwrap();
    assert!(look.days[0].spans.iter().all(|s| s.sunlight == Sunlight::Down));
    assert_eq!(of(TurningPoint::JuneSolstice).lit(), TimeDelta::hours(24));
    assert_eq!(of(TurningPoint::DecemberSolstice).lit(), TimeDelta::zero());
}

#[test]
fn land_and_translucent_roofs_are_told_apart_from_what_hides() {
    let mut venue = open_at(52.0, -0.5, Tz::Europe__London);
    venue.horizon =
        Horizon { profile: vec![(Azimuth::from_degrees(0.0), Elevation::from_degrees(4.0))] };
    let roof = |x: f64, share: f64| {
        let corners = [(x, -40.0), (x + 20.0, -40.0), (x + 20.0, 40.0), (x, 40.0)];
        let corners = corners.map(|(x, y)| DVec3::new(x, y, 12.0)).to_vec();
        vec![support::body(Part::Roof, Shape::Sheet { corners }, share)]
    };
    venue.occluders.push(support::occluder("East roof", roof(10.0, 0.4)));
    venue.occluders.push(support::occluder("West roof", roof(-30.0, 0.0)));
    let look = looked(&venue, date(2027, 4, 17));
    let states: Vec<Sunlight> = look.days[0].spans.iter().map(|s| s.sunlight).collect();
    use Sunlight::{BehindLand, Dimmed, Down, Hidden, Lit};
    let expected =
        [Down, BehindLand, Lit, Dimmed { by: 0 }, Lit, Hidden { by: 1 }, Lit, BehindLand, Down];
    assert_eq!(states, expected);
    // the land's rim: 4 degrees, to the second
    let seen = position(&venue.place, look.days[0].spans[2].from).apparent_elevation;
    assert!((seen.degrees() - 4.0).abs() < 0.003, "{seen:?}");
    // and on the skyline, with sky under the roof
    let west = &look.skyline[look.skyline.len() * 3 / 4];
    let rim = ((12.0_f64 - 1.7) / 10.0).atan().to_degrees();
    assert!((west.elevation.degrees() - rim).abs() < 0.02, "{west:?}");
    assert_eq!((west.thing, west.covered.degrees()), (Some(1), 4.0));
}

#[test]
fn places_are_found_by_name_or_refused_in_words() {
    let mut venue = support::football();
    let block = [[20.0, -5.0], [30.0, -5.0], [30.0, 5.0], [20.0, 5.0]];
    let body = support::body(Part::Solid, support::prism(&block, 0.0, 9.0), 0.0);
    venue.occluders.push(support::occluder("Block", vec![body]));
    venue.cameras.push(CameraPost {
        name: "High".into(),
        at: DVec3::new(0.0, -60.0, 18.0),
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 40.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    });
    let around = Surroundings::new(&venue, support::date());
    let high = find(&around, " High ", 1.7).unwrap();
    assert_eq!((high.kind, high.at.z), (SpotKind::Camera(0), 18.0));
    let unknown = find(&around, "Hihg", 1.7).unwrap_err().to_string();
    assert!(unknown.contains("\"Hihg\"") && unknown.contains("High, centre of play"), "{unknown}");
    let inside = DVec3::new(25.0, 0.0, 3.0);
    let at: FieldPoint = venue.field.frame.to_field(inside);
    let refused = point(&around, at).unwrap_err();
    assert!(matches!(&refused, SpotError::Inside { thing, .. } if thing == "Block"), "{refused}");
    assert!(point(&around, FieldPoint { up_m: 9.5, ..at }).is_ok());
    let under = FieldPoint { along_m: 0.0, across_m: 0.0, up_m: -0.1 };
    assert!(matches!(point(&around, under), Err(SpotError::Underground { .. })));
}
