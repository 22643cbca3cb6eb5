//! Long work: commands of the same program as children, with progress and a stop.
//!
//! In: a command and its options, checked against what the command line allows. Out: lines
//! as they come, files in a folder of the job's own, which goes with the session. What an
//! import writes becomes a change of the ground ([`super::brought`]). Children end with the
//! server, however it ends: they hold one end of a pipe. So many run at once, others wait.

use std::collections::VecDeque;
use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value as Json};
use tempfile::TempDir;
use tokio::io::{AsyncBufReadExt, AsyncRead, AsyncReadExt, BufReader};
use tokio::process::{Child, Command};
use tokio::sync::{Semaphore, watch};

use super::brought::{self, Goal};
use super::dropped::Dropped;
use super::events::Event;
use super::files::plain_name;
use super::problem::Refused;
use super::{Live, OpenFile};

/// Jobs that run at once: each uses all cores.
const MAX_RUNNING: usize = 1;
/// Jobs that wait, run or are kept with their files.
const MAX_KEPT: usize = 20;
/// Lines that a job shows.
const MAX_LINES: usize = 20;
/// Bytes of a line, and of all that a job prints.
const MAX_LINE: usize = 2_000;
const MAX_PRINTED: usize = 4 * 1024 * 1024;
/// Text files that come with a request.
const MAX_GIVEN: usize = 4;
/// Has the program write its progress as lines.
pub const PROGRESS_LINES: &str = "QUARTERSTOP_PROGRESS";
/// Has the program end with its stdin, which is this server's end of a pipe.
const ENDS_WITH_STDIN: &str = "QUARTERSTOP_ENDS_WITH_STDIN";
/// What a job printed, among its files.
const PRINTED: &str = "summary.txt";

/// A command to run.
#[derive(Debug, Clone, Deserialize)]
pub struct JobRequest {
    pub command: String,
    /// By their long names; true for one without a value, a list for one that repeats.
    #[serde(default)]
    pub options: Map<String, Json>,
    /// Texts that options may name, such as observations.
    #[serde(default)]
    pub files: Map<String, Json>,
    /// Files that were dropped on the page, and that options name.
    #[serde(default)]
    pub dropped: Vec<String>,
    /// The venue file that an import makes, where it adds to none.
    #[serde(default)]
    pub new_file: Option<String>,
}

/// Where a job reads and writes.
#[derive(Debug, Clone)]
pub struct JobPlace {
    /// The file that is open.
    pub venue: PathBuf,
    /// The field of a site that is shown.
    pub field: Option<String>,
    /// The folder of the session.
    pub folder: PathBuf,
    /// Texts that came with the request.
    pub given: PathBuf,
    /// For what the job writes.
    pub into: PathBuf,
    /// The venue file that an import writes.
    pub brought: PathBuf,
}

/// Makes the words of a command, or says what is wrong with the request.
pub type JobRules = fn(&JobRequest, &JobPlace) -> Result<Vec<OsString>, Refused>;

/// What becomes of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum JobState {
    Waiting,
    Running,
    Done,
    Failed,
    Stopped,
}

impl JobState {
    fn is_over(self) -> bool {
        !matches!(self, Self::Waiting | Self::Running)
    }
}

/// A job as pages see it.
#[derive(Debug, Clone, Serialize)]
pub struct JobOut {
    pub id: u64,
    pub command: String,
    pub state: JobState,
    pub lines: Vec<String>,
    pub files: Vec<String>,
    pub revision: u64,
}

#[derive(Debug)]
struct Job {
    id: u64,
    command: String,
    revision: u64,
    state: JobState,
    lines: VecDeque<String>,
    printed: String,
    files: Vec<String>,
    into: PathBuf,
    stop: watch::Sender<bool>,
}

/// All jobs of a session.
pub struct Jobs {
    rules: JobRules,
    turns: Semaphore,
    kept: Mutex<Kept>,
}

#[derive(Default)]
struct Kept {
    last_id: u64,
    jobs: VecDeque<Job>,
    home: Option<TempDir>,
}

