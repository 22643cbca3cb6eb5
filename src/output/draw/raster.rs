//! An SVG of ours in pixels.
//!
//! In: an SVG document as [`super::draw`] writes it. Out: pixels, 8 bit RGB, one for each user
//! unit, and the bytes of a PNG. Letters come from the fonts inside the program, so the
//! pixels are the same on every machine.

use std::sync::{Arc, OnceLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

use super::{DrawError, Pixels, text};

/// The fonts that letters may come from: those that the program carries and no others.
fn fonts() -> Arc<fontdb::Database> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let made = || {
        let mut fonts = fontdb::Database::new();
        for bytes in text::FONTS {
            fonts.load_font_source(fontdb::Source::Binary(Arc::new(bytes())));
        }
        Arc::new(fonts)
    };
    Arc::clone(FONTS.get_or_init(made))
}

/// The document, read.
///
/// # Errors
/// [`DrawError`] for what is no SVG.
pub(crate) fn tree(svg: &str) -> Result<Tree, DrawError> {
    let options = Options { fontdb: fonts(), ..Options::default() };
    Tree::from_str(svg, &options).map_err(DrawError::of)
}

/// The document in pixels.
///
/// # Errors
/// [`DrawError`] for what is no SVG, or is too large for memory.
pub(super) fn pixels(svg: &str) -> Result<Pixels, DrawError> {
    let tree = tree(svg)?;
    let size = tree.size().to_int_size();
    let mut pixmap = Pixmap::new(size.width(), size.height())
        .ok_or_else(|| DrawError::of("the picture has no size"))?;
    resvg::render(&tree, Transform::identity(), &mut pixmap.as_mut());
    // every picture lies on paper: no pixel is translucent
    let mut rgb = vec![0; 3 * pixmap.pixels().len()];
    for (rgb, rgba) in rgb.chunks_exact_mut(3).zip(pixmap.data().chunks_exact(4)) {
        rgb.copy_from_slice(&rgba[..3]);
    }
    Ok(Pixels { size: (pixmap.width(), pixmap.height()), rgb })
}

/// Pixels as a PNG.
///
/// # Errors
/// [`DrawError`] when they cannot be encoded.
pub(super) fn encoded(pixels: &Pixels) -> Result<Vec<u8>, DrawError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, pixels.size.0, pixels.size.1);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    // flat colours: repeats compress best as they are; the level takes half the time of
    // the usual one and gives a quarter more bytes
    encoder.set_deflate_compression(png::DeflateCompression::Level(3));
    encoder.set_filter(png::Filter::NoFilter);
    let mut writer = encoder.write_header().map_err(DrawError::of)?;
    writer.write_image_data(&pixels.rgb).map_err(DrawError::of)?;
    writer.finish().map_err(DrawError::of)?;
    Ok(bytes)
}
