//! What a start time costs, and what it is made of.
//!
//! In: a small TOML file of weights; the usual ones where there is none. Out: a
//! [`Profile`], and [`CostParts`] that it turns into one number, the lower the better. The
//! unit is a minute of play in which some camera has to expose for sun or for shade.

use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::venue::{FileKind, TomlText, VenueError, schema_of, text_of};

/// What of a part nobody notices, minutes and stops.
const EQUAL_MIN: f64 = 0.5;
const EQUAL_STOPS: f64 = 0.1;

/// A part of the cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CostPart {
    /// Minutes of play with sun and shade on the field.
    Mixed,
    /// Widest split in shot of any camera, on turf or subject, stops.
    WorstSplit,
    /// Minutes of play with the sun in frame or on the front element of the main camera.
    MainLens,
    /// Minutes of play in which a camera has both sides in frame and no setting for both.
    Choose,
    /// Minutes of play between low sun and the end of civil twilight with floodlights lit.
    Dusk,
    /// Minutes of play with the sun down and no floodlights lit.
    Dark,
}

impl CostPart {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 6] =
        [Self::Mixed, Self::WorstSplit, Self::MainLens, Self::Choose, Self::Dusk, Self::Dark];

    /// Key and column, with its unit.
    pub fn key(self) -> &'static str {
        match self {
            Self::Mixed => "mixed_min",
            Self::WorstSplit => "worst_split_stops",
            Self::MainLens => "main_lens_min",
            Self::Choose => "choose_min",
            Self::Dusk => "dusk_min",
            Self::Dark => "dark_min",
        }
    }
}

/// A number for each part: minutes, but stops for the worst split.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct CostParts([f64; CostPart::ALL.len()]);

impl CostParts {
    pub fn get(&self, part: CostPart) -> f64 {
        self.0[part as usize]
    }

    pub fn set(&mut self, part: CostPart, value: f64) {
        self.0[part as usize] = value;
    }

    pub fn add(&mut self, part: CostPart, value: f64) {
        self.0[part as usize] += value;
    }

    /// Part by part, a share of another on top.
    pub(super) fn add_share(&mut self, other: &Self, share: f64) {
        self.0.iter_mut().zip(other.0).for_each(|(sum, value)| *sum += share * value);
    }
}

/// The file.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Quarterstop cost profile")]
pub struct ProfileFile {
    /// A minute of play with sun and shade on the field.
    #[serde(default = "CostWeights::mixed")]
    #[schemars(range(min = 0, max = 1000))]
    pub mixed_per_min: f64,
    /// A stop of the widest split in shot.
    #[serde(default = "CostWeights::split")]
    #[schemars(range(min = 0, max = 1000))]
    pub worst_split_per_stop: f64,
    /// A minute of play with the sun in the main camera's lens.
    #[serde(default = "CostWeights::lens")]
    #[schemars(range(min = 0, max = 1000))]
    pub main_lens_per_min: f64,
    /// A minute of play in which a camera has to expose for sun or for shade.
    #[serde(default = "CostWeights::choose")]
    #[schemars(range(min = 0, max = 1000))]
    pub choose_per_min: f64,
    /// A minute of play at dusk or dawn under floodlights.
    #[serde(default = "CostWeights::dusk")]
    #[schemars(range(min = 0, max = 1000))]
    pub dusk_per_min: f64,
    /// A minute of play with the sun down and no floodlights lit.
    #[serde(default = "CostWeights::dark")]
    #[schemars(range(min = 0, max = 1000))]
    pub dark_per_min: f64,
    /// Name of the main camera; the first of a venue that has none of that name.
    pub main_camera: Option<String>,
}

/// The usual weights: a minute in which a side has to be chosen is the measure, one with
/// the sun in the main lens is as bad; a mixed field and a changing mixture of daylight and
/// lamps are work, not loss; a stop of split is worth a few minutes; in the dark there is no
/// picture to choose for, which is twice as bad (common practice, no source).
struct CostWeights;

impl CostWeights {
    fn mixed() -> f64 {
        0.25
    }
    fn split() -> f64 {
        5.0
    }
    fn lens() -> f64 {
        1.0
    }
    fn choose() -> f64 {
        1.0
    }
    fn dusk() -> f64 {
        0.25
    }
    fn dark() -> f64 {
        2.0
    }
}

