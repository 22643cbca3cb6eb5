//! From the tables of the file to checked observations.
//!
//! In: a [`SeenFile`], the venue it is about. Out: [`Observations`], or every problem with
//! the path of its key.

use chrono::Timelike;
use chrono_tz::Tz;

use crate::solar::{ClockError, Repeated, position, resolve};
use crate::venue::{Address, DAY, Draft, Problem, Problems, Unit, Venue, day_of, time_of_day};

use super::file::{SeenFile, Which};
use super::names::Names;
use super::{
    FieldSpot, Observation, ObservationKind, Observations, Pole, Reference, Thrower, Way, When,
};

/// More are no recce.
const MAX_OBSERVATIONS: usize = 1_000;
const MAX_UNKNOWNS: usize = 24;
/// Standard error of a direction where none is stated, degrees: toward a place,
/// by compass (common practice, no source).
const TOWARD_DEG: f64 = 0.5;
const COMPASS_DEG: f64 = 2.0;

pub(super) struct Builder<'a> {
    pub file: &'a SeenFile,
    pub draft: &'a Draft,
    venue: &'a Venue,
    names: Names<'a>,
    poles: Vec<Pole>,
    declination_deg: Option<f64>,
    pub problems: Problems,
    observations: Vec<Observation>,
}

/// Places and checks everything.
pub(super) fn seen(
    file: &SeenFile,
    draft: &Draft,
    venue: &Venue,
) -> Result<Observations, Vec<Problem>> {
    let mut problems = Problems::default();
    let names = Names::new(venue, &file.spot, &mut problems);
    let stated = || draft.value(&Address::from_parts(["field", "declination_deg"])).ok();
    let declination_deg = file.declination_deg.or_else(stated);
    let (observations, poles) = (Vec::new(), Vec::new());
    let mut b =
        Builder { file, draft, venue, names, poles, declination_deg, problems, observations };
    b.counts();
    if b.problems.is_empty() {
        b.poles();
        b.edges();
        b.passages();
        b.pole_shadows();
        b.sights();
        b.bearings();
        b.tapes();
    }
    let unknowns = b.unknowns();
    let problems = b.problems.into_list();
    if !problems.is_empty() {
        return Err(problems);
    }
    Ok(Observations {
        observations: b.observations,
        unknowns,
        poles: b.poles,
        errors: file.errors,
        declination_deg,
        spots: b.names.spots,
    })
}

impl Builder<'_> {
    fn counts(&mut self) {
        let f = self.file;
        let all = f.edge.len()
            + f.passage.len()
            + f.pole_shadow.len()
            + f.sight.len()
            + f.bearing.len()
            + f.tape.len();
        if all > MAX_OBSERVATIONS {
            let found = format!("{all} observations");
            self.problems.add("edge", found, format!("at most {MAX_OBSERVATIONS}"));
        }
        if all == 0 {
            self.problems.add(
                "observations",
                "none",
                "at least one [[edge]], [[passage]], [[pole_shadow]], [[sight]], [[bearing]] \
                 or [[tape]]",
            );
        }
        if f.unknown.is_empty() {
            let allowed = "[[unknown]] with what = \"...\" for each number to be found";
            self.problems.add("unknown", "none", allowed);
        }
        if f.unknown.len() > MAX_UNKNOWNS {
            let found = format!("{} unknowns", f.unknown.len());
            self.problems.add("unknown", found, format!("at most {MAX_UNKNOWNS}"));
        }
    }

    fn push(&mut self, key: &str, label: String, note: &Option<String>, kind: ObservationKind) {
        let note = note.as_deref().map(str::trim).filter(|n| !n.is_empty());
        let label = note.map_or(label.clone(), |note| format!("{label} ({note})"));
        self.observations.push(Observation { label, key: key.to_owned(), kind });
    }

    /// An error of nothing would outweigh all else.
    pub fn positive(&mut self, value: f64, key: &str, field: &str) -> bool {
        if value <= 0.0 {
            let allowed = "a standard error of more than 0";
            self.problems.add(format!("{key}.{field}"), format!("{value}"), allowed);
        }
        value > 0.0
    }

    fn spot(&mut self, name: &str, key: &str, field: &str) -> Option<FieldSpot> {
        self.names.spot(name, format!("{key}.{field}"), &mut self.problems)
    }

    fn thing(&mut self, name: &str, key: &str, field: &str) -> Option<usize> {
        self.names.thing(name, format!("{key}.{field}"), &mut self.problems)
    }

    /// The instant of a reading of the watch. The sun has to be up.
    fn when(
        &mut self,
        key: &str,
        (time, on, repeated): (&str, &Option<String>, Option<Which>),
        plus_minus_s: f64,
    ) -> Option<When> {
        let date_key = if on.is_some() { format!("{key}.on") } else { "on".to_owned() };
        let date = on.as_ref().or(self.file.on.as_ref()).map(|t| t.trim());
        let day = date.and_then(day_of);
        if day.is_none() {
            let found = date.map_or("no day".to_owned(), |t| format!("\"{t}\""));
            let key = if date.is_none() { format!("{key}.on") } else { date_key };
            self.problems.add(key, found, DAY);
        }
        let clock = time_of_day(time.trim());
        let time_key = format!("{key}.time");
        if clock.is_none() {
            let allowed = "a time of day, \"HH:MM\" or \"HH:MM:SS\"";
            self.problems.add(time_key.clone(), format!("\"{time}\""), allowed);
        }
        let (day, clock) = (day?, clock?);
        let repeated = repeated.map(|which| match which {
            Which::Earlier => Repeated::Earlier,
            Which::Later => Repeated::Later,
        });
        let at = match resolve(self.venue.place.zone, day, clock, repeated) {
            Ok(at) => at,
            Err(fault) => {
                self.problems.add(time_key, format!("\"{time}\""), clock_advice(&fault));
                return None;
            }
        };
        let sun = position(&self.venue.place, at);
        if sun.apparent_elevation.degrees() <= 0.0 {
            self.problems.add(
                time_key,
                format!(
                    "\"{time}\" on {day}, with the sun {:.1} degrees under the horizon",
                    -sun.apparent_elevation.degrees()
                ),
                "a time by day",
            );
            return None;
        }
        if plus_minus_s > 0.0 {
            Some(When { at, plus_minus_s })
        } else {
            self.positive(plus_minus_s, key, "plus_minus_s");
            None
        }
    }

    fn poles(&mut self) {
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

    fn edges(&mut self) {
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

    fn passages(&mut self) {
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

    fn pole_shadows(&mut self) {
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

    fn sights(&mut self) {
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

    fn bearings(&mut self) {
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

    fn tapes(&mut self) {
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

    pub fn address(&mut self, text: &str, key: &str) -> Option<(Address, Unit)> {
        let found = text.parse::<Address>().map_err(|e| e.to_string()).and_then(|address| {
            self.draft.unit(&address).map(|unit| (address, unit)).map_err(|e| e.to_string())
        });
        match found {
            Ok(found) => Some(found),
            Err(why) => {
                self.problems.add(key, format!("\"{text}\""), why);
                None
            }
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

fn clock_advice(fault: &ClockError) -> String {
    let zone = |zone: &Tz| zone.name();
    match fault {
        ClockError::Skipped { zone: z, before, after, .. } => format!(
            "a time that the clocks of {} show: they go forward then, from {} to {}",
            zone(z),
            before.format("%H:%M"),
            after.format("%H:%M")
        ),
        ClockError::Twice { zone: z, .. } => format!(
            "repeated = \"earlier\" or \"later\" beside it: the clocks of {} go back then and \
             show it twice",
            zone(z)
        ),
    }
}
