//! Slips of the keyboard in a venue file: the message names the slip, the thing and the
//! mend, and stays a message that people can use.

use quarterstop::venue::parse;

const DEMO: &str = include_str!("../venues/football-demo.toml");

/// The demo with one piece replaced.
fn demo_with(old: &str, new: &str) -> String {
    assert!(DEMO.contains(old), "the demo has no {old:?}");
    DEMO.replacen(old, new, 1)
}

/// What is said of a text, which holds all of these.
fn says(text: &str, parts: &[&str]) -> String {
    let report = parse(text, "ground.toml").unwrap_err().to_string();
    for part in parts {
        assert!(report.contains(part), "{part:?} is missing in:\n{report}");
    }
    report
}

#[test]
fn characters_that_only_look_like_those_of_toml_are_named() {
    let title = "title = \"Umbra Park\"";
    for (new, sign, called) in [
        ("title = \u{201c}Umbra Park\u{201d}", "U+201C", "a curly quote"),
        ("title = \u{201e}Umbra Park\u{201c}", "U+201E", "a curly quote"),
        ("title = \u{2018}Umbra Park\u{2019}", "U+2018", "a curly quote"),
        ("title = \u{ab}Umbra Park\u{bb}", "U+00AB", "a curly quote"),
        ("title = \"Umbra Park\u{201d}", "U+201D", "a curly quote"),
        ("title\u{a0}= \"Umbra Park\"", "U+00A0", "a space of another kind"),
    ] {
        let report = says(&demo_with(title, new), &[sign, called, "ground.toml:8:", "1 mistake"]);
        assert!(!report.contains("toml.io"), "{report}");
    }
    let longitude = demo_with("longitude_deg = -0.42", "longitude_deg = \u{2212}0.42");
    says(&longitude, &["longitude_deg: found the character \u{2212} (U+2212), a dash", "hyphen"]);
    let bearing = demo_with("bearing_deg = 12.0", "bearing_deg = 12.0\u{b0}");
    says(&bearing, &["bearing_deg: found the character \u{b0}", "a sign of a unit"]);
    // in a text or a comment they are as good as any other character
    let fine =
        demo_with(title, "title = \"Umbra\u{2019}s \u{201c}Park\u{201d}\" # \u{201c}so\u{201d}");
    assert!(parse(&fine, "ground.toml").is_ok());
}

#[test]
fn decimal_commas_and_units_are_named() {
    let depth = |new: &str| demo_with("depth_m = 24.0", &format!("depth_m = {new}"));
    says(&depth("24,5"), &["depth_m: found 24,5, with a decimal comma", "a decimal point, 24.5"]);
    says(&depth("-24,5 # about"), &["found -24,5", "-24.5"]);
    says(&depth("24 m"), &["depth_m: found 24 m, a number with a unit", "a number alone"]);
    says(&depth("80ft"), &["found 80ft, a number with a unit"]);
    // in an array both halves are numbers of their own
    says(
        &demo_with("at = [57.0, 38.0, 4.0]", "at = [57,0, 38,0, 4,0]"),
        &["6 values", "3 values", "12.5, not 12,5"],
    );
    let fine = depth("2.4e1");
    assert!(parse(&fine, "ground.toml").is_ok());
}

#[test]
fn brackets_are_counted() {
    let one = demo_with("[[tree]]", "[tree]");
    says(&one, &["tree", "two pairs", "[[tree]]"]);
    let only = "title = \"x\"\n[stand]\nname = \"A\"\n";
    says(only, &["stand: found `[stand]`, one pair of brackets", "each begins with [[stand]]"]);
    let twice = "title = \"x\"\n[stand]\nname = \"A\"\n[stand]\nname = \"B\"\n";
    says(twice, &["stand: found `[stand]` beside another", "two pairs of brackets, every time"]);
    let mixed = "title = \"x\"\n[stand]\nname = \"A\"\n[[stand]]\nname = \"B\"\n";
    says(mixed, &["stand: found `[[stand]]` beside another `[stand]`"]);
    says(&demo_with("[place]", "[[place]]"), &["place: found `[[place]]`, two pairs", "only one"]);
}

#[test]
fn a_thing_is_called_by_its_name() {
    let text = demo_with("setback_m = 6.0", "setback_m = 600.0");
    says(&text, &["Mill Stand, stand[0].setback_m: found 600.0 m"]);
    // infill has no name of its own
    let text = demo_with("roof = \"joined\"", "roof = \"yes\"");
    says(&text, &["Mill Stand to Weir End, corner[0].roof: found \"yes\""]);
    // where the name itself is the mistake the key is enough
    let text = demo_with("name = \"Mill Stand\"", "name = 7");
    says(&text, &["error: stand[0].name: found 7"]);
}

#[test]
fn units_are_those_of_the_key() {
    let shared = DEMO.split("[exposure]").next().unwrap();
    let exposure = |key: &str, value: &str| format!("{shared}[exposure]\n{key} = {value}\n");
    let report = says(&exposure("frames_per_s", "5.0"), &["exposure.frames_per_s: found 5.0\n"]);
    assert!(!report.contains("5.0 s"), "{report}");
    let report = says(&exposure("t_number_at_2000_lx", "99.0"), &["found 99.0\n"]);
    assert!(!report.contains("lx\n"), "{report}");
    says(&exposure("delay_s", "99.0"), &["exposure.delay_s: found 99.0 s"]);
}

#[test]
fn limits_name_the_key_that_goes_over_them() {
    let names = vec!["\"centre spot\""; 1001].join(", ");
    let looks = DEMO.find("looks_at = [").unwrap();
    let end = looks + DEMO[looks..].find(']').unwrap();
    let text = format!("{}looks_at = [{names}{}", &DEMO[..looks], &DEMO[end..]);
    says(&text, &[".looks_at: found 1001 of them", "at most 1000"]);
    let tree = "[[tree]]\nname = \"T\"\nat = [0.0, 90.0]\ntrunk_height_m = 3.0\n\
                crown_height_m = 10.0\ncrown_radius_m = 5.0\nin_leaf_transmittance = 0.1\n\
                bare_transmittance = 0.6\nleaf_from = \"04-20\"\nleaf_to = \"11-05\"\n";
    let forest = format!("{DEMO}\n{}", tree.repeat(20_001));
    let report = says(&forest, &["error: tree: found 200", "at most 20000 in all"]);
    assert!(report.starts_with("1 mistake"), "{report}");
}
