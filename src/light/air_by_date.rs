//! The air over a venue on any date.
//!
//! In: a venue or a place, and numbers that somebody states. Out: an [`AirByDate`], and
//! from it the [`Air`] of a date: the same on all dates where it is stated, else typical
//! of the place and straight between the middles of two seasons. Every command asks here,
//! so the same minute has the same air in all of them.

use chrono::NaiveDate;

use super::air::{Air, AirKnowledge, AirSource, Knowledge, air_of};
use super::climatology::{Climate, ClimateSeason, between_seasons, water_and_ozone};
use crate::venue::{Place, StatedAir, Venue};

/// The air of each date of a year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirByDate {
    /// In the middle of each of [`ClimateSeason::ALL`].
    seasons: [Air; 4],
}

impl From<Air> for AirByDate {
    /// The same on all dates.
    fn from(air: Air) -> Self {
        Self { seasons: [air; 4] }
    }
}

impl AirByDate {
    /// The air that a venue states, else what is typical of its place.
    ///
    /// ```
    /// use quarterstop::light::AirByDate;
    /// # let file = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/tennis-demo.toml");
    /// let venue = quarterstop::venue::read(std::path::Path::new(file)).unwrap();
    /// let airs = AirByDate::of_venue(&venue);
    /// let on = |month, day| airs.on(chrono::NaiveDate::from_ymd_opt(2027, month, day).unwrap());
    /// // no jump where a season ends
    /// assert!((on(2, 28).aerosol_500nm - on(3, 1).aerosol_500nm).abs() < 0.002);
    /// ```
    pub fn of_venue(venue: &Venue) -> Self {
        match &venue.air {
            Some(stated) => air_of(stated).into(),
            None => Self::typical(&venue.place),
        }
    }

    /// What is typical of a place ([`Climate`]), with the water and ozone of the model
    /// atmospheres.
    pub fn typical(place: &Place) -> Self {
        let climate = Climate::of(place);
        let known = AirKnowledge {
            source: AirSource::Climatology(climate),
            aerosol: Knowledge::Climatology,
            water: Knowledge::Climatology,
        };
        let air = |season| {
            let (water_cm, ozone_atm_cm) = water_and_ozone(place, season);
            Air {
                aerosol_500nm: climate.aerosol_500nm(season, place.height_m),
                aerosol_exponent: climate.aerosol_exponent(),
                water_cm,
                ozone_atm_cm,
                ground_albedo: 0.2,
                known,
            }
        };
        Self { seasons: ClimateSeason::ALL.map(air) }
    }

    /// The air of a date.
    pub fn on(&self, date: NaiveDate) -> Air {
        if let Some(air) = self.same() {
            return air;
        }
        let (earlier, later, share) = between_seasons(date);
        let air = self.between(earlier, later, share);
        let source = match air.known.source {
            AirSource::Climatology(climate) => AirSource::Climatology(climate.on(date)),
            AirSource::OptionsOver(climate) => AirSource::OptionsOver(climate.on(date)),
            other => other,
        };
        air.from(source)
    }

    /// The air between two of the seasons, by the share of the second.
    pub(super) fn between(&self, earlier: usize, later: usize, share: f64) -> Air {
        let (a, b) = (&self.seasons[earlier], &self.seasons[later]);
        let between = |value: fn(&Air) -> f64| value(a) + (value(b) - value(a)) * share;
        Air {
            aerosol_500nm: between(|air| air.aerosol_500nm),
            aerosol_exponent: between(|air| air.aerosol_exponent),
            water_cm: between(|air| air.water_cm),
            ozone_atm_cm: between(|air| air.ozone_atm_cm),
            ground_albedo: between(|air| air.ground_albedo),
            known: a.known,
        }
    }

    /// The one air of all dates; `None` where it changes.
    pub fn same(&self) -> Option<Air> {
        let [first, rest @ ..] = &self.seasons;
        rest.iter().all(|air| air == first).then_some(*first)
    }

    /// In the middle of each season, from December to February on.
    pub fn seasons(&self) -> &[Air; 4] {
        &self.seasons
    }

    /// Each season's air changed in one way.
    pub fn map(self, change: impl FnMut(Air) -> Air) -> Self {
        Self { seasons: self.seasons.map(change) }
    }

    /// The same with the numbers that are stated, and from another source.
    pub fn with(self, stated: &StatedAir, source: AirSource) -> Self {
        self.map(|air| air.with(stated).from(source))
    }

    /// Who stated it.
    pub fn source(&self) -> AirSource {
        self.seasons[0].known.source
    }

    /// Name, numbers and source over a year, for every report: [`Air::statement`] with the
    /// least and the greatest of each number.
    pub fn statement(&self) -> String {
        if let Some(air) = self.same() {
            return air.statement();
        }
        let over = |value: fn(&Air) -> f64, digits| self.over(value, digits);
        format!(
            "Air: {}; aerosol {} at 500 nm (exponent {}), water {} cm, ozone {} atm-cm, ground \
             albedo {}.",
            self.source(),
            over(|air| air.aerosol_500nm, 3),
            over(|air| air.aerosol_exponent, 2),
            over(|air| air.water_cm, 2),
            over(|air| air.ozone_atm_cm, 3),
            over(|air| air.ground_albedo, 2),
        )
    }

    /// What a picture has room for.
    pub fn caption(&self) -> String {
        let Some(air) = self.same() else {
            let aerosol = self.over(|air| air.aerosol_500nm, 2);
            let water = self.over(|air| air.water_cm, 1);
            return format!("aerosol {aerosol}, water {water} cm (typical of place and date)");
        };
        air.caption()
    }

    /// "0.10 to 0.16", or one number.
    fn over(&self, value: fn(&Air) -> f64, digits: usize) -> String {
        let words = |value: f64| format!("{value:.digits$}");
        let values = self.seasons.iter().map(value);
        let least = words(values.clone().fold(f64::INFINITY, f64::min));
        let greatest = words(values.fold(f64::NEG_INFINITY, f64::max));
        if least == greatest { least } else { format!("{least} to {greatest}") }
    }
}
