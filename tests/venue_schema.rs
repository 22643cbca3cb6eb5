//! The schema that editors read is the one that the program checks with.

use std::path::Path;

use serde_json::Value;

use quarterstop::venue::{parse, read, schema, site_schema};

#[test]
fn the_committed_schema_is_current() {
    let committed = std::fs::read_to_string("venues/venue.schema.json").unwrap_or_default();
    let current = format!("{}\n", serde_json::to_string_pretty(&schema()).unwrap());
    assert!(
        committed == current,
        "write it anew: cargo run -- schema venue > venues/venue.schema.json"
    );
}

#[test]
fn the_committed_schema_of_a_site_is_current_and_its_demo_fits() {
    let committed = std::fs::read_to_string("venues/site.schema.json").unwrap_or_default();
    let current = format!("{}\n", serde_json::to_string_pretty(&site_schema()).unwrap());
    assert!(
        committed == current,
        "write it anew: cargo run -- schema site > venues/site.schema.json"
    );
    let text = std::fs::read_to_string("venues/tennis-site-demo.toml").unwrap();
    assert!(text.starts_with("#:schema ./site.schema.json\n"));
    let value: Value = toml::from_str(&text).unwrap();
    let validator = jsonschema::validator_for(&site_schema()).unwrap();
    let wrong: Vec<String> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// Descriptions are read in editors by those who write files: no paths of the code.
#[test]
fn descriptions_are_for_people() {
    let schemas = [
        schema(),
        site_schema(),
        quarterstop::jobs::fit::seen::schema(),
        quarterstop::jobs::check::report::schema(),
        quarterstop::jobs::match_plan::report::json::schema(),
        quarterstop::jobs::brief::report::data::schema(),
    ];
    for text in schemas.map(|schema| schema.to_string()) {
        for sign in ["::", "[`", "`]"] {
            assert!(!text.contains(sign), "{sign} in a description: {text}");
        }
    }
}

#[test]
fn all_demos_are_sound_and_fit_the_schema() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    for name in ["football-demo", "tennis-demo", "golf-demo"] {
        let path = format!("venues/{name}.toml");
        read(Path::new(&path)).unwrap();
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.starts_with("#:schema ./venue.schema.json\n"), "{name}");
        let value: Value = toml::from_str(&text).unwrap();
        assert!(validator.is_valid(&value), "{name}");
    }
}

#[test]
fn the_example_in_the_guide_is_a_sound_venue() {
    let chapter = crate::guide::chapter("venue-file.md");
    let fence = "```toml\n";
    let start = chapter.find(fence).unwrap() + fence.len();
    let end = start + chapter[start..].find("```").unwrap();
    let venue = parse(&chapter[start..end], "the example").unwrap();
    assert_eq!(venue.cameras.len(), 2);
}

/// Every key carries a description or a telling name, and numbers their limits.
#[test]
fn numbers_in_the_schema_have_limits() {
    fn visit(value: &Value, path: &str, loose: &mut Vec<String>) {
        let Value::Object(map) = value else { return };
        if let Some(Value::Object(properties)) = map.get("properties") {
            for (key, schema) in properties {
                let number = schema["type"] == "number" || schema["type"] == "integer";
                if number && (schema["minimum"].is_null() || schema["maximum"].is_null()) {
                    loose.push(format!("{path}.{key}"));
                }
            }
        }
        for (key, inner) in map {
            visit(inner, &format!("{path}/{key}"), loose);
        }
    }
    let mut loose = Vec::new();
    visit(&schema(), "", &mut loose);
    visit(&site_schema(), "", &mut loose);
    assert!(loose.is_empty(), "{loose:?}");
}
