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
use toml::de::DeTable;

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::limits::{
    MAX_CAMERAS, MAX_CORNERS, MAX_MESHES, MAX_MOVES, MAX_MOVING, MAX_NAME, MAX_STATES,
    MAX_SURVEYED, MAX_THINGS, MAX_VENUE_BYTES,
};
use crate::venue::build::{MeshFiles, build};
use crate::venue::draft::check_addresses;
use crate::venue::error::{FileKind, Mistakes, VenueError};
use crate::venue::file::{GrandstandTable, VenueFile};
use crate::venue::model::Venue;
use crate::venue::problem::{Problem, Problems};
use crate::venue::tree::Tree;
use crate::venue::{shape, slip};

/// Reads and checks a venue file.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn read(path: &Path) -> Result<Venue, VenueError> {
    let (text, name) = text_of(FileKind::Venue, path)?;
    parse_in(&text, &name, path.parent())
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

fn build_from(text: &str, name: &str, files: MeshFiles) -> Result<Venue, VenueError> {
    let (file, sheet) = Sheet::read::<VenueFile>(FileKind::Venue, text, name)?;
    let mut problems = Problems::default();
    limits(&file, &mut problems);
    if problems.is_empty()
        && let Some(venue) = build(&file, files, &mut problems)
    {
        check_addresses(sheet.values(), &venue.surveyed, &mut problems);
        if problems.is_empty() {
            return Ok(venue);
        }
    }
    Err(sheet.error(problems.into_list()))
}

/// A text of TOML that fits its schema, kept to show problems at their lines.
pub(crate) struct Sheet {
    kind: FileKind,
    name: String,
    text: String,
    tree: Tree,
}

