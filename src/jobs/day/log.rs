//! The file that keeps the day.
//!
//! In: lines. Out: a file of JSON lines (RFC 8259, one object a line) that is only ever
//! added to. A line is down on the disc before it counts, so a pulled plug takes no entry
//! that anybody was told is in. What was being written then may be half a line: it stays
//! where it is, is left out when the file is read, and is reported with its number.

use std::fs::{File, OpenOptions, TryLockError};
use std::io;
use std::io::{Read as _, Write};
use std::path::{Path, PathBuf};

use super::event::{Line, LogEntry, Opening, OperatorsLine};

/// What the first line says.
pub const FORMAT: &str = "quarterstop.day/1";
/// A day has hundreds of lines of some hundred bytes.
const MAX_BYTES: u64 = 64 * 1024 * 1024;

/// Why there is no log.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    #[error("`{path}`: {source}")]
    System { path: PathBuf, source: io::Error },
    #[error("`{path}` is in use by another quarterstop; end that one first")]
    InUse { path: PathBuf },
    #[error("`{path}` is no log of a day: {found}\n  move it away, and a new one is made")]
    Other { path: PathBuf, found: String },
    #[error(
        "`{path}` is of another day: {found}; this is {wanted}\n  move it away, and a new one is made"
    )]
    OtherDay { path: PathBuf, found: String, wanted: String },
    #[error("`{path}` holds more than {} MB", MAX_BYTES / 1024 / 1024)]
    TooLarge { path: PathBuf },
}

/// A line that could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// From 1.
    pub line: usize,
    pub why: String,
    /// Whether it is the end of the file, as a pulled plug leaves it.
    pub torn: bool,
}

/// What a file holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Read {
    pub lines: Vec<Line>,
    pub unread: Vec<Unread>,
}

impl Read {
    /// Lines of a text.
    pub fn of(text: &[u8]) -> Self {
        let mut read = Self::default();
        let whole = text.ends_with(b"\n");
        let pieces: Vec<&[u8]> = text.split(|byte| *byte == b'\n').collect();
        let last = pieces.len().saturating_sub(1);
        for (index, piece) in pieces.iter().enumerate() {
            if piece.iter().all(u8::is_ascii_whitespace) {
                continue;
            }
            match serde_json::from_slice(piece) {
                Ok(line) => read.lines.push(line),
                Err(error) => read.unread.push(Unread {
                    line: index + 1,
                    why: error.to_string(),
                    torn: index == last && !whole,
                }),
            }
        }
        read
    }

    /// The first line.
    pub fn opening(&self) -> Option<&Opening> {
        match self.lines.first() {
            Some(Line::Opening(opening)) => Some(opening),
            _ => None,
        }
    }

    /// Who has which camera, as it was noted last.
    pub fn operators(&self) -> Option<&OperatorsLine> {
        self.lines.iter().rev().find_map(|line| match line {
            Line::Operators(operators) => Some(operators),
            _ => None,
        })
    }

    /// All entries, in order.
    pub fn entries(&self) -> impl Iterator<Item = &LogEntry> {
        self.lines.iter().filter_map(|line| match line {
            Line::Entry(entry) => Some(entry),
            _ => None,
        })
    }
}

/// A log that is open for more.
#[derive(Debug)]
pub struct Log {
    path: PathBuf,
    file: File,
    /// Whether something failed after part of a line was written.
    torn: bool,
}

impl Log {
    /// Opens the log of a day, or begins it; nobody else may write to it meanwhile.
    ///
    /// # Errors
    /// [`LogError`] where the file cannot be used, or is that of something else.
    pub fn open(path: &Path, opening: &Opening) -> Result<(Self, Read), LogError> {
        let system = |source| LogError::System { path: path.to_owned(), source };
        let file = OpenOptions::new().read(true).append(true).create(true).open(path);
        let file = file.map_err(system)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(LogError::InUse { path: path.to_owned() }),
            // a file system without locks
            Err(TryLockError::Error(_)) => {}
        }
        let mut text = Vec::new();
        (&file).take(MAX_BYTES + 1).read_to_end(&mut text).map_err(system)?;
        if text.len() as u64 > MAX_BYTES {
            return Err(LogError::TooLarge { path: path.to_owned() });
        }
        let mut read = Read::of(&text);
        let torn = !text.is_empty() && !text.ends_with(b"\n");
        let mut log = Self { path: path.to_owned(), file, torn };
        if read.lines.is_empty() {
            // nothing, or the beginning of a first line
            if read.unread.iter().any(|unread| !unread.torn) {
                let found = read.unread.first().map_or(String::new(), |unread| unread.why.clone());
                return Err(LogError::Other { path: path.to_owned(), found });
            }
            let line = Line::Opening(opening.clone());
            log.append(&line)?;
            log.sync_folder();
            read.lines.push(line);
            return Ok((log, read));
        }
        match read.opening() {
            Some(found) if found == opening => Ok((log, read)),
            Some(found) if found.format == opening.format => Err(LogError::OtherDay {
                path: path.to_owned(),
                found: format!("{}, {}", found.venue, found.start),
                wanted: format!("{}, {}", opening.venue, opening.start),
            }),
            Some(found) => {
                Err(LogError::Other { path: path.to_owned(), found: found.format.clone() })
            }
            None => Err(LogError::Other {
                path: path.to_owned(),
                found: "its first line does not say what it is".to_owned(),
            }),
        }
    }

    /// Adds a line; it is down on the disc when this returns.
    ///
    /// # Errors
    /// [`LogError::System`]; the line does not count then.
    pub fn append(&mut self, line: &Line) -> Result<(), LogError> {
        let system = |source| LogError::System { path: self.path.clone(), source };
        let text = serde_json::to_string(line).map_err(|e| system(e.into()))?;
        let mut bytes = Vec::with_capacity(text.len() + 2);
        if self.torn {
            bytes.push(b'\n');
        }
        bytes.extend(text.as_bytes());
        bytes.push(b'\n');
        let written = self.file.write_all(&bytes).and_then(|()| self.file.sync_data());
        self.torn = written.is_err();
        written.map_err(system)
    }

    /// Where it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// A new file is there after a pulled plug only when its folder is down on the disc.
    fn sync_folder(&self) {
        #[cfg(unix)]
        if let Some(folder) = self.path.parent().filter(|p| !p.as_os_str().is_empty())
            && let Ok(folder) = File::open(folder)
        {
            // some file systems cannot; the file itself is down
            let _ = folder.sync_all();
        }
    }
}
