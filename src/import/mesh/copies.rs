//! The files of a model, beside the venue file that names it.
//!
//! In: a model and a folder. Out: the name that the venue file gives it, and copies
//! of what does not lie in that folder yet. Copies go away again unless they are kept.

use std::fs;
use std::path::{Path, PathBuf};

use crate::base::read::{ReadError, bytes_of};
use crate::base::target::{Existing, Inputs};
use crate::import::write::{SaveError, save_bytes};
use crate::venue::mesh::companions;

use super::MeshImportError;

/// As the reader of meshes has it.
const MAX_MB: u64 = 64;

/// Files to write, and after [`Copies::write`] those that were.
#[derive(Debug, Default)]
pub(super) struct Copies {
    waiting: Vec<(PathBuf, Vec<u8>)>,
    written: Vec<PathBuf>,
}

/// The model's name seen from a folder, and what has to be copied there first.
pub(super) fn plan(model: &Path, folder: &Path) -> Result<(String, Copies), MeshImportError> {
    let unreadable = |path: &Path| {
        let path = path.to_owned();
        move |cause| ReadError::Unreadable { path, cause }
    };
    let nameless = || MeshImportError::Name { path: model.to_owned() };
    let model_at = model.canonicalize().map_err(unreadable(model))?;
    let folder_at = folder.canonicalize().map_err(unreadable(folder))?;
    if let Ok(within) = model_at.strip_prefix(&folder_at) {
        let parts: Option<Vec<&str>> = within.iter().map(|part| part.to_str()).collect();
        return Ok((parts.ok_or_else(nameless)?.join("/"), Copies::default()));
    }
    let name = model.file_name().and_then(|n| n.to_str()).ok_or_else(nameless)?.to_owned();
    let mut copies = Copies::default();
    let beside = model_at.parent().unwrap_or(Path::new("."));
    for file in std::iter::once(name.clone()).chain(companions(&model_at)?) {
        let bytes = bytes_of(&beside.join(&file), MAX_MB)?;
        copies.add(folder.join(&file), bytes)?;
    }
    Ok((name, copies))
}

impl Copies {
    /// Plans a copy, unless the very same file is there.
    fn add(&mut self, to: PathBuf, bytes: Vec<u8>) -> Result<(), MeshImportError> {
        if to.exists() {
            return match bytes_of(&to, MAX_MB)? == bytes {
                true => Ok(()),
                false => Err(MeshImportError::Taken { path: to }),
            };
        }
        self.waiting.push((to, bytes));
        Ok(())
    }

    /// Writes the copies, each whole or not at all.
    pub fn write(mut self) -> Result<Self, MeshImportError> {
        for (path, bytes) in std::mem::take(&mut self.waiting) {
            let folder = path.parent().unwrap_or(Path::new("."));
            fs::create_dir_all(folder)
                .map_err(|source| SaveError::Write { path: path.clone(), source })?;
            save_bytes(&path, &bytes, &Inputs::none(), Existing::Keep)?;
            self.written.push(path);
        }
        Ok(self)
    }

    /// The copies stay.
    pub fn keep(mut self) {
        self.written.clear();
    }
}

impl Drop for Copies {
    fn drop(&mut self) {
        for path in &self.written {
            // what cannot be taken away again does no harm
            let _ = fs::remove_file(path);
        }
    }
}
