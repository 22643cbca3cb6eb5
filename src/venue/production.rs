//! What a production makes of the cameras' pictures, as the file states it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A signal that a production makes.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Output {
    /// Standard dynamic range, Rec. ITU-R BT.709.
    Sdr,
    /// Hybrid log-gamma, Rec. ITU-R BT.2100.
    Hlg,
    /// Perceptual quantisation, Rec. ITU-R BT.2100.
    Pq,
}

impl Output {
    /// As files spell it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sdr => "sdr",
            Self::Hlg => "hlg",
            Self::Pq => "pq",
        }
    }

    /// As people do.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sdr => "SDR",
            Self::Hlg => "HLG",
            Self::Pq => "PQ",
        }
    }
}

/// Where SDR comes from when HDR is made too.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SdrFrom {
    /// From HDR by Report ITU-R BT.2446, method C.
    #[default]
    MethodC,
    /// From HDR by Report ITU-R BT.2408, display light.
    DisplayLight,
    /// From HDR by Report ITU-R BT.2408, scene light.
    SceneLight,
    /// From an output of its own of each camera, with its knee.
    Camera,
}

/// What is made, and how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Production {
    /// At least one, none twice.
    pub makes: Vec<Output>,
    /// One of `makes`: the monitor that irises are set by.
    pub shades_on: Output,
    pub sdr_from: SdrFrom,
}

impl Production {
    /// The HDR signal that SDR is made of; `None` where it comes from the cameras.
    pub fn hdr_for_sdr(&self) -> Option<Output> {
        let hdr = self.makes.iter().copied().find(|output| *output != Output::Sdr);
        hdr.filter(|_| self.sdr_from != SdrFrom::Camera)
    }
}
