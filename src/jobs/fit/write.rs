//! What was found, written into the venue file.
//!
//! In: a [`Fit`] and the file's [`Draft`]. Out: the draft with each number that
//! the observations tell, rounded to the sense of its error, and an entry of
//! `[[surveyed]]` beside it.

use crate::venue::{Draft, DraftError, How, Surveyed};

use super::result::{Fit, FitVerdict};
use super::seen::{Observations, Quantity};

/// How the note of an entry begins.
pub const FITTED_NOTE: &str = "fitted to";

/// Writes the numbers into a draft and returns how many were written. Numbers that
/// the observations cannot tell stay as they were. Where observations disagree, errors
/// are those stated times the root of chi-square over degrees of freedom (Birge's
/// ratio: R. T. Birge, The calculation of errors by the method of least squares, Phys.
/// Rev. 40, 1932), and the note names the doubts.
///
/// # Errors
/// [`DraftError`] where a number cannot be changed.
pub fn write_into(draft: &mut Draft, seen: &Observations, fit: &Fit) -> Result<usize, DraftError> {
    let used = fit.observations.len();
    let mut written = 0;
    let doubts = if fit.objections().is_empty() { "" } else { ", despite doubts" };
    let larger = match (fit.verdict, fit.degrees_of_freedom) {
        (FitVerdict::TooFarOff, free @ 1..) => (fit.chi_square / free as f64).sqrt(),
        _ => 1.0,
    };
    for (unknown, found) in seen.unknowns.iter().zip(&fit.unknowns) {
        let (Quantity::Dimension(what), Some(error)) = (&unknown.quantity, found.standard_error)
        else {
            continue;
        };
        let error = error * larger;
        let places = decimals(error);
        draft.set(what, rounded(found.value, places))?;
        draft.set_surveyed(&Surveyed {
            what: what.clone(),
            plus_minus: rounded(error, places).max(10_f64.powi(-places)),
            how: How::Fitted,
            on: fit.last_day,
            note: Some(format!("{FITTED_NOTE} {used} observations{doubts}")),
        })?;
        written += 1;
    }
    Ok(written)
}

/// Decimals that leave two figures of an error.
fn decimals(error: f64) -> i32 {
    let size = error.max(1e-9).log10().floor() as i32;
    (1 - size).clamp(0, 9)
}

fn rounded(value: f64, places: i32) -> f64 {
    let unit = 10_f64.powi(places);
    (value * unit).round() / unit
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_figures_of_the_error_decide() {
        assert_eq!(rounded(19.123_456, decimals(0.137)), 19.12);
        assert_eq!(rounded(12.345, decimals(1.7)), 12.3);
        assert_eq!(rounded(12.345, decimals(17.0)), 12.0);
        assert_eq!(decimals(0.0), 9);
    }
}
