//! What pages for paper have in common.
//!
//! In: the short cautions. Out: style that prints them at the foot of every page, by
//! margin boxes (CSS Paged Media, level 3); where a browser has none, the cautions at the
//! end of the page's text remain.

use crate::output::cautions::SHORT;

/// Style of the foot, with the number of the page.
///
/// The rules go behind those of the page, whose `@page` leaves room below.
pub(crate) fn foot_style() -> String {
    let text = SHORT.map(in_string).join("\\a ");
    let letters = "font: 6.5pt/1.2 \"DejaVu Sans\", Verdana, Arial, sans-serif; color: #111";
    format!(
        "\n@page {{\n  @bottom-left {{ content: \"{text}\"; white-space: pre-line; {letters}; }}\n  \
         @bottom-right {{ content: counter(page) \"/\" counter(pages); {letters}; }}\n}}\n"
    )
}

/// A text inside of the quotes of a CSS string.
fn in_string(text: &str) -> String {
    text.replace('\\', "\\\\").replace('"', "\\\"").replace('<', "\\3c ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_foot_has_both_lines_and_no_way_out_of_its_string() {
        let style = foot_style();
        assert!(style.contains("unattended cameras.\\a Heights"), "{style}");
        assert_eq!(in_string("a\"b\\</style>"), "a\\\"b\\\\\\3c /style>");
    }
}
