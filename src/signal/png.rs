//! Pictures of signals as PNG, which says what the numbers mean.
//!
//! In: red, green and blue signals, 0 to 1, row by row from the top left. Out: the bytes of a
//! file: 8 bits a channel for SDR, 16 for HDR, full range, with a chunk `cICP` of
//! coding-independent code points (PNG, third edition, 11.3.2.6; the numbers are those of Rec.
//! ITU-T H.273).

use crate::venue::Output;

use super::codes::CodeRange;
use super::error::SignalError;

/// `cICP`: colour primaries, transfer characteristics, matrix coefficients (0: red, green and
/// blue as they are), full range.
pub fn code_points(output: Output) -> [u8; 4] {
    match output {
        Output::Sdr => [1, 1, 0, 1],
        Output::Hlg => [9, 18, 0, 1],
        Output::Pq => [9, 16, 0, 1],
    }
}

/// A picture as PNG.
///
/// # Errors
/// [`SignalError`] when the pixels do not fill the frame.
pub fn write(
    (width, height): (u32, u32),
    pixels: &[[f32; 3]],
    output: Output,
) -> Result<Vec<u8>, SignalError> {
    if u64::from(width) * u64::from(height) != pixels.len() as u64 {
        return Err(SignalError::Pixels { width, height, pixels: pixels.len() });
    }
    encode((width, height), &data(pixels, output), output)
}

/// A picture of SDR whose code values, 8 bits in full range, are known.
///
/// # Errors
/// [`SignalError`] when the pixels do not fill the frame.
pub fn write_codes(
    (width, height): (u32, u32),
    pixels: &[[u8; 3]],
) -> Result<Vec<u8>, SignalError> {
    if u64::from(width) * u64::from(height) != pixels.len() as u64 {
        return Err(SignalError::Pixels { width, height, pixels: pixels.len() });
    }
    encode((width, height), pixels.as_flattened(), Output::Sdr)
}

fn encode(
    (width, height): (u32, u32),
    data: &[u8],
    output: Output,
) -> Result<Vec<u8>, SignalError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(match output {
        Output::Sdr => png::BitDepth::Eight,
        Output::Hlg | Output::Pq => png::BitDepth::Sixteen,
    });
    encoder.set_compression(png::Compression::Fast);
    let mut writer = encoder.write_header()?;
    // the encoder knows the chunk, but does not write it by itself
    writer.write_chunk(png::chunk::cICP, &code_points(output))?;
    writer.write_image_data(data)?;
    writer.finish()?;
    Ok(bytes)
}

/// Code values, 16 bits with the high byte first.
fn data(pixels: &[[f32; 3]], output: Output) -> Vec<u8> {
    let channels = pixels.iter().flatten();
    let code = |signal: &f32, bits: u32| CodeRange::Full.code(f64::from(*signal), bits);
    match output {
        Output::Sdr => channels.map(|signal| code(signal, 8) as u8).collect(),
        Output::Hlg | Output::Pq => {
            channels.flat_map(|signal| (code(signal, 16) as u16).to_be_bytes()).collect()
        }
    }
}
