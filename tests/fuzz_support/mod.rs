//! What a fuzzer and a plain test do with bytes that may be anything.
//!
//! In: bytes. Out: whether the reader took them; a panic where the reader has a fault, or
//! where what it took is not what it promises. One function a kind of file, used by the
//! programs under `tests/fuzz` and by `tests/fuzz_seeds.rs`.

pub mod message;

use std::fs;
use std::path::Path;
use std::sync::OnceLock;

use bytes::Bytes;
use chrono::{NaiveDate, NaiveTime, TimeZone};
use tempfile::TempDir;

use quarterstop::geometry::{Caster, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::import::geodesy::Geographic;
use quarterstop::import::horizon::profile::Viewpoint;
use quarterstop::import::horizon::tile::{System, TerrainTile};
use quarterstop::import::horizon::{csv, geotiff, hgt, profile};
use quarterstop::import::outlines::{
    DEFAULT_WITHIN_M, FieldChoice, Goal, HeightRule, NewVenue, Wish, import,
};
use quarterstop::jobs::fit::seen;
use quarterstop::jobs::league::parse_grounds;
use quarterstop::jobs::starts::season::{KnownNames, Schedule, Ties, parse_rules};
use quarterstop::jobs::starts::{CostPart, Fixture, ListedFixture, parse_list, parse_profile};
use quarterstop::jobs::year::report::{MAX_ROWS, Manifest, YearColumn};
use quarterstop::output::ics;
use quarterstop::output::ics::Earlier;
use quarterstop::venue::{Draft, Sport, Venue, VenueOrSite};
use quarterstop::weather::{Odds, epw};
use quarterstop::{jobs, solar, venue};

/// More occluders than this are read but not put into the sun: that is slow, not unsound.
const MAX_IN_SUN: usize = 200;
const FOOTBALL: &str = include_str!("../../venues/football-demo.toml");
const FIXTURES: &str = include_str!("../../venues/football-demo-fixtures.csv");
const TENNIS: &str = include_str!("../../venues/tennis-demo.toml");
const BUFFER: &[u8] = include_bytes!("../data/meshes/drum.bin");
/// First line of a seed whose rest is repeated until a whole file of that kind is full: a
/// year of weather has 8760 rows, a tile of terrain 1201 x 1201 heights.
const REPEATED: &[u8] = b"repeated\n";

/// What a reader said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    Accepted,
    Refused,
}

impl<T, E> From<Result<T, E>> for Verdict {
    fn from(result: Result<T, E>) -> Self {
        if result.is_ok() { Self::Accepted } else { Self::Refused }
    }
}

