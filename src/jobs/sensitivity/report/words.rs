//! Events, and what numbers are measured with, as people say them.

use chrono::SubsecRound;

use crate::jobs::sensitivity::{AnswerEvent, Question};
use crate::venue::{Address, Venue};

/// "sun leaves penalty spot ahead, 15:42".
pub fn event_name(venue: &Venue, event: &AnswerEvent) -> String {
    let mark = |i: usize| venue.field.marks.get(i).map_or("", |m| m.name.as_str());
    let camera = |i: usize| venue.cameras.get(i).map_or("", |c| c.name.as_str());
    let what = match (event.question, event.to) {
        (Question::MarkInSun(i), true) => format!("sun reaches {}", mark(i)),
        (Question::MarkInSun(i), false) => format!("sun leaves {}", mark(i)),
        (Question::SunOnLens(i), true) => format!("sun falls on the lens of {}", camera(i)),
        (Question::SunOnLens(i), false) => format!("sun leaves the lens of {}", camera(i)),
    };
    format!("{what}, {}", event.at.round_subsecs(0).format("%H:%M"))
}

/// What such a number is measured with (common practice, no source).
pub(super) fn measured_with(address: &Address) -> &'static str {
    let key = address.parts().iter().rev().find(|p| p.parse::<usize>().is_err());
    let key = key.map_or("", String::as_str);
    let upright = ["height", "top", "bottom", "gap"].iter().any(|word| key.contains(word))
        || address.parts().last().is_some_and(|last| last == "2");
    match key {
        "bearing_deg" => "compass away from steel, both ways; or from shadows",
        "declination_deg" => "a table of declination, for place and year",
        _ if key.ends_with("_deg") => "drawing",
        _ if upright => "laser, or clinometer from two places; or from shadows",
        _ => "tape or laser",
    }
}
