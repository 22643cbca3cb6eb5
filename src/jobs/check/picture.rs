//! A plan of the ground to be confirmed: north up, everything by its name.
//!
//! In: a venue, how it lies by its file ([`Questions`]) and those questions in words. Out:
//! a picture of 2000 by 1414 pixels. Unlike the pictures of a match it is not turned to the
//! field, so that it can be laid beside a map. Pixels from the left and the top.

use geo::{Centroid, ConvexHull, Coord, LineString, MultiPoint, MultiPolygon, Point};
use glam::DVec3;
use plotters::style::RGBColor;

use crate::base::frame::FieldPoint;
use crate::base::plane::dashes;
use crate::output::canvas;
use crate::output::draw::palette::{BLACK, INK, MUTED, PAPER, RULE, YELLOW, lit_colour};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::draw::{Picture, clip};
use crate::output::error::RenderError;
use crate::solar::SunState;
use crate::venue::{Body, CameraPost, OccluderKind, Part, PlayingSurface, Shape, Venue};

use super::{Kickoff, Questions};

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
/// Lines of the panel, pixels per em and from line to line.
const LETTERS: f64 = 22.0;
const LINE_PX: f64 = 29.0;
/// Room between two questions.
const BETWEEN_PX: f64 = 9.0;
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
    let view = View::of(questions.plan_m);
    let mut sketch = Sketch::default();
    let title = format!("{}: is that so?", venue.title);
    sketch.fill(PLAN.ring(), GROUND);
    ground(&mut sketch, &view, venue, questions);
    bodies(&mut sketch, &view, venue);
    let mut taken = vec![PxBox::around(COMPASS, 200.0, 210.0)];
    ahead(&mut sketch, &view, venue, &mut taken);
    cameras(&mut sketch, &view, venue, &mut taken);
    others(&mut sketch, &view, venue, &mut taken);
    names(&mut sketch, &view, venue, &mut taken);
    frame(&mut sketch, &view, questions);
    let heading = fitted(&title, 1400.0, 40.0, Weight::Bold);
    sketch.text(heading, [PLAN.left, 60.0], Lettering::of(40.0).bold());
    panel(&mut sketch, lines);
    canvas::draw(SIZE, &title, &lines.join(" "), &sketch)
}

/// From the local frame to pixels, north up.
struct View {
    scale: f64,
    middle: Coord<f64>,
}

