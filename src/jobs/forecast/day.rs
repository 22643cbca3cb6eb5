//! The forecast of the day over a match.
//!
//! In: a [`Forecast`], what the cameras see of a match under each sky that it holds possible,
//! the plan and the brief of the clear one. Out: a [`DayOutlook`]: likelihood of sun and expected splits
//! minute by minute, stretches of the day that ask for the same, what to set for either, and
//! when the forecast stops telling anything.

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::camera::{CameraView, LensRange, exposure};
use crate::engine::MatchPlan;
use crate::jobs::clouds::field::{CloudField, CloudKind};
use crate::jobs::clouds::outlook::{HOUR_MIN, Reach};
use crate::jobs::clouds::spells::Coming;
use crate::jobs::crew::{Brief, CameraBrief};
use crate::jobs::match_plan::play::PlaySpan;
use crate::light::AirByDate;
use crate::venue::{Place, Venue};
use crate::weather::forecast::{Forecast, ForecastGap, ForecastSky, MemberAgreement};
use crate::weather::{SkyCover, Spread, States};

/// Odds of sun from which on sun is expected, and as little of cloud (common practice, no
/// source).
const SURE: f64 = 0.9;
/// Share of broken skies from which on the light is expected to change (no source).
const CHANGING: f64 = 0.5;
/// Odds under which a sky is not planned for.
const NEGLIGIBLE: f64 = 0.005;
/// Stretches shorter than this join the one before: nobody prepares anew for them.
const MIN_LENGTH_MIN: i64 = 10;

/// What to expect of the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Expect {
    Sun,
    Cloud,
    /// Sun and cloud in turn.
    Changing,
    /// One of them, nobody knows which.
    Either,
    /// The forecast tells nothing.
    Unknown,
}

impl Expect {
    fn of(sky: &ForecastSky) -> Self {
        let Some(states) = sky.states else { return Self::Unknown };
        match states.sun() {
            _ if sky.telling == MemberAgreement::Disagree => Self::Either,
            sun if sun >= SURE => Self::Sun,
            sun if sun <= 1.0 - SURE => Self::Cloud,
            _ if sky.changing() >= CHANGING => Self::Changing,
            _ => Self::Either,
        }
    }

    /// As files name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sun => "sun",
            Self::Cloud => "cloud",
            Self::Changing => "changing",
            Self::Either => "either",
            Self::Unknown => "unknown",
        }
    }
}

/// What the cameras see of a match under one sky: by instant, then by camera.
#[derive(Debug, Clone)]
pub struct UnderSky {
    pub state: SkyCover,
    pub views: Vec<Vec<CameraView>>,
}

impl UnderSky {
    fn view(&self, index: usize, camera: usize) -> Option<&CameraView> {
        self.views.get(index)?.get(camera)
    }
}

/// One instant.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastMinute {
    pub at: DateTime<Tz>,
    pub sky: ForecastSky,
    pub expect: Expect,
    /// By camera: the wider of its splits in shot, stops, 0 without an edge in shot, over
    /// the skies that are possible.
    pub splits: Vec<Spread>,
    /// By camera, in the order of the brief; `None` where it sees nothing of the field.
    pub either: Vec<Option<Either>>,
}

/// T-numbers for white at an instant in either light, with the ND of the brief.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Either {
    /// In the sun and in shade, under a clear sky.
    pub sun_t: Option<f64>,
    pub shade_t: Option<f64>,
    /// Where cloud covers all.
    pub cloud_t: Option<f64>,
}

/// A stretch of time that asks for the same.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastStretch {
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
    pub expect: Expect,
    /// Mean odds of sun, and the least 10th and the greatest 90th percentile of members.
    pub sun: Option<(f64, f64, f64)>,
    /// Changes an hour, where the light is expected to change.
    pub changes_per_hour: Option<Spread>,
}

/// What a camera sets for either light in a run of play, with one ND.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadySetting {
    pub camera: usize,
    pub run: String,
    pub nd_stops: f64,
    /// T-numbers at the middle of the run: in the sun, in shade under a clear sky, and where
    /// cloud covers all.
    pub sun_t: Option<f64>,
    pub shade_t: Option<f64>,
    pub cloud_t: Option<f64>,
    /// Under cloud at the first and the last instant of the run.
    pub cloud_ends_t: Option<(f64, f64)>,
    /// What the lens has of them.
    pub lens: LensRange,
    pub in_reach: Reach,
}

