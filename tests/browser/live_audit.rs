//! An audit of the live page by axe-core: WCAG 2.0 to 2.2, levels A and AA, at three widths,
//! by day and by night.
//!
//! axe-core (MPL-2.0) is no part of this repository, which holds only what its own licences
//! allow: `npm ci` in this folder puts it beside the tests, or the variable `AXE_CORE` names
//! its file. Without it the audit says so and passes, unless the variable `CI` is set.

use std::path::PathBuf;
use std::{env, fs};

use super::chromium::Opened;
use super::live_server::{Live, choose, settled};

const SIZES: [(u32, u32); 3] = [(360, 740), (820, 1100), (1280, 900)];
const PANELS: [&str; 7] = ["ground", "cameras", "pictures", "check", "history", "jobs", "text"];
const TABLES: [&str; 6] = ["field", "stand[0]", "zone[0]", "tree[0]", "camera[0]", "horizon"];

pub fn axe() -> Option<String> {
    let beside = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("node_modules/axe-core/axe.min.js");
    let file = env::var_os("AXE_CORE").map_or(beside, PathBuf::from);
    let text = fs::read_to_string(&file).ok();
    if text.is_none() {
        let words = "skipped: no axe-core; `npm ci` in tests/browser brings it, AXE_CORE names it";
        assert!(env::var_os("CI").is_none(), "{words}");
        println!("{words}");
    }
    text
}

/// What is found on the page as it is: rule, element and why.
pub fn findings(page: &Opened) -> Vec<String> {
    page.get(
        "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })
            .then(({ violations }) => violations.flatMap((rule) => rule.nodes.map((node) =>
                `${rule.id} | ${node.target.join(' ')} | ${node.failureSummary.replaceAll('\\n', ' ').slice(0, 240)}`)))",
    )
}

fn audit(page: &Opened, what: &str, all: &mut Vec<String>) {
    all.extend(findings(page).into_iter().map(|finding| format!("{what}: {finding}")));
}

#[test]
fn an_audit_finds_nothing_on_any_panel() {
    let Some(axe) = axe() else { return };
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZES[0]) else { return };
    page.inject(&axe);
    settled(&page);
    let mut all = Vec::new();
    for theme in ["day", "night"] {
        for size in SIZES {
            page.size(size);
            page.rest();
            for panel in PANELS {
                page.run(&format!("document.getElementById('tab-{panel}').click()"));
                page.rest();
                audit(&page, &format!("{panel} at {size:?}, {theme}"), &mut all);
            }
            page.run("document.getElementById('tab-ground').click()");
            for table in TABLES {
                choose(&page, table);
                audit(&page, &format!("{table} at {size:?}, {theme}"), &mut all);
            }
        }
        page.click("#theme");
        page.rest();
    }
    assert!(all.is_empty(), "{:#?}", all);
}

#[test]
fn an_audit_finds_nothing_at_the_start_and_in_dialogs() {
    let Some(axe) = axe() else { return };
    let live = Live::empty();
    let Some(page) = live.page(SIZES[0]) else { return };
    page.inject(&axe);
    let mut all = Vec::new();
    for size in SIZES {
        page.size(size);
        page.rest();
        audit(&page, &format!("start at {size:?}"), &mut all);
    }
    page.click("#keys");
    page.rest();
    audit(&page, "keys", &mut all);
    page.run("document.querySelector('dialog[open]').close()");
    super::live_bring::drop_on(&page, "map.geojson", "{}");
    page.until("document.getElementById('bring-dialog').open");
    audit(&page, "a file dropped", &mut all);
    assert!(all.is_empty(), "{:#?}", all);
}

/// What the audit would have to find, so that it cannot pass by finding nothing.
#[test]
fn the_audit_finds_what_is_wrong() {
    let Some(axe) = axe() else { return };
    let live = Live::empty();
    let Some(page) = live.page(SIZES[2]) else { return };
    page.inject(&axe);
    page.run(
        "document.getElementById('start').append(Object.assign(document.createElement('button'), {}));
         document.getElementById('folder').style.color = '#ddd';
         document.getElementById('folder').textContent = 'pale words'",
    );
    let found = findings(&page).join("\n");
    assert!(found.contains("button-name") && found.contains("color-contrast"), "{found}");
}
