//! A picture as a list of marks, in pixels, before it is drawn.
//!
//! The layers write marks, [`Sketch::paint`] draws them in order. Level and upright
//! edges lie on whole pixels, so that they are crisp and neighbours leave no seam; all
//! others stay where they are.

use plotters::coord::Shift;
use plotters::drawing::DrawingArea;
use plotters::element::{Circle, PathElement, Polygon, Rectangle, Text};
use plotters::prelude::DrawingBackend;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, RGBAColor, RGBColor, ShapeStyle, TextStyle};

use super::DrawError;
use super::clip;
use super::palette::{INK, PAPER};
use super::svg::units;
use super::text::{ASCENT_EM, CAPITAL_EM, DESCENT_EM, Weight, font, width_px};

/// A place on the picture, pixels from the left and from the top.
pub(crate) type Px = [f64; 2];

/// A box on the picture, pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PxBox {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl PxBox {
    pub fn around(middle: Px, width: f64, height: f64) -> Self {
        Self {
            left: middle[0] - 0.5 * width,
            top: middle[1] - 0.5 * height,
            right: middle[0] + 0.5 * width,
            bottom: middle[1] + 0.5 * height,
        }
    }

    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub fn middle(&self) -> Px {
        [0.5 * (self.left + self.right), 0.5 * (self.top + self.bottom)]
    }

    /// Grown by `by` pixels on each side.
    pub fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    pub fn holds(&self, at: Px) -> bool {
        (self.left..=self.right).contains(&at[0]) && (self.top..=self.bottom).contains(&at[1])
    }

    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// The nearest point in the box.
    pub fn nearest(&self, at: Px) -> Px {
        [at[0].clamp(self.left, self.right), at[1].clamp(self.top, self.bottom)]
    }

    /// Corners, clockwise on the page.
    pub fn ring(&self) -> [Px; 4] {
        [
            [self.left, self.top],
            [self.right, self.top],
            [self.right, self.bottom],
            [self.left, self.bottom],
        ]
    }
}

/// What a text's place is to the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Align {
    Left,
    Middle,
    Right,
}

/// How a text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Lettering {
    /// Pixels per em.
    pub size: f64,
    pub weight: Weight,
    pub colour: RGBColor,
    pub align: Align,
}

impl Lettering {
    pub fn of(size: f64) -> Self {
        Self { size, weight: Weight::Regular, colour: INK, align: Align::Left }
    }

    pub fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    pub fn colour(self, colour: RGBColor) -> Self {
        Self { colour, ..self }
    }

    pub fn align(self, align: Align) -> Self {
        Self { align, ..self }
    }

    /// Width of a text, pixels.
    pub fn width(&self, text: &str) -> f64 {
        width_px(text, self.size, self.weight)
    }
}

#[derive(Debug, Clone)]
enum Mark {
    Box(PxBox, RGBAColor),
    Fill(Vec<Px>, RGBAColor),
    Stroke(Vec<Px>, f64, RGBAColor),
    Disc(Px, f64, RGBAColor),
    /// At its baseline.
    Text(String, Px, Lettering),
}

/// Marks in the order they are drawn.
#[derive(Debug, Clone, Default)]
pub(crate) struct Sketch {
    marks: Vec<Mark>,
}

impl Sketch {
    /// A filled ring, closed or not.
    pub fn fill(&mut self, ring: impl Into<Vec<Px>>, colour: impl Into<RGBAColor>) {
        self.marks.push(Mark::Fill(ring.into(), colour.into()));
    }

    /// A filled box.
    pub fn fill_box(&mut self, bounds: PxBox, colour: impl Into<RGBAColor>) {
        self.marks.push(Mark::Box(bounds, colour.into()));
    }

    /// A line through points.
    pub fn stroke(
        &mut self,
        points: impl Into<Vec<Px>>,
        width: impl Into<f64>,
        colour: impl Into<RGBAColor>,
    ) {
        self.marks.push(Mark::Stroke(points.into(), width.into(), colour.into()));
    }

    /// A line around a ring, closed or not.
    pub fn outline(
        &mut self,
        ring: impl Into<Vec<Px>>,
        width: impl Into<f64>,
        colour: impl Into<RGBAColor>,
    ) {
        let mut ring = ring.into();
        if let (Some(&first), Some(&last)) = (ring.first(), ring.last())
            && first != last
        {
            ring.push(first);
        }
        self.stroke(ring, width, colour);
    }

    pub fn disc(&mut self, middle: Px, radius: f64, colour: impl Into<RGBAColor>) {
        self.marks.push(Mark::Disc(middle, radius, colour.into()));
    }

    /// A text whose middle line, half way up its capitals, is at the given height.
    pub fn text(&mut self, text: impl Into<String>, at: Px, lettering: Lettering) {
        let baseline = at[1] + 0.5 * CAPITAL_EM * lettering.size;
        self.text_on(text, [at[0], baseline], lettering);
    }

    /// A text that stands on a baseline.
    pub fn text_on(&mut self, text: impl Into<String>, at: Px, lettering: Lettering) {
        let text = text.into();
        if !text.is_empty() {
            self.marks.push(Mark::Text(text, at, lettering));
        }
    }

    /// A filled box with a border.
    pub fn plate(&mut self, plate: PxBox, fill: RGBColor, border: RGBColor) {
        self.fill(plate.ring(), border);
        self.fill(plate.grown(-2.0).ring(), fill);
    }

