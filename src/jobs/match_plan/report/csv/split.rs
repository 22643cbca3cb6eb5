//! Columns of a split.

use crate::base::units::Stops;
use crate::camera::{Interval, Split, SplitRange};
use crate::output::table::{Column, number, text};
use crate::output::words;

fn low(split: &Split, of: fn(&SplitRange) -> Option<Interval>) -> Option<f64> {
    split.range.as_ref().and_then(of).map(|range| range.low)
}

fn high(split: &Split, of: fn(&SplitRange) -> Option<Interval>) -> Option<f64> {
    split.range.as_ref().and_then(of).map(|range| range.high)
}

/// Cameras are matched to a quarter of a stop: two decimals leave room below.
pub(super) fn of_split<'a>() -> Vec<Column<'a, Split>> {
    vec![
        number(
            "sunlit_cd_per_m2",
            ("cd/m2", 1),
            "mean luminance of what the camera shows in full sun; empty without direct sun",
            |s: &Split| s.sunlit.map(|side| side.luminance.cd_per_m2()),
        ),
        number(
            "shaded_cd_per_m2",
            ("cd/m2", 1),
            "mean luminance of the same places in opaque shade",
            |s: &Split| s.shaded.map(|side| side.luminance.cd_per_m2()),
        ),
        text(
            "split_state",
            "word",
            "in_shot, latent (only one class of light takes more than 2 % of the picture) or no_edge (no direct sun)",
            |s: &Split| words::split_state(s.state).to_owned(),
        ),
        number(
            "split_stops",
            ("stop", 2),
            "log2 of the luminances of the classes in split_between, brighter over darker, at the same places; 0 or more; empty for no_edge",
            |s: &Split| words::stops(s.state),
        ),
        number(
            "split_stops_low",
            ("stop", 2),
            "10th percentile of the split for what is unknown of the air; empty for no_edge and under an overcast sky",
            |s: &Split| low(s, |r| r.stops),
        ),
        number("split_stops_high", ("stop", 2), "90th percentile of it", |s: &Split| {
            high(s, |r| r.stops)
        }),
        number(
            "sunlit_cd_per_m2_low",
            ("cd/m2", 1),
            "10th percentile of the luminance of the sunlit part",
            |s: &Split| low(s, |r| r.sunlit),
        ),
        number("sunlit_cd_per_m2_high", ("cd/m2", 1), "90th percentile of it", |s: &Split| {
            high(s, |r| r.sunlit)
        }),
        number(
            "shaded_cd_per_m2_low",
            ("cd/m2", 1),
            "10th percentile of the luminance of the shaded part",
            |s: &Split| low(s, |r| r.shaded),
        ),
        number("shaded_cd_per_m2_high", ("cd/m2", 1), "90th percentile of it", |s: &Split| {
            high(s, |r| r.shaded)
        }),
        text(
            "side",
            "word",
            "all_sunlit, all_dimmed or all_shaded where the split is latent, else empty",
            |s: &Split| words::side(s.state).unwrap_or_default().to_owned(),
        ),
        number("sunlit_lx", ("lx", 0), "mean light on the plane in full sun", |s: &Split| {
            s.sunlit.map(|side| side.light.lux())
        }),
        number("shaded_lx", ("lx", 0), "mean light on the plane in opaque shade", |s: &Split| {
            s.shaded.map(|side| side.light.lux())
        }),
        number(
            "sunlit_k",
            ("K", 0),
            "correlated colour temperature of the light in full sun",
            |s: &Split| s.sunlit.and_then(|side| words::kelvin(side.light)),
        ),
        number(
            "sunlit_duv",
            ("CIE 1960 uv", 4),
            "its distance from the Planckian locus, positive toward green",
            |s: &Split| s.sunlit.and_then(|side| words::duv(side.light)),
        ),
        number(
            "shaded_k",
            ("K", 0),
            "correlated colour temperature of the light in opaque shade",
            |s: &Split| s.shaded.and_then(|side| words::kelvin(side.light)),
        ),
        number(
            "shaded_duv",
            ("CIE 1960 uv", 4),
            "its distance from the Planckian locus, positive toward green",
            |s: &Split| s.shaded.and_then(|side| words::duv(side.light)),
        ),
        number(
            "colour_gap_mired",
            ("mired", 0),
            "darker over brighter side of the split; negative where it is bluer",
            |s: &Split| s.colour().map(|c| c.mired),
        ),
        number(
            "shade_red_trim_stops",
            ("stop", 2),
            "red gain against green that makes shade white for a camera balanced to the sunlit side; balanced to shade, the sunlit side needs its negative",
            |s: &Split| s.colour().map(|c| c.trims_for_shade.red),
        ),
        number("shade_blue_trim_stops", ("stop", 2), "the same for blue gain", |s: &Split| {
            s.colour().map(|c| c.trims_for_shade.blue)
        }),
        number(
            "swing_stops",
            ("stop", 2),
            "what the sunlit side loses when a cloud covers the sun; empty without direct sun",
            |s: &Split| s.swing.map(|swing| swing.stops.stops()),
        ),
        number("swing_stops_low", ("stop", 2), "10th percentile of the swing", |s: &Split| {
            low(s, |r| r.swing)
        }),
        number("swing_stops_high", ("stop", 2), "90th percentile of it", |s: &Split| {
            high(s, |r| r.swing)
        }),
        number(
            "swing_mired",
            ("mired", 0),
            "what its colour does then; negative is bluer",
            |s: &Split| s.swing.and_then(|swing| swing.mired),
        ),
        number(
            "floodlights_take_stops",
            ("stop", 2),
            "how much narrower the split is than without the floodlights; empty where none are lit",
            |s: &Split| s.floodlights_take.map(Stops::stops),
        ),
        text(
            "split_between",
            "word",
            "sun_shade, sun_dimmed or dimmed_shade: the brightest and the darkest class of light in the cover; for a latent split what it would be between",
            |s: &Split| words::between(s.between).unwrap_or_default().to_owned(),
        ),
        number(
            "sun_picture_share",
            ("0 to 1", 4),
            "share of the cover in full sun, each place weighed by what it takes of the picture over the sweep",
            |s: &Split| share(s, s.shares.sun),
        ),
        number(
            "dimmed_picture_share",
            ("0 to 1", 4),
            "the same under translucent bodies only",
            |s: &Split| share(s, s.shares.dimmed),
        ),
        number(
            "shade_picture_share",
            ("0 to 1", 4),
            "the same without direct light",
            |s: &Split| share(s, s.shares.shade),
        ),
        number(
            "dimmed_transmittance",
            ("0 to 1", 3),
            "mean share of the direct light that reaches the dimmed part; empty without one",
            |s: &Split| (s.shares.dimmed > 0.0).then_some(s.shares.transmittance),
        ),
        number(
            "dimmed_lx",
            ("lx", 0),
            "mean light on the plane where it is dimmed; empty where that is a sliver or none",
            |s: &Split| s.dimmed_side().map(|side| side.light.lux()),
        ),
        number(
            "sun_over_dimmed_stops",
            ("stop", 2),
            "log2 of the luminance in full sun over dimmed, at the same places; empty where dimmed is a sliver or none",
            |s: &Split| s.sun_over_dimmed().map(Stops::stops),
        ),
    ]
}

/// Empty where the camera shows nothing of the field.
fn share(split: &Split, share: f64) -> Option<f64> {
    split.shaded.map(|_| share)
}
