//! Files that want more than to be read: markup in names, names that are paths, claims of
//! size without end, numbers past all bounds.
//!
//! What is held elsewhere: mesh files and their buffers outside of the venue's folder
//! (`venue_mesh.rs`), pages driven in a browser (`browser/hostile.rs`), file names
//! from any text (`report_files.rs`), nesting and numbers of a venue file
//! (`venue_reading.rs`), tiles of terrain (`import_horizon.rs`).

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use render_support::marks::elements;
use tempfile::{TempDir, tempdir};
use toml::Value;

use crate::render_support;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");
const TENNIS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/tennis-demo.toml");
const SEEN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo-seen.toml");

fn quarterstop(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    let output = command.args(arguments).output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(!told.contains("panicked"), "{arguments:?}: {told}");
    output
}

fn done(arguments: &[&str]) -> Output {
    let output = quarterstop(arguments);
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {told}");
    output
}

fn refused(arguments: &[&str], said: &[&str]) {
    let output = quarterstop(arguments);
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {told}");
    for said in said {
        assert!(told.contains(said), "{said:?} in {told}");
    }
    assert!(told.len() < 60_000, "{} bytes of message", told.len());
}

/// Every name of a venue file changed, also where another table speaks of it.
fn renamed(text: &str, change: impl Fn(usize, &str) -> String) -> String {
    let mut venue: toml::Table = text.parse().unwrap();
    let mut names = BTreeMap::new();
    let tables = venue.values().filter_map(Value::as_array).flatten();
    for name in tables.filter_map(|table| table.get("name")?.as_str()) {
        let next = names.len();
        names.entry(name.to_owned()).or_insert_with(|| change(next, name));
    }
    fn put(value: &mut Value, names: &BTreeMap<String, String>) {
        match value {
            Value::String(text) => {
                if let Some(name) = names.get(text) {
                    text.clone_from(name);
                }
            }
            Value::Array(all) => all.iter_mut().for_each(|v| put(v, names)),
            Value::Table(all) => all.iter_mut().for_each(|(_, v)| put(v, names)),
            _ => {}
        }
    }
    let title = change(names.len(), venue["title"].as_str().unwrap());
    venue.insert("title".to_owned(), title.into());
    venue.iter_mut().for_each(|(_, value)| put(value, &names));
    toml::to_string(&venue).unwrap()
}

fn files_under(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => files.extend(files_under(&path)),
            false => files.push(path),
        }
    }
    files
}

// ---------------------------------------------------------------- markup

/// Ends an attribute and an element, opens one that runs something, and has every sign
/// that HTML and XML keep for themselves.
const MARKUP: &str = "\"'><img src=x onerror=h()>&</script>";

/// The tags of a page outside of its scripts and styles, each with what stands in it.
fn tags(html: &str) -> Vec<String> {
    let (mut tags, mut rest) = (Vec::new(), html);
    while let Some((_, after)) = rest.split_once('<') {
        let (tag, more) = after.split_once('>').unwrap_or((after, ""));
        rest = more;
        for raw in ["script", "style"] {
            if tag == raw || tag.starts_with(&format!("{raw} ")) {
                rest = more.split_once(&format!("</{raw}>")).map_or("", |(_, rest)| rest);
            }
        }
        tags.push(tag.to_owned());
    }
    tags
}

fn holds_no_markup_of_names(path: &Path) {
    let html = fs::read_to_string(path).unwrap();
    let shown = path.display();
    assert!(html.contains("onerror=h()"), "{shown} shows no name at all");
    for tag in tags(&html) {
        let word: String = tag.chars().take_while(|c| !c.is_whitespace()).collect();
        let foreign = ["img", "iframe", "object", "embed", "base", "link"].contains(&word.as_str());
        assert!(!foreign && !tag.contains(" on") && !tag.contains("onerror"), "{shown}: <{tag}>");
    }
    // the data of the board is JSON in a script, which only `</` can end
    assert!(!html.contains(MARKUP), "{shown}");
    assert!(!html.contains("&</script>"), "{shown}");
}

