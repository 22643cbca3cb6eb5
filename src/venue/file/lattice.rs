//! The table of a lattice.

use schemars::JsonSchema;
use serde::Deserialize;

/// Bars with gaps between them, so that what passes follows the sun's direction: trusses,
/// rakers, slats, gratings, railings.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LatticeTable {
    /// Share of the area that is open, seen square on.
    #[schemars(range(min = 0.01, max = 0.99))]
    pub openness: f64,
    /// Width of a bar, seen square on, metres.
    #[schemars(range(min = 0.001, max = 5))]
    pub bar_width_m: f64,
    /// Depth of a bar through the lattice, metres; round bars when absent.
    #[schemars(range(min = 0.001, max = 20))]
    pub bar_depth_m: Option<f64>,
    /// The ways that bars run, up to 4: degrees from the first side of a panel toward its
    /// inside, from level along a grandstand, or level at an end of it, upward. All ways
    /// alike when absent.
    pub bars_deg: Option<Vec<f64>>,
}
