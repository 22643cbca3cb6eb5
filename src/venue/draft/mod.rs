//! A venue file that can be changed: the text with its comments and order, and
//! the numbers in it by name.
//!
//! In: a venue file, addresses, numbers in the unit of their key. Out: the
//! changed text, and the [`Venue`] that it stands for, read by the same reader as
//! any file. [`Variants`] gives many venues that differ in a few numbers, faster
//! than text can be read.

mod address;
mod catalog;
mod edit;
mod vary;

use std::path::{Path, PathBuf};

use serde_json::Value;
use toml_edit::DocumentMut;

use super::error::{FileKind, VenueError};
use super::model::Venue;
use super::problem::Problems;
use super::read;
use super::surveyed::Surveyed;
use catalog::Entry;

pub use address::{Address, NoAddress};
pub use catalog::Unit;
pub use vary::{VariantError, Variants};

/// A venue file's text, open for changes.
///
/// ```
/// # let text = std::fs::read_to_string("venues/tennis-demo.toml").unwrap();
/// use quarterstop::venue::Draft;
/// let mut draft = Draft::parse(&text, "tennis-demo.toml").unwrap();
/// let bearing = "field.bearing_deg".parse().unwrap();
/// let before = draft.value(&bearing).unwrap();
/// draft.set(&bearing, before + 1.5).unwrap();
/// let turned = draft.venue().unwrap().field.frame.bearing().degrees();
/// let was = quarterstop::venue::parse(&text, "").unwrap().field.frame.bearing().degrees();
/// assert!((turned - was - 1.5).abs() < 1e-9);
/// ```
#[derive(Debug, Clone)]
pub struct Draft {
    name: String,
    /// Where files that the venue file names lie.
    folder: Option<PathBuf>,
    document: DocumentMut,
    /// The same as JSON, kept in step.
    values: Value,
    entries: Vec<Entry>,
}

/// A number of the ground, as the file has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    pub address: Address,
    /// The path of its key as problems name it, `stand[0].roof.gap_m`.
    pub key: String,
    pub unit: Unit,
    /// In `unit`.
    pub value: f64,
    /// Least and most that the file may say, in `unit`; infinite where open.
    pub limits: (f64, f64),
    /// Line of the text, from 1; `None` where the file leaves the number open
    /// and the usual one holds.
    pub line: Option<usize>,
}

/// Why a number cannot be had or changed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DraftError {
    #[error("`{address}` names no length or angle of `{file}`; {help}")]
    NoSuchDimension { address: Address, file: String, help: String },
    #[error("{value} is no value for `{address}`: give a finite number")]
    NotANumber { address: Address, value: f64 },
    #[error(
        "`{address}` stands in `{file}` where it cannot be changed: write it on a line of its own"
    )]
    OutOfReach { address: Address, file: String },
}

impl Draft {
    /// Opens a venue file.
    ///
    /// # Errors
    /// [`VenueError`] as [`super::read()`] has it: only a sound file can be changed.
    pub fn read(path: &Path) -> Result<Self, VenueError> {
        let (text, name) = read::text_of(FileKind::Venue, path)?;
        let folder = path.parent().map(Path::to_owned);
        Self::open(&text, name, folder)
    }

    /// Opens the text of a venue file; `name` is what messages call it.
    ///
    /// # Errors
    /// [`VenueError`] as [`super::parse`] has it.
    pub fn parse(text: &str, name: &str) -> Result<Self, VenueError> {
        Self::open(text, name.to_owned(), None)
    }

    /// Opens a text that lies, or is going to lie, in a folder: files that it names are
    /// looked for there.
    ///
    /// # Errors
    /// [`VenueError`] as [`super::parse_in`] has it.
    pub fn parse_in(text: &str, name: &str, folder: Option<&Path>) -> Result<Self, VenueError> {
        Self::open(text, name.to_owned(), folder.map(Path::to_owned))
    }

