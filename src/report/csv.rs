//! The CSV of a match: one row for each instant, wide.
//!
//! In: a venue and its [`MatchPlan`]. Out: RFC 4180 text (UTF-8, comma, CRLF,
//! one header row). Every column name says its unit; decimals follow from what
//! the number is good for; an absent value is an empty field.
//!
//! The tables below are the one list of columns: the header, the rows and the
//! documentation ([`columns`]) all come from them.

use crate::camera::Split;
use crate::geometry::ShadeShare;
use crate::plan::facts::Target;
use crate::plan::{Instant, MatchPlan, PlaneShade};
use crate::units::Luminance;
use crate::venue::Venue;

use super::slug::unique_ids;
use super::words;

/// Why the table could not be put into bytes.
#[derive(Debug, thiserror::Error)]
#[error("the CSV could not be put together: {0}")]
pub struct CsvError(#[from] csv::Error);

/// One column, or a family of columns, as the documentation lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnDoc {
    /// The name; `<zone>` and `<camera>` stand for the ids of the venue's own.
    pub name: String,
    /// Unit or form of the value.
    pub unit: &'static str,
    /// What it says.
    pub meaning: String,
}

enum Cell {
    Text(String),
    Number(f64),
    Empty,
}

impl Cell {
    fn maybe(number: Option<f64>) -> Self {
        number.map_or(Cell::Empty, Cell::Number)
    }

    fn word(word: &str) -> Self {
        Cell::Text(word.to_owned())
    }
}

struct Column<T> {
    name: &'static str,
    unit: &'static str,
    decimals: usize,
    meaning: &'static str,
    value: fn(&T) -> Cell,
}

impl<T> Column<T> {
    fn render(&self, of: &T) -> String {
        match (self.value)(of) {
            Cell::Text(text) => text,
            Cell::Number(number) if number.is_finite() => words::fixed(number, self.decimals),
            Cell::Number(_) | Cell::Empty => String::new(),
        }
    }

    fn doc(&self, prefix: &str, of: &str) -> ColumnDoc {
        ColumnDoc {
            name: format!("{prefix}{}", self.name),
            unit: self.unit,
            meaning: format!("{}{of}", self.meaning),
        }
    }
}

/// The sun's place is good to 0.01 degree, hence two decimals; illuminance to a
/// few per cent, hence whole lux.
const INSTANT: &[Column<Instant>] = &[
    Column {
        name: "time",
        unit: "RFC 3339",
        decimals: 0,
        meaning: "time in the venue's zone, with its offset",
        value: |i| Cell::Text(words::local_time(i.at)),
    },
    Column {
        name: "time_utc",
        unit: "RFC 3339",
        decimals: 0,
        meaning: "the same time in UTC",
        value: |i| Cell::Text(words::utc_time(i.at)),
    },
    Column {
        name: "sun_azimuth_deg",
        unit: "degree",
        decimals: 2,
        meaning: "clockwise from true north",
        value: |i| Cell::Number(i.sun.azimuth.degrees()),
    },
    Column {
        name: "sun_apparent_elevation_deg",
        unit: "degree",
        decimals: 2,
        meaning: "above the level horizon, with refraction",
        value: |i| Cell::Number(i.sun.apparent_elevation.degrees()),
    },
    Column {
        name: "sun_true_elevation_deg",
        unit: "degree",
        decimals: 2,
        meaning: "above the level horizon, without refraction",
        value: |i| Cell::Number(i.sun.true_elevation.degrees()),
    },
    Column {
        name: "sun_state",
        unit: "word",
        decimals: 0,
        meaning: "up, behind_skyline or down",
        value: |i| Cell::word(words::sun_state(i.sun_state)),
    },
    Column {
        name: "direct_normal_lx",
        unit: "lx",
        decimals: 0,
        meaning: "from the sun, on a plane facing it, nothing in the way",
        value: |i| Cell::Number(i.daylight.direct_normal.lux()),
    },
    Column {
        name: "direct_horizontal_lx",
        unit: "lx",
        decimals: 0,
        meaning: "from the sun, on the horizontal, nothing in the way",
        value: |i| Cell::Number(i.daylight.direct_horizontal.lux()),
    },
    Column {
        name: "diffuse_horizontal_lx",
        unit: "lx",
        decimals: 0,
        meaning: "from the whole sky, on the horizontal, nothing in the way",
        value: |i| Cell::Number(i.daylight.diffuse_horizontal.lux()),
    },
    Column {
        name: "turf_edge_penumbra_narrowest_m",
        unit: "m",
        decimals: 2,
        meaning: "narrowest penumbra along the edge, on the turf (0 m); empty without an edge",
        value: |i| Cell::maybe(i.turf.penumbra_range_m().map(|w| w.0)),
    },
    Column {
        name: "turf_edge_penumbra_widest_m",
        unit: "m",
        decimals: 2,
        meaning: "widest penumbra along the edge, on the turf (0 m); empty without an edge",
        value: |i| Cell::maybe(i.turf.penumbra_range_m().map(|w| w.1)),
    },
    Column {
        name: "face_edge_penumbra_narrowest_m",
        unit: "m",
        decimals: 2,
        meaning: "narrowest penumbra along the edge, at face height (1.7 m); empty without an edge",
        value: |i| Cell::maybe(i.face.penumbra_range_m().map(|w| w.0)),
    },
    Column {
        name: "face_edge_penumbra_widest_m",
        unit: "m",
        decimals: 2,
        meaning: "widest penumbra along the edge, at face height (1.7 m); empty without an edge",
        value: |i| Cell::maybe(i.face.penumbra_range_m().map(|w| w.1)),
    },
];

