//! What people are told about a bad file of observations, and the committed
//! example and schema.

use fit_support::draft;
use proptest::prelude::*;

use crate::fit_support;
use quarterstop::jobs::fit;
use quarterstop::jobs::fit::{FitVerdict, seen};
use quarterstop::venue::{Address, Draft};

const EXAMPLE: &str = include_str!("../venues/football-demo-seen.toml");
const DEMO: &str = include_str!("../venues/football-demo.toml");

fn demo() -> Draft {
    draft(DEMO)
}

fn told(text: &str) -> String {
    seen::parse(text, "seen.toml", &demo()).map(|s| s.observations).unwrap_err().to_string()
}

fn example_with(old: &str, new: &str) -> String {
    assert!(EXAMPLE.contains(old), "the example has no {old:?}");
    EXAMPLE.replacen(old, new, 1)
}

fn line_of(text: &str, piece: &str) -> usize {
    1 + text[..text.find(piece).unwrap()].matches('\n').count()
}

#[test]
fn the_committed_schema_is_current() {
    let committed = std::fs::read_to_string("venues/seen.schema.json").unwrap_or_default();
    let current = format!("{}\n", serde_json::to_string_pretty(&seen::schema()).unwrap());
    assert_eq!(
        committed, current,
        "write it anew: cargo run -- schema seen > venues/seen.schema.json"
    );
}

/// The example was made from numbers that its first lines state.
#[test]
fn the_example_gives_back_what_it_was_made_from() {
    let draft = demo();
    let seen = seen::parse(EXAMPLE, "example", &draft).unwrap();
    let found = fit::fit(&draft, &seen).unwrap();
    assert_eq!(found.verdict, FitVerdict::Agree);
    assert!(found.settled && found.left_out.is_empty() && found.suspect.is_none());
    for (u, truth) in found.unknowns.iter().zip([19.55, 1.55, 10.9, 35.0]) {
        let [low, high] = u.interval_95.unwrap();
        assert!(low < truth && truth < high, "{}: {low} to {high}, not {truth}", u.name);
    }
    // it knows more than the file did, which is off by these, and than the prior
    for (u, off) in found.unknowns.iter().zip([0.55, 0.45, 1.1, 60.0]) {
        assert!(u.standard_error.unwrap() < off, "{u:?}");
    }
}

#[test]
fn the_json_fits_its_schema() {
    let draft = demo();
    let seen = seen::parse(EXAMPLE, "example", &draft).unwrap();
    let found = fit::fit(&draft, &seen).unwrap();
    let value: serde_json::Value =
        serde_json::from_slice(&quarterstop::jobs::fit::report::json(&found).unwrap()).unwrap();
    let schema = quarterstop::jobs::fit::report::schema();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(value["format"], "quarterstop.fit/1");
}

#[test]
fn what_was_found_goes_into_the_file_with_its_error() {
    let mut draft = demo();
    let seen = seen::parse(EXAMPLE, "example", &draft).unwrap();
    let found = fit::fit(&draft, &seen).unwrap();
    assert_eq!(fit::write_into(&mut draft, &seen, &found), Ok(3));
    let venue = draft.venue().unwrap();
    assert_eq!(venue.surveyed.len(), 3);
    for (survey, u) in venue.surveyed.iter().zip(&found.unknowns) {
        let error = u.standard_error.unwrap();
        assert!((survey.plus_minus / error - 1.0).abs() < 0.06, "{survey:?}");
        let value = draft.value(&survey.what).unwrap();
        assert!((value - u.value).abs() <= 0.06 * error, "{value} for {}", u.value);
        let digits = value.to_string();
        assert!(digits.len() <= 6, "{digits} has more figures than sense");
    }
    assert!(draft.text().contains("setback_m = 6.0           # touchline to the foot of the deck"));
}

