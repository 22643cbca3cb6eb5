//! Fits whose answer can be worked by hand: one wall, a pole, an angle.
//!
//! Formulas: shadow length = height / tan(elevation) (any surveying handbook);
//! errors by first-order propagation (JCGM 100:2008, GUM, section 5.1.2).

use chrono::{NaiveDate, TimeDelta, TimeZone};
use chrono_tz::Europe::London;
use fit_support::*;

use crate::fit_support;
use quarterstop::jobs::fit;
use quarterstop::jobs::fit::FitVerdict;
use quarterstop::solar;
use quarterstop::venue::{Draft, Unit};

/// Sun over the wall's ground: azimuth from the field's bearing and elevation,
/// radians, some seconds after a time of 3 May 2027.
fn sun(draft: &Draft, (hour, minute): (u32, u32), after_s: i64) -> (f64, f64) {
    let venue = draft.venue().unwrap();
    let day = NaiveDate::from_ymd_opt(2027, 5, 3).unwrap();
    let at = London.from_local_datetime(&day.and_hms_opt(hour, minute, 0).unwrap()).unwrap();
    let sun = solar::position(&venue.place, at + TimeDelta::seconds(after_s));
    let turned = sun.azimuth.radians() - venue.field.frame.bearing().radians();
    (turned, sun.apparent_elevation.radians())
}

/// Metres of shadow toward the right for a metre of height: the sun's run to the
/// left of the field's axis, over tan(elevation).
fn across(draft: &Draft, time: (u32, u32), after_s: i64) -> f64 {
    let (turned, elevation) = sun(draft, time, after_s);
    -turned.sin() / elevation.tan()
}

#[test]
fn one_crossing_gives_the_height_of_one_wall_and_its_error() {
    let draft = draft(WALL);
    let (time, met_at, error_m, error_s) = ((17, 32), 12.4, 0.25_f64, 40.0);
    let text = format!(
        "on = \"2027-05-03\"\n[[unknown]]\nwhat = \"solid.wall.top_m\"\n[[edge]]\ntime = \"17:32\"\n\
         from = \"middle left\"\ntoward = \"middle right\"\nmet_at_m = {met_at}\n\
         beyond = \"sun\"\nthrown_by = \"wall\"\n\
         plus_minus_m = {error_m}\nplus_minus_s = {error_s}\n"
    );
    let found = fit::fit(&draft, &seen(&text, &draft)).unwrap();
    // the wall's near face stands 6 m behind the touchline
    let run = across(&draft, time, 0);
    let height = (met_at + 6.0) / run;
    let speed = (across(&draft, time, 30) - across(&draft, time, -30)) / 60.0 * height;
    let error = error_m.hypot(speed * error_s) / run;
    let top = &found.unknowns[0];
    assert!((top.value - height).abs() < 1e-4, "{} for {height}", top.value);
    let told = top.standard_error.unwrap();
    assert!((told / error - 1.0).abs() < 1e-3, "{told} for {error}");
    let interval = top.interval_95.unwrap();
    assert!((interval[1] - interval[0] - 2.0 * 1.959_964 * told).abs() < 1e-6);
    assert_eq!(found.verdict, FitVerdict::Unchecked);
    assert_eq!(found.observations[0].edge_of.as_deref(), Some("wall"));
    assert!(found.observations[0].studentised.is_none());
}

