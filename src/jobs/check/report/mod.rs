//! What is suspicious in a venue file, in words.
//!
//! In: a venue and its [`Findings`]. Out: text of at most 80 columns, or JSON of the
//! format `quarterstop.check/1`.

mod data;
mod gaps;
pub mod inventory;
pub mod meshes;
mod questions;
mod words;

pub use data::{CheckFile, FORMAT, schema, write};
pub use questions::lines;
pub use words::{FindingText, told, warnings};

use crate::output::text::wrapped;
use crate::venue::Venue;

use super::{Findings, Questions};

/// The findings as the command prints them, under the inventory.
pub fn text(venue: &Venue, findings: &Findings, questions: &Questions) -> String {
    let mut text = match findings.suspicions.len() {
        0 => "No warnings.\n".to_owned(),
        1 => "1 thing looks suspicious:\n".to_owned(),
        count => format!("{count} things look suspicious:\n"),
    };
    for suspicion in &findings.suspicions {
        let told = told(venue, suspicion);
        text += &wrapped("  ", &format!("{}: {}", told.place, told.what));
        text += &wrapped("      ", &format!("{} {}", told.why, told.mend));
    }
    text + &gaps::text(venue, findings) + &questions::text(venue, questions)
}
