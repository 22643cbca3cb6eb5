//! Air from readings of the day: published relations, and measured minutes.

use chrono::NaiveDate;

use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::light::{
    Air, AirByDate, AirColumn, AirOfReadings, AirRange, Knowledge, Percentiles, Reading,
    ReadingError, TimedReading, aerosol_of_visibility, air_of_readings, water_of_dew_point,
};
use quarterstop::solar::Sun;
use quarterstop::venue::Place;

const SEA_LEVEL_HPA: f64 = 1013.25;

fn sun(elevation_deg: f64) -> Sun {
    Sun {
        azimuth: Azimuth::from_degrees(200.0),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(elevation_deg),
    }
}

/// Direct and sky light on the horizontal.
fn light(air: &Air, pressure_hpa: f64, sun: &Sun, day: u32) -> [f64; 2] {
    let elevation = sun.apparent_elevation;
    let [direct, sky] = AirColumn::new(air, pressure_hpa).light(elevation.degrees(), day);
    [direct.lux() * elevation.radians().sin(), sky.lux()]
}

fn pair(air: &Air, sun: Sun, day_of_year: u32) -> Reading {
    let [direct, sky] = light(air, SEA_LEVEL_HPA, &sun, day_of_year);
    Reading::CardPair { sun, day_of_year, stops: (1.0 + direct / sky).log2() }
}

fn typical() -> Air {
    let place = Place {
        latitude_deg: 46.8,
        longitude_deg: 6.9,
        height_m: 490.0,
        zone: chrono_tz::UTC,
        pressure_hpa: SEA_LEVEL_HPA,
        temperature_c: 15.0,
    };
    AirByDate::typical(&place).on(NaiveDate::from_ymd_opt(2016, 6, 15).unwrap())
}

fn after(hours: f64, readings: &[Reading]) -> Result<AirOfReadings, ReadingError> {
    let timed = |reading: &Reading| TimedReading { reading: *reading, hours };
    let timed: Vec<TimedReading> = readings.iter().map(timed).collect();
    air_of_readings(typical(), SEA_LEVEL_HPA, &timed)
}

fn at_once(readings: &[Reading]) -> AirOfReadings {
    after(0.0, readings).unwrap()
}

fn width(air: Air) -> f64 {
    let range = AirRange::of(air);
    range.hazy.aerosol_500nm / range.clean.aerosol_500nm
}

fn factor([low, _, high]: Percentiles) -> f64 {
    high / low
}

/// User guide of the 6S code (Vermote and others 1997; from memory): visibilities of 23 and
/// 5 km go with depths of 0.235 and 0.78 at 550 nm, those of the rural air of 5 and 23 km of
/// Shettle and Fenn (AFGL-TR-79-0214, 1979).
///
/// Koschmieder (1924): extinction at the ground is 3.912 / V for a contrast of 2 %; less
/// 0.0116 / km of the air itself at 550 nm (Bucholtz, Appl. Opt. 34, 1995, at sea level; from
/// memory). The layer of even haze that would have the depth has to be as high as aerosol is
/// found: a scale height of 1 to 2 km (Elterman 1970: 1.2 km; from memory).
#[test]
fn visibility_is_the_published_relation_and_fits_koschmieder() {
    for (km, published) in [(23.0, 0.235), (5.0, 0.78)] {
        let own = aerosol_of_visibility(km);
        assert!((own / published - 1.0).abs() < 0.05, "{km} km: {own}");
    }
    for km in [5.0, 10.0, 15.0, 23.0, 30.0, 40.0, 50.0] {
        let height_km = aerosol_of_visibility(km) / (3.912 / km - 0.0116);
        println!("{km} km: {:.3}, layer of {height_km:.2} km", aerosol_of_visibility(km));
        assert!((0.95..2.05).contains(&height_km), "{km} km: {height_km}");
    }
}

