//! A plan of the ground to be confirmed: north up, everything by its name.
//!
//! In: a venue, how it lies by its file ([`Questions`]) and those questions in words. Out:
//! a picture of 2000 by 1414 pixels. Unlike the pictures of a match it is not turned to the
//! field, so that it can be laid beside a map. Pixels from the left and the top.

mod frame;

use geo::{Centroid, ConvexHull, Coord, LineString, MultiPoint, MultiPolygon, Point, Rect};
use glam::DVec3;
use plotters::style::RGBColor;

use crate::base::frame::FieldPoint;
use crate::base::plane::dashes;
use crate::output::canvas;
use crate::output::draw::contours::{self, Contours};
use crate::output::draw::palette::{INK, PAPER, lit_colour};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::draw::{Picture, clip};
use crate::output::error::RenderError;
use crate::solar::SunState;
use crate::venue::{Body, CameraPost, OccluderKind, Part, PlayingSurface, Shape, Sport, Venue};

use frame::{arrow, frame, panel};

use super::Questions;

const SIZE: (u32, u32) = (2000, 1414);
const PLAN: PxBox = PxBox { left: 40.0, top: 110.0, right: 1240.0, bottom: 1310.0 };
const PANEL: PxBox = PxBox { left: 1276.0, top: 110.0, right: 1960.0, bottom: 1374.0 };
/// Middle of the compass.
const COMPASS: Px = [PLAN.right - 92.0, PLAN.top + 108.0];
const GROUND: RGBColor = RGBColor(234, 231, 222);
const SHADE: RGBColor = RGBColor(120, 128, 132);
const SHADE_TURF: RGBColor = RGBColor(84, 108, 84);
const STAND: RGBColor = RGBColor(205, 205, 205);
const ROOF: RGBColor = RGBColor(176, 180, 186);
const OTHER: RGBColor = RGBColor(150, 146, 140);
const TREE: RGBColor = RGBColor(122, 160, 112);
const OUTLINE: RGBColor = RGBColor(70, 70, 70);
/// Lines of sight of a camera end here, metres.
const SIGHT_M: f64 = 40.0;
/// Things of other kinds than stands that get their name on the plan.
const MAX_OTHERS: usize = 14;

/// Draws the plan, with `lines` beside it.
///
/// # Errors
/// [`RenderError`] when the drawing library fails.
pub fn ground_plan(
    venue: &Venue,
    questions: &Questions,
    lines: &[String],
) -> Result<Picture, RenderError> {
    let view = NorthUpView::of(questions.plan_m);
    let mut sketch = Sketch::default();
    let title = format!("{}: is that so?", venue.title);
    sketch.fill(PLAN.ring(), GROUND);
    ground(&mut sketch, &view, venue, questions);
    let [low, high] = questions.plan_m;
    let relief = venue.relief.as_deref().map(|relief| Contours::of(relief, Rect::new(low, high)));
    let relief = relief.filter(|relief| !relief.lines.is_empty());
    relief.iter().for_each(|relief| heights(&mut sketch, &view, relief));
    bodies(&mut sketch, &view, venue);
    let mut taken = vec![PxBox::around(COMPASS, 200.0, 210.0)];
    sides(&mut sketch, &view, venue);
    ahead(&mut sketch, &view, venue, &mut taken);
    cameras(&mut sketch, &view, venue, &mut taken);
    others(&mut sketch, &view, venue, &mut taken);
    names(&mut sketch, &view, venue, &mut taken);
    relief.iter().for_each(|relief| height_names(&mut sketch, &view, relief, &mut taken));
    frame(&mut sketch, &view, questions, relief.as_ref());
    let heading = fitted(&title, 1400.0, 40.0, Weight::Bold);
    sketch.text(heading, [PLAN.left, 60.0], Lettering::of(40.0).bold());
    panel(&mut sketch, lines);
    canvas::draw(SIZE, &title, &lines.join(" "), &sketch)
}

/// From the local frame to pixels, north up.
struct NorthUpView {
    scale: f64,
    middle: Coord<f64>,
}

impl NorthUpView {
    fn of([low, high]: [Coord<f64>; 2]) -> Self {
        let size = high - low;
        let room = [PLAN.width() / size.x.max(1.0), PLAN.height() / size.y.max(1.0)];
        Self { scale: room[0].min(room[1]), middle: (low + high) / 2.0 }
    }

    fn at(&self, c: Coord<f64>) -> Px {
        let [x, y] = PLAN.middle();
        [x + self.scale * (c.x - self.middle.x), y - self.scale * (c.y - self.middle.y)]
    }

