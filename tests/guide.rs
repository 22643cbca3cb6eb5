//! README and the chapters of the guide: their links lead somewhere, their lists are the
//! program's own, and the reference of the venue file is made from its schema.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use clap::ValueEnum;
use serde_json::{Map, Value};

use quarterstop::cli::formats::{Format, format};
use quarterstop::cli::options::FormatChoice;
use quarterstop::output::table::markdown;

/// A chapter of the guide.
pub fn chapter(name: &str) -> String {
    fs::read_to_string(root().join("src/guide").join(name)).unwrap()
}

const REFERENCE: &str = "venue-reference.md";
const TABLES: &str = "tables.md";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// README, DEVELOPERS.md and every chapter.
fn pages() -> Vec<PathBuf> {
    let chapters = fs::read_dir(root().join("src/guide")).unwrap().map(|e| e.unwrap().path());
    chapters.chain(["README.md", "DEVELOPERS.md"].map(|name| root().join(name))).collect()
}

/// The text outside of fenced code.
fn prose(text: &str) -> String {
    let mut fence: Option<&str> = None;
    let mut lines = String::new();
    for line in text.lines() {
        match (fence, ["```", "~~~"].into_iter().find(|mark| line.starts_with(mark))) {
            (None, Some(mark)) => fence = Some(mark),
            (Some(open), Some(mark)) if open == mark => fence = None,
            (None, None) => writeln!(lines, "{line}").unwrap(),
            _ => {}
        }
    }
    assert_eq!(fence, None, "a fence that is not closed");
    lines
}

/// Headings as links name them: lower case, spaces as hyphens, other marks left out.
fn anchors(text: &str) -> BTreeSet<String> {
    let prose = prose(text);
    let headings = prose.lines().filter(|line| line.starts_with('#'));
    let slug = |heading: &str| -> String {
        let kept = |c: &char| c.is_alphanumeric() || "-_ ".contains(*c);
        let text = heading.trim_start_matches('#').trim().to_lowercase();
        text.chars().filter(kept).map(|c| if c == ' ' { '-' } else { c }).collect()
    };
    headings.map(slug).collect()
}

#[test]
fn every_link_leads_to_a_file_and_a_heading() {
    let mut held = 0;
    for page in pages() {
        let text = fs::read_to_string(&page).unwrap();
        for link in prose(&text).split("](").skip(1) {
            let target = link.split(')').next().unwrap();
            if target.starts_with("http") {
                continue;
            }
            let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
            let file = if file.is_empty() { page.clone() } else { page.with_file_name(file) };
            assert!(file.is_file(), "{}: {target}", page.display());
            if !anchor.is_empty() {
                let there = anchors(&fs::read_to_string(&file).unwrap());
                assert!(there.contains(anchor), "{}: {target}", page.display());
            }
            held += 1;
        }
    }
    // README alone links to each chapter
    assert!(held >= pages().len(), "{held} links");
}

/// Files of the code that DEVELOPERS.md names are there, whole or by the end of their path.
#[test]
fn every_file_that_developers_names_is_there() {
    fn all(of: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(of).unwrap().map(|entry| entry.unwrap().path()) {
            if entry.is_dir() {
                all(&entry, found);
            } else {
                found.push(format!("/{}", entry.strip_prefix(root()).unwrap().display()));
            }
        }
    }
    let mut found = Vec::new();
    ["src", "tests"].iter().for_each(|folder| all(&root().join(folder), &mut found));
    let text = prose(&fs::read_to_string(root().join("DEVELOPERS.md")).unwrap());
    let named: Vec<&str> = text.split('`').skip(1).step_by(2).collect();
    let files = named.iter().filter(|name| name.ends_with(".rs") || name.ends_with(".py"));
    // neither patterns nor commands
    for name in files.filter(|name| !name.contains(['*', ' '])) {
        let end = format!("/{name}");
        assert!(found.iter().any(|path| path.ends_with(&end)), "{name}");
    }
}

#[test]
fn readme_links_to_every_chapter() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    for entry in fs::read_dir(root().join("src/guide")).unwrap() {
        let link = format!("](src/guide/{})", entry.unwrap().file_name().to_str().unwrap());
        assert!(readme.contains(&link), "{link}");
    }
}

/// Every command of the program, in README's table and nowhere forgotten.
#[test]
fn readme_lists_every_command() {
    use clap::CommandFactory;
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let (_, table) = readme.split_once("| command | for | answers |").unwrap();
    let rows: Vec<&str> = table.lines().skip(2).take_while(|l| l.starts_with('|')).collect();
    for command in quarterstop::cli::Options::command().get_subcommands() {
        // what it is named for is in the help of the others: formats, and this list itself
        if ["schema", "help"].contains(&command.get_name()) {
            continue;
        }
        let name = format!("`{}`", command.get_name());
        assert!(rows.iter().any(|row| row.contains(&name)), "{name}");
    }
}

