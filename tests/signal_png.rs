//! Pictures of signals as files, read back: by the decoder of crate `png`, which parses `cICP`
//! by itself while it is written here as bytes; by `tests/reference/read_png.py` with pypng,
//! another reader, over the files that `write_samples` leaves.

use std::io::Cursor;

use quarterstop::signal::{Output, SignalError, png as picture};

/// A ramp of grey and of each colour.
fn ramps(width: u32) -> Vec<[f32; 3]> {
    let row = |channels: [f32; 3]| {
        (0..width).map(move |i| channels.map(|c| c * i as f32 / (width - 1) as f32))
    };
    let rows = [[1.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    rows.into_iter().flat_map(row).collect()
}

#[test]
fn files_say_what_they_are_and_keep_every_value() {
    let pixels = ramps(257);
    for (output, bits, primaries, transfer) in
        [(Output::Sdr, 8, 1, 1), (Output::Hlg, 16, 9, 18), (Output::Pq, 16, 9, 16)]
    {
        let bytes = picture::write((257, 4), &pixels, output).unwrap();
        let mut reader = png::Decoder::new(Cursor::new(&bytes)).read_info().unwrap();
        let info = reader.info();
        assert_eq!((info.width, info.height, info.bit_depth as u8), (257, 4, bits));
        // PNG third edition, 11.3.2.6, and the numbers of Rec. ITU-T H.273, tables 2 and 3
        let points = info.coding_independent_code_points.unwrap();
        assert_eq!((points.color_primaries, points.transfer_function), (primaries, transfer));
        assert_eq!(points.matrix_coefficients, 0);
        assert!(points.is_video_full_range_image);
        let mut data = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut data).unwrap();
        let most = f64::from((1_u32 << bits) - 1);
        let values: Vec<f64> = match bits {
            8 => data.iter().map(|b| f64::from(*b)).collect(),
            _ => {
                data.chunks_exact(2).map(|b| f64::from(u16::from_be_bytes([b[0], b[1]]))).collect()
            }
        };
        assert_eq!(values.len(), 3 * pixels.len());
        for (value, signal) in values.iter().zip(pixels.iter().flatten()) {
            assert!((value - most * f64::from(*signal)).abs() <= 0.5001, "{value} {signal}");
        }
    }
}

#[test]
fn pixels_that_do_not_fill_the_frame_are_refused() {
    let error = picture::write((3, 2), &[[0.0; 3]; 5], Output::Hlg).unwrap_err();
    assert_eq!(error, SignalError::Pixels { width: 3, height: 2, pixels: 5 });
    assert!(error.to_string().contains("3 x 2"));
    assert!(picture::write((0, 0), &[], Output::Sdr).is_err());
}

/// `cargo test --test suite signal_png::write_samples -- --ignored`, then
/// `python3 tests/reference/read_png.py target/signal-*.png`.
#[test]
#[ignore = "leaves files for another reader"]
fn write_samples() {
    for (name, output) in [("sdr", Output::Sdr), ("hlg", Output::Hlg), ("pq", Output::Pq)] {
        let bytes = picture::write((257, 4), &ramps(257), output).unwrap();
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target");
        std::fs::write(folder.join(format!("signal-{name}.png")), bytes).unwrap();
    }
}