    fn point(&self, p: DVec3) -> Px {
        self.at(Coord { x: p.x, y: p.y })
    }

    fn line(&self, line: &LineString<f64>) -> Vec<Px> {
        line.0.iter().map(|c| self.at(*c)).collect()
    }
}

/// What is played on in shade.
fn shaded_colour(surface: PlayingSurface) -> RGBColor {
    let lit = lit_colour(surface);
    match surface {
        PlayingSurface::Grass | PlayingSurface::Acrylic => SHADE_TURF,
        _ => RGBColor(lit.0 / 2, lit.1 / 2, lit.2 / 2),
    }
}

fn filled(sketch: &mut Sketch, ring: &[Px], colour: RGBColor) {
    sketch.fill(clip::ring_in(ring, &PLAN), colour);
}

/// Shade on the ground, the field and the shade on it.
fn ground(sketch: &mut Sketch, view: &NorthUpView, venue: &Venue, questions: &Questions) {
    let lit = questions.kickoff.as_ref().filter(|k| k.state == SunState::Up);
    let shaded = lit.map(|kickoff| kickoff.shadow.shaded.clone());
    let region = shaded.unwrap_or_else(|| MultiPolygon(Vec::new()));
    region_in(sketch, view, &region, (SHADE, GROUND));
    let lit = lit_colour(venue.field.surface);
    filled(sketch, &view.line(venue.field.outline.exterior()), lit);
    let field: MultiPolygon<f64> = venue.field.outline.clone().into();
    let on_field = geo::BooleanOps::intersection(&region, &field);
    region_in(sketch, view, &on_field, (shaded_colour(venue.field.surface), lit));
    for line in &venue.field.markings {
        for piece in clip::line_in(&view.line(line), &PLAN) {
            sketch.stroke(piece, 2, PAPER);
        }
    }
    sketch.outline(view.line(venue.field.outline.exterior()), 3, PAPER);
    if matches!(venue.field.sport, Sport::Golf | Sport::Free) {
        for zone in &venue.zones {
            sketch.outline(clip::ring_in(&view.line(zone.outline.exterior()), &PLAN), 2, PAPER);
        }
    }
    for other in &venue.beside {
        let ring = clip::ring_in(&view.line(other.outline.exterior()), &PLAN);
        sketch.outline(ring, 3, OUTLINE);
    }
}

/// Contours of the ground.
fn heights(sketch: &mut Sketch, view: &NorthUpView, relief: &Contours) {
    for line in relief.lines.iter().flat_map(|(_, lines)| &lines.0) {
        for piece in clip::line_in(&view.line(line), &PLAN) {
            sketch.stroke(piece, contours::WIDTH_PX, contours::COLOUR);
        }
    }
}

/// The height of each contour on its longest straight piece where nothing else is.
fn height_names(
    sketch: &mut Sketch,
    view: &NorthUpView,
    relief: &Contours,
    taken: &mut Vec<PxBox>,
) {
    let lettering = Lettering::of(19.0).align(Align::Middle).colour(contours::COLOUR);
    for (up_m, lines) in &relief.lines {
        let name = contours::name(*up_m);
        let mut pieces: Vec<Vec<Px>> =
            lines.0.iter().flat_map(|line| clip::line_in(&view.line(line), &PLAN)).collect();
        let long = |piece: &[Px]| {
            piece.windows(2).map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1])).sum::<f64>()
        };
        pieces.sort_by(|a, b| long(b).total_cmp(&long(a)));
        let middle = |piece: &Vec<Px>| {
            let (a, b) = (piece.first()?, piece.last()?);
            Some([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])])
        };
        let plates = pieces.iter().filter_map(middle);
        let mut plates = plates.map(|at| PxBox::around(at, lettering.width(&name) + 8.0, 22.0));
        let room = PLAN.grown(-8.0);
        let free = |plate: &PxBox| {
            room.holds([plate.left, plate.top])
                && room.holds([plate.right, plate.bottom])
                && !taken.iter().any(|other| other.grown(3.0).meets(plate))
        };
        if let Some(plate) = plates.find(free) {
            sketch.fill(plate.ring(), GROUND);
            sketch.text(name, plate.middle(), lettering);
            taken.push(plate);
        }
    }
}

