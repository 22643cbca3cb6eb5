//! From light to the signals of each output, and what is lost on the way.
//!
//! In: a [`LinearPicture`] and how the camera is set. Out: [`Developed`]: signals of SDR by
//! the camera's knee, of HDR, and of the SDR that is made of the HDR; and for each pixel the
//! [`ToneZone`] that it lies in.

use rayon::prelude::*;

use super::expose::Set;
use crate::engine::view::LinearPicture;
use crate::light::Tristimulus;
use crate::signal::{DownMapping, MethodC, Output};
use crate::venue::Production;

/// Signals, red, green and blue, 0 to 1, row by row from the top left.
pub type Signals = Vec<[f32; 3]>;

/// The HDR that is shown, and how SDR is made of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hdr {
    pub output: Output,
    pub sdr_by: DownMapping,
}

impl Hdr {
    /// What is asked for, else what the production makes, else HLG; SDR as the production makes
    /// it of HDR, else by Report ITU-R BT.2446, method C.
    pub fn of(production: Option<&Production>, asked: Option<Output>) -> Self {
        let made = production.and_then(|p| p.makes.iter().copied().find(|o| *o != Output::Sdr));
        let named = production.and_then(|p| DownMapping::named(p.sdr_from));
        Self {
            output: asked.or(made).unwrap_or(Output::Hlg),
            sdr_by: named.unwrap_or(DownMapping::MethodC(MethodC::REPORT)),
        }
    }
}

/// A picture in each output.
#[derive(Debug, Clone)]
pub struct Developed {
    pub size: [usize; 2],
    pub sdr: Signals,
    /// What `hdr` says.
    pub hdr_signals: Signals,
    pub hdr: Output,
    pub sdr_of_hdr: Signals,
}

fn light(values: &[f32; 3]) -> Tristimulus {
    Tristimulus::from(values.map(f64::from))
}

/// Signals of SDR alone.
pub fn sdr(picture: &LinearPicture, set: &Set) -> Signals {
    let one = |values: &[f32; 3]| {
        set.chain.signal(light(values), Output::Sdr).map(|signal| signal as f32)
    };
    picture.light.par_iter().with_min_len(4096).map(one).collect()
}

/// Signals of the SDR that is made of the HDR.
pub fn sdr_of(picture: &LinearPicture, set: &Set, hdr: Hdr) -> Signals {
    let Hdr { output, sdr_by } = hdr;
    let one = |values: &[f32; 3]| {
        set.chain.sdr_of(light(values), output, sdr_by).map(|signal| signal as f32)
    };
    picture.light.par_iter().with_min_len(4096).map(one).collect()
}

impl Developed {
    pub fn new(picture: &LinearPicture, set: &Set, hdr: Hdr) -> Self {
        let pixels = picture.light.par_iter().with_min_len(4096);
        let small = |signal: [f64; 3]| signal.map(|s| s as f32);
        Self {
            size: picture.size,
            sdr: sdr(picture, set),
            hdr_signals: pixels.map(|v| small(set.chain.signal(light(v), hdr.output))).collect(),
            sdr_of_hdr: sdr_of(picture, set, hdr),
            hdr: hdr.output,
        }
    }
}

/// Where a pixel lies on the camera's scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ToneZone {
    /// Under the darkest tone with detail.
    Crushed,
    /// Less than a stop over it.
    NearBlack,
    Kept,
    /// Over white, kept by the knee.
    InKnee,
    /// Over all that is kept, by less than a stop.
    Clipped,
    /// By more.
    FarClipped,
}

impl ToneZone {
    pub const ALL: [Self; 6] =
        [Self::Crushed, Self::NearBlack, Self::Kept, Self::InKnee, Self::Clipped, Self::FarClipped];

    pub fn is_clipped(self) -> bool {
        matches!(self, Self::Clipped | Self::FarClipped)
    }
}

/// Where the zones of an output begin and end, 1 at white.
struct Zones {
    /// The brightest that is kept.
    kept: f64,
    /// The darkest tone with detail.
    black: f64,
}

impl Zones {
    fn new(set: &Set, output: Output) -> Self {
        let kept = keeps_over_stops(set, output).exp2();
        Self { kept, black: (-set.under_white_stops).exp2() }
    }

    /// That of a level, by its brightest channel and its luminance.
    fn of(&self, levels: [f64; 3], luminance: f64) -> ToneZone {
        let brightest = levels.into_iter().fold(0.0, f64::max);
        if brightest >= 2.0 * self.kept {
            ToneZone::FarClipped
        } else if brightest >= self.kept {
            ToneZone::Clipped
        } else if brightest > 1.0 {
            ToneZone::InKnee
        } else if luminance < self.black {
            ToneZone::Crushed
        } else if luminance < 2.0 * self.black {
            ToneZone::NearBlack
        } else {
            ToneZone::Kept
        }
    }
}

/// Stops over white that an output keeps of what the camera sees.
pub fn keeps_over_stops(set: &Set, output: Output) -> f64 {
    match output {
        Output::Sdr => set.knee_stops,
        Output::Hlg | Output::Pq => output.headroom_stops().min(set.chain.sensor_stops),
    }
}

/// The zone of each pixel in an output.
pub fn zones(picture: &LinearPicture, set: &Set, output: Output) -> Vec<ToneZone> {
    let of_output = Zones::new(set, output);
    let white = set.white.cd_per_m2().max(1e-9);
    let one = |values: &[f32; 3]| {
        let levels = set.chain.balance.camera_colours(light(values)).map(|c| c / white);
        of_output.of(levels, f64::from(values[1]) / white)
    };
    picture.light.par_iter().with_min_len(4096).map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::DirectMapping;
    use crate::venue::SdrFrom;

    #[test]
    fn what_is_asked_for_comes_before_what_the_production_makes() {
        let production = Production {
            makes: vec![Output::Sdr, Output::Pq],
            shades_on: Output::Sdr,
            sdr_from: SdrFrom::SceneLight,
        };
        let by = DownMapping::Direct(DirectMapping::SceneLight);
        let made = Hdr::of(Some(&production), None);
        assert_eq!(made, Hdr { output: Output::Pq, sdr_by: by });
        assert_eq!(Hdr::of(Some(&production), Some(Output::Hlg)).output, Output::Hlg);
        let plain = Hdr::of(None, None);
        assert_eq!(plain.output, Output::Hlg);
        assert_eq!(plain.sdr_by, DownMapping::MethodC(MethodC::REPORT));
    }
}
