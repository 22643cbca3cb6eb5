//! Files that appear whole or not at all.
//!
//! In: names and bytes. Out: files in one folder, or one file of any name. Each is written
//! beside its target, flushed to the disc and only then renamed; a set is staged completely
//! before the first rename, so a full disc or a crash before that leaves the folder as it
//! was but for a hidden folder, which the next run that writes there removes. What may be
//! written over is decided in one place, [`crate::base::target`].

use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::{fmt, fs, io};

use crate::base::slug::slug;
use crate::base::staging::{Staging, clear_left_behind, hold};
use crate::base::target::{Existing, Inputs, Target, TargetError, sync_folder};

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
    /// use quarterstop::base::files::FileName;
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
    Folder { path: ShownPath, source: io::Error },
    #[error(
        "the output folder {path} cannot be used: there is a file of that name\n  \
         move it away or choose another folder with --into"
    )]
    FileInPlace { path: ShownPath },
    #[error(
        "cannot write {path}: {source}; no output file was touched\n  \
         check free space and permissions, or choose another folder with --into"
    )]
    Write { path: ShownPath, source: io::Error },
    /// Something at the output's place that is not written over.
    #[error("{0}\n  no output file was touched")]
    Target(#[from] TargetError),
    #[error(
        "cannot put {path} in place: {source}; {replaced} of {all} files of this run are in place\n  \
         check the permissions of that file, then run again"
    )]
    Rename { path: ShownPath, source: io::Error, replaced: usize, all: usize },
}

impl FilesError {
    /// Whether another name or folder would do.
    pub fn is_usage(&self) -> bool {
        !matches!(self, Self::Write { .. } | Self::Rename { .. } | Self::Folder { .. })
    }

    /// A folder that cannot be made.
    #[cfg(feature = "cli")]
    pub(crate) fn folder(path: &Path, source: io::Error) -> Self {
        Self::Folder { path: ShownPath(path.to_owned()), source }
    }
}

/// A path as an error message shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShownPath(PathBuf);

impl ShownPath {
    #[cfg(feature = "parquet")]
    pub(crate) fn of(path: &Path) -> Self {
        Self(path.to_owned())
    }
}

