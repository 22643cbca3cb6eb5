//! Curves, colours and code values of signals against another library and the numbers of the
//! recommendations.

use quarterstop::signal::*;

const CURVES: &str = include_str!("data/signal_curves.csv");
const HLG: &str = include_str!("data/signal_hlg.csv");
const COLOURS: &str = include_str!("data/signal_colours.csv");
/// What the files' digits and the recommendations' printed constants leave open.
const SIGNAL: f64 = 1e-7;
/// 4.5 x 0.018 = 0.081 under the end of BT.709's foot, 1.099 x 0.018^0.45 - 0.099 = 0.0812 over
/// it: a level of 6e-5 apart.
const BT709_STEP: f64 = 6.1e-5;

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().skip(2).map(|line| line.split(',').collect())
}

fn numbers(row: &[&str]) -> Vec<f64> {
    row.iter().map(|cell| cell.parse().unwrap()).collect()
}

/// `tests/data/signal_curves.csv`: colour-science. A PQ curve is compared as a signal: near
/// black a hundred times the light is a hundredth of the signal, so a light is held to by the
/// signal that it makes, and by its own size only where a code value of 12 bits is told apart.
#[test]
fn curves_are_those_of_another_library() {
    let mut compared = 0;
    for row in rows(CURVES) {
        let (input, expected) = (row[1].parse::<f64>().unwrap(), row[2].parse::<f64>().unwrap());
        let found = match row[0] {
            "bt709_oetf" => sdr::oetf(input),
            "bt709_oetf_inverse" => sdr::oetf_inverse(input),
            "bt1886_eotf_100_0" => sdr::eotf(input, 100.0, 0.0) / 100.0,
            "bt1886_eotf_100_0.1" => sdr::eotf(input, 100.0, 0.1) / 100.0,
            "bt1886_eotf_inverse_100_0.1" => sdr::eotf_inverse(input, 100.0, 0.1),
            "hlg_oetf" => hlg::oetf(input),
            "hlg_oetf_inverse" => hlg::oetf_inverse(input),
            "pq_eotf" => {
                assert!(input < 0.02 || (pq::eotf(input) / expected - 1.0).abs() < 1e-6, "{row:?}");
                pq::eotf_inverse(pq::eotf(input))
            }
            "pq_eotf_inverse" => pq::eotf_inverse(input),
            other => panic!("{other}"),
        };
        let expected = match row[0] {
            name if name.starts_with("bt1886_eotf_100") => expected / 100.0,
            "pq_eotf" => pq::eotf_inverse(expected),
            _ => expected,
        };
        let within = match row[0] {
            // between the parts, which the rounded constants leave apart, no level makes a signal
            "bt709_oetf_inverse" if (0.081..0.0813).contains(&input) => BT709_STEP,
            _ => SIGNAL,
        };
        assert!((found - expected).abs() < within, "{row:?}: {found}");
        compared += 1;
    }
    assert_eq!(compared, 117);
}

/// `tests/data/signal_hlg.csv`: colour-science; display light to a millionth of the peak.
#[test]
fn hlg_on_a_display_is_that_of_another_library() {
    for row in rows(HLG) {
        let v = numbers(&row);
        let (peak, black, signal) = (v[0], v[1], [v[3], v[4], v[5]]);
        assert!((hlg::system_gamma(peak) - v[2]).abs() < 1e-9, "{row:?}");
        let display = hlg::eotf(signal, peak, black);
        let ootf = hlg::ootf(signal, peak);
        for c in 0..3 {
            assert!((display[c] - v[6 + c]).abs() < 1e-6 * peak, "{row:?}: {display:?}");
            assert!((ootf[c] - v[9 + c]).abs() < 1e-6 * peak, "{row:?}: {ootf:?}");
        }
        let back = hlg::eotf_inverse(hlg::eotf(signal, peak, 0.0), peak);
        for c in 0..3 {
            assert!((back[c] - signal[c]).abs() < 1e-9, "{row:?}: {back:?}");
        }
    }
}

