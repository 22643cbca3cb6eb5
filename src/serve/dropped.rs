//! Files that are dropped on the page, until a job takes them.
//!
//! In: bytes of a request, as they come. Out: files in a folder of the session's own, so many
//! and so large; they go with the session. Nothing of them is read here.

use std::fs;
use std::io::{self, Write};
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use axum::body::Body;
use futures_util::StreamExt;
use tempfile::{NamedTempFile, TempDir};

use super::files::plain_name;
use super::problem::Refused;

/// Kinds of files that the import commands read.
pub const KINDS: [&str; 11] =
    ["geojson", "json", "csv", "txt", "tsv", "hgt", "tif", "tiff", "obj", "gltf", "glb"];
/// A buffer of a glTF file.
const BUFFER: &str = "bin";
/// Bytes of all files that wait; larger ones are for the command.
const MAX_WAITING_BYTES: u64 = 256 * 1024 * 1024;
/// Files that wait.
const MAX_WAITING: usize = 16;

/// Files that wait for a job.
#[derive(Debug, Default)]
pub struct Dropped(Mutex<Option<TempDir>>);

/// The name of a file that may be dropped.
///
/// # Errors
/// [`Refused::Input`] with what a name may be.
pub fn name(name: &str) -> Result<String, Refused> {
    plain_name(name, &[KINDS.as_slice(), &[BUFFER]].concat())
}

impl Dropped {
    /// Keeps a file; one of the same name goes.
    ///
    /// # Errors
    /// [`Refused::Input`] for a name that is none, [`Refused::TooLarge`] for more than fits.
    pub async fn keep(&self, file: &str, body: Body) -> Result<(), Refused> {
        let file = name(file)?;
        let failed = |e: io::Error| Refused::input(format!("`{file}` cannot be kept: {e}"));
        let (mut kept, room) = self.place(&file).map_err(failed)?;
        let full = || Refused::TooLarge { limit: MAX_WAITING_BYTES as usize };
        let mut room = room.ok_or_else(full)?;
        let mut chunks = body.into_data_stream();
        while let Some(chunk) = chunks.next().await {
            let chunk = chunk.map_err(|e| Refused::BadRequest(e.to_string()))?;
            room = room.checked_sub(chunk.len() as u64).ok_or_else(full)?;
            tokio::task::block_in_place(|| kept.write_all(&chunk)).map_err(failed)?;
        }
        let home = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let home = home.as_ref().ok_or(Refused::Busy("the server is about to end"))?;
        kept.persist(home.path().join(&file)).map_err(|e| failed(e.error))?;
        Ok(())
    }

    /// A file to write, and how many bytes it may have; nothing where too many wait.
    fn place(&self, file: &str) -> io::Result<(NamedTempFile, Option<u64>)> {
        let mut home = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let home = match home.take() {
            Some(there) => home.insert(there),
            None => home.insert(tempfile::Builder::new().prefix("quarterstop-dropped-").tempdir()?),
        };
        let others: Vec<u64> = fs::read_dir(home.path())?
            .flatten()
            .filter(|entry| entry.file_name().to_str() != Some(file))
            .filter_map(|entry| Some(entry.metadata().ok()?.len()))
            .collect();
        let room = MAX_WAITING_BYTES.checked_sub(others.iter().sum());
        let room = room.filter(|_| others.len() < MAX_WAITING);
        Ok((NamedTempFile::new_in(home.path())?, room))
    }

    /// Moves files to a job's folder; all others that wait go.
    ///
    /// # Errors
    /// [`Refused::NotFound`] for a file that was not dropped.
    pub fn take(&self, names: &[String], into: &Path) -> Result<(), Refused> {
        if names.is_empty() {
            return Ok(());
        }
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let missing = |file: &str| Refused::NotFound(format!("no file `{file}` was dropped"));
        let home = kept.take().ok_or_else(|| missing(&names[0]))?;
        for said in names {
            let file = name(said)?;
            let (from, to) = (home.path().join(&file), into.join(&file));
            let moved = fs::rename(&from, &to).or_else(|_| fs::copy(&from, &to).map(|_| ()));
            moved.map_err(|_| missing(&file))?;
        }
        Ok(())
    }
}
