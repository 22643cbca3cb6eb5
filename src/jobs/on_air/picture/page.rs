//! A page: marks drawn as everywhere, and pictures in their frames.

use crate::output::canvas;
use crate::output::draw::palette::{INK, MUTED};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted, fitting_px, width_px};
use crate::output::error::RenderError;
use crate::output::text::words;
use crate::signal::png;

use super::Inset;

pub(super) const MARGIN: f64 = 40.0;

/// Words under a picture in lines as wide as it; a single word that is wider is cut.
fn lines(text: &str, room_px: f64, weight: Weight) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words(text).filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if width_px(&format!("{line} {word}"), WORDS_PX, weight) <= room_px => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(fitted(word, room_px, WORDS_PX, weight)),
        }
    }
    lines
}

/// Size of the words under a picture.
const WORDS_PX: f64 = 22.0;

/// What goes onto a page.
pub(super) struct Page {
    pub width: u32,
    pub sketch: Sketch,
    insets: Vec<(Inset, [usize; 2])>,
}

impl Page {
    pub fn new(width: u32) -> Self {
        Self { width, sketch: Sketch::default(), insets: Vec::new() }
    }

    pub fn right(&self) -> f64 {
        f64::from(self.width) - MARGIN
    }

    /// Venue and what it is of, and beside them a date and a remark, which comes under them
    /// where it is too long; where they end, pixels. A long title is set smaller.
    pub fn heading(&mut self, [title, under]: [&str; 2], [beside, remark]: [&str; 2]) -> f64 {
        let half = 0.5 * f64::from(self.width);
        let [named, remarked] = [under, remark].map(|text| width_px(text, 26.0, Weight::Regular));
        let whole = self.right() - MARGIN;
        let is_beside = remarked <= half || named + 30.0 + remarked <= whole;
        let rows = [
            (title, beside, 38.0, Weight::Bold, 46.0),
            (under, if is_beside { remark } else { "" }, 26.0, Weight::Regular, 92.0),
        ];
        for (left, right, size, weight, y) in rows {
            let small = Lettering::of(26.0).align(Align::Right).colour(MUTED);
            let right_words = fitted(right, whole, 26.0, Weight::Regular);
            let room = self.right() - MARGIN - small.width(&right_words) - 30.0;
            self.sketch.text(right_words, [self.right(), y], small);
            // smaller letters before a cut: the field stands at the end of the title
            let size = fitting_px(left, room, size, 26.0, weight);
            let words = fitted(left, room, size, weight);
            let lettering = Lettering { size, weight, colour: INK, align: Align::Left };
            self.sketch.text(words, [MARGIN, y], lettering);
        }
        let mut end = 122.0;
        for line in lines(remark, whole, Weight::Regular).into_iter().filter(|_| !is_beside) {
            let lettering = Lettering::of(WORDS_PX).colour(MUTED);
            self.sketch.text(line, [MARGIN, end], lettering);
            end += 30.0;
        }
        end
    }

    /// Puts a picture at a place, with a line around it and words under it; where they end.
    pub fn put(&mut self, inset: Inset, [left, top]: [f64; 2], words: &[(&str, bool)]) -> f64 {
        let [width, height] = inset.size;
        let (left, top) = (left.round(), top.round());
        let frame = PxBox {
            left: left - 1.0,
            top: top - 1.0,
            right: left + width as f64 + 1.0,
            bottom: top + height as f64 + 1.0,
        };
        self.sketch.outline(frame.ring(), 2, INK);
        self.insets.push((inset, [left as usize, top as usize]));
        let mut row = frame.bottom + 22.0;
        for (text, bold) in words {
            let lettering = Lettering::of(WORDS_PX);
            let (lettering, weight) = match bold {
                true => (lettering.bold(), Weight::Bold),
                false => (lettering.colour(MUTED), Weight::Regular),
            };
            for line in lines(text, width as f64, weight) {
                self.sketch.text(line, [left, row], lettering);
                row += 30.0;
            }
        }
        row
    }

    /// The page as PNG, cautions at its foot.
    pub fn png(self, bottom: f64, title: &str, description: &str) -> Result<Vec<u8>, RenderError> {
        let size = (self.width, bottom.ceil() as u32);
        let drawn = canvas::draw(size, title, description, &self.sketch)?;
        let mut pixels = drawn.pixels()?;
        let width = pixels.size.0 as usize;
        for (inset, [left, top]) in &self.insets {
            for (row, line) in inset.pixels.chunks(inset.size[0].max(1)).enumerate() {
                let start = 3 * ((top + row) * width + left);
                let flat = line.as_flattened();
                if let Some(to) = pixels.rgb.get_mut(start..start + flat.len()) {
                    to.copy_from_slice(flat);
                }
            }
        }
        let (codes, _) = pixels.rgb.as_chunks();
        png::write_codes(pixels.size, codes).map_err(RenderError::drawing)
    }
}