/// To write it anew: `cargo test --test suite guide::write -- --ignored`.
#[test]
fn the_reference_of_the_venue_file_is_that_of_its_schema() {
    assert_eq!(chapter(REFERENCE), reference(), "write {REFERENCE} anew, see above");
}

#[test]
#[ignore = "writes a file: run it by name after a change of the venue file's keys"]
fn write_the_reference_of_the_venue_file() {
    fs::write(root().join("src/guide").join(REFERENCE), reference()).unwrap();
}

/// All tables, made from the columns that the program writes.
#[test]
fn the_chapter_of_tables_is_that_of_the_program() {
    assert_eq!(chapter(TABLES), tables(), "write {TABLES} anew, see below");
}

#[test]
#[ignore = "writes a file: run it by name after a change of the columns of a table"]
fn write_the_chapter_of_tables() {
    fs::write(root().join("src/guide").join(TABLES), tables()).unwrap();
}

fn tables() -> String {
    let mut text = String::from(
        "# Columns of all tables\n\nMade from the program's own lists. Files are RFC 4180: UTF-8, \
         comma, CRLF, one header row; an absent value is an empty cell. `<camera>`, `<zone>` and \
         the like stand for the names of a venue, in lower case with underscores. `quarterstop \
         schema match.csv` prints a table's metadata as JSON, in the vocabulary of the W3C for \
         tabular data. The columns of `match.csv` stand in [What a match \
         gives](match.md#columns-of-matchcsv).\n",
    );
    for choice in FormatChoice::value_variants() {
        let Format::Table(table) = format(*choice) else { continue };
        if table.file == "match.csv" {
            continue;
        }
        let (file, command, list) = (table.file, table.command, markdown(&table.columns));
        write!(text, "\n## {file}\n\nWritten by `{command}`.\n\n{list}").unwrap();
    }
    text
}

fn reference() -> String {
    let schema = quarterstop::venue::schema();
    let mut text = String::from(
        "# All keys of the venue file\n\nMade from the file's JSON Schema (`quarterstop schema \
         venue`). [The venue file](venue-file.md) says what axes, sides and areas are. A key \
         that is not required may be left out.\n",
    );
    let tables = schema["properties"].as_object().unwrap();
    for (name, table) in tables {
        let many = table["type"] == "array";
        let of = if many { &table["items"] } else { table };
        let Some(inner) = resolved(&schema, of) else {
            writeln!(text, "\n## `{name}`\n\n{}.", takes(&schema, table)).unwrap();
            continue;
        };
        let head = if many { format!("[[{name}]]") } else { format!("[{name}]") };
        section(&mut text, &schema, &head, &[table, inner]);
        for (key, value) in inner["properties"].as_object().unwrap() {
            let many = value["type"] == "array";
            let of = if many { &value["items"] } else { value };
            // a table that has a section of its own already is not listed twice
            let Some(nested) = resolved(&schema, of).filter(|_| tables.get(key).is_none()) else {
                continue;
            };
            let path = format!("{name}.{key}");
            let head = if many { format!("[[{path}]]") } else { format!("[{path}]") };
            section(&mut text, &schema, &head, &[value, nested]);
        }
    }
    text + &site_reference(tables)
}

/// What the file of a site has that a venue file has not; `known` are the tables of that.
fn site_reference(known: &Map<String, Value>) -> String {
    let schema = quarterstop::venue::site_schema();
    let mut text = String::from(
        "\n# Keys of a site\n\nMade from `quarterstop schema site`. [Several fields](site.md) says \
         what they do. Beside these, a site takes the tables above as far as its schema lists \
         them, and a `[[field]]` takes all keys of `[field]` and, under it, all tables of what \
         belongs to a field: `[[field.stand]]`, `[[field.camera]]` and so on.\n",
    );
    let venue = quarterstop::venue::schema();
    for (name, table) in schema["properties"].as_object().unwrap() {
        let many = table["type"] == "array";
        let of = if many { &table["items"] } else { table };
        let Some(inner) = resolved(&schema, of) else { continue };
        let own = inner["properties"].as_object().unwrap();
        let before = known.get(name).and_then(|table| {
            let of = if table["type"] == "array" { &table["items"] } else { table };
            resolved(&venue, of)
        });
        let is_new = |key: &String| {
            before.is_none_or(|table| {
                table["properties"].get(key).is_none() && known.get(key).is_none()
            })
        };
        // a move of a field is one of its tables, too
        let keys: Map<String, Value> = own
            .iter()
            .filter(|(key, _)| is_new(key))
            .map(|(k, v)| (k.clone(), v.clone()))
            .collect();
        if keys.is_empty() {
            continue;
        }
        let mut shown = inner.clone();
        shown["properties"] = keys.clone().into();
        let head = if many { format!("[[{name}]]") } else { format!("[{name}]") };
        section(&mut text, &schema, &head, &[table, &shown]);
        for (key, value) in &keys {
            let of = if value["type"] == "array" { &value["items"] } else { value };
            if let Some(nested) = resolved(&schema, of) {
                section(&mut text, &schema, &format!("[[{name}.{key}]]"), &[value, nested]);
            }
        }
    }
    text
}

