//! Fonts, and how wide text is.
//!
//! In: text and sizes in pixels of the picture. Out: font descriptions for
//! plotters and widths in pixels. The fonts travel inside the program, so a
//! picture is the same on every machine.

use std::sync::Once;

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

/// As written into SVG: a viewer without DejaVu Sans takes the next one.
const FAMILY: &str = "DejaVu Sans, Verdana, sans-serif";
/// plotters' bitmap fonts are as tall as ascent and descent together; DejaVu
/// Sans: (1901 + 483) / 2048 units (its `hhea` table).
const SIZE_PER_EM: f64 = 1.164;
/// Stands for what was left out.
const ELLIPSIS: char = '\u{2026}';

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Weight {
    Regular,
    Bold,
}

/// The font of all pictures; `size_px` is the em in the PNG. In SVG, plotters
/// writes it 6 % smaller, which leaves room for wider fonts of other viewers.
pub(crate) fn font(size_px: f64, weight: Weight) -> FontDesc<'static> {
    static REGISTERED: Once = Once::new();
    REGISTERED.call_once(|| {
        // a font that could not be read shows as an error of the first text drawn
        let _ = register_font(FAMILY, FontStyle::Normal, dejavu::sans::regular());
        let _ = register_font(FAMILY, FontStyle::Bold, dejavu::sans::bold());
    });
    let style = match weight {
        Weight::Regular => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    FontDesc::new(FontFamily::Name(FAMILY), size_px * SIZE_PER_EM, style)
}

/// Width of a line of text in the PNG, pixels.
pub(crate) fn width_px(text: &str, size_px: f64, weight: Weight) -> f64 {
    // measured large, since plotters rounds to whole pixels
    const MEASURED_AT_PX: f64 = 400.0;
    let width = font(MEASURED_AT_PX, weight)
        .layout_box(text)
        .map_or(0, |((left, _), (right, _))| right - left);
    f64::from(width) * size_px / MEASURED_AT_PX
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
