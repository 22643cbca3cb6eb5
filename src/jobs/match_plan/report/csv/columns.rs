//! Columns of an instant and of an area: name, unit, decimals, meaning, value.

use crate::engine::Instant;
use crate::geometry::ShadeShare;
use crate::light::Tristimulus;
use crate::output::table::{Column, number, text};
use crate::output::words;

/// The sun's place is good to 0.01 degree, hence two decimals; illuminance to a
/// few per cent, hence whole lux.
pub(super) fn of_instant<'a>() -> Vec<Column<'a, Instant>> {
    vec![
        text("time", "RFC 3339", "time in the venue's zone, with its offset", |i: &Instant| {
            words::local_time(i.at)
        }),
        text("time_utc", "RFC 3339", "the same time in UTC", |i: &Instant| words::utc_time(i.at)),
        number("sun_azimuth_deg", ("degree", 2), "clockwise from true north", |i: &Instant| {
            Some(i.sun.azimuth.degrees())
        }),
        number(
            "sun_apparent_elevation_deg",
            ("degree", 2),
            "above the level horizon, with refraction",
            |i: &Instant| Some(i.sun.apparent_elevation.degrees()),
        ),
        number(
            "sun_true_elevation_deg",
            ("degree", 2),
            "above the level horizon, without refraction",
            |i: &Instant| Some(i.sun.true_elevation.degrees()),
        ),
        text("sun_state", "word", "up, behind_skyline or down", |i: &Instant| {
            words::sun_state(i.sun_state).to_owned()
        }),
        number(
            "direct_normal_lx",
            ("lx", 0),
            "from the sun, on a plane facing it, nothing in the way",
            |i: &Instant| Some(i.daylight.direct_normal.lux()),
        ),
        number(
            "direct_horizontal_lx",
            ("lx", 0),
            "from the sun, on the horizontal, nothing in the way",
            |i: &Instant| Some(i.daylight.direct_horizontal.lux()),
        ),
        number(
            "diffuse_horizontal_lx",
            ("lx", 0),
            "from the whole sky, on the horizontal, nothing in the way",
            |i: &Instant| Some(i.daylight.diffuse_horizontal.lux()),
        ),
        number(
            "sun_colour_temperature_k",
            ("K", 0),
            "correlated colour temperature of the direct light; empty without it",
            |i: &Instant| words::kelvin(i.daylight.direct_normal),
        ),
        number(
            "sky_colour_temperature_k",
            ("K", 0),
            "of the whole sky's light on the horizontal; bluer than 100 000 K is told as that",
            |i: &Instant| words::kelvin(i.daylight.diffuse_horizontal),
        ),
        text(
            "floodlights",
            "word",
            "none (the file states none), off or lit; light that is lit is part of all that follows",
            |i: &Instant| words::floodlight(i.floodlight).to_owned(),
        ),
        number(
            "field_in_sun_lx",
            ("lx", 0),
            "on the turf in full sun, mean over the field; empty without direct sun",
            |i: &Instant| i.field_light.in_sun.map(Tristimulus::lux),
        ),
        number(
            "field_in_shade_lx",
            ("lx", 0),
            "on the turf in opaque shade, mean over the field",
            |i: &Instant| Some(i.field_light.in_shade.lux()),
        ),
        number(
            "field_under_cloud_lx",
            ("lx", 0),
            "on the turf when a cloud covers the sun that now shines, mean over the field",
            |i: &Instant| i.field_light.under_cloud.map(Tristimulus::lux),
        ),
        number(
            "field_in_sun_k",
            ("K", 0),
            "colour temperature on the turf in full sun",
            |i: &Instant| i.field_light.in_sun.and_then(words::kelvin),
        ),
        number(
            "field_in_shade_k",
            ("K", 0),
            "colour temperature on the turf in opaque shade",
            |i: &Instant| words::kelvin(i.field_light.in_shade),
        ),
        number(
            "turf_edge_penumbra_narrowest_m",
            ("m", 2),
            "narrowest penumbra along the edge, on the turf (0 m); empty without an edge",
            |i: &Instant| i.turf.penumbra_range_m().map(|w| w.0),
        ),
        number(
            "turf_edge_penumbra_widest_m",
            ("m", 2),
            "widest penumbra along the edge, on the turf (0 m); empty without an edge",
            |i: &Instant| i.turf.penumbra_range_m().map(|w| w.1),
        ),
        number(
            "face_edge_penumbra_narrowest_m",
            ("m", 2),
            "narrowest penumbra along the edge, at face height (1.7 m); empty without an edge",
            |i: &Instant| i.face.penumbra_range_m().map(|w| w.0),
        ),
        number(
            "face_edge_penumbra_widest_m",
            ("m", 2),
            "widest penumbra along the edge, at face height (1.7 m); empty without an edge",
            |i: &Instant| i.face.penumbra_range_m().map(|w| w.1),
        ),
    ]
}

/// Four decimals of a share are under a square metre of a football field.
pub(super) fn of_share<'a>() -> Vec<Column<'a, ShadeShare>> {
    vec![
        number(
            "opaque_share",
            ("0 to 1", 4),
            "share of the area without any direct light",
            |s: &ShadeShare| Some(s.opaque),
        ),
        number(
            "shaded_share",
            ("0 to 1", 4),
            "share of the area not in full sun",
            |s: &ShadeShare| Some(s.shaded),
        ),
        number(
            "mean_transmission",
            ("0 to 1", 4),
            "mean share of the direct light that arrives",
            |s: &ShadeShare| Some(s.mean_transmission),
        ),
    ]
}
