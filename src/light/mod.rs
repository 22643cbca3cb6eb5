//! Stage 4, `light`: how much light sun and sky send.
//!
//! In: the sun's place, the place and its air, a sky state. Out: illuminances
//! in lux on stated planes.

mod model;

pub use model::*;