/// BT.2100-2, table 5, note 5f: 1.2 at 1000 cd/m2 and 0.42 for a tenfold of it; the extended
/// form for displays beyond 400 to 2000 cd/m2 (BT.2390-8, 6.2) gives 1.2 x 1.111^2 at 4000.
#[test]
fn system_gamma_follows_the_peak() {
    assert!((hlg::system_gamma(1000.0) - 1.2).abs() < 1e-12);
    assert!((hlg::system_gamma(2000.0) - 1.3264).abs() < 1e-4);
    assert!((hlg::system_gamma(4000.0) - 1.2 * 1.111 * 1.111).abs() < 1e-12);
}

/// `tests/data/signal_colours.csv`: colour-science; and the matrix that BT.2087-0 prints for
/// BT.709 into BT.2020 (M2), four digits.
#[test]
fn colours_are_those_of_another_library_and_of_bt_2087() {
    for row in rows(COLOURS) {
        let v = numbers(&row);
        let xyz = [v[0], v[1], v[2]];
        let narrow = Primaries::Bt709.from_xyz(xyz);
        let wide = Primaries::Bt2020.from_xyz(xyz);
        let across = Primaries::Bt709.into(Primaries::Bt2020, narrow);
        let back = Primaries::Bt2020.to_xyz(wide);
        for c in 0..3 {
            assert!((narrow[c] - v[3 + c]).abs() < 1e-8, "{row:?}: {narrow:?}");
            assert!((wide[c] - v[6 + c]).abs() < 1e-8, "{row:?}: {wide:?}");
            assert!((across[c] - wide[c]).abs() < 1e-12, "{row:?}");
            assert!((back[c] - xyz[c]).abs() < 1e-12, "{row:?}");
        }
    }
    let printed = [[0.6274, 0.3293, 0.0433], [0.0691, 0.9195, 0.0114], [0.0164, 0.0880, 0.8956]];
    for (c, unit) in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].into_iter().enumerate() {
        let column = Primaries::Bt709.into(Primaries::Bt2020, unit);
        for r in 0..3 {
            assert!((column[r] - printed[r][c]).abs() < 5.1e-5, "{column:?}");
        }
    }
    // BT.709-6 item 3.2 and BT.2020-2 table 4: weights of luma
    for (primaries, printed) in [
        (Primaries::Bt709, [0.2126, 0.7152, 0.0722]),
        (Primaries::Bt2020, [0.2627, 0.6780, 0.0593]),
    ] {
        for (found, printed) in primaries.luminance().iter().zip(printed) {
            assert!((found - printed).abs() < 5.1e-5, "{found} {printed}");
        }
    }
}

/// BT.709-6 items 3.4 to 3.6 and BT.2100-2 table 9: black, white, peak and what is reserved.
#[test]
fn code_values_are_those_of_the_recommendations() {
    for (range, bits, signal, code) in [
        (CodeRange::Narrow, 8, 0.0, 16),
        (CodeRange::Narrow, 8, 1.0, 235),
        (CodeRange::Narrow, 8, 1.2, 254),
        (CodeRange::Narrow, 8, -0.2, 1),
        (CodeRange::Narrow, 10, 0.0, 64),
        (CodeRange::Narrow, 10, 1.0, 940),
        (CodeRange::Narrow, 10, 0.5, 502),
        (CodeRange::Narrow, 10, 1.2, 1019),
        (CodeRange::Narrow, 10, -0.2, 4),
        (CodeRange::Narrow, 12, 1.0, 3760),
        // HLG reference white in 10 bits, BT.2408-8 table of line-up levels: 721
        (CodeRange::Narrow, 10, 0.75, 721),
        (CodeRange::Full, 8, 1.0, 255),
        (CodeRange::Full, 10, 1.0, 1023),
        (CodeRange::Full, 12, 0.5, 2048),
        (CodeRange::Full, 16, 1.7, 65_535),
        (CodeRange::Full, 10, f64::NAN, 0),
    ] {
        assert_eq!(range.code(signal, bits), code, "{range:?} {bits} {signal}");
    }
    for range in [CodeRange::Narrow, CodeRange::Full] {
        for code in [64, 500, 940] {
            assert_eq!(range.code(range.signal(code, 10), 10), code);
        }
    }
}
