//! A day's order of play: the plan that follows play from field to field.
//!
//! In: a [`Site`] with its [`Order`], the plan and the brief of each field on which something
//! is played. Out: [`DayOrder`]: the stretches in which a field is on air, how its cameras stand
//! when the programme comes there, and what to do while it is there. Cameras that serve several
//! fields say what changes when they turn from one to the other.

#[cfg(feature = "cli")]
pub mod command;
pub mod data;
#[cfg(feature = "cli")]
pub mod options;
pub mod page;
pub mod picture;
pub mod report;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::base::units::{Luminance, Stops};
use crate::camera::{LensRange, Verdict};
use crate::engine::{self, MatchPlan, Prepared};
use crate::jobs::crew::{self, Brief, BriefError, BriefSettings, Cue, Urgency};
use crate::light::{Air, Sky};
use crate::venue::Venue;
use crate::venue::site::{OnAir, Order, Site, SiteMatch};

/// The day of a site.
#[derive(Debug)]
pub struct DayOrder<'a> {
    pub site: &'a Site,
    pub order: &'a Order,
    /// Of each field of the site; `None` where nothing is played.
    pub fields: Vec<Option<FieldDay>>,
    /// In order of time.
    pub stretches: Vec<OnAirStretch>,
}

/// A field through its day.
#[derive(Debug)]
pub struct FieldDay {
    /// As it stands at its first match.
    pub venue: Venue,
    pub plan: MatchPlan,
    /// `None` without cameras.
    pub brief: Option<Brief>,
}

/// A field while it is on air.
#[derive(Debug, Clone)]
pub struct OnAirStretch {
    pub on_air: OnAir,
    /// Names of the matches that run on it meanwhile, or start within the stretch.
    pub matches: Vec<String>,
    /// In the order of the field's cameras.
    pub cameras: Vec<OnArrival>,
    /// What the brief of the field says for the stretch, and what is to be set on it while it
    /// is off air before that; in order of time.
    pub cues: Vec<StretchCue>,
}

/// A cue of the field's brief.
#[derive(Debug, Clone)]
pub struct StretchCue {
    pub cue: Cue,
    /// Whether its field is on air then.
    pub on_air: bool,
}

/// How a camera is set when the programme comes to its field.
#[derive(Debug, Clone, PartialEq)]
pub struct OnArrival {
    pub name: String,
    pub setting: ArrivalSetting,
    /// Sun over shade of its playing surface, where both are in its cover.
    pub split: Option<Stops>,
    /// Where it worked before, if that is another field.
    pub comes_from: Option<ComesFrom>,
}

/// What a camera is set to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArrivalSetting {
    pub nd_stops: f64,
    pub gain_db: f64,
    /// T-number of the one iris that has to serve.
    pub one_t: f64,
    /// For the sunlit side; `None` without direct sun.
    pub sun_t: Option<f64>,
    pub shade_t: f64,
    /// What the lens has of it.
    pub lens: LensRange,
    pub verdict: Verdict,
    /// At white with that iris.
    pub white: Luminance,
}

/// What a camera of the site is set to where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct ComesFrom {
    /// Index of [`Site::fields`].
    pub field: usize,
    pub at: DateTime<Tz>,
    pub setting: ArrivalSetting,
}

impl OnArrival {
    /// How much brighter its picture is than where it comes from, with nothing changed.
    pub fn brighter(&self) -> Option<Stops> {
        let before = self.comes_from.as_ref()?.setting.white;
        let ratio = self.setting.white.cd_per_m2() / before.cd_per_m2();
        (ratio > 0.0 && ratio.is_finite()).then(|| Stops::from_stops(ratio.log2()))
    }
}

/// What the day is planned for.
#[derive(Debug, Clone)]
pub struct OrderSettings {
    pub sky: Sky,
    pub air: Air,
    pub step: TimeDelta,
}

/// Plans the day; `progress` hears of each field that is done.
///
/// # Errors
/// [`OrderError`] where a field cannot be planned.
pub fn day<'a>(
    site: &'a Site,
    order: &'a Order,
    settings: &OrderSettings,
    progress: impl Fn(usize, usize),
) -> Result<DayOrder<'a>, OrderError> {
    let mut fields = Vec::new();
    for (index, field) in site.fields.iter().enumerate() {
        progress(index, site.fields.len());
        let planned = field_day(&field.venue, order, index, settings);
        fields.push(planned.map_err(|why| OrderError { field: field.name.clone(), why })?);
    }
    progress(site.fields.len(), site.fields.len());
    let stretches = stretches(site, order, &fields);
    Ok(DayOrder { site, order, fields, stretches })
}

/// Why a day cannot be planned.
#[derive(Debug, thiserror::Error)]
#[error("\"{field}\": {why}")]
pub struct OrderError {
    field: String,
    why: FieldError,
}

