//! Light: one instant for all cameras, and the plan of a match.
//!
//! In: a revision of the ground, times. Out: the numbers that `match` and `brief` write. A
//! plan is made once for all pages that ask for it; work for a ground that has moved on, or
//! for a page that has left, is dropped at the next stage.

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;
use serde::Serialize;
use tokio::sync::OnceCell;

use crate::base::units::{Luminance, Stops};
use crate::camera::{CameraView, Interval};
use crate::engine;
use crate::engine::{DEFAULT_HOLD_STOPS, MatchPlan, Milestone, Settings};
use crate::jobs::brief::report::words::{lens_key, verdict_key};
use crate::jobs::brief::report::{BriefReport, board};
use crate::jobs::crew::{Brief, BriefSettings, CameraBrief, EdgeTimes, brief};
use crate::jobs::forecast::{DayOutlook, UnderSky, skies};
use crate::jobs::matching::{self, matched_pairs};
use crate::light::{AirByDate, Sky};
use crate::output::words;
use crate::serve::ground::{Ground, PreparedGround};
use crate::serve::problem::Refused;
use crate::serve::shadow::{Fold, resolve};
use crate::weather::forecast::Forecast;

/// Plans that are kept for the present ground.
const MAX_KEPT: usize = 12;
/// Minutes from one instant to the next.
const STEPS: std::ops::RangeInclusive<u32> = 1..=60;

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Occasion {
    pub revision: u64,
    pub date: NaiveDate,
    pub start: NaiveTime,
    /// Where clocks show the start twice.
    pub fold: Option<Fold>,
    pub step_min: u32,
    pub look: Look,
    /// Number of the forecast, 0 without one.
    pub forecast: u64,
}

/// How true a plan has to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Look {
    /// Soon: what sky and stands send may be that of the revision before, where this one is
    /// not prepared, and cues come to the step of the plan. Shadows are true, and nothing is
    /// said of a forecast.
    First,
    /// As in every file.
    Whole,
}

/// Whether anybody still waits for a piece of work.
#[derive(Debug, Clone, Default)]
pub struct WorkWanted(Arc<AtomicBool>);

/// Says that nobody waits any more when it is dropped.
#[derive(Debug)]
pub struct Waiting(WorkWanted);

impl WorkWanted {
    /// To be held by who waits.
    pub fn waiting(&self) -> Waiting {
        Waiting(self.clone())
    }

    /// Goes on, or stops here.
    ///
    /// # Errors
    /// [`Refused::Busy`], which nobody reads.
    pub fn go_on(&self) -> Result<(), Refused> {
        match self.0.load(Ordering::Relaxed) {
            true => Err(Refused::Busy("nobody waits for this any more")),
            false => Ok(()),
        }
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.0.store(true, Ordering::Relaxed);
    }
}

/// A plan as JSON, made once.
type Kept = Arc<OnceCell<Arc<str>>>;

/// The plans of the present ground.
#[derive(Debug, Default)]
pub struct PlanCache(Mutex<HashMap<Occasion, Kept>>);

impl PlanCache {
    /// Lets go of plans that nobody is waiting for.
    pub fn rest(&self) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|_, place| Arc::strong_count(place) > 1);
        kept.shrink_to_fit();
    }

    /// The place of a plan; those of other revisions go.
    pub fn place(&self, occasion: &Occasion) -> Kept {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|other, _| other.revision >= occasion.revision);
        if kept.len() >= MAX_KEPT && !kept.contains_key(occasion) {
            kept.clear();
        }
        Arc::clone(kept.entry(occasion.clone()).or_default())
    }
}

/// Whether a step is one that a plan may have.
///
/// # Errors
/// [`Refused::Input`].
pub fn step(minutes: u32) -> Result<u32, Refused> {
    match STEPS.contains(&minutes) {
        true => Ok(minutes),
        false => {
            let (least, most) = (STEPS.start(), STEPS.end());
            let text = format!("step: found {minutes}; allowed: {least} to {most} minutes");
            Err(Refused::input(text))
        }
    }
}

fn settings(
    ground: &Ground,
    (from, until): (DateTime<Tz>, DateTime<Tz>),
    step: TimeDelta,
    milestones: Vec<Milestone>,
) -> Settings {
    Settings {
        from,
        until,
        step,
        sky: Sky::Clear,
        air: AirByDate::of_venue(&ground.venue).on(from.date_naive()),
        hold: Stops::from_stops(DEFAULT_HOLD_STOPS),
        milestones,
    }
}

