//! SDR in 8 bits for many pixels.
//!
//! In: a camera as it is set; then the light of pixels, tristimulus values with `y` in cd/m2.
//! Out: red, green and blue of the full range, 0 to 255: the codes of [`Chain::signal`] kept as
//! `f32`, without a power for each.
//!
//! A camera's curve never falls, so each code begins at one level. The levels are found once,
//! by halving.

use super::chain::Chain;
use super::codes::CodeRange;
use super::curve::CameraCurve;
use crate::light::Tristimulus;

const CODES: usize = 256;
/// Steps of the first guess at a code, even in the root of the level.
const GUESSES: usize = 1024;
/// Halvings of the span in which a code begins: two spans apart by one part in 2^52 are next
/// to each other.
const HALVINGS: usize = 60;

/// A camera's SDR codes.
pub struct SdrCodes<'a> {
    chain: &'a Chain,
    clips: f64,
    /// The lowest level of each code.
    from: [f64; CODES],
    /// A code that is not over that of any level of a step.
    guess: Vec<u8>,
    /// Root of a level to a step.
    scale: f64,
}

fn code_of(curve: &CameraCurve, level: f64) -> usize {
    let signal = curve.sdr(level).clamp(0.0, 1.0) as f32;
    CodeRange::Full.code(f64::from(signal), 8) as usize
}

impl<'a> SdrCodes<'a> {
    /// Finds where each code begins.
    pub fn new(chain: &'a Chain) -> Self {
        let curve = &chain.curve;
        let clips = chain.clips();
        let top = clips.max(1.0);
        let mut from = [f64::INFINITY; CODES];
        from[0] = f64::NEG_INFINITY;
        let mut above = 0.0;
        let last = code_of(curve, top);
        for (code, begins) in from.iter_mut().enumerate().take(last + 1).skip(1) {
            let (mut low, mut high) = (above, top);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if middle <= low || middle >= high {
                    break;
                }
                match code_of(curve, middle) < code {
                    true => low = middle,
                    false => high = middle,
                }
            }
            *begins = high;
            above = low;
        }
        let scale = GUESSES as f64 / top.sqrt();
        let lowest = |step: usize| (step as f64 / scale).powi(2);
        // one step back, in case rounding puts a level a step too high
        let guess = (0..=GUESSES).map(|step| {
            let level = lowest(step.saturating_sub(1));
            from.partition_point(|from| *from <= level).saturating_sub(1) as u8
        });
        Self { chain, clips, guess: guess.collect(), from, scale }
    }

    /// The codes of a light.
    pub fn of(&self, light: Tristimulus) -> [u8; 3] {
        self.chain.levels_up_to(self.clips, light).map(|level| {
            let step = ((level.max(0.0).sqrt() * self.scale) as usize).min(GUESSES);
            let mut code = usize::from(self.guess[step]);
            while code + 1 < CODES && self.from[code + 1] <= level {
                code += 1;
            }
            code as u8
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::units::Luminance;
    use crate::light::Chromaticity;
    use crate::signal::{BlackStretch, WhiteBalance};

    /// Each light by itself, over 20 stops, of three cameras.
    #[test]
    fn codes_are_those_of_one_pixel_at_a_time() {
        let plain = CameraCurve::keeping(2.5);
        let bent = CameraCurve { black_stretch: BlackStretch { stops: 1.5, below: 0.1 }, ..plain };
        let curves = [plain, bent, CameraCurve::sloped(0.85, 0.2, 0.40, Some(4.0))];
        for (curve, sensor_stops) in curves.into_iter().zip([5.0, 0.0, 4.0]) {
            let warm = Tristimulus::of(1.0, Chromaticity::of_daylight(4_500.0));
            let chain = Chain {
                white: Luminance::from_cd_per_m2(3_000.0),
                balance: WhiteBalance::to(warm),
                curve,
                sensor_stops,
            };
            let codes = SdrCodes::new(&chain);
            let mut seen = std::collections::BTreeSet::new();
            for i in 0..200_000 {
                let cold = f64::from(i % 7) * 3_000.0 + 4_000.0;
                let lux = 0.1 * (f64::from(i) / 10_000.0).exp2();
                let light = Tristimulus::of(lux, Chromaticity::of_daylight(cold));
                let single = chain
                    .signal(light, crate::signal::Output::Sdr)
                    .map(|signal| CodeRange::Full.code(f64::from(signal as f32), 8) as u8);
                assert_eq!(codes.of(light), single, "{light:?} {chain:?}");
                seen.extend(single);
            }
            let begun = codes.from.iter().filter(|level| **level < f64::INFINITY).count();
            assert_eq!(seen.len(), begun, "each code that the camera has comes");
            assert_eq!(codes.of(Tristimulus::ZERO), [0; 3]);
        }
    }
}
