//! From glimpses of a day to what each start costs.
//!
//! In: for each sky, the [`Glimpse`] of every instant of a day; a start and its runs of
//! play; odds of sun, or none. Out: a [`Costed`] start.
//!
//! Without odds everything is for a clear sky. With odds, each day of the weather files
//! that stands for the date, or each member of a forecast, is played through with the skies
//! its hours had, each as likely as the others: the cost is the mean over them, and its 10th
//! and 90th percentiles are days, not mixtures of days. In an hour of gaps and clouds minutes count by the
//! share of each; a split counts where its sky comes at all.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::weather::{SkyCover, Spread};

use super::advice::LightLevel;
use super::ensemble::Ensemble;
use super::glimpse::Glimpse;
use super::profile::{CostPart, CostParts, Profile};

/// An amount over the days that stand for a date, or over the members of a forecast.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Likely {
    pub expected: f64,
    /// 10th and 90th percentile.
    pub p10: f64,
    pub p90: f64,
}

impl Likely {
    fn of(values: &[f64]) -> Option<Self> {
        let spread = Spread::of(values.iter().map(|value| (*value, 1.0)));
        Some(Self {
            expected: spread.expected()?,
            p10: spread.percentile(10.0)?,
            p90: spread.percentile(90.0)?,
        })
    }
}

/// The widest split in shot of a match under a clear sky.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WorstMoment {
    pub at: DateTime<Utc>,
    /// Index of the camera.
    pub camera: usize,
    pub stops: f64,
    /// 10th and 90th percentile for what is unknown of the air, stops.
    pub range: Option<(f64, f64)>,
}

/// What odds of sun are from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum OddsFrom {
    /// Days of weather files.
    Weather,
    /// Members of a forecast.
    Forecast,
}

impl OddsFrom {
    /// As files name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Weather => "weather_file",
            Self::Forecast => "forecast",
        }
    }
}

/// With the odds of sun.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct UnderOdds {
    pub from: OddsFrom,
    /// How many days, or members: one has no range.
    #[serde(default)]
    pub over: usize,
    /// Share of play with direct sun over the field to be expected, 0 to 1.
    pub sun: f64,
    /// Each part to be expected.
    pub parts: CostParts,
    pub cost: Likely,
    /// Widest split in shot, stops; 0 on a day without any.
    pub split: Likely,
    /// Share of the days, or members, in good light, 0 to 1; `None` in costs that were kept
    /// by an earlier version.
    #[serde(default)]
    pub good: Option<f64>,
}

/// One start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Costed {
    pub at: DateTime<Utc>,
    /// When play ends.
    pub ends: DateTime<Utc>,
    /// Under a clear sky.
    pub clear: CostParts,
    pub clear_cost: f64,
    /// Under a clear sky; `None` where no split comes in shot.
    pub worst: Option<WorstMoment>,
    /// `None` without odds.
    pub odds: Option<UnderOdds>,
}

impl Costed {
    /// What starts are ranked by: the expected cost where odds are known.
    pub fn cost(&self) -> f64 {
        self.odds.map_or(self.clear_cost, |odds| odds.cost.expected)
    }

    /// What is expected of a part, under a clear sky without odds.
    pub fn part(&self, part: CostPart) -> f64 {
        self.odds.map_or(self.clear, |odds| odds.parts).get(part)
    }
}

/// Glimpses of a day, by instant: for each of [`SkyCover::ALL`], or of the clear sky only.
pub(super) type DayGlimpses = BTreeMap<DateTime<Utc>, Vec<Glimpse>>;

/// A start and when play runs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlayCourse {
    pub at: DateTime<Utc>,
    pub ends: DateTime<Utc>,
    /// From, until.
    pub runs: Vec<(DateTime<Utc>, DateTime<Utc>)>,
}

impl PlayCourse {
    /// Glimpses while play runs, each with the minutes that it stands for: until the next,
    /// the first from the start of its run on, the last to the end. So every start counts
    /// all of its play, wherever it lies between the instants.
    fn glimpses<'a>(
        &'a self,
        day: &'a DayGlimpses,
    ) -> impl Iterator<Item = (DateTime<Utc>, f64, &'a [Glimpse])> {
        self.runs.iter().flat_map(|&(from, until)| {
            let instants: Vec<_> = day.range(from..until).collect();
            let stands_for = move |i: usize, all: &[(&DateTime<Utc>, &Vec<Glimpse>)]| {
                let begins = if i == 0 { from } else { *all[i].0 };
                let ends = all.get(i + 1).map_or(until, |next| *next.0);
                (ends - begins).num_seconds() as f64 / 60.0
            };
            let minutes: Vec<f64> = (0..instants.len()).map(|i| stands_for(i, &instants)).collect();
            instants.into_iter().zip(minutes).map(|((at, all), min)| (*at, min, all.as_slice()))
        })
    }
}

