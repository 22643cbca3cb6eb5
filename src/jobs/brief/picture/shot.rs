//! What a picture is of: the place, the time, the levels and the sun.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::rc::Rc;

use chrono::NaiveDate;
use geo::{Centroid, ConvexHull, Coord, LineString};
use glam::DVec3;

use crate::base::plane::{P2, within_convex};
use crate::camera::{Pinhole, cover_ground};
use crate::engine::{Instant, MatchPlan};
use crate::geometry::{Obstacle, Obstacles, Region, transmission_toward};
use crate::jobs::crew::Levels;
use crate::output::error::RenderError;
use crate::solar::SunState;
use crate::venue::{CameraPost, Part, Venue};

use super::EyeView;
use super::tone::between;

/// The land around the field is drawn this much darker than the field, so that
/// the field stands out; its own reflectance is not known.
const LAND: f64 = 0.8;
/// Of the white of lines: paint on grass, between fresh and worn (common
/// practice, no source).
const LINE_REFLECTANCE: f64 = 0.5;

/// How far to the inside of a boundary its light is asked for, metres.
const INWARD_M: f64 = 0.02;

/// One camera at one instant.
pub(super) struct Shot<'a> {
    /// As it stands then.
    pub venue: Cow<'a, Venue>,
    pub instant: &'a Instant,
    pub post: &'a CameraPost,
    pub view: &'a EyeView,
    pub eye: Pinhole,
    /// Unit vector toward the sun, where it shines.
    pub sun: Option<DVec3>,
    /// Reflectance of the seats that the levels of seats are for, where the venue
    /// has seats.
    seats: Option<f64>,
    /// Middle of the field.
    middle: Coord<f64>,
    /// The field without notches, as flat things on the turf are cut to it.
    bounds: Vec<P2>,
    /// Bodies for rays, made when first asked for.
    obstacles: OnceCell<Rc<Obstacles>>,
}

impl<'a> Shot<'a> {
    pub fn of(
        venue: &'a Venue,
        plan: &'a MatchPlan,
        index: usize,
        view: &'a EyeView,
    ) -> Result<Self, RenderError> {
        let count = plan.instants.len();
        let instant =
            plan.instants.get(index).ok_or(RenderError::NoSuchInstant { index, count })?;
        let (index, count) = (view.camera, venue.cameras.len());
        let post = venue.cameras.get(index).ok_or(RenderError::NoSuchCamera { index, count })?;
        let stands = venue.at(instant.at);
        let shines = instant.sun_state == SunState::Up && !plan.sky.hides_sun();
        let decks = stands.occluders.iter().flat_map(|o| &o.bodies);
        let decks = decks.filter(|body| body.part == Part::Deck).map(|body| body.reflectance);
        let (sum, number) = decks.fold((0.0, 0.0), |(sum, n), r| (sum + r, n + 1.0));
        Ok(Self {
            instant,
            post,
            view,
            eye: Pinhole::new(post, view.looks_at),
            sun: shines.then(|| instant.sun.toward()),
            seats: (sum > 0.0).then(|| sum / number),
            middle: venue.field.outline.centroid().map_or(Coord::zero(), Coord::from),
            bounds: open_ring(venue.field.outline.convex_hull().exterior()),
            obstacles: OnceCell::new(),
            venue: stands,
        })
    }

    pub fn date(&self) -> NaiveDate {
        self.instant.at.date_naive()
    }

    /// All bodies that stop light, for rays.
    pub fn obstacles(&self) -> &Obstacles {
        let made = || Rc::new(Obstacle::all_of(&self.venue, self.date()));
        self.obstacles.get_or_init(made)
    }

    /// Uses the bodies of another shot at which the same stands.
    pub fn share_obstacles_of(&self, other: &Self) {
        let standing = |shot: &Self| shot.venue.standing(shot.instant.at.naive_local());
        if self.date() == other.date() && standing(self) == standing(other) {
            other.obstacles();
            if let Some(made) = other.obstacles.get() {
                // whoever has made them already keeps them
                let _ = self.obstacles.set(Rc::clone(made));
            }
        }
    }

