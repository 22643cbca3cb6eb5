//! Roofs that are not flat, as panels over a body that ends at the eaves.
//!
//! In: a footprint, the heights of eaves and ridge, the form of the roof. Out:
//! panels that close the roof on all sides, or a word why it cannot be known.
//! Forms and their defaults are those of open map data (the wiki of
//! OpenStreetMap, Simple 3D Buildings): a ridge runs along the longer side unless
//! `roof:orientation` says across; `roof:direction` is where the slope faces.

use crate::base::plane::{P2, between, cross};

use super::footprint::centimetres;
use super::item::P3;

/// A slope whose fourth corner lies further out of the plane of the other three is
/// written as two panels, metres.
const FLAT_M: f64 = 0.02;

/// The form of a roof.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RoofForm {
    Gabled,
    Hipped,
    Pyramidal,
    Skillion,
}

/// What the form needs to know besides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lie {
    /// Where the slope faces, unit vector in field axes, where it is stated.
    pub faces: Option<P2>,
    /// Whether the ridge runs along the shorter side.
    pub across: bool,
}

/// Panels of a roof between the eaves and the top.
///
/// # Errors
/// Why the form cannot be built over this footprint, in words.
pub fn panels(
    form: RoofForm,
    ring: &[P2],
    (eaves_m, top_m): (f64, f64),
    lie: Lie,
) -> Result<Vec<Vec<P3>>, String> {
    let ring = without_straight_corners(ring);
    match form {
        RoofForm::Skillion => skillion(&ring, (eaves_m, top_m), lie),
        RoofForm::Pyramidal => pyramidal(&ring, (eaves_m, top_m)),
        RoofForm::Gabled | RoofForm::Hipped => {
            let [a, b, c, d] = four(&ring, lie)?;
            ridged(form, [a, b, c, d], (eaves_m, top_m))
        }
    }
}

fn up(p: P2, up_m: f64) -> P3 {
    [centimetres(p[0]), centimetres(p[1]), centimetres(up_m)]
}

/// Corners within a centimetre of the line through their neighbours say nothing
/// about the form: neighbouring houses put them there.
fn without_straight_corners(ring: &[P2]) -> Vec<P2> {
    let n = ring.len();
    let bends = |i: usize| {
        let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
        let base = (c[0] - a[0]).hypot(c[1] - a[1]).max(1e-9);
        (cross(a, b, c) / base).abs() > 0.01
    };
    (0..n).filter(|i| bends(*i)).map(|i| ring[i]).collect()
}

fn is_convex(ring: &[P2]) -> bool {
    let n = ring.len();
    (0..n).all(|i| cross(ring[i], ring[(i + 1) % n], ring[(i + 2) % n]) > 0.0)
}

/// The four corners of a house, turned so that the ridge runs from the middle of
/// the side between the first two to the middle of the side opposite.
fn four(ring: &[P2], lie: Lie) -> Result<[P2; 4], String> {
    let Ok([a, b, c, d]) = <[P2; 4]>::try_from(ring.to_vec()) else {
        return Err(format!("the lie of the ridge over {} corners is not known", ring.len()));
    };
    if !is_convex(ring) {
        return Err("the lie of the ridge over a notched outline is not known".into());
    }
    let length = |p: P2, q: P2| (q[0] - p[0]).hypot(q[1] - p[1]);
    let first_is_end = match lie.faces {
        // the ridge lies square to where the slope faces
        Some(faces) => {
            let along = |p: P2, q: P2| {
                (((q[0] - p[0]) * faces[0] + (q[1] - p[1]) * faces[1]) / length(p, q)).abs()
            };
            along(a, b) > along(b, c)
        }
        None => {
            let first_is_short = length(a, b) + length(c, d) < length(b, c) + length(d, a);
            first_is_short != lie.across
        }
    };
    Ok(if first_is_end { [a, b, c, d] } else { [b, c, d, a] })
}

