//! What is in the air, from readings of the day.
//!
//! In: the air assumed until then with what is known of it, a place, [`TimedReading`]s. Out:
//! the [`Air`] that they leave, with the 10th and the 90th percentile of its aerosol and
//! water, and for each reading what it says by itself.
//!
//! Aerosol is weighed on a grid: the odds of each depth are those that the air assumed had
//! before (log-normal, see `air_range`), times those of every reading, whose errors are
//! normal (Bayes; JCGM 101:2008 for percentiles of what is no straight line). So a reading
//! that says little moves little, and one that cannot be is found. What a reading says of the
//! depth wears off with the hours to the match (`air_range::correlation`).
//!
//! | reading | what it is held to | standard error |
//! | --- | --- | --- |
//! | a flat white card, sunlit over shaded | the clear sky's direct and diffuse light then | 0.1 stop for both readings; 10 % of the sky's light for the model |
//! | light on a flat card in the sun | the clear sky's light then | 0.3 stop: sensitivity as stated, iris marks, the card's level |
//! | aerosol by a sun photometer | itself | 0.02 |
//! | visibility | [`aerosol_of_visibility`] | a factor of 1.5: the air at the ground is not the column |
//! | dew point | [`water_of_dew_point`] | a factor of 1.25 |
//! | water | itself | a factor of 1.1 |
//!
//! Errors of cards are common practice, without a source; that of the photometer is Morys and
//! others, J. Geophys. Res. 106, 2001 (from memory), those of visibility and dew point are of
//! the size that their published scatter has (from memory).

use super::air::{Air, AirKnowledge, Knowledge};
use super::air_range::{AirRange, Z_90, correlation};
use super::clear::AirColumn;
use crate::solar::Sun;

const CARD_PAIR_STOPS: f64 = 0.1;
const SKY_MODEL: f64 = 0.1;
const CARD_LIGHT_STOPS: f64 = 0.3;
const PHOTOMETER: f64 = 0.02;
const VISIBILITY_FACTOR: f64 = 1.5;
const DEW_POINT_FACTOR: f64 = 1.25;
const WATER_FACTOR: f64 = 1.1;
/// Depths that are weighed, and their number.
const DEPTHS: (f64, f64) = (0.003, 3.0);
const STEPS: usize = 240;
/// A reading that is off by so many standard errors where all fit best is another day's.
const MAX_ERRORS: f64 = 3.0;
/// Lower suns tell little of the air, degrees.
pub const MIN_SUN_DEG: f64 = 8.0;

/// Something that was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// A white card that lies flat in the open, in the sun over shaded from the sun alone,
    /// stops.
    CardPair { sun: Sun, day_of_year: u32, stops: f64 },
    /// Light on such a card in the sun, lx.
    CardLight { sun: Sun, day_of_year: u32, lux: f64 },
    /// Aerosol optical depth at 500 nm.
    Photometer { aerosol_500nm: f64 },
    /// Horizontal visibility by day, km.
    Visibility { km: f64 },
    /// Of the air near the ground, degrees Celsius.
    DewPoint { celsius: f64 },
    /// Precipitable water, cm.
    Water { cm: f64 },
}

/// A reading, and how long before or after the time that is asked for it was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedReading {
    pub reading: Reading,
    pub hours: f64,
}

/// Why readings give no air.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ReadingError {
    #[error(
        "reading {}: the sun stands at {elevation_deg:.0} degrees; read the card with the sun over \
         {MIN_SUN_DEG:.0} degrees", index + 1
    )]
    LowSun { index: usize, elevation_deg: f64 },
    #[error(
        "reading {}: found {found:.2}, where the clear sky that fits all readings best has \
         {expected:.2}, {off:.1} standard errors away; mend the number or its time, or leave it \
         out: was there cloud?", index + 1
    )]
    DoesNotFit { index: usize, found: f64, expected: f64, off: f64 },
}

/// 10th percentile, median, 90th percentile.
pub type Percentiles = [f64; 3];

/// What readings give.
#[derive(Debug, Clone, PartialEq)]
pub struct AirOfReadings {
    pub air: Air,
    /// In the order of the readings: aerosol, or water in cm where a reading is of water, by
    /// that reading alone.
    pub alone: Vec<Percentiles>,
}

