//! The picture through a camera at one instant, in the levels it would have.
//!
//! In: a venue, its plan, the index of an instant, a camera, the point it looks at
//! and the video levels of what it sees. Out: a picture 2000 pixels wide, a true
//! perspective in neutral greys through the transfer curve of ITU-R BT.709; what
//! is over white is white and hatched.
//!
//! What is approximate: levels are one for the turf, one for all seats and one for
//! all figures, in sun and in shade each, with no regard to slope or to distance;
//! translucent things let light through but not sight; only the edge of full sun on
//! the turf is soft; of meshes with many faces what is too small to be seen is left out
//! (see `fine`); the land around the field is taken to be of turf, a little
//! darker.

mod bodies;
mod figures;
mod fine;
mod ground;
mod lens;
mod order;
mod shot;
mod soft;
mod strip;
mod sun;
mod tone;
mod words;

use glam::DVec3;

use crate::engine::MatchPlan;
use crate::output::draw::Picture;
use crate::output::draw::palette::INK;
use crate::output::draw::sketch::{PxBox, Sketch};
use crate::output::error::RenderError;
use crate::output::{canvas, draw};
use crate::venue::Venue;

use crate::jobs::crew::Levels;
use fine::LeftOut;
use lens::{Brush, Lens};
use shot::Shot;

pub use strip::{MAX_IN_STRIP, eye_strip};

/// Width of a page, pixels.
const PAGE: u32 = 2000;
/// Room on the left and on the right, pixels.
const MARGIN: f64 = 40.0;
/// Where the frame begins, pixels from the top.
const TOP: f64 = 200.0;
/// The largest frame, pixels.
const MAX_SIZE: [f64; 2] = [1920.0, 1080.0];
/// Between strokes over what is clipped, pixels.
const HATCH_PX: f64 = 12.0;

/// What to look through, where to, and how bright it is.
#[derive(Debug, Clone, PartialEq)]
pub struct EyeView {
    /// Index in [`Venue::cameras`].
    pub camera: usize,
    /// The point in the middle of the picture, local frame, metres.
    pub looks_at: DVec3,
    /// Video levels at this instant and setting.
    pub levels: Levels,
    /// How the camera is set, for the heading; may be empty.
    pub setting: String,
}

/// Whether the sun shines into the lens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum SunSeen {
    OutOfFrame,
    /// Its place is in the frame, and something opaque is before it.
    Hidden,
    /// Through something translucent.
    Dimmed,
    Shining,
}

/// Draws what a camera sees at one instant of a plan.
///
/// # Errors
/// [`RenderError::NoSuchInstant`] and [`RenderError::NoSuchCamera`] for indices
/// that there are not, and the drawing library's own failures.
pub fn eye_view(
    venue: &Venue,
    plan: &MatchPlan,
    index: usize,
    view: &EyeView,
) -> Result<Picture, RenderError> {
    let shot = Shot::of(venue, plan, index, view)?;
    let mut sketch = Sketch::default();
    let frame = fitted(shot.post.aspect, MAX_SIZE, [0.5 * f64::from(PAGE), TOP]);
    let (seen, left_out) = scene(&mut sketch, &shot, frame, HATCH_PX);
    sketch.outline(frame.ring(), 4, INK);
    words::heading(&mut sketch, &shot, plan);
    let mut bottom = words::legend(&mut sketch, &shot, plan.sky, seen, frame.bottom);
    if let Some(left_out) = left_out {
        bottom = words::of_meshes(&mut sketch, left_out, bottom);
    }
    let title = words::title(&shot);
    let description = words::description(&shot, plan.sky, seen);
    canvas::draw((PAGE, bottom.ceil() as u32), &title, &description, &sketch)
}

/// The same without heading, legend and cautions, for a page that has them as text of its
/// own; what they say is in the picture's description.
///
/// # Errors
/// As [`eye_view`].
pub fn eye_frame(
    venue: &Venue,
    plan: &MatchPlan,
    index: usize,
    view: &EyeView,
) -> Result<Picture, RenderError> {
    let shot = Shot::of(venue, plan, index, view)?;
    let mut sketch = Sketch::default();
    let frame = fitted(shot.post.aspect, MAX_SIZE, [0.5 * MAX_SIZE[0], 0.0]);
    let frame = PxBox { left: 0.0, right: frame.right - frame.left, ..frame };
    let (seen, left_out) = scene(&mut sketch, &shot, frame, HATCH_PX);
    let mut description = words::description(&shot, plan.sky, seen);
    if let Some(left_out) = left_out {
        description = format!("{description} {}", words::mesh_note(left_out));
    }
    let size = (frame.right as u32, frame.bottom as u32);
    draw::draw(size, &words::title(&shot), &description, &sketch).map_err(RenderError::drawing)
}

/// The largest frame of an aspect that fits, hung from the middle of its top edge.
fn fitted(aspect: f64, [width, height]: [f64; 2], [middle, top]: [f64; 2]) -> PxBox {
    let wide = width.min(height * aspect);
    PxBox {
        left: (middle - 0.5 * wide).round(),
        top,
        right: (middle + 0.5 * wide).round(),
        bottom: (top + wide / aspect).round(),
    }
}

/// Paints all that the camera sees, far to near; tells what of fine meshes it leaves
/// out.
fn scene(
    sketch: &mut Sketch,
    shot: &Shot,
    frame: PxBox,
    hatch_px: f64,
) -> (SunSeen, Option<LeftOut>) {
    let mut brush = Brush { sketch, lens: Lens { eye: shot.eye, frame }, hatch_px };
    let casters = bodies::casters(shot);
    ground::sky(&mut brush, shot);
    let seen = sun::behind_all(&mut brush, shot);
    ground::land(&mut brush, shot);
    flat(&mut brush, shot, &casters);

    let (mut pieces, left_out) = bodies::pieces(&brush, shot, &casters);
    pieces.extend(figures::pieces(shot));
    bodies::paint(&mut brush, &order::far_to_near(pieces, shot.eye.at));
    sun::before_all(&mut brush, shot, seen);
    (seen, left_out)
}

/// Paints the plane of the field.
fn flat(brush: &mut Brush, shot: &Shot, casters: &[bodies::Caster]) {
    let of_figures = figures::shade(shot);
    ground::shade_around(brush, shot, casters);
    for ring in &of_figures {
        let ring: Vec<DVec3> = ring.iter().map(|p| DVec3::new(p[0], p[1], 0.0)).collect();
        brush.surface(&ring, shot.land(0.0));
    }
    ground::field(brush, shot);
    let edge = soft::stretches(shot);
    soft::edges(brush, shot, &edge);
    ground::lines(brush, shot, &edge);
    for ring in &of_figures {
        brush.surface(&shot.on_field(ring), shot.turf(0.0));
    }
}
