//! The page of a season in a browser: a league of 40 fixtures on 20 grounds, on a phone, on a
//! desk, on paper, audited, and whole as one file.

use std::fs;

use super::chromium::{Opened, open, open_url};
use super::live_audit::{axe, findings};
use super::pages::path;
use super::paper::page_sizes;

const PAGE: &str = "season/season.html";
const SIZES: [(u32, u32); 2] = [(390, 844), (1280, 900)];
/// A4 on its side, points.
const A4_WIDE_PT: [f64; 2] = [841.89, 595.28];

fn unfolded(page: &Opened) {
    page.run("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })");
    page.rest();
}

#[test]
fn an_audit_of_the_season_finds_nothing() {
    let Some(axe) = axe() else { return };
    let Some(page) = open(PAGE, SIZES[0]) else { return };
    page.inject(&axe);
    let mut all = Vec::new();
    for size in SIZES {
        page.size(size);
        page.rest();
        all.extend(findings(&page).into_iter().map(|f| format!("{size:?}: {f}")));
    }
    unfolded(&page);
    for size in SIZES {
        page.size(size);
        page.rest();
        all.extend(findings(&page).into_iter().map(|f| format!("{size:?}, unfolded: {f}")));
    }
    assert!(all.is_empty(), "{all:#?}");
    // and it finds what is wrong
    page.run("document.querySelector('.advice').style.color = '#ddd'");
    assert!(findings(&page).join("").contains("color-contrast"));
}

#[test]
fn the_season_fits_a_phone_and_a_desk() {
    let Some(page) = open(PAGE, SIZES[0]) else { return };
    for size in SIZES {
        page.size(size);
        page.rest();
        let wide: [f64; 2] = page
            .get("[document.documentElement.scrollWidth, document.documentElement.clientWidth]");
        assert!(wide[0] <= wide[1], "{size:?}: {wide:?}");
        let out: Vec<String> = page.get(
            "[...document.querySelectorAll('.glance *, .card *, .lit *')]
                .filter((n) => !n.closest('.words') && n.getBoundingClientRect().right > innerWidth)
                .map((n) => n.textContent.slice(0, 60))",
        );
        assert!(out.is_empty(), "{size:?}: {out:?}");
        let small: Vec<String> = page.get(
            "[...document.querySelectorAll('.advice, .why, .who, .then')]
                .filter((n) => parseFloat(getComputedStyle(n).fontSize) < 12)
                .map((n) => n.className)",
        );
        assert!(small.is_empty(), "{size:?}: {small:?}");
    }
    let counts: [usize; 3] = page.get(
        "[document.querySelectorAll('.card').length, document.querySelectorAll('.glance li').length,
          document.querySelectorAll('.why').length]",
    );
    assert_eq!(counts, [40; 3]);
    let lost: usize = page.get(
        "[...document.querySelectorAll('.glance a')]
            .filter((a) => !document.querySelector(a.getAttribute('href'))).length",
    );
    assert_eq!(lost, 0, "every line leads to its card");
    page.assert_quiet();
}

#[test]
fn the_season_prints_with_its_numbers() {
    let Some(page) = open(PAGE, SIZES[1]) else { return };
    let folded = page_sizes(&page.pdf());
    for size in &folded {
        let off = [size[0] - A4_WIDE_PT[0], size[1] - A4_WIDE_PT[1]];
        assert!(off.iter().all(|d| d.abs() <= 1.0), "{size:?}");
    }
    // paper has no fold to open
    page.media("print");
    page.rest();
    let shown: f64 =
        page.get("document.querySelector('details table').getBoundingClientRect().height");
    assert!(shown > 0.0, "the numbers are on paper");
    println!("the season prints on {} pages", folded.len());
    page.assert_quiet();
}

/// Sent on, it is one file that asks for nothing.
#[test]
fn the_season_is_one_file() {
    let Some(page) = open(PAGE, SIZES[0]) else { return };
    let moved = path(PAGE).with_file_name("sent on.html");
    fs::copy(path(PAGE), &moved).unwrap();
    let url = format!("file://{}", moved.display()).replace(' ', "%20");
    let Some(alone) = open_url(&url, SIZES[0]) else { return };
    assert_eq!(alone.requests().len(), 1, "{:?}", alone.requests());
    let texts = |page: &Opened| page.get::<String>("document.body.innerText");
    assert_eq!(texts(&alone), texts(&page));
    let bytes = fs::metadata(&moved).unwrap().len();
    assert!(bytes < 4_000_000, "{bytes} bytes");
    fs::remove_file(moved).unwrap();
    alone.assert_quiet();
}