/// Four decimals of a share are under a square metre of a football field.
const SHARE: &[Column<ShadeShare>] = &[
    Column {
        name: "opaque_share",
        unit: "0 to 1",
        decimals: 4,
        meaning: "share of the area without any direct light",
        value: |s| Cell::Number(s.opaque),
    },
    Column {
        name: "shaded_share",
        unit: "0 to 1",
        decimals: 4,
        meaning: "share of the area not in full sun",
        value: |s| Cell::Number(s.shaded),
    },
    Column {
        name: "mean_transmission",
        unit: "0 to 1",
        decimals: 4,
        meaning: "mean share of the direct light that arrives",
        value: |s| Cell::Number(s.mean_transmission),
    },
];

/// Cameras are matched to a quarter of a stop: two decimals leave room below.
const SPLIT: &[Column<Split>] = &[
    Column {
        name: "sunlit_cd_per_m2",
        unit: "cd/m2",
        decimals: 1,
        meaning: "mean luminance of the sunlit part; empty without direct sun",
        value: |s| Cell::maybe(s.sunlit.map(Luminance::cd_per_m2)),
    },
    Column {
        name: "shaded_cd_per_m2",
        unit: "cd/m2",
        decimals: 1,
        meaning: "mean luminance of the shaded part",
        value: |s| Cell::maybe(s.shaded.map(Luminance::cd_per_m2)),
    },
    Column {
        name: "split_state",
        unit: "word",
        decimals: 0,
        meaning: "in_shot, latent (only one side in the cover) or no_edge (no direct sun)",
        value: |s| Cell::word(words::split_state(s.state)),
    },
    Column {
        name: "split_stops",
        unit: "stop",
        decimals: 2,
        meaning: "log2 of sunlit over shaded luminance; empty for no_edge",
        value: |s| Cell::maybe(words::stops(s.state)),
    },
    Column {
        name: "side",
        unit: "word",
        decimals: 0,
        meaning: "all_sunlit or all_shaded where the split is latent, else empty",
        value: |s| words::side(s.state).map_or(Cell::Empty, Cell::word),
    },
];

/// A plane, its prefix in column names, and how the documentation calls it.
struct Plane {
    prefix: &'static str,
    meaning: &'static str,
    of: fn(&Instant) -> &PlaneShade,
}

const PLANES: [Plane; 2] = [
    Plane { prefix: "turf", meaning: "on the turf (0 m)", of: |i| &i.turf },
    Plane { prefix: "face", meaning: "at face height (1.7 m)", of: |i| &i.face },
];

const SHADED_COVER: &str = "shaded_share";

/// The splits of a camera, in the order of their columns.
const TARGETS: [Target; 2] = [Target::Turf, Target::Subject];

