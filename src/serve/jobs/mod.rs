//! Long work: commands of the same program as children, with progress and a stop.
//!
//! In: a command and its options, checked against what the command line allows. Out: lines
//! as they come, files in a folder of the job's own, which goes with the session. What an
//! import writes becomes a change of the ground ([`super::brought`]). Children end with the
//! server, however it ends: they hold one end of a pipe. So many run at once, others wait.

mod kept;
mod request;
mod run;

pub use kept::{JobOut, JobState, Jobs};
pub use request::{JobPlace, JobRequest, JobRules};
pub use run::{PROGRESS_LINES, start};
