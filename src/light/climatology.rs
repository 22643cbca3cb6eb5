//! Typical clear air by place and time of the year.
//!
//! In: a place and a [`ClimateSeason`]. Out: a [`Climate`]: the median aerosol optical depth at
//! 500 nm with its Angstrom exponent; water (cm) and ozone (atm-cm). Values are those of
//! the middle of a season; [`between_seasons`] says which two a date lies between, so that
//! no number jumps from one day to the next.
//!
//! The aerosol is a table of 24 regions and four seasons: typical sun photometer
//! values as published for stations of the AERONET network (Holben and others,
//! J. Geophys. Res. 106, 2001, 12067; Dubovik and others, J. Atmos. Sci. 59, 2002,
//! 590, table 1) and mapped in the MACv2 climatology (Kinne, Tellus B 71, 2019,
//! 1623639), rounded and from memory. What it cannot know (the day, the valley, the
//! city) is in the spread that `air_range` gives it.

use chrono::{Datelike, NaiveDate};

use crate::venue::Place;

/// Seasons that climatology is stated for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum ClimateSeason {
    DecemberToFebruary,
    MarchToMay,
    JuneToAugust,
    SeptemberToNovember,
}

impl ClimateSeason {
    pub const ALL: [Self; 4] =
        [Self::DecemberToFebruary, Self::MarchToMay, Self::JuneToAugust, Self::SeptemberToNovember];
}

/// Middles of the seasons, days after 1 January 0:00: noon of the 15th of January, April,
/// July and October.
const MIDDLES: [f64; 4] = [14.5, 104.5, 195.5, 287.5];

/// The places in [`ClimateSeason::ALL`] of the two seasons whose middles a date lies between, and
/// the share of the second, 0 to 1.
pub(super) fn between_seasons(date: NaiveDate) -> (usize, usize, f64) {
    let length = if date.leap_year() { 366.0 } else { 365.0 };
    let day = f64::from(date.ordinal0()) + 0.5;
    let later = MIDDLES.iter().position(|middle| *middle > day).unwrap_or(0);
    let earlier = (later + 3) % 4;
    let since = |from: f64, to: f64| (to - from).rem_euclid(length);
    let apart = since(MIDDLES[earlier], MIDDLES[later]);
    (earlier, later, since(MIDDLES[earlier], day) / apart)
}

/// A region of the table: columns of aerosol optical depth at 500 nm from December on.
#[derive(Debug)]
struct Region {
    name: &'static str,
    /// Latitudes and longitudes that bound it, degrees.
    latitude: (f64, f64),
    longitude: (f64, f64),
    /// Height above the sea that the depths hold for, metres.
    height_m: f64,
    depths: [f64; 4],
    exponent: f64,
}

const fn region(
    name: &'static str,
    latitude: (f64, f64),
    longitude: (f64, f64),
    height_m: f64,
    depths: [f64; 4],
    exponent: f64,
) -> Region {
    Region { name, latitude, longitude, height_m, depths, exponent }
}

/// The first region that holds a place is its own.
static REGIONS: [Region; 24] = [
    region("the Arctic", (70.0, 90.0), (-180.0, 180.0), 0.0, [0.05, 0.09, 0.06, 0.04], 1.4),
    region("northern Europe", (54.0, 70.0), (-25.0, 40.0), 100.0, [0.07, 0.12, 0.11, 0.08], 1.4),
    region("western Europe", (44.0, 54.0), (-12.0, 20.0), 250.0, [0.10, 0.16, 0.15, 0.11], 1.4),
    region("eastern Europe", (44.0, 54.0), (20.0, 60.0), 200.0, [0.12, 0.18, 0.18, 0.13], 1.5),
    region("the Mediterranean", (30.0, 44.0), (-12.0, 37.0), 200.0, [0.12, 0.19, 0.19, 0.14], 1.2),
    region(
        "the Sahara and the Sahel",
        (10.0, 30.0),
        (-20.0, 35.0),
        300.0,
        [0.28, 0.40, 0.38, 0.25],
        0.4,
    ),
    region("the coast of Guinea", (0.0, 10.0), (-15.0, 15.0), 100.0, [0.50, 0.40, 0.28, 0.28], 0.8),
    region("central Africa", (-15.0, 10.0), (8.0, 52.0), 700.0, [0.25, 0.20, 0.32, 0.30], 1.3),
    region("southern Africa", (-36.0, -15.0), (10.0, 52.0), 1100.0, [0.11, 0.09, 0.10, 0.16], 1.4),
    region("the Middle East", (12.0, 39.0), (35.0, 62.0), 400.0, [0.25, 0.40, 0.42, 0.28], 0.5),
    region("central Asia", (35.0, 50.0), (50.0, 95.0), 700.0, [0.12, 0.20, 0.18, 0.13], 1.0),
    region("southern Asia", (5.0, 35.0), (62.0, 95.0), 200.0, [0.45, 0.45, 0.50, 0.45], 1.0),
    region("eastern Asia", (22.0, 45.0), (95.0, 127.0), 200.0, [0.35, 0.50, 0.50, 0.35], 1.2),
    region("Japan and Korea", (30.0, 46.0), (125.0, 148.0), 50.0, [0.18, 0.32, 0.30, 0.18], 1.3),
    region("northern Asia", (44.0, 70.0), (40.0, 180.0), 300.0, [0.09, 0.17, 0.16, 0.09], 1.4),
    region("south-eastern Asia", (-11.0, 22.0), (92.0, 155.0), 50.0, [0.22, 0.28, 0.22, 0.30], 1.2),
    region("Australia", (-44.0, -11.0), (112.0, 155.0), 200.0, [0.07, 0.05, 0.04, 0.07], 1.1),
    region(
        "western North America",
        (25.0, 50.0),
        (-126.0, -100.0),
        1200.0,
        [0.05, 0.09, 0.09, 0.06],
        1.3,
    ),
    region(
        "eastern North America",
        (25.0, 50.0),
        (-100.0, -60.0),
        200.0,
        [0.08, 0.13, 0.20, 0.10],
        1.5,
    ),
    region(
        "northern North America",
        (50.0, 70.0),
        (-170.0, -50.0),
        300.0,
        [0.06, 0.10, 0.12, 0.07],
        1.4,
    ),
    region(
        "Central America and the Caribbean",
        (5.0, 25.0),
        (-118.0, -60.0),
        100.0,
        [0.13, 0.20, 0.20, 0.14],
        1.0,
    ),
    region(
        "tropical South America",
        (-22.0, 5.0),
        (-82.0, -34.0),
        200.0,
        [0.12, 0.11, 0.17, 0.28],
        1.3,
    ),
    region(
        "southern South America",
        (-56.0, -22.0),
        (-76.0, -48.0),
        200.0,
        [0.08, 0.06, 0.07, 0.10],
        1.2,
    ),
    region("the oceans", (-90.0, 90.0), (-180.0, 180.0), 0.0, [0.08, 0.09, 0.08, 0.07], 0.7),
];

