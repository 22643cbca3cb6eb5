//! Stage 5, `camera`: what a camera sees, in stops.
//!
//! In: a camera position, the field, the shadow and the light of an instant.
//! Out: the part of the field it covers, mean luminances (cd/m2) of the sunlit
//! and of the shaded part, and the split between them in stops.

mod split;

pub use split::*;
