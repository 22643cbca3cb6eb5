//! Stage 3, `geometry`: what the sun shadows and what hides the sky.
//!
//! In: occluders of a [`crate::venue::Venue`] and a direction toward the sun,
//! local frame, metres. Out: shadow polygons on a horizontal plane, exact
//! areas, the edge, penumbra widths and sky view factors (0 to 1).

mod shadow;

pub use shadow::*;
