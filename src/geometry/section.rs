//! Where sun and shade change along a straight line, and what throws the change.
//!
//! In: a venue, a date (trees drop their leaves), a level line (a point and a
//! unit direction, local frame, metres), a unit vector toward the sun. Out:
//! [`Crossing`]s in order along the line, exact for the geometry, each with the
//! edge of the body that throws it.
//!
//! Method: the line and the sun span a plane. Every face of a body is cut by it in
//! pieces of straight line; seen along the sun, a piece shades the stretch of the
//! line between its two ends, and an end lies on an edge of the face. The
//! stretches of a body are joined, those of several bodies multiplied.

use chrono::NaiveDate;
use glam::DVec3;

use crate::base::units::Transmittance;
use crate::venue::{Shape, Venue};

/// Ends nearer to each other than this are one: rounding of welded corners, m.
const SAME_M: f64 = 1e-6;
/// What lets almost the same through is no edge, share.
const SAME_SHARE: f64 = 1e-9;

/// A straight edge of a body, by index.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct EdgeOf {
    /// In [`Venue::occluders`].
    pub occluder: usize,
    /// In the bodies of that occluder.
    pub body: usize,
    /// In the points of that body, lower index first.
    pub corners: (usize, usize),
}

impl EdgeOf {
    /// Both ends in the local frame, metres; `None` where the venue has no such
    /// edge.
    pub fn ends(&self, venue: &Venue) -> Option<[DVec3; 2]> {
        let points = venue.occluders.get(self.occluder)?.bodies.get(self.body)?.shape.points();
        Some([*points.get(self.corners.0)?, *points.get(self.corners.1)?])
    }
}

/// A place on a line where the light changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// From the point that the line is stated by, along its direction, metres.
    pub at_m: f64,
    /// What throws it; `None` where a body meets the line's own level.
    pub thrown_by: Option<EdgeOf>,
    /// The body's occluder, in [`Venue::occluders`].
    pub occluder: usize,
    /// What passes before and after it, along the line.
    pub before: Transmittance,
    pub after: Transmittance,
}

/// A line at one level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelLine {
    /// Where distances count from, local frame, metres.
    pub from: DVec3,
    /// Unit vector without a vertical part.
    pub along: DVec3,
}

impl LevelLine {
    /// From a point toward another, at the level of the first; `None` where they
    /// are one above the other.
    pub fn toward(from: DVec3, to: DVec3) -> Option<Self> {
        (to - from).with_z(0.0).try_normalize().map(|along| Self { from, along })
    }

    /// Where the shadow of a straight edge (or the line on which it lies) crosses
    /// this line, metres along it, and how far along the edge what throws it lies
    /// (0 at its first end, 1 at its second). `None` where the shadow runs along
    /// the line or the sun does not stand over it.
    ///
    /// ```
    /// use glam::DVec3;
    /// use quarterstop::geometry::LevelLine;
    /// // a wall 10 m high, the sun at 45 degrees behind it: 10 m of shadow
    /// let line = LevelLine { from: DVec3::ZERO, along: DVec3::X };
    /// let top = [DVec3::new(0.0, -50.0, 10.0), DVec3::new(0.0, 50.0, 10.0)];
    /// let sun = DVec3::new(-1.0, 0.0, 1.0).normalize();
    /// let (at, share) = line.shadow_of(top, sun).unwrap();
    /// assert!((at - 10.0).abs() < 1e-12 && (share - 0.5).abs() < 1e-12);
    /// ```
    pub fn shadow_of(&self, [a, b]: [DVec3; 2], toward_sun: DVec3) -> Option<(f64, f64)> {
        let normal = self.along.cross(toward_sun);
        let (from, to) = (normal.dot(a - self.from), normal.dot(b - self.from));
        // parallel to within a thousandth of a degree and less
        if (from - to).abs() <= 1e-6 * a.distance(b) * normal.length() {
            return None;
        }
        let share = from / (from - to);
        self.thrown_to(a + share * (b - a), toward_sun).map(|(at, _)| (at, share))
    }

    /// Where on the line the shadow of a point in the plane of line and sun falls,
    /// and how far the light has come, metres.
    fn thrown_to(&self, point: DVec3, toward_sun: DVec3) -> Option<(f64, f64)> {
        if toward_sun.z <= 0.0 {
            return None;
        }
        let height = (point.z - self.from.z) / toward_sun.z;
        Some(((point - height * toward_sun - self.from).dot(self.along), height))
    }
}