/// The table that a schema refers to, where it refers to one.
fn resolved<'s>(schema: &'s Value, of: &Value) -> Option<&'s Value> {
    let name = of["$ref"].as_str()?.strip_prefix("#/$defs/")?;
    Some(&schema["$defs"][name]).filter(|found| found["properties"].is_object())
}

fn described(value: &Value) -> Option<String> {
    let text = value["description"].as_str()?;
    Some(text.split_whitespace().collect::<Vec<&str>>().join(" ").replace('|', "\\|"))
}

fn section(text: &mut String, schema: &Value, head: &str, of: &[&Value]) {
    writeln!(text, "\n## `{head}`\n").unwrap();
    let mut said: Vec<String> = of.iter().filter_map(|value| described(value)).collect();
    said.dedup();
    if !said.is_empty() {
        writeln!(text, "{}\n", said.join(" ")).unwrap();
    }
    let table = of[of.len() - 1];
    let required = table["required"].as_array().cloned().unwrap_or_default();
    let keys: &Map<String, Value> = table["properties"].as_object().unwrap();
    writeln!(text, "| key | takes | meaning |\n| --- | --- | --- |").unwrap();
    for (key, value) in keys {
        let mut may = takes(schema, value);
        if required.iter().any(|r| r == key) {
            may += "; required";
        } else if let Some(default) = stated(&value["default"]) {
            write!(may, "; {default} when absent").unwrap();
        }
        writeln!(text, "| `{key}` | {may} | {} |", described(value).unwrap_or_default()).unwrap();
    }
}

/// A default as the file would have it; none of lists that are empty.
fn stated(default: &Value) -> Option<String> {
    match default {
        Value::Number(number) => Some(figure(number.as_f64()?)),
        Value::String(word) => Some(format!("`\"{word}\"`")),
        Value::Bool(is) => Some(format!("`{is}`")),
        Value::Array(list) if !list.is_empty() => {
            let all: Option<Vec<String>> = list.iter().map(stated).collect();
            Some(format!("[{}]", all?.join(", ")))
        }
        _ => None,
    }
}

/// Four decimals where a number has no end.
fn figure(number: f64) -> String {
    let whole = number.to_string();
    if whole.len() > 8 { format!("{number:.4}") } else { whole }
}

/// What a key may hold, in words.
fn takes(schema: &Value, value: &Value) -> String {
    if let Some(name) = value["$ref"].as_str().and_then(|r| r.strip_prefix("#/$defs/")) {
        let of = &schema["$defs"][name];
        return if of["properties"].is_object() { "a table".into() } else { takes(schema, of) };
    }
    let mut words: Vec<String> = Vec::new();
    for choice in value["oneOf"].as_array().into_iter().flatten() {
        words.push(takes(schema, choice));
    }
    words.extend(value["enum"].as_array().into_iter().flatten().filter_map(stated));
    words.extend(stated(&value["const"]));
    if !words.is_empty() {
        return words.join(", ");
    }
    let range = || {
        let bound = |key: &str| value[key].as_f64().map(figure);
        match (bound("minimum"), bound("maximum")) {
            (Some(low), Some(high)) => format!("{low} to {high}"),
            _ => "a number".into(),
        }
    };
    match value["type"].as_str().unwrap_or_default() {
        "number" => range(),
        "integer" => format!("{}, whole", range()),
        "string" => "text".into(),
        "boolean" => "`true` or `false`".into(),
        "array" => {
            let items = &value["items"];
            match (value["minItems"].as_u64(), items["type"].as_str()) {
                (Some(count), Some("number")) => format!("{count} numbers"),
                (Some(count), _) => format!("{count} of: {}", takes(schema, items)),
                (None, Some("number")) => "a list of numbers".into(),
                (None, _) => format!("a list of: {}", takes(schema, items)),
            }
        }
        other => panic!("{other}: {value}"),
    }
}
