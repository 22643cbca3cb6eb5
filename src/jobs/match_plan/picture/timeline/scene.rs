//! What a timeline is drawn with: lines with pens, and labels on baselines.
//!
//! In: marks in pixels, x to the right, y down. Out: the same marks on a [`Sketch`].

use plotters::style::RGBColor;

use crate::base::plane::{P2, dashes};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch, text_box};

pub(super) use crate::output::draw::sketch::Align as Anchor;

/// A place in the picture, pixels.
pub(super) type PicturePoint = (f64, f64);
/// An upright box, pixels.
pub(super) type Rect = PxBox;

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub text: String,
    pub x: f64,
    pub baseline: f64,
    pub lettering: Lettering,
}

impl Label {
    /// Ink text that starts at a place.
    pub fn new(text: impl Into<String>, x: f64, baseline: f64, size_px: f64) -> Self {
        Self { text: text.into(), x, baseline, lettering: Lettering::of(size_px) }
    }

    pub fn anchored(self, align: Align) -> Self {
        Self { lettering: self.lettering.align(align), ..self }
    }

    pub fn bold(self) -> Self {
        Self { lettering: self.lettering.bold(), ..self }
    }

    pub fn coloured(self, colour: RGBColor) -> Self {
        Self { lettering: self.lettering.colour(colour), ..self }
    }

    /// The room the text takes.
    pub fn bounds(&self) -> Rect {
        text_box(&self.text, [self.x, self.baseline], &self.lettering)
    }
}

/// Whether a line is broken up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Dash {
    Solid,
    /// Pixels drawn, pixels left out.
    Broken(f64, f64),
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pen {
    pub colour: RGBColor,
    pub width_px: u32,
    pub dash: Dash,
}

impl Pen {
    pub const fn solid(colour: RGBColor, width_px: u32) -> Self {
        Self { colour, width_px, dash: Dash::Solid }
    }

    pub const fn broken(colour: RGBColor, width_px: u32, on_px: f64, off_px: f64) -> Self {
        Self { colour, width_px, dash: Dash::Broken(on_px, off_px) }
    }
}

fn places(points: &[PicturePoint]) -> Vec<P2> {
    points.iter().copied().map(P2::from).collect()
}

/// Marks in drawing order.
#[derive(Debug, Clone, Default)]
pub(super) struct TimelineScene {
    pub sketch: Sketch,
}

impl TimelineScene {
    pub fn fill(&mut self, rect: Rect, colour: RGBColor) {
        self.sketch.fill_box(rect, colour);
    }

    pub fn area(&mut self, points: Vec<PicturePoint>, colour: RGBColor) {
        self.sketch.fill(places(&points), colour);
    }

    pub fn disc(&mut self, centre: PicturePoint, radius_px: f64, colour: RGBColor) {
        self.sketch.disc(centre.into(), radius_px, colour);
    }

    pub fn line(&mut self, points: &[PicturePoint], pen: Pen) {
        let pieces: Vec<Vec<P2>> = match pen.dash {
            Dash::Solid => vec![places(points)],
            Dash::Broken(on, off) => dashes(&places(points), on, off),
        };
        for piece in pieces {
            self.sketch.stroke(piece, pen.width_px, pen.colour);
        }
    }

    pub fn frame(&mut self, rect: Rect, pen: Pen) {
        self.sketch.outline(rect.ring(), pen.width_px, pen.colour);
    }

    pub fn text(&mut self, label: Label) {
        self.sketch.text_on(label.text, [label.x, label.baseline], label.lettering);
    }

    /// Slanting lines over a box, drawn inside it.
    pub fn hatch(&mut self, rect: Rect, apart_px: f64, pen: Pen) {
        self.sketch.hatch(&[rect.ring().to_vec()], apart_px, pen.width_px, pen.colour);
    }
}
