//! The sun's disc along chords, where something crosses it.
//!
//! In: a place and the bodies whose outline crosses the disc there. Out: the share of the
//! disc that they leave, 0 to 1. Outlines are thrown from the place onto the disc, and count
//! exactly along each chord; a mesh has none and is asked by rays along the chords, unless a
//! few rays around the rim agree.

use std::cell::RefCell;

use glam::{DVec2, DVec3};

use crate::geometry::sun_disc::{SunDisc, distance_to, hull};

/// The disc is summed up along so many chords.
pub(super) const CHORDS: usize = 16;
/// Crossings of a chord and a ring that count; of a more ragged ring the rest is left out.
const MAX_CROSSINGS: usize = 16;
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
                    all *= if holds_middle(&ring) { passes } else { 1.0 };
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
            let covered = SCRATCH.with_borrow_mut(|scratch| {
                scratch.crossed.resize_with(scratch.crossed.len().max(1), Crossed::default);
                self.covered(ring, &mut scratch.crossed[0])
            });
            return all * (1.0 - (1.0 - passes) * covered);
        }
        if rings.is_empty() {
            return all * self.by_rays(from, &asked);
        }
        all * SCRATCH.with_borrow_mut(|scratch| self.along_chords(from, &rings, &asked, scratch))
    }

    /// Share of the disc that outlines and bodies without one leave, chord by chord.
    fn along_chords(
        &self,
        from: DVec3,
        rings: &[(Vec<DVec2>, f64)],
        asked: &[usize],
        Scratch { crossed, spans, stops }: &mut Scratch,
    ) -> f64 {
        crossed.resize_with(rings.len().max(crossed.len()), Crossed::default);
        for (crossed, (ring, _)) in crossed.iter_mut().zip(rings) {
            self.cross(ring, crossed);
        }
        let (mut sum, mut whole) = (0.0, 0.0);
        for (chord, [u, half]) in self.chords.into_iter().enumerate() {
            spans.clear();
            stops.clear();
            stops.extend([-half, half]);
            for (crossed, (_, passes)) in crossed.iter().zip(rings) {
                spans.extend(crossed.spans(chord, half).map(|(a, b)| (a, b, *passes)));
            }
            for (a, b, _) in spans.iter() {
                stops.extend([*a, *b]);
            }
            if !asked.is_empty() {
                let step = 2.0 * half / RAYS_A_CHORD as f64;
                stops.extend((1..RAYS_A_CHORD).map(|i| -half + i as f64 * step));
            }
            stops.sort_unstable_by(f64::total_cmp);
            for pair in stops.windows(2) {
                let (length, v) = (pair[1] - pair[0], 0.5 * (pair[0] + pair[1]));
                if length <= 0.0 {
                    continue;
                }
                let over = spans.iter().filter(|(a, b, _)| *a < v && v < *b);
                let mut passes: f64 = over.map(|(_, _, passes)| passes).product();
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
        sum / whole
    }

    /// Share of the disc within one outline.
    fn covered(&self, ring: &[DVec2], crossed: &mut Crossed) -> f64 {
        self.cross(ring, crossed);
        let (mut sum, mut whole) = (0.0, 0.0);
        for (chord, [_, half]) in self.chords.iter().enumerate() {
            let spans = crossed.spans(chord, *half);
            sum += spans.map(|(low, high)| high - low).sum::<f64>();
            whole += 2.0 * half;
        }
        sum / whole
    }

    /// Finds where the chords cross a ring.
    fn cross(&self, ring: &[DVec2], crossed: &mut Crossed) {
        crossed.counts = [0; CHORDS];
        let sides = ring.last().into_iter().chain(ring).zip(ring);
        for (a, b) in sides {
            let (low, high) = (a.x.min(b.x), a.x.max(b.x));
            let first = self.chords.partition_point(|[u, _]| *u < low);
            for (chord, [u, _]) in self.chords.iter().enumerate().skip(first) {
                if *u >= high {
                    break;
                }
                crossed.add(chord, a.y + (b.y - a.y) * (u - a.x) / (b.x - a.x));
            }
        }
        crossed.sort();
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
        // across the rays, and along them from the nearest that counts
        let from = self.seen(from) + DVec3::Z * AHEAD_M;
        let outline = &self.outlines[body];
        let flat = |p: DVec3| DVec2::new(p.x, p.y) / (p.z + AHEAD_M);
        let cut = |p: DVec3, q: DVec3| flat(p + (q - p) * (p.z / (p.z - q.z)));
        let corners = || outline.corners.iter().map(|corner| *corner - from);
        let mut ring = Vec::with_capacity(outline.corners.len() + 2);
        if outline.is_sheet {
            for (p, q) in corners().zip(corners().cycle().skip(1)) {
                if p.z >= 0.0 {
                    ring.push(flat(p));
                }
                if (p.z >= 0.0) != (q.z >= 0.0) {
                    ring.push(cut(p, q));
                }
            }
        } else {
            let ahead = || corners().filter(|p| p.z >= 0.0);
            let behind = || corners().filter(|p| p.z < 0.0);
            ring.extend(ahead().map(flat));
            ring.extend(ahead().flat_map(|p| behind().map(move |q| cut(p, q))));
            ring = hull(&ring);
        }
        (!outline.corners.is_empty()).then_some(ring)
    }
}

/// Across the disc, where each chord lies and half its length.
pub(super) fn chords(radius: f64) -> [[f64; 2]; CHORDS] {
    std::array::from_fn(|chord| {
        let u = (2.0 * (chord as f64 + 0.5) / CHORDS as f64 - 1.0) * radius;
        [u, (radius * radius - u * u).sqrt()]
    })
}

/// Whether the middle of the disc lies within a ring.
fn holds_middle(ring: &[DVec2]) -> bool {
    let sides = ring.last().into_iter().chain(ring).zip(ring);
    let crossed = sides
        .filter(|(a, b)| (a.y > 0.0) != (b.y > 0.0) && a.x + (b.x - a.x) * a.y / (a.y - b.y) > 0.0);
    crossed.count() % 2 == 1
}

thread_local! {
    static SCRATCH: RefCell<Scratch> = RefCell::default();
}

/// What a thread sums up with: it is asked for a million places.
#[derive(Default)]
struct Scratch {
    crossed: Vec<Crossed>,
    spans: Vec<(f64, f64, f64)>,
    stops: Vec<f64>,
}

/// Where chords cross the sides of a ring, from low to high.
#[derive(Default)]
struct Crossed {
    at: [[f64; MAX_CROSSINGS]; CHORDS],
    counts: [u8; CHORDS],
}

impl Crossed {
    fn add(&mut self, chord: usize, at: f64) {
        let count = &mut self.counts[chord];
        if let Some(place) = self.at[chord].get_mut(usize::from(*count)) {
            *place = at;
            *count += 1;
        }
    }

    fn sort(&mut self) {
        for (at, count) in self.at.iter_mut().zip(self.counts) {
            match &mut at[..usize::from(count)] {
                // nearly every ring
                [first, second] if *first <= *second => {}
                [first, second] => std::mem::swap(first, second),
                more => more.sort_by(f64::total_cmp),
            }
        }
    }

    /// What of a chord lies inside of the ring.
    fn spans(&self, chord: usize, half: f64) -> impl Iterator<Item = (f64, f64)> {
        let at = &self.at[chord][..usize::from(self.counts[chord])];
        let pairs = at.chunks_exact(2).map(move |pair| (pair[0].max(-half), pair[1].min(half)));
        pairs.filter(|(low, high)| low < high)
    }
}
