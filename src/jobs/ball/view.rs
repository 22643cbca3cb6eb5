//! What the camera sees around the flight, in pan and tilt.
//!
//! In: looks, all light of the time. Out: a grid of [`Backdrop`]s over pan and tilt,
//! degrees.

use crate::base::frame::direction;
use crate::base::units::{Azimuth, Elevation};
use crate::venue::CameraPost;

use super::behind::{Backdrop, BackgroundLight};
use super::look::BallLook;

/// Cells across, and at the most up.
const COLUMNS: usize = 150;
const MAX_ROWS: usize = 90;
/// Room around the path, as a share of its width, and at least so much, degrees.
const ROOM: f64 = 0.08;
const MIN_ROOM_DEG: f64 = 2.0;

/// A window of pan and tilt.
#[derive(Debug, Clone, PartialEq)]
pub struct PanTiltWindow {
    /// Left and right edge: degrees clockwise of north, not wrapped, right greater.
    pub pan_deg: (f64, f64),
    /// Lower and upper edge.
    pub tilt_deg: (f64, f64),
    pub columns: usize,
    pub rows: usize,
    /// Row by row from the lower edge.
    pub cells: Vec<Backdrop>,
}

impl PanTiltWindow {
    pub(super) fn new(light: &BackgroundLight<'_>, post: &CameraPost, looks: &[BallLook]) -> Self {
        let (pans, tilts) = (pans(looks), looks.iter().map(|l| l.tilt.degrees()));
        let pan = padded(range(pans.into_iter()));
        let tilt = padded(range(tilts));
        // a flight straight at the camera is no line: at least four wide for one up
        let width = (pan.1 - pan.0).max(1.5 * (tilt.1 - tilt.0));
        let middle = 0.5 * (pan.0 + pan.1);
        let pan = (middle - 0.5 * width, middle + 0.5 * width);
        let tilt = (tilt.0.max(-89.0), tilt.1.min(89.0));
        let cell = width / COLUMNS as f64;
        let rows = (((tilt.1 - tilt.0) / cell).round() as usize).clamp(4, MAX_ROWS);
        let mut view =
            Self { pan_deg: pan, tilt_deg: tilt, columns: COLUMNS, rows, cells: Vec::new() };
        let cells = (0..view.columns * rows).map(|i| {
            let (pan, tilt) = view.middle(i);
            let toward = direction(Azimuth::from_degrees(pan), Elevation::from_degrees(tilt));
            light.backdrop(&light.ray(post.at, toward))
        });
        view.cells = cells.collect();
        view
    }

    /// Pan and tilt of the middle of a cell, degrees.
    pub fn middle(&self, cell: usize) -> (f64, f64) {
        let share = |i: usize, n: usize, (from, until): (f64, f64)| {
            from + (i as f64 + 0.5) / n as f64 * (until - from)
        };
        (
            share(cell % self.columns, self.columns, self.pan_deg),
            share(cell / self.columns, self.rows, self.tilt_deg),
        )
    }
}

/// Pans of the looks, not wrapped at north.
pub fn pans(looks: &[BallLook]) -> Vec<f64> {
    let mut all: Vec<f64> = Vec::with_capacity(looks.len());
    for look in looks {
        let pan = look.pan.degrees();
        let near =
            all.last().map_or(pan, |last| last + (pan - last + 180.0).rem_euclid(360.0) - 180.0);
        all.push(near);
    }
    all
}

fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)))
}

fn padded((low, high): (f64, f64)) -> (f64, f64) {
    let room = (ROOM * (high - low)).max(MIN_ROOM_DEG);
    (low - room, high + room)
}
