//! All that lies between a lens and a signal, for one pixel.
//!
//! In: light that comes to the lens, tristimulus values with `y` in cd/m2. Out: red, green and
//! blue of an output, 0 to 1.

use crate::base::units::Luminance;
use crate::light::Tristimulus;
use crate::venue::Output;

use super::balance::WhiteBalance;
use super::curve::CameraCurve;
use super::mapping::{DownMapping, hdr_to_sdr, reference_white, signal_of_scene};
use super::primaries::Primaries;
use super::sdr;

impl Output {
    /// Stops over reference white up to the peak of the signal; PQ as it is made here, at
    /// 1000 cd/m2. Of SDR none: what a knee keeps is the camera's.
    ///
    /// ```
    /// use quarterstop::signal::Output;
    /// assert!((Output::Hlg.headroom_stops() - 1.92).abs() < 0.01);
    /// assert_eq!(Output::Sdr.headroom_stops(), 0.0);
    /// ```
    pub fn headroom_stops(self) -> f64 {
        match self {
            Self::Sdr => 0.0,
            Self::Hlg | Self::Pq => -reference_white().log2(),
        }
    }

    /// Signal of a grey of a level, 1 at reference white, without a knee, clipped at the peak.
    ///
    /// ```
    /// use quarterstop::signal::Output;
    /// // Report ITU-R BT.2408, table 1: white card and grey card
    /// assert!((Output::Hlg.of_level(1.0) - 0.75).abs() < 1e-9);
    /// assert!((Output::Pq.of_level(0.18) - 0.38).abs() < 5e-3);
    /// ```
    pub fn of_level(self, level: f64) -> f64 {
        match self {
            Self::Sdr => sdr::oetf(level.clamp(0.0, 1.0)),
            Self::Hlg | Self::Pq => {
                let scene = (reference_white() * level).clamp(0.0, 1.0);
                signal_of_scene([scene; 3], self)[1]
            }
        }
    }
}

/// A camera as it is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// The luminance that lies at reference white.
    pub white: Luminance,
    pub balance: WhiteBalance,
    pub curve: CameraCurve,
    /// Stops over white at which the sensor clips, whatever the output.
    pub sensor_stops: f64,
}

impl Chain {
    /// Linear red, green and blue, 1 at reference white, primaries of BT.709, as the sensor
    /// gives them: nothing over where it clips, and darkness where nothing lies at white.
    pub fn levels(&self, light: Tristimulus) -> [f64; 3] {
        self.levels_up_to(self.clips(), light)
    }

    /// The level at which the sensor clips.
    pub(super) fn clips(&self) -> f64 {
        self.sensor_stops.exp2()
    }

    /// The same where that is known.
    pub(super) fn levels_up_to(&self, clips: f64, light: Tristimulus) -> [f64; 3] {
        let white = self.white.cd_per_m2();
        if white <= 0.0 {
            return [0.0; 3];
        }
        let colours = self.balance.camera_colours(light);
        colours.map(|channel| (channel / white).min(clips))
    }

    /// The signal of an output, clipped to 0 to 1.
    pub fn signal(&self, light: Tristimulus, output: Output) -> [f64; 3] {
        let levels = self.levels(light);
        match output {
            Output::Sdr => levels.map(|level| self.curve.sdr(level).clamp(0.0, 1.0)),
            Output::Hlg | Output::Pq => {
                let wide = Primaries::Bt709.into(Primaries::Bt2020, levels);
                let scene = wide.map(|level| {
                    let level = self.curve.black_stretch.of(level.max(0.0));
                    (reference_white() * level).min(1.0)
                });
                signal_of_scene(scene, output).map(|signal| signal.clamp(0.0, 1.0))
            }
        }
    }

    /// SDR that is made of the HDR signal, clipped to 0 to 1.
    pub fn sdr_of(&self, light: Tristimulus, hdr: Output, by: DownMapping) -> [f64; 3] {
        let signal = self.signal(light, hdr);
        hdr_to_sdr(signal, hdr, by).map(|signal| signal.clamp(0.0, 1.0))
    }
}
