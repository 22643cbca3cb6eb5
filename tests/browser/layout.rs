//! Usable by finger on a phone and on a tablet, and legible by day and by night.

use serde::Deserialize;

use super::chromium::{Opened, open};
use super::pages::{BOARD, FOOTBALL, TENNIS};

/// A finger's target, CSS pixels.
const TARGET_PX: f64 = 44.0;
const SIZES: [(u32, u32); 2] = [(360, 740), (1280, 800)];

#[derive(Deserialize, Debug)]
struct Control {
    name: String,
    /// Left, top, right, bottom.
    edges: [f64; 4],
    /// In the bar that stays at the window's end, over what is scrolled beneath it.
    bar: bool,
}

/// Everything that a finger may press; rows of the list only as far as it shows them.
const CONTROLS: &str = "[...document.querySelectorAll('button, select, input[type=range]')]
    .filter((node) => node.checkVisibility({ visibilityProperty: true }))
    .map((node) => {
        const { left, top, right, bottom } = node.getBoundingClientRect();
        return { name: node.id || node.textContent, edges: [left, top, right, bottom],
            bar: Boolean(node.closest('.time-bar')), list: node.closest('#cue-list')?.getBoundingClientRect() };
    })";

fn fill(page: &Opened) {
    page.run(
        "moveTo(instants[80]); choosePlace([-20, -12]); correctBy(60);
         document.getElementById('follow').click();",
    );
    page.rest();
}

#[test]
fn controls_fit_the_finger_and_the_window() {
    for venue in [FOOTBALL, TENNIS] {
        let Some(page) = open(&format!("{venue}/board.html"), SIZES[0]) else { return };
        fill(&page);
        for size in SIZES {
            page.size(size);
            page.rest();
            assert_fits(&page, size);
        }
        page.assert_quiet();
    }
}

fn assert_fits(page: &Opened, size: (u32, u32)) {
    let wide: f64 = page.get("document.documentElement.scrollWidth");
    assert!(wide <= f64::from(size.0), "{wide} px wide in {size:?}");
    let controls: Vec<Control> = page.get(CONTROLS);
    assert!(controls.len() > 20, "{}", controls.len());
    for Control { name, edges: [left, top, right, bottom], .. } in &controls {
        assert!(bottom - top >= TARGET_PX, "{size:?} {name}: {} px high", bottom - top);
        assert!(right - left >= TARGET_PX, "{size:?} {name}: {} px wide", right - left);
        assert!(*left >= 0.0 && *right <= f64::from(size.0), "{size:?} {name} sticks out");
    }
    assert_apart(&shown_parts(page), size);
}

/// The same controls, those of the list cut to the part of it in sight.
fn shown_parts(page: &Opened) -> Vec<Control> {
    let cut = format!(
        "{CONTROLS}.map((one) => {{
             if (one.list) {{
                 one.edges[1] = Math.max(one.edges[1], one.list.top);
                 one.edges[3] = Math.min(one.edges[3], one.list.bottom);
             }}
             return one; }}).filter((one) => one.edges[3] > one.edges[1])"
    );
    page.get(&cut)
}

fn assert_apart(controls: &[Control], size: (u32, u32)) {
    for (k, a) in controls.iter().enumerate() {
        for b in controls.iter().skip(k + 1).filter(|b| b.bar == a.bar) {
            let across = a.edges[0] < b.edges[2] - 0.5 && b.edges[0] < a.edges[2] - 0.5;
            let down = a.edges[1] < b.edges[3] - 0.5 && b.edges[1] < a.edges[3] - 0.5;
            assert!(!(across && down), "{size:?}: {} lies on {}", a.name, b.name);
        }
    }
}

/// A piece of text with its colours, each red, green, blue of 255.
#[derive(Deserialize, Debug)]
struct Piece {
    words: String,
    ink: [f64; 3],
    /// The nearest opaque colour beneath it; none where a pattern lies between.
    ground: Option<[f64; 3]>,
    large: bool,
}

/// Text that is seen: of elements with words of their own, of lists and of number fields.
/// An ink that lets the ground through is mixed with it.
const PIECES: &str = r"(() => {
    const parts = (colour) => { const all = colour.match(/[\d.]+/g).map(Number); return [...all.slice(0, 3), all[3] ?? 1]; };
    const groundOf = (node) => {
        for (let at = node; at; at = at.parentElement) {
            const style = getComputedStyle(at);
            const [red, green, blue, cover] = parts(style.backgroundColor);
            if (style.backgroundImage !== 'none') return null;
            if (cover === 1) return [red, green, blue];
            if (cover > 0) return null;
        }
        return [255, 255, 255];
    };
    const own = (node) => node.matches('select, input[type=number]') ? node.value
        : node.matches('option, script, style, title, input') || node.closest('svg') ? ''
        : [...node.childNodes].filter((one) => one.nodeType === 3).map((one) => one.textContent).join(' ').trim();
    const pieces = [];
    for (const node of document.body.querySelectorAll('*')) {
        const words = own(node);
        if (!words || node.matches('.unseen') || !node.checkVisibility({ visibilityProperty: true })) continue;
        const style = getComputedStyle(node);
        let thin = 1;
        for (let at = node; at; at = at.parentElement) thin *= Number(getComputedStyle(at).opacity);
        const ground = groundOf(node);
        const [red, green, blue, cover] = parts(style.color);
        const mix = (value, k) => ground ? value * cover * thin + ground[k] * (1 - cover * thin) : value;
        const size = parseFloat(style.fontSize);
        const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
        pieces.push({ words: words.slice(0, 40), ink: [red, green, blue].map(mix), ground, large });
    }
    return pieces;
})()";

