//! A mesh file as it was read, before it is placed.
//!
//! Points are in the file's own axes and unit; nothing is welded, nothing checked
//! but that indices name points that there are.

use std::collections::{BTreeMap, HashMap};

use glam::DVec3;

use crate::base::frame::FieldPoint;
use crate::base::limits::MAX_TRIANGLES;

use super::fault::MeshFault;

/// What a file holds that is not used, and how many of each kind.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SkippedContent {
    kinds: BTreeMap<String, usize>,
}

impl SkippedContent {
    /// Counts something that is left out.
    pub fn add(&mut self, what: &str, count: usize) {
        if count > 0 {
            *self.kinds.entry(what.to_owned()).or_default() += count;
        }
    }

    /// Each kind with its number, in the order of the alphabet.
    pub fn kinds(&self) -> impl Iterator<Item = (&str, usize)> {
        self.kinds.iter().map(|(what, count)| (what.as_str(), *count))
    }

    /// Whether everything was used.
    pub fn is_empty(&self) -> bool {
        self.kinds.is_empty()
    }
}

/// What was brought in from a mesh file.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshNote {
    /// Name of the occluder.
    pub name: String,
    /// The file as the venue file names it.
    pub file: String,
    /// Triangles that are used.
    pub triangles: usize,
    /// Pieces that are closed, and that are not.
    pub closed_pieces: usize,
    pub open_pieces: usize,
    /// Groups that are used, with their triangles.
    pub groups: Vec<(String, usize)>,
    /// Groups that `only` and `without` leave out, with their triangles.
    pub left_out: Vec<(String, usize)>,
    /// Corners of the box around it in the file's own axes, its unit made metres.
    pub file_box_m: [DVec3; 2],
    /// Corners of the box around it in field axes.
    pub field_box: [FieldPoint; 2],
    /// Share of its surface in triangles whose middle lies under the plane of the field.
    pub under_ground_share: f64,
    /// What the file holds beside.
    pub skipped: SkippedContent,
}

/// Triangles of one group.
#[derive(Debug, Clone, Default)]
pub(super) struct TriangleGroup {
    /// What messages call it.
    pub name: String,
    /// Names that it goes by in `only` and `without`.
    pub names: Vec<String>,
    pub triangles: Vec<[u32; 3]>,
}

/// The whole file.
#[derive(Debug, Clone, Default)]
pub(super) struct RawMesh {
    pub points: Vec<DVec3>,
    pub groups: Vec<TriangleGroup>,
    pub skipped: SkippedContent,
    /// Triangles of all groups so far.
    count: usize,
    /// Groups by all of their names.
    index: HashMap<Vec<String>, usize>,
}

impl RawMesh {
    /// Counts triangles before they are made.
    ///
    /// # Errors
    /// [`MeshFault`] for more than a mesh may have.
    pub fn room_for(&mut self, more: usize) -> Result<(), MeshFault> {
        self.count = self.count.saturating_add(more);
        if self.count > MAX_TRIANGLES {
            return Err(MeshFault::new(
                format!("{} triangles or more", self.count),
                format!("at most {MAX_TRIANGLES}"),
            )
            .help("leave out small things such as seats and rails, or simplify the model"));
        }
        Ok(())
    }

    /// The group of these names; its triangles are added to those that it has.
    pub fn group(&mut self, name: &str, names: Vec<String>) -> &mut TriangleGroup {
        let next = self.groups.len();
        let at = *self.index.entry(names.clone()).or_insert(next);
        if at == next {
            self.groups.push(TriangleGroup { name: name.to_owned(), names, triangles: Vec::new() });
        }
        &mut self.groups[at]
    }
}
