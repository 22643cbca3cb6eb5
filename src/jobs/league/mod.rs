//! Grounds of a league side by side: how often which start is in hard light, over years.
//!
//! In: venues, days, times of starts, where wanted the weather of each place. Out: what each
//! start of each day costs, kept as a partitioned data set ([`store`]): a part for each venue
//! and month, each worked out by itself and whole or absent; sums by venue, month of the year
//! and start ([`Tally`]); a page with the picture of a year for each ground.
//!
//! Starts are counted by [`crate::jobs::starts`].

#[cfg(feature = "cli")]
pub mod command;
#[cfg(feature = "cli")]
mod figure;
#[cfg(feature = "cli")]
mod ground;
mod list;
#[cfg(feature = "cli")]
mod options;
#[cfg(feature = "cli")]
mod page;
mod part;
mod schema;
pub mod store;
mod tally;

pub use list::{ListedGround, parse_grounds, read_grounds};
pub use part::{LeagueRequest, VenueMonth, check, worked_out};
pub use schema::schema;
pub use tally::{DayCount, Tally, columns};