/// What a start costs.
pub(super) fn costed(
    course: &PlayCourse,
    day: &DayGlimpses,
    profile: &Profile,
    ensemble: Option<&Ensemble<'_>>,
) -> Costed {
    let mut clear = CostParts::default();
    let mut worst: Option<WorstMoment> = None;
    for (at, minutes, glimpses) in course.glimpses(day) {
        let Some(now) = glimpses.get(SkyCover::Clear as usize) else { continue };
        count(&mut clear, now, minutes);
        if let Some((stops, camera)) = now.split
            && worst.is_none_or(|worst| stops > worst.stops)
        {
            worst = Some(WorstMoment { at, camera, stops, range: None });
        }
    }
    Costed {
        at: course.at,
        ends: course.ends,
        clear_cost: profile.cost(&clear),
        clear,
        worst,
        odds: ensemble.and_then(|all| under_odds(course, day, profile, all)),
    }
}

/// Adds a glimpse that stands for so many minutes.
pub(in crate::jobs) fn count(parts: &mut CostParts, now: &Glimpse, minutes: f64) {
    let facts = [
        (CostPart::Mixed, now.mixed),
        (CostPart::MainLens, now.main_lens),
        (CostPart::Choose, now.choose),
        (CostPart::Dusk, now.dusk),
        (CostPart::Dark, now.dark),
    ];
    for (part, _) in facts.into_iter().filter(|(_, is)| *is) {
        parts.add(part, minutes);
    }
    let widest = now.split.map_or(0.0, |(stops, _)| stops);
    parts.set(CostPart::WorstSplit, parts.get(CostPart::WorstSplit).max(widest));
}

fn under_odds(
    course: &PlayCourse,
    day: &DayGlimpses,
    profile: &Profile,
    ensemble: &Ensemble<'_>,
) -> Option<UnderOdds> {
    let each = 1.0 / ensemble.count().max(1) as f64;
    let (mut costs, mut splits) = (Vec::new(), Vec::new());
    let mut mean = CostParts::default();
    let (mut sun, mut all, mut good) = (0.0, 0.0, 0.0);
    for stands_for in 0..ensemble.count() {
        let mut parts = CostParts::default();
        for (at, minutes, glimpses) in course.glimpses(day) {
            let states = ensemble.states(at, stands_for);
            for state in SkyCover::ALL.into_iter().filter(|state| states.share(*state) > 0.0) {
                let Some(now) = glimpses.get(state as usize) else { continue };
                let share = minutes * states.share(state);
                count(&mut parts, now, share);
                sun += f64::from(u8::from(now.sun)) * share;
                all += share;
            }
        }
        mean.add_share(&parts, each);
        good += if LightLevel::of(&parts) == LightLevel::Good { each } else { 0.0 };
        costs.push(profile.cost(&parts));
        splits.push(parts.get(CostPart::WorstSplit));
    }
    Some(UnderOdds {
        from: ensemble.from(),
        over: ensemble.count(),
        sun: if all > 0.0 { sun / all } else { 0.0 },
        parts: mean,
        cost: Likely::of(&costs)?,
        split: Likely::of(&splits)?,
        good: Some(good.min(1.0)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;

    fn at(minute: i64) -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2027, 6, 16, 13, 0, 0).unwrap() + chrono::TimeDelta::minutes(minute)
    }

    fn sunny(split: Option<f64>) -> Glimpse {
        let split = split.map(|stops| (stops, 1));
        Glimpse { sun: true, mixed: true, choose: split.is_some(), split, ..Glimpse::default() }
    }

    /// By hand: two runs of play of 20 and 10 minutes with a break of 10, steps of 5; the
    /// split of 2.5 stops stands only in the break.
    #[test]
    fn only_play_counts() {
        let day: DayGlimpses = (0..10)
            .map(|i| {
                (at(5 * i), vec![sunny(if i == 4 { Some(2.5) } else { Some(0.1 * i as f64) })])
            })
            .collect();
        let runs = vec![(at(0), at(20)), (at(30), at(40))];
        let course = PlayCourse { at: at(0), ends: at(40), runs };
        let costed = costed(&course, &day, &Profile::default(), None);
        assert_eq!(costed.clear.get(CostPart::Mixed), 30.0);
        assert_eq!(costed.clear.get(CostPart::Choose), 30.0);
        let worst = costed.worst.unwrap();
        assert_eq!((worst.at, worst.camera), (at(35), 1));
        assert!((costed.clear.get(CostPart::WorstSplit) - 0.7).abs() < 1e-12);
        assert!((costed.cost() - (0.25 * 30.0 + 30.0 + 5.0 * 0.7)).abs() < 1e-9);
    }

    /// By hand: a start between the instants counts as many minutes as one on them.
    #[test]
    fn a_start_between_instants_counts_all_of_its_play() {
        let day: DayGlimpses = (0..8).map(|i| (at(15 * i), vec![sunny(Some(1.0))])).collect();
        for start in [0, 1, 7, 14] {
            let runs = vec![(at(start), at(start + 40)), (at(start + 55), at(start + 95))];
            let course = PlayCourse { at: at(start), ends: at(start + 95), runs };
            let costed = costed(&course, &day, &Profile::default(), None);
            assert_eq!(costed.clear.get(CostPart::Mixed), 80.0, "{start}");
        }
    }
}