impl View {
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
fn ground(sketch: &mut Sketch, view: &View, venue: &Venue, questions: &Questions) {
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
    for other in &venue.beside {
        let ring = clip::ring_in(&view.line(other.outline.exterior()), &PLAN);
        sketch.outline(ring, 3, OUTLINE);
    }
}

/// Rings from large to small: a hole gets its ground back before what lies in it.
fn region_in(
    sketch: &mut Sketch,
    view: &View,
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

fn bodies(sketch: &mut Sketch, view: &View, venue: &Venue) {
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

fn footprints(body: &Body, view: &View) -> Vec<Vec<Px>> {
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
fn others(sketch: &mut Sketch, view: &View, venue: &Venue, taken: &mut Vec<PxBox>) {
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
fn ahead(sketch: &mut Sketch, view: &View, venue: &Venue, taken: &mut Vec<PxBox>) {
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

fn arrow(sketch: &mut Sketch, tail: Px, tip: Px, head: f64, colour: RGBColor) {
    let (dx, dy) = (tip[0] - tail[0], tip[1] - tail[1]);
    let length = dx.hypot(dy).max(1e-9);
    let (ux, uy) = (dx / length, dy / length);
    let neck = [tip[0] - head * ux, tip[1] - head * uy];
    let side = |sign: f64| [neck[0] - sign * 0.5 * head * uy, neck[1] + sign * 0.5 * head * ux];
    sketch.stroke([tail, neck], 4, colour);
    sketch.fill([side(1.0), tip, side(-1.0)], colour);
}

/// Each camera with the sides of its frame and its name.
fn cameras(sketch: &mut Sketch, view: &View, venue: &Venue, taken: &mut Vec<PxBox>) {
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
fn names(sketch: &mut Sketch, view: &View, venue: &Venue, taken: &mut Vec<PxBox>) {
    let is_stand = |kind: OccluderKind| kind.is_stand() || kind == OccluderKind::Mesh;
    let stands = venue.occluders.iter().filter(|o| is_stand(o.kind));
    let others = venue.occluders.iter().filter(|o| !is_stand(o.kind));
    let others = others.filter(|o| o.kind != OccluderKind::Corner).take(MAX_OTHERS);
    let middle = |occluder: &crate::venue::Occluder| {
        let points = occluder.bodies.iter().flat_map(|b| b.shape.points());
        let (sum, count) = points.fold((DVec3::ZERO, 0.0), |(s, n), p| (s + *p, n + 1.0));
        sum / f64::max(count, 1.0)
    };
    for (occluder, size) in stands.map(|o| (o, 27.0)).chain(others.map(|o| (o, 22.0))) {
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

/// The frame of the plan, north, the sun and the scale.
fn frame(sketch: &mut Sketch, view: &View, questions: &Questions) {
    sketch.outline(PLAN.ring(), 4, INK);
    let middle = COMPASS;
    let radius = 52.0;
    sketch.disc(middle, 82.0, MUTED);
    sketch.disc(middle, 80.0, PAPER);
    arrow(
        sketch,
        [middle[0], middle[1] + 0.6 * radius],
        [middle[0], middle[1] - radius],
        18.0,
        INK,
    );
    let bold = Lettering::of(24.0).bold().align(Align::Middle);
    sketch.text("N", [middle[0], middle[1] - radius - 12.0], bold);
    if let Some(kickoff) = questions.kickoff.as_ref().filter(|k| k.state == SunState::Up) {
        sun(sketch, kickoff, middle);
    }
    let metres = [10.0, 20.0, 50.0, 100.0, 200.0];
    let length = metres.into_iter().find(|m| m * view.scale > 140.0).unwrap_or(200.0);
    let left = [PLAN.left, PLAN.bottom + 36.0];
    let right = [PLAN.left + length * view.scale, left[1]];
    sketch.stroke([left, right], 4, INK);
    for end in [left, right] {
        sketch.stroke([[end[0], end[1] - 9.0], [end[0], end[1] + 9.0]], 3, INK);
    }
    let words = format!("{length:.0} m; north is up");
    sketch.text(words, [right[0] + 16.0, right[1]], Lettering::of(LETTERS));
}

/// The sun on the rim of the compass, with the clock beside the plan.
fn sun(sketch: &mut Sketch, kickoff: &Kickoff, middle: Px) {
    let (sin, cos) = kickoff.sun.azimuth.degrees().to_radians().sin_cos();
    let at = |radius: f64| [middle[0] + radius * sin, middle[1] - radius * cos];
    sketch.disc(at(80.0), 15.0, BLACK);
    sketch.disc(at(80.0), 12.0, YELLOW);
    arrow(sketch, at(64.0), at(30.0), 12.0, BLACK);
    let words = format!(
        "shadow and sun at {} on {}",
        kickoff.at.format("%H:%M"),
        kickoff.at.format("%-d %B %Y")
    );
    let right = Lettering::of(LETTERS).align(Align::Right);
    sketch.text(words, [PLAN.right, PLAN.bottom + 36.0], right);
}

/// The questions.
fn panel(sketch: &mut Sketch, lines: &[String]) {
    let heading = [PANEL.left, PANEL.top + 16.0];
    sketch.text("Is that so?", heading, Lettering::of(30.0).bold());
    sketch.stroke([[PANEL.left, PANEL.top + 42.0], [PANEL.right, PANEL.top + 42.0]], 2, RULE);
    let mut y = PANEL.top + 68.0;
    let last = PANEL.bottom - LINE_PX;
    for (i, line) in lines.iter().enumerate() {
        let rows = rows(line, PANEL.width() - 24.0);
        if y + rows.len() as f64 * LINE_PX > last {
            let more = format!("and {} more, which the command prints", lines.len() - i);
            sketch.text(more, [PANEL.left + 24.0, y], Lettering::of(LETTERS).colour(MUTED));
            break;
        }
        sketch.disc([PANEL.left + 7.0, y], 5.0, INK);
        for row in rows {
            sketch.text(row, [PANEL.left + 24.0, y], Lettering::of(LETTERS));
            y += LINE_PX;
        }
        y += BETWEEN_PX;
    }
}

/// Words in rows of a width, pixels.
fn rows(text: &str, width: f64) -> Vec<String> {
    let lettering = Lettering::of(LETTERS);
    let mut rows: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let longer = rows.last().map(|row| format!("{row} {word}"));
        match (longer, rows.last_mut()) {
            (Some(longer), Some(last)) if lettering.width(&longer) <= width => *last = longer,
            _ => rows.push(fitted(word, width, LETTERS, Weight::Regular)),
        }
    }
    rows
}
