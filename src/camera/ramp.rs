//! A zoom that loses light at its long end, which data sheets call F-drop or ramping.
//!
//! In: the widest T-numbers that the lens has at some focal lengths, mm. Out: the widest at any,
//! and the longest focal length that still opens to a T-number.
//!
//! Between two stated pairs the logarithm of the T-number goes straight with the logarithm of
//! the focal length: `T = T1 (f / f1)^p`, `p = ln(T2 / T1) / ln(f2 / f1)`. Where the front of the
//! lens is what limits the beam, its entrance pupil stays as wide and `p` is 1, by the
//! definition of the F-number (focal length over diameter of the entrance pupil, ISO 517; from memory).
//! Beyond the first and the last pair it stays as it is there.

/// Widest T-numbers by focal length.
#[derive(Debug, Clone, PartialEq)]
pub struct LensRamp {
    /// `[focal length in mm, T-number]`, neither falling.
    pairs: Vec<[f64; 2]>,
}

impl LensRamp {
    /// `None` without a pair.
    pub fn new(pairs: &[[f64; 2]]) -> Option<Self> {
        (!pairs.is_empty()).then(|| Self { pairs: pairs.to_vec() })
    }

    /// The widest T-number at a focal length.
    ///
    /// ```
    /// use quarterstop::camera::LensRamp;
    /// let lens = LensRamp::new(&[[8.0, 2.8], [200.0, 2.8], [800.0, 11.2]]).unwrap();
    /// assert_eq!(lens.widest_at(100.0), 2.8);
    /// // twice as long through the same pupil: two stops
    /// assert!((lens.widest_at(400.0) - 5.6).abs() < 1e-9);
    /// ```
    pub fn widest_at(&self, focal_mm: f64) -> f64 {
        along(self.pairs.iter().copied(), focal_mm)
    }

    /// The longest focal length, of those up to `to_mm`, at which the lens opens to a T-number;
    /// `None` where it does at none.
    pub fn longest_at(&self, t: f64, to_mm: f64) -> Option<f64> {
        if self.widest_at(to_mm) <= t {
            return Some(to_mm);
        }
        let reaching = self.pairs.iter().rposition(|pair| pair[1] <= t)?;
        let turned = self.pairs[reaching..].iter().take(2).map(|[f, t]| [*t, *f]);
        Some(along(turned, t).min(to_mm))
    }
}

/// The second of pairs by the first, straight in logarithms; constant beyond the ends.
fn along(pairs: impl Iterator<Item = [f64; 2]>, at: f64) -> f64 {
    let mut before: Option<[f64; 2]> = None;
    for [x, y] in pairs {
        match before {
            _ if x < at => before = Some([x, y]),
            None => return y,
            Some([from, y_from]) => {
                let share = (at / from).ln() / (x / from).ln();
                return y_from * (y / y_from).powf(share);
            }
        }
    }
    before.map_or(0.0, |[_, y]| y)
}

/// Where in its zoom range a lens has too little light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShortOfLight {
    /// From a focal length on, mm; so many stops at the long end.
    From { focal_mm: f64, long_end_stops: f64 },
    /// At every focal length, stops at the short end and at the long end.
    Everywhere { short_end_stops: f64, long_end_stops: f64 },
}

/// A ramp and the focal lengths that are used of it.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoomRange {
    pub ramp: LensRamp,
    /// Shortest and longest, mm.
    pub used_mm: (f64, f64),
}

impl ZoomRange {
    /// The T-number that the whole range opens to.
    pub fn widest_t(&self) -> f64 {
        self.ramp.widest_at(self.used_mm.1)
    }

    /// Where a T-number cannot be set; `None` where all of the range opens to it.
    pub fn short_of(&self, t: f64) -> Option<ShortOfLight> {
        let lacks = |focal_mm: f64| 2.0 * (self.ramp.widest_at(focal_mm) / t).log2();
        let (from, to) = self.used_mm;
        let long_end_stops = lacks(to);
        match self.ramp.longest_at(t, to).filter(|longest| *longest >= from) {
            _ if long_end_stops <= 0.0 => None,
            Some(focal_mm) => Some(ShortOfLight::From { focal_mm, long_end_stops }),
            None => Some(ShortOfLight::Everywhere { short_end_stops: lacks(from), long_end_stops }),
        }
    }
}
