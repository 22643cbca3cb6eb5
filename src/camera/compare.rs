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
use crate::venue::{CameraPost, Mark};

/// Places prepared for comparing cameras.
#[derive(Debug, Clone)]
pub struct SamePlaces {
    places: Vec<Place>,
    receivers: Receivers,
    cameras: usize,
    turf_reflects: [f64; 3],
}

#[derive(Debug, Clone)]
struct Place {
    at: Coord<f64>,
    weights: Vec<(usize, f64)>,
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
            places.push(Place { at: mark.at, weights: scene.lattice().weights(mark.at), faces });
        }
        Self {
            places,
            receivers: scene.receivers(&facing),
            cameras: posts.len(),
            turf_reflects: scene.turf_reflects(),
        }
    }

    /// Light on each place's face toward each camera, floodlights counted; `None` for
    /// a camera that does not cover the place. In the order of the marks, then of the
    /// cameras.
    pub fn at(
        &self,
        now: &InstantLight,
        vertical: &[Tristimulus],
    ) -> Vec<Vec<Option<Tristimulus>>> {
        let own = now.light.on(&self.receivers);
        let place = |place: &Place| {
            let mut seen = vec![None; self.cameras];
            let through = now.face.transmission_at(place.at).share();
            let turf = now.light.turf_at(&place.weights)
                + now.light.direct_horizontal * now.turf.transmission_at(place.at).share()
                + now.floodlit.horizontal;
            let ground = turf.tinted(self.turf_reflects) * 0.5;
            for &(camera, turned, receiver) in &place.faces {
                let direct = turned.dot(now.toward_sun).max(0.0) * through;
                let sky = own.get(receiver).copied().unwrap_or(Tristimulus::ZERO);
                let lamps = vertical.get(camera).copied().unwrap_or(Tristimulus::ZERO);
                if let Some(slot) = seen.get_mut(camera) {
                    *slot = Some(now.light.direct_normal * direct + sky + ground + lamps);
                }
            }
            seen
        };
        self.places.iter().map(place).collect()
    }
}
