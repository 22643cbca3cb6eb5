//! Triangle meshes: stands that somebody drew as a model.
//!
//! In: an OBJ or glTF file (points in the file's own axes and unit) and where it
//! stands. Out: [`TriangleMesh`]es in the local frame, metres, and a [`MeshNote`]
//! that says what was brought in and what was left out.
//!
//! What a mesh does to light: points nearer than 0.1 mm to each other are one; faces
//! that share edges are one piece. A piece that is closed (each of its edges is run
//! as often one way as the other) is a solid: light that passes through it is dimmed
//! once for each time it goes in and out, as by the other solids of a venue. Of a
//! piece that is not closed each face is a sheet: light is dimmed once a face,
//! from whichever side it comes. An opaque mesh shades the same either way.

mod cut;
mod fault;
mod gltf_buffers;
mod gltf_file;
mod obj_file;
mod place;
mod raw;
mod read;
mod triangles;
mod weld;

pub use fault::MeshFault;
pub use place::{MeshPlace, UpAxis};
pub use raw::{MeshNote, SkippedContent};
pub use read::{Picked, READABLE, companions, files_of, placed};
pub use triangles::{MeshSurface, TriangleMesh};
