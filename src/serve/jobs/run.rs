//! One job as a child of this program, until it is over.
//!
//! In: the words of a command, a folder to run it in, the wish to stop it. Out: its lines as
//! they come, what it wrote, and what became of it.

use std::ffi::OsString;
use std::path::Path;
use std::process::Stdio;
use std::sync::Arc;
use std::{fs, io};

use tokio::io::{AsyncBufReadExt, AsyncRead, AsyncReadExt, BufReader};
use tokio::process::{Child, Command};
use tokio::sync::watch;

use super::kept::JobState;
use super::request::JobRequest;
use crate::serve::Live;
use crate::serve::brought::{BroughtFile, JobGoal};
use crate::serve::events::PageEvent;
use crate::serve::problem::Refused;

/// Bytes of a line.
const MAX_LINE: usize = 2_000;
/// Has the program write its progress as lines.
pub const PROGRESS_LINES: &str = "QUARTERSTOP_PROGRESS";
/// Has the program end with its stdin, which is this server's end of a pipe.
const ENDS_WITH_STDIN: &str = "QUARTERSTOP_ENDS_WITH_STDIN";
/// What a job printed, among its files.
const PRINTED: &str = "summary.txt";

/// Begins a job.
///
/// # Errors
/// [`Refused`] where the request is none, or the file is not in step with the page.
pub fn start(live: &Arc<Live>, request: &JobRequest) -> Result<u64, Refused> {
    let goal = JobGoal::of(live, request)?;
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
async fn arrive(live: &Arc<Live>, id: u64, state: JobState, arrival: BroughtFile) -> JobState {
    let taken = live.clone();
    let done = state == JobState::Done;
    let arrived = tokio::task::spawn_blocking(move || arrival.end(&taken, done)).await;
    match arrived.map_err(Refused::from).flatten() {
        Ok(()) => state,
        Err(refused) => {
            report(live, id, &refused.to_string());
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
            report(live, id, &format!("the command could not be started: {error}"));
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
        report(live, id, String::from_utf8_lossy(&line).trim_end());
    }
}

fn report(live: &Arc<Live>, id: u64, line: &str) {
    let plain: String = line.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    live.jobs.line(id, &plain);
    live.events.send(PageEvent::Job { id, line: plain, done: false });
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
    live.events.send(PageEvent::Job { id, line: line.to_owned(), done: true });
}
