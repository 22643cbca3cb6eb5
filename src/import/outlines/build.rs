//! From features to what can be written.
//!
//! In: features with their kinds, the axes of the field. Out: for each shape
//! either pieces of a venue file or the reason why there are none.

use geo::{Area, BooleanOps, BoundingRect, Contains, InteriorPoint, Point, Polygon, unary_union};

use crate::base::frame::direction;
use crate::base::plane::P2;
use crate::base::units::{Azimuth, Elevation};
use crate::import::geodesy::Geographic;

use super::footprint::{Axes, beside_field, centimetres, corners, distance, sound, without_holes};
use super::height::{HeightRule, Heights, heights, said, stated};
use super::item::{Built, Item};
use super::kind::{FeatureKind, bearing, kind, word};
use super::roof::{Lie, RoofForm, panels};
use super::source::{Feature, OutlineShape};

/// Under this a solid stands on the turf as far as the venue's reader cares,
/// metres.
const OVER_HEADS_M: f64 = 2.5;
/// Parts that cover this share of a building stand for the whole of it.
const PARTS_STAND_FOR_IT: f64 = 0.5;

/// The two reasons that most features of a map are left out for.
pub(super) const FAR: &str = "farther than";
pub(super) const FLAT: &str = "no height, and no kind that would have one";

/// What all builders need.
pub struct BuildContext<'a> {
    pub axes: &'a Axes,
    /// The field of play in field axes.
    pub field: Polygon<f64>,
    pub within_m: f64,
    pub rule: HeightRule,
    /// Height of the turf above sea level, where it is known well enough for
    /// `ele` to be held against it.
    pub turf_m: Option<f64>,
    pub southern: bool,
}

/// What one shape becomes, or why nothing.
pub type Outcome = Result<Built, SkippedShape>;

/// A shape that is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct SkippedShape {
    /// Place of its feature in the file.
    pub feature: usize,
    pub why: String,
}

/// The outline of a part of a building, in field axes.
pub struct BuildingPart {
    polygon: Polygon<f64>,
    /// A point of it.
    inside: Point<f64>,
}

/// The building parts that will be built: what they cover is theirs.
pub fn parts(features: &[Feature], site: &BuildContext<'_>) -> Vec<BuildingPart> {
    let of = |feature: &Feature| -> Vec<BuildingPart> {
        let known = heights(feature, &site.rule, false).is_ok_and(|h| h.is_some());
        if kind(feature) != FeatureKind::Part || !known {
            return Vec::new();
        }
        let part = |shape: &OutlineShape| {
            let OutlineShape::Polygon { outer, holes } = shape else { return None };
            let drawn = site.axes.polygon(outer, holes).ok()?;
            let polygon = sound(drawn).ok().filter(|p| distance(p) <= site.within_m)?;
            Some(BuildingPart { inside: polygon.interior_point()?, polygon })
        };
        feature.shapes.iter().filter_map(part).collect()
    };
    features.iter().flat_map(of).collect()
}

/// Everything that a feature becomes.
pub fn feature(
    place: usize,
    feature: &Feature,
    parts: &[BuildingPart],
    site: &BuildContext<'_>,
) -> Vec<Outcome> {
    let skip = |why: String| Err(SkippedShape { feature: place, why });
    let mut all: Vec<Outcome> = feature.broken.iter().map(|why| skip(why.clone())).collect();
    let of = Of { place, feature, kind: kind(feature), site };
    for shape in &feature.shapes {
        all.push(of.shape(shape, parts).map_err(|why| SkippedShape { feature: place, why }));
    }
    // shapes that are left out for the same reason are told once
    let mut said: Vec<String> = Vec::new();
    all.retain(|outcome| match outcome {
        Ok(_) => true,
        Err(skipped) => {
            let new = !said.contains(&skipped.why);
            said.push(skipped.why.clone());
            new
        }
    });
    all
}

/// One feature and what is needed to build it.
pub(super) struct Of<'a> {
    place: usize,
    pub(super) feature: &'a Feature,
    pub(super) kind: FeatureKind,
    pub(super) site: &'a BuildContext<'a>,
}

