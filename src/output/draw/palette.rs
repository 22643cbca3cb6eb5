//! Colours of every picture.
//!
//! The eight hues stay apart for every kind of colour vision: Okabe and Ito,
//! "Color Universal Design" (2008), the palette table. No mark is told by its
//! hue alone, since pictures are printed in grey too.

// the whole published table stays here, whether or not a picture needs each hue
#![allow(dead_code)]

use plotters::style::RGBColor;

use crate::venue::PlayingSurface;

pub(crate) const BLACK: RGBColor = RGBColor(0, 0, 0);
pub(crate) const ORANGE: RGBColor = RGBColor(230, 159, 0);
pub(crate) const SKY_BLUE: RGBColor = RGBColor(86, 180, 233);
pub(crate) const BLUISH_GREEN: RGBColor = RGBColor(0, 158, 115);
pub(crate) const YELLOW: RGBColor = RGBColor(240, 228, 66);
pub(crate) const BLUE: RGBColor = RGBColor(0, 114, 178);
pub(crate) const VERMILLION: RGBColor = RGBColor(213, 94, 0);
pub(crate) const REDDISH_PURPLE: RGBColor = RGBColor(204, 121, 167);

/// Text and the strongest lines.
pub(crate) const INK: RGBColor = RGBColor(30, 34, 40);
/// Secondary text; 5.6 : 1 on paper, over the 4.5 : 1 of WCAG 2.2, criterion
/// 1.4.3.
pub(crate) const MUTED: RGBColor = RGBColor(95, 101, 110);
/// Rules, frames and grids.
pub(crate) const RULE: RGBColor = RGBColor(200, 204, 210);
/// The ground of the picture.
pub(crate) const PAPER: RGBColor = RGBColor(255, 255, 255);

/// What is played on in full sun, lightness about 80 of 100: white lines still show. Acrylic is
/// laid in many colours and drawn as grass is.
pub(crate) fn lit_colour(surface: PlayingSurface) -> RGBColor {
    match surface {
        PlayingSurface::Grass | PlayingSurface::Acrylic => RGBColor(178, 210, 128),
        PlayingSurface::DryGrass => RGBColor(212, 202, 134),
        PlayingSurface::Clay => RGBColor(233, 188, 158),
        PlayingSurface::Sand => RGBColor(222, 203, 160),
        PlayingSurface::Snow => RGBColor(204, 210, 220),
        PlayingSurface::Concrete => RGBColor(200, 198, 192),
        PlayingSurface::Asphalt => RGBColor(186, 188, 192),
    }
}
