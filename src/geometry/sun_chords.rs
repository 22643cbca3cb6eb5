//! The sun's disc along chords, where something crosses it.
//!
//! In: a place and the bodies whose outline crosses the disc there. Out: the share of the
//! disc that they leave, 0 to 1. Outlines are thrown from the place onto the disc, and count
//! exactly along each chord; a mesh has none and is asked by rays along the chords, unless a
//! few rays around the rim agree.

use glam::{DVec2, DVec3};

use crate::geometry::sun_disc::{SunDisc, distance_to, hull};

/// The disc is summed up along so many chords.
const CHORDS: usize = 16;
/// A chord is asked by so many rays where an outline cannot be had.
const RAYS_A_CHORD: usize = 6;
/// A mesh by itself is asked by so many rays, evenly over the disc.
const RAYS: usize = 32;
/// Angle from one of them to the next, radians: turns never meet again (Vogel, "A better way to
/// construct the sunflower head", Mathematical Biosciences 44, 1979).
const GOLDEN_ANGLE: f64 = 2.399_963_229_728_653;
/// So many rays around the rim of the disc ask first, at this share of its radius.
const RIM_RAYS: usize = 8;
const RIM: f64 = 0.95;
/// What of a body is less far before a place does not count, metres.
const AHEAD_M: f64 = 1e-3;