/// All changes of light along a line, in order.
///
/// ```
/// # use quarterstop::{geometry, venue};
/// # use quarterstop::geometry::LevelLine;
/// # use quarterstop::base::frame::FieldPoint;
/// # let text = std::fs::read_to_string("venues/football-demo.toml").unwrap();
/// # let venue = venue::parse(&text, "").unwrap();
/// # let date = chrono::NaiveDate::from_ymd_opt(2027, 10, 16).unwrap();
/// // across the field, from left to right, with the sun at 20 degrees on the left
/// let at = |across_m| venue.field.frame.to_local(FieldPoint::on_ground(0.0, across_m));
/// let line = LevelLine::toward(at(34.0), at(-34.0)).unwrap();
/// let sun = -line.along * 20_f64.to_radians().cos() + glam::DVec3::Z * 20_f64.to_radians().sin();
/// let found = geometry::crossings_along(&venue, date, line, sun);
/// // nearest is the sun through the gap under the roof; the last edge on the field is
/// // thrown by the roof's front at 19 m, 4 m behind the touchline
/// let on_field = |c: &&geometry::Crossing| c.at_m < 68.0 && c.after.share() == 1.0;
/// let edge = found.iter().rfind(on_field).unwrap();
/// assert!((edge.at_m - (19.0 / 20_f64.to_radians().tan() - 4.0)).abs() < 1e-6);
/// ```
pub fn crossings_along(
    venue: &Venue,
    date: NaiveDate,
    line: LevelLine,
    toward_sun: DVec3,
) -> Vec<Crossing> {
    crossings(venue, 0..venue.occluders.len(), date, line, toward_sun)
}

/// Changes of light along a line that one occluder would make alone, by its index
/// in [`Venue::occluders`].
pub fn crossings_of(
    venue: &Venue,
    occluder: usize,
    date: NaiveDate,
    line: LevelLine,
    toward_sun: DVec3,
) -> Vec<Crossing> {
    crossings(venue, occluder..occluder + 1, date, line, toward_sun)
}

fn crossings(
    venue: &Venue,
    occluders: std::ops::Range<usize>,
    date: NaiveDate,
    line: LevelLine,
    toward_sun: DVec3,
) -> Vec<Crossing> {
    let mut ends = Vec::new();
    for occluder in occluders {
        let bodies = venue.occluders.get(occluder).map_or(&[][..], |thing| &thing.bodies);
        for (body, part) in bodies.iter().enumerate() {
            let passes = part.passes.through(date).toward(toward_sun);
            if passes.share() < 1.0 {
                let whole = joined(stretches(&part.shape, line, toward_sun));
                let end = |End { at_m, corners }, opens| Mark {
                    at_m,
                    corners,
                    occluder,
                    body,
                    passes,
                    opens,
                };
                ends.extend(whole.into_iter().flat_map(|[a, b]| [end(a, true), end(b, false)]));
            }
        }
    }
    ends.sort_by(|a, b| a.at_m.total_cmp(&b.at_m));
    changes(&ends)
}

/// One end of a stretch of line that a face shades.
#[derive(Debug, Clone, Copy)]
struct End {
    at_m: f64,
    corners: Option<(usize, usize)>,
}

/// An end with what it belongs to.
#[derive(Debug, Clone, Copy)]
struct Mark {
    at_m: f64,
    corners: Option<(usize, usize)>,
    occluder: usize,
    body: usize,
    passes: Transmittance,
    opens: bool,
}

