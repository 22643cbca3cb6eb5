//! What a fit gives: plain data, the same for text and JSON.

use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::Serialize;

use crate::venue::Unit;

use super::seen::{Errors, Observation};

/// Name and version of the JSON.
pub const FORMAT: &str = "quarterstop.fit/1";

/// Everything found.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[schemars(title = "Quarterstop fit")]
pub struct Fit {
    /// Name and version of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Title of the venue.
    pub venue: String,
    /// How stated errors were taken.
    pub errors: Errors,
    /// What standard errors of unknowns were multiplied by: 1 for errors as
    /// stated, else the root of chi-square over degrees of freedom.
    pub noise_scale: f64,
    /// Which distribution the intervals come from.
    pub intervals: Intervals,
    pub unknowns: Vec<Found>,
    /// Correlation of the unknowns, in their order; 0 where one is not told.
    pub correlations: Vec<Vec<f64>>,
    /// Observations that took part, priors last.
    pub observations: Vec<Judged>,
    /// Observations that could not take part.
    pub left_out: Vec<LeftOut>,
    /// Sum of squares of residuals in standard errors.
    pub chi_square: f64,
    /// Observations less unknowns that are told.
    pub degrees_of_freedom: usize,
    /// Chance of a chi-square this large or larger, 0 to 1; absent without degrees
    /// of freedom.
    pub chance: Option<f64>,
    pub verdict: FitVerdict,
    /// Changes that no observation notices: each moves its unknowns together.
    pub blind: Vec<Vec<Move>>,
    /// Pairs of unknowns that are strongly correlated.
    pub entangled: Vec<Pair>,
    /// The observation that looks wrong.
    pub suspect: Option<Suspect>,
    /// Slips, each of which would explain what does not fit, best first.
    pub explanations: Vec<Explanation>,
    /// An unknown that rests on one observation, which the first explanation reads
    /// otherwise.
    pub rests_on_one: Option<String>,
    /// Results that are not plausible.
    pub implausible: Vec<Implausible>,
    /// Whether search and edges converged.
    pub settled: bool,
    /// What to look at next, best first.
    pub next: Vec<Advice>,
    /// Day of the last observation.
    #[schemars(with = "Option<String>")]
    pub last_day: Option<NaiveDate>,
}

/// Where 95 % intervals come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Intervals {
    /// The normal distribution: errors are as stated.
    Normal,
    /// Student's t: errors were found from the observations.
    StudentT,
}

/// One unknown.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Found {
    /// Its address.
    pub name: String,
    pub unit: Unit,
    /// Where the search started.
    pub start: f64,
    pub value: f64,
    /// Absent where the observations cannot tell.
    pub standard_error: Option<f64>,
    /// 95 % interval; absent where the observations cannot tell.
    pub interval_95: Option<[f64; 2]>,
    /// Whether the search stopped at a limit.
    pub at_limit: bool,
}

/// One observation against the fit.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Judged {
    pub label: String,
    /// Where it stands in the file of observations.
    pub key: String,
    pub unit: Unit,
    /// Observed less fitted, in `unit`.
    pub residual: f64,
    /// Standard error of the observation, time and place together, in `unit`.
    pub error: f64,
    /// Residual in standard errors.
    pub residual_in_errors: f64,
    /// Residual over its own standard error after the fit; absent where nothing
    /// else checks the observation.
    pub studentised: Option<f64>,
    /// Chance that one of all observations lies this far out by accident, 0 to 1
    /// (Bonferroni).
    pub chance: Option<f64>,
    /// Weight in the robust fit, 0 (does not fit the others) to 1; absent where
    /// nothing asked for one.
    pub weight: Option<f64>,
    /// What throws the edge, or has it.
    pub edge_of: Option<String>,
}

/// An observation that took no part.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LeftOut {
    pub label: String,
    pub key: String,
    pub why: String,
    /// Whether it speaks against the numbers: with them it could not have been made.
    pub contradicts: bool,
}

/// What chi-square says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(rename = "Verdict")]
pub enum FitVerdict {
    /// As far off as their errors say.
    Agree,
    /// Farther off than their errors say.
    TooFarOff,
    /// Nearer than their errors say.
    TooNear,
    /// As many observations as unknowns, or fewer: nothing checks anything.
    Unchecked,
    /// Errors were found from the observations, so these cannot judge them.
    NotAsked,
}

/// A change of one unknown.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Move {
    pub name: String,
    pub by: f64,
    pub unit: Unit,
}

/// Two unknowns.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Pair {
    pub first: String,
    pub second: String,
    pub correlation: f64,
}

/// An observation that looks wrong.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Suspect {
    pub label: String,
    pub key: String,
    /// Residual over its standard error.
    pub studentised: f64,
    /// Chance that one of all lies this far out by accident.
    pub chance: f64,
    /// The unknowns without it, in their order; absent where the rest is not
    /// enough.
    pub without: Option<Vec<f64>>,
}

/// A slip in the observations that would explain what does not fit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Explanation {
    /// In words: what would have to be read otherwise.
    pub what: String,
    pub slip: Slip,
    /// Observations that it is about.
    pub keys: Vec<String>,
    /// Observations that do not fit even then, and were left out.
    pub without: Vec<String>,
    /// Sum of squares of residuals in standard errors then.
    pub chi_square: f64,
    /// Chance of a chi-square this large or larger, 0 to 1; absent without degrees
    /// of freedom.
    pub chance: Option<f64>,
    /// The unknowns then, in their order.
    pub unknowns: Vec<f64>,
}

/// Slips that are looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Slip {
    /// One time is off by whole hours.
    Hours,
    /// All times of a day are off by whole hours: a watch not set to summer time.
    SessionHours,
    /// Left and right were taken for each other.
    LeftRight,
    /// Ahead and behind were taken for each other.
    AheadBehind,
    /// The line was measured, or the bearing taken, from its other end.
    OtherEnd,
    /// Two observations have each other's place.
    Exchanged,
}

/// A result that is not plausible.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Implausible {
    /// Name of the unknown.
    pub name: String,
    pub value: f64,
    pub unit: Unit,
    /// What is plausible, in words.
    pub why: String,
}

/// An observation to make.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Advice {
    /// What to do, when and where, with the reading to expect.
    pub what: String,
    /// The unknown that is known worst.
    pub unknown: String,
    pub unit: Unit,
    /// Standard error of that unknown now; absent where it cannot be told yet.
    pub error_now: Option<f64>,
    /// What it would be with this observation.
    pub error_then: f64,
    /// The observation itself, as predicted.
    #[serde(skip)]
    #[schemars(skip)]
    pub observation: Observation,
}
