//! One camera through the match: small pictures in a row, each with its time.

use crate::engine::MatchPlan;
use crate::jobs::match_plan::picture::field::clock_text;
use crate::light::Sky;
use crate::output::canvas;
use crate::output::draw::palette::{INK, MUTED};
use crate::output::draw::sketch::{Align, Lettering, Sketch};
use crate::output::draw::text::Weight;
use crate::output::draw::{Picture, text};
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::fine::LeftOut;
use super::shot::Shot;
use super::words::shade_words;
use super::{EyeView, MARGIN, PAGE, fitted, scene, words};

/// A strip holds this many pictures at most.
pub const MAX_IN_STRIP: usize = 12;
/// Pictures beside each other at most.
const COLUMNS: usize = 4;
const GAP: f64 = 24.0;
/// Where the first row begins, pixels from the top.
const TOP: f64 = 132.0;
/// Room for the words under a picture, pixels.
const UNDER: f64 = 96.0;
/// Height of a picture at most, as a share of its width.
const MAX_HEIGHT: f64 = 1.0;
const HATCH_PX: f64 = 8.0;

/// Draws one camera at several instants of a plan, one view for each.
///
/// # Errors
/// [`RenderError::Strip`] unless there are 1 to [`MAX_IN_STRIP`] instants and one
/// view of the same camera for each; otherwise as [`super::eye_view`].
pub fn eye_strip(
    venue: &Venue,
    plan: &MatchPlan,
    indices: &[usize],
    views: &[EyeView],
) -> Result<Picture, RenderError> {
    let one_camera = views.windows(2).all(|pair| pair[0].camera == pair[1].camera);
    let fits = (1..=MAX_IN_STRIP).contains(&indices.len()) && indices.len() == views.len();
    if !fits || !one_camera {
        return Err(RenderError::Strip {
            instants: indices.len(),
            views: views.len(),
            most: MAX_IN_STRIP,
        });
    }
    let shots: Result<Vec<Shot>, RenderError> = indices
        .iter()
        .zip(views)
        .map(|(&index, view)| Shot::of(venue, plan, index, view))
        .collect();
    let shots = shots?;
    let mut sketch = Sketch::default();
    let Some(first) = shots.first() else { return Err(RenderError::NoInstants) };
    shots.iter().skip(1).for_each(|shot| shot.share_obstacles_of(first));
    heading(&mut sketch, first, plan.sky);
    let bottom = pictures(&mut sketch, &shots, plan.sky);
    let title = format!("{}, through {}", venue.title, first.post.name);
    let times: Vec<String> = shots.iter().map(|shot| clock_text(shot.instant.at)).collect();
    let description = format!("What {} sees at {}.", first.post.name, times.join(", "));
    canvas::draw((PAGE, bottom.ceil() as u32), &title, &description, &sketch)
}

/// Paints the pictures in rows; where they end, pixels from the top.
fn pictures(sketch: &mut Sketch, shots: &[Shot], sky: Sky) -> f64 {
    let columns = shots.len().min(COLUMNS);
    let room = f64::from(PAGE) - 2.0 * MARGIN - GAP * (columns - 1) as f64;
    let width = (room / columns as f64).floor();
    let aspect = shots.first().map_or(1.0, |shot| shot.post.aspect);
    let tall = (width / aspect).min(MAX_HEIGHT * width).min(super::MAX_SIZE[1]);
    let mut bottom = TOP;
    let mut least_drawn: Option<LeftOut> = None;
    for (i, shot) in shots.iter().enumerate() {
        let left = MARGIN + (width + GAP) * (i % columns) as f64;
        let top = TOP + (tall + UNDER) * (i / columns) as f64;
        let frame = fitted(shot.post.aspect, [width, tall], [left + 0.5 * width, top.round()]);
        let (_, left_out) = scene(sketch, shot, frame, HATCH_PX);
        let drawn = |of: &LeftOut| of.drawn;
        least_drawn = least_drawn.into_iter().chain(left_out).min_by_key(drawn);
        sketch.outline(frame.ring(), 3, INK);
        let clock = Lettering::of(30.0).bold();
        let time = clock_text(shot.instant.at);
        let row = top + tall + 26.0;
        let beside = width - clock.width(&time) - 20.0;
        let setting = text::fitted(&shot.view.setting, beside, 25.0, Weight::Regular);
        sketch.text(time, [left, row], clock);
        let right = Lettering::of(25.0).align(Align::Right);
        sketch.text(setting, [left + width, row], right);
        let shade = text::fitted(&shade_words(shot, sky), width, 25.0, Weight::Regular);
        sketch.text(shade, [left, row + 36.0], Lettering::of(25.0).colour(MUTED));
        bottom = top + tall + UNDER;
    }
    match least_drawn {
        Some(left_out) => words::of_meshes(sketch, left_out, bottom + 22.0),
        None => bottom + 14.0,
    }
}

/// Venue and camera, and the date.
fn heading(sketch: &mut Sketch, shot: &Shot, sky: Sky) {
    let right = f64::from(PAGE) - MARGIN;
    let plain = Lettering::of(27.0).align(Align::Right);
    let date = shot.instant.at.format("%A %-d %B %Y").to_string();
    let field = format!("{:.1}° across · {sky}", shot.post.horizontal_fov_deg);
    let lines = [
        (shot.venue.title.as_str(), date, 46.0, Weight::Bold, plain, 52.0),
        (shot.post.name.as_str(), field, 27.0, Weight::Regular, plain.colour(MUTED), 100.0),
    ];
    for (name, beside, size, weight, lettering, row) in lines {
        let beside = text::fitted(&beside, 0.5 * f64::from(PAGE), 27.0, Weight::Regular);
        let room = right - MARGIN - lettering.width(&beside) - 40.0;
        let name = text::fitted(name, room, size, weight);
        sketch.text(beside, [right, row], lettering);
        let left = Lettering { size, weight, colour: INK, align: Align::Left };
        sketch.text(name, [MARGIN, row], left);
    }
}
