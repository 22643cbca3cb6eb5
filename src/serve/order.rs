//! The order in which the keys of a table are written.
//!
//! In: a key. Out: its place: a name first, then where a thing is, how large, how high, what
//! it is made of, as the tables of the README have them, so that `git diff` reads well.
//! JSON has no order of its own, so a table that a page sends comes in that of the alphabet.

/// All keys of tables that may be added.
const KEYS: &[&str] = &[
    // what it is
    "name",
    "what",
    "instead_of",
    "file",
    "metres_per_unit",
    "up",
    "joins",
    "sport",
    "side",
    // where and how large
    "latitude_deg",
    "longitude_deg",
    "height_m",
    "zone",
    "pressure_hpa",
    "temperature_c",
    "line",
    "arc",
    "filled",
    "inner_along_m",
    "inner_across_m",
    "roundness",
    "segments",
    "from_deg",
    "to_deg",
    "setback_m",
    "length_m",
    "width_m",
    "corners",
    "bearing_deg",
    "north",
    "declination_deg",
    "surface",
    "surface_reflectance",
    "in_goal_m",
    "run_off_ends_m",
    "run_off_sides_m",
    "technical_areas",
    "surrounds_m",
    "surrounds",
    "surrounds_surface",
    "surrounds_reflectance",
    "shift_m",
    "depth_m",
    "footprint",
    "centre",
    "radius_m",
    "at",
    "gantry",
    "offset_m",
    "from",
    "to",
    "deck",
    "every_m",
    "most",
    "turned_deg",
    "profile",
    // how high
    "bottom_m",
    "top_m",
    "trunk_height_m",
    "trunk_radius_m",
    "crown_height_m",
    "crown_radius_m",
    "front_height_m",
    "back_height_m",
    "overhang_m",
    "foot",
    "closed_ends",
    "gap_m",
    // what it is made of
    "transmittance",
    "openness",
    "bar_width_m",
    "bar_depth_m",
    "bars_deg",
    "scattered_share",
    "soffit_reflectance",
    "reflectance",
    "luminance_cd_m2",
    "in_leaf_transmittance",
    "bare_transmittance",
    "leaf_from",
    "leaf_to",
    "grows_m_per_year",
    "measured_in_year",
    "seat_reflectance",
    "full_reflectance",
    "wall_reflectance",
    "only",
    "without",
    // what moves, and when it is there
    "gone",
    "usual",
    "state",
    "part",
    "stands_from",
    "stands_until",
    // what a camera sees
    "looks_at",
    "aim",
    "horizontal_fov_deg",
    "focal_length_mm",
    "image_width_mm",
    "shows_m",
    "aspect",
    "floodlight_lx",
    "sway_m",
    "sway_deg",
    // crew, play, light, surveys
    "cameras",
    "tees",
    "fairways",
    "green",
    "heights",
    "stroke",
    "date",
    "start",
    "after_min",
    "play",
    "horizontal_lx",
    "vertical_lx",
    "colour_temperature_k",
    "on",
    "below_lx",
    "plus_minus",
    "how",
    "note",
    // tables within
    "layer",
    "end",
    "lattice",
    "roof",
    "exposure",
    "shot",
];

/// Where a key stands; one that is not listed comes after all that are.
pub fn place(key: &str) -> usize {
    KEYS.iter().position(|known| *known == key).unwrap_or(KEYS.len())
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;
    use crate::venue::schema;

    /// The keys of all tables that a file may hold several of, and of `[place]` and `[field]`.
    #[test]
    fn every_key_of_the_schema_has_its_place() {
        let schema = schema();
        let resolved = |node: &'_ Value| -> Value {
            let name = node.get("$ref").and_then(Value::as_str);
            match name.and_then(|name| name.rsplit('/').next()) {
                Some(name) => schema["$defs"][name].clone(),
                None => node.clone(),
            }
        };
        let mut seen = 0;
        for (name, property) in schema["properties"].as_object().unwrap() {
            let node = resolved(property);
            let is_list = node["type"] == "array";
            let table = if is_list { resolved(&node["items"]) } else { node };
            if !is_list && !["place", "field"].contains(&name.as_str()) {
                continue;
            }
            for key in table["properties"].as_object().into_iter().flatten().map(|(key, _)| key) {
                assert!(place(key) < KEYS.len(), "{name}.{key}");
                seen += 1;
            }
        }
        assert!(seen > 100, "{seen} keys looked at");
    }
}
