//! A venue as it stands on some dates, prepared for many instants.
//!
//! In: a venue, a date, what is wanted. Out: a [`Ground`], from which each instant is a
//! few microseconds of shadow and of sums. Times at which the same stands and lets the same
//! light through share one.

use std::sync::Arc;

use chrono::{NaiveDate, NaiveDateTime};
use rayon::prelude::*;

use crate::camera::{CameraEye, EyeFaces, LensWatch, cover_ground};
use crate::geometry::{Caster, FACE_HEIGHT_M, Obstacle, Obstacles, TURF_HEIGHT_M, ZoneRegion};
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
pub(super) struct Ground {
    /// On the field of play.
    pub field: Caster,
    /// On all of the ground.
    pub turf: Arc<Caster>,
    pub face: Caster,
    pub zones: Vec<ZoneRegion>,
    pub lit: Option<Lit>,
    pub lenses: Vec<LensWatch>,
    pub obstacles: Obstacles,
}

/// What splits need.
#[derive(Debug)]
pub(super) struct Lit {
    pub ground: Arc<LitGround>,
    pub faces: EyeFaces,
    pub cameras: Vec<CameraEye>,
}

impl Ground {
    pub fn new(venue: &Venue, date: NaiveDate, wanted: Wanted) -> Self {
        let zones = venue.zones.iter().filter(|_| wanted.zones);
        let lenses = venue.cameras.iter().filter(|_| wanted.lenses);
        let turf = Arc::new(Caster::over_ground(venue, date, TURF_HEIGHT_M));
        Self {
            field: Caster::new(venue, date, TURF_HEIGHT_M),
            face: Caster::over_ground(venue, date, FACE_HEIGHT_M),
            zones: zones.map(|z| ZoneRegion::new(&z.outline, &venue.field.outline)).collect(),
            lit: (wanted.splits != Splits::None).then(|| Lit::new(venue, date, Arc::clone(&turf))),
            lenses: lenses.map(LensWatch::new).collect(),
            turf,
            obstacles: Obstacle::all_of(venue, date),
        }
    }
}

impl Lit {
    fn new(venue: &Venue, date: NaiveDate, turf: Arc<Caster>) -> Self {
        let scene = Scene::new(venue, Obstacle::all_of(venue, date));
        let sharing = match venue.cameras.len() {
            0..SHARING_FROM => Sharing::Own,
            _ => Sharing::Shared,
        };
        let faces = EyeFaces::new(&scene, sharing);
        let terrain = scene.obstacles().terrain();
        let camera = |post| {
            let cover = cover_ground(post, &venue.field, &venue.zones, &terrain);
            CameraEye::new(post, &cover, &scene, &faces)
        };
        let cameras: Vec<CameraEye> = venue.cameras.par_iter().map(camera).collect();
        let sums = cameras.iter().map(|camera| Arc::clone(camera.sums())).collect();
        Self { ground: Arc::new(LitGround::new(scene, sums, turf)), faces, cameras }
    }
}
