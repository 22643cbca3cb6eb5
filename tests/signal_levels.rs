//! Levels of Report ITU-R BT.2408, exposure, white balance, knee and black stretch.

use quarterstop::base::units::{Luminance, Lux, Stops};
use quarterstop::camera::Rig;
use quarterstop::light::{Chromaticity, Trims, Tristimulus};
use quarterstop::signal::*;
use quarterstop::venue::StatedExposure;

/// The report rounds to whole % for cards and to five for what is seen.
const CARD_PERCENT: f64 = 0.75;
const SEEN_PERCENT: f64 = 5.0;

/// The columns of the report's tables follow from each other by the curves of BT.2100 (HLG on
/// a display of 1000 cd/m2): what is from memory is held to that.
#[test]
fn columns_of_the_levels_follow_from_each_other() {
    for level in LEVELS {
        let within = if level.reflectance.is_some() { CARD_PERCENT } else { SEEN_PERCENT };
        for end in 0..2 {
            let light = level.cd_per_m2[end];
            let pq = 100.0 * pq::eotf_inverse(light);
            let hlg = 100.0 * hlg::eotf_inverse([light; 3], REFERENCE_PEAK_CD_PER_M2)[1];
            assert!((pq - level.pq_percent[end]).abs() <= within, "{level:?}: {pq}");
            assert!((hlg - level.hlg_percent[end]).abs() <= within, "{level:?}: {hlg}");
        }
    }
}

/// Line-up levels of BT.2408 as the SMPTE presentation "HDR: Technical Considerations for Live
/// Production and Distribution Workflows" of 21 May 2018 has them on slide 28 (read in the
/// tests of an open library that quotes it): reflectance in %, PQ signal in %, cd/m2. Of HLG,
/// Report ITU-R BT.2390-10, page 25, says that BT.2408 has diffuse white at 75 % and the grey
/// card at 38 %.
#[test]
fn cards_are_those_that_others_quote() {
    let quoted =
        [(18.0, 38.0, 26.0), (83.0, 56.0, 162.0), (90.0, 57.0, 179.0), (100.0, 58.0, 203.0)];
    let cards: Vec<&ReferenceLevel> = LEVELS.iter().filter(|l| l.reflectance.is_some()).collect();
    let ours = cards.iter().map(|l| {
        let percent = (100.0 * l.reflectance.unwrap()).round();
        (percent, l.pq_percent[0], l.cd_per_m2[0])
    });
    assert!(ours.eq(quoted), "{cards:?}");
    assert_eq!((cards[0].hlg_percent[0], cards[3].hlg_percent[0]), (38.0, 75.0));
}

/// Faces in SDR and HDR programmes of East Asia, by the Japanese study that is annex 4 of
/// BT.2408, as the article "HDR与SDR现场协同制作技术探讨" sums it up under its table 3: 45 to
/// 65 % of HLG, 40 to 110 cd/m2. That spans types 3 and 4 and, with make-up, light skin.
#[test]
fn light_and_medium_faces_span_what_was_measured() {
    let of = |placed: PlacedTone| LEVELS.iter().find(|l| l.placed == placed).unwrap();
    let (medium, light) = (of(PlacedTone::MediumSkin), of(PlacedTone::LightSkin));
    assert_eq!([medium.hlg_percent[0], light.hlg_percent[1]], [45.0, 65.0]);
    assert_eq!([medium.cd_per_m2[0], light.cd_per_m2[1]], [40.0, 110.0]);
    // no gap between the two
    assert!(light.hlg_percent[0] <= medium.hlg_percent[1]);
}

/// BT.2408, table 1: with the white card at reference white, cards of other reflectances lie
/// where the table has them, in every column. That is what makes a level 1 reference white.
#[test]
fn cards_lie_where_the_report_has_them() {
    for level in LEVELS {
        let Some(reflectance) = level.reflectance else { continue };
        let hlg = 100.0 * Output::Hlg.of_level(reflectance);
        let pq = 100.0 * Output::Pq.of_level(reflectance);
        let display = pq::eotf(pq / 100.0);
        assert!((hlg - level.hlg_percent[0]).abs() <= 0.5, "{level:?}: {hlg}");
        assert!((pq - level.pq_percent[0]).abs() <= 0.5, "{level:?}: {pq}");
        assert!((display - level.cd_per_m2[0]).abs() <= 0.6, "{level:?}: {display}");
    }
}

/// By hand: the chart of 89.9 % under 2000 lx is at white at the stated T-number; a stop of
/// iris, of ND, and 6.02 dB each halve or double it. A grey card of 18 % in the light of a
/// white card of 89.9 % is 0.18 / 0.899 of it. And it is what `Rig` asks for.
#[test]
fn iris_nd_and_gain_make_a_level() {
    let camera = CameraSensitivity { t_number_at_2000_lx: 11.0, shutter_stops: -1.0 };
    let set =
        |t_number: f64, nd_stops: f64, gain_db: f64| IrisSetting { t_number, nd_stops, gain_db };
    let level = |set: IrisSetting| camera.level(Lux::from_lux(4000.0), 0.899, &set);
    assert!((level(set(11.0, 0.0, 0.0)) - 1.0).abs() < 1e-12);
    assert!((level(set(11.0 * 2.0_f64.sqrt(), 0.0, 0.0)) - 0.5).abs() < 1e-12);
    assert!((level(set(11.0, 2.0, 0.0)) - 0.25).abs() < 1e-12);
    assert!((level(set(11.0, 0.0, DB_PER_STOP)) - 2.0).abs() < 1e-12);
    let grey = camera.level(Lux::from_lux(4000.0), GREY_CARD_REFLECTANCE, &set(11.0, 0.0, 0.0));
    assert!((grey - 0.18 / 0.899).abs() < 1e-12);
    let rig = Rig::of(&StatedExposure::default());
    let white = rig.sensitivity().white(&set(5.6, 2.0, 0.0));
    assert!((rig.t_for_white(white, 2.0, 0.0).unwrap() - 5.6).abs() < 1e-9);
}

