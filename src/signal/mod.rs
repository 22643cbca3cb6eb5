//! From light to a video signal, and from one kind of signal to another.
//!
//! In: luminance and colour of what a camera looks at (CIE 1931 tristimulus values, cd/m2),
//! its exposure and white balance. Out: the signals of a production, 0 to 1 over their nominal
//! range, their code values, and pictures as PNG.
//!
//! A *level* is linear and scene-referred: 1 is reference white, the luminance that the iris
//! puts at 100 % of SDR, at 75 % of HLG and at 203 cd/m2 of PQ. A *signal* is what is recorded
//! of it. *Display light* is what a reference monitor makes of a signal, cd/m2.
//!
//! | question | where | after |
//! | --- | --- | --- |
//! | signal of SDR, and what a monitor makes of it | [`sdr`] | Rec. ITU-R BT.709, BT.1886 |
//! | signals of HDR | [`hlg`], [`pq`] | Rec. ITU-R BT.2100 |
//! | colours of either | [`Primaries`] | BT.709, BT.2020, BT.2087 |
//! | code values | [`CodeRange`] | BT.709, BT.2100 |
//! | where white, grey, skin and grass belong | [`LEVELS`] | Report ITU-R BT.2408 |
//! | HDR to SDR and back | [`DownMapping`], [`sdr_into_hdr`] | Reports BT.2446, BT.2408 |
//! | level of a luminance by the iris that is set | [`CameraSensitivity`] | ISO 2720 |
//! | white balance | [`WhiteBalance`] | von Kries |
//! | knee, black stretch, gamma | [`Knee`], [`BlackStretch`], [`CameraCurve`] | |
//! | all of it for one pixel | [`Chain`] | |
//! | 8 bits of SDR for many | [`SdrCodes`] | |
//! | the way to each output of a production | [`Making`] | |
//! | pictures | [`png`] | PNG, third edition |

mod balance;
mod chain;
mod codes;
mod curve;
mod error;
mod exposure;
pub mod hlg;
mod knee;
mod levels;
mod making;
mod mapping;
mod method_c;
pub mod png;
pub mod pq;
mod primaries;
pub mod sdr;
mod sdr_codes;

pub use balance::WhiteBalance;
pub use chain::Chain;
pub use codes::CodeRange;
pub use curve::{BT709_GAMMA, CameraCurve};
pub use error::SignalError;
pub use exposure::{CHART_LUX, CHART_REFLECTANCE, CameraSensitivity, DB_PER_STOP, IrisSetting};
pub use knee::{BlackStretch, Knee};
pub use levels::{
    GREY_CARD_REFLECTANCE, LEVELS, PlacedTone, REFERENCE_PEAK_CD_PER_M2, REFERENCE_WHITE_CD_PER_M2,
    REFERENCE_WHITE_HLG, ReferenceLevel,
};
pub use making::Making;
pub use mapping::{DirectMapping, DownMapping, hdr_to_sdr, sdr_into_hdr};
pub use method_c::MethodC;
pub use primaries::Primaries;
pub use sdr_codes::SdrCodes;

pub use crate::venue::Output;
