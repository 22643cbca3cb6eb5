//! The list of zones, in the room that the list of cameras leaves.
//!
//! In: zones of the venue with their shares on the turf. Out: a line a zone.

use crate::geometry::ShadeShare;
use crate::output::draw::palette::{MUTED, RULE};
use crate::output::draw::sketch::{Align, Lettering, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::words::share_text;
use crate::venue::{Field, Zone};

use super::layout::CAMERAS;

/// Between the cameras and the heading, pixels.
const GAP_PX: f64 = 22.0;
const HEADING_PX: f64 = 40.0;
const LINE_PX: f64 = 36.0;
/// Fewer lines than this are not worth a heading.
const MIN_LINES: usize = 2;

/// Draws the list from `top` down; nothing where the room is too small.
///
/// Zones off the field of play come first, with the letters that the drawing has.
pub(crate) fn list(
    sketch: &mut Sketch,
    top: f64,
    field: &Field,
    zones: &[Zone],
    shares: &[ShadeShare],
    letters: &[Option<char>],
) {
    let top = top + GAP_PX;
    let rule = top + HEADING_PX;
    let lines = ((CAMERAS.bottom - rule - 8.0) / LINE_PX).max(0.0) as usize;
    if zones.is_empty() || lines < MIN_LINES.min(zones.len()) {
        return;
    }
    let bold = Lettering::of(26.0).bold();
    let title = format!("Zones: {} in shade", field.surface.short_name());
    sketch.text(title, [CAMERAS.left, top + 0.5 * HEADING_PX], bold);
    sketch.stroke([[CAMERAS.left, rule], [CAMERAS.right, rule]], 2, RULE);
    let shown = if zones.len() > lines { lines - 1 } else { zones.len() };
    let row = |i: usize| rule + 8.0 + (i as f64 + 0.5) * LINE_PX;
    let plain = Lettering::of(25.0);
    let mut rows: Vec<_> = zones.iter().zip(shares).zip(letters).collect();
    rows.sort_by_key(|(_, letter)| letter.is_none());
    for (i, ((zone, share), letter)) in rows.into_iter().take(shown).enumerate() {
        let name = letter.map_or(zone.name.clone(), |letter| format!("{letter}  {}", zone.name));
        let name = fitted(&name, CAMERAS.width() - 110.0, 25.0, Weight::Regular);
        sketch.text(name, [CAMERAS.left, row(i)], plain);
        let value = share_text(share.shaded);
        sketch.text(value, [CAMERAS.right, row(i)], plain.align(Align::Right));
    }
    if shown < zones.len() {
        let more = format!("and {} more, not listed here", zones.len() - shown);
        sketch.text(more, [CAMERAS.left, row(shown)], plain.colour(MUTED));
    }
}
