//! Sun, sky and all light of an instant, for pictures.

use std::sync::atomic::{AtomicU64, Ordering};

use chrono::{DateTime, Datelike};
use chrono_tz::Tz;
use glam::DVec3;

use crate::engine::{Conditions, Prepared};
use crate::geometry::OverlayScratch;
use crate::light::{
    Air, FloodlightLight, FloodlightState, SceneLight, Sky, SkyLight, SkyLuminance, Tristimulus,
};
use crate::solar::{Sun, SunState};

/// The light of one instant.
#[derive(Debug, Clone)]
pub struct ViewLight {
    pub at: DateTime<Tz>,
    pub sun: Sun,
    pub sun_state: SunState,
    /// Unit vector.
    pub toward_sun: DVec3,
    /// From the sun on a plane facing it, nothing in the way, lx; nothing where it does not
    /// shine.
    pub direct_normal: Tristimulus,
    /// What open ground gets of the sky, lx.
    pub open_sky: Tristimulus,
    pub floodlight: FloodlightState,
    /// Its own; copies share it.
    pub(super) number: u64,
    pub(super) light: SceneLight,
    pub(super) sky: SkyLuminance,
}

impl ViewLight {
    /// Whether direct light arrives at the venue.
    pub fn sun_is_out(&self) -> bool {
        self.direct_normal.lux() > 0.0
    }

    /// The light of the scene.
    pub fn scene_light(&self) -> &SceneLight {
        &self.light
    }

    /// Luminance of the sky in a direction, cd/m2 as tristimulus values.
    pub fn sky_toward(&self, toward: DVec3) -> Tristimulus {
        self.sky.colour_toward(toward)
    }

    /// Light on open turf in full sun, else in the light that there is, lx.
    pub fn open_light(&self) -> Tristimulus {
        self.light.direct_horizontal + self.open_sky + self.light.floodlight().horizontal
    }

    /// Light on turf in shade, mean over the field, lx.
    pub fn shade_light(&self) -> Tristimulus {
        self.light.turf_mean() + self.light.floodlight().horizontal
    }
}

impl Prepared<'_> {
    /// The light of an instant, for pictures.
    pub fn view_light(&self, at: DateTime<Tz>, sky: Sky, air: &Air) -> ViewLight {
        self.view_light_under(at, Conditions { sky, lit: None }, air)
    }

    /// The same with floodlights that a hand may have switched.
    pub fn view_light_under(
        &self,
        at: DateTime<Tz>,
        Conditions { sky, lit }: Conditions,
        air: &Air,
    ) -> ViewLight {
        let (sun, state) = self.sun(at);
        let sky_light = self.sky_light(at, (&sun, state), sky, air);
        let (dome, place) = (self.lit.scene.dome(), &self.venue.place);
        let luminance = SkyLuminance::new(dome, &sun, place, air, sky, at.ordinal());
        let floodlight = self.floodlight(at, &sky_light.daylight, lit);
        self.view_light_as((at, floodlight), (sun, state), &sky_light, luminance)
    }

    /// The same under a sun and a sky that are stated.
    pub fn view_light_of(
        &self,
        at: DateTime<Tz>,
        (sun, sun_state): (Sun, SunState),
        sky_light: &SkyLight,
        sky: SkyLuminance,
    ) -> ViewLight {
        let floodlight = self.floodlight(at, &sky_light.daylight, None);
        self.view_light_as((at, floodlight), (sun, sun_state), sky_light, sky)
    }

    fn view_light_as(
        &self,
        (at, floodlight): (DateTime<Tz>, FloodlightState),
        (sun, sun_state): (Sun, SunState),
        sky_light: &SkyLight,
        sky: SkyLuminance,
    ) -> ViewLight {
        let this = self.at(at);
        let casters = &this.turf.ground;
        let shadow = match sun_state {
            SunState::Up => casters.cast(sun.toward(), &mut OverlayScratch::default()),
            _ => casters.darkness(),
        };
        let of_floodlight = FloodlightLight::of(self.venue.floodlights.as_ref(), floodlight);
        static LIGHTS: AtomicU64 = AtomicU64::new(0);
        ViewLight {
            number: LIGHTS.fetch_add(1, Ordering::Relaxed),
            at,
            sun,
            sun_state,
            toward_sun: sky_light.toward_sun,
            direct_normal: sky_light.daylight.direct_normal,
            open_sky: sky_light.daylight.diffuse_horizontal,
            floodlight,
            light: this.lit.scene.at(sky_light, &shadow).with_floodlight(of_floodlight),
            sky,
        }
    }
}
