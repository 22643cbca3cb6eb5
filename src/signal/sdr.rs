//! The signal of standard dynamic range.
//!
//! In and out: levels (linear, 1 is white), signals (0 to 1), display light (cd/m2).

/// Where the camera's curve leaves its straight foot (Rec. ITU-R BT.709-6, item 1.2).
const FOOT: f64 = 0.018;
/// Exponent of the reference monitor (Rec. ITU-R BT.1886, Annex 1).
pub const DISPLAY_GAMMA: f64 = 2.4;
/// White of the reference monitor, cd/m2 (Rec. ITU-R BT.2035, table of the reference viewing
/// environment; from memory).
pub const DISPLAY_WHITE_CD_PER_M2: f64 = 100.0;

/// The camera's curve (OETF), Rec. ITU-R BT.709-6, item 1.2. Over 1 it goes on as it is, since
/// signals over white are knee and headroom; under 0 it is mirrored, as BT.2020 and BT.2408 do
/// for colours outside of the primaries.
pub fn oetf(level: f64) -> f64 {
    let size = level.abs();
    let signal = if size < FOOT { 4.5 * size } else { 1.099 * size.powf(0.45) - 0.099 };
    signal.copysign(level)
}

/// The level of a signal: [`oetf`] the other way.
pub fn oetf_inverse(signal: f64) -> f64 {
    let size = signal.abs();
    let level =
        if size < 4.5 * FOOT { size / 4.5 } else { ((size + 0.099) / 1.099).powf(1.0 / 0.45) };
    level.copysign(signal)
}

/// Display light of a signal on a monitor of a white and a black in cd/m2: Rec. ITU-R
/// BT.1886, Annex 1.
///
/// ```
/// use quarterstop::signal::sdr;
/// assert_eq!(sdr::eotf(1.0, 100.0, 0.0).round(), 100.0);
/// ```
pub fn eotf(signal: f64, white_cd_per_m2: f64, black_cd_per_m2: f64) -> f64 {
    let (gain, lift) = gain_and_lift(white_cd_per_m2, black_cd_per_m2);
    gain * (signal + lift).max(0.0).powf(DISPLAY_GAMMA)
}

/// The signal that makes a display light: [`eotf`] the other way.
pub fn eotf_inverse(cd_per_m2: f64, white_cd_per_m2: f64, black_cd_per_m2: f64) -> f64 {
    let (gain, lift) = gain_and_lift(white_cd_per_m2, black_cd_per_m2);
    (cd_per_m2.max(0.0) / gain).powf(1.0 / DISPLAY_GAMMA) - lift
}

/// BT.1886's `a` and `b`.
fn gain_and_lift(white: f64, black: f64) -> (f64, f64) {
    let root = |cd_per_m2: f64| cd_per_m2.max(0.0).powf(1.0 / DISPLAY_GAMMA);
    let span = root(white) - root(black);
    (span.powf(DISPLAY_GAMMA), root(black) / span)
}
