//! The brief as PDF, A4: the same words as the page for paper, for those who print
//! without a browser.
//!
//! In: [`BriefReport`], the timeline as SVG. Out: the bytes of a PDF with its fonts inside; the
//! timeline's lines and letters stay lines and letters.

mod layout;

use std::sync::Arc;

use krilla::Document;
use krilla::geom::{PathBuilder, Point, Size, Transform};
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::paint::Stroke;
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};
use krilla_svg::{SurfaceExt, SvgSettings};
use resvg::usvg;

use crate::output::draw::raster;
use crate::output::draw::text::Weight;

use super::page::{PageCamera, PageCue, PageData, page};
use super::{BriefReport, BriefReportError};
use layout::{PAGE_PT, PageMark, Pages, PdfColumn};

const fn column(title: &'static str, share: f64, weight: Weight) -> PdfColumn {
    PdfColumn { title, share, weight }
}

const SETTINGS: [PdfColumn; 7] = [
    column("Camera", 0.11, Weight::Bold),
    column("Run of play", 0.09, Weight::Regular),
    column("Filter", 0.08, Weight::Bold),
    column("Sun", 0.16, Weight::Regular),
    column("Shade", 0.15, Weight::Regular),
    column("One iris for both", 0.15, Weight::Regular),
    column("What to do, and the sun", 0.26, Weight::Regular),
];
const CUES: [PdfColumn; 4] = [
    column("Time", 0.10, Weight::Bold),
    column("What", 0.65, Weight::Regular),
    column("Accuracy", 0.13, Weight::Regular),
    column("For", 0.12, Weight::Regular),
];
const SMALL: f64 = 8.0;

/// The brief of the whole crew.
///
/// # Errors
/// [`BriefReportError::Pdf`] where the library refuses: a fault of the program.
pub fn pdf(report: &BriefReport<'_>, timeline_svg: &str) -> Result<Vec<u8>, BriefReportError> {
    let fault = |what: &str| BriefReportError::Pdf { what: what.to_owned() };
    let data = page(report, None);
    let timeline = raster::tree(timeline_svg).map_err(|e| fault(&e.to_string()))?;
    let size = timeline.size();
    let pages = composed(&data, [f64::from(size.width()), f64::from(size.height())]);
    let font = |bytes: &[u8]| Font::new(Arc::new(bytes.to_vec()).into(), 0);
    let fonts = Fonts {
        regular: font(dejavu::sans::regular()).ok_or_else(|| fault("no regular font"))?,
        bold: font(dejavu::sans::bold()).ok_or_else(|| fault("no bold font"))?,
        timeline,
    };
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(data.title.clone()).language("en".to_owned()));
    let [width, height] = PAGE_PT.map(|v| v as f32);
    for marks in &pages.pages {
        let settings = PageSettings::from_wh(width, height).ok_or_else(|| fault("no page"))?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        marks.iter().for_each(|mark| draw(&mut surface, &fonts, mark));
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|e| fault(&format!("{e:?}")))
}

/// What the marks are drawn with.
struct Fonts {
    regular: Font,
    bold: Font,
    timeline: usvg::Tree,
}

