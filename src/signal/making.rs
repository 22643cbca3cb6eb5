//! How one output of a production is made of what a camera gives.
//!
//! In: the production, the stops over white that the camera keeps. Out: the signal of a grey of
//! any level, and how many stops over white are left in it.

use crate::venue::{Output, Production, SdrFrom};

use super::knee::Knee;
use super::mapping::{DirectMapping, DownMapping, hdr_to_sdr};
use super::method_c::MethodC;
use super::sdr;

/// The way to an output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Making {
    /// SDR by the camera's own knee.
    Sdr(Knee),
    /// HLG or PQ.
    Hdr(Output),
    /// SDR of an HDR signal.
    SdrOf { hdr: Output, by: DownMapping },
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
    /// How a production makes one of its outputs from a camera that keeps so many stops over
    /// white.
    pub fn of(production: &Production, output: Output, camera_keeps_stops: f64) -> Self {
        let from_hdr = production.hdr_for_sdr().zip(DownMapping::named(production.sdr_from));
        match (output, from_hdr) {
            (Output::Sdr, Some((hdr, by))) => Self::SdrOf { hdr, by },
            (Output::Sdr, None) => {
                Self::Sdr(Knee::reaching(Knee::DEFAULT_POINT, camera_keeps_stops, 1.0))
            }
            (hdr, _) => Self::Hdr(hdr),
        }
    }

    /// What is made.
    pub fn output(&self) -> Output {
        match self {
            Self::Sdr(_) | Self::SdrOf { .. } => Output::Sdr,
            Self::Hdr(hdr) => *hdr,
        }
    }

    /// Signal of a grey of a level, 1 at reference white. SDR of HDR may lie over 1, in the
    /// room that a narrow range has there.
    pub fn of_level(&self, level: f64) -> f64 {
        match self {
            Self::Sdr(knee) => knee.of(sdr::oetf(level.max(0.0))),
            Self::Hdr(hdr) => hdr.of_level(level),
            Self::SdrOf { hdr, by } => hdr_to_sdr([hdr.of_level(level); 3], *hdr, *by)[1],
        }
    }

    /// Stops over white with detail in the output, of so many that the camera keeps.
    pub fn keeps_over_stops(&self, camera_keeps_stops: f64) -> f64 {
        match self {
            Self::Sdr(_) => camera_keeps_stops,
            Self::Hdr(hdr) => camera_keeps_stops.min(hdr.headroom_stops()),
            Self::SdrOf { hdr, by: DownMapping::MethodC(_) } => {
                camera_keeps_stops.min(hdr.headroom_stops())
            }
            // what is over reference white is clipped
            Self::SdrOf { by: DownMapping::Direct(_), .. } => 0.0,
        }
    }
}
