//! HDR to SDR and back, against the numbers of Reports ITU-R BT.2446 and BT.2408.

use quarterstop::signal::*;

const HDR: [Output; 2] = [Output::Hlg, Output::Pq];

/// BT.2446-1, 6.1.4: k2 = 15.09968, k4 = 78.99439, as four public programs print them for this
/// section (the report's own pages were not at hand). Both follow from k1, k3 and the bend; the
/// report prints the bend as 58.5 / k1.
#[test]
fn method_c_has_the_constants_of_the_report() {
    let (k2, k4) = MethodC::REPORT.k2_and_k4();
    assert!((k2 - 15.099_68).abs() < 5e-4, "{k2}");
    assert!((k4 - 78.994_39).abs() < 1e-3, "{k4}");
}

/// The constants from what the same section asks for (as public programs restate it): skin of
/// 50 % HLG becomes 70 % SDR, the bend lies at 80 % SDR, and reference white of 75 % HLG becomes
/// 96 % SDR; HLG on a display of 1000 cd/m2, SDR by BT.1886 on one of 100.
#[test]
fn method_c_follows_from_its_conditions() {
    let sdr_light = |signal: f64| 100.0 * signal.powf(2.4);
    let hlg_light = |signal: f64| 1000.0 * hlg::oetf_inverse(signal).powf(1.2);
    let MethodC { k1, k3, bend_cd_per_m2, .. } = MethodC::REPORT;
    assert!((sdr_light(0.7) / hlg_light(0.5) - k1).abs() < 1e-5);
    assert!((sdr_light(0.8) - bend_cd_per_m2).abs() < 1e-3);
    let white = hlg_light(0.75);
    let off = |k3: f64| MethodC { k3, ..MethodC::REPORT }.luminance(white) - sdr_light(0.96);
    let (mut low, mut high) = (0.5, 0.9);
    assert!(off(low) * off(high) < 0.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if off(low) * off(middle) <= 0.0 { high = middle } else { low = middle }
    }
    assert!((low - k3).abs() < 1e-5, "{low}");
}

/// By hand with the report's constants: under the bend (69.85 cd/m2) 26 cd/m2 become 0.83802 x
/// 26 = 21.79; reference white, 203, becomes 15.09968 ln(203/69.85 - 0.74204) + 78.99439 =
/// 90.65; the peak of 1000 becomes 118.37, which as a signal of BT.1886 is 107.3 %, within the
/// 109 % that a narrow range can carry.
#[test]
fn method_c_maps_white_and_peak_as_by_hand() {
    let map = MethodC::REPORT;
    for (hdr, sdr) in [(0.0, 0.0), (26.0, 21.79), (203.0, 90.65), (1000.0, 118.37)] {
        assert!((map.luminance(hdr) - sdr).abs() < 0.01, "{hdr}: {}", map.luminance(hdr));
        assert!((map.luminance_inverse(map.luminance(hdr)) - hdr).abs() < 1e-6);
    }
    assert!((sdr::eotf_inverse(map.luminance(1000.0), 100.0, 0.0) - 1.073).abs() < 1e-3);
    // line and logarithm meet with one slope
    let bend = map.bend_cd_per_m2 / map.k1;
    let slope = |at: f64| (map.luminance(at + 1e-4) - map.luminance(at - 1e-4)) / 2e-4;
    assert!((slope(bend - 0.01) - slope(bend + 0.01)).abs() < 1e-3);
}

/// A grey stays grey and is mapped as its luminance; a colour keeps its hue in the sense of
/// the method: what was most stays most, and nothing clips alone that is under the peak.
#[test]
fn method_c_keeps_greys_grey_and_the_order_of_channels() {
    for light in [1.0, 50.0, 203.0, 900.0] {
        let [r, g, b] = MethodC::REPORT.colour([light; 3]);
        let expected = MethodC::REPORT.luminance(light);
        assert!((r - expected).abs() < 1e-9 && (g - r).abs() < 1e-9 && (b - r).abs() < 1e-9);
    }
    let [r, g, b] = MethodC::REPORT.colour([300.0, 120.0, 60.0]);
    assert!(r > g && g > b && b > 0.0, "{r} {g} {b}");
    assert_eq!(MethodC::REPORT.colour([0.0; 3]), [0.0; 3]);
}

