//! What stands behind a ball, and how bright it is.
//!
//! In: rays (local frame, metres) from a camera through the ball. Out: the thing each ends
//! on, its luminance toward the camera (cd/m2), and the luminance that belongs at white
//! when this background is on level.

use std::f64::consts::PI;

use chrono::Datelike;
use geo::{Contains, Point};
use glam::DVec3;

use crate::base::frame::plan_view;
use crate::base::units::{Azimuth, Elevation, Luminance};
use crate::engine::Prepared;
use crate::engine::surroundings::{NamedHit, Surroundings};
use crate::geometry::OverlayScratch;
use crate::light::{FloodlightLight, FloodlightState, SceneLight, SkyLuminance};
use crate::solar;
use crate::solar::{Sun, SunState, skyline_elevation};
use crate::venue::{Relief, Subject, Venue};

use super::BallSettings;

/// Lifts a point off its surface, metres.
const OFF_M: f64 = 1e-3;
/// Without a stand in the way the ground ends here, and land begins, metres.
const GROUND_ENDS_M: f64 = 5000.0;
/// Ground hides a ball from so far before it on, metres: a ball lies on ground.
const GROUND_BEFORE_M: f64 = 0.5;

/// Sun or shade on what is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SunOrShade {
    Sun,
    Shade,
}

/// What is seen behind the ball.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Backdrop {
    /// The field of play.
    Turf(SunOrShade),
    /// The ground around it.
    Ground(SunOrShade),
    /// Something that nothing passes: index into [`crate::venue::Venue::occluders`].
    Thing {
        by: usize,
        lit: SunOrShade,
    },
    /// What is behind something translucent: index of that.
    Through {
        by: usize,
    },
    /// Land beyond the ground.
    Land,
    Sky,
}

impl Backdrop {
    /// As people say it: "turf in shade", "clay in sun", "Mill Stand in sun", "sky".
    pub fn words(self, venue: &Venue) -> String {
        let lit = |what: &str, lit: SunOrShade| match lit {
            SunOrShade::Sun => format!("{what} in sun"),
            SunOrShade::Shade => format!("{what} in shade"),
        };
        let named = |by: usize| venue.occluders.get(by).map_or("something", |o| o.name.as_str());
        match self {
            Self::Turf(l) => lit(venue.field.surface.short_name(), l),
            Self::Ground(l) => lit("ground", l),
            Self::Thing { by, lit: l } => lit(named(by), l),
            Self::Through { by } => format!("through {}", named(by)),
            Self::Land => "land".to_owned(),
            Self::Sky => "sky".to_owned(),
        }
    }
}

/// What hides the ball from the camera.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hider {
    /// Index into [`crate::venue::Venue::occluders`].
    Thing(usize),
    /// A rise of the ground.
    Ground,
}

impl Hider {
    /// Its name in the venue file, or "the ground".
    pub fn name(self, venue: &Venue) -> &str {
        match self {
            Self::Thing(by) => venue.occluders.get(by).map_or("something", |o| o.name.as_str()),
            Self::Ground => "the ground",
        }
    }
}

/// A line of sight.
#[derive(Debug, Clone)]
pub(super) struct SightLine {
    toward: DVec3,
    from: DVec3,
    named_hits: Vec<NamedHit>,
    base: Base,
}

/// Where a line of sight ends that nothing stops.
#[derive(Debug, Clone, Copy)]
enum Base {
    Ground {
        at: DVec3,
        distance_m: f64,
        /// Unit vector, upward.
        normal: DVec3,
    },
    Land,
    Sky,
}

/// How bright a background is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BackgroundLuminance {
    pub luminance: Luminance,
    /// What belongs at white with this background on level.
    pub white: Luminance,
}

/// All light of the time.
pub(super) struct BackgroundLight<'a> {
    prepared: &'a Prepared<'a>,
    surroundings: &'a Surroundings<'a>,
    pub sun: Sun,
    pub sun_state: SunState,
    pub toward_sun: DVec3,
    /// From the sun on a plane facing it, lx.
    direct: f64,
    scene: SceneLight,
    sky: SkyLuminance,
    flood: FloodlightLight,
    /// On open land, lx.
    land: f64,
    land_reflects: f64,
    sky_under_stops: f64,
}

impl<'a> BackgroundLight<'a> {
    pub fn new(
        prepared: &'a Prepared<'a>,
        surroundings: &'a Surroundings<'a>,
        settings: &BallSettings,
    ) -> Self {
        let (venue, at) = (prepared.venue, settings.at);
        let prepared = prepared.at(at);
        let sun = solar::position(&venue.place, at.with_timezone(&chrono::Utc));
        let sun_state = solar::state(&sun, &venue.horizon);
        let sky_light = prepared.sky_light(at, (&sun, sun_state), settings.sky, &settings.air);
        let shadow = match sun_state {
            SunState::Up => prepared.turf.ground.cast(sun.toward(), &mut OverlayScratch::default()),
            _ => prepared.turf.ground.darkness(),
        };
        let (dome, air) = (prepared.lit.scene.dome(), &settings.air);
        let sky = SkyLuminance::new(dome, &sun, &venue.place, air, settings.sky, at.ordinal());
        let floodlights = venue.floodlights.as_ref();
        let floodlight = FloodlightState::at(floodlights, at, &sky_light.daylight);
        let flood = FloodlightLight::of(floodlights, floodlight);
        let scene = prepared.lit.scene.at(&sky_light, &shadow).with_floodlight(flood);
        Self {
            toward_sun: sun.toward(),
            direct: scene.direct_normal.lux(),
            land: sky_light.daylight.global_horizontal().lux(),
            land_reflects: air.ground_albedo,
            sky_under_stops: settings.sky_under_stops,
            prepared,
            surroundings,
            sun,
            sun_state,
            scene,
            sky,
            flood,
        }
    }

