//! The command line, thin on top of the library.
//!
//! In: the words after `quarterstop`. Out: text on stdout, files in one folder,
//! errors and progress on stderr, an exit code: 0 done, 2 the input or the
//! options were at fault, 1 anything else.
//!
//! [`options`] says what can be asked, [`run`] does it; what needs more than a
//! line has its own file. All calls into the stages go through `stages`.

pub mod ball_command;
mod ball_compare;
mod ball_strike;
mod brief_command;
pub mod changed_command;
pub mod clouds_command;
mod eye_pictures;
mod failure;
mod fit_command;
pub mod forecast_command;
pub mod import_horizon;
pub mod import_mesh;
pub mod import_outlines;
mod import_words;
mod interrupt;
#[cfg(feature = "serve")]
pub mod live_command;
mod look_up_command;
mod match_command;
pub mod odds_command;
pub mod options;
pub mod pictures;
pub mod places_command;
mod planning;
mod positions_command;
mod progress;
mod reading;
mod resume;
mod run;
mod sensitivity_command;
pub mod shell;
mod sky;
mod stages;
pub mod starts_command;
mod starts_forecast;
pub mod window;
mod year_command;

pub use failure::{Failure, WindowError};
pub use options::Options;
pub use reading::{ReadingOptions, ReadingWord};
pub use run::run;
pub use sky::{AirNumber, AirWord, SkyChoice};
