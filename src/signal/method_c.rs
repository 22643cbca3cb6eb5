//! HDR to SDR: method C of Report ITU-R BT.2446.
//!
//! In: display light of HDR, cd/m2, colours of BT.2020. Out: display light of SDR, cd/m2 on a
//! monitor of 100, colours of BT.2020; what was over reference white may lie over 100, up to
//! 118.
//!
//! The method draws colours together, so that none of them is clipped alone, maps luminance
//! along a line that bends into a logarithm, and takes the colours apart again. The report
//! states it as an example to be varied, with a further step that fades colours over
//! reference white; that step is left out here (its sigma is 0).

use super::primaries::Primaries;

/// Constants of the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MethodC {
    /// Slope of the line.
    pub k1: f64,
    /// How softly the line bends.
    pub k3: f64,
    /// SDR luminance where it bends, cd/m2.
    pub bend_cd_per_m2: f64,
    /// How much of each other colour goes into one: 0 to 0.33.
    pub crosstalk: f64,
}

impl MethodC {
    /// BT.2446-1, 6.1.4: k1 = 0.83802, k3 = 0.74204, and k2 = 15.09968, k4 = 78.99439, both of
    /// which follow from a bend at 58.535 cd/m2, which the report rounds to 58.5. Of the crosstalk it leaves 0 to 0.33; a twentieth is what implementations take.
    pub const REPORT: Self =
        Self { k1: 0.838_02, k3: 0.742_04, bend_cd_per_m2: 58.535, crosstalk: 0.05 };

    /// The report's k2 and k4: value and slope of line and logarithm meet at the bend.
    pub fn k2_and_k4(&self) -> (f64, f64) {
        let k2 = (1.0 - self.k3) * self.bend_cd_per_m2;
        (k2, self.bend_cd_per_m2 - k2 * (1.0 - self.k3).ln())
    }

    /// SDR luminance of an HDR luminance, both cd/m2.
    pub fn luminance(&self, hdr_cd_per_m2: f64) -> f64 {
        let bend = self.bend_cd_per_m2 / self.k1;
        if hdr_cd_per_m2 < bend {
            return self.k1 * hdr_cd_per_m2.max(0.0);
        }
        let (k2, k4) = self.k2_and_k4();
        k2 * (hdr_cd_per_m2 / bend - self.k3).ln() + k4
    }

    /// HDR luminance of an SDR luminance: [`Self::luminance`] the other way.
    pub fn luminance_inverse(&self, sdr_cd_per_m2: f64) -> f64 {
        if sdr_cd_per_m2 < self.bend_cd_per_m2 {
            return sdr_cd_per_m2.max(0.0) / self.k1;
        }
        let (k2, k4) = self.k2_and_k4();
        (((sdr_cd_per_m2 - k4) / k2).exp() + self.k3) * self.bend_cd_per_m2 / self.k1
    }

    /// SDR display light of HDR display light.
    pub fn colour(&self, hdr: [f64; 3]) -> [f64; 3] {
        let drawn_together = self.mixed(hdr);
        let weights = Primaries::Bt2020.luminance();
        let luminance: f64 = drawn_together.iter().zip(weights).map(|(c, w)| c * w).sum();
        if luminance <= 0.0 {
            return [0.0; 3];
        }
        let scale = self.luminance(luminance) / luminance;
        self.unmixed(drawn_together.map(|channel| channel * scale))
    }

    fn mixed(&self, rgb: [f64; 3]) -> [f64; 3] {
        let sum: f64 = rgb.iter().sum();
        rgb.map(|channel| (1.0 - 3.0 * self.crosstalk) * channel + self.crosstalk * sum)
    }

    /// Sums stay as they are, so this is [`Self::mixed`] solved for the channel.
    fn unmixed(&self, rgb: [f64; 3]) -> [f64; 3] {
        let sum: f64 = rgb.iter().sum();
        rgb.map(|channel| (channel - self.crosstalk * sum) / (1.0 - 3.0 * self.crosstalk))
    }
}
