//! How far splits, swings and levels of an instant may be off for what is unknown of
//! the air.
//!
//! In: a [`Prepared`] venue, an [`Instant`] of it, the [`AirRange`]. Out: the instant's
//! views with the range of each split. Shadows are those of the instant; only light is
//! worked out anew, in clean and in hazy air.
//!
//! Water and the model's own error are taken from the open field and added as the root
//! of the sum of squares; both change splits by little. Under an overcast sky nothing
//! here depends on the air and no range is given: thickness of cloud is not known at all.

use chrono::Datelike;

use super::model::Instant;
use super::run::Prepared;
use crate::camera::{CameraView, Rest, Split, SplitRange};
use crate::light::{Air, AirRange, Daylight, Sky, Z_90, daylight};

/// Standard uncertainty of the sky's light of the spectral model, in the same air: 10 %.
/// Bird and Riordan (J. Climate Appl. Meteor. 25, 1986) find it within about 10 % of
/// rigorous models (from memory); on the measured day of `tests/light_spectrum.rs` it is
/// 10 % low.
const SKY_MODEL: f64 = 0.10;

/// The ranges of all views of an instant, put into them.
pub(super) fn add(prepared: &Prepared<'_>, instant: &mut Instant, sky: Sky, air: &AirRange) {
    if sky == Sky::Overcast || instant.cameras.is_empty() {
        return;
    }
    let [clean, hazy] = [&air.clean, &air.hazy].map(|air| prepared.views(instant, sky, air));
    let rest = rest(prepared, instant, sky, air);
    for ((view, clean), hazy) in instant.cameras.iter_mut().zip(&clean).zip(&hazy) {
        let range = |split: &Split, a: &Split, b: &Split| Some(SplitRange::of(split, [a, b], rest));
        *view = CameraView {
            turf: Split { range: range(&view.turf, &clean.turf, &hazy.turf), ..view.turf },
            subject: Split {
                range: range(&view.subject, &clean.subject, &hazy.subject),
                ..view.subject
            },
            ..*view
        };
    }
}

/// How far water and the model move the light of the open field.
fn rest(prepared: &Prepared<'_>, instant: &Instant, sky: Sky, air: &AirRange) -> Rest {
    let place = &prepared.venue.place;
    let under = |air: &Air| daylight(&instant.sun, place, air, sky, instant.at.ordinal());
    let levels = |light: &Daylight, brighter: f64| {
        let shade = light.diffuse_horizontal.lux() * brighter;
        let sun = light.direct_horizontal.lux() + shade;
        [sun, shade].map(|lux| lux.max(f64::MIN_POSITIVE).log2())
    };
    let assumed = under(&air.assumed);
    let mut squares = [0.0_f64; 3];
    let mut moves = |[low, high]: [[f64; 2]; 2]| {
        let change = |of: fn([f64; 2]) -> f64| 0.5 * (of(high) - of(low)).abs();
        for (square, change) in
            squares.iter_mut().zip([change(|l| l[0]), change(|l| l[1]), change(|l| l[0] - l[1])])
        {
            *square += change * change;
        }
    };
    moves([&air.dry, &air.wet].map(|air| levels(&under(air), 1.0)));
    let factor = (1.0 + SKY_MODEL).powf(Z_90);
    moves([levels(&assumed, 1.0 / factor), levels(&assumed, factor)]);
    let [sunlit, shaded, split] = squares.map(f64::sqrt);
    Rest { sunlit, shaded, split }
}
