//! Daylight against a reference implementation, handbook formulas and a measured
//! cloudless day.

use chrono::{TimeZone, Utc};
use chrono_tz::Tz;
use quarterstop::light::clear::{extraterrestrial_w_m2, irradiance};
use quarterstop::light::efficacy::{bin, clearness, efficacies};
use quarterstop::light::{Air, Sky, daylight};
use quarterstop::solar::{self, Sun};
use quarterstop::units::{Azimuth, Elevation};
use quarterstop::venue::Place;

fn place(height_m: f64, pressure_hpa: f64) -> Place {
    Place {
        latitude_deg: 37.70,
        longitude_deg: -105.92,
        height_m,
        zone: Tz::UTC,
        pressure_hpa,
        temperature_c: -8.0,
    }
}

fn sun_at(elevation_deg: f64) -> Sun {
    Sun {
        azimuth: Azimuth::from_degrees(180.0),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(elevation_deg),
    }
}

/// Source: pvlib 0.16.1, `pvlib.clearsky.bird`; the call stands in the file. One
/// exponent is -0.3034 there and -0.3035 here (the report's); 0.1 % between them.
#[test]
fn clear_sky_irradiance_agrees_with_pvlib() {
    let mut worst = (0.0_f64, 0.0_f64);
    let mut count = 0;
    for line in
        include_str!("data/bird_pvlib.csv").lines().filter(|l| l.starts_with(char::is_numeric))
    {
        let v: Vec<f64> = line.split(',').map(|x| x.parse().unwrap()).collect();
        let air = Air {
            aerosol_380nm: v[1],
            aerosol_500nm: v[2],
            water_cm: v[3],
            ozone_atm_cm: v[4],
            ground_albedo: 0.2,
        };
        let ours = irradiance(90.0 - v[0], v[5], &air, 1);
        // made for 1400 W/m2 outside the air
        let scale = 1400.0 / ours.extraterrestrial_w_m2;
        worst.0 = worst.0.max((ours.direct_normal_w_m2 * scale / v[7] - 1.0).abs());
        worst.1 = worst.1.max((ours.diffuse_horizontal_w_m2 * scale / v[8] - 1.0).abs());
        assert!((ours.air_mass / v[6] - 1.0).abs() < 1e-6);
        count += 1;
    }
    println!("{count} conditions, worst direct {:.5}, diffuse {:.5}", worst.0, worst.1);
    assert!(count >= 200);
    assert!(worst.0 < 0.002 && worst.1 < 0.002, "{worst:?}");
}

/// One minute of the measured day.
struct Minute {
    elevation_deg: f64,
    global: f64,
    direct: f64,
    diffuse: f64,
    modelled_direct: f64,
    modelled_diffuse: f64,
    modelled_global: f64,
}

/// Minutes with the sun over 5 degrees and all three readings marked good.
fn measured_day() -> Vec<Minute> {
    // said once for the day: dry and clean high plains in winter. Water from the
    // station's own humidity and temperature at noon (45 % at -8.8 C, 2317 m:
    // 0.25 cm by Leckner 1978), aerosol 0.03 at 500 nm (background of the high
    // western plains in winter), ozone 0.30 (mid-latitude winter), albedo 0.18
    // (the station's own upward over downward at noon), pressure as read.
    let air = Air {
        aerosol_500nm: 0.03,
        aerosol_380nm: 0.043,
        water_cm: 0.25,
        ozone_atm_cm: 0.30,
        ground_albedo: 0.18,
    };
    let site = place(2317.0, 778.0);
    let mut minutes = Vec::new();
    for line in include_str!("data/surfrad-slv16001.dat").lines().skip(2) {
        let v: Vec<f64> = line.split_whitespace().map(|x| x.parse().unwrap()).collect();
        let at = Utc
            .with_ymd_and_hms(v[0] as i32, v[2] as u32, v[3] as u32, v[4] as u32, v[5] as u32, 0)
            .unwrap();
        let good = v[9] == 0.0 && v[13] == 0.0 && v[15] == 0.0;
        // each value is the mean of the minute that ends at its time
        let sun = solar::position(&site, at - chrono::TimeDelta::seconds(30));
        let elevation_deg = sun.apparent_elevation.degrees();
        if !good || elevation_deg <= 5.0 {
            continue;
        }
        let model = irradiance(elevation_deg, site.pressure_hpa, &air, v[1] as u32);
        let sine = elevation_deg.to_radians().sin();
        minutes.push(Minute {
            elevation_deg,
            global: v[8],
            direct: v[12],
            diffuse: v[14],
            modelled_direct: model.direct_normal_w_m2,
            modelled_diffuse: model.diffuse_horizontal_w_m2,
            modelled_global: model.direct_normal_w_m2 * sine + model.diffuse_horizontal_w_m2,
        });
    }
    minutes
}

