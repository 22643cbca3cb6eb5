//! What an interrupted run leaves for the next.
//!
//! In: the folder of a run and everything that its results depend on. Out: a folder in it
//! whose name tells these inputs, so that results of other inputs are never taken; files
//! in it are whole or absent. Gone when the run is done.

use std::fmt::Debug;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};

use crate::base::files::{FilesError, write_one};
use crate::base::meaning::meaning;
use crate::base::target::{Existing, Inputs};
use crate::jobs::starts::Kept;

/// Number of what is kept; changes when what is worked out changes.
const FORMAT: u32 = 3;
/// How names of such folders begin.
const PREFIX: &str = ".unfinished-run-";
/// How often a file is tried to be written into a folder that somebody takes away.
const MAX_TRIES: usize = 3;

/// The folder of a run that may be interrupted.
pub(crate) struct Folder {
    within: PathBuf,
    path: PathBuf,
}

impl Folder {
    /// Opens it in `within` for the contents of `files` and for `settings`.
    ///
    /// # Errors
    /// [`FilesError::Folder`] where it cannot be made.
    pub fn open(
        within: &Path,
        files: &[&Vec<PathBuf>],
        settings: &impl Debug,
    ) -> Result<Self, FilesError> {
        let files: Vec<PathBuf> = files.iter().flat_map(|p| p.iter().flat_map(listed)).collect();
        let name = fingerprint(&files, &format!("{settings:?}"));
        let path = within.join(format!("{PREFIX}{name}"));
        fs::create_dir_all(&path).map_err(|source| FilesError::folder(&path, source))?;
        Ok(Self { within: within.to_owned(), path })
    }

    /// Takes away this and other such folders, of runs that were never taken up again. A
    /// folder that cannot be removed does no harm.
    pub fn clear(&self) {
        let entries = fs::read_dir(&self.within).into_iter().flatten().flatten();
        let ours = entries.filter(|e| e.file_name().to_string_lossy().starts_with(PREFIX));
        for folder in ours.map(|e| e.path()).filter(|p| p.is_dir() && !p.is_symlink()) {
            let _ = fs::remove_dir_all(folder);
        }
    }
}

impl Kept for Folder {
    type Error = FilesError;

    fn load(&self, name: &str) -> Option<Vec<u8>> {
        fs::read(self.path.join(name).with_extension("json")).ok()
    }

    fn save(&self, name: &str, bytes: &[u8]) -> Result<(), FilesError> {
        let file = self.path.join(name).with_extension("json");
        let mut written = write_one(&file, bytes, &Inputs::none(), Existing::Replace);
        for _ in 1..MAX_TRIES {
            if written.is_ok() {
                break;
            }
            // another run of the same folder is done and has taken it away, or is about to
            let again = fs::create_dir_all(&self.path);
            again.map_err(|source| FilesError::folder(&self.path, source))?;
            written = write_one(&file, bytes, &Inputs::none(), Existing::Replace);
        }
        written
    }
}

/// A file, or the files of a folder in order of their names.
fn listed(path: &PathBuf) -> Vec<PathBuf> {
    if !path.is_dir() {
        return vec![path.clone()];
    }
    let entries = fs::read_dir(path).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries.map(|e| e.path()).filter(|p| p.is_file()).collect();
    files.sort();
    files
}

/// 128 bits of hash over names and contents of files, comments of TOML left out, and over
/// the settings. The standard
/// library's hash may differ between builds of this program, after which a run starts over.
fn fingerprint(files: &[PathBuf], settings: &str) -> String {
    let mut halves = [1_u64, 2].map(|salt| {
        let mut hasher = DefaultHasher::new();
        (salt, env!("CARGO_PKG_VERSION"), FORMAT, settings).hash(&mut hasher);
        hasher
    });
    // one file at a time: models may be large
    for file in files {
        let content = fs::read(file).ok();
        let content = content.as_deref().map(meaning);
        halves.iter_mut().for_each(|hasher| (file, &content).hash(hasher));
    }
    halves.map(|hasher| format!("{:016x}", hasher.finish())).concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_found_again_for_the_same_inputs_only() {
        let folder = tempfile::TempDir::new().unwrap();
        let file = folder.path().join("a.toml");
        fs::write(&file, "one").unwrap();
        let files = vec![file.clone()];
        let first = Folder::open(folder.path(), &[&files], &7).unwrap();
        first.save("block", b"[1]").unwrap();
        let again = Folder::open(folder.path(), &[&files], &7).unwrap();
        assert_eq!(again.load("block").as_deref(), Some(&b"[1]"[..]));
        assert_eq!(Folder::open(folder.path(), &[&files], &8).unwrap().load("block"), None);
        fs::write(&file, "two").unwrap();
        let changed = Folder::open(folder.path(), &[&files], &7).unwrap();
        assert_eq!(changed.load("block"), None);
        changed.clear();
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().flatten().collect();
        assert_eq!(left.len(), 1, "{left:?}");
    }
}
