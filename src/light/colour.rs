//! Colour of light: chromaticity, correlated colour temperature, mireds, and the
//! gain trims that a camera needs to make it white.
//!
//! In: [`Tristimulus`] values. Out: kelvin, mired, Duv, stops.
//!
//! Correlated colour temperature is the temperature of the nearest point of the
//! Planckian locus in the CIE 1960 (u, v) diagram (CIE 15:2018, 9.5), and Duv the
//! distance to it, positive above (ANSI C78.377). The locus is tabulated at steps
//! of one mired from the observer's own functions and the parabola through the
//! nearest three distances gives the place between, as Ohno does (Leukos 10(1),
//! 2014, "Practical use and calculation of CCT and Duv").

use std::sync::LazyLock;

use super::tables::observer;
use super::tristimulus::Tristimulus;

/// CIE 1931 chromaticity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chromaticity {
    pub x: f64,
    pub y: f64,
}

impl Chromaticity {
    /// CIE standard illuminant D65 (CIE 15:2018, table of illuminants).
    pub const D65: Self = Self { x: 0.312_72, y: 0.329_03 };

    /// `(u, v)` of the CIE 1960 diagram.
    pub fn uv(self) -> (f64, f64) {
        let denominator = -2.0 * self.x + 12.0 * self.y + 3.0;
        (4.0 * self.x / denominator, 6.0 * self.y / denominator)
    }

    /// A black body at a temperature in kelvin: Planck's law with c2 = 1.4388 cm
    /// K (CIE 15:2018).
    pub fn of_black_body(kelvin: f64) -> Self {
        planckian(1e6 / kelvin)
    }

    /// A phase of daylight (CIE 15:2018, 4.1.2) from 4000 K to 25 000 K.
    pub fn of_daylight(kelvin: f64) -> Self {
        let t = kelvin.clamp(4000.0, 25_000.0);
        let [c0, c1, c2, c3] = if t <= 7000.0 {
            [0.244_063, 0.099_11e3, 2.967_8e6, -4.607_0e9]
        } else {
            [0.237_040, 0.247_48e3, 1.901_8e6, -2.006_4e9]
        };
        let x = c0 + c1 / t + c2 / (t * t) + c3 / (t * t * t);
        Self { x, y: -3.0 * x * x + 2.870 * x - 0.275 }
    }
}

/// Reddest and bluest light that is given a temperature, mired: 1000 K and 100 000 K.
const MAX_MIRED: usize = 1000;
const MIN_MIRED: usize = 10;
/// Step of the first search along the locus, mired.
const ROUGH_MIRED: usize = 32;
/// Farther from the locus than this a temperature has no meaning (CIE 15:2018).
const MAX_DUV: f64 = 0.05;

/// Correlated colour temperature of a light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColourTemperature {
    pub kelvin: f64,
    /// Distance from the Planckian locus in (u, v): positive is greenish,
    /// negative is pinkish.
    pub duv: f64,
}

impl ColourTemperature {
    /// Of a light; `None` for darkness and for light too far from any black body
    /// (Duv over 0.05). Light bluer than 100 000 K is told as that.
    pub fn of(light: Tristimulus) -> Option<Self> {
        Self::of_chromaticity(light.chromaticity()?)
    }

    /// Of a chromaticity.
    ///
    /// ```
    /// use quarterstop::light::{Chromaticity, ColourTemperature};
    /// let d65 = ColourTemperature::of_chromaticity(Chromaticity::D65).unwrap();
    /// assert!((d65.kelvin - 6504.0).abs() < 3.0);
    /// assert!((d65.duv - 0.0032).abs() < 1e-4);
    /// ```
    pub fn of_chromaticity(colour: Chromaticity) -> Option<Self> {
        let (u, v) = colour.uv();
        let locus = &*LOCUS;
        let square = |i: usize| (locus[i].0 - u).powi(2) + (locus[i].1 - v).powi(2);
        let least = |of: &mut dyn Iterator<Item = usize>| {
            of.min_by(|&a, &b| square(a).total_cmp(&square(b)))
        };
        // the distance falls and rises once along the locus: roughly, then closely
        let rough = least(&mut (0..locus.len()).step_by(ROUGH_MIRED))?;
        let close = rough.saturating_sub(ROUGH_MIRED)..(rough + ROUGH_MIRED).min(locus.len());
        let nearest = least(&mut { close })?.clamp(1, locus.len() - 2);
        // squared distances are a parabola along a straight piece of the locus
        let [a, b, c] = [square(nearest - 1), square(nearest), square(nearest + 1)];
        let bend = a - 2.0 * b + c;
        let shift = if bend > 0.0 { (0.5 * (a - c) / bend).clamp(-1.0, 1.0) } else { 0.0 };
        let left = b - 0.25 * (a - c) * shift;
        let mired = (MIN_MIRED + nearest) as f64 + shift;
        // the parabola through the same three places of the locus
        let [before, here, after] = [nearest - 1, nearest, nearest + 1].map(|i| locus[i].1);
        let on_locus = here
            + 0.5 * shift * (after - before)
            + 0.5 * shift * shift * (after - 2.0 * here + before);
        let sign = if v >= on_locus { 1.0 } else { -1.0 };
        let duv = sign * left.max(0.0).sqrt();
        (duv.abs() <= MAX_DUV).then_some(Self { kelvin: 1e6 / mired, duv })
    }

