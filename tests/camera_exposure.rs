//! From luminance to T-number, and whether one setting serves both sides, against
//! cases worked by hand.

use quarterstop::base::units::{Luminance, Stops};
use quarterstop::camera::*;
use quarterstop::light::Tristimulus;
use quarterstop::venue::{ExposesFor, StatedExposure, Subject};

/// A figure worked by hand has so many digits.
const BY_HAND: f64 = 0.005;

fn rig(stated: StatedExposure) -> Rig {
    Rig::of(&stated)
}

fn white_at(lux: f64) -> Luminance {
    Luminance::from_cd_per_m2(lux * 0.899 / std::f64::consts::PI)
}

/// Sensitivity in the form of data sheets, worked by hand: T11 for 89.9 % white at
/// 2000 lx. At 40 000 lx there is 20 times the light, so T11 * sqrt 20 = T49.19; ND
/// 1/16 opens four stops: T12.30; a shutter of 1/100 at 50 frames opens one more:
/// T8.70; and 6.02 dB closes it again.
#[test]
fn t_numbers_follow_from_the_sensitivity_of_a_data_sheet() {
    let stated = StatedExposure { t_number_at_2000_lx: Some(11.0), ..Default::default() };
    let t = |stated: &StatedExposure, nd, gain| {
        rig(stated.clone()).t_for_white(white_at(40_000.0), nd, gain).unwrap()
    };
    assert!((t(&stated, 0.0, 0.0) - 49.19).abs() < BY_HAND);
    assert!((t(&stated, 4.0, 0.0) - 12.30).abs() < BY_HAND);
    let fast = StatedExposure {
        frames_per_s: Some(50.0),
        shutter_one_over: Some(100.0),
        ..stated.clone()
    };
    assert!((t(&fast, 4.0, 0.0) - 8.70).abs() < BY_HAND);
    assert!((t(&fast, 4.0, DB_PER_STOP) - t(&stated, 4.0, 0.0)).abs() < 1e-9);
    assert_eq!(rig(stated).t_for_white(Luminance::from_cd_per_m2(0.0), 0.0, 0.0), None);
}

/// ISO 2720, the relation for reflected light: `T^2 / t = L * S / K`. Whatever S and K,
/// the product `T^2 / (t * L)` is one number for a camera.
#[test]
fn luminance_time_and_t_number_keep_the_relation_of_exposure_meters() {
    let mut constants = Vec::new();
    for (lux, shutter) in [(500.0, 50.0), (2000.0, 50.0), (65_000.0, 100.0), (120_000.0, 1000.0)] {
        let rig = rig(StatedExposure {
            t_number_at_2000_lx: Some(10.0),
            frames_per_s: Some(50.0),
            shutter_one_over: Some(shutter),
            ..Default::default()
        });
        let white = white_at(lux);
        let t = rig.t_for_white(white, 0.0, 0.0).unwrap();
        constants.push(t * t * shutter / white.cd_per_m2());
    }
    for constant in &constants {
        assert!((constant / constants[0] - 1.0).abs() < 1e-12, "{constants:?}");
    }
}

/// A cover in which turf and face get the same light, `lux` in the sun and that over
/// `2^stops` in the shade.
fn view(lux: f64, stops: f64, mixed_frames: f64) -> CameraView {
    let light = |lux| Tristimulus::of_daylight(lux);
    let split = |reflectance| Split {
        sunlit: Some(Side::of_matt(light(lux), reflectance)),
        shaded: Some(Side::of_matt(light(lux / stops.exp2()), reflectance)),
        state: SplitState::InShot(Stops::from_stops(stops)),
        between: Some((LightClass::Sun, LightClass::Shade)),
        shares: ClassShares { sun: 0.5, shade: 0.5, ..ClassShares::NOTHING },
        ..Split::NOTHING
    };
    CameraView { shaded_share: 0.5, mixed_frames, turf: split(0.06), subject: split(0.18) }
}

