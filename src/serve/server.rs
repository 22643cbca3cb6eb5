//! The server from its settings to its end.
//!
//! In: [`ServeSettings`]. Out: a listener on the loopback address, a door to the network where one
//! is asked for, tasks that follow the files, and, at the end, each file written whole.

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use tokio::net::TcpListener;
use tokio::task::JoinSet;

use super::day::clock::Clock;
use super::day::share;
use super::forecast::Given;
use super::grounds::{FoundGrounds, Grounds};
use super::guard::Guard;
use super::jobs::JobRules;
use super::listen;
use super::session::Session;
use crate::base::limits::MAX_GROUNDS;

/// Threads for all of them.
const MAX_THREADS: usize = 12;

/// What to serve.
#[derive(Debug, Clone)]
pub struct ServeSettings {
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

/// Opens the file, or all of a folder, serves until the user ends it, and writes what waits
/// to be written.
/// `ready` is called once with the address to open.
///
/// # Errors
/// [`ServeError`] where it cannot begin.
pub fn run(settings: &ServeSettings, ready: impl FnOnce(&str)) -> Result<(), ServeError> {
    let found = FoundGrounds::of(settings)?;
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
    settings: &ServeSettings,
    found: FoundGrounds,
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
    let share = share::opened(grounds, at).map_err(ServeError::Passes)?;
    let share = Arc::clone(grounds.session.share.get_or_init(|| Arc::new(share)));
    let router = share::router(Arc::clone(grounds), share);
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
