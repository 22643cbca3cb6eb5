//! From a path or a text to a [`Venue`].
//!
//! In: TOML. Out: a venue, or a [`VenueError`] that shows everything found
//! wrong: syntax; keys, types and ranges against the schema; what numbers mean
//! together. A later kind of check runs only when the earlier ones are clean,
//! since it could only repeat them.

use std::path::Path;

use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use serde_json::Value;
use toml::de::{DeTable, DeValue};

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::limits::{MAX_FIELDS, MAX_NAME, MAX_VENUE_BYTES};
use crate::venue::build::{Beside, MeshFiles, beside_field, build, build_site};
use crate::venue::draft::{FieldPart, check_addresses, values_of_field};
use crate::venue::error::{FileKind, Mistakes, VenueError};
use crate::venue::file::{SiteFile, VenueFile};
use crate::venue::model::Venue;
use crate::venue::problem::{Problem, Problems};
use crate::venue::shape::FileSchema;
use crate::venue::site::{Site, VenueOrSite};
use crate::venue::sizes::limits;
use crate::venue::slip;
use crate::venue::tree::TomlTree;

/// Reads and checks a venue file.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn read(path: &Path) -> Result<Venue, VenueError> {
    let (text, name) = text_of(FileKind::Venue, path)?;
    parse_in(&text, &name, path.parent())
}

/// The same of a file that may be that of a site: with the name of the field that is meant,
/// which may be left open where there is one only.
///
/// # Errors
/// [`VenueError`], which lists all problems, or the fields to choose from.
pub fn read_field(path: &Path, field: Option<&str>) -> Result<Venue, VenueError> {
    let name = path.display().to_string();
    chosen(read_all(path)?, &name, field)
}

/// Reads and checks a venue file or the file of a site, with all fields.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn read_all(path: &Path) -> Result<VenueOrSite, VenueError> {
    let (text, name) = text_of(FileKind::Venue, path)?;
    build_from(&text, &name, MeshFiles::in_folder(path.parent()))
}

fn chosen(grounds: VenueOrSite, name: &str, field: Option<&str>) -> Result<Venue, VenueError> {
    let site = match (grounds, field) {
        (VenueOrSite::One(venue), None) => return Ok(*venue),
        (VenueOrSite::One(_), Some(asked)) => {
            return Err(VenueError::NoFields { name: name.to_owned(), asked: asked.to_owned() });
        }
        (VenueOrSite::Site(site), _) => site,
    };
    let known: Vec<String> = site.fields.iter().map(|field| field.name.clone()).collect();
    let one = site.fields.len() == 1;
    let meant = |known: &str| field.map_or(one, |asked| known == asked.trim());
    let found = site.fields.into_iter().find(|field| meant(&field.name));
    found.map(|field| field.venue).ok_or_else(|| VenueError::WhichField {
        name: name.to_owned(),
        asked: field.map(str::to_owned),
        known,
    })
}

/// Whether a file is that of a site; not where it cannot be read, which its reader reports.
#[cfg(feature = "cli")]
pub(crate) fn is_site_file(path: &Path) -> bool {
    text_of(FileKind::Venue, path).is_ok_and(|(text, _)| is_site(&text))
}

/// Whether a text is that of a site: one with `[[field]]`.
pub(super) fn is_site(text: &str) -> bool {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (root, _) = DeTable::parse_recoverable(text);
    matches!(root.get_ref().get("field").map(|field| field.get_ref()), Some(DeValue::Array(_)))
}

/// The text of a file, and what messages call it.
pub(crate) fn text_of(kind: FileKind, path: &Path) -> Result<(String, String), VenueError> {
    let named = path.to_owned();
    let bytes = match bounded::read(path, MAX_VENUE_BYTES) {
        Ok(Bounded::Whole(bytes)) => bytes,
        Ok(Bounded::Larger { bytes }) => {
            return Err(VenueError::TooLarge { kind, path: named, bytes, limit: MAX_VENUE_BYTES });
        }
        Ok(Bounded::Folder) => return Err(VenueError::Folder { kind, path: named }),
        Err(cause) => return Err(VenueError::Unreadable { kind, path: named, cause }),
    };
    let name = path.display().to_string();
    match String::from_utf8(bytes) {
        Ok(text) => Ok((text, name)),
        Err(error) => {
            let offset = error.utf8_error().valid_up_to();
            let line = 1 + error.as_bytes()[..offset].iter().filter(|b| **b == b'\n').count();
            Err(VenueError::Encoding { name, offset, line })
        }
    }
}

/// Reads and checks the text of a venue file; `name` is what messages call it. A text
/// lies in no folder, so it may name no mesh file.
///
/// ```
/// let error = quarterstop::venue::parse("title = 7\n", "ground.toml").unwrap_err();
/// let text = error.to_string();
/// assert!(text.contains("title: found 7") && text.contains("text in quotes"));
/// assert!(text.contains("place: found nothing"));
/// ```
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn parse(text: &str, name: &str) -> Result<Venue, VenueError> {
    parse_in(text, name, None)
}

