//! What pages are shown of the file beside the ground itself.
//!
//! In: the open file, or one that does not read. Out: how its text stands to the disc and to
//! the steps before, what made a revision, a conflict, the problems of a broken text.

use std::path::PathBuf;
use std::sync::Arc;

use serde::Serialize;

use crate::serve::ground::Ground;
use crate::serve::problem::{ProblemOut, Refused};

/// What made a new revision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    Edit,
    Undo,
    Redo,
    /// Another program.
    File,
    /// Another ground was opened.
    Open,
    /// The file was written, or a conflict is over; the ground is the same.
    Saved,
}

/// A text on the disc that is not taken.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FileConflict {
    pub text_on_disk: String,
    /// Why it does not read; empty where changes of the page wait to be written.
    pub problems: Vec<ProblemOut>,
}

/// How the text stands to the file and to what was before.
#[derive(Debug, Clone, Serialize)]
pub struct FileStanding {
    pub file: String,
    pub folder: String,
    pub saved: bool,
    /// Why the file could not be written.
    pub save_problem: Option<String>,
    pub can_undo: bool,
    pub can_redo: bool,
    pub history: Vec<String>,
    pub conflict: Option<FileConflict>,
}

/// A ground with how it stands.
#[derive(Debug, Clone)]
pub struct Current {
    pub ground: Arc<Ground>,
    pub standing: FileStanding,
}

/// A text that does not read as a ground, for a person to mend.
#[derive(Debug, Clone)]
pub struct Broken {
    pub(super) path: PathBuf,
    pub file: String,
    pub text: String,
    pub problems: Vec<ProblemOut>,
}

/// There is nothing to work on.
pub fn no_ground() -> Refused {
    Refused::NotFound("no ground is open; open a file, or make a new one".to_owned())
}
