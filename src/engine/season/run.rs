//! The engine: rows of instants, in parallel.

use std::collections::{HashMap, HashSet};
use std::sync::{Arc, Mutex, PoisonError};

use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::camera::{CameraView, LensState};
use crate::engine::lit_venue::{Shadows, SumSource};
use crate::geometry::{OverlayScratch, ShadeShare, Shadow, transmission_toward};
use crate::light::{ByDate, BySun, Daylight, FloodlightLight, FloodlightState, Straight, SunReach};
use crate::solar;
use crate::solar::{Sun, SunState};
use crate::venue::Venue;

use super::ground::{GroundState, SeasonGround, SplitGround};
use super::range::{AtEnds, Ranges};
use super::{CameraRow, SeasonDay, SeasonRow, Splits, Wanted, Weather, instants_of};

/// Days that are worked out at once: enough that no core waits for another, few enough
/// that a year never lies in memory.
const DAYS_AT_ONCE: usize = 8;

/// A venue prepared for any number of instants.
///
/// What depends on the venue is prepared when an instant first needs it and kept: once
/// for all times at which the same stands and lets the same light through.
#[derive(Debug)]
pub struct Season<'v> {
    venue: &'v Venue,
    weather: Weather,
    wanted: Wanted,
    grounds: Kept<SeasonGround>,
    standings: Kept<GroundInWeather>,
    daylight: ByDate,
    /// Where they are wanted.
    ranges: Option<Ranges>,
}

type Kept<T> = Arc<Mutex<HashMap<GroundState, Arc<T>>>>;

/// A ground under the weather asked for.
#[derive(Debug)]
struct GroundInWeather {
    ground: Arc<SeasonGround>,
    light: Option<BySun>,
}

impl<'v> Season<'v> {
    /// Prepares nothing yet.
    pub fn new(venue: &'v Venue, weather: Weather, wanted: Wanted) -> Self {
        let wanted = wanted.at(venue);
        Self {
            venue,
            weather,
            wanted,
            grounds: Kept::default(),
            standings: Kept::default(),
            daylight: ByDate::new(venue.place, &weather.air, weather.sky),
            ranges: wanted.ranges.then(|| Ranges::new(venue.place, &weather)),
        }
    }

    /// The same venue and wishes under another weather; what is prepared of the venue is
    /// shared.
    pub fn under(&self, weather: Weather) -> Self {
        let grounds = Arc::clone(&self.grounds);
        Self { grounds, ..Self::new(self.venue, weather, self.wanted) }
    }

    /// The same venue and weather for other wishes that need no more of the venue; what is
    /// prepared is shared.
    pub fn wanting(&self, wanted: Wanted) -> Self {
        let (grounds, standings) = (Arc::clone(&self.grounds), Arc::clone(&self.standings));
        Self { grounds, standings, ..Self::new(self.venue, self.weather, wanted) }
    }

