//! One picture at three settings: for the sun, between, for the shade.

use super::Inset;
use super::page::{MARGIN, Page};
use crate::output::error::RenderError;

const GAP: f64 = 24.0;

/// Draws pictures of one moment beside each other, each with its two lines of words; rows are
/// outputs. `head` is venue and camera, date and remark.
///
/// # Errors
/// [`RenderError`] when a library fails.
pub fn side_by_side(
    head: [&str; 4],
    rows: Vec<Vec<(Inset, String, String)>>,
) -> Result<Vec<u8>, RenderError> {
    let first = rows.first().and_then(|row| row.first()).map_or([480, 270], |one| one.0.size);
    let columns = rows.iter().map(Vec::len).max().unwrap_or(1).max(1) as f64;
    let width = 2.0 * MARGIN + columns * first[0] as f64 + (columns - 1.0) * GAP;
    let mut page = Page::new(width.ceil() as u32);
    let mut top = page.heading([head[0], head[1]], [head[2], head[3]]);
    for row in rows {
        let mut bottom = top;
        for (i, (inset, bold, plain)) in row.into_iter().enumerate() {
            let left = MARGIN + i as f64 * (first[0] as f64 + GAP);
            bottom = page.put(inset, [left, top], &[(&bold, true), (&plain, false)]).max(bottom);
        }
        top = bottom + 6.0;
    }
    let title = format!("{}, {}: settings side by side", head[0], head[1]);
    let description = format!("The same moment of {} exposed in three ways.", head[1]);
    page.png(top, &title, &description)
}
