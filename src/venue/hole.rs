//! A hole of golf: what is played from where to where, and how the ground lies.

use glam::DVec3;

/// A hole, beside its field's outline and zones.
#[derive(Debug, Clone, Default)]
pub struct Hole {
    /// Indices into [`super::Venue::zones`].
    pub tees: Vec<usize>,
    pub fairways: Vec<usize>,
    pub green: Option<usize>,
    /// In the order of the file.
    pub shots: Vec<Shot>,
}

/// A shot that the hole is played with.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    pub name: String,
    /// On the ground, local frame, metres.
    pub from: DVec3,
    /// Where it is aimed.
    pub to: DVec3,
    /// Name of a stroke; the usual one of the ball where open.
    pub stroke: Option<String>,
}

impl super::Venue {
    /// Height of the ground over the plane of the field at a place of the local frame,
    /// metres: 0 where no heights are stated.
    pub fn ground_m(&self, x: f64, y: f64) -> f64 {
        self.relief.as_ref().map_or(0.0, |relief| relief.height_m(x, y))
    }
}