/// The day.
#[derive(Debug, Clone, PartialEq)]
pub struct DayOutlook {
    pub members: usize,
    pub minutes: Vec<ForecastMinute>,
    pub stretches: Vec<ForecastStretch>,
    pub ready: Vec<ReadySetting>,
    pub gaps: Vec<ForecastGap>,
    /// From then on the forecast tells nothing any more; `None` where it does to the end.
    pub silent_from: Option<DateTime<Tz>>,
}

/// Skies to plan for: those that a forecast holds possible somewhere in a match, the clear
/// and the overcast one always, in the order of [`SkyCover::ALL`].
pub fn skies(
    forecast: &Forecast,
    place: &Place,
    airs: &AirByDate,
    (from, until): (DateTime<Utc>, DateTime<Utc>),
) -> Vec<SkyCover> {
    let steps = ((until - from).num_minutes() / MIN_LENGTH_MIN).max(0) as i32;
    let times = (0..=steps).map(|i| from + TimeDelta::minutes(MIN_LENGTH_MIN) * i);
    let found: Vec<States> = times.filter_map(|at| forecast.at(place, airs, at).states).collect();
    let possible = |state: &SkyCover| {
        let always = matches!(state, SkyCover::Clear | SkyCover::Overcast);
        always || found.iter().any(|s| s.share(*state) > NEGLIGIBLE)
    };
    SkyCover::ALL.into_iter().filter(possible).collect()
}

impl DayOutlook {
    /// Over a match; `skies`, the clear and the overcast one among them, are of the same
    /// instants as plan and brief.
    pub fn new(
        forecast: &Forecast,
        venue: &Venue,
        airs: &AirByDate,
        skies: &[UnderSky],
        (plan, brief): (&MatchPlan, &Brief),
    ) -> Self {
        let times: Vec<DateTime<Tz>> = plan.instants.iter().map(|i| i.at).collect();
        let minute = |(index, at): (usize, &DateTime<Tz>)| {
            let sky = forecast.at(&venue.place, airs, at.to_utc());
            let splits = splits(skies, index, sky.states);
            let either = brief.cameras.iter().map(|c| either(skies, venue, (c, brief), index));
            ForecastMinute {
                at: *at,
                expect: Expect::of(&sky),
                sky,
                splits,
                either: either.collect(),
            }
        };
        let minutes: Vec<ForecastMinute> = times.iter().enumerate().map(minute).collect();
        let tells = |m: &ForecastMinute| {
            !matches!(m.sky.telling, MemberAgreement::Nothing | MemberAgreement::Disagree)
        };
        let silent = minutes.iter().rposition(tells).map_or(0, |last| last + 1);
        let ends = times.first().zip(times.last());
        Self {
            members: forecast.members.len(),
            stretches: stretches(&minutes),
            ready: ready(&minutes, brief),
            gaps: ends.map_or_else(Vec::new, |(a, b)| forecast.gaps(a.to_utc(), b.to_utc())),
            silent_from: minutes.get(silent).map(|m| m.at),
            minutes,
        }
    }
}

/// By camera, over the skies of an instant.
fn splits(skies: &[UnderSky], index: usize, states: Option<States>) -> Vec<Spread> {
    let Some(states) = states else { return Vec::new() };
    let cameras = skies.first().and_then(|sky| sky.views.first()).map_or(0, Vec::len);
    let of = |camera: usize| {
        let split =
            |sky: &UnderSky| Some((widest(sky.view(index, camera)?), states.share(sky.state)));
        Spread::of(skies.iter().filter_map(split))
    };
    (0..cameras).map(of).collect()
}

/// The wider split in shot, stops; 0 without an edge in shot.
fn widest(view: &CameraView) -> f64 {
    let in_shot = [view.turf.state.in_shot(), view.subject.state.in_shot()];
    in_shot.into_iter().flatten().map(|s| s.stops().abs()).fold(0.0, f64::max)
}

fn stretches(minutes: &[ForecastMinute]) -> Vec<ForecastStretch> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (index, minute) in minutes.iter().enumerate() {
        match runs.last_mut() {
            Some((first, last)) if minutes[*first].expect == minute.expect => *last = index,
            _ => runs.push((index, index)),
        }
    }
    let short = |(first, last): (usize, usize)| {
        let until = minutes.get(last + 1).map_or(minutes[last].at, |m| m.at);
        until - minutes[first].at < TimeDelta::minutes(MIN_LENGTH_MIN)
    };
    let mut joined: Vec<(usize, usize)> = Vec::new();
    for run in runs {
        match joined.last_mut() {
            Some(before) if short(run) || minutes[before.0].expect == minutes[run.0].expect => {
                before.1 = run.1;
            }
            _ => joined.push(run),
        }
    }
    joined.into_iter().map(|(first, last)| stretch(minutes, first, last)).collect()
}

