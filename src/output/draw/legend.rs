//! One legend: samples, each with its meaning, in as many rows as they need.

use super::labels::flow;
use super::sketch::{Lettering, PxBox, Sketch};

/// Draws a sample in a box.
type DrawSample<'a> = Box<dyn Fn(&mut Sketch, PxBox) + 'a>;

/// One entry: how its sample is drawn in a box, and what it means.
pub(crate) struct LegendEntry<'a> {
    sample: DrawSample<'a>,
    meaning: String,
}

impl<'a> LegendEntry<'a> {
    pub fn new(meaning: impl Into<String>, sample: impl Fn(&mut Sketch, PxBox) + 'a) -> Self {
        Self { sample: Box::new(sample), meaning: meaning.into() }
    }
}

/// How a legend is set, pixels.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Legend {
    pub left: f64,
    pub right: f64,
    /// Width and height of a sample.
    pub sample: [f64; 2],
    pub row: f64,
    pub text: Lettering,
}

impl Legend {
    /// Between a sample and its meaning, and between entries, pixels.
    const BESIDE: f64 = 12.0;
    const BETWEEN: f64 = 38.0;

    /// Draws the entries from `top` on; gives where they end.
    pub fn draw(&self, sketch: &mut Sketch, top: f64, entries: &[LegendEntry<'_>]) -> f64 {
        let [width, height] = self.sample;
        let before = width + Self::BESIDE;
        let widths: Vec<f64> =
            entries.iter().map(|e| before + self.text.width(&e.meaning)).collect();
        let mut bottom = top;
        for (entry, place) in
            entries.iter().zip(flow(&widths, self.left, self.right, Self::BETWEEN))
        {
            let middle = top + (place.row as f64 + 0.5) * self.row;
            let plate = PxBox::around([place.left + 0.5 * width, middle], width, height);
            (entry.sample)(sketch, plate);
            sketch.text(entry.meaning.as_str(), [place.left + before, middle], self.text);
            bottom = middle + 0.5 * self.row;
        }
        bottom
    }
}
