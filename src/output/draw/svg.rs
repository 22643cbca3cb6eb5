//! A plotters backend that writes SVG with hundredths of a pixel and real opacity.
//!
//! In: places in [`units`] of 1/100 pixel, since plotters speaks whole numbers only. Out:
//! an SVG document whose user unit is the pixel.

use std::convert::Infallible;
use std::fmt::{self, Write};

use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{BackendColor, BackendCoord, BackendStyle, BackendTextStyle};
use plotters_backend::{DrawingBackend, DrawingErrorKind, FontStyle, FontTransform};

use super::text::{ASCENT_EM, DESCENT_EM, Weight, width_px};

/// Units of the backend in a pixel of the picture.
const UNITS_PER_PX: f64 = 100.0;

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

/// Pixels in the backend's units.
pub(super) fn units(px: f64) -> i32 {
    (UNITS_PER_PX * px).round() as i32
}

/// A document that is being written; `present` closes it.
pub(super) struct Svg<'a> {
    out: &'a mut String,
    size: (u32, u32),
    open: bool,
}

impl<'a> Svg<'a> {
    /// Begins a document of `size` pixels.
    pub fn new(
        out: &'a mut String,
        (width, height): (u32, u32),
        title: &str,
        description: &str,
    ) -> Self {
        // writing to a string cannot fail, here and below
        let _ = writeln!(
            out,
            "<svg width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
             stroke-linejoin=\"round\" xmlns=\"http://www.w3.org/2000/svg\">\n\
             <title>{}</title>\n<desc>{}</desc>",
            Escaped(title),
            Escaped(description)
        );
        let wide = |px: u32| px.saturating_mul(UNITS_PER_PX as u32);
        Self { out, size: (wide(width), wide(height)), open: true }
    }

    /// One element; `attributes` writes what is its own.
    fn element(&mut self, tag: &str, attributes: impl FnOnce(&mut String)) -> Drawn {
        self.out.push('<');
        self.out.push_str(tag);
        attributes(self.out);
        self.out.push_str("/>\n");
        Ok(())
    }
}

/// Opaque marks carry no opacity at all.
fn paint(out: &mut String, what: &str, colour: BackendColor) {
    let (r, g, b) = colour.rgb;
    let _ = write!(out, " {what}=\"#{r:02X}{g:02X}{b:02X}\"");
    if colour.alpha < 1.0 {
        let _ = write!(out, " {what}-opacity=\"{:.3}\"", colour.alpha);
    }
}

fn stroke(out: &mut String, style: &impl BackendStyle) {
    paint(out, "stroke", style.color());
    let _ = write!(out, " stroke-width=\"{}\"", Px(style.stroke_width() as i32));
}

/// Paint of a shape: inside, or around it.
fn shape(out: &mut String, style: &impl BackendStyle, fill: bool) {
    if fill {
        paint(out, "fill", style.color());
    } else {
        out.push_str(" fill=\"none\"");
        stroke(out, style);
    }
}

fn places(out: &mut String, points: impl IntoIterator<Item = BackendCoord>) {
    out.push_str(" points=\"");
    for (i, (x, y)) in points.into_iter().enumerate() {
        let gap = if i == 0 { "" } else { " " };
        let _ = write!(out, "{gap}{},{}", Px(x), Px(y));
    }
    out.push('"');
}

