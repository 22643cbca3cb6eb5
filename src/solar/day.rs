//! Rise, noon and set.

use chrono::DateTime;
use chrono_tz::Tz;

/// The sun's course over one day.
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
