//! The printed summary, word for word, and the facts it is made of.

use std::path::Path;

use report_support::{at, plan, venue};

use crate::report_support;
use quarterstop::base::files::FileName;
use quarterstop::camera::OneSide;
use quarterstop::engine::MatchPlan;
use quarterstop::jobs::check::report::inventory;
use quarterstop::jobs::match_plan::facts;
use quarterstop::jobs::match_plan::facts::{Arrival, Departure, EdgeStay, SplitTarget, WholeField};
use quarterstop::jobs::match_plan::report::summary;
use quarterstop::light::Sky;
use quarterstop::output;
use quarterstop::output::text::{Ink, WIDTH};
use quarterstop::solar::{SunDay, SunState};

#[test]
fn the_summary_word_for_word() {
    insta::assert_snapshot!(summary::text(&venue(), &plan(), &[], Ink::Plain), @r#"
    Invented Meadow, "East" ground
    Saturday 11 April 2026, Europe/Lisbon (UTC+01:00), football.
    17:28 to 17:34 in steps of 1 min. Clear sky. The turf is the plane at 0 m, a
    subject faces the camera at 1.7 m.
    Air: standard, the default; aerosol 0.100 at 500 nm (exponent 1.14), water 1.42
    cm, ozone 0.344 atm-cm, ground albedo 0.20.

    Sun  rises 07:04, highest 13:34, sets 20:05

    Shadow edge on the turf
      enters the field   17:30
      leaves the field   17:33

    Field not in full sun                     turf     face height
      kickoff                 17:30           10 %             5 %
      half-time               18:15             outside the window

    Widest split, stops turf                      subject                    in shot
      Main gantry     3.2 at 17:33             1.0 at 17:28                    4 min
      main gantry!    3.2 at 17:33             (1.5 at 17:28)                  4 min
      Reverse         (2.5 at 17:28)           no edge                         never
      Lift lobby      sees nothing of the field
      In brackets: latent, what the split would be; the edge is never in that shot.

    Light on the turf            in full sun          in shade  R/B gain for shade
      17:30                 49000 lx, 6500 K  9000 lx, 10000 K      R +0.3  B -0.5
      lx and colour temperature. R/B gain: red and blue gain in stops against green
      that make shade white for a camera balanced to the sun; the other way with the
      other sign.

    Drop when cloud covers the sun turf, subject       floodlight needed for 2 stops
      Main gantry                  2.8, 2.8                                    13600
      main gantry!                 2.8, 2.8                   13600, no edge in shot
      Reverse                      2.8, no sun                       no edge in shot
      The largest over the window, in stops. Floodlight, lx: the same light on both
      sides, on the turf and on a subject's plane, beyond what is lit, for the worst
      minute with the edge in shot.

    Cautions
      Never look at the sun through a viewfinder, an optical sight or a lens; cap or
      pan off unattended cameras: eyes, shutters and sensors burn.
      Heights, hoists in wind, heat, UV and glare: follow the venue's rules, local
      codes and licensed people.
      Predicted from the geometry in the venue file; no survey, no structural,
      electrical or right-to-light document.
    "#);
}

#[test]
fn the_inventory_word_for_word() {
    insta::assert_snapshot!(inventory::text(&venue()), @r#"
    Invented Meadow, "East" ground
      38.50000° north, 8.25000° west, 40 m above the sea, zone Europe/Lisbon
      football field of play, 6000 m2, long axis toward 90.0° true, reflectance 0.08
      level skyline, no floodlights stated, fixture 2026-04-11 at 17:30
      2 zones: West half, East half
      1 occluder: West stand (stand)
      4 cameras
        Main gantry               0.0 m along   -60.0 m across   15.0 m up   40.0°
        main gantry!              0.0 m along   -60.0 m across   15.0 m up   40.0°
        Reverse                   0.0 m along   -60.0 m across   15.0 m up   40.0°
        Lift lobby                0.0 m along   -60.0 m across   15.0 m up   40.0°
    "#);
}

fn with_shade(shares: &[f64]) -> MatchPlan {
    let mut plan = plan();
    let model = plan.instants[0].clone();
    plan.instants = shares
        .iter()
        .enumerate()
        .map(|(minute, share)| {
            let mut instant = model.clone();
            instant.at = at(17, 28 + minute as u32);
            instant.turf.field.shaded = *share;
            instant
        })
        .collect();
    plan
}

fn stay(arrival: Arrival, departure: Departure, away_minutes: i64) -> EdgeStay {
    EdgeStay::OnField { arrival, departure, away_minutes }
}

#[test]
fn the_edge_is_on_the_field_while_part_of_it_is_in_shade() {
    assert_eq!(
        facts::edge_stay(&plan()),
        stay(Arrival::Enters(at(17, 30)), Departure::Leaves(at(17, 33)), 0)
    );
    assert_eq!(
        facts::edge_stay(&with_shade(&[0.2, 0.3, 0.4])),
        stay(Arrival::AlreadyThere(at(17, 28)), Departure::StillThere(at(17, 30)), 0)
    );
    assert_eq!(
        facts::edge_stay(&with_shade(&[0.0, 0.1, 0.0, 0.0, 0.2, 0.0])),
        stay(Arrival::Enters(at(17, 29)), Departure::Leaves(at(17, 32)), 2)
    );
}

#[test]
fn without_an_edge_the_summary_says_what_the_field_is_like() {
    // 1e-9 of the field is rounding of the overlay, no shadow
    for (shares, whole) in [
        ([0.0, 1e-9, 0.0], WholeField::Sunlit),
        ([1.0, 1.0, 1.0 - 1e-9], WholeField::Shaded),
        ([0.0, 1.0, 1.0], WholeField::OneThenOther),
    ] {
        assert_eq!(facts::edge_stay(&with_shade(&shares)), EdgeStay::Never(whole));
    }
    let mut dark = with_shade(&[0.5, 0.5]);
    dark.instants.iter_mut().for_each(|i| i.sun_state = SunState::Down);
    assert_eq!(facts::edge_stay(&dark), EdgeStay::Never(WholeField::NoSun));
}

#[test]
fn the_widest_split_is_in_shot_before_latent_and_the_first_of_equals() {
    let plan = plan();
    // turf of camera 0: in shot from 2.5 at 17:30 to 3.25 at 17:33; 3.5 is latent
    let turf = facts::widest(&plan, 0, SplitTarget::Turf).unwrap();
    assert_eq!((turf.stops.stops(), turf.at, turf.one_side), (3.25, at(17, 33), None));
    // its subject: 1.0 throughout
    assert_eq!(facts::widest(&plan, 0, SplitTarget::Subject).unwrap().index, 0);
    let reverse = facts::widest(&plan, 2, SplitTarget::Turf).unwrap();
    assert_eq!(reverse.one_side, Some(OneSide::AllSunlit));
    assert_eq!(facts::widest(&plan, 3, SplitTarget::Turf), None);
    assert_eq!(facts::widest(&plan, 99, SplitTarget::Turf), None);
    assert_eq!(facts::widest_in_shot(&plan).unwrap().at, at(17, 33));
    assert_eq!(facts::minutes_in_shot(&plan, 0, SplitTarget::Turf), Some(4));
    // its subject: at all seven instants, which are six minutes from end to end
    assert_eq!(facts::minutes_in_shot(&plan, 0, SplitTarget::Subject), Some(6));
    assert_eq!(facts::minutes_in_shot(&plan, 3, SplitTarget::Turf), None);
}

#[test]
fn the_nearest_instant_is_inside_the_window_or_none() {
    let plan = plan();
    assert_eq!(facts::nearest_instant(&plan, at(17, 28)), Some(0));
    assert_eq!(facts::nearest_instant(&plan, at(17, 34)), Some(6));
    assert_eq!(facts::nearest_instant(&plan, at(17, 35)), None);
    assert_eq!(facts::nearest_instant(&plan, at(17, 27)), None);
}

#[test]
fn every_line_fits_whatever_the_names() {
    let (mut venue, mut plan) = (venue(), plan());
    venue.title = "Überlang ".repeat(20);
    venue.cameras[0].name = "A camera with a name that goes on and on\nand on".to_owned();
    venue.zones[0].name = "zone ".repeat(40);
    plan.milestones[0].name = "a milestone with a name that goes on and on".to_owned();
    plan.sky = Sky::Overcast;
    plan.day = SunDay::RisesAndSets {
        rise: at(7, 4),
        noon: at(13, 34),
        set: at(20, 5) + chrono::TimeDelta::hours(6),
    };
    let names: Vec<FileName> =
        (0..30).map(|n| FileName::new(&format!("field-{n}"), "svg")).collect();
    for text in [
        summary::text(&venue, &plan, &[], Ink::Plain),
        output::text::files(Path::new("output/x"), &names, Ink::Plain),
        inventory::text(&venue),
    ] {
        for line in text.lines() {
            assert!(line.chars().count() <= WIDTH, "{line}");
            assert_eq!(line, line.trim_end(), "no blanks at the end");
        }
    }
}

#[test]
fn overcast_says_that_there_is_no_edge_to_see() {
    let mut plan = plan();
    plan.sky = Sky::Overcast;
    let text = summary::text(&venue(), &plan, &[], Ink::Plain);
    assert!(text.contains("Overcast sky (no direct sun)."));
    assert!(text.contains("A cloud hides the sun, so there is no edge to see."));
}

#[test]
fn bold_headings_change_nothing_but_escape_codes() {
    let bold = summary::text(&venue(), &plan(), &[], Ink::Bold);
    assert!(bold.contains("\u{1b}[1mSun\u{1b}[0m"));
    let stripped = bold.replace("\u{1b}[1m", "").replace("\u{1b}[0m", "");
    assert_eq!(stripped, summary::text(&venue(), &plan(), &[], Ink::Plain));
}