/// Runs the plan and the brief of some settings and hands both over.
fn planned<T>(
    prepared: impl FnOnce() -> Arc<PreparedGround>,
    (settings, edge_times): (&Settings, EdgeTimes),
    go_on: &dyn Fn() -> Result<(), Refused>,
    tell: impl FnOnce(&MatchPlan, &Brief) -> Result<T, Refused>,
) -> Result<T, Refused> {
    go_on()?;
    let prepared = prepared();
    let prepared = prepared.borrow_dependent();
    go_on()?;
    let plan = prepared.run(settings, |_, _| {}).map_err(|e| Refused::input(e.to_string()))?;
    go_on()?;
    let briefed = BriefSettings { edge_times, ..BriefSettings::default() };
    let brief = brief(prepared, &plan, &briefed);
    let brief = brief.map_err(|e| Refused::input(e.to_string()))?;
    go_on()?;
    tell(&plan, &brief)
}

/// Plan and brief of one instant.
///
/// # Errors
/// As [`board()`], and what `tell` refuses.
pub fn planned_at<T>(
    ground: &Ground,
    at: DateTime<Tz>,
    go_on: &dyn Fn() -> Result<(), Refused>,
    tell: impl FnOnce(&MatchPlan, &Brief) -> Result<T, Refused>,
) -> Result<T, Refused> {
    let settings = settings(ground, (at, at), TimeDelta::minutes(1), Vec::new());
    let prepared = || ground.prepared(at.date_naive());
    planned(prepared, (&settings, EdgeTimes::ToTheSecond), go_on, tell)
}

/// The settings of an occasion.
fn of_match(ground: &Ground, occasion: &Occasion) -> Result<(Settings, EdgeTimes), Refused> {
    let venue = &ground.venue;
    let start = resolve(venue, occasion.date.and_time(occasion.start), occasion.fold)?;
    let programme = engine::programme(venue);
    let window = programme.window_from(start);
    let step = TimeDelta::minutes(occasion.step_min.into());
    let edge_times = match occasion.look {
        Look::First => EdgeTimes::ToTheStep,
        Look::Whole => EdgeTimes::ToTheSecond,
    };
    Ok((settings(ground, window, step, programme.milestones_from(start)), edge_times))
}

