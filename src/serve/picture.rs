//! Pictures beside the plan: light on the turf, through a camera, up from a place.
//!
//! In: a revision of the ground, a time, what to show. Out: an SVG that carries its title and
//! description; the pictures of `match`, `brief` and `look-up`, drawn anew for each time.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;
use serde::Deserialize;

use crate::engine::{DEFAULT_EYE_M, Surroundings, find};
use crate::jobs::brief::report::Report;
use crate::jobs::look_up::LookUp;
use crate::light::{AirByDate, Sky};
use crate::output::error::RenderError;
use crate::serve::ground::Ground;
use crate::serve::plan::planned_at;
use crate::serve::problem::Refused;
use crate::{engine, output};

/// What to show.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Stops over the centre of play, all over the ground.
    Light,
    /// What a camera sees.
    Through,
    /// What stands around a place, and the day's path of the sun.
    LookUp,
}

/// A picture to draw.
#[derive(Debug, Clone)]
pub struct Wish {
    pub kind: Kind,
    pub at: DateTime<Tz>,
    /// Index of the camera to look through.
    pub camera: Option<usize>,
    /// Camera or mark to look up from.
    pub place: Option<String>,
}

/// Draws a picture as SVG.
///
/// # Errors
/// [`Refused`] for what is not there to be shown, or work that nobody wants any more.
pub fn svg(
    ground: &Ground,
    wish: &Wish,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<String, Refused> {
    let picture = match wish.kind {
        Kind::Light => light(ground, wish.at, go_on),
        Kind::Through => through(ground, wish, go_on),
        Kind::LookUp => look_up(ground, wish, go_on),
    };
    Ok(picture?.svg)
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

fn through(
    ground: &Ground,
    wish: &Wish,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<output::draw::Picture, Refused> {
    let camera = wish.camera.unwrap_or_default();
    planned_at(ground, wish.at, go_on, |plan, brief| {
        let venue = &*ground.venue;
        let told = Report { venue, plan, brief, forecast: None };
        let nothing = || match venue.cameras.get(camera) {
            Some(post) => Refused::input(format!(
                "{} sees nothing of the field at this time: no picture can be made",
                post.name
            )),
            None => Refused::NotFound(format!("there is no camera of index {camera}")),
        };
        let view = told.eye_view(camera, 0).ok_or_else(nothing)?;
        drawn(crate::jobs::brief::picture::eye_frame(venue, plan, 0, &view))
    })
}

fn look_up(
    ground: &Ground,
    wish: &Wish,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<output::draw::Picture, Refused> {
    let (venue, date) = (&*ground.venue, wish.at.date_naive());
    let around = Surroundings::new(venue, date);
    go_on()?;
    let place = wish.place.as_deref().unwrap_or("centre of play");
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