/// The same for a text that lies, or is going to lie, in a folder: files that it names
/// are looked for there.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn parse_in(text: &str, name: &str, folder: Option<&Path>) -> Result<Venue, VenueError> {
    parse_field_in(text, name, folder, None)
}

/// The same of a text that may be that of a site, as [`read_field`] has it.
///
/// # Errors
/// [`VenueError`], which lists all problems, or the fields to choose from.
pub fn parse_field_in(
    text: &str,
    name: &str,
    folder: Option<&Path>,
    field: Option<&str>,
) -> Result<Venue, VenueError> {
    chosen(build_from(text, name, MeshFiles::in_folder(folder))?, name, field)
}

/// Which field of a site a sound text is asked for; `None` of a file of one field.
pub(super) fn part_in(
    text: &str,
    name: &str,
    folder: Option<&Path>,
    field: Option<&str>,
) -> Result<Option<FieldPart>, VenueError> {
    let grounds = build_from(text, name, MeshFiles::in_folder(folder))?;
    let all: Vec<String> = match &grounds {
        VenueOrSite::One(_) => Vec::new(),
        VenueOrSite::Site(site) => site.fields.iter().map(|field| field.name.clone()).collect(),
    };
    chosen(grounds, name, field)?;
    let meant = |known: &&String| field.is_none_or(|asked| *known == asked.trim());
    let index = all.iter().position(|known| meant(&known));
    Ok(index.map(|index| FieldPart { name: all[index].clone(), index, all }))
}

/// All that stands on a sound site but what belongs to one field.
pub(super) fn beside_in(
    text: &str,
    name: &str,
    folder: Option<&Path>,
    index: usize,
) -> Option<Beside> {
    let (file, _) = TomlText::read::<SiteFile>(FileKind::Venue, text, name).ok()?;
    beside_field(&file, MeshFiles::in_folder(folder), index)
}

/// The same of a text that may be that of a site, with all fields.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn parse_all(text: &str, name: &str, folder: Option<&Path>) -> Result<VenueOrSite, VenueError> {
    build_from(text, name, MeshFiles::in_folder(folder))
}

/// Checks a text that was made from a sound venue without touching its meshes, whose
/// files are not read again.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub(crate) fn check_text(text: &str, name: &str) -> Result<(), VenueError> {
    build_from(text, name, MeshFiles::Trusted).map(|_| ())
}

fn build_from(text: &str, name: &str, files: MeshFiles) -> Result<VenueOrSite, VenueError> {
    if is_site(text) {
        return site_from(text, name, files).map(VenueOrSite::Site);
    }
    let (file, sheet, unknown) = TomlText::read_on::<VenueFile>(FileKind::Venue, text, name)?;
    let mut problems = Problems::default();
    limits(&file, &mut problems);
    if problems.is_empty()
        && let Some(venue) = build(&file, files, &mut problems)
    {
        check_addresses(sheet.values(), &venue.surveyed, &mut problems);
        if problems.is_empty() && unknown.is_empty() {
            return Ok(VenueOrSite::One(Box::new(venue)));
        }
    }
    Err(sheet.error(together(unknown, problems)))
}

/// Unknown keys with what else is wrong, but for keys that are missing beside them: an unknown
/// one may well be meant for it.
fn together(unknown: Vec<Problem>, problems: Problems) -> Vec<Problem> {
    let table = |problem: &Problem| {
        let end = problem.key.rfind('.').unwrap_or(0);
        problem.key.get(..end).map(str::to_owned)
    };
    let tables: Vec<_> = unknown.iter().map(table).collect();
    let mut list = problems.into_list();
    list.retain(|problem| !(problem.found == "nothing" && tables.contains(&table(problem))));
    unknown.into_iter().chain(list).collect()
}

fn site_from(text: &str, name: &str, files: MeshFiles) -> Result<Site, VenueError> {
    let (file, sheet, unknown) = TomlText::read_on::<SiteFile>(FileKind::Venue, text, name)?;
    let mut problems = Problems::default();
    if file.field.len() > MAX_FIELDS {
        let found = format!("{} of them", file.field.len());
        problems.add("field", found, format!("at most {MAX_FIELDS}"));
    }
    let site = problems.is_empty().then(|| build_site(&file, files, limits, &mut problems));
    for (i, field) in site.iter().flatten().flat_map(|site| &site.fields).enumerate() {
        let mut found = Problems::default();
        let values = values_of_field(sheet.values(), i);
        check_addresses(&values, &field.venue.surveyed, &mut found);
        for mut problem in found.into_list() {
            problem.key = format!("field[{i}].{}", problem.key);
            problems.push(problem);
        }
    }
    match site.flatten() {
        Some(site) if problems.is_empty() && unknown.is_empty() => Ok(site),
        _ => Err(sheet.error(together(unknown, problems))),
    }
}

/// A text of TOML that fits its schema, kept to show problems at their lines.
pub(crate) struct TomlText {
    kind: FileKind,
    name: String,
    text: String,
    tree: TomlTree,
}