    /// Whether there is nothing to see by: the sun well under and no lamp lit.
    pub fn is_dark(&self) -> bool {
        self.sun.apparent_elevation.degrees() < -6.0 && self.flood.horizontal.lux() <= 0.0
    }

    pub fn has_sun(&self) -> bool {
        self.direct > 0.0
    }

    /// Share of the direct light that reaches a place.
    pub fn sun_reaches(&self, at: DVec3) -> f64 {
        let risen = |relief: &Relief| relief.met(at, self.toward_sun).is_some();
        if !self.has_sun() || self.relief().is_some_and(risen) {
            return 0.0;
        }
        self.prepared.lit.scene.transmission(at, self.toward_sun).share()
    }

    /// The ground, where it is not the plane of the field.
    fn relief(&self) -> Option<&Relief> {
        self.surroundings.venue().relief.as_deref()
    }

    /// Where a line of sight comes down: how far off, and the ground's normal there.
    fn ground(&self, from: DVec3, toward: DVec3) -> Option<(f64, DVec3)> {
        let met = match self.relief() {
            Some(relief) => relief.met(from, toward).map(|met| (met.distance_m, met.normal)),
            None => (toward.z < 0.0).then(|| (-from.z / toward.z, DVec3::Z)),
        };
        met.filter(|(down, _)| (0.0..GROUND_ENDS_M).contains(down))
    }

    /// Follows a line of sight.
    pub fn ray(&self, from: DVec3, toward: DVec3) -> SightLine {
        let ground = self.ground(from, toward);
        let mut named_hits = self.surroundings.named_hits(from, toward);
        if let Some((down, _)) = ground {
            named_hits.retain(|e| e.distance_m < down);
        }
        let horizon = &self.surroundings.venue().horizon;
        let elevation = Elevation::from_degrees(toward.z.clamp(-1.0, 1.0).asin().to_degrees());
        let azimuth = Azimuth::from_degrees(toward.x.atan2(toward.y).to_degrees());
        let base = match ground {
            Some((distance_m, normal)) => {
                Base::Ground { at: from + toward * distance_m, distance_m, normal }
            }
            None if elevation <= skyline_elevation(horizon, azimuth) => Base::Land,
            None => Base::Sky,
        };
        SightLine { toward, from, named_hits, base }
    }

    /// The nearest thing or ground before a distance that nothing passes on a line of sight.
    pub fn hidden_by(&self, ray: &SightLine, before_m: f64) -> Option<Hider> {
        let opaque = ray.named_hits.iter().filter(|e| e.passes.is_opaque());
        let thing = opaque.filter(|e| e.distance_m < before_m).map(|e| e.owner.occluder).next();
        let ground = match ray.base {
            Base::Ground { distance_m, .. } => distance_m < before_m - GROUND_BEFORE_M,
            Base::Land | Base::Sky => false,
        };
        thing.map(Hider::Thing).or(ground.then_some(Hider::Ground))
    }

    /// What a line of sight ends on.
    pub fn backdrop(&self, ray: &SightLine) -> Backdrop {
        let lit = |at: DVec3, normal: DVec3| {
            let turned = normal.dot(self.toward_sun) > 0.0;
            match turned && self.sun_reaches(at + normal * OFF_M) >= 0.5 {
                true => SunOrShade::Sun,
                false => SunOrShade::Shade,
            }
        };
        if let Some(last) = ray.named_hits.last().filter(|e| e.passes.is_opaque()) {
            let at = ray.from + ray.toward * last.distance_m;
            return Backdrop::Thing { by: last.owner.occluder, lit: lit(at, last.normal) };
        }
        if let Some(first) = ray.named_hits.first() {
            return Backdrop::Through { by: first.owner.occluder };
        }
        match ray.base {
            Base::Ground { at, normal, .. } if self.on_field(at) => Backdrop::Turf(lit(at, normal)),
            Base::Ground { at, normal, .. } => Backdrop::Ground(lit(at, normal)),
            Base::Land => Backdrop::Land,
            Base::Sky => Backdrop::Sky,
        }
    }

    fn on_field(&self, at: DVec3) -> bool {
        let outline = &self.surroundings.venue().field.outline;
        outline.contains(&Point(plan_view(at)))
    }

