//! The words for states, one spelling for every report.
//!
//! In: an enum of an earlier stage. Out: the lower-case word that CSV and JSON
//! carry; texts for people write their own sentences around them.

use chrono::{DateTime, SecondsFormat, Utc};
use chrono_tz::Tz;

use crate::camera::{LensEnd, LensRange, LightClass, OneSide, SkinVerdict, SplitState};
use crate::engine::Hidden;
use crate::light::{Chromaticity, ColourTemperature, FloodlightState, Sky, Tristimulus};
use crate::solar::SunState;
use crate::venue::{PlayingSurface, Venue};

/// Percent that areas of whole fields may be off by arithmetic alone.
const ROUNDING: f64 = 1e-6;
/// Less light than this is written as 0 lx, and has no colour in any table or text.
pub(crate) const COLOUR_FROM_LX: f64 = 0.5;

pub(crate) fn sky(sky: Sky) -> &'static str {
    match sky {
        Sky::Clear => "clear",
        Sky::Cumulus => "cumulus",
        Sky::Thin(_) => "thin",
        Sky::Broken => "broken",
        Sky::Overcast => "overcast",
    }
}

pub(crate) fn floodlight(floodlight: FloodlightState) -> &'static str {
    match floodlight {
        FloodlightState::None => "none",
        FloodlightState::Off => "off",
        FloodlightState::Lit => "lit",
    }
}

/// Of an iris that the light asks to be wider than the lens opens.
pub(crate) const WIDE_OPEN: &str = "wide open";
/// Of one that it asks to be narrower than the lens closes.
pub(crate) const CLOSED: &str = "closed all the way";

/// The iris that a lens has for one that is asked for: "T5.6", "T2.0, wide open", "T16.0, closed
/// all the way, 1.2 stops too bright".
pub(crate) fn iris(lens: LensRange, wanted_t: f64) -> String {
    let set = format!("T{:.1}", lens.set_t(wanted_t));
    let end = lens.end_at(wanted_t).map(|end| format!(", {}", lens_end(end)));
    set + &end.unwrap_or_default()
}

/// "wide open", "closed all the way, 1.2 stops too bright".
pub(crate) fn lens_end(end: LensEnd) -> String {
    match end {
        LensEnd::WideOpen(_) => WIDE_OPEN.to_owned(),
        LensEnd::Closed(_) => lens_end_off(end),
    }
}

/// The same with the stops at either end: "wide open, 2.1 stops too dark".
pub(crate) fn lens_end_off(end: LensEnd) -> String {
    match end {
        LensEnd::WideOpen(stops) => format!("{WIDE_OPEN}, {:.1} stops too dark", stops.stops()),
        LensEnd::Closed(stops) => format!("{CLOSED}, {:.1} stops too bright", stops.stops()),
    }
}

/// A neutral density by the share that it lets through, as filter wheels are marked: "ND 1/16".
pub(crate) fn nd_words(stops: f64) -> String {
    match stops.fract() == 0.0 && (0.0..32.0).contains(&stops) {
        true => format!("ND 1/{}", 1_u32 << stops as u32),
        false => format!("ND {stops} stops"),
    }
}

/// The same, "clear" for none.
pub(crate) fn nd_or_clear(stops: f64) -> String {
    if stops > 0.0 { nd_words(stops) } else { "clear".to_owned() }
}

/// The same in stops, too: "ND 1/16 (4 stops)".
pub(crate) fn nd_in_full(stops: f64) -> String {
    match stops.fract() == 0.0 {
        true => {
            format!("{} ({stops} stop{})", nd_words(stops), if stops == 1.0 { "" } else { "s" })
        }
        false => nd_words(stops),
    }
}

/// Chromaticity of light that is more than darkness.
pub(crate) fn chromaticity(light: Tristimulus) -> Option<Chromaticity> {
    light.chromaticity().filter(|_| light.lux() >= COLOUR_FROM_LX)
}

/// The same as a temperature; `None` far from any black body, too.
pub(crate) fn colour(light: Tristimulus) -> Option<ColourTemperature> {
    chromaticity(light).and_then(ColourTemperature::of_chromaticity)
}

/// Correlated colour temperature, K.
pub(crate) fn kelvin(light: Tristimulus) -> Option<f64> {
    colour(light).map(|t| t.kelvin)
}

/// Distance from the Planckian locus.
pub(crate) fn duv(light: Tristimulus) -> Option<f64> {
    colour(light).map(|t| t.duv)
}

