//! One drawing, two formats.
//!
//! In: something that can [`Paint`] itself, a size in pixels, a title and a
//! description. Out: a [`Picture`], the same marks as SVG and as PNG.

use plotters::backend::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, IntoDrawingArea};

use super::{Picture, RenderError, palette};

/// Bytes of a pixel: red, green, blue.
const BYTES_PER_PIXEL: usize = 3;

/// Something that draws itself the same way on any backend.
pub(crate) trait Paint {
    /// Draws on an area that is already filled with paper.
    fn paint<DB: DrawingBackend>(&self, area: &DrawingArea<DB, Shift>) -> Result<(), RenderError>
    where
        DB::ErrorType: 'static;
}

/// Draws once as SVG, once as PNG. The SVG carries title and description for
/// those who hear a picture rather than see it.
///
/// # Errors
/// [`RenderError`] when a backend fails.
pub(crate) fn draw(
    size: (u32, u32),
    title: &str,
    description: &str,
    paint: &impl Paint,
) -> Result<Picture, RenderError> {
    let mut svg = String::new();
    paint_on(SVGBackend::with_string(&mut svg, size), paint)?;
    let mut pixels = vec![0; size.0 as usize * size.1 as usize * BYTES_PER_PIXEL];
    paint_on(BitMapBackend::with_buffer(&mut pixels, size), paint)?;
    Ok(Picture { svg: described(&svg, title, description), png: encoded(&pixels, size)? })
}

fn paint_on<DB: DrawingBackend>(backend: DB, paint: &impl Paint) -> Result<(), RenderError>
where
    DB::ErrorType: 'static,
{
    let area = backend.into_drawing_area();
    area.fill(&palette::PAPER).map_err(RenderError::drawing)?;
    paint.paint(&area)?;
    area.present().map_err(RenderError::drawing)
}

/// Puts `<title>` and `<desc>` after the opening tag.
fn described(svg: &str, title: &str, description: &str) -> String {
    let (head, body) = svg.split_once(">\n").map_or(("", svg), |(head, body)| (head, body));
    let (title, description) = (escaped(title), escaped(description));
    format!("{head}>\n<title>{title}</title>\n<desc>{description}</desc>\n{body}")
}

/// Text safe inside XML: markup escaped, control characters (which XML 1.0,
/// section 2.2, forbids) replaced.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '&' => safe.push_str("&amp;"),
            '"' => safe.push_str("&quot;"),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}

fn encoded(pixels: &[u8], size: (u32, u32)) -> Result<Vec<u8>, RenderError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, size.0, size.1);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    // flat colours: repeats compress best as they are; a fifth of the size of the
    // fast setting for 70 ms more a picture
    encoder.set_filter(png::FilterType::NoFilter);
    encoder.set_compression(png::Compression::Default);
    let mut writer = encoder.write_header().map_err(RenderError::drawing)?;
    writer.write_image_data(pixels).map_err(RenderError::drawing)?;
    writer.finish().map_err(RenderError::drawing)?;
    Ok(bytes)
}
