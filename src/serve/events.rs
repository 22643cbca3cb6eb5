//! What pages are told without asking: server-sent events.
//!
//! In: what happens to the ground, to jobs, to the file. Out: a stream a page, of at most
//! [`MAX_STREAMS`]; a page that reads too slowly misses events and is told to look again.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::response::sse::{Event as Sent, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures_util::stream;
use serde::Serialize;
use serde_json::json;
use tokio::sync::broadcast::{self, error::RecvError};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};

use super::problem::Refused;
use super::workspace::{Cause, FileConflict};

/// Pages that may listen at once.
pub const MAX_STREAMS: usize = 32;
/// Events that wait for a page that is slow.
const MAX_WAITING: usize = 256;
/// A line without meaning, so that a stream whose page is gone is noticed.
const KEEP_ALIVE: Duration = Duration::from_secs(15);

/// Something that pages want to know.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum PageEvent {
    Ground {
        revision: u64,
        cause: Cause,
        saved: bool,
    },
    Job {
        id: u64,
        line: String,
        done: bool,
    },
    Conflict(FileConflict),
    /// The day has another entry, or a plan that knows it.
    Day {
        entry: u64,
        planned: bool,
    },
    /// The same of one of several grounds, for screens of them all.
    DayOf {
        ground: String,
        entry: u64,
        planned: bool,
    },
    /// There is another forecast of the day, or none any more; for all of them.
    Forecast {
        file: Option<String>,
    },
    /// A sign of life for screens that go on by themselves without one.
    Beat {
        now_ms: i64,
    },
}

impl PageEvent {
    fn name(&self) -> &'static str {
        match self {
            Self::Ground { .. } => "ground",
            Self::Job { .. } => "job",
            Self::Conflict(_) => "conflict",
            Self::Day { .. } | Self::DayOf { .. } => "day",
            Self::Forecast { .. } => "forecast",
            Self::Beat { .. } => "beat",
        }
    }

    /// Whether it is for screens of the day, or for pages that change the ground.
    fn is_for(&self, screen: bool) -> bool {
        match self {
            Self::Day { .. } | Self::DayOf { .. } | Self::Beat { .. } => screen,
            Self::Forecast { .. } => true,
            Self::Ground { .. } | Self::Job { .. } | Self::Conflict(_) => !screen,
        }
    }
}

/// All streams.
#[derive(Debug)]
pub struct Events {
    sender: broadcast::Sender<PageEvent>,
    streams: Arc<Semaphore>,
    ends: watch::Sender<bool>,
    /// Held by each screen of the day, and here.
    screens: Arc<()>,
    /// Of one of several grounds: its address, and the streams of them all.
    all: Option<(String, Arc<Events>)>,
}

impl Default for Events {
    fn default() -> Self {
        let streams = Arc::new(Semaphore::new(MAX_STREAMS));
        Self {
            sender: broadcast::channel(MAX_WAITING).0,
            streams,
            ends: watch::channel(false).0,
            screens: Arc::default(),
            all: None,
        }
    }
}

/// What one stream holds.
struct Listening {
    events: broadcast::Receiver<PageEvent>,
    ends: watch::Receiver<bool>,
    /// Of a screen of the day.
    screen: Option<Arc<()>>,
    _permit: OwnedSemaphorePermit,
}

impl Events {
    /// Those of one of several grounds: its days are told to the streams of them all.
    pub fn of_ground(address: &str, all: &Arc<Self>) -> Self {
        Self { all: Some((address.into(), Arc::clone(all))), ..Self::default() }
    }

    /// Sends an event to all pages; without pages it is gone.
    pub fn send(&self, event: PageEvent) {
        if let (Some((ground, all)), PageEvent::Day { entry, planned }) = (&self.all, &event) {
            let (ground, entry, planned) = (ground.clone(), *entry, *planned);
            all.send(PageEvent::DayOf { ground, entry, planned });
        }
        let _ = self.sender.send(event);
    }

    /// Ends all streams: the program is about to end.
    pub fn end(&self) {
        self.ends.send_replace(true);
    }

    /// A stream for one more page.
    ///
    /// # Errors
    /// [`Refused::Busy`] with too many of them.
    pub fn stream(&self) -> Result<Response, Refused> {
        self.listen(false)
    }

    /// The same for one more screen of the day.
    ///
    /// # Errors
    /// As [`Events::stream`].
    pub fn day_stream(&self) -> Result<Response, Refused> {
        self.listen(true)
    }

    /// Screens of the day that listen, those of all grounds too.
    pub fn screens(&self) -> usize {
        let all = self.all.as_ref().map_or(0, |(_, all)| all.screens());
        all + Arc::strong_count(&self.screens) - 1
    }

    fn listen(&self, of_day: bool) -> Result<Response, Refused> {
        let too_many = |_| Refused::Busy("32 pages listen already; close one");
        let permit = Arc::clone(&self.streams).try_acquire_owned().map_err(too_many)?;
        let (events, ends) = (self.sender.subscribe(), self.ends.subscribe());
        let screen = of_day.then(|| Arc::clone(&self.screens));
        let listening = Listening { events, ends, screen, _permit: permit };
        let stream = stream::unfold(listening, |mut listening| async {
            let sent = next(&mut listening).await?;
            Some((Ok::<_, Infallible>(sent), listening))
        });
        let alive = KeepAlive::new().interval(KEEP_ALIVE);
        Ok(Sse::new(stream).keep_alive(alive).into_response())
    }
}

/// The next event of a stream; none at its end.
async fn next(listening: &mut Listening) -> Option<Sent> {
    let Listening { events, ends, screen, .. } = listening;
    loop {
        let event = tokio::select! {
            _ = ends.wait_for(|ends| *ends) => return None,
            event = events.recv() => event,
        };
        return match event {
            Ok(event) if !event.is_for(screen.is_some()) => continue,
            Ok(event) => {
                let data = serde_json::to_string(&event).unwrap_or_default();
                Some(Sent::default().event(event.name()).data(data))
            }
            Err(RecvError::Lagged(missed)) => {
                let data = json!({ "missed": missed }).to_string();
                Some(Sent::default().event("missed").data(data))
            }
            Err(RecvError::Closed) => None,
        };
    }
}