#[derive(Debug, thiserror::Error)]
enum FieldError {
    #[error(transparent)]
    Plan(#[from] engine::PlanError),
    #[error(transparent)]
    Brief(#[from] BriefError),
}

fn field_day(
    venue: &Venue,
    order: &Order,
    index: usize,
    settings: &OrderSettings,
) -> Result<Option<FieldDay>, FieldError> {
    let plays = || order.plays.iter().filter(|play| play.field == index);
    let on_air = || order.on_air.iter().filter(|on_air| on_air.field == index);
    let Some(start) = plays().map(|play| play.from).min() else { return Ok(None) };
    let programme = engine::programme(venue);
    let minutes = |minutes: u32| TimeDelta::minutes(minutes.into());
    let first = on_air().map(|on_air| on_air.from).fold(start, DateTime::min);
    let ends = plays().map(|play| play.until).chain(on_air().map(|on_air| on_air.until));
    let last = ends.fold(start, DateTime::max);
    let venue = venue.at(start).into_owned();
    let prepared = Prepared::new(&venue, order.date);
    let plan = prepared.run(
        &engine::Settings {
            from: first - minutes(programme.lead_in_min),
            until: last + minutes(programme.tail_min),
            step: settings.step,
            sky: settings.sky,
            air: settings.air,
            hold: Stops::from_stops(engine::DEFAULT_HOLD_STOPS),
            milestones: programme.milestones_from(start),
        },
        |_, _| {},
    )?;
    let brief = match venue.cameras.is_empty() {
        true => None,
        false => Some(crew::brief(&prepared, &plan, &BriefSettings::default())?),
    };
    drop(prepared);
    Ok(Some(FieldDay { venue, plan, brief }))
}

fn stretches(site: &Site, order: &Order, fields: &[Option<FieldDay>]) -> Vec<OnAirStretch> {
    // where each camera of the site worked last: field, and the end of that stretch
    let mut worked: Vec<(String, usize, DateTime<Tz>)> = Vec::new();
    let mut all: Vec<OnAirStretch> = Vec::new();
    for on_air in &order.on_air {
        let Some(day) = fields.get(on_air.field).and_then(Option::as_ref) else { continue };
        let meets = |play: &&SiteMatch| {
            play.field == on_air.field && play.from < on_air.until && play.until > on_air.from
        };
        let matches = order.plays.iter().filter(meets).map(|play| play.name.clone()).collect();
        let mut cameras = Vec::new();
        for camera in &day.venue.cameras {
            let Some(setting) = setting(day, &camera.name, on_air.from) else { continue };
            let before = worked.iter().find(|(name, ..)| *name == camera.name);
            let before = before.filter(|(_, field, _)| *field != on_air.field);
            let comes_from = before.and_then(|(name, field, at)| {
                let setting = self::setting(fields.get(*field)?.as_ref()?, name, *at)?;
                Some(ComesFrom { field: *field, at: *at, setting })
            });
            let split = split(day, &camera.name, on_air.from);
            cameras.push(OnArrival { name: camera.name.clone(), setting, split, comes_from });
        }
        for name in site.fields.get(on_air.field).iter().flat_map(|field| &field.served_by) {
            worked.retain(|(known, ..)| known != name);
            worked.push((name.clone(), on_air.field, on_air.until));
        }
        let earlier = all.iter().rev().find(|stretch| stretch.on_air.field == on_air.field);
        let since = earlier.map(|stretch| stretch.on_air.until);
        let served = site.fields.get(on_air.field).map_or(&[][..], |field| &field.served_by);
        let cues = cues(day, on_air, (since, served));
        all.push(OnAirStretch { on_air: on_air.clone(), matches, cameras, cues });
    }
    all
}

/// Cues of a stretch, and what is to be set in the field's own cameras after it went off air
/// before: those of the site may be elsewhere then, and are set when they turn to it.
fn cues(
    day: &FieldDay,
    on_air: &OnAir,
    (since, served): (Option<DateTime<Tz>>, &[String]),
) -> Vec<StretchCue> {
    let of_site = |camera: &usize| {
        day.venue.cameras.get(*camera).is_some_and(|camera| served.contains(&camera.name))
    };
    let all = day.brief.iter().flat_map(|brief| &brief.cues);
    let told = all.filter_map(|cue| {
        let is_on = on_air.from <= cue.at && cue.at < on_air.until;
        let before = cue.at < on_air.from && since.is_none_or(|since| since <= cue.at);
        let own = cue.urgency == Urgency::AtBreak && !cue.cameras.iter().all(of_site);
        (is_on || (before && own)).then(|| StretchCue { cue: cue.clone(), on_air: is_on })
    });
    told.collect()
}

/// The instant of a field's plan that a time belongs to.
fn index_at(day: &FieldDay, at: DateTime<Tz>) -> usize {
    let after = day.plan.instants.partition_point(|instant| instant.at <= at);
    after.saturating_sub(1)
}

fn camera_of(day: &FieldDay, name: &str) -> Option<usize> {
    day.venue.cameras.iter().position(|camera| camera.name == name)
}

fn split(day: &FieldDay, name: &str, at: DateTime<Tz>) -> Option<Stops> {
    let instant = day.plan.instants.get(index_at(day, at))?;
    instant.cameras.get(camera_of(day, name)?)?.turf.state.in_shot()
}

fn setting(day: &FieldDay, name: &str, at: DateTime<Tz>) -> Option<ArrivalSetting> {
    let brief = day.brief.as_ref()?;
    let camera = camera_of(day, name)?;
    let camera = brief.cameras.iter().find(|brief| brief.camera == camera)?;
    let index = index_at(day, at);
    let exposure = camera.exposures.get(index).copied().flatten()?;
    let set = camera.setting_at(&brief.spans, index)?;
    let t = |white| camera.t_at(&brief.spans, index, white);
    Some(ArrivalSetting {
        nd_stops: set.nd_stops,
        gain_db: set.gain_db,
        one_t: t(exposure.one.white)?,
        sun_t: exposure.sun.and_then(t),
        shade_t: t(exposure.shade)?,
        lens: camera.rig_at(index).lens(),
        verdict: exposure.verdict,
        white: exposure.one.white,
    })
}
