//! Pages with pictures through cameras: what clips, settings side by side, strips.
//!
//! In: signals of SDR, zones, words. Out: PNG files. Frames, words and legends are drawn as in
//! every other picture; the pictures themselves are put into their frames pixel by pixel,
//! with the values that the SDR file has.

mod overlay;
mod page;
mod sides;
mod strip;

pub use overlay::overlay;
pub use sides::side_by_side;
pub use strip::strip;

use plotters::style::RGBColor;
use rayon::prelude::*;

use super::develop::{Signals, ToneZone};
use super::expose::Set;
use crate::engine::view::LinearPicture;
use crate::light::Tristimulus;
use crate::output::draw::palette;
use crate::signal::{CodeRange, SdrCodes};

/// A picture that goes into a page, 8 bits a channel.
#[derive(Debug, Clone)]
pub struct Inset {
    pub size: [usize; 2],
    pub pixels: Vec<[u8; 3]>,
}

impl Inset {
    /// Of SDR signals.
    pub fn of(size: [usize; 2], signals: &Signals) -> Self {
        let code = |signal: f32| CodeRange::Full.code(f64::from(signal), 8) as u8;
        let pixels = signals.par_iter().with_min_len(4096).map(|rgb| rgb.map(code)).collect();
        Self { size, pixels }
    }

    /// A picture in SDR, by the camera's knee.
    pub fn sdr(picture: &LinearPicture, set: &Set) -> Self {
        let codes = SdrCodes::new(&set.chain);
        let light = picture.light.par_iter().with_min_len(4096);
        let pixels = light.map(|values| codes.of(Tristimulus::from(values.map(f64::from))));
        Self { size: picture.size, pixels: pixels.collect() }
    }

    /// The same with what clips and what is crushed over it, the rest in grey.
    pub fn with_zones(&self, zones: &[ToneZone]) -> Self {
        let one = |(rgb, zone): (&[u8; 3], &ToneZone)| match colour_of(*zone) {
            Some(RGBColor(r, g, b)) => [r, g, b],
            None => {
                // luma of BT.709
                let [r, g, b] = rgb.map(f64::from);
                [(0.2126 * r + 0.7152 * g + 0.0722 * b).round() as u8; 3]
            }
        };
        Self { size: self.size, pixels: self.pixels.iter().zip(zones).map(one).collect() }
    }
}

/// The colour of a zone, by the table of Okabe and Ito; `None` where nothing is laid over.
fn colour_of(zone: ToneZone) -> Option<RGBColor> {
    match zone {
        ToneZone::Crushed => Some(palette::BLUE),
        ToneZone::NearBlack => Some(palette::SKY_BLUE),
        ToneZone::Kept => None,
        ToneZone::InKnee => Some(palette::YELLOW),
        ToneZone::Clipped => Some(palette::VERMILLION),
        ToneZone::FarClipped => Some(palette::REDDISH_PURPLE),
    }
}
