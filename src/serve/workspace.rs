//! The venue file that is open: its text, its history, and the file on the disc.
//!
//! In: changes from pages, and what other programs write. Out: a new revision of the ground
//! each time, and a file that is written whole before a change is answered. What is on the
//! disc is never written over unseen: a text that this session does not know is taken as a
//! change where it reads and nothing here waits to be written, else it is a conflict, which
//! a person decides.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime};
use std::{fs, io};

use serde::Serialize;

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::limits::MAX_VENUE_BYTES;
use crate::base::target::{Existing, Inputs};
use crate::import::write;
use crate::serve::edit::{Change, Changed};
use crate::serve::ground::{FieldWish, Ground};
use crate::serve::history::History;
use crate::serve::problem::{ProblemOut, Refused, of_venue};
use crate::venue::{Draft, VenueError};

/// Changes that a page lists.
const MAX_LISTED: usize = 50;
/// After a file could not be written it is tried again so often.
const TRY_AGAIN: Duration = Duration::from_secs(2);

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
pub struct Conflict {
    pub text_on_disk: String,
    /// Why it does not read; empty where changes of the page wait to be written.
    pub problems: Vec<ProblemOut>,
}

/// How the text stands to the file and to what was before.
#[derive(Debug, Clone, Serialize)]
pub struct Standing {
    pub file: String,
    pub folder: String,
    pub saved: bool,
    /// Why the file could not be written.
    pub save_problem: Option<String>,
    pub can_undo: bool,
    pub can_redo: bool,
    pub history: Vec<String>,
    pub conflict: Option<Conflict>,
}

/// A ground with how it stands.
#[derive(Debug, Clone)]
pub struct Current {
    pub ground: Arc<Ground>,
    pub standing: Standing,
}

/// The folder of a session, and the file that is open in it.
#[derive(Debug)]
pub struct Workspace {
    folder: PathBuf,
    revision: u64,
    open: Option<Open>,
    /// The field of a site that is shown.
    wish: Option<FieldWish>,
    /// A file that was to be opened and does not read.
    broken: Option<Broken>,
}

/// A text that does not read as a ground, for a person to mend.
#[derive(Debug, Clone)]
pub struct Broken {
    path: PathBuf,
    pub file: String,
    pub text: String,
    pub problems: Vec<ProblemOut>,
}

#[derive(Debug)]
struct Open {
    path: PathBuf,
    name: String,
    history: History,
    ground: Arc<Ground>,
    /// The text that was last read from the disc or written to it.
    known: String,
    stamp: Option<Stamp>,
    save_problem: Option<String>,
    tried: Instant,
    conflict: Option<Conflict>,
}

/// What a file looks like without being read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stamp {
    bytes: u64,
    changed: Option<SystemTime>,
}

impl Stamp {
    fn of(path: &Path) -> Option<Self> {
        let about = fs::metadata(path).ok()?;
        Some(Self { bytes: about.len(), changed: about.modified().ok() })
    }
}

impl Workspace {
    /// With no file open.
    pub fn new(folder: PathBuf) -> Self {
        Self { folder, revision: 0, open: None, wish: None, broken: None }
    }

    /// Where files are opened and made.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The ground that is open.
    pub fn current(&self) -> Option<Current> {
        self.open.as_ref().map(|open| open.current(&self.folder))
    }

    /// The path of the open file.
    pub fn path(&self) -> Option<&Path> {
        self.open.as_ref().map(|open| open.path.as_path())
    }

    /// The path of the open file, where it is in step with the ground.
    pub fn saved_path(&self) -> Option<&Path> {
        self.open.as_ref().filter(|open| open.is_saved()).map(|open| open.path.as_path())
    }

    /// Opens a file of the folder, of a site the field that is named or the first. One that does not read waits to be mended
    /// ([`Workspace::mend`]), and what was open stays so.
    ///
    /// # Errors
    /// [`Refused::Broken`] with all problems of a text that is no ground,
    /// [`Refused::Input`] for a file that is no text.
    pub fn open(&mut self, path: PathBuf, field: Option<&str>) -> Result<(), Refused> {
        let before = self.wish.take();
        self.wish = field.map(|name| FieldWish { name: name.to_owned(), index: 0 });
        let opened = self.open_here(path);
        if opened.is_err() && self.open.is_some() {
            self.wish = before;
        }
        opened
    }

    fn open_here(&mut self, path: PathBuf) -> Result<(), Refused> {
        let file = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        let stamp = Stamp::of(&path);
        let text = read_text(&path).map_err(|e| Refused::input(format!("`{file}`: {e}")))?;
        match self.read(&text, &file) {
            Ok(ground) => {
                self.hold(path, file, (text.clone(), text), stamp, ground);
                Ok(())
            }
            Err(error) => {
                let broken = Broken { path, file, text, problems: of_venue(&error) };
                self.broken = Some(broken.clone());
                Err(Refused::Broken(Box::new(broken)))
            }
        }
    }

    /// Reads a text as the next revision, of a site the field that is shown.
    fn read(&self, text: &str, name: &str) -> Result<Ground, VenueError> {
        Ground::read(self.revision + 1, text, (name, &self.folder), self.wish.as_ref())
    }

    /// Makes a ground the open one; `text` is its own and the one on the disc.
    fn hold(
        &mut self,
        path: PathBuf,
        name: String,
        (text, known): (String, String),
        stamp: Option<Stamp>,
        ground: Ground,
    ) {
        self.revision += 1;
        self.broken = None;
        self.wish = wish_of(&ground);
        self.open = Some(Open {
            path,
            name,
            history: History::new(text),
            ground: Arc::new(ground),
            known,
            stamp,
            save_problem: None,
            tried: Instant::now(),
            conflict: None,
        });
    }

