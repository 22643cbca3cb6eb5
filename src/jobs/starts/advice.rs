//! What to do about a fixture.
//!
//! In: a [`Ranked`] fixture. Out: a [`FixtureAdvice`]: stay or move, how far at least, how the
//! light is either way. Data; sentences are made by the report.

use chrono_tz::Tz;

use super::cost::Costed;
use super::fixture::Fixture;
use super::list::Freedom;
use super::profile::{CostPart, CostParts};
use super::ranking::Ranked;

/// From so many minutes of play on in which the light asks too much, a start is fair, and
/// from so many on it is hard (common practice, no source).
pub const FAIR_MIN: f64 = 5.0;
pub const HARD_MIN: f64 = 20.0;

/// How a match is lit for its cameras.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LightLevel {
    /// Hardly a minute in which the light asks too much.
    Good,
    Fair,
    Hard,
    /// Some play with the sun down and no floodlights lit.
    Dark,
}

impl LightLevel {
    /// By minutes in the dark, then by those of [`asks_too_much_min`].
    pub fn of(parts: &CostParts) -> Self {
        if parts.get(CostPart::Dark) > 0.0 {
            return Self::Dark;
        }
        match asks_too_much_min(parts) {
            minutes if minutes < FAIR_MIN => Self::Good,
            minutes if minutes < HARD_MIN => Self::Fair,
            _ => Self::Hard,
        }
    }

    /// Of a start, as it is to be expected.
    pub fn of_start(start: &Costed) -> Self {
        Self::of(&start.odds.map_or(start.clear, |odds| odds.parts))
    }
}

/// Minutes of play in which a camera has to expose for sun or for shade, or the main camera
/// has the sun in its lens: of two that may fall together, the longer.
pub fn asks_too_much_min(parts: &CostParts) -> f64 {
    parts.get(CostPart::Choose).max(parts.get(CostPart::MainLens))
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// The start cannot be moved.
    Fixed,
    /// No choice is better than what is planned.
    Stay,
    /// The best start is another one.
    Move,
    /// What is planned may not be chosen.
    MoveInto,
}

/// What to do about one fixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixtureAdvice<'a> {
    pub action: Action,
    pub planned: &'a Costed,
    /// What is proposed: the best choice, or the fixture's start in the season as a whole.
    pub proposed: &'a Costed,
    /// The choice nearest to what is planned with a better light level, where there is one
    /// and what is planned is not good already.
    pub nearest: Option<&'a Costed>,
}

impl<'a> FixtureAdvice<'a> {
    /// `None` where clocks do not show the planned start just once; `level` is how a start is
    /// lit.
    pub fn of(
        ranked: &'a Ranked,
        fixture: &Fixture,
        zone: Tz,
        proposed: &'a Costed,
        level: impl Fn(&Costed) -> LightLevel,
    ) -> Option<Self> {
        let planned = ranked.planned(fixture, zone)?;
        let action = match fixture.start {
            Freedom::Fixed => Action::Fixed,
            Freedom::Free if !fixture.may_start(planned.at, zone) => Action::MoveInto,
            Freedom::Free if proposed.at == planned.at => Action::Stay,
            Freedom::Free => Action::Move,
        };
        let now = level(planned);
        let better = ranked.choices(fixture, zone).filter(|s| level(s) < now);
        let away = |start: &&Costed| (start.at - planned.at).abs();
        let nearest = better.min_by(|a, b| {
            // a good light before a fair one, then the shorter way
            level(a).cmp(&level(b)).then(away(a).cmp(&away(b)))
        });
        Some(Self {
            action,
            planned,
            proposed,
            nearest: nearest.filter(|_| fixture.start == Freedom::Free),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, TimeZone, Utc};

    fn time(hour: u32) -> NaiveTime {
        NaiveTime::from_hms_opt(hour, 0, 0).unwrap()
    }

    fn at(hour: u32) -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2027, 6, 16, hour, 0, 0).unwrap()
    }

    /// A start with so many minutes of choice, which cost one each.
    fn start(hour: u32, choose_min: f64) -> Costed {
        let mut clear = CostParts::default();
        clear.set(CostPart::Choose, choose_min);
        let ends = at(hour) + TimeDelta::minutes(105);
        Costed { at: at(hour), ends, clear_cost: choose_min, clear, worst: None, odds: None }
    }

    fn fixture(planned: u32, latest: u32, start: Freedom) -> Fixture {
        Fixture {
            name: String::new(),
            venue: 0,
            date: NaiveDate::from_ymd_opt(2027, 6, 16).unwrap(),
            earliest: time(12),
            latest: time(latest),
            start,
            planned: time(planned),
            duration_min: None,
        }
    }

    #[test]
    fn levels_go_by_the_longer_of_two_troubles() {
        let level = |choose, lens| {
            let mut parts = CostParts::default();
            parts.set(CostPart::Choose, choose);
            parts.set(CostPart::MainLens, lens);
            LightLevel::of(&parts)
        };
        assert_eq!(level(4.9, 4.9), LightLevel::Good);
        assert_eq!(level(0.0, 5.0), LightLevel::Fair);
        assert_eq!(level(19.9, 1.0), LightLevel::Fair);
        assert_eq!(level(20.0, 0.0), LightLevel::Hard);
    }

    /// By hand: 12:00 is best and good, 13:00 fair, 14:00 as planned hard, 16:00 good and as
    /// far off as 12:00 but dearer.
    #[test]
    fn advice_moves_stays_and_names_the_nearest_better_light() {
        let starts = vec![start(12, 0.0), start(13, 10.0), start(14, 40.0), start(16, 2.0)];
        let ranked = Ranked { fixture: 0, starts, equal_within: 0.5 };
        let of = |fixture: &Fixture| {
            let best = ranked.best(fixture, Tz::UTC).unwrap();
            let level = LightLevel::of_start;
            let advice = FixtureAdvice::of(&ranked, fixture, Tz::UTC, best, level).unwrap();
            (advice.action, advice.proposed.at, advice.nearest.map(|nearest| nearest.at))
        };
        let free = |planned| fixture(planned, 16, Freedom::Free);
        assert_eq!(of(&free(14)), (Action::Move, at(12), Some(at(12))));
        assert_eq!(of(&free(13)), (Action::Move, at(12), Some(at(12))));
        assert_eq!(of(&free(12)), (Action::Stay, at(12), None));
        assert_eq!(of(&fixture(14, 13, Freedom::Free)).0, Action::MoveInto);
        let fixed = Fixture { earliest: time(14), latest: time(14), ..free(14) };
        let fixed = Fixture { start: Freedom::Fixed, ..fixed };
        assert_eq!(of(&fixed), (Action::Fixed, at(14), None));
    }

    /// 15:00 is nearer to 14:00 than 12:00, and costs as little; in the dark it is no better.
    #[test]
    fn a_start_in_the_dark_is_no_better_light() {
        let starts = vec![start(12, 0.0), start(14, 40.0), start(15, 0.0)];
        let ranked = Ranked { fixture: 0, starts, equal_within: 0.5 };
        let fixture = fixture(14, 16, Freedom::Free);
        let nearest = |late: LightLevel| {
            let level = |s: &Costed| if s.at == at(15) { late } else { LightLevel::of_start(s) };
            let best = ranked.best(&fixture, Tz::UTC).unwrap();
            FixtureAdvice::of(&ranked, &fixture, Tz::UTC, best, level)
                .unwrap()
                .nearest
                .map(|s| s.at)
        };
        assert_eq!(nearest(LightLevel::Good), Some(at(15)));
        assert_eq!(nearest(LightLevel::Dark), Some(at(12)));
    }
}
