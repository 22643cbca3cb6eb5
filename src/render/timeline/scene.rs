//! The marks of a picture, laid out and ready to draw.
//!
//! In: marks in pixels, x to the right, y down. Out: the same marks on any
//! backend, in the order in which they were added.

use plotters::coord::Shift;
use plotters::drawing::DrawingArea;
use plotters::element::{Circle, PathElement, Polygon, Rectangle};
use plotters::prelude::DrawingBackend;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{RGBColor, ShapeStyle, TextStyle};

use crate::plane::{P2, dashes};
use crate::render::RenderError;
use crate::render::canvas::Paint;
use crate::render::palette;
use crate::render::text::{self, Weight};

/// From the bottom of plotters' text to the baseline, as a share of the em: 0.26
/// in SVG and 0.36 in PNG; the middle of both.
const BASELINE_EM: f64 = 0.31;
/// DejaVu Sans over and under the baseline, as a share of the em (its `OS/2`
/// typographic ascender and descender: 1556 and 492 of 2048).
const ASCENT_EM: f64 = 0.76;
const DESCENT_EM: f64 = 0.24;

/// A place in the picture, pixels.
pub(super) type Point = (f64, f64);

/// An upright box, pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rect {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

/// Which end of a text its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub text: String,
    pub x: f64,
    pub baseline: f64,
    pub anchor: Anchor,
    pub size_px: f64,
    pub weight: Weight,
    pub colour: RGBColor,
}

impl Label {
    /// Ink text that starts at a place.
    pub fn new(text: impl Into<String>, x: f64, baseline: f64, size_px: f64) -> Self {
        Self {
            text: text.into(),
            x,
            baseline,
            anchor: Anchor::Start,
            size_px,
            weight: Weight::Regular,
            colour: palette::INK,
        }
    }

    pub fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    pub fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    pub fn coloured(self, colour: RGBColor) -> Self {
        Self { colour, ..self }
    }

    /// The room the text takes.
    pub fn bounds(&self) -> Rect {
        let width = text::width_px(&self.text, self.size_px, self.weight);
        let left = match self.anchor {
            Anchor::Start => self.x,
            Anchor::Middle => self.x - 0.5 * width,
            Anchor::End => self.x - width,
        };
        Rect {
            left,
            top: self.baseline - ASCENT_EM * self.size_px,
            right: left + width,
            bottom: self.baseline + DESCENT_EM * self.size_px,
        }
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

#[derive(Debug, Clone)]
enum Mark {
    Box(Rect, RGBColor),
    Area(Vec<Point>, RGBColor),
    Line(Vec<Point>, RGBColor, u32),
    Disc(Point, f64, RGBColor),
    Text(Label),
}

/// Marks in drawing order.
#[derive(Debug, Clone, Default)]
pub(super) struct Scene {
    marks: Vec<Mark>,
}

impl Scene {
    pub fn fill(&mut self, rect: Rect, colour: RGBColor) {
        self.marks.push(Mark::Box(rect, colour));
    }

    pub fn area(&mut self, points: Vec<Point>, colour: RGBColor) {
        self.marks.push(Mark::Area(thinned(&points), colour));
    }

    pub fn disc(&mut self, centre: Point, radius_px: f64, colour: RGBColor) {
        self.marks.push(Mark::Disc(centre, radius_px, colour));
    }

    pub fn line(&mut self, points: &[Point], pen: Pen) {
        let points = thinned(points);
        let pieces = match pen.dash {
            Dash::Solid => vec![points],
            Dash::Broken(on, off) => {
                let points: Vec<P2> = points.into_iter().map(P2::from).collect();
                let points = dashes(&points, on, off).into_iter();
                points.map(|piece| piece.into_iter().map(Point::from).collect()).collect()
            }
        };
        let whole = pieces.into_iter().filter(|piece| piece.len() > 1);
        self.marks.extend(whole.map(|piece| Mark::Line(piece, pen.colour, pen.width_px)));
    }

    pub fn frame(&mut self, rect: Rect, pen: Pen) {
        let (l, t, r, b) = (rect.left, rect.top, rect.right, rect.bottom);
        self.line(&[(l, t), (r, t), (r, b), (l, b), (l, t)], pen);
    }

    pub fn text(&mut self, label: Label) {
        if !label.text.is_empty() {
            self.marks.push(Mark::Text(label));
        }
    }

    /// Slanting lines over a box, drawn inside it.
    pub fn hatch(&mut self, rect: Rect, spacing_px: f64, pen: Pen) {
        let height = rect.bottom - rect.top;
        // one lattice for the whole picture, so neighbouring boxes match
        let mut foot = ((rect.left - height) / spacing_px).ceil() * spacing_px;
        while foot < rect.right {
            let from = foot.max(rect.left);
            let to = (foot + height).min(rect.right);
            if to - from > 1.0 {
                let y_at = |x: f64| rect.bottom - (x - foot);
                self.line(&[(from, y_at(from)), (to, y_at(to))], pen);
            }
            foot += spacing_px;
        }
    }
}

impl Paint for Scene {
    fn paint<DB: DrawingBackend>(&self, area: &DrawingArea<DB, Shift>) -> Result<(), RenderError>
    where
        DB::ErrorType: 'static,
    {
        for mark in &self.marks {
            let drawn = match mark {
                Mark::Box(rect, colour) => area.draw(&Rectangle::new(
                    [pixel((rect.left, rect.top)), pixel((rect.right, rect.bottom))],
                    filled(*colour),
                )),
                Mark::Area(points, colour) => area.draw(&Polygon::new(
                    points.iter().copied().map(pixel).collect::<Vec<_>>(),
                    filled(*colour),
                )),
                Mark::Line(points, colour, width) => area.draw(&PathElement::new(
                    points.iter().copied().map(pixel).collect::<Vec<_>>(),
                    ShapeStyle { color: (*colour).into(), filled: false, stroke_width: *width },
                )),
                Mark::Disc(centre, radius, colour) => {
                    area.draw(&Circle::new(pixel(*centre), *radius, filled(*colour)))
                }
                Mark::Text(label) => area.draw_text(&label.text, &style(label), text_pixel(label)),
            };
            drawn.map_err(RenderError::drawing)?;
        }
        Ok(())
    }
}

fn style(label: &Label) -> TextStyle<'_> {
    let at = match label.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    TextStyle::from(text::font(label.size_px, label.weight))
        .color(&label.colour)
        .pos(Pos::new(at, VPos::Bottom))
}

fn text_pixel(label: &Label) -> (i32, i32) {
    pixel((label.x, label.baseline + BASELINE_EM * label.size_px))
}

fn filled(colour: RGBColor) -> ShapeStyle {
    ShapeStyle { color: colour.into(), filled: true, stroke_width: 0 }
}

fn pixel((x, y): Point) -> (i32, i32) {
    (x.round() as i32, y.round() as i32)
}

/// Without points that fall on the pixel of the point before.
fn thinned(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for &point in points {
        if kept.last().is_none_or(|&last| pixel(last) != pixel(point)) {
            kept.push(point);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside_its_box() {
        let rect = Rect { left: 103.0, top: 50.0, right: 171.0, bottom: 90.0 };
        let mut scene = Scene::default();
        scene.hatch(rect, 9.0, Pen::solid(palette::RULE, 1));
        assert!(scene.marks.len() > 5);
        for mark in &scene.marks {
            let Mark::Line(points, ..) = mark else { panic!("hatching is lines") };
            for &(x, y) in points {
                assert!(rect.left <= x && x <= rect.right && rect.top <= y && y <= rect.bottom);
            }
        }
    }
}
