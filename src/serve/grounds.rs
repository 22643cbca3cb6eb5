//! The grounds of a session: one, or all of a folder, which are one day.
//!
//! In: a file or a folder. Out: [`Grounds`], each with a [`Live`] of its own, and the routers
//! of this machine. A ground is known by its file's name without the ending; in addresses
//! by a short form of that, which is looked up here and never leads to a path.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use std::{fs, io};

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path as InPath, State};
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use serde_json::{Value, json};
use tokio::time::MissedTickBehavior;

use crate::base::limits::{MAX_GROUNDS, MAX_VENUE_BYTES};
use crate::base::slug::unique_slugs;
use crate::serve::day::clock::Clock;
use crate::serve::day::{moves, share};
use crate::serve::events::{Events, PageEvent};
use crate::serve::problem::{ProblemOut, Refused};
use crate::serve::routes::{Answer, answer};
use crate::serve::session::{Session, nothing_here, other_method};
use crate::serve::workspace::{Workspace, read_text};
use crate::serve::{Live, ServeError, ServeSettings, guard, page, routes};

/// Entries of a folder that are looked at.
const MAX_LOOKED_AT: usize = 2_000;
/// How often grounds are looked at together.
const EVERY: Duration = Duration::from_secs(1);

/// Grounds that were found, before anything is served.
pub struct FoundGrounds {
    grounds: Vec<(String, Workspace)>,
    left_out: Vec<LeftOutFile>,
}

/// A file of the folder that is no ground of the day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOutFile {
    pub file: String,
    pub why: String,
}

/// A ground of the session.
pub struct OneGround {
    /// The file's name without its ending; empty where there is one ground only.
    pub name: String,
    /// What stands for it in addresses.
    pub address: String,
    pub live: Arc<Live>,
}

/// All grounds of the session.
pub struct Grounds {
    pub session: Arc<Session>,
    all: Vec<OneGround>,
    left_out: Vec<LeftOutFile>,
    /// Of all days together.
    pub(super) events: Arc<Events>,
    /// Held by who writes into the logs of two grounds.
    pub(super) moving: Mutex<()>,
    clock: Clock,
}

/// What a person has access to; a guard puts it beside the person.
#[derive(Clone)]
pub enum Access {
    /// One ground, whatever the role there.
    Ground,
    /// All grounds of the day, which this person leads.
    Day(Arc<Grounds>),
}

/// Venue files of a folder, by name: what ends in `.toml` and says where something lies, or
/// cannot be read. Other files in TOML are none.
///
/// # Errors
/// Those of the system.
pub fn venue_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let entries = fs::read_dir(folder)?.flatten().take(MAX_LOOKED_AT);
    let is_ground = |path: &PathBuf| {
        let hidden = path.file_name().is_some_and(|name| name.as_encoded_bytes().starts_with(b"."));
        let heads = |text: &str| {
            let has = |head: &str| text.lines().any(|line| line.trim_start().starts_with(head));
            has("[place]") || has("[field]") || has("[[field]]")
        };
        let large = fs::metadata(path).is_ok_and(|about| about.len() > MAX_VENUE_BYTES);
        path.extension() == Some(OsStr::new("toml"))
            && !hidden
            && path.is_file()
            && (large || read_text(path).map_or(true, |text| heads(&text)))
    };
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.path()).filter(is_ground).collect();
    files.sort();
    Ok(files)
}

impl FoundGrounds {
    /// The file that is named, or all of the folder.
    ///
    /// # Errors
    /// [`ServeError`] where folder or file cannot be used.
    pub fn of(settings: &ServeSettings) -> Result<Self, ServeError> {
        let folder = |source| ServeError::Folder { path: settings.folder.clone(), source };
        let home = settings.folder.canonicalize().map_err(folder)?;
        if !home.is_dir() {
            return Err(folder(io::ErrorKind::NotADirectory.into()));
        }
        if settings.several {
            return Self::all_of(settings, home);
        }
        let mut workspace = Workspace::new(home);
        if let Some(path) = &settings.venue {
            let path = std::path::absolute(path).map_err(|e| ServeError::Venue(e.to_string()))?;
            match workspace.open(path, settings.field.as_deref()) {
                // the page shows its text and what is wrong with it
                Ok(()) | Err(Refused::Broken(_)) => {}
                Err(error) => return Err(ServeError::Venue(error.to_string())),
            }
        }
        Ok(Self { grounds: vec![(String::new(), workspace)], left_out: Vec::new() })
    }

