//! Cloud that comes and goes: how often sun and shade change, how long either lasts, how
//! fast the light falls and comes back, and whether a hand on the iris can follow.
//!
//! In: a [`CloudField`] (cover, kind of cloud, wind at its height) and, for what it does to
//! cameras, a [`crate::engine::MatchPlan`] and its brief. Out: [`Coming`]: changes an hour and
//! lengths of spells with percentiles; [`Outlook`]: what each camera gets of it.
//!
//! | question | where |
//! | --- | --- |
//! | how long are clouds and gaps | [`PowerLaw`] |
//! | how often does it change, how long do spells last | [`Coming`] |
//! | how long does an edge take to pass, how fast does the light change | [`Passage`] |
//! | does a hand follow | [`behind_stops`] |
//! | and each camera | [`Outlook`] |
//! | what does a forecast make of a match | [`crate::jobs::forecast::DayOutlook`] |

mod chord;
#[cfg(feature = "cli")]
pub mod command;
pub(crate) mod field;
mod follow;
pub(crate) mod outlook;
mod passage;
pub mod report;
pub(crate) mod spells;

pub use chord::PowerLaw;
pub use field::{CloudField, CloudKind, MAX_COVER, MIN_COVER};
pub use follow::{Follow, Hand, REACTION_S, behind_stops};
pub use outlook::{CameraOutlook, Chase, HOUR_MIN, Outlook, Reach};
pub use passage::{CloudCourse, Passage};
pub use spells::{Coming, SUN_SHARE_OF_MINUTE};

/// How far over a clear sky the light is for moments beside a bright edge of cloud, as a
/// factor on the horizontal: from a third of a stop (common practice, no source) to 1.5:
/// clouds "can boost sunlight by over 1.5 times", for seconds to minutes (G. H. Yordanov and
/// others, IEEE Journal of Photovoltaics 3(1), 2013, 271, abstract). Single moments are
/// brighter still: `tests/clouds_measured.rs` prints measured ones.
pub const ENHANCED: (f64, f64) = (1.26, 1.5);
