//! When things happen in a match.
//!
//! In: a [`Sport`], or moments of play that someone stated, and a start. Out:
//! milestones and the window of time that a plan covers, in the venue's zone.
//! Play is counted without added time.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::engine::model::Milestone;
use crate::venue::{Moment, Play, Sport, Venue};

/// The nominal course of a match.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// In order of time; the last is the end.
    pub moments: Vec<Moment>,
    /// Minutes before the start that a plan covers: line-up and anthems (common
    /// practice, no source).
    pub lead_in_min: u32,
    /// Minutes after the nominal end: added time and interviews (common practice,
    /// no source).
    pub tail_min: u32,
}

/// The nominal course of a match at a venue: what its file states, or what its
/// sport brings.
pub fn programme(venue: &Venue) -> Programme {
    match venue.moments.is_empty() {
        true => usual(venue.field.sport),
        false => Programme::of(venue.moments.clone()),
    }
}

/// The nominal course of a match of a sport.
pub fn usual(sport: Sport) -> Programme {
    let moments = match sport {
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
        // from the first group to the last at one hole: six hours, common practice, no
        // source
        Sport::Golf => vec![("first group", 0), ("last group", 360)],
        // nothing is known: two hours
        Sport::Free => vec![("start", 0), ("end", 120)],
    };
    // moments of a sport take turns: play starts, play stops
    let turns = [Play::Starts, Play::Stops].into_iter().cycle();
    let moment = |((name, after_min), play): ((&str, u32), Play)| Moment {
        name: name.to_owned(),
        after_min,
        play,
    };
    Programme::of(moments.into_iter().zip(turns).map(moment).collect())
}

impl Programme {
    /// A course of moments in any order, with the usual time before and after. The
    /// first starts play and the last stops it, where they do not say.
    pub fn of(mut moments: Vec<Moment>) -> Self {
        moments.sort_by_key(|m| m.after_min);
        if let Some(last) = moments.last_mut().filter(|m| m.play == Play::GoesOn) {
            last.play = Play::Stops;
        }
        if let Some(first) = moments.first_mut().filter(|m| m.play != Play::Stops) {
            first.play = Play::Starts;
        }
        Self { moments, lead_in_min: 20, tail_min: 25 }
    }

    /// Minutes from the start to the last moment.
    pub fn length_min(&self) -> u32 {
        self.moments.last().map_or(0, |m| m.after_min)
    }

    /// The milestones of a match that starts at `start`. Minutes are elapsed
    /// time, so a clock change during play moves the wall times.
    pub fn milestones_from(&self, start: DateTime<Tz>) -> Vec<Milestone> {
        let milestone = |moment: &Moment| {
            let at = start.checked_add_signed(TimeDelta::minutes(moment.after_min.into()))?;
            Some(Milestone { name: moment.name.clone(), at, play: moment.play })
        };
        self.moments.iter().filter_map(milestone).collect()
    }

    /// First and last instant of a plan for a match that starts at `start`.
    pub fn window_from(&self, start: DateTime<Tz>) -> (DateTime<Tz>, DateTime<Tz>) {
        (
            start - TimeDelta::minutes(self.lead_in_min.into()),
            start + TimeDelta::minutes((self.length_min() + self.tail_min).into()),
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
        let football = usual(Sport::Football);
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
            Sport::Golf,
            Sport::Free,
        ] {
            let moments = usual(sport).moments;
            assert_eq!(moments[0].after_min, 0, "{sport:?}");
            assert!(moments.windows(2).all(|w| w[0].after_min < w[1].after_min), "{sport:?}");
        }
    }
}
