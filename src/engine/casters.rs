//! What throws shadows on one plane.
//!
//! In: a venue as it stands, a date, the height of the plane over the ground, metres. Out:
//! [`Casters`] on the field of play and on all of the ground; both share what stands.

use std::sync::Arc;

use chrono::NaiveDate;

use crate::geometry::{Caster, FACE_HEIGHT_M, TURF_HEIGHT_M};
use crate::venue::Venue;

/// Casts on one plane.
#[derive(Debug)]
pub(crate) struct Casters {
    /// On the field of play.
    pub field: Caster,
    /// On all of the ground.
    pub ground: Arc<Caster>,
}

impl Casters {
    /// On the turf.
    pub fn on_turf(venue: &Venue, date: NaiveDate) -> Arc<Self> {
        Self::at(venue, date, TURF_HEIGHT_M)
    }

    /// At the height of a face.
    pub fn at_faces(venue: &Venue, date: NaiveDate) -> Arc<Self> {
        Self::at(venue, date, FACE_HEIGHT_M)
    }

    fn at(venue: &Venue, date: NaiveDate, height_m: f64) -> Arc<Self> {
        let field = Caster::new(venue, date, height_m);
        Arc::new(Self { ground: Arc::new(field.widened(venue)), field })
    }
}
