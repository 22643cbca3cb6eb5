//! A venue as it stands on some dates, prepared for many instants.
//!
//! In: a venue, a date, what is wanted. Out: a [`SeasonGround`], from which each instant is a
//! few microseconds of shadow and of sums. Times at which the same stands and lets the same
//! light through share one.

use std::sync::Arc;

use chrono::{NaiveDate, NaiveDateTime};

use crate::camera::LensWatch;
use crate::engine::casters::Casters;
use crate::engine::lit_venue::{LitVenue, Marks};
use crate::geometry::{Caster, Obstacle, Obstacles, ZoneRegion};
use crate::light::{LitGround, Scene, Sharing};
use crate::venue::{Passes, Standing, Venue};

use super::{Splits, Wanted};

/// From this many cameras on they share upright faces.
const SHARING_FROM: usize = 20;

/// What stands, and lets how much light through: equal for times that share a ground.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct GroundState {
    leaves: Vec<u64>,
    pub standing: Standing,
}

impl GroundState {
    pub fn at(venue: &Venue, when: NaiveDateTime) -> Self {
        let date = when.date();
        let bodies = venue.occluders.iter().flat_map(|occluder| &occluder.bodies);
        let change = bodies.filter(|body| matches!(body.passes, Passes::Leaves(_)));
        let leaves = change.map(|body| body.passes.on(date).share().to_bits()).collect();
        Self { leaves, standing: venue.standing(when) }
    }
}

/// A venue prepared.
#[derive(Debug)]
pub(super) struct SeasonGround {
    pub turf: Arc<Casters>,
    pub face: Arc<Casters>,
    pub zones: Vec<ZoneRegion>,
    pub splits: Option<SplitGround>,
    pub lenses: Vec<LensWatch>,
    pub obstacles: Obstacles,
}

/// What splits need.
#[derive(Debug)]
pub(super) struct SplitGround {
    pub lit: LitVenue,
    /// The same for light that is known by the sun's place.
    pub by_sun: Arc<LitGround>,
}

impl SeasonGround {
    pub fn new(venue: &Venue, date: NaiveDate, wanted: Wanted) -> Self {
        let zones = venue.zones.iter().filter(|_| wanted.zones);
        let lenses = venue.cameras.iter().filter(|_| wanted.lenses);
        let turf = Casters::on_turf(venue, date);
        let splits = || SplitGround::new(venue, date, Arc::clone(&turf.ground));
        Self {
            face: Casters::at_faces(venue, date),
            zones: zones.map(|z| ZoneRegion::new(&z.outline, &venue.field.outline)).collect(),
            splits: (wanted.splits != Splits::None).then(splits),
            lenses: lenses.map(LensWatch::new).collect(),
            turf,
            obstacles: Obstacle::all_of(venue, date),
        }
    }
}

impl SplitGround {
    fn new(venue: &Venue, date: NaiveDate, turf: Arc<Caster>) -> Self {
        let scene = Arc::new(Scene::new(venue, Obstacle::all_of(venue, date)));
        let sharing = match venue.cameras.len() {
            0..SHARING_FROM => Sharing::Own,
            _ => Sharing::Shared,
        };
        let lit = LitVenue::new(Arc::clone(&scene), sharing);
        let lit = lit.with_cameras(venue, Marks::NONE, |_| None);
        let sums = lit.cameras.iter().map(|camera| Arc::clone(camera.eye.sums())).collect();
        Self { by_sun: Arc::new(LitGround::new(scene, sums, turf)), lit }
    }
}
