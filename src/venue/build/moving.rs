//! What moves, what is temporary, what grows: from tables to [`Changes`].
//!
//! In: the tables and the occluders that they name, as drawn. Out: every state with all its
//! bodies, checked against the field of play, so that later stages only choose.

use chrono::NaiveDate;
use geo::{Area, BooleanOps, ConvexHull, MultiPoint, Point as GeoPoint, Polygon};
use glam::DVec3;

use crate::base::frame::FieldPoint;
use crate::venue::file::{Days, MovingTable, PanelTable, StatePart, StatePartTable, VenueFile};
use crate::venue::model::ProposedFixture;
use crate::venue::occluder::{Body, Occluder, OccluderKind, Part, Passes};
use crate::venue::problem::Problems;
use crate::venue::standing::{Changes, Dated, Growing, Moving, State, StateChange};

use super::extras::{DAY, day_of, time_of_day};
use super::field::{BuiltField, TOUCH_M2};
use super::profile::Passing;
use super::{nearest, things};

/// Under this height over the field of play nothing may stand or move, metres: as of solids.
const CLEAR_M: f64 = 2.5;

/// All that changes; `occluders` are as their tables draw them.
pub(super) fn changes(
    file: &VenueFile,
    ground: &BuiltField,
    occluders: &[Occluder],
    problems: &mut Problems,
) -> Changes {
    let dated = dated(file, occluders, problems);
    let mut moving = Vec::new();
    for (i, table) in file.moving.iter().enumerate() {
        let key = format!("moving[{i}]");
        let scope = Scope { file, ground, occluders, key: &key, others: &moving };
        moving.extend(scope.moving(table, problems));
    }
    moves(file, &mut moving, problems);
    Changes { moving, dated, growing: growing(file, occluders, problems) }
}

/// The occluders of a file as they stand at its fixture, else with every moving thing in its
/// usual state.
pub(super) fn at_fixture(venue: crate::venue::Venue) -> crate::venue::Venue {
    if venue.changes.is_empty() {
        return venue;
    }
    match venue.fixture {
        Some(ProposedFixture { date, start }) => {
            venue.standing_at(date.and_time(start)).into_owned()
        }
        None => {
            let usual: Vec<usize> = venue.changes.moving.iter().map(|m| m.usual).collect();
            usual.into_iter().enumerate().fold(venue, |venue, (moving, usual)| {
                let moves = venue.changes.moving[moving].moves.clone();
                let mut venue = venue.held_in(moving, usual);
                venue.changes.moving[moving].moves = moves;
                venue
            })
        }
    }
}

/// What a moving thing is built from.
struct Scope<'a> {
    file: &'a VenueFile,
    ground: &'a BuiltField,
    occluders: &'a [Occluder],
    key: &'a str,
    others: &'a [Moving],
}

