//! Columns of a split.

use crate::base::units::Stops;
use crate::camera::{Interval, Split, SplitRange};
use crate::output::words;

use super::columns::{Cell, Column};

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
        meaning: "mean luminance of what the camera shows in full sun; empty without direct sun",
        value: |s| Cell::maybe(s.sunlit.map(|side| side.luminance.cd_per_m2())),
    },
    Column {
        name: "shaded_cd_per_m2",
        unit: "cd/m2",
        decimals: 1,
        meaning: "mean luminance of the same places in opaque shade",
        value: |s| Cell::maybe(s.shaded.map(|side| side.luminance.cd_per_m2())),
    },
    Column {
        name: "split_state",
        unit: "word",
        decimals: 0,
        meaning: "in_shot, latent (only one class of light takes more than 2 % of the picture) or no_edge (no direct sun)",
        value: |s| Cell::word(words::split_state(s.state)),
    },
    Column {
        name: "split_stops",
        unit: "stop",
        decimals: 2,
        meaning: "log2 of the luminances of the classes in split_between, brighter over darker, at the same places; 0 or more; empty for no_edge",
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
        meaning: "all_sunlit, all_dimmed or all_shaded where the split is latent, else empty",
        value: |s| words::side(s.state).map_or(Cell::Empty, Cell::word),
    },
    Column {
        name: "sunlit_lx",
        unit: "lx",
        decimals: 0,
        meaning: "mean light on the plane in full sun",
        value: |s| Cell::maybe(s.sunlit.map(|side| side.light.lux())),
    },
    Column {
        name: "shaded_lx",
        unit: "lx",
        decimals: 0,
        meaning: "mean light on the plane in opaque shade",
        value: |s| Cell::maybe(s.shaded.map(|side| side.light.lux())),
    },
    Column {
        name: "sunlit_k",
        unit: "K",
        decimals: 0,
        meaning: "correlated colour temperature of the light in full sun",
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
        meaning: "correlated colour temperature of the light in opaque shade",
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
        meaning: "darker over brighter side of the split; negative where it is bluer",
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
    Column {
        name: "split_between",
        unit: "word",
        decimals: 0,
        meaning: "sun_shade, sun_dimmed or dimmed_shade: the brightest and the darkest class of light in the cover; for a latent split what it would be between",
        value: |s| words::between(s.between).map_or(Cell::Empty, Cell::word),
    },
    Column {
        name: "sun_picture_share",
        unit: "0 to 1",
        decimals: 4,
        meaning: "share of the cover in full sun, each place weighed by what it takes of the picture over the sweep",
        value: |s| share(s, s.shares.sun),
    },
    Column {
        name: "dimmed_picture_share",
        unit: "0 to 1",
        decimals: 4,
        meaning: "the same under translucent bodies only",
        value: |s| share(s, s.shares.dimmed),
    },
    Column {
        name: "shade_picture_share",
        unit: "0 to 1",
        decimals: 4,
        meaning: "the same without direct light",
        value: |s| share(s, s.shares.shade),
    },
    Column {
        name: "dimmed_transmittance",
        unit: "0 to 1",
        decimals: 3,
        meaning: "mean share of the direct light that reaches the dimmed part; empty without one",
        value: |s| Cell::maybe((s.shares.dimmed > 0.0).then_some(s.shares.transmittance)),
    },
    Column {
        name: "dimmed_lx",
        unit: "lx",
        decimals: 0,
        meaning: "mean light on the plane where it is dimmed; empty where that is a sliver or none",
        value: |s| Cell::maybe(s.dimmed_side().map(|side| side.light.lux())),
    },
    Column {
        name: "sun_over_dimmed_stops",
        unit: "stop",
        decimals: 2,
        meaning: "log2 of the luminance in full sun over dimmed, at the same places; empty where dimmed is a sliver or none",
        value: |s| Cell::maybe(s.sun_over_dimmed().map(Stops::stops)),
    },
];

/// Empty where the camera shows nothing of the field.
fn share(split: &Split, share: f64) -> Cell {
    Cell::maybe(split.shaded.map(|_| share))
}