/// Model atmospheres (Anderson and others, AFGL-TR-86-0110, 1986; from memory): vapour at the
/// ground of 14.0 and 3.5 g/m3 in the mid-latitude summer and winter, dew points of 16.9 and
/// -3.8 degrees, and columns of 2.92 and 0.85 cm.
#[test]
fn water_is_that_of_the_model_atmospheres() {
    for (celsius, column_cm) in [(16.9, 2.92), (-3.8, 0.85)] {
        let own = water_of_dew_point(celsius);
        println!("{celsius} C: {own:.2} cm against {column_cm}");
        assert!((own / column_cm).ln().abs() < 1.25_f64.ln(), "{celsius}: {own}");
    }
}

#[test]
fn readings_find_the_air_they_were_made_in() {
    for aerosol_500nm in [0.05, 0.12, 0.3, 0.6] {
        let air = Air { aerosol_500nm, ..typical() };
        let [direct, sky] = light(&air, SEA_LEVEL_HPA, &sun(40.0), 166);
        let iris = Reading::CardLight { sun: sun(40.0), day_of_year: 166, lux: direct + sky };
        let all = at_once(&[
            pair(&air, sun(40.0), 166),
            Reading::Photometer { aerosol_500nm },
            Reading::DewPoint { celsius: 9.0 },
            iris,
        ]);
        let [card, photometer, water, iris] = all.alone[..] else { panic!() };
        // the grid has steps of 3 %
        for [_, middle, _] in [card, photometer] {
            assert!((middle / aerosol_500nm).ln().abs() < 0.25, "{aerosol_500nm}: {middle}");
        }
        assert!((water[1] - water_of_dew_point(9.0)).abs() < 1e-9);
        // one card by its light alone tells least; a photometer's 0.02 is much of clean air
        assert!(factor(card) < factor(iris) && factor(photometer) < factor(iris));
        assert!(aerosol_500nm < 0.1 || factor(photometer) < factor(card));
        assert!((all.air.aerosol_500nm / aerosol_500nm).ln().abs() < 0.15);
        assert!(matches!(all.air.known.water, Knowledge::Between(low, high) if low < high));
    }
}

/// The more is read the narrower, and never wider than what is known without.
#[test]
fn readings_narrow_the_range_by_what_they_are_worth() {
    let air = Air { aerosol_500nm: 0.12, ..typical() };
    let card = pair(&air, sun(35.0), 166);
    let seen = Reading::Visibility { km: 30.0 };
    let photometer = Reading::Photometer { aerosol_500nm: 0.12 };
    let [nothing, far, cards, both, best] = [
        width(typical()),
        width(at_once(&[seen]).air),
        width(at_once(&[card]).air),
        width(at_once(&[card, seen]).air),
        width(at_once(&[card, seen, photometer]).air),
    ];
    println!("hazy over clean: {nothing:.2}, {far:.2}, {cards:.2}, {both:.2}, {best:.2}");
    assert!(nothing > far && far > cards && cards > both && both > best);
}

/// What was read wears off: of what is unknown, `ln 1.8` is from day to day and correlated 0.8
/// after ten hours (Anderson and others, J. Atmos. Sci. 60, 2003; from memory), `ln 1.4` is of
/// the place and stays. An exact reading leaves the whole, 0.677, times `sqrt(1 - r2)`: 0.239
/// after four hours, 0.656 after ten days, and both percentiles 1.2816 of them away
/// (arithmetic).
#[test]
fn a_reading_wears_off() {
    let photometer = [Reading::Photometer { aerosol_500nm: 0.12 }];
    let hours = [0.0, 1.0, 4.0, 10.0, 240.0];
    let widths = hours.map(|hours| width(after(hours, &photometer).unwrap().air));
    println!("hazy over clean after {hours:?} hours: {widths:.2?}");
    assert!(widths.is_sorted());
    // its own error, 0.02 of 0.12, comes in as well
    let four = (2.0 * 1.2816 * 0.239_f64.hypot(0.02 / 0.12)).exp();
    assert!((widths[2] / four).ln().abs() < 0.1, "{} {four}", widths[2]);
    let ten_days = (2.0 * 1.2816 * 0.656_f64).exp();
    assert!((widths[4] / ten_days).ln().abs() < 0.05, "{} {ten_days}", widths[4]);
    // a depth of the morning and another of the afternoon are no contradiction
    let timed = |aerosol_500nm, hours| TimedReading {
        reading: Reading::Photometer { aerosol_500nm },
        hours,
    };
    let both = [timed(0.10, 6.0), timed(0.20, 0.5)];
    let air = air_of_readings(typical(), SEA_LEVEL_HPA, &both).unwrap().air;
    assert!((0.15..0.20).contains(&air.aerosol_500nm), "{}", air.aerosol_500nm);
}

