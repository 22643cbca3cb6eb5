//! The ground around the field of play, from above: playing area, surrounds, zones.
//!
//! In: a field, zones, the shadow on all of the ground. Out: marks under and over what
//! stands there, and the places of letters that the list of zones uses again.

use geo::{
    BooleanOps, BoundingRect, Centroid, Contains, Coord, Distance, Euclidean, LineString,
    MultiLineString, MultiPolygon, Point, Polygon, Rect,
};
use plotters::style::RGBColor;

use crate::base::plane;
use crate::geometry::{Shadow, inner_lines};
use crate::output::draw::clip;
use crate::output::draw::palette::{INK, MUTED, PAPER, lit_colour};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::venue::{Field, PlayingSurface, Sport, Zone};

use super::layout::{PLAN, PlanView};
use super::shade::{HATCH, HATCH_PX, SHADE, TURF_EDGE, dimmed_colour};

/// Playing area outside the field of play, and ground outside of that, in full sun: as
/// bright as turf for grey print, told from it by colour.
const PLAYING: RGBColor = RGBColor(196, 214, 152);
pub(crate) const SURROUNDS: RGBColor = RGBColor(216, 212, 180);
/// Lines nearer than this to the rim of the ground are the feet of what stands there,
/// metres.
const FOOT_M: f64 = 0.05;
const LETTER_PX: [f64; 2] = [30.0, 30.0];
/// Letters keep so far off the feet of cameras, which have lines of their own.
const CLEAR_PX: f64 = 90.0;

/// What colours the ground.
pub(crate) enum GroundColouring<'a> {
    Shade(&'a Shadow),
    /// Painted later by whoever maps the light.
    Bare,
}

/// The playing area beyond the field of play, lighter than that.
pub(crate) fn playing_colour(surface: PlayingSurface) -> RGBColor {
    let lit = lit_colour(surface);
    let lighter = |part: u8| part + (u8::MAX - part) * 2 / 5;
    match surface {
        PlayingSurface::Grass | PlayingSurface::Acrylic => PLAYING,
        _ => RGBColor(lighter(lit.0), lighter(lit.1), lighter(lit.2)),
    }
}

/// Ground around the field of play, with its shade.
pub(crate) fn ground(sketch: &mut Sketch, view: &PlanView, field: &Field, light: &GroundColouring) {
    let areas =
        [(&field.surrounds, SURROUNDS), (&field.playing_area, playing_colour(field.surface))];
    for (area, lit) in areas {
        if *area == field.outline {
            continue;
        }
        let outside = area.difference(&field.outline);
        patches(sketch, view, &outside, lit);
        if let GroundColouring::Shade(shadow) = light {
            patches(sketch, view, &shadow.opaque.intersection(&outside), SHADE);
            for dimmed in &shadow.dimmed {
                let region = dimmed.region.intersection(&outside);
                patches(sketch, view, &region, dimmed_colour(field.surface, dimmed.transmittance));
                for stroke in clip::hatching(&view.rings(&region), HATCH_PX) {
                    sketch.stroke(stroke, 1, HATCH);
                }
            }
        }
    }
}

/// Rim of the playing area, over what stands.
pub(crate) fn rim(sketch: &mut Sketch, view: &PlanView, field: &Field) {
    if field.playing_area != field.outline {
        sketch.outline(view.line(field.playing_area.exterior()), 3, PAPER);
    }
}

/// The edge of the sun on the ground outside the field of play; tells whether there is any.
pub(crate) fn edge(sketch: &mut Sketch, view: &PlanView, field: &Field, shadow: &Shadow) -> bool {
    let mut any = false;
    let box_around = shadow_rim(field);
    let lines = MultiLineString(inner_lines(&shadow.shaded, &box_around));
    let ground = field.surrounds.difference(&field.outline);
    let foot = |line: &geo::Line<f64>| {
        let middle = Point((line.start + line.end) / 2.0);
        let rings = std::iter::once(field.surrounds.exterior()).chain(field.surrounds.interiors());
        rings.into_iter().any(|ring| Euclidean.distance(&middle, ring) < FOOT_M)
    };
    for line in ground.clip(&lines, false).0.iter().flat_map(|line| line.lines()) {
        if !foot(&line) {
            let [a, b] = [view.coord(line.start), view.coord(line.end)];
            sketch.stroke([a, b], 6, PAPER);
            sketch.stroke([a, b], 3, TURF_EDGE);
            any = true;
        }
    }
    any
}

/// The box that a shadow on all of the ground ends at.
fn shadow_rim(field: &Field) -> LineString<f64> {
    let frame = field.frame;
    let corners = field.surrounds.exterior().0.iter().chain(&field.outline.exterior().0);
    let axes: Vec<Coord<f64>> = corners
        .map(|c| frame.to_field(glam::DVec3::new(c.x, c.y, 0.0)))
        .map(|p| Coord { x: p.along_m, y: p.across_m })
        .collect();
    let Some(bounds) = LineString(axes).bounding_rect() else { return LineString(Vec::new()) };
    let local = |c: &Coord<f64>| {
        let p = frame.to_local(crate::base::frame::FieldPoint::on_ground(c.x, c.y));
        Coord { x: p.x, y: p.y }
    };
    bounds.to_polygon().exterior().0.iter().map(local).collect()
}

