//! Pictures beside the plan: light on the turf, through a camera, up from a place, which pair of
//! cameras is hard to cut.
//!
//! In: a revision of the ground, a time, what to show. Out: an SVG that carries its title and
//! description; the pictures of `match`, `look-up` and `matching`, drawn anew for each time, and
//! what a camera shows ([`super::through`]).

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::engine::{DEFAULT_EYE_M, Surroundings, find};
use crate::jobs::look_up::LookUp;
use crate::light::{AirByDate, Sky};
use crate::output::error::RenderError;
use crate::serve::ground::Ground;
use crate::serve::plan::{self, Occasion};
use crate::serve::problem::Refused;
use crate::serve::through::{self, CameraShot};
use crate::{engine, output};

/// A picture to draw.
#[derive(Debug, Clone)]
pub enum PictureWish {
    /// Stops over the centre of play, all over the ground.
    Light(DateTime<Tz>),
    /// What a camera sees.
    Through(CameraShot),
    /// What stands around a camera or a mark, and the day's path of the sun.
    LookUp { at: DateTime<Tz>, place: Option<String> },
    /// Which pair of cameras is hard to cut when.
    Matching(Occasion),
}

/// Draws a picture as SVG.
///
/// # Errors
/// [`Refused`] for what is not there to be shown, or work that nobody wants any more.
pub fn svg(
    ground: &Ground,
    wish: &PictureWish,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<String, Refused> {
    match wish {
        PictureWish::Light(at) => light(ground, *at, go_on).map(|picture| picture.svg),
        PictureWish::Through(wish) => through::svg(ground, wish, go_on),
        PictureWish::LookUp { at, place } => {
            look_up(ground, *at, place.as_deref(), go_on).map(|picture| picture.svg)
        }
        PictureWish::Matching(occasion) => plan::matching(ground, occasion, go_on),
    }
}

fn drawn(
    picture: Result<output::draw::Picture, RenderError>,
) -> Result<output::draw::Picture, Refused> {
    picture.map_err(|e| Refused::Internal(e.to_string()))
}

fn light(
    ground: &Ground,
    at: DateTime<Tz>,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<output::draw::Picture, Refused> {
    let date = at.date_naive();
    let prepared = ground.prepared(date);
    let prepared = prepared.borrow_dependent();
    go_on()?;
    let missing = || Refused::Internal("the ground has no point of reference".into());
    let reference = prepared.reference(None).ok_or_else(missing)?;
    let air = AirByDate::of_venue(&ground.venue).on(date);
    let map = prepared.light_map(at, Sky::Clear, &air, reference, None);
    go_on()?;
    drawn(crate::jobs::match_plan::picture::field::light_map(&ground.venue, &map))
}

fn look_up(
    ground: &Ground,
    at: DateTime<Tz>,
    place: Option<&str>,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<output::draw::Picture, Refused> {
    let (venue, date) = (&*ground.venue, at.date_naive());
    let stands = venue.at(at);
    let around = Surroundings::new(&stands, date);
    go_on()?;
    let place = place.unwrap_or("centre of play");
    let spot = find(&around, place, DEFAULT_EYE_M).map_err(|e| Refused::input(e.to_string()))?;
    let start = venue.fixture.map(|fixture| fixture.start);
    let start =
        start.and_then(|time| super::shadow::resolve(venue, date.and_time(time), None).ok());
    let length = TimeDelta::minutes(engine::programme(venue).length_min().into());
    let window = start.and_then(|start| Some((start, start.checked_add_signed(length)?)));
    let look = LookUp::new(&around, spot, date, window);
    go_on()?;
    drawn(crate::jobs::look_up::picture::look_up(venue, &look))
}
