//! The perceptual quantisation signal of high dynamic range: Rec. ITU-R BT.2100-2, table 4.
//!
//! In and out: signals (0 to 1), display light (cd/m2) of one channel.

/// Peak of the system, cd/m2.
pub const PEAK_CD_PER_M2: f64 = 10_000.0;
const M1: f64 = 2610.0 / 16_384.0;
const M2: f64 = 2523.0 / 4096.0 * 128.0;
const C1: f64 = 3424.0 / 4096.0;
const C2: f64 = 2413.0 / 4096.0 * 32.0;
const C3: f64 = 2392.0 / 4096.0 * 32.0;

/// Display light of a signal (EOTF).
///
/// ```
/// use quarterstop::signal::pq;
/// assert!((pq::eotf(1.0) - 10_000.0).abs() < 1e-6);
/// ```
pub fn eotf(signal: f64) -> f64 {
    let root = signal.max(0.0).powf(1.0 / M2);
    PEAK_CD_PER_M2 * ((root - C1).max(0.0) / (C2 - C3 * root)).powf(1.0 / M1)
}

/// The signal of a display light: [`eotf`] the other way. Darkness is a signal of 7e-7, as
/// the recommendation's formula has it.
pub fn eotf_inverse(cd_per_m2: f64) -> f64 {
    let root = (cd_per_m2.max(0.0) / PEAK_CD_PER_M2).powf(M1);
    ((C1 + C2 * root) / (1.0 + C3 * root)).powf(M2)
}
