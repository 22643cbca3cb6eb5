//! How high things are, as open map data commonly says it.
//!
//! In: properties of a feature. Out: metres from the ground to the underside and
//! to the top, the part of it that is roof, and from which property they come.
//!
//! Keys and their meaning are those of open map data (the wiki of
//! OpenStreetMap: Key:height, Simple 3D Buildings): `height` includes the roof,
//! `building:levels` does not, levels under `building:min_level` are counted.

use super::source::Feature;

/// One storey, floor to floor, metres: common practice, no source. Offices and
/// shops have more.
pub const DEFAULT_LEVEL_M: f64 = 3.0;
/// Lengths over this are taken for mistakes, metres.
const MAX_M: f64 = 900.0;
/// ISO 31-1, annex A: the international foot and inch.
const FOOT_M: f64 = 0.3048;
const INCH_M: f64 = 0.0254;

/// What heights rest on where the file does not say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightRule {
    /// Metres a level.
    pub level_m: f64,
    /// Top of buildings that state nothing, metres.
    pub assumed_m: Option<f64>,
}

impl Default for HeightRule {
    fn default() -> Self {
        Self { level_m: DEFAULT_LEVEL_M, assumed_m: None }
    }
}

/// Heights of one feature, metres above its own ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Heights {
    pub bottom_m: f64,
    /// Of all of it, roof included.
    pub top_m: f64,
    /// How much of it is roof, where that is stated.
    pub roof_m: Option<f64>,
    /// Whether the underside is stated.
    pub states_bottom: bool,
    /// Which properties they come from.
    pub from: String,
    /// Whether the top is the assumed one.
    pub assumed: bool,
}

/// A length as people write it: metres when bare, or with `m`, `cm`, `km`, feet
/// (`'`, `ft`), feet and inches (`7'4"`).
///
/// ```
/// use quarterstop::import::outlines::height::length_m;
/// assert_eq!(length_m("12.5 m"), Some(12.5));
/// assert_eq!(length_m("40'").map(|m| (m * 1e3).round()), Some(12_192.0));
/// assert_eq!(length_m("12,5"), None);
/// ```
pub fn length_m(text: &str) -> Option<f64> {
    let text = text.trim().to_lowercase().replace(['\u{2032}', '\u{2019}'], "'");
    let text = text.replace(['\u{2033}', '\u{201d}'], "\"");
    let number = |text: &str| -> Option<f64> {
        let text = text.trim();
        // "inf" and "nan" are numbers to Rust, not to a map
        let plain = text.bytes().all(|b| b.is_ascii_digit() || b".-+".contains(&b));
        text.parse().ok().filter(|_| plain)
    };
    let length = if let Some((feet, inches)) = text.split_once('\'') {
        let inches = inches.trim().trim_end_matches('"');
        let inches = if inches.is_empty() { 0.0 } else { number(inches)? };
        number(feet)? * FOOT_M + inches * INCH_M
    } else {
        let at = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
        let (value, unit) = text.split_at(at);
        let unit_m = match unit.trim().trim_end_matches('.') {
            "" | "m" | "metre" | "metres" | "meter" | "meters" => 1.0,
            "cm" => 0.01,
            "km" => 1000.0,
            "ft" | "foot" | "feet" => FOOT_M,
            _ => return None,
        };
        number(value)? * unit_m
    };
    (length.abs() <= MAX_M).then_some(length)
}

/// A property as a length.
///
/// # Errors
/// What cannot be read, in words.
pub fn stated(feature: &Feature, key: &str) -> Result<Option<f64>, String> {
    let Some(text) = feature.tag(key) else { return Ok(None) };
    match length_m(text) {
        Some(length) => Ok(Some(length)),
        None => Err(format!("{key} = \"{text}\" is no length in metres or feet")),
    }
}

fn count(feature: &Feature, key: &str) -> Result<Option<f64>, String> {
    let Some(text) = feature.tag(key) else { return Ok(None) };
    match text.parse::<f64>() {
        Ok(count) if (-20.0..=200.0).contains(&count) => Ok(Some(count)),
        _ => Err(format!("{key} = \"{text}\" is no count of levels")),
    }
}

