//! What stands around the plan: its frame with the compass and the scale, the questions.
//!
//! In: the plan's view, questions in words. Out: marks. Pixels from the left and the top.

use plotters::style::RGBColor;

use crate::output::draw::contours::{self, Contours};
use crate::output::draw::labels::wrapped;
use crate::output::draw::palette::{BLACK, INK, MUTED, PAPER, RULE, YELLOW};
use crate::output::draw::sketch::{Align, Lettering, Px, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::solar::SunState;

use super::super::{Kickoff, Questions};
use super::{COMPASS, NorthUpView, PANEL, PLAN};

/// Lines of the panel, pixels per em and from line to line.
const LETTERS: f64 = 22.0;
const LINE_PX: f64 = 29.0;
/// Room between two questions.
const BETWEEN_PX: f64 = 9.0;

/// The frame of the plan, north, the sun and the scale.
pub(super) fn frame(
    sketch: &mut Sketch,
    view: &NorthUpView,
    questions: &Questions,
    relief: Option<&Contours>,
) {
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
    if let Some(relief) = relief {
        let row = right[1] + 34.0;
        let sample = [[left[0], row], [left[0] + 46.0, row]];
        sketch.stroke(sample, contours::WIDTH_PX, contours::COLOUR);
        let words = format!("{}, heights over the plane of the field", relief.words());
        sketch.text(words, [left[0] + 62.0, row], Lettering::of(LETTERS));
    }
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
pub(super) fn panel(sketch: &mut Sketch, lines: &[String]) {
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
    let rows = wrapped(text, width, LETTERS).into_iter();
    rows.map(|row| fitted(&row, width, LETTERS, Weight::Regular)).collect()
}

/// An arrow of a colour with a head so long, pixels.
pub(super) fn arrow(sketch: &mut Sketch, tail: Px, tip: Px, head: f64, colour: RGBColor) {
    let (dx, dy) = (tip[0] - tail[0], tip[1] - tail[1]);
    let length = dx.hypot(dy).max(1e-9);
    let (ux, uy) = (dx / length, dy / length);
    let neck = [tip[0] - head * ux, tip[1] - head * uy];
    let side = |sign: f64| [neck[0] - sign * 0.5 * head * uy, neck[1] + sign * 0.5 * head * ux];
    sketch.stroke([tail, neck], 4, colour);
    sketch.fill([side(1.0), tip, side(-1.0)], colour);
}
