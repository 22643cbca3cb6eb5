//! What the sun shadows and what hides the sky.
//!
//! In: occluders of a [`crate::venue::Venue`] and a direction toward the sun,
//! local frame, metres. Out: shadow polygons on a horizontal plane, exact
//! areas (m2), the edge and its penumbra (m), and sky view factors (0 to 1).
//!
//! | question | where |
//! | --- | --- |
//! | what is in shade on this plane | [`Caster::cast`] |
//! | how much of an area that is | [`Shadow::field_share`], [`Region::share`] |
//! | where sun and shade meet, how soft | [`edge_of`] |
//! | where sun and shade change along a line, and what throws it | [`crossings_along`] |
//! | how much sky a point sees, and what hides it | [`SkyDome`] |
//! | even places of a region, and the shade there | [`SampleGrid`] |
//! | the same by what takes equal parts of a view | [`ViewCells`], [`CellShade`] |
//! | what stands around a point, direction by direction | [`Panorama`], [`sight`] |
//! | what each ray of a picture meets | [`PictureRays`] |
//! | how much of the sun's disc a place sees | [`SunDisc`] |
//!
//! Rules for polygons: outer rings anticlockwise, holes clockwise; shapes that
//! only touch are joined; pieces smaller than the grid of the overlay (under a
//! micrometre for a football field) vanish.

mod around;
mod beam;
mod boxes;
mod caster;
mod cells;
mod covered;
mod edge;
mod hull;
mod mesh;
mod obstacles;
mod overlay;
mod panorama;
mod picture_rays;
mod ray;
mod ray_grid;
mod region;
mod relief;
mod sample_grid;
mod section;
mod shadow;
mod sky;
mod sun_chords;
mod sun_disc;
mod translucent;
mod triangles;
mod union;
mod view_cells;

pub use beam::Beam;
pub use caster::{Caster, OverlayScratch};
pub use cells::CellShade;
pub use edge::{EdgeLine, edge_of, inner_lines, lines_of, penumbra_width_m};
pub use obstacles::{Obstacles, RayHits, transmission_toward};
pub use panorama::{PANORAMA_FROM_DEG, PANORAMA_STEP_DEG, Panorama, Rim, Sight, sight};
pub use picture_rays::{PictureFrame, PictureHit, PictureRays};
pub use ray::{Obstacle, RayHit};
pub use region::{Region, ZoneRegion};
pub use relief::terrain::Terrain;
pub use sample_grid::SampleGrid;
pub use section::{Crossing, EdgeOf, LevelLine, crossings_along, crossings_of};
pub use shadow::*;
pub use sky::{GroundHit, Rays, SkyDome, SkyView, Surface, SurfaceHit};
pub use sun_disc::{MeshEdges, SunDisc};
pub use view_cells::ViewCells;
