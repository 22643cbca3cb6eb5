//! Players where the camera looks: for scale, and for kits and skins in that light.
//!
//! In: feet on the ground, which way a figure faces, its kit and skin. Out: round bodies
//! that rays meet: a person of 1.8 m out of capsules (our own proportions).

use glam::DVec3;

use super::colours::{Kit, Skin};
use crate::camera::Pinhole;

/// From one figure to the next, metres.
const APART_M: f64 = 1.5;
/// A ball around a figure, and its middle over the ground, metres.
const AROUND_M: f64 = 1.05;
const MIDDLE_M: f64 = 0.92;

/// A standing player.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// Feet, local frame, metres.
    pub at: DVec3,
    /// Across the shoulders, unit vector.
    pub across: DVec3,
    pub kit: Kit,
    pub skin: Skin,
}

/// What of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FigurePart {
    Kit,
    Skin,
}

/// Where a ray meets a figure.
#[derive(Debug, Clone, Copy)]
pub(super) struct FigureHit {
    pub distance_m: f64,
    pub normal: DVec3,
    pub part: FigurePart,
}

/// Edges of a shadow are soft over this at least, metres.
const LEAST_BLUR_M: f64 = 1e-4;

/// A line with a radius at either end: across, forward, up from the feet, metres.
type Capsule = ([f64; 3], [f64; 3], f64, FigurePart);

const CAPSULES: [Capsule; 15] = [
    ([0.0, 0.0, 1.66], [0.0, 0.0, 1.70], 0.10, FigurePart::Skin),
    ([0.0, 0.0, 1.48], [0.0, 0.0, 1.60], 0.055, FigurePart::Skin),
    ([-0.07, 0.0, 1.06], [-0.10, 0.0, 1.36], 0.125, FigurePart::Kit),
    ([0.07, 0.0, 1.06], [0.10, 0.0, 1.36], 0.125, FigurePart::Kit),
    ([0.0, 0.0, 1.00], [0.0, 0.0, 1.38], 0.135, FigurePart::Kit),
    ([-0.09, 0.0, 0.72], [-0.08, 0.0, 0.98], 0.105, FigurePart::Kit),
    ([0.09, 0.0, 0.72], [0.08, 0.0, 0.98], 0.105, FigurePart::Kit),
    ([-0.22, 0.0, 1.40], [-0.28, 0.0, 1.20], 0.058, FigurePart::Kit),
    ([0.22, 0.0, 1.40], [0.28, 0.0, 1.20], 0.058, FigurePart::Kit),
    ([-0.28, 0.0, 1.19], [-0.32, 0.06, 0.88], 0.042, FigurePart::Skin),
    ([0.28, 0.0, 1.19], [0.32, 0.06, 0.88], 0.042, FigurePart::Skin),
    ([-0.10, 0.0, 0.66], [-0.11, 0.0, 0.46], 0.075, FigurePart::Skin),
    ([0.10, 0.0, 0.66], [0.11, 0.0, 0.46], 0.075, FigurePart::Skin),
    ([-0.11, 0.0, 0.44], [-0.12, 0.02, 0.06], 0.060, FigurePart::Kit),
    ([0.11, 0.0, 0.44], [0.12, 0.02, 0.06], 0.060, FigurePart::Kit),
];

/// Players in a row across the picture with a place on the ground in their middle: every kit,
/// and skin from dark to light.
pub(super) fn lined_up(eye: &Pinhole, middle: DVec3) -> Vec<Figure> {
    let dressed = [
        (Kit::White, Skin::Dark),
        (Kit::Black, Skin::Light),
        (Kit::Red, Skin::Medium),
        (Kit::Yellow, Skin::Dark),
    ];
    let figure = |(i, (kit, skin)): (usize, (Kit, Skin))| {
        let beside = eye.right * ((i as f64 - 1.5) * APART_M);
        let at = DVec3::new(middle.x + beside.x, middle.y + beside.y, 0.0);
        Figure { at, across: eye.right, kit, skin }
    };
    dressed.into_iter().enumerate().map(figure).collect()
}

impl Figure {
    fn place(&self, [across, ahead, up]: [f64; 3]) -> DVec3 {
        let forward = DVec3::Z.cross(self.across);
        self.at + self.across * across + forward * ahead + DVec3::Z * up
    }

    /// Whether a ray of a cone may hit it: axis and cosine of the half angle.
    pub(super) fn may_be_hit(&self, from: DVec3, axis: DVec3, cosine: f64) -> bool {
        let to = self.at + DVec3::Z * MIDDLE_M - from;
        let away_m = to.length();
        if away_m <= AROUND_M {
            return true;
        }
        let angle = (to.dot(axis) / away_m).clamp(-1.0, 1.0).acos();
        angle <= cosine.clamp(-1.0, 1.0).acos() + (AROUND_M / away_m).asin()
    }

    /// Whether it may shade a place within a ball: middle and radius, metres.
    pub(super) fn may_shade(&self, middle: DVec3, around_m: f64, sun: DVec3, radius: f64) -> bool {
        let to = self.at + DVec3::Z * MIDDLE_M - middle;
        let along = to.dot(sun);
        let reach = AROUND_M + around_m + (along + around_m).max(0.0) * radius;
        along >= -AROUND_M - around_m && to.length_squared() - along * along <= reach * reach
    }

