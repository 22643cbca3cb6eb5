//! Exposure of each camera, and who rides it.

use super::{lens, nearest};
use crate::venue::crew::{Operator, StatedExposure};
use crate::venue::file::{OperatorTable, VenueFile};
use crate::venue::model::CameraPost;
use crate::venue::problem::{Problems, counted};

/// Most places of a wheel or steps of gain that a file may state.
pub(super) const MAX_STEPS: usize = 24;

/// What a camera's own table says, and `[exposure]` where it says nothing.
pub(super) fn exposure(
    file: &VenueFile,
    own: Option<&StatedExposure>,
    key: &str,
    problems: &mut Problems,
) -> StatedExposure {
    let Some(own) = own else { return file.exposure.clone().unwrap_or_default() };
    let key = format!("{key}.exposure");
    check(own, &key, problems);
    let both = match &file.exposure {
        Some(shared) => own.clone().or(shared),
        None => own.clone(),
    };
    lens::check_whole(&both, &key, problems);
    both
}

/// Notes what is wrong in the exposure that all cameras share, and what it lacks where it is
/// all that is said of a camera.
pub(super) fn check_shared(file: &VenueFile, problems: &mut Problems) {
    let Some(shared) = &file.exposure else { return };
    check(shared, "exposure", problems);
    if file.camera.iter().any(|camera| camera.exposure.is_none()) {
        lens::check_whole(shared, "exposure", problems);
    }
}

fn check(exposure: &StatedExposure, key: &str, problems: &mut Problems) {
    if let (Some(widest), Some(narrowest)) = (exposure.widest_t, exposure.narrowest_t)
        && widest >= narrowest
    {
        problems.add(
            format!("{key}.narrowest_t"),
            format!("T{narrowest} beside widest_t of T{widest}"),
            "a larger number than widest_t",
        );
    }
    if let Some([from, to]) = exposure.prefers_t
        && !(0.7 <= from && from < to && to <= 64.0)
    {
        problems.add(
            format!("{key}.prefers_t"),
            format!("[{from}, {to}]"),
            "two T-numbers from 0.7 to 64, the smaller first",
        );
    }
    let mut steps = |name: &str, steps: &Option<Vec<f64>>, low: f64, high: f64, unit: &str| {
        let Some(steps) = steps else { return };
        let sound = (1..=MAX_STEPS).contains(&steps.len())
            && steps.iter().all(|s| (low..=high).contains(s))
            && steps.windows(2).all(|w| w[0] < w[1]);
        if !sound {
            problems.add(
                format!("{key}.{name}"),
                listed(steps),
                format!("1 to {MAX_STEPS} rising numbers from {low} to {high} {unit}"),
            );
        }
    };
    steps("nd_stops", &exposure.nd_stops, 0.0, 12.0, "stops");
    steps("gain_db", &exposure.gain_db, -12.0, 48.0, "dB");
    lens::check_alone(exposure, key, problems);
}

/// Numbers as the file states them: `[0, 2, 4]`.
fn listed(numbers: &[f64]) -> String {
    let numbers: Vec<String> = numbers.iter().map(f64::to_string).collect();
    format!("[{}]", numbers.join(", "))
}

/// Operators with the cameras that the file gives them.
pub(super) fn operators(
    file: &VenueFile,
    cameras: &[CameraPost],
    problems: &mut Problems,
) -> Vec<Operator> {
    let mut taken: Vec<Option<&str>> = vec![None; cameras.len()];
    let mut all = Vec::new();
    for (i, table) in file.operator.iter().enumerate() {
        let key = format!("operator[{i}].cameras");
        let mut own = Vec::new();
        for name in &table.cameras {
            let Some(index) = cameras.iter().position(|c| c.name == name.trim()) else {
                unknown(name, &key, cameras, file, problems);
                continue;
            };
            match taken[index].replace(&table.name) {
                Some(other) => problems.add(
                    &key,
                    format!("\"{name}\", which is {other}'s already"),
                    "a camera once, with one operator",
                ),
                None => own.push(index),
            }
        }
        all.push(Operator { name: named(table), cameras: own });
    }
    if file.operator.len() > file.camera.len() {
        problems.add(
            "operator",
            format!(
                "{} for {}",
                counted(file.operator.len(), "operator"),
                counted(file.camera.len(), "camera")
            ),
            "no more operators than cameras",
        );
    }
    all
}

fn named(table: &OperatorTable) -> String {
    table.name.trim().to_owned()
}

fn unknown(
    name: &str,
    key: &str,
    cameras: &[CameraPost],
    file: &VenueFile,
    problems: &mut Problems,
) {
    // a camera with mistakes of its own was not built, but is no unknown name
    if file.camera.iter().any(|c| c.name.trim() == name.trim()) {
        return;
    }
    let help = nearest(name, cameras.iter().map(|c| c.name.as_str()));
    problems.add_with_help(
        key,
        format!("\"{name}\""),
        "names of cameras",
        help.map_or_else(String::new, |near| format!("did you mean \"{near}\"?")),
    );
}
