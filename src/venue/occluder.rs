//! What stands around the field and takes light from it.
//!
//! Plain data, checked: points in the local frame (x east, y north, z up), metres;
//! transmittance and reflectance 0 to 1.

use std::sync::Arc;

use chrono::{Datelike, NaiveDate};
use glam::DVec3;

use crate::base::units::Transmittance;
use crate::venue::lattice::Lattice;
use crate::venue::mesh::TriangleMesh;

/// One thing that casts a shadow, as the venue file names it.
#[derive(Debug, Clone)]
pub struct Occluder {
    pub name: String,
    pub kind: OccluderKind,
    pub bodies: Vec<Body>,
}

/// Which table of the venue file an occluder comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OccluderKind {
    Stand,
    Corner,
    Bowl,
    Grandstand,
    Solid,
    Tree,
    Panel,
    Mesh,
}

impl OccluderKind {
    /// The key of its table, which texts call it by as well.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stand => "stand",
            Self::Corner => "corner",
            Self::Bowl => "bowl",
            Self::Grandstand => "grandstand",
            Self::Solid => "solid",
            Self::Tree => "tree",
            Self::Panel => "panel",
            Self::Mesh => "mesh",
        }
    }

    /// Whether it is a table of seats.
    pub fn is_stand(self) -> bool {
        matches!(self, Self::Stand | Self::Bowl | Self::Grandstand)
    }
}

/// One simple piece of an occluder.
#[derive(Debug, Clone)]
pub struct Body {
    pub part: Part,
    pub shape: Shape,
    /// Light that goes straight on.
    pub passes: Passes,
    /// Share of light that its surface throws back, 0 to 1.
    pub reflectance: f64,
    /// Share of the light on one side that leaves the other scattered, as from a matt
    /// surface, 0 to 1.
    pub scatters: f64,
    /// Light of its own; only of sheets.
    pub lit: Option<Lit>,
}

/// Light of its own, on one side: a screen, a board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lit {
    /// The same in all directions, cd/m2.
    pub luminance_cd_m2: f64,
    /// Correlated colour temperature, K.
    pub colour_temperature_k: f64,
    /// Out of the lit side, unit vector.
    pub toward: DVec3,
}

/// What a body is, for colours and names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    Deck,
    BackWall,
    EndWall,
    Roof,
    Solid,
    Trunk,
    Crown,
    Panel,
    Mesh,
}

impl Part {
    /// What the plans of pages draw it as: a deck with its walls is one, as all solid bodies
    /// are.
    pub fn on_plan(self) -> &'static str {
        match self {
            Self::Deck | Self::BackWall | Self::EndWall => "deck",
            Self::Roof => "roof",
            Self::Solid | Self::Trunk | Self::Mesh => "solid",
            Self::Crown => "crown",
            Self::Panel => "panel",
        }
    }
}

/// The geometry of a body.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A closed convex polyhedron. Faces are rings of indices into `vertices`,
    /// anticlockwise seen from outside.
    Convex { vertices: Vec<DVec3>, faces: Vec<Vec<usize>> },
    /// One planar polygon without thickness, convex or not, not crossing itself.
    Sheet { corners: Vec<DVec3> },
    /// Triangles, closed or not; shared, since it may be large.
    Mesh(Arc<TriangleMesh>),
}

impl Shape {
    /// All corner points.
    pub fn points(&self) -> &[DVec3] {
        match self {
            Shape::Convex { vertices, .. } => vertices,
            Shape::Sheet { corners } => corners,
            Shape::Mesh(mesh) => mesh.vertices(),
        }
    }
}

/// How much light a body lets through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Passes {
    /// The same all year.
    Always(Transmittance),
    /// A tree that drops its leaves.
    Leaves(Leaves),
    /// Bars, the same all year.
    Lattice(Lattice),
}

/// What a body lets through straight on, on one date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Through {
    /// The same in all directions.
    Evenly(Transmittance),
    /// Between bars.
    Between(Lattice),
}

impl Through {
    /// Along a direction, unit vector, either way.
    pub fn toward(&self, direction: DVec3) -> Transmittance {
        match self {
            Self::Evenly(t) => *t,
            Self::Between(lattice) => lattice.toward(direction),
        }
    }

    /// In the direction in which most passes: of a lattice square on.
    pub fn most(&self) -> Transmittance {
        match self {
            Self::Evenly(t) => *t,
            Self::Between(lattice) => Transmittance::from_share(lattice.openness),
        }
    }
}

impl From<Transmittance> for Through {
    fn from(t: Transmittance) -> Self {
        Self::Evenly(t)
    }
}

impl Passes {
    /// Whether nothing passes at some time of the year.
    pub fn is_ever_opaque(&self) -> bool {
        match self {
            Passes::Always(t) => t.is_opaque(),
            Passes::Leaves(leaves) => leaves.in_leaf.is_opaque() || leaves.bare.is_opaque(),
            Passes::Lattice(_) => false,
        }
    }

    /// What passes on a date.
    pub fn through(&self, date: NaiveDate) -> Through {
        match self {
            Passes::Always(t) => Through::Evenly(*t),
            Passes::Leaves(leaves) if leaves.in_leaf_on(date) => Through::Evenly(leaves.in_leaf),
            Passes::Leaves(leaves) => Through::Evenly(leaves.bare),
            Passes::Lattice(lattice) => Through::Between(*lattice),
        }
    }

    /// The transmittance on a date, of a lattice square on.
    pub fn on(&self, date: NaiveDate) -> Transmittance {
        self.through(date).most()
    }
}

/// Seasonal transmittance of a crown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leaves {
    pub in_leaf: Transmittance,
    pub bare: Transmittance,
    /// First day in leaf (month, day).
    pub from: (u32, u32),
    /// Last day in leaf (month, day); before `from` in the southern hemisphere.
    pub to: (u32, u32),
}

impl Leaves {
    fn in_leaf_on(&self, date: NaiveDate) -> bool {
        let day = (date.month(), date.day());
        if self.from <= self.to {
            self.from <= day && day <= self.to
        } else {
            day >= self.from || day <= self.to
        }
    }
}
