//! Stage 5, `camera`: what a camera sees, in stops.
//!
//! In: a camera position, the field, the shadow and the light of an instant.
//! Out: the part of the field it covers (local frame, m2), mean light (lx) and
//! luminance (cd/m2) of the sunlit and of the shaded part, and the split between
//! them in stops and in colour.
//!
//! [`Pinhole`] says where in its picture a point appears.
//!
//! [`cover`] works once per venue, [`CameraEye`] is prepared once per venue
//! and asked once per instant.

mod cover;
mod eye;
mod pinhole;
mod sides;
mod split;

pub use cover::{Cover, cover};
pub use eye::{CameraEye, GREY_REFLECTANCE, InstantLight};
pub use pinhole::Pinhole;
pub use sides::LEAST_SIDE_SHARE;
pub use split::*;
