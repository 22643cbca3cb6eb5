//! Cameras and lenses by what their data sheets state: F-drop, extender, dynamic range, knee,
//! gamma, black stretch, filters; and what exposure leaves of skins.

use quarterstop::base::units::{Luminance, Stops};
use quarterstop::camera::*;
use quarterstop::jobs::brief::report::{BriefReport, board, data, page};
use quarterstop::jobs::crew::Cue;
use quarterstop::jobs::crew::faces::IrisSetFor;
use quarterstop::light::Tristimulus;
use quarterstop::signal::{CameraCurve, LEVELS, PlacedTone, sdr};
use quarterstop::venue::{Skin, Skins, StatedExposure, Venue, parse};

use crate::plan_brief::of_demo;

const DEMO: &str = include_str!("../venues/football-demo.toml");

fn stated(keys: &str) -> StatedExposure {
    let venue = demo(keys);
    venue.cameras.into_iter().find(|c| c.name == "2 main tight").unwrap().exposure
}

/// The demo with an exposure of its own for its tight camera, at 40 mm.
fn with(keys: &str) -> String {
    let lens = "image_width_mm = 9.6\n";
    DEMO.replacen(lens, &format!("{lens}[camera.exposure]\n{keys}\n"), 1)
}

fn demo(keys: &str) -> Venue {
    parse(&with(keys), "venue.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

/// The F-number is focal length over the diameter of the entrance pupil (ISO 517; from memory):
/// through a pupil of 100 mm a lens of 250 mm has F2.5, of 500 mm F5 and of 1000 mm F10. What a
/// sheet states at both ends gives all between.
#[test]
fn a_lens_with_a_front_that_limits_it_loses_light_as_its_pupil_says() {
    let pupil_mm = 100.0;
    let lens = LensRamp::new(&[[10.0, 2.5], [250.0, 2.5], [1000.0, 10.0]]).unwrap();
    for focal_mm in [250.0, 400.0, 500.0, 707.0, 1000.0] {
        near(lens.widest_at(focal_mm), focal_mm / pupil_mm, 1e-9);
        near(lens.longest_at(focal_mm / pupil_mm, 1000.0).unwrap(), focal_mm, 1e-6);
    }
    assert_eq!(lens.widest_at(10.0), 2.5);
    assert_eq!(lens.widest_at(5.0), 2.5);
    assert_eq!(lens.widest_at(2000.0), 10.0);
    assert_eq!(lens.longest_at(2.0, 1000.0), None);
    let zoom = ZoomRange { ramp: lens, used_mm: (10.0, 1000.0) };
    // T5 is there up to 500 mm; two stops are missing at 1000
    let Some(ShortOfLight::From { focal_mm, long_end_stops }) = zoom.short_of(5.0) else {
        panic!()
    };
    near(focal_mm, 500.0, 1e-6);
    near(long_end_stops, 2.0, 1e-9);
    let Some(ShortOfLight::Everywhere { short_end_stops, long_end_stops }) = zoom.short_of(1.25)
    else {
        panic!()
    };
    near(short_end_stops, 2.0, 1e-9);
    near(long_end_stops, 6.0, 1e-9);
    assert_eq!(zoom.short_of(10.0), None);
}

/// The widest iris is that of the focal length in use; of a zoom, that of its long end.
#[test]
fn the_lens_in_use_has_the_light_of_its_focal_length() {
    let ramp = "widest_t_by_mm = [[10.0, 2.0], [100.0, 2.0], [400.0, 8.0]]";
    let own = Rig::of(&stated(ramp));
    near(own.widest_t, 2.0, 1e-12);
    let zooms = Rig::of(&stated(&format!("{ramp}\nzoom_mm = [20.0, 200.0]")));
    near(zooms.widest_t, 4.0, 1e-9);
    near(zooms.clone().zoomed_to(283.0).widest_t, 5.66, 0.01);
    assert!(!zooms.assumed.contains(&"widest_t"));
    // a lens that cannot prefer what it does not reach
    let long = Rig::of(&stated(&format!("{ramp}\nzoom_mm = [20.0, 400.0]")));
    assert_eq!(long.prefers_t, (8.0, 8.0));
    // in darkness for T2: 6 dB of gain bring T4 down to it, by a stop
    let dim = |t: f64| {
        let chart = 2000.0 * 0.899 / std::f64::consts::PI;
        Luminance::from_cd_per_m2(chart * (t / own.t_number_at_2000_lx).powi(2))
    };
    let mut rig = own.clone();
    rig.gain_db = vec![0.0, DB_PER_STOP, 2.0 * DB_PER_STOP];
    let set = |t: f64| rig.reach(dim(t), 0.0).unwrap();
    assert_eq!((set(4.0).t_number.round(), set(4.0).gain_db), (4.0, 0.0));
    near(set(1.6).gain_db, DB_PER_STOP, 1e-9);
    near(set(1.6).t_number, 1.6 * 2.0_f64.sqrt(), 1e-9);
    // nothing brings T0.7 back: wide open at the highest gain
    assert_eq!((set(0.7).t_number, set(0.7).gain_db), (2.0, 2.0 * DB_PER_STOP));
}

/// A 2x extender doubles the focal length and takes two stops, a filter what it states (common
/// practice, no source). Half the angle's tangent is then half.
#[test]
fn an_extender_halves_the_picture_and_takes_two_stops() {
    let (plain, twice) = (demo("delay_s = 0.5"), demo("extender = 2.0\nfilter_stops = 0.5"));
    let camera = |venue: &Venue| venue.cameras.iter().find(|c| c.name == "2 main tight").cloned();
    let (plain, twice) = (camera(&plain).unwrap(), camera(&twice).unwrap());
    let half = |deg: f64| (0.5 * deg.to_radians()).tan();
    near(half(twice.horizontal_fov_deg), 0.5 * half(plain.horizontal_fov_deg), 1e-12);
    let white = Luminance::from_cd_per_m2(5000.0);
    let t = |exposure: &StatedExposure| Rig::of(exposure).t_for_white(white, 0.0, 0.0).unwrap();
    near(stops_between_t(t(&twice.exposure), t(&plain.exposure)), 2.5, 1e-9);
    assert_eq!(Rig::of(&twice.exposure).widest_t, 1.9);
    // the ramp counts by the lens's own focal length
    let own = stated("extender = 2.0\nwidest_t_by_mm = [[10.0, 2.0], [39.0, 2.0], [80.0, 4.0]]");
    near(own.focal_mm.unwrap(), 40.0, 1e-9);
}

/// Twenty times the decimal logarithm of a ratio of signals is its decibels (ISO 80000-3,
/// level of a field quantity; from memory): a doubling is 6.02 dB. So 62 dB are 10.298 stops,
/// and 600 % are log2 6 = 2.585.
#[test]
fn dynamic_range_is_read_in_every_form_of_data_sheets() {
    let rig = |keys: &str| Rig::of(&stated(keys));
    near(DB_PER_STOP, 20.0 * 2.0_f64.log10(), 1e-12);
    let noise = rig("signal_to_noise_db = 62.0");
    near(noise.under_white_stops, 10.298 - DETAIL_OVER_NOISE_STOPS, 1e-3);
    assert!(!noise.assumed.contains(&"contrast"));
    let head = rig("headroom_percent = 600.0");
    for stops in [head.camera_keeps_stops, head.sensor_stops.unwrap()] {
        near(stops, 2.585, 1e-3);
    }
    // the demo states its own knee for all cameras, which stays
    near(head.knee_stops, 2.0, 1e-12);
    // either of two with the range gives the third
    let both = rig("headroom_percent = 600.0\nsignal_to_noise_db = 62.0");
    let range = rig("dynamic_range_stops = 12.883\nsignal_to_noise_db = 62.0");
    near(range.sensor_stops.unwrap(), both.sensor_stops.unwrap(), 1e-3);
    let alone = StatedExposure {
        dynamic_range_stops: Some(12.883),
        headroom_percent: Some(600.0),
        ..Default::default()
    };
    let alone = Rig::of(&alone);
    near(alone.under_white_stops, both.under_white_stops, 1e-3);
    near(alone.knee_stops, 2.585, 1e-3);
    // what keeps more holds more
    let usual = Rig::of(&StatedExposure::default());
    assert!(alone.knee_stops > usual.knee_stops);
}

/// By hand on the curve of BT.709 (1.099 L^0.45 - 0.099): 600 % makes a signal of 2.3623. A
/// knee is a straight line over its point; the one that brings 2.3623 from 85 % to 100 % has
/// the slope 0.15 / 1.5123 = 0.09919, and puts white at 0.85 + 0.15 x 0.09919 = 86.49 %.
#[test]
fn a_knee_of_point_and_slope_keeps_what_its_line_reaches() {
    near(sdr::oetf(6.0), 2.3623, 1e-4);
    let rig = Rig::of(&stated("knee_point_percent = 85.0\nknee_slope = 0.09919"));
    near(rig.knee_stops, 2.585, 1e-3);
    near(rig.curve.sdr(1.0), 0.8649, 1e-4);
    near(rig.curve.sdr(6.0), 1.0, 1e-4);
    // under its point a knee changes nothing
    for level in [0.0, 0.01, 0.18, 0.5] {
        near(rig.curve.sdr(level), sdr::oetf(level), 1e-12);
    }
    // a sensor that clips before leaves less
    let early = stated("knee_point_percent = 85.0\nknee_slope = 0.09919\nheadroom_percent = 300.0");
    near(Rig::of(&early).knee_stops, 3.0_f64.log2(), 1e-9);
    // by its point alone, it brings all of the headroom to white
    let exposure = StatedExposure {
        headroom_percent: Some(600.0),
        knee_point_percent: Some(85.0),
        ..Default::default()
    };
    near(Rig::of(&exposure).curve.knee.slope, 0.09919, 1e-5);
}

/// Gamma turns the grey card about black and white: with 0.40 the level 0.18 is bent to
/// 0.18^(0.40 / 0.45) = 0.2178, which BT.709 makes 0.4548 in place of 0.4090. A stretch of one
/// stop doubles what is darkest and leaves grey alone (the shape is ours, no source).
#[test]
fn gamma_and_black_stretch_bend_the_curve_and_leave_its_ends() {
    let plain = CameraCurve::keeping(2.0);
    near(plain.sdr(0.18), 0.4090, 1e-4);
    let soft = Rig::of(&stated("gamma = 0.40")).curve;
    near(soft.sdr(0.18), 1.099 * 0.2178_f64.powf(0.45) - 0.099, 1e-4);
    assert_eq!(soft.sdr(0.0), 0.0);
    near(soft.sdr(4.0), 1.0, 1e-9);
    let lifted = Rig::of(&stated("black_stretch_stops = 1.0")).curve;
    near(lifted.sdr(1e-6) / plain.sdr(1e-6), 2.0, 1e-3);
    assert!(lifted.sdr(0.02) > 1.2 * plain.sdr(0.02));
    assert_eq!(lifted.sdr(0.18), plain.sdr(0.18));
}

/// The chart's skins as published for screens in 8-bit sRGB, dark 115, 82, 68 and light 194,
/// 150, 130 (widely published values for D65; from memory), through IEC 61966-2-1: the
/// luminances are those of the table within 3 %, which the other illuminant leaves.
#[test]
fn skins_reflect_what_the_chart_of_mccamy_states() {
    let linear = |code: f64| {
        let v = code / 255.0;
        if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    };
    for (skin, [r, g, b]) in
        [(Skin::Dark, [115.0, 82.0, 68.0]), (Skin::Light, [194.0, 150.0, 130.0])]
    {
        let y = 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
        near(skin.luminous() / y, 1.0, 0.03);
    }
    let [dark, medium, light] = Skin::ALL.map(Skin::luminous);
    near((light / medium).log2(), (medium / dark).log2(), 1e-12);
}

/// By hand from Report ITU-R BT.2408 and BT.2100: dark skin at 25 to 45 % of HLG is a scene
/// light of 0.25^2 / 3 = 0.02083 to 0.0675, which over the 0.26496 of reference white is 3.67
/// to 1.97 stops under it.
#[test]
fn skins_belong_where_the_report_has_them() {
    let dark = LEVELS.iter().find(|l| l.placed == PlacedTone::DarkSkin).unwrap().over_white_stops();
    near(dark[0], -3.67, 0.005);
    near(dark[1], -1.97, 0.005);
    // in the light where light skin lies a stop under white, all three fit
    let rig = Rig::of(&StatedExposure::default());
    let seen = |white: f64, stops: f64| {
        let lit = skin_lights(&view(stops), &rig, Skins::ALL, Luminance::from_cd_per_m2(white));
        move |skin: Skin, class: LightClass| {
            *lit.iter().find(|l| (l.skin, l.class) == (skin, class)).unwrap()
        }
    };
    // 20 000 lx in shade, light skin of 0.358 a stop under white
    let shade_white = 2.0 * 0.358 * 20_000.0 / std::f64::consts::PI;
    let at = seen(shade_white, 3.0);
    for skin in Skin::ALL {
        assert_eq!(at(skin, LightClass::Shade).verdict, SkinVerdict::Fits);
    }
    near(at(Skin::Light, LightClass::Shade).over_white_stops, -1.0, 1e-9);
    // three stops brighter: light skin is 2.0 over white, at the end of the knee
    near(at(Skin::Light, LightClass::Sun).over_white_stops, 2.0, 1e-9);
    assert_eq!(seen(shade_white, 3.01)(Skin::Light, LightClass::Sun).verdict, SkinVerdict::Clips);
    assert_eq!(at(Skin::Dark, LightClass::Sun).verdict, SkinVerdict::TooBright);
    // exposed for the sun, dark skin in shade lies 2.83 + 3 stops under white, 2.16 under 3.67
    let at = seen(8.0 * shade_white, 3.0);
    near(at(Skin::Dark, LightClass::Shade).off_stops, -2.16, 0.01);
    assert_eq!(at(Skin::Dark, LightClass::Shade).verdict, SkinVerdict::TooDark);
    // and is lost where it lies under the darkest tone with detail: 600 to 1 is 9.23 stops
    assert_eq!(
        seen(100.0 * shade_white, 0.5)(Skin::Dark, LightClass::Shade).verdict,
        SkinVerdict::Lost
    );
}

/// Sun and shade, so many stops apart, at 20 000 lx in shade.
fn view(stops: f64) -> CameraView {
    let shares = ClassShares { sun: 0.5, dimmed: 0.0, shade: 0.5, transmittance: 0.0 };
    let side = |lux: f64| Side::of_matt(Tristimulus::of_daylight(lux), GREY_REFLECTANCE);
    let split = Split {
        state: SplitState::InShot(Stops::from_stops(stops)),
        sunlit: Some(side(20_000.0 * stops.exp2())),
        shaded: Some(side(20_000.0)),
        shares,
        ..Split::NOTHING
    };
    CameraView { shaded_share: 0.5, mixed_frames: 1.0, turf: split, subject: split }
}

/// Each mistake is named with its key and its line.
#[test]
fn keys_that_contradict_each_other_are_refused() {
    let line = with("").lines().position(|l| l == "[camera.exposure]").unwrap() + 2;
    for (keys, key, part) in [
        ("widest_t = 2.0\nwidest_t_by_mm = [[8.0, 2.0]]", "widest_t_by_mm", "one of them"),
        ("widest_t_by_mm = [[80.0, 2.0], [8.0, 4.0]]", "widest_t_by_mm", "rising"),
        ("widest_t_by_mm = [[8.0, 4.0], [80.0, 2.0]]", "widest_t_by_mm", "not falling"),
        ("widest_t_by_mm = []", "widest_t_by_mm", "1 to 24 pairs"),
        ("zoom_mm = [8.0, 80.0]", "zoom_mm", "widest_t_by_mm as well"),
        ("zoom_mm = [80.0, 8.0]\nwidest_t_by_mm = [[8.0, 2.0]]", "zoom_mm", "shorter first"),
        ("zoom_mm = [80.0, 90.0]\nwidest_t_by_mm = [[8.0, 2.0]]", "zoom_mm", "40.0 mm"),
        ("widest_t_by_mm = [[8.0, 2.0], [80.0, 16.0]]", "narrowest_t", "larger number"),
        ("contrast = 500.0\nsignal_to_noise_db = 60.0", "signal_to_noise_db", "one of them"),
        ("knee_stops = 1.0\nknee_slope = 0.1", "knee_slope", "one of them"),
        ("knee_stops = 4.0\nheadroom_percent = 600.0", "knee_stops", "2.58 stops"),
        ("dynamic_range_stops = 13.0\nheadroom_percent = 600.0", "dynamic_range_stops", "third"),
        ("extender = 4.0", "extender", "3"),
        ("headroom_percent = 6.0", "headroom_percent", "100"),
        ("gamma = 2.2", "gamma", "0.6"),
        ("knee_slope = 0.0", "knee_slope", "0.01"),
    ] {
        let error = parse(&with(keys), "venue.toml").unwrap_err().to_string();
        assert!(error.contains(&format!("exposure.{key}")), "{keys}\n{error}");
        assert!(error.contains(part), "{keys}\n{error}");
        let at = keys.lines().position(|l| l.starts_with(&format!("{key} ")));
        let at = at.map_or_else(String::new, |at| format!("venue.toml:{}:", line + at));
        assert!(error.contains(&at), "{keys} at {at}\n{error}");
    }
    let skins = DEMO.replacen("[subject]\n", "[subject]\nskins = [\"pale\"]\n", 1);
    let error = parse(&skins, "venue.toml").unwrap_err().to_string();
    assert!(error.contains("skins") && error.contains("medium"), "{error}");
}

/// The demo with a lens that has T14 at its long end: where one iris for both sides asks for a
/// wider one, the brief says up to which focal length that is there, and tells the hand.
#[test]
fn the_brief_says_at_which_end_a_lens_runs_out_of_light() {
    let ramp = "widest_t_by_mm = [[10.0, 2.0], [100.0, 2.0], [400.0, 14.0]]";
    let venue = demo(&format!("{ramp}\nzoom_mm = [20.0, 400.0]\nnd_stops = [0.0]"));
    let (plan, brief) = of_demo(&venue);
    let camera = brief.cameras.iter().find(|c| venue.cameras[c.camera].name == "2 main tight");
    let camera = camera.unwrap();
    let (mut short, mut enough) = (0, 0);
    for (index, exposure) in camera.exposures.iter().enumerate() {
        let Some(exposure) = exposure else { continue };
        let t = camera.t_at(&brief.spans, index, exposure.one.white).unwrap();
        let stops = 2.0 * (14.0 / t).log2();
        match camera.short_of_light(&brief.spans, index) {
            None => {
                assert!(stops < 0.11, "{t}");
                enough += 1;
            }
            Some(ShortOfLight::From { focal_mm, long_end_stops }) => {
                // T2 to T14 over two octaves of focal length, straight in logarithms
                let share = (t / 2.0).ln() / 7.0_f64.ln();
                near(focal_mm, 100.0 * 4.0_f64.powf(share), 1e-6);
                near(long_end_stops, stops, 1e-9);
                short += 1;
            }
            Some(everywhere) => panic!("{everywhere:?} at T{t}"),
        }
    }
    assert!(short > 10 && enough > 10, "{short} {enough}");
    let report =
        BriefReport { venue: &venue, plan: &plan, brief: &brief, forecast: None, hidden: &[] };
    let page = page::html(&report, None, "<svg></svg>").unwrap();
    assert!(page.contains("lens runs out of light at the long end: enough up to"), "{page}");
    let says = |cue: &&Cue| cue.what == "2 main tight: lens runs out of light at the long end";
    assert!(brief.cues.iter().any(|cue| says(&cue)), "{:?}", brief.cues);
    let json: serde_json::Value = serde_json::from_slice(&data::write(&report).unwrap()).unwrap();
    let schema = jsonschema::validator_for(&data::schema()).unwrap();
    assert!(schema.is_valid(&json));
    assert!(json["cameras"][1]["short_of_light"][0]["long_end_stops"].as_f64().unwrap() > 0.1);
    assert!(json["cameras"][0].get("short_of_light").is_none());
}

/// Every skin on the list, at every instant of play: exposed for the sun, faces in shade lie
/// under it by the split of the subject.
#[test]
fn the_brief_has_a_verdict_for_every_skin() {
    let text = DEMO.replacen("[subject]\n", "[subject]\nskins = [\"light\", \"dark\"]\n", 1);
    let venue = parse(&text, "venue.toml").unwrap();
    let (plan, brief) = of_demo(&venue);
    let mut seen = 0;
    for camera in &brief.cameras {
        for run in brief.skin_runs(&venue, &plan, camera) {
            assert!(run.skin != Skin::Medium && run.verdict != SkinVerdict::Fits, "{run:?}");
            if (run.set_for, run.class) != (IrisSetFor::Sun, LightClass::Shade) {
                continue;
            }
            let off = |index: usize| {
                let exposure = camera.exposures[index].unwrap();
                let lux = plan.instants[index].cameras[camera.camera].subject.shaded?.light.lux();
                let skin = lux * run.skin.luminous() / std::f64::consts::PI;
                let level = (skin / exposure.sun?.cd_per_m2()).log2();
                // BT.2408: dark skin from 25 %, light skin from 55 % of HLG
                let lowest = if run.skin == Skin::Dark { -3.67 } else { -1.37 };
                Some(level - lowest)
            };
            let all = (run.instants.0..=run.instants.1).filter_map(off);
            near(run.off_stops, all.fold(0.0, f64::min), 0.01);
            seen += 1;
        }
    }
    assert!(seen >= 2, "{seen}");
    let report =
        BriefReport { venue: &venue, plan: &plan, brief: &brief, forecast: None, hidden: &[] };
    let page = page::html(&report, None, "<svg></svg>").unwrap();
    let told = "skin in shade too dark where exposed for the sun: dark";
    let section = page.find("<h2>Skins</h2>").unwrap();
    assert!(page[section..].contains(told) && !page[..section].contains(told), "{page}");
    let board = board::html(&report).unwrap();
    assert!(board[board.find("id=\"skins-title\"").unwrap()..].contains(told));
}
