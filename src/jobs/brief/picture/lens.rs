//! From the local frame through the lens onto the page, and the brush that paints
//! there.
//!
//! In: points in metres, levels. Out: marks in pixels, none outside the frame.

use glam::DVec3;
use plotters::style::RGBColor;

use crate::camera::Pinhole;
use crate::output::draw::clip;
use crate::output::draw::sketch::{Px, PxBox, Sketch};

use super::tone;

/// Strokes over what is clipped.
pub(super) const HATCH: RGBColor = RGBColor(150, 150, 150);

/// A camera's frame and where it stands on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lens {
    pub eye: Pinhole,
    pub frame: PxBox,
}

impl Lens {
    /// Where image coordinates are on the page.
    pub fn page(&self, image: [f64; 2]) -> Px {
        let [x, y] = self.frame.middle();
        [x + 0.5 * image[0] * self.frame.width(), y - 0.5 * image[1] * self.frame.height()]
    }

    /// Where a point is on the page, inside the frame or not; `None` behind the
    /// camera.
    pub fn point(&self, p: DVec3) -> Option<Px> {
        self.eye.project(p).map(|image| self.page(image))
    }

    /// The part of a planar polygon inside the frame; empty where there is none.
    pub fn ring(&self, ring: &[DVec3]) -> Vec<Px> {
        self.eye.clip(ring).iter().filter_map(|p| self.point(*p)).collect()
    }

    /// The pieces of a line inside the frame.
    pub fn line(&self, line: &[DVec3]) -> Vec<Vec<Px>> {
        let ahead = line.windows(2).filter_map(|w| self.eye.ahead([w[0], w[1]]));
        let pairs = ahead.filter_map(|[a, b]| Some([self.point(a)?, self.point(b)?]));
        let mut joined: Vec<Vec<Px>> = Vec::new();
        for [a, b] in pairs {
            match joined.last_mut() {
                Some(run) if run.last() == Some(&a) => run.push(b),
                _ => joined.push(vec![a, b]),
            }
        }
        joined.iter().flat_map(|run| clip::line_in(run, &self.frame)).collect()
    }

    /// Pixels that a metre square to the axis takes at a point's depth.
    pub fn px_per_metre(&self, p: DVec3) -> f64 {
        let depth = (p - self.eye.at).dot(self.eye.forward).max(1e-3);
        0.5 * self.frame.width() / (depth * self.eye.half_width)
    }
}

/// Paints levels on a sketch through a lens.
pub(super) struct Brush<'s> {
    pub sketch: &'s mut Sketch,
    pub lens: Lens,
    /// Between strokes of the hatching over what is clipped, pixels.
    pub hatch_px: f64,
}

impl Brush<'_> {
    /// A planar polygon of one level.
    pub fn surface(&mut self, ring: &[DVec3], level: f64) {
        let ring = self.lens.ring(ring);
        self.patch(ring, level);
    }

    /// The same on a surface already painted, with a border that leaves none of it
    /// beside what should cover it whole.
    pub fn cover(&mut self, ring: &[DVec3], level: f64) {
        let ring = self.lens.ring(ring);
        // side by side: around the tip of a sliver a thick line would shoot out
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            self.sketch.stroke([*a, *b], 2, tone::grey(level));
        }
        self.patch(ring, level);
    }

    /// A ring on the page of one level.
    pub fn patch(&mut self, ring: Vec<Px>, level: f64) {
        if ring.len() < 3 {
            return;
        }
        let grey = tone::grey(level);
        self.sketch.fill(ring.clone(), grey);
        // a fine line of the same grey closes the joints with its neighbours
        self.sketch.outline(ring.clone(), 1, grey);
        if tone::is_clipped(level) {
            for stroke in clip::hatching(&[ring], self.hatch_px) {
                self.sketch.stroke(stroke, 1, HATCH);
            }
        }
    }

    /// A line of one level.
    pub fn line(&mut self, line: &[DVec3], width_px: u32, level: f64) {
        for piece in self.lens.line(line) {
            self.sketch.stroke(piece, width_px, tone::grey(level));
        }
    }
}
