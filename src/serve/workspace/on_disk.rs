//! The file on the disc: read within bounds, and looked at for what other programs write.
//!
//! In: a path. Out: its text, problems of a text that is no ground, and the next revision where
//! another program wrote one; a text that cannot be taken is a conflict. Sizes in bytes.

use std::path::Path;
use std::time::{Duration, SystemTime};
use std::{fs, io};

use super::revisions::Workspace;
use super::standing::{Broken, Cause, FileConflict};
use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::limits::MAX_VENUE_BYTES;
use crate::serve::problem::{ProblemOut, Refused, of_venue};
use crate::venue::Draft;

/// After a file could not be written it is tried again so often.
const TRY_AGAIN: Duration = Duration::from_secs(2);

/// What a file looks like without being read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stamp {
    bytes: u64,
    changed: Option<SystemTime>,
}

impl Stamp {
    pub(super) fn of(path: &Path) -> Option<Self> {
        let about = fs::metadata(path).ok()?;
        Some(Self { bytes: about.len(), changed: about.modified().ok() })
    }
}

impl Workspace {
    /// Looks at the file on the disc; what that changed.
    pub fn look(&mut self) -> Option<Cause> {
        // an editor may mend what the page was given to mend
        if let Some(Broken { path, text, .. }) = self.broken().cloned()
            && read_text(&path).is_ok_and(|now| now != text)
        {
            let waits = self.broken.clone();
            if self.open_here(path).is_ok() {
                return Some(Cause::File);
            }
            // the page was given the other text: its own must not be written over this one unseen
            self.broken = waits;
        }
        let open = self.open.as_mut()?;
        let stamp = Stamp::of(&open.path);
        if stamp == open.stamp {
            let failed = open.save_problem.is_some() && stamp.is_some();
            if failed && open.conflict.is_none() && open.tried.elapsed() >= TRY_AGAIN {
                open.save();
                return (open.is_saved() || open.conflict.is_some()).then_some(Cause::Saved);
            }
            return None;
        }
        if stamp.is_none() {
            open.stamp = None;
            open.known.clear();
            open.save_problem =
                Some(format!("`{}` is gone; it is written again with the next change", open.name));
            return Some(Cause::Saved);
        }
        let text = read_text(&open.path).ok()?;
        open.stamp = stamp;
        if text == open.known || text == open.history.text() {
            let was_saved = open.is_saved();
            (open.known, open.conflict, open.save_problem) = (text, None, None);
            open.save();
            return (open.is_saved() != was_saved).then_some(Cause::Saved);
        }
        if open.waits() {
            open.conflict = Some(FileConflict { text_on_disk: text, problems: Vec::new() });
            return Some(Cause::Saved);
        }
        let what = "changed in the file by another program".to_owned();
        match self.take(text.clone(), |history, text| history.push(text, what)) {
            Ok(()) => {
                let open = self.open.as_mut()?;
                (open.known, open.conflict, open.save_problem) = (text, None, None);
                Some(Cause::File)
            }
            Err(refused) => {
                let problems = match refused {
                    Refused::Input(problems) => problems,
                    other => vec![ProblemOut::of(other.to_string())],
                };
                let open = self.open.as_mut()?;
                open.conflict = Some(FileConflict { text_on_disk: text, problems });
                Some(Cause::Saved)
            }
        }
    }
}

/// A file as text, bounded like any venue file.
///
/// # Errors
/// Where it cannot be read, is too large, or no text.
pub fn read_text(path: &Path) -> io::Result<String> {
    let other = |text: &str| io::Error::new(io::ErrorKind::InvalidData, text.to_owned());
    match bounded::read(path, MAX_VENUE_BYTES)? {
        Bounded::Whole(bytes) => {
            String::from_utf8(bytes).map_err(|_| other("not text in UTF-8; save it as UTF-8"))
        }
        Bounded::Larger { bytes } => {
            Err(other(&format!("{bytes} bytes, more than a venue file may have")))
        }
        Bounded::Folder => Err(other("a folder, not a file")),
    }
}

/// All problems of a text that is to be a venue file.
///
/// # Errors
/// [`Refused::Input`].
pub fn check(text: &str, name: &str, folder: &Path) -> Result<(), Refused> {
    let sound = Draft::parse_in(text, name, Some(folder)).map(|_| ());
    sound.map_err(|error| Refused::Input(of_venue(&error)))
}
