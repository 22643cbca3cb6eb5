//! Match day on the live page: what the crew enters, for all screens.
//!
//! In: the ground, entries of screens. Out: the log beside the venue file, the state and
//! the plan as JSON, an event for all screens when either changes. An entry counts when it
//! is down on the disc; then every screen is notified, and then the plan is made anew.

pub mod clock;
mod data;
pub(in crate::serve) mod moves;
mod outlook;
pub mod pass;
pub mod routes;
pub mod share;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use crate::base::slug::slug;
use crate::engine::{Programme, programme};
use crate::jobs::day::{
    CueLine, DayPlan, DayState, Event, FORMAT, Line, Log, LogEntry, Opening, OperatorsLine, Person,
    Planner, Role, Survey, venue_with_lenses,
};
use crate::serve::ground::Ground;
use crate::serve::problem::Refused;
use crate::solar;
use crate::venue::{Play, Venue};

use clock::Clock;
use outlook::{Ahead, Outlook};

self_cell::self_cell! {
    /// A planner with the venue that it borrows.
    struct OwnPlanner {
        owner: Arc<Venue>,
        #[covariant]
        dependent: Planner,
    }
}

/// The day of the ground that is open.
pub(super) struct Open {
    revision: u64,
    venue: Arc<Venue>,
    programme: Programme,
    start: DateTime<Tz>,
    log: Log,
    entries: Vec<LogEntry>,
    /// Cues that have come.
    past: Vec<CueLine>,
    /// Until when cues are in the log.
    logged_until: DateTime<Utc>,
    state: DayState,
    /// Who has which camera, as the log has it; empty before the first plan.
    operators: Vec<Option<usize>>,
    plan: Option<Arc<DayPlan>>,
    plan_text: Option<Arc<str>>,
    /// Lines of the log that could not be read.
    unread: Vec<crate::jobs::day::Unread>,
    ground: Arc<Ground>,
    /// What edges say about roofs and the bearing, or why they say nothing.
    survey: Result<Option<Arc<Survey>>, String>,
    outlook: Outlook,
}

/// What plans are made with. Apart from the day itself, which takes entries meanwhile.
#[derive(Default)]
struct Planning {
    ready: Option<Ready>,
    /// Who has which camera, from the first plan on.
    operators: Vec<Option<usize>>,
    ahead: Ahead,
}

/// A planner, for one ground with the lenses that are on its cameras.
struct Ready {
    revision: u64,
    lenses: Vec<Option<f64>>,
    planner: OwnPlanner,
}

/// What a plan is to be made of.
struct Wanted {
    revision: u64,
    venue: Arc<Venue>,
    programme: Programme,
    start: DateTime<Tz>,
    state: DayState,
    operators: Vec<Option<usize>>,
    now: DateTime<Tz>,
    before: Option<Arc<DayPlan>>,
}

/// The day, shared by all screens.
pub struct MatchDay {
    pub clock: Clock,
    rehearsed: bool,
    open: Mutex<Option<Open>>,
    planning: Mutex<Planning>,
}

impl MatchDay {
    /// Nothing is opened before someone asks.
    pub fn new(clock: Clock) -> Self {
        let rehearsed = matches!(clock, Clock::Rehearsal { .. });
        Self { clock, rehearsed, open: Mutex::new(None), planning: Mutex::default() }
    }

    fn lock(&self) -> MutexGuard<'_, Option<Open>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Works on the day of a ground, which is opened where it is not yet.
    pub(super) fn with<T>(
        &self,
        ground: &Arc<Ground>,
        file: &Path,
        work: impl FnOnce(&mut Open) -> Result<T, Refused>,
    ) -> Result<T, Refused> {
        let mut open = self.lock();
        let stale = open.as_ref().is_none_or(|day| day.revision != ground.revision);
        if stale {
            // the log of before is closed first: it may be the same file
            let before = open.take();
            let logged_until =
                before.as_ref().map_or_else(|| self.clock.now(), |day| day.logged_until);
            drop(before);
            *open = Some(self.opened(ground, file, logged_until)?);
        }
        match open.as_mut() {
            Some(day) => work(day),
            None => Err(Refused::Internal("the day was not opened".into())),
        }
    }

