//! Places where a camera could stand.

use glam::DVec3;

use super::model::CameraPost;

/// A wish of the planner: one more camera, and all the places it might have.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    pub name: String,
    /// Index in [`super::Venue::cameras`] of the camera that it would replace.
    pub instead_of: Option<usize>,
    pub ground: CandidateGround,
    /// At most so many of its places are in a set of positions.
    pub most: usize,
    /// A camera at each place, at least one, named after the table and counted
    /// from 1 where there are several.
    pub posts: Vec<CameraPost>,
    /// Places that were left out since they lie inside of something.
    pub left_out: usize,
}

/// What the places are on.
#[derive(Debug, Clone, PartialEq)]
pub enum CandidateGround {
    /// A single place.
    Place,
    /// From the one end to the other, local frame, metres.
    Row { from: DVec3, to: DVec3 },
    /// Corners in the local frame, metres, in one plane, and the distance between
    /// neighbours, metres.
    Deck { corners: Vec<DVec3>, spacing_m: f64 },
}
