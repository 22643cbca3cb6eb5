//! Each table of the file as observations.
//!
//! In: tables of edges, passages, shadows of poles, sights, bearings and tapes, in metres and
//! degrees. Out: observations in field axes, or problems with the path of their key.

use chrono::Timelike;

use super::build::Builder;
use super::{FieldSpot, ObservationKind, Pole, Reference, Thrower, Way, When};

/// Standard error of a direction where none is stated, degrees: toward a place,
/// by compass (common practice, no source).
const TOWARD_DEG: f64 = 0.5;
const COMPASS_DEG: f64 = 2.0;

impl Builder<'_> {
    pub(super) fn poles(&mut self) {
        for (i, table) in self.file.pole.iter().enumerate() {
            let key = format!("pole[{i}]");
            let name = table.name.trim().to_owned();
            if name.is_empty() || self.poles.iter().any(|p| p.name == name) {
                let found = format!("\"{name}\"");
                self.problems.add(format!("{key}.name"), found, "a name of its own");
            }
            let at = self.spot(&table.at, &key, "at").unwrap_or_default();
            self.poles.push(Pole { name, at, height_m: table.height_m });
        }
    }

    pub(super) fn edges(&mut self) {
        for (i, t) in self.file.edge.iter().enumerate() {
            let key = format!("edge[{i}]");
            let when = self.when(&key, (&t.time, &t.on, t.repeated), t.plus_minus_s);
            let from = self.spot(&t.from, &key, "from");
            let toward = self.spot(&t.toward, &key, "toward");
            let thing = t.thrown_by.as_ref().map(|name| self.thing(name, &key, "thrown_by"));
            let sound = self.positive(t.plus_minus_m, &key, "plus_minus_m");
            if from.is_some() && from == toward {
                let found = format!("\"{}\", where the line starts", t.toward);
                self.problems.add(format!("{key}.toward"), found, "another place");
                continue;
            }
            let (Some(when), Some(from), Some(toward), true) = (when, from, toward, sound) else {
                continue;
            };
            let label = format!("edge {}, {}, {} to {}", i + 1, clock(when), t.from, t.toward);
            let edge = Thrower { side: t.beyond, occluder: thing.flatten() };
            let kind = ObservationKind::Edge {
                when,
                from,
                toward,
                height_m: t.height_m,
                met_at_m: t.met_at_m,
                plus_minus_m: t.plus_minus_m,
                edge,
            };
            self.push(&key, label, &t.note, kind);
        }
    }

    pub(super) fn passages(&mut self) {
        for (i, t) in self.file.passage.iter().enumerate() {
            let key = format!("passage[{i}]");
            let when = self.when(&key, (&t.time, &t.on, t.repeated), t.plus_minus_s);
            let at = self.spot(&t.place, &key, "place");
            let thing = t.thrown_by.as_ref().map(|name| self.thing(name, &key, "thrown_by"));
            let sound = self.positive(t.plus_minus_m, &key, "plus_minus_m");
            let (Some(when), Some(at), true) = (when, at, sound) else { continue };
            let label = format!("passage {}, {}, {}", i + 1, clock(when), t.place);
            let edge = Thrower { side: t.becomes, occluder: thing.flatten() };
            let (height_m, plus_minus_m) = (t.height_m, t.plus_minus_m);
            self.push(
                &key,
                label,
                &t.note,
                ObservationKind::Passage { when, at, height_m, plus_minus_m, edge },
            );
        }
    }

    pub(super) fn pole_shadows(&mut self) {
        for (i, t) in self.file.pole_shadow.iter().enumerate() {
            let key = format!("pole_shadow[{i}]");
            let when = self.when(&key, (&t.time, &t.on, t.repeated), t.plus_minus_s);
            let pole = self.poles.iter().position(|p| p.name == t.pole.trim());
            if pole.is_none() {
                let known: Vec<&str> = self.poles.iter().map(|p| p.name.as_str()).collect();
                let allowed = format!("the name of a [[pole]]: {}", known.join(", "));
                self.problems.add(format!("{key}.pole"), format!("\"{}\"", t.pole), allowed);
            }
            let sound = self.positive(t.plus_minus_m, &key, "plus_minus_m");
            let toward = t.points_to.as_ref().map(|name| self.spot(name, &key, "points_to"));
            if t.points_to.is_some() && t.points_deg.is_some() {
                let allowed = "one of points_to and points_deg";
                self.problems.add(format!("{key}.points_deg"), "both directions", allowed);
            }
            if t.points_to.is_none() && t.points_deg.is_none() && t.length_m.is_none() {
                let allowed = "length_m, points_to or points_deg";
                self.problems.add(key.clone(), "a shadow of which nothing was measured", allowed);
            }
            let (Some(when), Some(pole), true) = (when, pole, sound) else { continue };
            let label =
                |what| format!("pole shadow {}, {}, {}: {what}", i + 1, clock(when), t.pole.trim());
            if let Some(length_m) = t.length_m {
                let plus_minus_m = t.plus_minus_m;
                let kind = ObservationKind::PoleLength { when, pole, length_m, plus_minus_m };
                self.push(&key, label("length"), &t.note, kind);
            }
            let stated = t.points_deg.map(|degrees| Way { degrees, from: t.north });
            let (usual, way) = match toward.flatten() {
                Some(to) => (TOWARD_DEG, Some(field_way(self.poles[pole].at, to))),
                None => (COMPASS_DEG, stated),
            };
            let Some(way) = way else { continue };
            let plus_minus_deg = t.plus_minus_deg.unwrap_or(usual);
            self.declined(way, &format!("{key}.points_deg"));
            if self.positive(plus_minus_deg, &key, "plus_minus_deg") {
                let kind = ObservationKind::PoleWay { when, way, plus_minus_deg };
                self.push(&key, label("direction"), &t.note, kind);
            }
        }
    }

    /// A compass needs a declination.
    fn declined(&mut self, way: Way, key: &str) {
        if way.from == Reference::Magnetic && self.declination_deg.is_none() {
            self.problems.add_with_help(
                key,
                "a compass bearing without a declination",
                "declination_deg in this file or in [field] of the venue file",
                "it is printed on maps and changes over the years; or state north = \"true\"",
            );
        }
    }

    pub(super) fn sights(&mut self) {
        for (i, t) in self.file.sight.iter().enumerate() {
            let key = format!("sight[{i}]");
            let from = self.spot(&t.from, &key, "from");
            let thing = self.thing(&t.to, &key, "to");
            let toward = t.toward.as_ref().map(|name| self.spot(name, &key, "toward"));
            let sound = self.positive(t.plus_minus_deg, &key, "plus_minus_deg");
            if from.is_some() && toward == Some(from) {
                let found = "the place of the instrument";
                self.problems.add(format!("{key}.toward"), found, "another place");
            }
            let (Some(from), Some(occluder), true) = (from, thing, sound) else { continue };
            let label = format!("sight {}, {} to {}", i + 1, t.from, t.to);
            let kind = ObservationKind::Sight {
                from,
                eye_m: t.eye_m,
                occluder,
                edge: t.edge,
                toward: toward.flatten(),
                elevation_deg: t.elevation_deg,
                plus_minus_deg: t.plus_minus_deg,
            };
            self.push(&key, label, &t.note, kind);
        }
    }

    pub(super) fn bearings(&mut self) {
        for (i, t) in self.file.bearing.iter().enumerate() {
            let key = format!("bearing[{i}]");
            let (from, to) = (self.spot(&t.from, &key, "from"), self.spot(&t.to, &key, "to"));
            let way = Way { degrees: t.reads_deg, from: t.north };
            self.declined(way, &format!("{key}.reads_deg"));
            let sound = self.positive(t.plus_minus_deg, &key, "plus_minus_deg");
            if from.is_some() && from == to {
                self.problems.add(format!("{key}.to"), "the place itself", "another place");
                continue;
            }
            let (Some(from), Some(to), true) = (from, to, sound) else { continue };
            let label = format!("bearing {}, {} to {}", i + 1, t.from, t.to);
            let plus_minus_deg = t.plus_minus_deg;
            self.push(
                &key,
                label,
                &t.note,
                ObservationKind::Bearing { from, to, way, plus_minus_deg },
            );
        }
    }

    pub(super) fn tapes(&mut self) {
        for (i, t) in self.file.tape.iter().enumerate() {
            let key = format!("tape[{i}]");
            let what = self.address(&t.what, &format!("{key}.what"));
            let sound = self.positive(t.plus_minus, &key, "plus_minus");
            let (Some((what, unit)), true) = (what, sound) else { continue };
            let label = format!("tape {}, {what}", i + 1);
            let kind =
                ObservationKind::Tape { what, reads: t.reads, plus_minus: t.plus_minus, unit };
            self.push(&key, label, &t.note, kind);
        }
    }
}

fn clock(when: When) -> impl std::fmt::Display {
    match when.at.second() {
        0 => when.at.format("%-d %b %H:%M"),
        _ => when.at.format("%-d %b %H:%M:%S"),
    }
}

/// A direction between places, clockwise from the field's long axis.
fn field_way(from: FieldSpot, to: FieldSpot) -> Way {
    let (along, across) = (to[0] - from[0], to[1] - from[1]);
    let degrees = (-across).atan2(along).to_degrees().rem_euclid(360.0);
    Way { degrees, from: Reference::Field }
}
