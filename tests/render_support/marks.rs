//! Reads marks back out of finished pictures.

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

/// One element of an SVG, without children.
#[derive(Debug, Clone)]
pub struct Element {
    pub tag: String,
    attributes: Vec<(String, String)>,
    /// Text inside, unescaped, trimmed.
    pub content: String,
}

pub fn attribute<'e>(e: &'e Element, name: &str) -> Option<&'e str> {
    let found = e.attributes.iter().find(|(key, _)| key == name);
    found.map(|(_, value)| value.as_str())
}

pub fn number(e: &Element, name: &str) -> f64 {
    attribute(e, name).unwrap().parse().unwrap()
}

/// All elements in order; panics where tags do not match up, where markup
/// characters stand unescaped, and where characters stand that XML forbids.
pub fn elements(svg: &str) -> Vec<Element> {
    assert!(svg.chars().all(|c| c == '\n' || !c.is_control()));
    let mut found: Vec<Element> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    let mut rest = svg;
    while let Some((text, after)) = rest.split_once('<') {
        match open.last() {
            Some(&i) => found[i].content.push_str(unescaped(text).trim()),
            None => assert!(text.trim().is_empty(), "text outside of the picture"),
        }
        let (tag, after) = after.split_once('>').expect("a tag ends");
        rest = after;
        if let Some(name) = tag.strip_prefix('/') {
            let i = open.pop().expect("a closing tag has an opening one");
            assert_eq!(found[i].tag, name);
            continue;
        }
        let alone = tag.ends_with('/');
        let tag = tag.trim_end_matches('/');
        let (name, attributes) = tag.split_once(' ').unwrap_or((tag, ""));
        found.push(Element {
            tag: name.into(),
            attributes: pairs(attributes),
            content: String::new(),
        });
        if !alone {
            open.push(found.len() - 1);
        }
    }
    assert!(open.is_empty() && rest.trim().is_empty());
    found
}

fn pairs(attributes: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut rest = attributes.trim();
    while !rest.is_empty() {
        let (name, after) = rest.split_once("=\"").expect("an attribute has a value");
        let (value, after) = after.split_once('"').expect("a value ends");
        found.push((name.trim().to_owned(), unescaped(value)));
        rest = after.trim_start();
    }
    found
}

fn unescaped(text: &str) -> String {
    let mut plain = String::new();
    let mut parts = text.split('&');
    plain.push_str(parts.next().unwrap_or_default());
    for part in parts {
        let (name, after) = part.split_once(';').expect("an entity ends");
        plain.push(match name {
            "lt" => '<',
            "gt" => '>',
            "amp" => '&',
            "quot" => '"',
            "apos" => '\'',
            other => panic!("unknown entity {other}"),
        });
        plain.push_str(after);
    }
    plain
}

/// A text and the room its letters take, pixels.
#[derive(Debug, Clone)]
pub struct TextBox {
    pub text: String,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// Boxes from baseline to height of capitals, at the size of the PNG: plotters
/// writes `size / 1.24` into SVG and draws the PNG with ascent and descent
/// together, 1.164 em in DejaVu Sans, as tall as `size`.
pub fn texts(all: &[Element]) -> Vec<TextBox> {
    for (style, bytes) in
        [(FontStyle::Normal, dejavu::sans::regular()), (FontStyle::Bold, dejavu::sans::bold())]
    {
        register_font("for measuring", style, bytes).map_err(|_| "font").unwrap();
    }
    all.iter().filter(|e| e.tag == "text").map(text_box).collect()
}

fn text_box(e: &Element) -> TextBox {
    let size = number(e, "font-size") * 1.24;
    let style = match attribute(e, "font-weight") {
        Some("bold") => FontStyle::Bold,
        _ => FontStyle::Normal,
    };
    let font = FontDesc::new(FontFamily::Name("for measuring"), size, style);
    let width = f64::from(font.layout_box(&e.content).unwrap().1.0);
    let x = number(e, "x");
    let left = match attribute(e, "text-anchor").unwrap() {
        "start" => x,
        "middle" => x - 0.5 * width,
        _ => x - width,
    };
    // half an x-height, 1120 / 2048 em, under the place; capitals 1493 / 2048
    let em = size / 1.164;
    assert_eq!(attribute(e, "dy"), Some("-0.5ex"));
    let baseline = number(e, "y") - 0.5 * 1120.0 / 2048.0 * em;
    TextBox {
        text: e.content.clone(),
        left,
        right: left + width,
        top: baseline - 1493.0 / 2048.0 * em,
        bottom: baseline,
    }
}

/// Two texts that lie over each other, if any do.
pub fn overlapping(texts: &[TextBox]) -> Option<(&TextBox, &TextBox)> {
    texts.iter().enumerate().find_map(|(i, a)| {
        let over = |b: &&TextBox| {
            a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
        };
        texts[i + 1..].iter().find(over).map(|b| (a, b))
    })
}

/// Width, height and RGB bytes of a PNG.
pub fn png_pixels(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
    let mut reader = png::Decoder::new(bytes).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!(info.color_type, png::ColorType::Rgb);
    (info.width, info.height, pixels)
}
