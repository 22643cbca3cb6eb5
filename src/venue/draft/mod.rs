//! A venue file that can be changed: the text with its comments and order, and
//! the numbers in it by name. Of a site it is one field that is changed, by the addresses that
//! a file of its own would have.
//!
//! In: a venue file, addresses, numbers in the unit of their key. Out: the
//! changed text, and the [`Venue`] that it stands for, read by the same reader as
//! any file. [`Variants`] gives many venues that differ in a few numbers, faster
//! than text can be read.

mod address;
mod catalog;
mod edit;
mod part;
mod vary;

use std::path::{Path, PathBuf};

use serde_json::Value;
use toml_edit::DocumentMut;

use super::error::{FileKind, VenueError};
use super::model::Venue;
use super::problem::Problems;
use super::read;
use super::surveyed::Surveyed;
use catalog::CatalogEntry;
pub(crate) use catalog::Step;
#[cfg(feature = "serve")]
pub(crate) use edit::item_at;

pub use address::{Address, NoAddress};
pub use catalog::Unit;
pub(in crate::venue) use part::of_field as values_of_field;
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
    /// The same as JSON, kept in step; of a site as a file of the field alone.
    values: Value,
    entries: Vec<CatalogEntry>,
    /// The field of a site.
    part: Option<FieldPart>,
    /// Names of what moves, and the states in which it is held.
    held: Vec<(String, String)>,
}

/// A field of a site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldPart {
    pub name: String,
    /// In the file of the site.
    pub index: usize,
    /// Names of all fields.
    pub all: Vec<String>,
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
        Self::read_field(path, None)
    }

    /// The same of a file that may be that of a site, with the name of the field that is meant.
    ///
    /// # Errors
    /// [`VenueError`] as [`super::read_field`] has it.
    pub fn read_field(path: &Path, field: Option<&str>) -> Result<Self, VenueError> {
        let (text, name) = read::text_of(FileKind::Venue, path)?;
        Self::open(&text, name, path.parent().map(Path::to_owned), field)
    }

    /// Opens the text of a venue file; `name` is what messages call it.
    ///
    /// # Errors
    /// [`VenueError`] as [`super::parse`] has it.
    pub fn parse(text: &str, name: &str) -> Result<Self, VenueError> {
        Self::open(text, name.to_owned(), None, None)
    }

    /// Opens a text that lies, or is going to lie, in a folder: files that it names are
    /// looked for there.
    ///
    /// # Errors
    /// [`VenueError`] as [`super::parse_in`] has it.
    pub fn parse_in(text: &str, name: &str, folder: Option<&Path>) -> Result<Self, VenueError> {
        Self::open(text, name.to_owned(), folder.map(Path::to_owned), None)
    }

    /// The same of a text that may be that of a site, with the name of the field that is meant.
    ///
    /// # Errors
    /// [`VenueError`] as [`super::read_field`] has it.
    pub fn parse_field_in(
        text: &str,
        name: &str,
        folder: Option<&Path>,
        field: Option<&str>,
    ) -> Result<Self, VenueError> {
        Self::open(text, name.to_owned(), folder.map(Path::to_owned), field)
    }

    fn open(
        text: &str,
        name: String,
        folder: Option<PathBuf>,
        field: Option<&str>,
    ) -> Result<Self, VenueError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let part = read::part_in(text, &name, folder.as_deref(), field)?;
        let document = edit::document(text, &name)?;
        let values = Self::values_of(text, part.as_ref());
        let entries = catalog::entries(&values);
        Ok(Self { name, folder, document, values, entries, part, held: Vec::new() })
    }

    /// Holds what moves in states, by names, in every venue that is read from now on; names that
    /// the venue does not have hold nothing.
    pub fn hold(&mut self, states: &[(String, String)]) {
        self.held = states.to_vec();
    }

    fn values_of(text: &str, part: Option<&FieldPart>) -> Value {
        let values = read::tree(text).value;
        part.map_or(values.clone(), |part| part::of_field(&values, part.index))
    }

    /// The field of a site that this is; `None` of a file of one field.
    pub fn part(&self) -> Option<&FieldPart> {
        self.part.as_ref()
    }

    /// Where in the text steps of the field's own file lead.
    pub(crate) fn in_text(&self, steps: &[Step]) -> Vec<Step> {
        match self.part {
            Some(_) => self.in_site(steps, &read::tree(&self.text()).value),
            None => steps.to_vec(),
        }
    }

    fn in_site(&self, steps: &[Step], site: &Value) -> Vec<Step> {
        match (&self.part, steps.split_first()) {
            (Some(part), Some((Step::Key(table), rest))) => {
                [&part::home(site, part.index, table), rest].concat()
            }
            _ => steps.to_vec(),
        }
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

    /// The whole file as JSON; of a site as a file of the field would say it.
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
        self.reread(&self.text())
    }

    /// Reads another text in its place, of a site the same field.
    ///
    /// # Errors
    /// [`VenueError`] with all problems of that text.
    pub fn reread(&self, text: &str) -> Result<Venue, VenueError> {
        let field = self.part.as_ref().map(|part| part.name.as_str());
        let venue = read::parse_field_in(text, &self.name, self.folder(), field)?;
        let hold = |venue: Venue, (name, state): &(String, String)| {
            venue.held_by_name(name, state).unwrap_or(venue)
        };
        Ok(self.held.iter().fold(venue, hold))
    }

    /// Every length and angle of the ground that the file states, or leaves to a
    /// usual value, in the order of the kinds of tables.
    pub fn dimensions(&self) -> Vec<Dimension> {
        let text = self.text();
        let tree = read::tree(&text);
        let line = |entry: &CatalogEntry| {
            let key = catalog::key_path(&self.in_site(&entry.steps, &tree.value));
            let start = tree.value_place(&key)?.start;
            Some(1 + text[..start.min(text.len())].matches('\n').count())
        };
        let dimension = |entry: &CatalogEntry| {
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
        let way = self.in_text(&entry.steps);
        if !edit::set(&mut self.document, &way, value) {
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
        let home = self.in_text(&[Step::Key("surveyed".into())]);
        edit::set_surveyed(&mut self.document, &home, survey);
        self.values = Self::values_of(&self.text(), self.part.as_ref());
        Ok(())
    }

    /// Venues that differ in the numbers named.
    ///
    /// # Errors
    /// [`DraftError::NoSuchDimension`], which names what is near.
    pub fn variants(&self, addresses: &[Address]) -> Result<Variants, DraftError> {
        let entries = addresses.iter().map(|a| self.entry(a).cloned());
        let entries = entries.collect::<Result<_, _>>()?;
        let beside = self
            .part
            .as_ref()
            .and_then(|part| read::beside_in(&self.text(), &self.name, self.folder(), part.index));
        Ok(Variants::new(&self.values, entries, self.folder(), beside.unwrap_or_default()))
    }

    fn now(&self, entry: &CatalogEntry) -> Option<f64> {
        entry.stated(&self.values).or(entry.usual)
    }

    fn entry(&self, address: &Address) -> Result<&CatalogEntry, DraftError> {
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