#[test]
fn readings_of_another_day_or_sun_are_refused() {
    let error = |readings: &[Reading]| after(0.5, readings).unwrap_err();
    let card =
        |elevation, stops| Reading::CardPair { sun: sun(elevation), day_of_year: 166, stops };
    assert!(matches!(error(&[card(5.0, 1.0)]), ReadingError::LowSun { index: 0, .. }));
    // no clear air has five and a half stops
    assert!(matches!(error(&[card(60.0, 5.5)]), ReadingError::DoesNotFit { .. }));
    let clean = Reading::Photometer { aerosol_500nm: 0.05 };
    let message = error(&[clean, Reading::Photometer { aerosol_500nm: 0.4 }]).to_string();
    assert!(message.contains("standard errors away"), "{message}");
}

/// Through the program: an iris of T11 with 4 stops of ND on the flat card, its camera T11 at
/// 2000 lx, is 32 000 lx, and the match carries a narrower range.
#[test]
fn match_takes_readings_of_the_day() {
    const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");
    let home = tempfile::tempdir().unwrap();
    let run = |words: &[&str]| {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        let words = [&["match", DEMO, "--at", "15:30", "--data-only", "--into", "out"], words];
        command.current_dir(home.path()).args(words.concat()).assert()
    };
    let air = || {
        let json = std::fs::read(home.path().join("out/match.json")).unwrap();
        let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
        json["air"].clone()
    };
    let width = |air: &serde_json::Value| {
        let number = |key: &str| air[key].as_f64().unwrap();
        number("aerosol_500nm_high") / number("aerosol_500nm_low")
    };
    run(&[]).success();
    let typical = air();
    let said =
        run(&["--reading", "card_stops=2.2@14:00,grey_t=11/4@14:00,dew_point_c=8"]).success();
    let errors = String::from_utf8(said.get_output().stderr.clone()).unwrap();
    assert_eq!(errors.matches("by itself").count(), 3, "{errors}");
    let read = air();
    assert_eq!(read["source"], "readings");
    assert!(width(&read) < width(&typical), "{read} {typical}");
    for (reading, words) in [
        ("card_stops=6@14:00", "standard errors away"),
        ("card_stops=2@18:00", "the sun stands at"),
        ("card_stops=2", "@HH:MM"),
        ("colour=3", "a reading is one of"),
        ("visibility_km=30", "@HH:MM"),
        ("forecast", "needs a forecast"),
    ] {
        let out = run(&["--reading", reading]).code(2);
        let errors = String::from_utf8(out.get_output().stderr.clone()).unwrap();
        assert!(errors.contains(words), "{reading}: {errors}");
    }
}

/// The demo's forecast has a dew point and no visibility; a median over members and hours.
#[test]
fn a_forecast_says_what_is_in_the_air() {
    const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");
    const HOURS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo-forecast.csv");
    let home = tempfile::tempdir().unwrap();
    let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    let words = ["forecast", DEMO, HOURS, "--reading", "forecast", "--into", "out"];
    let said = command.current_dir(home.path()).args(words).assert().success();
    let errors = String::from_utf8(said.get_output().stderr.clone()).unwrap();
    let line = errors.lines().find(|line| line.contains("dew point")).unwrap();
    assert!(line.contains("by itself water") && !errors.contains("visibility"), "{errors}");
    let celsius: f64 =
        line.split("dew point ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    let column = |row: &str| row.split(',').nth(9).unwrap().parse::<f64>().ok();
    let mut all: Vec<f64> =
        std::fs::read_to_string(HOURS).unwrap().lines().skip(1).filter_map(column).collect();
    all.sort_by(f64::total_cmp);
    assert!((all[0]..=all[all.len() - 1]).contains(&celsius), "{celsius} {all:?}");
}
