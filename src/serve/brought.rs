//! What the import commands bring in becomes a change of the ground.
//!
//! In: a request for an import, and the venue file that its command wrote. Out: one step of
//! the history, which undo takes back; or a new ground that is opened. The command itself
//! reads the files of others, with its own limits and messages ([`super::jobs`]).

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::Live;
use super::edit::Change;
use super::files::plain_name;
use super::jobs::JobRequest;
use super::live::OpenFile;
use super::problem::{ProblemOut, Refused};
use super::workspace::{self, Cause};
use crate::base::target::{Existing, Inputs};
use crate::import::write::save;

/// What a job's venue file is for.
#[derive(Debug)]
pub struct JobGoal {
    /// What the job begins from.
    file: OpenFile,
    end: End,
}

#[derive(Debug, Clone)]
enum End {
    /// A report: it changes nothing.
    Nothing,
    /// One step of the history.
    Step { what: String },
    /// A ground of this name.
    Ground { file: String },
}

impl JobGoal {
    /// What a request is for.
    ///
    /// # Errors
    /// [`Refused`] where no ground is open that it needs, or a file is in the way.
    pub fn of(live: &Arc<Live>, request: &JobRequest) -> Result<Self, Refused> {
        let brings = request.command.starts_with("import ");
        if let (true, Some(file)) = (brings, &request.new_file) {
            let file = plain_name(file, &["toml"])?;
            if live.folder().join(&file).exists() {
                return Err(taken(&file));
            }
            let folder = live.folder().to_owned();
            let from = OpenFile { venue: PathBuf::new(), folder, field: None, revision: 0 };
            return Ok(Self { file: from, end: End::Ground { file } });
        }
        let end = match brings {
            true => End::Step { what: format!("{} brought in", request.dropped.join(", ")) },
            false => End::Nothing,
        };
        let file = live.file_for_jobs()?;
        if brings && file.field.is_some() {
            return Err(Refused::input(
                "files of others are brought into the file of one field; bring them into a new \
                 ground, and take their tables over into the text of this site",
            ));
        }
        Ok(Self { file, end })
    }

    /// What the job begins from.
    pub(super) fn file(&self) -> OpenFile {
        self.file.clone()
    }

    /// What is to be done with the file that the job writes; nothing for a report.
    pub fn arrival(&self, brought: &Path) -> Option<BroughtFile> {
        let revision = self.file.revision;
        let (end, brought) = (self.end.clone(), brought.to_owned());
        (!matches!(end, End::Nothing)).then_some(BroughtFile { end, revision, brought })
    }
}

fn taken(file: &str) -> Refused {
    let text = format!("there is a file `{file}` already; choose another name");
    Refused::Input(vec![ProblemOut::at("file", text)])
}

/// A venue file that a job writes.
#[derive(Debug)]
pub struct BroughtFile {
    end: End,
    revision: u64,
    brought: PathBuf,
}

impl BroughtFile {
    /// Takes the file into the ground where the job is `done`, and away in any case.
    ///
    /// # Errors
    /// [`Refused`] where the ground has moved on meanwhile, or does not read with it.
    pub fn end(self, live: &Live, done: bool) -> Result<(), Refused> {
        let text = done.then(|| workspace::read_text(&self.brought));
        let _ = fs::remove_file(&self.brought);
        let Some(text) = text else { return Ok(()) };
        let text = text.map_err(|e| Refused::Internal(format!("the import wrote no file: {e}")))?;
        let mut workspace = live.workspace();
        let (cause, done) = match self.end {
            End::Nothing => return Ok(()),
            End::Step { what } => {
                let change = Change::Brought { text, what };
                (Cause::Edit, workspace.change(self.revision, change).map(|_| ()))
            }
            End::Ground { file } => {
                let path = live.folder().join(&file);
                let saved = save(&path, &text, &Inputs::none(), Existing::Keep);
                let saved = saved.map_err(|e| match e.is_usage() {
                    true => taken(&file),
                    false => Refused::input(e.to_string()),
                });
                (Cause::Open, saved.and_then(|()| workspace.open(path, None)))
            }
        };
        live.publish(&workspace, cause);
        done
    }
}
