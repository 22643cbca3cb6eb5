//! Match day: the plan follows what really happens.
//!
//! In: a venue, its planned start, and what the crew enters ([`Event`]). Out: the state of
//! the day ([`DayState`]), worked out anew from all entries whenever one comes or is taken
//! back, the plan that goes with it ([`DayPlan`]), and a file that keeps all entries
//! ([`Log`]). Times are instants in the venue's zone, written with their offset, so that a
//! clock change during play makes none of them ambiguous.
//!
//! State and plan follow from venue and entries alone. What depends on the match moves with
//! its real times; what depends on the sun stays where it is.

mod ahead;
mod between;
mod correct;
mod edges;
mod event;
mod learn;
mod log;
mod places;
pub mod report;
mod state;
mod times;

pub use ahead::{DayError, DayPlan, Planner, venue_with_lenses};
pub use between::{Away, GoesAt, Visit};
pub use correct::Correction;
pub use edges::{Survey, SurveyedNumber};
pub use event::{
    CueLine, Event, LightOn, Line, LogEntry, Opening, OperatorsLine, Person, Role, SkyNow,
    THIN_CLOUD_PASSES,
};
pub use learn::{EdgeMiss, Estimate, IrisMiss, IrisSays, Learned, iris_misses};
pub use log::{FORMAT, Log, LogError, Read, Unread};
pub use places::{CameraMove, StandIn};
pub use state::{
    CameraDay, DayState, EdgeSeen, EntryObjection, IrisReading, KnownTime, LightReading, Pause,
};
pub use times::{LocalTimeError, PlayNow, at_local, milestones, play_now};
