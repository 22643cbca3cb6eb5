//! Turf, markings, shade and the edges of the sun.

use geo::MultiPolygon;
use plotters::style::RGBColor;

use crate::base::plane;
use crate::base::units::Transmittance;
use crate::geometry::{EdgeLine, Shadow};
use crate::output::draw::clip;
use crate::output::draw::palette::{PAPER, VERMILLION, lit_colour};
use crate::output::draw::sketch::{Lettering, Px, PxBox, Sketch};
use crate::output::words::share_text;
use crate::venue::{Field, PlayingSurface};

use super::layout::{PLAN, PlanView};

/// Turf in shade, lightness about 33 of 100: far apart on a grey print too.
pub(crate) const SHADE: RGBColor = RGBColor(62, 78, 96);
/// Edge of the sun at face height.
pub(crate) const FACE_EDGE: RGBColor = RGBColor(0, 0, 0);
/// Edge of the sun on the turf.
pub(crate) const TURF_EDGE: RGBColor = VERMILLION;

pub(crate) const HATCH_PX: f64 = 18.0;
/// Rings whose areas differ by less than this share are the same ring.
const SAME_AREA: f64 = 1e-6;

/// Turf that some of the direct light reaches.
pub(crate) fn dimmed_colour(surface: PlayingSurface, passes: Transmittance) -> RGBColor {
    let lit = lit_colour(surface);
    // a dimmed region keeps clear of both ends, however little or much passes
    let t = 0.3 + 0.5 * passes.share();
    let mix = |shade: u8, lit: u8| (f64::from(shade) * (1.0 - t) + f64::from(lit) * t) as u8;
    RGBColor(mix(SHADE.0, lit.0), mix(SHADE.1, lit.1), mix(SHADE.2, lit.2))
}

/// Colour of the hatching that marks a dimmed region.
pub(crate) const HATCH: RGBColor = SHADE;

/// A ring and the colour of what lies just inside it.
struct Inside {
    ring: Vec<Px>,
    area: f64,
    hole: bool,
    colour: RGBColor,
}

/// Turf, shade and dimmed regions.
pub(crate) fn turf(sketch: &mut Sketch, view: &PlanView, field: &Field, shadow: &Shadow) {
    let lit = lit_colour(field.surface);
    sketch.fill(view.line(field.outline.exterior()), lit);
    let mut rings = Vec::new();
    collect(&mut rings, view, &shadow.opaque, (SHADE, lit));
    for dimmed in &shadow.dimmed {
        let colour = dimmed_colour(field.surface, dimmed.transmittance);
        collect(&mut rings, view, &dimmed.region, (colour, lit));
    }
    // The regions do not overlap, so rings only nest: drawn from large to small,
    // each paints the inside of its own and a hole becomes turf again until
    // something smaller fills it. No backend has to know about holes.
    rings.sort_by(|a, b| {
        if (a.area - b.area).abs() <= SAME_AREA * a.area.max(b.area) {
            b.hole.cmp(&a.hole)
        } else {
            b.area.total_cmp(&a.area)
        }
    });
    for inside in &rings {
        sketch.fill(inside.ring.clone(), inside.colour);
    }
    // a fine line over all joints: neighbours meet without a gap of turf
    for inside in rings {
        sketch.outline(inside.ring, 2, SHADE);
    }
    for dimmed in &shadow.dimmed {
        for stroke in clip::hatching(&view.rings(&dimmed.region), HATCH_PX) {
            sketch.stroke(stroke, 1, HATCH);
        }
    }
}

fn collect(
    into: &mut Vec<Inside>,
    view: &PlanView,
    region: &MultiPolygon<f64>,
    (colour, lit): (RGBColor, RGBColor),
) {
    for polygon in &region.0 {
        let outer = std::iter::once((polygon.exterior(), false));
        let holes = polygon.interiors().iter().map(|ring| (ring, true));
        for (ring, hole) in outer.chain(holes) {
            let ring = view.line(ring);
            into.push(Inside {
                area: clip::area(&ring),
                ring,
                hole,
                colour: if hole { lit } else { colour },
            });
        }
    }
}