/// Every command that writes pages or pictures, on a venue all of whose names are markup.
#[test]
fn every_page_and_picture_shows_names_as_text() {
    let home = tempdir().unwrap();
    let venue = home.path().join("venue.toml");
    let text = renamed(&fs::read_to_string(DEMO).unwrap(), |i, _| format!("{i}{MARKUP}"));
    fs::write(&venue, text).unwrap();
    let list = home.path().join("list.csv");
    let name = format!("F{MARKUP}").replace('"', "\"\"");
    let head = "date,venue,earliest,latest,duration_min,start,planned,fixture";
    fs::write(&list, format!("{head}\n2027-05-01,venue.toml,15:00,17:00,,free,,\"{name}\"\n"))
        .unwrap();
    let costs = home.path().join("costs.toml");
    fs::write(&costs, format!("main_camera = '''{MARKUP}'''\n")).unwrap();
    let path = |name: &str| home.path().join(name).to_str().unwrap().to_owned();
    let (venue, list, costs) = (path("venue.toml"), path("list.csv"), path("costs.toml"));
    let out = |name: &str| path(&format!("out/{name}"));
    done(&["match", &venue, "--step", "30", "--into", &out("match")]);
    done(&["brief", &venue, "--step", "30", "--into", &out("brief")]);
    done(&["positions", &venue, "--step", "60", "--into", &out("positions")]);
    done(&["look-up", &venue, "--into", &out("look-up")]);
    done(&["sensitivity", &venue, "--into", &out("sensitivity")]);
    let days = ["--first-date", "2027-05-01", "--last-date", "2027-05-02", "--step", "60"];
    done(&[&["year", &venue, "--into", &out("year")], &days[..]].concat());
    let more = ["--costs", &costs, "--every-min", "60", "--step", "30"];
    done(&[&["starts", "--fixtures", &list, "--into", &out("starts")], &more[..]].concat());
    let files = files_under(&home.path().join("out"));
    let of =
        |kind: &'static str| files.iter().filter(move |f| f.extension().is_some_and(|e| e == kind));
    let pages: BTreeSet<String> = of("html")
        .map(|page| {
            holds_no_markup_of_names(page);
            page.file_name().unwrap().to_string_lossy().into_owned()
        })
        .collect();
    // a page that is added is to be looked at here as well
    for page in ["board.html", "brief.html", "measuring-list.html", "season.html"] {
        assert!(pages.contains(page), "{page} in {pages:?}");
    }
    assert!(pages.iter().any(|page| page.starts_with("sheet-")), "{pages:?}");
    let pictures: BTreeSet<String> =
        of("svg").map(|f| f.file_name().unwrap().to_string_lossy().into_owned()).collect();
    // so is a family of pictures
    let families =
        ["timeline", "light", "light-", "field-", "positions", "look-up-", "sensitivity"];
    for family in
        families.into_iter().chain(["share-of-", "sun-and-shade-", "split-on-", "the-sun-"])
    {
        assert!(pictures.iter().any(|name| name.starts_with(family)), "{family} in {pictures:?}");
    }
    for picture in of("svg") {
        // panics where markup stands unescaped
        let all = elements(&fs::read_to_string(picture).unwrap());
        let foreign = all.iter().find(|e| ["img", "script", "foreignObject"].contains(&&*e.tag));
        assert!(foreign.is_none(), "{}", picture.display());
    }
}

