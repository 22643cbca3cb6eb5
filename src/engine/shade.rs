//! Shadows at one time, and what they do to what cameras show, in any light.
//!
//! In: a [`Prepared`] venue, times or a sun. Out: a [`Shade`] each: shadow polygons and shares
//! on both planes, what the sun reaches, what the cameras show. Nothing of it knows the air or
//! the sky, so it serves for all of them.

use std::sync::Arc;

use chrono::DateTime;
use chrono_tz::Tz;
use rayon::prelude::*;

use super::casters::Casters;
use super::lit_venue::{AnyAir, PreparedCamera, Shadows};
use super::model::PlaneShade;
use super::prepared::{AreaShares, Prepared};
use crate::geometry::{OverlayScratch, ShadeShare, edge_of};
use crate::light::SunReach;
use crate::solar::{Sun, SunState};

/// What lies in shade at one time, and what the sun reaches, in any light: an instant
/// before anything is said of its sky.
#[derive(Debug, Clone)]
pub struct Shade {
    pub(super) at: DateTime<Tz>,
    pub(super) sun: (Sun, SunState),
    pub(super) turf: PlaneShade,
    pub(super) face: PlaneShade,
    pub(super) any_air: AnyAir,
}

impl Shade {
    pub fn at(&self) -> DateTime<Tz> {
        self.at
    }

    pub(crate) fn sun(&self) -> &Sun {
        &self.sun.0
    }

    pub(super) fn shadows(&self) -> Shadows<'_> {
        Shadows {
            toward_sun: self.sun.0.toward(),
            turf: &self.turf.ground,
            face: Some(&self.face.ground),
        }
    }
}

impl Prepared<'_> {
    /// Shadows at some times, in any light; in the order of the times.
    pub fn shades(&self, times: &[DateTime<Tz>]) -> Vec<Shade> {
        let one =
            |bench: &mut OverlayScratch, at: &DateTime<Tz>| self.shade(*at, self.sun(*at), bench);
        times.par_iter().map_init(OverlayScratch::default, one).collect()
    }

    /// Shadows that were found on the same ground with other cameras: those that see what
    /// they saw are taken over, the others looked at anew.
    pub fn shades_after(&self, before: &Prepared<'_>, shades: &[Shade]) -> Vec<Shade> {
        let one = |shade: &Shade| {
            let (this, before) = (self.at(shade.at), before.at(shade.at));
            let now = this.lit.instant_shade(shade.shadows(), &shade.any_air);
            let eye = |camera: &Arc<PreparedCamera>| {
                let old = before.lit.cameras.iter().position(|old| Arc::ptr_eq(old, camera));
                let known = old.and_then(|old| shade.any_air.eyes.get(old));
                known.cloned().unwrap_or_else(|| camera.eye.shade(&now))
            };
            let eyes = this.lit.cameras.iter().map(eye).collect();
            let any_air = AnyAir { eyes, ..shade.any_air.clone() };
            Shade { any_air, ..shade.clone() }
        };
        shades.par_iter().map(one).collect()
    }

    /// Shadows at one time under a sun in a stated place.
    pub(super) fn shade(
        &self,
        at: DateTime<Tz>,
        (sun, state): (Sun, SunState),
        bench: &mut OverlayScratch,
    ) -> Shade {
        let this = self.at(at);
        let turf = this.plane(&this.turf, &sun, state, bench);
        let face = this.plane(&this.face, &sun, state, bench);
        let reach = match state {
            SunState::Up => this.lit.scene.reach(&turf.ground, sun.toward()),
            _ => SunReach::default(),
        };
        let shadows =
            Shadows { toward_sun: sun.toward(), turf: &turf.ground, face: Some(&face.ground) };
        let any_air = this.lit.any_air(shadows, reach);
        Shade { at, sun: (sun, state), turf, face, any_air }
    }

    fn plane(
        &self,
        casters: &Casters,
        sun: &Sun,
        state: SunState,
        bench: &mut OverlayScratch,
    ) -> PlaneShade {
        let up = state == SunState::Up;
        let (shadow, ground) = match up {
            true => {
                let toward = sun.toward();
                (casters.field.cast(toward, bench), casters.ground.cast(toward, bench))
            }
            false => (casters.field.darkness(), casters.ground.darkness()),
        };
        let AreaShares { playing_area, surrounds, zones } = match up {
            true => self.areas.shares(&shadow, &ground),
            false => self.areas.dark(),
        };
        let outline = self.venue.field.outline.exterior();
        PlaneShade {
            edge: match up {
                true => edge_of(&casters.field, &shadow, sun, outline),
                false => Vec::new(),
            },
            field: if up { shadow.field_share() } else { ShadeShare::ALL_SHADE },
            playing_area,
            surrounds,
            zones,
            shadow,
            ground,
        }
    }
}