/// Which pair of cameras is hard to cut when, as SVG.
///
/// # Errors
/// As [`board()`]; also where no two cameras see a place in common.
pub fn matching(
    ground: &Ground,
    occasion: &Occasion,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<String, Refused> {
    let (settings, _) = of_match(ground, occasion)?;
    let prepared = || ground.prepared(occasion.date);
    planned(prepared, (&settings, EdgeTimes::ToTheStep), go_on, |plan, brief| {
        let pairs = matched_pairs(&ground.venue, plan, brief);
        go_on()?;
        if pairs.pairs.is_empty() {
            let text = "no two cameras see a place in common, so there is no pair to match";
            return Err(Refused::input(text));
        }
        let report = matching::report::MatchingReport { venue: &ground.venue, plan, pairs: &pairs };
        let picture = matching::picture::matrix(&report);
        picture.map(|picture| picture.svg).map_err(|e| Refused::Internal(e.to_string()))
    })
}

/// The data of the interactive page of a match, as JSON.
///
/// # Errors
/// [`Refused`] for times that are none, a ground without cameras, or work that nobody
/// wants any more.
pub fn board(
    ground: &Ground,
    occasion: &Occasion,
    forecast: Option<&Forecast>,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<Arc<str>, Refused> {
    let (settings, edge_times) = of_match(ground, occasion)?;
    let prepared = || match occasion.look {
        Look::First => ground.prepared_roughly(occasion.date),
        Look::Whole => ground.prepared(occasion.date),
    };
    planned(prepared, (&settings, edge_times), go_on, |plan, brief| {
        let day = match forecast.filter(|_| occasion.look == Look::Whole) {
            Some(forecast) => Some(outlook(ground, &settings, forecast, (plan, brief))?),
            None => None,
        };
        go_on()?;
        let report =
            BriefReport { venue: &ground.venue, plan, brief, forecast: day.as_ref(), hidden: &[] };
        let data = board::data(&report).map_err(|e| Refused::Internal(e.to_string()))?;
        Ok(data.into())
    })
}

/// What a forecast means for a plan.
fn outlook(
    ground: &Ground,
    settings: &Settings,
    forecast: &Forecast,
    made: (&MatchPlan, &Brief),
) -> Result<DayOutlook, Refused> {
    let (venue, airs) = (&ground.venue, AirByDate::from(settings.air));
    let window = (settings.from.to_utc(), settings.until.to_utc());
    let states = skies(forecast, &venue.place, &airs, window);
    let wanted: Vec<Sky> = states.iter().map(|state| state.sky()).collect();
    let prepared = ground.prepared(settings.from.date_naive());
    let views = prepared.borrow_dependent().views_under(settings, &wanted);
    let views = views.map_err(|e| Refused::input(e.to_string()))?;
    let under = states.into_iter().zip(views).map(|(state, views)| UnderSky { state, views });
    let under: Vec<UnderSky> = under.collect();
    Ok(DayOutlook::new(forecast, venue, &airs, &under, made))
}

/// Light of one instant.
#[derive(Debug, Serialize)]
pub struct LiveInstantOut {
    revision: u64,
    at: String,
    zone_name: String,
    /// On the turf, mean over the field of play, lx; none without direct sun.
    field_in_sun_lx: Option<f64>,
    field_in_shade_lx: f64,
    cameras: Vec<CameraOut>,
}

/// What one camera sees; stops and shares as `match` writes them.
#[derive(Debug, Serialize)]
struct CameraOut {
    name: String,
    split_stops: Option<Ranged>,
    state: &'static str,
    side: Option<&'static str>,
    subject_split_stops: Option<Ranged>,
    subject_state: &'static str,
    colour_mired: Option<f64>,
    in_frame_shaded_share: Option<f64>,
    /// Widest and narrowest that the lens has: an iris that is asked for wider is wide open,
    /// one that is asked for narrower is closed all the way.
    t_lens: [f64; 2],
    t_sun: Option<f64>,
    t_shade: Option<f64>,
    nd_stops: Option<f64>,
    verdict: &'static str,
    sun_in_lens: &'static str,
}

/// A number with the 10th and 90th percentile of what is unknown of the air.
#[derive(Debug, Serialize)]
struct Ranged {
    value: f64,
    low: Option<f64>,
    high: Option<f64>,
}

/// Light of one instant for all cameras.
///
/// # Errors
/// As [`board()`].
pub fn instant(
    ground: &Ground,
    at: DateTime<Tz>,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<LiveInstantOut, Refused> {
    planned_at(ground, at, go_on, |plan, brief| {
        let instant = plan.instants.first();
        let instant = instant.ok_or_else(|| Refused::Internal("a plan without instants".into()))?;
        let cameras = brief.cameras.iter().filter_map(|camera| {
            let view = instant.cameras.get(camera.camera)?;
            let name = ground.venue.cameras.get(camera.camera)?.name.clone();
            Some(camera_out(name, brief, camera, view))
        });
        Ok(LiveInstantOut {
            revision: ground.revision,
            at: words::local_time(at),
            zone_name: at.format("%Z").to_string(),
            field_in_sun_lx: instant.field_light.in_sun.map(|light| light.lux()),
            field_in_shade_lx: instant.field_light.in_shade.lux(),
            cameras: cameras.collect(),
        })
    })
}

fn camera_out(name: String, brief: &Brief, camera: &CameraBrief, view: &CameraView) -> CameraOut {
    let ranged = |split: &crate::camera::Split| {
        let range: Option<Interval> = split.range.as_ref().and_then(|range| range.stops);
        let (low, high) = (range.map(|r| r.low), range.map(|r| r.high));
        words::stops(split.state).map(|value| Ranged { value, low, high })
    };
    let exposure = camera.exposures.first().copied().flatten();
    let t = |white: Luminance| camera.t_at(&brief.spans, 0, white);
    let lens = camera.rig_at(0).lens();
    CameraOut {
        name,
        split_stops: ranged(&view.turf),
        state: words::split_state(view.turf.state),
        side: words::side(view.turf.state),
        subject_split_stops: ranged(&view.subject),
        subject_state: words::split_state(view.subject.state),
        colour_mired: view.turf.colour().map(|gap| gap.mired),
        in_frame_shaded_share: view.shaded_share.is_finite().then_some(view.shaded_share),
        t_lens: [lens.widest_t, lens.narrowest_t],
        t_sun: exposure.and_then(|e| e.sun).and_then(t),
        t_shade: exposure.map(|e| e.shade).and_then(t),
        nd_stops: camera.setting_at(&brief.spans, 0).map(|setting| setting.nd_stops),
        verdict: verdict_key(exposure.map(|e| e.verdict)),
        sun_in_lens: camera.lens.first().map_or("clear", |lens| lens_key(lens.state)),
    }
}
