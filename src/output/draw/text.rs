//! Fonts, and how wide text is.
//!
//! In: text and sizes in pixels of the picture. Out: font descriptions for
//! plotters and widths in pixels. The fonts travel inside the program, so a
//! picture is the same on every machine.

use std::sync::OnceLock;

use plotters::style::{FontDesc, FontFamily, FontStyle};
use rustybuzz::{Face, UnicodeBuffer};

/// As written into SVG: a viewer without DejaVu Sans takes the next one.
const FAMILY: &str = "DejaVu Sans, Verdana, sans-serif";
/// The fonts of all pictures: regular and bold.
pub(super) const FONTS: [fn() -> &'static [u8]; 2] = [dejavu::sans::regular, dejavu::sans::bold];
/// DejaVu Sans over and under the baseline, as a share of the em (its `hhea` table:
/// 1901 and 483 of 2048).
pub(crate) const ASCENT_EM: f64 = 1901.0 / 2048.0;
pub(crate) const DESCENT_EM: f64 = 483.0 / 2048.0;
/// Height of its capitals (`OS/2` table: 1493 of 2048).
pub(crate) const CAPITAL_EM: f64 = 1493.0 / 2048.0;
/// Stands for what was left out.
const ELLIPSIS: char = '\u{2026}';

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Weight {
    Regular,
    Bold,
}

/// The font of all pictures, `size` units an em.
pub(super) fn font(size: f64, weight: Weight) -> FontDesc<'static> {
    let style = match weight {
        Weight::Regular => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    FontDesc::new(FontFamily::Name(FAMILY), size, style)
}

/// The tables of a font; `None` where they cannot be read, which the first picture
/// would show.
fn face(weight: Weight) -> Option<&'static Face<'static>> {
    static FACES: [OnceLock<Option<Face<'static>>>; 2] = [OnceLock::new(), OnceLock::new()];
    let index = usize::from(weight == Weight::Bold);
    FACES[index].get_or_init(|| Face::from_slice(FONTS[index](), 0)).as_ref()
}

/// Width of a line of text, pixels: advances with kerning and joined letters, as every
/// output sets it.
pub(crate) fn width_px(text: &str, size_px: f64, weight: Weight) -> f64 {
    let Some(face) = face(weight) else { return 0.0 };
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    let glyphs = rustybuzz::shape(face, &[], buffer);
    let units: i64 = glyphs.glyph_positions().iter().map(|p| i64::from(p.x_advance)).sum();
    units as f64 * size_px / f64::from(face.units_per_em())
}

/// Size of letters in which a line has room in `max_px`: `size_px`, or down to `least_px` for a
/// line that `size_px` would cut.
pub(crate) fn fitting_px(text: &str, max_px: f64, size_px: f64, least_px: f64, w: Weight) -> f64 {
    let width = width_px(text, size_px, w);
    if width <= max_px { size_px } else { (0.999 * size_px * max_px / width).max(least_px) }
}

/// Text on one line, shortened with an ellipsis to `max_px`.
pub(crate) fn fitted(text: &str, max_px: f64, size_px: f64, weight: Weight) -> String {
    let line: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    if width_px(&line, size_px, weight) <= max_px {
        return line;
    }
    let letters: Vec<char> = line.chars().collect();
    let shortened = |kept: usize| -> String {
        let head: String = letters.iter().take(kept).collect();
        format!("{}{ELLIPSIS}", head.trim_end())
    };
    let (mut fits, mut too_long) = (0, letters.len());
    while too_long - fits > 1 {
        let middle = fits + (too_long - fits) / 2;
        if width_px(&shortened(middle), size_px, weight) <= max_px {
            fits = middle;
        } else {
            too_long = middle;
        }
    }
    shortened(fits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_follow_the_font_tables() {
        // advance widths of DejaVu Sans 2.37, `hmtx` table, units of 1/2048 em:
        // regular "0" 1303, "i" 569; bold "0" 1425
        let at = |text, weight| width_px(text, 2048.0, weight);
        assert!((at("0", Weight::Regular) - 1303.0).abs() < 8.0);
        assert!((at("i", Weight::Regular) - 569.0).abs() < 8.0);
        assert!((at("0", Weight::Bold) - 1425.0).abs() < 8.0);
    }

    #[test]
    fn long_text_is_set_smaller_before_it_is_cut() {
        let text = "12 % of the field in shade, 14 % of the playing area";
        let size = |max| fitting_px(text, max, 27.0, 23.0, Weight::Regular);
        let full = width_px(text, 27.0, Weight::Regular);
        assert_eq!(size(full), 27.0);
        assert!(size(0.9 * full) < 27.0 && size(0.9 * full) > 23.0);
        let kept = fitted(text, 0.9 * full, size(0.9 * full), Weight::Regular);
        assert_eq!(kept, text);
        assert_eq!(size(0.5 * full), 23.0);
        assert_eq!(fitting_px("", 0.0, 27.0, 23.0, Weight::Regular), 27.0);
    }

    #[test]
    fn long_text_is_cut_to_the_room_it_has() {
        let name = "A camera with a name that goes on for far more than its room";
        let cut = fitted(name, 200.0, 25.0, Weight::Regular);
        assert!(cut.ends_with(ELLIPSIS));
        assert!(name.starts_with(cut.trim_end_matches(ELLIPSIS)));
        assert!(width_px(&cut, 25.0, Weight::Regular) <= 200.0);
        // one letter more would not fit
        let longer = cut.chars().count();
        let next: String = name.chars().take(longer).collect::<String>() + "\u{2026}";
        assert!(width_px(&next, 25.0, Weight::Regular) > 200.0);
        assert_eq!(fitted("short", 200.0, 25.0, Weight::Regular), "short");
        assert_eq!(fitted("two\nlines", 200.0, 25.0, Weight::Regular), "two lines");
        assert_eq!(fitted("none", 0.0, 25.0, Weight::Regular), "\u{2026}");
    }
}
