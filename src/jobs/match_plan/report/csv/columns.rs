//! Columns of an instant and of an area: name, unit, decimals, meaning, value.

use crate::engine::Instant;
use crate::geometry::ShadeShare;
use crate::light::Tristimulus;
use crate::output::words;

use super::ColumnDoc;

pub(super) enum Cell {
    Text(String),
    Number(f64),
    Empty,
}

impl Cell {
    pub fn maybe(number: Option<f64>) -> Self {
        number.map_or(Cell::Empty, Cell::Number)
    }

    pub fn word(word: &str) -> Self {
        Cell::Text(word.to_owned())
    }
}

pub(super) struct Column<T> {
    pub name: &'static str,
    pub unit: &'static str,
    pub decimals: usize,
    pub meaning: &'static str,
    pub value: fn(&T) -> Cell,
}

impl<T> Column<T> {
    pub fn render(&self, of: &T) -> String {
        match (self.value)(of) {
            Cell::Text(text) => text,
            Cell::Number(number) if number.is_finite() => words::fixed(number, self.decimals),
            Cell::Number(_) | Cell::Empty => String::new(),
        }
    }

    pub fn doc(&self, prefix: &str, of: &str) -> ColumnDoc {
        ColumnDoc {
            name: format!("{prefix}{}", self.name),
            unit: self.unit,
            meaning: format!("{}{of}", self.meaning),
        }
    }
}

/// The sun's place is good to 0.01 degree, hence two decimals; illuminance to a
/// few per cent, hence whole lux.
pub(super) const INSTANT: &[Column<Instant>] = &[
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
        name: "sun_colour_temperature_k",
        unit: "K",
        decimals: 0,
        meaning: "correlated colour temperature of the direct light; empty without it",
        value: |i| Cell::maybe(words::kelvin(i.daylight.direct_normal)),
    },
    Column {
        name: "sky_colour_temperature_k",
        unit: "K",
        decimals: 0,
        meaning: "of the whole sky's light on the horizontal; bluer than 100 000 K is told as that",
        value: |i| Cell::maybe(words::kelvin(i.daylight.diffuse_horizontal)),
    },
    Column {
        name: "floodlights",
        unit: "word",
        decimals: 0,
        meaning: "none (the file states none), off or lit; light that is lit is part of all that follows",
        value: |i| Cell::word(words::floodlight(i.floodlight)),
    },
    Column {
        name: "field_in_sun_lx",
        unit: "lx",
        decimals: 0,
        meaning: "on the turf in full sun, mean over the field; empty without direct sun",
        value: |i| Cell::maybe(i.field_light.in_sun.map(Tristimulus::lux)),
    },
    Column {
        name: "field_in_shade_lx",
        unit: "lx",
        decimals: 0,
        meaning: "on the turf in opaque shade, mean over the field",
        value: |i| Cell::Number(i.field_light.in_shade.lux()),
    },
    Column {
        name: "field_under_cloud_lx",
        unit: "lx",
        decimals: 0,
        meaning: "on the turf when a cloud covers the sun that now shines, mean over the field",
        value: |i| Cell::maybe(i.field_light.under_cloud.map(Tristimulus::lux)),
    },
    Column {
        name: "field_in_sun_k",
        unit: "K",
        decimals: 0,
        meaning: "colour temperature on the turf in full sun",
        value: |i| Cell::maybe(i.field_light.in_sun.and_then(words::kelvin)),
    },
    Column {
        name: "field_in_shade_k",
        unit: "K",
        decimals: 0,
        meaning: "colour temperature on the turf in opaque shade",
        value: |i| Cell::maybe(words::kelvin(i.field_light.in_shade)),
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
pub(super) const SHARE: &[Column<ShadeShare>] = &[
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