impl fmt::Display for ShownPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}`", self.0.display())
    }
}

/// A set of files for one folder, staged but not yet visible. Dropped without
/// [`FileSet::commit`] it leaves nothing behind, not even a folder it made.
#[derive(Debug)]
pub struct FileSet {
    folder: PathBuf,
    inputs: Inputs,
    /// Folders that did not exist before, outermost first.
    made: Vec<PathBuf>,
    /// Dropped before the folders that were made.
    staging: Option<Staging>,
    staged: Vec<Staged>,
    committed: bool,
}

#[derive(Debug)]
struct Staged {
    name: FileName,
    target: Target,
    finished: PathBuf,
}

impl FileSet {
    /// Opens `folder` for writing and makes it where it is missing. `inputs` are the files
    /// that the run reads: none of them is written over.
    ///
    /// # Errors
    /// [`FilesError::FileInPlace`] where a file stands in the way,
    /// [`FilesError::Folder`] where the folder cannot be made.
    pub fn open(folder: &Path, inputs: &Inputs) -> Result<Self, FilesError> {
        let mut made: Vec<PathBuf> = folder
            .ancestors()
            .filter(|p| !p.as_os_str().is_empty())
            .take_while(|p| matches!(p.try_exists(), Ok(false)))
            .map(Path::to_owned)
            .collect();
        made.reverse();
        let stands_in_the_way = |p: &&Path| p.exists() && !p.is_dir();
        if let Some(file) = folder.ancestors().find(stands_in_the_way) {
            return Err(FilesError::FileInPlace { path: ShownPath(file.to_owned()) });
        }
        // Dropping the set takes back the folders made before an error.
        let mut set = Self {
            folder: folder.to_owned(),
            inputs: inputs.clone(),
            made,
            staging: None,
            staged: Vec::new(),
            committed: false,
        };
        let failed = |source| FilesError::Folder { path: ShownPath(folder.to_owned()), source };
        fs::create_dir_all(folder).map_err(failed)?;
        clear_left_behind(folder);
        let unwritable = |source| FilesError::Write { path: ShownPath(folder.to_owned()), source };
        set.staging = Some(Staging::within(folder).map_err(unwritable)?);
        Ok(set)
    }

    /// Writes one file out of sight, down to the disc. A second file of the same name takes
    /// the place of the first.
    ///
    /// # Errors
    /// [`FilesError::Write`], [`FilesError::Target`].
    pub fn stage(&mut self, name: FileName, bytes: &[u8]) -> Result<(), FilesError> {
        let path = self.folder.join(name.as_str());
        let target = Target::at(&path, &self.inputs, Existing::Replace)?;
        let failed = |source| FilesError::Write { path: ShownPath(path), source };
        let gone = || io::Error::from(io::ErrorKind::NotFound);
        let written = self.staging.as_mut().ok_or_else(gone).and_then(|s| s.write(bytes));
        let finished = written.map_err(failed)?;
        self.staged.retain(|staged| staged.name != name);
        self.staged.push(Staged { name, target, finished });
        Ok(())
    }

    /// The same for a file that is written piece by piece: `write` gets it, buffered.
    ///
    /// # Errors
    /// What `write` returns; [`FilesError::Write`], [`FilesError::Target`] for the file
    /// itself.
    pub fn stage_with<E: From<FilesError>>(
        &mut self,
        name: FileName,
        write: impl FnOnce(&mut BufWriter<File>) -> Result<(), E>,
    ) -> Result<(), E> {
        let path = self.folder.join(name.as_str());
        let target =
            Target::at(&path, &self.inputs, Existing::Replace).map_err(FilesError::from)?;
        let failed = |source| FilesError::Write { path: ShownPath(path.clone()), source };
        let gone = || io::Error::from(io::ErrorKind::NotFound);
        let created = self.staging.as_mut().ok_or_else(gone).and_then(Staging::create);
        let (finished, file) = created.map_err(failed)?;
        let mut out = BufWriter::new(file);
        write(&mut out)?;
        let closed = out.into_inner().map_err(io::IntoInnerError::into_error);
        closed.and_then(|file| file.sync_all()).map_err(failed)?;
        self.staged.retain(|staged| staged.name != name);
        self.staged.push(Staged { name, target, finished });
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
        let whole = hold();
        for Staged { name, target, finished } in staged {
            target.take(&finished).map_err(|source| FilesError::Rename {
                path: ShownPath(self.folder.join(name.as_str())),
                source,
                replaced: names.len(),
                all,
            })?;
            names.push(name);
        }
        drop(whole);
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
        self.staging = None;
        for folder in self.made.iter().rev() {
            // remove_dir takes empty folders only; anything else is not ours
            if fs::remove_dir(folder).is_err() {
                break;
            }
        }
    }
}

/// Finds out, before any work, whether a file may be written.
///
/// # Errors
/// [`FilesError::Target`].
pub fn may_write(path: &Path, inputs: &Inputs, existing: Existing) -> Result<(), FilesError> {
    Ok(Target::at(path, inputs, existing).map(|_| ())?)
}

/// Writes one file of any name, whole or not at all, over none of the files that the run
/// reads.
///
/// # Errors
/// [`FilesError`] where the folder is missing or may not be written to, and where a file is
/// there already that has to stay.
pub fn write_one(
    path: &Path,
    bytes: &[u8],
    inputs: &Inputs,
    existing: Existing,
) -> Result<(), FilesError> {
    let target = Target::at(path, inputs, existing)?;
    target.write(bytes).map_err(|source| match source.kind() {
        io::ErrorKind::AlreadyExists => TargetError::Exists { path: path.to_owned() }.into(),
        _ => FilesError::Write { path: ShownPath(path.to_owned()), source },
    })
}