#[test]
fn names_keys_and_times_are_told_with_lines_and_advice() {
    for (old, new, said) in [
        ("from = \"middle left\"", "from = \"midle left\"", "did you mean `middle left`?"),
        ("thrown_by = \"Mill Stand\"", "thrown_by = \"Mil Stand\"", "did you mean `Mill Stand`?"),
        ("beyond = \"sun\"", "beyond = \"sunny\"", "did you mean \"sun\"?"),
        ("time = \"15:45\"", "time = \"25:45\"", "a time of day"),
        ("time = \"15:45\"", "time = \"05:45\"", "under the horizon"),
        ("met_at_m = 17.78", "met_at_m = nan", "a number"),
        ("met_at_m = 17.78", "met_at_m = 1e300", "a number between"),
        ("plus_minus_s = 5.0", "plus_minus_s = 0.0", "more than 0"),
        ("pole = \"rod\"", "pole = \"rot\"", "the name of a [[pole]]: rod"),
        ("on = \"2027-09-18\"", "on = \"2027-09-31\"", "a day of the calendar"),
        ("what = \"field.bearing_deg\"", "what = \"field.baring_deg\"", "`field.bearing_deg`"),
        ("what = \"field.bearing_deg\"", "what = \"field.length_m\"", "with a tape"),
        ("what = \"watch.ahead_s\"", "what = \"field.bearing_deg\"", "a second time"),
        ("edge = \"roof_front\"", "edge = \"roof_frond\"", "did you mean \"roof_front\"?"),
    ] {
        let text = example_with(old, new);
        let report = told(&text);
        assert!(report.contains(said), "{new}: {said:?} is missing in\n{report}");
        assert!(report.contains("in the file of observations `seen.toml`"), "{report}");
        if !new.starts_with("on =") && !new.contains("a second") {
            let line = if new.contains("bearing_deg\"") && old.contains("watch") {
                line_of(EXAMPLE, old)
            } else {
                line_of(&text, new)
            };
            assert!(
                report.contains(&format!("seen.toml:{line}")),
                "{new}: line {line} in\n{report}"
            );
        }
    }
}

#[test]
fn times_that_clocks_skip_or_repeat_are_refused_or_asked_about() {
    // Directive 2000/84/EC and the Summer Time Order: 01:00 UTC on the last Sundays
    // of March and October
    let on = |day: &str, time: &str, more: &str| {
        format!(
            "[[unknown]]\nwhat = \"field.bearing_deg\"\n[[edge]]\non = \"{day}\"\ntime = \"{time}\"\n{more}\
             from = \"middle left\"\ntoward = \"middle right\"\nmet_at_m = 3.0\n"
        )
    };
    let skipped = told(&on("2027-03-28", "01:30", ""));
    assert!(skipped.contains("from 00:59 to 02:00"), "{skipped}");
    let twice = told(&on("2027-10-31", "01:30", ""));
    assert!(twice.contains("repeated = \"earlier\" or \"later\""), "{twice}");
    // said which, there is still no sun at night
    let night = told(&on("2027-10-31", "01:30", "repeated = \"later\"\n"));
    assert!(night.contains("under the horizon"), "{night}");
    assert!(told(&on("", "12:00", "")).contains("a day of the calendar"));
}

#[test]
fn a_file_that_asks_or_says_nothing_is_refused() {
    assert!(told("on = \"2027-05-03\"\n").contains("error: observations: found none"));
    let none = told("[[tape]]\nwhat = \"field.bearing_deg\"\nreads = 3.0\nplus_minus = 1.0\n");
    assert!(none.contains("error: unknown: found none"), "{none}");
    assert!(told("").contains("is empty"));
    assert!(told("[[edge]\n").contains("two pairs of brackets"));
}

/// A wrong start, a wrong side, a wrong time: told, not answered.
#[test]
fn an_edge_that_nothing_throws_is_left_out_and_said() {
    let draft = demo();
    let lone = |edge: &str| {
        let text = format!(
            "on = \"2027-09-18\"\n[[unknown]]\nwhat = 'solid.Scoreboard.top_m'\n[[edge]]\n\
             from = \"middle left\"\ntoward = \"middle right\"\nmet_at_m = 3.0\n{edge}"
        );
        let seen = seen::parse(&text, "x", &draft).unwrap();
        fit::fit(&draft, &seen).map(|f| f.chi_square).unwrap_err().to_string()
    };
    let said = lone("time = \"12:30\"\nthrown_by = \"Scoreboard\"\n");
    assert!(said.contains("nothing named so throws an edge there"), "{said}");
    // with another observation that can be compared the fit goes on without it
    let text = "on = \"2027-09-18\"\n[[unknown]]\nwhat = 'stand.\"Mill Stand\".roof.front_height_m'\n\
        [[edge]]\ntime = \"12:30\"\nfrom = \"middle left\"\ntoward = \"middle right\"\nmet_at_m = 3.0\n\
        thrown_by = \"Scoreboard\"\n\
        [[sight]]\nfrom = \"centre spot\"\nto = \"Mill Stand\"\nedge = \"roof_front\"\nelevation_deg = 25.0\n\
        [[sight]]\nfrom = \"centre spot\"\nto = \"Town End\"\nedge = \"roof_front\"\nelevation_deg = 25.0\n";
    let found = fit::fit(&draft, &seen::parse(text, "x", &draft).unwrap()).unwrap();
    assert_eq!(found.left_out.len(), 2);
    assert!(found.left_out[0].why.contains("nothing named so"), "{:?}", found.left_out);
    assert!(found.left_out[1].why.contains("no such edge"), "{:?}", found.left_out);
    assert!(found.unknowns[0].standard_error.is_some());
}