impl TomlText {
    /// Reads a text and holds it to the schema of its type.
    ///
    /// # Errors
    /// [`VenueError`], which lists all problems.
    pub(crate) fn read<T: DeserializeOwned + JsonSchema + 'static>(
        kind: FileKind,
        text: &str,
        name: &str,
    ) -> Result<(T, Self), VenueError> {
        let (file, sheet, unknown) = Self::read_on(kind, text, name)?;
        if unknown.is_empty() { Ok((file, sheet)) } else { Err(sheet.error(unknown)) }
    }

    /// The same for who has more to look for in the file: where nothing but unknown keys is
    /// wrong it is read without them, and they are handed on, to be reported with the rest.
    ///
    /// # Errors
    /// [`VenueError`], which lists all problems.
    fn read_on<T: DeserializeOwned + JsonSchema + 'static>(
        kind: FileKind,
        text: &str,
        name: &str,
    ) -> Result<(T, Self, Vec<Problem>), VenueError> {
        // editors of some systems put a mark in front of UTF-8
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        if text.trim().is_empty() {
            return Err(VenueError::Empty { kind, name: name.to_owned() });
        }
        let (root, faults) = DeTable::parse_recoverable(text);
        if !faults.is_empty() {
            let found = slip::problems(text, &faults, &FileSchema::of::<T>().schema);
            return Err(mistakes(kind, text, name, found));
        }
        let mut problems = Problems::default();
        let tree = TomlTree::new(&root, &mut problems);
        let found_no_numbers = !problems.is_empty();
        FileSchema::of::<T>().check(&tree.value, &mut problems);
        let sheet = Self { kind, name: name.to_owned(), text: text.to_owned(), tree };
        let mut value = sheet.tree.value.clone();
        let without = problems.only_unknown();
        for (table, key) in without.into_iter().flatten() {
            if let Some(Value::Object(table)) = value.pointer_mut(table) {
                table.remove(key);
            }
        }
        if without.is_none() {
            // a number left out for being none must not be called missing as well
            let mut list = problems.into_list();
            if found_no_numbers {
                let noted: Vec<String> =
                    list.iter().filter(|p| p.found != "nothing").map(|p| p.key.clone()).collect();
                list.retain(|p| !(p.found == "nothing" && noted.contains(&p.key)));
                list.retain(|p| {
                    !((p.found.ends_with(" value") || p.found.ends_with(" values"))
                        && noted.iter().any(|n| n.starts_with(&p.key) && *n != p.key))
                });
            }
            return Err(sheet.error(list));
        }
        match serde_json::from_value(value) {
            Ok(file) => Ok((file, sheet, problems.into_list())),
            Err(fault) => {
                problems.add(
                    "",
                    format!("a file the schema allows but the reader does not: {fault}"),
                    format!("a {kind}"),
                );
                Err(sheet.error(problems.into_list()))
            }
        }
    }

    /// The file as JSON.
    fn values(&self) -> &Value {
        &self.tree.value
    }

    /// The line of a key, counted from 1.
    pub(crate) fn line_of(&self, key: &str) -> usize {
        let begins = self.tree.key_place(key).start.min(self.text.len());
        1 + self.text.bytes().take(begins).filter(|byte| *byte == b'\n').count()
    }

    /// Problems found later, at their lines.
    pub(crate) fn error(&self, problems: Vec<Problem>) -> VenueError {
        let place = |mut problem: Problem| {
            problem.name = name_at(&self.tree.value, &problem.key);
            let span = if problem.found.starts_with("an unknown key") {
                self.tree.key_place(&problem.key)
            } else {
                self.tree.place(&problem.key)
            };
            (span, problem)
        };
        let found = problems.into_iter().map(place).collect();
        mistakes(self.kind, &self.text, &self.name, found)
    }
}

/// What the repeated table around a key is called: `stand[2].depth_m` lies in one with a
/// name, and that of a `corner` is made of those it joins.
fn name_at(file: &Value, key: &str) -> Option<String> {
    let (table, rest) = key.split_once('[')?;
    let index: usize = rest.split_once(']')?.0.parse().ok()?;
    let entry = file.get(table)?.get(index)?;
    let text = |value: &Value| Some(value.as_str()?.trim().to_owned());
    let name = match entry.get("name").or_else(|| entry.get("joins"))? {
        Value::Array(joined) => joined.iter().map(text).collect::<Option<Vec<_>>>()?.join(" to "),
        name => text(name)?,
    };
    (!name.is_empty() && name.chars().count() <= 2 * MAX_NAME).then_some(name)
}

/// A sound text as a tree with the places of its values.
pub(super) fn tree(text: &str) -> TomlTree {
    TomlTree::new(&DeTable::parse_recoverable(text).0, &mut Problems::default())
}

pub(super) fn mistakes(
    kind: FileKind,
    text: &str,
    name: &str,
    mut found: Vec<(std::ops::Range<usize>, Problem)>,
) -> VenueError {
    found.sort_by_key(|(span, _)| span.start);
    found.dedup();
    VenueError::Mistakes(Mistakes { kind, name: name.to_owned(), text: text.to_owned(), found })
}
