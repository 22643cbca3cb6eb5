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
/// Shares of the sun of neighbours that differ by more meet at an edge, and a share that more
/// rays change by more is partly covered.
const MEETING_SUN: f32 = 0.2;
const SOFT_SUN: f32 = 0.005;
/// Edges that meshes throw are followed so many pixels to each side at most, so many at a time.
const MAX_SOFT_PX: usize = 40;
const FRONT_PX: usize = 2;

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
    /// Looks anew where meshes let sun and shade meet, and from there on as far as the disc is
    /// partly covered.
    pub(super) fn soften(&self, samples: &mut [Sample]) {
        if !samples.iter().any(|s| s.by_mesh) || !self.light.sun_is_out() {
            return;
        }
        let [width, height] = self.view.size;
        let meet = |a: &Sample, b: &Sample| {
            (a.by_mesh || b.by_mesh) && (a.sun - b.sun).abs() > MEETING_SUN
        };
        let mut front: Vec<usize> = Vec::new();
        for i in 0..samples.len() {
            let beside = [(i % width + 1 < width).then_some(i + 1), Some(i + width)];
            let beside = beside.into_iter().flatten().filter(|j| *j < samples.len());
            for other in beside.filter(|j| meet(&samples[i], &samples[*j])) {
                front.extend([i, other]);
            }
        }
        let mut known = vec![false; samples.len()];
        for _ in 0..MAX_SOFT_PX / FRONT_PX {
            let mut anew = vec![false; samples.len()];
            front.retain(|i| !std::mem::replace(&mut known[*i], true));
            if front.is_empty() {
                break;
            }
            front.iter().for_each(|i| anew[*i] = true);
            let before: Vec<f32> = front.iter().map(|i| samples[*i].sun).collect();
            self.again(samples, &anew, (&[[0.0; 2]], &|_| MeshEdges::Soft));
            let soft = front.iter().zip(before);
            let soft = soft.filter(|(i, sun)| (samples[**i].sun - sun).abs() > SOFT_SUN);
            let around = |(i, _): (&usize, f32)| {
                let (x, y) = (i % width, i / width);
                let rows = y.saturating_sub(FRONT_PX)..(y + FRONT_PX + 1).min(height);
                let columns = x.saturating_sub(FRONT_PX)..(x + FRONT_PX + 1).min(width);
                rows.flat_map(move |v| columns.clone().map(move |u| v * width + u))
            };
            front = soft.flat_map(around).filter(|i| !known[*i]).collect();
        }
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
        // rays all over the disc are for places where a mesh covers a part of it
        let is_partly = |i: usize| {
            samples.get(i).is_some_and(|s| s.by_mesh && s.sun > SOFT_SUN && s.sun < 1.0 - SOFT_SUN)
        };
        let edges_at = |i: usize| {
            let up = i.wrapping_sub(width);
            let near = [i, i.wrapping_sub(1), i + 1, up, i + width];
            if near.into_iter().any(is_partly) { MeshEdges::Soft } else { MeshEdges::Hard }
        };
        let edges: Vec<MeshEdges> = match samples.iter().any(|s| s.by_mesh) {
            true => (0..samples.len()).map(edges_at).collect(),
            false => Vec::new(),
        };
        let edges = |i: usize| edges.get(i).copied().unwrap_or(MeshEdges::Soft);
        self.again(samples, &anew, (&SUBPIXELS, &edges));
    }

    /// Replaces the light of some pixels by the mean over rays beside their middle.
    fn again(
        &self,
        samples: &mut [Sample],
        anew: &[bool],
        (beside, edges): (&[[f64; 2]], &(dyn Fn(usize) -> MeshEdges + Sync)),
    ) {
        let width = self.view.size[0];
        self.each(samples, anew, |[x, y], sample, scratch| {
            let edges = edges(y as usize * width + x as usize);
            let (mut sum, mut sun, mut count) = (Tristimulus::ZERO, 0.0, 0.0);
            for [u, v] in beside {
                let before = scratch.missing.len();
                let one = self.sample([x + u, y + v], edges, scratch);
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