/// No word of a file drives a terminal (ECMA-48: escapes begin with U+001B or U+009B), also
/// where the file is refused and shown.
#[test]
fn no_file_drives_the_terminal() {
    let home = tempdir().unwrap();
    let evil = "\u{1b}[2J\u{7}\u{9b}31m";
    let escaped = "\\u001b[2J\\u0007\\u009b31m";
    let demo = fs::read_to_string(DEMO).unwrap();
    let quiet = |arguments: &[&str]| {
        let output = quarterstop(arguments);
        for bytes in [&output.stdout, &output.stderr] {
            let text = String::from_utf8_lossy(bytes);
            let drives = text.chars().find(|c| c.is_control() && *c != '\n');
            assert_eq!(drives, None, "{arguments:?}: {text:?}");
        }
        output.status.code()
    };
    let file = |name: &str, text: &str| {
        let path = home.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    for (i, text) in [
        demo.replace("\"Umbra Park\"", &format!("\"{escaped}\"")),
        demo.replace("\"Umbra Park\"", &format!("\"{evil}\"")),
        demo.replace("\"Scoreboard\"", &format!("\"{escaped}\"")),
        format!("\"{escaped}\" = 1\n{demo}"),
        format!("{evil} = 1\n{demo}"),
        format!("# {evil}\nx = 1\n{demo}"),
        demo.replace("sport = \"football\"", &format!("sport = \"{escaped}\"")),
        demo.replace("\"Europe/London\"", &format!("\"{escaped}\"")),
        demo.replace("gantry = \"main gantry\"", &format!("gantry = \"{escaped}\"")),
        demo.replace("\"penalty spot behind\"", &format!("\"{escaped}\"")),
        format!("{demo}\n[[surveyed]]\nwhat = \"{escaped}\"\n"),
        format!("{demo}\n[[mesh]]\nname = \"m\"\nfile = \"{escaped}.obj\"\nmetres_per_unit = 1\nup = \"z\"\n"),
    ]
    .into_iter()
    .enumerate()
    {
        let path = file(&format!("venue-{i}.toml"), &text);
        assert_eq!(quiet(&["check", &path]), Some(2), "{i}");
    }
    let list =
        format!("date,venue,earliest,latest,duration_min,start\n{evil},{evil},1,2,{evil},x\n");
    let list = file("list.csv", &list);
    assert_eq!(quiet(&["starts", "--fixtures", &list]), Some(2));
    let list = "date,venue,earliest,latest,duration_min,start\n2027-05-01,\"\u{1b}[2J.toml\",12:00,,,fixed\n";
    let list = file("list2.csv", list);
    assert_eq!(quiet(&["starts", "--fixtures", &list]), Some(2));
    let costs = file("costs.toml", &format!("\"{escaped}\" = 1\nmain_camera = 3\n"));
    assert_eq!(quiet(&["starts", TENNIS, "--costs", &costs]), Some(2));
    let seen =
        file("seen.toml", &format!("on = \"{escaped}\"\n[[unknown]]\nwhat = \"{escaped}\"\n"));
    assert_eq!(quiet(&["fit", DEMO, "--seen", &seen]), Some(2));
    let weather = file("w.epw", &format!("{evil},{evil}\n"));
    assert_eq!(quiet(&["odds", &weather]), Some(2));
    let skyline = file("s.csv", &format!("{evil},{evil}\n"));
    assert_eq!(quiet(&["import", "horizon", &skyline]), Some(2));
    let into = home.path().join("v.toml");
    let into = into.to_str().unwrap();
    let map = file("m.geojson", &format!("{{\"type\":\"{escaped}\"}}"));
    assert_eq!(quiet(&["import", "outlines", &map, "--zone", "UTC", "--into", into]), Some(2));
    let obj = file("a.obj", &format!("v 0 0 0\no {evil}\nf {evil} 2 3\n"));
    let mesh = [
        "import",
        "mesh",
        &obj,
        "--onto",
        TENNIS,
        "--metres-per-unit",
        "1",
        "--up",
        "z",
        "--into",
        into,
    ];
    assert_eq!(quiet(&mesh), Some(2));
}

// ---------------------------------------------------------------- paths

/// Names that are paths, devices, marks of direction, or next to nothing.
const PATHS: [&str; 16] = [
    "../../up",
    "/etc/passwd",
    "..\\..\\up",
    "C:\\up",
    "CON",
    "nul",
    "LPT1",
    ".",
    "..",
    "-rf",
    "~/up",
    "\u{202e}gpj.exe",
    "\u{200f}\u{200f}",
    "*?|<>:\"",
    "\u{1f3df}\u{fe0f}",
    "éééééééééééééééééééééééééééééééééééééééé",
];

#[test]
fn no_name_leads_a_file_out_of_its_folder() {
    for turn in [0, 6, 11] {
        let home = tempdir().unwrap();
        let inner = home.path().join("a/b");
        fs::create_dir_all(&inner).unwrap();
        // the same name may come once only: others are told apart by their number
        let name = |i: usize, _: &str| match PATHS.get((i + turn) % PATHS.len()) {
            Some(path) if i < PATHS.len() => (*path).to_owned(),
            _ => format!("{}{i}", PATHS[turn]),
        };
        let venue = inner.join("venue.toml");
        fs::write(&venue, renamed(&fs::read_to_string(DEMO).unwrap(), name)).unwrap();
        let run = |arguments: &[&str]| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
            let output = command.current_dir(&inner).args(arguments).output().unwrap();
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        };
        run(&["brief", "venue.toml", "--step", "60"]);
        run(&["look-up", "venue.toml"]);
        let dates = ["--first-date", "2027-05-01", "--last-date", "2027-05-01", "--step", "60"];
        run(&[&["year", "venue.toml"], &dates[..]].concat());
        for file in files_under(home.path()) {
            assert!(file == venue || file.starts_with(inner.join("output")), "{}", file.display());
            let name = file.file_name().unwrap().to_str().unwrap();
            let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "-.".contains(c);
            assert!(name.chars().all(plain) && name.len() < 100, "{name}");
            let stem = name.split('.').next().unwrap();
            assert!(!["con", "nul", "lpt1", "", "-rf"].contains(&stem), "{name}");
        }
    }
}