impl SunDisc<'_> {
    /// Share of the disc that some bodies leave, along chords.
    pub(super) fn summed(&self, from: DVec3, near: &[u32]) -> f64 {
        let mut rings: Vec<(Vec<DVec2>, f64)> = Vec::with_capacity(near.len());
        let mut asked: Vec<usize> = Vec::new();
        let mut all = 1.0;
        for &body in near {
            let obstacle = &self.obstacles[body as usize];
            let passes = obstacle.passes(self.toward).share();
            match self.thrown(from, body as usize) {
                // no side crosses the disc: all of it lies within the outline, or none
                Some(ring) if distance_to(&ring, DVec2::ZERO) > self.radius => {
                    let (u, half) = self.chord(0);
                    let mut spans = Vec::new();
                    crossings(&ring, u, half, passes, &mut spans);
                    all *= spans.first().map_or(1.0, |(_, _, passes)| *passes);
                }
                Some(ring) => rings.push((ring, passes)),
                None => asked.push(body as usize),
            }
        }
        if rings.is_empty() && asked.len() == 1 {
            return all * self.by_rays(from, &asked);
        }
        asked.retain(|body| match self.alike(from, *body) {
            Some(passes) => {
                all *= passes;
                false
            }
            None => true,
        });
        if rings.is_empty() && asked.is_empty() || all == 0.0 {
            return all;
        }
        if let ([(ring, passes)], true) = (rings.as_slice(), asked.is_empty()) {
            return all * (1.0 - (1.0 - passes) * self.covered(ring));
        }
        if rings.is_empty() {
            return all * self.by_rays(from, &asked);
        }
        let (mut sum, mut whole) = (0.0, 0.0);
        let mut spans: Vec<(f64, f64, f64)> = Vec::new();
        let mut stops: Vec<f64> = Vec::new();
        for chord in 0..CHORDS {
            let (u, half) = self.chord(chord);
            spans.clear();
            stops.clear();
            stops.extend([-half, half]);
            for (ring, passes) in &rings {
                crossings(ring, u, half, *passes, &mut spans);
            }
            for (a, b, _) in &spans {
                stops.extend([*a, *b]);
            }
            if !asked.is_empty() {
                let step = 2.0 * half / RAYS_A_CHORD as f64;
                stops.extend((1..RAYS_A_CHORD).map(|i| -half + i as f64 * step));
            }
            stops.sort_by(f64::total_cmp);
            for pair in stops.windows(2) {
                let (length, v) = (pair[1] - pair[0], 0.5 * (pair[0] + pair[1]));
                if length <= 0.0 {
                    continue;
                }
                let mut passes: f64 = spans
                    .iter()
                    .filter(|(a, b, _)| *a < v && v < *b)
                    .map(|(_, _, passes)| passes)
                    .product();
                if passes > 0.0 && !asked.is_empty() {
                    let toward = (self.toward + self.right * u + self.up * v).normalize();
                    let through =
                        asked.iter().map(|i| self.obstacles[*i].transmission(from, toward));
                    passes *= through.product::<f64>();
                }
                sum += length * passes;
            }
            whole += 2.0 * half;
        }
        all * sum / whole
    }

    /// Share of the disc within one outline.
    fn covered(&self, ring: &[DVec2]) -> f64 {
        let (mut sum, mut whole) = (0.0, 0.0);
        let mut spans = Vec::new();
        for chord in 0..CHORDS {
            let (u, half) = self.chord(chord);
            spans.clear();
            crossings(ring, u, half, 0.0, &mut spans);
            sum += spans.iter().map(|(low, high, _)| high - low).sum::<f64>();
            whole += 2.0 * half;
        }
        sum / whole
    }

    /// Share of the disc that some bodies leave, by rays alone: by those in the middle and next
    /// to the rim where they agree, else by all.
    fn by_rays(&self, from: DVec3, asked: &[usize]) -> f64 {
        let ray = |i: usize| {
            let away = self.radius * ((i as f64 + 0.5) / RAYS as f64).sqrt();
            let (sin, cos) = (i as f64 * GOLDEN_ANGLE).sin_cos();
            let aside = self.right * (away * cos) + self.up * (away * sin);
            let toward = (self.toward + aside).normalize();
            asked.iter().map(|i| self.obstacles[*i].transmission(from, toward)).product::<f64>()
        };
        let middle = ray(0);
        let rim: [f64; RIM_RAYS] = std::array::from_fn(|i| ray(RAYS - RIM_RAYS + i));
        if rim.iter().all(|passes| *passes == middle) {
            return middle;
        }
        let between = (1..RAYS - RIM_RAYS).map(ray).sum::<f64>();
        (middle + rim.iter().sum::<f64>() + between) / RAYS as f64
    }

    /// Where a chord lies across the disc, and half its length.
    fn chord(&self, chord: usize) -> (f64, f64) {
        let u = (2.0 * (chord as f64 + 0.5) / CHORDS as f64 - 1.0) * self.radius;
        (u, (self.radius * self.radius - u * u).sqrt())
    }

    /// What a body lets pass, where rays to the middle and around the rim agree on it.
    fn alike(&self, from: DVec3, body: usize) -> Option<f64> {
        let obstacle = &self.obstacles[body];
        let middle = obstacle.transmission(from, self.toward);
        let passes = |i: usize| {
            let turn = std::f64::consts::TAU * i as f64 / RIM_RAYS as f64;
            let aside = self.right * turn.cos() + self.up * turn.sin();
            let toward = (self.toward + aside * (RIM * self.radius)).normalize();
            obstacle.transmission(from, toward)
        };
        (0..RIM_RAYS).all(|i| passes(i) == middle).then_some(middle)
    }

    /// The outline of what lies of a body before a place, as the place sees it on the disc;
    /// `None` of a mesh.
    fn thrown(&self, from: DVec3, body: usize) -> Option<Vec<DVec2>> {
        let obstacle = &self.obstacles[body];
        let corners = obstacle.corners();
        // across the rays, and along them from the nearest that counts
        let seen = |corner: &DVec3| {
            let ray = *corner - from;
            let along = ray.dot(self.toward) - AHEAD_M;
            DVec3::new(ray.dot(self.right), ray.dot(self.up), along)
        };
        let flat = |p: DVec3| DVec2::new(p.x, p.y) / (p.z + AHEAD_M);
        let cut = |p: DVec3, q: DVec3| flat(p + (q - p) * (p.z / (p.z - q.z)));
        let corners: Vec<DVec3> = corners.iter().map(seen).collect();
        let mut ring = Vec::with_capacity(corners.len() + 2);
        if obstacle.is_sheet() {
            let sides = corners.iter().zip(corners.iter().cycle().skip(1));
            for (p, q) in sides {
                if p.z >= 0.0 {
                    ring.push(flat(*p));
                }
                if (p.z >= 0.0) != (q.z >= 0.0) {
                    ring.push(cut(*p, *q));
                }
            }
        } else {
            let (ahead, behind): (Vec<DVec3>, Vec<DVec3>) =
                corners.iter().partition(|p| p.z >= 0.0);
            ring.extend(ahead.iter().map(|p| flat(*p)));
            ring.extend(ahead.iter().flat_map(|p| behind.iter().map(|q| cut(*p, *q))));
            ring = hull(&ring);
        }
        (!corners.is_empty()).then_some(ring)
    }
}

/// Spans of a line `u` of the disc inside of a ring, cut to the chord.
fn crossings(ring: &[DVec2], u: f64, half: f64, passes: f64, spans: &mut Vec<(f64, f64, f64)>) {
    let mut at: [f64; 16] = [0.0; 16];
    let mut count = 0;
    let Some(mut a) = ring.last() else { return };
    for b in ring {
        if (a.x > u) != (b.x > u) && count < at.len() {
            at[count] = a.y + (b.y - a.y) * (u - a.x) / (b.x - a.x);
            count += 1;
        }
        a = b;
    }
    let at = &mut at[..count];
    match &mut *at {
        // nearly every ring
        [first, second] if *first <= *second => {}
        [first, second] => std::mem::swap(first, second),
        more => more.sort_by(f64::total_cmp),
    }
    for pair in at.chunks_exact(2) {
        let (low, high) = (pair[0].max(-half), pair[1].min(half));
        if low < high {
            spans.push((low, high, passes));
        }
    }
}
