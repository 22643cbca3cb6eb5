//! Runs the stages over a window of time.
//!
//! In: a [`Prepared`] venue and [`Settings`]. Out: a [`MatchPlan`]. Instants are independent
//! of each other and run in parallel, in order in the result.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{DateTime, Datelike, Utc};
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::camera::{CameraView, EyeShade, InstantShade, Present};
use crate::engine::model::{FieldLight, Instant, MatchPlan, PlaneShade, SkyGrid};
use crate::engine::prepared::{AreaShares, Casters, Prepared, PreparedCamera};
use crate::engine::range;
use crate::engine::range::Skies;
use crate::engine::settings::{Conditions, PlanError, Settings, times};
use crate::geometry::{OverlayScratch, ShadeShare, edge_of};
use crate::light::{
    Air, Daylight, FloodlightLight, FloodlightState, Overhead, Sky, SkyLight, Sources, SunReach,
    Tristimulus,
};
use crate::solar;
use crate::solar::{Sun, SunState};
use crate::venue::Venue;

/// What lies in shade at one time, and what the sun reaches, in any light: an instant
/// before anything is said of its sky.
#[derive(Debug, Clone)]
pub struct Shade {
    at: DateTime<Tz>,
    sun: (Sun, SunState),
    turf: PlaneShade,
    face: PlaneShade,
    any_air: AnyAir,
}

/// What sun and shadows do at one time in any air.
#[derive(Debug, Clone)]
pub(crate) struct AnyAir {
    reach: SunReach,
    /// How much of what faces that cameras share see is ground in the sun.
    sunlit_views: Vec<[f64; 2]>,
    /// What the cameras show.
    eyes: Vec<EyeShade>,
}

impl Shade {
    pub fn at(&self) -> DateTime<Tz> {
        self.at
    }

