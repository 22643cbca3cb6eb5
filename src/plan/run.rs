//! Runs the stages over a window of time.
//!
//! In: a venue and [`Settings`]. Out: a [`MatchPlan`]. Everything that depends
//! on the venue alone is prepared once; instants are independent of each other
//! and run in parallel, in order in the result.

use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use geo::{MultiPolygon, Polygon};
use rayon::prelude::*;

use super::model::{FieldLight, Instant, MatchPlan, Milestone, PlaneShade, SkyGrid};
use super::range;
use crate::base::limits::MAX_INSTANTS;
use crate::camera::{
    CameraEye, CameraView, Cover, CoverShade, InstantLight, Present, SamePlaces, cover_ground,
};
use crate::geometry::{
    Caster, FACE_HEIGHT_M, Obstacle, Region, ShadeShare, TURF_HEIGHT_M, Workbench, ZoneRegion,
    edge_of,
};
use crate::light::{
    Air, AirRange, Daylight, Faces, Floodlit, Lamps, Receivers, Scene, Sharing, Sky, SkyLight,
    SunReach, Tristimulus,
};
use crate::solar::{self, Sun, SunState};
use crate::units::Stops;
use crate::venue::Venue;

/// What floodlights are asked to hold where nobody says otherwise: the limit over
/// which one exposure serves only one side (common practice, no source).
pub const USUAL_HOLD_STOPS: f64 = 2.0;

/// What to plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// First instant.
    pub from: DateTime<Tz>,
    /// Last instant; included when a whole number of steps away. The same as the first
    /// for a plan of one instant.
    pub until: DateTime<Tz>,
    pub step: TimeDelta,
    pub sky: Sky,
    pub air: Air,
    /// What the floodlight is asked to hold splits under.
    pub hold: Stops,
    /// Moments to mark, in order.
    pub milestones: Vec<Milestone>,
}

/// Why a plan cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The window runs backward.
    #[error("the window ends at {until}, before it begins at {from}; give a later end")]
    EmptyWindow { from: DateTime<Tz>, until: DateTime<Tz> },
    /// The step is not positive.
    #[error("a step of {seconds} s does not lead forward; give at least 1 s")]
    Step { seconds: i64 },
    /// More instants than fit.
    #[error(
        "the window holds {count} steps, more than {MAX_INSTANTS}; take a longer step or a shorter window"
    )]
    TooMany { count: i64 },
}

/// A venue prepared for one day: everything that no instant changes.
pub struct Prepared<'v> {
    pub(super) venue: &'v Venue,
    pub(super) turf: Casters,
    face: Casters,
    playing_area: Region,
    surrounds: Region,
    zones: Vec<ZoneRegion>,
    pub(super) covers: Vec<Cover>,
    pub(super) eyes: Vec<CameraEye>,
    faces: Receivers,
    same: SamePlaces,
    pub(super) scene: Scene,
}

/// What lies in shade at one time, and what the sun reaches.
struct Shade {
    turf: PlaneShade,
    face: PlaneShade,
    any_air: AnyAir,
}

/// What sun and shadows do at one time in any air.
pub(super) struct AnyAir {
    reach: SunReach,
    /// Shade of the covers of the cameras.
    covers: Vec<CoverShade>,
}

/// The same, lent.
struct Shaded<'a> {
    turf: &'a PlaneShade,
    face: &'a PlaneShade,
    any_air: &'a AnyAir,
}

impl Shade {
    fn all(&self) -> Shaded<'_> {
        Shaded { turf: &self.turf, face: &self.face, any_air: &self.any_air }
    }
}

/// What is lit at one time.
struct LitInstant {
    daylight: Daylight,
    lamps: Lamps,
    field_light: FieldLight,
    cameras: Vec<CameraView>,
    faces: Vec<Vec<Option<Tristimulus>>>,
}

impl LitInstant {
    fn instant(
        self,
        at: DateTime<Tz>,
        (sun, sun_state): (Sun, SunState),
        (turf, face): (PlaneShade, PlaneShade),
    ) -> Instant {
        let Self { daylight, lamps, field_light, cameras, faces } = self;
        Instant { at, sun, sun_state, daylight, lamps, field_light, cameras, faces, turf, face }
    }
}

/// Casts on one plane.
pub(super) struct Casters {
    /// On the field of play.
    pub field: Caster,
    /// On all of the ground.
    pub ground: Caster,
}

impl Casters {
    fn new(venue: &Venue, date: NaiveDate, height_m: f64) -> Self {
        let field = Caster::new(venue, date, height_m);
        Self { ground: field.widened(venue), field }
    }
}

