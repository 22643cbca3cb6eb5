//! A ball in the air, as a camera follows it, and the ride of the iris.
//!
//! In: a [`Prepared`] venue, a camera, a flight, a time, sky and air. Out: a [`BallPlan`]:
//! where the camera points, what stands behind the ball and how bright it is, how bright
//! the ball is, the rides that keep the background on level and the ball to be seen.

mod behind;
#[cfg(feature = "cli")]
pub mod command;
mod compare;
mod glow;
mod look;
mod penalty;
pub mod physics;
pub mod picture;
pub mod report;
mod rides;
mod sway;
mod view;

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;

use crate::camera::{ELEMENT_WITHIN_DEG, Rig};
use crate::engine::Prepared;
use crate::engine::surroundings::Surroundings;
use crate::light::{Air, Sky};
use crate::solar::{Sun, SunState};
use crate::venue::CameraPost;

use behind::BackgroundLight;
use physics::{Ball, Flight, Screen};

pub use behind::{Backdrop, Hider, SunOrShade};
pub use compare::{
    BallCamera, BallHour, CompareError, CompareSettings, Comparison, MAX_RIDES, ShotFlown,
    ShotScore, SiteHours, times_with_sun,
};
pub use look::{BackdropSpan, BallLook};
pub use penalty::{BallPenaltyPart, BallPenaltyParts, BallWeights};
pub use rides::{LensSetting, Rides};
pub use sway::{SwayEffect, SwayRange};
pub use view::{PanTiltWindow, pans};

/// Stops a second that the iris of a box lens does under a hand (common practice, no
/// source).
pub const DEFAULT_RATE: f64 = 4.0;
/// How far under white a sky looks right (common practice, no source).
pub const DEFAULT_SKY_UNDER_STOPS: f64 = 0.7;
/// How many times over its threshold a contrast has to be where one looks for a ball
/// without knowing where: the visibility level that CIE 19/2 builds on, from memory 8.
pub const DEFAULT_VISIBILITY: f64 = 8.0;

/// What is asked.
#[derive(Debug, Clone)]
pub struct BallSettings {
    pub at: DateTime<Tz>,
    pub sky: Sky,
    pub air: Air,
    /// Index into [`crate::venue::Venue::cameras`].
    pub camera: usize,
    /// Horizontal field of view while it follows the ball, degrees; that of the file
    /// where open.
    pub fov_deg: Option<f64>,
    pub ball: Ball,
    pub flight: Flight,
    /// Stops a second.
    pub rate: f64,
    /// From the hand to the iris, s; that of the camera where open.
    pub delay_s: Option<f64>,
    /// Stops under white that sky is set to.
    pub sky_under_stops: f64,
    /// Times over the threshold that the ball's contrast has to be.
    pub visibility: f64,
    pub screen: Screen,
}

/// A ball followed by a camera.
#[derive(Debug, Clone)]
pub struct BallPlan {
    pub at: DateTime<Tz>,
    pub sky: Sky,
    pub air: Air,
    pub sun: Sun,
    pub sun_state: SunState,
    /// With the field of view it follows the ball with.
    pub post: CameraPost,
    pub ball: Ball,
    /// To the ground, or to what stops it.
    pub flight: Flight,
    /// What stops the ball: index into [`crate::venue::Venue::occluders`].
    pub stopped_by: Option<usize>,
    /// In order of time; where the background changes there are two, a millisecond apart.
    pub looks: Vec<BallLook>,
    pub rides: Rides,
    /// What the sway of what it stands on does; `None` where nothing sways.
    pub sway: Option<SwayEffect>,
    /// What stands around the path.
    pub view: PanTiltWindow,
    pub visibility: f64,
    pub sky_under_stops: f64,
}

