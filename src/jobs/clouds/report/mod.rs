//! Cloud that comes and goes: text, table and JSON.
//!
//! In: a venue and its [`crate::jobs::clouds::Outlook`]. Out: text of at most 80 columns, CSV
//! (RFC 4180), one object of the format `quarterstop.clouds/1`.

pub mod data;
pub mod table;
pub mod text;

use super::Reach;

/// As files name it.
pub(crate) fn reach_word(reach: Reach) -> &'static str {
    match reach {
        Reach::Both => "both",
        Reach::TooDarkUnderCloud => "too_dark_under_cloud",
        Reach::TooBrightInSun => "too_bright_in_sun",
        Reach::Unknown => "unknown",
    }
}
