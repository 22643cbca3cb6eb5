//! What stands when: states of what moves, days of what is temporary, growth of trees.
//!
//! In: a checked venue and a time on its clock. Out: the [`Standing`] then, equal for all
//! times at which the same stands, and the venue as it stands then: the same occluders in the
//! same order, those that are not there without bodies. Leaves of trees go by the date alone,
//! see [`super::Passes`].

use std::borrow::Cow;

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveDateTime, NaiveTime};
use chrono_tz::Tz;
use glam::DVec3;

use super::{Body, Part, Passes, Shape, Venue};

/// All that changes of a venue but leaves.
#[derive(Debug, Clone, Default)]
pub struct Changes {
    pub moving: Vec<Moving>,
    pub dated: Vec<Dated>,
    pub growing: Vec<Growing>,
}

/// Something that stands in one of several states.
#[derive(Debug, Clone)]
pub struct Moving {
    pub name: String,
    /// Two or more.
    pub states: Vec<State>,
    /// Where no move says another; index of [`Moving::states`].
    pub usual: usize,
    /// In order of time.
    pub moves: Vec<StateChange>,
}

/// One state of a moving thing.
#[derive(Debug, Clone)]
pub struct State {
    pub name: String,
    /// Every occluder that the thing moves, by index, with all its bodies in this state.
    pub parts: Vec<(usize, Vec<Body>)>,
}

/// A change of state by the clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StateChange {
    /// Index of [`Moving::states`].
    pub to: usize,
    pub at: NaiveTime,
    /// Every day where `None`.
    pub on: Option<NaiveDate>,
}

/// An occluder that stands on some days only.
#[derive(Debug, Clone)]
pub struct Dated {
    pub occluder: usize,
    pub from: Option<NaiveDate>,
    pub until: Option<NaiveDate>,
    /// All of it, as its table draws it.
    pub bodies: Vec<Body>,
}

/// A tree that grows.
#[derive(Debug, Clone)]
pub struct Growing {
    pub occluder: usize,
    pub per_year_m: f64,
    /// The year in which it is as high as its table says.
    pub measured: i32,
    pub crown_height_m: f64,
    /// In that year.
    pub bodies: Vec<Body>,
}

/// Which of all changes hold: equal where the same stands.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Standing {
    states: Vec<usize>,
    there: Vec<bool>,
    year: Option<i32>,
}

impl Changes {
    pub fn is_empty(&self) -> bool {
        self.moving.is_empty() && self.dated.is_empty() && self.growing.is_empty()
    }
}

impl Moving {
    /// The state at a time on the venue's clock: that of the last move of the day by then.
    pub fn state_at(&self, when: NaiveDateTime) -> usize {
        let own = self.moves.iter().any(|m| m.on == Some(when.date()));
        let today = self.moves.iter().filter(|m| match m.on {
            Some(day) => day == when.date(),
            None => !own,
        });
        today.take_while(|m| m.at <= when.time()).last().map_or(self.usual, |m| m.to)
    }
}

impl Dated {
    fn stands_on(&self, date: NaiveDate) -> bool {
        self.from.is_none_or(|from| from <= date) && self.until.is_none_or(|until| date <= until)
    }
}

impl Growing {
    /// The tree in a year: the crown wider and higher in proportion over its foot, the trunk
    /// as it is. A tree is never smaller than a tenth of itself.
    fn in_year(&self, year: i32) -> Vec<Body> {
        let grown_m = self.per_year_m * f64::from(year - self.measured);
        let by = (1.0 + grown_m / self.crown_height_m).max(0.1);
        let grown = |body: &Body| {
            let mut body = body.clone();
            if let (Part::Crown, Shape::Convex { vertices, .. }) = (body.part, &mut body.shape) {
                let middle = vertices.iter().sum::<DVec3>() / vertices.len().max(1) as f64;
                let low = vertices.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
                let foot = middle.with_z(low);
                vertices.iter_mut().for_each(|p| *p = foot + (*p - foot) * by);
            }
            body
        };
        self.bodies.iter().map(grown).collect()
    }
}

