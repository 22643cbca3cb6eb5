//! CSV and JSON of a small hand-built plan, read back by general-purpose
//! readers and held against the published forms they claim.

use chrono::DateTime;
use report_support::{SHADED, maps, plan, venue};
use serde_json::Value;

use crate::report_support;
use quarterstop::base::slug;
use quarterstop::jobs::match_plan::report::{csv, json};

fn json() -> Value {
    let bytes = json::write(&venue(), &plan(), &maps(), &[]).unwrap();
    serde_json::from_slice(&bytes).unwrap()
}

struct Table {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn of(bytes: &[u8]) -> Self {
        // the strict reader of the `csv` crate refuses rows of unequal length
        let mut reader = ::csv::Reader::from_reader(bytes);
        let header = reader.headers().unwrap().iter().map(str::to_owned);
        let header = header.collect();
        let rows = reader.records().map(|r| r.unwrap());
        let rows = rows.map(|r| r.iter().map(str::to_owned).collect());
        Self { header, rows: rows.collect() }
    }

    fn column(&self, name: &str) -> Vec<&str> {
        let index = self.header.iter().position(|h| h == name);
        let index = index.unwrap_or_else(|| panic!("no column {name}"));
        self.rows.iter().map(|r| r[index].as_str()).collect()
    }
}

fn table() -> Table {
    Table::of(&csv::write(&venue(), &plan()).unwrap())
}

