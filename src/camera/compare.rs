//! The same subject at the same place, as each camera sees it.
//!
//! In: places on the field, cameras and their covers, the venue's [`Scene`]; then, per
//! instant, the [`InstantLight`]. Out: light on a face at 1.7 m turned toward each
//! camera that covers the place, lx.

use geo::{Contains, Coord, Point};
use glam::DVec3;

use super::cover::Cover;
use super::eye::InstantLight;
use crate::geometry::FACE_HEIGHT_M;
use crate::light::{Receivers, Scene, Tristimulus};
use crate::units::Lux;
use crate::venue::{CameraPost, Mark};

/// Places prepared for comparing cameras.
#[derive(Debug, Clone)]
pub struct SamePlaces {
    places: Vec<Place>,
    receivers: Receivers,
    /// How much of what each receiver sees is ground.
    ground_views: Vec<[f64; 2]>,
    /// Level of the floodlights that each camera states.
    floodlights: Vec<Option<Lux>>,
}

#[derive(Debug, Clone)]
struct Place {
    at: Coord<f64>,
    /// Camera, the way a face there is turned, and its receiver.
    faces: Vec<(usize, DVec3, usize)>,
}

impl SamePlaces {
    /// Prepares the marks of a field for cameras.
    pub fn new(marks: &[Mark], posts: &[CameraPost], covers: &[Cover], scene: &Scene) -> Self {
        let mut facing = Vec::new();
        let mut places = Vec::with_capacity(marks.len());
        for mark in marks {
            let seeing = posts.iter().zip(covers).enumerate();
            let seeing = seeing.filter(|(_, (_, cover))| cover.region.contains(&Point(mark.at)));
            let mut faces = Vec::new();
            for (camera, (post, _)) in seeing {
                let flat = DVec3::new(post.at.x - mark.at.x, post.at.y - mark.at.y, 0.0);
                let turned = flat.try_normalize().unwrap_or(DVec3::Y);
                faces.push((camera, turned, facing.len()));
                facing.push((DVec3::new(mark.at.x, mark.at.y, FACE_HEIGHT_M), turned));
            }
            places.push(Place { at: mark.at, faces });
        }
        let receivers = scene.receivers(&facing);
        Self {
            places,
            ground_views: receivers.ground_views(),
            receivers,
            floodlights: posts.iter().map(|post| post.floodlight).collect(),
        }
    }

    /// Light on each place's face toward each camera, floodlights counted; `None` for
    /// a camera that does not cover the place. In the order of the marks, then of the
    /// cameras.
    pub fn at(&self, now: &InstantLight) -> Vec<Vec<Option<Tristimulus>>> {
        let rest = now.light.on(&self.receivers);
        let place = |place: &Place| {
            let mut seen = vec![None; self.floodlights.len()];
            let through = now.face.transmission_at(place.at).share();
            for &(camera, turned, receiver) in &place.faces {
                let rest = rest.get(receiver).map_or(Tristimulus::ZERO, |face| face.as_it_is);
                let ground = self.ground_views.get(receiver).copied().unwrap_or_default();
                let own = self.floodlights.get(camera).copied().flatten();
                if let Some(slot) = seen.get_mut(camera) {
                    let direct = now.light.direct_on(turned) * through;
                    *slot = Some(direct + rest + now.light.lamps_on(turned, ground, own));
                }
            }
            seen
        };
        self.places.iter().map(place).collect()
    }
}
