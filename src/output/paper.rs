//! What pages for paper have in common.
//!
//! In: the short cautions. Out: style that prints them at the foot of every page, by
//! margin boxes (CSS Paged Media, level 3); where a browser has none, the cautions at the
//! end of the page's text remain.

use minijinja::{Environment, Value, escape_formatter};

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

/// Templates of pages: names and words are escaped, and a number keeps its "%".
pub(crate) fn pages<'source>() -> Environment<'source> {
    let mut pages = Environment::new();
    pages.set_formatter(|out, state, value| match value.as_str() {
        Some(text) if text.contains(" %") && !value.is_safe() => {
            let unbroken = Value::from(text.replace(" %", "\u{a0}%"));
            escape_formatter(out, state, &unbroken)
        }
        _ => escape_formatter(out, state, value),
    });
    pages
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

    #[test]
    fn words_are_escaped_and_numbers_keep_their_per_cent() {
        let mut pages = pages();
        pages.add_template("a.html", "<p>{{ words }}</p>").unwrap();
        let words = minijinja::context! { words => "12 % <b>" };
        let page = pages.get_template("a.html").unwrap().render(words).unwrap();
        assert_eq!(page, "<p>12\u{a0}% &lt;b&gt;</p>");
    }
}