/// A kind of file: the name of its folder of seeds, and what is done with one.
pub type Target = (&'static str, fn(&[u8]) -> Verdict);

/// All of them.
pub const TARGETS: [Target; 17] = [
    ("venue", venue),
    ("geojson", geojson),
    ("obj", obj),
    ("gltf", gltf),
    ("epw", epw),
    ("hgt", hgt),
    ("geotiff", geotiff),
    ("fixtures", fixtures),
    ("costs", costs),
    ("rules", rules),
    ("grounds", grounds),
    ("skyline", skyline),
    ("seen", seen),
    ("block", block),
    ("calendar", calendar),
    ("manifest", manifest),
    ("message", message::message),
];

/// Readers of text are handed text: what else a file may hold is refused before them.
fn text(data: &[u8]) -> Option<&str> {
    std::str::from_utf8(data).ok()
}

/// A venue file; what is read is put into a high and a low sun.
pub fn venue(data: &[u8]) -> Verdict {
    let Some(text) = text(data) else { return Verdict::Refused };
    let read = venue::parse_all(text, "venue.toml", None);
    match &read {
        Ok(VenueOrSite::One(venue)) => in_sun(venue),
        Ok(VenueOrSite::Site(site)) => site.fields.iter().for_each(|field| in_sun(&field.venue)),
        Err(error) => told(error),
    }
    read.into()
}

/// Shares of a field are shares, whatever stands around it.
fn in_sun(venue: &Venue) {
    if venue.occluders.len() > MAX_IN_SUN {
        return;
    }
    let date = NaiveDate::from_ymd_opt(2027, 6, 21).expect("a date");
    let noon = chrono::Utc.from_utc_datetime(&date.and_time(NaiveTime::MIN));
    let caster = Caster::new(venue, date, TURF_HEIGHT_M);
    let mut bench = OverlayScratch::default();
    let mut suns = vec![glam::DVec3::new(0.6, -0.75, 0.28).normalize(), glam::DVec3::Z];
    suns.extend(
        (0..24).step_by(5).map(|hour| {
            solar::position(&venue.place, noon + chrono::TimeDelta::hours(hour)).toward()
        }),
    );
    for sun in suns {
        let share = caster.cast(sun, &mut bench).field_share();
        for part in [share.opaque, share.shaded, share.mean_transmission] {
            assert!((0.0..=1.0).contains(&part), "{share:?} under {sun}");
        }
        assert!(share.opaque <= share.shaded + 1e-9, "{share:?} under {sun}");
    }
}

/// Messages are part of the reader, and hold nothing that drives a terminal.
fn told(error: &impl std::fmt::Display) {
    let text = error.to_string();
    assert!(!text.trim().is_empty());
    let drives = text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t'));
    assert_eq!(drives, None, "{text:?}");
}

/// Outlines for a new venue; what is written is a venue.
pub fn geojson(data: &[u8]) -> Verdict {
    let Some(text) = text(data) else { return Verdict::Refused };
    let drawn = text.contains("pitch");
    let centre = Geographic::new(52.31, -0.42).expect("a place");
    let new = NewVenue {
        title: None,
        zone: "Europe/London".into(),
        height_m: Some(38.0),
        sport: (!drawn).then_some(Sport::Football),
        length_m: None,
        width_m: None,
        field: match drawn {
            true => FieldChoice::Drawn { named: None },
            false => FieldChoice::Stated { centre, bearing_deg: 12.0 },
        },
    };
    let rule = HeightRule::default();
    let wish = Wish { source: "map.geojson".into(), within_m: DEFAULT_WITHIN_M, rule };
    let imported = import(text, Goal::New(new), &wish);
    match &imported {
        Ok(imported) => match venue::parse(&imported.text, "imported.toml") {
            Ok(venue) => in_sun(&venue),
            Err(error) => panic!("a file was written that is no venue: {error}\n{}", imported.text),
        },
        Err(error) => told(error),
    }
    imported.into()
}

/// A model in OBJ, millimetres, beside a field.
pub fn obj(data: &[u8]) -> Verdict {
    mesh("model.obj", "0.001", "z", data)
}

/// A model in glTF, as text or packed, beside a field.
pub fn gltf(data: &[u8]) -> Verdict {
    let file = if data.starts_with(b"glTF") { "model.glb" } else { "model.gltf" };
    mesh(file, "1.0", "y", data)
}

fn mesh(file: &str, unit: &str, up: &str, data: &[u8]) -> Verdict {
    static FOLDER: OnceLock<TempDir> = OnceLock::new();
    let folder = FOLDER.get_or_init(|| {
        let folder = TempDir::new().expect("a folder");
        fs::write(folder.path().join("drum.bin"), BUFFER).expect("a buffer");
        folder
    });
    fs::write(folder.path().join(file), data).expect("a model");
    let text = format!(
        "title = \"Ground\"\n[place]\nlatitude_deg = 52.0\nlongitude_deg = -0.5\n\
         height_m = 50.0\nzone = \"Europe/London\"\n[field]\nsport = \"football\"\n\
         bearing_deg = 20.0\n[[mesh]]\nname = \"m\"\nfile = \"{file}\"\n\
         metres_per_unit = {unit}\nup = \"{up}\"\nat = [-30.0, 60.0, 0.0]\nturned_deg = -90.0\n"
    );
    let read = venue::parse_in(&text, "venue.toml", Some(folder.path()));
    match &read {
        Ok(venue) => in_sun(venue),
        Err(error) => told(error),
    }
    read.into()
}

/// A year of weather, and the odds that follow from it.
pub fn epw(data: &[u8]) -> Verdict {
    let filled = data.strip_prefix(REPEATED).map(whole_year);
    let data = filled.as_deref().unwrap_or(data);
    let read = epw::parse(&String::from_utf8_lossy(data), "weather.epw");
    match &read {
        Ok(year) => {
            assert_eq!(year.hours.len(), epw::HOURS);
            odds(std::slice::from_ref(year));
        }
        Err(error) => told(error),
    }
    read.into()
}

fn odds(years: &[epw::EpwYear]) {
    let odds = match Odds::of(years) {
        Ok(odds) => odds,
        Err(error) => return told(&error),
    };
    for cell in odds.table().into_iter().flatten().flatten() {
        let shares = [cell.sunshine, cell.states.sun()];
        assert!(shares.iter().all(|s| (-1e-9..=1.0 + 1e-9).contains(s)), "{cell:?}");
    }
}

/// Eight lines of header as they are, the rows after them again and again, each with the
/// month, day and hour that is due.
fn whole_year(data: &[u8]) -> Vec<u8> {
    let mut lines = data.split(|byte| *byte == b'\n');
    let mut year: Vec<u8> = lines.by_ref().take(8).flat_map(|l| [l, b"\n"].concat()).collect();
    let rows: Vec<&[u8]> = lines.filter(|line| !line.is_empty()).take(48).collect();
    let first = NaiveDate::from_ymd_opt(2001, 1, 1).expect("a date");
    let due = first.iter_days().take(365).flat_map(|day| (1..=24).map(move |hour| (day, hour)));
    for ((day, hour), row) in due.zip(rows.iter().cycle()) {
        year.extend(format!("2001,{},{hour}", day.format("%-m,%-d")).bytes());
        for field in row.split(|byte| *byte == b',').skip(4) {
            year.push(b',');
            year.extend(field);
        }
        year.push(b'\n');
    }
    year
}

/// A tile of SRTM. The first line is its name.
pub fn hgt(data: &[u8]) -> Verdict {
    let (name, heights) = match data.iter().position(|byte| *byte == b'\n') {
        Some(at) => (&data[..at], &data[at + 1..]),
        None => (&b""[..], data),
    };
    let filled = heights
        .strip_prefix(REPEATED)
        .filter(|rest| !rest.is_empty())
        .map(|rest| rest.iter().copied().cycle().take(2 * 1201 * 1201).collect::<Vec<u8>>());
    let read = hgt::read(filled.as_deref().unwrap_or(heights), &String::from_utf8_lossy(name));
    match &read {
        Ok(tile) => looked_over(tile),
        Err(error) => told(error),
    }
    read.into()
}

/// Terrain as GeoTIFF.
pub fn geotiff(data: &[u8]) -> Verdict {
    let read = geotiff::read(data, "terrain.tif");
    match &read {
        Ok(tile) => looked_over(tile),
        Err(error) => told(error),
    }
    read.into()
}

/// A tile has a height for each post, and places on it and far from it can be asked for.
fn looked_over(tile: &TerrainTile) {
    assert_eq!(tile.heights.len(), tile.columns * tile.rows);
    assert!(tile.heights.iter().all(|h| !h.is_infinite()));
    let [west, north] = tile.north_west;
    let [east, south] = [tile.step[0] * tile.columns as f64, tile.step[1] * tile.rows as f64];
    for share in [-1.0, -1e-9, 0.0, 0.3, 0.5, 1.0 - 1e-9, 1.0, 2.0, 1e300, f64::NAN] {
        tile.ground([west + share * east, north - share * south]);
        tile.ground([west + share * east, north]);
        tile.ground([share, share]);
    }
    tile.spacing_m(52.0);
    tile.voids();
    let middle = match tile.system {
        System::Geographic => [north - 0.5 * south, west + 0.5 * east],
        System::Utm { .. } => [52.31, -0.42],
    };
    let Ok(from) = Geographic::new(middle[0], middle[1]) else { return };
    let look = Viewpoint {
        from,
        eye_m: 1.7,
        ground_m: None,
        near_m: 100.0,
        far_m: 4_000.0,
        every_deg: 60.0,
    };
    match profile::look(std::slice::from_ref(tile), &look) {
        Ok(seen) => {
            let skyline = seen.skyline();
            assert!(skyline.iter().all(|p| (0.0..360.0).contains(&p[0]) && p[1].abs() <= 90.0));
        }
        Err(error) => told(&error),
    }
}

/// A list of fixtures.
pub fn fixtures(data: &[u8]) -> Verdict {
    let Some(text) = text(data) else { return Verdict::Refused };
    let read = parse_list(text, "list.csv", Path::new("grounds"));
    match &read {
        Ok(list) => {
            assert!(!list.is_empty());
            assert!(list.iter().all(|f| f.latest >= f.earliest && f.line > 1));
        }
        Err(error) => told(error),
    }
    read.into()
}

/// A profile of costs.
pub fn costs(data: &[u8]) -> Verdict {
    let Some(text) = text(data) else { return Verdict::Refused };
    let read = parse_profile(text, "costs.toml");
    match &read {
        Ok(profile) => {
            assert!(CostPart::ALL.iter().all(|p| (0.0..=1000.0).contains(&profile.weight(*p))));
        }
        Err(error) => told(error),
    }
    read.into()
}

/// The demo's fixtures, which rules are held to.
struct Season {
    venues: [Venue; 2],
    fixtures: Vec<Fixture>,
    ties: Vec<Ties>,
}

fn season() -> &'static Season {
    static SEASON: OnceLock<Season> = OnceLock::new();
    SEASON.get_or_init(|| {
        let list = parse_list(FIXTURES, "list.csv", Path::new("")).expect("the demo");
        let fixture = |row: &ListedFixture| Fixture {
            name: row.name.clone(),
            venue: usize::from(row.venue.starts_with("tennis-demo.toml")),
            date: row.date,
            earliest: row.earliest,
            latest: row.latest,
            start: row.start,
            planned: row.planned.unwrap_or(row.earliest),
            duration_min: row.duration_min,
        };
        let ties = |row: &ListedFixture| Ties {
            line: row.line,
            teams: row.teams.clone(),
            crew: row.crew.clone(),
            truck: row.truck.clone(),
        };
        Season {
            venues: [FOOTBALL, TENNIS].map(|text| venue::parse(text, "demo").expect("the demo")),
            fixtures: list.iter().map(fixture).collect(),
            ties: list.iter().map(ties).collect(),
        }
    })
}

