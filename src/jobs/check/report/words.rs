//! The words of each suspicion: where, what, why it matters, what to do.

use crate::jobs::check::{HEADROOM_M, PlaceSlip, Suspicion};
use crate::output::words::{self, fixed};
use crate::venue::{FOOT_M, Odd, UnusualSize, Venue};

/// Warnings that a command prints before its own work.
const MAX_WARNINGS: usize = 6;

/// A suspicion in words; `what`, `why` and `mend` are sentences.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FindingText {
    /// One word for programs.
    pub kind: &'static str,
    /// The thing, camera or table of the venue file.
    pub place: String,
    pub what: String,
    pub why: &'static str,
    pub mend: String,
}

/// Puts a suspicion into words.
pub fn told(venue: &Venue, suspicion: &Suspicion) -> FindingText {
    about_place(venue, suspicion)
        .or_else(|| about_numbers(venue, suspicion))
        .or_else(|| about_things(venue, suspicion))
        .or_else(|| about_cameras(venue, suspicion))
        .unwrap_or_else(|| FindingText {
            kind: "other",
            place: venue.title.clone(),
            what: "something is odd.".to_owned(),
            why: "",
            mend: String::new(),
        })
}

/// Lines for stderr on what spoils every plan, one a slip; `file` is what the person
/// called the venue file.
pub fn warnings(venue: &Venue, slips: &[Suspicion], file: &str) -> Vec<String> {
    let line = |suspicion: &Suspicion| {
        let told = told(venue, suspicion);
        let what = told.what.trim_end_matches('.');
        format!("{}: {what}; see `quarterstop check {file}`", told.place)
    };
    let mut lines: Vec<String> = slips.iter().take(MAX_WARNINGS).map(line).collect();
    if let Some(more) = slips.len().checked_sub(MAX_WARNINGS).filter(|more| *more > 0) {
        lines.push(format!("and {more} more; see `quarterstop check {file}`"));
    }
    lines
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

fn about_place(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
    let zone = venue.place.zone.name();
    Some(match suspicion {
        Suspicion::ZoneOffLongitude { off_h, guess } => FindingText {
            kind: "zone_off_longitude",
            place: "[place]".to_owned(),
            what: format!(
                "at this longitude the sun is {} h {} the standard time of {zone}.",
                fixed(off_h.abs(), 1),
                if *off_h > 0.0 { "ahead of" } else { "behind" }
            ),
            why: "All shadows would come hours off.",
            mend: match guess {
                Some(slip) => place_slip(*slip),
                None => "Compare longitude_deg with zone.".to_owned(),
            },
        },
        Suspicion::PlaceFarFromZone { km, guess } => FindingText {
            kind: "place_far_from_zone",
            place: "[place]".to_owned(),
            what: match guess {
                // too near for that: the clock of the nearest zone says it
                Some(_) if *km < 700.0 => {
                    format!("the zone nearest to it keeps another time than {zone}.")
                }
                Some(_) => format!("it lies {km:.0} km from the place that {zone} is named after."),
                None => format!("no place by the clock of {zone} lies {km:.0} km from its own."),
            },
            why: "Sun and clock would belong to different places.",
            mend: match guess {
                Some(slip) => place_slip(*slip),
                None => "Compare latitude_deg and longitude_deg with zone.".to_owned(),
            },
        },
        Suspicion::OddHorizon { azimuth, elevation } => FindingText {
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
        Suspicion::DarkFixture { from, until } => FindingText {
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
        Suspicion::NightStart { start } => FindingText {
            kind: "night_start",
            place: "[fixture]".to_owned(),
            what: format!("play starts at {}, in the night.", start.format("%H:%M")),
            why: "A start in another zone or on a 12-hour clock looks like this.",
            mend: "start is HH:MM on the venue's own clock.".to_owned(),
        },
        Suspicion::LongSideOffBearing { off_deg, long_m, short_m } => FindingText {
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
        Suspicion::OffCentre { along_m, across_m } => FindingText {
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

/// How a place may have been written down wrong, in words.
fn place_slip(slip: PlaceSlip) -> String {
    match slip {
        PlaceSlip::SignOfLongitude => {
            "With the other sign longitude_deg fits the zone: east is positive."
        }
        PlaceSlip::SignOfLatitude => {
            "With the other sign latitude_deg fits the zone: north is positive."
        }
        PlaceSlip::BothSigns => {
            "With other signs latitude_deg and longitude_deg fit the zone: north and east are \
             positive."
        }
        PlaceSlip::Exchanged => {
            "latitude_deg and longitude_deg may be exchanged: the other way round they fit the \
             zone."
        }
    }
    .to_owned()
}

/// Numbers that few grounds have, and a programme that is cut short.
fn about_numbers(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
    Some(match suspicion {
        Suspicion::DeclinationUnused { degrees } => FindingText {
            kind: "declination_unused",
            place: "[field]".to_owned(),
            what: format!("declination_deg is {degrees}, and nothing counts from magnetic north."),
            why: "A compass bearing that is taken for a true one turns every shadow.",
            mend: "Add north = \"magnetic\" if bearing_deg is by compass, else leave \
                   declination_deg out."
                .to_owned(),
        },
        Suspicion::DeclinationOff { stated_deg, model_deg } => FindingText {
            kind: "declination_off",
            place: "[field]".to_owned(),
            what: format!(
                "declination_deg is {stated_deg}, where the magnetic model has {}.",
                fixed(*model_deg, 1)
            ),
            why: "The bearing would be off by the difference, and every shadow with it.",
            mend: match 2.0 * (stated_deg + model_deg).abs() < (stated_deg - model_deg).abs() {
                true => "East is positive: the sign may be the wrong one.".to_owned(),
                false => "Check it on a map of these years; east is positive.".to_owned(),
            },
        },
        Suspicion::UnusualSize { size } => FindingText {
            kind: "unusual_size",
            place: size.name.clone(),
            what: odd_words(size),
            why: "Few grounds have that, and shadows are as long as things are tall.",
            mend: feet_words(size),
        },
        Suspicion::EarlyEnd { moment, count, after_min, usual_min } => FindingText {
            kind: "early_end",
            place: "[[moment]]".to_owned(),
            what: match count {
                1 => format!("the only moment, {moment}, ends the match at {after_min} min."),
                _ => format!(
                    "the last moment, {moment}, ends the match at {after_min} min, of {} usual.",
                    usual_min
                ),
            },
            why: "Moments of the file stand in place of all those of the sport, and the last is \
                  the end.",
            mend: "State every moment up to the end, or leave [[moment]] out.".to_owned(),
        },
        Suspicion::SlowShutter { camera: index, frames_per_s, shutter_one_over } => FindingText {
            kind: "slow_shutter",
            place: camera(venue, *index),
            what: format!(
                "its shutter is open for 1/{shutter_one_over} s at {frames_per_s} frames a \
                 second, longer than a frame."
            ),
            why: "No frame is exposed for longer than it takes; T-numbers are made for a whole \
                  frame.",
            mend: "Check shutter_one_over against frames_per_s: 1/50 s is shutter_one_over = 50."
                .to_owned(),
        },
        Suspicion::MeshUnderGround { name, share, lowest_m } => FindingText {
            kind: "mesh_under_ground",
            place: name.clone(),
            what: format!(
                "{} of its surface lies under the ground, down to {} m.",
                per_cent(*share),
                fixed(-lowest_m, 1)
            ),
            why: "What is under the ground throws no shadow.",
            mend: "Check the last number of at, up and metres_per_unit; its file may count \
                   heights from the sea."
                .to_owned(),
        },
        _ => return None,
    })
}

/// "setback_m is 66 m (0 to 60 is usual), depth_m 79 m (1 to 80)."
fn odd_words(size: &UnusualSize) -> String {
    let one = |(i, odd): (usize, &Odd)| {
        let [low, high] = odd.usual;
        let is = if i == 0 { " is" } else { "" };
        let usual = if i == 0 { " is usual" } else { "" };
        let unit = if odd.unit == "m" { " m" } else { "°" };
        format!("{}{is} {}{unit} ({low} to {high}{usual})", odd.what, short(odd.value))
    };
    let all: Vec<String> = size.odd.iter().enumerate().map(one).collect();
    format!("{}.", all.join(", "))
}

fn feet_words(size: &UnusualSize) -> String {
    let first = size.odd.iter().find(|odd| odd.unit == "m");
    match first.filter(|_| size.fits_feet()) {
        Some(odd) => format!(
            "Were feet meant? {} ft are {} m; then check all numbers of it.",
            short(odd.value),
            fixed(odd.value * FOOT_M, 2)
        ),
        None => "Check its numbers, or leave them if it is like that.".to_owned(),
    }
}

/// Up to two places, without noughts at the end.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn about_things(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
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

fn about_cameras(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
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
