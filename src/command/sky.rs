//! Sky and air as options say them.
//!
//! In: words of the command line and what the venue file states. Out: a [`Sky`]
//! and an [`AirByDate`].

use clap::ValueEnum;

use crate::base::units::Transmittance;
use crate::command::failure::Failure;
use crate::light::{AirByDate, AirSource, Sky, air_of};
use crate::venue::{NamedAir, StatedAir, Venue};

/// A sky state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SkyChoice {
    /// Cloudless
    Clear,
    /// One thick cloud over the sun, the rest of the sky clear
    Cumulus,
    /// Thin cloud all over; see --direct-share
    Thin,
    /// White clouds in many places, the sun in a gap
    Broken,
    /// Fully covered, no direct sun
    Overcast,
}

/// What thin cloud lets through where nobody says (common practice, no source).
const DEFAULT_DIRECT_SHARE: f64 = 0.5;

/// The sky asked for.
///
/// # Errors
/// [`Failure::DirectShare`] for a share beside a sky that has none.
pub(crate) fn sky(choice: SkyChoice, direct_share: Option<f64>) -> Result<Sky, Failure> {
    if direct_share.is_some() && choice != SkyChoice::Thin {
        return Err(Failure::DirectShare);
    }
    Ok(match choice {
        SkyChoice::Clear => Sky::Clear,
        SkyChoice::Cumulus => Sky::Cumulus,
        SkyChoice::Thin => {
            Sky::Thin(Transmittance::from_share(direct_share.unwrap_or(DEFAULT_DIRECT_SHARE)))
        }
        SkyChoice::Broken => Sky::Broken,
        SkyChoice::Overcast => Sky::Overcast,
    })
}

/// One word of `--air`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AirWord {
    Name(NamedAir),
    Number(AirNumber, f64),
}

/// A number of an air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirNumber {
    Aerosol500nm,
    AerosolExponent,
    WaterCm,
    OzoneAtmCm,
    GroundAlbedo,
}

const NAMES: [(&str, NamedAir); 9] = [
    ("standard", NamedAir::Standard),
    ("washed", NamedAir::Washed),
    ("summer", NamedAir::Summer),
    ("city", NamedAir::City),
    ("haze", NamedAir::Haze),
    ("sea", NamedAir::Sea),
    ("dust", NamedAir::Dust),
    ("tropics", NamedAir::Tropics),
    ("snow", NamedAir::Snow),
];

/// Key, number, limits as in the venue file.
const NUMBERS: [(&str, AirNumber, f64, f64); 5] = [
    ("aerosol_500nm", AirNumber::Aerosol500nm, 0.0, 3.0),
    ("aerosol_exponent", AirNumber::AerosolExponent, -0.5, 3.0),
    ("water_cm", AirNumber::WaterCm, 0.0, 10.0),
    ("ozone_atm_cm", AirNumber::OzoneAtmCm, 0.0, 1.0),
    ("ground_albedo", AirNumber::GroundAlbedo, 0.0, 1.0),
];

/// Reads one word of `--air`; what is wrong in words.
pub(crate) fn air_word(text: &str) -> Result<AirWord, String> {
    let text = text.trim();
    let Some((key, number)) = text.split_once('=') else {
        let name = NAMES.iter().find(|(name, _)| *name == text);
        return name.map(|(_, air)| AirWord::Name(*air)).ok_or_else(|| {
            let names = NAMES.map(|(name, _)| name).join(", ");
            format!("an air is one of {names}, or KEY=NUMBER")
        });
    };
    let known = NUMBERS.iter().find(|(name, ..)| *name == key.trim());
    let Some(&(name, which, low, high)) = known else {
        return Err(format!("known keys are {}", NUMBERS.map(|(name, ..)| name).join(", ")));
    };
    match number.trim().parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(AirWord::Number(which, value)),
        _ => Err(format!("{name} is a number from {low} to {high}")),
    }
}

/// The air of the venue file, else what is typical of the place, with what the options
/// say in its place: a name starts anew, numbers take their places in it, wherever they
/// stand.
///
/// # Errors
/// [`Failure::Input`] for two names, or a number twice: one of them would be lost.
pub(crate) fn air(venue: &Venue, words: &[AirWord]) -> Result<AirByDate, Failure> {
    sound(words)?;
    let mut air = AirByDate::of_venue(venue);
    if let Some(name) = words.iter().find_map(AirWord::name) {
        let stated = StatedAir { name, ..StatedAir::default() };
        air = air_of(&stated).from(AirSource::Options(name)).into();
    }
    for word in words {
        let AirWord::Number(which, value) = *word else { continue };
        let mut stated = StatedAir::default();
        let place = match which {
            AirNumber::Aerosol500nm => &mut stated.aerosol_500nm,
            AirNumber::AerosolExponent => &mut stated.aerosol_exponent,
            AirNumber::WaterCm => &mut stated.water_cm,
            AirNumber::OzoneAtmCm => &mut stated.ozone_atm_cm,
            AirNumber::GroundAlbedo => &mut stated.ground_albedo,
        };
        *place = Some(value);
        let source = match air.source() {
            AirSource::Climatology(climate) => AirSource::OptionsOver(climate),
            AirSource::VenueFile(name) | AirSource::Default(name) => AirSource::Options(name),
            other => other,
        };
        air = air.with(&stated, source);
    }
    Ok(air)
}

/// One name at most, and each number once.
fn sound(words: &[AirWord]) -> Result<(), Failure> {
    let twice = |found: String| {
        let advice = "give one name, and each number once, such as \"summer,water_cm=2.1\"";
        Failure::Input(format!("--air: found {found}\n  {advice}").into())
    };
    let mut named = words.iter().filter_map(AirWord::name);
    if let (Some(first), Some(second)) = (named.next(), named.next()) {
        return Err(twice(format!("two airs, {} and {}", word_of(first), word_of(second))));
    }
    let mut numbers: Vec<AirNumber> = Vec::new();
    for word in words {
        let AirWord::Number(which, _) = *word else { continue };
        if numbers.contains(&which) {
            let key = NUMBERS.iter().find(|(_, known, ..)| *known == which).map_or("", |n| n.0);
            return Err(twice(format!("{key} twice")));
        }
        numbers.push(which);
    }
    Ok(())
}

impl AirWord {
    fn name(&self) -> Option<NamedAir> {
        match self {
            Self::Name(name) => Some(*name),
            Self::Number(..) => None,
        }
    }
}

fn word_of(air: NamedAir) -> &'static str {
    NAMES.iter().find(|(_, known)| *known == air).map_or("", |(word, _)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_an_air_are_read_or_refused_with_what_is_allowed() {
        assert_eq!(air_word("haze"), Ok(AirWord::Name(NamedAir::Haze)));
        assert_eq!(air_word("water_cm = 2.5"), Ok(AirWord::Number(AirNumber::WaterCm, 2.5)));
        assert!(air_word("smog").unwrap_err().contains("standard, washed"));
        assert!(air_word("humidity=3").unwrap_err().contains("water_cm"));
        assert_eq!(air_word("water_cm=99"), Err("water_cm is a number from 0 to 10".into()));
        assert!(air_word("water_cm=NaN").is_err());
    }
}