    /// Makes the plan of the present state, where it is not there yet. Entries come in
    /// meanwhile; the plan that they ask for is made next.
    ///
    /// # Errors
    /// [`Refused`] where the day cannot be planned.
    pub(super) fn replan(&self) -> Result<(), Refused> {
        let mut planning = self.planning.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(wanted) = self.wanted() else { return Ok(()) };
        let made = planned(&mut planning, &wanted)?;
        let is_new = wanted.before.as_ref().is_none_or(|before| !made.is_as(before));
        let text = if is_new { Some(data::plan(&wanted.venue, &made)?) } else { None };
        let mut open = self.lock();
        if let Some(day) = open.as_mut().filter(|day| day.revision == wanted.revision) {
            day.plan_text = text.or_else(|| day.plan_text.take());
            day.plan = Some(Arc::new(made));
            day.note_operators(&planning.operators, &self.clock);
        }
        drop(open);
        self.survey(&wanted);
        Ok(())
    }

    /// Compares edges that were seen with the file, once the plan is there.
    fn survey(&self, wanted: &Wanted) {
        let is_wanted = |day: &&mut Open| day.revision == wanted.revision;
        let ground = self.lock().as_mut().filter(is_wanted).map(|day| Arc::clone(&day.ground));
        let Some(ground) = ground else { return };
        let found = Survey::of(&ground.draft, &wanted.venue, &wanted.state);
        if let Some(day) = self.lock().as_mut().filter(is_wanted) {
            day.survey = found.map(|survey| survey.map(Arc::new));
        }
    }

    fn wanted(&self) -> Option<Wanted> {
        let open = self.lock();
        let day = open.as_ref().filter(|day| !day.is_planned(&self.clock))?;
        Some(day.wanted(&self.clock))
    }

    /// The last entry, where a minute has come that the plan does not know the sky of.
    pub fn is_behind(&self) -> Option<u64> {
        let open = self.lock();
        let day = open.as_ref()?;
        let behind = day.plan.as_ref()?.is_behind(&day.state, day.now(&self.clock));
        behind.then_some(day.state.last_entry)
    }

    /// Lets go of the planner, which holds the light of every minute; the next plan makes
    /// it again. Who has which camera stays.
    pub(super) fn rest(&self) {
        if let Ok(mut planning) = self.planning.try_lock() {
            planning.ready = None;
            planning.ahead = Ahead::default();
        }
    }

    /// Writes cues that have come; the number of the last entry where there were any. What
    /// cannot be written is tried again.
    pub fn log_cues(&self) -> Option<u64> {
        let now = self.clock.now();
        let mut open = self.lock();
        let day = open.as_mut()?;
        day.log_cues(now).ok()?.then_some(day.state.last_entry)
    }

    fn opened(
        &self,
        ground: &Arc<Ground>,
        file: &Path,
        logged_until: DateTime<Utc>,
    ) -> Result<Open, Refused> {
        let venue = Arc::clone(&ground.venue);
        if venue.cameras.is_empty() {
            return Err(Refused::input("the ground has no cameras; add one"));
        }
        let fixture = venue.fixture.ok_or_else(|| {
            Refused::input("the ground has no fixture; state [fixture] with date and start")
        })?;
        let start = solar::resolve(venue.place.zone, fixture.date, fixture.start, None)?;
        let opening = Opening {
            format: FORMAT.to_owned(),
            venue: venue.title.clone(),
            zone: venue.place.zone.name().to_owned(),
            start: start.fixed_offset(),
        };
        let field = ground.draft.part().map(|part| part.name.as_str());
        let path = log_path(file, field, start, self.rehearsed);
        let (log, read) = Log::open(&path, &opening).map_err(|e| Refused::input(e.to_string()))?;
        let programme = programme(&venue);
        let entries: Vec<LogEntry> = read.entries().cloned().collect();
        let past = read.lines.iter().filter_map(|line| match line {
            Line::Cue(cue) => Some(cue.clone()),
            _ => None,
        });
        let past: Vec<CueLine> = past.collect();
        // cues that came while nothing ran are logged late rather than not at all
        let logged_until = past.last().map_or(logged_until, |cue| cue.at.with_timezone(&Utc));
        let state = DayState::replay(&venue, &programme, &entries);
        let operators = read.operators().map(|line| line.operator_of(&venue));
        Ok(Open {
            revision: ground.revision,
            venue,
            programme,
            start,
            log,
            entries,
            past,
            logged_until,
            state,
            operators: operators.unwrap_or_default(),
            plan: None,
            plan_text: None,
            unread: read.unread,
            ground: Arc::clone(ground),
            survey: Ok(None),
            outlook: Outlook::default(),
        })
    }
}

