//! Tables of what moves, and the days on which a thing stands.

use schemars::JsonSchema;
use serde::Deserialize;

/// Something that stands in one of several states: a roof that opens, a screen that is
/// lowered.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MovingTable {
    pub name: String,
    /// The state it is in where no move says another; the first when absent.
    pub usual: Option<String>,
    /// Its states, two or more.
    #[serde(default)]
    pub state: Vec<StateTable>,
}

/// One state of a moving thing.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StateTable {
    pub name: String,
    /// What differs in this state from how the tables of its parts draw them.
    #[serde(default)]
    pub part: Vec<StatePartTable>,
}

/// How one thing stands in a state.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatePartTable {
    /// Name of a stand, bowl, solid, tree, panel or mesh.
    pub what: String,
    /// All of it, or its roof alone.
    #[serde(default)]
    pub only: StatePart,
    /// Moved by `[along, across, up]`, metres.
    pub shift_m: Option<[f64; 3]>,
    /// Of a panel: other corners, `[along, across, up]` metres.
    pub corners: Option<Vec<[f64; 3]>>,
    /// Share of light that passes in this state, 0 to 1.
    #[schemars(range(min = 0, max = 1))]
    pub transmittance: Option<f64>,
    /// How much of what passes is scattered, 0 to 1; none when absent, as through gaps.
    #[schemars(range(min = 0, max = 1))]
    pub scattered_share: Option<f64>,
    /// Not there at all in this state.
    #[serde(default)]
    pub gone: bool,
}

/// What of a thing a state moves.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StatePart {
    #[default]
    All,
    Roof,
}

/// A change of state by the clock.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MoveTable {
    /// Name of a moving thing.
    pub what: String,
    /// The state that it is in from then on, to the next move or the end of the day.
    pub to: String,
    /// Local time of the day, "HH:MM".
    pub at: String,
    /// The day, "YYYY-MM-DD"; every day when absent. On a day with moves of its own those
    /// of every day do not count.
    pub on: Option<String>,
}

/// Days on which a thing is there.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
pub struct Days {
    /// First day on which it stands, "YYYY-MM-DD"; always before, when absent.
    pub stands_from: Option<String>,
    /// Last day on which it stands, "YYYY-MM-DD"; always after, when absent.
    pub stands_until: Option<String>,
}