/// Worked by hand. Skin of 0.36 one stop under white puts 0.72 at white. White kit of
/// 0.8 over black kit of 0.04 is 20 to 1; a split of one stop makes it 40 to 1, which a
/// camera of 30 to 1 (common practice for early cameras, no source) misses by
/// log2(40 / 30) = 0.415 stop, and one of 500 to 1 (the eye's, common practice, no
/// source) holds with 3.644 stops to spare.
#[test]
fn the_range_of_kit_and_split_is_held_or_missed_by_hand_worked_stops() {
    let of = |contrast| {
        let stated = StatedExposure {
            contrast: Some(contrast),
            knee_stops: Some(0.0),
            ..Default::default()
        };
        exposure(&view(30_000.0, 1.0, 1.0), &rig(stated), &Subject::default()).unwrap()
    };
    let (early, eye) = (of(30.0), of(500.0));
    assert!((early.one.beyond.stops() - 0.415).abs() < BY_HAND, "{early:?}");
    assert!((eye.one.beyond.stops() + 3.644).abs() < BY_HAND, "{eye:?}");
    assert!(!early.one.keeps_all() && eye.one.keeps_all());
    // without a knee the white kit, log2(0.8 / 0.72) = 0.152 stop over white, pulls the
    // one setting so far under the sun side's: 1.152 stops under for the shade
    assert!((eye.one.under.stops() - 1.152).abs() < BY_HAND, "{eye:?}");
    assert_eq!((eye.one.over.stops(), eye.verdict), (0.0, Verdict::Choose));
    let knee =
        StatedExposure { contrast: Some(500.0), knee_stops: Some(0.7), ..Default::default() };
    let kept = exposure(&view(30_000.0, 1.0, 1.0), &rig(knee), &Subject::default()).unwrap();
    assert!((kept.one.over.stops() - 0.5).abs() < 1e-9, "{kept:?}");
    assert_eq!((early.verdict, kept.verdict), (Verdict::Choose, Verdict::Hold));
    let white = eye.sun.unwrap().cd_per_m2();
    assert!((white - 30_000.0 * 0.72 / std::f64::consts::PI).abs() < 1e-6);
    assert!((eye.ride.unwrap().stops() - 1.0).abs() < 1e-9);
}

/// Quarter-stop matching (common practice, no source): half a stop apart is a quarter
/// of a stop off either way, and one setting serves.
#[test]
fn verdicts_follow_the_split_and_what_a_frame_shows() {
    let told = |stops, mixed| {
        let exposure =
            exposure(&view(30_000.0, stops, mixed), &rig(Default::default()), &Subject::default());
        exposure.unwrap()
    };
    for (stops, mixed, wanted) in [
        (0.49, 1.0, Verdict::Hold),
        (0.51, 0.0, Verdict::Ride),
        (1.9, 1.0, Verdict::Hold),
        (2.1, 1.0, Verdict::Choose),
        (2.1, 0.3, Verdict::Ride),
        (4.0, 0.9, Verdict::Choose),
    ] {
        assert_eq!(told(stops, mixed).verdict, wanted, "{stops} {mixed}");
    }
    let two = told(2.0, 1.0);
    assert!(
        (two.one.over.stops() - 1.0).abs() < 1e-9 && (two.one.under.stops() - 1.0).abs() < 1e-9
    );
}

#[test]
fn one_side_alone_is_exposed_for_and_held() {
    let mut view = view(30_000.0, 3.0, 0.0);
    view.turf.state = SplitState::Latent(Stops::from_stops(3.0), OneSide::AllShaded);
    view.turf.shares = ClassShares::ALL_SHADE;
    let told = exposure(&view, &rig(Default::default()), &Subject::default()).unwrap();
    assert_eq!((told.verdict, told.sides), (Verdict::Hold, SidesInCover::Only(OneSide::AllShaded)));
    assert!((told.one.white.cd_per_m2() / told.shade.cd_per_m2() - 1.0).abs() < 1e-12);
    assert_eq!((told.one.over.stops(), told.one.under.stops()), (0.0, 0.0));
    view.turf = Split::NOTHING;
    assert_eq!(exposure(&view, &rig(Default::default()), &Subject::default()), None);
}

/// Turf in half the light of the skin: a camera set for both lies half a stop between.
#[test]
fn what_a_camera_exposes_for_decides_its_white() {
    let mut view = view(40_000.0, 2.0, 0.0);
    let halved = |side: Option<Side>| side.map(|s| Side::of_matt(s.light * 0.5, 0.06));
    view.turf.sunlit = halved(view.turf.sunlit);
    view.turf.shaded = halved(view.turf.shaded);
    let white = |exposes_for, subject: &Subject| {
        let stated = StatedExposure { exposes_for: Some(exposes_for), ..Default::default() };
        exposure(&view, &rig(stated), subject).unwrap().sun.unwrap().cd_per_m2()
    };
    let usual = Subject::default();
    let skin = white(ExposesFor::Skin, &usual);
    assert!((white(ExposesFor::Turf, &usual) / skin - 0.5).abs() < 1e-12);
    assert!((white(ExposesFor::Both, &usual) / skin - 0.5_f64.sqrt()).abs() < 1e-12);
    // turf at a stated place under white: its own luminance so many stops up
    let stated = Subject { turf_under_white_stops: Some(3.0), ..usual };
    let turf = 20_000.0 * 0.06 / std::f64::consts::PI;
    assert!((white(ExposesFor::Turf, &stated) / (8.0 * turf) - 1.0).abs() < 1e-12);
}

