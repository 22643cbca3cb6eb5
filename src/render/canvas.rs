//! One painting, drawn as SVG and as PNG.

use plotters::coord::Shift;
use plotters::prelude::*;

use super::palette::PAPER;
use super::{Picture, RenderError};

/// Something that can be drawn on any backend.
pub(crate) trait Paint {
    fn paint<DB: DrawingBackend>(&self, area: &DrawingArea<DB, Shift>) -> Result<(), RenderError>
    where
        DB::ErrorType: 'static;
}

/// Draws a painting of `size` pixels.
pub(crate) fn draw<P: Paint>(
    size: (u32, u32),
    title: &str,
    description: &str,
    paint: &P,
) -> Result<Picture, RenderError> {
    let mut svg = String::new();
    {
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        area.fill(&PAPER)?;
        paint.paint(&area)?;
        area.present()?;
    }
    let head = format!(
        "<title>{}</title>\n<desc>{}</desc>\n",
        escaped(title),
        escaped(description)
    );
    if let Some(end) = svg.find(">\n") {
        svg.insert_str(end + 2, &head);
    }
    let failed = |e: std::io::Error| RenderError::Drawing(e.to_string());
    let file = tempfile::Builder::new()
        .suffix(".png")
        .tempfile()
        .map_err(failed)?;
    {
        let area = BitMapBackend::new(file.path(), size).into_drawing_area();
        area.fill(&PAPER)?;
        paint.paint(&area)?;
        area.present()?;
    }
    let png = std::fs::read(file.path()).map_err(failed)?;
    Ok(Picture { svg, png })
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}