impl Sheet {
    /// Reads a text and holds it to the schema of its type.
    ///
    /// # Errors
    /// [`VenueError`], which lists all problems.
    pub(crate) fn read<T: DeserializeOwned + JsonSchema>(
        kind: FileKind,
        text: &str,
        name: &str,
    ) -> Result<(T, Self), VenueError> {
        // editors of some systems put a mark in front of UTF-8
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        if text.trim().is_empty() {
            return Err(VenueError::Empty { kind, name: name.to_owned() });
        }
        let (root, faults) = DeTable::parse_recoverable(text);
        if !faults.is_empty() {
            let found = slip::problems(text, &faults, &shape::schema_of::<T>());
            return Err(mistakes(kind, text, name, found));
        }
        let mut problems = Problems::default();
        let tree = Tree::new(&root, &mut problems);
        let found_no_numbers = !problems.is_empty();
        shape::check(&tree.value, &shape::schema_of::<T>(), &mut problems);
        let sheet = Self { kind, name: name.to_owned(), text: text.to_owned(), tree };
        if !problems.is_empty() {
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
        match serde_json::from_value(sheet.tree.value.clone()) {
            Ok(file) => Ok((file, sheet)),
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
pub(super) fn tree(text: &str) -> Tree {
    Tree::new(&DeTable::parse_recoverable(text).0, &mut Problems::default())
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

/// Sizes that keep a slip or a hostile file from taking hours.
fn limits(file: &VenueFile, problems: &mut Problems) {
    let segments = file.bowl.iter().map(|b| b.segments as usize).sum::<usize>();
    let bays = |stand: &GrandstandTable| {
        let line = stand.line.as_ref().map_or(0, Vec::len);
        let bays = line + stand.arc.as_ref().map_or(0, |arc| arc.bays as usize);
        let points: usize = stand.layer.iter().map(|layer| layer.profile.len()).sum();
        let holes: usize = stand.layer.iter().map(|layer| layer.opening.len()).sum();
        (bays + 2 * holes) * (points + 2 * holes) + stand.end.len()
    };
    let things = [
        ("grandstand", file.grandstand.iter().map(bays).sum()),
        ("stand", file.stand.len()),
        ("corner", file.corner.len()),
        ("solid", file.solid.len()),
        ("tree", file.tree.len()),
        ("panel", file.panel.len()),
        ("mesh", file.mesh.len()),
        ("bowl", segments),
    ];
    let occluders = things.iter().map(|(_, count)| count).sum::<usize>();
    if occluders > MAX_THINGS {
        let most = things.iter().max_by_key(|(_, count)| *count).map_or("solid", |(key, _)| *key);
        problems.add(
            most,
            format!("{occluders} stands, corners, solids, trees, panels, meshes and segments"),
            format!("at most {MAX_THINGS} in all"),
        );
    }
    let mut most = |key: &str, count: usize, limit: usize| {
        if count > limit {
            problems.add(key, format!("{count} of them"), format!("at most {limit}"));
        }
    };
    most("mesh", file.mesh.len(), MAX_MESHES);
    most("moving", file.moving.len(), MAX_MOVING);
    most("move", file.moves.len(), MAX_MOVES);
    for (i, moving) in file.moving.iter().enumerate() {
        most(&format!("moving[{i}].state"), moving.state.len(), MAX_STATES);
        for (j, state) in moving.state.iter().enumerate() {
            most(&format!("moving[{i}].state[{j}].part"), state.part.len(), MAX_CORNERS);
            for (k, part) in state.part.iter().enumerate() {
                let corners = part.corners.as_ref().map_or(0, Vec::len);
                let key = format!("moving[{i}].state[{j}].part[{k}].corners");
                most(&key, corners, MAX_CORNERS);
            }
        }
    }
    most("camera", file.camera.len(), MAX_CAMERAS);
    most("surveyed", file.surveyed.len(), MAX_SURVEYED);
    most("field.corners", file.field.corners.as_ref().map_or(0, Vec::len), MAX_CORNERS);
    for (i, zone) in file.zone.iter().enumerate() {
        most(&format!("zone[{i}].corners"), zone.corners.len(), MAX_CORNERS);
    }
    for (i, solid) in file.solid.iter().enumerate() {
        most(
            &format!("solid[{i}].footprint"),
            solid.footprint.as_ref().map_or(0, Vec::len),
            MAX_CORNERS,
        );
    }
    for (i, panel) in file.panel.iter().enumerate() {
        most(&format!("panel[{i}].corners"), panel.corners.len(), MAX_CORNERS);
    }
    for (i, camera) in file.camera.iter().enumerate() {
        most(&format!("camera[{i}].looks_at"), camera.looks_at.len(), MAX_CORNERS);
        most(&format!("camera[{i}].aim"), camera.aim.len(), MAX_CORNERS);
    }
    most("candidate", file.candidate.len(), MAX_CAMERAS);
    for (i, candidate) in file.candidate.iter().enumerate() {
        let key = format!("candidate[{i}]");
        most(&format!("{key}.looks_at"), candidate.looks_at.len(), MAX_CORNERS);
        most(&format!("{key}.aim"), candidate.aim.len(), MAX_CORNERS);
        most(&format!("{key}.deck"), candidate.deck.as_ref().map_or(0, Vec::len), MAX_CORNERS);
    }
    names(file, problems);
}

fn names(file: &VenueFile, problems: &mut Problems) {
    let mut check = |key: String, name: &str| {
        if name.chars().count() > MAX_NAME || name.chars().any(char::is_control) {
            problems.add(
                key,
                "a name that does not fit",
                format!("up to {MAX_NAME} characters on one line"),
            );
        }
    };
    check("title".into(), &file.title);
    let tables = [
        ("zone", file.zone.iter().map(|t| &t.name).collect::<Vec<_>>()),
        ("stand", file.stand.iter().map(|t| &t.name).collect()),
        ("bowl", file.bowl.iter().map(|t| &t.name).collect()),
        ("grandstand", file.grandstand.iter().map(|t| &t.name).collect()),
        ("solid", file.solid.iter().map(|t| &t.name).collect()),
        ("tree", file.tree.iter().map(|t| &t.name).collect()),
        ("panel", file.panel.iter().map(|t| &t.name).collect()),
        ("mesh", file.mesh.iter().map(|t| &t.name).collect()),
        ("gantry", file.gantry.iter().map(|t| &t.name).collect()),
        ("camera", file.camera.iter().map(|t| &t.name).collect()),
        ("candidate", file.candidate.iter().map(|t| &t.name).collect()),
    ];
    for (i, moving) in file.moving.iter().enumerate() {
        check(format!("moving[{i}].name"), &moving.name);
        for (j, state) in moving.state.iter().enumerate() {
            check(format!("moving[{i}].state[{j}].name"), &state.name);
        }
    }
    for (table, names) in tables {
        for (i, name) in names.into_iter().enumerate() {
            check(format!("{table}[{i}].name"), name);
        }
    }
}
