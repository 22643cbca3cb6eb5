//! Runs the stages over a window of time.
//!
//! In: a venue and [`Settings`]. Out: a [`MatchPlan`]. Everything that depends
//! on the venue alone is prepared once; instants are independent of each other
//! and run in parallel, in order in the result.

use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use geo::{BoundingRect, Contains, Coord, MultiPolygon, Point};
use glam::DVec3;
use rayon::prelude::*;

use super::model::{Instant, MatchPlan, Milestone, PlaneShade, SkyGrid};
use crate::camera::{CameraEye, Cover, cover};
use crate::geometry::{
    Caster, FACE_HEIGHT_M, Obstacle, Region, ShadeShare, SkyDome, TURF_HEIGHT_M, Workbench, edge_of,
};
use crate::light::{Air, Sky, daylight};
use crate::solar::{self, Sun, SunState};
use crate::venue::Venue;

/// About this many places of the field get a sky view factor.
const SKY_PLACES: f64 = 600.0;
/// A plan with more instants than this is refused.
pub const MOST_INSTANTS: usize = 100_000;

/// What to plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// First instant.
    pub from: DateTime<Tz>,
    /// Last instant; included when a whole number of steps away.
    pub until: DateTime<Tz>,
    pub step: TimeDelta,
    pub sky: Sky,
    pub air: Air,
    /// Moments to mark, in order.
    pub milestones: Vec<Milestone>,
}

/// Why a plan cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The window runs backward or has no length.
    #[error("the window ends at {until}, not after it begins at {from}; give a later end")]
    EmptyWindow { from: DateTime<Tz>, until: DateTime<Tz> },
    /// The step is not positive.
    #[error("a step of {seconds} s does not lead forward; give at least 1 s")]
    Step { seconds: i64 },
    /// More instants than fit.
    #[error(
        "the window holds {count} steps, more than {MOST_INSTANTS}; take a longer step or a shorter window"
    )]
    TooMany { count: i64 },
}

/// A venue prepared for one day: everything that no instant changes.
pub struct Prepared<'v> {
    venue: &'v Venue,
    turf: Caster,
    face: Caster,
    zones: Vec<Region>,
    covers: Vec<Cover>,
    eyes: Vec<CameraEye>,
    sky_view: SkyGrid,
}

impl<'v> Prepared<'v> {
    /// Prepares a venue as it stands on a date (trees drop their leaves).
    pub fn new(venue: &'v Venue, date: NaiveDate) -> Self {
        let obstacles = Obstacle::all_of(venue, date);
        let dome = SkyDome::new();
        let covers: Vec<Cover> = venue
            .cameras
            .par_iter()
            .map(|post| cover(post, &venue.field.outline, &venue.zones))
            .collect();
        let reflectance = venue.field.surface_reflectance;
        let eyes = venue
            .cameras
            .par_iter()
            .zip(&covers)
            .map(|(post, cover)| CameraEye::new(post, cover, &obstacles, &dome, reflectance))
            .collect();
        Self {
            venue,
            turf: Caster::new(venue, date, TURF_HEIGHT_M),
            face: Caster::new(venue, date, FACE_HEIGHT_M),
            zones: venue
                .zones
                .iter()
                .map(|z| Region::new(&MultiPolygon(vec![z.outline.clone()])))
                .collect(),
            covers,
            eyes,
            sky_view: sky_grid(venue, &obstacles, &dome),
        }
    }

    /// Everything at one instant.
    pub fn instant(&self, at: DateTime<Tz>, sky: Sky, air: &Air, bench: &mut Workbench) -> Instant {
        let place = &self.venue.place;
        let sun = solar::position(place, at.with_timezone(&Utc));
        let sun_state = solar::state(&sun, &self.venue.horizon);
        let mut light = daylight(&sun, place, air, sky, at.ordinal());
        if sun_state != SunState::Up {
            light = light.without_direct();
        }
        let turf = self.plane(&self.turf, &sun, sun_state, bench);
        let face = self.plane(&self.face, &sun, sun_state, bench);
        let view = |eye: &CameraEye| eye.view(&sun, &light, &turf.shadow, &face.shadow);
        Instant {
            at,
            sun,
            sun_state,
            daylight: light,
            cameras: self.eyes.iter().map(view).collect(),
            turf,
            face,
        }
    }

    fn plane(
        &self,
        caster: &Caster,
        sun: &Sun,
        state: SunState,
        bench: &mut Workbench,
    ) -> PlaneShade {
        if state != SunState::Up {
            return PlaneShade {
                shadow: caster.darkness(),
                edge: Vec::new(),
                field: ShadeShare::ALL_SHADE,
                zones: vec![ShadeShare::ALL_SHADE; self.zones.len()],
            };
        }
        let shadow = caster.cast(sun.toward(), bench);
        PlaneShade {
            edge: edge_of(caster, &shadow, sun, self.venue.field.outline.exterior()),
            field: shadow.field_share(),
            zones: self.zones.iter().map(|zone| zone.share(&shadow)).collect(),
            shadow,
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
    let times = times(settings)?;
    let date = settings.from.date_naive();
    let prepared = Prepared::new(venue, date);
    let (done, all) = (AtomicUsize::new(0), times.len());
    let instants = times
        .into_par_iter()
        .map_init(Workbench::default, |bench, at| {
            let instant = prepared.instant(at, settings.sky, &settings.air, bench);
            progress(done.fetch_add(1, Ordering::Relaxed) + 1, all);
            instant
        })
        .collect();
    Ok(MatchPlan {
        sky: settings.sky,
        milestones: settings.milestones.clone(),
        instants,
        day: solar::day(&venue.place, date),
        covers: prepared.covers,
        sky_view: prepared.sky_view,
    })
}

/// The instants of the settings; also tells how many a progress display expects.
///
/// # Errors
/// [`PlanError`] when the window or the step is no use.
pub fn times(settings: &Settings) -> Result<Vec<DateTime<Tz>>, PlanError> {
    let (from, until, step) = (settings.from, settings.until, settings.step);
    if until <= from {
        return Err(PlanError::EmptyWindow { from, until });
    }
    if step < TimeDelta::seconds(1) {
        return Err(PlanError::Step { seconds: step.num_seconds() });
    }
    let count = (until - from).num_seconds() / step.num_seconds();
    if count >= MOST_INSTANTS as i64 {
        return Err(PlanError::TooMany { count });
    }
    Ok((0..=count as i32).map(|i| from + step * i).collect())
}

fn sky_grid(venue: &Venue, obstacles: &[Obstacle], dome: &SkyDome) -> SkyGrid {
    let outline = &venue.field.outline;
    let Some(bounds) = outline.bounding_rect() else {
        return SkyGrid { spacing_m: 0.0, places: Vec::new() };
    };
    let spacing_m = (bounds.width() * bounds.height() / SKY_PLACES).sqrt();
    let steps = |length: f64| (length / spacing_m).ceil() as usize;
    let (columns, rows) = (steps(bounds.width()), steps(bounds.height()));
    let place = |k: usize| Coord {
        x: bounds.min().x + ((k % columns) as f64 + 0.5) * spacing_m,
        y: bounds.min().y + ((k / columns) as f64 + 0.5) * spacing_m,
    };
    let places = (0..columns * rows)
        .into_par_iter()
        .map(place)
        .filter(|&at| outline.contains(&Point(at)))
        .map(|at| {
            let view = dome.from_point(obstacles, DVec3::new(at.x, at.y, TURF_HEIGHT_M));
            (at, dome.horizontal(&view))
        })
        .collect();
    SkyGrid { spacing_m, places }
}