/// Balanced to a light, a grey in that light is grey at its own luminance; the gains are the
/// trims that the plan gives from D65 to it, and another light shows the difference of both.
#[test]
fn white_balance_is_the_trims_of_the_plan() {
    let light = |kelvin: f64| Tristimulus::of(500.0, Chromaticity::of_daylight(kelvin));
    let (sun, shade) = (light(5200.0), light(11_000.0));
    let white = Tristimulus::of(1.0, Chromaticity { x: 0.3127, y: 0.3290 });
    let balance = WhiteBalance::to(shade);
    for channel in balance.camera_colours(shade) {
        assert!((channel - 500.0).abs() < 1e-9);
    }
    let (found, plan) = (balance.trims(), Trims::between(white, shade).unwrap());
    assert!((found.red - plan.red).abs() < 1e-5 && (found.blue - plan.blue).abs() < 1e-5);
    let from_sun = Trims::between(sun, shade).unwrap();
    let [r, g, b] = WhiteBalance::to(sun).trimmed(from_sun).camera_colours(shade);
    assert!((r / g - 1.0).abs() < 1e-5 && (b / g - 1.0).abs() < 1e-5, "{r} {g} {b}");
    // warm light through a camera balanced to the shade is warm
    let [r, g, b] = balance.camera_colours(sun);
    assert!(r > g && g > b);
    assert_eq!(WhiteBalance::to(Tristimulus::ZERO), WhiteBalance::NEUTRAL);
}

/// By hand: two stops over white make a signal of 1.099 x 4^0.45 - 0.099 = 1.9518; a knee from
/// 90 % brings that to 100 %, so its slope is 0.1 / 1.0518 = 0.0951, and white comes to 90.95 %.
#[test]
fn a_knee_keeps_order_and_reaches_its_top() {
    let knee = Knee::reaching(0.9, 2.0, 1.0);
    assert!((knee.slope - 0.0951).abs() < 5e-5);
    assert!((knee.of(1.0) - 0.9095).abs() < 5e-5);
    assert!((knee.of(sdr::oetf(4.0)) - 1.0).abs() < 1e-12);
    assert_eq!(knee.of(9.0), 1.0);
    assert_eq!(Knee::reaching(0.9, 0.0, 1.0).of(0.95), 0.95);
    assert_eq!(Knee::OFF.of(1.3), 1.0);
    let signals = (0..400).map(|i| knee.of(f64::from(i) / 200.0)).collect::<Vec<_>>();
    assert!(signals.windows(2).all(|pair| pair[0] <= pair[1]));
}

/// The darkest come up by the stated stops, nothing changes from its end on, and no dark tone
/// passes another, up to the limit.
#[test]
fn a_black_stretch_lifts_blacks_in_order() {
    let stretch = BlackStretch { stops: BlackStretch::MAX_STOPS, below: 0.1 };
    assert!((stretch.of(1e-9) / 1e-9 - 4.0).abs() < 1e-3);
    assert_eq!(stretch.of(0.1), 0.1);
    assert_eq!(stretch.of(0.0), 0.0);
    let levels = (0..=1000).map(|i| stretch.of(f64::from(i) * 1e-4)).collect::<Vec<_>>();
    assert!(levels.windows(2).all(|pair| pair[0] < pair[1]));
    let press = BlackStretch { stops: -1.0, below: 0.1 };
    assert!(press.of(0.01) < 0.01);
}

/// A grey at reference white is grey in every output at the level that the report names; what
/// lies 1.92 stops over it is the peak of HLG and 1000 cd/m2 of PQ, and SDR has clipped.
#[test]
fn a_pixel_comes_out_where_its_level_belongs() {
    let light = Tristimulus::of(800.0, Chromaticity::of_daylight(5600.0));
    let chain = Chain {
        white: Luminance::from_cd_per_m2(800.0),
        balance: WhiteBalance::to(light),
        curve: CameraCurve::keeping(0.0),
        sensor_stops: 2.5,
    };
    let near = |signal: [f64; 3], expected: f64| {
        assert!(signal.iter().all(|s| (s - expected).abs() < 1e-3), "{signal:?} {expected}");
    };
    near(chain.signal(light, Output::Sdr), 1.0);
    near(chain.signal(light, Output::Hlg), 0.75);
    near(chain.signal(light, Output::Pq), 0.581);
    near(chain.signal(light * 0.18, Output::Sdr), sdr::oetf(0.18));
    let peak = light * Output::Hlg.headroom_stops().exp2();
    near(chain.signal(peak, Output::Hlg), 1.0);
    near(chain.signal(peak, Output::Pq), pq::eotf_inverse(1000.0));
    near(chain.signal(peak, Output::Sdr), 1.0);
    // a sensor that clips a stop over white leaves HDR nothing over that
    let early = Chain { sensor_stops: 1.0, ..chain };
    near(early.signal(peak, Output::Hlg), Output::Hlg.of_level(2.0));
    let dark = Chain { white: Luminance::from_cd_per_m2(0.0), ..chain };
    near(dark.signal(light, Output::Hlg), 0.0);
    let stops = Stops::between(Luminance::from_cd_per_m2(800.0), Luminance::from_cd_per_m2(200.0));
    assert_eq!(stops.unwrap().stops(), 2.0);
}