/// Two significant digits of an illuminance: "610 lx", "5800 lx", "under 1 lx".
pub(crate) fn lux(lux: f64) -> String {
    if lux < COLOUR_FROM_LX {
        return "under 1 lx".to_owned();
    }
    let decade = 10.0_f64.powf(lux.max(10.0).log10().floor() - 1.0);
    format!("{:.0} lx", (lux / decade).round() * decade)
}

/// "64 % of what it covers is hidden from it, 60 % by Mill Stand", of a camera.
pub(crate) fn hidden(venue: &Venue, hidden: &Hidden) -> String {
    let thing = venue.occluders.get(hidden.thing).map_or("", |o| o.name.as_str());
    let per_cent = |share: f64| format!("{:.0} %", 100.0 * share);
    format!(
        "{} of what it covers is hidden from it, {} by {thing}",
        per_cent(hidden.share),
        per_cent(hidden.thing_share)
    )
}

/// A share of 0 to 1 as whole percent; what is there but under half a percent
/// does not read as nothing, nor what is not all as all.
pub(crate) fn share_text(share: f64) -> String {
    let percent = 100.0 * share;
    if percent > ROUNDING && percent < 0.5 {
        "<1 %".to_owned()
    } else if (99.5..100.0 - ROUNDING).contains(&percent) {
        ">99 %".to_owned()
    } else {
        format!("{percent:.0} %")
    }
}

pub(crate) fn sun_state(state: SunState) -> &'static str {
    match state {
        SunState::Up => "up",
        SunState::BehindSkyline => "behind_skyline",
        SunState::Down => "down",
    }
}

pub(crate) fn split_state(state: SplitState) -> &'static str {
    match state {
        SplitState::InShot(_) => "in_shot",
        SplitState::Latent(..) => "latent",
        SplitState::NoEdge => "no_edge",
    }
}

pub(crate) fn side(state: SplitState) -> Option<&'static str> {
    match state {
        SplitState::Latent(_, OneSide::AllSunlit) => Some("all_sunlit"),
        SplitState::Latent(_, OneSide::AllDimmed) => Some("all_dimmed"),
        SplitState::Latent(_, OneSide::AllShaded) => Some("all_shaded"),
        SplitState::InShot(_) | SplitState::NoEdge => None,
    }
}

/// The number of stops of a split, whichever state it is in.
pub(crate) fn stops(state: SplitState) -> Option<f64> {
    match state {
        SplitState::InShot(stops) | SplitState::Latent(stops, _) => finite(stops.stops()),
        SplitState::NoEdge => None,
    }
}

pub(crate) fn surface(surface: PlayingSurface) -> &'static str {
    match surface {
        PlayingSurface::Grass => "grass",
        PlayingSurface::DryGrass => "dry_grass",
        PlayingSurface::Clay => "clay",
        PlayingSurface::Acrylic => "acrylic",
        PlayingSurface::Sand => "sand",
        PlayingSurface::Snow => "snow",
        PlayingSurface::Concrete => "concrete",
        PlayingSurface::Asphalt => "asphalt",
    }
}

/// RFC 3339 with the venue's offset.
pub(crate) fn local_time(at: DateTime<Tz>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, false)
}

/// RFC 3339 in UTC, with the suffix `Z`.
pub(crate) fn utc_time(at: DateTime<Tz>) -> String {
    at.with_timezone(&Utc).to_rfc3339_opts(SecondsFormat::Secs, true)
}

/// No report carries NaN or an infinity: such a value is absent.
pub(crate) fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// "1 place", "9 places".
pub(crate) fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

/// Fixed decimals, without a minus sign on a zero.
pub(crate) fn fixed(number: f64, decimals: usize) -> String {
    if let Some(text) = fixed_by_units(number, decimals) {
        return text;
    }
    let text = format!("{number:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.bytes().all(|b| b == b'0' || b == b'.') => digits.to_owned(),
        _ => text,
    }
}

