//! The clock of the day: the real one, or one of a rehearsal.
//!
//! In: a start and a speed. Out: the time now. All screens go by the server's clock.

use std::time::Instant;

use chrono::{DateTime, TimeDelta, Utc};

/// How fast a rehearsal may run.
pub const SPEEDS: std::ops::RangeInclusive<f64> = 0.1..=120.0;

/// The time of the day.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    Real,
    /// From a time on, so many seconds in each.
    Rehearsal {
        from: DateTime<Utc>,
        since: Instant,
        speed: f64,
    },
}

impl Clock {
    /// A rehearsal that begins now.
    pub fn rehearsal(from: DateTime<Utc>, speed: f64) -> Self {
        let speed = speed.clamp(*SPEEDS.start(), *SPEEDS.end());
        Self::Rehearsal { from, since: Instant::now(), speed }
    }

    /// The time now.
    pub fn now(&self) -> DateTime<Utc> {
        match self {
            Self::Real => Utc::now(),
            Self::Rehearsal { from, since, speed } => {
                let passed_ms = since.elapsed().as_secs_f64() * speed * 1000.0;
                *from + TimeDelta::milliseconds(passed_ms as i64)
            }
        }
    }

    /// Seconds of the day in a second.
    pub fn speed(&self) -> f64 {
        match self {
            Self::Real => 1.0,
            Self::Rehearsal { speed, .. } => *speed,
        }
    }
}