fn target_word(target: Target) -> &'static str {
    match target {
        Target::Turf => "turf",
        Target::Subject => "subject",
    }
}

/// Every column in order, families of columns once, for the documentation.
pub fn columns() -> Vec<ColumnDoc> {
    let mut list: Vec<ColumnDoc> = INSTANT.iter().map(|c| c.doc("", "")).collect();
    for plane in &PLANES {
        let field = format!("{}_field_", plane.prefix);
        let of_field = format!(", field of play, {}", plane.meaning);
        list.extend(SHARE.iter().map(|c| c.doc(&field, &of_field)));
        let zone = format!("{}_zone_<zone>_", plane.prefix);
        let of_zone = format!(", zone, {}", plane.meaning);
        list.extend(SHARE.iter().map(|c| c.doc(&zone, &of_zone)));
    }
    list.push(ColumnDoc {
        name: format!("camera_<camera>_{SHADED_COVER}"),
        unit: "0 to 1",
        meaning: "share of the cover's turf not in full sun; empty without a cover".to_owned(),
    });
    for target in TARGETS.map(target_word) {
        let prefix = format!("camera_<camera>_{target}_");
        let of_target = format!(", {target}");
        list.extend(SPLIT.iter().map(|c| c.doc(&prefix, &of_target)));
    }
    list
}

/// [`columns`] as a Markdown table.
pub fn columns_markdown() -> String {
    let mut text = String::from("| column | unit | meaning |\n| --- | --- | --- |\n");
    for column in columns() {
        text += &format!("| `{}` | {} | {} |\n", column.name, column.unit, column.meaning);
    }
    text
}

/// The header row of a venue.
pub fn header(venue: &Venue) -> Vec<String> {
    let zones = unique_ids(venue.zones.iter().map(|z| z.name.as_str()), "zone");
    let cameras = unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera");
    let mut header: Vec<String> = INSTANT.iter().map(|c| c.name.to_owned()).collect();
    for Plane { prefix, .. } in &PLANES {
        header.extend(SHARE.iter().map(|c| format!("{prefix}_field_{}", c.name)));
        for zone in &zones {
            header.extend(SHARE.iter().map(|c| format!("{prefix}_zone_{zone}_{}", c.name)));
        }
    }
    for camera in &cameras {
        header.push(format!("camera_{camera}_{SHADED_COVER}"));
        for target in TARGETS.map(target_word) {
            header.extend(SPLIT.iter().map(|c| format!("camera_{camera}_{target}_{}", c.name)));
        }
    }
    header
}

fn row(venue: &Venue, plan: &MatchPlan, instant: &Instant) -> Vec<String> {
    let mut row: Vec<String> = INSTANT.iter().map(|c| c.render(instant)).collect();
    for Plane { of, .. } in &PLANES {
        let shade = of(instant);
        row.extend(SHARE.iter().map(|c| c.render(&shade.field)));
        for (index, _) in venue.zones.iter().enumerate() {
            row.extend(cells(SHARE, shade.zones.get(index)));
        }
    }
    for (index, _) in venue.cameras.iter().enumerate() {
        let view = instant.cameras.get(index);
        let covers = plan.covers.get(index).is_some_and(|c| c.area_m2 > 0.0);
        let share = view.filter(|_| covers).map(|v| v.shaded_share);
        row.push(share.filter(|s| s.is_finite()).map_or_else(String::new, |s| words::fixed(s, 4)));
        for target in TARGETS {
            row.extend(cells(SPLIT, view.map(|v| target.split(v))));
        }
    }
    row
}

/// One field for each column, all empty where there is nothing to write.
fn cells<T>(columns: &[Column<T>], of: Option<&T>) -> Vec<String> {
    let cell = |c: &Column<T>| of.map_or_else(String::new, |of| c.render(of));
    columns.iter().map(cell).collect()
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no venue and plan of the same
/// run should cause.
pub fn write(venue: &Venue, plan: &MatchPlan) -> Result<Vec<u8>, CsvError> {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(header(venue))?;
    for instant in &plan.instants {
        writer.write_record(row(venue, plan, instant))?;
    }
    writer.into_inner().map_err(|e| CsvError(csv::Error::from(e.into_error())))
}
