//! What all grounds of a session have in common: who may ask, and whose turn it is.
//!
//! In: requests and work for any ground. Out: the same, bounded together: one machine serves
//! all grounds, however many there are.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Instant;

use axum::extract::Request;
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use tokio::sync::{Notify, OwnedSemaphorePermit, Semaphore};

use super::day::share::Share;
use super::guard::{Guard, MAX_AT_ONCE, PATIENCE, own_path};
use super::problem::Refused;

/// Plans that are worked on at once: each uses all cores.
const MAX_HEAVY: usize = 1;
/// Instants and pictures that are worked on at once, beside a plan: a hand waits for them.
const MAX_PROMPT: usize = 1;
/// Shadows and changes that are worked on at once.
const MAX_QUICK: usize = 4;
/// Streams of events, which are bounded by themselves.
const STREAMS: [&str; 3] = ["/api/events", "/api/day/events", "/api/grounds/events"];

/// How much a piece of work takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    /// Milliseconds.
    Quick,
    /// All cores for a moment.
    Prompt,
    /// The same for the plan of the day, which no page may hold up.
    Day,
    /// All cores for a while.
    Heavy,
}

/// One session, of one ground or of all grounds of a day.
pub struct Session {
    pub guard: Guard,
    /// Whether the grounds of a folder are one day.
    pub several: bool,
    pub share: OnceLock<Arc<Share>>,
    /// An entry came in that other grounds may hang on.
    pub entered: Notify,
    /// Requests that are being worked on.
    at_once: Semaphore,
    quick: Arc<Semaphore>,
    prompt: Arc<Semaphore>,
    day_plans: Arc<Semaphore>,
    heavy: Arc<Semaphore>,
    /// When heavy work was last asked for.
    busy: Mutex<Instant>,
}

impl Session {
    pub fn new(guard: Guard, several: bool) -> Self {
        Self {
            guard,
            several,
            share: OnceLock::new(),
            entered: Notify::new(),
            at_once: Semaphore::new(MAX_AT_ONCE),
            quick: Arc::new(Semaphore::new(MAX_QUICK)),
            prompt: Arc::new(Semaphore::new(MAX_PROMPT)),
            day_plans: Arc::new(Semaphore::new(MAX_HEAVY)),
            heavy: Arc::new(Semaphore::new(MAX_HEAVY)),
            busy: Mutex::new(Instant::now()),
        }
    }

    /// When heavy work was last asked for.
    pub fn busy(&self) -> Instant {
        *self.busy.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits for the turn of a piece of work.
    ///
    /// # Errors
    /// [`Refused::Busy`] at the end of the program.
    pub async fn turn(&self, kind: Work) -> Result<OwnedSemaphorePermit, Refused> {
        let turns = match kind {
            Work::Quick => &self.quick,
            Work::Prompt => &self.prompt,
            Work::Day => &self.day_plans,
            Work::Heavy => &self.heavy,
        };
        if kind != Work::Quick {
            *self.busy.lock().unwrap_or_else(PoisonError::into_inner) = Instant::now();
        }
        let ended = |_| Refused::Busy("the server is about to end");
        Arc::clone(turns).acquire_owned().await.map_err(ended)
    }

    /// Answers a request that may come, as one of so many and in bounded time.
    pub async fn guarded(&self, request: Request, next: Next) -> Response {
        let path = request.uri().path().to_owned();
        self.bounded(&path, next.run(request)).await
    }

    /// The same for an answer that is made otherwise.
    pub async fn bounded(&self, path: &str, answer: impl Future<Output = Response>) -> Response {
        if STREAMS.contains(&own_path(path)) {
            return answer.await;
        }
        let Ok(_permit) = self.at_once.try_acquire() else {
            return Refused::Busy("too many requests at the same time; try again").into_response();
        };
        match tokio::time::timeout(PATIENCE, answer).await {
            Ok(response) => response,
            Err(_) => Refused::TooLong { seconds: PATIENCE.as_secs() }.into_response(),
        }
    }
}

/// An address that there is not.
pub async fn nothing_here() -> Refused {
    Refused::NotFound("there is nothing at this address".to_owned())
}

/// An address that is asked in another way than it answers to.
pub async fn other_method() -> (StatusCode, String) {
    let text = "this address takes another method";
    (StatusCode::METHOD_NOT_ALLOWED, Refused::BadRequest(text.into()).body().to_string())
}
