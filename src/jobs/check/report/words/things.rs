//! Words of what is odd about things that stand and about cameras.
//!
//! In: a suspicion, with metres, square metres and shares. Out: what, why it matters, what to do;
//! nothing for suspicions of other kinds.

use crate::jobs::check::{HEADROOM_M, Suspicion};
use crate::output::words::{self, fixed};
use crate::venue::Venue;

use super::{FindingText, camera, thing};

pub(super) fn about_things(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
    Some(match suspicion {
        Suspicion::LowRoof { thing: index, headroom_m } => FindingText {
            kind: "low_roof",
            place: thing(venue, *index),
            what: format!(
                "its roof is {} m over its own deck where it is lowest.",
                fixed(*headroom_m, 2)
            ),
            why: "Nobody could stand in that row, so a height is likely wrong.",
            mend: format!(
                "Leave {HEADROOM_M} m or more; roof heights count from the turf, not from the \
                 deck."
            ),
        },
        Suspicion::OverField { thing: index, area_m2, lowest_m } => FindingText {
            kind: "over_field",
            place: thing(venue, *index),
            what: format!(
                "{} m2 of it hang over the field of play, {} m up where lowest.",
                fixed(*area_m2, 1),
                fixed(*lowest_m, 1)
            ),
            why: "It shades play at noon and may be in the way of the ball.",
            mend: "Check overhang_m against setback_m, or the corners.".to_owned(),
        },
        Suspicion::CrownOverField { thing: index, area_m2, lowest_m } => FindingText {
            kind: "crown_over_field",
            place: thing(venue, *index),
            what: format!(
                "its crown reaches {} m2 over the field of play, {} m up where lowest.",
                fixed(*area_m2, 1),
                fixed(*lowest_m, 1)
            ),
            why: "Trees are kept clear of play.",
            mend: "Check at and crown_radius_m: a radius, not a width.".to_owned(),
        },
        Suspicion::Overlap { things: [a, b], area_m2 } => FindingText {
            kind: "overlap",
            place: format!("{} and {}", thing(venue, *a), thing(venue, *b)),
            what: format!("they fill the same {} m2 of ground.", fixed(*area_m2, 1)),
            why: "Two things cannot stand in one place.",
            mend: "Check length_m, shift_m and setback_m; a [[corner]] joins two stands."
                .to_owned(),
        },
        Suspicion::MoreOverlaps { listed } => FindingText {
            kind: "more_overlaps",
            place: "things in one place".to_owned(),
            what: format!("there are more of them than the {listed} pairs listed here."),
            why: "Beyond that number they are no longer looked for.",
            mend: "Mend those that are listed, then check again.".to_owned(),
        },
        Suspicion::Floating { thing: index, bottom_m } => FindingText {
            kind: "floating",
            place: thing(venue, *index),
            what: format!("it begins {} m up, and nothing stands under it.", fixed(*bottom_m, 1)),
            why: "Light passes under it.",
            mend: "Fine if it hangs from cables or thin posts; else leave out bottom_m.".to_owned(),
        },
        Suspicion::StopsNothing { thing: index } => FindingText {
            kind: "stops_nothing",
            place: thing(venue, *index),
            what: "it lets all light through.".to_owned(),
            why: "It has no shadow and is left out.",
            mend: "transmittance is a share from 0 to 1: 0.4 for 40 %.".to_owned(),
        },
        Suspicion::LeavesReversed { thing: index } => FindingText {
            kind: "leaves_reversed",
            place: thing(venue, *index),
            what: "it lets more light through in leaf than bare.".to_owned(),
            why: "Leaves take light.",
            mend: "Exchange in_leaf_transmittance and bare_transmittance.".to_owned(),
        },
        _ => return None,
    })
}

pub(super) fn about_cameras(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
    Some(match suspicion {
        Suspicion::SeesNothing { camera: index } => FindingText {
            kind: "sees_nothing",
            place: camera(venue, *index),
            what: "nothing of the field of play is in its frame.".to_owned(),
            why: "It gets no split and no cue.",
            mend: "Check at, looks_at and aim.".to_owned(),
        },
        Suspicion::OnField { camera: index } => FindingText {
            kind: "on_field",
            place: camera(venue, *index),
            what: "it stands on the field of play.".to_owned(),
            why: "It would be in the way.",
            mend: "Check at: [along, across, up], across to the left.".to_owned(),
        },
        Suspicion::OverRoof { camera: index, thing: other, by_m } => FindingText {
            kind: "over_roof",
            place: camera(venue, *index),
            what: format!("it is {} m over the roof of {}.", fixed(*by_m, 1), thing(venue, *other)),
            why: "A gantry hangs under the roof, which is in the way of nothing then.",
            mend: "Check its height and that of the roof, or leave it if it stands on the roof."
                .to_owned(),
        },
        Suspicion::InsideSomething { camera: index, thing: other } => FindingText {
            kind: "inside_something",
            place: camera(venue, *index),
            what: format!("it is inside {}.", thing(venue, *other)),
            why: "It would see little.",
            mend: "Check at, or the size of that thing.".to_owned(),
        },
        Suspicion::Blocked { camera: index, hidden } => FindingText {
            kind: "blocked",
            place: camera(venue, *index),
            what: format!("{}.", words::hidden(venue, hidden)),
            why: "Its splits are counted for turf that it does not see.",
            mend: "Check its place and height, and that thing's.".to_owned(),
        },
        Suspicion::SamePlace { cameras: [a, b], apart_m } => FindingText {
            kind: "same_place",
            place: format!("{} and {}", camera(venue, *a), camera(venue, *b)),
            what: format!("their lenses are {} m apart.", fixed(*apart_m, 2)),
            why: "Two cameras need more room.",
            mend: "Check at, or offset_m on the gantry.".to_owned(),
        },
        Suspicion::NobodyOperates { camera: index } => FindingText {
            kind: "nobody_operates",
            place: camera(venue, *index),
            what: "every operator has cameras of their own, and this is nobody's.".to_owned(),
            why: "The plan will give it to someone you did not choose.",
            mend: "Add it to an operator, or let one operator's cameras open.".to_owned(),
        },
        _ => return None,
    })
}
