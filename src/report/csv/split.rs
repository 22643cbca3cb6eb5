//! Columns of a split.

use super::columns::{Cell, Column};
use crate::camera::{Interval, Split, SplitRange};
use crate::report::words;
use crate::units::Stops;

fn low(split: &Split, of: fn(&SplitRange) -> Option<Interval>) -> Cell {
    Cell::maybe(split.range.as_ref().and_then(of).map(|range| range.low))
}

fn high(split: &Split, of: fn(&SplitRange) -> Option<Interval>) -> Cell {
    Cell::maybe(split.range.as_ref().and_then(of).map(|range| range.high))
}

/// Cameras are matched to a quarter of a stop: two decimals leave room below.
pub(super) const SPLIT: &[Column<Split>] = &[
    Column {
        name: "sunlit_cd_per_m2",
        unit: "cd/m2",
        decimals: 1,
        meaning: "mean luminance of the sunlit part; empty without direct sun",
        value: |s| Cell::maybe(s.sunlit.map(|side| side.luminance.cd_per_m2())),
    },
    Column {
        name: "shaded_cd_per_m2",
        unit: "cd/m2",
        decimals: 1,
        meaning: "mean luminance of the shaded part",
        value: |s| Cell::maybe(s.shaded.map(|side| side.luminance.cd_per_m2())),
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
        name: "split_stops_low",
        unit: "stop",
        decimals: 2,
        meaning: "10th percentile of the split for what is unknown of the air; empty for no_edge and under an overcast sky",
        value: |s| low(s, |r| r.stops),
    },
    Column {
        name: "split_stops_high",
        unit: "stop",
        decimals: 2,
        meaning: "90th percentile of it",
        value: |s| high(s, |r| r.stops),
    },
    Column {
        name: "sunlit_cd_per_m2_low",
        unit: "cd/m2",
        decimals: 1,
        meaning: "10th percentile of the luminance of the sunlit part",
        value: |s| low(s, |r| r.sunlit),
    },
    Column {
        name: "sunlit_cd_per_m2_high",
        unit: "cd/m2",
        decimals: 1,
        meaning: "90th percentile of it",
        value: |s| high(s, |r| r.sunlit),
    },
    Column {
        name: "shaded_cd_per_m2_low",
        unit: "cd/m2",
        decimals: 1,
        meaning: "10th percentile of the luminance of the shaded part",
        value: |s| low(s, |r| r.shaded),
    },
    Column {
        name: "shaded_cd_per_m2_high",
        unit: "cd/m2",
        decimals: 1,
        meaning: "90th percentile of it",
        value: |s| high(s, |r| r.shaded),
    },
    Column {
        name: "side",
        unit: "word",
        decimals: 0,
        meaning: "all_sunlit or all_shaded where the split is latent, else empty",
        value: |s| words::side(s.state).map_or(Cell::Empty, Cell::word),
    },
    Column {
        name: "sunlit_lx",
        unit: "lx",
        decimals: 0,
        meaning: "mean light on the plane on the sunlit side",
        value: |s| Cell::maybe(s.sunlit.map(|side| side.light.lux())),
    },
    Column {
        name: "shaded_lx",
        unit: "lx",
        decimals: 0,
        meaning: "mean light on the plane on the shaded side",
        value: |s| Cell::maybe(s.shaded.map(|side| side.light.lux())),
    },
    Column {
        name: "sunlit_k",
        unit: "K",
        decimals: 0,
        meaning: "correlated colour temperature of the light on the sunlit side",
        value: |s| Cell::maybe(s.sunlit.and_then(|side| words::kelvin(side.light))),
    },
    Column {
        name: "sunlit_duv",
        unit: "CIE 1960 uv",
        decimals: 4,
        meaning: "its distance from the Planckian locus, positive toward green",
        value: |s| Cell::maybe(s.sunlit.and_then(|side| words::duv(side.light))),
    },
    Column {
        name: "shaded_k",
        unit: "K",
        decimals: 0,
        meaning: "correlated colour temperature of the light on the shaded side",
        value: |s| Cell::maybe(s.shaded.and_then(|side| words::kelvin(side.light))),
    },
    Column {
        name: "shaded_duv",
        unit: "CIE 1960 uv",
        decimals: 4,
        meaning: "its distance from the Planckian locus, positive toward green",
        value: |s| Cell::maybe(s.shaded.and_then(|side| words::duv(side.light))),
    },
    Column {
        name: "colour_gap_mired",
        unit: "mired",
        decimals: 0,
        meaning: "shaded over sunlit side; negative where shade is bluer",
        value: |s| Cell::maybe(s.colour().map(|c| c.mired)),
    },
    Column {
        name: "shade_red_trim_stops",
        unit: "stop",
        decimals: 2,
        meaning: "red gain against green that makes shade white for a camera balanced to the sunlit side; balanced to shade, the sunlit side needs its negative",
        value: |s| Cell::maybe(s.colour().map(|c| c.trims_for_shade.red)),
    },
    Column {
        name: "shade_blue_trim_stops",
        unit: "stop",
        decimals: 2,
        meaning: "the same for blue gain",
        value: |s| Cell::maybe(s.colour().map(|c| c.trims_for_shade.blue)),
    },
    Column {
        name: "swing_stops",
        unit: "stop",
        decimals: 2,
        meaning: "what the sunlit side loses when a cloud covers the sun; empty without direct sun",
        value: |s| Cell::maybe(s.swing.map(|swing| swing.stops.stops())),
    },
    Column {
        name: "swing_stops_low",
        unit: "stop",
        decimals: 2,
        meaning: "10th percentile of the swing",
        value: |s| low(s, |r| r.swing),
    },
    Column {
        name: "swing_stops_high",
        unit: "stop",
        decimals: 2,
        meaning: "90th percentile of it",
        value: |s| high(s, |r| r.swing),
    },
    Column {
        name: "swing_mired",
        unit: "mired",
        decimals: 0,
        meaning: "what its colour does then; negative is bluer",
        value: |s| Cell::maybe(s.swing.and_then(|swing| swing.mired)),
    },
    Column {
        name: "floodlights_take_stops",
        unit: "stop",
        decimals: 2,
        meaning: "how much narrower the split is than without the floodlights; empty where none are lit",
        value: |s| Cell::maybe(s.floodlights_take.map(Stops::stops)),
    },
];
