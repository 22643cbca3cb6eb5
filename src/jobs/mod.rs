//! What the program answers: one folder a job.
//!
//! Each holds what it works out, its picture (`picture`), its tables, pages and texts
//! (`report`), and its command (`options`, `command`). A job may use the open parts of
//! another; [`crate::cli`] lists them all.

pub mod agreement;
pub mod ball;
pub mod brief;
pub mod changed;
pub mod check;
pub mod clouds;
pub mod crew;
pub mod day;
pub mod fit;
pub mod forecast;
#[cfg(feature = "cli")]
pub mod import;
#[cfg(feature = "parquet")]
pub mod league;
pub mod look_up;
pub mod match_plan;
pub mod matching;
pub mod odds;
pub mod on_air;
pub mod order;
pub mod places;
pub mod positions;
pub mod sensitivity;
pub mod starts;
pub mod states;
#[cfg(feature = "parquet")]
pub mod year;