    pub fn venue(&self) -> &'v Venue {
        self.venue
    }

    pub fn weather(&self) -> &Weather {
        &self.weather
    }

    pub fn wanted(&self) -> Wanted {
        self.wanted
    }

    /// A row for each instant, in their order.
    ///
    /// Each row stands alone: what is a side is decided by the plain limit,
    /// [`crate::camera::SLIVER_SHARE`], not by the row before, as a plan does. So a row is
    /// the same in any order, on any number of threads and after a run was interrupted, and
    /// rows that are minutes or days apart have no row before that could hold a side.
    pub fn rows(&self, times: &[DateTime<Tz>]) -> Vec<SeasonRow> {
        // prepared before the parallel part, which must not wait for itself
        let zone = self.venue.place.zone;
        let begins = self.begins();
        // when what stands then began to: a day, or a move in it
        let since = |at: &DateTime<Tz>| {
            let when = at.with_timezone(&zone).naive_local();
            let last = begins.partition_point(|begin| *begin <= when.time());
            let begin = last.checked_sub(1).and_then(|i| begins.get(i));
            when.date().and_time(begin.copied().unwrap_or(NaiveTime::MIN))
        };
        let all: HashSet<NaiveDateTime> = times.iter().map(since).collect();
        let standings: HashMap<NaiveDateTime, Arc<GroundInWeather>> =
            all.into_iter().map(|when| (when, self.standing(when))).collect();
        let row = |bench: &mut OverlayScratch, at: &DateTime<Tz>| {
            standings.get(&since(at)).map(|standing| self.row(standing, *at, bench))
        };
        times.par_iter().map_init(OverlayScratch::default, row).flatten().collect()
    }

    /// Whole civil days in equal steps, handed over one by one in their order. Memory
    /// holds a few days, however many are asked for. `take` ends the run with an error of
    /// its own.
    ///
    /// # Errors
    /// What `take` returns.
    pub fn days<E>(
        &self,
        dates: impl IntoIterator<Item = NaiveDate>,
        step: TimeDelta,
        mut take: impl FnMut(SeasonDay) -> Result<(), E>,
    ) -> Result<(), E> {
        let mut dates = dates.into_iter();
        loop {
            let block: Vec<NaiveDate> = dates.by_ref().take(DAYS_AT_ONCE).collect();
            if block.is_empty() {
                return Ok(());
            }
            let place = &self.venue.place;
            let mut times = Vec::new();
            let mut ends = Vec::with_capacity(block.len());
            for date in &block {
                times.extend(instants_of(place.zone, *date, step));
                ends.push(times.len());
            }
            let suns: Vec<_> = block.par_iter().map(|date| solar::day(place, *date)).collect();
            let mut rows = self.rows(&times).into_iter();
            let mut start = 0;
            for ((date, sun), end) in block.into_iter().zip(suns).zip(ends) {
                take(SeasonDay { date, sun, rows: rows.by_ref().take(end - start).collect() })?;
                start = end;
            }
        }
    }

    /// Times of day from which something else may stand, in order.
    fn begins(&self) -> Vec<NaiveTime> {
        let moves = self.venue.changes.moving.iter().flat_map(|moving| &moving.moves);
        let mut begins: Vec<NaiveTime> = moves.map(|m| m.at).collect();
        begins.sort_unstable();
        begins
    }

    fn standing(&self, when: NaiveDateTime) -> Arc<GroundInWeather> {
        let state = GroundState::at(self.venue, when);
        if let Some(known) = look_up(&self.standings, &state) {
            return known;
        }
        let ground = look_up(&self.grounds, &state).unwrap_or_else(|| {
            let venue = self.venue.standing_at(when);
            keep(&self.grounds, &state, SeasonGround::new(&venue, when.date(), self.wanted))
        });
        let Weather { sky, air } = self.weather;
        let splits = ground.splits.as_ref().filter(|_| !sky.hides_sun());
        let light = splits
            .map(|splits| BySun::new(Arc::clone(&splits.by_sun), self.venue.place, &air, sky));
        keep(&self.standings, &state, GroundInWeather { ground, light })
    }

    fn row(
        &self,
        standing: &GroundInWeather,
        at: DateTime<Tz>,
        bench: &mut OverlayScratch,
    ) -> SeasonRow {
        let sun = solar::position(&self.venue.place, at.with_timezone(&Utc));
        let sun_state = solar::state(&sun, &self.venue.horizon);
        let now = Now { season: self, ground: &standing.ground, at, sun, sun_state };
        let up = sun_state == SunState::Up;
        let zones = &standing.ground.zones;
        let on_ground =
            self.wanted.splits != Splits::None || zones.iter().any(|z| !z.is_on_field());
        let shadow =
            (up && on_ground).then(|| standing.ground.turf.ground.cast(sun.toward(), bench));
        // the same figures as of a match, to the last digit
        let field = up && (self.wanted.field || self.wanted.zones);
        let field = field.then(|| standing.ground.turf.field.cast(sun.toward(), bench));
        let zones = zones.iter().map(|zone| match &field {
            Some(field) => zone.share(field, shadow.as_ref().unwrap_or(field)),
            None => ShadeShare::ALL_SHADE,
        });
        let all = field.as_ref().map_or(ShadeShare::ALL_SHADE, Shadow::field_share);
        SeasonRow {
            at,
            sun,
            sun_state,
            field: self.wanted.field.then_some(all),
            zones: zones.collect(),
            floodlight: self.wanted.floodlight.then(|| now.floodlight()),
            cameras: now.cameras(standing.light.as_ref(), shadow.as_ref(), bench),
        }
    }
}

fn look_up<T>(kept: &Kept<T>, state: &GroundState) -> Option<Arc<T>> {
    // no panic can leave the map half written: values go in whole
    kept.lock().unwrap_or_else(PoisonError::into_inner).get(state).map(Arc::clone)
}

