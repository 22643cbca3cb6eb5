//! Files that are not finished yet, beside the place where they are going to be.
//!
//! In: a folder and bytes. Out: a temporary file with these bytes, down to the disc, for
//! the caller to rename; dropped, it is gone.
//!
//! A run that is killed leaves such files behind; the next that writes to the folder takes
//! them away. A lock tells them from those of a run that is still at work: the system
//! takes it from a process that ends, however it ends. Age or the number of the process
//! would not do: the one leaves them lying for long, the other means nothing on another
//! machine or in a container.

use std::fs::{self, TryLockError};
use std::io::{self, Write};
use std::path::Path;

use tempfile::NamedTempFile;

/// How names of such files begin.
const PREFIX: &str = ".unfinished-";

/// A temporary file in `folder` with these bytes.
///
/// # Errors
/// Those of the system: no such folder, no permission, no space.
pub(crate) fn write_through(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut file = locked_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// An empty one, with a lock that says that somebody works on it.
fn locked_in(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX);
    // Temporary files are private by default; outputs are ordinary files, of
    // which the user's mask decides who may read them.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    loop {
        let file = builder.tempfile_in(folder)?;
        // Another run may have come upon it before it was locked, and taken it away. Where
        // there are no locks nobody takes anything away.
        if file.as_file().lock().is_err() || file.path().exists() {
            return Ok(file);
        }
    }
}

/// Takes away temporary files that nobody works on any more. What cannot be looked at,
/// locked or removed stays, and does no harm.
pub(crate) fn clear_left_behind(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let ours = entries.filter(|e| e.file_name().to_string_lossy().starts_with(PREFIX));
    // neither links nor the folders that wait for a run to be taken up again
    for entry in ours.filter(|e| e.file_type().is_ok_and(|kind| kind.is_file())) {
        let Ok(file) = fs::OpenOptions::new().write(true).open(entry.path()) else { continue };
        match file.try_lock() {
            Ok(()) => {
                let _ = fs::remove_file(entry.path());
            }
            Err(TryLockError::WouldBlock | TryLockError::Error(_)) => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_nobody_works_on_goes_and_all_else_stays() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let alive = write_through(folder.path(), b"alive").unwrap();
        fs::write(at(".unfinished-left"), b"half").unwrap();
        fs::write(at("unfinished"), b"somebody's").unwrap();
        fs::create_dir(at(".unfinished-run-0")).unwrap();
        clear_left_behind(folder.path());
        assert_eq!(fs::read(alive.path()).unwrap(), b"alive");
        assert!(!at(".unfinished-left").exists());
        assert!(at("unfinished").exists() && at(".unfinished-run-0").exists());
        let path = alive.path().to_owned();
        drop(alive);
        assert!(!path.exists());
    }
}
