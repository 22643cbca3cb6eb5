//! From low sun to night: published illuminances, and that nothing steps on the way.

use chrono::{TimeZone, Utc};

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::light::{
    Air, ByElevation, ColourTemperature, Daylight, Sky, Tristimulus, daylight, twilight,
};
use quarterstop::solar::{Sun, position, true_elevation_deg};
use quarterstop::venue::Place;

/// What is asked for.
const TOLERANCE_STOPS: f64 = 0.3;

/// Illuminance of an average clear sky on the horizontal plane by true elevation of the sun:
/// B. D. Yallop and C. Y. Hohenkerk in Explanatory Supplement to the Astronomical Almanac
/// (1992), chapter 9, pages 490 to 493, its cubic fits worked out outside of this program
/// (coefficients from memory).
const EXPLANATORY_SUPPLEMENT: [(f64, f64); 12] = [
    (5.0, 4_538.3),
    (4.0, 3_548.0),
    (3.0, 2_689.0),
    (2.0, 1_920.8),
    (1.0, 1_268.0),
    (0.0, 758.6),
    (-0.8333, 453.6),
    (-2.0, 189.4),
    (-4.0, 29.93),
    (-6.0, 3.412),
    (-9.0, 0.1164),
    (-12.0, 0.0081),
];

/// The same by a Chebyshev fit of degree 24 of the U.S. Naval Observatory (Janiczek 1996,
/// unpublished notes, as printed in its public program) to D. R. E. Brown, Natural
/// Illumination Charts (U.S. Navy Bureau of Ships, report 374-1, 1952).
const BROWN: [(f64, f64); 11] = [
    (5.0, 4_757.6),
    (4.0, 3_729.9),
    (3.0, 2_789.0),
    (2.0, 1_961.0),
    (1.0, 1_276.2),
    (0.0, 756.8),
    (-0.8333, 451.7),
    (-2.0, 191.7),
    (-4.0, 30.73),
    (-6.0, 3.472),
    (-9.0, 0.1214),
];

/// A sun at a true elevation, seen through the air of a place.
fn sun(place: &Place, true_deg: f64) -> Sun {
    let lift =
        quarterstop::solar::refraction_deg(true_deg, place.pressure_hpa, place.temperature_c);
    Sun {
        azimuth: Azimuth::from_degrees(250.0),
        apparent_elevation: Elevation::from_degrees(true_deg + lift),
        true_elevation: Elevation::from_degrees(true_deg),
    }
}

fn sea_level() -> Place {
    Place { height_m: 0.0, pressure_hpa: 1013.25, ..support::place() }
}

fn stops(a: f64, b: f64) -> f64 {
    (a / b).log2()
}

/// The clear sky of the standard air against both tables, as far up as twilight has a part in
/// it: from there on the light is the spectral model's alone (see the test below).
#[test]
fn twilight_is_that_of_the_published_tables() {
    let place = sea_level();
    let mut worst = 0.0_f64;
    for (table, name) in [(&EXPLANATORY_SUPPLEMENT[..], "supplement"), (&BROWN[..], "Brown")] {
        for (elevation, published_lx) in table {
            let sun = sun(&place, *elevation);
            let light = daylight(&sun, &place, &Air::default(), Sky::Clear, 94);
            let off = stops(light.global_horizontal().lux(), *published_lx);
            println!("{name} {elevation}: {published_lx} lx, {off:+.2} stop");
            worst = worst.max(off.abs());
            assert!(off.abs() < TOLERANCE_STOPS, "{name} {elevation}: {off}");
        }
    }
    println!("worst {worst:.2} stop");
}

/// Rows of both tables over 5 degrees: elevation, supplement and Brown, lx. Worked out as the
/// others.
const OVER_TWILIGHT: [(f64, [f64; 2]); 9] = [
    (7.0, [6_839.2, 7_023.2]),
    (10.0, [11_121.0, 10_932.3]),
    (15.0, [19_228.0, 18_611.2]),
    (20.0, [27_375.8, 27_278.0]),
    (30.0, [46_297.3, 46_932.8]),
    (45.0, [77_848.5, 75_808.4]),
    (60.0, [103_117.7, 101_815.5]),
    (75.0, [118_205.8, 117_203.9]),
    (90.0, [128_825.0, 123_866.9]),
];

/// A clear sky of IES RP-21 (Gillette, Pierpoint and Treado, Journal of the IES 13(4), 1984; from
/// memory): sun 127 500 exp(-0.21 / sin) lx facing it, sky 800 + 15 500 sin^0.5 lx.
fn ies_clear_lx(elevation_deg: f64) -> f64 {
    let sine = elevation_deg.to_radians().sin();
    127_500.0 * (-0.21 / sine).exp() * sine + 800.0 + 15_500.0 * sine.sqrt()
}

/// By how much the model may be off a published clear sky: as far as its sun is off that of
/// IES RP-21 between 10 and 75 degrees, 8 % (`tests/light_sky.rs` prints it).
const OF_PUBLISHED: f64 = 1.08;

