//! Each suspicion, at a ground that has just that fault; and gaps against closed forms.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, Utc};

use crate::render_support::marks::assert_picture;
use crate::support;
use quarterstop::engine::Hidden;
use quarterstop::jobs::check::{
    Half, PlaceSlip, Suspicion, check, declination_deg, questions, slips,
};
use quarterstop::solar::{crossings, position};
use quarterstop::venue::{Mark, Part, ProposedFixture, Venue, parse};

/// A ground without a fault.
const SOUND: &str = r#"title = "Ground"
[place]
latitude_deg = 50.0
longitude_deg = 8.0
height_m = 0.0
zone = "Europe/Berlin"
[field]
sport = "football"
bearing_deg = 0.0
[[stand]]
name = "West"
side = "left"
setback_m = 6.0
length_m = 100.0
depth_m = 20.0
front_height_m = 1.0
back_height_m = 11.0
[stand.roof]
front_height_m = 15.0
back_height_m = 14.0
overhang_m = 2.0
gap_m = 1.0
[[stand]]
name = "North"
side = "ahead"
setback_m = 6.0
length_m = 60.0
depth_m = 12.0
front_height_m = 1.0
back_height_m = 7.0
[[solid]]
name = "Board"
footprint = [[-66.0, -6.0], [-65.0, -6.0], [-65.0, 6.0], [-66.0, 6.0]]
top_m = 5.0
[[tree]]
name = "Lime"
at = [0.0, -50.0]
trunk_height_m = 3.0
crown_height_m = 10.0
crown_radius_m = 5.0
in_leaf_transmittance = 0.1
bare_transmittance = 0.6
leaf_from = "04-20"
leaf_to = "11-05"
[[panel]]
name = "Sail"
corners = [[-20.0, -60.0, 9.0], [20.0, -60.0, 9.0], [20.0, -70.0, 9.0], [-20.0, -70.0, 9.0]]
transmittance = 0.3
[[camera]]
name = "Main"
at = [0.0, 45.0, 9.0]
looks_at = ["centre spot"]
horizontal_fov_deg = 40.0
[[camera]]
name = "Reverse"
at = [10.0, -40.0, 4.0]
looks_at = ["centre spot"]
horizontal_fov_deg = 40.0
[[operator]]
name = "A"
cameras = ["Main", "Reverse"]
[horizon]
profile = [[0.0, 1.0], [180.0, 2.0]]
[fixture]
date = "2027-04-17"
start = "15:00"
"#;

