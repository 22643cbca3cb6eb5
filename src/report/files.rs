//! Files that appear whole or not at all.
//!
//! In: names and bytes. Out: files in one folder. Each is written beside its
//! target under a temporary name, flushed to the disc and only then renamed; a
//! set is staged completely before the first rename, so a full disc or a crash
//! before that leaves the folder as it was but for the temporary files, which the next
//! run that writes there takes away (`unfinished`).

use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::slug::slug;
use crate::unfinished::{clear_left_behind, write_through};

/// Stems that one system takes for devices, whatever the extension (Microsoft Learn,
/// "Naming Files, Paths, and Namespaces"): with a digit behind the last two.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// A file name without any path: a slug and an extension.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct FileName(String);

impl FileName {
    /// From a free text and an extension such as `csv`; both are reduced to
    /// safe characters.
    ///
    /// ```
    /// use quarterstop::report::files::FileName;
    /// assert_eq!(FileName::new("field 15:00", "svg").as_str(), "field-15-00.svg");
    /// assert_eq!(FileName::new("../a", "/b").as_str(), "a.b");
    /// assert_eq!(FileName::new("CON", "csv").as_str(), "con-file.csv");
    /// ```
    pub fn new(stem: &str, extension: &str) -> Self {
        let stem = slug(stem, "file");
        let device = DEVICES.contains(&stem.trim_end_matches(|c: char| c.is_ascii_digit()));
        let more = if device { "-file" } else { "" };
        Self(format!("{stem}{more}.{}", slug(extension, "dat")))
    }

    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FileName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Why files could not be written.
#[derive(Debug, thiserror::Error)]
pub enum FilesError {
    #[error(
        "cannot make the output folder {path}: {source}\n  \
         choose a folder that you may write to with --into"
    )]
    Folder { path: Shown, source: io::Error },
    #[error(
        "the output folder {path} cannot be used: there is a file of that name\n  \
         move it away or choose another folder with --into"
    )]
    FileInPlace { path: Shown },
    #[error(
        "cannot write {path}: {source}; no output file was touched\n  \
         check free space and permissions, or choose another folder with --into"
    )]
    Write { path: Shown, source: io::Error },
    #[error(
        "cannot write {path}: there is a folder of that name; no output file was touched\n  \
         move it away or choose another folder with --into"
    )]
    FolderInPlace { path: Shown },
    #[error(
        "cannot put {path} in place: {source}; {replaced} of {all} files of this run are in place\n  \
         check the permissions of that file, then run again"
    )]
    Rename { path: Shown, source: io::Error, replaced: usize, all: usize },
}

impl FilesError {
    /// A folder that cannot be made.
    pub(crate) fn folder(path: &Path, source: io::Error) -> Self {
        Self::Folder { path: Shown(path.to_owned()), source }
    }
}

/// A path as an error message shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown(PathBuf);

impl Shown {
    pub(crate) fn of(path: &Path) -> Self {
        Self(path.to_owned())
    }
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}`", self.0.display())
    }
}

/// A set of files for one folder, staged but not yet visible. Dropped without
/// [`FileSet::commit`] it leaves nothing behind, not even a folder it made.
#[derive(Debug)]
pub struct FileSet {
    folder: PathBuf,
    /// Folders that did not exist before, outermost first.
    made: Vec<PathBuf>,
    staged: Vec<(FileName, NamedTempFile)>,
    committed: bool,
}

impl FileSet {
    /// Opens `folder` for writing and makes it where it is missing.
    ///
    /// # Errors
    /// [`FilesError::FileInPlace`] where a file stands in the way,
    /// [`FilesError::Folder`] where the folder cannot be made.
    pub fn open(folder: &Path) -> Result<Self, FilesError> {
        let mut made: Vec<PathBuf> = folder
            .ancestors()
            .filter(|p| !p.as_os_str().is_empty())
            .take_while(|p| matches!(p.try_exists(), Ok(false)))
            .map(Path::to_owned)
            .collect();
        made.reverse();
        if let Some(file) = folder.ancestors().find(|p| p.is_file()) {
            return Err(FilesError::FileInPlace { path: Shown(file.to_owned()) });
        }
        // Dropping the set takes back the folders made before an error.
        let set = Self { folder: folder.to_owned(), made, staged: Vec::new(), committed: false };
        fs::create_dir_all(folder)
            .map_err(|source| FilesError::Folder { path: Shown(folder.to_owned()), source })?;
        clear_left_behind(folder);
        Ok(set)
    }

    /// Writes one file under a temporary name, down to the disc. A second file
    /// of the same name takes the place of the first.
    ///
    /// # Errors
    /// [`FilesError::Write`], [`FilesError::FolderInPlace`].
    pub fn stage(&mut self, name: FileName, bytes: &[u8]) -> Result<(), FilesError> {
        let target = self.folder.join(name.as_str());
        if target.is_dir() {
            return Err(FilesError::FolderInPlace { path: Shown(target) });
        }
        let temporary = write_through(&self.folder, bytes)
            .map_err(|source| FilesError::Write { path: Shown(target), source })?;
        self.staged.retain(|(staged, _)| *staged != name);
        self.staged.push((name, temporary));
        Ok(())
    }

    /// Puts all staged files in place and returns their names, in the order of
    /// staging. Files of the same names are replaced.
    ///
    /// # Errors
    /// [`FilesError::Rename`]: says how many files were in place by then.
    pub fn commit(mut self) -> Result<Vec<FileName>, FilesError> {
        let staged = std::mem::take(&mut self.staged);
        let all = staged.len();
        let mut names = Vec::with_capacity(all);
        for (name, temporary) in staged {
            let target = self.folder.join(name.as_str());
            temporary.persist(&target).map_err(|e| FilesError::Rename {
                path: Shown(target),
                source: e.error,
                replaced: names.len(),
                all,
            })?;
            names.push(name);
        }
        self.committed = true;
        sync_folder(&self.folder);
        Ok(names)
    }
}

impl Drop for FileSet {
    fn drop(&mut self) {
        if self.committed {
            return;
        }
        self.staged.clear();
        for folder in self.made.iter().rev() {
            // remove_dir takes empty folders only; anything else is not ours
            if fs::remove_dir(folder).is_err() {
                break;
            }
        }
    }
}

/// Writes one file of any name, whole or not at all; a file of that name is
/// replaced.
///
/// # Errors
/// [`FilesError`] where the folder is missing or may not be written to.
pub fn write_one(path: &Path, bytes: &[u8]) -> Result<(), FilesError> {
    let shown = || Shown(path.to_owned());
    if path.is_dir() {
        return Err(FilesError::FolderInPlace { path: shown() });
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    clear_left_behind(folder);
    let temporary = write_through(folder, bytes)
        .map_err(|source| FilesError::Write { path: shown(), source })?;
    temporary.persist(path).map_err(|e| FilesError::Rename {
        path: shown(),
        source: e.error,
        replaced: 0,
        all: 1,
    })?;
    sync_folder(folder);
    Ok(())
}

/// The renames themselves reach the disc with the folder. Some file systems
/// refuse this for folders; the files are whole either way.
fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    if let Ok(handle) = fs::File::open(folder) {
        let _ = handle.sync_all();
    }
    #[cfg(not(unix))]
    let _ = folder;
}
