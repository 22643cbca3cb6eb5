//! Light at one time whose shadows are known.
//!
//! In: a [`Prepared`] venue, its [`Shade`] at a time, sky, air and floodlights. Out: an
//! [`Instant`]: daylight, light on the field, what each camera sees, with ranges where they
//! are asked for.

use chrono::{DateTime, Datelike, Utc};
use chrono_tz::Tz;
use rayon::prelude::*;

use super::lit_venue::SumSource;
use super::model::{FieldLight, Instant};
use super::prepared::Prepared;
use super::range;
use super::range::Skies;
use super::settings::Conditions;
use super::shade::Shade;
use crate::camera::CameraView;
use crate::geometry::OverlayScratch;
use crate::light::{
    Air, Daylight, FloodlightLight, FloodlightState, Overhead, Sky, SkyLight, Sources, Tristimulus,
};
use crate::solar;
use crate::solar::{Sun, SunState};

/// What is lit at one time.
struct LitInstant {
    daylight: Daylight,
    floodlight: FloodlightState,
    field_light: FieldLight,
    cameras: Vec<CameraView>,
    faces: Vec<Vec<Option<Tristimulus>>>,
}

impl LitInstant {
    fn instant(self, shade: Shade) -> Instant {
        let Self { daylight, floodlight, field_light, cameras, faces } = self;
        let Shade { at, sun: (sun, sun_state), turf, face, .. } = shade;
        Instant {
            at,
            sun,
            sun_state,
            daylight,
            floodlight,
            field_light,
            cameras,
            faces,
            turf,
            face,
        }
    }
}