/// Rings from large to small: a hole gets its ground back before what lies in it.
fn region_in(
    sketch: &mut Sketch,
    view: &NorthUpView,
    region: &MultiPolygon<f64>,
    (inside, outside): (RGBColor, RGBColor),
) {
    let mut rings: Vec<(Vec<Px>, RGBColor)> = Vec::new();
    for polygon in &region.0 {
        rings.push((view.line(polygon.exterior()), inside));
        rings.extend(polygon.interiors().iter().map(|ring| (view.line(ring), outside)));
    }
    rings.sort_by(|a, b| clip::area(&b.0).total_cmp(&clip::area(&a.0)));
    for (ring, colour) in rings {
        filled(sketch, &ring, colour);
    }
}

fn bodies(sketch: &mut Sketch, view: &NorthUpView, venue: &Venue) {
    let layer = |body: &Body| match body.part {
        Part::Deck => (0, STAND),
        Part::Solid | Part::Mesh | Part::Trunk => (1, OTHER),
        Part::BackWall | Part::EndWall => (2, OUTLINE),
        Part::Roof => (3, ROOF),
        Part::Panel => (4, OTHER),
        Part::Crown => (5, TREE),
    };
    let mut all: Vec<((u8, RGBColor), Vec<Px>)> = Vec::new();
    for body in venue.occluders.iter().flat_map(|o| &o.bodies) {
        let plans = footprints(body, view);
        all.extend(plans.into_iter().map(|ring| (layer(body), ring)));
    }
    all.sort_by_key(|((order, _), _)| *order);
    for ((order, colour), ring) in all {
        let ring = clip::ring_in(&ring, &PLAN);
        // a roof leaves the deck to be seen under its outline
        if order != 3 {
            sketch.fill(ring.clone(), colour);
        }
        sketch.outline(ring, if order == 3 { 2 } else { 1 }, OUTLINE);
    }
}

fn footprints(body: &Body, view: &NorthUpView) -> Vec<Vec<Px>> {
    match &body.shape {
        Shape::Convex { vertices, .. } => {
            let points: MultiPoint<f64> = vertices.iter().map(|v| Point::new(v.x, v.y)).collect();
            vec![view.line(points.convex_hull().exterior())]
        }
        Shape::Sheet { corners } => vec![corners.iter().map(|c| view.point(*c)).collect()],
        Shape::Mesh(mesh) => {
            mesh.plan_pieces().0.iter().map(|piece| view.line(piece.exterior())).collect()
        }
    }
}

/// The names of the other fields of a site, in their middle.
fn others(sketch: &mut Sketch, view: &NorthUpView, venue: &Venue, taken: &mut Vec<PxBox>) {
    let lettering = Lettering::of(24.0).align(Align::Middle);
    for other in &venue.beside {
        let Some(middle) = other.outline.centroid() else { continue };
        let plate = PxBox::around(view.at(middle.0), lettering.width(&other.name) + 14.0, 32.0);
        if PLAN.holds([plate.left, plate.top]) && PLAN.holds([plate.right, plate.bottom]) {
            sketch.text(other.name.clone(), plate.middle(), lettering);
            taken.push(plate);
        }
    }
}

/// An arrow along the bearing and the four sides by the words of the file.
fn ahead(sketch: &mut Sketch, view: &NorthUpView, venue: &Venue, taken: &mut Vec<PxBox>) {
    let frame = venue.field.frame;
    let corners = venue.field.outline.exterior().0.iter();
    let points = corners.map(|c| frame.to_field(DVec3::new(c.x, c.y, 0.0)));
    let [along, across] =
        points.fold([0.0_f64; 2], |[a, b], p| [a.max(p.along_m.abs()), b.max(p.across_m.abs())]);
    let at = |a: f64, c: f64| view.point(frame.to_local(FieldPoint::on_ground(a, c)));
    let (tail, tip) = (at(-0.35 * along, 0.0), at(0.55 * along, 0.0));
    arrow(sketch, tail, tip, 20.0, INK);
    let lettering = Lettering::of(24.0).align(Align::Middle);
    let words = [
        ("ahead", at(0.74 * along, 0.0)),
        ("behind", at(-0.74 * along, 0.0)),
        ("left", at(0.0, 0.66 * across)),
        ("right", at(0.0, -0.66 * across)),
    ];
    for (word, place) in words {
        let plate = PxBox::around(place, lettering.width(word) + 14.0, 32.0);
        sketch.fill(plate.ring(), PAPER);
        sketch.text(word, place, lettering);
        taken.push(plate);
    }
}

/// The sides of the frame of each camera, under all words.
fn sides(sketch: &mut Sketch, view: &NorthUpView, venue: &Venue) {
    for post in &venue.cameras {
        for side in sights(post) {
            let line = [view.point(post.at), view.point(post.at + side)];
            for piece in clip::line_in(&line, &PLAN) {
                for dash in dashes(&piece, 12.0, 7.0) {
                    sketch.stroke(dash, 2, INK);
                }
            }
        }
    }
}

