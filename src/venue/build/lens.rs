//! What a lens and a camera can do, as far as keys depend on each other.
//!
//! In: the tables of a camera and of its exposure. Out: its field of view and focal length with
//! the extender that is in, and problems: things said twice, halves without their other half.

use super::crew::MAX_STEPS;
use crate::venue::crew::StatedExposure;
use crate::venue::file::CameraTable;
use crate::venue::problem::Problems;

/// Image width of the 2/3 inch format, mm (common practice, no source).
const TWO_THIRDS_INCH_MM: f64 = 9.6;
/// What the schema allows of a focal length, mm, and of a T-number.
const FOCAL_MM: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;
const T_NUMBER: std::ops::RangeInclusive<f64> = 0.7..=64.0;
/// A focal length may lie outside of a zoom range by rounding.
const ROUNDED: f64 = 1.01;
/// Fewer stops from the darkest tone with detail up to white are no picture.
const LEAST_UNDER_WHITE_STOPS: f64 = 2.0;

/// Horizontal field of view with the extender, degrees.
pub(super) fn field_of_view(
    table: &CameraTable,
    exposure: &StatedExposure,
    key: &str,
    problems: &mut Problems,
) -> Option<f64> {
    let alone = match (table.horizontal_fov_deg, table.focal_length_mm) {
        (Some(degrees), None) => {
            // the focal length that a ramp needs follows from both
            if table.image_width_mm.is_some() && exposure.widest_t_by_mm.is_none() {
                problems.add(
                    format!("{key}.image_width_mm"),
                    "an image width beside a field of view",
                    "focal_length_mm with image_width_mm, or horizontal_fov_deg alone",
                );
            }
            Some(degrees)
        }
        // pinhole: half the image over the focal length
        (None, Some(focal_mm)) => {
            let width_mm = image_width_mm(table);
            Some(2.0 * (width_mm / (2.0 * focal_mm)).atan().to_degrees())
        }
        (Some(_), Some(_)) => {
            problems.add(
                format!("{key}.focal_length_mm"),
                "both a focal length and a field of view",
                "one of the two",
            );
            None
        }
        (None, None) => {
            problems.add(
                format!("{key}.horizontal_fov_deg"),
                "a camera without a lens",
                "horizontal_fov_deg, or focal_length_mm with image_width_mm",
            );
            None
        }
    }?;
    Some(match exposure.extender {
        None => alone,
        Some(factor) => 2.0 * (half_width(alone) / factor).atan().to_degrees(),
    })
}

/// The exposure with the focal length of a field of view, the extender left out.
pub(super) fn at_focal_length(
    exposure: StatedExposure,
    table: &CameraTable,
    fov_deg: f64,
) -> StatedExposure {
    let focal_mm = 0.5 * image_width_mm(table) / half_width(fov_deg);
    let focal_mm = Some(focal_mm / exposure.extender.unwrap_or(1.0));
    StatedExposure { focal_mm: focal_mm.filter(|_| exposure.widest_t_by_mm.is_some()), ..exposure }
}

/// Notes a camera whose own focal length is none of those that it uses.
pub(super) fn check_zoom(exposure: &StatedExposure, key: &str, problems: &mut Problems) {
    if let (Some([from, to]), Some(focal_mm)) = (exposure.zoom_mm, exposure.focal_mm)
        && from <= to
        && !(from / ROUNDED..=to * ROUNDED).contains(&focal_mm)
    {
        problems.add(
            format!("{key}.exposure.zoom_mm"),
            format!("[{from}, {to}] for a lens at {focal_mm:.1} mm"),
            "a range around the focal length of the camera's own field of view",
        );
    }
}

fn image_width_mm(table: &CameraTable) -> f64 {
    table.image_width_mm.unwrap_or(TWO_THIRDS_INCH_MM)
}

/// Half the image over the focal length.
fn half_width(fov_deg: f64) -> f64 {
    (0.5 * fov_deg.to_radians()).tan()
}