    /// The file that waits to be mended, where nothing else is open.
    pub fn broken(&self) -> Option<&Broken> {
        self.broken.as_ref().filter(|_| self.open.is_none())
    }

    /// Takes a text in place of the one that does not read, and writes it. What somebody
    /// else has written there meanwhile is a conflict, as with any change.
    ///
    /// # Errors
    /// [`Refused::Input`] with all problems that are left; nothing is written then.
    pub fn mend(&mut self, text: String) -> Result<(), Refused> {
        let broken = self.broken.clone();
        let Broken { path, file, text: known, .. } =
            broken.ok_or_else(|| Refused::NotFound("no file waits to be mended".to_owned()))?;
        let ground = self.read(&text, &file)?;
        self.hold(path, file, (text, known), None, ground);
        self.flush();
        Ok(())
    }

    /// Makes a change to the ground of a revision and writes the file; whether there was
    /// anything to change.
    ///
    /// # Errors
    /// [`Refused::Conflict`] for an old revision, [`Refused::Input`] for a change that is
    /// none or makes the ground impossible; nothing is changed then.
    pub fn change(&mut self, revision: u64, change: Change) -> Result<bool, Refused> {
        let decides = matches!(change, Change::Text(_));
        let open = self.at_revision(revision)?;
        let Changed { text, what } = change.of(&open.ground.draft)?;
        let text = match decides {
            true => text,
            false => in_style_of(open.history.text(), &text),
        };
        let changed = text != open.history.text();
        if changed {
            self.take(text, |history, text| history.push(text, what))?;
        }
        if let Some(open) = self.open.as_mut().filter(|_| changed || decides) {
            if decides {
                open.decide();
            }
            open.save();
        }
        Ok(changed)
    }

    /// Goes back one step; whether there was one.
    ///
    /// # Errors
    /// As [`Workspace::change`].
    pub fn undo(&mut self, revision: u64) -> Result<bool, Refused> {
        match self.at_revision(revision)?.history.before() {
            Some(text) => self.step(text, |history, _| history.undo()),
            None => Ok(false),
        }
    }

    /// Goes forward one step that was undone; whether there was one.
    ///
    /// # Errors
    /// As [`Workspace::change`].
    pub fn redo(&mut self, revision: u64) -> Result<bool, Refused> {
        match self.at_revision(revision)?.history.after() {
            Some(text) => self.step(text, |history, _| history.redo()),
            None => Ok(false),
        }
    }

    fn step(
        &mut self,
        text: String,
        go: impl FnOnce(&mut History, String),
    ) -> Result<bool, Refused> {
        self.take(text, go)?;
        if let Some(open) = &mut self.open {
            open.save();
        }
        Ok(true)
    }

    fn at_revision(&self, revision: u64) -> Result<&Open, Refused> {
        let open = self.open.as_ref().ok_or_else(no_ground)?;
        if open.ground.revision != revision {
            let text = format!(
                "the ground has changed since (revision {revision}, now {}): look at what \
                 changed, then do it again",
                open.ground.revision
            );
            let ground = open.current(&self.folder).to_json();
            return Err(Refused::Conflict { text, ground: Some(Box::new(ground)) });
        }
        Ok(open)
    }

    /// Reads a text as the next revision, and only then makes it the present one.
    fn take(
        &mut self,
        text: String,
        keep: impl FnOnce(&mut History, String),
    ) -> Result<(), Refused> {
        let name = &self.open.as_ref().ok_or_else(no_ground)?.name;
        let ground = self.read(&text, name)?;
        self.revision += 1;
        self.wish = wish_of(&ground);
        let open = self.open.as_mut().ok_or_else(no_ground)?;
        open.ground = Arc::new(ground.follows(&open.ground));
        keep(&mut open.history, text);
        Ok(())
    }

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
            open.conflict = Some(Conflict { text_on_disk: text, problems: Vec::new() });
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
                open.conflict = Some(Conflict { text_on_disk: text, problems });
                Some(Cause::Saved)
            }
        }
    }

    /// Writes what waits to be written.
    pub fn flush(&mut self) {
        if let Some(open) = &mut self.open {
            open.save();
        }
    }
}

impl Open {
    /// Whether the ground is not what was last seen on the disc.
    fn waits(&self) -> bool {
        self.history.text() != self.known
    }

    fn is_saved(&self) -> bool {
        !self.waits() && self.conflict.is_none()
    }

    fn current(&self, folder: &Path) -> Current {
        let standing = Standing {
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
    fn decide(&mut self) {
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
    fn save(&mut self) {
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
                self.conflict = Some(Conflict { text_on_disk: text, problems: Vec::new() });
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

/// The field of a site that a ground is.
fn wish_of(ground: &Ground) -> Option<FieldWish> {
    let part = ground.draft.part()?;
    Some(FieldWish { name: part.name.clone(), index: part.index })
}

/// There is nothing to work on.
pub fn no_ground() -> Refused {
    Refused::NotFound("no ground is open; open a file, or make a new one".to_owned())
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

/// The mark in front and the ends of lines as the old text has them.
fn in_style_of(old: &str, new: &str) -> String {
    let mut text = new.to_owned();
    if old.contains("\r\n") {
        text = text.replace("\r\n", "\n").replace('\n', "\r\n");
    }
    if old.starts_with('\u{feff}') && !text.starts_with('\u{feff}') {
        text.insert(0, '\u{feff}');
    }
    text
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

/// All problems of a text that is to be a venue file.
///
/// # Errors
/// [`Refused::Input`].
pub fn check(text: &str, name: &str, folder: &Path) -> Result<(), Refused> {
    let sound = Draft::parse_in(text, name, Some(folder)).map(|_| ());
    sound.map_err(|error| Refused::Input(of_venue(&error)))
}
