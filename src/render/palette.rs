//! Colours that colour-blind readers tell apart.
#![allow(dead_code)]

use plotters::style::RGBColor;

// Okabe and Ito, "Color Universal Design", 2008
pub(crate) const BLACK: RGBColor = RGBColor(0, 0, 0);
pub(crate) const ORANGE: RGBColor = RGBColor(230, 159, 0);
pub(crate) const SKY_BLUE: RGBColor = RGBColor(86, 180, 233);
pub(crate) const BLUISH_GREEN: RGBColor = RGBColor(0, 158, 115);
pub(crate) const YELLOW: RGBColor = RGBColor(240, 228, 66);
pub(crate) const BLUE: RGBColor = RGBColor(0, 114, 178);
pub(crate) const VERMILLION: RGBColor = RGBColor(213, 94, 0);
pub(crate) const REDDISH_PURPLE: RGBColor = RGBColor(204, 121, 167);

pub(crate) const INK: RGBColor = RGBColor(26, 26, 26);
pub(crate) const MUTED: RGBColor = RGBColor(90, 90, 90);
pub(crate) const RULE: RGBColor = RGBColor(200, 200, 200);
pub(crate) const PAPER: RGBColor = RGBColor(255, 255, 255);
