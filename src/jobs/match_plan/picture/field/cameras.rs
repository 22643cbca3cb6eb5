//! Camera markers on the drawing, and the list beside it.

use geo::{Distance, Euclidean, LineString, Point};
use glam::DVec3;
use plotters::style::RGBColor;

use crate::camera::{CameraView, Coverage, SplitState};
use crate::output::draw::clip;
use crate::output::draw::palette::{
    BLUE, BLUISH_GREEN, INK, MUTED, ORANGE, PAPER, REDDISH_PURPLE, RULE, SKY_BLUE,
};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::words::share_text;
use crate::venue::{CameraPost, Field, PlayingSurface};

use super::layout::{CAMERAS, Far, PLAN, PlanView};

const MARKER: [f64; 2] = [44.0, 32.0];
const NUMBER: f64 = 25.0;
/// Outlines of more covers than this would hide the field.
const MAX_COVERS: usize = 6;
/// The list gives two lines to each camera while this much is there for each.
const TWO_LINES_PX: f64 = 84.0;
const ONE_LINE_PX: f64 = 31.4;
const HEADING_PX: f64 = 42.0;
/// Widest name of something beyond the drawing, pixels.
const MAX_FAR_PX: f64 = 260.0;

/// A camera, what it covers and what it sees, and its number in the list.
#[derive(Clone, Copy)]
pub(crate) struct DrawnCamera<'a> {
    pub number: usize,
    pub post: &'a CameraPost,
    pub cover: Option<&'a Coverage>,
    pub view: Option<&'a CameraView>,
}

impl DrawnCamera<'_> {
    pub fn in_shot(&self) -> bool {
        self.view.is_some_and(|v| v.turf.state.in_shot().is_some())
    }

    fn sees_field(&self) -> bool {
        self.cover.is_none_or(|c| c.area_m2 > 0.0)
    }
}

/// Colours of the outlines of covers, by camera.
const COVER_COLOURS: [RGBColor; MAX_COVERS] =
    [BLUE, REDDISH_PURPLE, BLUISH_GREEN, SKY_BLUE, ORANGE, INK];
const COVER_LINE_PX: u32 = 2;
/// Nearer to the rim of the ground than this, a cover ends with it, metres.
const ON_BOUNDARY_M: f64 = 0.01;

/// Outlines of the covers, where few enough, without the rim of the ground.
/// Tells whether any were drawn.
pub(crate) fn covers(
    sketch: &mut Sketch,
    view: &PlanView,
    field: &Field,
    cameras: &[DrawnCamera],
) -> bool {
    if cameras.len() > MAX_COVERS {
        return false;
    }
    let mut any = false;
    for (camera, colour) in cameras.iter().zip(COVER_COLOURS) {
        let Some(cover) = camera.cover else { continue };
        let rings = cover.region.0.iter();
        let rings = rings.flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        for line in rings.flat_map(|ring| off_boundary(ring, field.surrounds.exterior())) {
            any = true;
            let line = view.line(&line);
            sketch.stroke(line.clone(), COVER_LINE_PX + 2, PAPER);
            sketch.stroke(line, COVER_LINE_PX, colour);
        }
    }
    any
}

/// The runs of a ring that are not on the boundary.
fn off_boundary(ring: &LineString<f64>, boundary: &LineString<f64>) -> Vec<LineString<f64>> {
    let mut runs: Vec<LineString<f64>> = Vec::new();
    for side in ring.lines() {
        let middle = Point((side.start + side.end) / 2.0);
        if Euclidean.distance(&middle, boundary) < ON_BOUNDARY_M {
            continue;
        }
        match runs.last_mut() {
            Some(run) if run.0.last() == Some(&side.start) => run.0.push(side.end),
            _ => runs.push(LineString(vec![side.start, side.end])),
        }
    }
    runs
}