impl<'v> Prepared<'v> {
    /// Prepares a venue as it stands on a date (trees drop their leaves).
    pub fn new(venue: &'v Venue, date: NaiveDate) -> Self {
        Self::sharing(venue, date, Sharing::Own)
    }

    /// The same for a few cameras or, with shared faces, for hundreds.
    pub fn sharing(venue: &'v Venue, date: NaiveDate, sharing: Sharing) -> Self {
        let scene = Scene::new(venue, Obstacle::all_of(venue, date));
        let covers: Vec<Cover> = venue
            .cameras
            .par_iter()
            .map(|post| cover_ground(post, &venue.field, &venue.zones))
            .collect();
        let mut faces = Faces::new(&scene, FACE_HEIGHT_M, sharing);
        let mut eyes: Vec<CameraEye> = venue
            .cameras
            .iter()
            .zip(&covers)
            .map(|(post, cover)| CameraEye::new(post, cover, &scene, &mut faces))
            .collect();
        let faces = faces.receivers(&scene);
        eyes.iter_mut().for_each(|eye| eye.see_ground(&faces));
        Self {
            venue,
            turf: Casters::new(venue, date, TURF_HEIGHT_M),
            face: Casters::new(venue, date, FACE_HEIGHT_M),
            playing_area: region(&venue.field.playing_area),
            surrounds: region(&venue.field.surrounds),
            zones: venue
                .zones
                .iter()
                .map(|z| ZoneRegion::new(&z.outline, &venue.field.outline))
                .collect(),
            same: SamePlaces::new(&venue.field.marks, &venue.cameras, &covers, &scene),
            covers,
            eyes,
            faces,
            scene,
        }
    }

    /// Everything at one instant.
    pub fn instant(&self, at: DateTime<Tz>, sky: Sky, air: &Air, bench: &mut Workbench) -> Instant {
        self.under(at, self.sun(at), sky, air, bench)
    }

    /// The same with the range of each split for what is unknown of the air.
    pub(super) fn ranged(
        &self,
        at: DateTime<Tz>,
        sky: Sky,
        air: &Air,
        bench: &mut Workbench,
    ) -> Instant {
        let sun = self.sun(at);
        let shade = self.shade(sun, bench);
        let lit = self.lit(at, sun, sky, air, &shade.all());
        let Shade { turf, face, any_air } = shade;
        let mut instant = lit.instant(at, sun, (turf, face));
        range::add(self, (&mut instant, &any_air), sky, &AirRange::of(*air));
        instant
    }

    fn sun(&self, at: DateTime<Tz>) -> (Sun, SunState) {
        let sun = solar::position(&self.venue.place, at.with_timezone(&Utc));
        (sun, solar::state(&sun, &self.venue.horizon))
    }

    /// What sun and sky send with the sun in a stated place.
    pub(super) fn sky_light(
        &self,
        at: DateTime<Tz>,
        (sun, state): (&Sun, SunState),
        sky: Sky,
        air: &Air,
    ) -> SkyLight {
        let (dome, place) = (self.scene.dome(), &self.venue.place);
        let light = SkyLight::new(dome, sun, place, air, sky, at.ordinal());
        if state == SunState::Up { light } else { light.without_direct() }
    }

    /// Everything at one time under a sun in a stated place.
    pub fn under(
        &self,
        at: DateTime<Tz>,
        sun: (Sun, SunState),
        sky: Sky,
        air: &Air,
        bench: &mut Workbench,
    ) -> Instant {
        let shade = self.shade(sun, bench);
        let lit = self.lit(at, sun, sky, air, &shade.all());
        lit.instant(at, sun, (shade.turf, shade.face))
    }

    /// What the cameras see of an instant in another air.
    pub(super) fn views(
        &self,
        instant: &Instant,
        any_air: &AnyAir,
        sky: Sky,
        air: &Air,
    ) -> Vec<CameraView> {
        let sun = (instant.sun, instant.sun_state);
        let shade = Shaded { turf: &instant.turf, face: &instant.face, any_air };
        self.lit(instant.at, sun, sky, air, &shade).cameras
    }

    fn shade(&self, (sun, state): (Sun, SunState), bench: &mut Workbench) -> Shade {
        let turf = self.plane(&self.turf, &sun, state, bench);
        let face = self.plane(&self.face, &sun, state, bench);
        let reach = match state {
            SunState::Up => self.scene.reach(&turf.ground, sun.toward()),
            _ => SunReach::default(),
        };
        let covers = self.eyes.iter().map(|eye| eye.shade(&turf.ground, &face.ground)).collect();
        Shade { turf, face, any_air: AnyAir { reach, covers } }
    }

