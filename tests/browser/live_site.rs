//! A site on the live page: one of its fields at a time, chosen on the page.

use super::live_server::{Live, choose, settled};

const SETBACK: &str = "[data-address='stand[0].setback_m'] input";

/// The first field is shown where none is named; another is chosen in the header, and what is
/// changed there stands under it. What the site shares is shown and not chosen.
#[test]
fn a_field_is_chosen_and_changed_and_what_is_shared_stays() {
    for size in [(1280, 900), (390, 900)] {
        let live = Live::on("tennis-site-demo");
        let Some(page) = live.page(size) else { return };
        let before = live.text();
        let title = |page: &super::chromium::Opened| -> String {
            page.get("document.getElementById('title').textContent")
        };
        assert_eq!(title(&page), "Solstice Tennis Park, Court 1");
        let names: Vec<String> = page
            .get("[...document.getElementById('fields-of-site').options].map((one) => one.value)");
        assert_eq!(names, ["Court 1", "Court 2", "Court 3"]);
        page.run(
            "(() => { const box = document.getElementById('fields-of-site'); box.value = 'Court 2'; \
             box.dispatchEvent(new Event('change')); })()",
        );
        page.until("document.getElementById('title').textContent.endsWith('Court 2')");
        settled(&page);
        let tables: Vec<String> =
            page.get("[...document.getElementById('things').options].map((one) => one.value)");
        assert!(
            tables.contains(&"stand[0]".to_owned()) && tables.contains(&"camera[0]".to_owned())
        );
        let others = tables.iter().filter(|table| {
            ["solid", "tree", "camera[1]"].iter().any(|kind| table.starts_with(kind))
        });
        assert_eq!(others.count(), 0, "{tables:?}");
        // what is shared says whose it is and leads to its line of the text
        let line = 1 + before.lines().position(|l| l == "name = \"Club house\"").unwrap();
        let shared: String = page.get(
            "[...document.getElementById('things').options].find((one) => \
             one.textContent === 'Club house').value",
        );
        choose(&page, &shared);
        let words: String = page.get("document.getElementById('fields').textContent");
        assert!(words.contains("Club house belongs to the whole site"), "{words}");
        assert!(!words.contains("Remove"), "{words}");
        page.run("document.querySelector('#fields button').click()");
        let marked: String = page.get(
            "(() => { const area = document.getElementById('text'); return \
             area.value.slice(area.selectionStart, area.selectionEnd); })()",
        );
        assert_eq!(marked, before.lines().nth(line - 1).unwrap());
        let theirs: String = page.get(
            "[...document.getElementById('things').options].find((one) => \
             one.textContent === 'West stand (Court 1)').value",
        );
        page.run("document.querySelector('[role=tab]').click()");
        choose(&page, &theirs);
        let words: String = page.get("document.getElementById('fields').textContent");
        assert!(words.contains("West stand belongs to Court 1"), "{words}");
        choose(&page, "stand[0]");
        page.fill(SETBACK, "7.5");
        page.key("Enter");
        let after = live.until_text("the setback of Court 2", |text| text != before);
        let under = after.split("name = \"Low stand\"").nth(1).unwrap();
        assert!(under.lines().nth(2).unwrap().starts_with("setback_m = 7.5"), "{under}");
        let changed = before.lines().zip(after.lines()).filter(|(a, b)| a != b).count();
        assert_eq!(changed, 1);
        let wide: bool = page.get("document.documentElement.scrollWidth <= innerWidth");
        assert!(wide, "the page is no wider than its window");
        page.assert_quiet();
    }
}