/// Height over which aerosol and water thin out to 1/e, metres: both lie in the lowest
/// kilometres (about 2 km each, common practice in clear-sky models, from memory).
const SCALE_HEIGHT_M: f64 = 2000.0;

/// Typical aerosol of a region.
#[derive(Debug, Clone, Copy)]
pub struct Climate {
    region: &'static Region,
    /// 1 to 12; `None` for all dates of a year.
    month: Option<u32>,
}

impl PartialEq for Climate {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self.region, other.region) && self.month == other.month
    }
}

impl Eq for Climate {}

impl Climate {
    /// Of a place, over the year.
    pub fn of(place: &Place) -> Self {
        let within = |value: f64, (low, high): (f64, f64)| (low..=high).contains(&value);
        let holds = |r: &&Region| {
            within(place.latitude_deg, r.latitude) && within(place.longitude_deg, r.longitude)
        };
        let region = REGIONS.iter().find(holds).unwrap_or(&REGIONS[REGIONS.len() - 1]);
        Self { region, month: None }
    }

    /// The same on a date.
    pub fn on(self, date: NaiveDate) -> Self {
        Self { month: Some(date.month()), ..self }
    }

    /// Median aerosol optical depth at 500 nm in the middle of a season, at a height above
    /// the sea.
    pub(super) fn aerosol_500nm(&self, season: ClimateSeason, height_m: f64) -> f64 {
        let depth = self.region.depths[season as usize];
        depth * (-(height_m - self.region.height_m) / SCALE_HEIGHT_M).exp()
    }

    /// Angstrom's exponent.
    pub fn aerosol_exponent(&self) -> f64 {
        self.region.exponent
    }

    /// Name of the region, as it stands in a sentence.
    pub fn region(&self) -> &'static str {
        self.region.name
    }
}

impl std::fmt::Display for Climate {
    /// "western Europe in June".
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let month = self.month.and_then(|month| chrono::Month::try_from(month as u8).ok());
        match month {
            Some(month) => write!(f, "{} in {}", self.region.name, month.name()),
            None => write!(f, "{} by date", self.region.name),
        }
    }
}

/// Water (cm) and ozone (atm-cm) of the model atmospheres of Anderson and others
/// (AFGL-TR-86-0110, 1986), straight between their latitudes (tropical up to 15
/// degrees, mid-latitude 45, subarctic 60) and from winter to summer; water thins with
/// the height of the place.
pub(super) fn water_and_ozone(place: &Place, season: ClimateSeason) -> (f64, f64) {
    // how much of summer the season has on the northern half of the Earth
    let north = match season {
        ClimateSeason::DecemberToFebruary => 0.0,
        ClimateSeason::JuneToAugust => 1.0,
        ClimateSeason::MarchToMay | ClimateSeason::SeptemberToNovember => 0.5,
    };
    let summer = if place.latitude_deg < 0.0 { 1.0 - north } else { north };
    let mix = |winter: f64, warm: f64| winter + (warm - winter) * summer;
    let at = [15.0, 45.0, 60.0];
    let between = |values: [f64; 3]| {
        let latitude = place.latitude_deg.abs().clamp(at[0], at[2]);
        let left = usize::from(latitude > at[1]);
        let share = (latitude - at[left]) / (at[left + 1] - at[left]);
        values[left] + (values[left + 1] - values[left]) * share
    };
    let water = between([4.12, mix(0.85, 2.92), mix(0.42, 2.08)]);
    let ozone = between([0.277, mix(0.377, 0.332), mix(0.376, 0.345)]);
    (water * (-place.height_m.max(0.0) / SCALE_HEIGHT_M).exp(), ozone)
}
