//! Labels that keep out of each other's way.
//!
//! In: where labels would like to stand and how wide they are, pixels. Out:
//! rows and places without overlap.

use std::cmp::Ordering;

use super::text::{Weight, width_px};
use crate::output::text::words;

/// Room between neighbouring labels, pixels.
const GAP_PX: f64 = 18.0;
/// From a vertical line to the label that hangs on it, pixels.
const FLAG_PX: f64 = 8.0;

/// A label on a vertical line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WantedLabel {
    /// The line's place.
    pub at: f64,
    pub width: f64,
}

/// Where a label stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PlacedLabel {
    /// Counted upward from the panel.
    pub row: usize,
    pub left: f64,
}

/// A label and its line on the way to a place.
#[derive(Debug, Clone, Copy)]
struct Flag {
    index: usize,
    at: f64,
    left: f64,
    right: f64,
}

impl Flag {
    fn covers(&self, x: f64) -> bool {
        self.left - FLAG_PX < x && x < self.right + FLAG_PX
    }

    fn meets(&self, other: &Flag) -> bool {
        self.left - GAP_PX < other.right && other.left - GAP_PX < self.right
    }
}

/// Hangs labels on their lines like flags, in as many rows as it takes, so that
/// labels keep apart and lines that rise to higher rows pass them by: to the
/// right of the line, or to the left where the right border is too near.
pub(crate) fn flags(wanted: &[WantedLabel], left: f64, right: f64) -> Vec<PlacedLabel> {
    let hung = |(index, w): (usize, &WantedLabel)| {
        let start = if w.at + FLAG_PX + w.width <= right {
            w.at + FLAG_PX
        } else {
            (w.at - FLAG_PX - w.width).max(left)
        };
        Flag { index, at: w.at, left: start, right: start + w.width }
    };
    let all = wanted.iter().enumerate().map(hung);
    let (mut leftward, mut rightward): (Vec<Flag>, Vec<Flag>) =
        all.partition(|flag| flag.left < flag.at);
    // each new flag's line lies outside of those placed before it on its side
    leftward.sort_by(|a, b| a.at.total_cmp(&b.at));
    rightward.sort_by(|a, b| b.at.total_cmp(&a.at).then(b.index.cmp(&a.index)));

    let mut placed: Vec<(usize, Flag)> = Vec::with_capacity(wanted.len());
    let mut places = vec![PlacedLabel { row: 0, left }; wanted.len()];
    for flag in leftward.into_iter().chain(rightward) {
        let apart = |row: usize| placed.iter().all(|(r, f)| *r != row || !f.meets(&flag));
        let clear = |row: usize| {
            placed.iter().all(|(r, other)| match row.cmp(r) {
                Ordering::Less => !flag.covers(other.at),
                Ordering::Equal => true,
                Ordering::Greater => !other.covers(flag.at),
            })
        };
        let rows = 0..=placed.len();
        // a line behind a label is the lesser evil
        let row = rows
            .clone()
            .find(|&row| apart(row) && clear(row))
            .or_else(|| rows.clone().find(|&row| apart(row)))
            .unwrap_or(placed.len());
        placed.push((row, flag));
        if let Some(place) = places.get_mut(flag.index) {
            *place = PlacedLabel { row, left: flag.left };
        }
    }
    places
}

/// Items of given widths one after the other, in a new row where the last one
/// is full. Rows count downward.
pub(crate) fn flow(widths: &[f64], left: f64, right: f64, gap: f64) -> Vec<PlacedLabel> {
    let (mut row, mut x) = (0, left);
    let mut place = |&width: &f64| {
        if x > left && x + width > right {
            row += 1;
            x = left;
        }
        let placed = PlacedLabel { row, left: x };
        x += width + gap;
        placed
    };
    widths.iter().map(&mut place).collect()
}

