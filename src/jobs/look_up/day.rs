//! The sun over one place on one day.
//!
//! In: a place, a date of the venue's calendar. Out: where the sun runs (degrees), when
//! it lights the place and what hides it in between, and for a camera when it gets into
//! the lens.

use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::base::units::{Azimuth, Elevation, Transmittance};
use crate::camera::{LensState, lens_view};
use crate::engine::spot::{Spot, SpotKind};
use crate::engine::stretches::stretches;
use crate::engine::surroundings::{SeenInDirection, Surroundings};
use crate::solar;
use crate::solar::{Sun, SunDay, SunState, TurningPoint};
use crate::venue::CameraPost;

/// The sun moves an eighth of a degree in this time: less than a quarter of its width.
const LOOK_EVERY_S: i64 = 30;
/// Between points of a path, while the azimuth changes slowly.
const PATH_EVERY_S: i64 = 120;
/// Points are put in between until azimuths are this close, degrees ...
const PATH_TURN_DEG: f64 = 2.0;
/// ... or times this close; a sun that passes the zenith turns at once.
const PATH_LEAST_S: i64 = 2;
/// Paths are told down to here, degrees.
const PATH_FROM_DEG: f64 = -3.0;

/// What direct sunlight does at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sunlight {
    /// The sun is under the level horizon.
    Down,
    /// Risen, but behind the land or a hill of the ground.
    BehindLand,
    /// Behind something opaque: index into [`crate::venue::Venue::occluders`].
    Hidden {
        by: usize,
    },
    /// Through something translucent: index of the nearest such thing.
    Dimmed {
        by: usize,
    },
    Lit,
}

/// One state over some time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunlightSpan {
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
    pub sunlight: Sunlight,
}

/// The sun in or on a lens over some time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LensSpan {
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
    /// [`LensState::InFrame`] or [`LensState::OnElement`].
    pub state: LensState,
}

/// The sun at one time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PathPoint {
    pub at: DateTime<Tz>,
    pub azimuth: Azimuth,
    /// Apparent.
    pub elevation: Elevation,
    pub sunlight: Sunlight,
}

/// The sun over a place on a date.
#[derive(Debug, Clone, PartialEq)]
pub struct DayAtPlace {
    pub date: NaiveDate,
    pub season: Option<TurningPoint>,
    pub sun: SunDay,
    /// The whole civil day, in order, without gaps.
    pub spans: Vec<SunlightSpan>,
    /// Over the horizon and a little under it, in order of time; more than a few
    /// minutes apart where the sun is farther down.
    pub path: Vec<PathPoint>,
    /// For a camera only.
    pub in_lens: Vec<LensSpan>,
}

impl DayAtPlace {
    pub(super) fn new(
        surroundings: &Surroundings<'_>,
        spot: &Spot,
        date: NaiveDate,
        season: Option<TurningPoint>,
    ) -> Self {
        let venue = surroundings.venue();
        let zone = venue.place.zone;
        let from = solar::first_instant(zone, date);
        let next = date.checked_add_days(Days::new(1));
        let until = next.map_or(from + TimeDelta::days(1), |d| solar::first_instant(zone, d));
        let place = Watched { surroundings, spot };
        let step = TimeDelta::seconds(LOOK_EVERY_S);
        let local = |t: DateTime<Utc>| t.with_timezone(&zone);
        let spans: Vec<SunlightSpan> = stretches(from, until, step, |t| place.sunlight(t))
            .into_iter()
            .map(|(a, b, sunlight)| SunlightSpan { from: local(a), until: local(b), sunlight })
            .collect();
        let in_lens = match spot.kind {
            SpotKind::Camera(index) => venue.cameras.get(index).map_or_else(Vec::new, |post| {
                let all = stretches(from, until, step, |t| place.lens(post, t)).into_iter();
                all.filter(|(_, _, s)| matches!(s, LensState::InFrame | LensState::OnElement))
                    .map(|(a, b, state)| LensSpan { from: local(a), until: local(b), state })
                    .collect()
            }),
            SpotKind::Mark | SpotKind::Point => Vec::new(),
        };
        let path = place.path(from, until, &spans);
        Self { date, season, sun: solar::day(&venue.place, date), spans, path, in_lens }
    }