    fn all_of(settings: &ServeSettings, home: PathBuf) -> Result<Self, ServeError> {
        let folder = |source| ServeError::Folder { path: settings.folder.clone(), source };
        let files = venue_files(&home).map_err(folder)?;
        if files.is_empty() {
            return Err(ServeError::NoGrounds { path: settings.folder.clone() });
        }
        if files.len() > MAX_GROUNDS {
            let (path, found) = (settings.folder.clone(), files.len());
            return Err(ServeError::Grounds { path, found });
        }
        let mut all = Self { grounds: Vec::new(), left_out: Vec::new() };
        let mut known: Vec<(PathBuf, String)> = Vec::new();
        for path in files {
            let text = |part: Option<&OsStr>| part.map(|p| p.to_string_lossy().into_owned());
            let file = text(path.file_name()).unwrap_or_default();
            let name = text(path.file_stem()).unwrap_or_default();
            let real = path.canonicalize().map_err(folder)?;
            // two names of one file would write over each other
            if let Some((_, other)) = known.iter().find(|(known, _)| *known == real) {
                let why = format!("the same file as `{other}`; keep one of them here");
                all.left_out.push(LeftOutFile { file, why });
                continue;
            }
            known.push((real, file.clone()));
            let mut workspace = Workspace::new(home.clone());
            match workspace.open(path, None) {
                // it is listed with its problems, and serves once they are mended
                Ok(()) | Err(Refused::Broken(_)) => all.grounds.push((name, workspace)),
                Err(error) => all.left_out.push(LeftOutFile { file, why: error.to_string() }),
            }
        }
        Ok(all)
    }
}

impl Grounds {
    pub fn new(session: Arc<Session>, found: FoundGrounds, settings: &ServeSettings) -> Self {
        let events = Arc::new(Events::default());
        let names = found.grounds.iter().map(|(name, _)| name.as_str());
        let addresses = unique_slugs(names, "ground");
        let each = found.grounds.into_iter().zip(addresses);
        let ground = |((name, workspace), address): ((String, Workspace), String)| {
            let own = match session.several {
                true => Events::of_ground(&address, &events),
                false => Events::default(),
            };
            let named = (name.clone(), workspace);
            let live = Live::new(Arc::clone(&session), named, settings, own);
            OneGround { name, address, live: Arc::new(live) }
        };
        let all = each.map(ground).collect();
        let clock = settings.clock;
        Self { session, all, left_out: found.left_out, events, moving: Mutex::default(), clock }
    }

    pub fn all(&self) -> &[OneGround] {
        &self.all
    }

    pub fn lives(&self) -> impl Iterator<Item = &Arc<Live>> {
        self.all.iter().map(|one| &one.live)
    }

    /// The ground of a name.
    pub fn named(&self, name: &str) -> Option<&OneGround> {
        self.all.iter().find(|one| one.name == name)
    }

    /// What the pass of a ground gives access to; the name is empty for all of them.
    pub fn access(self: &Arc<Self>, name: &str) -> Access {
        match self.session.several && name.is_empty() {
            true => Access::Day(Arc::clone(self)),
            false => Access::Ground,
        }
    }

    /// Ends all streams: the program is about to end.
    pub fn end(&self) {
        self.lives().for_each(|live| live.events.end());
        self.events.end();
    }

    /// All that this machine may ask, behind its guard.
    pub fn router(self: &Arc<Self>) -> Router {
        let router = match (self.session.several, self.all.first()) {
            (false, Some(one)) => routes::router(Arc::clone(&one.live)),
            _ => {
                let ground = |one: &OneGround| routes::router(Arc::clone(&one.live));
                let pages = Router::new()
                    .route(
                        "/live/{name}",
                        get(|InPath(name): InPath<String>| async move { page::file(&name) }),
                    )
                    .route("/api/grounds", get(list_here))
                    .route("/api/day/passes", get(share::all_passes));
                self.of_day(pages, ground)
            }
        };
        router.layer(from_fn_with_state(Arc::clone(self), guard::guard))
    }

