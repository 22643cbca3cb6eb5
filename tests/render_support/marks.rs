//! Reads marks back out of finished pictures.

use std::fs;
use std::path::Path;

use quarterstop::output::cautions;

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

/// Boxes of the letters, from the baseline to the height of capitals.
pub fn texts(all: &[Element]) -> Vec<TextBox> {
    all.iter().filter(|e| e.tag == "text").map(text_box).collect()
}

/// Capitals of DejaVu Sans 2.37 are 1493 / 2048 em high (its `OS/2` table).
const CAPITAL_EM: f64 = 1493.0 / 2048.0;

/// A word drawn together by more than this is not what the font's pairs do: "To" and "Tr"
/// at the head of a short word come to 0.965 (its `kern` table).
const MAX_KERNED: f64 = 0.94;

fn text_box(e: &Element) -> TextBox {
    let size = number(e, "font-size");
    // viewers with other fonts are held to the width that is written: that of the letters
    // one by one, less what kerning and joined letters draw together
    let width = number(e, "textLength");
    let apart = advance(&e.content, attribute(e, "font-weight") == Some("bold")) * size;
    let kerned = (MAX_KERNED * apart - 0.5..=apart + 0.5).contains(&width);
    assert!(kerned, "{}: {width} of {apart}", e.content);
    let x = number(e, "x");
    let left = match attribute(e, "text-anchor").unwrap() {
        "start" => x,
        "middle" => x - 0.5 * width,
        _ => x - width,
    };
    let baseline = number(e, "y");
    TextBox {
        text: e.content.clone(),
        left,
        right: left + width,
        top: baseline - CAPITAL_EM * size,
        bottom: baseline,
    }
}

/// Width of a text in ems: advances from the font's own `hmtx` table, without kerning.
fn advance(text: &str, bold: bool) -> f64 {
    let bytes = if bold { dejavu::sans::bold() } else { dejavu::sans::regular() };
    let face = rustybuzz::ttf_parser::Face::parse(bytes, 0).unwrap();
    let of = |c: char| {
        let glyph = face.glyph_index(c).unwrap_or_default();
        face.glyph_hor_advance(glyph).unwrap_or_default()
    };
    text.chars().map(|c| f64::from(of(c))).sum::<f64>() / f64::from(face.units_per_em())
}

/// Fails where a text leaves the picture or lies over another, and where a mark leaves
/// the picture.
pub fn assert_legible(what: &str, svg: &str) {
    let all = elements(svg);
    let (width, height) = (number(&all[0], "width"), number(&all[0], "height"));
    let words = texts(&all);
    assert!(words.len() > 8, "{what}: {} texts", words.len());
    for word in &words {
        let inside = word.left >= 0.0 && word.right <= width && word.top >= 0.0;
        assert!(inside && word.bottom <= height, "{what}: {word:?} leaves {width} x {height}");
    }
    if let Some((a, b)) = overlapping(&words) {
        panic!("{what}: {a:?} lies over {b:?}");
    }
    for e in &all {
        for [x, y] in corners(e) {
            let inside = (-1.0..=width + 1.0).contains(&x) && (-1.0..=height + 1.0).contains(&y);
            assert!(inside, "{what}: {} at {x}, {y} leaves {width} x {height}", e.tag);
        }
    }
}

/// Figures beside marks may be smaller than text, down to what can be read at arm's
/// length in print (6 points; common practice, no source).
const MIN_POINTS: f64 = 6.0;

/// A colour this far from the commonest of a place, over all three channels, is a letter's:
/// half as far as the faintest of 1350 words in the pictures of the football demo (283).
const INK: i32 = 140;

/// All that is asked of a picture in a folder, as its SVG and as its PNG: see
/// [`assert_picture`].
pub fn assert_picture_file(folder: &Path, name: &str) {
    let svg = fs::read_to_string(folder.join(name)).unwrap();
    let png = fs::read(folder.join(name).with_extension("png")).unwrap();
    assert_picture(name, &svg, &png);
}

/// Fails where [`assert_legible`] does, where a caution is missing or letters are too small
/// on paper, and where the PNG is not that SVG in pixels: of its size, with the whole file
/// there and letters where the SVG has words.
pub fn assert_picture(name: &str, svg: &str, png: &[u8]) {
    assert_legible(name, svg);
    let all = elements(svg);
    let words = texts(&all);
    let together: Vec<&str> = words.iter().map(|t| t.text.as_str()).collect();
    let together = together.join(" ");
    for caution in cautions::SHORT {
        assert!(together.contains(caution), "{name}: {caution}");
    }
    // as small as that where the picture fills a sheet: A4 landscape inside 10 mm margins
    // is 277 x 190 mm (ISO 216), a point 1/72 inch of 25.4 mm; tall pictures go upright,
    // 190 x 277 mm
    let (width, height) = (number(&all[0], "width"), number(&all[0], "height"));
    let fits = |across: f64, down: f64| (across / width).min(down / height);
    let mm_per_px = fits(277.0, 190.0).max(fits(190.0, 277.0));
    for e in all.iter().filter(|e| e.tag == "text") {
        let points = number(e, "font-size") * mm_per_px / 25.4 * 72.0;
        assert!(points >= MIN_POINTS, "{name}: {points:.1} pt: {}", e.content);
    }
    let (columns, rows, pixels) = png_pixels(png);
    assert_eq!((f64::from(columns), f64::from(rows)), (width, height), "{name}");
    for word in words.iter().filter(|word| word.text.chars().any(char::is_alphanumeric)) {
        assert!(inked(word, columns as usize, &pixels), "{name}: no letters of {word:?}");
    }
}

/// Whether some pixels in the box of a text differ from most of it.
fn inked(word: &TextBox, columns: usize, pixels: &[u8]) -> bool {
    let mut found: Vec<[u8; 3]> = Vec::new();
    for row in word.top as usize..word.bottom as usize {
        for column in word.left as usize..word.right as usize {
            let at = 3 * (row * columns + column);
            found.push([pixels[at], pixels[at + 1], pixels[at + 2]]);
        }
    }
    found.sort_unstable();
    let runs = found.chunk_by(|a, b| a == b);
    let Some(ground) = runs.max_by_key(|run| run.len()).map(|run| run[0]) else { return false };
    let apart = |c: &[u8; 3]| (0..3).map(|i| (i32::from(c[i]) - i32::from(ground[i])).abs()).sum();
    found.iter().map(apart).max().is_some_and(|most: i32| most > INK)
}

/// The outermost places of a mark that is no text.
pub fn corners(e: &Element) -> Vec<[f64; 2]> {
    let at = |name| number(e, name);
    match e.tag.as_str() {
        "polygon" | "polyline" => attribute(e, "points")
            .unwrap()
            .split_whitespace()
            .map(|pair| {
                let (x, y) = pair.split_once(',').unwrap();
                [x.parse().unwrap(), y.parse().unwrap()]
            })
            .collect(),
        "rect" => {
            let (x, y) = (at("x"), at("y"));
            vec![[x, y], [x + at("width"), y + at("height")]]
        }
        "circle" => {
            let (x, y, r) = (at("cx"), at("cy"), at("r"));
            vec![[x - r, y - r], [x + r, y + r]]
        }
        _ => Vec::new(),
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
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!(info.color_type, png::ColorType::Rgb);
    (info.width, info.height, pixels)
}
