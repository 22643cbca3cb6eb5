//! The command line, thin on top of the library.
//!
//! In: the words after `quarterstop`. Out: text on stdout, files in one folder,
//! errors and progress on stderr, an exit code: 0 done, 2 the input or the
//! options were at fault, 1 anything else.
//!
//! [`options`] says what can be asked, [`run()`] does it; what needs more than a
//! line has its own file. [`formats`] says what is in each file.

mod fields;
pub mod formats;
#[cfg(feature = "serve")]
pub mod live_command;
pub mod options;
pub mod run;
pub mod shell;

pub use options::Options;
pub use run::run;
