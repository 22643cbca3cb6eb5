//! As it will look on air: pictures through the cameras in SDR and HDR.
//!
//! In: a venue, minutes, cameras with aim and zoom, how they are exposed and balanced. Out:
//! pictures as each output would have them, what clips and what is crushed, and the levels at
//! named places.
//!
//! [`crate::engine::view`] works out the light, [`crate::signal`] makes signals of it; here a
//! camera is set and what comes out is told.

#[cfg(feature = "cli")]
pub mod command;
pub mod develop;
pub mod expose;
pub mod levels;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
pub mod report;

#[cfg(feature = "cli")]
use std::sync::Arc;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::camera::{Pinhole, Rig, sweep};
use crate::engine::Prepared;
use crate::engine::view::{Placing, View, ViewLight, ViewScene};
use crate::light::{Air, Sky};
use crate::venue::CameraPost;

pub use develop::{Developed, ToneZone, zones};
pub use expose::{Expose, Set};
pub use levels::{NamedLevel, levels};

/// Where a camera looks within its sweep, 0 at its first aim and 1 at its last, and its
/// horizontal field of view where that is not the file's, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Framing {
    pub along: f64,
    pub zoom_deg: Option<f64>,
}

impl Default for Framing {
    /// The middle of the sweep, the file's field of view.
    fn default() -> Self {
        Self { along: 0.5, zoom_deg: None }
    }
}

/// What a camera shows, with players where it looks or near that.
pub fn view(
    scene: &ViewScene,
    post: &CameraPost,
    framing: Framing,
    width: usize,
) -> (View, Placing) {
    let axes = sweep(post);
    let last = axes.len().saturating_sub(1);
    let place = (framing.along.clamp(0.0, 1.0) * last as f64).round() as usize;
    let zoomed = CameraPost {
        horizontal_fov_deg: framing.zoom_deg.unwrap_or(post.horizontal_fov_deg),
        ..post.clone()
    };
    let eye = match axes.get(place) {
        Some(axis) => Pinhole::along(&zoomed, *axis),
        None => Pinhole::new(&zoomed, glam::DVec3::ZERO),
    };
    let height = ((width as f64 / post.aspect.max(0.1)).round() as usize).max(1);
    let (figures, placing) = scene.players(&eye);
    (View { eye, size: [width, height], figures }, placing)
}

/// How a camera exposes at a framing: a lens that loses light at its long end has what is left
/// of it there.
pub fn rig(post: &CameraPost, framing: Framing) -> Rig {
    let rig = Rig::of(&post.exposure);
    let half = |fov_deg: f64| (0.5 * fov_deg.to_radians()).tan();
    match post.exposure.focal_mm {
        Some(focal_mm) => {
            let fov_deg = framing.zoom_deg.unwrap_or(post.horizontal_fov_deg);
            rig.zoomed_to(focal_mm * half(post.horizontal_fov_deg) / half(fov_deg))
        }
        None => rig,
    }
}

/// A venue ready for pictures of what stands at a time: what nodes on faces are tried with is
/// the light of three times of the day, in the middle of the morning, at noon by the sun and in
/// the afternoon.
pub fn scene(prepared: &Prepared<'_>, at: DateTime<Tz>, sky: Sky, air: &Air) -> ViewScene {
    let prepared = prepared.at(at);
    let hours = |h: i64| at + chrono::TimeDelta::hours(h);
    let of = |at: DateTime<Tz>| prepared.view_light(at, sky, air);
    let up = |light: &ViewLight| light.sun_is_out();
    let tried: Vec<ViewLight> = [-2, 0, 2].map(hours).map(of).into_iter().filter(up).collect();
    let tried = if tried.is_empty() { vec![of(at)] } else { tried };
    ViewScene::new(prepared, &tried.iter().collect::<Vec<_>>())
}

/// Scenes of a day, one for each set of things that stands, made when it is first asked for.
#[cfg(feature = "cli")]
pub(crate) struct Scenes<'a> {
    prepared: &'a Prepared<'a>,
    sky: Sky,
    air: &'a Air,
    made: Vec<(&'a Prepared<'a>, Arc<ViewScene>)>,
}

#[cfg(feature = "cli")]
impl<'a> Scenes<'a> {
    /// With that of `middle`, which serves all times at which the same stands.
    pub fn new(prepared: &'a Prepared<'a>, middle: DateTime<Tz>, sky: Sky, air: &'a Air) -> Self {
        let mut scenes = Self { prepared, sky, air, made: Vec::new() };
        scenes.at(middle);
        scenes
    }

    /// That of what stands at a time.
    pub fn at(&mut self, at: DateTime<Tz>) -> Arc<ViewScene> {
        let stands = self.prepared.at(at);
        if let Some((_, scene)) = self.made.iter().find(|(of, _)| std::ptr::eq(*of, stands)) {
            return Arc::clone(scene);
        }
        let made = Arc::new(scene(self.prepared, at, self.sky, self.air));
        self.made.push((stands, Arc::clone(&made)));
        made
    }
}

/// A time for file names.
#[cfg(feature = "cli")]
fn stamp(at: DateTime<Tz>) -> String {
    at.format("%H%M").to_string()
}

/// A minute of a span, by the share of it that lies before.
#[cfg(feature = "cli")]
pub(crate) fn between(a: DateTime<Tz>, b: DateTime<Tz>, share: f64) -> DateTime<Tz> {
    let seconds = (b - a).num_seconds();
    let whole = (share * seconds as f64 / 60.0).round() as i64;
    a + chrono::TimeDelta::minutes(whole)
}