/// Rules of a season; those that are read are looked at for a conflict.
pub fn rules(data: &[u8]) -> Verdict {
    let Some(text) = text(data) else { return Verdict::Refused };
    let Season { venues, fixtures, ties } = season();
    let titles = [venues[0].title.as_str(), venues[1].title.as_str()];
    let names: Vec<&str> = fixtures.iter().map(|f| f.name.as_str()).collect();
    let teams: Vec<&str> = ties.iter().flat_map(|t| &t.teams).map(String::as_str).collect();
    let known = KnownNames { venues: &titles, fixtures: &names, teams: &teams };
    let read = parse_rules(text, "rules.toml", &known);
    match &read {
        Ok(rules) => {
            let schedule = Schedule::new(rules, venues, fixtures, ties, 60);
            if let Err(conflict) = schedule.check() {
                assert!(!conflict.members.is_empty());
            }
        }
        Err(error) => told(error),
    }
    read.into()
}

/// A list of grounds.
pub fn grounds(data: &[u8]) -> Verdict {
    let Some(text) = text(data) else { return Verdict::Refused };
    let read = parse_grounds(text, "grounds.csv", Path::new("grounds"));
    match &read {
        Ok(list) => {
            assert!(!list.is_empty());
            let plain = |path: &Path| !path.to_string_lossy().chars().any(char::is_control);
            assert!(list.iter().all(|g| plain(&g.venue) && g.weather.iter().all(|w| plain(w))));
            let once = |i: usize| list[..i].iter().all(|g| g.venue != list[i].venue);
            assert!((0..list.len()).all(once));
        }
        Err(error) => told(error),
    }
    read.into()
}

