//! Rise, noon and set of a day.

use chrono::DateTime;
use chrono_tz::Tz;

/// When the sun rises and sets on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SunDay {
    RisesAndSets {
        rise: DateTime<Tz>,
        noon: DateTime<Tz>,
        set: DateTime<Tz>,
    },
    PolarDay {
        noon: DateTime<Tz>,
    },
    PolarNight {
        noon: DateTime<Tz>,
    },
}
