//! Words of what is odd about the place and the numbers of a file.
//!
//! In: a suspicion, with degrees, metres, kilometres and hours. Out: what, why it matters, what
//! to do; nothing for suspicions of other kinds.

use crate::jobs::check::{PlaceSlip, Suspicion};
use crate::output::words::{self, fixed};
use crate::venue::{FOOT_M, FloodlightUse, Odd, UnusualSize, Venue};

use super::{FindingText, camera, per_cent};

pub(super) fn about_place(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
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
        Suspicion::DarkFixture { from, until, daylight, floodlights } => FindingText {
            kind: "dark_fixture",
            place: "[fixture]".to_owned(),
            what: format!(
                "from {} to {} the sun is down and no floodlights are lit: {}.",
                from.format("%H:%M"),
                until.format("%H:%M"),
                falling(daylight.map(|level| words::lux(level.lux())))
            ),
            why: "Cameras run out of light.",
            mend: lit_sooner(*floodlights),
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
pub(super) fn about_numbers(venue: &Venue, suspicion: &Suspicion) -> Option<FindingText> {
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

/// "610 lx in the open, then 110 lx" of the first level and the last.
fn falling([first, last]: [String; 2]) -> String {
    match first == last {
        true => format!("{first} in the open"),
        false => format!("{first} in the open, then {last}"),
    }
}

/// What to look at where play is in the dark, by when the floodlights of the file are on.
fn lit_sooner(floodlights: Option<FloodlightUse>) -> String {
    let stated = match floodlights {
        None => "if the ground has floodlights, add [floodlights]".to_owned(),
        Some(FloodlightUse::Never) => {
            "[floodlights] has on = \"never\": say when they are lit".to_owned()
        }
        Some(FloodlightUse::FromTime(from)) => {
            format!("[floodlights] are lit from {} on: state an earlier time", from.format("%H:%M"))
        }
        Some(FloodlightUse::BelowDaylight(level)) => {
            let level = words::lux(level.lux());
            format!("[floodlights] are lit under {level}: raise below_lx")
        }
        // lit all the time, so never in the dark
        Some(FloodlightUse::Always) => "look at [floodlights]".to_owned(),
    };
    format!("Check date, start and zone; {stated}.")
}