    pub(crate) fn sun(&self) -> &Sun {
        &self.sun.0
    }
}

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
        self.ranged_under(at, (&self.skies(sky, air), None), bench)
    }

    fn skies(&self, sky: Sky, air: &Air) -> Skies {
        Skies::new(&self.scene, &self.venue.place, sky, air)
    }

    /// Under a sky, with floodlights that a hand has switched or as the file says.
    fn ranged_under(
        &self,
        at: DateTime<Tz>,
        (skies, floodlights_lit): (&Skies, Option<bool>),
        bench: &mut OverlayScratch,
    ) -> Instant {
        self.lit_and_ranged(self.shade(at, self.sun(at), bench), (skies, floodlights_lit))
    }

    fn lit_and_ranged(
        &self,
        shade: Shade,
        (skies, floodlights_lit): (&Skies, Option<bool>),
    ) -> Instant {
        let mut lit = self.lit((&skies.assumed, floodlights_lit), &shade);
        range::add(self, (&mut lit.cameras, &shade), skies, floodlights_lit);
        lit.instant(shade)
    }

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
            let now = this.instant_shade(shade);
            let eye = |camera: &Arc<PreparedCamera>| {
                let old = before.cameras.iter().position(|old| Arc::ptr_eq(old, camera));
                let known = old.and_then(|old| shade.any_air.eyes.get(old));
                known.cloned().unwrap_or_else(|| camera.eye.shade(&now))
            };
            let eyes = this.cameras.iter().map(eye).collect();
            let any_air = AnyAir { eyes, ..shade.any_air.clone() };
            Shade { any_air, ..shade.clone() }
        };
        shades.par_iter().map(one).collect()
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

    /// The plan of instants that are known, in order of time.
    pub fn plan_of(&self, settings: &Settings, mut instants: Vec<Instant>) -> MatchPlan {
        settle(instants.iter_mut().map(|instant| instant.cameras.as_mut_slice()));
        MatchPlan {
            sky: settings.sky,
            air: settings.air,
            hold: settings.hold,
            milestones: settings.milestones.clone(),
            instants,
            day: solar::day(&self.venue.place, settings.from.date_naive()),
            covers: self.cameras.iter().map(|camera| camera.cover.clone()).collect(),
            sky_view: self.at(settings.from).sky_view(),
        }
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

    fn overhead(&self, sky: Sky, air: &Air) -> Overhead {
        Overhead::new(self.scene.dome(), &self.venue.place, air, sky)
    }

    fn sky_under(
        &self,
        at: DateTime<Tz>,
        (sun, state): (&Sun, SunState),
        overhead: &Overhead,
    ) -> SkyLight {
        let light = overhead.at(self.scene.dome(), sun, at.ordinal());
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
        self.at(shade.at).seen(&sources, &shade.any_air)
    }

    fn seen(&self, sources: &Sources, any_air: &AnyAir) -> Vec<CameraView> {
        let cameras = self.cameras.iter().zip(&any_air.eyes);
        cameras.map(|(camera, shade)| camera.eye.view(sources, shade)).collect()
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

    fn shade(
        &self,
        at: DateTime<Tz>,
        (sun, state): (Sun, SunState),
        bench: &mut OverlayScratch,
    ) -> Shade {
        let this = self.at(at);
        let turf = this.plane(&this.turf, &sun, state, bench);
        let face = this.plane(&this.face, &sun, state, bench);
        let reach = match state {
            SunState::Up => this.scene.reach(&turf.ground, sun.toward()),
            _ => SunReach::default(),
        };
        let sunlit_views = this.faces.sunlit_views(&reach);
        let any_air = AnyAir { reach, sunlit_views, eyes: Vec::new() };
        let mut shade = Shade { at, sun: (sun, state), turf, face, any_air };
        let now = this.instant_shade(&shade);
        shade.any_air.eyes = this.cameras.iter().map(|camera| camera.eye.shade(&now)).collect();
        shade
    }

    fn instant_shade<'a>(&self, shade: &'a Shade) -> InstantShade<'a> {
        InstantShade {
            toward_sun: shade.sun.0.toward(),
            reach: &shade.any_air.reach,
            reflects: self.scene.ground_reflects(),
            sunlit_views: &shade.any_air.sunlit_views,
            turf: &shade.turf.ground,
            face: Some(&shade.face.ground),
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
        let incidence = this.scene.mean_incidence(sun.toward());
        let direct = sources.straight.direct_horizontal * incidence;
        let in_sun = sources.straight.sun_is_out().then(|| in_shade + direct);
        let under_cloud = field.covered.as_deref().map(mean);
        LitInstant {
            daylight: sky_light.daylight,
            floodlight,
            field_light: FieldLight { in_sun, in_shade, under_cloud },
            cameras: this.seen(&sources, any_air),
            faces: this.at_marks(&sources, shade),
        }
    }

    /// Light on a face turned toward each camera at each mark, floodlights counted; `None`
    /// for a camera that does not cover it. In the order of the marks, then of the cameras.
    fn at_marks(&self, sources: &Sources, shade: &Shade) -> Vec<Vec<Option<Tristimulus>>> {
        let marks = self.venue.field.marks.iter();
        let through: Vec<f64> =
            marks.map(|mark| shade.face.ground.transmission_at(mark.at).share()).collect();
        let shade = &self.instant_shade(shade);
        let shared = self.marks.as_ref().map(|marks| marks.light(sources, shade));
        let mut seen = vec![Vec::with_capacity(self.cameras.len()); through.len()];
        for camera in &self.cameras {
            let faces = camera.marks.at(sources, shade, (&through, shared.as_deref()));
            seen.iter_mut().zip(faces).for_each(|(seen, face)| seen.push(face));
        }
        seen
    }

    /// Sky view factors over the field of play.
    fn sky_view(&self) -> SkyGrid {
        let places = self.scene.places();
        let on_field = places.at().iter().take(places.inside()).copied();
        SkyGrid {
            spacing_m: places.step_m(),
            places: on_field.zip(self.scene.sky_views().iter().copied()).collect(),
        }
    }

    /// Runs over a window of time; see [`run`].
    ///
    /// # Errors
    /// [`PlanError`] when the window or the step is no use.
    pub fn run(
        &self,
        settings: &Settings,
        progress: impl Fn(usize, usize) + Sync,
    ) -> Result<MatchPlan, PlanError> {
        let times = times(settings)?;
        let (done, all) = (AtomicUsize::new(0), times.len());
        let skies = self.skies(settings.sky, &settings.air);
        let instants: Vec<Instant> = times
            .into_par_iter()
            .map_init(OverlayScratch::default, |bench, at| {
                let instant = self.ranged_under(at, (&skies, None), bench);
                progress(done.fetch_add(1, Ordering::Relaxed) + 1, all);
                instant
            })
            .collect();
        Ok(self.plan_of(settings, instants))
    }

    /// What the cameras see at the times of a plan under several skies, without ranges;
    /// shadows are worked out once for all of them. In the order of `skies`, then of the
    /// times, then of the cameras.
    ///
    /// # Errors
    /// [`PlanError`] when the window or the step is no use.
    pub fn views_under(
        &self,
        settings: &Settings,
        skies: &[Sky],
    ) -> Result<Vec<Vec<Vec<CameraView>>>, PlanError> {
        let overheads: Vec<Overhead> =
            skies.iter().map(|sky| self.overhead(*sky, &settings.air)).collect();
        let by_time: Vec<Vec<Vec<CameraView>>> = times(settings)?
            .into_par_iter()
            .map_init(OverlayScratch::default, |bench, at| {
                let shade = self.shade(at, self.sun(at), bench);
                overheads.iter().map(|overhead| self.views(&shade, (overhead, None))).collect()
            })
            .collect();
        let mut by_sky: Vec<Vec<Vec<CameraView>>> = skies.iter().map(|_| Vec::new()).collect();
        for under in by_time {
            by_sky.iter_mut().zip(under).for_each(|(all, views)| all.push(views));
        }
        for views in &mut by_sky {
            settle(views.iter_mut().map(Vec::as_mut_slice));
        }
        Ok(by_sky)
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

/// Lets a side that was there stay until it is well under the limit: instants know nothing
/// of each other before.
fn settle<'a>(instants: impl Iterator<Item = &'a mut [CameraView]>) {
    let mut before: Vec<[Present; 2]> = Vec::new();
    for views in instants {
        before.resize(before.len().max(views.len()), [Present::NONE; 2]);
        for (view, before) in views.iter_mut().zip(&mut before) {
            *before = [view.turf.settle(before[0]), view.subject.settle(before[1])];
        }
    }
}

/// Runs the main job. `progress` is told after each instant, from any thread,
/// how many of how many are done.
///
/// # Errors
/// [`PlanError`] when the window or the step is no use.
pub fn run(
    venue: &Venue,
    settings: &Settings,
    progress: impl Fn(usize, usize) + Sync,
) -> Result<MatchPlan, PlanError> {
    times(settings)?;
    Prepared::new(venue, settings.from.date_naive()).run(settings, progress)
}
