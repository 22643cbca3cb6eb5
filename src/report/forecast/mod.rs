//! The forecast over a match: text, table and JSON.
//!
//! In: a venue and its [`crate::clouds::DayOutlook`]. Out: text of at most 80 columns, CSV
//! (RFC 4180), one object of the format `quarterstop.forecast/1`.

pub mod data;
pub mod table;
pub mod text;

use crate::clouds::{Expect, Stretch};

/// "sun 70 % (40 to 90), changing": what a crew is told of a stretch.
pub fn stretch_words(stretch: &Stretch) -> String {
    let per_cent = |share: f64| format!("{:.0}", 100.0 * share);
    let odds = match stretch.sun {
        Some((sun, low, high)) if high - low >= 0.05 => {
            format!("sun {} % ({} to {})", per_cent(sun), per_cent(low), per_cent(high))
        }
        Some((sun, ..)) => format!("sun {} %", per_cent(sun)),
        None => return "no forecast".to_owned(),
    };
    match stretch.expect {
        Expect::Changing => format!("{odds}, changing"),
        Expect::Either => format!("{odds}, open"),
        Expect::Sun | Expect::Cloud | Expect::Unknown => odds,
    }
}
