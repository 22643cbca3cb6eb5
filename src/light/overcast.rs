//! The covered sky.

use crate::units::Lux;

/// Illuminance of an overcast sky on the horizontal plane, the sun (unseen) at
/// an elevation in degrees: `300 + 21000 sin(elevation)` lx (IES RP-21; Gillette,
/// Pierpoint and Treado, Journal of the IES 13(4), 1984; from memory). At and
/// under the horizon the first term is left, which twilight fades.
pub fn overcast_horizontal(elevation_deg: f64) -> Lux {
    Lux::from_lux(300.0 + 21_000.0 * elevation_deg.max(0.0).to_radians().sin())
}