/// JSON Schema draft 2020-12 (json-schema.org), by the crate `jsonschema`.
#[test]
fn json_holds_to_its_own_schema() {
    let schema = json::schema();
    jsonschema::meta::validate(&schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let mut value = json();
    let errors: Vec<String> =
        validator.iter_errors(&value).map(|e| format!("{e} at {}", e.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    // and the schema does refuse: a number as text, a missing key, another format
    value["instants"][0]["sun"]["azimuth_deg"] = "12".into();
    assert!(!validator.is_valid(&value));
    let mut value = json();
    value["instants"][3].as_object_mut().unwrap().remove("face");
    assert!(!validator.is_valid(&value));
    let mut value = json();
    value["format"] = "quarterstop.match/0".into();
    assert!(!validator.is_valid(&value));
}

#[test]
fn every_key_of_the_schema_carries_its_unit() {
    // words, shares, texts, lists and objects need none; everything else that is
    // a number has to end in one of these
    const UNITS: [&str; 13] = [
        "_deg",
        "_m",
        "_m2",
        "_lx",
        "_cd_per_m2",
        "_hpa",
        "_c",
        "_k",
        "_mired",
        "_cm",
        "_share",
        "stops",
        "_min",
    ];
    const WITHOUT_DIMENSION: [&str; 8] = [
        "mean_transmission",
        "transmittance",
        "surface_reflectance",
        "surrounds_reflectance",
        "duv",
        "aerosol_500nm",
        "aerosol_exponent",
        "ground_albedo",
    ];
    fn walk(value: &Value, seen: &mut usize) {
        if let Some(keys) = value.get("properties").and_then(Value::as_object) {
            for (key, of) in keys {
                if of["type"].to_string().contains("number") {
                    *seen += 1;
                    let key = key.trim_end_matches("_low").trim_end_matches("_high");
                    assert!(
                        UNITS.iter().any(|u| key.ends_with(u)) || WITHOUT_DIMENSION.contains(&key),
                        "{key} has no unit"
                    );
                }
            }
        }
        match value {
            Value::Object(map) => map.values().for_each(|v| walk(v, seen)),
            Value::Array(list) => list.iter().for_each(|v| walk(v, seen)),
            _ => {}
        }
    }
    let mut seen = 0;
    walk(&json::schema(), &mut seen);
    assert!(seen > 20, "only {seen} numbers seen");
}

#[test]
fn json_numbers_are_the_plan_s_own_to_the_last_bit() {
    let (plan, value) = (plan(), json());
    for (instant, out) in plan.instants.iter().zip(value["instants"].as_array().unwrap()) {
        let number = |v: &Value| v.as_f64().unwrap().to_bits();
        let azimuth = instant.sun.azimuth.degrees();
        assert_eq!(number(&out["sun"]["azimuth_deg"]), azimuth.to_bits());
        let shaded = instant.turf.field.shaded;
        assert_eq!(number(&out["turf"]["field"]["shaded_share"]), shaded.to_bits());
        let luminance = instant.cameras[0].turf.shaded.unwrap().luminance.cd_per_m2();
        let written = number(&out["cameras"][0]["turf"]["shaded_cd_per_m2"]);
        assert_eq!(written, luminance.to_bits());
    }
}

#[test]
fn json_carries_states_polygons_and_edges() {
    let value = json();
    assert_eq!(value["format"], "quarterstop.match/2");
    assert_eq!(value["step_min"], 1.0);
    assert_eq!(value["day"]["rise"], "2026-04-11T07:04:00+01:00");
    assert_eq!(value["milestones"][1]["name"], "half-time");
    assert_eq!(value["venue"]["field_area_m2"], 6000.0);
    assert_eq!(value["cameras"][2]["cover"]["area_m2"], 300.0);
    assert_eq!(value["cameras"][2]["cover"]["zones"][1]["covered_share"], 0.1);

    let early = &value["instants"][0];
    assert_eq!(early["turf"]["opaque_polygons_east_north_m"], Value::Array(vec![]));
    assert_eq!(early["turf"]["edge"], Value::Array(vec![]));
    assert_eq!(early["cameras"][0]["turf"]["state"], "latent");
    assert_eq!(early["cameras"][0]["turf"]["side"], "all_sunlit");

    let later = &value["instants"][3];
    assert_eq!(later["time"], "2026-04-11T17:31:00+01:00");
    assert_eq!(later["time_utc"], "2026-04-11T16:31:00Z");
    assert_eq!(later["face"]["height_m"], 1.7);
    let ring = &later["turf"]["opaque_polygons_east_north_m"][0][0];
    let ring = ring.as_array().unwrap();
    assert_eq!(ring.first(), ring.last(), "rings are closed");
    assert_eq!(later["turf"]["dimmed"][0]["transmittance"], 0.25);
    let edge = &later["turf"]["edge"];
    assert_eq!(edge[0]["line_east_north_m"].to_string(), "[[-25.0,-30.0],[-25.0,30.0]]");
    assert_eq!(edge[0]["penumbra_m"].to_string(), "[0.25]");
    assert_eq!(value["sky_view"]["places_east_north_m_factor"][0][2], 0.75);
    assert_eq!(later["cameras"][0]["turf"]["state"], "in_shot");
    assert_eq!(later["cameras"][0]["turf"]["stops"], 2.75);
    assert_eq!(later["cameras"][0]["turf"]["side"], Value::Null);
}

#[test]
fn what_is_absent_is_null_or_empty_and_never_nan() {
    let (value, table) = (json(), table());
    let blind = &value["instants"][0]["cameras"][3];
    assert_eq!(blind["camera"], "lift_lobby");
    assert_eq!(blind["shaded_share"], Value::Null);
    assert_eq!(blind["turf"]["sunlit_cd_per_m2"], Value::Null);
    assert_eq!(blind["turf"]["stops"], Value::Null);
    assert!(table.column("camera_lift_lobby_shaded_share").iter().all(|c| c.is_empty()));
    assert!(table.column("camera_lift_lobby_turf_split_stops").iter().all(|c| c.is_empty()));
    assert_eq!(table.column("camera_lift_lobby_turf_split_state")[0], "no_edge");

    let (venue, mut plan) = (venue(), plan());
    plan.instants[0].turf.zones[0].shaded = f64::NAN;
    plan.instants[0].turf.field.mean_transmission = f64::INFINITY;
    let text = String::from_utf8(csv::write(&venue, &plan).unwrap()).unwrap();
    assert!(!text.contains("NaN") && !text.contains("inf"));
    let text = String::from_utf8(json::write(&venue, &plan, &[], &[]).unwrap()).unwrap();
    let value: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(value["instants"][0]["turf"]["zones"][0]["shaded_share"], Value::Null);
    assert!(jsonschema::validator_for(&json::schema()).unwrap().is_valid(&value));
}

/// RFC 4180, section 2: rule 1 (CRLF), rule 4 (equal number of fields).
#[test]
fn csv_is_rfc_4180() {
    let bytes = csv::write(&venue(), &plan()).unwrap();
    let text = String::from_utf8(bytes).unwrap();
    assert_eq!(text.matches('\n').count(), 1 + SHADED.len());
    assert_eq!(text.matches("\r\n").count(), 1 + SHADED.len());
    assert!(text.ends_with("\r\n"));
    let fields = table().header.len();
    assert!(table().rows.iter().all(|r| r.len() == fields));
}

/// RFC 3339, section 5.6, by chrono's reader.
#[test]
fn times_are_rfc_3339_and_agree() {
    let table = table();
    for (local, utc) in table.column("time").iter().zip(table.column("time_utc")) {
        let local_time = DateTime::parse_from_rfc3339(local).unwrap();
        assert_eq!(local_time, DateTime::parse_from_rfc3339(utc).unwrap());
        assert!(local.ends_with("+01:00") && utc.ends_with('Z'));
    }
}

#[test]
fn csv_values_are_rounded_to_what_they_are_good_for() {
    let table = table();
    assert_eq!(table.column("sun_azimuth_deg")[1], "259.33");
    assert_eq!(table.column("direct_normal_lx")[0], "80000");
    assert_eq!(
        table.column("turf_field_shaded_share"),
        ["0.0000", "0.0000", "0.1000", "0.2500", "0.5000", "0.7500", "1.0000"]
    );
    assert_eq!(table.column("turf_zone_west_half_shaded_share")[3], "0.5000");
    assert_eq!(table.column("turf_zone_east_half_shaded_share")[3], "0.0000");
    assert_eq!(table.column("camera_main_gantry_turf_shaded_cd_per_m2")[0], "66.7");
    assert_eq!(table.column("camera_main_gantry_turf_split_stops")[3], "2.75");
    assert_eq!(table.column("camera_main_gantry_turf_side")[6], "all_shaded");
    assert_eq!(table.column("camera_main_gantry_turf_side")[3], "");
}

#[test]
fn a_small_negative_number_is_written_as_zero() {
    let (venue, mut plan) = (venue(), plan());
    plan.instants[0].turf.field.opaque = -1e-12;
    let table = Table::of(&csv::write(&venue, &plan).unwrap());
    assert_eq!(table.column("turf_field_opaque_share")[0], "0.0000");
}

#[test]
fn camera_columns_are_unique_though_names_are_nearly_alike() {
    let header = csv::header(&venue());
    let mut sorted = header.clone();
    sorted.sort();
    sorted.dedup();
    assert_eq!(sorted.len(), header.len());
    assert!(header.contains(&"camera_main_gantry_2_turf_split_stops".to_owned()));
}

#[test]
fn the_documented_columns_are_the_header() {
    let documented: Vec<String> = csv::columns().into_iter().map(|c| c.name).collect();
    let mut families: Vec<String> = Vec::new();
    for name in csv::header(&venue()) {
        let mut family = name.clone();
        for zone in ["west_half", "east_half"] {
            family = family.replace(&format!("_zone_{zone}_"), "_zone_<zone>_");
        }
        // the longer id first: it starts with the shorter
        for camera in ["main_gantry_2", "main_gantry", "reverse", "lift_lobby"] {
            family = family.replace(&format!("camera_{camera}_"), "camera_<camera>_");
        }
        if !families.contains(&family) {
            families.push(family);
        }
    }
    assert_eq!(documented, families);
    let markdown = quarterstop::output::table::markdown(&csv::columns());
    assert!(documented.iter().all(|name| markdown.contains(&format!("| `{name}` |"))));
}

#[test]
fn a_plan_without_instants_or_cameras_still_writes() {
    let (mut venue, mut plan) = (venue(), plan());
    venue.cameras.clear();
    venue.zones.clear();
    plan.covers.clear();
    plan.instants.clear();
    let table = Table::of(&csv::write(&venue, &plan).unwrap());
    assert!(table.rows.is_empty() && !table.header.is_empty());
    let value: Value =
        serde_json::from_slice(&json::write(&venue, &plan, &[], &[]).unwrap()).unwrap();
    assert_eq!(value["step_min"], Value::Null);
    assert!(jsonschema::validator_for(&json::schema()).unwrap().is_valid(&value));
}

#[test]
fn slugs_are_safe_and_unique() {
    let names = ["a", "A", "a 2", "a", "", "\u{0}", "x".repeat(300).leak(), "a/../b"];
    let slugs = slug::unique_slugs(names, "camera");
    assert_eq!(&slugs[..6], ["a", "a-3", "a-2", "a-4", "camera", "camera-2"]);
    assert_eq!(slugs[6].len(), 60);
    assert_eq!(slugs[7], "a-b");
}

/// The guide's list of columns is the program's own. To write it anew, paste what
/// the failing test prints.
#[test]
fn the_guide_lists_the_columns_of_the_table() {
    let chapter = crate::guide::chapter("match.md");
    let list = quarterstop::output::table::markdown(
        &quarterstop::jobs::match_plan::report::csv::columns(),
    );
    assert!(chapter.contains(list.trim_end()), "the chapter lacks this list:\n{list}");
}

/// Rows of a light map: one for each place inside, stops by hand (12 500 lx against
/// 50 000 is two stops under, 100 000 one over).
#[test]
fn a_light_map_is_a_table_of_its_places() {
    use quarterstop::jobs::match_plan::report::map_csv;
    let bytes = map_csv::write(&maps()[0]).unwrap();
    let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(header, crate::support::names_of(map_csv::columns()));
    let rows: Vec<Vec<String>> =
        reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect();
    assert_eq!(rows.len(), 3, "a place outside of the field has no row");
    assert_eq!(rows[0][..4], ["-25.00", "-15.00", "50000.0", "0.000"]);
    assert_eq!(rows[1][..4], ["25.00", "-15.00", "12500.0", "-2.000"]);
    assert_eq!(rows[2][..4], ["25.00", "35.00", "100000.0", "1.000"]);
    let kelvin: f64 = rows[1][4].parse().unwrap();
    assert!((kelvin - 9000.0).abs() < 20.0, "{kelvin}");
    let value = json();
    let map = &value["light_maps"][0];
    assert_eq!(map["reference"], "centre spot");
    assert_eq!(map["edge_profile"]["penumbra_m"], 0.75);
    assert_eq!(map["edge_profile"]["points"].as_array().unwrap().len(), 3);
}

/// Light, colour, swing and floodlight of a side, with the plan's own numbers.
#[test]
fn json_carries_light_and_colour() {
    let value = json();
    let turf = &value["instants"][3]["cameras"][0]["turf"];
    assert_eq!(turf["sunlit"]["illuminance_lx"], 51_000.4);
    let kelvin = turf["shaded"]["colour_temperature_k"].as_f64().unwrap();
    assert!((kelvin - 9000.0).abs() < 20.0, "{kelvin}");
    let gap = turf["colour_gap_mired"].as_f64().unwrap();
    assert!((gap - (1e6 / 9000.0 - 1e6 / 5500.0)).abs() < 1.0, "{gap}");
    assert!(turf["shade_red_trim_stops"].as_f64().unwrap() > 0.1);
    assert!(turf["shade_blue_trim_stops"].as_f64().unwrap() < -0.1);
    assert_eq!((&turf["swing_stops"], &turf["swing_mired"]), (&2.75.into(), &(-61.25).into()));
    assert!(turf["floodlights_take_stops"].is_null());
    assert_eq!(value["instants"][3]["floodlights"], "off");
    let hold = &value["floodlight_to_hold"];
    assert_eq!(hold["most_stops"], 2.0);
    // (51 000.4 - 4 * 2618.2) / 3 lx on both sides leaves two stops
    let level = hold["cameras"][0]["turf_lx"].as_f64().unwrap();
    assert!((level - (51_000.4 - 4.0 * 2_618.2) / 3.0).abs() < 1e-6, "{level}");
    assert!(hold["cameras"][2]["turf_lx"].is_null(), "never in shot");
}
