//! How one output of a production is made of what a camera gives.
//!
//! In: the production, the curve of the camera, the stops over white that its sensor keeps. Out:
//! the signal of a grey of any level, and how many stops over white are left in it.

use crate::venue::{Output, Production, SdrFrom};

use super::curve::CameraCurve;
use super::knee::BlackStretch;
use super::mapping::{DirectMapping, DownMapping, hdr_to_sdr};
use super::method_c::MethodC;

/// The way to an output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Making {
    /// SDR by the camera's own curve.
    Sdr(CameraCurve),
    /// HLG or PQ.
    Hdr(Output, BlackStretch),
    /// SDR of an HDR signal.
    SdrOf { hdr: Output, by: DownMapping, black_stretch: BlackStretch },
}

impl DownMapping {
    /// The mapping that a file names; `None` where SDR comes from the cameras.
    pub fn named(name: SdrFrom) -> Option<Self> {
        match name {
            SdrFrom::MethodC => Some(Self::MethodC(MethodC::REPORT)),
            SdrFrom::DisplayLight => Some(Self::Direct(DirectMapping::DisplayLight)),
            SdrFrom::SceneLight => Some(Self::Direct(DirectMapping::SceneLight)),
            SdrFrom::Camera => None,
        }
    }
}

impl Making {
    /// How a production makes one of its outputs from a camera of a curve.
    pub fn of(production: &Production, output: Output, curve: &CameraCurve) -> Self {
        let black_stretch = curve.black_stretch;
        let from_hdr = production.hdr_for_sdr().zip(DownMapping::named(production.sdr_from));
        match (output, from_hdr) {
            (Output::Sdr, Some((hdr, by))) => Self::SdrOf { hdr, by, black_stretch },
            (Output::Sdr, None) => Self::Sdr(*curve),
            (hdr, _) => Self::Hdr(hdr, black_stretch),
        }
    }

    /// What is made.
    pub fn output(&self) -> Output {
        match self {
            Self::Sdr(_) | Self::SdrOf { .. } => Output::Sdr,
            Self::Hdr(hdr, _) => *hdr,
        }
    }

    /// Signal of a grey of a level, 1 at reference white. SDR of HDR may lie over 1, in the
    /// room that a narrow range has there.
    pub fn of_level(&self, level: f64) -> f64 {
        match self {
            Self::Sdr(curve) => curve.sdr(level),
            Self::Hdr(hdr, stretch) => hdr.of_level(stretch.of(level)),
            Self::SdrOf { hdr, by, black_stretch } => {
                hdr_to_sdr([hdr.of_level(black_stretch.of(level)); 3], *hdr, *by)[1]
            }
        }
    }

    /// Stops over white with detail in the output, of so many that the camera itself keeps.
    pub fn keeps_over_stops(&self, camera_keeps_stops: f64) -> f64 {
        match self {
            Self::Sdr(curve) => curve.sdr_keeps_stops,
            Self::Hdr(hdr, _) => camera_keeps_stops.min(hdr.headroom_stops()),
            Self::SdrOf { hdr, by: DownMapping::MethodC(_), .. } => {
                camera_keeps_stops.min(hdr.headroom_stops())
            }
            // what is over reference white is clipped
            Self::SdrOf { by: DownMapping::Direct(_), .. } => 0.0,
        }
    }
}