    /// Time in the sun, dimmed light not counted.
    pub fn lit(&self) -> TimeDelta {
        let lit = self.spans.iter().filter(|span| span.sunlight == Sunlight::Lit);
        lit.map(|span| span.until - span.from).sum()
    }

    /// The last point of the path at or before a time.
    pub fn at(&self, at: DateTime<Tz>) -> Option<&PathPoint> {
        let next = self.path.partition_point(|p| p.at <= at);
        next.checked_sub(1).and_then(|i| self.path.get(i))
    }
}

/// A place and what stands around it.
struct Watched<'a> {
    surroundings: &'a Surroundings<'a>,
    spot: &'a Spot,
}

impl Watched<'_> {
    fn sun(&self, at: DateTime<Utc>) -> (Sun, SunState) {
        let venue = self.surroundings.venue();
        let sun = solar::position(&venue.place, at);
        (sun, solar::state(&sun, &venue.horizon))
    }

    fn sunlight(&self, at: DateTime<Utc>) -> Sunlight {
        let (sun, state) = self.sun(at);
        self.seen(&sun, state)
    }

    fn seen(&self, sun: &Sun, state: SunState) -> Sunlight {
        match state {
            SunState::Down => Sunlight::Down,
            SunState::BehindSkyline => Sunlight::BehindLand,
            SunState::Up => {
                match self.surroundings.seen(self.spot.at, sun.azimuth, sun.apparent_elevation) {
                    SeenInDirection::Sky => Sunlight::Lit,
                    SeenInDirection::Land => Sunlight::BehindLand,
                    SeenInDirection::Opaque { by } => Sunlight::Hidden { by },
                    SeenInDirection::Dimmed { by } => Sunlight::Dimmed { by },
                }
            }
        }
    }

    fn lens(&self, post: &CameraPost, at: DateTime<Utc>) -> LensState {
        let (sun, state) = self.sun(at);
        if state != SunState::Up {
            return LensState::Clear;
        }
        let sight = self.surroundings.sight(post.at, sun.toward());
        let reaches = if sight.meets_ground { Transmittance::OPAQUE } else { sight.passes };
        lens_view(post, sun.toward(), reaches).state
    }

    fn path_point(&self, at: DateTime<Utc>) -> PathPoint {
        let (sun, state) = self.sun(at);
        PathPoint {
            at: at.with_timezone(&self.surroundings.venue().place.zone),
            azimuth: sun.azimuth,
            elevation: sun.apparent_elevation,
            sunlight: self.seen(&sun, state),
        }
    }

    fn path(
        &self,
        from: DateTime<Utc>,
        until: DateTime<Utc>,
        spans: &[SunlightSpan],
    ) -> Vec<PathPoint> {
        let count = (until - from).num_seconds() / PATH_EVERY_S;
        let even = (0..=count).map(|i| from + TimeDelta::seconds(i * PATH_EVERY_S));
        let changes = spans.iter().map(|span| span.from.with_timezone(&Utc));
        let mut times: Vec<DateTime<Utc>> = even.chain(changes).chain([until]).collect();
        times.sort_unstable();
        times.dedup();
        let mut path: Vec<PathPoint> = Vec::with_capacity(times.len());
        for time in times {
            let point = self.path_point(time);
            if let Some(last) = path.last().copied() {
                self.between(last, point, &mut path);
            }
            path.push(point);
        }
        path.retain(|p| p.elevation.degrees() >= PATH_FROM_DEG);
        path
    }

    /// Points between two where the azimuth turns fast.
    fn between(&self, a: PathPoint, b: PathPoint, path: &mut Vec<PathPoint>) {
        let turn = (b.azimuth.degrees() - a.azimuth.degrees() + 180.0).rem_euclid(360.0) - 180.0;
        let apart = b.at - a.at;
        let high = a.elevation.degrees().max(b.elevation.degrees()) >= PATH_FROM_DEG;
        if turn.abs() <= PATH_TURN_DEG || apart.num_seconds() <= PATH_LEAST_S || !high {
            return;
        }
        let middle = self.path_point((a.at + apart / 2).with_timezone(&Utc));
        self.between(a, middle, path);
        path.push(middle);
        self.between(middle, b, path);
    }
}
