//! What the light map says in words.

use crate::jobs::match_plan::LightMap;
use crate::jobs::match_plan::picture::field::facts::{clock_text, sky_name};
use crate::jobs::match_plan::picture::field::layout::HEADER;
use crate::light::FloodlightState;
use crate::output::draw::palette::{INK, MUTED};
use crate::output::draw::sketch::{Align, Lettering, Sketch};
use crate::output::draw::text::{Weight, fitted, fitting_px};
use crate::output::words;
use crate::venue::Venue;

/// Title on the left, time on the right, the light at the reference under them.
pub(crate) fn header(sketch: &mut Sketch, venue: &Venue, map: &LightMap) {
    let clock = Lettering::of(54.0).bold().align(Align::Right);
    let time = clock_text(map.at);
    sketch.text(&time, [HEADER.right, HEADER.top + 30.0], clock);
    let side = Lettering::of(27.0).align(Align::Right);
    let date = map.at.format("%A %-d %B %Y").to_string();
    sketch.text(&date, [HEADER.right, HEADER.top + 86.0], side);
    let zone = map.at.format("UTC%:z").to_string();
    sketch.text(&zone, [HEADER.right, HEADER.top + 128.0], side.colour(MUTED));
    let room = |beside: f64| HEADER.width() - beside - 40.0;
    let rows = [
        (venue.title.clone(), 46.0, Weight::Bold, INK, clock.width(&time), 30.0),
        (reference_text(venue, map), 27.0, Weight::Regular, INK, side.width(&date), 86.0),
        (sky_text(map), 27.0, Weight::Regular, MUTED, side.width(&zone), 128.0),
    ];
    for (text, size, weight, colour, beside, down) in rows {
        let size = fitting_px(&text, room(beside), size, 0.85 * size, weight);
        let lettering = Lettering { size, weight, colour, align: Align::Left };
        let text = fitted(&text, room(beside), size, weight);
        sketch.text(text, [HEADER.left, HEADER.top + down], lettering);
    }
}

/// The picture in a sentence, for readers who hear it.
pub(crate) fn description(venue: &Venue, map: &LightMap) -> String {
    let stops = (0..map.light.len()).filter_map(|node| map.stops(node)).map(|s| s.stops());
    let (low, high) = stops.fold((0.0_f64, 0.0_f64), |(low, high), v| (low.min(v), high.max(v)));
    format!(
        "Map of the light on the {} at {} on {}. {}. {}. From {} to {} stops over that.",
        venue.field.surface.name(),
        clock_text(map.at),
        map.at.format("%-d %B %Y"),
        reference_text(venue, map),
        sky_text(map),
        stops_text(low),
        stops_text(high),
    )
}

fn reference_text(venue: &Venue, map: &LightMap) -> String {
    let light = map.reference_light;
    let colour =
        words::colour(light).map_or(String::new(), |t| format!(" at {} K", lux_text(t.kelvin)));
    let surface = venue.field.surface.name();
    let lux = lux_text(light.lux());
    format!("Light on the {surface}: {lux} lx{colour} at the {}", map.reference.name)
}

fn sky_text(map: &LightMap) -> String {
    let floodlight = match map.floodlight {
        FloodlightState::Lit => " · floodlights lit and counted",
        FloodlightState::Off => " · floodlights off",
        FloodlightState::None => "",
    };
    format!("{}{floodlight} · {}", sky_name(map.sky), map.air.caption())
}

/// Stops with a sign and a real minus; whole and half ones without needless digits.
pub(crate) fn stops_text(stops: f64) -> String {
    let quarters = (stops * 4.0).round() / 4.0;
    let decimals = match quarters {
        q if (q - stops).abs() > 1e-6 => 1,
        q if q.fract() == 0.0 => 0,
        q if (2.0 * q).fract() == 0.0 => 1,
        _ => 2,
    };
    let text = format!("{:.decimals$}", stops.abs());
    match stops {
        _ if text.trim_start_matches(['0', '.']).is_empty() => "0".to_owned(),
        s if s < 0.0 => format!("\u{2212}{text}"),
        _ => format!("+{text}"),
    }
}

/// Two significant digits, with a space between thousands: what light is good for.
pub(crate) fn lux_text(lux: f64) -> String {
    if lux < 1.0 {
        return format!("{lux:.2}");
    }
    let decade = 10.0_f64.powf(lux.log10().floor() - 1.0).max(1.0);
    let digits = format!("{:.0}", (lux / decade).round() * decade);
    match digits.len() {
        5.. => format!("{}\u{a0}{}", &digits[..digits.len() - 3], &digits[digits.len() - 3..]),
        _ => digits,
    }
}

/// Metres to a digit or two, with a real minus.
pub(crate) fn metres_text(metres: f64) -> String {
    let text = if metres.abs() >= 10.0 || metres.fract() == 0.0 {
        format!("{:.0}", metres.abs())
    } else if metres.abs() >= 0.095 {
        format!("{:.1}", metres.abs())
    } else {
        format!("{:.2}", metres.abs())
    };
    if metres < 0.0 { format!("\u{2212}{text}") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_as_people_say_them() {
        let stops = [-2.0, 0.5, -0.25, 1.37, -0.04, 0.0].map(stops_text);
        assert_eq!(stops, ["\u{2212}2", "+0.5", "\u{2212}0.25", "+1.4", "0", "0"]);
        assert_eq!([68_412.0, 999.0, 0.2].map(lux_text), ["68\u{a0}000", "1000", "0.20"]);
        assert_eq!([-0.05, 0.5, 12.0].map(metres_text), ["\u{2212}0.05", "0.5", "12"]);
    }
}