/// A pole of 2 m: its shadow's length tells the watch, its direction the field.
#[test]
fn a_pole_gives_watch_and_bearing() {
    let text = WALL.replace("bearing_deg = 10.0", "bearing_deg = 25.0");
    let (truth, draft) = (draft(WALL), draft(&text));
    // the watch is two minutes ahead: it shows 16:02 at 16:00
    let (turned, elevation) = sun(&truth, (16, 0), 0);
    let length = 2.0 / elevation.tan();
    let spot = [-30.0 * turned.cos(), 30.0 * turned.sin()];
    let told = |extra: &str| {
        let text = format!(
            "on = \"2027-05-03\"\n[[unknown]]\nwhat = \"watch.ahead_s\"\n[[unknown]]\n\
             what = \"field.bearing_deg\"\n[[spot]]\nname = \"tip\"\nat = [{}, {}]\n[[pole]]\n\
             name = \"rod\"\nat = \"centre spot\"\nheight_m = 2.0\n[[pole_shadow]]\npole = \"rod\"\n\
             time = \"16:02\"\nlength_m = {length}\npoints_to = \"tip\"\nplus_minus_m = 0.02\n\
             plus_minus_deg = 0.4\nplus_minus_s = 1.0\n{extra}",
            spot[0], spot[1]
        );
        fit::fit(&draft, &seen(&text, &draft)).unwrap()
    };
    let found = told("");
    let value = |i: usize| found.unknowns[i].value;
    assert!((value(0) - 120.0).abs() < 0.2, "{}", value(0));
    assert_eq!(found.unknowns[0].unit, Unit::Second);
    assert!((value(1) - 10.0).abs() < 2e-3, "{}", value(1));
    // length alone tells the time: its error over the speed of the tip
    let speed =
        (2.0 / sun(&truth, (16, 0), 30).1.tan() - 2.0 / sun(&truth, (16, 0), -30).1.tan()) / 60.0;
    let expected = (0.02 / speed).hypot(1.0);
    let error = found.unknowns[0].standard_error.unwrap();
    assert!((error / expected - 1.0).abs() < 2e-3, "{error} for {expected}");
    // a reading of the compass two degrees too high, with the declination stated
    let extra = "[[unknown]]\nwhat = \"compass.reads_high_deg\"\n[[bearing]]\nfrom = \"goal behind\"\n\
                 to = \"goal ahead\"\nreads_deg = 11.3\n";
    let refused = seen::parse_error(extra, &draft);
    assert!(refused.contains("without a declination"), "{refused}");
    let found = told(
        &format!("{extra}[[spot]]\nname = \"x\"\nat = [0.0, 1.0]\n")
            .replace("reads_deg = 11.3\n", "reads_deg = 12.0\nnorth = \"true\"\n"),
    );
    // nothing but true bearings: the compass is not told
    assert_eq!(found.unknowns[2].standard_error, None);
    assert_eq!(found.blind.len(), 1);
    assert_eq!(found.blind[0][0].name, "compass.reads_high_deg");
}

mod seen {
    use super::*;

    /// The report on a file without times.
    pub fn parse_error(text: &str, draft: &Draft) -> String {
        quarterstop::jobs::fit::seen::parse(text, "seen.toml", draft).unwrap_err().to_string()
    }
}

/// tan(elevation) = rise over run.
#[test]
fn two_angles_give_height_and_set_back_of_a_roof() {
    let draft = draft(TWO_STANDS);
    // from the touchline and from the middle of the field, square on to a front
    // edge at 20.4 m, 4.75 m behind the touchline
    let (height, behind, eye) = (20.4, 4.75, 1.6);
    let angle = |run: f64| ((height - eye) / run).atan().to_degrees();
    let text = format!(
        "[[unknown]]\nwhat = \"stand.Main.roof.front_height_m\"\n[[unknown]]\n\
         what = \"stand.Main.roof.overhang_m\"\n\
         [[sight]]\nfrom = \"middle left\"\nto = \"Main\"\nedge = \"roof_front\"\nelevation_deg = {}\n\
         [[sight]]\nfrom = \"centre spot\"\nto = \"Main\"\nedge = \"roof_front\"\nelevation_deg = {}\n",
        angle(behind),
        angle(behind + 34.0)
    );
    let found = fit::fit(&draft, &seen_of(&text, &draft)).unwrap();
    assert!((found.unknowns[0].value - height).abs() < 1e-3, "{:?}", found.unknowns);
    assert!((found.unknowns[1].value - (6.0 - behind)).abs() < 1e-3, "{:?}", found.unknowns);
}

fn seen_of(text: &str, draft: &Draft) -> quarterstop::jobs::fit::seen::Observations {
    fit_support::seen(text, draft)
}

