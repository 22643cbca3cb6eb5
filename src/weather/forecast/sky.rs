//! Which sky a member has at an instant.
//!
//! In: values of a member, the direct irradiance that a clear sky would send then. Out:
//! [`States`].
//!
//! | what the member says | told as |
//! | --- | --- |
//! | direct irradiance, the sun high enough | as an hour of measured weather, see [`crate::weather::state`] |
//! | low and middle cover | they hide the sun for their share, as if strewn at random over each other; high cloud dims it |
//! | total cover alone | it hides the sun for its share |

use std::collections::BTreeMap;

use crate::weather::epw::HourRow;
use crate::weather::state;
use crate::weather::state::{FULL_TENTHS, SkyCover, States};

use super::column::ForecastQuantity;

/// Under this cover the sky counts as clear: what is left of ten tenths where a full sky
/// begins.
const CLEAR_COVER: f64 = 1.0 - FULL_TENTHS / 10.0;

/// Share of the sky that clouds hide which no sun comes through, 0 to 1; `None` where the
/// member says nothing of it.
pub(super) fn hidden(values: &BTreeMap<ForecastQuantity, f64>) -> Option<f64> {
    let get = |q| values.get(&q).copied();
    let (low, middle) = (get(ForecastQuantity::CoverLow), get(ForecastQuantity::CoverMiddle));
    match (low, middle) {
        (None, None) => get(ForecastQuantity::CoverTotal),
        _ => {
            let strewn = 1.0 - (1.0 - low.unwrap_or(0.0)) * (1.0 - middle.unwrap_or(0.0));
            // total cover bounds its parts
            Some(get(ForecastQuantity::CoverTotal).map_or(strewn, |total| strewn.min(total)))
        }
    }
}

/// The states of a member; `sine` is that of the sun's elevation.
pub(super) fn states(
    values: &BTreeMap<ForecastQuantity, f64>,
    clear_direct: f64,
    sine: f64,
) -> Option<States> {
    let get = |q| values.get(&q).copied();
    let horizontal = get(ForecastQuantity::DirectHorizontal)
        .or_else(|| Some(get(ForecastQuantity::Global)? - get(ForecastQuantity::Diffuse)?));
    let facing = horizontal.filter(|_| sine > 0.05).map(|h| (h / sine).max(0.0));
    let measured = HourRow {
        month: 1,
        day: 1,
        hour: 1,
        global: get(ForecastQuantity::Global),
        direct_normal: get(ForecastQuantity::DirectNormal).or(facing),
        diffuse: get(ForecastQuantity::Diffuse),
        cover_tenths: get(ForecastQuantity::CoverTotal)
            .or_else(|| hidden(values))
            .map(|c| 10.0 * c),
    };
    state::states(&measured, clear_direct).or_else(|| by_cover(values))
}

fn by_cover(values: &BTreeMap<ForecastQuantity, f64>) -> Option<States> {
    let hidden = hidden(values)?;
    let high = values.get(&ForecastQuantity::CoverHigh).copied().unwrap_or(0.0);
    let sun = 1.0 - hidden;
    let open = if hidden < CLEAR_COVER { SkyCover::Clear } else { SkyCover::Gap };
    let shade = if hidden > 1.0 - CLEAR_COVER { SkyCover::Overcast } else { SkyCover::Cumulus };
    Some(States::of([(SkyCover::Thin, sun * high), (open, sun * (1.0 - high)), (shade, hidden)]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn by(values: &[(ForecastQuantity, f64)]) -> States {
        states(&values.iter().copied().collect(), 0.0, 0.0).unwrap()
    }

    #[test]
    fn cover_hides_the_sun_for_its_share() {
        let half = by(&[(ForecastQuantity::CoverTotal, 0.5)]);
        assert_eq!((half.share(SkyCover::Gap), half.share(SkyCover::Cumulus)), (0.5, 0.5));
        assert_eq!(by(&[(ForecastQuantity::CoverTotal, 0.0)]), States::only(SkyCover::Clear));
        assert_eq!(by(&[(ForecastQuantity::CoverTotal, 1.0)]), States::only(SkyCover::Overcast));
    }

    #[test]
    fn high_cloud_dims_and_layers_are_strewn_over_each_other() {
        let veil = by(&[(ForecastQuantity::CoverLow, 0.0), (ForecastQuantity::CoverHigh, 1.0)]);
        assert_eq!(veil, States::only(SkyCover::Thin));
        let two = by(&[(ForecastQuantity::CoverLow, 0.5), (ForecastQuantity::CoverMiddle, 0.5)]);
        assert!((two.sun() - 0.25).abs() < 1e-12);
    }

    #[test]
    fn radiation_says_more_than_cover() {
        let values =
            [(ForecastQuantity::DirectHorizontal, 350.0), (ForecastQuantity::CoverTotal, 1.0)];
        let values = values.into_iter().collect();
        // 700 of 800 facing the sun is a clear sky, whatever is said of cover
        assert_eq!(states(&values, 800.0, 0.5), Some(States::only(SkyCover::Clear)));
    }
}
