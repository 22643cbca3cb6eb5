//! Contours of ground that is not flat, under all else on the plan.
//!
//! In: a venue and the view of its plan. Out: marks. Drawn once for each layer of ground that
//! covers what was drawn before.

use geo::{BooleanOps, Coord, Polygon, Rect};

use crate::output::draw::clip;
use crate::output::draw::contours::{COLOUR, Contours, WIDTH_PX};
use crate::output::draw::sketch::Sketch;
use crate::venue::Venue;

use super::layout::{PLAN, PlanView};

/// The contours of a plan, none where its ground is flat.
pub(super) struct Lines(Option<Contours>);

impl Lines {
    pub fn of(venue: &Venue, view: &PlanView) -> Self {
        let corners = PLAN.ring().map(|at| view.local(at));
        let reach = |start: f64, of: fn(f64, f64) -> f64, axis: fn(&Coord<f64>) -> f64| {
            corners.iter().map(axis).fold(start, of)
        };
        let [low, high] =
            [(f64::INFINITY, f64::min as fn(f64, f64) -> f64), (f64::NEG_INFINITY, f64::max)].map(
                |(start, of)| Coord { x: reach(start, of, |c| c.x), y: reach(start, of, |c| c.y) },
            );
        let lines =
            venue.relief.as_deref().map(|relief| Contours::of(relief, Rect::new(low, high)));
        Self(lines.filter(|lines| !lines.lines.is_empty()))
    }

    /// All of them, or those on an area.
    pub fn draw(&self, sketch: &mut Sketch, view: &PlanView, on: Option<&Polygon<f64>>) {
        for (_, lines) in self.0.iter().flat_map(|contours| &contours.lines) {
            let clipped = on.map(|area| area.clip(lines, false));
            for line in &clipped.as_ref().unwrap_or(lines).0 {
                for piece in clip::line_in(&view.line(line), &PLAN) {
                    sketch.stroke(piece, WIDTH_PX, COLOUR);
                }
            }
        }
    }

    /// What the legend says of them.
    pub fn words(&self) -> Option<String> {
        self.0.as_ref().map(Contours::words)
    }
}
