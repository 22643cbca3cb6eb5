//! How far splits, swings and levels of an instant may be off for what is unknown of
//! the air.
//!
//! In: a [`Prepared`] venue, the [`Shade`] of an instant, its views, the [`Skies`]. Out:
//! the views with the range of each split. Shadows are those of the instant; only light is
//! worked out anew, in clean and in hazy air.
//!
//! Water and the model's own error are taken from the open field and added as the root
//! of the sum of squares; both change splits by little. Under an overcast sky nothing
//! here depends on the air and no range is given: thickness of cloud is not known at all.

use chrono::Datelike;

use crate::camera::{CameraView, OtherSpread};
use crate::engine::prepared::Prepared;
use crate::engine::shade::Shade;
use crate::light::{Air, AirColumn, AirRange, Overhead, Scene, Sky, daylight_through};
use crate::venue::Place;

/// A sky in the air assumed and in what it may be instead, ready for all instants.
pub(crate) struct Skies {
    sky: Sky,
    pub assumed: Overhead,
    /// Of clean and of hazy air; `None` where nothing depends on it.
    ends: Option<[Overhead; 2]>,
    /// As assumed, dry, wet.
    water: [AirColumn; 3],
}

impl Skies {
    pub fn new(scene: &Scene, place: &Place, sky: Sky, air: &Air) -> Self {
        let range = AirRange::of(*air);
        let overhead = |air: &Air| Overhead::new(scene.dome(), place, air, sky);
        let ends = (sky != Sky::Overcast).then(|| [&range.clean, &range.hazy].map(overhead));
        let water = [&range.assumed, &range.dry, &range.wet];
        let water = water.map(|air| AirColumn::new(air, place.pressure_hpa));
        Self { sky, assumed: overhead(air), ends, water }
    }

    /// How far water and the model move the light of the open field.
    fn rest(&self, shade: &Shade) -> OtherSpread {
        let [assumed, dry, wet] = self.water.each_ref().map(|column| {
            let light = daylight_through(column, shade.sun(), self.sky, shade.at().ordinal());
            [light.direct_horizontal.lux(), light.diffuse_horizontal.lux()]
        });
        OtherSpread::between(assumed, [dry, wet])
    }
}

/// The ranges of all views of an instant, put into them.
pub(crate) fn add(
    prepared: &Prepared<'_>,
    (views, shade): (&mut [CameraView], &Shade),
    skies: &Skies,
    floodlights_lit: Option<bool>,
) {
    let Some(ends) = skies.ends.as_ref().filter(|_| !views.is_empty()) else { return };
    let [clean, hazy] = ends.each_ref().map(|end| prepared.views(shade, (end, floodlights_lit)));
    let rest = skies.rest(shade);
    for ((view, clean), hazy) in views.iter_mut().zip(&clean).zip(&hazy) {
        *view = view.with_ranges([clean, hazy], rest);
    }
}
