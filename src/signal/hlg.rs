//! The hybrid log-gamma signal of high dynamic range: Rec. ITU-R BT.2100-2, table 5.
//!
//! In and out: scene light (linear, 0 to 1 where 1 is the peak), signals (0 to 1), display
//! light (cd/m2). Colours are those of BT.2020.

/// `a`, `b` and `c` of the curve.
const A: f64 = 0.178_832_77;
const B: f64 = 1.0 - 4.0 * A;
/// 0.5 - a ln(4a), so that both parts meet; the table prints 0.55991073.
const C: f64 = 0.559_910_729_529_562;
/// Weights of red, green and blue in luminance: BT.2100-2, table 5, of BT.2020's primaries.
pub const LUMINANCE: [f64; 3] = [0.2627, 0.6780, 0.0593];
/// Peaks for which the simple form of the system gamma is stated, cd/m2 (note 5f).
const SIMPLE_FROM: f64 = 400.0;
const SIMPLE_TO: f64 = 2000.0;

/// The camera's curve (OETF), of one channel.
///
/// ```
/// use quarterstop::signal::hlg;
/// // a twelfth of the peak is half of the signal
/// assert!((hlg::oetf(1.0 / 12.0) - 0.5).abs() < 1e-12);
/// ```
pub fn oetf(scene: f64) -> f64 {
    let scene = scene.max(0.0);
    if scene <= 1.0 / 12.0 { (3.0 * scene).sqrt() } else { A * (12.0 * scene - B).ln() + C }
}

/// The scene light of a signal: [`oetf`] the other way.
pub fn oetf_inverse(signal: f64) -> f64 {
    let signal = signal.max(0.0);
    if signal <= 0.5 { signal * signal / 3.0 } else { (((signal - C) / A).exp() + B) / 12.0 }
}

/// System gamma of a display by its peak, cd/m2, in the reference surround: note 5f, between
/// 400 and 2000 cd/m2 by the simple form, beyond by the extended one.
///
/// ```
/// use quarterstop::signal::hlg;
/// assert!((hlg::system_gamma(1000.0) - 1.2).abs() < 1e-12);
/// ```
pub fn system_gamma(peak_cd_per_m2: f64) -> f64 {
    let over = peak_cd_per_m2 / 1000.0;
    match (SIMPLE_FROM..=SIMPLE_TO).contains(&peak_cd_per_m2) {
        true => 1.2 + 0.42 * over.log10(),
        false => 1.2 * 1.111_f64.powf(over.log2()),
    }
}

/// Display light of scene light (OOTF) on a display of a peak, cd/m2, its black at 0.
pub fn ootf(scene: [f64; 3], peak_cd_per_m2: f64) -> [f64; 3] {
    let luminance = luminance(scene).max(0.0);
    if luminance == 0.0 {
        return [0.0; 3];
    }
    let scale = peak_cd_per_m2 * luminance.powf(system_gamma(peak_cd_per_m2) - 1.0);
    scene.map(|channel| scale * channel)
}

/// Scene light of display light: [`ootf`] the other way.
pub fn ootf_inverse(display: [f64; 3], peak_cd_per_m2: f64) -> [f64; 3] {
    let luminance = luminance(display).max(0.0) / peak_cd_per_m2;
    if luminance == 0.0 {
        return [0.0; 3];
    }
    let gamma = system_gamma(peak_cd_per_m2);
    let scale = luminance.powf((1.0 - gamma) / gamma) / peak_cd_per_m2;
    display.map(|channel| scale * channel)
}

/// Display light of a signal (EOTF) on a display of a peak and a black, cd/m2.
pub fn eotf(signal: [f64; 3], peak_cd_per_m2: f64, black_cd_per_m2: f64) -> [f64; 3] {
    let gamma = system_gamma(peak_cd_per_m2);
    let lift = (3.0 * (black_cd_per_m2 / peak_cd_per_m2).max(0.0).powf(1.0 / gamma)).sqrt();
    let scene = signal.map(|channel| oetf_inverse(((1.0 - lift) * channel + lift).max(0.0)));
    ootf(scene, peak_cd_per_m2)
}

/// The signal that makes a display light, on a display with its black at 0.
pub fn eotf_inverse(display: [f64; 3], peak_cd_per_m2: f64) -> [f64; 3] {
    ootf_inverse(display, peak_cd_per_m2).map(oetf)
}

fn luminance(channels: [f64; 3]) -> f64 {
    channels.iter().zip(LUMINANCE).map(|(channel, weight)| channel * weight).sum()
}
