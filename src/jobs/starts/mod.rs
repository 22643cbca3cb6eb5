//! Which start time on which date: fixtures of a season, ranked.
//!
//! In: venues, fixtures with the starts they may have ([`Fixture`]), a [`Profile`] of
//! costs, odds of sun or a forecast where there are any. Out: [`Ranked`]: every start of every fixture
//! with its cost and what it is made of. Counts rows of
//! [`crate::engine::season`]; knows of a plan only the course of play
//! and the moments of sun and shade.
//!
//! | question | where |
//! | --- | --- |
//! | what is asked for | [`Fixture`], [`read_list`] |
//! | what costs how much | [`Profile`] |
//! | what does an instant show | `glimpse` |
//! | what does a start cost | `cost` |
//! | how may the sky go | `ensemble` |
//! | all fixtures at all venues | [`StartsRun`] |
//! | what is different now | [`crate::jobs::changed::changed()`] |
//! | stay or move, and how far | [`advice::FixtureAdvice`] |
//! | the season as a whole under rules | [`season::Schedule`] |
//! | which days, which times, what does a shift buy | [`shifts`], [`days`] |

pub mod advice;
#[cfg(feature = "cli")]
pub mod command;
pub(in crate::jobs) mod cost;
mod ensemble;
mod fixture;
pub(crate) mod glimpse;
mod list;
pub mod picture;
mod profile;
mod ranking;
pub mod report;
mod run;
pub mod season;

pub use crate::base::sheet::ListError;
pub use cost::{Costed, Likely, OddsFrom, UnderOdds, WorstMoment};
pub use fixture::{Fixture, StartsError};
pub use glimpse::DUSK_DEG;
pub use list::{Freedom, ListedFixture, parse_list, read_list};
pub use profile::{
    CostPart, CostParts, Profile, ProfileFile, parse_profile, profile_schema, read_profile,
};
pub use ranking::{Compared, DayCost, Ranked, Shift, compared, days, shifts};
pub use run::{Kept, MAX_STARTS, StartsRun, main_camera};
