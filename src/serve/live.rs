//! One ground of a session, as all its pages share it.
//!
//! In: requests of pages, the file on the disc, the clock of the day. Out: the ground at its
//! present revision, turns of work on it, events for pages when it changes, and the tasks that
//! follow the file, the cues and the plan of the day. Points are in field axes, metres.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock};
use std::time::{Duration, Instant};

use serde_json::Value;

use super::day::{MatchDay, OpenDay};
use super::dropped::Dropped;
use super::edit::Change;
use super::events::{Events, PageEvent};
use super::forecast::Forecasts;
use super::ground::Ground;
use super::jobs::Jobs;
use super::plan::{PlanCache, WorkWanted};
use super::problem::Refused;
use super::server::ServeSettings;
use super::session::{Session, Work};
use super::workspace::{Cause, Current, Workspace, no_ground};
use crate::base::memory;

/// How often the file on the disc is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(500);
/// From one sign of life to the next.
const BEAT: Duration = Duration::from_secs(1);

/// After so long without plans, what they were made from goes.
const REST_AFTER: Duration = Duration::from_secs(60);

/// What a job begins from.
#[derive(Debug, Clone)]
pub(super) struct OpenFile {
    pub(super) venue: PathBuf,
    pub(super) folder: PathBuf,
    /// Of a site.
    pub(super) field: Option<String>,
    pub(super) revision: u64,
}

/// One ground of a session.
pub struct Live {
    pub(super) session: Arc<Session>,
    /// The file's name without its ending, where there are several; else empty.
    pub(super) name: String,
    pub(super) folder: PathBuf,
    /// When it was busy last before it gave room back.
    pub(super) rested: Mutex<Option<(Instant, usize)>>,
    pub(super) workspace: Mutex<Workspace>,
    /// What the workspace holds, for who only reads.
    pub(super) current: RwLock<Option<Current>>,
    pub(super) events: Events,
    pub(super) plans: PlanCache,
    pub(super) dropped: Dropped,
    pub(super) jobs: Jobs,
    pub(super) day: MatchDay,
    pub(super) forecasts: Forecasts,
    /// Held by who works out what the forecast means.
    pub(super) looking: tokio::sync::Mutex<()>,
}

impl Live {
    pub(super) fn new(
        session: Arc<Session>,
        (name, workspace): (String, Workspace),
        settings: &ServeSettings,
        events: Events,
    ) -> Self {
        Self {
            session,
            name,
            folder: workspace.folder().to_owned(),
            rested: Mutex::default(),
            current: RwLock::new(workspace.current()),
            workspace: Mutex::new(workspace),
            events,
            plans: PlanCache::default(),
            dropped: Dropped::default(),
            jobs: Jobs::new(settings.rules),
            day: MatchDay::new(settings.clock),
            forecasts: Forecasts::new(settings.forecast.clone()),
            looking: tokio::sync::Mutex::default(),
        }
    }

    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Locks the file; only on threads for work.
    pub(super) fn workspace(&self) -> MutexGuard<'_, Workspace> {
        self.workspace.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The ground as it is now.
    pub(super) fn current(&self) -> Result<Current, Refused> {
        let current = self.current.read().unwrap_or_else(PoisonError::into_inner);
        current.clone().ok_or_else(no_ground)
    }

    /// The ground, where it still is at a revision.
    pub(super) fn ground_at(&self, revision: u64) -> Result<Arc<Ground>, Refused> {
        let ground = self.current()?.ground;
        match ground.revision == revision {
            true => Ok(ground),
            false => Err(Refused::old(revision, ground.revision)),
        }
    }

    /// Goes on with work on a ground, or drops it: the ground has moved on, or nobody waits.
    pub(super) fn still(&self, ground: &Ground, wanted: &WorkWanted) -> Result<(), Refused> {
        wanted.go_on()?;
        self.ground_at(ground.revision).map(|_| ())
    }