/// Boundary and lines of the field.
pub(crate) fn markings(sketch: &mut Sketch, view: &PlanView, field: &Field) {
    for line in &field.markings {
        for piece in clip::line_in(&view.line(line), &PLAN) {
            sketch.stroke(piece, 3, PAPER);
        }
    }
    sketch.outline(view.line(field.outline.exterior()), 4, PAPER);
}

/// Edge of the sun on the turf.
pub(crate) fn turf_edge(sketch: &mut Sketch, view: &PlanView, edge: &[EdgeLine]) {
    let lines: Vec<_> = pieces(view, edge);
    for line in &lines {
        sketch.stroke(line.clone(), 8, PAPER);
    }
    for line in lines {
        sketch.stroke(line, 4, TURF_EDGE);
    }
}

/// Edge of the sun at face height, dashed.
pub(crate) fn face_edge(sketch: &mut Sketch, view: &PlanView, edge: &[EdgeLine]) {
    for line in pieces(view, edge) {
        dashed(sketch, &line);
    }
}

/// The dashes of the edge at face height, as the legend shows them too.
pub(crate) fn dashed(sketch: &mut Sketch, line: &[Px]) {
    let pieces = plane::dashes(line, 20.0, 13.0);
    for dash in &pieces {
        sketch.stroke(dash.clone(), 7, PAPER);
    }
    for dash in pieces {
        sketch.stroke(dash, 3, FACE_EDGE);
    }
}

fn pieces(view: &PlanView, edge: &[EdgeLine]) -> Vec<Vec<Px>> {
    edge.iter().flat_map(|e| clip::line_in(&view.line(&e.line), &PLAN)).collect()
}

/// Names the share of light that passes on each dimmed region with room for it.
/// Gives back the boxes taken; `clear_of` are others to keep clear of.
pub(crate) fn dimmed_tags(
    sketch: &mut Sketch,
    view: &PlanView,
    shadow: &Shadow,
    clear_of: &[PxBox],
) -> Vec<PxBox> {
    let lettering = Lettering::of(25.0).bold();
    let mut taken: Vec<PxBox> = Vec::new();
    for dimmed in &shadow.dimmed {
        let text = share_text(dimmed.transmittance.share());
        let (width, height) = (lettering.width(&text) + 18.0, 36.0);
        let rings = view.rings(&dimmed.region);
        let largest = rings.iter().max_by(|a, b| clip::area(a).total_cmp(&clip::area(b)));
        let Some(bounds) = largest.and_then(|ring| bounds(ring)) else {
            continue;
        };
        let fits = |at: &Px| {
            let plate = PxBox::around(*at, width, height);
            let room = plate.grown(6.0);
            let corners = room.ring().into_iter().chain([room.middle()]);
            corners.into_iter().all(|c| clip::inside(&rings, c))
                && !taken.iter().chain(clear_of).any(|other| other.grown(8.0).meets(&plate))
        };
        let middle = bounds.middle();
        let off = |p: &Px| (p[0] - middle[0]).hypot(p[1] - middle[1]);
        let place = lattice(&bounds, 12.0).filter(fits).min_by(|a, b| off(a).total_cmp(&off(b)));
        if let Some(at) = place {
            let plate = PxBox::around(at, width, height);
            sketch.tag(&text, plate, lettering);
            taken.push(plate);
        }
    }
    taken
}

fn lattice(bounds: &PxBox, apart: f64) -> impl Iterator<Item = Px> + use<> {
    let (left, top) = (bounds.left, bounds.top);
    let (columns, rows) = ((bounds.width() / apart) as usize, (bounds.height() / apart) as usize);
    (0..=columns).flat_map(move |i| {
        (0..=rows).map(move |j| [left + i as f64 * apart, top + j as f64 * apart])
    })
}

fn bounds(ring: &[Px]) -> Option<PxBox> {
    let first = *ring.first()?;
    let start = PxBox::around(first, 0.0, 0.0);
    Some(ring.iter().fold(start, |b, p| PxBox {
        left: b.left.min(p[0]),
        top: b.top.min(p[1]),
        right: b.right.max(p[0]),
        bottom: b.bottom.max(p[1]),
    }))
}