/// How much each part counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    weights: CostParts,
    /// Name of the main camera; the first of a venue where there is none of that name.
    pub main_camera: Option<String>,
}

impl Default for Profile {
    fn default() -> Self {
        let mut weights = CostParts::default();
        for (part, weight) in [
            (CostPart::Mixed, CostWeights::mixed()),
            (CostPart::WorstSplit, CostWeights::split()),
            (CostPart::MainLens, CostWeights::lens()),
            (CostPart::Choose, CostWeights::choose()),
            (CostPart::Dusk, CostWeights::dusk()),
            (CostPart::Dark, CostWeights::dark()),
        ] {
            weights.set(part, weight);
        }
        Self { weights, main_camera: None }
    }
}

impl Profile {
    /// What a minute or a stop of a part costs.
    pub fn weight(&self, part: CostPart) -> f64 {
        self.weights.get(part)
    }

    /// Costs that differ by no more than this are equal: half a minute of the dearest
    /// part but play in the dark, or a tenth of a stop, whichever is more; 0.5 by the usual
    /// weights. Less
    /// nobody notices, and the counted minutes are no finer (common practice, no source).
    pub fn equal_within(&self) -> f64 {
        let of = |part| match part {
            CostPart::WorstSplit => EQUAL_STOPS * self.weight(part),
            // a start is not as good as another for ending in the dark
            CostPart::Dark => 0.0,
            _ => EQUAL_MIN * self.weight(part),
        };
        CostPart::ALL.into_iter().map(of).fold(0.0, f64::max)
    }

    /// What a part adds to the cost.
    pub fn weighed(&self, parts: &CostParts, part: CostPart) -> f64 {
        self.weight(part) * parts.get(part)
    }

    /// The whole cost.
    ///
    /// ```
    /// use quarterstop::jobs::starts::{CostPart, CostParts, Profile};
    /// let mut parts = CostParts::default();
    /// parts.set(CostPart::Choose, 12.0);
    /// parts.set(CostPart::WorstSplit, 2.0);
    /// assert_eq!(Profile::default().cost(&parts), 12.0 + 5.0 * 2.0);
    /// ```
    pub fn cost(&self, parts: &CostParts) -> f64 {
        CostPart::ALL.into_iter().map(|part| self.weighed(parts, part)).sum()
    }
}

/// JSON Schema (draft 2020-12) of the profile.
pub fn profile_schema() -> serde_json::Value {
    schema_of::<ProfileFile>()
}

/// Reads a profile.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn read_profile(path: &Path) -> Result<Profile, VenueError> {
    let (text, name) = text_of(FileKind::Costs, path)?;
    parse_profile(&text, &name)
}

/// Reads the text of a profile; `name` is what messages call it.
///
/// ```
/// use quarterstop::jobs::starts::{CostPart, parse_profile};
/// let profile = parse_profile("dusk_per_min = 0.5\n", "costs.toml").unwrap();
/// assert_eq!((profile.weight(CostPart::Dusk), profile.weight(CostPart::Choose)), (0.5, 1.0));
/// let error = parse_profile("dusk = 1\nchoose_per_min = -1\n", "costs.toml").unwrap_err();
/// assert!(error.to_string().starts_with("2 mistakes in the cost profile"));
/// ```
///
/// # Errors
/// As [`read_profile`].
pub fn parse_profile(text: &str, name: &str) -> Result<Profile, VenueError> {
    let (file, _) = TomlText::read::<ProfileFile>(FileKind::Costs, text, name)?;
    let mut weights = CostParts::default();
    for (part, weight) in [
        (CostPart::Mixed, file.mixed_per_min),
        (CostPart::WorstSplit, file.worst_split_per_stop),
        (CostPart::MainLens, file.main_lens_per_min),
        (CostPart::Choose, file.choose_per_min),
        (CostPart::Dusk, file.dusk_per_min),
        (CostPart::Dark, file.dark_per_min),
    ] {
        weights.set(part, weight);
    }
    Ok(Profile { weights, main_camera: file.main_camera })
}