impl Scope<'_> {
    fn moving(&self, table: &MovingTable, problems: &mut Problems) -> Option<Moving> {
        let key = self.key;
        if table.state.len() < 2 {
            problems.add(
                format!("{key}.state"),
                crate::venue::counted(table.state.len(), "state"),
                "at least two [[moving.state]], such as \"open\" and \"shut\"",
            );
            return None;
        }
        let names: Vec<&str> = table.state.iter().map(|s| s.name.trim()).collect();
        for (j, name) in names.iter().enumerate() {
            let field = format!("{key}.state[{j}].name");
            if name.is_empty() {
                problems.add(field, "an empty name", "a name");
            } else if names[..j].contains(name) {
                problems.add(field, format!("\"{name}\" a second time"), "another name");
            }
        }
        let usual = match &table.usual {
            None => 0,
            Some(name) => state_of(name, &names, format!("{key}.usual"), problems)?,
        };
        let named = table.state.iter().flat_map(|s| &s.part).map(|part| part.what.trim());
        let mut moved: Vec<usize> = Vec::new();
        for name in named {
            let index = self.occluders.iter().position(|o| o.name == name);
            moved.extend(index.filter(|index| !moved.contains(index)));
        }
        let built = problems.len();
        let states: Vec<State> = table
            .state
            .iter()
            .enumerate()
            .map(|(j, state)| State {
                name: state.name.trim().to_owned(),
                parts: self.parts(&state.part, &moved, &format!("{key}.state[{j}]"), problems),
            })
            .collect();
        if moved.is_empty() && problems.len() == built {
            problems.add(
                format!("{key}.state"),
                "states that move nothing",
                "at least one [[moving.state.part]] with what = \"...\"",
            );
        }
        let name = table.name.trim().to_owned();
        Some(Moving { name, states, usual, moves: Vec::new() })
    }

    /// All that moves, as it is in one state.
    fn parts(
        &self,
        tables: &[StatePartTable],
        moved: &[usize],
        key: &str,
        problems: &mut Problems,
    ) -> Vec<(usize, Vec<Body>)> {
        let mut parts: Vec<(usize, Vec<Body>)> =
            moved.iter().map(|&i| (i, self.occluders[i].bodies.clone())).collect();
        for (k, table) in tables.iter().enumerate() {
            let key = format!("{key}.part[{k}]");
            let Some(index) = self.named(&table.what, &format!("{key}.what"), problems) else {
                continue;
            };
            let Some((_, bodies)) = parts.iter_mut().find(|(of, _)| *of == index) else { continue };
            if let Some(changed) = self.changed(table, index, bodies, &key, problems) {
                *bodies = changed;
            }
        }
        parts
    }

    fn named(&self, name: &str, key: &str, problems: &mut Problems) -> Option<usize> {
        let name = name.trim();
        let Some(index) = self.occluders.iter().position(|o| o.name == name) else {
            let known = self.occluders.iter().map(|o| o.name.as_str());
            problems.add_with_help(
                key,
                format!("\"{name}\""),
                "the name of a stand, bowl, solid, tree, panel or mesh",
                nearest(name, known).map_or_else(
                    || "the thing that moves has a table of its own".to_owned(),
                    |near| format!("did you mean \"{near}\"?"),
                ),
            );
            return None;
        };
        let has = |m: &&Moving| m.states.iter().any(|s| s.parts.iter().any(|(of, _)| *of == index));
        if let Some(other) = self.others.iter().find(has) {
            problems.add(
                key,
                format!("\"{name}\", which moves with \"{}\" already", other.name),
                "a thing that no other [[moving]] has",
            );
            return None;
        }
        Some(index)
    }

    fn changed(
        &self,
        table: &StatePartTable,
        index: usize,
        bodies: &[Body],
        key: &str,
        problems: &mut Problems,
    ) -> Option<Vec<Body>> {
        let stated =
            table.shift_m.is_some() || table.corners.is_some() || table.transmittance.is_some();
        if stated == table.gone {
            let found = if stated { "gone = true beside where it goes" } else { "no change" };
            let allowed = "shift_m, corners or transmittance, or gone = true alone";
            problems.add(format!("{key}.what"), found, allowed);
            return None;
        }
        let of_part = |body: &&Body| table.only == StatePart::All || body.part == Part::Roof;
        if !bodies.iter().any(|body| of_part(&body)) {
            problems.add(format!("{key}.only"), "\"roof\" of a thing without one", "\"all\"");
            return None;
        }
        if table.gone {
            return Some(bodies.iter().filter(|body| !of_part(body)).cloned().collect());
        }
        let bodies = match &table.corners {
            Some(corners) => self.with_corners(corners, index, key, problems)?,
            None => bodies.to_vec(),
        };
        let origin =
            self.ground.frame.to_local(FieldPoint { along_m: 0.0, across_m: 0.0, up_m: 0.0 });
        let by = table.shift_m.map_or(DVec3::ZERO, |[along_m, across_m, up_m]| {
            self.ground.frame.to_local(FieldPoint { along_m, across_m, up_m }) - origin
        });
        let passing = table.transmittance.map(|share| {
            let passing = Passing::new(share, table.scattered_share.unwrap_or(0.0));
            (Passes::Always(passing.straight), passing.scattered)
        });
        let one = |body: &Body| match of_part(&body) {
            true => body.moved(by, passing),
            false => body.clone(),
        };
        let changed: Vec<Body> = bodies.iter().map(one).collect();
        self.off_field(&changed, key, problems).then_some(changed)
    }

    fn with_corners(
        &self,
        corners: &[[f64; 3]],
        index: usize,
        key: &str,
        problems: &mut Problems,
    ) -> Option<Vec<Body>> {
        let occluder = &self.occluders[index];
        let panel = self.file.panel.iter().find(|panel| panel.name.trim() == occluder.name);
        let Some(panel) = panel.filter(|_| occluder.kind == OccluderKind::Panel) else {
            let found = format!("corners of \"{}\", which is no panel", occluder.name);
            problems.add(format!("{key}.corners"), found, "shift_m, or a panel");
            return None;
        };
        let table = PanelTable { corners: corners.to_vec(), ..panel.clone() };
        Some(things::panel(&table, key, self.ground, problems)?.bodies)
    }

    /// Notes what a state would put on the field of play; whether there is nothing.
    fn off_field(&self, bodies: &[Body], key: &str, problems: &mut Problems) -> bool {
        let overlap = low_over_m2(bodies, &self.ground.field.outline);
        if overlap > 0.0 {
            problems.add(
                format!("{key}.what"),
                format!("{overlap:.2} m2 of it, under {CLEAR_M} m, on the field of play"),
                "a place outside the field of play, or higher",
            );
        }
        overlap <= 0.0
    }
}