    pub fn levels(&self) -> &Levels {
        &self.view.levels
    }

    /// The part of a flat ring on the field. Of a field with notches, which no
    /// ready-made one has, they count as field: an approximation.
    pub fn on_field(&self, ring: &[P2]) -> Vec<DVec3> {
        within_convex(ring, &self.bounds).iter().map(|p| DVec3::new(p[0], p[1], 0.0)).collect()
    }

    /// The field of play where a share of the direct light arrives.
    pub fn turf(&self, passes: f64) -> f64 {
        self.mixed(self.levels().turf_shade, self.levels().turf_sun, passes)
    }

    /// The ground around the playing area, as bright as its surface is against the turf.
    pub fn surrounds(&self, passes: f64) -> f64 {
        let field = &self.venue.field;
        let brighter = field.surrounds_reflectance / field.surface_reflectance.max(0.01);
        self.turf(passes) * brighter
    }

    /// The land around the field.
    pub fn land(&self, passes: f64) -> f64 {
        LAND * self.turf(passes)
    }

    /// A line on the field of play.
    pub fn line(&self, passes: f64) -> f64 {
        let whiter = LINE_REFLECTANCE / self.venue.field.surface_reflectance.max(0.01);
        self.turf(passes) * whiter.max(1.0)
    }

    /// A body of a reflectance, scaled from the seats.
    pub fn body(&self, reflectance: f64, passes: f64) -> f64 {
        let level = self.mixed(self.levels().seats_shade, self.levels().seats_sun, passes);
        self.seats.map_or(level, |seats| level * reflectance / seats)
    }

    /// A standing figure.
    pub fn subject(&self, passes: f64) -> f64 {
        self.mixed(self.levels().subject_shade, self.levels().subject_sun, passes)
    }

    fn mixed(&self, shade: f64, sun: f64, passes: f64) -> f64 {
        between(shade, sun, if self.sun.is_some() { passes } else { 0.0 })
    }

    /// Share of the direct light that arrives on the turf, where the sun shines.
    pub fn on_turf(&self, at: Coord<f64>) -> f64 {
        self.instant.turf.ground.transmission_at(at).share()
    }

    /// The same at face height, for one who stands on the boundary too.
    pub fn on_face(&self, at: Coord<f64>) -> f64 {
        self.instant.face.ground.transmission_at(self.inward(at)).share()
    }

    /// A point a little to the inside of the field: shade is known on the field
    /// only, and lines and marks may lie on its boundary.
    pub fn inward(&self, at: Coord<f64>) -> Coord<f64> {
        let step = self.middle - at;
        let length = step.x.hypot(step.y);
        if length > INWARD_M { at + step * (INWARD_M / length) } else { at }
    }

    /// Share of the sun's light that arrives at the camera; 0 where the sun does
    /// not shine.
    pub fn at_lens(&self) -> f64 {
        let passes = |sun| transmission_toward(self.obstacles(), self.post.at, sun).share();
        self.sun.map_or(0.0, passes)
    }

    /// Share in shade of the ground that this very frame shows; `None` where it
    /// shows none of it.
    pub fn shade_in_frame(&self) -> Option<f64> {
        let post = CameraPost { aims: vec![self.view.looks_at], ..self.post.clone() };
        let seen = cover_ground(&post, &self.venue.field, &[]);
        let share = || Region::new(&seen.region).share(&self.instant.turf.ground).shaded;
        (seen.area_m2 > 0.0).then(share)
    }
}

/// Corners of a closed line, each once.
fn open_ring(line: &LineString<f64>) -> Vec<P2> {
    line.coords().skip(1).map(|c| [c.x, c.y]).collect()
}
