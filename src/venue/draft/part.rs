//! One field of a site as if it were a file of its own.
//!
//! In: the file of a site as JSON, the index of a field. Out: the same as the file of that
//! field would say it, in its own axes, and where in the file of the site each part stands.
//! Cameras and things of the site, which lie in its axes, are no part of it.

use serde_json::{Map, Value};

use super::catalog::Step;
use crate::venue::file::{FIELD_TABLES, SHARED_TABLES};

/// Tables of the site that are none of a venue file, or lie in its axes.
const OF_SITE: [&str; 4] = ["site", "field", "play", "on_air"];
/// Keys of a field of the site that no `[field]` has.
const PLACED: [&str; 3] = ["name", "at", "up_m"];

fn is_table(key: &str) -> bool {
    FIELD_TABLES.contains(&key) || SHARED_TABLES.contains(&key)
}

/// The file of a field.
pub(in crate::venue) fn of_field(site: &Value, index: usize) -> Value {
    let field = site.get("field").and_then(|all| all.get(index)).and_then(Value::as_object);
    let none = Map::new();
    let (site, field) = (site.as_object().unwrap_or(&none), field.unwrap_or(&none));
    let shared = |key: &str| !OF_SITE.contains(&key) && !FIELD_TABLES.contains(&key);
    let mut part: Map<String, Value> =
        site.iter().filter(|(key, _)| shared(key)).map(|(k, v)| (k.clone(), v.clone())).collect();
    let own = |table: bool| {
        let all = field.iter().filter(move |(key, _)| is_table(key) == table);
        all.map(|(key, value)| (key.clone(), value.clone()))
    };
    part.extend(own(true));
    let ground = own(false).filter(|(key, _)| !PLACED.contains(&key.as_str()));
    part.insert("field".into(), Value::Object(ground.collect()));
    Value::Object(part)
}

/// Where a table of a field's file stands: under the field, or among what the site has for all.
pub(super) fn home(site: &Value, index: usize, table: &str) -> Vec<Step> {
    let key = |name: &str| Step::Key(name.to_owned());
    let stated = |of: Option<&Value>| of.is_some_and(|of| of.get(table).is_some());
    let field = site.get("field").and_then(|all| all.get(index));
    let own = FIELD_TABLES.contains(&table)
        || (SHARED_TABLES.contains(&table) && (stated(field) || !stated(Some(site))));
    match (table, own) {
        ("field", _) => vec![key("field"), Step::Index(index)],
        (_, true) => vec![key("field"), Step::Index(index), key(table)],
        _ => vec![key(table)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_field_reads_as_its_own_file() {
        let site = json!({
            "title": "Park", "place": {}, "site": {}, "play": [], "solid": [{ "name": "Hut" }],
            "camera": [{ "name": "shared" }], "floodlights": { "on": "never" },
            "field": [
                { "name": "A", "at": [0, 0], "sport": "tennis", "bearing_deg": 5.0 },
                { "name": "B", "at": [0, 9], "up_m": 1, "sport": "hockey",
                  "stand": [{ "name": "West" }], "floodlights": { "on": "always" } },
            ],
        });
        let own = json!({
            "title": "Park", "place": {}, "floodlights": { "on": "always" },
            "field": { "sport": "hockey" }, "stand": [{ "name": "West" }],
        });
        assert_eq!(of_field(&site, 1), own);
        let path = |index: usize, table: &str| {
            let steps = home(&site, index, table);
            steps.iter().fold(String::new(), |all, step| match step {
                Step::Key(key) => format!("{all}/{key}"),
                Step::Index(i) => format!("{all}/{i}"),
            })
        };
        assert_eq!(path(1, "stand"), "/field/1/stand");
        assert_eq!(path(1, "field"), "/field/1");
        assert_eq!(path(1, "place"), "/place");
        assert_eq!(path(1, "floodlights"), "/field/1/floodlights");
        assert_eq!(path(0, "floodlights"), "/floodlights");
        assert_eq!(path(0, "moment"), "/field/0/moment");
    }
}
