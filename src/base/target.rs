//! Where a file may be put, so that nothing is destroyed.
//!
//! In: the path of an output, and the files that this run reads. Out: a [`Target`], or why
//! nothing may be written there.
//!
//! The rules, the same for every output:
//! * what this run reads is never written over;
//! * only plain files are replaced: no pipe, device, socket or folder, and no file that is
//!   marked as read-only;
//! * a link is followed: the file that it leads to is replaced and the link stays. A link
//!   that leads nowhere is refused;
//! * a file that is replaced keeps its permissions;
//! * whether a file that is there may be replaced at all is the caller's [`Existing`].

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::staging::{Staging, clear_left_behind};

/// The files that a run reads.
#[derive(Debug, Clone, Default)]
pub struct Inputs(Vec<PathBuf>);

impl Inputs {
    /// These files; a name that leads to no file stands for nothing.
    pub fn of<P: AsRef<Path>>(paths: impl IntoIterator<Item = P>) -> Self {
        Self(paths.into_iter().filter_map(|path| path.as_ref().canonicalize().ok()).collect())
    }

    /// No files.
    pub fn none() -> Self {
        Self::default()
    }

    /// These as well.
    pub fn and<P: AsRef<Path>>(mut self, paths: impl IntoIterator<Item = P>) -> Self {
        self.0.extend(Self::of(paths).0);
        self
    }

    /// All but one, which is to be replaced by its own next version.
    pub fn but(mut self, path: &Path) -> Self {
        let path = path.canonicalize().ok();
        self.0.retain(|input| Some(input) != path.as_ref());
        self
    }

    /// Whether a path leads to one of them, or to a file in a folder that is one.
    fn hold(&self, path: &Path) -> bool {
        path.canonicalize().is_ok_and(|path| self.0.iter().any(|input| path.starts_with(input)))
    }
}

/// What happens to a file that is there already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// It stays, and nothing is written.
    Keep,
    /// It is replaced: by its name it is an output of this program, or the user said so.
    Replace,
}

/// Why nothing may be written to a path.
#[derive(Debug, thiserror::Error)]
pub enum TargetError {
    #[error(
        "`{}` is read by this run, so it is not written over\n  choose another name", path.display()
    )]
    Input { path: PathBuf },
    #[error(
        "there is a file `{}` already\n  \
         choose another name, or write over it with --replace", path.display()
    )]
    Exists { path: PathBuf },
    #[error("there is a folder `{}`\n  give the name of a file", path.display())]
    Folder { path: PathBuf },
    #[error(
        "`{}` is {what}, no plain file, and is left as it is\n  choose another name", path.display()
    )]
    NotPlain { path: PathBuf, what: &'static str },
    #[error(
        "`{}` is marked as read-only\n  choose another name, or allow writing to it", path.display()
    )]
    ReadOnly { path: PathBuf },
    #[error(
        "`{}` is a link that leads nowhere\n  remove it or choose another name", path.display()
    )]
    Dangling { path: PathBuf },
    #[error("`{}` cannot be looked at: {source}", path.display())]
    Unseen { path: PathBuf, source: io::Error },
}

/// A place for a file.
#[derive(Debug)]
pub struct Target {
    /// Behind all links.
    path: PathBuf,
    /// Of the file that is replaced.
    permissions: Option<fs::Permissions>,
    existing: Existing,
}

impl Target {
    /// Looks at a path.
    ///
    /// # Errors
    /// [`TargetError`].
    pub fn at(path: &Path, inputs: &Inputs, existing: Existing) -> Result<Self, TargetError> {
        let owned = || path.to_owned();
        let unseen = |source| TargetError::Unseen { path: owned(), source };
        let own = match fs::symlink_metadata(path) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => {
                return Ok(Self { path: owned(), permissions: None, existing });
            }
            Err(source) => return Err(unseen(source)),
            Ok(own) => own,
        };
        if inputs.hold(path) {
            return Err(TargetError::Input { path: owned() });
        }
        let (real, about) = if own.is_symlink() {
            let real = path.canonicalize().map_err(|_| TargetError::Dangling { path: owned() })?;
            let about = fs::metadata(&real).map_err(unseen)?;
            (real, about)
        } else {
            (owned(), own)
        };
        if about.is_dir() {
            return Err(TargetError::Folder { path: owned() });
        }
        if let Some(what) = kind_of(&about) {
            return Err(TargetError::NotPlain { path: owned(), what });
        }
        if existing == Existing::Keep {
            return Err(TargetError::Exists { path: owned() });
        }
        let permissions = about.permissions();
        if permissions.readonly() {
            return Err(TargetError::ReadOnly { path: owned() });
        }
        Ok(Self { path: real, permissions: Some(permissions), existing })
    }

    /// Puts a file in place that is whole already, on the same disc or on another.
    ///
    /// # Errors
    /// Those of the system; [`io::ErrorKind::AlreadyExists`] where a file appeared that has
    /// to stay.
    pub(crate) fn take(&self, finished: &Path) -> io::Result<()> {
        if let Some(permissions) = &self.permissions {
            fs::set_permissions(finished, permissions.clone())?;
        }
        let placed = match self.existing {
            Existing::Replace => fs::rename(finished, &self.path),
            Existing::Keep => fs::hard_link(finished, &self.path).or_else(|e| match e.kind() {
                // some file systems know no second name for a file
                io::ErrorKind::Unsupported | io::ErrorKind::PermissionDenied => {
                    fs::rename(finished, &self.path)
                }
                _ => Err(e),
            }),
        };
        match placed {
            // a link may lead to another disc
            Err(e) if e.kind() == io::ErrorKind::CrossesDevices => {
                let mut staging = Staging::within(self.folder())?;
                let copy = staging.write(&fs::read(finished)?)?;
                fs::rename(copy, &self.path)
            }
            placed => placed,
        }
    }

    /// Writes bytes beside the place, down to the disc, and puts them there.
    ///
    /// # Errors
    /// As [`Target::take`]; what was there before is untouched then.
    pub(crate) fn write(&self, bytes: &[u8]) -> io::Result<()> {
        let folder = self.folder();
        clear_left_behind(folder);
        let mut staging = Staging::within(folder)?;
        let finished = staging.write(bytes)?;
        self.take(&finished)?;
        sync_folder(folder);
        Ok(())
    }

    fn folder(&self) -> &Path {
        let folder = self.path.parent().filter(|folder| !folder.as_os_str().is_empty());
        folder.unwrap_or(Path::new("."))
    }
}