    /// Reciprocal temperature: a million over kelvin. Equal steps look about
    /// equally wide.
    pub fn mired(self) -> f64 {
        1e6 / self.kelvin
    }
}

/// A light behind a filter that makes it so many mired warmer, colder under 0, as bright as
/// before and as far beside the locus of black bodies. As it is where it has no temperature.
///
/// ```
/// use quarterstop::light::{Chromaticity, ColourTemperature, Tristimulus, behind_filter};
/// let lamp = Tristimulus::of(500.0, Chromaticity::of_black_body(3200.0));
/// // 1e6 / (1e6 / 3200 - 131) = 5510 K: the usual full blue filter (common practice, no source)
/// let blue = behind_filter(lamp, -131.0);
/// assert!((ColourTemperature::of(blue).unwrap().kelvin - 5510.0).abs() < 5.0);
/// assert!((blue.lux() - 500.0).abs() < 1e-9);
/// ```
pub fn behind_filter(light: Tristimulus, mired: f64) -> Tristimulus {
    let Some(before) = ColourTemperature::of(light).filter(|_| mired != 0.0) else { return light };
    let after = (before.mired() + mired).clamp(MIN_MIRED as f64, MAX_MIRED as f64);
    Tristimulus::of(light.lux(), beside_locus(after, before.duv))
}

/// The colour at a distance from the locus, see [`ColourTemperature::duv`].
fn beside_locus(mired: f64, duv: f64) -> Chromaticity {
    let [before, (u, v), after] = [mired - 1.0, mired, mired + 1.0].map(|m| planckian(m).uv());
    // along the locus v rises with u, so this is across it and upward
    let (du, dv) = (after.0 - before.0, after.1 - before.1);
    let away = duv / du.hypot(dv);
    let (u, v) = (u - dv * away, v + du * away);
    let denominator = 2.0 * u - 8.0 * v + 4.0;
    Chromaticity { x: 3.0 * u / denominator, y: 2.0 * v / denominator }
}

static LOCUS: LazyLock<Vec<(f64, f64)>> =
    LazyLock::new(|| (MIN_MIRED..=MAX_MIRED).map(|m| planckian(m as f64).uv()).collect());

fn planckian(mired: f64) -> Chromaticity {
    const SECOND_CONSTANT_M_K: f64 = 1.4388e-2;
    let light: Tristimulus = observer::ROWS
        .iter()
        .enumerate()
        .map(|(i, row)| {
            let metres = (observer::FIRST_NM + i as f64 * observer::STEP_NM) * 1e-9;
            let power =
                1e-32 / metres.powi(5) / (SECOND_CONSTANT_M_K * mired * 1e-6 / metres).exp_m1();
            Tristimulus::from(*row) * power
        })
        .sum();
    // never dark: the exponent is finite for every mired of the table
    light.chromaticity().unwrap_or(Chromaticity::D65)
}

/// Gain trims of a camera, in stops relative to green.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trims {
    pub red: f64,
    pub blue: f64,
}

impl Trims {
    /// What a camera balanced to one light needs to make another one white, its
    /// colours taken as those of ITU-R BT.709: red and blue gain against green.
    /// Positive is more gain. `None` where a light is darkness or lies outside
    /// of the camera's colours.
    pub fn between(balanced_to: Tristimulus, seen: Tristimulus) -> Option<Self> {
        let (from, to) = (camera_colours(balanced_to)?, camera_colours(seen)?);
        let against_green = |c: usize| ((from[c] / from[1]) / (to[c] / to[1])).log2();
        Some(Self { red: against_green(0), blue: against_green(2) })
    }
}

impl std::ops::Neg for Trims {
    type Output = Self;

    /// The other way: balanced to the other light.
    fn neg(self) -> Self {
        Self { red: -self.red, blue: -self.blue }
    }
}

/// Linear red, green and blue (ITU-R BT.709-6, primaries and D65 of item 1.3 and
/// 1.4, inverted).
fn camera_colours(light: Tristimulus) -> Option<[f64; 3]> {
    const FROM_XYZ: [[f64; 3]; 3] = [
        [3.240_969_9, -1.537_383_2, -0.498_610_8],
        [-0.969_243_6, 1.875_967_5, 0.041_555_1],
        [0.055_630_1, -0.203_977_0, 1.056_971_5],
    ];
    let values = light.values();
    let colours = FROM_XYZ.map(|row| row.iter().zip(values).map(|(a, b)| a * b).sum::<f64>());
    colours.iter().all(|&c| c > 0.0).then_some(colours)
}
