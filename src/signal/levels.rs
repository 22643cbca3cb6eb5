//! Where things belong in HDR: Report ITU-R BT.2408.
//!
//! Out: nominal levels as the report's tables state them, in display light (cd/m2, on a
//! display of 1000 cd/m2 for HLG) and in % of signal. Cards in PQ and faces of
//! types 1 to 4 are as others quote the report (`tests/signal_levels.rs` says who); dark faces,
//! grass and the two chart whites in HLG are from memory of it. The same tests hold all columns
//! to each other by the curves of BT.2100.

use super::hlg;

/// HDR reference white, cd/m2: a white card of 100 %, graphics white (BT.2408, 2.1).
pub const REFERENCE_WHITE_CD_PER_M2: f64 = 203.0;
/// The same as a signal of HLG.
pub const REFERENCE_WHITE_HLG: f64 = 0.75;
/// Display that HLG levels in cd/m2 are stated for, and peak of the common reference at which
/// HLG and PQ are converted into each other (BT.2408, 6.2).
pub const REFERENCE_PEAK_CD_PER_M2: f64 = 1000.0;
/// Reflectance of the grey card.
pub const GREY_CARD_REFLECTANCE: f64 = 0.18;

/// What is placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PlacedTone {
    /// 18 %.
    GreyCard,
    /// White of a greyscale chart, 83 %.
    ChartWhite83,
    /// White of a greyscale chart, 90 %.
    ChartWhite90,
    /// 100 %.
    ReferenceWhite,
    /// Fitzpatrick types 1 and 2.
    LightSkin,
    /// Fitzpatrick types 3 and 4.
    MediumSkin,
    /// Fitzpatrick types 5 and 6.
    DarkSkin,
    Grass,
}

/// A row of the tables; ranges are lowest and highest, equal where one value is stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceLevel {
    pub placed: PlacedTone,
    /// Where the table states one.
    pub reflectance: Option<f64>,
    pub cd_per_m2: [f64; 2],
    pub pq_percent: [f64; 2],
    pub hlg_percent: [f64; 2],
}

impl ReferenceLevel {
    /// Darkest and brightest in stops over reference white, by the curve of HLG.
    pub fn over_white_stops(&self) -> [f64; 2] {
        let white = hlg::oetf_inverse(REFERENCE_WHITE_HLG);
        self.hlg_percent.map(|percent| (hlg::oetf_inverse(percent / 100.0) / white).log2())
    }
}

/// BT.2408, table 1 (line-up) and the table of skin and grass, "preliminary" there.
pub const LEVELS: [ReferenceLevel; 8] = [
    card(PlacedTone::GreyCard, GREY_CARD_REFLECTANCE, [26.0, 38.0, 38.0]),
    card(PlacedTone::ChartWhite83, 0.83, [162.0, 56.0, 71.0]),
    card(PlacedTone::ChartWhite90, 0.90, [179.0, 57.0, 73.0]),
    card(PlacedTone::ReferenceWhite, 1.0, [REFERENCE_WHITE_CD_PER_M2, 58.0, 75.0]),
    seen(PlacedTone::LightSkin, [65.0, 110.0], [45.0, 55.0], [55.0, 65.0]),
    seen(PlacedTone::MediumSkin, [40.0, 85.0], [40.0, 50.0], [45.0, 60.0]),
    seen(PlacedTone::DarkSkin, [10.0, 40.0], [30.0, 40.0], [25.0, 45.0]),
    seen(PlacedTone::Grass, [30.0, 65.0], [40.0, 45.0], [40.0, 55.0]),
];

const fn card(placed: PlacedTone, reflectance: f64, [cd, pq, hlg]: [f64; 3]) -> ReferenceLevel {
    ReferenceLevel {
        placed,
        reflectance: Some(reflectance),
        cd_per_m2: [cd, cd],
        pq_percent: [pq, pq],
        hlg_percent: [hlg, hlg],
    }
}

const fn seen(
    placed: PlacedTone,
    cd_per_m2: [f64; 2],
    pq_percent: [f64; 2],
    hlg_percent: [f64; 2],
) -> ReferenceLevel {
    ReferenceLevel { placed, reflectance: None, cd_per_m2, pq_percent, hlg_percent }
}