/// Gabled and hipped: the ends are `a b` and `c d`.
fn ridged(
    form: RoofForm,
    [a, b, c, d]: [P2; 4],
    (eaves, top): (f64, f64),
) -> Result<Vec<Vec<P3>>, String> {
    let (from, to) = (between(a, b, 0.5), between(c, d, 0.5));
    let length = (to[0] - from[0]).hypot(to[1] - from[1]);
    let width = |p: P2, q: P2| (q[0] - p[0]).hypot(q[1] - p[1]);
    // hips as steep as the other slopes: the ridge ends half a width inside
    let inset = match form {
        RoofForm::Hipped => [width(a, b) / 2.0 / length, width(c, d) / 2.0 / length],
        _ => [0.0, 0.0],
    };
    if inset[0] + inset[1] >= 1.0 {
        return Err("hips that meet before the ridge begins".into());
    }
    let ridge = [up(between(from, to, inset[0]), top), up(between(to, from, inset[1]), top)];
    let [a, b, c, d] = [a, b, c, d].map(|p| up(p, eaves));
    let mut panels = vec![vec![a, b, ridge[0]], vec![c, d, ridge[1]]];
    for slope in [[b, c, ridge[1], ridge[0]], [d, a, ridge[0], ridge[1]]] {
        panels.extend(flat(slope));
    }
    Ok(panels)
}

/// A four-cornered slope as one panel where it is flat, else as two.
fn flat([a, b, c, d]: [P3; 4]) -> Vec<Vec<P3>> {
    let v = |p: P3| glam::DVec3::from_array(p);
    let normal = (v(b) - v(a)).cross(v(c) - v(a)).normalize_or_zero();
    if (v(d) - v(a)).dot(normal).abs() <= FLAT_M {
        return vec![vec![a, b, c, d]];
    }
    vec![vec![a, b, c], vec![a, c, d]]
}

fn pyramidal(ring: &[P2], (eaves, top): (f64, f64)) -> Result<Vec<Vec<P3>>, String> {
    if ring.len() < 3 || !is_convex(ring) {
        return Err("where the tip is over a notched outline is not known".into());
    }
    let tip = up(centroid(ring), top);
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    Ok(sides.map(|(p, q)| vec![up(*p, eaves), up(*q, eaves), tip]).collect())
}

fn centroid(ring: &[P2]) -> P2 {
    let o = ring[0];
    let (mut sum, mut double) = ([0.0, 0.0], 0.0);
    for pair in ring[1..].windows(2) {
        let area = cross(o, pair[0], pair[1]);
        double += area;
        for i in 0..2 {
            sum[i] += area * (pair[0][i] + pair[1][i] - 2.0 * o[i]) / 3.0;
        }
    }
    [o[0] + sum[0] / double, o[1] + sum[1] / double]
}

/// One plane that falls the way it faces, and the walls up to it.
fn skillion(ring: &[P2], (eaves, top): (f64, f64), lie: Lie) -> Result<Vec<Vec<P3>>, String> {
    let faces = lie.faces.ok_or("which way the roof falls is not stated (roof:direction)")?;
    let down = |p: &P2| p[0] * faces[0] + p[1] * faces[1];
    let low = ring.iter().map(down).fold(f64::INFINITY, f64::min);
    let high = ring.iter().map(down).fold(f64::NEG_INFINITY, f64::max);
    let over = |p: &P2| up(*p, top - (top - eaves) * (down(p) - low) / (high - low));
    let plane: Vec<P3> = ring.iter().map(over).collect();
    let mut panels = vec![plane.clone()];
    for (i, p) in ring.iter().enumerate() {
        let j = (i + 1) % ring.len();
        let mut wall = vec![up(*p, eaves), up(ring[j], eaves)];
        wall.extend([plane[j], plane[i]].into_iter().filter(|q| q[2] > eaves + 0.004));
        if wall.len() > 2 {
            panels.push(wall);
        }
    }
    Ok(panels)
}
