//! What can be written: pieces of a venue file in field axes.
//!
//! Lengths are metres on whole centimetres.

use crate::base::plane::P2;

/// A point in field axes, metres: along, across, up.
pub type P3 = [f64; 3];

/// One table of a venue file.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A `[[solid]]` over a footprint.
    Prism { footprint: Vec<P2>, bottom_m: f64, top_m: f64 },
    /// A round `[[solid]]`.
    Column { centre: P2, radius_m: f64, bottom_m: f64, top_m: f64 },
    /// A `[[panel]]`.
    Panel { corners: Vec<P3> },
    /// A `[[tree]]`.
    Tree(FoundTree),
}

/// A `[[tree]]`.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundTree {
    pub at: P2,
    pub trunk_height_m: f64,
    pub trunk_radius_m: f64,
    pub crown_height_m: f64,
    pub crown_radius_m: f64,
    pub leaves: LeafSeason,
}

/// When a crown has leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeafSeason {
    /// All year.
    Always,
    /// In the northern or southern summer only.
    Northern,
    Southern,
}

/// What one shape of a feature becomes.
#[derive(Debug, Clone, PartialEq)]
pub struct Built {
    /// Place of its feature in the file.
    pub feature: usize,
    /// A wish for its name.
    pub name: String,
    pub items: Vec<Item>,
    /// Which property its height comes from.
    pub from: String,
    /// Whether its height is the assumed one.
    pub assumed: bool,
    /// What was taken for granted or made simpler, in words.
    pub simplified: Vec<String>,
}