fn draw(surface: &mut Surface<'_>, fonts: &Fonts, mark: &PageMark) {
    match mark {
        PageMark::Text { at, size, weight, text } => {
            let font = match weight {
                Weight::Regular => fonts.regular.clone(),
                Weight::Bold => fonts.bold.clone(),
            };
            let start = Point::from_xy(at[0] as f32, at[1] as f32);
            surface.set_stroke(None);
            surface.draw_text(start, font, *size as f32, text, false, TextDirection::Auto);
        }
        PageMark::Rule { from, to, width } => {
            let mut path = PathBuilder::new();
            path.move_to(from[0] as f32, from[1] as f32);
            path.line_to(to[0] as f32, to[1] as f32);
            surface.set_stroke(Some(Stroke { width: *width as f32, ..Stroke::default() }));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        PageMark::Picture { at, size } => {
            surface.push_transform(&Transform::from_translate(at[0] as f32, at[1] as f32));
            if let Some(size) = Size::from_wh(size[0] as f32, size[1] as f32) {
                let settings = SvgSettings::default();
                let _ = surface.draw_svg(&fonts.timeline, size, settings);
            }
            surface.pop();
        }
    }
}

/// The words and tables of the brief, page by page.
fn composed(data: &PageData, timeline: [f64; 2]) -> Pages {
    let mut pages = Pages::new();
    pages.words(&data.title, 16.0, Weight::Bold);
    pages.words(&data.heading, 9.0, Weight::Regular);
    pages.words(&data.window, 9.0, Weight::Regular);
    pages.rule(1.5);
    pages.heading("What to set");
    pages.table(&SETTINGS, &settings(data));
    pages.words(
        &format!(
            "T-numbers from the start to the end of each run of play. ND stays as it is while \
             play runs; ND 1/16 takes 4 stops. * the iris leaves its best range at times, ** the range of the lens. {}",
            data.air_range
        ),
        SMALL,
        Weight::Regular,
    );
    if !data.production.is_empty() {
        pages.words(&data.production, SMALL, Weight::Regular);
    }
    if let Some(forecast) = &data.forecast {
        pages.heading("Forecast");
        forecast.lines.iter().for_each(|line| pages.words(line, SMALL, Weight::Regular));
        pages.words(&forecast.note, SMALL, Weight::Regular);
    }
    pages.heading("Key actions");
    if data.actions.is_empty() {
        pages.words("None in play: nothing to set anew.", SMALL, Weight::Regular);
    } else {
        pages.table(&CUES, &data.actions.iter().map(cue).collect::<Vec<_>>());
        pages.words(&data.actions_note, SMALL, Weight::Regular);
    }
    pages.heading("Desk");
    for operator in &data.operators {
        let line = format!(
            "Operator {}: {} ({} to ride)",
            operator.name, operator.cameras, operator.minutes
        );
        pages.words(&line, SMALL, Weight::Regular);
    }
    pages.words(&data.desk_note, SMALL, Weight::Regular);
    if !data.pairs.is_empty() {
        pages.heading("Light on faces across cuts");
        data.pairs.iter().for_each(|line| pages.words(line, SMALL, Weight::Regular));
        pages.words(data.pairs_note, SMALL, Weight::Regular);
    }
    pages.gap(6.0);
    pages.rule(0.8);
    data.cautions.iter().for_each(|line| pages.words(line, SMALL, Weight::Regular));
    pages.next_page();
    pages.heading("Shade and splits through the match");
    pages.picture(timeline);
    pages.heading("All cues in play");
    if data.cues.is_empty() {
        pages.words("None.", SMALL, Weight::Regular);
    } else {
        pages.table(&CUES, &data.cues.iter().map(cue).collect::<Vec<_>>());
    }
    if !data.outside.is_empty() {
        pages.heading("Before, between and after play");
        pages.table(&CUES, &data.outside.iter().map(cue).collect::<Vec<_>>());
    }
    pages.words(&data.cues_note, SMALL, Weight::Regular);
    if !data.skins.is_empty() {
        pages.heading("Skins");
        for skin in &data.skins {
            let line = format!("{}: {}", skin.camera, skin.lines.join("; "));
            pages.words(&line, SMALL, Weight::Regular);
        }
    }
    if !data.assumed.is_empty() {
        pages.heading("Assumptions");
        pages.words("Not stated in the venue file:", SMALL, Weight::Regular);
        data.assumed.iter().for_each(|line| pages.words(line, SMALL, Weight::Regular));
    }
    pages.foot(&crate::output::cautions::SHORT);
    pages
}

fn settings(data: &PageData) -> Vec<Vec<String>> {
    let rows = data.cameras.iter().flat_map(|camera| {
        camera.settings.iter().enumerate().map(move |(number, setting)| {
            let (name, words) = match number {
                0 => (format!("{}\noperator {}", camera.name, camera.operator), words_of(camera)),
                _ => (String::new(), String::new()),
            };
            if setting.shade.is_empty() {
                let none = "sees nothing of the field".to_owned();
                let empty = String::new;
                return vec![name, setting.span.clone(), none, empty(), empty(), empty(), words];
            }
            let shade = two_lines(&setting.shade, &setting.shade_range);
            vec![
                name,
                setting.span.clone(),
                format!("{}{}", setting.filter, setting.note),
                two_lines(&setting.sun, &setting.sun_range),
                two_lines(&two_lines(&shade, &setting.dimmed), &setting.cloud),
                two_lines(&setting.one, &setting.one_range),
                words,
            ]
        })
    });
    rows.collect()
}

/// What to do, what the outputs do, and the sun.
fn words_of(camera: &PageCamera) -> String {
    let verdicts = two_lines(&camera.verdicts.join("; "), &camera.outputs.join("; "));
    format!("{verdicts}\n{}", camera.sun.join("; "))
}

fn two_lines(first: &str, second: &str) -> String {
    if second.is_empty() { first.to_owned() } else { format!("{first}\n{second}") }
}

fn cue(cue: &PageCue) -> Vec<String> {
    let what = match cue.detail.is_empty() {
        true => cue.what.clone(),
        false => format!("{}\n{}", cue.what, cue.detail),
    };
    vec![cue.time.clone(), what, cue.accuracy.clone(), cue.operators.clone()]
}
