//! Stands, roofs, trees and the rest around the field, from above.

use chrono::NaiveDate;
use geo::{ConvexHull, LineString, MultiPoint, Point, Polygon};
use plotters::style::RGBColor;

use crate::base::plane;
use crate::base::union::union_of;
use crate::output::draw::clip;
use crate::output::draw::palette::INK;
use crate::output::draw::sketch::{Px, Sketch};
use crate::venue::{Body, Part, Shape, Venue};

use super::layout::{PLAN, PlanView};

/// Ground outside the field.
pub(crate) const GROUND: RGBColor = RGBColor(234, 231, 222);
const OUTLINE: RGBColor = RGBColor(96, 96, 96);
/// A body whose plan is smaller than this is drawn as a dot, square pixels.
const DOT_AREA_PX: f64 = 60.0;
const DOT_RADIUS_PX: f64 = 6.0;

/// How a body is drawn. From the lowest to the highest layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum BodyStyle {
    Stand,
    Solid,
    Trunk,
    Roof,
    ClearRoof,
    Wall,
    Crown,
    Panel,
}

impl BodyStyle {
    pub const ALL: [Self; 8] = [
        Self::Stand,
        Self::Solid,
        Self::Trunk,
        Self::Roof,
        Self::ClearRoof,
        Self::Wall,
        Self::Crown,
        Self::Panel,
    ];

    fn of(body: &Body, date: NaiveDate) -> Self {
        match body.part {
            Part::Deck => Self::Stand,
            Part::BackWall | Part::EndWall => Self::Wall,
            Part::Roof | Part::Panel | Part::Mesh if !body.passes.on(date).is_opaque() => {
                Self::ClearRoof
            }
            Part::Roof => Self::Roof,
            Part::Solid | Part::Mesh => Self::Solid,
            Part::Trunk => Self::Trunk,
            Part::Crown => Self::Crown,
            Part::Panel => Self::Panel,
        }
    }

    pub fn colour(self) -> RGBColor {
        match self {
            Self::Stand => RGBColor(190, 190, 190),
            Self::Solid => RGBColor(120, 116, 112),
            Self::Trunk => RGBColor(92, 70, 50),
            Self::Roof => RGBColor(160, 164, 170),
            Self::ClearRoof => RGBColor(212, 230, 242),
            Self::Wall => RGBColor(96, 96, 96),
            Self::Crown => RGBColor(122, 160, 112),
            Self::Panel => RGBColor(60, 60, 60),
        }
    }

    /// In the legend; `None` for what explains itself.
    pub fn name(self) -> Option<&'static str> {
        match self {
            Self::Stand => Some("Stand"),
            Self::Solid => Some("Building, mast or other solid"),
            Self::Trunk => None,
            Self::Roof => Some("Roof, opaque"),
            Self::ClearRoof => Some("Roof or panel, translucent"),
            Self::Wall => Some("Wall"),
            Self::Crown => Some("Tree crown"),
            Self::Panel => Some("Panel, opaque"),
        }
    }
}

/// The plans of all bodies, those in the drawing only.
pub(crate) struct BodyPlans {
    plans: Vec<(BodyStyle, Vec<Px>)>,
}

impl BodyPlans {
    pub fn of(venue: &Venue, view: &PlanView, date: NaiveDate) -> Self {
        let bodies = venue.occluders.iter().flat_map(|o| &o.bodies);
        let plans = |body: &Body| {
            let look = BodyStyle::of(body, date);
            footprints(body, view).into_iter().map(move |ring| (look, ring))
        };
        let mut plans: Vec<(BodyStyle, Vec<Px>)> = bodies.flat_map(plans).collect();
        plans.sort_by_key(|(look, _)| *look);
        Self { plans }
    }

    /// What the ground is drawn over: stands and their roofs, which reach over it. Each
    /// layer with an outline around what belongs together; gives back the looks that
    /// appear.
    pub fn draw_under(&self, sketch: &mut Sketch) -> Vec<BodyStyle> {
        self.draw(sketch, &[BodyStyle::Stand, BodyStyle::Roof, BodyStyle::ClearRoof])
    }