/// Numbered markers. `taken` are boxes to keep clear of.
pub(crate) fn markers(
    sketch: &mut Sketch,
    view: &PlanView,
    cameras: &[DrawnCamera],
    mut taken: Vec<PxBox>,
) {
    let posts: Vec<Px> = cameras.iter().map(|c| view.point(c.post.at)).collect();
    let feet: Vec<Px> = posts.iter().map(|p| PLAN.grown(-4.0).nearest(*p)).collect();
    let mut placed = Vec::new();
    for (i, foot) in feet.iter().enumerate() {
        let others = feet.iter().enumerate().filter(|(j, _)| *j != i);
        let dots: Vec<PxBox> = others.map(|(_, f)| PxBox::around(*f, 10.0, 10.0)).collect();
        let at = free_place(*foot, &taken, &dots);
        let plate = PxBox::around(at, MARKER[0], MARKER[1]);
        taken.push(plate);
        placed.push(plate);
    }
    for ((camera, foot), plate) in cameras.iter().zip(&feet).zip(&placed) {
        let aim = aim_of(camera.post);
        let outside = !PLAN.holds(view.point(camera.post.at));
        if let Some(step) = view.step(aim).filter(|_| !outside) {
            let tip = [foot[0] + 52.0 * step[0], foot[1] + 52.0 * step[1]];
            for piece in clip::line_in(&[*foot, tip], &PLAN) {
                sketch.stroke(piece.clone(), 7, PAPER);
                sketch.stroke(piece, 3, INK);
            }
        }
        if !plate.grown(-6.0).holds(*foot) {
            sketch.stroke([*foot, plate.middle()], 2, INK);
            if !outside {
                sketch.disc(*foot, 5.0, INK);
            }
        }
    }
    for (post, foot) in posts.iter().zip(&feet) {
        if !PLAN.holds(*post) {
            arrow_to(sketch, *foot, *post);
        }
    }
    for (camera, plate) in cameras.iter().zip(&placed) {
        marker(sketch, plate, camera);
    }
}

/// The number of a camera: white on black with the edge in shot, else black on
/// white.
pub(crate) fn marker(sketch: &mut Sketch, plate: &PxBox, camera: &DrawnCamera) {
    let text = camera.number.to_string();
    numbered(sketch, plate, &text, camera.in_shot());
}

pub(crate) fn numbered(sketch: &mut Sketch, plate: &PxBox, text: &str, filled: bool) {
    let (fill, ink): (RGBColor, RGBColor) = if filled { (INK, PAPER) } else { (PAPER, INK) };
    sketch.fill(plate.grown(2.0).ring(), PAPER);
    sketch.plate(*plate, fill, INK);
    let lettering = Lettering::of(NUMBER).bold().colour(ink).align(Align::Middle);
    sketch.text(text, plate.middle(), lettering);
}

/// Names, at the border, of what throws its shadow into the drawing from outside of it,
/// with a tip toward it. Gives back the boxes taken.
pub(crate) fn far(sketch: &mut Sketch, view: &PlanView, far: &[Far]) -> Vec<PxBox> {
    let lettering = Lettering::of(24.0);
    let mut taken: Vec<PxBox> = Vec::new();
    for Far { name, at } in far {
        let post = view.point(*at);
        let foot = PLAN.grown(-4.0).nearest(post);
        let name = fitted(name, MAX_FAR_PX, 24.0, Weight::Regular);
        let (width, height) = (lettering.width(&name) + 18.0, 34.0);
        let room = PLAN.grown(-24.0);
        let inner = PxBox {
            left: room.left + 0.5 * width,
            top: room.top + 0.5 * height,
            right: room.right - 0.5 * width,
            bottom: room.bottom - 0.5 * height,
        };
        let along =
            (0..12).map(|i| 40.0 * f64::from((i + 1) / 2) * if i % 2 == 0 { 1.0 } else { -1.0 });
        let steps = along.flat_map(|step| [[0.0, step], [step, 0.0]]);
        let places = steps.map(|[x, y]| inner.nearest([foot[0] + x, foot[1] + y]));
        let plates = places.map(|at| PxBox::around(at, width, height));
        let free = |plate: &PxBox| !taken.iter().any(|other| other.grown(4.0).meets(plate));
        if let Some(plate) = plates.into_iter().find(free) {
            sketch.tag(&name, plate, lettering);
            taken.push(plate);
        }
        arrow_to(sketch, foot, post);
    }
    taken
}

