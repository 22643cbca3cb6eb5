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
use super::run::{AnyAir, Prepared};
use crate::camera::Rest;
use crate::light::{AirRange, Sky, daylight};

/// The ranges of all views of an instant, put into them.
pub(super) fn add(
    prepared: &Prepared<'_>,
    (instant, any_air): (&mut Instant, &AnyAir),
    sky: Sky,
    air: &AirRange,
) {
    if sky == Sky::Overcast || instant.cameras.is_empty() {
        return;
    }
    let [clean, hazy] =
        [&air.clean, &air.hazy].map(|air| prepared.views(instant, any_air, sky, air));
    let rest = rest(prepared, instant, sky, air);
    for ((view, clean), hazy) in instant.cameras.iter_mut().zip(&clean).zip(&hazy) {
        *view = view.with_ranges([clean, hazy], rest);
    }
}

/// How far water and the model move the light of the open field.
fn rest(prepared: &Prepared<'_>, instant: &Instant, sky: Sky, air: &AirRange) -> Rest {
    let (place, day) = (&prepared.venue.place, instant.at.ordinal());
    Rest::of(air, |air| {
        let light = daylight(&instant.sun, place, air, sky, day);
        [light.direct_horizontal.lux(), light.diffuse_horizontal.lux()]
    })
}
