//! Runs the stages over a window of time.
//!
//! In: a [`Prepared`] venue and [`Settings`]. Out: a [`MatchPlan`]. Instants are independent
//! of each other and run in parallel, in order in the result.

use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use super::model::{Instant, MatchPlan, SkyGrid};
use super::prepared::Prepared;
use super::settings::{PlanError, Settings, times};
use crate::camera::{CameraView, Present};
use crate::geometry::OverlayScratch;
use crate::light::{Overhead, Sky};
use crate::solar;
use crate::venue::Venue;

impl Prepared<'_> {
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
            covers: self.lit.cameras.iter().map(|camera| camera.cover.clone()).collect(),
            sky_view: self.at(settings.from).sky_view(),
        }
    }

    /// Sky view factors over the field of play.
    fn sky_view(&self) -> SkyGrid {
        let places = self.lit.scene.places();
        let on_field = places.at().iter().take(places.inside()).copied();
        SkyGrid {
            spacing_m: places.step_m(),
            places: on_field.zip(self.lit.scene.sky_views().iter().copied()).collect(),
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
                let instant = self.ranged_under(at, &skies, bench);
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