/// A skyline as a list.
pub fn skyline(data: &[u8]) -> Verdict {
    let Some(text) = text(data) else { return Verdict::Refused };
    let read = csv::read(text, "skyline.csv", Some(0.7));
    match &read {
        Ok(skyline) => {
            assert!(skyline.windows(2).all(|pair| pair[0][0] < pair[1][0]));
            assert!(skyline.iter().all(|p| (0.0..360.0).contains(&p[0]) && p[1].abs() <= 90.0));
        }
        Err(error) => told(error),
    }
    read.into()
}

/// Observations on the demo ground.
pub fn seen(data: &[u8]) -> Verdict {
    static GROUND: OnceLock<Draft> = OnceLock::new();
    let ground = GROUND.get_or_init(|| Draft::parse(FOOTBALL, "demo").expect("the demo"));
    let Some(text) = text(data) else { return Verdict::Refused };
    let read = seen::parse(text, "seen.toml", ground);
    if let Err(error) = &read {
        told(error);
    }
    read.into()
}

/// A block of a year with a column of each kind.
pub fn block(data: &[u8]) -> Verdict {
    let bytes = Bytes::copy_from_slice(data);
    if let Err(error) = jobs::year::report::notes(bytes.clone()) {
        told(&error);
    }
    let read = jobs::year::report::read(bytes, block_columns());
    match &read {
        Ok(table) => {
            assert!(table.len() <= MAX_ROWS);
            assert!(table.cells.iter().all(|cells| cells.len() == table.len()));
        }
        Err(error) => told(error),
    }
    read.into()
}