/// The same by counting units of the last decimal: tables of a year have millions of numbers,
/// and formatting one exactly takes long where it is a short decimal itself. `None` where a
/// number is large, is none, or lies so near the middle between two units that rounding of
/// the product may decide.
fn fixed_by_units(number: f64, decimals: usize) -> Option<String> {
    const UNITS: [f64; 7] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6];
    // the product is off by a unit in its last place at most, 1e-7 of these
    const MAX_UNITS: f64 = 1e9;
    const MAX_FROM_WHOLE: f64 = 0.5 - 1e-6;
    let scaled = number.abs() * UNITS.get(decimals)?;
    let whole = scaled.round();
    if scaled.is_nan() || scaled >= MAX_UNITS || (scaled - whole).abs() > MAX_FROM_WHOLE {
        return None;
    }
    // from the last digit to the first: ten digits, a point and a sign at most
    let mut text = [b'0'; 12];
    let (mut first, mut left) = (text.len(), whole as u64);
    let mut put = |byte: u8| {
        first -= 1;
        text[first] = byte;
    };
    for place in 0.. {
        if place > 0 && place == decimals {
            put(b'.');
        }
        put(b'0' + (left % 10) as u8);
        left /= 10;
        if left == 0 && place >= decimals {
            break;
        }
    }
    if number < 0.0 && whole > 0.0 {
        put(b'-');
    }
    String::from_utf8(text[first..].to_vec()).ok()
}

/// The same with its sign, which nought has none of.
pub(crate) fn signed(number: f64, decimals: usize) -> String {
    match fixed(number, decimals) {
        text if text.starts_with('-') || text.bytes().all(|b| b == b'0' || b == b'.') => text,
        text => format!("+{text}"),
    }
}

/// "1 h 30 min", whole minutes without a sign.
pub(crate) fn duration(minutes: i64) -> String {
    match (minutes.abs() / 60, minutes.abs() % 60) {
        (0, min) => format!("{min} min"),
        (h, 0) => format!("{h} h"),
        (h, min) => format!("{h} h {min} min"),
    }
}

/// The classes of light a split is between, as files name them.
pub(crate) fn between(pair: Option<(LightClass, LightClass)>) -> Option<&'static str> {
    match pair? {
        (LightClass::Sun, LightClass::Dimmed) => Some("sun_dimmed"),
        (LightClass::Dimmed, LightClass::Shade) => Some("dimmed_shade"),
        (LightClass::Sun, _) => Some("sun_shade"),
        (LightClass::Dimmed | LightClass::Shade, _) => None,
    }
}

/// A light that things are in, after "in".
pub(crate) fn light_class(class: LightClass) -> &'static str {
    match class {
        LightClass::Sun => "the sun",
        LightClass::Dimmed => "dimmed light",
        LightClass::Shade => "shade",
    }
}

/// A verdict on a skin as data carries it.
pub(crate) fn skin_verdict(verdict: SkinVerdict) -> &'static str {
    match verdict {
        SkinVerdict::Fits => "fits",
        SkinVerdict::TooBright => "too_bright",
        SkinVerdict::TooDark => "too_dark",
        SkinVerdict::Clips => "clips",
        SkinVerdict::Lost => "lost",
    }
}

/// A text with a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nought_has_no_sign() {
        let all = [-0.04, 0.04, 0.0, -0.26, 0.26].map(|number| signed(number, 1));
        assert_eq!(all, ["0.0", "0.0", "0.0", "-0.3", "+0.3"]);
    }

    /// Numbers counted in units read as the standard library formats them: halves of units,
    /// their neighbours, and numbers at all scales.
    #[test]
    fn numbers_by_units_are_those_of_exact_formatting() {
        let mut by_units = 0;
        let mut check = |number: f64, decimals: usize| {
            let exact = format!("{number:.decimals$}");
            let nought = exact.bytes().all(|b| matches!(b, b'-' | b'0' | b'.'));
            let wanted = if nought { exact.trim_start_matches('-') } else { &exact };
            assert_eq!(fixed(number, decimals), wanted, "{number:e} {decimals}");
            by_units += usize::from(fixed_by_units(number, decimals).is_some());
        };
        for decimals in 0..9 {
            for step in 0..4000 {
                let halves = f64::from(step) * 0.5 / 10.0_f64.powi(decimals as i32);
                let spread = 1.7_f64.powi(step % 120 - 60) * (1.0 + f64::from(step) * 1e-3);
                for number in [halves, halves.next_up(), halves.next_down(), spread] {
                    check(number, decimals);
                    check(-number, decimals);
                }
            }
            for number in [f64::NAN, f64::INFINITY, f64::MAX, f64::MIN_POSITIVE, 1e9, 999_999_999.4]
            {
                check(number, decimals);
            }
        }
        assert!(by_units > 100_000, "{by_units}");
    }
}
