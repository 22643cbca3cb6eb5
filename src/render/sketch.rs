//! A picture as a list of marks, in pixels, before any backend sees it.
//!
//! The layers write marks, [`Paint`] draws them in order. All marks are opaque:
//! translucent neighbours would show seams where they meet.

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::render::RenderError;
use crate::render::canvas::Paint;
use crate::render::palette::{INK, PAPER};
use crate::render::text::{Weight, font, width_px};

/// From the middle of the capitals down to where the library wants the bottom of
/// a text, in ems. Its two backends put the letters a tenth of an em apart; this
/// is half way between them.
const BOTTOM_BELOW_MIDDLE: f64 = 0.67;

/// A place on the picture, pixels from the left and from the top.
pub(super) type Px = [f64; 2];

/// A box on the picture, pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PxBox {
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
pub(super) enum Align {
    Left,
    Middle,
    Right,
}

/// How a text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lettering {
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

enum Mark {
    Fill(Vec<Px>, RGBColor),
    Stroke(Vec<Px>, u32, RGBColor),
    Disc(Px, f64, RGBColor),
    Text(String, Px, Lettering),
}

/// Marks in the order they are drawn.
#[derive(Default)]
pub(super) struct Sketch {
    marks: Vec<Mark>,
}

impl Sketch {
    /// A filled ring, closed or not.
    pub fn fill(&mut self, ring: impl Into<Vec<Px>>, colour: RGBColor) {
        self.marks.push(Mark::Fill(ring.into(), colour));
    }

    /// A line through points.
    pub fn stroke(&mut self, points: impl Into<Vec<Px>>, width: u32, colour: RGBColor) {
        self.marks.push(Mark::Stroke(points.into(), width, colour));
    }

    /// A line around a ring, closed or not.
    pub fn outline(&mut self, ring: impl Into<Vec<Px>>, width: u32, colour: RGBColor) {
        let mut ring = ring.into();
        if let (Some(&first), Some(&last)) = (ring.first(), ring.last())
            && first != last
        {
            ring.push(first);
        }
        self.stroke(ring, width, colour);
    }

    pub fn disc(&mut self, middle: Px, radius: f64, colour: RGBColor) {
        self.marks.push(Mark::Disc(middle, radius, colour));
    }

    /// A text whose middle line is at the given height.
    pub fn text(&mut self, text: impl Into<String>, at: Px, lettering: Lettering) {
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
}

/// Whole pixels, no place twice in a row.
fn whole(points: &[Px]) -> Vec<(i32, i32)> {
    let mut whole: Vec<(i32, i32)> =
        points.iter().map(|p| (p[0].round() as i32, p[1].round() as i32)).collect();
    whole.dedup();
    whole
}

impl Paint for Sketch {
    fn paint<DB: DrawingBackend>(&self, area: &DrawingArea<DB, Shift>) -> Result<(), RenderError>
    where
        DB::ErrorType: 'static,
    {
        for mark in &self.marks {
            match mark {
                Mark::Fill(ring, colour) => {
                    let mut ring = whole(ring);
                    if ring.len() > 1 && ring.first() == ring.last() {
                        ring.pop();
                    }
                    if ring.len() >= 3 {
                        area.draw(&Polygon::new(ring, *colour))?;
                    }
                }
                Mark::Stroke(points, width, colour) => {
                    let points = whole(points);
                    if points.len() >= 2 {
                        area.draw(&PathElement::new(points, colour.stroke_width(*width)))?;
                    }
                }
                Mark::Disc(at, radius, colour) => {
                    let at = (at[0].round() as i32, at[1].round() as i32);
                    area.draw(&Circle::new(at, radius.round() as i32, colour.filled()))?;
                }
                Mark::Text(text, at, lettering) => {
                    let side = match lettering.align {
                        Align::Left => HPos::Left,
                        Align::Middle => HPos::Center,
                        Align::Right => HPos::Right,
                    };
                    let style = font(lettering.size, lettering.weight)
                        .color(&lettering.colour)
                        .pos(Pos::new(side, VPos::Bottom));
                    let foot = at[1] + BOTTOM_BELOW_MIDDLE * lettering.size;
                    let at = (at[0].round() as i32, foot.round() as i32);
                    area.draw(&Text::new(text.as_str(), at, style))?;
                }
            }
        }
        Ok(())
    }
}
