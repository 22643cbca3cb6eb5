//! Every panel of the live page at every width: nothing sticks out, targets and text are
//! large enough, colours have their contrast.

use super::chromium::Opened;
use super::layout::assert_legible_pieces;
use super::live_server::{Live, choose, settled};

const SIZES: [(u32, u32); 4] = [(360, 740), (820, 1100), (1280, 900), (1920, 1080)];
const PANELS: [&str; 7] = ["ground", "cameras", "pictures", "check", "history", "jobs", "text"];

/// Texts around every panel: header, plan, tabs, time.
const FRAME_PIECES: usize = 30;

/// WCAG 2.2, 2.5.8: the least size of a target, CSS pixels.
const TARGET_PX: f64 = 24.0;
/// Our own: text that people need at arm's length.
const TEXT_PX: f64 = 14.0;

/// What is pressed and is smaller, by name and size.
const SMALL_TARGETS: &str = "[...document.querySelectorAll('button, select, input, textarea, summary')]
    .filter((node) => node.checkVisibility({ visibilityProperty: true }))
    .map((node) => [node.id || node.textContent || node.ariaLabel, ...(({ width, height }) => [width, height])(node.getBoundingClientRect())])
    .filter(([, width, height]) => Math.min(width, height) < MIN)
    .map(String)";

/// Text that is smaller, with its size.
const SMALL_TEXT: &str = "[...document.body.querySelectorAll('*')]
    .filter((node) => node.checkVisibility({ visibilityProperty: true }) && !node.matches('option, optgroup'))
    .filter((node) => [...node.childNodes].some((one) => one.nodeType === 3 && one.textContent.trim()))
    .map((node) => [node.textContent.trim().slice(0, 30), parseFloat(getComputedStyle(node).fontSize)])
    .filter(([, size]) => size < MIN)
    .map(String)";

fn show(page: &Opened, panel: &str) {
    page.run(&format!("document.getElementById('tab-{panel}').click()"));
    page.rest();
}

fn assert_fits(page: &Opened, what: &str, width: u32) {
    let wide: f64 = page.get("document.documentElement.scrollWidth");
    assert!(wide <= f64::from(width), "{what}: {wide} px wide");
    let small: Vec<String> = page.get(&SMALL_TARGETS.replace("MIN", &TARGET_PX.to_string()));
    assert!(small.is_empty(), "{what}: {small:?}");
    let small: Vec<String> = page.get(&SMALL_TEXT.replace("MIN", &TEXT_PX.to_string()));
    assert!(small.is_empty(), "{what}: {small:?}");
}

#[test]
fn every_panel_fits_every_width() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZES[0]) else { return };
    settled(&page);
    for size in SIZES {
        page.size(size);
        page.rest();
        for panel in PANELS {
            show(&page, panel);
            assert_fits(&page, &format!("{panel} at {size:?}"), size.0);
        }
        show(&page, "ground");
        for table in ["stand[0]", "solid[0]", "tree[0]", "camera[0]", "horizon"] {
            choose(&page, table);
            assert_fits(&page, &format!("{table} at {size:?}"), size.0);
        }
    }
    page.assert_quiet();
}

#[test]
fn every_panel_is_legible_by_day_and_by_night() {
    let live = Live::on("football-demo");
    let Some(page) = live.page((1280, 900)) else { return };
    settled(&page);
    show(&page, "history");
    page.click("#keep"); // the comparison has texts of its own
    for _ in 0..2 {
        let theme: String = page.get("document.documentElement.dataset.theme");
        choose(&page, "stand[0]");
        for panel in PANELS {
            show(&page, panel);
            assert_legible_pieces(&page, &format!("{panel}, {theme}"), FRAME_PIECES);
        }
        page.click("#theme");
        page.rest();
    }
    page.assert_quiet();
}

/// The plan takes the room that the window leaves it.
#[test]
fn the_plan_fills_its_room() {
    let live = Live::on("football-demo");
    let Some(page) = live.page((1280, 900)) else { return };
    for size in [(1280, 900), (1920, 1080), (2560, 1440)] {
        page.size(size);
        page.rest();
        let [plan, room]: [f64; 2] = page.get(
            "[document.getElementById('plan').getBoundingClientRect().height,
              document.getElementById('plan-box').getBoundingClientRect().height]",
        );
        assert!(plan >= room - 1.0, "{size:?}: {plan} px of {room} px");
        let bottom: f64 =
            page.get("document.getElementById('time-bar').getBoundingClientRect().bottom");
        assert!((bottom - f64::from(size.1)).abs() < 1.0, "{size:?}: the bar ends at {bottom} px");
    }
}