/// Stretches of the line that single faces of a shape shade.
fn stretches(shape: &Shape, line: LevelLine, toward_sun: DVec3) -> Vec<[End; 2]> {
    let normal = line.along.cross(toward_sun);
    let points = shape.points();
    let sides: Vec<f64> = points.iter().map(|p| normal.dot(*p - line.from)).collect();
    if sides.iter().all(|s| *s > 0.0) || sides.iter().all(|s| *s <= 0.0) {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut cut = |ring: &mut dyn Iterator<Item = usize>| {
        let ring: Vec<usize> = ring.collect();
        found.extend(pieces(&ring, points, &sides, line, toward_sun));
    };
    match shape {
        Shape::Convex { faces, .. } => {
            faces.iter().for_each(|face| cut(&mut face.iter().copied()));
        }
        Shape::Sheet { corners } => cut(&mut (0..corners.len())),
        Shape::Mesh(mesh) => mesh
            .triangles()
            .iter()
            .for_each(|triangle| cut(&mut triangle.iter().map(|&corner| corner as usize))),
    }
    found
}

/// A cut of a ring of corners by the plane: where, in space and on the line.
#[derive(Debug, Clone, Copy)]
struct Cut {
    point: DVec3,
    end: End,
    /// How far the light comes to the line.
    run_m: f64,
}

/// Pieces of one face in the plane, as stretches of the line.
fn pieces(
    ring: &[usize],
    points: &[DVec3],
    sides: &[f64],
    line: LevelLine,
    toward_sun: DVec3,
) -> Vec<[End; 2]> {
    let mut cuts: Vec<Cut> = Vec::new();
    for (i, &a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        if (sides[a] > 0.0) == (sides[b] > 0.0) {
            continue;
        }
        // the same two corners in the same order whichever face asks
        let (low, high) = (a.min(b), a.max(b));
        let share = sides[low] / (sides[low] - sides[high]);
        let point = points[low] + share * (points[high] - points[low]);
        let Some((at_m, run_m)) = line.thrown_to(point, toward_sun) else { continue };
        cuts.push(Cut { point, end: End { at_m, corners: Some((low, high)) }, run_m });
    }
    // in order along the cut, whichever way it runs: pairs are inside the face
    if let (Some(first), Some(far)) = (cuts.first().copied(), farthest(&cuts)) {
        let way = far - first.point;
        cuts.sort_by(|p, q| p.point.dot(way).total_cmp(&q.point.dot(way)));
    }
    cuts.chunks_exact(2).filter_map(|pair| over_the_line(pair[0], pair[1])).collect()
}

fn farthest(cuts: &[Cut]) -> Option<DVec3> {
    let first = cuts.first()?.point;
    let far = |c: &&Cut| c.point.distance_squared(first);
    cuts.iter().max_by(|a, b| far(a).total_cmp(&far(b))).map(|c| c.point)
}

/// The part of a piece that lies over the line's level.
fn over_the_line(a: Cut, b: Cut) -> Option<[End; 2]> {
    let level = |low: Cut, high: Cut| {
        let share = low.run_m / (low.run_m - high.run_m);
        End { at_m: low.end.at_m + share * (high.end.at_m - low.end.at_m), corners: None }
    };
    let (a, b) = match (a.run_m > 0.0, b.run_m > 0.0) {
        (false, false) => return None,
        (true, true) => (a.end, b.end),
        (false, true) => (level(a, b), b.end),
        (true, false) => (a.end, level(b, a)),
    };
    Some(if a.at_m <= b.at_m { [a, b] } else { [b, a] })
}

/// Stretches of one body without overlaps.
fn joined(mut stretches: Vec<[End; 2]>) -> Vec<[End; 2]> {
    stretches.sort_by(|a, b| a[0].at_m.total_cmp(&b[0].at_m));
    let mut whole: Vec<[End; 2]> = Vec::new();
    for next in stretches {
        match whole.last_mut() {
            Some(last) if next[0].at_m <= last[1].at_m + SAME_M => {
                if next[1].at_m > last[1].at_m {
                    last[1] = next[1];
                }
            }
            _ => whole.push(next),
        }
    }
    whole
}

/// Places where the product of all bodies over the line changes.
fn changes(marks: &[Mark]) -> Vec<Crossing> {
    let mut found = Vec::new();
    let mut over: Vec<(usize, usize, f64)> = Vec::new();
    let mut before = 1.0;
    let mut rest = marks;
    while let Some(first) = rest.first() {
        let count = rest.partition_point(|m| m.at_m <= first.at_m + SAME_M);
        let (here, further) = rest.split_at(count);
        rest = further;
        for mark in here {
            if mark.opens {
                over.push((mark.occluder, mark.body, mark.passes.share()));
            } else {
                let same = |o: &(usize, usize, f64)| (o.0, o.1) == (mark.occluder, mark.body);
                if let Some(i) = over.iter().position(same) {
                    over.swap_remove(i);
                }
            }
        }
        let after: f64 = over.iter().map(|o| o.2).product();
        if (after - before).abs() > SAME_SHARE {
            // of several ends here one that goes the way of the whole
            let agrees = |m: &&Mark| m.opens == (after < before);
            let named = |m: &&Mark| m.corners.is_some();
            let mark = here.iter().filter(agrees).find(named).or(here.iter().find(agrees));
            let mark = mark.unwrap_or(first);
            let edge = |corners| EdgeOf { occluder: mark.occluder, body: mark.body, corners };
            found.push(Crossing {
                at_m: mark.at_m,
                thrown_by: mark.corners.map(edge),
                occluder: mark.occluder,
                before: Transmittance::from_share(before),
                after: Transmittance::from_share(after),
            });
        }
        before = after;
    }
    found
}
