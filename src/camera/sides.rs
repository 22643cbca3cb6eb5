//! The two sides of an edge out of the light at samples of a cover.
//!
//! In: light on each sample, as it is and as it would be on either side; how much
//! of the cover is in shade. Out: a [`Split`].

use super::split::{OneSide, Side, Split, SplitState, Swing};
use crate::geometry::ShadeShare;
use crate::light::Tristimulus;
use crate::units::Stops;

/// Each side must take this share of the cover for the edge to be in shot: half
/// a percent of what is covered is a strip that no exposure is set for.
pub const LEAST_SIDE_SHARE: f64 = 0.005;

/// Light on one sample, lx on its plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lit {
    /// Share of direct light that arrives, 0 to 1.
    pub transmission: f64,
    /// Direct light with nothing in the way.
    pub direct: Tristimulus,
    /// All but the direct light: as it is, and as it would be in the middle of the
    /// sunlit and of the shaded side.
    pub rest: Tristimulus,
    pub rest_if_sun: Tristimulus,
    pub rest_if_shade: Tristimulus,
    /// All light when a cloud covers the sun; `None` where it is hidden anyhow.
    pub covered: Option<Tristimulus>,
}

impl Lit {
    fn in_sun(&self) -> bool {
        self.transmission >= 1.0
    }

    fn as_it_is(&self) -> Tristimulus {
        self.direct * self.transmission + self.rest
    }

    /// In full sun, whatever stands there now.
    fn if_sun(&self) -> Tristimulus {
        self.direct + self.rest_if_sun
    }

    /// Under something opaque; what it is where it is in shade already.
    fn if_shade(&self) -> Tristimulus {
        if self.in_sun() { self.rest_if_shade } else { self.as_it_is() }
    }
}

/// What a split is made of.
pub(super) struct Sides<'a> {
    pub lit: &'a [Lit],
    /// Of the target, 0 to 1.
    pub reflectance: f64,
    /// How much of the cover is in shade.
    pub share: ShadeShare,
    /// Whether there is direct light at all.
    pub sun_out: bool,
}

impl Sides<'_> {
    /// The split, with `flood` added to both sides.
    pub fn split(&self, flood: Tristimulus) -> Split {
        if self.lit.is_empty() {
            return Split::NOTHING;
        }
        let side = |light: Tristimulus| Side::of_matt(light + flood, self.reflectance);
        let Some((sunlit, shaded)) = self.daylight().filter(|_| self.sun_out) else {
            let all = mean(self.lit.iter().map(|l| l.rest_if_shade));
            return Split { shaded: all.map(side), ..Split::NOTHING };
        };
        let stops = |sun: Side, shade: Side| Stops::between(sun.luminance, shade.luminance);
        let bare = |light| Side::of_matt(light, self.reflectance);
        let with = stops(side(sunlit), side(shaded));
        let without = stops(bare(sunlit), bare(shaded)).filter(|_| flood.lux() > 0.0);
        let take = with.zip(without).map(|(w, wo)| Stops::from_stops(wo.stops() - w.stops()));
        Split {
            sunlit: Some(side(sunlit)),
            shaded: Some(side(shaded)),
            state: with.map_or(SplitState::NoEdge, |stops| self.state(stops)),
            floodlights_take: take,
            swing: self.covered().and_then(|c| Swing::between(sunlit + flood, c + flood)),
            range: None,
        }
    }

    /// Mean daylight of the sunlit and of the shaded samples; of all of them as
    /// they would be, where a side has none.
    fn daylight(&self) -> Option<(Tristimulus, Tristimulus)> {
        let (sun, shade) = (|l: &&Lit| l.in_sun(), |l: &&Lit| !l.in_sun());
        let sunlit = mean(self.lit.iter().filter(sun).map(Lit::as_it_is))
            .or_else(|| mean(self.lit.iter().map(Lit::if_sun)))?;
        let shaded = mean(self.lit.iter().filter(shade).map(Lit::as_it_is))
            .or_else(|| mean(self.lit.iter().map(Lit::if_shade)))?;
        Some((sunlit, shaded))
    }

    /// Mean light under a cloud where the sunlit side is.
    fn covered(&self) -> Option<Tristimulus> {
        let sunlit = self.lit.iter().filter(|l| l.in_sun());
        mean(sunlit.filter_map(|l| l.covered))
            .or_else(|| mean(self.lit.iter().filter_map(|l| l.covered)))
    }

    fn state(&self, stops: Stops) -> SplitState {
        match self.share.shaded {
            s if s < LEAST_SIDE_SHARE => SplitState::Latent(stops, OneSide::AllSunlit),
            s if s > 1.0 - LEAST_SIDE_SHARE => SplitState::Latent(stops, OneSide::AllShaded),
            _ => SplitState::InShot(stops),
        }
    }
}

fn mean(light: impl Iterator<Item = Tristimulus>) -> Option<Tristimulus> {
    let (count, sum) =
        light.fold((0_usize, Tristimulus::ZERO), |(n, sum), light| (n + 1, sum + light));
    (count > 0).then(|| sum * (1.0 / count as f64))
}