impl Of<'_> {
    fn shape(&self, shape: &OutlineShape, parts: &[BuildingPart]) -> Result<Built, String> {
        self.kind_can_be_built()?;
        match shape {
            OutlineShape::Polygon { outer, holes } => self.area(outer, holes, parts),
            // a ring may come as a line that ends where it begins
            OutlineShape::Line(line)
                if line.len() > 3 && line.first() == line.last() && self.is_area() =>
            {
                self.area(line, &[], parts)
            }
            OutlineShape::Line(line) => self.wall(line),
            OutlineShape::Point(at) => self.upright(self.axes_point(*at)?),
        }
    }

    fn axes_point(&self, at: Geographic) -> Result<P2, String> {
        self.site.axes.point(at).map_err(|e| e.to_string())
    }

    fn kind_can_be_built(&self) -> Result<(), String> {
        Err(match self.kind {
            FeatureKind::Pitch => "a field of play",
            FeatureKind::Wood => "a wood: enter its edge as trees",
            FeatureKind::TreeRow => "a row of trees: enter them one by one",
            FeatureKind::Fence => "a fence, which lets light through: enter it as a panel",
            _ => return Ok(()),
        }
        .into())
    }

    fn is_area(&self) -> bool {
        matches!(
            self.kind,
            FeatureKind::Building
                | FeatureKind::Part
                | FeatureKind::OpenRoof
                | FeatureKind::Structure
        )
    }

    pub(super) fn near(&self, distance_m: f64) -> Result<(), String> {
        match distance_m <= self.site.within_m {
            true => Ok(()),
            false => Err(format!("{FAR} {} m from the centre of play", self.site.within_m)),
        }
    }

    /// Heights above the turf.
    pub(super) fn heights(&self, may_assume: bool) -> Result<Heights, String> {
        let none = || match self.kind {
            FeatureKind::Other => FLAT,
            _ => "no height",
        };
        let found = heights(self.feature, &self.site.rule, may_assume)?;
        let mut heights = found.ok_or_else(|| none().to_owned())?;
        let (Some(turf), Some(ground)) = (self.site.turf_m, stated(self.feature, "ele")?) else {
            return Ok(heights);
        };
        let rise = ground - turf;
        heights.bottom_m += rise;
        heights.top_m += rise;
        heights.from +=
            &format!(", its ground {rise:+.1} m from the turf by {}", said(self.feature, "ele"));
        if heights.top_m <= 0.0 {
            return Err("its top is under the turf".into());
        }
        Ok(heights)
    }

    pub(super) fn built(
        &self,
        items: Vec<Item>,
        heights: Heights,
        simplified: Vec<String>,
    ) -> Built {
        let name = self.feature.name.clone().unwrap_or_else(|| word(self.feature, self.kind));
        let Heights { from, assumed, .. } = heights;
        Built { feature: self.place, name, items, from, assumed, simplified }
    }

    fn area(
        &self,
        outer: &[Geographic],
        holes: &[Vec<Geographic>],
        parts: &[BuildingPart],
    ) -> Result<Built, String> {
        let polygon = self.site.axes.polygon(outer, holes).map_err(|e| e.to_string())?;
        if corners(polygon.exterior()).len() < 3 {
            return Err("an outline of fewer than 3 different corners".into());
        }
        self.near(distance(&polygon))?;
        let polygon = sound(polygon)?;
        if matches!(self.kind, FeatureKind::Wall | FeatureKind::Hedge)
            && self.feature.tag("area") != Some("yes")
        {
            return self.ring_wall(&polygon);
        }
        if matches!(self.kind, FeatureKind::Tree | FeatureKind::Mast) {
            let at = polygon.interior_point().ok_or("an outline without area")?;
            if self.kind == FeatureKind::Tree {
                return self.upright([centimetres(at.x()), centimetres(at.y())]);
            }
        }
        let may_assume = matches!(
            self.kind,
            FeatureKind::Building | FeatureKind::OpenRoof | FeatureKind::Structure
        );
        let mut heights = self.heights(may_assume)?;
        let mut simplified = Vec::new();
        if self.kind == FeatureKind::Building {
            self.yield_to_parts(&polygon, parts, &mut simplified)?;
        }
        if self.kind == FeatureKind::OpenRoof && !heights.states_bottom {
            simplified.push("an open roof without thickness, level at its top".into());
            let plates = without_holes(&polygon);
            let plate = |p: &Polygon<f64>| Item::Panel {
                corners: corners(p.exterior())
                    .iter()
                    .map(|c| [c[0], c[1], centimetres(heights.top_m)])
                    .collect(),
            };
            return Ok(self.built(plates.iter().map(plate).collect(), heights, simplified));
        }
        let items = self.block(&polygon, &heights, &mut simplified)?;
        if items.iter().any(|item| matches!(item, Item::Panel { .. })) {
            heights.from += &format!(", roof from {}", said(self.feature, "roof:shape"));
        }
        Ok(self.built(items, heights, simplified))
    }

    /// A building whose parts are in the file gives way to them.
    fn yield_to_parts(
        &self,
        polygon: &Polygon<f64>,
        parts: &[BuildingPart],
        simplified: &mut Vec<String>,
    ) -> Result<(), String> {
        let bounds = polygon.bounding_rect();
        let inside = |part: &&BuildingPart| {
            bounds.is_some_and(|b| b.contains(&part.inside)) && polygon.contains(&part.inside)
        };
        let own: Vec<&Polygon<f64>> = parts.iter().filter(inside).map(|p| &p.polygon).collect();
        if own.is_empty() {
            return Ok(());
        }
        let covered = unary_union(own.iter().copied()).intersection(polygon).unsigned_area();
        let share = covered / polygon.unsigned_area();
        if share >= PARTS_STAND_FOR_IT {
            return Err("its parts stand for it".into());
        }
        simplified.push(format!(
            "built as a whole, since parts that are built as well are {:.0} % of it",
            100.0 * share
        ));
        Ok(())
    }

    /// A body with what roof can be known.
    fn block(
        &self,
        polygon: &Polygon<f64>,
        heights: &Heights,
        simplified: &mut Vec<String>,
    ) -> Result<Vec<Item>, String> {
        let low = heights.bottom_m < OVER_HEADS_M;
        let (pieces, cut) = match low {
            true => beside_field(polygon, &self.site.field)?,
            false => (vec![polygon.clone()], 0.0),
        };
        if cut > 0.0 {
            simplified.push(format!("{cut:.1} m2 of it lay on the field of play and were cut off"));
        }
        if !heights.states_bottom
            && self.feature.tag("layer").and_then(|l| l.parse::<i32>().ok()).is_some_and(|l| l > 0)
        {
            simplified.push("down to the ground, since its underside is not stated".into());
        }
        if matches!(self.feature.tag("building"), Some("grandstand" | "stadium" | "bleachers"))
            || self.feature.tag("leisure") == Some("bleachers")
        {
            simplified.push("a block to its full height; a [[stand]] has rake and roof".into());
        }
        let (top, roof) = match (self.roof(polygon, &pieces, heights), pieces.len()) {
            (Ok(Some(roof)), 1) => (heights.top_m - heights.roof_m.unwrap_or(0.0), roof),
            (Ok(_), _) => (heights.top_m, Vec::new()),
            (Err(why), _) => {
                simplified.push(format!(
                    "flat at its full height instead of {}: {why}",
                    said(self.feature, "roof:shape")
                ));
                (heights.top_m, Vec::new())
            }
        };
        let prism = |footprint: Vec<P2>| Item::Prism {
            footprint,
            bottom_m: centimetres(heights.bottom_m),
            top_m: centimetres(top),
        };
        let flat = pieces.iter().flat_map(without_holes);
        let mut items: Vec<Item> = flat.map(|p| prism(corners(p.exterior()))).collect();
        if centimetres(top) <= centimetres(heights.bottom_m) {
            // all roof, no walls
            items.clear();
        }
        items.extend(roof.into_iter().map(|corners| Item::Panel { corners }));
        match items.is_empty() {
            true => Err("nothing of it is left".into()),
            false => Ok(items),
        }
    }

    /// Panels of the roof; `None` for a flat one.
    fn roof(
        &self,
        whole: &Polygon<f64>,
        pieces: &[Polygon<f64>],
        heights: &Heights,
    ) -> Result<Option<Vec<Vec<[f64; 3]>>>, String> {
        let form = match self.feature.tag("roof:shape") {
            None | Some("flat") => return Ok(None),
            Some("gabled") => RoofForm::Gabled,
            Some("hipped") => RoofForm::Hipped,
            Some("pyramidal") => RoofForm::Pyramidal,
            Some("skillion") => RoofForm::Skillion,
            Some(_) => return Err("this form is not built".into()),
        };
        let Some(roof_m) = heights.roof_m.filter(|h| *h > 0.0) else {
            return Err("how much of the height is roof is not stated (roof:height)".into());
        };
        let eaves = heights.top_m - roof_m;
        if eaves < heights.bottom_m - 0.005 {
            return Err("the roof is higher than the whole".into());
        }
        if !whole.interiors().is_empty() || pieces.len() != 1 {
            return Err("the outline has a hole or was cut".into());
        }
        let faces = bearing(self.feature, "roof:direction")?.map(|degrees| {
            let local = direction(Azimuth::from_degrees(degrees), Elevation::from_degrees(0.0));
            let field = self.site.axes.frame().to_field(local);
            [field.along_m, field.across_m]
        });
        let lie = Lie { faces, across: self.feature.tag("roof:orientation") == Some("across") };
        panels(form, &corners(pieces[0].exterior()), (eaves, heights.top_m), lie).map(Some)
    }
}
