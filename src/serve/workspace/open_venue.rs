//! The venue file that is open, and when it is written.
//!
//! In: the text of the present revision, the text that was last seen on the disc. Out: the file
//! written whole, a conflict where somebody else has written there, or why it cannot be written.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;

use super::on_disk::{Stamp, read_text};
use super::standing::{Current, FileConflict, FileStanding};
use crate::base::target::{Existing, Inputs};
use crate::import::write;
use crate::serve::ground::Ground;
use crate::serve::history::History;

/// Changes that a page lists.
const MAX_LISTED: usize = 50;

/// A venue file that is open, with its text and what is known of the disc.
#[derive(Debug)]
pub(super) struct OpenVenue {
    pub(super) path: PathBuf,
    pub(super) name: String,
    pub(super) history: History,
    pub(super) ground: Arc<Ground>,
    /// The text that was last read from the disc or written to it.
    pub(super) known: String,
    pub(super) stamp: Option<Stamp>,
    pub(super) save_problem: Option<String>,
    pub(super) tried: Instant,
    pub(super) conflict: Option<FileConflict>,
}

impl OpenVenue {
    /// Whether the ground is not what was last seen on the disc.
    pub(super) fn waits(&self) -> bool {
        self.history.text() != self.known
    }

    pub(super) fn is_saved(&self) -> bool {
        !self.waits() && self.conflict.is_none()
    }

    pub(super) fn current(&self, folder: &Path) -> Current {
        let standing = FileStanding {
            file: self.name.clone(),
            folder: folder.display().to_string(),
            saved: self.is_saved(),
            save_problem: self.save_problem.clone(),
            can_undo: self.history.can_undo(),
            can_redo: self.history.can_redo(),
            history: self.history.words(MAX_LISTED),
            conflict: self.conflict.clone(),
        };
        Current { ground: Arc::clone(&self.ground), standing }
    }

    /// A person has chosen a text: what is on the disc may be written over. Where it is
    /// another text, it is kept beside the file.
    pub(super) fn decide(&mut self) {
        let Some(conflict) = &self.conflict else { return };
        let other = &conflict.text_on_disk;
        if other != self.history.text()
            && let Err(error) = keep_beside(&self.path, other)
        {
            self.save_problem = Some(error.to_string());
            return;
        }
        self.known.clone_from(other);
        self.conflict = None;
    }

    /// Writes the text where it is not on the disc yet, unless somebody else has written
    /// there.
    pub(super) fn save(&mut self) {
        if !self.waits() || self.conflict.is_some() {
            return;
        }
        self.tried = Instant::now();
        match read_text(&self.path) {
            Ok(text) if text == self.history.text() => {
                (self.known, self.stamp, self.save_problem) = (text, Stamp::of(&self.path), None);
                return;
            }
            Ok(text) if text != self.known => {
                self.stamp = Stamp::of(&self.path);
                self.conflict = Some(FileConflict { text_on_disk: text, problems: Vec::new() });
                return;
            }
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => {
                self.save_problem = Some(format!("`{}` cannot be read again: {error}", self.name));
                return;
            }
        }
        let text = self.history.text();
        match write::save(&self.path, text, &Inputs::none(), Existing::Replace) {
            Ok(()) => {
                self.known = text.to_owned();
                self.stamp = Stamp::of(&self.path);
                self.save_problem = None;
            }
            Err(error) => self.save_problem = Some(error.to_string()),
        }
    }
}

/// Writes a text under a free name beside a file.
fn keep_beside(path: &Path, text: &str) -> Result<(), write::SaveError> {
    let stem = path.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    let mut last = None;
    for number in 1..100 {
        let other = path.with_file_name(format!("{stem}-other-{number}.toml"));
        match write::save(&other, text, &Inputs::none(), Existing::Keep) {
            Ok(()) => return Ok(()),
            Err(error) if error.is_usage() => last = Some(error),
            Err(error) => return Err(error),
        }
    }
    last.map_or(Ok(()), Err)
}
