//! Pictures through the cameras, for the brief.
//!
//! In: a prepared venue, what a brief holds, times that single pictures are asked for. Out: a
//! strip of each camera through the match, and single pictures at those times: SDR as `on-air`
//! has it, exposed between sun and shade at the ND that the brief sets.

use std::sync::Arc;

use chrono::DateTime;
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::base::files::FileName;
use crate::base::slug::unique_slugs;
use crate::command::failure::Failure;
use crate::engine::view::{Aimed, LinearPicture, PixelContent, ViewLight, ViewScene};
use crate::engine::{Instant, Prepared};
use crate::jobs::crew::setting_words;
use crate::jobs::match_plan::facts;
use crate::jobs::match_plan::picture::field::clock_text;
use crate::jobs::on_air::picture::{Inset, strip};
use crate::jobs::on_air::{Expose, Framing, Scenes, Set, rig, view};
use crate::output::words::{lens_end, share_text};
use crate::solar::SunState;

use super::report::BriefReport;

/// Pictures of a strip.
const IN_STRIP: usize = 8;
/// Width of a picture of a strip, and of one by itself, pixels.
const STRIP_PX: usize = 320;
const SINGLE_PX: usize = 1280;
/// Pages that are drawn at once.
const PAGES_AT_ONCE: usize = 2;

/// An instant of the plan in all of its light.
struct PictureInstant<'a> {
    index: usize,
    instant: &'a Instant,
    light: ViewLight,
    scene: Arc<ViewScene>,
}

/// A page before it is drawn.
struct Page {
    name: String,
    head: [String; 4],
    /// Each with its time and what else is said of it.
    pictures: Vec<(Inset, String, String)>,
}

/// Every picture as PNG.
///
/// # Errors
/// [`Failure::Picture`] where the drawing fails.
pub(crate) fn drawn(
    prepared: &Prepared<'_>,
    report: &BriefReport<'_>,
    times: &[DateTime<Tz>],
) -> Result<Vec<(FileName, Vec<u8>)>, Failure> {
    let plan = report.plan;
    let Some(middle) = plan.instants.get(plan.instants.len() / 2) else { return Ok(Vec::new()) };
    let mut scenes = Scenes::new(prepared, middle.at, plan.sky, &plan.air);
    let mut moment = |index: usize| {
        let instant = plan.instants.get(index)?;
        let light = prepared.view_light(instant.at, plan.sky, &plan.air);
        Some(PictureInstant { index, instant, light, scene: scenes.at(instant.at) })
    };
    let through: Vec<PictureInstant> =
        through(plan.instants.len()).into_iter().filter_map(&mut moment).collect();
    let singles = times.iter().filter_map(|at| facts::nearest_instant(plan, *at));
    let singles: Vec<PictureInstant> = singles.filter_map(moment).collect();

    let names = unique_slugs(report.venue.cameras.iter().map(|c| c.name.as_str()), "camera");
    let seeing = plan.covers.iter().map(|cover| cover.area_m2 > 0.0);
    let wanted = seeing.enumerate().filter(|(_, seeing)| *seeing).flat_map(|(camera, _)| {
        let singles = singles.iter().map(|one| (std::slice::from_ref(one), SINGLE_PX));
        let all = std::iter::once((through.as_slice(), STRIP_PX)).chain(singles);
        all.map(move |(of, width)| (camera, of, width))
    });
    let wanted: Vec<(usize, &[PictureInstant], usize)> = wanted.collect();
    let (mut files, mut waiting) = (Vec::new(), Vec::new());
    let drawn =
        |pages: Vec<Page>| -> Result<Vec<_>, Failure> { pages.into_par_iter().map(png).collect() };
    for few in wanted.chunks(PAGES_AT_ONCE) {
        // pages are drawn while the pictures of the next are taken: one alone leaves cores idle
        let pictures = || -> Vec<Page> {
            let pages = few.par_iter().filter_map(|&(camera, of, width)| {
                let name = names.get(camera).map_or("camera", String::as_str);
                page(report, (camera, name), of, width)
            });
            pages.collect()
        };
        let before = std::mem::take(&mut waiting);
        let (next, before) = rayon::join(pictures, || drawn(before));
        files.extend(before?);
        waiting = next;
    }
    files.extend(drawn(waiting)?);
    Ok(files)
}

