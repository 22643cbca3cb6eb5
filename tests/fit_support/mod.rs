//! Invented grounds and observations for fits: places from the venue's own
//! geometry or from a formula, noise from dice.
#![allow(dead_code)]

use crate::support::Dice;
use quarterstop::jobs::fit::seen;
use quarterstop::jobs::fit::seen::{ObservationKind, Observations};
use quarterstop::venue::Draft;

/// One wall 100 m long, 12 m high, 6 m behind the left touchline.
pub const WALL: &str = r#"
title = "Wall"
place = { latitude_deg = 52.0, longitude_deg = -0.5, height_m = 50.0, zone = "Europe/London" }
field = { sport = "football", length_m = 105.0, width_m = 68.0, bearing_deg = 10.0 }
[[solid]]
name = "wall"
footprint = [[-60.0, 40.0], [60.0, 40.0], [60.0, 40.5], [-60.0, 40.5]]
top_m = 12.0
"#;

/// A main stand with a roof on the left and a terrace ahead.
pub const TWO_STANDS: &str = r#"
title = "Two stands"
place = { latitude_deg = 52.31, longitude_deg = -0.42, height_m = 38.0, zone = "Europe/London" }
field = { sport = "football", length_m = 105.0, width_m = 68.0, bearing_deg = 12.7 }
[[stand]]
name = "Main"
side = "left"
setback_m = 6.0
length_m = 100.0
depth_m = 24.0
front_height_m = 1.2
back_height_m = 14.0
closed_ends = "both"
roof = { front_height_m = 19.0, back_height_m = 17.0, overhang_m = 2.0, gap_m = 1.5 }
[[stand]]
name = "Terrace"
side = "ahead"
setback_m = 8.0
length_m = 70.0
depth_m = 15.0
front_height_m = 1.0
back_height_m = 8.0
"#;

pub fn draft(text: &str) -> Draft {
    Draft::parse(text, "ground.toml").unwrap()
}

pub fn seen(text: &str, draft: &Draft) -> Observations {
    seen::parse(text, "seen.toml", draft).unwrap_or_else(|e| panic!("{e}"))
}

/// A standard normal number (Box and Muller).
pub fn normal(dice: &mut Dice) -> f64 {
    let radius = (-2.0 * (1.0 - dice.roll()).ln()).sqrt();
    radius * (std::f64::consts::TAU * dice.roll()).cos()
}

/// Changes what was read, by observation.
pub fn reread(seen: &mut Observations, mut by: impl FnMut(usize, &mut ObservationKind)) {
    for (i, o) in seen.observations.iter_mut().enumerate() {
        by(i, &mut o.kind);
    }
}