/// Mean, root mean square and worst of a series.
fn errors(minutes: &[Minute], error: impl Fn(&Minute) -> f64) -> (f64, f64, f64) {
    let n = minutes.len() as f64;
    let values = || minutes.iter().map(&error);
    let worst = values().fold(0.0, |w: f64, e| if e.abs() > w.abs() { e } else { w });
    (values().sum::<f64>() / n, (values().map(|e| e * e).sum::<f64>() / n).sqrt(), worst)
}

/// Source: NOAA Global Monitoring Laboratory, SURFRAD, Alamosa, 1 January 2016;
/// see tests/data/README.md.
#[test]
fn the_open_field_split_of_a_measured_cloudless_day() {
    let minutes = measured_day();
    assert!(minutes.len() > 450, "{} minutes", minutes.len());
    let relative = |modelled: f64, measured: f64| modelled / measured - 1.0;
    let global = errors(&minutes, |m| relative(m.modelled_global, m.global));
    let direct = errors(&minutes, |m| relative(m.modelled_direct, m.direct));
    let diffuse = errors(&minutes, |m| relative(m.modelled_diffuse, m.diffuse));
    let split = errors(&minutes, |m| {
        (m.modelled_global / m.modelled_diffuse).log2() - (m.global / m.diffuse).log2()
    });
    let high: Vec<Minute> = measured_day().into_iter().filter(|m| m.elevation_deg > 15.0).collect();
    let split_high = errors(&high, |m| {
        (m.modelled_global / m.modelled_diffuse).log2() - (m.global / m.diffuse).log2()
    });
    println!(
        "{} minutes (mean, rms, worst): global {global:.3?} direct {direct:.3?}",
        minutes.len()
    );
    println!("diffuse {diffuse:.3?} split {split:.3?} stops, over 15 degrees {split_high:.3?}");

    // A quarter of a stop, what crews match to (common practice, no source), for
    // every minute with the sun over 15 degrees and as root mean square over all.
    const QUARTER_STOP: f64 = 0.25;
    assert!(split_high.2.abs() < QUARTER_STOP, "{split_high:?}");
    assert!(split.1 < QUARTER_STOP, "{split:?}");
    // What remains. The model's beam is dimmer by 5 to 8 %: its constant share
    // for absorption by gases and its water curve were fitted for moist air at
    // sea level, and over this dry, high place there is less of both. The first
    // minutes after sunrise are worse (0.8 stop): the beam is measured at half of
    // what the same elevation gives in the evening, so low haze or the rim of the
    // valley stood before the sun; no clear-sky model knows that.
    assert!(direct.0 < 0.0 && direct.0 > -0.12, "{direct:?}");
    assert!(global.0.abs() < 0.10, "{global:?}");
    assert!(diffuse.0.abs() < 0.10, "{diffuse:?}");
}

/// The shape of the day: mornings and evenings have a smaller split than noon.
#[test]
fn the_split_grows_with_elevation_as_measured() {
    let minutes = measured_day();
    let mean_between = |low: f64, high: f64, f: fn(&Minute) -> f64| {
        let chosen: Vec<f64> =
            minutes.iter().filter(|m| (low..high).contains(&m.elevation_deg)).map(f).collect();
        chosen.iter().sum::<f64>() / chosen.len() as f64
    };
    let measured = |m: &Minute| (m.global / m.diffuse).log2();
    let modelled = |m: &Minute| (m.modelled_global / m.modelled_diffuse).log2();
    let rise = |f: fn(&Minute) -> f64| mean_between(25.0, 30.0, f) - mean_between(8.0, 12.0, f);
    assert!((rise(measured) - rise(modelled)).abs() < 0.25);
    assert!(rise(measured) > 0.5);
}

