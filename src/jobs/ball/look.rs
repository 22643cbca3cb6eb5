//! A camera that follows the ball, look by look.
//!
//! In: a flight, a camera, all light of the time. Out: [`BallLook`]s in order of time: where
//! the camera points (degrees), how fast it turns, how large the ball is, what is behind
//! it, how bright both are.

use glam::DVec3;

use crate::base::units::{Azimuth, Elevation, Luminance};
use crate::camera::Pinhole;
use crate::engine::surroundings::Surroundings;
use crate::venue::CameraPost;

use super::behind::{Backdrop, BackgroundLight, Hider};
use super::glow;
use super::glow::TimedBall;
use super::physics::{Ball, Flight};

/// Changes of the background are found to this, s.
pub(super) const CHANGE_S: f64 = 1e-3;
/// The ball is tried for what it flies into in pieces of so much time, s.
const PIECE_S: f64 = 0.02;
/// The first piece is left out: a ball leaves from what it lies on, s.
const LEAVES_S: f64 = 0.04;

/// The camera at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BallLook {
    /// Since the strike.
    pub t_s: f64,
    /// The ball, local frame, metres.
    pub at: DVec3,
    /// From the camera to the ball.
    pub distance_m: f64,
    pub pan: Azimuth,
    pub tilt: Elevation,
    /// How fast the axis turns.
    pub turn_deg_per_s: f64,
    /// How fast the pan head turns, positive to the right; faster than the axis where the
    /// ball is high.
    pub pan_deg_per_s: f64,
    pub tilt_deg_per_s: f64,
    /// Size of the ball from the camera, degrees.
    pub size_deg: f64,
    /// Width of the ball against that of the picture.
    pub share_of_width: f64,
    pub behind: Backdrop,
    /// What hides the ball from the camera.
    pub hidden_by: Option<Hider>,
    pub background: Luminance,
    /// What belongs at white with this background on level.
    pub white: Luminance,
    pub ball: Luminance,
    /// Share of the direct light that reaches the ball; `None` without direct sun.
    pub ball_in_sun: Option<f64>,
    /// Between the axis and the sun; `None` without direct sun, or where something keeps it
    /// off the lens.
    pub sun_off_axis_deg: Option<f64>,
    /// Whether the sun is in the picture, or comes into it as the camera sways.
    pub sun_in_frame: bool,
}

/// Some time with one background.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BackdropSpan {
    pub from_s: f64,
    pub until_s: f64,
    pub behind: Backdrop,
    pub hidden_by: Option<Hider>,
    /// Darkest and brightest.
    pub background: (Luminance, Luminance),
}

/// The flight up to what stops it.
pub(super) fn stopped(surroundings: &Surroundings<'_>, flight: &Flight) -> (Flight, Option<usize>) {
    let end = flight.lasts_s();
    let mut t = LEAVES_S;
    while t < end {
        let next = (t + PIECE_S).min(end);
        let (a, b) = (flight.at(t).at, flight.at(next).at);
        let way = b - a;
        if let Some(toward) = way.try_normalize()
            && let Some(owner) = surroundings.blocked(a, toward, way.length())
        {
            return (flight.until(t), Some(owner.occluder));
        }
        t = next;
    }
    (flight.clone(), None)
}

/// Follows the ball.
pub(super) fn looks(
    light: &BackgroundLight<'_>,
    post: &CameraPost,
    ball: &Ball,
    flight: &Flight,
    every_s: f64,
) -> Vec<BallLook> {
    let key = |t: f64| {
        let (ray, distance) = ray(light, post, flight, t);
        (light.backdrop(&ray), light.hidden_by(&ray, distance - ball.radius_m))
    };
    let times = times(flight.lasts_s(), every_s, key);
    let rays: Vec<_> = times.iter().map(|&t| ray(light, post, flight, t).0).collect();
    let seen = light.seen(&rays);
    let places: Vec<TimedBall> =
        times.iter().map(|&t_s| TimedBall { t_s, at: flight.at(t_s).at }).collect();
    let glows = glow::luminances(light, post.at, ball.reflectance, &places);
    let wide = (post.horizontal_fov_deg + 2.0 * post.sway.degrees).min(175.0);
    let swaying = CameraPost { horizontal_fov_deg: wide, ..post.clone() };
    let lens_lit = light.sun_reaches(post.at) > 0.0;
    let all = times.iter().zip(&rays).zip(seen).zip(glows);
    all.map(|(((&t_s, ray), seen), glow)| {
        let point = flight.at(t_s);
        let to = point.at - post.at;
        let distance_m = to.length();
        let toward = to.normalize_or(DVec3::Y);
        let pinhole = Pinhole::along(post, toward);
        let rates = Rates::of(to, point.velocity);
        let off = pinhole.angle_from_axis_deg(light.toward_sun);
        let size = 2.0 * (ball.radius_m / distance_m.max(ball.radius_m)).asin();
        BallLook {
            t_s,
            at: point.at,
            distance_m,
            pan: Azimuth::from_degrees(toward.x.atan2(toward.y).to_degrees()),
            tilt: Elevation::from_degrees(toward.z.clamp(-1.0, 1.0).asin().to_degrees()),
            turn_deg_per_s: rates.turn,
            pan_deg_per_s: rates.pan,
            tilt_deg_per_s: rates.tilt,
            size_deg: size.to_degrees(),
            share_of_width: (0.5 * size).tan() / pinhole.half_width,
            behind: light.backdrop(ray),
            hidden_by: light.hidden_by(ray, distance_m - ball.radius_m),
            background: seen.luminance,
            white: seen.white,
            ball: glow,
            ball_in_sun: light.has_sun().then(|| light.sun_reaches(point.at)),
            sun_off_axis_deg: lens_lit.then_some(off),
            sun_in_frame: lens_lit
                && Pinhole::along(&swaying, toward).is_in_frame(light.toward_sun),
        }
    })
    .collect()
}