/// A calendar at the place of a new one. What is written over it has whole lines of 75
/// octets at most, and carries no line of the old one's.
pub fn calendar(data: &[u8]) -> Verdict {
    let earlier = Earlier::read(&String::from_utf8_lossy(data));
    let date = NaiveDate::from_ymd_opt(2027, 6, 21).expect("a date");
    let stamp = chrono::Utc.from_utc_datetime(&date.and_time(NaiveTime::MIN));
    let text = ics::calendar("cues", &[], stamp, &earlier, Some(&["ground", "2027-06-21"]));
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    let mut open = 0;
    for line in text.split_terminator("\r\n") {
        assert!(line.len() <= 75 && !line.contains(['\r', '\n']), "{line:?}");
        open += i32::from(line.starts_with("BEGIN:")) - i32::from(line.starts_with("END:"));
        assert!(open >= 0, "{text}");
    }
    assert_eq!(open, 0, "{text}");
    if earlier == Earlier::default() { Verdict::Refused } else { Verdict::Accepted }
}

/// The manifest of a year's folder; what is read is written again as it was.
pub fn manifest(data: &[u8]) -> Verdict {
    let read = serde_json::from_slice::<Manifest>(data);
    if let Ok(manifest) = &read {
        let text = serde_json::to_vec(manifest).expect("a manifest");
        assert_eq!(serde_json::from_slice::<Manifest>(&text).ok().as_ref(), Some(manifest));
    }
    read.into()
}

/// One column of each kind that the table of a year has, the first.
pub fn block_columns() -> &'static [YearColumn] {
    static COLUMNS: OnceLock<Vec<YearColumn>> = OnceLock::new();
    COLUMNS.get_or_init(|| {
        let venue = venue::parse(TENNIS, "demo").expect("the demo");
        let mut kinds = Vec::new();
        let all = jobs::year::report::columns(&venue).into_iter();
        all.filter(|column| {
            let new = !kinds.contains(&column.what.kind());
            kinds.push(column.what.kind());
            new
        })
        .collect()
    })
}