    /// How bright lines of sight are, in their order.
    pub fn seen(&self, rays: &[SightLine]) -> Vec<BackgroundLuminance> {
        let sides = |ray: &SightLine, e: &NamedHit| {
            let at = ray.from + ray.toward * e.distance_m;
            let far = (e.scatters > 0.0).then(|| (at - e.normal * OFF_M, -e.normal));
            std::iter::once((at + e.normal * OFF_M, e.normal)).chain(far)
        };
        let hits = rays.iter().flat_map(|ray| ray.named_hits.iter().flat_map(|e| sides(ray, e)));
        let hits: Vec<(DVec3, DVec3)> = hits.collect();
        let mut lights = self.on_faces(&hits).into_iter();
        rays.iter().map(|ray| self.one(ray, &mut lights)).collect()
    }

    /// From the farthest forward: each thing adds its own light and dims what is behind.
    fn one(&self, ray: &SightLine, lights: &mut impl Iterator<Item = f64>) -> BackgroundLuminance {
        let mut next = || lights.next().unwrap_or(0.0);
        let own = ray.named_hits.iter().map(|met| {
            let own = self.surface(next(), met.reflectance);
            let shines = if met.scatters > 0.0 { next() * met.scatters / PI } else { 0.0 };
            let shines = shines + met.lit_cd_m2;
            let luminance = Luminance::from_cd_per_m2(own.luminance.cd_per_m2() + shines);
            BackgroundLuminance { luminance, ..own }
        });
        let own: Vec<BackgroundLuminance> = own.collect();
        let mut seen = self.base(ray);
        for (met, own) in ray.named_hits.iter().zip(own).rev() {
            let through = met.passes.share();
            let behind = seen.luminance.cd_per_m2() * through;
            let white = own.white.cd_per_m2() * (1.0 - through) + seen.white.cd_per_m2() * through;
            seen = BackgroundLuminance {
                luminance: Luminance::from_cd_per_m2(own.luminance.cd_per_m2() + behind),
                white: Luminance::from_cd_per_m2(white),
            };
        }
        seen
    }

    fn base(&self, ray: &SightLine) -> BackgroundLuminance {
        match ray.base {
            // a slope gets the sky that it faces, and the sun by its own facing
            Base::Ground { at, normal, .. } => {
                let places = self.prepared.lit.scene.places();
                let sky = self.scene.turf_at(&places.weights(plan_view(at))).lux();
                let facing = self.direct * normal.dot(self.toward_sun).max(0.0);
                let sun = facing * self.sun_reaches(at + normal * OFF_M);
                let reflectance = self.prepared.lit.scene.turf_reflects()[1];
                let lux = sky + sun + self.flood.horizontal.lux();
                let seen = self.surface(lux, reflectance);
                let stated = self.surroundings.venue().subject.turf_under_white_stops;
                let white = stated.map_or(seen.white, |stops| brighter(seen.luminance, stops));
                BackgroundLuminance { white, ..seen }
            }
            Base::Land => self.surface(self.land, self.land_reflects),
            Base::Sky => {
                let luminance = self.sky.toward(ray.toward);
                BackgroundLuminance { luminance, white: brighter(luminance, self.sky_under_stops) }
            }
        }
    }

    /// A matt surface under an illuminance, lx; in that light skin is set where the file
    /// puts it.
    fn surface(&self, lux: f64, reflectance: f64) -> BackgroundLuminance {
        let subject = &self.surroundings.venue().subject;
        let at_white = subject.skin_reflectance * subject.skin_under_white_stops.exp2();
        let of = |reflectance: f64| Luminance::from_cd_per_m2(lux * reflectance / PI);
        BackgroundLuminance { luminance: of(reflectance), white: of(at_white) }
    }

    /// All light on faces (places and unit normals), lx.
    fn on_faces(&self, faces: &[(DVec3, DVec3)]) -> Vec<f64> {
        let rest = self.on_faces_without_sun(faces);
        let each = faces.iter().zip(rest).map(|((at, normal), rest)| {
            let direct = self.scene.direct_on(*normal).lux();
            if direct > 0.0 { direct * self.sun_reaches(*at) + rest } else { rest }
        });
        each.collect()
    }

    /// Light of sky, surroundings, ground and lamps on faces, lx: all but the sun's own.
    pub fn on_faces_without_sun(&self, faces: &[(DVec3, DVec3)]) -> Vec<f64> {
        let receivers = self.prepared.lit.scene.receivers(faces);
        let rest = self.scene.on(&receivers);
        let each = faces.iter().zip(rest).zip(receivers.ground_views());
        each.map(|(((_, normal), rest), ground)| {
            (rest.as_it_is + self.scene.floodlights_on(*normal, ground, None)).lux()
        })
        .collect()
    }

    /// What stands in front of the cameras.
    pub fn subject(&self) -> &Subject {
        &self.surroundings.venue().subject
    }

    /// From the sun on a plane facing it, lx.
    pub fn direct_lux(&self) -> f64 {
        self.direct
    }
}

/// So many stops brighter.
fn brighter(luminance: Luminance, stops: f64) -> Luminance {
    Luminance::from_cd_per_m2(luminance.cd_per_m2() * stops.exp2())
}