fn ray(
    light: &BackgroundLight<'_>,
    post: &CameraPost,
    flight: &Flight,
    t_s: f64,
) -> (super::behind::SightLine, f64) {
    let to = flight.at(t_s).at - post.at;
    (light.ray(post.at, to.normalize_or(DVec3::Y)), to.length())
}

/// Even times, and both sides of each change of `key`, of several between two even times as
/// well.
fn times<K: PartialEq + Copy>(lasts_s: f64, every_s: f64, key: impl Fn(f64) -> K) -> Vec<f64> {
    let count = (lasts_s / every_s).ceil().max(1.0) as usize;
    let even = (0..=count).map(|i| lasts_s * i as f64 / count as f64);
    let mut times: Vec<f64> = Vec::new();
    let mut before: Option<(f64, K)> = None;
    for t in even {
        let now = key(t);
        while let Some((from, old)) = before
            && old != now
            && from < t
        {
            let (mut low, mut high) = (from, t);
            while high - low > CHANGE_S {
                let middle = 0.5 * (low + high);
                if key(middle) == old { low = middle } else { high = middle }
            }
            times.extend([low, high].into_iter().filter(|x| *x > from && *x < t));
            before = Some((high, key(high)));
        }
        times.push(t);
        before = Some((t, now));
    }
    times
}

/// Rates of an axis that follows a point, degrees a second.
struct Rates {
    turn: f64,
    pan: f64,
    tilt: f64,
}

impl Rates {
    fn of(to: DVec3, velocity: DVec3) -> Self {
        let (square, flat2) = (to.length_squared(), to.x * to.x + to.y * to.y);
        let turn = to.cross(velocity).length() / square;
        // azimuth is atan2(x, y), clockwise
        let pan = (to.y * velocity.x - to.x * velocity.y) / flat2.max(1e-9);
        let outward = (to.x * velocity.x + to.y * velocity.y) / flat2.sqrt().max(1e-9);
        let tilt = (flat2.sqrt() * velocity.z - to.z * outward) / square;
        let degrees = [turn, pan, tilt].map(f64::to_degrees);
        Self { turn: degrees[0], pan: degrees[1], tilt: degrees[2] }
    }
}

/// Looks of one background each.
pub(super) fn stretches(looks: &[BallLook]) -> Vec<BackdropSpan> {
    let mut all: Vec<BackdropSpan> = Vec::new();
    for look in looks {
        let same = |s: &&mut BackdropSpan| s.behind == look.behind && s.hidden_by == look.hidden_by;
        if let Some(last) = all.last_mut().filter(same) {
            last.until_s = look.t_s;
            let (low, high) = &mut last.background;
            *low = if look.background < *low { look.background } else { *low };
            *high = if look.background > *high { look.background } else { *high };
        } else {
            all.push(BackdropSpan {
                from_s: look.t_s,
                until_s: look.t_s,
                behind: look.behind,
                hidden_by: look.hidden_by,
                background: (look.background, look.background),
            });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A point that passes square on at a distance d with a speed v turns the axis by v / d
    /// (plane geometry): 20 m/s at 40 m is half a radian a second.
    #[test]
    fn rates_are_those_of_a_passing_point() {
        let rates = Rates::of(DVec3::new(0.0, 40.0, 0.0), DVec3::X * 20.0);
        assert!((rates.turn - 0.5_f64.to_degrees()).abs() < 1e-9);
        assert!((rates.pan - rates.turn).abs() < 1e-9 && rates.tilt.abs() < 1e-9);
        let rates = Rates::of(DVec3::new(0.0, 40.0, 0.0), DVec3::Z * 20.0);
        assert!((rates.tilt - 0.5_f64.to_degrees()).abs() < 1e-9 && rates.pan.abs() < 1e-9);
        // at 60 degrees of tilt the pan head turns twice as fast as the axis
        let up = DVec3::new(0.0, 20.0, 20.0 * 3.0_f64.sqrt());
        let rates = Rates::of(up, DVec3::X * 20.0);
        assert!((rates.pan / rates.turn - 2.0).abs() < 1e-9);
    }

    #[test]
    fn changes_are_found_to_a_millisecond() {
        let times = times(2.0, 0.25, |t| t > 0.7312);
        let around: Vec<f64> =
            times.iter().copied().filter(|t| (0.73..0.733).contains(t)).collect();
        assert_eq!(around.len(), 2);
        assert!(around[0] <= 0.7312 && around[1] > 0.7312 && around[1] - around[0] <= CHANGE_S);
        assert_eq!((times[0], *times.last().unwrap()), (0.0, 2.0));
        assert!(times.is_sorted());
    }

    /// A mast 10 ms wide before a wall: three backgrounds between two even times.
    #[test]
    fn two_changes_between_even_times_are_both_found() {
        let key = |t: f64| match t {
            t if t <= 0.612 => 'a',
            t if t <= 0.622 => 'b',
            _ => 'c',
        };
        let times = times(1.0, 0.25, key);
        assert!(times.is_sorted());
        let changes: Vec<f64> = times
            .windows(2)
            .filter(|pair| key(pair[0]) != key(pair[1]))
            .map(|pair| pair[1] - pair[0])
            .collect();
        assert_eq!(changes.len(), 2);
        assert!(changes.iter().all(|gap| *gap <= CHANGE_S));
    }
}
