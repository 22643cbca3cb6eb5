//! What a venue file holds, in short: the answer to "was it read as I meant?".
//!
//! In: a venue. Out: plain text of at most 80 columns.

use std::fmt::Write;

use geo::Area;

use crate::base::frame::FieldFrame;
use crate::output::text::{fit, wrapped};
use crate::output::words;
use crate::venue::{CameraPost, Candidate, Occluder, Surveyed, Venue};

use super::meshes;
use super::meshes::MeshGroups;

/// The inventory.
pub fn text(venue: &Venue) -> String {
    let place = &venue.place;
    let mut text = format!("{}\n", fit(&venue.title, crate::output::text::WIDTH));
    text += &wrapped(
        "  ",
        &format!(
            "{}, {}, {:.0} m above the sea, zone {}",
            hemisphere(place.latitude_deg, "north", "south"),
            hemisphere(place.longitude_deg, "east", "west"),
            place.height_m,
            place.zone.name()
        ),
    );
    text += &wrapped("  ", &field(venue));
    text += &wrapped("  ", &light(venue));
    text += &list("zone", "zones", venue.zones.iter().map(|z| z.name.as_str()));
    text += &occluders(&venue.occluders);
    text += &changes(venue);
    for note in &venue.meshes {
        text += &meshes::text(note, MeshGroups::OnlyLeftOut);
    }
    text += &cameras(&venue.cameras, venue.field.frame);
    text += &candidates(&venue.candidates);
    text += &surveyed(&venue.surveyed);
    text
}

fn field(venue: &Venue) -> String {
    let field = &venue.field;
    let mut text = format!(
        "{} field of play, {:.0} m2, long axis toward {:.1}° true, reflectance {:.2}",
        field.sport.word().replace('_', " "),
        field.outline.unsigned_area(),
        field.frame.bearing().degrees(),
        field.surface_reflectance,
    );
    if field.playing_area != field.outline {
        text += &format!("; playing area {:.0} m2", field.playing_area.unsigned_area());
    }
    if field.surrounds != field.outline {
        text += &format!("; {:.0} m2 of ground planned in all", field.surrounds.unsigned_area());
    }
    if let Some(relief) = &venue.relief {
        text += &format!("; not flat, {} heights stated", relief.spots());
    }
    if field.surrounds_reflectance != field.surface_reflectance {
        text += &format!(", reflectance {:.2} around", field.surrounds_reflectance);
    }
    text
}

fn hemisphere(degrees: f64, positive: &str, negative: &str) -> String {
    format!("{:.5}° {}", degrees.abs(), if degrees < 0.0 { negative } else { positive })
}

fn light(venue: &Venue) -> String {
    let skyline = match venue.horizon.profile.len() {
        0 => "level skyline".to_owned(),
        points => format!("skyline of {points} points"),
    };
    let lights = match venue.floodlights {
        None => "no floodlights stated".to_owned(),
        Some(lights) => format!("floodlights of {:.0} lx", lights.horizontal.lux()),
    };
    let fixture = match venue.fixture {
        None => "no fixture stated".to_owned(),
        Some(f) => format!("fixture {} at {}", f.date, f.start.format("%H:%M")),
    };
    let moments = match venue.moments.len() {
        0 => String::new(),
        count => format!(", {count} moments of play stated"),
    };
    format!("{skyline}, {lights}, {fixture}{moments}")
}

/// What moves, and what is there on some days only.
fn changes(venue: &Venue) -> String {
    let mut text = String::new();
    for moving in &venue.changes.moving {
        let state = |index: usize| moving.states.get(index).map_or("", |s| s.name.as_str());
        let states: Vec<&str> = moving.states.iter().map(|s| s.name.as_str()).collect();
        let moves = moving.moves.iter().map(|m| {
            let day = m.on.map_or_else(|| "every day".to_owned(), |day| day.to_string());
            format!("{} {day} at {}", state(m.to), m.at.format("%H:%M"))
        });
        let moves: Vec<String> = moves.collect();
        let moves = if moves.is_empty() { "no moves stated".to_owned() } else { moves.join(", ") };
        let line = format!(
            "{} moves: {}; usually {}; {moves}",
            moving.name,
            states.join(", "),
            state(moving.usual)
        );
        text += &wrapped("  ", &line);
    }
    for dated in &venue.changes.dated {
        let name = venue.occluders.get(dated.occluder).map_or("", |o| o.name.as_str());
        let day = |word: &str, day: Option<chrono::NaiveDate>| {
            day.map_or_else(String::new, |day| format!(" {word} {day}"))
        };
        let days = day("from", dated.from) + &day("until", dated.until);
        text += &wrapped("  ", &format!("{name} stands{days} only"));
    }
    text
}

fn occluders(occluders: &[Occluder]) -> String {
    let name = |o: &Occluder| format!("{} ({})", o.name, o.kind.word());
    let names: Vec<String> = occluders.iter().map(name).collect();
    list("occluder", "occluders", names.iter().map(String::as_str))
}

fn cameras(cameras: &[CameraPost], frame: FieldFrame) -> String {
    let mut text = format!("  {}\n", counted(cameras.len(), "camera", "cameras"));
    for camera in cameras {
        let at = frame.to_field(camera.at);
        let _ = writeln!(
            text,
            "    {:<22}{:>7} m along {:>7} m across {:>6} m up {:>6}°",
            fit(&camera.name, 21),
            words::fixed(at.along_m, 1),
            words::fixed(at.across_m, 1),
            words::fixed(at.up_m, 1),
            words::fixed(camera.horizontal_fov_deg, 1),
        );
    }
    text
}

/// Places where a camera could stand; nothing where the file has none.
fn candidates(candidates: &[Candidate]) -> String {
    if candidates.is_empty() {
        return String::new();
    }
    let told = |c: &Candidate| {
        let left_out = match c.left_out {
            0 => String::new(),
            count => format!(", {count} more left out, inside of something"),
        };
        format!("{} ({}{left_out})", c.name, counted(c.posts.len(), "place", "places"))
    };
    let told: Vec<String> = candidates.iter().map(told).collect();
    list("candidate", "candidates", told.iter().map(String::as_str))
}

/// Numbers whose origin the file states, by how they were come by.
fn surveyed(surveyed: &[Surveyed]) -> String {
    if surveyed.is_empty() {
        return String::new();
    }
    let mut ways: Vec<(&str, usize)> = Vec::new();
    for word in surveyed.iter().map(|s| s.how.word()) {
        match ways.iter_mut().find(|(known, _)| *known == word) {
            Some((_, count)) => *count += 1,
            None => ways.push((word, 1)),
        }
    }
    let ways: Vec<String> = ways.iter().map(|(word, count)| format!("{word} {count}")).collect();
    let count = counted(surveyed.len(), "surveyed number", "surveyed numbers");
    wrapped("  ", &format!("{count}: {}", ways.join(", ")))
}

fn list<'a>(one: &str, many: &str, names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<String> = names.map(|n| fit(n, 60)).collect();
    let count = counted(names.len(), one, many);
    if names.is_empty() {
        return format!("  {count}\n");
    }
    wrapped("  ", &format!("{count}: {}", names.join(", ")))
}

fn counted(count: usize, one: &str, many: &str) -> String {
    match count {
        0 => format!("no {many}"),
        _ => words::counted(count, one, many),
    }
}