impl Prepared<'_> {
    /// Everything at one instant.
    pub fn instant(
        &self,
        at: DateTime<Tz>,
        sky: Sky,
        air: &Air,
        bench: &mut OverlayScratch,
    ) -> Instant {
        self.instant_under(at, Conditions { sky, lit: None }, air, bench)
    }

    /// The same with floodlights that a hand may have switched.
    pub fn instant_under(
        &self,
        at: DateTime<Tz>,
        Conditions { sky, lit }: Conditions,
        air: &Air,
        bench: &mut OverlayScratch,
    ) -> Instant {
        let shade = self.shade(at, self.sun(at), bench);
        self.lit((&self.overhead(sky, air), lit), &shade).instant(shade)
    }

    /// The same with the range of each split for what is unknown of the air.
    pub(crate) fn ranged(
        &self,
        at: DateTime<Tz>,
        sky: Sky,
        air: &Air,
        bench: &mut OverlayScratch,
    ) -> Instant {
        self.ranged_under(at, &self.skies(sky, air), bench)
    }

    pub(super) fn skies(&self, sky: Sky, air: &Air) -> Skies {
        Skies::new(&self.lit.scene, &self.venue.place, sky, air)
    }

    /// The same under skies that are prepared.
    pub(super) fn ranged_under(
        &self,
        at: DateTime<Tz>,
        skies: &Skies,
        bench: &mut OverlayScratch,
    ) -> Instant {
        self.lit_and_ranged(self.shade(at, self.sun(at), bench), (skies, None))
    }

    /// Floodlights as a hand has switched them, or as the file says.
    fn lit_and_ranged(
        &self,
        shade: Shade,
        (skies, floodlights_lit): (&Skies, Option<bool>),
    ) -> Instant {
        let mut lit = self.lit((&skies.assumed, floodlights_lit), &shade);
        range::add(self, (&mut lit.cameras, &shade), skies, floodlights_lit);
        lit.instant(shade)
    }

    /// Instants by themselves, each under its own conditions: those of a plan before
    /// [`Prepared::plan_of`] has put them together. In the order of `wanted`.
    pub fn instants(&self, wanted: &[(&Shade, Conditions)], air: &Air) -> Vec<Instant> {
        let mut all: Vec<(Sky, Skies)> = Vec::new();
        for (_, Conditions { sky, .. }) in wanted {
            if !all.iter().any(|(known, _)| known == sky) {
                all.push((*sky, self.skies(*sky, air)));
            }
        }
        let one = |(shade, conditions): &(&Shade, Conditions)| {
            let (_, skies) = all.iter().find(|(sky, _)| *sky == conditions.sky)?;
            Some(self.lit_and_ranged((*shade).clone(), (skies, conditions.lit)))
        };
        wanted.par_iter().flat_map_iter(one).collect()
    }

    pub(crate) fn sun(&self, at: DateTime<Tz>) -> (Sun, SunState) {
        let sun = solar::position(&self.venue.place, at.with_timezone(&Utc));
        (sun, solar::state(&sun, &self.venue.horizon))
    }

    /// What sun and sky send with the sun in a stated place.
    pub(crate) fn sky_light(
        &self,
        at: DateTime<Tz>,
        (sun, state): (&Sun, SunState),
        sky: Sky,
        air: &Air,
    ) -> SkyLight {
        self.sky_under(at, (sun, state), &self.overhead(sky, air))
    }

    pub(super) fn overhead(&self, sky: Sky, air: &Air) -> Overhead {
        Overhead::new(self.lit.scene.dome(), &self.venue.place, air, sky)
    }

    fn sky_under(
        &self,
        at: DateTime<Tz>,
        (sun, state): (&Sun, SunState),
        overhead: &Overhead,
    ) -> SkyLight {
        let light = overhead.at(self.lit.scene.dome(), sun, at.ordinal());
        if state == SunState::Up { light } else { light.without_direct() }
    }

    /// Everything at one time under a sun in a stated place.
    pub fn under(
        &self,
        at: DateTime<Tz>,
        sun: (Sun, SunState),
        sky: Sky,
        air: &Air,
        bench: &mut OverlayScratch,
    ) -> Instant {
        let shade = self.shade(at, sun, bench);
        self.lit((&self.overhead(sky, air), None), &shade).instant(shade)
    }

    /// What the cameras see of an instant in one air.
    pub(crate) fn views(
        &self,
        shade: &Shade,
        (overhead, floodlights_lit): (&Overhead, Option<bool>),
    ) -> Vec<CameraView> {
        let (sun, state) = &shade.sun;
        let sky_light = self.sky_under(shade.at, (sun, *state), overhead);
        let sources = self.sources(shade.at, &sky_light, floodlights_lit).1;
        self.at(shade.at).lit.seen(&shade.any_air, SumSource::Exact(&sources))
    }

    fn sources(
        &self,
        at: DateTime<Tz>,
        sky_light: &SkyLight,
        floodlights_lit: Option<bool>,
    ) -> (FloodlightState, Sources) {
        let floodlights = self.venue.floodlights.as_ref();
        let floodlight = self.floodlight(at, &sky_light.daylight, floodlights_lit);
        (floodlight, Sources::new(sky_light, FloodlightLight::of(floodlights, floodlight)))
    }

    /// Whether floodlights are lit, as a hand has switched them or as the file says.
    pub(crate) fn floodlight(
        &self,
        at: DateTime<Tz>,
        daylight: &Daylight,
        floodlights_lit: Option<bool>,
    ) -> FloodlightState {
        match (FloodlightState::at(self.venue.floodlights.as_ref(), at, daylight), floodlights_lit)
        {
            (FloodlightState::None, _) => FloodlightState::None,
            (_, Some(true)) => FloodlightState::Lit,
            (_, Some(false)) => FloodlightState::Off,
            (as_stated, None) => as_stated,
        }
    }

    /// Light at one time whose shadows are known.
    fn lit(
        &self,
        (overhead, floodlights_lit): (&Overhead, Option<bool>),
        shade: &Shade,
    ) -> LitInstant {
        let this = self.at(shade.at);
        let Shade { at, sun: (sun, sun_state), any_air, .. } = shade;
        let sky_light = self.sky_under(*at, (sun, *sun_state), overhead);
        let (floodlight, sources) = self.sources(*at, &sky_light, floodlights_lit);
        let field = sources.light_once(&this.field, &any_air.reach);
        let mean = |of: &[Tristimulus]| {
            of.first().copied().unwrap_or(Tristimulus::ZERO)
                + sources.straight.floodlight.horizontal
        };
        let in_shade = mean(&field.now);
        let incidence = this.lit.scene.mean_incidence(sun.toward());
        let direct = sources.straight.direct_horizontal * incidence;
        let in_sun = sources.straight.sun_is_out().then(|| in_shade + direct);
        let under_cloud = field.covered.as_deref().map(mean);
        LitInstant {
            daylight: sky_light.daylight,
            floodlight,
            field_light: FieldLight { in_sun, in_shade, under_cloud },
            cameras: this.lit.seen(any_air, SumSource::Exact(&sources)),
            faces: this.at_marks(&sources, shade),
        }
    }

    /// Light on a face turned toward each camera at each mark, floodlights counted; `None`
    /// for a camera that does not cover it. In the order of the marks, then of the cameras.
    fn at_marks(&self, sources: &Sources, shade: &Shade) -> Vec<Vec<Option<Tristimulus>>> {
        let marks = self.venue.field.marks.iter();
        let through: Vec<f64> =
            marks.map(|mark| shade.face.ground.transmission_at(mark.at).share()).collect();
        let shade = &self.lit.instant_shade(shade.shadows(), &shade.any_air);
        let shared = self.marks.as_ref().map(|marks| marks.light(sources, shade));
        let mut seen = vec![Vec::with_capacity(self.lit.cameras.len()); through.len()];
        for camera in &self.lit.cameras {
            let faces = camera.marks.at(sources, shade, (&through, shared.as_deref()));
            seen.iter_mut().zip(faces).for_each(|(seen, face)| seen.push(face));
        }
        seen
    }
}
