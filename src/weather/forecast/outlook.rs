//! What the members say of an instant, and whether that tells anything.
//!
//! In: a [`Forecast`], a place, an instant. Out: a [`ForecastSky`]: states over all members, the
//! range of the odds of sun among them, how much they agree.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};

use crate::light::AirByDate;
use crate::solar;
use crate::venue::Place;
use crate::weather::Spread;
use crate::weather::odds::clear_direct;
use crate::weather::state::{SkyCover, States};

use super::column::ForecastQuantity;
use super::file::{Forecast, ForecastHour, Member};
use super::{ForecastError, sky};

/// Hours of a member farther apart leave a gap, minutes: clouds of six hours later say
/// nothing of now (common practice: services give one or three hours).
const MAX_APART_MIN: i64 = 180;
/// Members between whose 10th and 90th percentile lie so many odds of sun tell nothing
/// (no source).
const DISAGREE: f64 = 0.8;
/// Wind at the height of low clouds over that at 10 m: the power law with 1/7, 1000 m over
/// 10 m (common practice in wind engineering).
const WIND_ALOFT: f64 = 1.93;

/// Whether a forecast tells anything of an instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MemberAgreement {
    /// Members agree to some extent.
    Agree,
    /// There is only one: how sure it is, nobody knows.
    OneMember,
    /// Some are sure of sun, others of cloud.
    Disagree,
    /// No member has hours close enough.
    Nothing,
}

impl MemberAgreement {
    /// As files name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Agree => "agree",
            Self::OneMember => "one_member",
            Self::Disagree => "disagree",
            Self::Nothing => "nothing",
        }
    }
}

/// The sky of an instant.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastSky {
    /// Over all members that say something, each as likely as the others.
    pub states: Option<States>,
    /// Odds of sun of the members, 0 to 1.
    pub sun: Spread,
    /// Share of the sky that is hidden, 0 to 1, mean; and wind at the height of the clouds,
    /// m/s.
    pub hidden: Option<f64>,
    pub wind_m_s: Option<f64>,
    pub telling: MemberAgreement,
}

impl ForecastSky {
    /// Share of broken skies: those that come and go.
    pub fn changing(&self) -> f64 {
        let share = |state| self.states.map_or(0.0, |s| s.share(state));
        share(SkyCover::Gap) + share(SkyCover::Cumulus)
    }
}

/// A stretch of time of which a member says nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastGap {
    pub member: String,
    pub from: DateTime<Utc>,
    pub until: DateTime<Utc>,
}

impl Forecast {
    /// Refuses a forecast that says nothing within a window.
    ///
    /// # Errors
    /// [`ForecastError::OtherDay`].
    pub fn covers(
        &self,
        place: &Place,
        from: DateTime<Utc>,
        until: DateTime<Utc>,
    ) -> Result<(), ForecastError> {
        let apart = TimeDelta::minutes(MAX_APART_MIN);
        let within = |hour: &ForecastHour| hour.at >= from - apart && hour.at <= until + apart;
        let hours = || self.members.iter().flat_map(|m| &m.hours);
        if hours().any(within) {
            return Ok(());
        }
        let words =
            |at: DateTime<Utc>| at.with_timezone(&place.zone).format("%Y-%m-%d %H:%M").to_string();
        Err(ForecastError::OtherDay {
            file: self.file.clone(),
            from: words(from),
            until: words(until),
            first: hours().map(|h| h.at).min().map_or_else(String::new, words),
            last: hours().map(|h| h.at).max().map_or_else(String::new, words),
        })
    }

    /// What each member says of an instant, in their order; `None` where one says nothing.
    pub fn states(
        &self,
        place: &Place,
        airs: &AirByDate,
        at: DateTime<Utc>,
    ) -> Vec<Option<States>> {
        let clear = Clear::of(place, airs, at);
        self.members.iter().map(|member| clear.states(&member.values(at)?)).collect()
    }

    /// Members, by their places, that have hours all through a window.
    pub fn members_through(&self, from: DateTime<Utc>, until: DateTime<Utc>) -> Vec<usize> {
        let all = self.members.iter().enumerate();
        all.filter(|(_, member)| member.gaps(from, until).is_empty()).map(|(i, _)| i).collect()
    }

