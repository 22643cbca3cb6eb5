//! From HDR to SDR and back.
//!
//! In and out: signals, 0 to 1 (SDR up to 1.09 where highlights are kept over white). SDR has
//! the colours of BT.709, HDR those of BT.2020; colours that BT.709 has not are clipped, the
//! simple form of Report ITU-R BT.2407.

use crate::venue::Output;

use super::levels::{REFERENCE_PEAK_CD_PER_M2, REFERENCE_WHITE_CD_PER_M2, REFERENCE_WHITE_HLG};
use super::method_c::MethodC;
use super::primaries::Primaries;
use super::sdr::DISPLAY_WHITE_CD_PER_M2;
use super::{hlg, pq, sdr};

/// How SDR is put into HDR and taken back, white at reference white: Report ITU-R BT.2408, 5.1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DirectMapping {
    /// As it looks on a monitor: graphics, recorded pictures (BT.2408, 5.1.1 to 5.1.3).
    DisplayLight,
    /// As the cameras saw it: SDR cameras beside HDR cameras (BT.2408, 5.1.4).
    SceneLight,
}

/// How HDR becomes SDR.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DownMapping {
    /// Report ITU-R BT.2446, method C: highlights are kept, squeezed.
    MethodC(MethodC),
    /// Report ITU-R BT.2408 the other way: what is over reference white is clipped.
    Direct(DirectMapping),
}

/// SDR of an HDR signal; `hdr` says which. SDR and what is clipped stays as it is.
pub fn hdr_to_sdr(signal: [f64; 3], hdr: Output, by: DownMapping) -> [f64; 3] {
    let into_709 = |light: [f64; 3]| Primaries::Bt2020.into(Primaries::Bt709, light);
    let on_monitor =
        |cd_per_m2: f64| sdr::eotf_inverse(cd_per_m2.max(0.0), DISPLAY_WHITE_CD_PER_M2, 0.0);
    match (hdr, by) {
        (Output::Sdr, _) => signal,
        (_, DownMapping::MethodC(method)) => {
            into_709(method.colour(display_light(signal, hdr))).map(on_monitor)
        }
        (_, DownMapping::Direct(DirectMapping::DisplayLight)) => {
            let scale = DISPLAY_WHITE_CD_PER_M2 / REFERENCE_WHITE_CD_PER_M2;
            into_709(display_light(signal, hdr)).map(|light| on_monitor(light * scale).min(1.0))
        }
        (_, DownMapping::Direct(DirectMapping::SceneLight)) => {
            let light = scene_light(signal, hdr).map(|light| light / reference_white());
            into_709(light).map(|level| sdr::oetf(level.clamp(0.0, 1.0)))
        }
    }
}

/// HDR of an SDR signal; `hdr` says which.
pub fn sdr_into_hdr(signal: [f64; 3], hdr: Output, by: DirectMapping) -> [f64; 3] {
    let into_2020 = |light: [f64; 3]| Primaries::Bt709.into(Primaries::Bt2020, light);
    match (hdr, by) {
        (Output::Sdr, _) => signal,
        (_, DirectMapping::DisplayLight) => {
            let light = signal.map(|s| sdr::eotf(s, REFERENCE_WHITE_CD_PER_M2, 0.0));
            signal_of_display(into_2020(light), hdr)
        }
        (_, DirectMapping::SceneLight) => {
            let light = signal.map(|s| reference_white() * sdr::oetf_inverse(s));
            signal_of_scene(into_2020(light), hdr)
        }
    }
}

/// Scene light of reference white, over the peak of HLG: 0.265.
pub(super) fn reference_white() -> f64 {
    hlg::oetf_inverse(REFERENCE_WHITE_HLG)
}

/// HDR signal of scene light, 1 at the peak of HLG. PQ takes the display light of HLG at
/// 1000 cd/m2, the common reference of BT.2408, 6.2 and 6.3.
pub(super) fn signal_of_scene(scene: [f64; 3], hdr: Output) -> [f64; 3] {
    match hdr {
        Output::Pq => hlg::ootf(scene, REFERENCE_PEAK_CD_PER_M2).map(pq::eotf_inverse),
        Output::Hlg | Output::Sdr => scene.map(hlg::oetf),
    }
}

fn signal_of_display(display: [f64; 3], hdr: Output) -> [f64; 3] {
    match hdr {
        Output::Pq => display.map(pq::eotf_inverse),
        Output::Hlg | Output::Sdr => hlg::eotf_inverse(display, REFERENCE_PEAK_CD_PER_M2),
    }
}

fn display_light(signal: [f64; 3], hdr: Output) -> [f64; 3] {
    match hdr {
        Output::Pq => signal.map(pq::eotf),
        Output::Hlg | Output::Sdr => hlg::eotf(signal, REFERENCE_PEAK_CD_PER_M2, 0.0),
    }
}

fn scene_light(signal: [f64; 3], hdr: Output) -> [f64; 3] {
    match hdr {
        Output::Pq => hlg::ootf_inverse(signal.map(pq::eotf), REFERENCE_PEAK_CD_PER_M2),
        Output::Hlg | Output::Sdr => signal.map(hlg::oetf_inverse),
    }
}
