//! The tables of a file of rules, as they stand in it.
//!
//! In: TOML. Out: hours, minutes and kilometres as numbers, dates and times as text; doc comments
//! become the descriptions of the schema.

use schemars::JsonSchema;
use serde::Deserialize;

/// The file.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Quarterstop season rules")]
pub struct RulesFile {
    /// First and last starts and the last end, of all grounds or of some.
    #[serde(default)]
    pub hours: Vec<HoursFile>,
    /// Windows in which fixtures may start, such as those of a broadcaster.
    #[serde(default)]
    pub slot: Vec<SlotFile>,
    /// Whether every start must lie in a slot.
    #[serde(default)]
    pub only_in_slots: bool,
    /// How long a ground, a team, a crew or a truck rests between two fixtures.
    #[serde(default)]
    pub rest: Vec<RestFile>,
    /// How fast crews and trucks travel where no way is stated.
    pub travel: Option<TravelFile>,
    /// How long crews and trucks travel between two grounds.
    #[serde(default)]
    pub way: Vec<WayFile>,
    /// What is wished for, and how much.
    #[serde(default)]
    pub prefer: Vec<PreferFile>,
    /// How much it counts that a fixture stays at its planned start; left out: not at all.
    pub stay_planned: Option<StrengthFile>,
}

/// Hours of starts and ends.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoursFile {
    /// Titles of venues; left out: all.
    #[serde(default)]
    pub venues: Vec<String>,
    /// Left out: all days.
    #[serde(default)]
    pub days: Vec<DayFile>,
    /// HH:MM.
    pub first_start: Option<String>,
    pub last_start: Option<String>,
    /// When play must be over.
    pub last_end: Option<String>,
}

/// A window of starts.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SlotFile {
    pub name: String,
    /// Left out: all days.
    #[serde(default)]
    pub days: Vec<DayFile>,
    /// YYYY-MM-DD; left out: all dates.
    #[serde(default)]
    pub dates: Vec<String>,
    /// First and last start in it, HH:MM.
    pub from: String,
    pub until: String,
    /// Fixtures that may start in it on one day; left out: any number.
    #[schemars(range(min = 0, max = 1000))]
    pub max_fixtures: Option<u32>,
    /// Fixtures that must start in it on each of its days on which there are fixtures.
    #[schemars(range(min = 1, max = 1000))]
    pub min_fixtures: Option<u32>,
    /// Minutes between starts in it on one day.
    #[schemars(range(min = 1, max = 1440))]
    pub apart_min: Option<u32>,
}

/// A rest.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RestFile {
    pub of: SharedFile,
    /// From the end of play to the next start; for crews and trucks the way comes on top.
    #[schemars(range(min = 0, max = 500))]
    pub hours: f64,
}

/// What two fixtures may have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SharedFile {
    Venue,
    Team,
    Crew,
    Truck,
}

/// Travel where no way is stated.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TravelFile {
    /// Kilometres an hour along the straight line between two grounds: less than on the road.
    #[schemars(range(min = 1, max = 1000))]
    pub straight_km_per_h: f64,
}

/// A way.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WayFile {
    /// Titles of two venues.
    pub between: [String; 2],
    #[schemars(range(min = 0, max = 500))]
    pub hours: f64,
}

/// A wish.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PreferFile {
    /// Wished first and last start, HH:MM.
    pub from: String,
    pub until: String,
    pub weight: StrengthFile,
    /// Which fixtures: those that fit all that is given; nothing given: all.
    #[serde(default)]
    pub fixtures: Vec<String>,
    #[serde(default)]
    pub venues: Vec<String>,
    #[serde(default)]
    pub teams: Vec<String>,
    #[serde(default)]
    pub days: Vec<DayFile>,
    /// For whom or why, as it is shown.
    pub reason: Option<String>,
}

/// How much a wish counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum StrengthFile {
    /// As 5 minutes in which a camera must expose for sun or for shade.
    Slight,
    /// As 15.
    Normal,
    /// As 60.
    Strong,
}

/// A day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum DayFile {
    Mon,
    Tue,
    Wed,
    Thu,
    Fri,
    Sat,
    Sun,
}
