//! The words of each suspicion: where, what, why it matters, what to do.

use crate::plan::check::{HEADROOM_M, PlaceSlip, Suspicion};
use crate::report::words::fixed;
use crate::venue::Venue;

/// A suspicion in words; `what`, `why` and `mend` are sentences.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// One word for programs.
    pub kind: &'static str,
    /// The thing, camera or table of the venue file.
    pub place: String,
    pub what: String,
    pub why: &'static str,
    pub mend: String,
}

/// Puts a suspicion into words.
pub fn told(venue: &Venue, suspicion: &Suspicion) -> Told {
    about_place(venue, suspicion)
        .or_else(|| about_things(venue, suspicion))
        .or_else(|| about_cameras(venue, suspicion))
        .unwrap_or_else(|| Told {
            kind: "other",
            place: venue.title.clone(),
            what: "something is odd.".to_owned(),
            why: "",
            mend: String::new(),
        })
}

fn thing(venue: &Venue, index: usize) -> String {
    venue.occluders.get(index).map_or_else(String::new, |o| o.name.clone())
}

fn camera(venue: &Venue, index: usize) -> String {
    let name = venue.cameras.get(index).map_or_else(String::new, |c| c.name.clone());
    format!("camera {name}")
}

fn per_cent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

fn about_place(venue: &Venue, suspicion: &Suspicion) -> Option<Told> {
    let zone = venue.place.zone.name();
    Some(match suspicion {
        Suspicion::ZoneOffLongitude { off_h, guess } => Told {
            kind: "zone_off_longitude",
            place: "[place]".to_owned(),
            what: format!(
                "at this longitude the sun is {} h {} the standard time of {zone}.",
                fixed(off_h.abs(), 1),
                if *off_h > 0.0 { "ahead of" } else { "behind" }
            ),
            why: "All shadows would come hours off.",
            mend: match guess {
                Some(PlaceSlip::SignOfLongitude) => {
                    "With the other sign longitude_deg fits the zone: east is positive.".to_owned()
                }
                Some(PlaceSlip::Exchanged) => {
                    "latitude_deg and longitude_deg may be exchanged: the other way round they \
                     fit the zone."
                        .to_owned()
                }
                None => "Compare longitude_deg with zone.".to_owned(),
            },
        },
        Suspicion::OddHorizon { azimuth, elevation } => Told {
            kind: "odd_horizon",
            place: "[horizon]".to_owned(),
            what: format!(
                "land at {}° elevation toward azimuth {}°.",
                fixed(elevation.degrees(), 1),
                fixed(azimuth.degrees(), 0)
            ),
            why: "Few grounds lie so far under or over the land around them.",
            mend: "Check that points are [azimuth, elevation] in degrees; what stands near by is \
                   a solid, not horizon."
                .to_owned(),
        },
        Suspicion::DarkFixture { from, until } => Told {
            kind: "dark_fixture",
            place: "[fixture]".to_owned(),
            what: format!(
                "from {} to {} the sun is down, and no floodlights are lit.",
                from.format("%H:%M"),
                until.format("%H:%M")
            ),
            why: "There is nothing to expose for.",
            mend: "Check date, start and zone, or add [floodlights].".to_owned(),
        },
        Suspicion::NightStart { start } => Told {
            kind: "night_start",
            place: "[fixture]".to_owned(),
            what: format!("play starts at {}, in the night.", start.format("%H:%M")),
            why: "A start in another zone or on a 12-hour clock looks like this.",
            mend: "start is HH:MM on the venue's own clock.".to_owned(),
        },
        Suspicion::LongSideOffBearing { off_deg, long_m, short_m } => Told {
            kind: "long_side_off_bearing",
            place: "[field]".to_owned(),
            what: format!(
                "the long side of the outline ({} by {} m) lies {}° off the bearing.",
                fixed(*long_m, 0),
                fixed(*short_m, 0),
                fixed(*off_deg, 0)
            ),
            why: "The bearing is that of the first number of each corner, and usually of the long \
                  side.",
            mend: "Check bearing_deg, or exchange the numbers of the corners.".to_owned(),
        },
        Suspicion::OffCentre { along_m, across_m } => Told {
            kind: "off_centre",
            place: "[field]".to_owned(),
            what: format!(
                "the middle of the outline is {} m along and {} m across from the centre of play.",
                fixed(*along_m, 1),
                fixed(*across_m, 1)
            ),
            why: "Stands count from the outline, solids and cameras from the centre of play.",
            mend: "Let corners count from the middle of the field.".to_owned(),
        },
        _ => return None,
    })
}