/// Notes what is wrong in a table by itself.
pub(super) fn check_alone(exposure: &StatedExposure, key: &str, problems: &mut Problems) {
    let twice = [
        ("widest_t_by_mm", "widest_t", exposure.widest_t_by_mm.is_some(), exposure.widest_t),
        (
            "signal_to_noise_db",
            "contrast",
            exposure.signal_to_noise_db.is_some(),
            exposure.contrast,
        ),
        ("knee_slope", "knee_stops", exposure.knee_slope.is_some(), exposure.knee_stops),
    ];
    for (name, other, stated, both) in twice {
        if stated && both.is_some() {
            problems.add(
                format!("{key}.{name}"),
                format!("both {name} and {other}"),
                "one of them",
            );
        }
    }
    if let Some(pairs) = &exposure.widest_t_by_mm {
        let sound = (1..=MAX_STEPS).contains(&pairs.len())
            && pairs.iter().all(|[mm, t]| FOCAL_MM.contains(mm) && T_NUMBER.contains(t))
            && pairs.windows(2).all(|w| w[0][0] < w[1][0] && w[0][1] <= w[1][1]);
        if !sound {
            let found: Vec<String> = pairs.iter().map(|[mm, t]| format!("[{mm}, {t}]")).collect();
            problems.add(
                format!("{key}.widest_t_by_mm"),
                format!("[{}]", found.join(", ")),
                format!(
                    "1 to {MAX_STEPS} pairs of a focal length from 1 to 10000 mm, rising, and a \
                     T-number from 0.7 to 64, not falling"
                ),
            );
        }
    }
    if let Some([from, to]) = exposure.zoom_mm
        && !(FOCAL_MM.contains(&from) && FOCAL_MM.contains(&to) && from < to)
    {
        problems.add(
            format!("{key}.zoom_mm"),
            format!("[{from}, {to}]"),
            "two focal lengths from 1 to 10000 mm, the shorter first",
        );
    }
}

/// Notes what is wrong in all that is said of a camera.
pub(super) fn check_whole(exposure: &StatedExposure, key: &str, problems: &mut Problems) {
    if exposure.zoom_mm.is_some() && exposure.widest_t_by_mm.is_none() {
        problems.add(
            format!("{key}.zoom_mm"),
            "a zoom range of a lens that loses no light",
            "widest_t_by_mm as well",
        );
    }
    let longest = exposure.widest_t_by_mm.as_ref().and_then(|pairs| pairs.last());
    if let (Some([_, widest]), Some(narrowest)) = (longest, exposure.narrowest_t)
        && *widest >= narrowest
    {
        problems.add(
            format!("{key}.narrowest_t"),
            format!("T{narrowest} beside T{widest} at the long end"),
            "a larger number than all of widest_t_by_mm",
        );
    }
    let headroom = exposure.headroom_percent.map(|percent| (percent / 100.0).log2());
    if let (Some(knee), Some(headroom)) = (exposure.knee_stops, headroom)
        && knee > headroom + 1e-6
    {
        problems.add(
            format!("{key}.knee_stops"),
            format!("{knee} stops beside a headroom of {headroom:.2} stops"),
            "no more than the sensor has over white",
        );
    }
    range(exposure, headroom, key, problems);
}

/// Dynamic range beside what it is made of.
fn range(exposure: &StatedExposure, headroom: Option<f64>, key: &str, problems: &mut Problems) {
    let Some(range) = exposure.dynamic_range_stops else { return };
    let dark = exposure.signal_to_noise_db.is_some() || exposure.contrast.is_some();
    if dark && headroom.is_some() {
        problems.add(
            format!("{key}.dynamic_range_stops"),
            "the dynamic range beside what is over white and what is under it",
            "two of the three: the third follows",
        );
        return;
    }
    let over = headroom.or(exposure.knee_stops).unwrap_or(0.0);
    if !dark && range - over < LEAST_UNDER_WHITE_STOPS + 1.0 {
        problems.add(
            format!("{key}.dynamic_range_stops"),
            format!("{range} stops, {over:.1} of them over white"),
            "3 stops more than lie over white",
        );
    }
}