    /// Ready for rays.
    pub(super) fn posed(&self) -> Posed {
        let limb = |(a, b, radius, part): &Capsule| {
            let ends = [self.place(*a), self.place(*b)];
            let reach = 0.5 * ends[0].distance(ends[1]) + radius;
            Limb { ends, middle: 0.5 * (ends[0] + ends[1]), reach, radius: *radius, part: *part }
        };
        Posed { middle: self.at + DVec3::Z * MIDDLE_M, limbs: CAPSULES.each_ref().map(limb) }
    }
}

/// A figure ready for rays.
pub(super) struct Posed {
    middle: DVec3,
    limbs: [Limb; CAPSULES.len()],
}

struct Limb {
    ends: [DVec3; 2],
    /// Of the ball around it, with its radius, metres.
    middle: DVec3,
    reach: f64,
    radius: f64,
    part: FigurePart,
}

impl Posed {
    /// Where a ray first meets it.
    pub fn met(&self, from: DVec3, toward: DVec3) -> Option<FigureHit> {
        if beside2(from, toward, self.middle) > AROUND_M * AROUND_M {
            return None;
        }
        let near = |limb: &&Limb| beside2(from, toward, limb.middle) <= limb.reach * limb.reach;
        let met = self.limbs.iter().filter(near).filter_map(|limb| {
            let (distance_m, normal) = capsule(from, toward, limb.ends, limb.radius)?;
            Some(FigureHit { distance_m, normal, part: limb.part })
        });
        met.min_by(|a, b| a.distance_m.total_cmp(&b.distance_m))
    }

    /// Share of the sun's disc that it leaves at a place near it, 0 to 1: the disc is cut by
    /// each limb as by a straight strip.
    pub fn leaves(&self, from: DVec3, sun: DVec3, radius: f64) -> f64 {
        let along = (self.middle - from).dot(sun);
        let reach = AROUND_M + along.max(0.0) * radius;
        if along < -AROUND_M || beside2(from, sun, self.middle) > reach * reach {
            return 1.0;
        }
        // no part of a limb is farther along the ray, so none blurs more
        let widest = ((along + AROUND_M) * radius).max(LEAST_BLUR_M);
        let near = |limb: &&Limb| {
            let reach = limb.reach + widest;
            beside2(from, sun, limb.middle) <= reach * reach
        };
        let each = self.limbs.iter().filter(near).map(|limb| {
            let (away, depth) = apart(from, sun, limb.ends);
            if depth <= 1e-3 {
                return 1.0;
            }
            let (thick, blur) = (limb.radius, (depth * radius).max(LEAST_BLUR_M));
            let edge = |d: f64| (0.5 + 0.5 * d / blur).clamp(0.0, 1.0);
            1.0 - (edge(thick - away) + edge(thick + away) - 1.0).clamp(0.0, 1.0)
        });
        each.fold(1.0, f64::min)
    }
}

/// Square of the distance from a ray's line to a point.
fn beside2(from: DVec3, toward: DVec3, point: DVec3) -> f64 {
    let to = point - from;
    let along = to.dot(toward);
    to.length_squared() - along * along
}

/// Distance and normal where a ray meets a capsule.
fn capsule(from: DVec3, toward: DVec3, [a, b]: [DVec3; 2], radius: f64) -> Option<(f64, DVec3)> {
    let (axis, to) = (b - a, from - a);
    let (axis2, along) = (axis.length_squared(), axis.dot(toward));
    let start = axis.dot(to);
    let qa = axis2 - along * along;
    let qb = axis2 * to.dot(toward) - start * along;
    let qc = axis2 * to.length_squared() - start * start - radius * radius * axis2;
    let root = qb * qb - qa * qc;
    if root >= 0.0 && qa.abs() > 1e-12 {
        let t = (-qb - root.sqrt()) / qa;
        let on = start + t * along;
        if (0.0..=axis2).contains(&on) && t > 1e-6 {
            let normal = (to + toward * t - axis * (on / axis2)) / radius;
            return Some((t, normal.normalize_or(-toward)));
        }
    }
    let ball = |middle: DVec3| {
        let to = from - middle;
        let b = to.dot(toward);
        let root = b * b - (to.length_squared() - radius * radius);
        let t = -b - root.max(0.0).sqrt();
        (root >= 0.0 && t > 1e-6).then(|| (t, (to + toward * t).normalize_or(-toward)))
    };
    let balls = [ball(a), ball(b)].into_iter().flatten();
    balls.min_by(|a, b| a.0.total_cmp(&b.0))
}

/// The least distance from a ray to a stretch, and how far along the ray that is.
fn apart(from: DVec3, toward: DVec3, [a, b]: [DVec3; 2]) -> (f64, f64) {
    let axis = b - a;
    // everything across the ray
    let flat = |v: DVec3| v - toward * v.dot(toward);
    let (to, across) = (flat(a - from), flat(axis));
    let share = (-to.dot(across) / across.length_squared().max(1e-12)).clamp(0.0, 1.0);
    ((to + across * share).length(), (a + axis * share - from).dot(toward))
}