    /// What stands on the ground.
    pub fn draw_over(&self, sketch: &mut Sketch) -> Vec<BodyStyle> {
        self.draw(
            sketch,
            &[
                BodyStyle::Solid,
                BodyStyle::Trunk,
                BodyStyle::Wall,
                BodyStyle::Crown,
                BodyStyle::Panel,
            ],
        )
    }

    fn draw(&self, sketch: &mut Sketch, looks: &[BodyStyle]) -> Vec<BodyStyle> {
        let mut seen = Vec::new();
        for look in BodyStyle::ALL.into_iter().filter(|look| looks.contains(look)) {
            let of_look = self.plans.iter().filter(|(l, _)| *l == look);
            let rings: Vec<Vec<Px>> = of_look
                .map(|(_, ring)| clip::ring_in(ring, &PLAN.grown(-2.0)))
                .filter(|ring| ring.len() >= 2)
                .collect();
            if rings.is_empty() {
                continue;
            }
            seen.push(look);
            let (small, large): (Vec<_>, Vec<_>) =
                rings.iter().partition(|ring| clip::area(ring) < DOT_AREA_PX);
            // outlines first, insides over them: no lines between the segments
            for ring in &large {
                sketch.outline(ring.to_vec(), 4, OUTLINE);
            }
            for ring in &large {
                sketch.fill(ring.to_vec(), look.colour());
                sketch.outline(ring.to_vec(), 1, look.colour());
            }
            for ring in small {
                slight(sketch, ring, look);
            }
        }
        seen
    }

    /// Rims of roofs that reach over the ground. Tells whether there are any.
    pub fn draw_overhang(&self, sketch: &mut Sketch, view: &PlanView) -> bool {
        let roofs = self
            .plans
            .iter()
            .filter(|(look, _)| matches!(look, BodyStyle::Roof | BodyStyle::ClearRoof));
        let field = view.ground.grown(-3.0);
        // segments that touch are one roof, without lines between them
        let roofs: Vec<Polygon<f64>> = roofs
            .map(|(_, ring)| clip::ring_in(ring, &PLAN))
            .filter(|ring| clip::area(ring) >= DOT_AREA_PX)
            .map(|ring| Polygon::new(LineString::from(ring), Vec::new()))
            .collect();
        let lines: Vec<Vec<Px>> = union_of(&roofs)
            .0
            .iter()
            .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
            .map(|ring| ring.0.iter().map(|c| [c.x, c.y]).collect())
            .flat_map(|ring: Vec<Px>| clip::line_in(&ring, &field))
            .collect();
        for line in &lines {
            overhang(sketch, line);
        }
        !lines.is_empty()
    }
}

/// The line of a roof's rim over the field.
pub(crate) fn overhang(sketch: &mut Sketch, line: &[Px]) {
    for dash in plane::dashes(line, 5.0, 7.0) {
        sketch.stroke(dash, 2, INK);
    }
}

/// A wall on edge is a line; a trunk or a mast is a dot.
fn slight(sketch: &mut Sketch, ring: &[Px], look: BodyStyle) {
    let far = |a: &Px, b: &Px| (a[0] - b[0]).hypot(a[1] - b[1]);
    let Some(start) = ring.first() else { return };
    let farthest = |from: &Px| {
        let by_distance = |a: &&Px, b: &&Px| far(a, from).total_cmp(&far(b, from));
        *ring.iter().max_by(by_distance).unwrap_or(start)
    };
    let a = farthest(start);
    let b = farthest(&a);
    if far(&a, &b) > 2.0 * DOT_RADIUS_PX {
        sketch.stroke([a, b], 5, look.colour());
    } else {
        sketch.disc(*start, DOT_RADIUS_PX, OUTLINE);
        sketch.disc(*start, DOT_RADIUS_PX - 1.0, look.colour());
    }
}

/// What a body covers, as rings without holes.
fn footprints(body: &Body, view: &PlanView) -> Vec<Vec<Px>> {
    match &body.shape {
        Shape::Convex { vertices, .. } => {
            let points = vertices.iter().map(|v| Point::new(v.x, v.y)).collect();
            let hull = MultiPoint(points).convex_hull();
            vec![view.line(hull.exterior())]
        }
        Shape::Sheet { corners } => vec![corners.iter().map(|c| view.point(*c)).collect()],
        Shape::Mesh(mesh) => {
            mesh.plan_pieces().0.iter().map(|piece| view.line(piece.exterior())).collect()
        }
    }
}
