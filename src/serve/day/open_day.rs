//! The day of one ground: its log, the state that follows from it, and the plan.
//!
//! In: entries of persons, at instants of the clock of the day. Out: lines of the log, down on
//! the disc before they count, and the state after them; who may enter what.

use std::sync::Arc;

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::clock::Clock;
use super::data;
use super::outlook::KeptOutlook;
use super::planning::PlanInput;
use crate::engine::Programme;
use crate::jobs::day::{
    CueLine, DayPlan, DayState, Event, Line, Log, LogEntry, OperatorsLine, Person, Role, Survey,
    Unread,
};
use crate::serve::ground::Ground;
use crate::serve::problem::Refused;
use crate::venue::{Play, Venue};

/// The day of the ground that is open.
pub(in crate::serve) struct OpenDay {
    pub(super) revision: u64,
    pub(super) venue: Arc<Venue>,
    pub(super) programme: Programme,
    pub(super) start: DateTime<Tz>,
    pub(super) log: Log,
    pub(super) entries: Vec<LogEntry>,
    /// Cues that have come.
    pub(super) past: Vec<CueLine>,
    /// Until when cues are in the log.
    pub(super) logged_until: DateTime<Utc>,
    pub(super) state: DayState,
    /// Who has which camera, as the log has it; empty before the first plan.
    pub(super) operators: Vec<Option<usize>>,
    pub(super) plan: Option<Arc<DayPlan>>,
    pub(super) plan_text: Option<Arc<str>>,
    /// Lines of the log that could not be read.
    pub(super) unread: Vec<Unread>,
    pub(super) ground: Arc<Ground>,
    /// What edges say about roofs and the bearing, or why they say nothing.
    pub(super) survey: Result<Option<Arc<Survey>>, String>,
    pub(super) outlook: KeptOutlook,
}

impl OpenDay {
    pub(super) fn now(&self, clock: &Clock) -> DateTime<Tz> {
        clock.now().with_timezone(&self.venue.place.zone)
    }

    /// What a plan of the present state is to be made of.
    pub(super) fn wanted(&self, clock: &Clock) -> PlanInput {
        PlanInput {
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
    pub(super) fn enter(
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
    pub(super) fn entry(
        &self,
        what: Event,
        at: DateTime<Tz>,
        entered: DateTime<Tz>,
        by: &Person,
    ) -> LogEntry {
        let entry = self.entries.last().map_or(1, |entry| entry.entry + 1);
        let (at, entered) = (at.fixed_offset(), entered.fixed_offset());
        LogEntry { entry, at, entered, by: by.clone(), what }
    }

    /// Whether it means something here.
    pub(super) fn allowed(&self, entry: &LogEntry) -> Result<(), Refused> {
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
    pub(super) fn is_planned(&self, clock: &Clock) -> bool {
        let now = self.now(clock);
        self.plan.as_ref().is_some_and(|plan| {
            plan.after_entry == self.state.last_entry && !plan.is_behind(&self.state, now)
        })
    }

    /// Writes down who has which camera, once; what cannot be written is tried with the next
    /// plan.
    pub(super) fn note_operators(&mut self, operator_of: &[Option<usize>], clock: &Clock) {
        if !self.operators.is_empty() {
            return;
        }
        let line = OperatorsLine::of(&self.venue, self.now(clock).fixed_offset(), operator_of);
        if self.log.append(&Line::Operators(line)).is_ok() {
            self.operators = operator_of.to_vec();
        }
    }

    /// The last entry, where there is no plan yet.
    pub(in crate::serve) fn lacks_plan(&self) -> Option<u64> {
        self.plan.is_none().then_some(self.state.last_entry)
    }

    /// Writes cues that have come into the log; whether there were any.
    pub(super) fn log_cues(&mut self, now: DateTime<Utc>) -> Result<bool, Refused> {
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
