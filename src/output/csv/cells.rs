//! Cells of CSV that a spreadsheet takes for text or numbers and never for a formula.
//!
//! In: the cells of a row. Out: the same, those that a spreadsheet would run behind an
//! apostrophe: names of buildings and cameras come from files of others.

use std::borrow::Cow;

/// First characters that begin a formula in spreadsheets (OWASP, "CSV Injection").
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A row as it is written.
pub(crate) fn row<T: AsRef<str>>(cells: impl IntoIterator<Item = T>) -> Vec<String> {
    cells.into_iter().map(|text| cell(text.as_ref()).into_owned()).collect()
}

/// A text as a cell; numbers keep their sign.
fn cell(text: &str) -> Cow<'_, str> {
    let formula = text.starts_with(FORMULA) && text.parse::<f64>().is_err();
    if formula { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_become_text_and_all_else_stays() {
        for formula in ["=HYPERLINK(\"a\")", "@SUM(A1)", "+1+1", "-A1", "\t=1", "-"] {
            assert_eq!(cell(formula), format!("'{formula}"));
        }
        for plain in ["-0.78", "+2", "-1e-3", "", "Mill Stand", "1 = 2", "2027-05-01", "-inf"] {
            assert_eq!(cell(plain), plain);
        }
    }
}
