//! More rays where one is not enough.
//!
//! In: the samples of a picture. Out: the same, softer where meshes throw shadows and smoother
//! along edges. Edges of shadows of all other bodies are soft by themselves.

use rayon::prelude::*;

use super::render::{RaySample, Tracer};
use super::tile::Scratch;
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
pub(super) const SUBPIXELS: [[f64; 2]; 4] =
    [[-0.125, -0.375], [0.375, -0.125], [0.125, 0.375], [-0.375, 0.125]];
/// Shares of the sun of neighbours that differ by more meet at an edge, and a share that more
/// rays change by more is partly covered.
const MEETING_SUN: f32 = 0.2;
const SOFT_SUN: f32 = 0.005;
/// Edges that meshes throw are followed so many pixels to each side at most, so many at a time.
const MAX_SOFT_PX: usize = 40;
const FRONT_PX: usize = 2;
/// Rows that one core looks through at least.
const ROWS_AT_ONCE: usize = 64;

/// Rays of one pixel.
#[derive(Clone, Copy)]
enum Rays {
    Middle,
    /// At [`SUBPIXELS`].
    Beside,
}

/// Whether more rays are wanted where these two are neighbours.
fn differ(a: &RaySample, b: &RaySample) -> bool {
    let is_over = |ratio: f64| {
        let (p, q) = (a.light, b.light);
        [(p.x, q.x), (p.y, q.y), (p.z, q.z)].iter().any(|(p, q)| p.max(*q) > ratio * p.min(*q))
    };
    if a.id != b.id {
        return is_over(SEEN_RATIO);
    }
    let on_field = |s: &RaySample| s.seen.is_play();
    let sun = (a.sun - b.sun).abs();
    // how much of a pixel is line is known, and the share of the sun on an edge that is softer
    // than a few pixels
    let is_line = sun < SAME_SUN && on_field(a) && on_field(b);
    let is_soft = (SAME_SUN..HARD_SUN).contains(&sun);
    !is_line && !is_soft && is_over(EDGE_RATIO)
}

/// Fills the rows of a picture, some of them at once; what fills one gets its number.
fn by_rows<T: Send>(of: &mut [T], width: usize, fill: impl Fn(usize, &mut [T]) + Sync) {
    let rows = of.par_chunks_mut(width).enumerate().with_min_len(ROWS_AT_ONCE);
    rows.for_each(|(y, row)| fill(y, row));
}

impl Tracer<'_> {
    /// Looks anew where meshes let sun and shade meet, and from there on as far as the disc is
    /// partly covered.
    pub(super) fn soften(&self, samples: &mut [RaySample]) {
        if !samples.iter().any(|s| s.by_mesh) || !self.light.sun_is_out() {
            return;
        }
        let meet = |a: &RaySample, b: &RaySample| {
            (a.by_mesh || b.by_mesh) && (a.sun - b.sun).abs() > MEETING_SUN
        };
        let mut front = self.beside(samples, meet);
        let mut known = vec![false; samples.len()];
        for _ in 0..MAX_SOFT_PX / FRONT_PX {
            let before: Vec<f32> = samples.iter().map(|sample| sample.sun).collect();
            self.again(samples, &front, (Rays::Middle, &|_| MeshEdges::Soft));
            let soft = |i: usize| front[i] && (samples[i].sun - before[i]).abs() > SOFT_SUN;
            let soft: Vec<bool> = (0..samples.len()).map(soft).collect();
            if !soft.contains(&true) {
                break;
            }
            known.iter_mut().zip(&front).for_each(|(known, front)| *known |= *front);
            front = self.around(&soft);
            front.iter_mut().zip(&known).for_each(|(front, known)| *front &= !known);
        }
    }

    /// Pixels of which a neighbour to a side, above or below is so.
    fn beside(
        &self,
        samples: &[RaySample],
        is: impl Fn(&RaySample, &RaySample) -> bool + Sync,
    ) -> Vec<bool> {
        let width = self.view.size[0].max(1);
        let mut next = vec![[false; 2]; samples.len()];
        by_rows(&mut next, width, |y, row| {
            let here = &samples[y * width..][..row.len()];
            let below = samples.get((y + 1) * width..).unwrap_or_default();
            for (next, pair) in row.iter_mut().zip(here.windows(2)) {
                next[0] = is(&pair[0], &pair[1]);
            }
            for (next, (here, below)) in row.iter_mut().zip(here.iter().zip(below)) {
                next[1] = is(here, below);
            }
        });
        let mut found = vec![false; samples.len()];
        by_rows(&mut found, width, |y, row| {
            for (x, found) in row.iter_mut().enumerate() {
                let i = y * width + x;
                let from_left = x > 0 && next[i - 1][0];
                let from_above = y > 0 && next[i - width][1];
                *found = next[i] != [false; 2] || from_left || from_above;
            }
        });
        found
    }

    /// Pixels near some of a mask.
    fn around(&self, mask: &[bool]) -> Vec<bool> {
        let width = self.view.size[0].max(1);
        let mut wide = vec![false; mask.len()];
        by_rows(&mut wide, width, |y, row| {
            let here = &mask[y * width..][..row.len()];
            for x in (0..here.len()).filter(|x| here[*x]) {
                row[x.saturating_sub(FRONT_PX)..(x + FRONT_PX + 1).min(here.len())].fill(true);
            }
        });
        let mut near = vec![false; mask.len()];
        by_rows(&mut near, width, |y, row| {
            for from in wide
                .chunks(width)
                .skip(y.saturating_sub(FRONT_PX))
                .take(FRONT_PX.min(y) + 1 + FRONT_PX)
            {
                row.iter_mut().zip(from).for_each(|(near, from)| *near |= *from);
            }
        });
        near
    }

    /// Looks by more rays where neighbours differ.
    pub(super) fn smooth(&self, samples: &mut [RaySample]) {
        let width = self.view.size[0];
        let anew = self.beside(samples, differ);
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
            true => (0..samples.len()).into_par_iter().map(edges_at).collect(),
            false => Vec::new(),
        };
        let edges = |i: usize| edges.get(i).copied().unwrap_or(MeshEdges::Soft);
        self.again(samples, &anew, (Rays::Beside, &edges));
    }

    /// Replaces the light of some pixels by that along other rays, their mean.
    fn again(
        &self,
        samples: &mut [RaySample],
        anew: &[bool],
        (rays, edges): (Rays, &(dyn Fn(usize) -> MeshEdges + Sync)),
    ) {
        self.each(samples, anew, |pixel, sample, scratch| {
            let index = self.aimed.index(pixel);
            let edges = edges(index);
            let beside;
            let rays = match rays {
                Rays::Middle => std::slice::from_ref(&self.aimed.met[index]),
                Rays::Beside => {
                    let Scratch { tile, hits, .. } = scratch;
                    beside = self.aimed.beside(pixel, &tile.figures, hits);
                    beside.as_slice()
                }
            };
            let (mut sum, mut sun, mut count) = (Tristimulus::ZERO, 0.0, 0.0);
            for met in rays {
                let before = scratch.missing.len();
                let one = self.along(met, edges, scratch);
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