/// WCAG 2.2: relative luminance of an sRGB colour.
fn luminance(colour: [f64; 3]) -> f64 {
    let [red, green, blue] = colour.map(|v| {
        let v = v / 255.0;
        if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// WCAG 2.2: contrast ratio.
fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Every text has the contrast of success criterion 1.4.3; prints the least.
fn assert_legible(page: &Opened, what: &str) {
    assert_legible_pieces(page, what, 40);
}

/// The same of a page that shows more than so many pieces.
pub fn assert_legible_pieces(page: &Opened, what: &str, count: usize) {
    let pieces: Vec<Piece> = page.get(PIECES);
    assert!(pieces.len() > count, "{what}: {}", pieces.len());
    let ratio = |piece: &Piece| {
        let ground = piece.ground.unwrap_or_else(|| panic!("{what}: {piece:?} on a pattern"));
        contrast(piece.ink, ground)
    };
    for piece in &pieces {
        let least = if piece.large { 3.0 } else { 4.5 };
        assert!(ratio(piece) >= least, "{what}: {:.2} of {piece:?}", ratio(piece));
    }
    let worst = pieces.iter().min_by(|a, b| ratio(a).total_cmp(&ratio(b))).unwrap();
    println!("{what}: least contrast of text {:.2}, {:?}", ratio(worst), worst.words);
}

/// Edges of controls and lines of drawings against their ground: criterion 1.4.11.
const MARKS: [(&str, &str); 12] = [
    ("line", "paper"),
    ("line", "raised"),
    ("accent", "paper"),
    ("accent", "raised"),
    ("cover", "paper"),
    ("cover", "sun"),
    ("ink", "sun"),
    ("ink", "shade"),
    ("ink", "stand"),
    ("ink", "roof"),
    // stripes and dots, which tell shade and dimmed from sun
    ("shade-line", "shade"),
    ("dim-line", "dim"),
];

fn assert_marked(page: &Opened, what: &str) {
    let mut worst = (f64::MAX, ("", ""));
    for (mark, ground) in MARKS {
        let [a, b] = [mark, ground].map(|name| {
            page.get::<[f64; 3]>(&format!(
                "(() => {{ const probe = document.body.appendChild(document.createElement('i'));
                 probe.style.color = 'var(--{name})';
                 const colour = getComputedStyle(probe).color; probe.remove();
                 return colour.match(/[\\d.]+/g).slice(0, 3).map(Number); }})()"
            ))
        });
        let ratio = contrast(a, b);
        assert!(ratio >= 3.0, "{what}: {mark} on {ground} {ratio:.2}");
        if ratio < worst.0 {
            worst = (ratio, (mark, ground));
        }
    }
    println!("{what}: least contrast of marks {:.2}, {:?}", worst.0, worst.1);
}

#[test]
fn a_board_is_legible_by_day_and_by_night() {
    assert!((contrast([255.0; 3], [0.0; 3]) - 21.0).abs() < 1e-9, "black on white");
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    fill(&page);
    for _ in 0..2 {
        let theme: String = page.get("document.documentElement.dataset.theme");
        page.run("moveTo(instants[80]); document.getElementById('follow').click();");
        page.rest();
        page.key("?");
        page.rest();
        assert_legible(&page, &format!("{theme}, with the help"));
        page.key("Escape");
        // keys are left alone while the help is open
        page.until("!document.getElementById('help-dialog').open");
        // just before a cue its box has colours of its own
        page.key("n");
        page.until("!boardState().following");
        page.run("setTime(state.time - 1)");
        page.rest();
        assert!(page.get::<bool>("document.getElementById('next-cue').matches('.ready')"));
        assert_legible(&page, &format!("{theme}, ready"));
        assert_marked(&page, &theme);
        page.key("d");
        page.rest();
        let flipped: String = page.get("document.documentElement.dataset.theme");
        assert!(flipped != theme);
    }
    page.assert_quiet();
}

#[test]
fn paper_is_legible() {
    for file in ["brief", "sheet-a"] {
        let Some(page) = open(&format!("{FOOTBALL}/{file}.html"), (1280, 800)) else { return };
        assert_legible(&page, file);
        page.assert_quiet();
    }
}