/// A tip at the border that points to a camera beyond the drawing.
fn arrow_to(sketch: &mut Sketch, tip: Px, post: Px) {
    let (dx, dy) = (post[0] - tip[0], post[1] - tip[1]);
    let length = dx.hypot(dy);
    if length == 0.0 {
        return;
    }
    let (ux, uy) = (dx / length, dy / length);
    let side =
        |sign: f64| [tip[0] - 17.0 * ux - sign * 9.0 * uy, tip[1] - 17.0 * uy + sign * 9.0 * ux];
    sketch.fill([side(1.0), tip, side(-1.0)], INK);
}

fn aim_of(post: &CameraPost) -> DVec3 {
    let sum: DVec3 = post.aims.iter().map(|a| (*a - post.at).normalize_or_zero()).sum();
    DVec3::new(sum.x, sum.y, 0.0)
}

/// The nearest place for a marker that meets nothing, on growing rings around
/// where it belongs.
fn free_place(foot: Px, taken: &[PxBox], dots: &[PxBox]) -> Px {
    // room for the tip of an arrow between the marker and the border
    let inner = PLAN.grown(-20.0);
    let room = PxBox {
        left: inner.left + 0.5 * MARKER[0],
        top: inner.top + 0.5 * MARKER[1],
        right: inner.right - 0.5 * MARKER[0],
        bottom: inner.bottom - 0.5 * MARKER[1],
    };
    let mut places = vec![room.nearest(foot)];
    for ring in 1..=12 {
        let radius = 14.0 + 26.0 * f64::from(ring);
        let turns = 8 + 4 * ring;
        places.extend((0..turns).map(|k| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / f64::from(turns)).sin_cos();
            [foot[0] + radius * sin, foot[1] - radius * cos]
        }));
    }
    let free = |at: &&Px| {
        let plate = PxBox::around(**at, MARKER[0], MARKER[1]).grown(5.0);
        let clear = !taken.iter().any(|other| other.meets(&plate));
        // on its own place a marker may hide a neighbour's foot, elsewhere not
        clear && room.holds(**at) && !dots.iter().any(|dot| dot.meets(&plate))
    };
    *places.iter().find(free).unwrap_or(&places[0])
}

