//! The day of the ground that is open, shared by all screens.
//!
//! In: the ground and its file, the clock. Out: the log beside the file, opened and replayed
//! when it is asked for, and a plan of each state; the log of a rehearsal is another.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::clock::Clock;
use super::data;
use super::open_day::OpenDay;
use super::outlook::{Ahead, KeptOutlook};
use super::planning::{PlanInput, Planning, planned};
use crate::base::slug::slug;
use crate::engine::programme;
use crate::jobs::day::{CueLine, DayState, FORMAT, Line, Log, LogEntry, Opening, Survey};
use crate::serve::ground::Ground;
use crate::serve::problem::Refused;
use crate::solar;

/// The day, shared by all screens.
pub struct MatchDay {
    pub clock: Clock,
    rehearsed: bool,
    open: Mutex<Option<OpenDay>>,
    pub(super) planning: Mutex<Planning>,
}

impl MatchDay {
    /// Nothing is opened before someone asks.
    pub fn new(clock: Clock) -> Self {
        let rehearsed = matches!(clock, Clock::Rehearsal { .. });
        Self { clock, rehearsed, open: Mutex::new(None), planning: Mutex::default() }
    }

    pub(super) fn lock(&self) -> MutexGuard<'_, Option<OpenDay>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Works on the day of a ground, which is opened where it is not yet.
    pub(in crate::serve) fn with<T>(
        &self,
        ground: &Arc<Ground>,
        file: &Path,
        work: impl FnOnce(&mut OpenDay) -> Result<T, Refused>,
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
    pub(in crate::serve) fn replan(&self) -> Result<(), Refused> {
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
    fn survey(&self, wanted: &PlanInput) {
        let is_wanted = |day: &&mut OpenDay| day.revision == wanted.revision;
        let ground = self.lock().as_mut().filter(is_wanted).map(|day| Arc::clone(&day.ground));
        let Some(ground) = ground else { return };
        let found = Survey::of(&ground.draft, &wanted.venue, &wanted.state);
        if let Some(day) = self.lock().as_mut().filter(is_wanted) {
            day.survey = found.map(|survey| survey.map(Arc::new));
        }
    }

    fn wanted(&self) -> Option<PlanInput> {
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
    pub(in crate::serve) fn rest(&self) {
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
    ) -> Result<OpenDay, Refused> {
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
        Ok(OpenDay {
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
            outlook: KeptOutlook::default(),
        })
    }
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