    /// All that the lead of the day may ask: the screen of all grounds, and each of them
    /// under its own address.
    pub(super) fn of_day(
        self: &Arc<Self>,
        pages: Router<Arc<Self>>,
        ground: impl Fn(&OneGround) -> Router<Arc<Self>>,
    ) -> Router {
        let router = pages
            .route("/", get(|| async { page::file("grounds.html") }))
            .route("/api/grounds/events", get(listen))
            .route("/api/grounds/move", post(moves::enter))
            .fallback(nothing_here)
            .method_not_allowed_fallback(other_method)
            .layer(DefaultBodyLimit::max(share::MAX_BODY));
        let nested = self
            .all
            .iter()
            .fold(router, |router, one| router.nest(&format!("/of/{}", one.address), ground(one)));
        nested.with_state(Arc::clone(self))
    }

    /// Tells the screen of all grounds that the server is there, and keeps the logs of
    /// grounds in step.
    pub(super) async fn beat(self: Arc<Self>) {
        let mut every = tokio::time::interval(EVERY);
        every.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            tokio::select! {
                _ = every.tick() => {
                    let now_ms = self.clock.now().timestamp_millis();
                    self.events.send(PageEvent::Beat { now_ms });
                }
                () = self.session.entered.notified() => {}
            }
            let asked = Arc::clone(&self);
            if let Ok(changed) = tokio::task::spawn_blocking(move || asked.settle()).await {
                self.announce(changed);
            }
        }
    }

    /// Opens and plans grounds that nobody has asked for yet, one after the other, so that
    /// the screen of all grounds has them.
    pub(super) async fn plan_all(self: Arc<Self>) {
        let mut every = tokio::time::interval(EVERY);
        every.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            every.tick().await;
            for live in self.lives() {
                let asked = Arc::clone(live);
                let lacks = tokio::task::spawn_blocking(move || asked.lacks_plan());
                if let Ok(Some(entry)) = lacks.await {
                    Arc::clone(live).plan_the_day(entry).await;
                }
            }
        }
    }

    /// What the screen of all grounds begins with.
    fn to_json(&self, here: bool) -> Value {
        let one = |one: &OneGround| {
            let current = one.live.current().ok();
            let problems = match one.live.with_day(|_, _| Ok(())) {
                Ok(()) => Vec::new(),
                Err(refused) => one.live.workspace().broken().map_or_else(
                    || vec![ProblemOut::of(refused.to_string())],
                    |broken| broken.problems.clone(),
                ),
            };
            json!({
                "name": one.name,
                "address": one.address,
                "title": current.map(|current| current.ground.venue.title.clone()),
                "problems": problems,
            })
        };
        let left_out = self.left_out.iter().map(|l| json!({ "file": l.file, "why": l.why }));
        json!({
            "now_ms": self.clock.now().timestamp_millis(),
            "speed": self.clock.speed(),
            "rehearsal": !matches!(self.clock, Clock::Real),
            // whether the pages that change the grounds and the codes are served here
            "here": here,
            "grounds": self.all.iter().map(one).collect::<Vec<_>>(),
            "left_out": left_out.collect::<Vec<_>>(),
        })
    }
}

async fn told(grounds: Arc<Grounds>, here: bool) -> Answer {
    let all = tokio::task::spawn_blocking(move || grounds.to_json(here));
    answer(&all.await?)
}

async fn list_here(State(grounds): State<Arc<Grounds>>) -> Answer {
    told(grounds, true).await
}

/// The same on the network.
pub(super) async fn list(State(grounds): State<Arc<Grounds>>) -> Answer {
    told(grounds, false).await
}

async fn listen(State(grounds): State<Arc<Grounds>>) -> Answer {
    grounds.events.day_stream()
}
