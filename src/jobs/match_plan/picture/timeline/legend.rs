//! The legend: what every mark means.
//!
//! In: where it starts, pixels. Out: samples with their meaning, and notes, at the foot of the
//! picture.

use crate::jobs::match_plan::facts::SplitTarget;
use crate::output::draw::labels::wrapped;
use crate::output::draw::legend::{Legend, LegendEntry};
use crate::output::draw::palette;
use crate::output::draw::sketch::{Lettering, Sketch};
use crate::output::words::capital;
use crate::solar::SunState;
use crate::venue::PlayingSurface;

use super::chart::{MILESTONE, no_sun};
use super::scene::{Label, Pen, Rect, TimelineScene};
use super::{MARGIN_PX, SMALL_PX, WIDTH_PX, shade, strips, sun};

pub(super) const SAMPLE_PX: f64 = 64.0;
const SAMPLE_HIGH_PX: f64 = 24.0;
const ROW_PX: f64 = 35.0;
const NOTE_ROW_PX: f64 = 31.0;

const NOTES: &str = "Subject: an upright grey surface at 1.7 m that faces the camera. Latent: one \
    side alone is in shot; what the split would be. No line: no direct sun, or nothing of the \
    field in shot.";

/// A sample of a mark.
#[derive(Debug, Clone, Copy)]
enum EdgeSample {
    Opaque,
    Dimmed,
    Face,
    NoSun,
    Milestone,
    Elevation,
    Split(SplitTarget, bool),
    Worst,
    Goal,
}

/// Draws the legend; gives its bottom.
pub(super) fn draw(scene: &mut TimelineScene, surface: PlayingSurface, top: f64) -> f64 {
    let notes = format!(
        "Split: sun brighter than shade, in stops. {}: the playing surface. {NOTES}",
        capital(surface.short_name())
    );
    draw_with(scene, top, &entries(surface.short_name()), draw_sample, &notes)
}

/// Draws a legend of samples and notes under a rule; gives its bottom. `sample`
/// draws one at a left end and a middle height.
pub(super) fn draw_with<S: Copy>(
    scene: &mut TimelineScene,
    top: f64,
    entries: &[(S, String)],
    sample: impl Fn(&mut TimelineScene, S, f64, f64),
    notes: &str,
) -> f64 {
    let right = f64::from(WIDTH_PX) - MARGIN_PX;
    let rule = top + 8.0;
    scene.line(&[(MARGIN_PX, rule), (right, rule)], Pen::solid(palette::RULE, 2));
    let sample = &sample;
    let entries: Vec<LegendEntry<'_>> = entries
        .iter()
        .map(|&(what, ref meaning)| {
            let drawn = move |sketch: &mut Sketch, plate: Rect| {
                let mut marks = TimelineScene::default();
                sample(&mut marks, what, plate.left, plate.middle()[1]);
                sketch.append(marks.sketch);
            };
            LegendEntry::new(meaning.as_str(), drawn)
        })
        .collect();
    let text = Lettering::of(SMALL_PX);
    let sized = [SAMPLE_PX, SAMPLE_HIGH_PX];
    let legend = Legend { left: MARGIN_PX, right, sample: sized, row: ROW_PX, text };
    let mut y = legend.draw(&mut scene.sketch, rule + 8.0, &entries) + 4.0;
    for line in wrapped(notes, right - MARGIN_PX, SMALL_PX) {
        let baseline = y + 0.75 * NOTE_ROW_PX;
        scene.text(Label::new(line, MARGIN_PX, baseline, SMALL_PX).coloured(palette::MUTED));
        y += NOTE_ROW_PX;
    }
    y
}

fn entries(surface: &str) -> Vec<(EdgeSample, String)> {
    let text = |sample, text: &str| (sample, text.to_owned());
    let of = |sample, text: &str| (sample, format!("{surface} {text}"));
    vec![
        of(EdgeSample::Opaque, "without direct sun"),
        of(EdgeSample::Dimmed, "dimmed by a translucent roof"),
        text(EdgeSample::Face, "not in full sun at 1.7 m"),
        text(EdgeSample::NoSun, "no direct sun: behind the skyline, down"),
        text(EdgeSample::Milestone, "moment of the match"),
        text(EdgeSample::Elevation, "sun's elevation"),
        of(EdgeSample::Split(SplitTarget::Turf, true), "split, edge in shot"),
        of(EdgeSample::Split(SplitTarget::Turf, false), "split, latent"),
        text(EdgeSample::Split(SplitTarget::Subject, true), "subject split, edge in shot"),
        text(EdgeSample::Split(SplitTarget::Subject, false), "subject split, latent"),
        text(EdgeSample::Worst, "worst in shot"),
        (EdgeSample::Goal, format!("matching goal, {} stop", strips::MATCHING_GOAL_STOPS)),
    ]
}

fn draw_sample(scene: &mut TimelineScene, sample: EdgeSample, left: f64, middle: f64) {
    let rect = Rect { left, top: middle - 12.0, right: left + SAMPLE_PX, bottom: middle + 12.0 };
    let line = [(left, middle), (left + SAMPLE_PX, middle)];
    let centre = left + 0.5 * SAMPLE_PX;
    match sample {
        EdgeSample::Opaque => scene.fill(rect, shade::OPAQUE),
        EdgeSample::Dimmed => scene.fill(rect, shade::DIMMED),
        EdgeSample::Face => shade::FACE.map(|pen| scene.line(&line, pen))[0],
        EdgeSample::NoSun => {
            let (hidden, down) = (Rect { right: centre, ..rect }, Rect { left: centre, ..rect });
            no_sun(scene, hidden, SunState::BehindSkyline);
            no_sun(scene, down, SunState::Down);
        }
        EdgeSample::Milestone => {
            scene.line(&[(centre, rect.top), (centre, rect.bottom)], MILESTONE)
        }
        EdgeSample::Elevation => scene.line(&line, sun::ELEVATION),
        EdgeSample::Split(target, in_shot) => {
            for pen in strips::pens(target, in_shot) {
                scene.line(&line, pen);
            }
        }
        EdgeSample::Worst => {
            strips::mark(scene, SplitTarget::Turf, (centre - 16.0, middle));
            strips::mark(scene, SplitTarget::Subject, (centre + 16.0, middle));
        }
        EdgeSample::Goal => scene.line(&line, strips::GOAL),
    }
}
