//! A point as an option states it.

use crate::engine::MAX_COORDINATE_M;

/// A point in the field's axes as an option states it, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacePoint {
    pub along_m: f64,
    pub across_m: f64,
    /// Height of the eye where open.
    pub up_m: Option<f64>,
}

pub(crate) fn place_point(text: &str) -> Result<PlacePoint, String> {
    let asked = || {
        format!(
            "a point is ALONG,ACROSS or ALONG,ACROSS,UP in metres, at most {MAX_COORDINATE_M} from \
             the centre of play"
        )
    };
    let number =
        |word: &str| word.trim().parse::<f64>().ok().filter(|m| m.abs() <= MAX_COORDINATE_M);
    let numbers: Option<Vec<f64>> = text.split(',').map(number).collect();
    match numbers.as_deref() {
        Some(&[along_m, across_m]) => Ok(PlacePoint { along_m, across_m, up_m: None }),
        Some(&[along_m, across_m, up]) => Ok(PlacePoint { along_m, across_m, up_m: Some(up) }),
        _ => Err(asked()),
    }
}
