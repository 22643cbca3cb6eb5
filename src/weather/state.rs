//! Which sky an hour had.
//!
//! In: what an [`HourRow`] measured and what a clear sky would have sent then, W/m2. Out:
//! [`States`]: for each [`SkyCover`] the share of the hour that had it.
//!
//! | direct sun, mean of the hour | sky cover | told as |
//! | --- | --- | --- |
//! | at least [`CLEAR_SHARE`] of the clear sky's | any | clear |
//! | over [`SUNSHINE_W_M2`], less than that | under [`FULL_TENTHS`], or not stated | sun in gaps for that share of the hour, else a cumulus over it |
//! | over [`SUNSHINE_W_M2`], less than that | [`FULL_TENTHS`] or more | thin cloud |
//! | [`SUNSHINE_W_M2`] or less | under [`FULL_TENTHS`] | a cumulus over the sun |
//! | [`SUNSHINE_W_M2`] or less | [`FULL_TENTHS`] or more, or not stated | overcast |

use crate::base::units::Transmittance;
use crate::light::Sky;
use crate::weather::epw::HourRow;

/// There is sunshine while direct irradiance, facing the sun, is over this (WMO-No. 8,
/// Guide to Instruments and Methods of Observation, chapter 8, "Measurement of sunshine
/// duration").
pub const SUNSHINE_W_M2: f64 = 120.0;
/// From this share of the clear sky's direct irradiance on an hour counts as clear: haze
/// and a passing cloud do not make it another sky (common practice, no source).
pub const CLEAR_SHARE: f64 = 0.75;
/// From so many tenths of cover on the sky counts as full (common practice, no source).
pub const FULL_TENTHS: f64 = 9.0;
/// What thin cloud lets through of the direct light (common practice, no source; the
/// same as that of `--sky thin`).
pub const THIN_SHARE: f64 = 0.5;
/// A clear sky has to send at least this for an hour to tell the sky: twice what counts
/// as sunshine. Lower suns do not pass the mark even when nothing covers them.
pub const TELLING_W_M2: f64 = 2.0 * SUNSHINE_W_M2;

/// A state of the sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SkyCover {
    Clear,
    /// Thin cloud all over.
    Thin,
    /// Broken cloud, the sun in a gap.
    Gap,
    /// Broken cloud, one over the sun.
    Cumulus,
    Overcast,
}

impl SkyCover {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Clear, Self::Thin, Self::Gap, Self::Cumulus, Self::Overcast];

    /// The sky to plan for.
    pub fn sky(self) -> Sky {
        match self {
            Self::Clear => Sky::Clear,
            Self::Thin => Sky::Thin(Transmittance::from_share(THIN_SHARE)),
            Self::Gap => Sky::Broken,
            Self::Cumulus => Sky::Cumulus,
            Self::Overcast => Sky::Overcast,
        }
    }

    /// One word for columns and keys.
    pub fn word(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Thin => "thin",
            Self::Gap => "gap",
            Self::Cumulus => "cumulus",
            Self::Overcast => "overcast",
        }
    }

    /// What a share of it says, for columns.
    pub fn odds_of(self) -> &'static str {
        match self {
            Self::Clear => "odds of a clear sky",
            Self::Thin => "odds of sun through thin cloud",
            Self::Gap => "odds of sun in a gap of broken cloud",
            Self::Cumulus => "odds of a cloud over the sun, the rest open",
            Self::Overcast => "odds of a full sky without direct sun",
        }
    }
}

/// The share of each state, together 1.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct States([f64; SkyCover::ALL.len()]);

impl States {
    /// One state only.
    pub fn only(state: SkyCover) -> Self {
        let mut states = Self::default();
        states.0[state as usize] = 1.0;
        states
    }

    fn between(one: SkyCover, share: f64, other: SkyCover) -> Self {
        let mut states = Self::default();
        states.0[one as usize] = share;
        states.0[other as usize] = 1.0 - share;
        states
    }

    /// From shares; together they are 1.
    pub(super) fn of(shares: impl IntoIterator<Item = (SkyCover, f64)>) -> Self {
        let mut states = Self::default();
        shares.into_iter().for_each(|(state, share)| states.0[state as usize] += share);
        states
    }

    /// Share of a state, 0 to 1.
    pub fn share(&self, state: SkyCover) -> f64 {
        self.0[state as usize]
    }

    /// Share with direct sun, 0 to 1.
    pub fn sun(&self) -> f64 {
        SkyCover::ALL.into_iter().filter(|s| !s.sky().hides_sun()).map(|s| self.share(s)).sum()
    }

    /// Mean of several; `None` of none.
    pub fn mean<'a>(all: impl Iterator<Item = &'a Self>) -> Option<Self> {
        let (mut sum, mut count) = (Self::default(), 0u32);
        for states in all {
            sum.0.iter_mut().zip(states.0).for_each(|(sum, share)| *sum += share);
            count += 1;
        }
        sum.0.iter_mut().for_each(|sum| *sum /= f64::from(count.max(1)));
        (count > 0).then_some(sum)
    }
}

/// Share of the clear sky's direct light that an hour had, 0 to 1; `None` for an hour
/// that does not tell.
pub fn direct_share(hour: &HourRow, clear_direct: f64) -> Option<f64> {
    let direct = hour.direct_normal.filter(|_| clear_direct >= TELLING_W_M2)?;
    Some((direct / clear_direct).clamp(0.0, 1.0))
}

/// The states of an hour; `clear_direct` is what a clear sky would have sent facing the
/// sun, W/m2. `None` for an hour that does not tell.
///
/// ```
/// use quarterstop::weather::{SkyCover, epw::HourRow, state::states};
/// let hour = |direct: f64, tenths: f64| HourRow {
///     month: 6, day: 1, hour: 15, global: None, direct_normal: Some(direct),
///     diffuse: None, cover_tenths: Some(tenths),
/// };
/// // half of the clear sky's light with half of the sky covered: half an hour in gaps
/// let broken = states(&hour(400.0, 5.0), 800.0).unwrap();
/// assert_eq!((broken.share(SkyCover::Gap), broken.share(SkyCover::Cumulus)), (0.5, 0.5));
/// assert_eq!(states(&hour(400.0, 10.0), 800.0).unwrap().share(SkyCover::Thin), 1.0);
/// assert_eq!(states(&hour(120.0, 10.0), 800.0).unwrap().sun(), 0.0);
/// ```
pub fn states(hour: &HourRow, clear_direct: f64) -> Option<States> {
    let share = direct_share(hour, clear_direct)?;
    let sunshine = hour.direct_normal? > SUNSHINE_W_M2;
    let full = hour.cover_tenths.map(|tenths| tenths >= FULL_TENTHS);
    Some(match (sunshine, full) {
        _ if share >= CLEAR_SHARE => States::only(SkyCover::Clear),
        (true, Some(true)) => States::only(SkyCover::Thin),
        (true, _) => States::between(SkyCover::Gap, share, SkyCover::Cumulus),
        (false, Some(false)) => States::only(SkyCover::Cumulus),
        (false, _) => States::only(SkyCover::Overcast),
    })
}
