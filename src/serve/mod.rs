//! The live page: a server on the loopback address that shows one ground and changes it.
//!
//! In: a venue file or a folder, requests of pages in browsers. Out: the page, JSON of the
//! ground, of shadows, plans and jobs ([`routes`] lists them), and the file, which stays the
//! truth: each change of a page is a change of its text ([`edit`], [`workspace`]). Points are
//! in field axes, metres. Requests come from this machine and this session only ([`guard`]).

pub mod brought;
pub mod day;
pub mod drawn;
pub mod dropped;
pub mod edit;
pub mod events;
pub mod files;
pub mod forecast;
pub mod ground;
pub mod grounds;
pub mod guard;
pub mod history;
pub mod in_process;
pub mod jobs;
mod listen;
pub mod order;
pub mod outlook;
pub mod page;
pub mod picture;
pub mod plan;
pub mod problem;
pub mod routes;
pub mod session;
pub mod shadow;
pub mod through;
pub mod workspace;

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock};
use std::time::{Duration, Instant};

use serde_json::Value;
use tokio::net::TcpListener;
use tokio::task::JoinSet;

use crate::base::limits::MAX_GROUNDS;
use crate::base::memory;
use day::clock::Clock;
use day::{MatchDay, Open};
use dropped::Dropped;
use edit::Change;
use events::{Event, Events};
use forecast::{Forecasts, Given};
use ground::Ground;
use grounds::{Found, Grounds};
use guard::Guard;
use jobs::{JobRules, Jobs};
use plan::{Plans, Wanted};
use problem::Refused;
use session::Session;
use workspace::{Cause, Current, Workspace, no_ground};

pub use session::Work;

/// How often the file on the disc is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(500);
/// From one sign of life to the next.
const BEAT: Duration = Duration::from_secs(1);
/// Threads for all of them.
const MAX_THREADS: usize = 12;

/// After so long without plans, what they were made from goes.
const REST_AFTER: Duration = Duration::from_secs(60);

/// What to serve.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The file to open; the page offers some where there is none.
    pub venue: Option<PathBuf>,
    /// The field of a site; the first where it is not said.
    pub field: Option<String>,
    /// Where files are opened and made.
    pub folder: PathBuf,
    /// 0 takes a free one.
    pub port: u16,
    /// What jobs may be asked for.
    pub rules: JobRules,
    /// Whether every venue file of the folder is a ground of the day.
    pub several: bool,
    /// Where the network of the truck finds the day, where it may.
    pub share: Option<SocketAddr>,
    /// The clock of the day.
    pub clock: Clock,
    /// The forecast of the day, for its place and day.
    pub forecast: Option<Given>,
}

/// Why the page cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    #[error("the folder `{path}` cannot be used: {source}\n  choose another with --folder")]
    Folder { path: PathBuf, source: io::Error },
    #[error("the venue file cannot be opened: {0}")]
    Venue(String),
    #[error(
        "`{path}` holds no venue file; a file of a ground ends in .toml and has [place] and [field]"
    )]
    NoGrounds { path: PathBuf },
    #[error("`{path}` holds {found} venue files; a day has {} grounds at most", MAX_GROUNDS)]
    Grounds { path: PathBuf, found: usize },
    #[error("port {port} cannot be used: {source}\n  choose another with --port, or leave it out")]
    Port { port: u16, source: io::Error },
    #[error("the server cannot start: {0}")]
    Start(io::Error),
    #[error("{address} cannot be shared on: {source}\n  choose another with --share ADDRESS:PORT")]
    Share { address: SocketAddr, source: io::Error },
    #[error("the codes of the crew cannot be kept: {0}")]
    Passes(io::Error),
    #[error("the system gives no random numbers for a key: {0}")]
    Random(#[from] getrandom::Error),
}

impl ServeError {
    /// Whether another file, folder or port would do.
    pub fn is_usage(&self) -> bool {
        matches!(
            self,
            Self::Folder { .. }
                | Self::Venue(_)
                | Self::NoGrounds { .. }
                | Self::Grounds { .. }
                | Self::Port { .. }
                | Self::Share { .. }
        )
    }
}

