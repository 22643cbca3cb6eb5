//! Text, rules and tables on A4 pages, before any PDF library sees them.
//!
//! In: words and tables, in order. Out: [`PageMark`]s page by page, in points from the left
//! and from the top. What does not fit on a page goes to the next, a row whole; a table
//! repeats its head there.

use crate::output::draw::text::{Weight, width_px};
use crate::output::text::words;

/// A4, points (ISO 216: 210 by 297 mm).
pub const PAGE_PT: [f64; 2] = [595.28, 841.89];
/// Kept free at each side of a page, points: what office printers cannot print on, and
/// room to hold it by.
pub const MARGIN_PT: f64 = 34.0;
/// Two lines at the foot of each page and their distance to what is above, points.
const FOOT_PT: f64 = 22.0;
const FOOT_SIZE: f64 = 6.5;
/// Lines of text stand so many times their size apart.
const LEADING: f64 = 1.22;
/// Baseline under the top of a line, as a share of the size.
const ASCENT: f64 = 0.95;
/// Between the rule of a cell and its text.
const CELL_PT: f64 = 2.5;
const TABLE_SIZE: f64 = 7.5;

/// Something on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum PageMark {
    /// From the left end of the baseline.
    Text {
        at: [f64; 2],
        size: f64,
        weight: Weight,
        text: String,
    },
    Rule {
        from: [f64; 2],
        to: [f64; 2],
        width: f64,
    },
    /// A picture by its upper left corner.
    Picture {
        at: [f64; 2],
        size: [f64; 2],
    },
}

/// Marks of all pages, and where the next goes.
#[derive(Debug, Clone)]
pub struct Pages {
    pub pages: Vec<Vec<PageMark>>,
    y: f64,
}

/// A column of a table.
#[derive(Debug, Clone, Copy)]
pub struct PdfColumn {
    pub title: &'static str,
    /// Share of the page's width between its margins.
    pub share: f64,
    pub weight: Weight,
}

impl Pages {
    pub fn new() -> Self {
        Self { pages: vec![Vec::new()], y: MARGIN_PT }
    }

    fn width() -> f64 {
        PAGE_PT[0] - 2.0 * MARGIN_PT
    }

    fn put(&mut self, mark: PageMark) {
        if let Some(page) = self.pages.last_mut() {
            page.push(mark);
        }
    }

    /// Goes on with a fresh page.
    pub fn next_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = MARGIN_PT;
    }

    /// Makes room for so much height on this page, or goes to the next.
    fn need(&mut self, height: f64) {
        if self.y + height > PAGE_PT[1] - MARGIN_PT - FOOT_PT && self.y > MARGIN_PT {
            self.next_page();
        }
    }

    /// Free height, points.
    pub fn gap(&mut self, height: f64) {
        self.y += height;
    }

    /// A paragraph over the whole width.
    pub fn words(&mut self, text: &str, size: f64, weight: Weight) {
        for line in wrapped(text, Self::width(), size, weight) {
            self.need(size * LEADING);
            let at = [MARGIN_PT, self.y + ASCENT * size];
            self.put(PageMark::Text { at, size, weight, text: line });
            self.y += size * LEADING;
        }
    }

    /// A heading that stays with what follows it.
    pub fn heading(&mut self, text: &str) {
        self.gap(6.0);
        self.need(46.0);
        self.words(text, 11.0, Weight::Bold);
        self.gap(2.0);
    }

    /// A rule over the whole width.
    pub fn rule(&mut self, width: f64) {
        let (from, to) = ([MARGIN_PT, self.y], [MARGIN_PT + Self::width(), self.y]);
        self.put(PageMark::Rule { from, to, width });
        self.gap(3.0);
    }

    /// A picture over the whole width; its size in any unit tells its shape.
    pub fn picture(&mut self, shape: [f64; 2]) {
        let size = [Self::width(), Self::width() * shape[1] / shape[0].max(1e-9)];
        self.need(size[1]);
        self.put(PageMark::Picture { at: [MARGIN_PT, self.y], size });
        self.gap(size[1] + 4.0);
    }

    /// A table; each row holds a text for each column.
    pub fn table(&mut self, columns: &[PdfColumn], rows: &[Vec<String>]) {
        self.row(columns, &Row::head(columns));
        for row in rows {
            let row = Row::of(columns, row);
            let before = self.pages.len();
            self.need(row.height());
            if self.pages.len() > before {
                self.row(columns, &Row::head(columns));
            }
            self.row(columns, &row);
        }
        self.gap(3.0);
    }

    /// Lines at the foot of every page there is, and its number on the right.
    pub fn foot(&mut self, lines: &[&str]) {
        let all = self.pages.len();
        let text = |at, text: &str| PageMark::Text {
            at,
            size: FOOT_SIZE,
            weight: Weight::Regular,
            text: text.to_owned(),
        };
        let bottom = PAGE_PT[1] - MARGIN_PT;
        for (number, page) in self.pages.iter_mut().enumerate() {
            for (from_below, line) in lines.iter().rev().enumerate() {
                let y = bottom - (0.3 + LEADING * from_below as f64) * FOOT_SIZE;
                page.push(text([MARGIN_PT, y], line));
            }
            let number = format!("{}/{all}", number + 1);
            let left = MARGIN_PT + Self::width() - width_px(&number, FOOT_SIZE, Weight::Regular);
            page.push(text([left, bottom - 0.3 * FOOT_SIZE], &number));
        }
    }

    fn row(&mut self, columns: &[PdfColumn], row: &Row) {
        let (top, bottom) = (self.y, self.y + row.height());
        let mut left = MARGIN_PT;
        for (column, cell) in columns.iter().zip(&row.cells) {
            for (number, text) in cell.iter().enumerate() {
                let down = CELL_PT + (number as f64 * LEADING + ASCENT) * TABLE_SIZE;
                let weight = if row.head { Weight::Bold } else { column.weight };
                let at = [left + CELL_PT, top + down];
                self.put(PageMark::Text { at, size: TABLE_SIZE, weight, text: text.clone() });
            }
            self.upright(left, top, bottom);
            left += column.share * Self::width();
        }
        self.upright(left, top, bottom);
        for y in [top, bottom] {
            let rule = if row.head && y == bottom { 1.2 } else { 0.4 };
            self.put(PageMark::Rule { from: [MARGIN_PT, y], to: [left, y], width: rule });
        }
        self.y = bottom;
    }

    fn upright(&mut self, x: f64, top: f64, bottom: f64) {
        self.put(PageMark::Rule { from: [x, top], to: [x, bottom], width: 0.4 });
    }
}