    fn open(text: &str, name: String, folder: Option<PathBuf>) -> Result<Self, VenueError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        if read::is_site(text) {
            return Err(VenueError::SiteNotOpened { name });
        }
        read::parse_in(text, &name, folder.as_deref())?;
        let document = edit::document(text, &name)?;
        let values = read::tree(text).value;
        let entries = catalog::entries(&values);
        Ok(Self { name, folder, document, values, entries })
    }

    /// What messages call the file.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The folder of the file; `None` for a text without one.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// The text as it is now.
    pub fn text(&self) -> String {
        self.document.to_string()
    }

    /// The whole file as JSON.
    pub fn values(&self) -> &Value {
        &self.values
    }

    /// The address of a number by the path of its key, `stand[0].roof.gap_m`.
    pub fn address_at(&self, key: &str) -> Option<&Address> {
        self.entries.iter().find(|entry| entry.key_path() == key).map(|entry| &entry.address)
    }

    /// Reads the text as it is now.
    ///
    /// # Errors
    /// [`VenueError`] where the changes have made something impossible.
    pub fn venue(&self) -> Result<Venue, VenueError> {
        read::parse_in(&self.text(), &self.name, self.folder())
    }

    /// Every length and angle of the ground that the file states, or leaves to a
    /// usual value, in the order of the kinds of tables.
    pub fn dimensions(&self) -> Vec<Dimension> {
        let text = self.text();
        let tree = read::tree(&text);
        let line = |entry: &Entry| {
            let start = tree.value_place(&entry.key_path())?.start;
            Some(1 + text[..start.min(text.len())].matches('\n').count())
        };
        let dimension = |entry: &Entry| {
            Some(Dimension {
                address: entry.address.clone(),
                key: entry.key_path(),
                unit: entry.unit,
                value: self.now(entry)?,
                limits: entry.limits,
                line: line(entry),
            })
        };
        self.entries.iter().filter_map(dimension).collect()
    }

    /// One number, in the unit of its key.
    ///
    /// # Errors
    /// [`DraftError::NoSuchDimension`], which names what is near.
    pub fn value(&self, address: &Address) -> Result<f64, DraftError> {
        let entry = self.entry(address)?;
        self.now(entry).ok_or_else(|| self.unknown(address))
    }

    /// Unit of a number.
    ///
    /// # Errors
    /// [`DraftError::NoSuchDimension`], which names what is near.
    pub fn unit(&self, address: &Address) -> Result<Unit, DraftError> {
        self.entry(address).map(|entry| entry.unit)
    }

    /// Least and most that the file may say, in the unit of the key.
    ///
    /// # Errors
    /// [`DraftError::NoSuchDimension`], which names what is near.
    pub fn limits(&self, address: &Address) -> Result<(f64, f64), DraftError> {
        self.entry(address).map(|entry| entry.limits)
    }

    /// Changes one number; comments stay. A number that the file leaves to its
    /// usual value gets a line of its own. Whether the ground is still possible is
    /// for [`Draft::venue`] to say.
    ///
    /// # Errors
    /// [`DraftError`].
    pub fn set(&mut self, address: &Address, value: f64) -> Result<(), DraftError> {
        if !value.is_finite() {
            return Err(DraftError::NotANumber { address: address.clone(), value });
        }
        let entry = self.entry(address)?.clone();
        if !edit::set(&mut self.document, &entry.steps, value) {
            let (address, file) = (address.clone(), self.name.clone());
            return Err(DraftError::OutOfReach { address, file });
        }
        vary::put(&mut self.values, &entry.steps, value);
        Ok(())
    }

    /// Writes down where a number comes from: in place of what the file says of
    /// the same number, else at the end.
    ///
    /// # Errors
    /// [`DraftError::NoSuchDimension`], which names what is near.
    pub fn set_surveyed(&mut self, survey: &Surveyed) -> Result<(), DraftError> {
        self.entry(&survey.what)?;
        edit::set_surveyed(&mut self.document, survey);
        self.values = read::tree(&self.text()).value;
        Ok(())
    }

    /// Venues that differ in the numbers named.
    ///
    /// # Errors
    /// [`DraftError::NoSuchDimension`], which names what is near.
    pub fn variants(&self, addresses: &[Address]) -> Result<Variants, DraftError> {
        let entries = addresses.iter().map(|a| self.entry(a).cloned());
        let entries = entries.collect::<Result<_, _>>()?;
        Ok(Variants::new(&self.values, entries, self.folder()))
    }

    fn now(&self, entry: &Entry) -> Option<f64> {
        entry.stated(&self.values).or(entry.usual)
    }

    fn entry(&self, address: &Address) -> Result<&Entry, DraftError> {
        catalog::find(&self.entries, address).ok_or_else(|| self.unknown(address))
    }

    fn unknown(&self, address: &Address) -> DraftError {
        DraftError::NoSuchDimension {
            address: address.clone(),
            file: self.name.clone(),
            help: catalog::near(&self.entries, address),
        }
    }
}

/// Notes addresses of `[[surveyed]]` that name nothing in the file.
pub(super) fn check_addresses(root: &Value, surveyed: &[Surveyed], problems: &mut Problems) {
    if surveyed.is_empty() {
        return;
    }
    let entries = catalog::entries(root);
    for (i, survey) in surveyed.iter().enumerate() {
        if catalog::find(&entries, &survey.what).is_none() {
            problems.add_with_help(
                format!("surveyed[{i}].what"),
                format!("`{}`", survey.what),
                "the address of a length or angle in this file",
                catalog::near(&entries, &survey.what),
            );
        }
    }
}
