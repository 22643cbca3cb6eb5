//! Numbers of the venue file as people say them.

use crate::venue::{Address, Unit};

use super::Effect;

/// "Mill Stand: roof, front height".
///
/// ```
/// use quarterstop::jobs::sensitivity::effect_name;
/// let name = |text: &str| effect_name(&text.parse().unwrap());
/// assert_eq!(name(r#"stand."Mill Stand".roof.front_height_m"#), "Mill Stand: roof, front height");
/// assert_eq!(name("field.bearing_deg"), "Field: bearing");
/// assert_eq!(name("solid.Mast.footprint.2.0"), "Mast: footprint, corner 3, along");
/// assert_eq!(name("camera.main.at.2"), "main: place, up");
/// ```
pub fn effect_name(address: &Address) -> String {
    let parts = address.parts();
    let (owner, keys) = match parts {
        [table, rest @ ..] if table == "field" => ("Field", rest),
        [_, name, rest @ ..] => (name.as_str(), rest),
        other => ("", other),
    };
    let mut words: Vec<String> = Vec::new();
    for (i, key) in keys.iter().enumerate() {
        let word = match key.parse::<usize>() {
            // the last number of a point is a coordinate, one before it a corner
            Ok(n) if i + 1 == keys.len() => {
                ["along", "across", "up"].get(n).copied().unwrap_or("?").to_owned()
            }
            Ok(n) => format!("corner {}", n + 1),
            Err(_) => key_words(key),
        };
        words.push(word);
    }
    format!("{owner}: {}", words.join(", "))
}

fn key_words(key: &str) -> String {
    let key = key.strip_suffix("_m").or_else(|| key.strip_suffix("_deg")).unwrap_or(key);
    match key {
        "at" => "place".to_owned(),
        "from" | "to" => format!("{key} end"),
        other => other.replace('_', " "),
    }
}

/// How a number is known: "tape, +-0.05 m", "not measured".
pub fn known_words(effect: &Effect) -> String {
    let unit = unit_words(effect.dimension.unit);
    match &effect.surveyed {
        None => "not measured".to_owned(),
        Some(s) => {
            let on = s.on.map_or_else(String::new, |on| format!(", {}", on.format("%Y-%m-%d")));
            format!("{}, ± {}{unit}{on}", s.how.word(), significant(s.plus_minus))
        }
    }
}

/// " m", "°", or nothing.
pub fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Metre => " m",
        Unit::Degree => "°",
        Unit::Second => " s",
        Unit::One => "",
    }
}

/// A standard error to two figures.
fn significant(value: f64) -> String {
    let decimals = (1.0 - value.abs().max(1e-6).log10().floor()).clamp(0.0, 4.0);
    format!("{value:.*}", decimals as usize)
}
