//! Which edge an observation is about.
//!
//! In: a [`TrialGround`] and an observation. Out: the edge that, with these numbers,
//! throws what was seen; or why none does. Edges in sight of the sun come first;
//! where the file names what threw the edge, its own shadow is asked as if it
//! stood alone, since a wrong start can hide it.

use glam::DVec3;

use crate::geometry::{Crossing, EdgeOf, LevelLine, crossings_along, crossings_of};
use crate::venue::{Occluder, Part, Shape};

use super::ground::TrialGround;
use super::predict::{beside, line};
use super::seen::{EdgeName, EdgeSide, Observation, ObservationKind, Thrower, When};

/// For what comes next, seconds.
const SOON_S: f64 = 30.0;

/// Why no edge fits an observation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Unlinked {
    #[error("with these numbers no shadow edge crosses the line at that time")]
    NoEdge,
    #[error("with these numbers nothing named so throws an edge there at that time")]
    NotThrown,
    #[error("with these numbers no edge has sun and shade on the sides that were seen")]
    OtherSide,
    #[error("the thing has no such edge in that direction")]
    NotSighted,
    #[error("its number is no unknown, so it says nothing")]
    Known,
    #[error("it was left out of this search")]
    Dropped,
}

/// The edge of an observation, `None` for those that need none.
pub(super) fn link(
    ground: &TrialGround<'_>,
    seen: &Observation,
) -> Result<Option<EdgeOf>, Unlinked> {
    match &seen.kind {
        ObservationKind::Edge { when, from, toward, height_m, met_at_m, edge, .. } => {
            let line = line(ground, *from, *toward, *height_m).ok_or(Unlinked::NoEdge)?;
            let right = |c: &Crossing| match edge.side {
                None => true,
                Some(EdgeSide::Sun) => c.after > c.before,
                Some(EdgeSide::Shade) => c.after < c.before,
            };
            let off = |c: &Crossing| Some((c.at_m - met_at_m).abs());
            nearest(&[candidates(ground, *when, line, *edge)], right, off, *edge).map(Some)
        }
        ObservationKind::Passage { when, at, height_m, edge, .. } => {
            passage(ground, *when, ground.local(*at, *height_m), *edge).map(Some)
        }
        ObservationKind::Sight { from, eye_m, occluder, edge, toward, .. } => {
            let eye = ground.local(*from, *eye_m);
            let toward = toward.map(|spot| ground.local(spot, *eye_m));
            sight(ground, *occluder, *edge, eye, toward).ok_or(Unlinked::NotSighted).map(Some)
        }
        ObservationKind::Tape { what, .. } => {
            match ground.dimensions.iter().any(|(known, _)| known == what) {
                true => Ok(None),
                false => Err(Unlinked::Known),
            }
        }
        ObservationKind::PoleLength { .. }
        | ObservationKind::PoleWay { .. }
        | ObservationKind::Bearing { .. } => Ok(None),
    }
}

/// Crossings of a line that can be meant: those in sight of the sun, then those
/// of the thing by itself.
fn candidates(
    ground: &TrialGround<'_>,
    when: When,
    line: LevelLine,
    edge: Thrower,
) -> [Vec<Crossing>; 2] {
    let (date, sun) = (when.at.date_naive(), ground.toward_sun(when, 0.0));
    let venue = &*ground.standing(when);
    let meant = |c: &Crossing| edge.occluder.is_none_or(|o| o == c.occluder);
    let seen = crossings_along(venue, date, line, sun).into_iter().filter(meant).collect();
    let alone = edge.occluder.map(|o| crossings_of(venue, o, date, line, sun));
    [seen, alone.unwrap_or_default()]
}

/// The edge with the least `off` among those that are `right`.
fn nearest(
    groups: &[[Vec<Crossing>; 2]],
    right: impl Fn(&Crossing) -> bool,
    off: impl Fn(&Crossing) -> Option<f64>,
    edge: Thrower,
) -> Result<EdgeOf, Unlinked> {
    let mut any = false;
    for rank in 0..2 {
        let all = groups.iter().flat_map(|g| &g[rank]);
        let found = all
            .filter(|c| {
                any = true;
                right(c)
            })
            .filter_map(|c| Some((off(c)?, c.thrown_by?)))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, edge)) = found {
            return Ok(edge);
        }
    }
    Err(match (any, edge.occluder) {
        (true, _) => Unlinked::OtherSide,
        (false, Some(_)) => Unlinked::NotThrown,
        (false, None) => Unlinked::NoEdge,
    })
}

