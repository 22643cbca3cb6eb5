//! The jobs of a session, from their request to their files.
//!
//! In: requests, lines of the children. Out: the list that pages show, paths of files that a
//! job wrote, a folder for each job which goes with the session. Sizes in bytes.

use std::collections::VecDeque;
use std::ffi::OsString;
use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::{fs, io};

use serde::Serialize;
use tempfile::TempDir;
use tokio::sync::{Semaphore, watch};

use super::request::{JobPlace, JobRequest, JobRules, prepare};
use crate::serve::dropped::Dropped;
use crate::serve::live::OpenFile;
use crate::serve::problem::Refused;

/// Jobs that run at once: each uses all cores.
const MAX_RUNNING: usize = 1;
/// Jobs that wait, run or are kept with their files.
const MAX_KEPT: usize = 20;
/// Lines that a job shows.
const MAX_LINES: usize = 20;
/// Bytes of all that a job prints.
const MAX_PRINTED: usize = 4 * 1024 * 1024;

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
pub(super) struct Job {
    pub(super) id: u64,
    pub(super) command: String,
    pub(super) revision: u64,
    pub(super) state: JobState,
    pub(super) lines: VecDeque<String>,
    pub(super) printed: String,
    pub(super) files: Vec<String>,
    pub(super) into: PathBuf,
    pub(super) stop: watch::Sender<bool>,
}

/// All jobs of a session.
pub struct Jobs {
    rules: JobRules,
    pub(super) turns: Semaphore,
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

    pub(super) fn with<T>(&self, id: u64, change: impl FnOnce(&mut Job) -> T) -> Option<T> {
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
    pub(super) fn begin(
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

    pub(super) fn line(&self, id: u64, line: &str) {
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