fn stretch(minutes: &[ForecastMinute], first: usize, last: usize) -> ForecastStretch {
    let all = &minutes[first..=last];
    let mean = |of: &dyn Fn(&ForecastMinute) -> Option<f64>| {
        Spread::of(all.iter().filter_map(|m| Some((of(m)?, 1.0)))).expected()
    };
    let ends = |p: f64, pick: fn(f64, f64) -> f64| {
        all.iter().filter_map(|m| m.sky.sun.percentile(p)).reduce(pick)
    };
    let expect = all[0].expect;
    let sun = mean(&|m| Some(m.sky.states?.sun()));
    let hidden = mean(&|m| m.sky.hidden).filter(|_| expect == Expect::Changing);
    let changes_per_hour = hidden.and_then(|cover| {
        let wind_m_s = mean(&|m| m.sky.wind_m_s).filter(|wind| *wind >= 1.0);
        let field = CloudField { wind_m_s, ..CloudField::new(cover, CloudKind::Mixed) };
        Coming::new(&field, &[HOUR_MIN]).changes_in(HOUR_MIN).cloned()
    });
    ForecastStretch {
        from: all[0].at,
        until: minutes.get(last + 1).map_or(minutes[last].at, |m| m.at),
        expect,
        sun: sun.zip(ends(10.0, f64::min)).zip(ends(90.0, f64::max)).map(|((s, l), h)| (s, l, h)),
        changes_per_hour,
    }
}

fn ready(minutes: &[ForecastMinute], brief: &Brief) -> Vec<ReadySetting> {
    let of_span = |(position, camera): (usize, &CameraBrief), span: &PlaySpan| {
        let index = (span.instants.0 + span.instants.1) / 2;
        let at = |index: usize| minutes.get(index)?.either.get(position).copied().flatten();
        let Either { sun_t, shade_t, cloud_t } = at(index)?;
        let cloud = |index| at(index)?.cloud_t;
        let cloud_ends_t = cloud(span.instants.0).zip(cloud(span.instants.1.saturating_sub(1)));
        let (first, last) = cloud_ends_t.unzip();
        let all = [sun_t, shade_t, cloud_t, first, last];
        let widest = all.into_iter().flatten().fold(f64::INFINITY, f64::min);
        let narrowest = all.into_iter().flatten().fold(0.0, f64::max);
        let lens = camera.rig_at(index).lens();
        Some(ReadySetting {
            camera: camera.camera,
            run: span.name.clone(),
            nd_stops: camera.setting_at(&brief.spans, index)?.nd_stops,
            sun_t,
            shade_t,
            cloud_t,
            cloud_ends_t,
            lens,
            in_reach: if cloud_t.is_none() {
                Reach::Unknown
            } else if narrowest > lens.narrowest_t {
                Reach::TooBrightInSun
            } else if widest < lens.widest_t {
                Reach::TooDarkUnderCloud
            } else {
                Reach::Both
            },
        })
    };
    let cameras = brief.cameras.iter().enumerate();
    cameras.flat_map(|c| brief.spans.iter().filter_map(move |span| of_span(c, span))).collect()
}

/// What a camera sets at an instant in either light; `None` where nobody works it, or it sees
/// nothing of the field.
fn either(
    skies: &[UnderSky],
    venue: &Venue,
    (camera, brief): (&CameraBrief, &Brief),
    index: usize,
) -> Option<Either> {
    (*camera.exposures.get(index)?)?;
    let under = |state: SkyCover| {
        let view = skies.iter().find(|sky| sky.state == state)?.view(index, camera.camera)?;
        exposure(view, camera.rig_at(index), &venue.subject)
    };
    let t = |white| camera.t_at(&brief.spans, index, white);
    let clear = under(SkyCover::Clear)?;
    Some(Either {
        sun_t: clear.sun.and_then(t),
        shade_t: t(clear.opaque),
        cloud_t: under(SkyCover::Overcast).and_then(|overcast| t(overcast.opaque)),
    })
}