/// Each camera with its name.
fn cameras(sketch: &mut Sketch, view: &NorthUpView, venue: &Venue, taken: &mut Vec<PxBox>) {
    for post in &venue.cameras {
        let at = view.point(post.at);
        if PLAN.holds(at) {
            sketch.disc(at, 9.0, PAPER);
            sketch.disc(at, 7.0, INK);
            taken.push(PxBox::around(at, 18.0, 18.0));
        }
    }
    for post in &venue.cameras {
        label(sketch, &format!("camera {}", post.name), view.point(post.at), taken, 22.0);
    }
}

/// From the lens along both sides of the frame at the outermost aims.
fn sights(post: &CameraPost) -> Vec<DVec3> {
    let half = (0.5 * post.horizontal_fov_deg).to_radians();
    let turned = |way: DVec3, by: f64| {
        let (sin, cos) = by.sin_cos();
        SIGHT_M * DVec3::new(way.x * cos - way.y * sin, way.x * sin + way.y * cos, 0.0)
    };
    let ways = post.aims.iter().map(|aim| (*aim - post.at).with_z(0.0).normalize_or_zero());
    let ways: Vec<DVec3> = ways.filter(|way| *way != DVec3::ZERO).collect();
    let Some(middle) = ways.iter().sum::<DVec3>().try_normalize() else { return Vec::new() };
    let off = |way: &DVec3| middle.x * way.y - middle.y * way.x;
    let left = ways.iter().max_by(|a, b| off(a).total_cmp(&off(b)));
    let right = ways.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    let sides = [left.map(|way| turned(*way, half)), right.map(|way| turned(*way, -half))];
    sides.into_iter().flatten().collect()
}

/// Names of stands and of the largest other things.
fn names(sketch: &mut Sketch, view: &NorthUpView, venue: &Venue, taken: &mut Vec<PxBox>) {
    let is_stand = |kind: OccluderKind| kind.is_stand() || kind == OccluderKind::Mesh;
    let stands = venue.occluders.iter().filter(|o| is_stand(o.kind));
    let others = venue.occluders.iter().filter(|o| !is_stand(o.kind));
    let others = others.filter(|o| o.kind != OccluderKind::Corner && !o.bodies.is_empty());
    let others = others.take(MAX_OTHERS);
    let middle = |occluder: &crate::venue::Occluder| {
        let points = occluder.bodies.iter().flat_map(|b| b.shape.points());
        let (sum, count) = points.fold((DVec3::ZERO, 0.0), |(s, n), p| (s + *p, n + 1.0));
        sum / f64::max(count, 1.0)
    };
    // what does not stand on the day has no place to be named at
    let all = stands.map(|o| (o, 27.0)).chain(others.map(|o| (o, 22.0)));
    for (occluder, size) in all.filter(|(o, _)| !o.bodies.is_empty()) {
        label(sketch, &occluder.name, view.point(middle(occluder)), taken, size);
    }
}

/// A name on a plate at its place or as near to it as nothing else is.
fn label(sketch: &mut Sketch, name: &str, at: Px, taken: &mut Vec<PxBox>, size: f64) {
    if !PLAN.holds(at) {
        return;
    }
    let lettering = Lettering::of(size).bold();
    let name = fitted(name, 320.0, size, Weight::Bold);
    let (width, height) = (lettering.width(&name) + 14.0, 1.5 * size);
    let room = PLAN.grown(-4.0);
    let inside = |plate: &PxBox| {
        plate.left >= room.left
            && plate.right <= room.right
            && plate.top >= room.top
            && plate.bottom <= room.bottom
    };
    let rings = (0..14).flat_map(|ring| {
        let radius = 22.0 * f64::from(ring);
        let turns = if ring == 0 { 1 } else { 8 + 2 * ring };
        (0..turns).map(move |k| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / f64::from(turns)).sin_cos();
            [at[0] + 1.6 * radius * sin, at[1] - radius * cos]
        })
    });
    let plates = rings.map(|place| PxBox::around(place, width, height));
    let free =
        |plate: &PxBox| inside(plate) && !taken.iter().any(|other| other.grown(3.0).meets(plate));
    let Some(plate) = plates.into_iter().find(free) else { return };
    if !plate.grown(4.0).holds(at) {
        sketch.stroke([at, plate.nearest(at)], 2, INK);
    }
    sketch.tag(&name, plate, lettering);
    taken.push(plate);
}
