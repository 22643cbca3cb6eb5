//! All light at the ground, prepared for a venue.
//!
//! In: a venue and its obstacles, once; then, per instant, [`SkyLight`] and the
//! shadow on the turf. Out: [`SceneLight`]: finished light on the turf at the places
//! that it is known at, and on any prepared [`Receivers`]; for sums that are asked for
//! again and again, [`DaylightCoefficients`].
//!
//! | part of the light | from |
//! | --- | --- |
//! | sky | rays to its patches, between what stands |
//! | surroundings | what rays meet, with all that pieces and ground send to each other |
//! | ground | rays down: spots of the ground in sun or shade, each with its own light |
//! | screens | exact, of polygons with a luminance of their own |
//! | floodlights | as stated, and what the ground gives back of them |
//! | sun | facing it, times the share that reaches the place, which the asker knows |

mod coefficients;
mod face_light;
mod instant;
mod prepare;
mod reach;

use geo::{Area, Coord};
use glam::DVec3;
use rayon::prelude::*;

use crate::base::units::Transmittance;
use crate::geometry::{Obstacle, Obstacles, Rays, SkyDome, SkyView};
use crate::light::bounces::Bounces;
use crate::light::ground::reflectances;
use crate::light::ground_light::GroundSpots;
use crate::light::places::LightPlaces;
use crate::light::receiver::Receiver;
use crate::light::receivers::Receivers;
use crate::light::screens::Screens;
use crate::light::surround;
use crate::light::surround::Surround;
use crate::light::tristimulus::Tristimulus;
use crate::venue::Venue;

use prepare::{PreparedPieces, back, of_pieces};

pub use coefficients::{DaylightCoefficients, LightSum};
pub use face_light::{FaceLight, ground_reflected};
pub use instant::{CoveredLight, SceneLight};
pub use reach::SunReach;

/// About this many places of the field get light from sky and surroundings, 6 m
/// apart on a football field, beside those on its boundary and around it.
const LIGHT_PLACES: f64 = 200.0;

/// A venue prepared for light.
#[derive(Debug, Clone)]
pub struct Scene {
    dome: SkyDome,
    obstacles: Obstacles,
    places: LightPlaces,
    ground: GroundSpots,
    /// Each place, facing up, and last a place in the open.
    turf: Receivers,
    /// Sky view factor of each place.
    sky_views: Vec<f64>,
    surround: Surround,
    /// What each piece gives off of sky and ground, cd/m2 for a lux.
    pieces: Receivers,
    bounces: Bounces,
    reflects: GroundReflectances,
    screens: Screens,
}

/// Reflectance for X, Y and Z of what is played on, and of the ground around.
pub type GroundReflectances = [[f64; 3]; 2];

impl Scene {
    /// Prepares a venue with the obstacles of a date.
    pub fn new(venue: &Venue, obstacles: Obstacles) -> Self {
        let dome = SkyDome::new();
        let field = &venue.field;
        let ground_m2 = field.outline.unsigned_area();
        let places = LightPlaces::new(field, ground_m2, LIGHT_PLACES, &obstacles);
        let ground = GroundSpots::new(field, ground_m2, &places, places.at().len());
        let view = |at: &Coord<f64>| {
            let up = obstacles.ground_normal(*at);
            (dome.from_surface(&obstacles, &[obstacles.on_ground(*at)], up), up)
        };
        let views: Vec<(SkyView, DVec3)> = places.at().par_iter().map(view).collect();
        let mut surround = Surround::new(ground_m2, &obstacles, &dome, &views);
        let mut seen = of_pieces(&surround, 0, &obstacles, &dome);
        let first = surround.len();
        surround.add_seen(&obstacles, &dome, seen.par_iter().flatten());
        seen.extend(of_pieces(&surround, first, &obstacles, &dome));
        let known = PreparedPieces {
            obstacles: &obstacles,
            surround: &surround,
            ground: &ground,
            light_places: &places,
            places: places.at().len() + 1,
        };
        // of ground that rises before a place the sky it hides counts, not what it sends
        let receiver =
            |view: &SkyView, up: DVec3| Receiver::new(&dome, view, up, &known).without_places();
        let mut turf: Vec<Receiver> =
            views.par_iter().map(|(view, up)| receiver(view, *up)).collect();
        let nothing = Obstacles::from(Vec::<Obstacle>::new());
        let open = dome.from_surface(&nothing, &[DVec3::ZERO], DVec3::Z);
        turf.push(Receiver::new(&dome, &open, DVec3::Z, &known));
        let pieces: Vec<Receiver> =
            seen.par_iter().map(|views| surround::receiver(&dome, views, &known)).collect();
        let reflects = [
            reflectances(field.surface, field.surface_reflectance),
            reflectances(field.surrounds_surface, field.surrounds_reflectance),
        ];
        let back = back(&pieces, &turf, surround.len(), reflects);
        let screens = Screens::of(&obstacles);
        let mut places_lit = Vec::new();
        let mut pieces_lit = Vec::new();
        if !screens.is_empty() {
            let on = |at: &Coord<f64>| {
                screens.on(obstacles.on_ground(*at), obstacles.ground_normal(*at), &obstacles)
            };
            places_lit = places.at().par_iter().map(on).collect();
            // the open land is far off
            places_lit.push(Tristimulus::ZERO);
            let own = surround.pieces().par_iter();
            pieces_lit = own.map(|piece| piece.lit_by(&screens, &obstacles)).collect();
        }
        Self {
            sky_views: turf.iter().take(places.at().len()).map(Receiver::sky_view).collect(),
            bounces: Bounces::new(back),
            pieces: pieces
                .into_iter()
                .map(Receiver::without_pieces)
                .collect::<Receivers>()
                .with_screens(pieces_lit),
            turf: turf.into_iter().collect::<Receivers>().with_screens(places_lit),
            reflects,
            places,
            ground,
            surround,
            screens,
            dome,
            obstacles,
        }
    }