/// Source: IES RP-21, in Gillette, Pierpoint and Treado, "A general illuminance
/// model for daylight availability", Journal of the IES 13(4), 1984 (from memory):
/// clear sky 800 + 15500 sqrt(sin e) lx on the horizontal; sun facing it
/// 127500 lx times exp(-0.21 / sin e); overcast 300 + 21000 sin e lx.
///
/// The two clear-sky models stand for different airs; measured skies spread by
/// more than a third around either. They must agree within a factor of 1.6 (two
/// thirds of a stop).
#[test]
fn illuminance_lies_where_the_handbook_has_it() {
    let sea = place(0.0, 1013.25);
    for elevation in [10.0, 20.0, 30.0, 45.0, 60.0, 75.0] {
        let light = daylight(&sun_at(elevation), &sea, &Air::default(), Sky::Clear, 80);
        let sine = f64::to_radians(elevation).sin();
        let sky = 800.0 + 15_500.0 * sine.sqrt();
        let beam = 127_500.0 * (-0.21 / sine).exp();
        for (ours, theirs, what) in
            [(light.diffuse_horizontal.lux(), sky, "sky"), (light.direct_normal.lux(), beam, "sun")]
        {
            let ratio = ours / theirs;
            println!("{elevation} {what}: {ours:.0} lx against {theirs:.0} lx");
            assert!((1.0 / 1.6..1.6).contains(&ratio), "{elevation} degrees, {what}: {ratio}");
        }
        assert!((light.direct_horizontal.lux() - light.direct_normal.lux() * sine).abs() < 1e-6);
        let grey = daylight(&sun_at(elevation), &sea, &Air::default(), Sky::Overcast, 80);
        assert!((grey.diffuse_horizontal.lux() - (300.0 + 21_000.0 * sine)).abs() < 1e-6);
        assert_eq!(grey.direct_normal.lux(), 0.0);
    }
}

/// Source: table 4 of Perez and others (1990) worked by hand for one very clear
/// sky (bin 8: clearness over 6.2), elevation 30 degrees, water 1 cm.
#[test]
fn efficacies_are_those_of_the_table() {
    let air = Air { water_cm: 1.0, aerosol_500nm: 0.02, aerosol_380nm: 0.03, ..Air::default() };
    let light = irradiance(30.0, 1013.25, &air, 100);
    let zenith = 60_f64.to_radians();
    assert_eq!(bin(clearness(&light, zenith)), 7);
    assert!(clearness(&light, zenith) > 7.3);
    let brightness = light.diffuse_horizontal_w_m2 * light.air_mass / light.extraterrestrial_w_m2;
    let direct = 101.18 + 1.58 - 1.10 * (5.73 * zenith - 5.0).exp() - 8.29 * brightness;
    let diffuse = 152.23 + 0.35 - 45.27 * 0.5 - 7.98 * brightness.ln();
    let ours = efficacies(&light, 30.0, &air);
    assert!((ours.direct_lm_w - direct).abs() < 1e-9);
    assert!((ours.diffuse_lm_w - diffuse).abs() < 1e-9);
}

/// Source: Littlefair, "The luminous efficacy of daylight: a review", Lighting
/// Research and Technology 17(4), 1985 (from memory): beam 70 to 115 lm/W with
/// the sun over 20 degrees, clear sky 115 to 150 lm/W and up to 180 in very clean air.
#[test]
fn efficacies_stay_within_published_ranges() {
    for elevation in [20.0, 40.0, 60.0, 85.0] {
        let air = Air::default();
        let light = irradiance(elevation, 1013.25, &air, 172);
        let ours = efficacies(&light, elevation, &air);
        assert!((70.0..=115.0).contains(&ours.direct_lm_w), "{elevation}: {ours:?}");
        assert!((110.0..=180.0).contains(&ours.diffuse_lm_w), "{elevation}: {ours:?}");
    }
}

/// Light may run fast near the horizon, where it doubles with each degree, but it
/// must not jump: over 0.002 degree it changes by no more than a few of those
/// per mille, through the horizon and through all bins of the efficacy table.
#[test]
fn daylight_has_no_steps() {
    const STEP_DEG: f64 = 0.002;
    const LIMIT: f64 = 0.005;
    let sea = place(0.0, 1013.25);
    for sky in [Sky::Clear, Sky::Overcast] {
        let at = |e: f64| daylight(&sun_at(e), &sea, &Air::default(), sky, 80);
        let mut before = at(-18.0);
        for i in 1..53_000 {
            let e = -18.0 + STEP_DEG * f64::from(i);
            let now = at(e);
            let (x, y) = (before.diffuse_horizontal.lux(), now.diffuse_horizontal.lux());
            assert!(x > 0.0 && (y / x - 1.0).abs() < LIMIT, "{sky:?} {e}: {x} to {y}");
            let (x, y) = (before.direct_normal.lux(), now.direct_normal.lux());
            if x > 100.0 {
                assert!((y / x - 1.0).abs() < LIMIT, "{e}: {x} to {y}");
            }
            before = now;
        }
    }
}

/// Source: the inverse square of the sun's distance, 0.9833 AU in early January
/// and 1.0167 AU in early July (The Astronomical Almanac).
#[test]
fn the_sun_is_nearest_in_january() {
    let ratio = extraterrestrial_w_m2(4) / extraterrestrial_w_m2(186);
    // the series itself is off by 0.1 % at either end (1.0350 for 1.0343)
    assert!((ratio - (1.0167_f64 / 0.9833).powi(2)).abs() < 2e-3, "{ratio}");
}