/// What of an area lies under bodies that leave no room to play there, m2.
pub(super) fn low_over_m2(bodies: &[Body], area: &Polygon<f64>) -> f64 {
    let low = bodies.iter().filter(|body| {
        let heights = body.shape.points().iter().map(|p| p.z);
        let (low, high) = heights
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)));
        low < CLEAR_M && high > 0.0
    });
    let taken = low.map(|body| {
        let points = body.shape.points().iter().map(|p| GeoPoint::new(p.x, p.y));
        points.collect::<MultiPoint<f64>>().convex_hull().intersection(area).unsigned_area()
    });
    taken.filter(|taken| *taken > TOUCH_M2).sum()
}

/// Index of a state by its name.
fn state_of(name: &str, known: &[&str], key: String, problems: &mut Problems) -> Option<usize> {
    let found = known.iter().position(|state| *state == name.trim());
    if found.is_none() {
        let near = nearest(name, known.iter().copied());
        problems.add_with_help(
            key,
            format!("\"{}\"", name.trim()),
            format!("one of its states: \"{}\"", known.join("\", \"")),
            near.map_or_else(String::new, |near| format!("did you mean \"{near}\"?")),
        );
    }
    found
}

/// Puts every move with what it moves, in order of time.
fn moves(file: &VenueFile, moving: &mut [Moving], problems: &mut Problems) {
    for (i, table) in file.moves.iter().enumerate() {
        let key = |field: &str| format!("move[{i}].{field}");
        let at = time_of_day(table.at.trim());
        if at.is_none() {
            problems.add(key("at"), format!("\"{}\"", table.at), "a time of day, \"HH:MM\"");
        }
        let on = table.on.as_deref().map(|text| (text, day_of(text)));
        if let Some((text, None)) = on {
            problems.add(key("on"), format!("\"{text}\""), DAY);
        }
        let name = table.what.trim();
        let Some(index) = moving.iter().position(|m| m.name == name) else {
            // one with mistakes of its own has been reported
            if !file.moving.iter().any(|m| m.name.trim() == name) {
                let near = nearest(name, file.moving.iter().map(|m| m.name.as_str()));
                problems.add_with_help(
                    key("what"),
                    format!("\"{name}\""),
                    "the name of a [[moving]] thing",
                    near.map_or_else(String::new, |near| format!("did you mean \"{near}\"?")),
                );
            }
            continue;
        };
        let names: Vec<&str> = moving[index].states.iter().map(|s| s.name.as_str()).collect();
        let to = state_of(&table.to, &names, key("to"), problems);
        let (Some(to), Some(at)) = (to, at) else { continue };
        let on = on.and_then(|(_, day)| day);
        let moves = &mut moving[index].moves;
        if moves.iter().any(|m| m.at == at && m.on == on) {
            problems.add(key("at"), format!("{} a second time", table.at), "another time");
        }
        moves.push(StateChange { to, at, on });
    }
    for moving in moving {
        moving.moves.sort_by_key(|m| m.at);
    }
}

