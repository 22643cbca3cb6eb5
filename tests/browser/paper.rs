//! The brief as Chromium prints it.

use super::chromium::{Opened, open};
use super::pages::{FOOTBALL, TENNIS};

/// A4 in points, to within the rounding of a printer.
const A4_PT: [f64; 2] = [595.28, 841.89];
/// A4 less the margins of the style sheet, 12 mm at the sides, 11 mm above and 15 mm with
/// the foot below, in CSS pixels.
const PRINTED_PX: [f64; 2] = [186.0 / 25.4 * 96.0, 271.0 / 25.4 * 96.0];

/// Width and height of each page, read off the boxes that the file states plainly.
pub fn page_sizes(pdf: &[u8]) -> Vec<[f64; 2]> {
    let text = String::from_utf8_lossy(pdf);
    let boxes = text.split("/MediaBox").skip(1).map(|rest| {
        let (inner, _) = rest.split_once('[').unwrap().1.split_once(']').unwrap();
        let edges: Vec<f64> = inner.split_whitespace().map(|n| n.parse().unwrap()).collect();
        let [left, low, right, high] = edges[..] else { panic!("{inner}") };
        [right - left, high - low]
    });
    boxes.collect()
}

/// The same for paper on its side.
const PRINTED_WIDE_PX: [f64; 2] = [273.0 / 25.4 * 96.0, 184.0 / 25.4 * 96.0];

fn print(page: &Opened) -> Vec<[f64; 2]> {
    let pdf = page.pdf();
    assert!(pdf.starts_with(b"%PDF-"), "{:?}", pdf.get(..8));
    let sizes = page_sizes(&pdf);
    assert!(!sizes.is_empty(), "no page is found");
    sizes
}

#[test]
fn a_brief_prints_on_a4_with_all_that_matters_first() {
    for file in [format!("{FOOTBALL}/brief.html"), format!("{TENNIS}/brief.html")] {
        let Some(page) = open(&file, (1280, 800)) else { return };
        let sizes = print(&page);
        for size in &sizes {
            let off = [size[0] - A4_PT[0], size[1] - A4_PT[1]];
            assert!(off.iter().all(|d| d.abs() <= 1.0), "{file}: {size:?}");
        }
        assert!(sizes.len() >= 2, "{file}: cues follow the first page");

        // up to the cautions it is one page, however Chromium breaks it
        page.media("print");
        page.size((PRINTED_PX[0] as u32, PRINTED_PX[1] as u32));
        page.rest();
        let first = "document.querySelector('.cautions').parentElement";
        let order: Vec<String> =
            page.get(&format!("[...{first}.querySelectorAll('h2')].map((n) => n.textContent)"));
        let until = order.iter().position(|h| h.starts_with("Shade and splits")).unwrap();
        for head in ["What to set", "Key actions", "Desk"] {
            assert!(order[..until].iter().any(|h| h == head), "{file}: {order:?}");
        }
        assert!(page.get::<usize>("document.querySelectorAll('tbody th').length") > 0);
        let end: f64 =
            page.get("document.querySelector('.cautions').getBoundingClientRect().bottom");
        assert!(end <= PRINTED_PX[1], "{file}: cautions end at {end:.0} px");
        println!("{file}: the first page ends at {end:.0} of {:.0} px", PRINTED_PX[1]);
        page.run("document.querySelector('.new-page').remove()");
        assert_eq!(print(&page).len(), 1, "{file}: the first page is one");
        page.media("");
        page.assert_quiet();
        assert_eq!(page.requests(), [page.url()]);
    }
}

#[test]
fn a_sheet_of_an_operator_prints_on_a4() {
    for sheet in ["sheet-a", "sheet-b"] {
        let Some(page) = open(&format!("{FOOTBALL}/{sheet}.html"), (1280, 800)) else { return };
        let sizes = print(&page);
        assert!(sizes.iter().all(|s| (s[0] - A4_PT[0]).abs() <= 1.0), "{sizes:?}");
        page.run("document.querySelector('.new-page').remove()");
        assert_eq!(print(&page).len(), 1, "{sheet}: the first page is one");
        page.assert_quiet();
    }
}

/// A number that breaks over two lines is read as two.
#[test]
fn numbers_of_the_measuring_list_stay_whole_and_all_fits_the_paper() {
    let Some(page) = open(&format!("{FOOTBALL}/measuring-list.html"), (1280, 800)) else { return };
    page.media("print");
    page.size((PRINTED_WIDE_PX[0] as u32, PRINTED_WIDE_PX[1] as u32));
    page.rest();
    let cells = "[...document.querySelectorAll('tbody td')].map((cell) => cell.firstChild)";
    let broken: Vec<String> = page.get(&format!(
        "{cells}.filter((n) => n && /^[-\\d.]+( min|.?°| m)?$/.test(n.textContent.trim()))
            .filter((n) => {{ const all = new Range(); all.selectNodeContents(n);
                return new Set([...all.getClientRects()].map((r) => r.top)).size > 1; }})
            .map((n) => n.textContent)"
    ));
    assert!(broken.is_empty(), "{broken:?}");
    let numbers: usize = page.get(&format!(
        "{cells}.filter((n) => n && /^[-\\d.]+( min|.?°| m)?$/.test(n.textContent.trim())).length"
    ));
    assert!(numbers >= 3 * 10, "{numbers} numbers are looked at");
    let wide: [f64; 2] =
        page.get("[document.documentElement.scrollWidth, document.documentElement.clientWidth]");
    assert!(wide[0] <= wide[1], "{wide:?}");
    page.assert_quiet();
}

/// On a phone every column of the settings is in sight: nothing is cut off or to be scrolled to.
#[test]
fn settings_fit_a_phone() {
    let Some(page) = open(&format!("{FOOTBALL}/brief.html"), (390, 844)) else { return };
    let wide: Vec<f64> = page.get(
        "[...document.querySelectorAll('.wide')].map((box) => box.scrollWidth - box.clientWidth)",
    );
    assert!(wide.iter().all(|px| *px <= 0.0), "{wide:?}");
    let out: Vec<String> = page.get(
        "[...document.querySelectorAll('.settings td, .settings th')]
            .filter((cell) => cell.getBoundingClientRect().right > innerWidth)
            .map((cell) => cell.textContent)",
    );
    assert!(out.is_empty(), "{out:?}");
    let label =
        "getComputedStyle(document.querySelector('[data-label=Shade]'), '::before').content";
    assert_eq!(page.get::<String>(label), "\"Shade\"");
    page.assert_quiet();
}
