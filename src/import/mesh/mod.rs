//! A model of a stand, brought into a venue file as a `[[mesh]]` table.
//!
//! In: an OBJ or glTF file, a venue file as text, and where the model stands. Out: the
//! model and its buffers beside the new venue file, the venue file with one table
//! more, and a note of what was brought in and what was not. The new file is read as a
//! venue before it is put in place; where it is none, nothing stays behind.

mod copies;

use std::path::{Path, PathBuf};

use toml_edit::{Array, DocumentMut, Table, value};

use crate::base::frame::FieldPoint;
use crate::base::read::ReadError;
use crate::base::target::{Existing, Inputs, Target};
use crate::import::write::{NewTable, NoTables, SaveError, append, number, numbers, save};
use crate::venue::mesh::{MeshFault, MeshNote, MeshPlace, UpAxis, companions};
use crate::venue::{VenueError, parse_in};

/// What to bring in, and where to.
#[derive(Debug, Clone)]
pub struct MeshWish {
    /// The model.
    pub file: PathBuf,
    /// The venue file to write.
    pub into: PathBuf,
    /// What the run reads, and whether a file that is there is replaced.
    pub inputs: Inputs,
    pub existing: Existing,
    /// Name of the occluder; that of the file where it is `None`.
    pub name: Option<String>,
    pub place: MeshPlace,
    /// Share of light that passes, 0 to 1.
    pub transmittance: f64,
    /// Share of light thrown back, 0 to 1; the usual one where it is `None`.
    pub reflectance: Option<f64>,
    /// Groups that count; all where there are none.
    pub only: Vec<String>,
    /// Groups that do not.
    pub without: Vec<String>,
}

/// Why a model could not be brought in.
#[derive(Debug, thiserror::Error)]
pub enum MeshImportError {
    #[error(transparent)]
    Read(#[from] ReadError),
    #[error("the model cannot be used: {0}")]
    Model(#[from] MeshFault),
    #[error("{0}\n  state them as [[mesh]] tables")]
    Tables(#[from] NoTables),
    #[error("the venue file is no TOML: {0}")]
    Toml(#[from] toml_edit::TomlError),
    #[error("with the model in it, the venue would not be sound\n{}", .0.without_lines())]
    Venue(#[from] VenueError),
    #[error(transparent)]
    Save(#[from] SaveError),
    #[error(
        "there is another file `{}` beside the new venue file\n  \
         rename the model, or move that file away", path.display()
    )]
    Taken { path: PathBuf },
    #[error("the name of the file `{}` is no text in UTF-8; rename it", path.display())]
    Name { path: PathBuf },
}

/// Adds a model to the text of a venue file and writes both.
///
/// # Errors
/// [`MeshImportError`]; no file is left that was not there before.
pub fn import(venue_text: &str, wish: &MeshWish) -> Result<MeshNote, MeshImportError> {
    let folder = folder_of(&wish.into);
    // a venue file in the way is told of before anything is copied
    let companions = companions(&wish.file).unwrap_or_default();
    let beside = folder_of(&wish.file);
    let inputs = wish.inputs.clone().and(companions.iter().map(|name| beside.join(name)));
    Target::at(&wish.into, &inputs, wish.existing).map_err(SaveError::Target)?;
    let (file, copies) = copies::plan(&wish.file, folder)?;
    let text = with_table(venue_text, wish, &file)?;
    let copies = copies.write()?;
    let venue = parse_in(&text, &wish.into.display().to_string(), Some(folder))?;
    save(&wish.into, &text, &inputs, wish.existing)?;
    copies.keep();
    let note = venue.meshes.into_iter().next_back();
    note.ok_or_else(|| MeshFault::new("no mesh in the file that was written", "one").into())
}

/// The folder of a file, the present one where its path names none.
fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// The text of a venue file with one `[[mesh]]` more; all else stands as it stood.
fn with_table(text: &str, wish: &MeshWish, file: &str) -> Result<String, MeshImportError> {
    let stem = || wish.file.file_stem().map(|s| s.to_string_lossy().into_owned());
    let name = wish.name.clone().or_else(stem).unwrap_or_default();
    let FieldPoint { along_m, across_m, up_m } = wish.place.at;
    let mut table = Table::new();
    table["name"] = value(name);
    table["file"] = value(file);
    table["metres_per_unit"] = value(number(wish.place.metres_per_unit));
    table["up"] = value(match wish.place.up {
        UpAxis::Y => "y",
        UpAxis::Z => "z",
    });
    table["at"] = value(numbers(&[along_m, across_m, up_m]));
    table["turned_deg"] = value(number(wish.place.turned_deg));
    table["transmittance"] = value(number(wish.transmittance));
    if let Some(reflectance) = wish.reflectance {
        table["reflectance"] = value(number(reflectance));
    }
    for (key, groups) in [("only", &wish.only), ("without", &wish.without)] {
        if !groups.is_empty() {
            table[key] = value(groups.iter().collect::<Array>());
        }
    }
    // editors of some systems put a mark in front of UTF-8
    let mut document: DocumentMut = text.strip_prefix('\u{feff}').unwrap_or(text).parse()?;
    append(&mut document, &[], &[NewTable { kind: "mesh", comment: Vec::new(), table }])?;
    Ok(document.to_string())
}