/// Aerosol optical depth at 550 nm from the visibility, km: the relation of the 6S code,
/// `2.7628 V^-0.79902` (Vermote and others, IEEE Trans. Geosci. Remote Sens. 35, 1997, and its
/// user guide; from memory), in which 23 km are 0.23 and 5 km 0.76.
pub fn aerosol_of_visibility(km: f64) -> f64 {
    2.7628 * km.powf(-0.799_02)
}

/// Precipitable water, cm, from the dew point near the ground, degrees Celsius:
/// `exp(0.07 T - 0.075)` (Garrison and Adler, Solar Energy 44(1), 1990; from memory).
pub fn water_of_dew_point(celsius: f64) -> f64 {
    (0.07 * celsius - 0.075).exp()
}

impl Reading {
    /// What a reading is held to and its standard error, for an air, in its own unit (stops,
    /// depth); `None` for one of water.
    fn expected(&self, air: &Air, pressure_hpa: f64) -> Option<(f64, f64)> {
        let light = |sun: &Sun, day| {
            let elevation_deg = sun.apparent_elevation.degrees();
            let [direct, sky] = AirColumn::new(air, pressure_hpa).light(elevation_deg, day);
            (direct.lux() * sun.apparent_elevation.radians().sin(), sky.lux())
        };
        let model_stops = (1.0 + SKY_MODEL).log2();
        match self {
            Self::CardPair { sun, day_of_year, .. } => {
                let (direct, sky) = light(sun, *day_of_year);
                let model = model_stops * direct / (direct + sky);
                Some(((1.0 + direct / sky).log2(), CARD_PAIR_STOPS.hypot(model)))
            }
            Self::CardLight { sun, day_of_year, .. } => {
                let (direct, sky) = light(sun, *day_of_year);
                let model = model_stops * sky / (direct + sky);
                Some(((direct + sky).log2(), CARD_LIGHT_STOPS.hypot(model)))
            }
            Self::Photometer { .. } => Some((air.aerosol_500nm, PHOTOMETER)),
            Self::Visibility { .. } => Some((air.aerosol_500nm.ln(), VISIBILITY_FACTOR.ln())),
            Self::DewPoint { .. } | Self::Water { .. } => None,
        }
    }

    /// What was found, in the same unit.
    fn found(&self, air: &Air) -> f64 {
        match *self {
            Self::CardPair { stops, .. } => stops,
            Self::CardLight { lux, .. } => lux.log2(),
            Self::Photometer { aerosol_500nm } => aerosol_500nm,
            Self::Visibility { km } => {
                (aerosol_of_visibility(km) * 1.1_f64.powf(air.aerosol_exponent)).ln()
            }
            Self::DewPoint { celsius } => water_of_dew_point(celsius),
            Self::Water { cm } => cm,
        }
    }

    fn sun(&self) -> Option<&Sun> {
        match self {
            Self::CardPair { sun, .. } | Self::CardLight { sun, .. } => Some(sun),
            Self::Photometer { .. } | Self::Visibility { .. } => None,
            Self::DewPoint { .. } | Self::Water { .. } => None,
        }
    }

    /// Water of the column by itself, cm, and the factor of its standard error; `None` for a
    /// reading of aerosol.
    fn water(&self) -> Option<(f64, f64)> {
        match *self {
            Self::DewPoint { celsius } => Some((water_of_dew_point(celsius), DEW_POINT_FACTOR)),
            Self::Water { cm } => Some((cm, WATER_FACTOR)),
            _ => None,
        }
    }
}

