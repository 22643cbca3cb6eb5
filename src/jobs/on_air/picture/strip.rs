//! One camera through the match.

use super::Inset;
use super::page::{MARGIN, Page};
use crate::output::error::RenderError;

const GAP: f64 = 20.0;
/// Pictures beside each other.
const COLUMNS: usize = 4;

/// Draws pictures of one camera in rows, each with its two lines of words. `head` is venue and
/// camera, date and remark.
///
/// # Errors
/// [`RenderError`] when a library fails.
pub fn strip(
    head: [&str; 4],
    pictures: Vec<(Inset, String, String)>,
) -> Result<Vec<u8>, RenderError> {
    let size = pictures.first().map_or([320, 180], |one| one.0.size);
    let columns = COLUMNS.min(pictures.len()).max(1) as f64;
    let width = 2.0 * MARGIN + columns * size[0] as f64 + (columns - 1.0) * GAP;
    let mut page = Page::new(width.ceil() as u32);
    let mut top = page.heading([head[0], head[1]], [head[2], head[3]]);
    let times: Vec<String> = pictures.iter().map(|one| one.1.clone()).collect();
    let mut bottom = top;
    for (i, (inset, bold, plain)) in pictures.into_iter().enumerate() {
        if i > 0 && i % COLUMNS == 0 {
            top = bottom + 6.0;
        }
        let left = MARGIN + (i % COLUMNS) as f64 * (size[0] as f64 + GAP);
        bottom = page.put(inset, [left, top], &[(&bold, true), (&plain, false)]).max(bottom);
    }
    let title = format!("{}, through {}", head[0], head[1]);
    page.png(bottom, &title, &format!("What {} shows: {}.", head[1], times.join(", ")))
}