    /// The dome that sky light has to be told on.
    pub fn dome(&self) -> &SkyDome {
        &self.dome
    }

    /// What stands.
    pub fn obstacles(&self) -> &Obstacles {
        &self.obstacles
    }

    /// Places of the ground that light is known at.
    pub fn places(&self) -> &LightPlaces {
        &self.places
    }

    /// Sky view factor at each place, 0 to 1.
    pub fn sky_views(&self) -> &[f64] {
        &self.sky_views
    }

    /// Reflectance of the turf for X, Y and Z.
    pub fn turf_reflects(&self) -> [f64; 3] {
        self.reflects[0]
    }

    /// Of what is played on, and of the ground around.
    pub fn ground_reflects(&self) -> GroundReflectances {
        self.reflects
    }

    /// Number of pieces that the surroundings are cut into.
    pub fn pieces(&self) -> usize {
        self.surround.len()
    }

    /// Share of the light from a direction that reaches a place straight on.
    pub fn transmission(&self, at: DVec3, toward: DVec3) -> Transmittance {
        self.obstacles.transmission(at, toward)
    }

    /// How much of the sun the ground at a place gets over what level ground gets; 1 on the
    /// plane of the field.
    pub fn incidence(&self, at: Coord<f64>, toward_sun: DVec3) -> f64 {
        self.obstacles.incidence(at, toward_sun)
    }

    /// The same, mean over the field of play.
    pub fn mean_incidence(&self, toward_sun: DVec3) -> f64 {
        if !self.obstacles.is_on_relief() {
            return 1.0;
        }
        let inside = self.places.at().iter().take(self.places.inside());
        let sum: f64 = inside.map(|at| self.incidence(*at, toward_sun)).sum();
        sum / self.places.inside().max(1) as f64
    }

    /// Faces whose heights count from the ground.
    pub fn over_ground(&self, mut facing: Vec<(DVec3, DVec3)>) -> Vec<(DVec3, DVec3)> {
        if self.obstacles.is_on_relief() {
            for (at, _) in &mut facing {
                at.z += self.obstacles.on_ground(Coord { x: at.x, y: at.y }).z;
            }
        }
        facing
    }

    /// Prepares receivers at any places and facings (unit vectors), in parallel.
    pub fn receivers(&self, facing: &[(DVec3, DVec3)]) -> Receivers {
        self.by_rays(facing, |_| Rays::All)
    }

    /// The same by a quarter of the rays, for receivers that are only asked for means over many: one
    /// looks where the next does not.
    pub fn receivers_of_means(&self, facing: &[(DVec3, DVec3)]) -> Receivers {
        self.by_rays(facing, Rays::Quarter)
    }

    fn by_rays(&self, facing: &[(DVec3, DVec3)], rays: impl Fn(usize) -> Rays + Sync) -> Receivers {
        let known = PreparedPieces {
            obstacles: &self.obstacles,
            surround: &self.surround,
            ground: &self.ground,
            light_places: &self.places,
            places: self.turf.len(),
        };
        let one = |(i, &(at, normal)): (usize, &(DVec3, DVec3))| {
            let view = self.dome.by_rays(&self.obstacles, &[at], normal, rays(i));
            Receiver::new(&self.dome, &view, normal, &known).without_places()
        };
        let prepared: Vec<Receiver> = facing.par_iter().enumerate().map(one).collect();
        let receivers: Receivers = prepared.into_iter().collect();
        if self.screens.is_empty() {
            return receivers;
        }
        let on = |&(at, normal): &(DVec3, DVec3)| self.screens.on(at, normal, &self.obstacles);
        receivers.with_screens(facing.par_iter().map(on).collect())
    }
}
