//! More rays where one is not enough.
//!
//! In: the samples of a picture. Out: the same, softer where meshes throw shadows and smoother
//! along edges. Edges of shadows of all other bodies are soft by themselves.

use super::render::{Sample, Seen, Tracer};
use crate::geometry::MeshEdges;
use crate::light::Tristimulus;

/// Neighbours whose light differs by this factor are an edge, and so are those that show two
/// things whose light differs by the second.
const EDGE_RATIO: f64 = 1.12;
const SEEN_RATIO: f64 = 1.03;
/// Shares of the sun that differ by less than the first are the same, and those that differ by
/// the second are a hard edge.
const SAME_SUN: f32 = 0.02;
const HARD_SUN: f32 = 0.35;
/// Places of the rays of an edge's pixel, pixels from its middle: a turned square.
const SUBPIXELS: [[f64; 2]; 4] =
    [[-0.125, -0.375], [0.375, -0.125], [0.125, 0.375], [-0.375, 0.125]];
/// Edges that meshes throw are looked at anew so many pixels around at most.
const MAX_SOFT_PX: usize = 12;

/// Whether more rays are wanted where these two are neighbours.
fn differ(a: &Sample, b: &Sample) -> bool {
    let is_over = |ratio: f64| {
        let (p, q) = (a.light, b.light);
        [(p.x, q.x), (p.y, q.y), (p.z, q.z)].iter().any(|(p, q)| p.max(*q) > ratio * p.min(*q))
    };
    if a.id != b.id {
        return is_over(SEEN_RATIO);
    }
    let on_field = |s: &Sample| matches!(s.seen, Seen::Turf | Seen::Line);
    let sun = (a.sun - b.sun).abs();
    // how much of a pixel is line is known, and the share of the sun on an edge that is softer
    // than a few pixels
    let is_line = sun < SAME_SUN && on_field(a) && on_field(b);
    let is_soft = (SAME_SUN..HARD_SUN).contains(&sun);
    !is_line && !is_soft && is_over(EDGE_RATIO)
}

impl Tracer<'_> {
    /// Looks anew at pixels near where meshes let sun and shade meet.
    pub(super) fn soften(&self, samples: &mut [Sample]) {
        if !samples.iter().any(|s| s.by_mesh) || !self.light.sun_is_out() {
            return;
        }
        let [width, height] = self.view.size;
        let mut anew = vec![false; samples.len()];
        let differ =
            |a: &Sample, b: &Sample| (a.by_mesh || b.by_mesh) && (a.sun - b.sun).abs() > 0.2;
        let pixel = 2.0 * self.view.eye.half_width / width as f64;
        for y in 0..height {
            for x in 0..width {
                let here = &samples[y * width + x];
                let beside = [
                    (x + 1 < width).then(|| y * width + x + 1),
                    (y + 1 < height).then(|| (y + 1) * width + x),
                ];
                for other in beside.into_iter().flatten().filter(|i| differ(here, &samples[*i])) {
                    let shaded = if here.sun < samples[other].sun { y * width + x } else { other };
                    let reach = self.blur_px(shaded, &samples[shaded], pixel);
                    for v in y.saturating_sub(reach)..(y + reach + 1).min(height) {
                        for u in x.saturating_sub(reach)..(x + reach + 1).min(width) {
                            anew[v * width + u] = true;
                        }
                    }
                }
            }
        }
        self.again(samples, &anew, &[[0.0; 2]]);
    }

    /// How many pixels the edge that shades a place is soft over.
    fn blur_px(&self, index: usize, sample: &Sample, pixel: f64) -> usize {
        let width = self.view.size[0];
        let image = self.view.image((index % width) as f64 + 0.5, (index / width) as f64 + 0.5);
        let from = self.view.eye.at + self.rays.frame().ray(image) * f64::from(sample.distance_m);
        let sun = self.light.toward_sun;
        let look = self.scene.obstacles().look(from + sun * 0.01, sun, f64::INFINITY);
        let away_m = look.nearest.map_or(0.0, |(_, hit)| hit.distance_m);
        // low suns draw the edge out over level ground
        let wide_m = away_m * self.sun_radius / sun.z.max(0.1);
        ((wide_m / (pixel * f64::from(sample.distance_m)).max(1e-6)).ceil() as usize)
            .clamp(1, MAX_SOFT_PX)
    }

    /// Looks by more rays where neighbours differ.
    pub(super) fn smooth(&self, samples: &mut [Sample]) {
        let [width, height] = self.view.size;
        let mut anew = vec![false; samples.len()];
        for y in 0..height {
            for x in 0..width {
                let i = y * width + x;
                if x + 1 < width && differ(&samples[i], &samples[i + 1]) {
                    (anew[i], anew[i + 1]) = (true, true);
                }
                if y + 1 < height && differ(&samples[i], &samples[i + width]) {
                    (anew[i], anew[i + width]) = (true, true);
                }
            }
        }
        self.again(samples, &anew, &SUBPIXELS);
    }

    /// Replaces the light of some pixels by the mean over rays beside their middle.
    fn again(&self, samples: &mut [Sample], anew: &[bool], beside: &[[f64; 2]]) {
        self.each(samples, anew, |[x, y], sample, scratch| {
            let (mut sum, mut sun, mut count) = (Tristimulus::ZERO, 0.0, 0.0);
            for [u, v] in beside {
                let before = scratch.missing.len();
                let one = self.sample([x + u, y + v], MeshEdges::Soft, scratch);
                if scratch.missing.len() == before {
                    sum += one.light;
                    sun += one.sun;
                    count += 1.0;
                }
            }
            if count > 0.0 {
                sample.light = sum * (1.0 / count);
                sample.sun = sun / count as f32;
            }
        });
    }
}
