//! Light of one source by itself, for tables over the sun's place.

use glam::{DVec3, Vec4};

use crate::light::overhead::SkyLight;
use crate::light::receivers::{CellLight, Receivers};
use crate::light::tristimulus::Tristimulus;

use super::Scene;
use super::instant::{Base, Sun};
use super::reach::SunReach;

/// Light of one source, lx.
#[derive(Debug, Clone)]
pub struct Sent {
    /// On the turf, at each place that light is known at.
    pub turf: Vec<Tristimulus>,
    /// On each of the receivers.
    pub faces: Vec<Tristimulus>,
}

impl Scene {
    /// What the sky alone sends to turf and receivers, straight and by way of stands and
    /// ground.
    pub fn of_sky(&self, sky: &SkyLight, faces: &Receivers) -> Sent {
        self.bounces.for_many();
        let cells = CellLight::new(&sky.glow);
        let (emitted, turf) = self.lit(&self.base(&cells), None);
        let mut on_faces = faces.light_of_sky(&cells);
        self.add_emitted(&emitted, faces, &mut on_faces);
        Sent { turf, faces: on_faces }
    }

    /// What stands and ground send on of the sun's light, without the sky's; what faces
    /// get straight from sunlit ground is left out.
    pub fn of_sun(
        &self,
        toward: DVec3,
        normal: Tristimulus,
        reach: &SunReach,
        faces: &Receivers,
    ) -> Sent {
        self.bounces.for_many();
        let (emitted, turf) = self.lit(&self.dark(), Some((&Sun { normal, toward }, reach)));
        let mut on_faces = vec![Tristimulus::ZERO; faces.len()];
        self.add_emitted(&emitted, faces, &mut on_faces);
        Sent { turf, faces: on_faces }
    }

    /// What screens send, straight and by way of stands and ground; `None` without any.
    pub fn of_screens(&self, faces: &Receivers) -> Option<Sent> {
        if self.screens.is_empty() {
            return None;
        }
        let (emitted, turf) = self.lit(&self.with_screens(self.dark()), None);
        let mut on_faces = vec![Tristimulus::ZERO; faces.len()];
        faces.add_screens(&mut on_faces);
        self.add_emitted(&emitted, faces, &mut on_faces);
        Some(Sent { turf, faces: on_faces })
    }

    fn dark(&self) -> Base {
        Base {
            turf: vec![Tristimulus::ZERO; self.turf.len()],
            pieces: vec![Tristimulus::ZERO; self.pieces.len()],
        }
    }

    fn add_emitted(&self, emitted: &[Vec4], faces: &Receivers, to: &mut [Tristimulus]) {
        faces.add_emitters(emitted, to);
        faces.add_spots(&self.spots_of(emitted), to);
    }
}
