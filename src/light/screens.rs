//! Light of what is lit itself: big screens and boards around the field.
//!
//! In: obstacles that have a luminance of their own, each on one side, once a venue; then
//! places and the way they face, local frame, metres. Out: the illuminance there, lx.
//!
//! A lit side is matt (Lambert's law): each part of it sends its luminance times the
//! projected solid angle that a place sees of it. Of a polygon that is a sum over its sides,
//! exact (Lambert, Photometria, 1760; C. Schlick and others give it as the contour integral
//! of a polygonal source). What stands before it is asked by a ray to each of some cells of
//! it, smaller ones for nearer places.

use glam::DVec3;

use super::floodlight::floodlight_colour;
use super::tristimulus::Tristimulus;
use crate::geometry::Obstacles;

/// Cells are no longer than this share of their distance, and no more along a side.
const CELL: f64 = 0.5;
const MIN_STEPS: usize = 2;
const MAX_STEPS: usize = 24;
/// Distances under this count as it, metres.
const NEAR_M: f64 = 0.5;
/// A ray ends so far before the screen that it goes to, metres.
const BEFORE_M: f64 = 0.02;

/// All lit sides.
#[derive(Debug, Clone, Default)]
pub(super) struct Screens(Vec<Screen>);

#[derive(Debug, Clone)]
struct Screen {
    corners: Vec<DVec3>,
    /// Out of the lit side, unit vector.
    toward: DVec3,
    /// cd/m2.
    luminance: Tristimulus,
}

impl Screens {
    pub fn of(obstacles: &Obstacles) -> Self {
        let screen = |obstacle: &crate::geometry::Obstacle| {
            let lit = obstacle.lit()?;
            Some(Screen {
                corners: obstacle.corners().to_vec(),
                toward: lit.toward,
                luminance: luminance_of(lit),
            })
        };
        Self(obstacles.iter().filter_map(screen).collect())
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// On a place that faces `normal` (unit vector), lx.
    pub fn on(&self, at: DVec3, normal: DVec3, obstacles: &Obstacles) -> Tristimulus {
        self.0.iter().map(|screen| screen.luminance * screen.seen(at, normal, obstacles)).sum()
    }
}

/// The luminance of something lit, cd/m2.
pub fn luminance_of(lit: &crate::venue::Lit) -> Tristimulus {
    Tristimulus::of(lit.luminance_cd_m2, floodlight_colour(lit.colour_temperature_k))
}

impl Screen {
    /// The projected solid angle that a place sees of it, sr.
    fn seen(&self, at: DVec3, normal: DVec3, obstacles: &Obstacles) -> f64 {
        let before = self.corners.first().is_some_and(|p| (at - p).dot(self.toward) > 0.0);
        let above = self.corners.iter().any(|p| (p - at).dot(normal) > 0.0);
        if !before || !above {
            return 0.0;
        }
        let cell = |ring: Vec<DVec3>| {
            let ring = over_plane(&ring, at, normal);
            let projected = projected_sr(&ring, at, normal);
            if projected <= 0.0 {
                return 0.0;
            }
            let middle = ring.iter().sum::<DVec3>() / ring.len() as f64;
            let (way, far_m) = ((middle - at).normalize_or(normal), middle.distance(at));
            let within_m = far_m - BEFORE_M;
            if within_m <= 0.0 {
                return projected;
            }
            projected * obstacles.look(at, way, within_m).passes()
        };
        self.cells(at).into_iter().map(cell).sum()
    }

    /// Of four corners a grid, else a fan of triangles.
    fn cells(&self, at: DVec3) -> Vec<Vec<DVec3>> {
        let [a, b, c, d] = match *self.corners.as_slice() {
            [a, b, c, d] => [a, b, c, d],
            _ => {
                let middle = self.corners.iter().sum::<DVec3>() / self.corners.len().max(1) as f64;
                let next = self.corners.iter().cycle().skip(1);
                let sides = self.corners.iter().zip(next);
                return sides.map(|(p, q)| vec![middle, *p, *q]).collect();
            }
        };
        let longest = |p: f64, q: f64| p.max(q);
        let (u, v) = (longest(a.distance(b), d.distance(c)), longest(b.distance(c), a.distance(d)));
        let middle = 0.25 * (a + b + c + d);
        let off = (middle.distance(at) - 0.5 * u.hypot(v)).max((at - middle).dot(self.toward));
        let cell_m = (CELL * off).max(NEAR_M);
        let steps = |length: f64| ((length / cell_m).ceil() as usize).clamp(MIN_STEPS, MAX_STEPS);
        let (m, n) = (steps(u), steps(v));
        let point = |i: usize, j: usize| {
            let (s, t) = (i as f64 / m as f64, j as f64 / n as f64);
            a.lerp(b, s).lerp(d.lerp(c, s), t)
        };
        let each = (0..m).flat_map(|i| (0..n).map(move |j| (i, j)));
        each.map(|(i, j)| vec![point(i, j), point(i + 1, j), point(i + 1, j + 1), point(i, j + 1)])
            .collect()
    }
}

/// What of a ring lies over the plane through a place that faces `normal`.
fn over_plane(ring: &[DVec3], at: DVec3, normal: DVec3) -> Vec<DVec3> {
    let height = |p: &DVec3| (p - at).dot(normal);
    let mut kept = Vec::with_capacity(ring.len() + 1);
    for (p, q) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let (a, b) = (height(p), height(q));
        if a >= 0.0 {
            kept.push(*p);
        }
        if (a < 0.0) != (b < 0.0) {
            kept.push(p.lerp(*q, a / (a - b)));
        }
    }
    kept
}

