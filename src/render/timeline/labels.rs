//! Labels that keep out of each other's way.
//!
//! In: where labels would like to stand and how wide they are, pixels. Out:
//! rows and places without overlap.

use crate::render::text::{Weight, width_px};

/// Room between neighbouring labels, pixels.
const GAP_PX: f64 = 18.0;
/// From a vertical line to the label that hangs on it, pixels.
const FLAG_PX: f64 = 8.0;

/// A label on a vertical line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    /// The line's place.
    pub at: f64,
    pub width: f64,
}

/// Where a label stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    /// Counted upward from the panel.
    pub row: usize,
    pub left: f64,
}

/// Hangs labels to the right of their lines like flags, in as many rows as it
/// takes. From right to left, so that a flag in a higher row hangs on a line
/// that passes to the left of the rows below.
pub(super) fn flags(wanted: &[Wanted], left: f64, right: f64) -> Vec<Placed> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| {
        let at = |i: usize| wanted.get(i).map_or(0.0, |w| w.at);
        at(b).total_cmp(&at(a)).then(b.cmp(&a))
    });
    let mut rows: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut placed = vec![Placed { row: 0, left }; wanted.len()];
    for i in order {
        let (Some(label), Some(slot)) = (wanted.get(i), placed.get_mut(i)) else {
            continue;
        };
        let start = (label.at + FLAG_PX).min(right - label.width).max(left);
        let taken = (start - GAP_PX, start + label.width + GAP_PX);
        let free = |row: &Vec<(f64, f64)>| row.iter().all(|t| t.1 <= taken.0 || taken.1 <= t.0);
        let row = rows.iter().position(free).unwrap_or(rows.len());
        if row == rows.len() {
            rows.push(Vec::new());
        }
        if let Some(spans) = rows.get_mut(row) {
            spans.push((start, start + label.width));
        }
        *slot = Placed { row, left: start };
    }
    placed
}

/// Items of given widths one after the other, in a new row where the last one
/// is full. Rows count downward.
pub(super) fn flow(widths: &[f64], left: f64, right: f64, gap: f64) -> Vec<Placed> {
    let (mut row, mut x) = (0, left);
    let mut place = |&width: &f64| {
        if x > left && x + width > right {
            row += 1;
            x = left;
        }
        let placed = Placed { row, left: x };
        x += width + gap;
        placed
    };
    widths.iter().map(&mut place).collect()
}

/// Breaks text into lines no wider than `max_px`.
pub(super) fn wrapped(text: &str, max_px: f64, size_px: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
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

    fn overlap(wanted: &[Wanted], placed: &[Placed]) -> bool {
        let spans: Vec<(usize, f64, f64)> = wanted
            .iter()
            .zip(placed)
            .map(|(w, p)| (p.row, p.left, p.left + w.width))
            .collect();
        spans.iter().enumerate().any(|(i, a)| {
            spans[i + 1..]
                .iter()
                .any(|b| a.0 == b.0 && a.1 < b.2 && b.1 < a.2)
        })
    }

    proptest! {
        #[test]
        fn flags_never_overlap_and_stay_inside(
            labels in prop::collection::vec((200.0..1900.0_f64, 20.0..400.0_f64), 0..30)
        ) {
            let wanted: Vec<Wanted> =
                labels.iter().map(|&(at, width)| Wanted { at, width }).collect();
            let placed = flags(&wanted, 200.0, 1950.0);
            prop_assert!(!overlap(&wanted, &placed));
            for (w, p) in wanted.iter().zip(&placed) {
                prop_assert!(p.left >= 200.0 && p.left + w.width <= 1950.0 + 1e-9);
            }
        }

        #[test]
        fn flowing_items_never_overlap(widths in prop::collection::vec(20.0..900.0_f64, 0..30)) {
            let placed = flow(&widths, 50.0, 1950.0, 30.0);
            let wanted: Vec<Wanted> =
                widths.iter().map(|&width| Wanted { at: 0.0, width }).collect();
            prop_assert!(!overlap(&wanted, &placed));
            for (w, p) in widths.iter().zip(&placed) {
                prop_assert!(p.left >= 50.0 && p.left + w <= 1950.0);
            }
        }
    }

    #[test]
    fn far_apart_labels_share_a_row_and_close_ones_do_not() {
        let at = |at| Wanted { at, width: 150.0 };
        let rows = |wanted: &[Wanted]| -> Vec<usize> {
            flags(wanted, 0.0, 2000.0).iter().map(|p| p.row).collect()
        };
        assert_eq!(rows(&[at(100.0), at(600.0), at(1200.0)]), [0, 0, 0]);
        // the left one of two close ones goes up, clear of the right one's line
        assert_eq!(rows(&[at(500.0), at(520.0), at(1200.0)]), [1, 0, 0]);
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
