//! Whether a viewer sees a small ball.
//!
//! In: luminances of ball and background (cd/m2), the white of the camera, the ball's size
//! in the picture. Out: the contrast on the screen and the contrast that is needed.

use crate::base::units::Luminance;

/// How a camera turns luminance into light of the screen. Up to white in proportion; over
/// white the knee squeezes its stops into the 5 % of signal over white that EBU R 103
/// allows, at the exponent 2.4 of ITU-R BT.1886; what is over that is clipped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    pub knee_stops: f64,
}

/// The screen of the viewer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screen {
    /// Of white.
    pub white_cd_per_m2: f64,
    /// How far off it is seen from, in heights of the picture.
    pub heights_away: f64,
}

impl Default for Screen {
    /// 100 cd/m2 (ITU-R BT.2035) at three heights of the picture (ITU-R BT.2022, design
    /// viewing distance of 1080 lines: 3.2, from memory).
    fn default() -> Self {
        Self { white_cd_per_m2: 100.0, heights_away: 3.2 }
    }
}

impl Screen {
    /// Size of something on the screen, minutes of arc, by its share of the picture's
    /// width.
    ///
    /// ```
    /// // one pixel of 1920 at 3.2 heights of a 16:9 picture is one minute of arc
    /// let screen = quarterstop::jobs::ball::physics::Screen::default();
    /// assert!((screen.arc_min(1.0 / 1920.0, 16.0 / 9.0) - 1.0).abs() < 0.01);
    /// ```
    pub fn arc_min(&self, share_of_width: f64, aspect: f64) -> f64 {
        let half = 0.5 * share_of_width * aspect / self.heights_away;
        2.0 * half.atan().to_degrees() * 60.0
    }
}

impl Tone {
    /// Light of the screen against its white, for a luminance where `white` is at white.
    pub fn shown(&self, luminance: Luminance, white: Luminance) -> f64 {
        let level = luminance.cd_per_m2() / white.cd_per_m2();
        if level <= 1.0 || level.is_nan() {
            return level.max(0.0);
        }
        // 1.05 of signal is so many stops of the screen's light
        let room_stops = 2.4 * 1.05_f64.log2();
        let over = level.log2().min(self.knee_stops);
        if self.knee_stops > 0.0 { (over / self.knee_stops * room_stops).exp2() } else { 1.0 }
    }

    /// Contrast of a ball on the screen: `(ball - background) / background`, without
    /// sign. Nothing where the background is black.
    pub fn contrast(&self, ball: Luminance, behind: Luminance, white: Luminance) -> f64 {
        let (ball, behind) = (self.shown(ball, white), self.shown(behind, white));
        if behind > 0.0 { (ball - behind).abs() / behind } else { 0.0 }
    }
}

/// Contrast at which a disc of so many minutes of arc is just seen with near certainty on
/// a background of a luminance (cd/m2): Adrian, Visibility of targets: model for
/// calculation, Lighting Research and Technology 21(4), 1989, young eyes, time to look,
/// brighter than its background, which fits Blackwell's discs (J. Opt. Soc. Am. 36, 1946):
/// `2.6 (sqrt(phi) / size + sqrt(l))^2 / background`, over 0.6 cd/m2 with `sqrt(phi) =
/// log10(4.1925 L^0.1556) + 0.1684 L^0.5867` and `sqrt(l) = 0.05946 L^0.466`. Backgrounds
/// under 0.6 cd/m2 count as 0.6, discs over 60 minutes as 60.
pub fn threshold_contrast(arc_min: f64, behind_cd_per_m2: f64) -> f64 {
    let behind = behind_cd_per_m2.max(0.6);
    let ricco = (4.1925 * behind.powf(0.1556)).log10() + 0.1684 * behind.powf(0.5867);
    let weber = 0.05946 * behind.powf(0.466);
    2.6 * (ricco / arc_min.clamp(1e-3, 60.0) + weber).powi(2) / behind
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lum(l: f64) -> Luminance {
        Luminance::from_cd_per_m2(l)
    }

    /// Blackwell 1946, table VIII: a disc of 121 minutes is seen half of the time at a
    /// contrast of 0.0027 in daylight (from memory). The factor of 2.6 in the formula is
    /// what certainty takes over that.
    #[test]
    fn large_discs_need_what_was_measured_in_1946() {
        let half_of_the_time = threshold_contrast(60.0, 343.0) / 2.6;
        assert!((half_of_the_time / 0.0027 - 1.0).abs() < 0.25, "{half_of_the_time}");
    }

    /// Ricco's law: under a few minutes the product of contrast and area is constant
    /// (Blackwell 1946); Weber's: the larger a disc, the less its size matters. The
    /// formula of 1989 still tells 40 minutes from 60, by hand at 100 cd/m2 (numbers as
    /// below): 3.4440 / 40 + 0.50842 = 0.59452, 3.4440 / 60 + 0.50842 = 0.56582,
    /// (0.59452 / 0.56582)^2 = 1.1040.
    #[test]
    fn thresholds_follow_ricco_and_weber() {
        let at = |size: f64| threshold_contrast(size, 100.0);
        assert!((at(0.2) / at(0.4) - 4.0).abs() < 0.3);
        assert!((at(40.0) / at(60.0) - 1.1040).abs() < 2e-4);
        assert!(at(30.0) / at(60.0) < at(10.0) / at(20.0));
        assert!(at(1.0) > at(2.0) && at(2.0) > at(5.0));
    }

    /// Worked by hand from the formula of 1989 at 100 cd/m2 and 10 minutes:
    /// 100^0.1556 = 2.0475, log10(8.5841) = 0.93369, 0.1684 x 14.907 = 2.5103, 3.4440 / 10 =
    /// 0.34440; 0.05946 x 8.5507 = 0.50842; 0.85282^2 x 2.6 / 100 = 0.018910.
    #[test]
    fn the_formula_is_worked_as_by_hand() {
        assert!((threshold_contrast(10.0, 100.0) - 0.018_910).abs() < 2e-5);
    }

    #[test]
    fn what_is_clipped_has_no_contrast() {
        let tone = Tone { knee_stops: 2.0 };
        assert_eq!(tone.contrast(lum(9000.0), lum(5000.0), lum(1000.0)), 0.0);
        // under white as in the scene
        assert!((tone.contrast(lum(900.0), lum(300.0), lum(1000.0)) - 2.0).abs() < 1e-12);
        // two stops in the knee: 1.05^2.4 of light
        let knee = tone.contrast(lum(4000.0), lum(1000.0), lum(1000.0));
        assert!((knee - (1.05_f64.powf(2.4) - 1.0)).abs() < 1e-9);
        assert_eq!(Tone { knee_stops: 0.0 }.shown(lum(2000.0), lum(1000.0)), 1.0);
    }
}
