//! Points and numbers as the interactive page reads them.
//!
//! In: the local frame, metres. Out: field axes, metres to the centimetre.

use geo::{Coord, LineString};
use glam::DVec3;

use crate::base::frame::FieldFrame;

pub(super) fn ring(frame: FieldFrame, ring: &LineString<f64>) -> Vec<[f64; 2]> {
    let open = ring.0.len().saturating_sub(1);
    ring.0.iter().take(open).map(|c| at(frame, *c)).collect()
}

pub(super) fn open_line(frame: FieldFrame, line: &LineString<f64>) -> Vec<[f64; 2]> {
    line.0.iter().map(|c| at(frame, *c)).collect()
}

pub(super) fn at(frame: FieldFrame, c: Coord<f64>) -> [f64; 2] {
    let p = frame.to_field(DVec3::new(c.x, c.y, 0.0));
    [rounded(p.along_m, 2), rounded(p.across_m, 2)]
}

pub(super) fn at3(frame: FieldFrame, p: DVec3) -> [f64; 3] {
    let p = frame.to_field(p);
    [p.along_m, p.across_m, p.up_m].map(|v| rounded(v, 2))
}

pub(super) fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10.0_f64.powi(decimals);
    // minus nought is nought
    (value * scale).round() / scale + 0.0
}
