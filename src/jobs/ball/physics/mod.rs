//! A ball's flight, how well it can be seen, and the ride of the iris
//! that follows. Beside `camera`; knows nothing of venues but [`crate::venue::Place`].
//!
//! In: a ball, a launch (m, m/s, revolutions a minute), air and wind. Out: a [`Flight`]
//! in the local frame (metres, seconds); thresholds of contrast; rides in stops over
//! seconds.
//!
//! | question | where |
//! | --- | --- |
//! | what a ball is, and how the air holds it | [`Ball`] |
//! | how it is struck | [`Stroke`], [`strokes`], [`through`] |
//! | where it flies | [`fly`] |
//! | what contrast a viewer needs | [`threshold_contrast`], [`Screen`] |
//! | when to close, how far, when to be back | [`Ride`] |

mod aero;
mod air;
mod contrast;
mod flight;
mod kind;
mod launch;
mod ride;
pub(crate) mod through;

pub use aero::AeroCoefficients;
pub use air::{FlightAir, density_kg_per_m3};
pub use contrast::{Screen, Tone, threshold_contrast};
pub use flight::{Flight, FlightPoint, Launch, MAX_FLIGHT_S, fly, fly_over};
pub use kind::{Ball, BallKind};
pub use launch::{NamedStroke, Stroke, strokes};
pub use ride::{Need, Ride, RidePoint, SMALL_STOPS};
pub use through::{Aim, AimError, FlightShape, through};