fn about_things(venue: &Venue, suspicion: &Suspicion) -> Option<Told> {
    Some(match suspicion {
        Suspicion::LowRoof { thing: index, headroom_m } => Told {
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
        Suspicion::OverField { thing: index, area_m2, lowest_m } => Told {
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
        Suspicion::CrownOverField { thing: index, area_m2, lowest_m } => Told {
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
        Suspicion::Overlap { things: [a, b], area_m2 } => Told {
            kind: "overlap",
            place: format!("{} and {}", thing(venue, *a), thing(venue, *b)),
            what: format!("they fill the same {} m2 of ground.", fixed(*area_m2, 1)),
            why: "Two things cannot stand in one place.",
            mend: "Check length_m, shift_m and setback_m; a [[corner]] joins two stands."
                .to_owned(),
        },
        Suspicion::Floating { thing: index, bottom_m } => Told {
            kind: "floating",
            place: thing(venue, *index),
            what: format!("it begins {} m up, and nothing stands under it.", fixed(*bottom_m, 1)),
            why: "Light passes under it.",
            mend: "Fine if it hangs from cables or thin posts; else leave out bottom_m.".to_owned(),
        },
        Suspicion::StopsNothing { thing: index } => Told {
            kind: "stops_nothing",
            place: thing(venue, *index),
            what: "it lets all light through.".to_owned(),
            why: "It has no shadow and is left out.",
            mend: "transmittance is a share from 0 to 1: 0.4 for 40 %.".to_owned(),
        },
        Suspicion::LeavesReversed { thing: index } => Told {
            kind: "leaves_reversed",
            place: thing(venue, *index),
            what: "it lets more light through in leaf than bare.".to_owned(),
            why: "Leaves take light.",
            mend: "Exchange in_leaf_transmittance and bare_transmittance.".to_owned(),
        },
        _ => return None,
    })
}

fn about_cameras(venue: &Venue, suspicion: &Suspicion) -> Option<Told> {
    Some(match suspicion {
        Suspicion::SeesNothing { camera: index } => Told {
            kind: "sees_nothing",
            place: camera(venue, *index),
            what: "nothing of the field of play is in its frame.".to_owned(),
            why: "It gets no split and no cue.",
            mend: "Check at, looks_at and aim.".to_owned(),
        },
        Suspicion::OnField { camera: index } => Told {
            kind: "on_field",
            place: camera(venue, *index),
            what: "it stands on the field of play.".to_owned(),
            why: "It would be in the way.",
            mend: "Check at: [along, across, up], across to the left.".to_owned(),
        },
        Suspicion::InsideSomething { camera: index, thing: other } => Told {
            kind: "inside_something",
            place: camera(venue, *index),
            what: format!("it is inside {}.", thing(venue, *other)),
            why: "It would see little.",
            mend: "Check at, or the size of that thing.".to_owned(),
        },
        Suspicion::Blocked { camera: index, share, thing: other, thing_share } => Told {
            kind: "blocked",
            place: camera(venue, *index),
            what: format!(
                "{} of what it covers is hidden from it, {} by {}.",
                per_cent(*share),
                per_cent(*thing_share),
                thing(venue, *other)
            ),
            why: "Its splits are counted for turf that it does not see.",
            mend: "Check its place and height, and that thing's.".to_owned(),
        },
        Suspicion::SamePlace { cameras: [a, b], apart_m } => Told {
            kind: "same_place",
            place: format!("{} and {}", camera(venue, *a), camera(venue, *b)),
            what: format!("their lenses are {} m apart.", fixed(*apart_m, 2)),
            why: "Two cameras need more room.",
            mend: "Check at, or offset_m on the gantry.".to_owned(),
        },
        Suspicion::NobodyOperates { camera: index } => Told {
            kind: "nobody_operates",
            place: camera(venue, *index),
            what: "every operator has cameras of their own, and this is nobody's.".to_owned(),
            why: "The plan will give it to someone you did not choose.",
            mend: "Add it to an operator, or let one operator's cameras open.".to_owned(),
        },
        _ => return None,
    })
}