/// A tape on the very number: between its own reading and the file's.
#[test]
fn a_tape_and_a_prior_are_averaged_by_their_errors() {
    let draft = demo();
    let text = "[[unknown]]\nwhat = 'stand.\"Mill Stand\".setback_m'\nplus_minus = 0.2\n\
        [[tape]]\nwhat = 'stand.\"Mill Stand\".setback_m'\nreads = 6.5\nplus_minus = 0.1\n";
    let found = fit::fit(&draft, &seen::parse(text, "x", &draft).unwrap()).unwrap();
    // weighted mean: (6.0 / 0.04 + 6.5 / 0.01) / (25 + 100), error 1 / sqrt 125
    // (GUM, JCGM 100:2008, and any text on least squares)
    assert!((found.unknowns[0].value - 6.4).abs() < 1e-6, "{:?}", found.unknowns);
    assert!((found.unknowns[0].standard_error.unwrap() - 125_f64.powf(-0.5)).abs() < 1e-6);
    assert!((found.chi_square - 0.5 * 0.5 / 0.05).abs() < 1e-4, "{}", found.chi_square);
}

/// Errors that are only relative come out the same however they are scaled.
#[test]
fn relative_errors_are_found_from_the_observations() {
    let draft = demo();
    let with = |scale: f64| {
        let text = format!(
            "errors = \"relative\"\n[[unknown]]\nwhat = 'stand.\"Mill Stand\".setback_m'\n\
             [[tape]]\nwhat = 'stand.\"Mill Stand\".setback_m'\nreads = 6.4\nplus_minus = {scale}\n\
             [[tape]]\nwhat = 'stand.\"Mill Stand\".setback_m'\nreads = 6.5\nplus_minus = {scale}\n\
             [[tape]]\nwhat = 'stand.\"Mill Stand\".setback_m'\nreads = 6.9\nplus_minus = {scale}\n"
        );
        fit::fit(&draft, &seen::parse(&text, "x", &draft).unwrap()).unwrap()
    };
    for found in [with(0.1), with(5.0)] {
        // mean 6.6, standard deviation sqrt 0.07, of the mean sqrt (0.07 / 3); Student's
        // t of 2 degrees of freedom 4.303
        assert!((found.unknowns[0].value - 6.6).abs() < 1e-6);
        let error = found.unknowns[0].standard_error.unwrap();
        assert!((error - (0.07_f64 / 3.0).sqrt()).abs() < 1e-6, "{error}");
        let [low, high] = found.unknowns[0].interval_95.unwrap();
        assert!(((high - low) / (2.0 * error) - 4.303).abs() < 1e-3);
        assert_eq!(found.verdict, FitVerdict::NotAsked);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever is cut or put into a file: an answer or advice, never a panic.
    #[test]
    fn no_file_makes_it_panic(at in 0..3000_usize, cut in 0..40_usize, put in "[\\[\\]=\"0-9a-z.#\\n -]{0,8}") {
        let draft = demo();
        let mut text: String = EXAMPLE.chars().take(at.min(EXAMPLE.len())).collect();
        text += &put;
        text.extend(EXAMPLE.chars().skip(at + cut));
        let _ = seen::parse(&text, "x", &draft);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(5))]

    /// Readings of any size: numbers or advice.
    #[test]
    fn wild_readings_are_answered(met in -1000.0..1000.0_f64, height in 0.1..200.0_f64) {
        let mut draft = demo();
        let roof: Address = r#"stand."Mill Stand".roof.front_height_m"#.parse().unwrap();
        draft.set(&roof, height).unwrap();
        if draft.venue().is_err() {
            return Ok(());
        }
        let text = EXAMPLE.replacen("met_at_m = 17.78", &format!("met_at_m = {met}"), 1);
        let seen = seen::parse(&text, "x", &draft).unwrap();
        if let Ok(found) = fit::numbers_only(&draft, &seen) {
            prop_assert!(found.unknowns.iter().all(|u| u.value.is_finite()));
            prop_assert!(found.chi_square.is_finite());
        }
    }
}