/// What a job begins from.
#[derive(Debug, Clone)]
struct OpenFile {
    venue: PathBuf,
    folder: PathBuf,
    /// Of a site.
    field: Option<String>,
    revision: u64,
}

/// One ground of a session.
pub struct Live {
    session: Arc<Session>,
    /// The file's name without its ending, where there are several; else empty.
    name: String,
    folder: PathBuf,
    /// When it was busy last before it gave room back.
    rested: Mutex<Option<(Instant, usize)>>,
    workspace: Mutex<Workspace>,
    /// What the workspace holds, for who only reads.
    current: RwLock<Option<Current>>,
    events: Events,
    plans: Plans,
    dropped: Dropped,
    jobs: Jobs,
    day: MatchDay,
    forecasts: Forecasts,
    /// Held by who works out what the forecast means.
    looking: tokio::sync::Mutex<()>,
}

impl Live {
    fn new(
        session: Arc<Session>,
        (name, workspace): (String, Workspace),
        settings: &Settings,
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
            plans: Plans::default(),
            dropped: Dropped::default(),
            jobs: Jobs::new(settings.rules),
            day: MatchDay::new(settings.clock),
            forecasts: Forecasts::new(settings.forecast.clone()),
            looking: tokio::sync::Mutex::default(),
        }
    }

    fn folder(&self) -> &Path {
        &self.folder
    }

    /// Locks the file; only on threads for work.
    fn workspace(&self) -> MutexGuard<'_, Workspace> {
        self.workspace.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The ground as it is now.
    fn current(&self) -> Result<Current, Refused> {
        let current = self.current.read().unwrap_or_else(PoisonError::into_inner);
        current.clone().ok_or_else(no_ground)
    }

    /// The ground, where it still is at a revision.
    fn ground_at(&self, revision: u64) -> Result<Arc<Ground>, Refused> {
        let ground = self.current()?.ground;
        match ground.revision == revision {
            true => Ok(ground),
            false => Err(Refused::old(revision, ground.revision)),
        }
    }

    /// Goes on with work on a ground, or drops it: the ground has moved on, or nobody waits.
    fn still(&self, ground: &Ground, wanted: &Wanted) -> Result<(), Refused> {
        wanted.go_on()?;
        self.ground_at(ground.revision).map(|_| ())
    }

    /// Does work on a thread for it, when it is its turn.
    async fn work<T: Send + 'static>(
        self: &Arc<Self>,
        kind: Work,
        work: impl FnOnce(&Self, &Wanted) -> Result<T, Refused> + Send + 'static,
    ) -> Result<T, Refused> {
        let turn = self.session.turn(kind).await?;
        let wanted = Wanted::default();
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
    async fn edit(
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

    async fn change(self: &Arc<Self>, revision: u64, change: Change) -> Result<Value, Refused> {
        self.edit(Cause::Edit, move |workspace| workspace.change(revision, change)).await
    }

    /// Shows what the workspace holds, and tells pages where that is new.
    fn publish(&self, workspace: &Workspace, cause: Cause) {
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
            self.events.send(Event::Ground { revision, cause, saved });
        }
        if is_new {
            // another ground is another plan
            self.events.send(Event::Day { entry: 0, planned: true });
        }
        if let Some(conflict) = conflict
            && before.is_none_or(|b| b.standing.conflict.as_ref() != Some(&conflict))
        {
            self.events.send(Event::Conflict(conflict));
        }
    }

    /// What is open, for a command that reads it.
    fn file_for_jobs(&self) -> Result<OpenFile, Refused> {
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
    fn with_day<T>(
        &self,
        work: impl FnOnce(&mut Open, &Self) -> Result<T, Refused>,
    ) -> Result<T, Refused> {
        let ground = self.current()?.ground;
        let file = self.workspace().path().ok_or_else(no_ground)?.to_owned();
        self.day.with(&ground, &file, |day| work(day, self))
    }

    /// Tells screens that the server is there, and writes cues down as they come.
    async fn beat(self: Arc<Self>) {
        let mut every = tokio::time::interval(BEAT);
        every.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            every.tick().await;
            self.events.send(Event::Beat { now_ms: self.day.clock.now().timestamp_millis() });
            let live = Arc::clone(&self);
            let told = tokio::task::spawn_blocking(move || live.day.log_cues());
            if let Ok(Some(entry)) = told.await {
                self.events.send(Event::Day { entry, planned: false });
            }
        }
    }

    /// Plans again as minutes come that the plan does not know the sky of.
    async fn keep_up(self: Arc<Self>) {
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
    fn lacks_plan(&self) -> Option<u64> {
        self.with_day(|day, _| Ok(day.lacks_plan())).ok().flatten()
    }

    /// Makes the plan that the day asks for after an entry, and tells screens.
    async fn plan_the_day(self: Arc<Self>, entry: u64) {
        if self.work(Work::Day, |live, _| live.day.replan()).await.is_ok() {
            self.events.send(Event::Day { entry, planned: true });
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
    async fn watch(self: Arc<Self>) {
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

/// Opens the file, or all of a folder, serves until the user ends it, and writes what waits
/// to be written.
/// `ready` is called once with the address to open.
///
/// # Errors
/// [`ServeError`] where it cannot begin.
pub fn run(settings: &Settings, ready: impl FnOnce(&str)) -> Result<(), ServeError> {
    let found = Found::of(settings)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(MAX_THREADS)
        .enable_all()
        .build()
        .map_err(ServeError::Start)?;
    let served = runtime.block_on(serve(settings, found, ready));
    // work that nobody waits for any more is left behind
    runtime.shutdown_timeout(Duration::from_millis(200));
    served
}

async fn serve(
    settings: &Settings,
    found: Found,
    ready: impl FnOnce(&str),
) -> Result<(), ServeError> {
    let port = settings.port;
    let unusable = |source| ServeError::Port { port, source };
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await.map_err(unusable)?;
    let port = listener.local_addr().map_err(ServeError::Start)?.port();
    let session = Arc::new(Session::new(Guard::new(port)?, settings.several));
    let grounds = Arc::new(Grounds::new(session, found, settings));
    // ends with this function
    let mut tasks = JoinSet::new();
    for live in grounds.lives() {
        tasks.spawn(Arc::clone(live).watch());
        tasks.spawn(Arc::clone(live).beat());
        tasks.spawn(Arc::clone(live).keep_up());
    }
    if settings.several {
        tasks.spawn(Arc::clone(&grounds).beat());
        tasks.spawn(Arc::clone(&grounds).plan_all());
    }
    if let Some(address) = settings.share {
        open_door(&grounds, address, &mut tasks).await?;
    }
    ready(&grounds.session.guard.address());
    let ending = Arc::clone(&grounds);
    listen::serve(listener, grounds.router(), async move {
        asked_to_end().await;
        ending.end();
    })
    .await;
    for live in grounds.lives() {
        live.workspace().flush();
    }
    Ok(())
}

/// Opens the door to the network.
async fn open_door(
    grounds: &Arc<Grounds>,
    address: SocketAddr,
    tasks: &mut JoinSet<()>,
) -> Result<(), ServeError> {
    let unusable = |source| ServeError::Share { address, source };
    let listener = TcpListener::bind(address).await.map_err(unusable)?;
    let at = listener.local_addr().map_err(unusable)?;
    let share = day::share::opened(grounds, at).map_err(ServeError::Passes)?;
    let share = Arc::clone(grounds.session.share.get_or_init(|| Arc::new(share)));
    let router = day::share::router(Arc::clone(grounds), share);
    tasks.spawn(async move {
        listen::serve(listener, router, std::future::pending()).await;
    });
    Ok(())
}

/// Ctrl-C, or what systems send to end a program.
async fn asked_to_end() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut ended) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = tokio::signal::ctrl_c() => {}
                _ = ended.recv() => {}
            }
            return;
        }
    }
    let _ = tokio::signal::ctrl_c().await;
}