/// Days of every table of what stands, with its key and its name.
pub(super) fn days(file: &VenueFile) -> Vec<(String, String, &Days)> {
    let mut all = Vec::new();
    let mut add = |kind: &str, index: usize, name: &str, days| {
        all.push((format!("{kind}[{index}]"), name.trim().to_owned(), days));
    };
    file.stand.iter().enumerate().for_each(|(i, t)| add("stand", i, &t.name, &t.days));
    for (i, table) in file.corner.iter().enumerate() {
        let [a, b] = table.joins.each_ref().map(|name| name.trim());
        add("corner", i, &format!("{a} to {b}"), &table.days);
    }
    file.bowl.iter().enumerate().for_each(|(i, t)| add("bowl", i, &t.name, &t.days));
    for (i, table) in file.grandstand.iter().enumerate() {
        add("grandstand", i, &table.name, &table.days);
    }
    file.solid.iter().enumerate().for_each(|(i, t)| add("solid", i, &t.name, &t.days));
    file.tree.iter().enumerate().for_each(|(i, t)| add("tree", i, &t.name, &t.days));
    file.panel.iter().enumerate().for_each(|(i, t)| add("panel", i, &t.name, &t.days));
    file.mesh.iter().enumerate().for_each(|(i, t)| add("mesh", i, &t.name, &t.days));
    all
}

fn dated(file: &VenueFile, occluders: &[Occluder], problems: &mut Problems) -> Vec<Dated> {
    let mut dated = Vec::new();
    for (key, name, days) in days(file) {
        let mut day = |text: &Option<String>, field: &str| -> Option<NaiveDate> {
            let text = text.as_deref()?;
            let found = day_of(text);
            if found.is_none() {
                problems.add(format!("{key}.{field}"), format!("\"{text}\""), DAY);
            }
            found
        };
        let from = day(&days.stands_from, "stands_from");
        let until = day(&days.stands_until, "stands_until");
        if let (Some(from), Some(until)) = (from, until)
            && until < from
        {
            problems.add(
                format!("{key}.stands_until"),
                format!("{until}, before it stands"),
                format!("stands_from, {from}, or a later day"),
            );
        }
        let index = occluders.iter().position(|o| o.name == name);
        if let (Some(occluder), true) = (index, from.is_some() || until.is_some()) {
            let bodies = occluders[occluder].bodies.clone();
            dated.push(Dated { occluder, from, until, bodies });
        }
    }
    dated
}

fn growing(file: &VenueFile, occluders: &[Occluder], problems: &mut Problems) -> Vec<Growing> {
    let mut growing = Vec::new();
    for (i, table) in file.tree.iter().enumerate() {
        let (per_year_m, measured) = match (table.grows_m_per_year, table.measured_in_year) {
            (Some(per_year_m), Some(measured)) => (per_year_m, measured),
            (None, None) => continue,
            (grows, _) => {
                let (field, allowed) = match grows {
                    Some(_) => ("measured_in_year", "the year in which it was as high as it says"),
                    None => ("grows_m_per_year", "how much higher it is each year, metres"),
                };
                problems.add(format!("tree[{i}].{field}"), "nothing", allowed);
                continue;
            }
        };
        let Some(occluder) = occluders.iter().position(|o| o.name == table.name.trim()) else {
            continue;
        };
        let bodies = occluders[occluder].bodies.clone();
        let crown_height_m = table.crown_height_m;
        growing.push(Growing { occluder, per_year_m, measured, crown_height_m, bodies });
    }
    growing
}