    /// The sky at an instant; `airs` are those that a clear sky is judged by.
    pub fn at(&self, place: &Place, airs: &AirByDate, at: DateTime<Utc>) -> ForecastSky {
        let clear = Clear::of(place, airs, at);
        let values: Vec<_> = self.members.iter().filter_map(|m| m.values(at)).collect();
        let states: Vec<States> = values.iter().filter_map(|v| clear.states(v)).collect();
        let odds = Spread::of(states.iter().map(|s| (s.sun(), 1.0)));
        let apart = odds.percentile(90.0).zip(odds.percentile(10.0)).map(|(high, low)| high - low);
        let telling = match (states.len(), apart) {
            (0, _) => MemberAgreement::Nothing,
            (1, _) if self.members.len() == 1 => MemberAgreement::OneMember,
            (_, Some(apart)) if apart >= DISAGREE => MemberAgreement::Disagree,
            _ => MemberAgreement::Agree,
        };
        let mean = |of: &dyn Fn(&BTreeMap<ForecastQuantity, f64>) -> Option<f64>| {
            Spread::of(values.iter().filter_map(|v| Some((of(v)?, 1.0)))).expected()
        };
        let aloft = |v: &BTreeMap<ForecastQuantity, f64>| {
            let cloud = v.get(&ForecastQuantity::WindCloud).copied();
            cloud.or_else(|| Some(v.get(&ForecastQuantity::Wind)? * WIND_ALOFT))
        };
        ForecastSky {
            states: States::mean(states.iter()),
            hidden: mean(&|v| sky::hidden(v)).or_else(|| odds.expected().map(|sun| 1.0 - sun)),
            wind_m_s: mean(&aloft),
            sun: odds,
            telling,
        }
    }

    /// Median over members and over their hours within a window, in the quantity's unit; `None`
    /// where none has a value.
    pub fn median(
        &self,
        quantity: ForecastQuantity,
        (from, until): (DateTime<Utc>, DateTime<Utc>),
    ) -> Option<f64> {
        let apart = TimeDelta::minutes(MAX_APART_MIN);
        let within = |hour: &&ForecastHour| hour.at >= from - apart && hour.at <= until + apart;
        let hours = self.members.iter().flat_map(|m| &m.hours).filter(within);
        let values = hours.filter_map(|hour| hour.values.get(&quantity));
        Spread::of(values.map(|value| (*value, 1.0))).percentile(50.0)
    }

    /// Where members say nothing within a window.
    pub fn gaps(&self, from: DateTime<Utc>, until: DateTime<Utc>) -> Vec<ForecastGap> {
        self.members.iter().flat_map(|member| member.gaps(from, until)).collect()
    }
}

/// A clear sky at an instant, which members are judged by.
struct Clear {
    /// Facing the sun, W/m2.
    direct: f64,
    /// Of the sun's elevation.
    sine: f64,
}

impl Clear {
    fn of(place: &Place, airs: &AirByDate, at: DateTime<Utc>) -> Self {
        let sine = solar::position(place, at).apparent_elevation.radians().sin();
        Self { direct: clear_direct(place, airs, at), sine }
    }

    fn states(&self, values: &BTreeMap<ForecastQuantity, f64>) -> Option<States> {
        sky::states(values, self.direct, self.sine)
    }
}

impl Member {
    /// Values at an instant, straight between the hours around it; `None` in a gap. A value
    /// that one of them lacks is lacking.
    fn values(&self, at: DateTime<Utc>) -> Option<BTreeMap<ForecastQuantity, f64>> {
        let next = self.hours.partition_point(|h| h.at <= at);
        let before = next.checked_sub(1).and_then(|i| self.hours.get(i))?;
        if before.at == at {
            return Some(before.values.clone());
        }
        let after = self.hours.get(next)?;
        let apart = after.at - before.at;
        if apart > TimeDelta::minutes(MAX_APART_MIN) {
            return None;
        }
        let share = (at - before.at).num_seconds() as f64 / apart.num_seconds().max(1) as f64;
        let both = before.values.iter().filter_map(|(quantity, a)| {
            let b = after.values.get(quantity)?;
            Some((*quantity, a + (b - a) * share))
        });
        Some(both.collect())
    }

    fn gaps(&self, from: DateTime<Utc>, until: DateTime<Utc>) -> Vec<ForecastGap> {
        let mut edges = vec![from];
        edges.extend(self.hours.iter().map(|h| h.at).filter(|at| (from..=until).contains(at)));
        edges.push(until);
        let silent = |a: DateTime<Utc>, b: DateTime<Utc>| {
            a < b && self.values(a + (b - a) / 2).is_none_or(|v| v.is_empty())
        };
        let mut gaps: Vec<ForecastGap> = Vec::new();
        for pair in edges.windows(2).filter(|pair| silent(pair[0], pair[1])) {
            match gaps.last_mut().filter(|gap| gap.until == pair[0]) {
                Some(gap) => gap.until = pair[1],
                None => gaps.push(ForecastGap {
                    member: self.name.clone(),
                    from: pair[0],
                    until: pair[1],
                }),
            }
        }
        gaps
    }
}