    /// Light at one time whose shadows are known.
    fn lit(
        &self,
        at: DateTime<Tz>,
        (sun, sun_state): (Sun, SunState),
        sky: Sky,
        air: &Air,
        shade: &Shaded<'_>,
    ) -> LitInstant {
        let sky_light = self.sky_light(at, (&sun, sun_state), sky, air);
        let floodlights = self.venue.floodlights.as_ref();
        let lamps = Lamps::at(floodlights, at, &sky_light.daylight);
        let floodlit = Floodlit::of(floodlights, lamps);
        let light = self.scene.reached(&sky_light, &shade.any_air.reach).with_lamps(floodlit);
        let covered = sky_light.covered.as_ref();
        let covered = covered.map(|change| self.scene.covered(&light, change));
        let (faces, covered_faces) = match &covered {
            Some(covered) => light.on_both(&self.faces, covered),
            None => (light.on(&self.faces), Vec::new()),
        };
        let now = InstantLight {
            light: &light,
            covered: covered.as_ref(),
            faces: &faces,
            covered_faces: &covered_faces,
            turf: &shade.turf.ground,
            face: &shade.face.ground,
        };
        let faces = self.same.at(&now);
        let eyes = self.eyes.iter().zip(&shade.any_air.covers);
        let cameras = eyes.map(|(eye, cover)| eye.view_in(&now, cover)).collect();
        let in_shade = light.turf_mean() + floodlit.horizontal;
        let sun_out = light.direct_normal.lux() > 0.0;
        let field_light = FieldLight {
            in_sun: sun_out.then(|| in_shade + light.direct_horizontal),
            in_shade,
            under_cloud: now.covered.map(|covered| covered.turf_mean() + floodlit.horizontal),
        };
        let daylight = sky_light.daylight;
        LitInstant { daylight, lamps, field_light, cameras, faces }
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
        let mut instants: Vec<Instant> = times
            .into_par_iter()
            .map_init(Workbench::default, |bench, at| {
                let instant = self.ranged(at, settings.sky, &settings.air, bench);
                progress(done.fetch_add(1, Ordering::Relaxed) + 1, all);
                instant
            })
            .collect();
        settle(&mut instants);
        Ok(MatchPlan {
            sky: settings.sky,
            air: settings.air,
            hold: settings.hold,
            milestones: settings.milestones.clone(),
            instants,
            day: solar::day(&self.venue.place, settings.from.date_naive()),
            covers: self.covers.clone(),
            sky_view: self.sky_view(),
        })
    }

    fn plane(
        &self,
        casters: &Casters,
        sun: &Sun,
        state: SunState,
        bench: &mut Workbench,
    ) -> PlaneShade {
        if state != SunState::Up {
            return PlaneShade {
                shadow: casters.field.darkness(),
                ground: casters.ground.darkness(),
                edge: Vec::new(),
                field: ShadeShare::ALL_SHADE,
                playing_area: ShadeShare::ALL_SHADE,
                surrounds: ShadeShare::ALL_SHADE,
                zones: vec![ShadeShare::ALL_SHADE; self.zones.len()],
            };
        }
        let shadow = casters.field.cast(sun.toward(), bench);
        let ground = casters.ground.cast(sun.toward(), bench);
        PlaneShade {
            edge: edge_of(&casters.field, &shadow, sun, self.venue.field.outline.exterior()),
            field: shadow.field_share(),
            playing_area: self.playing_area.share(&ground),
            surrounds: self.surrounds.share(&ground),
            zones: self.zones.iter().map(|zone| zone.share(&shadow, &ground)).collect(),
            shadow,
            ground,
        }
    }
}

fn region(area: &Polygon<f64>) -> Region {
    Region::new(&MultiPolygon(vec![area.clone()]))
}

/// Lets a side that was there stay until it is well under the limit: instants know nothing
/// of each other before.
fn settle(instants: &mut [Instant]) {
    let cameras = instants.iter().map(|i| i.cameras.len()).max().unwrap_or(0);
    let mut before = vec![[Present::NONE; 2]; cameras];
    for instant in instants {
        for (view, before) in instant.cameras.iter_mut().zip(&mut before) {
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

/// The instants of the settings; also tells how many a progress display expects.
///
/// # Errors
/// [`PlanError`] when the window or the step is no use.
pub fn times(settings: &Settings) -> Result<Vec<DateTime<Tz>>, PlanError> {
    let (from, until, step) = (settings.from, settings.until, settings.step);
    if until < from {
        return Err(PlanError::EmptyWindow { from, until });
    }
    if step < TimeDelta::seconds(1) {
        return Err(PlanError::Step { seconds: step.num_seconds() });
    }
    let count = (until - from).num_seconds() / step.num_seconds();
    if count >= MAX_INSTANTS as i64 {
        return Err(PlanError::TooMany { count });
    }
    Ok((0..=count as i32).map(|i| from + step * i).collect())
}