/// The plan of a state, with the planner that is there, or another for another ground or
/// other lenses.
fn planned(planning: &mut Planning, wanted: &Wanted) -> Result<DayPlan, Refused> {
    let refused = |e: crate::jobs::day::DayError| Refused::input(e.to_string());
    if !wanted.operators.is_empty() {
        // as before a restart
        planning.operators.clone_from(&wanted.operators);
    } else if planning.operators.len() != wanted.venue.cameras.len() {
        planning.operators.clear();
    }
    let settled = !planning.operators.is_empty();
    let ready = planning.planner(wanted);
    let mut plan = |before: Option<&DayPlan>, state: &DayState| {
        let plan = |planner: &mut Planner<'_>| planner.plan_after(before, state, wanted.now);
        ready.planner.with_dependent_mut(|_, planner| plan(planner)).map_err(refused)
    };
    if settled {
        return plan(wanted.before.as_deref(), &wanted.state);
    }
    // who has which camera is settled before anything happens
    let first = plan(None, &DayState::new(&wanted.venue, &wanted.programme))?;
    let made = plan(Some(&first), &wanted.state);
    planning.operators = first.operators();
    made
}

impl Planning {
    /// The planner that is there, or another for another ground or other lenses.
    fn planner(&mut self, wanted: &Wanted) -> &mut Ready {
        let lenses: Vec<Option<f64>> =
            wanted.state.cameras.iter().map(|camera| camera.horizontal_fov_deg).collect();
        let usable = self.ready.take().filter(|r| r.revision == wanted.revision);
        self.ready.insert(match usable {
            Some(ready) if ready.lenses == lenses => ready,
            before => made_ready(before, wanted, (lenses, self.operators.clone())),
        })
    }
}

/// A planner for the lenses that are on the cameras now, out of the one before.
fn made_ready(
    before: Option<Ready>,
    wanted: &Wanted,
    (lenses, operators): (Vec<Option<f64>>, Vec<Option<usize>>),
) -> Ready {
    let venue = venue_with_lenses(&wanted.venue, &wanted.state);
    let venue = venue.map_or_else(|| Arc::clone(&wanted.venue), Arc::new);
    let planner = OwnPlanner::new(venue, |venue| {
        let mut planner = match before {
            Some(mut ready) => {
                ready.planner.with_dependent_mut(|_, planner| Planner::after(venue, planner))
            }
            None => Planner::new(venue, wanted.start),
        };
        planner.keep_operators(operators);
        planner
    });
    Ready { revision: wanted.revision, lenses, planner }
}

/// `ground-day-2027-10-16-1500.jsonl` beside `ground.toml`, of a site with the field in its name.
fn log_path(file: &Path, field: Option<&str>, start: DateTime<Tz>, rehearsed: bool) -> PathBuf {
    let mut stem = file.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    if let Some(field) = field {
        stem = format!("{stem}-{}", slug(field, "field"));
    }
    let kind = if rehearsed { "rehearsal" } else { "day" };
    file.with_file_name(format!("{stem}-{kind}-{}.jsonl", start.format("%Y-%m-%d-%H%M")))
}

impl Open {
    fn now(&self, clock: &Clock) -> DateTime<Tz> {
        clock.now().with_timezone(&self.venue.place.zone)
    }

    /// What a plan of the present state is to be made of.
    fn wanted(&self, clock: &Clock) -> Wanted {
        Wanted {
            revision: self.revision,
            venue: Arc::clone(&self.venue),
            programme: self.programme.clone(),
            start: self.start,
            state: self.state.clone(),
            operators: self.operators.clone(),
            now: self.now(clock),
            before: self.plan.clone(),
        }
    }

    /// Takes an entry, down to the disc; its number.
    fn enter(
        &mut self,
        mut what: Event,
        at: DateTime<Tz>,
        entered: DateTime<Tz>,
        by: &Person,
    ) -> Result<u64, Refused> {
        self.may(by, &what)?;
        self.note_filters(&mut what, at);
        let entry = self.entry(what, at, entered, by);
        let number = entry.entry;
        self.allowed(&entry)?;
        self.log
            .append(&Line::Entry(entry.clone()))
            .map_err(|e| Refused::input(format!("the entry is not in: {e}")))?;
        self.entries.push(entry);
        self.state = DayState::replay(&self.venue, &self.programme, &self.entries);
        Ok(number)
    }

