//! What a camera sees, in stops.
//!
//! In: a camera position, the field, the shadow and the light of an instant.
//! Out: the part of the ground it covers (local frame, m2), mean light (lx) and
//! luminance (cd/m2) of the sunlit and of the shaded part, and the split between
//! them in stops and in colour.
//!
//! [`Pinhole`] says where in its picture a point appears.
//!
//! [`cover_ground`] works once per venue, [`CameraEye`] is prepared once per venue
//! and asked once per instant.

mod class;
mod compare;
pub mod cover;
mod eye;
mod lens;
mod lens_range;
mod pinhole;
mod ramp;
mod range;
mod rig;
mod setting;
mod shown;
mod sides;
mod skin;
mod split;
mod tones;

pub use class::*;
pub use compare::{MarkReceivers, SameMarks};
pub use cover::{Coverage, cover, cover_ground, sweep};
pub use eye::{CameraEye, EyeFaces, EyeShade, GREY_REFLECTANCE, InstantShade};
pub use lens::*;
pub use lens_range::{LensEnd, LensRange, TOLERANCE_STOPS};
pub use pinhole::Pinhole;
pub use ramp::{LensRamp, ShortOfLight, ZoomRange};
pub use range::{ExposureRange, Interval, OtherSpread, SplitRange, exposure_range};
pub use rig::{CHART_LUX, CHART_REFLECTANCE, DB_PER_STOP, Rig, stops_between_t};
pub use setting::*;
pub use skin::{SkinLight, SkinVerdict, skin_lights};
pub use split::*;
pub use tones::DETAIL_OVER_NOISE_STOPS;