/// The projected solid angle of a polygon over the plane of a place, sr: half of the sum over
/// its sides of the angle that each takes, times how far the plane of that angle is turned
/// to the normal.
fn projected_sr(ring: &[DVec3], at: DVec3, normal: DVec3) -> f64 {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let sum: f64 = sides
        .filter_map(|(p, q)| {
            let (a, b) = ((p - at).try_normalize()?, (q - at).try_normalize()?);
            let across = a.cross(b);
            let angle = across.length().atan2(a.dot(b));
            Some(angle * across.try_normalize()?.dot(normal))
        })
        .sum();
    0.5 * sum.abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Obstacle;

    fn rectangle(a: f64, b: f64, at: impl Fn(f64, f64) -> DVec3, toward: DVec3) -> Screen {
        let corners = vec![at(0.0, 0.0), at(a, 0.0), at(a, b), at(0.0, b)];
        Screen { corners, toward, luminance: Tristimulus::ZERO }
    }

    /// View factors of a small plane to a rectangle, as J. R. Howell's "A Catalog of Radiation
    /// Heat Transfer Configuration Factors" has them, B-3 (planes parallel) and B-4 (planes at
    /// right angles), each with the element under a corner; formulas from memory.
    #[test]
    fn rectangles_have_their_published_view_factors() {
        let nothing = Obstacles::from(Vec::<Obstacle>::new());
        let root = |v: f64| (1.0 + v * v).sqrt();
        for (a, b, c) in [(1.0, 1.0, 1.0), (3.0, 0.5, 2.0), (20.0, 10.0, 45.0), (100.0, 1.0, 3.0)] {
            let (x, y) = (a / c, b / c);
            let parallel = (x / root(x) * (y / root(x)).atan()
                + y / root(y) * (x / root(y)).atan())
                / std::f64::consts::TAU;
            let over = rectangle(a, b, |u, v| DVec3::new(u, v, c), -DVec3::Z);
            let got = over.seen(DVec3::ZERO, DVec3::Z, &nothing) / std::f64::consts::PI;
            assert!((got - parallel).abs() < 1e-9, "B-3 {a} {b} {c}: {got} {parallel}");
            // the element lies in the plane of the rectangle's lower side, c before it
            let (x, y) = (b / a, c / a);
            let upright = ((1.0 / y).atan() - y / x.hypot(y) * (1.0 / x.hypot(y)).atan())
                / std::f64::consts::TAU;
            let wall = rectangle(a, b, |u, v| DVec3::new(u, c, v), -DVec3::Y);
            let got = wall.seen(DVec3::ZERO, DVec3::Z, &nothing) / std::f64::consts::PI;
            assert!((got - upright).abs() < 1e-9, "B-4 {a} {b} {c}: {got} {upright}");
        }
    }

    #[test]
    fn the_back_of_a_screen_is_dark_and_a_wall_before_it_hides_it() {
        let screen = rectangle(4.0, 3.0, |u, v| DVec3::new(u - 2.0, 10.0, v + 2.0), -DVec3::Y);
        let nothing = Obstacles::from(Vec::<Obstacle>::new());
        let behind = DVec3::new(0.0, 20.0, 0.0);
        assert_eq!(screen.seen(behind, DVec3::Z, &nothing), 0.0);
        let free = screen.seen(DVec3::ZERO, DVec3::Z, &nothing);
        assert!(free > 0.0);
        let body = crate::venue::Body {
            part: crate::venue::Part::Panel,
            shape: crate::venue::Shape::Sheet {
                corners: vec![
                    DVec3::new(-50.0, 5.0, 0.0),
                    DVec3::new(50.0, 5.0, 0.0),
                    DVec3::new(50.0, 5.0, 50.0),
                    DVec3::new(-50.0, 5.0, 50.0),
                ],
            },
            passes: crate::venue::Passes::Always(crate::base::units::Transmittance::from_share(
                0.25,
            )),
            reflectance: 0.0,
            scatters: 0.0,
            lit: None,
        };
        let net = Obstacle::new(&body, crate::base::units::Transmittance::from_share(0.25));
        let net = Obstacles::from(vec![net.unwrap()]);
        assert!((screen.seen(DVec3::ZERO, DVec3::Z, &net) / free - 0.25).abs() < 1e-12);
    }
}