/// Heights of a feature; `Ok(None)` where it states none and none is assumed.
/// `may_assume` says whether the assumed height is for features of its kind.
///
/// # Errors
/// What cannot be read or does not fit together, in words.
pub fn heights(
    feature: &Feature,
    rule: &HeightRule,
    may_assume: bool,
) -> Result<Option<Heights>, String> {
    let roof = roof_m(feature, rule)?;
    let Some((top_m, from, assumed)) = top(feature, rule, roof, may_assume)? else {
        return Ok(None);
    };
    let (bottom_m, bottom_from) = bottom(feature, rule)?;
    if top_m <= bottom_m.max(0.0) {
        return Err(format!("its top, {top_m:.2} m, is not over its underside, {bottom_m:.2} m"));
    }
    let from = bottom_from.iter().fold(from, |from, more| format!("{from}, underside from {more}"));
    Ok(Some(Heights {
        bottom_m,
        top_m,
        roof_m: roof,
        states_bottom: !bottom_from.is_empty(),
        from,
        assumed,
    }))
}

type Top = (f64, String, bool);

fn top(
    feature: &Feature,
    rule: &HeightRule,
    roof: Option<f64>,
    may_assume: bool,
) -> Result<Option<Top>, String> {
    for key in ["height", "building:height"] {
        if let Some(height) = stated(feature, key)? {
            return Ok(Some((height, said(feature, key), false)));
        }
    }
    if let Some(levels) = count(feature, "building:levels")? {
        let mut from =
            format!("{} at {} m a level", said(feature, "building:levels"), rule.level_m);
        for key in ["roof:height", "roof:levels"] {
            if feature.tag(key).is_some() {
                from += &format!(" and {}", said(feature, key));
                break;
            }
        }
        return Ok(Some((levels * rule.level_m + roof.unwrap_or(0.0), from, false)));
    }
    Ok(rule
        .assumed_m
        .filter(|_| may_assume)
        .map(|top| (top, format!("nothing stated: {top} m assumed"), true)))
}

fn bottom(feature: &Feature, rule: &HeightRule) -> Result<(f64, Vec<String>), String> {
    for key in ["min_height", "building:min_height"] {
        if let Some(bottom) = stated(feature, key)? {
            return Ok((bottom, vec![said(feature, key)]));
        }
    }
    let key = "building:min_level";
    match count(feature, key)? {
        Some(levels) => Ok((
            levels * rule.level_m,
            vec![format!("{} at {} m a level", said(feature, key), rule.level_m)],
        )),
        None => Ok((0.0, Vec::new())),
    }
}

fn roof_m(feature: &Feature, rule: &HeightRule) -> Result<Option<f64>, String> {
    let roof = match stated(feature, "roof:height")? {
        Some(height) => Some(height),
        None => count(feature, "roof:levels")?.map(|levels| levels * rule.level_m),
    };
    match roof {
        Some(roof) if roof < 0.0 => Err(format!("a roof of {roof} m")),
        roof => Ok(roof),
    }
}

/// `height = "12.5 m"`.
pub fn said(feature: &Feature, key: &str) -> String {
    format!("{key} = \"{}\"", feature.tag(key).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::length_m;

    // spellings: wiki of OpenStreetMap, Key:height and Map features/Units (from memory)
    #[test]
    fn lengths_as_people_write_them() {
        for (text, metres) in [
            ("12", 12.0),
            ("12.5 m", 12.5),
            ("12.5m", 12.5),
            ("3 metres", 3.0),
            ("850 cm", 8.5),
            ("0.1 km", 100.0),
            ("40'", 12.192),
            ("40 ft", 12.192),
            ("16'3\"", 4.9530),
            ("7\u{2032}4\u{2033}", 2.2352),
        ] {
            let read = length_m(text).unwrap();
            assert!((read - metres).abs() < 1e-9, "{text}: {read}");
        }
    }

    #[test]
    fn what_is_no_length_is_none() {
        for text in [
            "",
            "tall",
            "12,5",
            "inf",
            "nan m",
            "1e3",
            "12 m 30",
            "3 storeys",
            "'",
            "5'x\"",
            "1e308",
            "5000",
        ] {
            assert_eq!(length_m(text), None, "{text}");
        }
    }
}