/// A state that was asked for and is not there.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoSuchState {
    #[error("nothing called \"{name}\" moves at this venue\n  {}", what_moves(known))]
    Thing { name: String, known: Vec<String> },
    #[error(
        "\"{name}\" has no state \"{state}\"\n  choose one of: \"{}\"", known.join("\", \"")
    )]
    State { name: String, state: String, known: Vec<String> },
}

fn what_moves(known: &[String]) -> String {
    match known.is_empty() {
        true => "add a [[moving]] to the file".to_owned(),
        false => format!("choose one of: \"{}\"", known.join("\", \"")),
    }
}

/// Something made of a venue, for each standing of a day.
#[derive(Debug, Clone)]
pub struct ByStanding<T> {
    /// Of the beginning of the day.
    first: T,
    others: Vec<(Standing, T)>,
}

impl<T> ByStanding<T> {
    /// For all that stands on a day and the next.
    pub fn new(venue: &Venue, date: NaiveDate, make: impl Fn(&Venue) -> T) -> Self {
        let (first, others) = venue.standings_on(date);
        let of = |standing: &Standing| match venue.changes.is_empty() {
            true => make(venue),
            false => make(&venue.standing_as(standing)),
        };
        let other = |standing: Standing| (of(&standing), standing);
        let others = others.into_iter().map(other).map(|(made, standing)| (standing, made));
        Self { others: others.collect(), first: of(&first) }
    }

    /// That of an instant.
    pub fn at(&self, venue: &Venue, at: DateTime<Tz>) -> &T {
        if self.others.is_empty() {
            return &self.first;
        }
        let now = venue.standing(at.with_timezone(&venue.place.zone).naive_local());
        let other = self.others.iter().find(|(standing, _)| *standing == now);
        other.map_or(&self.first, |(_, made)| made)
    }
}

impl Body {
    /// The same moved, and with another transmittance where one is given: what passes
    /// straight on and scattered, as [`Passes`] and `scatters` of a body are.
    pub(super) fn moved(&self, by: DVec3, passing: Option<(Passes, f64)>) -> Self {
        let mut body = self.clone();
        match &mut body.shape {
            Shape::Convex { vertices: points, .. } | Shape::Sheet { corners: points } => {
                points.iter_mut().for_each(|p| *p += by);
            }
            Shape::Mesh(mesh) if by != DVec3::ZERO => {
                *mesh = std::sync::Arc::new(mesh.moved(by));
            }
            Shape::Mesh(_) => {}
        }
        if let Some((passes, scatters)) = passing {
            let through = match passes {
                Passes::Always(straight) => straight.share() + scatters,
                Passes::Leaves(_) => scatters,
                Passes::Lattice(lattice) => lattice.openness,
            };
            body.reflectance = body.reflectance.min(1.0 - through);
            (body.passes, body.scatters) = (passes, scatters);
        }
        body
    }
}

impl Venue {
    /// What stands at a time on the venue's clock.
    pub fn standing(&self, when: NaiveDateTime) -> Standing {
        let Changes { moving, dated, growing } = &self.changes;
        Standing {
            states: moving.iter().map(|m| m.state_at(when)).collect(),
            there: dated.iter().map(|d| d.stands_on(when.date())).collect(),
            year: (!growing.is_empty()).then_some(when.year()),
        }
    }