/// Letters of zones whose middle lies off the field of play, in the order of the zones.
pub(crate) fn letters(zones: &[Zone], field: &Field) -> Vec<Option<char>> {
    let mut next = 'a'..='z';
    // where no law draws lines, zones are nowhere else to be seen
    let is_bare = matches!(field.sport, Sport::Golf | Sport::Free);
    let off = |zone: &Zone| {
        is_bare || zone.outline.centroid().is_some_and(|middle| !field.outline.contains(&middle))
    };
    zones.iter().map(|zone| if off(zone) { next.next() } else { None }).collect()
}

/// Outlines and letters of zones off the field of play, letters clear of the feet of
/// cameras where a zone has room; gives back the boxes taken.
pub(crate) fn zones(
    sketch: &mut Sketch,
    view: &PlanView,
    zones: &[Zone],
    field: &Field,
    feet: &[Px],
) -> Vec<PxBox> {
    let lettering = Lettering::of(24.0).bold().align(Align::Middle);
    let mut taken: Vec<PxBox> = Vec::new();
    for (zone, letter) in zones.iter().zip(letters(zones, field)) {
        let Some(letter) = letter else { continue };
        let ring = view.line(zone.outline.exterior());
        for dash in plane::dashes(&ring, 9.0, 6.0) {
            for piece in clip::line_in(&dash, &PLAN) {
                sketch.stroke(piece, 2, INK);
            }
        }
        let Some(middle) = zone.outline.centroid() else { continue };
        let middle = view.coord(middle.0);
        let toward = |corner: &Px, share: f64| {
            [
                middle[0] + share * (corner[0] - middle[0]),
                middle[1] + share * (corner[1] - middle[1]),
            ]
        };
        let others = ring.iter().flat_map(|corner| [0.3, 0.6].map(|share| toward(corner, share)));
        let clear =
            |at: &Px| feet.iter().all(|foot| (foot[0] - at[0]).hypot(foot[1] - at[1]) > CLEAR_PX);
        let at = std::iter::once(middle).chain(others).find(clear).unwrap_or(middle);
        let plate = PxBox::around(at, LETTER_PX[0], LETTER_PX[1]);
        sketch.disc(plate.middle(), 15.0, INK);
        sketch.disc(plate.middle(), 13.0, PAPER);
        sketch.text(letter.to_string(), plate.middle(), lettering);
        taken.push(plate);
    }
    taken
}

/// The other fields of a site, thin and grey, each with its name in what is seen of it. Gives
/// back the boxes taken.
pub(crate) fn beside(sketch: &mut Sketch, view: &PlanView, others: &[Zone]) -> Vec<PxBox> {
    let lettering = Lettering::of(24.0).colour(MUTED).align(Align::Middle);
    let mut taken = Vec::new();
    for other in others {
        let ring = clip::ring_in(&view.line(other.outline.exterior()), &PLAN.grown(-2.0));
        let seen = LineString::from_iter(ring.iter().map(|p| Coord { x: p[0], y: p[1] }));
        let Some(seen) = seen.bounding_rect() else { continue };
        sketch.outline(ring, 2, MUTED);
        let middle = [seen.center().x, seen.center().y];
        let plate = PxBox::around(middle, lettering.width(&other.name) + 14.0, 32.0);
        if plate.right - plate.left < seen.width() && plate.bottom - plate.top < seen.height() {
            sketch.text(other.name.clone(), middle, lettering);
            taken.push(plate);
        }
    }
    taken
}

/// Fills a region piece by piece, each without holes.
fn patches(sketch: &mut Sketch, view: &PlanView, region: &MultiPolygon<f64>, colour: RGBColor) {
    for polygon in region.0.iter().flat_map(without_holes) {
        let ring = view.line(polygon.exterior());
        sketch.fill(ring.clone(), colour);
        // neighbours meet without a gap
        sketch.outline(ring, 1, colour);
    }
}

/// A polygon cut through the middle of its first hole, again and again.
fn without_holes(polygon: &Polygon<f64>) -> Vec<Polygon<f64>> {
    let hole = polygon.interiors().first().and_then(LineString::bounding_rect);
    let (Some(hole), Some(all)) = (hole, polygon.bounding_rect()) else {
        return vec![Polygon::new(polygon.exterior().clone(), Vec::new())];
    };
    let x = hole.center().x;
    let west = Rect::new(all.min(), Coord { x, y: all.max().y }).to_polygon();
    let east = Rect::new(Coord { x, y: all.min().y }, all.max()).to_polygon();
    let halves = [west, east].map(|half| polygon.intersection(&half));
    halves.iter().flat_map(|half| &half.0).flat_map(without_holes).collect()
}

#[cfg(test)]
mod tests {
    use geo::{Area, polygon};

    use super::*;

    #[test]
    fn holes_are_cut_through_without_losing_area() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)],
            interiors: [
                [(x: 2., y: 2.), (x: 4., y: 2.), (x: 4., y: 4.), (x: 2., y: 4.)],
                [(x: 6., y: 6.), (x: 8., y: 6.), (x: 8., y: 8.), (x: 6., y: 8.)],
            ],
        );
        let pieces = without_holes(&ring);
        assert!(pieces.iter().all(|piece| piece.interiors().is_empty()));
        let area: f64 = pieces.iter().map(Area::unsigned_area).sum();
        assert!((area - 92.0).abs() < 1e-5, "{area}");
    }
}
