//! When things happen in a match of each sport.
//!
//! In: a [`Sport`] and a start. Out: milestones and the window of time that a
//! plan covers, in the venue's zone. Play is counted without added time.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use super::model::Milestone;
use crate::venue::Sport;

/// The nominal course of a match, in minutes after its start.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// Name and minutes after the start, in order; the first at 0, the last is
    /// the end.
    pub milestones: Vec<(&'static str, u32)>,
    /// Minutes before the start that a plan covers: line-up and anthems.
    pub lead_in_min: u32,
    /// Minutes after the nominal end: added time and interviews.
    pub tail_min: u32,
}

/// The nominal course of a match of a sport.
pub fn programme(sport: Sport) -> Programme {
    let milestones = match sport {
        // IFAB Laws of the Game, Law 7: two halves of 45 minutes, interval not
        // over 15
        Sport::Football => {
            vec![("kickoff", 0), ("half-time", 45), ("second half", 60), ("full-time", 105)]
        }
        // World Rugby Law 5: two halves of 40 minutes, half-time not over 15
        Sport::RugbyUnion => {
            vec![("kickoff", 0), ("half-time", 40), ("second half", 55), ("full-time", 95)]
        }
        // FIH Rules of Hockey, rule 5: four quarters of 15 minutes; 2 minutes
        // after the first and third, half-time 5 to 15 minutes (10 taken)
        Sport::Hockey => vec![
            ("push-back", 0),
            ("quarter-time", 15),
            ("second quarter", 17),
            ("half-time", 32),
            ("third quarter", 42),
            ("quarter-time", 57),
            ("fourth quarter", 59),
            ("full-time", 74),
        ],
        // length is open: two and a half hours for three sets, common practice,
        // no source
        Sport::Tennis => vec![("first service", 0), ("nominal end", 150)],
        // MCC Laws, Law 11: lunch 40 minutes, tea 20; sessions of two hours are
        // common practice, no source
        Sport::Cricket => vec![
            ("start of play", 0),
            ("lunch", 120),
            ("afternoon session", 160),
            ("tea", 280),
            ("evening session", 300),
            ("close of play", 420),
        ],
        // nothing is known: two hours
        Sport::Free => vec![("start", 0), ("end", 120)],
    };
    Programme { milestones, lead_in_min: 20, tail_min: 25 }
}

impl Programme {
    /// The milestones of a match that starts at `start`. Minutes are elapsed
    /// time, so a clock change during play moves the wall times.
    pub fn milestones_from(&self, start: DateTime<Tz>) -> Vec<Milestone> {
        let milestone = |&(name, minutes): &(&str, u32)| Milestone {
            name: name.to_owned(),
            at: start + TimeDelta::minutes(minutes.into()),
        };
        self.milestones.iter().map(milestone).collect()
    }

    /// First and last instant of a plan for a match that starts at `start`.
    pub fn window_from(&self, start: DateTime<Tz>) -> (DateTime<Tz>, DateTime<Tz>) {
        let length = self.milestones.last().map_or(0, |m| m.1);
        (
            start - TimeDelta::minutes(self.lead_in_min.into()),
            start + TimeDelta::minutes((length + self.tail_min).into()),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;

    #[test]
    fn football_covers_150_minutes_around_two_halves() {
        let start = Tz::Europe__Paris.with_ymd_and_hms(2027, 3, 20, 15, 0, 0).unwrap();
        let football = programme(Sport::Football);
        let (from, until) = football.window_from(start);
        assert_eq!((until - from).num_minutes(), 150);
        let times: Vec<String> = football
            .milestones_from(start)
            .iter()
            .map(|m| format!("{} {}", m.name, m.at.format("%H:%M")))
            .collect();
        assert_eq!(
            times,
            ["kickoff 15:00", "half-time 15:45", "second half 16:00", "full-time 16:45"]
        );
    }

    #[test]
    fn every_programme_starts_at_zero_and_runs_forward() {
        for sport in [
            Sport::Football,
            Sport::RugbyUnion,
            Sport::Hockey,
            Sport::Tennis,
            Sport::Cricket,
            Sport::Free,
        ] {
            let milestones = programme(sport).milestones;
            assert_eq!(milestones[0].1, 0, "{sport:?}");
            assert!(milestones.windows(2).all(|w| w[0].1 < w[1].1), "{sport:?}");
        }
    }
}