/// The edge that passes nearest to a place, looked for in four directions.
fn passage(
    ground: &TrialGround<'_>,
    when: When,
    place: DVec3,
    edge: Thrower,
) -> Result<EdgeOf, Unlinked> {
    let (now, soon) = (ground.toward_sun(when, 0.0), ground.toward_sun(when, SOON_S));
    let venue = &*ground.standing(when);
    let lines = [DVec3::X, DVec3::Y, DVec3::X + DVec3::Y, DVec3::X - DVec3::Y]
        .map(|along| LevelLine { from: place, along: along.normalize() });
    let distance = |c: &Crossing, sun| beside(c.thrown_by?.ends(venue)?, place, sun);
    let groups = lines.map(|line| candidates(ground, when, line, edge));
    // an edge comes nearer with what lies behind it
    let becomes = |line: &LevelLine, c: &Crossing| {
        let ends = c.thrown_by?.ends(venue)?;
        let moves = line.shadow_of(ends, soon)?.0 - c.at_m;
        let comes = if moves > 0.0 { (c.before, c.after) } else { (c.after, c.before) };
        Some(if comes.0 > comes.1 { EdgeSide::Sun } else { EdgeSide::Shade })
    };
    let mut best: Option<(usize, f64, EdgeOf)> = None;
    let mut why = Unlinked::NoEdge;
    for (line, group) in lines.iter().zip(&groups) {
        let right = |c: &Crossing| edge.side.is_none() || becomes(line, c) == edge.side;
        let off = |c: &Crossing| distance(c, now).map(f64::abs);
        match nearest(std::slice::from_ref(group), right, off, edge) {
            Ok(found) => {
                let rank = usize::from(!group[0].iter().any(|c| c.thrown_by == Some(found)));
                let ends = found.ends(venue);
                let off = ends.and_then(|e| beside(e, place, now)).map_or(f64::MAX, f64::abs);
                if best.is_none_or(|(r, o, _)| (rank, off) < (r, o)) {
                    best = Some((rank, off, found));
                }
            }
            Err(fault) => why = fault,
        }
    }
    best.map(|(.., edge)| edge).ok_or(why)
}

/// The edge of a thing that an instrument is pointed at.
fn sight(
    ground: &TrialGround<'_>,
    occluder: usize,
    name: EdgeName,
    eye: DVec3,
    toward: Option<DVec3>,
) -> Option<EdgeOf> {
    let thing = ground.venue.occluders.get(occluder)?;
    let edges: Vec<(EdgeOf, [DVec3; 2])> = edges(thing, occluder, name);
    let place = match toward {
        Some(place) => place,
        None => {
            // square on: toward the nearest of it in plan
            let near = edges.iter().map(|(_, ends)| nearest_in_plan(*ends, eye));
            near.min_by(|a, b| {
                let off = |p: &DVec3| (p - eye).with_z(0.0).length();
                off(a).total_cmp(&off(b))
            })?
        }
    };
    let along = LevelLine::toward(eye, place)?.along;
    let normal = along.cross(DVec3::Z);
    // where each edge crosses the upright plane, in front of the eye
    let crossed = edges.iter().filter_map(|(edge, [a, b])| {
        let (from, to) = (normal.dot(a - eye), normal.dot(b - eye));
        ((from > 0.0) != (to > 0.0)).then_some(())?;
        let point = a + from / (from - to) * (b - a);
        let run = (point - eye).dot(along);
        (run > 0.0).then_some((*edge, run, point.z - eye.z))
    });
    let first = |run: f64, rise: f64| match name {
        EdgeName::RoofFront | EdgeName::DeckFront => (run, -rise),
        EdgeName::RoofBack => (-run, -rise),
        EdgeName::DeckBack | EdgeName::WallTop => (-rise, -run),
        EdgeName::Skyline => (-rise / run, run),
    };
    let rounded = |(a, b): (f64, f64)| ((a * 1e6).round(), b);
    let order = |(_, run, rise): &(EdgeOf, f64, f64)| rounded(first(*run, *rise));
    crossed
        .min_by(|p, q| {
            let ((a, b), (c, d)) = (order(p), order(q));
            a.total_cmp(&c).then(b.total_cmp(&d))
        })
        .map(|(edge, ..)| edge)
}

/// Edges of the parts of a thing that a name can mean.
fn edges(thing: &Occluder, occluder: usize, name: EdgeName) -> Vec<(EdgeOf, [DVec3; 2])> {
    let meant = |part: Part| match name {
        EdgeName::RoofFront | EdgeName::RoofBack => part == Part::Roof,
        EdgeName::DeckFront | EdgeName::DeckBack => part == Part::Deck,
        EdgeName::WallTop => part == Part::BackWall,
        EdgeName::Skyline => true,
    };
    let mut all = Vec::new();
    for (body, of) in thing.bodies.iter().enumerate().filter(|(_, b)| meant(b.part)) {
        let mut pairs: Vec<(usize, usize)> = match &of.shape {
            Shape::Convex { faces, .. } => faces.iter().flat_map(|face| sides(face)).collect(),
            Shape::Sheet { corners } => sides(&(0..corners.len()).collect::<Vec<_>>()),
            Shape::Mesh(mesh) => {
                let triangles = mesh.triangles().iter();
                triangles.flat_map(|t| sides(&t.map(|corner| corner as usize))).collect()
            }
        };
        pairs.sort_unstable();
        pairs.dedup();
        let points = of.shape.points();
        all.extend(pairs.into_iter().map(|corners| {
            (EdgeOf { occluder, body, corners }, [points[corners.0], points[corners.1]])
        }));
    }
    all
}

fn sides(ring: &[usize]) -> Vec<(usize, usize)> {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| (*a.min(b), *a.max(b))).collect()
}

fn nearest_in_plan([a, b]: [DVec3; 2], eye: DVec3) -> DVec3 {
    let way = (b - a).with_z(0.0);
    let square = way.length_squared();
    let share = if square > 0.0 { ((eye - a).dot(way) / square).clamp(0.0, 1.0) } else { 0.0 };
    a + share * (b - a)
}
