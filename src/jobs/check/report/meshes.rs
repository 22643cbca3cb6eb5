//! What was brought in from a mesh file, and what was not.
//!
//! In: a [`MeshNote`]. Out: plain text of at most 80 columns.

use glam::DVec3;

use crate::output::text::wrapped;
use crate::output::words::counted;
use crate::venue::mesh::MeshNote;

/// More groups than this are counted, not named.
const MAX_NAMED: usize = 20;

/// Which groups are listed by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeshGroups {
    /// Those that are used and those that are left out.
    All,
    OnlyLeftOut,
}

/// The note in words.
pub fn text(note: &MeshNote, groups: MeshGroups) -> String {
    let mut text = wrapped(
        "  ",
        &format!(
            "mesh {} from {}: {}, {}",
            note.name,
            note.file,
            counted(note.triangles, "triangle", "triangles"),
            pieces(note)
        ),
    );
    text += &wrapped("    ", &format!("in its file's axes {}", size(note.file_box_m)));
    let field = note.field_box.map(|p| DVec3::new(p.along_m, p.across_m, p.up_m));
    text += &wrapped(
        "    ",
        &format!(
            "at the field {}, {} and {}",
            range(field[0].x, field[1].x, "along"),
            range(field[0].y, field[1].y, "across"),
            range(field[0].z, field[1].z, "up")
        ),
    );
    if groups == MeshGroups::All {
        text += &named("used", &note.groups);
    }
    text += &named("left out as asked", &note.left_out);
    let skipped: Vec<String> =
        note.skipped.kinds().map(|(what, count)| format!("{what} ({count})")).collect();
    if !skipped.is_empty() {
        text += &wrapped("    ", &format!("not used: {}", skipped.join(", ")));
    }
    text
}

fn pieces(note: &MeshNote) -> String {
    match (note.closed_pieces, note.open_pieces) {
        (closed, 0) => counted(closed, "closed piece", "closed pieces"),
        (0, open) => counted(open, "open piece", "open pieces"),
        (closed, open) => format!(
            "{} and {}",
            counted(closed, "closed piece", "closed pieces"),
            counted(open, "open one", "open ones")
        ),
    }
}

fn size([low, high]: [DVec3; 2]) -> String {
    let size = high - low;
    format!("{:.2} x {:.2} x {:.2} m", size.x, size.y, size.z)
}

fn range(low: f64, high: f64, axis: &str) -> String {
    // a zero has no sign
    let [low, high] = [low, high].map(|v| (v * 100.0).round() / 100.0 + 0.0);
    format!("{low:.2} to {high:.2} m {axis}")
}

fn named(what: &str, groups: &[(String, usize)]) -> String {
    if groups.is_empty() {
        return String::new();
    }
    let mut names: Vec<String> = groups
        .iter()
        .take(MAX_NAMED)
        .map(|(name, triangles)| format!("{name} ({triangles})"))
        .collect();
    if groups.len() > MAX_NAMED {
        names.push(format!("and {} more", groups.len() - MAX_NAMED));
    }
    let count = counted(groups.len(), "group", "groups");
    wrapped("    ", &format!("{what}: {count} with triangles: {}", names.join(", ")))
}
