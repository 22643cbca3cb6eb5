//! Video levels, and the grey they are drawn in.
//!
//! In: linear levels, 1 = white. Out: greys through the transfer curve of ITU-R
//! BT.709, clipped at white.

use plotters::style::RGBColor;

/// Where the curve of BT.709 leaves its straight foot.
const FOOT: f64 = 0.018;

/// The level where a share of the direct light arrives, 0 to 1.
pub(super) fn between(shade: f64, sun: f64, passes: f64) -> f64 {
    shade + passes * (sun - shade)
}

/// The video signal of a level, 0 to 1: ITU-R BT.709-6, item 1.2.
pub(super) fn signal(level: f64) -> f64 {
    // clipped, and nothing under black; a level that is no number is black
    let level = level.clamp(0.0, 1.0);
    if level.is_nan() {
        0.0
    } else if level < FOOT {
        4.5 * level
    } else {
        1.099 * level.powf(0.45) - 0.099
    }
}

/// The neutral grey of a level.
pub(super) fn grey(level: f64) -> RGBColor {
    let value = (255.0 * signal(level)).round() as u8;
    RGBColor(value, value, value)
}

/// Whether a level is over white, and so clipped.
pub(super) fn is_clipped(level: f64) -> bool {
    level > 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_follow_the_curve_and_end_at_white() {
        // worked by hand from V = 1.099 L^0.45 - 0.099, else 4.5 L
        for (level, expected) in [(0.0, 0.0), (0.01, 0.045), (0.18, 0.409), (1.0, 1.0)] {
            assert!((signal(level) - expected).abs() < 5e-4, "{level}");
        }
        // the two parts meet
        assert!((signal(FOOT) - 4.5 * FOOT).abs() < 4e-4);
        assert_eq!(signal(7.0), 1.0);
        assert_eq!(signal(-1.0), 0.0);
        assert_eq!(signal(f64::NAN), 0.0);
        assert_eq!(grey(2.0), RGBColor(255, 255, 255));
        assert!(is_clipped(1.01) && !is_clipped(1.0));
    }
}