#[test]
fn what_is_not_stated_is_said_to_be_assumed() {
    let bare = rig(StatedExposure::default());
    for key in ["t_number_at_2000_lx", "nd_stops", "contrast", "delay_s", "prefers_t"] {
        assert!(bare.assumed.contains(&key), "{key}");
    }
    let stated = rig(StatedExposure { delay_s: Some(0.4), ..Default::default() });
    assert!(!stated.assumed.contains(&"delay_s") && stated.delay_s == 0.4);
    // a preference that the lens cannot reach is cut to its range
    let long = rig(StatedExposure {
        widest_t: Some(5.6),
        prefers_t: Some([2.8, 8.0]),
        ..Default::default()
    });
    assert_eq!(long.prefers_t, (5.6, 8.0));
}

/// A split that trembles by less than a tenth of a stop about a limit keeps the verdict that
/// it had; half a stop apart is the limit of one setting.
#[test]
fn a_verdict_gives_way_only_beyond_its_hysteresis() {
    let rig = rig(Default::default());
    let after = |stops, mixed, held| {
        exposure_after(&view(30_000.0, stops, mixed), &rig, &Subject::default(), held)
            .unwrap()
            .verdict
    };
    // a quarter of a stop off either way, and a tenth more
    for (stops, held, wanted) in [
        (0.69, Some(Verdict::Hold), Verdict::Hold),
        (0.71, Some(Verdict::Hold), Verdict::Ride),
        (0.31, Some(Verdict::Ride), Verdict::Ride),
        (0.29, Some(Verdict::Ride), Verdict::Hold),
        (0.51, None, Verdict::Ride),
        (0.49, None, Verdict::Hold),
    ] {
        assert_eq!(after(stops, 0.0, held), wanted, "{stops} {held:?}");
    }
    for (mixed, held, wanted) in [
        (0.55, Some(Verdict::Ride), Verdict::Ride),
        (0.65, Some(Verdict::Ride), Verdict::Choose),
        (0.45, Some(Verdict::Choose), Verdict::Choose),
        (0.35, Some(Verdict::Choose), Verdict::Ride),
    ] {
        assert_eq!(after(4.0, mixed, held), wanted, "{mixed} {held:?}");
    }
}

/// Worked by hand for a split of two stops. A shaded side of 2 % counts for nothing: the one
/// setting is the sun's. At 6 % it counts for half, so the setting lies half of one stop
/// below; from 10 % on half way between the sides.
#[test]
fn one_setting_moves_evenly_as_a_side_comes() {
    let stops_under_sun = |shade: f64| {
        let mut view = view(30_000.0, 2.0, 0.0);
        view.turf.shares = ClassShares { sun: 1.0 - shade, shade, ..ClassShares::NOTHING };
        let told = exposure(&view, &rig(Default::default()), &Subject::default()).unwrap();
        (told.sun.unwrap().cd_per_m2() / told.one.white.cd_per_m2()).log2()
    };
    for (share, wanted) in [(0.0, 0.0), (0.02, 0.0), (0.06, 0.5), (0.1, 1.0), (0.5, 1.0)] {
        assert!((stops_under_sun(share) - wanted).abs() < 1e-9, "{share}");
    }
}

/// Worked by hand: beside the sun, light dimmed to 0.6 of the direct 30 000 lx less 7 500 in
/// shade is 21 000 lx, 0.515 stop down. With no opaque shade in the cover the shaded side is
/// that light; with both the ride goes all the way.
#[test]
fn dimmed_light_is_a_class_of_its_own() {
    let with = |dimmed: f64, shade: f64| {
        let mut view = view(30_000.0, 2.0, 0.0);
        let sun = 1.0 - dimmed - shade;
        view.turf.shares = ClassShares { sun, dimmed, shade, transmittance: 0.6 };
        exposure(&view, &rig(Default::default()), &Subject::default()).unwrap()
    };
    let only = with(0.4, 0.0);
    assert!((only.ride.unwrap().stops() - 0.515).abs() < BY_HAND, "{only:?}");
    assert_eq!(only.dimmed, Some(only.shade));
    assert_eq!(only.in_cover().count(), 2);
    let three = with(0.4, 0.2);
    assert!((three.ride.unwrap().stops() - 2.0).abs() < 1e-9 && three.dimmed < three.sun);
    assert_eq!(three.in_cover().count(), 3);
    // a sliver of opaque shade changes nothing of what is set
    let sliver = with(0.4, 0.019);
    assert_eq!((sliver.shade, sliver.one), (only.shade, only.one));
}
