//! A folder with the file that is open in it, and each step that changes the ground.
//!
//! In: files to open, changes of pages at a revision, undo and redo. Out: the next revision of
//! the ground, its text on the disc; or the refusal with the ground as it was.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;

use super::on_disk::{Stamp, read_text};
use super::open_venue::OpenVenue;
use super::standing::{Broken, Current, no_ground};
use crate::serve::edit::{Change, Changed};
use crate::serve::ground::{FieldWish, Ground};
use crate::serve::history::History;
use crate::serve::problem::{Refused, of_venue};
use crate::venue::VenueError;

/// The folder of a session, and the file that is open in it.
#[derive(Debug)]
pub struct Workspace {
    folder: PathBuf,
    revision: u64,
    pub(super) open: Option<OpenVenue>,
    /// The field of a site that is shown.
    wish: Option<FieldWish>,
    /// A file that was to be opened and does not read.
    pub(super) broken: Option<Broken>,
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

    pub(super) fn open_here(&mut self, path: PathBuf) -> Result<(), Refused> {
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
        self.open = Some(OpenVenue {
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

    fn at_revision(&self, revision: u64) -> Result<&OpenVenue, Refused> {
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
    pub(super) fn take(
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

    /// Writes what waits to be written.
    pub fn flush(&mut self) {
        if let Some(open) = &mut self.open {
            open.save();
        }
    }
}

/// The field of a site that a ground is.
fn wish_of(ground: &Ground) -> Option<FieldWish> {
    let part = ground.draft.part()?;
    Some(FieldWish { name: part.name.clone(), index: part.index })
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