/// The renames themselves reach the disc with the folder. Some file systems refuse this for
/// folders; the files are whole either way.
pub(crate) fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    if let Ok(handle) = fs::File::open(folder) {
        let _ = handle.sync_all();
    }
    #[cfg(not(unix))]
    let _ = folder;
}

/// What something is that is no plain file; `None` for a plain file.
pub(crate) fn kind_of(about: &fs::Metadata) -> Option<&'static str> {
    let kind = about.file_type();
    if kind.is_file() {
        return None;
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if kind.is_fifo() {
            return Some("a pipe");
        }
        if kind.is_socket() {
            return Some("a socket");
        }
        if kind.is_char_device() || kind.is_block_device() {
            return Some("a device");
        }
    }
    Some("something special")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inputs_folders_and_what_is_there_are_left_alone() {
        let home = tempfile::tempdir().unwrap();
        let at = |name: &str| home.path().join(name);
        fs::write(at("in.toml"), "in").unwrap();
        fs::create_dir(at("weather")).unwrap();
        fs::write(at("weather/a.epw"), "in").unwrap();
        fs::write(at("old.csv"), "old").unwrap();
        let inputs = Inputs::of([at("in.toml"), at("weather")]);
        let place = |name: &str, existing| Target::at(&at(name), &inputs, existing);
        let refused = |name| place(name, Existing::Replace).unwrap_err();
        assert!(matches!(refused("in.toml"), TargetError::Input { .. }));
        assert!(matches!(refused("./in.toml"), TargetError::Input { .. }));
        assert!(matches!(refused("weather/a.epw"), TargetError::Input { .. }));
        let own_next = inputs.clone().but(&at("in.toml"));
        assert!(Target::at(&at("in.toml"), &own_next, Existing::Replace).is_ok());
        let kept = place("old.csv", Existing::Keep).unwrap_err();
        assert!(matches!(kept, TargetError::Exists { .. }));
        place("old.csv", Existing::Replace).unwrap().write(b"new").unwrap();
        assert_eq!(fs::read(at("old.csv")).unwrap(), b"new");
        place("new.csv", Existing::Keep).unwrap().write(b"new").unwrap();
        assert_eq!(fs::read(at("new.csv")).unwrap(), b"new");
        let late = place("late.csv", Existing::Keep).unwrap();
        fs::write(at("late.csv"), "first").unwrap();
        assert_eq!(late.write(b"second").unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(at("late.csv")).unwrap(), b"first");
    }

    #[cfg(unix)]
    #[test]
    fn links_lead_on_and_permissions_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        use std::os::unix::net::UnixListener;
        let (home, away) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let at = |name: &str| home.path().join(name);
        let real = away.path().join("real.csv");
        fs::write(&real, "old").unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&real, at("link.csv")).unwrap();
        symlink(away.path().join("none"), at("dangling.csv")).unwrap();
        let place = |name: &str| Target::at(&at(name), &Inputs::none(), Existing::Replace);
        place("link.csv").unwrap().write(b"new").unwrap();
        assert!(fs::symlink_metadata(at("link.csv")).unwrap().is_symlink());
        assert_eq!(fs::read(&real).unwrap(), b"new");
        assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
        assert!(matches!(place("dangling.csv").unwrap_err(), TargetError::Dangling { .. }));
        let _socket = UnixListener::bind(at("socket")).unwrap();
        assert!(matches!(place("socket").unwrap_err(), TargetError::NotPlain { .. }));
        let device = Target::at(Path::new("/dev/null"), &Inputs::none(), Existing::Replace);
        assert!(matches!(device.unwrap_err(), TargetError::NotPlain { .. }));
        fs::set_permissions(&real, fs::Permissions::from_mode(0o440)).unwrap();
        assert!(matches!(place("link.csv").unwrap_err(), TargetError::ReadOnly { .. }));
        fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
    }
}