fn read(text: &str) -> Venue {
    parse(text, "ground.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn found(text: &str) -> Vec<Suspicion> {
    check(&read(text)).suspicions
}

/// The one suspicion that a change of the sound ground raises.
fn one(changes: &[(&str, &str)]) -> Suspicion {
    let mut text = SOUND.to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    let mut found = found(&text);
    assert_eq!(found.len(), 1, "{changes:?}: {found:?}");
    found.remove(0)
}

#[test]
fn a_sound_ground_raises_nothing() {
    assert_eq!(found(SOUND), []);
}

#[test]
fn places_that_do_not_fit_their_zone() {
    // New York: UTC-5; 74 W is 4.93 h behind Greenwich
    let there = [
        ("latitude_deg = 50.0", "latitude_deg = 40.7"),
        ("zone = \"Europe/Berlin\"", "zone = \"America/New_York\""),
    ];
    // a ground in the wrong place has its fixture in the dark as well
    let fixture = ("[fixture]\ndate = \"2027-04-17\"\nstart = \"15:00\"\n", "");
    let with = |more: (&'static str, &'static str)| one(&[there[0], there[1], more, fixture]);
    match with(("longitude_deg = 8.0", "longitude_deg = 74.0")) {
        Suspicion::ZoneOffLongitude { off_h, guess } => {
            assert!((off_h - (74.0 / 15.0 + 5.0)).abs() < 1e-9);
            assert_eq!(guess, Some(PlaceSlip::SignOfLongitude));
        }
        other => panic!("{other:?}"),
    }
    // London, 51.5 N 0.1 W, the wrong way round
    let exchanged = one(&[
        ("latitude_deg = 50.0", "latitude_deg = -0.1"),
        ("longitude_deg = 8.0", "longitude_deg = 51.5"),
        ("zone = \"Europe/Berlin\"", "zone = \"Europe/London\""),
        fixture,
    ]);
    match exchanged {
        Suspicion::ZoneOffLongitude { off_h, guess: Some(PlaceSlip::Exchanged) } => {
            assert!((off_h - 51.5 / 15.0).abs() < 1e-9);
        }
        other => panic!("{other:?}"),
    }
    // the farthest of all land within one zone: the west of China, 73.5 E, UTC+8
    let west = SOUND
        .replace("latitude_deg = 50.0", "latitude_deg = 39.5")
        .replace("longitude_deg = 8.0", "longitude_deg = 75.9")
        .replace("Europe/Berlin", "Asia/Shanghai");
    assert_eq!(found(&west), []);
}

#[test]
fn fixtures_in_the_dark() {
    let floodlight = "[floodlights]\nhorizontal_lx = 2000.0\nvertical_lx = 1400.0\n\
        colour_temperature_k = 5600.0\non = \"always\"\n[fixture]";
    let evening = ("start = \"15:00\"", "start = \"22:00\"");
    let dark = one(&[evening]);
    assert!(matches!(dark, Suspicion::DarkFixture { .. }), "{dark:?}");
    let lit = SOUND.replace(evening.0, evening.1).replace("[fixture]", floodlight);
    assert_eq!(found(&lit), []);
    let night = one(&[("start = \"15:00\"", "start = \"03:00\""), ("[fixture]", floodlight)]);
    assert!(matches!(night, Suspicion::NightStart { .. }), "{night:?}");
}

/// Sunset at 50 N, 8 E on 17 April 2027 is at 18:23 UTC, 20:23 by the clock (by hand: declination
/// 10.4 degrees, equation of time +0.4 min, J. Meeus, "Astronomical Algorithms", chapters 15 and
/// 28); a clear sky then leaves 300 to 900 lx, and 1 to 10 lx at the end of civil twilight, when
/// the sun is 6 degrees down half an hour later ("The Astronomical Almanac", explanatory
/// supplement, from memory). Play from 19:10 ends at 20:55.
#[test]
fn play_into_the_dark_says_from_when_on_and_how_dark() {
    let late = ("start = \"15:00\"", "start = \"19:10\"");
    let dusk = one(&[late]);
    let Suspicion::DarkFixture { from, until, daylight: [first, last], floodlights } = dusk else {
        panic!("{dusk:?}");
    };
    let clock = |at: chrono::DateTime<chrono_tz::Tz>| at.format("%H:%M").to_string();
    assert!(["20:22", "20:23", "20:24", "20:25"].contains(&clock(from).as_str()), "{from}");
    assert_eq!(clock(until), "20:55");
    assert!((300.0..900.0).contains(&first.lux()), "{first:?}");
    assert!((1.0..10.0).contains(&last.lux()), "{last:?}");
    assert_eq!(floodlights, None);
    let lit = |on: &str| {
        let lights = format!(
            "[floodlights]\nhorizontal_lx = 2000.0\nvertical_lx = 1400.0\n\
             colour_temperature_k = 5600.0\non = {on}\n[fixture]"
        );
        found(&SOUND.replace(late.0, late.1).replace("[fixture]", &lights))
    };
    assert_eq!(lit("\"always\""), []);
    assert_eq!(lit("\"below_daylight\"\nbelow_lx = 8000.0"), []);
    // lit a quarter of an hour after sunset
    let later = lit("\"from_time\"\nfrom = \"20:40\"");
    let [Suspicion::DarkFixture { until, floodlights: Some(_), .. }] = later.as_slice() else {
        panic!("{later:?}");
    };
    assert_eq!(clock(*until), "20:39");
    let venue = read(&SOUND.replace(late.0, late.1));
    let told = quarterstop::jobs::check::report::text(&venue, &check(&venue), &questions(&venue));
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in ["to 20:55 the sun is down and no floodlights are lit", "add [floodlights]"] {
        assert!(told.contains(words), "{words} in\n{told}");
    }
}

#[test]
fn horizons_that_no_land_has() {
    let high = one(&[("[180.0, 2.0]", "[180.0, 52.0]")]);
    assert!(matches!(high, Suspicion::OddHorizon { elevation, .. } if elevation.degrees() == 52.0));
    let low = one(&[("[180.0, 2.0]", "[180.0, -6.0]")]);
    assert!(matches!(low, Suspicion::OddHorizon { azimuth, .. } if azimuth.degrees() == 180.0));
}

#[test]
fn outlines_that_disagree_with_their_axes() {
    let free = |corners: &str, bearing: f64| {
        format!(
            "title = \"G\"\n[place]\nlatitude_deg = 50.0\nlongitude_deg = 8.0\nheight_m = 0.0\n\
             zone = \"Europe/Berlin\"\n[field]\nsport = \"free\"\nbearing_deg = {bearing}\n\
             corners = [{corners}]\n"
        )
    };
    let along = "[-60.0, -30.0], [60.0, -30.0], [60.0, 30.0], [-60.0, 30.0]";
    let across = "[-30.0, -60.0], [30.0, -60.0], [30.0, 60.0], [-30.0, 60.0]";
    let square = "[-30.0, -31.0], [30.0, -31.0], [30.0, 31.0], [-30.0, 31.0]";
    for bearing in [0.0, 33.0, 290.0] {
        assert_eq!(found(&free(along, bearing)), []);
        assert_eq!(found(&free(square, bearing)), []);
        match found(&free(across, bearing)).as_slice() {
            [Suspicion::LongSideOffBearing { off_deg, long_m, short_m }] => {
                assert!((off_deg - 90.0).abs() < 1e-6);
                assert!((long_m - 120.0).abs() < 1e-6 && (short_m - 60.0).abs() < 1e-6);
            }
            other => panic!("{other:?}"),
        }
    }
    let beside = "[0.0, -30.0], [120.0, -30.0], [120.0, 30.0], [0.0, 30.0]";
    match found(&free(beside, 33.0)).as_slice() {
        [Suspicion::OffCentre { along_m, across_m }] => {
            assert!((along_m - 60.0).abs() < 1e-6 && across_m.abs() < 1e-6);
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn things_that_are_built_oddly() {
    // the roof falls from 15 m to 12.5 m over 22 m, the deck ends at 11 m
    match one(&[("back_height_m = 14.0\noverhang", "back_height_m = 12.5\noverhang")]) {
        Suspicion::LowRoof { thing: 0, headroom_m } => {
            assert!((headroom_m - 1.5).abs() < 0.15, "{headroom_m}");
        }
        other => panic!("{other:?}"),
    }
    // 9 m over the touchline for 100 m: 3 m x 100 m
    match one(&[("overhang_m = 2.0", "overhang_m = 9.0")]) {
        Suspicion::OverField { thing: 0, area_m2, .. } => assert!((area_m2 - 300.0).abs() < 1e-3),
        other => panic!("{other:?}"),
    }
    // a leaf of a roof that moves is meant to lie there, but not 5 m up
    let leaf = |up_m: f64| {
        let corners = [[-20.0, -20.0], [20.0, -20.0], [20.0, 20.0], [-20.0, 20.0]];
        let corners = corners.map(|[along, across]| format!("[{along}, {across}, {up_m}]"));
        format!(
            "[[panel]]\nname = \"Leaf\"\ncorners = [{}]\n[[moving]]\nname = \"Roof\"\n\
             usual = \"shut\"\n[[moving.state]]\nname = \"open\"\n[[moving.state.part]]\n\
             what = \"Leaf\"\ngone = true\n[[moving.state]]\nname = \"shut\"\n[horizon]",
            corners.join(", ")
        )
    };
    let high = found(&SOUND.replace("[horizon]", &leaf(21.0)));
    assert!(high.is_empty(), "{high:?}");
    let low = found(&SOUND.replace("[horizon]", &leaf(5.0)));
    let over = |s: &Suspicion| matches!(s, Suspicion::OverField { thing: 5, .. });
    assert!(low.iter().any(over), "{low:?}");
    // a crown of 20 m radius 16 m off the touchline
    let crown = one(&[
        ("crown_radius_m = 5.0", "crown_radius_m = 17.5"),
        ("[10.0, -40.0, 4.0]", "[-60.0, -40.0, 4.0]"),
    ]);
    assert!(matches!(crown, Suspicion::CrownOverField { thing: 3, .. }), "{crown:?}");
    // 100 m + 40 m long beside one that reaches 33 m to the side: they share a corner
    match one(&[
        (
            "side = \"ahead\"\nsetback_m = 6.0\nlength_m = 60.0",
            "side = \"ahead\"\nsetback_m = 6.0\nlength_m = 90.0\nshift_m = 20.0",
        ),
        ("length_m = 100.0", "length_m = 140.0"),
    ]) {
        // North: across 20 +- 45, to 65; along 58.5 to 70.5. West: across 40 to 60, to 70
        Suspicion::Overlap { things: [0, 1], area_m2 } => {
            assert!((area_m2 - 20.0 * 11.5).abs() < 1.0, "{area_m2}");
        }
        other => panic!("{other:?}"),
    }
    match one(&[("top_m = 5.0", "bottom_m = 3.0\ntop_m = 5.0")]) {
        Suspicion::Floating { thing: 2, bottom_m } => assert_eq!(bottom_m, 3.0),
        other => panic!("{other:?}"),
    }
    let clear = one(&[("transmittance = 0.3", "transmittance = 1.0")]);
    assert_eq!(clear, Suspicion::StopsNothing { thing: 4 });
    let reversed = one(&[("bare_transmittance = 0.6", "bare_transmittance = 0.05")]);
    assert_eq!(reversed, Suspicion::LeavesReversed { thing: 3 });
}

#[test]
fn a_board_that_hangs_over_a_stand_is_held_by_it() {
    let over = SOUND.replace(
        "footprint = [[-66.0, -6.0], [-65.0, -6.0], [-65.0, 6.0], [-66.0, 6.0]]\ntop_m = 5.0",
        "footprint = [[62.0, -6.0], [63.0, -6.0], [63.0, 6.0], [62.0, 6.0]]\nbottom_m = 9.0\ntop_m = 15.0",
    );
    assert_eq!(found(&over), []);
}

#[test]
fn cameras_that_stand_or_look_oddly() {
    let aims = ("looks_at = [\"centre spot\"]", "aim = [[0.0, 90.0]]");
    assert_eq!(one(&[aims]), Suspicion::SeesNothing { camera: 0 });
    let on_field = one(&[("[10.0, -40.0, 4.0]", "[10.0, -30.0, 1.5]")]);
    assert_eq!(on_field, Suspicion::OnField { camera: 1 });
    // in the crown, 3 to 13 m up; the stands hide nothing from there
    let inside = one(&[("[10.0, -40.0, 4.0]", "[0.0, -50.0, 8.0]")]);
    assert_eq!(inside, Suspicion::InsideSomething { camera: 1, thing: 3 });
    // on the ground behind the board, 12 m wide and 5 m high, 1 m off
    let blocked = one(&[("[10.0, -40.0, 4.0]", "[-67.0, 0.0, 2.0]")]);
    match blocked {
        Suspicion::Blocked { camera: 1, hidden: Hidden { share, thing: 2, thing_share } } => {
            assert!(share > 0.99 && thing_share == share, "{share} {thing_share}");
        }
        other => panic!("{other:?}"),
    }
    // behind a sail 12 m wide and 9 m high, 2 m off: 30 % straight on is no view, 60 % is
    let sail = |transmittance: &str| {
        let flat = "[[-20.0, -60.0, 9.0], [20.0, -60.0, 9.0], [20.0, -70.0, 9.0], \
                    [-20.0, -70.0, 9.0]]";
        let upright =
            "[[4.0, -38.0, 0.0], [16.0, -38.0, 0.0], [16.0, -38.0, 9.0], [4.0, -38.0, 9.0]]";
        assert!(SOUND.contains(flat));
        found(&SOUND.replace(flat, upright).replace("transmittance = 0.3", transmittance))
    };
    match sail("transmittance = 0.3")[..] {
        [Suspicion::Blocked { camera: 1, hidden: Hidden { share, thing: 4, thing_share } }] => {
            assert!(share > 0.9 && thing_share == share, "{share} {thing_share}");
        }
        ref other => panic!("{other:?}"),
    }
    assert_eq!(sail("transmittance = 0.6"), []);
    let near = one(&[("[10.0, -40.0, 4.0]", "[0.1, 45.0, 9.0]")]);
    match near {
        Suspicion::SamePlace { cameras: [0, 1], apart_m } => assert!((apart_m - 0.1).abs() < 1e-9),
        other => panic!("{other:?}"),
    }
    let alone = one(&[("cameras = [\"Main\", \"Reverse\"]", "cameras = [\"Main\"]")]);
    assert_eq!(alone, Suspicion::NobodyOperates { camera: 1 });
    let free = SOUND.replace(
        "cameras = [\"Main\", \"Reverse\"]",
        "cameras = [\"Main\"]\n[[operator]]\nname = \"B\"",
    );
    assert_eq!(found(&free), []);
}

/// Distance to the blocks' fronts and their half gap, metres; their height over the
/// eye.
const FRONT_M: f64 = 60.0;
const HALF_GAP_M: f64 = 6.0;
const OVER_EYE_M: f64 = 20.0 - 1.7;

/// Two blocks in the west with a gap due west, seen from the centre.
fn two_blocks(mast: bool) -> Venue {
    let mut venue = support::football();
    let mut block = |name: &str, [from, until]: [f64; 2], deep: f64, height: f64| {
        let (near, far) = (-FRONT_M, -FRONT_M - deep);
        let ring = [[far, from], [near, from], [near, until], [far, until]];
        let body = support::body(Part::Solid, support::prism(&ring, 0.0, height), 0.0);
        venue.occluders.push(support::occluder(name, vec![body]));
    };
    block("South block", [-50.0, -HALF_GAP_M], 0.5, 20.0);
    block("North block", [HALF_GAP_M, 50.0], 0.5, 20.0);
    if mast {
        block("Mast", [-0.3, 0.3], 0.6, 30.0);
    }
    let fixture = NaiveDate::from_ymd_opt(2027, 4, 3).unwrap();
    venue.fixture =
        Some(ProposedFixture { date: fixture, start: NaiveTime::from_hms_opt(15, 0, 0).unwrap() });
    venue
}

/// Half the gap as an angle, at the near or the far corners, degrees.
fn half_deg(out: f64) -> f64 {
    (HALF_GAP_M / out).atan().to_degrees()
}

/// Check "the gap between two blocks": the sun enters it where its azimuth passes the
/// corner of the near front, and leaves at the other (plane trigonometry); times from
/// the crossings of the azimuth, to the second.
#[test]
fn the_sun_slips_through_a_gap_when_its_azimuth_says_so() {
    let venue = two_blocks(false);
    let findings = check(&venue);
    assert_eq!(findings.gaps.len(), 1, "{:?}", findings.gaps);
    let gap = &findings.gaps[0];
    assert_eq!(gap.things, [0, 1]);
    assert_eq!(gap.from.len(), 1);
    let from = &gap.from[0];
    assert_eq!(from.mark, "centre of play");
    // seen from the middle the far corners are nearer to the axis
    let half = half_deg(FRONT_M + 0.5);
    for (azimuth, expected) in from.azimuths.iter().zip([270.0 - half, 270.0 + half]) {
        assert!((azimuth.degrees() - expected).abs() <= 0.5, "{azimuth:?}");
    }
    let rim = (OVER_EYE_M / FRONT_M.hypot(HALF_GAP_M)).atan().to_degrees();
    assert!((from.rim.degrees() - rim).abs() < 0.1, "{from:?}");
    let noon = venue.fixture.unwrap().date.and_hms_opt(12, 0, 0).unwrap().and_utc();
    let at = |azimuth: f64| {
        let over = |t: DateTime<Utc>| position(&venue.place, t).azimuth.degrees() - azimuth;
        crossings(over, noon, noon + TimeDelta::hours(9), TimeDelta::minutes(5))[0].0
    };
    let expected = [at(270.0 - half), at(270.0 + half)];
    assert_eq!(from.on_date.len(), 1);
    let (begun, ended) = from.on_date[0];
    for (found, expected) in [begun, ended].into_iter().zip(expected) {
        let off = found.with_timezone(&Utc) - expected;
        assert!(off.abs() <= TimeDelta::seconds(2), "{found} {expected}");
    }
}

/// Check "the days of the gap": minute by minute through the year, the sun between the
/// corners and lower than the blocks.
#[test]
fn the_days_of_a_gap_are_those_of_the_sun_between_its_sides() {
    let venue = two_blocks(false);
    let findings = check(&venue);
    let spans = &findings.gaps[0].from[0].in_year;
    let half = half_deg(FRONT_M + 0.5);
    let rim = (OVER_EYE_M / FRONT_M.hypot(HALF_GAP_M)).atan().to_degrees();
    let day_has_sun = |day: NaiveDate| {
        let noon = day.and_hms_opt(12, 0, 0).unwrap().and_utc();
        (0..9 * 60).any(|minute| {
            let sun = position(&venue.place, noon + TimeDelta::minutes(minute));
            let elevation = sun.apparent_elevation.degrees();
            (sun.azimuth.degrees() - 270.0).abs() < half && elevation > 0.0 && elevation < rim
        })
    };
    let mut day = NaiveDate::from_ymd_opt(2027, 1, 1).unwrap();
    let mut lit = 0;
    while day <= NaiveDate::from_ymd_opt(2027, 12, 31).unwrap() {
        let told = spans.iter().any(|s| s.first <= day && day <= s.last);
        // within two days of a limit the four minutes of a step decide
        let near = spans.iter().any(|s| {
            let off = |d: NaiveDate| (d - day).num_days().abs();
            off(s.first) <= 2 || off(s.last) <= 2
        });
        let sun = day_has_sun(day);
        assert!(near || told == sun, "{day}: told {told}, sun {sun}");
        lit += i32::from(sun);
        day = day.succ_opt().unwrap();
    }
    assert_eq!(spans.len(), 2, "once on the way up, once on the way down");
    assert!((20..120).contains(&lit), "{lit}");
    for span in spans {
        assert!(span.earliest < span.latest);
    }
}

#[test]
fn masts_are_no_sides_and_one_block_has_no_gap() {
    let with_mast = check(&two_blocks(true));
    let pairs: Vec<[usize; 2]> = with_mast.gaps.iter().map(|g| g.things).collect();
    assert_eq!(pairs, [[0, 1]]);
    // the mast itself still hides the sun
    let whole = |findings: &quarterstop::jobs::check::Findings| {
        let spans = &findings.gaps[0].from[0].on_date;
        (spans.len(), spans.iter().map(|(a, b)| *b - *a).sum::<TimeDelta>())
    };
    let (without, with) = (whole(&check(&two_blocks(false))), whole(&with_mast));
    assert_eq!((without.0, with.0), (1, 2));
    assert!(with.1 < without.1);
    let mut alone = two_blocks(false);
    alone.occluders.truncate(1);
    assert_eq!(check(&alone).gaps, []);
}

/// A board that hangs over one block makes no second gap beside the block's own.
#[test]
fn of_one_gap_within_another_the_inner_is_told() {
    let mut venue = two_blocks(false);
    let ring = [[-59.0, -20.0], [-58.0, -20.0], [-58.0, -9.0], [-59.0, -9.0]];
    let body = support::body(Part::Solid, support::prism(&ring, 24.0, 30.0), 0.0);
    venue.occluders.push(support::occluder("Board", vec![body]));
    let findings = check(&venue);
    let pairs: Vec<[usize; 2]> = findings.gaps.iter().map(|g| g.things).collect();
    assert_eq!(pairs, [[0, 1]]);
}

#[test]
fn marks_of_the_field_are_asked_as_well() {
    let mut venue = two_blocks(false);
    venue.field.marks.push(Mark { name: "west spot".into(), at: geo::Coord { x: -20.0, y: 2.0 } });
    let findings = check(&venue);
    let marks: Vec<&str> = findings.gaps[0].from.iter().map(|f| f.mark.as_str()).collect();
    assert_eq!(marks, ["centre of play", "west spot"]);
}

#[test]
fn a_ground_without_a_fixture_is_told_for_the_year_only() {
    let mut venue = two_blocks(false);
    venue.fixture = None;
    let findings = check(&venue);
    assert_eq!(findings.date, None);
    assert!(!findings.gaps[0].from[0].in_year.is_empty());
    let told = quarterstop::jobs::check::report::text(&venue, &findings, &questions(&venue));
    assert!(told.contains("Between South block and North block"), "{told}");
    assert!(!told.contains("On "), "{told}");
}

#[test]
fn every_word_of_a_finding_is_there_and_fits_the_terminal() {
    let low = SOUND.replace("back_height_m = 14.0\noverhang", "back_height_m = 12.5\noverhang");
    let dark = low.replace("start = \"15:00\"", "start = \"22:00\"");
    let venue = read(&dark);
    let findings = check(&venue);
    let told = quarterstop::jobs::check::report::text(&venue, &findings, &questions(&venue));
    for words in ["2 things look suspicious", "[fixture]: from 22:00", "West: its roof is 1.5"] {
        assert!(told.contains(words), "{words} in\n{told}");
    }
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    let json: serde_json::Value = serde_json::from_str(
        &quarterstop::jobs::check::report::write(&venue, &findings, &questions(&venue)).unwrap(),
    )
    .unwrap();
    let schema = quarterstop::jobs::check::report::schema();
    jsonschema::meta::validate(&schema).unwrap();
    jsonschema::validate(&schema, &json).unwrap();
    assert_eq!(json["suspicions"][0]["kind"], "dark_fixture");
}

#[test]
fn the_demo_grounds_are_not_suspicious() {
    for name in ["football", "tennis", "golf"] {
        let path = format!("venues/{name}-demo.toml");
        let venue = quarterstop::venue::read(std::path::Path::new(&path)).unwrap();
        assert_eq!(check(&venue).suspicions, [], "{name}");
    }
}

/// The sound ground with changes, what spoils every plan of it, without the fixture, which
/// lies in the dark where the place is another.
fn slip(changes: &[(&str, &str)]) -> Vec<Suspicion> {
    let mut text = SOUND.split("[fixture]").next().unwrap().to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    slips(&read(&text))
}

fn placed(latitude: &str, longitude: &str, zone: &str) -> Vec<Suspicion> {
    slip(&[
        ("latitude_deg = 50.0", &format!("latitude_deg = {latitude}")),
        ("longitude_deg = 8.0", &format!("longitude_deg = {longitude}")),
        ("zone = \"Europe/Berlin\"", &format!("zone = \"{zone}\"")),
    ])
}

/// Towns far out in their zones, coordinates to a tenth of a degree (from memory): none is
/// asked about as it is; with a sign slipped, or the numbers exchanged, each is.
#[test]
fn signs_of_a_place_are_held_to_its_zone() {
    let sound = [
        ("53.5", "-2.2", "Europe/London"),
        ("51.5", "-2.6", "Europe/London"),
        ("52.6", "1.3", "Europe/London"),
        ("54.6", "-5.9", "Europe/London"),
        ("42.2", "-8.7", "Europe/Madrid"),
        ("41.4", "2.2", "Europe/Madrid"),
        ("48.4", "-4.5", "Europe/Paris"),
        ("43.7", "7.3", "Europe/Paris"),
        ("40.7", "-74.0", "America/New_York"),
        ("25.8", "-80.2", "America/New_York"),
        ("26.2", "-98.2", "America/Chicago"),
        ("47.6", "-122.3", "America/Los_Angeles"),
        ("-33.9", "151.2", "Australia/Sydney"),
        ("-16.9", "145.8", "Australia/Brisbane"),
        ("-30.0", "-51.2", "America/Sao_Paulo"),
        ("8.5", "76.9", "Asia/Kolkata"),
        ("39.5", "76.0", "Asia/Shanghai"),
        ("3.6", "98.7", "Asia/Jakarta"),
        ("-33.9", "18.4", "Africa/Johannesburg"),
        ("-45.9", "170.5", "Pacific/Auckland"),
        ("61.2", "-149.9", "America/Anchorage"),
        ("64.1", "-21.9", "Atlantic/Reykjavik"),
    ];
    let is_place = |s: &Suspicion| {
        matches!(s, Suspicion::ZoneOffLongitude { .. } | Suspicion::PlaceFarFromZone { .. })
    };
    for (latitude, longitude, zone) in sound {
        assert_eq!(placed(latitude, longitude, zone), [], "{zone} {latitude} {longitude}");
    }
    let guess = |latitude: &str, longitude: &str, zone: &str| {
        let found = placed(latitude, longitude, zone);
        match found.iter().find(|s| is_place(s)) {
            Some(
                Suspicion::ZoneOffLongitude { guess, .. }
                | Suspicion::PlaceFarFromZone { guess, .. },
            ) => *guess,
            _ => panic!("{zone} {latitude} {longitude}: {found:?}"),
        }
    };
    // north of the equator for south of it
    for (latitude, longitude, zone) in [
        ("33.9", "151.2", "Australia/Sydney"),
        ("30.0", "-51.2", "America/Sao_Paulo"),
        ("33.9", "18.4", "Africa/Johannesburg"),
        ("-53.5", "-2.2", "Europe/London"),
    ] {
        assert_eq!(guess(latitude, longitude, zone), Some(PlaceSlip::SignOfLatitude), "{zone}");
    }
    // east for west, where the clock tells and where only the place does
    for (latitude, longitude, zone) in [
        ("40.7", "74.0", "America/New_York"),
        ("64.1", "21.9", "Atlantic/Reykjavik"),
        ("53.5", "2.2", "Europe/London"),
        ("51.5", "2.6", "Europe/London"),
        ("54.6", "5.9", "Europe/London"),
    ] {
        assert_eq!(guess(latitude, longitude, zone), Some(PlaceSlip::SignOfLongitude), "{zone}");
    }
    assert_eq!(guess("2.2", "48.9", "Europe/Paris"), Some(PlaceSlip::Exchanged));
    assert_eq!(guess("45.9", "-170.5", "Pacific/Auckland"), Some(PlaceSlip::BothSigns));
    assert_eq!(guess("10.0", "8.0", "Europe/Berlin"), None);
}

/// tests/data/declination_values.csv: wmm-calculator 1.4.4 (CIRES, University of Colorado)
/// with the coefficients WMM2025 of NOAA NCEI. Single precision and the day of the year
/// cost a few thousandths of a degree.
#[test]
fn declinations_are_those_of_the_world_magnetic_model() {
    let text = include_str!("data/declination_values.csv");
    let mut place = support::place();
    let mut rows = 0;
    for row in text.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        place.latitude_deg = cells[0].parse().unwrap();
        place.longitude_deg = cells[1].parse().unwrap();
        place.height_m = cells[2].parse().unwrap();
        let date: NaiveDate = cells[3].parse().unwrap();
        let stated: f64 = cells[4].parse().unwrap();
        let found = declination_deg(&place, date).unwrap();
        assert!((found - stated).abs() < 0.02, "{row}: {found}");
        rows += 1;
    }
    assert_eq!(rows, 14);
    // a compass is no use beside the magnetic pole
    (place.latitude_deg, place.longitude_deg) = (86.0, 140.0);
    assert_eq!(declination_deg(&place, support::date()), None);
}

#[test]
fn declinations_are_asked_about() {
    // the model has 3.9 degrees east at 50 N 8 E
    let with = |text: &str| slip(&[("bearing_deg = 0.0", &format!("bearing_deg = 0.0\n{text}"))]);
    assert_eq!(with("north = \"magnetic\"\ndeclination_deg = 3.5"), []);
    assert_eq!(with("declination_deg = 3.5"), [Suspicion::DeclinationUnused { degrees: 3.5 }]);
    for stated in [-3.9, 9.0, 25.0] {
        let found = with(&format!("north = \"magnetic\"\ndeclination_deg = {stated:.1}"));
        match found.as_slice() {
            [Suspicion::DeclinationOff { stated_deg, model_deg }] => {
                assert!((stated_deg - stated).abs() < 1e-9 && (3.0..5.0).contains(model_deg));
            }
            other => panic!("{stated}: {other:?}"),
        }
    }
    // a skyline by compass uses it too
    let horizon = ("[horizon]\n", "[horizon]\nnorth = \"magnetic\"\n");
    let field = ("bearing_deg = 0.0", "bearing_deg = 0.0\ndeclination_deg = 3.5");
    assert_eq!(slip(&[field, horizon]), []);
}

#[test]
fn feet_for_metres_are_asked_about() {
    let feet = [
        ("setback_m = 6.0\nlength_m = 100.0", "setback_m = 19.7\nlength_m = 328.0"),
        (
            "depth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 11.0",
            "depth_m = 65.6\nfront_height_m = 3.3\nback_height_m = 36.1",
        ),
        (
            "front_height_m = 15.0\nback_height_m = 14.0",
            "front_height_m = 62.3\nback_height_m = 59.0",
        ),
    ];
    match slip(&feet).as_slice() {
        [Suspicion::UnusualSize { size }] => {
            assert_eq!(size.name, "West");
            let odd: Vec<&str> = size.odd.iter().map(|odd| odd.what).collect();
            assert_eq!(odd, ["roof.front_height_m", "roof.back_height_m"]);
            assert!(size.fits_feet());
        }
        other => panic!("{other:?}"),
    }
    // a roof of 15 and 14 m in feet over rows in metres: each is usual by itself
    let roof = (
        "front_height_m = 15.0\nback_height_m = 14.0",
        "front_height_m = 49.2\nback_height_m = 45.9",
    );
    match slip(&[roof]).as_slice() {
        [Suspicion::UnusualSize { size }] => {
            assert_eq!(size.odd[0].what, "lowest height of the roof over these rows");
            assert!(size.odd.len() == 1 && size.fits_feet(), "{size:?}");
        }
        other => panic!("{other:?}"),
    }
    // a roof in metres that another tier lies under is none
    let high = (
        "front_height_m = 15.0\nback_height_m = 14.0",
        "front_height_m = 27.0\nback_height_m = 26.0",
    );
    assert_eq!(slip(&[high]), []);
    // a slope in the wrong unit is none that anyone sits on
    match slip(&[("depth_m = 12.0\nfront", "depth_m = 3.0\nfront")]).as_slice() {
        [Suspicion::UnusualSize { size }] => {
            assert_eq!(size.odd[0].what, "slope of the seating");
            assert!(!size.fits_feet());
        }
        other => panic!("{other:?}"),
    }
    match slip(&[("at = [0.0, 45.0, 9.0]", "at = [0.0, 45.0, 60.0]")]).as_slice() {
        [Suspicion::UnusualSize { size }, Suspicion::OverRoof { .. }] => {
            assert!(size.name == "Main" && size.fits_feet());
        }
        other => panic!("{other:?}"),
    }
}

/// A foot is 0.3048 m, and every length of the sound ground in it is usual for a ground in
/// metres by itself.
#[test]
fn a_file_that_is_all_in_feet_is_asked_about() {
    const FEET: [(&str, &str); 8] = [
        ("setback_m = 6.0\nlength_m = 100.0", "setback_m = 19.7\nlength_m = 328.0"),
        (
            "depth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 11.0",
            "depth_m = 65.6\nfront_height_m = 3.3\nback_height_m = 36.1",
        ),
        (
            "front_height_m = 15.0\nback_height_m = 14.0\noverhang_m = 2.0",
            "front_height_m = 49.2\nback_height_m = 45.9\noverhang_m = 6.6",
        ),
        ("setback_m = 6.0\nlength_m = 60.0", "setback_m = 19.7\nlength_m = 196.9"),
        (
            "depth_m = 12.0\nfront_height_m = 1.0\nback_height_m = 7.0",
            "depth_m = 39.4\nfront_height_m = 3.3\nback_height_m = 23.0",
        ),
        (
            "trunk_height_m = 3.0\ncrown_height_m = 10.0",
            "trunk_height_m = 9.8\ncrown_height_m = 32.8",
        ),
        ("at = [0.0, 45.0, 9.0]", "at = [0.0, 45.0, 29.5]"),
        ("at = [10.0, -40.0, 4.0]", "at = [10.0, -40.0, 13.1]"),
    ];
    let sizes = |changes: &[(&str, &str)]| -> Vec<String> {
        let found = slip(changes).into_iter().filter_map(|suspicion| match suspicion {
            Suspicion::UnusualSize { size } => {
                assert!(size.fits_feet(), "{size:?}");
                Some(size.name)
            }
            _ => None,
        });
        found.collect()
    };
    assert_eq!(sizes(&FEET), ["West", "North", "Lime", "Main"]);
    // one thing in metres, and nothing is asked, but for a roof in feet over rows in metres
    for (i, asked) in [(1, vec!["West"]), (4, vec![])] {
        let mut some = FEET.to_vec();
        some.remove(i);
        assert_eq!(sizes(&some), asked, "{i}");
    }
    // an upper tier behind a track, 3.5 m of room under its roof and cameras up there
    let large = [
        ("setback_m = 6.0\nlength_m = 100.0", "setback_m = 40.0\nlength_m = 200.0"),
        (
            "depth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 11.0",
            "depth_m = 50.0\nfront_height_m = 9.0\nback_height_m = 40.0",
        ),
        (
            "front_height_m = 15.0\nback_height_m = 14.0",
            "front_height_m = 44.0\nback_height_m = 43.5",
        ),
        ("at = [0.0, 45.0, 9.0]", "at = [0.0, 45.0, 9.5]"),
    ];
    assert_eq!(sizes(&large), [""; 0]);
}

#[test]
fn a_camera_over_its_roof_is_asked_about() {
    // 45 m from the centre is 5 m behind the front row of the stand on the west side, whose
    // roof falls from 15 m to 14 m over 22 m, from 2 m before that row
    assert_eq!(slip(&[("at = [0.0, 45.0, 9.0]", "at = [0.0, 45.0, 14.6]")]), []);
    match slip(&[("at = [0.0, 45.0, 9.0]", "at = [0.0, 45.0, 17.0]")]).as_slice() {
        [Suspicion::OverRoof { camera: 0, thing: 0, by_m }] => {
            assert!((by_m - (17.0 - (15.0 - 7.0 / 22.0))).abs() < 1e-6, "{by_m}");
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_shutter_longer_than_a_frame_is_asked_about() {
    let with = |exposure: &str| {
        let lens = "looks_at = [\"centre spot\"]\nhorizontal_fov_deg = 40.0\n";
        slip(&[(lens, &format!("{lens}[camera.exposure]\n{exposure}"))])
    };
    assert_eq!(with("frames_per_s = 50.0\nshutter_one_over = 50.0\n"), []);
    assert_eq!(with("frames_per_s = 59.94\nshutter_one_over = 60.0\n"), []);
    assert_eq!(with("frames_per_s = 25.0\nshutter_one_over = 25.0\n"), []);
    let slow = || Suspicion::SlowShutter { camera: 0, frames_per_s: 50.0, shutter_one_over: 25.0 };
    assert_eq!(with("frames_per_s = 50.0\nshutter_one_over = 25.0\n"), [slow()]);
    // 50 frames are what holds where nothing is stated
    assert_eq!(with("shutter_one_over = 25.0\n"), [slow()]);
}

#[test]
fn moments_that_end_the_match_early_are_asked_about() {
    let with = |moments: &str| slip(&[("[[operator]]", &format!("{moments}[[operator]]"))]);
    let moment =
        |name: &str, minute: u32| format!("[[moment]]\nname = \"{name}\"\nafter_min = {minute}\n");
    match with(&moment("half-time", 45)).as_slice() {
        [Suspicion::EarlyEnd { moment, count: 1, after_min: 45, usual_min: 105 }] => {
            assert_eq!(moment, "half-time");
        }
        other => panic!("{other:?}"),
    }
    let half = moment("kickoff", 0) + &moment("drinks", 22) + &moment("half-time", 45);
    assert!(matches!(with(&half).as_slice(), [Suspicion::EarlyEnd { count: 3, .. }]));
    assert_eq!(with(&(moment("kickoff", 0) + &moment("full-time", 100))), []);
    // a short game that is said to be one
    let starts = moment("kickoff", 0) + "play = \"starts\"\n";
    assert_eq!(with(&(starts.clone() + &moment("end", 40) + "play = \"stops\"\n")), []);
    assert!(!with(&(starts + &moment("drinks", 40))).is_empty());
}

/// The ground lies north to south, its left side in the west; at 15:00 by the clock of
/// Berlin in April the sun is in the south-west.
#[test]
fn what_is_asked_says_where_things_are() {
    let venue = read(SOUND);
    let asked = questions(&venue);
    let [west, north] = [&asked.things[0], &asked.things[1]];
    let (toward, half) = west.lies.unwrap();
    assert!((toward.degrees() - 270.0).abs() < 1e-6 && half == Half::Left);
    let (toward, half) = north.lies.unwrap();
    let off_north = (toward.degrees() + 180.0) % 360.0 - 180.0;
    assert!(off_north.abs() < 1e-6 && half == Half::Ahead);
    let (share, half) = west.shade.unwrap();
    assert!(share > 0.02 && half == Some(Half::Left), "{share}");
    // no shadow falls toward the sun
    assert!(north.shade.unwrap().0 < 0.001);
    let main = &asked.cameras[0];
    assert!((main.looks.degrees() - 90.0).abs() < 1e-6 && main.half == Half::Left);
    let sun = asked.kickoff.as_ref().unwrap().sun;
    assert!((main.sun_off_deg.unwrap() - (sun.azimuth.degrees() - 90.0)).abs() < 1e-6);
    // the bearing the other way round turns all of it, and nothing else is said of it
    let turned = read(&SOUND.replacen("bearing_deg = 0.0", "bearing_deg = 180.0", 1));
    let asked = questions(&turned);
    let (toward, half) = asked.things[0].lies.unwrap();
    assert!((toward.degrees() - 90.0).abs() < 1e-6 && half == Half::Left);
    let lines = quarterstop::jobs::check::report::lines(&turned, &asked).join("\n");
    for words in [
        "50.0000° north and 8.0000° east",
        "ahead, you face south (180.0° true",
        "left is east",
        "West is on the east side (left), 15.0 m tall; at 15:00 its shadow does not reach",
        "Camera Main is 45 m east of the centre (left), 9.0 m up, and looks west",
        "the sun is in front, to the left",
    ] {
        assert!(lines.contains(words), "{words} in\n{lines}");
    }
}

#[test]
fn the_plan_to_confirm_names_what_stands_there() {
    let venue = read(SOUND);
    let asked = questions(&venue);
    let lines = quarterstop::jobs::check::report::lines(&venue, &asked);
    let picture = quarterstop::jobs::check::picture::ground_plan(&venue, &asked, &lines).unwrap();
    let svg = picture.svg.replace('\n', "");
    for words in [">West<", ">North<", ">camera Main<", ">N<", "Is that so?", "15:00"] {
        assert!(svg.contains(words), "{words}");
    }
    assert_picture("ground plan", &picture.svg, &picture.png().unwrap());
}