    /// A text on a paper plate.
    pub fn tag(&mut self, text: &str, plate: PxBox, lettering: Lettering) {
        self.plate(plate, PAPER, INK);
        self.text(text, plate.middle(), lettering.align(Align::Middle));
    }

    /// Hatching in the even-odd inside of rings.
    pub fn hatch(
        &mut self,
        rings: &[Vec<Px>],
        apart_px: f64,
        width: impl Into<f64> + Copy,
        colour: RGBColor,
    ) {
        for stroke in clip::hatching(rings, apart_px) {
            self.stroke(stroke, width, colour);
        }
    }

    /// The marks of another sketch on top.
    pub fn append(&mut self, other: Self) {
        self.marks.extend(other.marks);
    }

    /// Draws the marks.
    ///
    /// # Errors
    /// [`DrawError`] when the backend fails.
    pub fn paint<DB: DrawingBackend>(
        &self,
        area: &DrawingArea<DB, Shift>,
    ) -> Result<(), DrawError> {
        for mark in &self.marks {
            match mark {
                Mark::Box(bounds, colour) => {
                    let corner = |x: f64, y: f64| place([x.round(), y.round()]);
                    let corners =
                        [corner(bounds.left, bounds.top), corner(bounds.right, bounds.bottom)];
                    area.draw(&Rectangle::new(corners, colour.filled()))?;
                }
                Mark::Fill(ring, colour) => {
                    let mut ring = places(ring, 0.0);
                    if ring.len() > 1 && ring.first() == ring.last() {
                        ring.pop();
                    }
                    if ring.len() >= 3 {
                        area.draw(&Polygon::new(ring, *colour))?;
                    }
                }
                Mark::Stroke(points, width, colour) => {
                    let points = places(points, *width);
                    if points.len() >= 2 {
                        let width = units(*width) as u32;
                        let style =
                            ShapeStyle { color: *colour, filled: false, stroke_width: width };
                        area.draw(&PathElement::new(points, style))?;
                    }
                }
                Mark::Disc(at, radius, colour) => {
                    area.draw(&Circle::new(place(*at), units(*radius), colour.filled()))?;
                }
                Mark::Text(text, at, lettering) => {
                    let [x, baseline] = *at;
                    let foot = baseline + DESCENT_EM * lettering.size;
                    area.draw(&Text::new(text.as_str(), place([x, foot]), style(lettering)))?;
                }
            }
        }
        Ok(())
    }
}

fn style(lettering: &Lettering) -> TextStyle<'_> {
    let side = match lettering.align {
        Align::Left => HPos::Left,
        Align::Middle => HPos::Center,
        Align::Right => HPos::Right,
    };
    TextStyle::from(font(f64::from(units(lettering.size)), lettering.weight))
        .color(&lettering.colour)
        .pos(Pos::new(side, VPos::Bottom))
}

/// Points closer than this to the one before are left out, pixels.
const APART_PX: f64 = 0.05;

fn place(at: Px) -> (i32, i32) {
    (units(at[0]), units(at[1]))
}

/// Places of a line `width` wide, or of a ring where it is 0. Where all sides are level
/// or upright, edges are put on whole pixels.
fn places(points: &[Px], width: f64) -> Vec<(i32, i32)> {
    let along = |a: &Px, b: &Px| a[0] == b[0] || a[1] == b[1];
    let closes = |(a, b): (&Px, &Px)| width > 0.0 || along(a, b);
    let along_axes = points.windows(2).all(|w| along(&w[0], &w[1]))
        && points.first().zip(points.last()).is_none_or(closes);
    let odd = width.round() as i64 % 2 == 1;
    let on_pixels = |v: f64| if odd { v.floor() + 0.5 } else { v.round() };
    let mut last: Option<Px> = None;
    let mut kept: Vec<(i32, i32)> = Vec::with_capacity(points.len());
    for (i, &point) in points.iter().enumerate() {
        let far = |from: Px| (from[0] - point[0]).hypot(from[1] - point[1]) >= APART_PX;
        if last.is_some_and(|last| !far(last)) && i + 1 < points.len() {
            continue;
        }
        last = Some(point);
        kept.push(if along_axes { place(point.map(on_pixels)) } else { place(point) });
    }
    kept.dedup();
    kept
}

/// The room that a text on a baseline takes.
pub(crate) fn text_box(text: &str, at: Px, lettering: &Lettering) -> PxBox {
    let width = lettering.width(text);
    let left = match lettering.align {
        Align::Left => at[0],
        Align::Middle => at[0] - 0.5 * width,
        Align::Right => at[0] - width,
    };
    PxBox {
        left,
        top: at[1] - ASCENT_EM * lettering.size,
        right: left + width,
        bottom: at[1] + DESCENT_EM * lettering.size,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn level_and_upright_edges_lie_on_pixels_and_others_stay() {
        let ring = [[1.3, 2.6], [9.4, 2.6], [9.4, 5.5], [1.3, 5.5]];
        let whole = vec![(100, 300), (900, 300), (900, 600), (100, 600)];
        assert_eq!(places(&ring, 0.0), whole);
        // a line of odd width covers whole pixels when its middle is half way
        assert_eq!(places(&[[3.0, 7.2], [9.0, 7.2]], 3.0), vec![(350, 750), (950, 750)]);
        assert_eq!(places(&[[3.25, 7.2], [9.0, 8.2]], 3.0), vec![(325, 720), (900, 820)]);
    }
}