/// The list of cameras with split and share in shade; where it ends, pixels from
/// the top of the page.
pub(crate) fn list(sketch: &mut Sketch, surface: PlayingSurface, cameras: &[DrawnCamera]) -> f64 {
    let heading = Lettering::of(26.0).bold();
    let top = CAMERAS.top + 0.5 * HEADING_PX;
    let rule = CAMERAS.top + HEADING_PX;
    sketch.stroke([[CAMERAS.left, rule], [CAMERAS.right, rule]], 2, RULE);
    if cameras.is_empty() {
        sketch.text("Cameras", [CAMERAS.left, top], heading);
        let none = Lettering::of(25.0).colour(MUTED);
        sketch.text("none in the venue", [CAMERAS.left, rule + 30.0], none);
        return rule + 60.0;
    }
    let room = CAMERAS.bottom - rule - 8.0;
    if cameras.len() as f64 * TWO_LINES_PX <= room {
        let title = format!("Cameras: split on {}", surface.short_name());
        sketch.text(title, [CAMERAS.left, top], heading);
        for (i, camera) in cameras.iter().enumerate() {
            let top = rule + 8.0 + i as f64 * TWO_LINES_PX;
            tall_row(sketch, top, camera);
            if let Some(colour) = COVER_COLOURS.get(i).filter(|_| cameras.len() <= MAX_COVERS) {
                let line = [[CAMERAS.left, top + 56.0], [CAMERAS.left + 48.0, top + 56.0]];
                sketch.stroke(line, 2 * COVER_LINE_PX, *colour);
            }
        }
        rule + 8.0 + cameras.len() as f64 * TWO_LINES_PX
    } else {
        let right = heading.align(Align::Right);
        sketch.text("Camera", [CAMERAS.left, top], heading);
        let title = format!("{} split, stops", surface.short_name());
        sketch.text(title, [CAMERAS.right - 100.0, top], right);
        sketch.text("shade", [CAMERAS.right, top], right);
        let rows = (room / ONE_LINE_PX) as usize;
        let shown = if cameras.len() > rows { rows.saturating_sub(1) } else { cameras.len() };
        let row = |i: usize| rule + 8.0 + (i as f64 + 0.5) * ONE_LINE_PX;
        for (i, camera) in cameras.iter().take(shown).enumerate() {
            low_row(sketch, row(i), camera);
        }
        if shown < cameras.len() {
            let more = format!("and {} more, not listed here", cameras.len() - shown);
            sketch.text(more, [CAMERAS.left, row(shown)], Lettering::of(25.0).colour(MUTED));
        }
        CAMERAS.bottom.min(row(cameras.len()))
    }
}

fn tall_row(sketch: &mut Sketch, top: f64, camera: &DrawnCamera) {
    let plate =
        PxBox::around([CAMERAS.left + 2.0 + 0.5 * MARKER[0], top + 22.0], MARKER[0], MARKER[1]);
    marker(sketch, &plate, camera);
    let left = plate.right + 14.0;
    let width = CAMERAS.right - left;
    let name = fitted(&camera.post.name, width, 26.0, Weight::Bold);
    sketch.text(name, [left, top + 22.0], Lettering::of(26.0).bold());
    let says = match (camera.view, camera.sees_field()) {
        (Some(view), true) => format!("{}, {} in shade", split_words(view), shade(view)),
        _ => "nothing of the ground in its cover".to_owned(),
    };
    let says = fitted(&says, width, 25.0, Weight::Regular);
    sketch.text(says, [left, top + 56.0], Lettering::of(25.0));
}

fn low_row(sketch: &mut Sketch, middle: f64, camera: &DrawnCamera) {
    let plate = PxBox::around([CAMERAS.left + 2.0 + 0.5 * MARKER[0], middle], MARKER[0], 28.0);
    marker(sketch, &plate, camera);
    let left = plate.right + 12.0;
    let values = Lettering::of(25.0).align(Align::Right);
    let (split, shade) = match (camera.view, camera.sees_field()) {
        (Some(view), true) => (split_short(view), shade(view)),
        _ => ("no ground".to_owned(), String::new()),
    };
    let split_right = CAMERAS.right - 96.0;
    let width = split_right - values.width(&split) - 14.0 - left;
    let name = fitted(&camera.post.name, width, 25.0, Weight::Regular);
    sketch.text(name, [left, middle], Lettering::of(25.0));
    sketch.text(split, [split_right, middle], values);
    sketch.text(shade, [CAMERAS.right, middle], values);
}

fn shade(view: &CameraView) -> String {
    share_text(view.shaded_share)
}

fn split_words(view: &CameraView) -> String {
    match view.turf.state {
        SplitState::InShot(stops) => format!("{:.1} stops in shot", stops.stops()),
        SplitState::Latent(stops, _) => {
            format!("{:.1} stops latent", stops.stops())
        }
        SplitState::NoEdge => "no edge".to_owned(),
    }
}

fn split_short(view: &CameraView) -> String {
    match view.turf.state {
        SplitState::InShot(stops) => format!("{:.1} in shot", stops.stops()),
        SplitState::Latent(stops, _) => format!("{:.1} latent", stops.stops()),
        SplitState::NoEdge => "no edge".to_owned(),
    }
}