    /// Does work on a thread for it, when it is its turn.
    pub(super) async fn work<T: Send + 'static>(
        self: &Arc<Self>,
        kind: Work,
        work: impl FnOnce(&Self, &WorkWanted) -> Result<T, Refused> + Send + 'static,
    ) -> Result<T, Refused> {
        let turn = self.session.turn(kind).await?;
        let wanted = WorkWanted::default();
        let _waiting = wanted.waiting();
        let live = Arc::clone(self);
        let done = tokio::task::spawn_blocking(move || {
            let _turn = turn;
            work(&live, &wanted)
        });
        done.await?
    }

    /// Makes a change for a page and tells all others; the ground after it. A page that
    /// leaves meanwhile changes nothing about that.
    pub(super) async fn edit(
        self: &Arc<Self>,
        cause: Cause,
        change: impl FnOnce(&mut Workspace) -> Result<bool, Refused> + Send + 'static,
    ) -> Result<Value, Refused> {
        self.work(Work::Quick, move |live, _| {
            let mut workspace = live.workspace();
            let done = change(&mut workspace);
            live.publish(&workspace, cause);
            drop(workspace);
            done?;
            Ok(live.current()?.to_json())
        })
        .await
    }

    pub(super) async fn change(
        self: &Arc<Self>,
        revision: u64,
        change: Change,
    ) -> Result<Value, Refused> {
        self.edit(Cause::Edit, move |workspace| workspace.change(revision, change)).await
    }

    /// Shows what the workspace holds, and tells pages where that is new.
    pub(super) fn publish(&self, workspace: &Workspace, cause: Cause) {
        let Some(now) = workspace.current() else { return };
        let before = {
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            current.replace(now.clone())
        };
        let before = before.as_ref();
        let conflict = now.standing.conflict;
        let revision = now.ground.revision;
        let is_new = before.is_none_or(|b| b.ground.revision != revision);
        let saved = now.standing.saved;
        let stands = before.is_some_and(|b| {
            b.standing.saved == saved
                && b.standing.conflict == conflict
                && b.standing.save_problem == now.standing.save_problem
        });
        if is_new || !stands {
            let cause = if is_new { cause } else { Cause::Saved };
            self.events.send(PageEvent::Ground { revision, cause, saved });
        }
        if is_new {
            // another ground is another plan
            self.events.send(PageEvent::Day { entry: 0, planned: true });
        }
        if let Some(conflict) = conflict
            && before.is_none_or(|b| b.standing.conflict.as_ref() != Some(&conflict))
        {
            self.events.send(PageEvent::Conflict(conflict));
        }
    }

    /// What is open, for a command that reads it.
    pub(super) fn file_for_jobs(&self) -> Result<OpenFile, Refused> {
        let mut workspace = self.workspace();
        workspace.flush();
        let ground = workspace.current().ok_or_else(no_ground)?.ground;
        match workspace.saved_path() {
            Some(path) => Ok(OpenFile {
                venue: path.to_owned(),
                folder: workspace.folder().to_owned(),
                field: ground.draft.part().map(|part| part.name.clone()),
                revision: ground.revision,
            }),
            None => Err(Refused::Conflict {
                text: "the file on the disc is not what the page shows; settle that first".into(),
                ground: None,
            }),
        }
    }

    /// Works on the day of the ground that is open.
    pub(super) fn with_day<T>(
        &self,
        work: impl FnOnce(&mut OpenDay, &Self) -> Result<T, Refused>,
    ) -> Result<T, Refused> {
        let ground = self.current()?.ground;
        let file = self.workspace().path().ok_or_else(no_ground)?.to_owned();
        self.day.with(&ground, &file, |day| work(day, self))
    }

    /// Tells screens that the server is there, and writes cues down as they come.
    pub(super) async fn beat(self: Arc<Self>) {
        let mut every = tokio::time::interval(BEAT);
        every.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            every.tick().await;
            self.events.send(PageEvent::Beat { now_ms: self.day.clock.now().timestamp_millis() });
            let live = Arc::clone(&self);
            let told = tokio::task::spawn_blocking(move || live.day.log_cues());
            if let Ok(Some(entry)) = told.await {
                self.events.send(PageEvent::Day { entry, planned: false });
            }
        }
    }

    /// Plans again as minutes come that the plan does not know the sky of.
    pub(super) async fn keep_up(self: Arc<Self>) {
        let mut every = tokio::time::interval(BEAT);
        every.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            every.tick().await;
            let live = Arc::clone(&self);
            let behind = tokio::task::spawn_blocking(move || live.day.is_behind());
            if let Ok(Some(entry)) = behind.await {
                Arc::clone(&self).plan_the_day(entry).await;
            }
        }
    }

    /// The last entry, where there is a day without any plan.
    pub(super) fn lacks_plan(&self) -> Option<u64> {
        self.with_day(|day, _| Ok(day.lacks_plan())).ok().flatten()
    }

    /// Makes the plan that the day asks for after an entry, and tells screens.
    pub(super) async fn plan_the_day(self: Arc<Self>, entry: u64) {
        if self.work(Work::Day, |live, _| live.day.replan()).await.is_ok() {
            self.events.send(PageEvent::Day { entry, planned: true });
        }
    }

    /// Gives room back when nobody has planned for a while.
    fn rest(&self) {
        let busy = self.session.busy();
        let mut rested = self.rested.lock().unwrap_or_else(PoisonError::into_inner);
        let screens = self.events.screens();
        if busy.elapsed() <= REST_AFTER || *rested == Some((busy, screens)) {
            return;
        }
        if let Ok(current) = self.current() {
            current.ground.rest();
        }
        self.plans.rest();
        // a screen that is open waits for the next entry, whose plan must be quick
        if screens == 0 {
            self.day.rest();
        }
        memory::give_back();
        *rested = Some((busy, screens));
    }

    /// Looks at the file from time to time, until the server ends.
    pub(super) async fn watch(self: Arc<Self>) {
        let mut every = tokio::time::interval(LOOK_EVERY);
        every.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            every.tick().await;
            let live = Arc::clone(&self);
            let looked = tokio::task::spawn_blocking(move || {
                let mut workspace = live.workspace();
                if let Some(cause) = workspace.look() {
                    live.publish(&workspace, cause);
                }
                drop(workspace);
                live.rest();
            });
            // a failed look is made again
            let _ = looked.await;
        }
    }
}
