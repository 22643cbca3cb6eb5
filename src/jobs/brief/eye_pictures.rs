//! Pictures through the cameras, for the brief.
//!
//! In: what a brief holds, times that single pictures are asked for. Out: a strip of
//! each camera through the match, and single pictures at those times.

use chrono::DateTime;
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::base::files::FileName;
use crate::base::slug::unique_slugs;
use crate::command::failure::Failure;
use crate::engine::MatchPlan;
use crate::jobs::match_plan::facts;
use crate::output::draw::Picture;
use crate::venue::Venue;

use super::picture::{EyeView, MAX_IN_STRIP};
use super::report::Report;

/// Pictures of a strip.
const IN_STRIP: usize = 8;

type Drawn = (FileName, Vec<u8>);

/// One picture to draw.
enum Drawing {
    Strip(Vec<usize>),
    Single(usize),
}

/// Every picture, SVG and PNG.
///
/// # Errors
/// [`Failure::Picture`] where the drawing fails.
pub(crate) fn drawn(told: &Report<'_>, times: &[DateTime<Tz>]) -> Result<Vec<Drawn>, Failure> {
    let cameras = &told.venue.cameras;
    let names: Vec<String> = unique_slugs(cameras.iter().map(|c| c.name.as_str()), "camera");
    let seeing = told.plan.covers.iter().map(|cover| cover.area_m2 > 0.0);
    let seeing: Vec<usize> = seeing.enumerate().filter(|(_, s)| *s).map(|(i, _)| i).collect();
    let singles: Vec<usize> =
        times.iter().filter_map(|at| facts::nearest_instant(told.plan, *at)).collect();
    let strip = through(told.plan.instants.len());
    let all: Vec<(usize, Drawing)> = seeing
        .iter()
        .flat_map(|&camera| {
            let singles = singles.iter().map(|&index| Drawing::Single(index));
            std::iter::once(Drawing::Strip(strip.clone())).chain(singles).map(move |d| (camera, d))
        })
        .collect();
    let pairs: Result<Vec<Vec<Drawn>>, Failure> = all
        .par_iter()
        .map(|(camera, drawing)| {
            let name = names.get(*camera).map_or("camera", String::as_str);
            draw(told, *camera, name, drawing)
        })
        .collect();
    Ok(pairs?.into_iter().flatten().collect())
}

fn draw(
    told: &Report<'_>,
    camera: usize,
    name: &str,
    drawing: &Drawing,
) -> Result<Vec<Drawn>, Failure> {
    let (name, picture) = match drawing {
        Drawing::Strip(indices) => {
            let seen = indices.iter().filter_map(|&i| Some((i, told.eye_view(camera, i)?)));
            let (indices, views): (Vec<usize>, Vec<EyeView>) = seen.unzip();
            if views.is_empty() {
                return Ok(Vec::new());
            }
            let picture = eye_strip(told.venue, told.plan, &indices, &views)?;
            (format!("through-{name}"), picture)
        }
        Drawing::Single(index) => {
            let Some(view) = told.eye_view(camera, *index) else { return Ok(Vec::new()) };
            let picture = eye_view(told.venue, told.plan, *index, &view)?;
            let at = told.plan.instants.get(*index).map(|i| i.at.format("%H%M").to_string());
            (format!("through-{name}-{}", at.unwrap_or_default()), picture)
        }
    };
    let png = picture.png().map_err(Failure::picture)?;
    Ok(vec![
        (FileName::new(&name, "svg"), picture.svg.into_bytes()),
        (FileName::new(&name, "png"), png),
    ])
}

/// Instants evenly through a window.
fn through(count: usize) -> Vec<usize> {
    let pictures = IN_STRIP.min(MAX_IN_STRIP).min(count);
    let last = count.saturating_sub(1);
    let gaps = pictures.saturating_sub(1).max(1);
    let mut indices: Vec<usize> = (0..pictures).map(|i| i * last / gaps).collect();
    indices.dedup();
    indices
}

pub(crate) fn eye_view(
    venue: &Venue,
    plan: &MatchPlan,
    index: usize,
    view: &EyeView,
) -> Result<Picture, Failure> {
    super::picture::eye_view(venue, plan, index, view).map_err(Failure::picture)
}

pub(crate) fn eye_strip(
    venue: &Venue,
    plan: &MatchPlan,
    indices: &[usize],
    views: &[EyeView],
) -> Result<Picture, Failure> {
    super::picture::eye_strip(venue, plan, indices, views).map_err(Failure::picture)
}