/// A zero byte ends a path for the system, 300 characters end up as no name of a file.
#[test]
fn names_that_are_no_names_are_refused() {
    let home = tempdir().unwrap();
    for name in ["a\\u0000b".to_owned(), "x".repeat(300), "a\\nb".to_owned()] {
        let venue = home.path().join("venue.toml");
        let text = fs::read_to_string(DEMO).unwrap();
        fs::write(&venue, text.replacen("\"Scoreboard\"", &format!("\"{name}\""), 1)).unwrap();
        refused(&["check", venue.to_str().unwrap()], &["solid[0].name", "up to 80 characters"]);
    }
    let list = home.path().join("list.csv");
    let rows = format!(
        "date,venue,earliest,latest,duration_min,start,planned,fixture\n\
         2027-05-01,a.toml,12:00,,,fixed,,{}\n",
        "x".repeat(300)
    );
    fs::write(&list, rows).unwrap();
    let list = list.to_str().unwrap();
    refused(&["starts", "--fixtures", list], &["column fixture", "up to 80 characters"]);
}

// ---------------------------------------------------------------- sizes, nesting, numbers

/// A file that only claims its size: nothing of it lies on the disc.
fn vast(home: &TempDir, name: &str, bytes: u64) -> String {
    let path = home.path().join(name);
    fs::File::create(&path).unwrap().set_len(bytes).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn files_without_end_are_refused_by_their_size() {
    const MB: u64 = 1024 * 1024;
    let home = tempdir().unwrap();
    let file = |name: &str| vast(&home, name, 3_000 * MB);
    let venue = home.path().join("venue.toml");
    let text = fs::read_to_string(TENNIS).unwrap();
    let mesh = "[[mesh]]\nname = \"m\"\nfile = \"m.obj\"\nmetres_per_unit = 1\nup = \"z\"\n";
    fs::write(&venue, format!("{text}\n{mesh}")).unwrap();
    file("m.obj");
    refused(&["check", venue.to_str().unwrap()], &["m.obj", "more than 67108864 bytes"]);
    refused(&["check", &file("v.toml")], &["v.toml", "4194304"]);
    refused(&["fit", DEMO, "--seen", &file("s.toml")], &["s.toml", "4194304"]);
    refused(&["starts", TENNIS, "--costs", &file("c.toml")], &["c.toml", "4194304"]);
    refused(&["starts", "--fixtures", &file("l.csv")], &["l.csv", "more than 8 MB"]);
    refused(&["odds", &file("w.epw")], &["w.epw", "more than 16 MB"]);
    refused(
        &["import", "outlines", &file("m.geojson"), "--zone", "UTC", "--into", "never.toml"],
        &["MB"],
    );
    refused(&["import", "horizon", &file("h.csv")], &["h.csv", "MB"]);
    let tiles = ["--centre", "52.5,-0.5"];
    refused(&[&["import", "horizon", &file("N52W001.hgt")], &tiles[..]].concat(), &["MB"]);
    refused(&[&["import", "horizon", &file("t.tif")], &tiles[..]].concat(), &["MB"]);
}

#[test]
fn nesting_without_end_is_refused() {
    let home = tempdir().unwrap();
    let file = |name: &str, text: String| {
        let path = home.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    for depth in [200, 100_000] {
        let list = format!("{}{}", "[".repeat(depth), "]".repeat(depth));
        let tables = format!("{}1{}", "{a = ".repeat(depth), "}".repeat(depth));
        for value in [&list, &tables] {
            refused(&["check", &file("v.toml", format!("title = {value}\n"))], &["v.toml"]);
            refused(
                &["fit", DEMO, "--seen", &file("s.toml", format!("on = {value}\n"))],
                &["s.toml"],
            );
            let costs = file("c.toml", format!("main_camera = {value}\n"));
            refused(&["starts", TENNIS, "--costs", &costs], &["c.toml"]);
        }
        let outlines = |json: String| {
            let path = file("m.geojson", json);
            refused(
                &["import", "outlines", &path, "--zone", "UTC", "--into", "never.toml"],
                &["GeoJSON"],
            );
        };
        outlines(list.clone());
        outlines(format!("{{\"type\":\"Polygon\",\"coordinates\":{list}}}"));
        let inner = "{\"type\":\"GeometryCollection\",\"geometries\":[".repeat(depth);
        outlines(format!("{inner}{}", "]}".repeat(depth)));
        let gltf =
            file("m.gltf", format!("{{\"asset\":{{\"version\":\"2.0\",\"extras\":{list}}}}}"));
        let into = home.path().join("out.toml");
        let into = into.to_str().unwrap();
        refused(
            &[
                "import",
                "mesh",
                &gltf,
                "--onto",
                TENNIS,
                "--metres-per-unit",
                "1",
                "--up",
                "y",
                "--into",
                into,
            ],
            &["m.gltf"],
        );
    }
}

/// Numbers past all bounds and numbers that are none, wherever a file or an option states
/// one.
#[test]
fn numbers_past_all_bounds_are_refused() {
    let home = tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let path = home.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    for odd in ["1e308", "-1e308", "inf", "nan", "1e999"] {
        let costs = file("c.toml", &format!("mixed_per_min = {odd}\n"));
        refused(&["starts", TENNIS, "--costs", &costs], &["mixed_per_min"]);
        let seen = fs::read_to_string(SEEN).unwrap();
        let seen = seen.replacen("met_at_m = 17.78", &format!("met_at_m = {odd}"), 1);
        refused(&["fit", DEMO, "--seen", &file("s.toml", &seen)], &["met_at_m"]);
        let skyline = file("h.csv", &format!("0,1\n90,{odd}\n{odd},3\n"));
        refused(&["import", "horizon", &skyline], &["line 2", "line 3"]);
        for option in [
            &["match", TENNIS, "--hold"][..],
            &["brief", TENNIS, "--tell-splits"],
            &[
                "import",
                "outlines",
                "m.geojson",
                "--zone",
                "UTC",
                "--into",
                "never.toml",
                "--within-m",
            ],
            &["import", "horizon", "t.tif", "--to-km"],
        ] {
            let (last, words) = option.split_last().unwrap();
            let stated = format!("{last}={odd}");
            refused(&[words, &[stated.as_str()]].concat(), &[last]);
        }
    }
    // GeoJSON has no other way to say them
    for odd in ["1e308", "-1e308", "1e999"] {
        let ring = format!("[[0,52],[{odd},52],[0.001,52.001],[0,52]]");
        let polygon = format!("{{\"type\":\"Polygon\",\"coordinates\":[{ring}]}}");
        let feature = |tags: &str, shape: &str| {
            format!("{{\"type\":\"Feature\",\"properties\":{tags},\"geometry\":{shape}}}")
        };
        let field = feature("{\"leisure\":\"pitch\"}", &polygon);
        let map = file("m.geojson", &field);
        refused(&["import", "outlines", &map, "--zone", "UTC", "--into", "never.toml"], &[]);
        // a height past all bounds leaves a feature out, which is said
        let sound = "{\"type\":\"Polygon\",\"coordinates\":[[[-0.82,52.311],[-0.819,52.311],\
                     [-0.819,52.3115],[-0.82,52.311]]]}";
        let building = feature(&format!("{{\"building\":\"yes\",\"height\":\"{odd}\"}}"), sound);
        let map = file("m.geojson", &building);
        let place = ["--zone", "UTC", "--centre", "52.31,-0.82", "--bearing-deg", "0"];
        let size = ["--sport", "football", "--height-m", "3", "--into"];
        let into = home.path().join(format!("out{odd}.toml"));
        let into = [into.to_str().unwrap()];
        let all = [&["import", "outlines", &map], &place[..], &size[..], &into[..]].concat();
        let output = done(&all);
        let told = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(told.contains("height"), "{odd}: {told}");
    }
}

/// A GeoTIFF of some hundred bytes that claims 156 million heights: no room is made for
/// what cannot be in it.
#[test]
fn a_tile_that_claims_more_than_it_holds_is_refused() {
    let home = tempdir().unwrap();
    let tile = home.path().join("claims.tif");
    fs::write(&tile, include_bytes!("data/hostile/claims.tif")).unwrap();
    let tile = tile.to_str().unwrap();
    let said = "12000 x 13000 heights in 322 bytes";
    refused(&["import", "horizon", tile, "--centre", "52.5,-0.5"], &[said]);
}

// ---------------------------------------------------------------- a year that was changed

/// Equal values take next to no room: a few bytes may stand for more rows than a machine
/// has memory for.
#[test]
fn a_block_with_more_rows_than_a_year_has_minutes_is_refused() {
    use bytes::Bytes;
    use quarterstop::jobs::year::report::{
        MAX_ROWS, Notes, YearCell, YearTable, columns, read, write,
    };
    let venue = quarterstop::venue::read(Path::new(TENNIS)).unwrap();
    let columns = columns(&venue)[..1].to_vec();
    let of = |rows: usize| {
        let table =
            YearTable { columns: columns.clone(), cells: vec![vec![YearCell::Whole(7); rows]] };
        Bytes::from(write(&table, &Notes::new()).unwrap())
    };
    assert_eq!(read(of(MAX_ROWS), &columns).unwrap().len(), MAX_ROWS);
    let vast = of(MAX_ROWS + 1);
    assert!(vast.len() < 100_000, "{}", vast.len());
    let told = read(vast, &columns).unwrap_err().to_string();
    assert!(told.contains("527101 rows; at most 527100"), "{told}");
}
