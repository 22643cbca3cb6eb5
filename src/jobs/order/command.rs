//! `quarterstop order`: a day's order of play on a site.
//!
//! In: the file of a site and options. Out: a page, a picture, a table, JSON, and the list of
//! what to do on stdout.

use std::path::Path;

use chrono::TimeDelta;

use crate::base::files::{FileName, FileSet};
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::command::sky;
use crate::jobs::check::command::warn_of_slips;
use crate::jobs::check::options::FieldOption;
use crate::output;
use crate::venue::mesh::files_of;
use crate::venue::{self, VenueOrSite};

use super::options::OrderOptions;
use super::{OrderSettings, data, day, page, picture, report};

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames themselves fail.
pub(crate) fn run(options: &OrderOptions) -> Result<(), Failure> {
    let none = || {
        Failure::Input(
            format!(
                "`{}` has no order of play\n  give the file of a site with [[field]] and [[play]] \
                 tables; a match on one field is planned by `match` and `brief`",
                options.venue.display()
            )
            .into(),
        )
    };
    let VenueOrSite::Site(site) = venue::read_all(&options.venue).map_err(Failure::venue)? else {
        return Err(none());
    };
    let order = site.order.as_ref().ok_or_else(none)?;
    for field in &site.fields {
        field.venue.plannable(&options.venue.display().to_string()).map_err(Failure::venue)?;
        warn_of_slips(&field.venue, &options.venue);
    }
    let first = site.fields.first().ok_or_else(none)?;
    let settings = OrderSettings {
        sky: sky::sky(options.sky, options.direct_share)?,
        air: sky::air(&first.venue, &options.air)?.on(order.date),
        step: TimeDelta::minutes(options.step.into()),
    };
    let folder = options.into.clone().unwrap_or_else(|| {
        let stem = FieldOption::default().stem(&options.venue);
        Path::new("output").join(format!("{stem}-{}-order", order.date.format("%Y-%m-%d")))
    });
    let models = site.fields.iter().flat_map(|f| files_of(&options.venue, &f.venue.meshes));
    let inputs = Inputs::of([&options.venue]).and(models);
    // a folder that cannot be written is found before the work starts
    let mut set = FileSet::open(&folder, &inputs)?;
    let progress = Progress::of("fields");
    let planned = day(&site, order, &settings, |done, all| progress.report(done, all));
    drop(progress);
    let planned = planned.map_err(Failure::input)?;
    let drawn = picture::lanes(&planned).map_err(Failure::picture)?;
    let html = page::html(&planned, &drawn.svg).map_err(Failure::internal)?;
    set.stage(FileName::new("order", "html"), html.as_bytes())?;
    set.stage(FileName::new("order", "svg"), drawn.svg.as_bytes())?;
    set.stage(FileName::new("order", "png"), &drawn.png().map_err(Failure::picture)?)?;
    set.stage(FileName::new("order", "csv"), &report::csv(&planned)?)?;
    set.stage(FileName::new("order", "json"), &data::json(&planned)?)?;
    let names = set.commit()?;
    let ink = ink();
    let text = report::text(&planned, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}