/// At one time the edge cannot tell a higher roof from one that reaches farther:
/// `run` metres of reach are one of height.
#[test]
fn what_moves_together_is_told_with_its_ratio() {
    let draft = draft(TWO_STANDS);
    let edge = |from: &str, toward: &str, met: f64| {
        format!(
            "[[edge]]\ntime = \"17:00\"\nfrom = \"{from}\"\ntoward = \"{toward}\"\nmet_at_m = {met}\n\
             thrown_by = \"Main\"\nbeyond = \"sun\"\n"
        )
    };
    let text = format!(
        "on = \"2027-05-03\"\n[[unknown]]\nwhat = \"stand.Main.roof.front_height_m\"\n[[unknown]]\n\
         what = \"stand.Main.roof.overhang_m\"\n{}{}",
        edge("middle left", "middle right", 14.0),
        edge("head", "foot", 14.0)
    ) + "[[spot]]\nname = \"head\"\nat = [-20.0, 34.0]\n[[spot]]\nname = \"foot\"\nat = [-20.0, -34.0]\n";
    let found = fit::fit(&draft, &seen_of(&text, &draft)).unwrap();
    assert!(found.unknowns.iter().all(|u| u.standard_error.is_none()));
    assert_eq!(found.blind.len(), 1);
    let by = |name: &str| found.blind[0].iter().find(|m| m.name.contains(name)).unwrap().by;
    let run = across(&draft, (17, 0), 0);
    let ratio = by("overhang") / by("front_height");
    assert!((ratio + run).abs() < 1e-3 * run, "{ratio} for -{run}");
    // the next observation is to tell them apart, and does
    assert_eq!(found.next[0].error_now, None);
    let mut more = seen_of(&text, &draft);
    more.observations.push(found.next[0].observation.clone());
    let found = fit::fit(&draft, &more).unwrap();
    assert!(found.blind.is_empty());
    assert!(found.unknowns.iter().all(|u| u.standard_error.is_some_and(|e| e < 1.0)));
}

/// By hand: the leaf of a roof is 10 m further in from 16:00 on, so its edge is met 10 m nearer
/// before and is where it is drawn after that. The watch is right; with one standing for all
/// observations it could not be.
#[test]
fn observations_meet_what_stood_when_they_were_made() {
    let draft = draft(&format!(
        "{}[[panel]]\nname = \"Leaf\"\ncorners = [[-60.0, 30.0, 20.0], [60.0, 30.0, 20.0], \
         [60.0, 44.0, 20.0], [-60.0, 44.0, 20.0]]\n\
         [[moving]]\nname = \"Roof\"\n[[moving.state]]\nname = \"out\"\n\
         [[moving.state.part]]\nwhat = \"Leaf\"\nshift_m = [0.0, 10.0, 0.0]\n\
         [[moving.state]]\nname = \"in\"\n[[move]]\nwhat = \"Roof\"\nto = \"in\"\nat = \"16:00\"\n",
        WALL.split("[[solid]]").next().unwrap()
    ));
    let mut text =
        "on = \"2027-05-03\"\n[[unknown]]\nwhat = \"watch.ahead_s\"\nplus_minus = 300.0\n"
            .to_owned();
    for (time, edge_m) in [((15, 10), 40.0), ((15, 40), 40.0), ((16, 20), 30.0), ((17, 0), 30.0)] {
        let met_at_m = 34.0 - edge_m + 20.0 * across(&draft, time, 0);
        text += &format!(
            "[[edge]]\ntime = \"{:02}:{:02}\"\nfrom = \"middle left\"\ntoward = \"middle right\"\n\
             met_at_m = {met_at_m}\nbeyond = \"sun\"\nthrown_by = \"Leaf\"\n",
            time.0, time.1
        );
    }
    let seen = seen(&text, &draft);
    let found = fit::fit(&draft, &seen).unwrap();
    // what was worked out agrees better than readings do
    assert_eq!(found.verdict, FitVerdict::TooNear);
    assert!(found.left_out.is_empty() && found.suspect.is_none());
    let watch = &found.unknowns[0];
    assert!(watch.value.abs() < 1.0 && watch.standard_error.unwrap() < 60.0, "{watch:?}");
}