/// Breaks text into lines no wider than `max_px`.
pub(crate) fn wrapped(text: &str, max_px: f64, size_px: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words(text).filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line)
                if width_px(&format!("{line} {word}"), size_px, Weight::Regular) <= max_px =>
            {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn overlap(wanted: &[WantedLabel], placed: &[PlacedLabel]) -> bool {
        let spans: Vec<(usize, f64, f64)> =
            wanted.iter().zip(placed).map(|(w, p)| (p.row, p.left, p.left + w.width)).collect();
        spans
            .iter()
            .enumerate()
            .any(|(i, a)| spans[i + 1..].iter().any(|b| a.0 == b.0 && a.1 < b.2 && b.1 < a.2))
    }

    proptest! {
        #[test]
        fn flags_never_overlap_and_stay_inside(
            labels in prop::collection::vec((200.0..1900.0_f64, 20.0..400.0_f64), 0..30)
        ) {
            let wanted: Vec<WantedLabel> =
                labels.iter().map(|&(at, width)| WantedLabel { at, width }).collect();
            let placed = flags(&wanted, 200.0, 1950.0);
            prop_assert!(!overlap(&wanted, &placed));
            for (w, p) in wanted.iter().zip(&placed) {
                prop_assert!(p.left >= 200.0 && p.left + w.width <= 1950.0 + 1e-9);
            }
        }

        // where the right border is far, no line that rises to a higher row
        // passes behind a label
        #[test]
        fn lines_pass_labels_by(
            labels in prop::collection::vec((200.0..1500.0_f64, 20.0..400.0_f64), 0..30)
        ) {
            let wanted: Vec<WantedLabel> =
                labels.iter().map(|&(at, width)| WantedLabel { at, width }).collect();
            let placed = flags(&wanted, 200.0, 1950.0);
            let each = || wanted.iter().zip(&placed);
            for (line, higher) in each() {
                for (label, lower) in each().filter(|(_, p)| p.row < higher.row) {
                    let behind = lower.left < line.at && line.at < lower.left + label.width;
                    prop_assert!(!behind, "{line:?} {label:?}");
                }
            }
        }

        #[test]
        fn flowing_items_never_overlap(widths in prop::collection::vec(20.0..900.0_f64, 0..30)) {
            let placed = flow(&widths, 50.0, 1950.0, 30.0);
            let wanted: Vec<WantedLabel> =
                widths.iter().map(|&width| WantedLabel { at: 0.0, width }).collect();
            prop_assert!(!overlap(&wanted, &placed));
            for (w, p) in widths.iter().zip(&placed) {
                prop_assert!(p.left >= 50.0 && p.left + w <= 1950.0);
            }
        }
    }

    #[test]
    fn far_apart_labels_share_a_row_and_close_ones_do_not() {
        let at = |at| WantedLabel { at, width: 150.0 };
        let rows = |wanted: &[WantedLabel]| -> Vec<usize> {
            flags(wanted, 0.0, 2000.0).iter().map(|p| p.row).collect()
        };
        assert_eq!(rows(&[at(100.0), at(600.0), at(1200.0)]), [0, 0, 0]);
        // the left one of two close ones goes up, clear of the right one's line
        assert_eq!(rows(&[at(500.0), at(520.0), at(1200.0)]), [1, 0, 0]);
    }

    #[test]
    fn a_number_keeps_its_per_cent_on_its_line() {
        for room in 60..400 {
            let lines = wrapped("SDR made of HLG: 0.3 % clips, 12 % of it", f64::from(room), 24.0);
            assert!(lines.iter().all(|line| !line.starts_with('%')), "{room}: {lines:?}");
        }
    }

    #[test]
    fn wrapped_lines_fit_and_keep_every_word() {
        let text = "Split: how many stops brighter the sunlit side is than the shaded side.";
        let lines = wrapped(text, 400.0, 25.0);
        assert!(lines.len() > 1);
        assert_eq!(lines.join(" "), text);
        for line in &lines {
            assert!(width_px(line, 25.0, Weight::Regular) <= 400.0);
        }
    }
}
