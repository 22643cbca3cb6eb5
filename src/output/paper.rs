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

/// What stays on the line of the number before it.
const UNITS: [&str; 4] = [" %", " min", " m/min", " nm"];

/// Templates of pages: names and words are escaped, a number keeps its unit, an option its dashes.
pub(crate) fn pages<'source>() -> Environment<'source> {
    let mut pages = Environment::new();
    pages.set_formatter(|out, state, value| match value.as_str() {
        Some(text) if !value.is_safe() => {
            escape_formatter(out, state, &Value::from(unbroken(text)))
        }
        _ => escape_formatter(out, state, value),
    });
    pages
}

/// A text whose numbers are not parted from their units, nor options such as "--odds" from
/// their dashes: a word joiner (Unicode Standard Annex 14, class WJ) lets no line end there.
fn unbroken(text: &str) -> String {
    let mut whole = String::with_capacity(text.len() + 8);
    for (at, letter) in text.char_indices() {
        let is_unit = UNITS.iter().any(|unit| text[at..].starts_with(unit));
        let keeps = is_unit && whole.ends_with(|before: char| before.is_ascii_digit());
        whole.push(if keeps { '\u{a0}' } else { letter });
    }
    [" ", "("].iter().fold(whole, |text, before| {
        text.replace(&format!("{before}--"), &format!("{before}-\u{2060}-\u{2060}"))
    })
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
    fn words_are_escaped_and_numbers_keep_their_units() {
        let mut pages = pages();
        pages.add_template("a.html", "<p>{{ words }}</p>").unwrap();
        let words = minijinja::context! { words => "12 % <b>" };
        let page = pages.get_template("a.html").unwrap().render(words).unwrap();
        assert_eq!(page, "<p>12\u{a0}% &lt;b&gt;</p>");
        let (words, kept) =
            ("6 h 30 min earlier, at the min", "6 h 30\u{a0}min earlier, at the min");
        assert_eq!(unbroken(words), kept);
        assert_eq!(unbroken("2 main, 500 nm"), "2 main, 500\u{a0}nm");
        assert_eq!(unbroken("give --odds"), "give -\u{2060}-\u{2060}odds");
        assert_eq!(unbroken("a--b.png"), "a--b.png");
    }
}