impl DrawingBackend for Svg<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        self.size
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        if std::mem::take(&mut self.open) {
            self.out.push_str("</svg>\n");
        }
        Ok(())
    }

    fn draw_pixel(&mut self, (x, y): BackendCoord, colour: BackendColor) -> Drawn {
        self.element("rect", |out| {
            let _ = write!(out, " x=\"{}\" y=\"{}\" width=\"1\" height=\"1\"", Px(x), Px(y));
            paint(out, "fill", colour);
        })
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Drawn {
        self.draw_path([from, to], style)
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        (left, top): BackendCoord,
        (right, bottom): BackendCoord,
        style: &S,
        fill: bool,
    ) -> Drawn {
        self.element("rect", |out| {
            let (width, height) = (Px(right - left), Px(bottom - top));
            let _ = write!(out, " x=\"{}\" y=\"{}\"", Px(left), Px(top));
            let _ = write!(out, " width=\"{width}\" height=\"{height}\"");
            shape(out, style, fill);
        })
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        self.element("polyline", |out| {
            shape(out, style, false);
            places(out, path);
        })
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        (x, y): BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Drawn {
        self.element("circle", |out| {
            let radius = Px(radius as i32);
            let _ = write!(out, " cx=\"{}\" cy=\"{}\" r=\"{radius}\"", Px(x), Px(y));
            shape(out, style, fill);
        })
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        corners: I,
        style: &S,
    ) -> Drawn {
        self.element("polygon", |out| {
            shape(out, style, true);
            places(out, corners);
        })
    }

    /// Text with the width that it was measured to have, so that a viewer with other
    /// fonts keeps it in its room.
    fn draw_text<T: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &T,
        (x, y): BackendCoord,
    ) -> Drawn {
        let size_px = style.size() / UNITS_PER_PX;
        let anchor = style.anchor();
        let side = match anchor.h_pos {
            HPos::Left => "start",
            HPos::Center => "middle",
            HPos::Right => "end",
        };
        let down_em = match anchor.v_pos {
            VPos::Top => ASCENT_EM,
            VPos::Center => 0.5 * (ASCENT_EM - DESCENT_EM),
            VPos::Bottom => -DESCENT_EM,
        };
        let baseline = Px(y + units(down_em * size_px));
        let x = Px(x);
        let out = &mut *self.out;
        let _ = write!(
            out,
            "<text x=\"{x}\" y=\"{baseline}\" text-anchor=\"{side}\" font-family=\"{}\" \
             font-size=\"{}\"",
            style.family().as_str(),
            Px(units(size_px)),
        );
        let weight = match style.style() {
            FontStyle::Bold => Weight::Bold,
            _ => Weight::Regular,
        };
        if weight == Weight::Bold {
            out.push_str(" font-weight=\"bold\"");
        }
        let width = Px(units(width_px(text, size_px, weight)));
        let _ = write!(out, " textLength=\"{width}\" lengthAdjust=\"spacingAndGlyphs\"");
        let turn = match style.transform() {
            FontTransform::None => None,
            FontTransform::Rotate90 => Some(90),
            FontTransform::Rotate180 => Some(180),
            FontTransform::Rotate270 => Some(270),
        };
        if let Some(degrees) = turn {
            let _ = write!(out, " transform=\"rotate({degrees}, {x}, {baseline})\"");
        }
        paint(out, "fill", style.color());
        let _ = writeln!(out, ">{}</text>", Escaped(text));
        Ok(())
    }

    fn estimate_text_size<T: BackendTextStyle>(
        &self,
        text: &str,
        style: &T,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let weight = match style.style() {
            FontStyle::Bold => Weight::Bold,
            _ => Weight::Regular,
        };
        let height = (ASCENT_EM + DESCENT_EM) * style.size();
        Ok((width_px(text, style.size(), weight).ceil() as u32, height.ceil() as u32))
    }
}

/// Backend units as pixels, no digit more than they have.
struct Px(i32);

impl fmt::Display for Px {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let (whole, part) = (self.0.unsigned_abs() / 100, self.0.unsigned_abs() % 100);
        match part {
            0 => write!(f, "{sign}{whole}"),
            p if p % 10 == 0 => write!(f, "{sign}{whole}.{}", p / 10),
            p => write!(f, "{sign}{whole}.{p:02}"),
        }
    }
}

/// Text safe inside XML: markup escaped, control characters (which XML 1.0, section
/// 2.2, forbids) replaced.
struct Escaped<'t>(&'t str);

impl fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for c in self.0.chars() {
            match c {
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '&' => f.write_str("&amp;")?,
                '"' => f.write_str("&quot;")?,
                c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => f.write_char(' ')?,
                c => f.write_char(c)?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_have_hundredths_and_no_needless_digits() {
        let px = |value: f64| Px(units(value)).to_string();
        assert_eq!(px(12.0), "12");
        assert_eq!(px(12.5), "12.5");
        assert_eq!(px(-0.254), "-0.25");
        assert_eq!(px(3.04), "3.04");
        assert_eq!(px(0.001), "0");
    }

    #[test]
    fn opacity_is_written_where_there_is_any() {
        let mut out = String::new();
        paint(&mut out, "fill", BackendColor { alpha: 1.0, rgb: (0, 128, 255) });
        paint(&mut out, "fill", BackendColor { alpha: 0.25, rgb: (0, 0, 0) });
        assert_eq!(out, " fill=\"#0080FF\" fill=\"#000000\" fill-opacity=\"0.250\"");
    }
}
