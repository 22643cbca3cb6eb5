//! Files that are not finished yet, beside the place where they are going to be.
//!
//! In: a folder and bytes. Out: a hidden folder in it with files of these bytes, down to
//! the disc, for the caller to rename; dropped, it is gone.
//!
//! A run that is killed leaves such a folder behind; the next that writes there removes
//! it. A lock tells it from that of a run still at work: the system takes the lock from a
//! process that ends, however it ends. Age or the number of the process would not do: the
//! one leaves them lying for long, the other means nothing on another machine or in a
//! container. One lock serves all files of a run, so their number is not bounded by that
//! of open files.

use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use tempfile::TempDir;

/// How names of everything unfinished begin, and of the folders that files wait in.
const PREFIX: &str = ".unfinished-";
const FOLDER_PREFIX: &str = ".unfinished-set-";
/// The file in such a folder that is locked while somebody works on it.
const LOCK: &str = "lock";

/// Folders of this process that are not dropped yet.
static OPEN: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());
/// Held while the files of a set are renamed, so that nobody ends the process between two.
static RENAMING: Mutex<()> = Mutex::new(());

/// Holds off the end of the process while files are renamed.
pub(crate) fn hold() -> MutexGuard<'static, ()> {
    RENAMING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Changes the list of open folders.
fn open() -> MutexGuard<'static, Vec<PathBuf>> {
    OPEN.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Waits for files that are being renamed, and takes all unfinished ones away: for a
/// process that is about to end. No set is put in place while the answer is held.
#[cfg(feature = "cli")]
pub(crate) fn stop() -> MutexGuard<'static, ()> {
    let whole = hold();
    for folder in open().iter() {
        // what cannot be removed is cleared by the next run
        let _ = fs::remove_dir_all(folder);
    }
    whole
}

/// A folder of files that wait to be renamed.
#[derive(Debug)]
pub(crate) struct Staging {
    folder: TempDir,
    _lock: File,
    count: usize,
}

impl Staging {
    /// Makes one in a folder.
    ///
    /// # Errors
    /// Those of the system: no such folder, no permission.
    pub fn within(folder: &Path) -> io::Result<Self> {
        loop {
            let folder = tempfile::Builder::new().prefix(FOLDER_PREFIX).tempdir_in(folder)?;
            let path = folder.path().join(LOCK);
            // another run may come upon it before it is locked, and remove it
            let lock = match File::create(&path) {
                Err(e) if e.kind() == io::ErrorKind::NotFound => continue,
                created => created?,
            };
            // where there are no locks nobody removes anything
            if lock.lock().is_err() || path.exists() {
                open().push(folder.path().to_owned());
                return Ok(Self { folder, _lock: lock, count: 0 });
            }
        }
    }

    /// A file with these bytes, closed, down to the disc. The user's mask decides who may
    /// read it.
    ///
    /// # Errors
    /// Those of the system: no space.
    pub fn write(&mut self, bytes: &[u8]) -> io::Result<PathBuf> {
        let (path, mut file) = self.create()?;
        file.write_all(bytes)?;
        file.sync_all()?;
        Ok(path)
    }

    /// A new file, empty and open: for what is too large to lie in memory as a whole.
    ///
    /// # Errors
    /// Those of the system.
    pub fn create(&mut self) -> io::Result<(PathBuf, File)> {
        let path = self.folder.path().join(self.count.to_string());
        self.count += 1;
        let file = File::create(&path)?;
        Ok((path, file))
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        let own = self.folder.path();
        open().retain(|folder| folder != own);
    }
}

/// Removes what nobody works on any more. What cannot be looked at, locked or removed
/// stays, and does no harm.
pub(crate) fn clear_left_behind(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for entry in entries {
        let (name, path) = (entry.file_name(), entry.path());
        let name = name.to_string_lossy();
        // never links; folders of runs that can be taken up again have another name
        match entry.file_type() {
            Ok(kind) if kind.is_file() && name.starts_with(PREFIX) && abandoned(&path) => {
                let _ = fs::remove_file(&path);
            }
            Ok(kind) if kind.is_dir() && name.starts_with(FOLDER_PREFIX) => {
                // one without a lock yet is empty, or it is not ours
                if abandoned(&path.join(LOCK)) {
                    let _ = fs::remove_dir_all(&path);
                } else {
                    let _ = fs::remove_dir(&path);
                }
            }
            _ => {}
        }
    }
}

/// Whether a file exists that nobody has locked.
fn abandoned(lock: &Path) -> bool {
    let Ok(file) = fs::OpenOptions::new().write(true).open(lock) else { return false };
    match file.try_lock() {
        Ok(()) => true,
        Err(TryLockError::WouldBlock | TryLockError::Error(_)) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_nobody_works_on_goes_and_all_else_stays() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let mut alive = Staging::within(folder.path()).unwrap();
        let file = alive.write(b"alive").unwrap();
        fs::write(at(".unfinished-left"), b"half").unwrap();
        fs::create_dir(at(".unfinished-set-left")).unwrap();
        fs::write(at(".unfinished-set-left/lock"), b"").unwrap();
        fs::write(at(".unfinished-set-left/0"), b"half").unwrap();
        fs::create_dir(at(".unfinished-set-empty")).unwrap();
        fs::write(at("unfinished"), b"somebody's").unwrap();
        fs::create_dir(at(".unfinished-run-0")).unwrap();
        clear_left_behind(folder.path());
        assert_eq!(fs::read(&file).unwrap(), b"alive");
        for gone in [".unfinished-left", ".unfinished-set-left", ".unfinished-set-empty"] {
            assert!(!at(gone).exists(), "{gone}");
        }
        assert!(at("unfinished").exists() && at(".unfinished-run-0").exists());
        drop(alive);
        assert!(!file.exists());
    }
}
