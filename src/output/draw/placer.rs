//! Words that keep out of each other's way.
//!
//! In: boxes where a word could stand, the best first. Out: the first that overlaps no
//! word already there and lies in its bounds, unless a later one covers far less of
//! the lines.

use super::sketch::{Align, Lettering, Px, PxBox, Sketch};

/// Kept free around a word, pixels.
const APART_PX: f64 = 4.0;
/// So many places further down the list are as bad as a point of a line covered.
const WORTH: usize = 3;
/// Height of a line of words over its size.
const HEIGHT_EM: f64 = 1.1;

/// Words placed so far.
pub(crate) struct Labels {
    bounds: PxBox,
    taken: Vec<PxBox>,
    /// Points of lines that words had better not cover.
    lines: Vec<Px>,
}

impl Labels {
    pub fn within(bounds: PxBox) -> Self {
        Self { bounds, taken: Vec::new(), lines: Vec::new() }
    }

    /// Keeps words off a box.
    pub fn keep_free(&mut self, taken: PxBox) {
        self.taken.push(taken);
    }

    /// Lines that words had better not cover.
    pub fn avoid(&mut self, points: impl IntoIterator<Item = Px>) {
        self.lines.extend(points);
    }

    /// Writes a word around one of the middles that is free; whether one was.
    pub fn write(
        &mut self,
        sketch: &mut Sketch,
        text: &str,
        lettering: Lettering,
        middles: impl IntoIterator<Item = Px>,
    ) -> bool {
        let size = [lettering.width(text), HEIGHT_EM * lettering.size];
        let free = |plate: &PxBox| {
            let inside = plate.left >= self.bounds.left
                && plate.right <= self.bounds.right
                && plate.top >= self.bounds.top
                && plate.bottom <= self.bounds.bottom;
            inside && !self.taken.iter().any(|t| t.meets(plate))
        };
        let boxes = middles.into_iter().map(|m| PxBox::around(m, size[0], size[1]));
        let covered =
            |plate: &PxBox| self.lines.iter().filter(|p| plate.grown(2.0).holds(**p)).count();
        // a place later in the list is worth it for each point of a line left bare
        let scored =
            boxes.enumerate().filter(|(_, b)| free(b)).map(|(i, b)| (i + WORTH * covered(&b), b));
        let Some((_, plate)) = scored.min_by_key(|(score, _)| *score) else { return false };
        self.taken.push(plate.grown(APART_PX));
        sketch.text(text, plate.middle(), lettering.align(Align::Middle));
        true
    }
}
