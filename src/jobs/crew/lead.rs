//! Where the edge goes next, and how fast.
//!
//! In: a place on the turf that the edge crosses and the caster. Out: [`EdgeMotion`].

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;
use geo::{Contains, Coord, Point};
use glam::DVec3;

use crate::base::plane::nearest_on;
use crate::geometry::{OverlayScratch, edge_of};
use crate::solar;
use crate::solar::Sun;
use crate::venue::{Occluder, OccluderKind, Venue};

use super::uncertain::{Casts, Off};

/// The edge is looked at again after this time, s.
const LATER_S: i64 = 60;
/// An edge that is farther off than this after that time is another edge, metres.
const ANOTHER_EDGE_M: f64 = 60.0;
/// A stand lies in a direction when it is within this angle of it.
const TOWARD_COSINE: f64 = 0.8;

/// How the edge moves on.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeMotion {
    /// The stand, or the side of the field, that it goes toward.
    pub toward: String,
    /// Across itself, metres a minute.
    pub m_per_min: f64,
}

/// How the edge that crosses `place` at `at` moves on; `None` where there is no edge
/// near it a minute later.
pub(super) fn moving(
    venue: &Venue,
    casts: &Casts<'_>,
    place: Coord<f64>,
    at: DateTime<Tz>,
    bench: &mut OverlayScratch,
) -> Option<EdgeMotion> {
    let later = at + TimeDelta::seconds(LATER_S);
    casts.sun(later)?;
    let sun: Sun = solar::position(&venue.place, later.with_timezone(&chrono::Utc));
    let shadow = casts.shadow(later, Off::NONE, bench);
    let level = casts.level(later);
    let edge = edge_of(level, &shadow, &sun, level.ends_at());
    let nearest = edge
        .iter()
        .flat_map(|e| e.line.0.windows(2))
        .map(|w| nearest_on(w[0], w[1], place))
        .min_by(|a, b| length(*a - place).total_cmp(&length(*b - place)))?;
    let way = nearest - place;
    let metres = length(way);
    (metres < ANOTHER_EDGE_M).then(|| EdgeMotion {
        toward: toward(venue, way),
        m_per_min: metres * 60.0 / LATER_S as f64,
    })
}

/// The stand that lies that way from the centre of play, else the side of the field.
fn toward(venue: &Venue, way: Coord<f64>) -> String {
    let Some(way) = DVec3::new(way.x, way.y, 0.0).try_normalize() else {
        return "nowhere".to_owned();
    };
    let named = |o: &&Occluder| matches!(o.kind, OccluderKind::Stand | OccluderKind::Mesh);
    let stands = venue.occluders.iter().filter(named);
    let off = stands.filter_map(|stand| {
        let points: Vec<DVec3> =
            stand.bodies.iter().flat_map(|b| b.shape.points().iter().copied()).collect();
        let middle = points.iter().sum::<DVec3>() / points.len().max(1) as f64;
        // a model of a whole bowl lies nowhere in particular
        if venue.field.outline.contains(&Point::new(middle.x, middle.y)) {
            return None;
        }
        let flat = DVec3::new(middle.x, middle.y, 0.0).try_normalize()?;
        Some((flat.dot(way), stand.name.as_str()))
    });
    let best = off.max_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((cosine, name)) = best
        && cosine > TOWARD_COSINE
    {
        return name.to_owned();
    }
    let field = venue.field.frame.to_field(way);
    let side = match (field.along_m, field.across_m) {
        (along, across) if along.abs() >= across.abs() => {
            if along > 0.0 {
                "ahead"
            } else {
                "behind"
            }
        }
        (_, across) => {
            if across > 0.0 {
                "left"
            } else {
                "right"
            }
        }
    };
    format!("the {side} side")
}

fn length(v: Coord<f64>) -> f64 {
    v.x.hypot(v.y)
}
