//! How much light, and of what colour, arrives where.
//!
//! In: the sun's place, the place and its air, a sky state, the venue's obstacles
//! and shadows. Out: [`Tristimulus`] values: lx on stated planes, cd/m2 of
//! surfaces, and colour out of both.
//!
//! | question | where |
//! | --- | --- |
//! | what sun and clear sky send, by wavelength | [`clear`] |
//! | what sun and sky send in a sky state, and where the sky is bright | [`SkyLight`], [`SkyType`] |
//! | light around and after sunset | [`twilight`] |
//! | what arrives at the turf and at any face | [`Scene`], [`Receivers`] |
//! | what arrives at sums that are asked for every instant | [`DaylightCoefficients`], [`Sources`] |
//! | the air of a date | [`AirByDate`] |
//! | the same light for tens of thousands of instants | [`ByDate`], [`ByElevation`], [`BySun`] |
//! | what the stands give back | `surround`, `bounces` |
//! | which ground lies in the sun | `ground_light` |
//! | what the floodlights add | [`FloodlightLight`] |
//! | colour temperature, mired, gain trims | [`ColourTemperature`], [`Trims`] |

mod air;
mod air_by_date;
mod air_range;
mod blue;
mod bounces;
mod by_date;
mod by_elevation;
mod by_sun;
pub mod clear;
mod climatology;
mod colour;
mod faces;
mod floodlight;
mod ground;
mod ground_light;
mod ground_net;
mod model;
mod overhead;
mod pattern;
mod places;
mod readings;
mod receiver;
mod receivers;
mod scene;
mod screens;
mod sources;
mod surround;
mod tables;
mod tristimulus;
pub mod twilight;

pub use air::{Air, AirKnowledge, AirSource, Knowledge, air_of};
pub use air_by_date::AirByDate;
pub use air_range::{AirRange, Z_90};
pub use blue::{BlueSky, turbidity};
pub use by_date::ByDate;
pub use by_elevation::ByElevation;
pub use by_sun::{BySun, LitGround, UnderSun};
pub use clear::AirColumn;
pub use climatology::Climate;
pub use colour::{Chromaticity, ColourTemperature, Trims, behind_filter};
pub use faces::{Faces, Sharing, at_turns, turned_at};
pub use floodlight::{FloodlightLight, FloodlightState, level_that_holds};
pub use ground::{coloured, reflectances};
pub use ground_net::{GroundLight, GroundNear, GroundNet};
pub use model::*;
pub use overhead::{
    Glow, GlowChange, Overhead, SkyLight, SkyLuminance, daylight, daylight_through,
    overcast_horizontal_lx, partly_cloudy_horizontal_lx,
};
pub use pattern::{SkyType, cloudless_types};
pub use places::LightPlaces;
pub use readings::{
    AirOfReadings, MIN_SUN_DEG, Percentiles, Reading, ReadingError, TimedReading,
    aerosol_of_visibility, air_of_readings, water_of_dew_point,
};
pub use receiver::{Emitters, Receiver};
pub use receivers::{CellChange, CellLight, Receivers};
pub use scene::{
    CoveredLight, DaylightCoefficients, FaceLight, GroundReflectances, LightSum, Scene, SceneLight,
    SunReach, ground_reflected,
};
pub use screens::luminance_of;
pub use sources::{Sources, Straight, SumLight};
pub use tristimulus::Tristimulus;
