//! A sky with clouds in it.
//!
//! In: how much of the sky they cover, their kind, wind and height as far as they are known.
//! Out: laws of the lengths of clouds and gaps, speeds and heights with their spread.

use super::chord::PowerLaw;

/// Shorter clouds are left out, km: the shortest that Wood and Field (2011) measured.
const MIN_CLOUD_KM: f64 = 0.1;
/// Covers that still come and go, 0 to 1.
pub const MIN_COVER: f64 = 0.05;
pub const MAX_COVER: f64 = 0.95;
/// Wind at the height of low cloud over land in middle latitudes, m/s, and its geometric
/// standard deviation from day to day (climatologies of the wind at 850 hPa in summer, from
/// memory); the same for a wind that somebody states, whose forecast is off by a quarter
/// (common practice, no source).
const TYPICAL_WIND_M_S: f64 = 8.0;
const TYPICAL_WIND_SPREAD: f64 = 1.6;
const STATED_WIND_SPREAD: f64 = 1.25;

/// What kind of cloud.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CloudKind {
    /// Single heaps over warm ground.
    Cumulus,
    /// Low clouds of all sizes, as broken skies mostly are; also where the kind is not known.
    Mixed,
    /// Sheets and fields of middle and high cloud with holes.
    Layered,
}

impl CloudKind {
    pub const ALL: [Self; 3] = [Self::Cumulus, Self::Mixed, Self::Layered];

    /// As commands and files name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cumulus => "cumulus",
            Self::Mixed => "mixed",
            Self::Layered => "layered",
        }
    }

    /// The longest of its clouds, km: a heap of fair weather is about 1 km wide, a tower of
    /// a thunderstorm 10 km (Stull, Practical Meteorology, 6.6, "Cloud sizes"); shadows on
    /// the ground follow one law over three decades (Mol and others, 2023; up to about
    /// 100 km from memory); all clouds of the Earth follow it up to 1500 km (Wood and Field,
    /// 2011).
    pub fn longest_km(self) -> f64 {
        match self {
            Self::Cumulus => 10.0,
            Self::Mixed => 100.0,
            Self::Layered => 1500.0,
        }
    }

    /// Usual height of its base above the ground, m (World Meteorological Organization,
    /// International Cloud Atlas: low cloud under 2 km, middle cloud of middle latitudes 2 to
    /// 7 km; a middle value of each, from memory).
    pub fn base_m(self) -> f64 {
        match self {
            Self::Cumulus => 1200.0,
            Self::Mixed => 1500.0,
            Self::Layered => 3500.0,
        }
    }
}

/// Broken cloud.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CloudField {
    /// Share of the sky, [`MIN_COVER`] to [`MAX_COVER`].
    pub cover: f64,
    pub kind: CloudKind,
    /// Wind at the height of the clouds, m/s; typical where it is not known.
    pub wind_m_s: Option<f64>,
    /// Of the clouds' base above the ground, m; that of the kind where it is not known.
    pub base_m: Option<f64>,
}

impl CloudField {
    /// Of a kind and a cover (held within its limits), nothing else known.
    pub fn new(cover: f64, kind: CloudKind) -> Self {
        let cover = cover.clamp(MIN_COVER, MAX_COVER);
        Self { cover, kind, wind_m_s: None, base_m: None }
    }

    /// Laws of clouds and of gaps. Whichever takes less of the sky has the published law of
    /// the kind; the other the same law up to the length that makes the cover right (that
    /// gaps follow it is our assumption).
    pub fn laws(&self) -> (PowerLaw, PowerLaw) {
        let of_kind = PowerLaw { shortest_km: MIN_CLOUD_KM, longest_km: self.kind.longest_km() };
        let mean_km = of_kind.mean_km();
        let other = |share: f64| PowerLaw::with_mean(MIN_CLOUD_KM, mean_km * (1.0 - share) / share);
        match self.cover <= 0.5 {
            true => (of_kind, other(self.cover)),
            false => (other(1.0 - self.cover), of_kind),
        }
    }

    /// Height of the base above the ground, m.
    pub fn base_m(&self) -> f64 {
        self.base_m.unwrap_or_else(|| self.kind.base_m())
    }

    /// Median wind, m/s.
    pub fn median_wind_m_s(&self) -> f64 {
        self.wind_m_s.unwrap_or(TYPICAL_WIND_M_S)
    }

    /// Wind so many standard deviations over the median, m/s (log-normal).
    pub fn wind_at(&self, deviations: f64) -> f64 {
        let spread = match self.wind_m_s {
            Some(_) => STATED_WIND_SPREAD,
            None => TYPICAL_WIND_SPREAD,
        };
        self.median_wind_m_s() * spread.powf(deviations)
    }
}
