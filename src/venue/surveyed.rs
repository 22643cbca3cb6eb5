//! Where a number of the venue file comes from, and how far it may be off.

use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::draft::Address;

/// What is known of one number of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Surveyed {
    /// Which number.
    pub what: Address,
    /// Its standard error, in the unit of the key; greater than zero.
    pub plus_minus: f64,
    pub how: How,
    /// When it was measured.
    pub on: Option<NaiveDate>,
    pub note: Option<String>,
}

/// How a number was come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum How {
    Tape,
    Laser,
    Clinometer,
    Theodolite,
    Compass,
    Drawing,
    Map,
    /// By `quarterstop fit`, from observations.
    Fitted,
    Guess,
}

impl How {
    /// The word in the file.
    pub fn word(self) -> &'static str {
        match self {
            Self::Tape => "tape",
            Self::Laser => "laser",
            Self::Clinometer => "clinometer",
            Self::Theodolite => "theodolite",
            Self::Compass => "compass",
            Self::Drawing => "drawing",
            Self::Map => "map",
            Self::Fitted => "fitted",
            Self::Guess => "guess",
        }
    }
}