/// The lines of each cell.
struct Row {
    cells: Vec<Vec<String>>,
    head: bool,
}

impl Row {
    fn head(columns: &[PdfColumn]) -> Self {
        let cells = columns.iter().map(|c| Self::cell(c, c.title, Weight::Bold)).collect();
        Self { cells, head: true }
    }

    fn of(columns: &[PdfColumn], texts: &[String]) -> Self {
        let cells = columns.iter().zip(texts).map(|(c, t)| Self::cell(c, t, c.weight)).collect();
        Self { cells, head: false }
    }

    fn cell(column: &PdfColumn, text: &str, weight: Weight) -> Vec<String> {
        let room = column.share * Pages::width() - 2.0 * CELL_PT;
        text.split('\n').flat_map(|line| wrapped(line, room, TABLE_SIZE, weight)).collect()
    }

    fn height(&self) -> f64 {
        let lines = self.cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        lines as f64 * LEADING * TABLE_SIZE + 2.0 * CELL_PT
    }
}

/// Lines that fit a width; a word that is too long for a line is cut.
fn wrapped(text: &str, room: f64, size: f64, weight: Weight) -> Vec<String> {
    let fits = |text: &str| width_px(text, size, weight) <= room;
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words(text).filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        line = word.to_owned();
        while !fits(&line) && line.chars().count() > 1 {
            let mut head = String::new();
            for letter in line.chars() {
                if !head.is_empty() && !fits(&format!("{head}{letter}")) {
                    break;
                }
                head.push(letter);
            }
            line = line.chars().skip(head.chars().count()).collect();
            lines.push(head);
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: [PdfColumn; 2] = [
        PdfColumn { title: "Time", share: 0.2, weight: Weight::Bold },
        PdfColumn { title: "What", share: 0.8, weight: Weight::Regular },
    ];

    fn inside(pages: &Pages) {
        for mark in pages.pages.iter().flatten() {
            let (least, most) = match mark {
                PageMark::Text { at, size, weight, text } => {
                    let width = width_px(text, *size, *weight);
                    ([at[0], at[1] - size], [at[0] + width, at[1] + 0.3 * size])
                }
                PageMark::Rule { from, to, .. } => (*from, *to),
                PageMark::Picture { at, size } => (*at, [at[0] + size[0], at[1] + size[1]]),
            };
            let fits =
                |i: usize| least[i] >= MARGIN_PT - 0.5 && most[i] <= PAGE_PT[i] - MARGIN_PT + 0.5;
            assert!(fits(0) && fits(1), "{mark:?}");
        }
    }

    #[test]
    fn long_tables_go_on_with_their_head_and_nothing_leaves_the_page() {
        let rows: Vec<Vec<String>> = (0..200)
            .map(|i| vec![format!("{i}"), "word ".repeat(i % 60) + &"x".repeat(i)])
            .collect();
        let mut pages = Pages::new();
        pages.heading("All");
        pages.table(&COLUMNS, &rows);
        pages.picture([2000.0, 1400.0]);
        assert!(pages.pages.len() > 4);
        let above = pages.pages.clone();
        pages.foot(&crate::output::cautions::SHORT);
        for (page, above) in pages.pages.iter().zip(above) {
            let y = |mark: &PageMark| match mark {
                PageMark::Text { at, .. } => at[1],
                PageMark::Rule { to, .. } => to[1],
                PageMark::Picture { at, size } => at[1] + size[1],
            };
            let foot =
                page[above.len()..].iter().map(|m| y(m) - FOOT_SIZE).fold(f64::MAX, f64::min);
            assert!(above.iter().all(|mark| y(mark) < foot), "the foot is under all else");
        }
        inside(&pages);
        let heads = pages.pages.iter().flatten();
        let heads = heads.filter(|m| matches!(m, PageMark::Text { text, .. } if text == "What"));
        assert!(heads.count() >= pages.pages.len() - 1);
    }

    #[test]
    fn lines_hold_every_letter_in_order() {
        let text = "sun falls on the front element of supercalifragilistic cameras";
        let lines = wrapped(text, 60.0, 8.0, Weight::Regular);
        let joined: String = lines.concat().split(' ').collect();
        assert_eq!(joined, text.replace(' ', ""));
        assert!(lines.iter().all(|l| width_px(l, 8.0, Weight::Regular) <= 60.0));
    }
}