fn keep<T>(kept: &Kept<T>, state: &GroundState, value: T) -> Arc<T> {
    let mut map = kept.lock().unwrap_or_else(PoisonError::into_inner);
    Arc::clone(map.entry(state.clone()).or_insert_with(|| Arc::new(value)))
}

/// One instant while it is worked out.
struct Now<'a> {
    season: &'a Season<'a>,
    ground: &'a SeasonGround,
    at: DateTime<Tz>,
    sun: Sun,
    sun_state: SunState,
}

impl Now<'_> {
    /// By the venue's clock.
    fn date(&self) -> NaiveDate {
        self.at.with_timezone(&self.season.venue.place.zone).date_naive()
    }

    fn daylight(&self) -> Daylight {
        let daylight = self.season.daylight.at(&self.sun, self.date());
        if self.sun_state == SunState::Up { daylight } else { daylight.without_direct() }
    }

    fn floodlight(&self) -> FloodlightState {
        let stated = self.season.venue.floodlights.as_ref();
        stated.map_or(FloodlightState::None, |_| {
            FloodlightState::at(stated, self.at, &self.daylight())
        })
    }

    fn cameras(
        &self,
        light: Option<&BySun>,
        shadow: Option<&Shadow>,
        bench: &mut OverlayScratch,
    ) -> Vec<CameraRow> {
        let Season { venue, wanted, .. } = self.season;
        if wanted.splits == Splits::None && !wanted.lenses {
            return Vec::new();
        }
        let views = match (light, shadow, &self.ground.splits) {
            (Some(light), Some(shadow), Some(splits)) => self.views(light, splits, shadow, bench),
            _ => vec![CameraRow::DARK; venue.cameras.len()],
        };
        let row = |(camera, view)| CameraRow {
            view: (wanted.splits != Splits::None).then_some(view),
            lens: self.lens(camera),
        };
        views.into_iter().enumerate().map(row).collect()
    }

    fn views(
        &self,
        light: &BySun,
        SplitGround { lit, .. }: &SplitGround,
        turf: &Shadow,
        bench: &mut OverlayScratch,
    ) -> Vec<CameraView> {
        let daylight = self.daylight();
        if daylight.direct_normal.lux() <= 0.0 {
            return vec![CameraRow::DARK; lit.cameras.len()];
        }
        let date = self.date();
        let aerosol_500nm = self.season.weather.air.on(date).aerosol_500nm;
        let toward_sun = self.sun.toward();
        let face = (self.season.wanted.splits == Splits::TurfAndSubject)
            .then(|| self.ground.face.ground.cast(toward_sun, bench));
        let reach = match face {
            Some(_) => lit.scene.reach_ground(turf, toward_sun),
            None => SunReach::default(),
        };
        let any_air = lit.any_air(Shadows { toward_sun, turf, face: face.as_ref() }, reach);
        let mut under = light.under(&self.sun);
        let mut seen = |daylight: &Daylight, aerosol_500nm: f64| -> Vec<CameraView> {
            let straight = self.straight(daylight);
            let sums = under.at(daylight, aerosol_500nm);
            lit.seen(&any_air, SumSource::Known(&straight, &sums))
        };
        let views = seen(&daylight, aerosol_500nm);
        let Some(ranges) = &self.season.ranges else { return views };
        let AtEnds { ends, rest } = ranges.at(&self.sun, date, &daylight);
        let [clean, hazy] = ends.map(|(daylight, aerosol)| seen(&daylight, aerosol));
        let ends = clean.iter().zip(&hazy);
        views.iter().zip(ends).map(|(view, (a, b))| view.with_ranges([a, b], rest)).collect()
    }

    /// What comes straight from the sun and from floodlights.
    fn straight(&self, daylight: &Daylight) -> Straight {
        let stated = self.season.venue.floodlights.as_ref();
        Straight {
            direct_normal: daylight.direct_normal,
            direct_horizontal: daylight.direct_horizontal,
            floodlight: FloodlightLight::of(stated, FloodlightState::at(stated, self.at, daylight)),
        }
    }

    fn lens(&self, camera: usize) -> Option<LensState> {
        let lens = self.ground.lenses.get(camera)?;
        let out = self.sun_state == SunState::Up && !self.season.weather.sky.hides_sun();
        let post = self.season.venue.cameras.get(camera).filter(|_| out);
        let Some(post) = post else { return Some(LensState::Clear) };
        let toward = self.sun.toward();
        Some(lens.state(toward, || transmission_toward(&self.ground.obstacles, post.at, toward)))
    }
}
