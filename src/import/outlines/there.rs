//! What a venue has already: a map draws stands that somebody has described with
//! more care.
//!
//! In: the occluders of a venue and something that was built from a map. Out:
//! whether both are the same thing, by how much of the new one's plan the old one
//! covers.

use geo::{Area, BooleanOps, BoundingRect, ConvexHull, Intersects, MultiPoint, Polygon, Rect};
use geo::{Coord, unary_union};

use super::footprint::corner_ring;
use super::item::{Built, Item};
use crate::venue::Venue;

/// Covered to this share, the new thing is left out.
const SAME: f64 = 0.5;
/// Covered to this share, it is told.
const TOLD: f64 = 0.05;

/// Plans of what stands there, by name.
#[derive(Debug, Clone, Default)]
pub struct There {
    things: Vec<Thing>,
}

#[derive(Debug, Clone)]
struct Thing {
    name: String,
    /// Bounds and plan of each body.
    bodies: Vec<(Rect<f64>, Polygon<f64>)>,
}

impl There {
    /// The occluders of a venue, each body by the hull of its plan.
    pub fn of(venue: &Venue) -> Self {
        let frame = venue.field.frame;
        let plan = |points: &[glam::DVec3]| {
            let corners: MultiPoint<f64> = points
                .iter()
                .map(|p| frame.to_field(*p))
                .map(|p| geo::Point::new(p.along_m, p.across_m))
                .collect();
            let hull = corners.convex_hull();
            Some((hull.bounding_rect()?, hull))
        };
        let things = venue.occluders.iter().map(|occluder| {
            let bodies = occluder.bodies.iter();
            Thing {
                name: occluder.name.clone(),
                bodies: bodies.filter_map(|b| plan(b.shape.points())).collect(),
            }
        });
        Self { things: things.collect() }
    }

    /// Whether something new may stand beside what is there. A smaller overlap is
    /// noted.
    ///
    /// # Errors
    /// What it would stand in, in words.
    pub fn beside(&self, built: &mut Built) -> Result<(), String> {
        if self.things.is_empty() {
            return Ok(());
        }
        let plan: Vec<Polygon<f64>> = built.items.iter().filter_map(outline).collect();
        let whole = unary_union(&plan);
        let area = whole.unsigned_area();
        let Some(bounds) = whole.bounding_rect().filter(|_| area > 0.0) else { return Ok(()) };
        for Thing { name, bodies } in &self.things {
            let near = bodies.iter().filter(|(rect, _)| rect.intersects(&bounds));
            let near: Vec<&Polygon<f64>> = near.map(|(_, polygon)| polygon).collect();
            if near.is_empty() {
                continue;
            }
            let share = unary_union(near).intersection(&whole).unsigned_area() / area;
            if share >= SAME {
                return Err(format!("the venue has \"{name}\" there ({:.0} %)", 100.0 * share));
            }
            if share >= TOLD {
                built.simplified.push(format!(
                    "{:.0} % of it lies where the venue has \"{name}\"",
                    100.0 * share
                ));
            }
        }
        Ok(())
    }
}

/// The plan of a piece; none for upright panels.
fn outline(item: &Item) -> Option<Polygon<f64>> {
    let square = |[x, y]: [f64; 2], r: f64| {
        Rect::new(Coord { x: x - r, y: y - r }, Coord { x: x + r, y: y + r }).to_polygon()
    };
    let polygon = match item {
        Item::Prism { footprint, .. } => Polygon::new(corner_ring(footprint), Vec::new()),
        Item::Column { centre, radius_m, .. } => square(*centre, *radius_m),
        Item::Tree(tree) => square(tree.at, tree.crown_radius_m),
        Item::Panel { corners } => {
            let flat: Vec<[f64; 2]> = corners.iter().map(|c| [c[0], c[1]]).collect();
            Polygon::new(corner_ring(&flat), Vec::new())
        }
    };
    (polygon.unsigned_area() > 1e-6).then_some(polygon)
}