/// The air that readings leave of the one assumed.
///
/// # Errors
/// [`ReadingError`] for a sun that is too low, and for readings that no clear air has.
pub fn air_of_readings(
    assumed: Air,
    pressure_hpa: f64,
    readings: &[TimedReading],
) -> Result<AirOfReadings, ReadingError> {
    for (index, TimedReading { reading, .. }) in readings.iter().enumerate() {
        let elevation_deg = reading.sun().map(|sun| sun.apparent_elevation.degrees());
        if let Some(elevation_deg) = elevation_deg.filter(|e| *e < MIN_SUN_DEG) {
            return Err(ReadingError::LowSun { index, elevation_deg });
        }
    }
    let air = with_water(assumed, readings);
    let before = Usual::of(&assumed);
    let grid = DepthGrid::new(&air, pressure_hpa, readings, &before);
    let alone = |(index, timed): (usize, &TimedReading)| match timed.reading.water() {
        Some((cm, factor)) => around(cm, factor),
        None => grid.percentiles(|depth| grid.log_odds(index, depth)),
    };
    let alone = readings.iter().enumerate().map(alone).collect();
    if readings.iter().all(|timed| timed.reading.water().is_some()) {
        return Ok(AirOfReadings { air, alone });
    }
    let all = |depth: usize| grid.later.iter().map(|odds| odds[depth]).sum::<f64>();
    grid.refuse_outliers(readings, &air, all, &before)?;
    let prior = |depth: usize| {
        -0.5 * ((grid.depths[depth].ln() - before.middle) / before.deviation).powi(2)
    };
    let [low, middle, high] = grid.percentiles(|depth| prior(depth) + all(depth));
    let known = AirKnowledge { aerosol: Knowledge::Between(low, high), ..air.known };
    Ok(AirOfReadings { air: Air { aerosol_500nm: middle, known, ..air }, alone })
}

/// The same air with the water that was read, the mean by the weights of the errors.
fn with_water(assumed: Air, readings: &[TimedReading]) -> Air {
    let read = readings.iter().filter_map(|timed| timed.reading.water());
    let (mut weights, mut logs) = (0.0, 0.0);
    for (cm, factor) in read {
        let weight = factor.ln().powi(-2);
        weights += weight;
        logs += weight * cm.ln();
    }
    if weights == 0.0 {
        return assumed;
    }
    // what dew points leave unknown is common to all of them: no smaller error for more
    let factors = readings.iter().filter_map(|timed| timed.reading.water());
    let factor = factors.map(|(_, factor)| factor).fold(f64::INFINITY, f64::min);
    let [low, water_cm, high] = around((logs / weights).exp(), factor);
    let known = AirKnowledge { water: Knowledge::Between(low, high), ..assumed.known };
    Air { water_cm, known, ..assumed }
}

fn around(middle: f64, factor: f64) -> Percentiles {
    let factor = factor.powf(Z_90);
    [middle / factor, middle, middle * factor]
}

/// What was known of the depth before: the logarithm of its median, and its standard deviation.
struct Usual {
    middle: f64,
    deviation: f64,
}

impl Usual {
    fn of(assumed: &Air) -> Self {
        let range = AirRange::of(*assumed);
        let [low, high] = [range.clean, range.hazy].map(|air| air.aerosol_500nm.ln());
        let middle = assumed.aerosol_500nm.max(DEPTHS.0).ln();
        Self { middle, deviation: (high - low) / (2.0 * Z_90) }
    }

    /// Logarithm of a depth some hours from one of this logarithm: what is to be expected, and
    /// its standard deviation.
    fn hours_from(&self, log: f64, hours: f64) -> (f64, f64) {
        let correlation = correlation(hours, self.deviation);
        let rest = (1.0 - correlation * correlation).max(0.0).sqrt();
        (self.middle + correlation * (log - self.middle), self.deviation * rest)
    }
}

/// Depths at equal ratios, and what each reading is held to in each.
struct DepthGrid {
    depths: Vec<f64>,
    /// By reading, then by depth: errors away from what was found, and the standard error.
    off: Vec<Vec<(f64, f64)>>,
    /// By reading, then by depth at the time asked for: logarithm of the odds.
    later: Vec<Vec<f64>>,
}