fn page(
    report: &BriefReport<'_>,
    (camera, name): (usize, &str),
    of: &[PictureInstant],
    width: usize,
) -> Option<Page> {
    let post = report.venue.cameras.get(camera)?;
    let mut pictures = Vec::new();
    // what stands is the same in all of these, and so is what each pixel shows
    for of in of.chunk_by(|a, b| Arc::ptr_eq(&a.scene, &b.scene)) {
        let Some(scene) = of.first().map(|moment| &moment.scene) else { continue };
        let (view, placing) = view(scene, post, Framing::default(), width);
        let aimed = scene.aimed(&view).for_several();
        let one =
            |moment: &PictureInstant| taken(report, camera, moment, (&aimed, placing.words()));
        // the first by itself: what it finds of the ground serves the others
        let (first, others) = of.split_at(1.min(of.len()));
        pictures.extend(first.iter().map(one));
        pictures.par_extend(others.par_iter().map(one));
    }
    let pictures: Vec<_> = pictures.into_iter().flatten().collect();
    let at = of.first()?.instant.at;
    let remark = format!("{:.1}° across, {}, SDR", post.horizontal_fov_deg, report.plan.sky);
    let time = if width == SINGLE_PX { at.format("-%H%M").to_string() } else { String::new() };
    let date = at.format("%A %-d %B %Y").to_string();
    (!pictures.is_empty()).then(|| Page {
        name: format!("through-{name}{time}"),
        head: [report.venue.title.clone(), post.name.clone(), date, remark],
        pictures,
    })
}

fn png(page: Page) -> Result<(FileName, Vec<u8>), Failure> {
    let bytes = strip(page.head.each_ref().map(String::as_str), page.pictures);
    Ok((FileName::new(&page.name, "png"), bytes.map_err(Failure::picture)?))
}

/// A picture at the one setting that the brief gives a camera; `None` where it sees nothing of
/// the field then.
fn taken(
    report: &BriefReport<'_>,
    camera: usize,
    moment: &PictureInstant,
    (aimed, placed): (&Aimed, Option<&str>),
) -> Option<(Inset, String, String)> {
    let (venue, brief) = (report.venue, report.brief);
    let post = venue.cameras.get(camera)?;
    let set_by = brief.cameras.iter().find(|c| c.camera == camera)?;
    let exposure = set_by.exposures.get(moment.index).copied().flatten()?;
    let t_number = set_by.t_at(&brief.spans, moment.index, exposure.one.white)?;
    let setting = set_by.setting_at(&brief.spans, moment.index)?;
    let rig = rig(post, Framing::default());
    let seen = moment.instant.cameras.get(camera);
    let nd = Some(setting.nd_stops);
    let set = Set::new([Expose::Between; 2], seen, (&rig, nd), &venue.subject, &moment.light);
    let picture = aimed.picture(&moment.light);
    let setting = setting_words(setting.nd_stops, setting.gain_db);
    let lens = set_by.rig_at(moment.index).lens();
    let facts = [
        Some(format!("T{:.1}, {setting}", lens.set_t(t_number))),
        lens.end_at(t_number).map(lens_end),
        Some(shade_words(moment.instant, &picture, venue.field.surface.short_name())),
        picture.seen.contains(&PixelContent::Sun).then(|| "sun in the lens".to_owned()),
        placed.map(str::to_owned),
    ];
    let words = facts.into_iter().flatten().collect::<Vec<_>>().join("; ");
    Some((Inset::sdr(&picture, &set), clock_text(moment.instant.at), words))
}

/// How much of the surface of play in the frame is in shade.
fn shade_words(instant: &Instant, picture: &LinearPicture, surface: &str) -> String {
    let play = picture.seen.iter().zip(&picture.sun).filter(|(seen, _)| seen.is_play());
    let (count, sun) = play.fold((0_usize, 0.0), |(n, sum), (_, sun)| (n + 1, sum + sun));
    match instant.sun_state {
        SunState::Down => "no direct sun: it is down".to_owned(),
        SunState::BehindSkyline => "no direct sun: behind the skyline".to_owned(),
        SunState::Up if instant.daylight.direct_normal.lux() <= 0.0 => {
            "no direct sun: cloud".to_owned()
        }
        SunState::Up if count == 0 => "none of the field in frame".to_owned(),
        SunState::Up => {
            let shaded = 1.0 - f64::from(sun) / count as f64;
            format!("{} of the {surface} in frame in shade", share_text(shaded))
        }
    }
}

/// Instants evenly through a window.
fn through(count: usize) -> Vec<usize> {
    let pictures = IN_STRIP.min(count);
    let last = count.saturating_sub(1);
    let gaps = pictures.saturating_sub(1).max(1);
    let mut indices: Vec<usize> = (0..pictures).map(|i| i * last / gaps).collect();
    indices.dedup();
    indices
}