/// Why there is no plan for a ball.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BallPlanError {
    #[error("there is no camera of index {index}; cameras of the venue: {count}")]
    NoSuchCamera { index: usize, count: usize },
    #[error(
        "the sun is {elevation_deg:.1} degrees under the horizon and no floodlight is lit: \
         there is no light to see a ball by\n  choose another time"
    )]
    Dark { elevation_deg: f64 },
    #[error("the ball's flight lasts no time\n  check where it starts and how it is struck")]
    NoFlight,
}

/// How often the flight is looked at, s.
const LOOK_EVERY_S: f64 = 0.05;

impl BallPlan {
    /// Follows the ball.
    ///
    /// # Errors
    /// [`BallPlanError`].
    pub fn new(
        prepared: &Prepared<'_>,
        date: NaiveDate,
        settings: &BallSettings,
    ) -> Result<Self, BallPlanError> {
        let venue = prepared.venue;
        let (index, count) = (settings.camera, venue.cameras.len());
        let post = venue.cameras.get(index);
        let mut post = post.cloned().ok_or(BallPlanError::NoSuchCamera { index, count })?;
        post.horizontal_fov_deg = settings.fov_deg.unwrap_or(post.horizontal_fov_deg);
        let stands = venue.at(settings.at);
        let surroundings = Surroundings::new(&stands, date);
        let (flight, stopped_by) = look::stopped(&surroundings, &settings.flight);
        if flight.lasts_s() <= 2.0 * look::CHANGE_S {
            return Err(BallPlanError::NoFlight);
        }
        let light = BackgroundLight::new(prepared, &surroundings, settings);
        if light.is_dark() {
            let elevation_deg = -light.sun.apparent_elevation.degrees();
            return Err(BallPlanError::Dark { elevation_deg });
        }
        let (looks, rides) = follow(&light, &post, &flight, settings, LOOK_EVERY_S);
        let still = (looks.as_slice(), rides.background.as_ref());
        let sway = sway::effect(&light, &post, &flight, settings, still, LOOK_EVERY_S);
        Ok(Self {
            at: settings.at,
            sky: settings.sky,
            air: settings.air,
            sun: light.sun,
            sun_state: light.sun_state,
            ball: settings.ball,
            flight,
            stopped_by,
            view: PanTiltWindow::new(&light, &post, &looks),
            looks,
            rides,
            sway,
            visibility: settings.visibility,
            sky_under_stops: settings.sky_under_stops,
            post,
        })
    }

    /// Stretches of one background.
    pub fn stretches(&self) -> Vec<BackdropSpan> {
        look::stretches(&self.looks)
    }

    /// Fastest turn of the camera, degrees a second, and when.
    pub fn fastest(&self) -> Option<&BallLook> {
        self.looks.iter().max_by(|a, b| a.turn_deg_per_s.total_cmp(&b.turn_deg_per_s))
    }

    /// When the sun is in frame: first and last look with it.
    pub fn sun_in_frame(&self) -> Option<(f64, f64)> {
        let mut seen = self.looks.iter().filter(|look| look.sun_in_frame).map(|look| look.t_s);
        let first = seen.next()?;
        Some((first, seen.next_back().unwrap_or(first)))
    }

    /// The look with the sun nearest to the axis, where it is near enough to reach the
    /// front element.
    pub fn sun_on_element(&self) -> Option<(&BallLook, f64)> {
        let near = self.looks.iter().filter_map(|look| Some((look, look.sun_off_axis_deg?)));
        near.filter(|(_, off)| *off <= ELEMENT_WITHIN_DEG).min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// A flight as one camera follows it, and its rides.
fn follow(
    light: &BackgroundLight<'_>,
    post: &CameraPost,
    flight: &Flight,
    settings: &BallSettings,
    every_s: f64,
) -> (Vec<BallLook>, Rides) {
    let looks = look::looks(light, post, &settings.ball, flight, every_s);
    let rig = Rig::of(&post.exposure);
    let rides = rides::rides(&looks, &rig, post, light.subject(), settings);
    (looks, rides)
}