impl DepthGrid {
    fn new(air: &Air, pressure_hpa: f64, readings: &[TimedReading], before: &Usual) -> Self {
        let (low, _) = DEPTHS;
        let depths: Vec<f64> = (0..STEPS).map(|i| low * (log_step() * i as f64).exp()).collect();
        let off = |TimedReading { reading, .. }: &TimedReading| {
            let at = |depth: &f64| {
                let air = Air { aerosol_500nm: *depth, ..*air };
                reading.expected(&air, pressure_hpa).map_or((0.0, 1.0), |(expected, error)| {
                    ((reading.found(&air) - expected) / error, error)
                })
            };
            depths.iter().map(at).collect()
        };
        let off = readings.iter().map(off).collect();
        let mut grid = Self { depths, off, later: Vec::new() };
        let later = |(i, timed): (usize, &TimedReading)| grid.worn(i, timed.hours, before);
        grid.later = readings.iter().enumerate().map(later).collect();
        grid
    }

    /// Odds of the depth when a reading was made, as their logarithm.
    fn log_odds(&self, reading: usize, depth: usize) -> f64 {
        let (off, error) = self.off[reading][depth];
        -0.5 * off * off - error.ln()
    }

    /// The same of the depth some hours later or earlier.
    fn worn(&self, reading: usize, hours: f64, before: &Usual) -> Vec<f64> {
        let logs: Vec<f64> = (0..STEPS).map(|depth| self.log_odds(reading, depth)).collect();
        let largest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let odds: Vec<f64> = logs.iter().map(|log| (log - largest).exp()).collect();
        let at = |to: &f64| {
            let (middle, deviation) = before.hours_from(to.ln(), hours);
            // no finer than the grid
            let deviation = deviation.max(0.5 * log_step());
            let share = |from: &f64| (-0.5 * ((from.ln() - middle) / deviation).powi(2)).exp();
            let shares: Vec<f64> = self.depths.iter().map(share).collect();
            let sum: f64 = odds.iter().zip(&shares).map(|(odds, share)| odds * share).sum();
            (sum / shares.iter().sum::<f64>()).max(f64::MIN_POSITIVE).ln()
        };
        self.depths.iter().map(at).collect()
    }

    /// Where all fit best each has to fit, as far as the depth may have changed.
    fn refuse_outliers(
        &self,
        readings: &[TimedReading],
        air: &Air,
        all: impl Fn(usize) -> f64,
        before: &Usual,
    ) -> Result<(), ReadingError> {
        let best = (0..STEPS).max_by(|a, b| all(*a).total_cmp(&all(*b))).unwrap_or(0);
        for (index, TimedReading { reading, hours }) in readings.iter().enumerate() {
            let (middle, deviation) = before.hours_from(self.depths[best].ln(), *hours);
            let deviation = deviation.max(0.5 * log_step());
            let misfit = |(depth, (off, _)): (&f64, &(f64, f64))| {
                off.hypot((depth.ln() - middle) / deviation)
            };
            let misfits = self.depths.iter().zip(&self.off[index]).map(misfit);
            let misfit = misfits.fold(f64::INFINITY, f64::min);
            if misfit > MAX_ERRORS {
                let (off, error) = self.off[index][best];
                let found = reading.found(air);
                let (found, expected) = match reading {
                    Reading::CardLight { .. } => (found.exp2(), (found - off * error).exp2()),
                    Reading::Visibility { .. } => (found.exp(), (found - off * error).exp()),
                    _ => (found, found - off * error),
                };
                return Err(ReadingError::DoesNotFit { index, found, expected, off: misfit });
            }
        }
        Ok(())
    }

    /// Of the odds whose logarithm is given by depth.
    fn percentiles(&self, log_odds: impl Fn(usize) -> f64) -> Percentiles {
        let logs: Vec<f64> = (0..STEPS).map(log_odds).collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let odds: Vec<f64> = logs.iter().map(|log| (log - most).exp()).collect();
        let whole: f64 = odds.iter().sum();
        [0.1, 0.5, 0.9].map(|share| {
            let mut sum = 0.0;
            let at = odds.iter().position(|odds| {
                sum += odds;
                sum >= share * whole
            });
            self.depths[at.unwrap_or(STEPS - 1)]
        })
    }
}

/// Of the logarithm, from one depth of the grid to the next.
fn log_step() -> f64 {
    let (low, high) = DEPTHS;
    (high / low).ln() / (STEPS - 1) as f64
}