impl Jobs {
    pub fn new(rules: JobRules) -> Self {
        Self { rules, turns: Semaphore::new(MAX_RUNNING), kept: Mutex::default() }
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn with<T>(&self, id: u64, change: impl FnOnce(&mut Job) -> T) -> Option<T> {
        self.kept().jobs.iter_mut().find(|job| job.id == id).map(change)
    }

    /// All jobs, the oldest first.
    pub fn list(&self) -> Vec<JobOut> {
        let out = |job: &Job| JobOut {
            id: job.id,
            command: job.command.clone(),
            state: job.state,
            lines: job.lines.iter().cloned().collect(),
            files: job.files.clone(),
            revision: job.revision,
        };
        self.kept().jobs.iter().map(out).collect()
    }

    /// Stops a job; one that is over stays as it is.
    ///
    /// # Errors
    /// [`Refused::NotFound`].
    pub fn stop(&self, id: u64) -> Result<(), Refused> {
        let stopped = self.with(id, |job| job.stop.send_replace(true));
        stopped.map(|_| ()).ok_or_else(|| no_job(id))
    }

    /// The path of a file of a job.
    ///
    /// # Errors
    /// [`Refused::NotFound`] for one that the job did not write.
    pub fn file(&self, id: u64, name: &str) -> Result<PathBuf, Refused> {
        let path = self.with(id, |job| {
            let written = job.files.iter().any(|file| file == name);
            written.then(|| job.into.join(name))
        });
        let missing = || Refused::NotFound(format!("job {id} wrote no file `{name}`"));
        path.ok_or_else(|| no_job(id))?.ok_or_else(missing)
    }

    /// Checks a request and makes its place; the job waits for its turn. Its words, its
    /// number, and what stops it.
    fn begin(
        &self,
        request: &JobRequest,
        dropped: &Dropped,
        OpenFile { venue, folder, field, revision }: OpenFile,
    ) -> Result<(u64, Vec<OsString>, JobPlace, watch::Receiver<bool>), Refused> {
        let mut kept = self.kept();
        if kept.jobs.len() >= MAX_KEPT {
            let over = kept.jobs.iter().position(|job| job.state.is_over());
            let job = over.and_then(|i| kept.jobs.remove(i));
            let job = job.ok_or(Refused::Busy("too many jobs wait; stop one"))?;
            if let Some(place) = job.into.parent() {
                let _ = fs::remove_dir_all(place);
            }
        }
        let id = kept.last_id + 1;
        let made = |e: io::Error| Refused::input(format!("no folder for the job: {e}"));
        let home = match kept.home.take() {
            Some(home) => home,
            None => tempfile::Builder::new().prefix("quarterstop-live-").tempdir().map_err(made)?,
        };
        let own = kept.home.insert(home).path().join(id.to_string());
        let into = own.join("files");
        // a model is copied beside the venue file that names it
        let brought = match request.command.as_str() {
            "import mesh" => folder.join(format!(".quarterstop-import-{id}.toml")),
            _ => own.join("ground.toml"),
        };
        let place = JobPlace { venue, field, folder, given: own.join("given"), into, brought };
        let words = prepare(request, &place, dropped, self.rules);
        let words = words.inspect_err(|_| drop(fs::remove_dir_all(&own)))?;
        kept.last_id = id;
        let (stop, stops) = watch::channel(false);
        kept.jobs.push_back(Job {
            id,
            command: request.command.clone(),
            revision,
            state: JobState::Waiting,
            lines: VecDeque::new(),
            printed: String::new(),
            files: Vec::new(),
            into: place.into.clone(),
            stop,
        });
        Ok((id, words, place, stops))
    }

    fn line(&self, id: u64, line: &str) {
        self.with(id, |job| {
            if job.lines.len() == MAX_LINES {
                job.lines.pop_front();
            }
            job.lines.push_back(line.to_owned());
            if job.printed.len() + line.len() < MAX_PRINTED {
                job.printed.push_str(line);
                job.printed.push('\n');
            }
        });
    }
}

fn no_job(id: u64) -> Refused {
    Refused::NotFound(format!("there is no job {id}"))
}

/// Makes the folders of a job, with the texts that came with it.
fn prepare(
    request: &JobRequest,
    place: &JobPlace,
    dropped: &Dropped,
    rules: JobRules,
) -> Result<Vec<OsString>, Refused> {
    let failed = |e: io::Error| Refused::input(format!("no folder for the job: {e}"));
    fs::create_dir_all(&place.into).map_err(failed)?;
    fs::create_dir_all(&place.given).map_err(failed)?;
    if request.files.len() > MAX_GIVEN {
        let text = format!("found {} files; allowed: {MAX_GIVEN}", request.files.len());
        return Err(Refused::input(text));
    }
    for (name, text) in &request.files {
        let name = plain_name(name, &["toml"])?;
        let text = text.as_str().ok_or_else(|| Refused::input(format!("{name}: send text")))?;
        fs::write(place.given.join(name), text).map_err(failed)?;
    }
    dropped.take(&request.dropped, &place.given)?;
    rules(request, place)
}

/// Begins a job.
///
/// # Errors
/// [`Refused`] where the request is none, or the file is not in step with the page.
pub fn start(live: &Arc<Live>, request: &JobRequest) -> Result<u64, Refused> {
    let goal = Goal::of(live, request)?;
    let (id, words, place, stops) = live.jobs.begin(request, &live.dropped, goal.file())?;
    let live = Arc::clone(live);
    tokio::spawn(async move {
        let mut state = run(&live, id, words, &place.folder, stops).await;
        if let Some(arrival) = goal.arrival(&place.brought) {
            state = arrive(&live, id, state, arrival).await;
        }
        finish(&live, id, state);
    });
    Ok(id)
}

/// Puts what an import wrote into the ground, where it was written.
async fn arrive(live: &Arc<Live>, id: u64, state: JobState, arrival: brought::Arrival) -> JobState {
    let taken = live.clone();
    let done = state == JobState::Done;
    let arrived = tokio::task::spawn_blocking(move || arrival.end(&taken, done)).await;
    match arrived.map_err(Refused::from).flatten() {
        Ok(()) => state,
        Err(refused) => {
            tell(live, id, &refused.to_string());
            JobState::Failed
        }
    }
}

async fn run(
    live: &Arc<Live>,
    id: u64,
    words: Vec<OsString>,
    folder: &Path,
    mut stops: watch::Receiver<bool>,
) -> JobState {
    let _turn = tokio::select! {
        _ = stops.wait_for(|stop| *stop) => return JobState::Stopped,
        turn = live.jobs.turns.acquire() => turn,
    };
    live.jobs.with(id, |job| job.state = JobState::Running);
    let mut child = match child(&words, folder) {
        Ok(child) => child,
        Err(error) => {
            tell(live, id, &format!("the command could not be started: {error}"));
            return JobState::Failed;
        }
    };
    let (out, err) = (child.stdout.take(), child.stderr.take());
    // waiting for a child would close its stdin
    let _held = child.stdin.take();
    let reading = async { tokio::join!(lines(live, id, out), lines(live, id, err)) };
    let ended = tokio::select! {
        _ = stops.wait_for(|stop| *stop) => None,
        (_, status) = async { tokio::join!(reading, child.wait()) } => Some(status),
    };
    match ended {
        None => {
            let _ = child.kill().await;
            JobState::Stopped
        }
        Some(Ok(status)) if status.success() => JobState::Done,
        Some(_) => JobState::Failed,
    }
}

fn child(words: &[OsString], folder: &Path) -> io::Result<Child> {
    let mut command = Command::new(std::env::current_exe()?);
    command
        .args(words)
        .current_dir(folder)
        .env(PROGRESS_LINES, "lines")
        .env("NO_COLOR", "1")
        .env(ENDS_WITH_STDIN, "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .kill_on_drop(true);
    command.spawn()
}

/// Reads what a child prints, line by line; very long lines are cut.
async fn lines(live: &Arc<Live>, id: u64, from: Option<impl AsyncRead + Unpin>) {
    let Some(from) = from else { return };
    let mut reader = BufReader::new(from);
    let mut line = Vec::new();
    loop {
        line.clear();
        let read = (&mut reader).take(MAX_LINE as u64).read_until(b'\n', &mut line).await;
        if !matches!(read, Ok(bytes) if bytes > 0) {
            return;
        }
        tell(live, id, String::from_utf8_lossy(&line).trim_end());
    }
}

fn tell(live: &Arc<Live>, id: u64, line: &str) {
    let plain: String = line.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    live.jobs.line(id, &plain);
    live.events.send(Event::Job { id, line: plain, done: false });
}

/// Lists what a job wrote, and tells that it is over.
fn finish(live: &Arc<Live>, id: u64, state: JobState) {
    live.jobs.with(id, |job| {
        // what it printed is a file like the others; without room there is none
        let _ = fs::write(job.into.join(PRINTED), &job.printed);
        let entries = fs::read_dir(&job.into).into_iter().flatten().flatten();
        let plain = entries.filter(|e| e.file_type().is_ok_and(|kind| kind.is_file()));
        let mut files: Vec<String> = plain
            .filter_map(|e| e.file_name().into_string().ok())
            .filter(|name| !name.starts_with('.'))
            .collect();
        files.sort();
        (job.files, job.state) = (files, state);
    });
    let line = match state {
        JobState::Done => "done",
        JobState::Stopped => "stopped",
        JobState::Failed | JobState::Waiting | JobState::Running => "failed",
    };
    live.events.send(Event::Job { id, line: line.to_owned(), done: true });
}
