//! What the sway of a tower or hoist does to a ride.
//!
//! In: a camera with its sway, a flight, all light of the time. Out: between which values the
//! ride's times and stops lie when the lens is as far off as it sways, each way. Stated sway
//! is the farthest, to either side (a tower's own data or what was measured on it).

use glam::DVec3;

use crate::camera::Pinhole;
use crate::venue::CameraPost;

use super::behind::BackgroundLight;
use super::look::BallLook;
use super::physics::{Flight, Ride};
use super::{BallSettings, follow, look};

/// Least and most.
pub type SwayRange = (f64, f64);

/// What sway does.
#[derive(Debug, Clone, PartialEq)]
pub struct SwayEffect {
    /// When the hand has to begin to close, s; `None` where no lens has to.
    pub hand_starts_s: Option<SwayRange>,
    /// Stops of the most closed setting.
    pub most_stops: SwayRange,
    /// When the iris is back, s.
    pub back_s: SwayRange,
    /// How far changes of the background move, s; `None` where another lens sees other
    /// backgrounds or another order of them.
    pub changes_by_s: Option<f64>,
    /// How far off the middle the ball is by the turn alone, as a share of half the picture's
    /// width.
    pub off_middle_share: f64,
}

/// The effect; `None` for a camera that does not sway.
pub(super) fn effect(
    light: &BackgroundLight<'_>,
    post: &CameraPost,
    flight: &Flight,
    settings: &BallSettings,
    still: (&[BallLook], Option<&Ride>),
    every_s: f64,
) -> Option<SwayEffect> {
    let sway = post.sway;
    if sway.is_none() {
        return None;
    }
    let rides: Vec<(Vec<BallLook>, Option<Ride>)> = displaced(post)
        .iter()
        .map(|post| follow(light, post, flight, settings, every_s))
        .map(|(looks, rides)| (looks, rides.background))
        .collect();
    let all = || still.1.into_iter().chain(rides.iter().filter_map(|r| r.1.as_ref()));
    let changes = rides.iter().map(|(looks, _)| moved(still.0, looks));
    let half = Pinhole::along(post, DVec3::Y).half_width;
    Some(SwayEffect {
        hand_starts_s: span(all().filter_map(|r| r.hand_starts_s)),
        most_stops: span(all().map(|r| r.most.stops)).unwrap_or_default(),
        back_s: span(all().map(|r| r.back_s)).unwrap_or_default(),
        changes_by_s: changes.into_iter().try_fold(0.0_f64, |most, by| Some(most.max(by?))),
        off_middle_share: sway.degrees.to_radians().tan() / half,
    })
}

/// The camera at the four ends of its sway.
fn displaced(post: &CameraPost) -> Vec<CameraPost> {
    if post.sway.metres <= 0.0 {
        return Vec::new();
    }
    let ends = [DVec3::X, -DVec3::X, DVec3::Y, -DVec3::Y];
    let end = |way: DVec3| CameraPost { at: post.at + way * post.sway.metres, ..post.clone() };
    ends.map(end).to_vec()
}

/// The farthest that a change of the background moves, s.
fn moved(still: &[BallLook], other: &[BallLook]) -> Option<f64> {
    let (a, b) = (look::stretches(still), look::stretches(other));
    let same = a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| a.behind == b.behind);
    let by = a.iter().zip(&b).map(|(a, b)| (a.from_s - b.from_s).abs());
    same.then(|| by.fold(0.0, f64::max))
}

fn span(values: impl Iterator<Item = f64>) -> Option<SwayRange> {
    values.fold(None, |span: Option<SwayRange>, v| {
        Some(span.map_or((v, v), |(low, high)| (low.min(v), high.max(v))))
    })
}