/// BT.2408, 5.1: white of SDR becomes reference white, 75 % of HLG and 58 % of PQ, by display
/// light and by scene light. By scene light a grey card of SDR lies where the HDR camera has
/// it, 38 % of both (table 1).
#[test]
fn sdr_goes_into_hdr_with_its_white_at_reference_white() {
    let grey = |signal: f64, hdr: Output, by: DirectMapping| {
        let [r, g, b] = sdr_into_hdr([signal; 3], hdr, by);
        assert!((r - g).abs() < 1e-9 && (b - g).abs() < 1e-9);
        100.0 * g
    };
    for by in [DirectMapping::DisplayLight, DirectMapping::SceneLight] {
        assert!((grey(1.0, Output::Hlg, by) - 75.0).abs() < 0.1);
        assert!((grey(1.0, Output::Pq, by) - 58.0).abs() < 0.2);
    }
    let card = sdr::oetf(0.18);
    for hdr in HDR {
        assert!((grey(card, hdr, DirectMapping::SceneLight) - 38.0).abs() < 0.5);
    }
    // display light: 203 cd/m2 x V^2.4, worked by hand for V = 0.5: 38.46 cd/m2
    let light = pq::eotf(grey(0.5, Output::Pq, DirectMapping::DisplayLight) / 100.0);
    assert!((light - 203.0 * 0.5_f64.powf(2.4)).abs() < 1e-6);
}

/// The way there and back is the same picture, for colours that both systems have; HLG and PQ
/// of one scene become the same SDR by method C.
#[test]
fn there_and_back_is_the_same_picture() {
    for signal in [[0.1, 0.1, 0.1], [0.9, 0.4, 0.3], [0.2, 0.7, 0.5], [1.0, 1.0, 1.0]] {
        for hdr in HDR {
            for by in [DirectMapping::DisplayLight, DirectMapping::SceneLight] {
                let there = sdr_into_hdr(signal, hdr, by);
                let back = hdr_to_sdr(there, hdr, DownMapping::Direct(by));
                for c in 0..3 {
                    assert!((back[c] - signal[c]).abs() < 1e-6, "{hdr:?} {by:?} {back:?}");
                }
            }
        }
        let of = |hdr: Output| {
            let there = sdr_into_hdr(signal, hdr, DirectMapping::SceneLight);
            hdr_to_sdr(there, hdr, DownMapping::MethodC(MethodC::REPORT))
        };
        let (hlg, pq) = (of(Output::Hlg), of(Output::Pq));
        for c in 0..3 {
            assert!((hlg[c] - pq[c]).abs() < 1e-6, "{hlg:?} {pq:?}");
        }
    }
    assert_eq!(hdr_to_sdr([0.4; 3], Output::Sdr, DownMapping::MethodC(MethodC::REPORT)), [0.4; 3]);
}

/// Whatever comes in, numbers come out.
#[test]
fn nothing_makes_a_signal_that_is_no_number() {
    for value in [-3.0, -1e-9, 0.0, 1e-300, 0.5, 1.0, 1.09, 40.0] {
        for hdr in HDR {
            for by in [
                DownMapping::MethodC(MethodC::REPORT),
                DownMapping::Direct(DirectMapping::DisplayLight),
                DownMapping::Direct(DirectMapping::SceneLight),
            ] {
                let out = hdr_to_sdr([value, 0.5, -value], hdr, by);
                assert!(out.iter().all(|c| c.is_finite()), "{value} {hdr:?} {by:?}: {out:?}");
            }
        }
    }
}