    /// The next entry.
    fn entry(&self, what: Event, at: DateTime<Tz>, entered: DateTime<Tz>, by: &Person) -> LogEntry {
        let entry = self.entries.last().map_or(1, |entry| entry.entry + 1);
        let (at, entered) = (at.fixed_offset(), entered.fixed_offset());
        LogEntry { entry, at, entered, by: by.clone(), what }
    }

    /// Whether it means something here.
    fn allowed(&self, entry: &LogEntry) -> Result<(), Refused> {
        DayState::allows(&self.venue, &self.programme, &self.entries, entry)
            .map_err(|e| Refused::input(e.to_string()))
    }

    /// Whether someone may enter that.
    fn may(&self, by: &Person, what: &Event) -> Result<(), Refused> {
        let own = |camera: &str| {
            let index = self.venue.cameras.iter().position(|c| c.name == camera);
            let operators = self.plan.as_ref().map(|plan| &plan.brief.desk.operators);
            index.zip(operators).is_some_and(|(index, operators)| {
                operators.iter().any(|o| o.name == by.name && o.cameras.contains(&index))
            })
        };
        let theirs =
            |number: u64| self.entries.iter().any(|entry| entry.entry == number && entry.by == *by);
        let allowed = match (by.role, what) {
            (Role::Lead, _) => true,
            (Role::See, _) => false,
            (Role::Operate, Event::Undo { entry }) => theirs(*entry),
            (Role::Operate, what) => data::camera_of(what).is_some_and(own),
        };
        match allowed {
            true => Ok(()),
            false => Err(Refused::Forbidden("your code does not allow this entry")),
        }
    }

    /// Writes into an entry that starts play which ND is in, and into one that brings a camera
    /// back which was in what stood in for it.
    fn note_filters(&self, what: &mut Event, at: DateTime<Tz>) {
        if let (Event::CameraBack { camera, nd_stops }, Some(plan)) = (&mut *what, &self.plan) {
            let index = self.venue.cameras.iter().position(|c| c.name == *camera);
            *nd_stops = index.and_then(|index| plan.nd_at(at).get(index).copied().flatten());
        }
        let Event::Moment { moment, name, expected: false, nd_stops } = what else { return };
        let Some(known) = self.programme.moments.get(*moment) else { return };
        name.clone_from(&known.name);
        if let (Play::Starts, Some(plan)) = (known.play, &self.plan) {
            let names = self.venue.cameras.iter().map(|camera| camera.name.clone());
            let each = names.zip(plan.nd_at(at)).filter_map(|(name, nd)| Some((name, nd?)));
            *nd_stops = each.collect();
        }
    }

    /// Whether the plan knows all entries, and a sky that passes up to now.
    fn is_planned(&self, clock: &Clock) -> bool {
        let now = self.now(clock);
        self.plan.as_ref().is_some_and(|plan| {
            plan.after_entry == self.state.last_entry && !plan.is_behind(&self.state, now)
        })
    }

    /// Writes down who has which camera, once; what cannot be written is tried with the next
    /// plan.
    fn note_operators(&mut self, operator_of: &[Option<usize>], clock: &Clock) {
        if !self.operators.is_empty() {
            return;
        }
        let line = OperatorsLine::of(&self.venue, self.now(clock).fixed_offset(), operator_of);
        if self.log.append(&Line::Operators(line)).is_ok() {
            self.operators = operator_of.to_vec();
        }
    }

    /// The last entry, where there is no plan yet.
    pub(super) fn lacks_plan(&self) -> Option<u64> {
        self.plan.is_none().then_some(self.state.last_entry)
    }

    /// Writes cues that have come into the log; whether there were any.
    fn log_cues(&mut self, now: DateTime<Utc>) -> Result<bool, Refused> {
        let Some(plan) = self.plan.clone().filter(|_| now > self.logged_until) else {
            return Ok(false);
        };
        let come = plan.brief.cues.iter().filter(|cue| {
            let at = cue.at.with_timezone(&Utc);
            self.logged_until < at && at <= now
        });
        let come: Vec<CueLine> = come.map(|cue| data::cue_line(&self.venue, &plan, cue)).collect();
        for line in &come {
            self.log
                .append(&Line::Cue(line.clone()))
                .map_err(|e| Refused::input(format!("a cue is not in the log: {e}")))?;
            self.past.push(line.clone());
        }
        self.logged_until = now;
        Ok(!come.is_empty())
    }
}
