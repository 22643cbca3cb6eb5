//! Text in the one font that the program carries.

use std::sync::Once;

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

const FAMILY: &str = "DejaVu Sans";
/// The drawing library asks for ascent plus descent, not for the em.
const LINE_PER_EM: f64 = 1.164;

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Weight {
    Regular,
    Bold,
}

/// The font at a size in pixels per em.
pub(crate) fn font(size_px: f64, weight: Weight) -> FontDesc<'static> {
    static REGISTERED: Once = Once::new();
    REGISTERED.call_once(|| {
        // a failure shows as an error of the first text drawn
        let _ = register_font(FAMILY, FontStyle::Normal, dejavu::sans::regular());
        let _ = register_font(FAMILY, FontStyle::Bold, dejavu::sans::bold());
    });
    let style = match weight {
        Weight::Regular => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    FontDesc::new(FontFamily::Name(FAMILY), size_px * LINE_PER_EM, style)
}

/// Width of a text, pixels.
pub(crate) fn width_px(text: &str, size_px: f64, weight: Weight) -> f64 {
    let boxed = font(size_px, weight).layout_box(text);
    boxed.map_or(0.0, |((left, _), (right, _))| f64::from(right - left))
}

/// The text, cut with an ellipsis where it is wider than `max_px`.
pub(crate) fn fitted(text: &str, max_px: f64, size_px: f64, weight: Weight) -> String {
    if width_px(text, size_px, weight) <= max_px {
        return text.to_owned();
    }
    let mut letters: Vec<char> = text.chars().collect();
    while letters.pop().is_some() {
        let cut = letters.iter().collect::<String>().trim_end().to_owned() + "…";
        if width_px(&cut, size_px, weight) <= max_px {
            return cut;
        }
    }
    String::new()
}
