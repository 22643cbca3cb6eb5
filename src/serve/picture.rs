//! Pictures beside the plan: light on the turf, through a camera, up from a place.
//!
//! In: a revision of the ground, a time, what to show. Out: an SVG that carries its title and
//! description; the pictures of `match` and `look-up`, drawn anew for each time, and what a camera
//! shows, ray by ray as `on-air` has it, as pixels inside of the SVG.

use base64::Engine as _;
use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;
use serde::Deserialize;

use crate::camera::Rig;
use crate::engine::{DEFAULT_EYE_M, Surroundings, find};
use crate::geometry::OverlayScratch;
use crate::jobs::look_up::LookUp;
use crate::jobs::match_plan::picture::field::clock_text;
use crate::jobs::on_air;
use crate::light::{AirByDate, Sky};
use crate::output::error::RenderError;
use crate::serve::ground::Ground;
use crate::serve::problem::Refused;
use crate::{engine, output, signal};

/// Width of a picture through a camera, pixels.
const WIDTH: usize = 480;

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
    match wish.kind {
        Kind::Light => light(ground, wish.at, go_on).map(|picture| picture.svg),
        Kind::Through => through(ground, wish, go_on),
        Kind::LookUp => look_up(ground, wish, go_on).map(|picture| picture.svg),
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

/// What a camera shows, in colour, at its one setting.
fn through(
    ground: &Ground,
    wish: &Wish,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<String, Refused> {
    let (venue, at) = (&*ground.venue, wish.at);
    let camera = wish.camera.unwrap_or_default();
    let no_camera = || Refused::NotFound(format!("there is no camera of index {camera}"));
    let post = venue.cameras.get(camera).ok_or_else(no_camera)?;
    let date = at.date_naive();
    let prepared = ground.prepared(date);
    let prepared = prepared.borrow_dependent();
    go_on()?;
    let air = AirByDate::of_venue(venue).on(date);
    let scene = ground.view(date, || on_air::scene(prepared, at, Sky::Clear, &air));
    go_on()?;
    let light = prepared.view_light(at, Sky::Clear, &air);
    let instant = prepared.instant(at, Sky::Clear, &air, &mut OverlayScratch::default());
    let (rig, between) = (Rig::of(&post.exposure), on_air::Expose::Between);
    let seen = instant.cameras.get(camera);
    let set = on_air::Set::new(between, between, seen, &rig, &venue.subject, &light);
    let view = on_air::view(post, on_air::Framing::default(), WIDTH);
    let picture = scene.picture(&light, &view);
    go_on()?;
    let [width, height] = view.size;
    let signals = on_air::develop::sdr(&picture, &set);
    let png = signal::png::write((width as u32, height as u32), &signals, signal::Output::Sdr)
        .map_err(|e| Refused::Internal(e.to_string()))?;
    let title =
        format!("{}, through {}, {}", venue.title, post.name, at.format("%Y-%m-%d %H:%M %Z"));
    let words = format!(
        "What {} sees at {} on {}: SDR, one setting between sun and shade, {}, field of view \
         {:.1}° across.",
        post.name,
        clock_text(at),
        at.format("%-d %B %Y"),
        set.words(),
        post.horizontal_fov_deg
    );
    let text = |text: &str| text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\"><title>{}</title><desc>{}</desc>\
         <image width=\"{width}\" height=\"{height}\" \
         href=\"data:image/png;base64,{}\"/></svg>",
        text(&title),
        text(&words),
        base64::engine::general_purpose::STANDARD.encode(png)
    ))
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
