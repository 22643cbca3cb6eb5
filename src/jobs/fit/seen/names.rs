//! Names of places and things.
//!
//! In: the venue and the file's own spots. Out: points in field axes, occluders
//! by index, or a problem that says what is near.

use glam::DVec3;

use crate::venue::{Problems, Venue, nearest};

use super::FieldSpot;
use super::file::SpotTable;

/// Sides of the field and the sign of its axes there.
const ENDS: [(&str, f64); 2] = [("ahead", 1.0), ("behind", -1.0)];
const SIDES: [(&str, f64); 2] = [("left", 1.0), ("right", -1.0)];

/// Everything that can be named.
pub(super) struct Names<'v> {
    pub spots: Vec<(String, FieldSpot)>,
    things: Vec<&'v str>,
}

impl<'v> Names<'v> {
    /// Marks of the field, corners and middles of its box, and own spots.
    pub fn new(venue: &'v Venue, own: &[SpotTable], problems: &mut Problems) -> Self {
        let frame = venue.field.frame;
        let field = |x: f64, y: f64| {
            let p = frame.to_field(DVec3::new(x, y, 0.0));
            [p.along_m, p.across_m]
        };
        let marks = venue.field.marks.iter();
        let mut spots: Vec<(String, FieldSpot)> =
            marks.map(|m| (m.name.clone(), field(m.at.x, m.at.y))).collect();
        let corners: Vec<FieldSpot> =
            venue.field.outline.exterior().0.iter().map(|c| field(c.x, c.y)).collect();
        let bound = |axis: usize, sign: f64| {
            sign * corners.iter().map(|c| sign * c[axis]).fold(0.0, f64::max)
        };
        for (end, e) in ENDS {
            for (side, s) in SIDES {
                spots.push((format!("corner {end} {side}"), [bound(0, e), bound(1, s)]));
            }
            spots.push((format!("middle {end}"), [bound(0, e), 0.0]));
        }
        for (side, s) in SIDES {
            spots.push((format!("middle {side}"), [0.0, bound(1, s)]));
        }
        for (i, table) in own.iter().enumerate() {
            let name = table.name.trim();
            if name.is_empty() || spots.iter().any(|(known, _)| known == name) {
                let found = format!("\"{name}\"");
                let allowed = "a name that no other place has";
                problems.add(format!("spot[{i}].name"), found, allowed);
            }
            spots.push((name.to_owned(), table.at));
        }
        Self { spots, things: venue.occluders.iter().map(|o| o.name.as_str()).collect() }
    }

    /// A place by name.
    pub fn spot(&self, name: &str, key: String, problems: &mut Problems) -> Option<FieldSpot> {
        let found = self.spots.iter().find(|(known, _)| known == name.trim());
        if found.is_none() {
            let known = || self.spots.iter().map(|(known, _)| known.as_str());
            let help = advice(name, known, "add a [[spot]] of that name");
            problems.add_with_help(key, format!("\"{name}\""), "the name of a place", help);
        }
        found.map(|(_, at)| *at)
    }

    /// A thing of the venue by name.
    pub fn thing(&self, name: &str, key: String, problems: &mut Problems) -> Option<usize> {
        let found = self.things.iter().position(|known| *known == name.trim());
        if found.is_none() {
            let help = advice(name, || self.things.iter().copied(), "add it to the venue file");
            let allowed = "the name of a thing in the venue file";
            problems.add_with_help(key, format!("\"{name}\""), allowed, help);
        }
        found
    }
}

fn advice<'a, I: Iterator<Item = &'a str>>(
    name: &str,
    known: impl Fn() -> I,
    otherwise: &str,
) -> String {
    match nearest(name, known()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            let known: Vec<&str> = known().collect();
            format!("known are: {}; or {otherwise}", known.join(", "))
        }
    }
}
