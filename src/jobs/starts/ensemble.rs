//! Ways that the sky may go on the day of a fixture.
//!
//! In: odds of weather files, or a forecast, and the instants that are counted. Out:
//! [`Ensemble`]: the [`States`] of each at any of these instants, each as likely as the others.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};

use crate::light::AirByDate;
use crate::venue::Place;
use crate::weather::forecast::Forecast;
use crate::weather::{Odds, States, WeatherDay};

use super::cost::OddsFrom;

/// Ways that the sky may go.
pub(super) enum Ensemble<'a> {
    /// Days of weather files.
    Days(&'a Odds, Vec<WeatherDay>),
    /// Members of a forecast: at each instant the states of each.
    Members(usize, BTreeMap<DateTime<Utc>, Vec<States>>),
}

impl<'a> Ensemble<'a> {
    pub fn of_odds(odds: &'a Odds) -> Self {
        Self::Days(odds, odds.days())
    }

    /// Members that have hours all through a fixture; `None` where none has. An instant
    /// at which a member does not tell the sky (the sun is too low) has the sky of the
    /// nearest before, else after, at which it does.
    pub fn of_forecast(
        forecast: &Forecast,
        place: &Place,
        airs: &AirByDate,
        (from, until): (DateTime<Utc>, DateTime<Utc>),
        times: &BTreeSet<DateTime<Utc>>,
    ) -> Option<Self> {
        let members = forecast.members_through(from, until);
        let said: Vec<Vec<Option<States>>> =
            times.iter().map(|at| forecast.states(place, airs, *at)).collect();
        let columns: Vec<Vec<States>> = members
            .into_iter()
            .filter_map(|member| {
                let own: Vec<Option<States>> =
                    said.iter().map(|all| all.get(member).copied().flatten()).collect();
                filled(&own)
            })
            .collect();
        let row = |(index, at): (usize, &DateTime<Utc>)| {
            (*at, columns.iter().filter_map(|own| own.get(index).copied()).collect())
        };
        let rows: BTreeMap<_, _> = times.iter().enumerate().map(row).collect();
        (!columns.is_empty()).then_some(Self::Members(columns.len(), rows))
    }

    pub fn from(&self) -> OddsFrom {
        match self {
            Self::Days(..) => OddsFrom::Weather,
            Self::Members(..) => OddsFrom::Forecast,
        }
    }

    pub fn count(&self) -> usize {
        match self {
            Self::Days(_, days) => days.len(),
            Self::Members(count, _) => *count,
        }
    }

    /// The sky of one of them at an instant.
    pub fn states(&self, at: DateTime<Utc>, member: usize) -> States {
        let found = match self {
            Self::Days(odds, days) => days.get(member).map(|day| odds.states(at, *day)),
            Self::Members(_, rows) => rows.get(&at).and_then(|row| row.get(member).copied()),
        };
        found.unwrap_or_default()
    }
}

/// Each its own, else the nearest before, else after; `None` where there is none at all.
fn filled(own: &[Option<States>]) -> Option<Vec<States>> {
    let first = own.iter().flatten().next().copied()?;
    let mut last = first;
    let fill = |states: &Option<States>| {
        last = states.unwrap_or(last);
        last
    };
    Some(own.iter().map(fill).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::SkyCover;

    #[test]
    fn instants_that_do_not_tell_take_the_one_before() {
        let (clear, thin) = (States::only(SkyCover::Clear), States::only(SkyCover::Thin));
        let told = filled(&[None, Some(clear), None, Some(thin), None]);
        assert_eq!(told, Some(vec![clear, clear, clear, thin, thin]));
        assert_eq!(filled(&[None, None]), None);
    }
}