    /// The venue as it stands at a time on its clock.
    pub fn standing_at(&self, when: NaiveDateTime) -> Cow<'_, Venue> {
        match self.changes.is_empty() {
            true => Cow::Borrowed(self),
            false => Cow::Owned(self.standing_as(&self.standing(when))),
        }
    }

    /// The same at an instant.
    pub fn at(&self, at: DateTime<Tz>) -> Cow<'_, Venue> {
        self.standing_at(at.with_timezone(&self.place.zone).naive_local())
    }

    /// The venue in one of its standings.
    pub fn standing_as(&self, standing: &Standing) -> Venue {
        let mut venue = self.clone();
        let mut put = |index: usize, bodies: Vec<Body>| {
            if let Some(occluder) = venue.occluders.get_mut(index) {
                occluder.bodies = bodies;
            }
        };
        let Changes { moving, dated, growing } = &self.changes;
        for dated in dated {
            put(dated.occluder, dated.bodies.clone());
        }
        if let Some(year) = standing.year {
            growing.iter().for_each(|tree| put(tree.occluder, tree.in_year(year)));
        }
        for (moving, state) in moving.iter().zip(&standing.states) {
            let parts = moving.states.get(*state).map_or(&[][..], |state| &state.parts);
            parts.iter().for_each(|(occluder, bodies)| put(*occluder, bodies.clone()));
        }
        for (dated, _) in dated.iter().zip(&standing.there).filter(|(_, there)| !**there) {
            put(dated.occluder, Vec::new());
        }
        venue
    }

    /// What stands at the beginning of a day, and all else that stands at any time of it and
    /// of the next, each standing once.
    pub fn standings_on(&self, date: NaiveDate) -> (Standing, Vec<Standing>) {
        let first = self.standing(date.and_time(NaiveTime::MIN));
        let mut all = Vec::new();
        let days = [Some(date), date.checked_add_days(Days::new(1))];
        let times = self.changes.moving.iter().flat_map(|m| &m.moves).map(|m| m.at);
        let times: Vec<NaiveTime> = std::iter::once(NaiveTime::MIN).chain(times).collect();
        for when in days.iter().flatten().flat_map(|day| times.iter().map(|at| day.and_time(*at))) {
            let standing = self.standing(when);
            if standing != first && !all.contains(&standing) {
                all.push(standing);
            }
        }
        (first, all)
    }

    /// The venue with a moving thing in a state at all times; indices of
    /// [`Changes::moving`] and its states.
    pub fn held_in(&self, moving: usize, state: usize) -> Venue {
        let mut venue = self.clone();
        if let Some(moving) = venue.changes.moving.get_mut(moving) {
            moving.moves.clear();
            moving.usual = state;
            let parts = moving.states.get(state).map_or(&[][..], |state| &state.parts);
            for (occluder, bodies) in parts {
                if let Some(occluder) = venue.occluders.get_mut(*occluder) {
                    occluder.bodies.clone_from(bodies);
                }
            }
        }
        venue
    }

    /// The same by name.
    ///
    /// # Errors
    /// [`NoSuchState`] for what does not move here, or has no such state.
    pub fn held_by_name(&self, name: &str, state: &str) -> Result<Venue, NoSuchState> {
        let all = &self.changes.moving;
        let Some(index) = all.iter().position(|moving| moving.name == name) else {
            let known = all.iter().map(|moving| moving.name.clone()).collect();
            return Err(NoSuchState::Thing { name: name.to_owned(), known });
        };
        let states = &all[index].states;
        match states.iter().position(|known| known.name == state) {
            Some(state) => Ok(self.held_in(index, state)),
            None => Err(NoSuchState::State {
                name: name.to_owned(),
                state: state.to_owned(),
                known: states.iter().map(|state| state.name.clone()).collect(),
            }),
        }
    }

    /// Whether an occluder, by index, moves, comes and goes or grows.
    pub fn changes_of(&self, occluder: usize) -> bool {
        let Changes { moving, dated, growing } = &self.changes;
        let moves = |m: &Moving| m.states.iter().any(|s| s.parts.iter().any(|p| p.0 == occluder));
        moving.iter().any(moves)
            || dated.iter().any(|d| d.occluder == occluder)
            || growing.iter().any(|g| g.occluder == occluder)
    }
}