/// Over twilight these tables do not hold a clear sky to 0.3 stop. They are averages over skies
/// with the sun out, their air is not stated, and published clear skies lie further apart
/// than that: at 10 degrees IES RP-21 has 13 900 lx, 0.32 stop over the supplement and 0.35
/// over Brown. At 90 degrees the supplement is over what any clear air lets through. The
/// model, in the standard air, is up to a third of a stop over both between 7 and 30 degrees;
/// what has to hold is that it lies among the three.
#[test]
fn over_twilight_the_light_lies_among_published_clear_skies() {
    let place = sea_level();
    for (elevation, [supplement, brown]) in OVER_TWILIGHT {
        let sun = sun(&place, elevation);
        let light = daylight(&sun, &place, &Air::default(), Sky::Clear, 94);
        let own = light.global_horizontal().lux();
        let all = [supplement, brown, ies_clear_lx(elevation)];
        println!("{elevation}: {own:.0} lx, {:?} stop", all.map(|lux| stops(own, lux)));
        let least = all.into_iter().fold(f64::INFINITY, f64::min) / OF_PUBLISHED;
        let most = all.into_iter().fold(0.0, f64::max) * OF_PUBLISHED;
        assert!((least..most).contains(&own), "{elevation}: {own} out of {least} to {most}");
    }
}

/// Facing the sun: direct light and half of the sky's (an even sky on an upright face).
fn facing(light: &Daylight) -> Tristimulus {
    light.direct_normal + light.diffuse_horizontal * 0.5
}

/// Between two suns a hundredth of a degree apart (a few seconds) nothing steps. The tables
/// fall by 1.7 stops a degree at most; beside that a wall that faces the sun loses no more of
/// the disc's light than the hundredth uncovers: 0.013 of its 0.533 degree, refraction
/// counted, of a light that is up to 600 mired redder.
#[test]
fn light_and_colour_go_down_without_a_step() {
    const STEP_STOPS: f64 = 0.025;
    const DISC_SHARE: f64 = 0.013 / 0.533;
    const STEP_MIRED: f64 = 3.0;
    const PARTS: [fn(&Daylight) -> Tristimulus; 2] = [facing, Daylight::global_horizontal];
    let place = sea_level();
    let thin = Sky::Thin(Transmittance::from_share(0.4));
    let hazy = Air { aerosol_500nm: 0.3, ..Air::default() };
    let clean = Air { aerosol_500nm: 0.03, ..Air::default() };
    for air in [Air::default(), hazy, clean] {
        for sky in [Sky::Clear, thin, Sky::Broken, Sky::Overcast, Sky::Cumulus] {
            let at = |true_deg: f64| daylight(&sun(&place, true_deg), &place, &air, sky, 290);
            // the disc just up: apparent 0.54 degree
            let disc = at(0.07).direct_normal.lux();
            let mut before = at(7.0);
            for step in 1..1850 {
                let now = at(7.0 - 0.01 * f64::from(step));
                for part in PARTS {
                    let (a, b) = (part(&before), part(&now));
                    let uncovered = DISC_SHARE * disc / b.lux();
                    let off = stops(a.lux(), b.lux()).abs();
                    let most = STEP_STOPS + uncovered.ln_1p() / std::f64::consts::LN_2;
                    assert!(off < most, "{sky:?} step {step}: {off} over {most}, {a:?} {b:?}");
                    let mired = |l| ColourTemperature::of(l).map(ColourTemperature::mired);
                    if let (Some(a), Some(b)) = (mired(a), mired(b)) {
                        let most = STEP_MIRED + 600.0 * uncovered;
                        assert!((a - b).abs() < most, "{sky:?} step {step}: {a} to {b}");
                    }
                }
                before = now;
            }
        }
    }
}

/// A season takes daylight from a table over the apparent elevation; the true one has to
/// follow from it.
#[test]
fn tables_of_a_season_have_the_same_twilight() {
    let place = support::place();
    let table = ByElevation::new(place, Air::default(), Sky::Clear);
    let set = Utc.with_ymd_and_hms(2027, 10, 16, 17, 8, 0).unwrap();
    for minute in -40..25 {
        let sun = position(&place, set + chrono::TimeDelta::minutes(minute));
        let full = daylight(&sun, &place, &Air::default(), Sky::Clear, 289);
        let own = table.at(&sun, 289);
        let off = stops(own.global_horizontal().lux(), full.global_horizontal().lux());
        assert!(off.abs() < 0.005, "minute {minute}: {off}");
        let back = true_elevation_deg(
            sun.apparent_elevation.degrees(),
            place.pressure_hpa,
            place.temperature_c,
        );
        assert!((back - sun.true_elevation.degrees()).abs() < 1e-6);
    }
}

/// Ends of the fits: darkness stays where the table ends, and nothing is added to a sun that
/// the spectral model knows.
#[test]
fn the_ends_of_the_table_hold() {
    assert_eq!(twilight::horizontal_lx(-30.0), twilight::horizontal_lx(-18.0));
    let place = sea_level();
    let high = daylight(&sun(&place, 5.0), &place, &Air::default(), Sky::Clear, 94);
    let air = quarterstop::light::clear::spectra_over_sphere(
        sun(&place, 5.0).apparent_elevation.degrees(),
        place.pressure_hpa,
        &Air::default(),
        94,
    );
    let sky = quarterstop::light::clear::tristimulus(&air.diffuse_horizontal);
    assert_eq!(high.diffuse_horizontal, sky);
}
