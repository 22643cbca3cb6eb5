//! `quarterstop brief`: what the crew takes to the truck.
//!
//! In: a venue file and options. Out: the brief as pages for paper and for a tablet, a
//! sheet and a calendar for each operator, cues as a calendar and a table, settings as a
//! table, all of it as JSON, and a summary on stdout.

use std::path::Path;

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::base::files::{FileName, FileSet};
use crate::base::slug::unique_slugs;
use crate::base::units::Stops;
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::engine::{DEFAULT_HOLD_STOPS, Hidden};
use crate::jobs::forecast::DayOutlook;
use crate::jobs::forecast::report::stretch_words;
use crate::jobs::match_plan::pictured;
use crate::jobs::match_plan::planning;
use crate::jobs::match_plan::planning::ReadyPlan;
use crate::output::ics::Earlier;
use crate::output::words;
use crate::{jobs, output};

use super::options::BriefOptions;
use super::report::{BriefReport, board, calendar, data, page, tables};
use super::through;
use crate::jobs::crew::{self, BriefSettings};

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(crate) fn run(options: &BriefOptions) -> Result<(), Failure> {
    let ReadyPlan { venue, date, mut settings } =
        planning::ready(&options.plan, DEFAULT_HOLD_STOPS)?;
    planning::refuse_polar_night(&venue, date)?;
    let folder = planning::folder(&options.plan.when, &settings.window, "-brief");
    let resolve = |date: NaiveDate, time: NaiveTime| {
        planning::resolve(venue.place.zone, date, time, options.plan.when.repeated)
    };
    let times = pictured::times(&options.through_at, &settings.window, resolve)?;
    let forecast = options.forecast.as_deref();
    let inputs = jobs::check::command::inputs(&options.plan.when.venue, &venue).and(forecast);
    let forecast =
        forecast.map(|path| jobs::forecast::command::read(path, &venue, &settings.window));
    let forecast = forecast.transpose()?;
    let when = (&settings.window, options.plan.when.repeated);
    settings.air = options.readings.over(settings.air, &venue, when, forecast.as_ref())?;
    // a folder that cannot be written is found before the work starts
    let mut set = FileSet::open(&folder, &inputs)?;

    let progress = Progress::of("sun, shadow and splits");
    let prepared = planning::prepare(&venue, date);
    let plan = planning::plan(&prepared, settings.clone(), |done, all| progress.report(done, all))?;
    drop(progress);
    warn(planning::sunless(&plan));
    let brief_settings = BriefSettings {
        tell_splits: options.tell_splits.iter().copied().map(Stops::from_stops).collect(),
        operators: options.operators.map(|n| n as usize),
        ..BriefSettings::default()
    };
    let brief = crew::brief(&prepared, &plan, &brief_settings)?;
    let day = forecast.map(|forecast| {
        jobs::forecast::command::outlook(&forecast, &venue, &prepared, settings, (&plan, &brief))
    });
    let day = day.transpose()?;
    let brief = match &day {
        Some(day) => brief.with_forecast(&prepared, &plan, &said(day)),
        None => brief,
    };
    let words = |hidden| format!("{}: set for what it does not see", words::hidden(&venue, hidden));
    let hidden = Hidden::of_blocked(&venue, date);
    let hidden: Vec<_> = hidden.iter().map(|(camera, hidden)| (*camera, words(hidden))).collect();
    let report = BriefReport {
        venue: &venue,
        plan: &plan,
        brief: &brief,
        forecast: day.as_ref(),
        hidden: &hidden,
    };
    let progress = Progress::of("pages and pictures through the cameras");
    let (pages, pictures) =
        rayon::join(|| files(&report, &folder), || through::drawn(&prepared, &report, &times));
    drop(progress);
    let (mut files, pictures) = (pages?, pictures?);
    files.extend(pictures);
    for (name, bytes) in files {
        set.stage(name, &bytes)?;
    }
    let names = set.commit()?;
    let ink = ink();
    let text = super::report::summary::text(&report, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}

/// What the forecast says, from the beginning of each stretch on.
fn said(day: &DayOutlook) -> Vec<(DateTime<Tz>, String)> {
    day.stretches.iter().map(|stretch| (stretch.from, stretch_words(stretch))).collect()
}

/// Every file, in the order people look at them. Calendars in the folder are read first:
/// the new ones count on from them.
fn files(report: &BriefReport<'_>, folder: &Path) -> Result<Vec<(FileName, Vec<u8>)>, Failure> {
    let timeline = jobs::match_plan::command::timeline(report.venue, report.plan)?;
    let mut files = vec![
        (FileName::new("brief", "html"), page::html(report, None, &timeline.svg)?.into_bytes()),
        #[cfg(feature = "pdf")]
        (FileName::new("brief", "pdf"), super::report::pdf::pdf(report, &timeline.svg)?),
        (FileName::new("board", "html"), board::html(report)?.into_bytes()),
    ];
    let operators = report.brief.desk.operators.iter().map(|o| o.name.as_str());
    let operators = unique_slugs(operators, "operator");
    for (operator, name) in operators.iter().enumerate() {
        let sheet = page::html(report, Some(operator), &timeline.svg)?;
        files.push((FileName::new(&format!("sheet-{name}"), "html"), sheet.into_bytes()));
    }
    let stamp = chrono::Utc::now();
    let calendar = |stem: &str, operator: Option<usize>| {
        let name = FileName::new(stem, "ics");
        let earlier = Earlier::at(&folder.join(name.as_str()));
        (name, calendar::ics(report, operator, stamp, &earlier).into_bytes())
    };
    files.push(calendar("cues", None));
    for (operator, name) in operators.iter().enumerate() {
        files.push(calendar(&format!("cues-{name}"), Some(operator)));
    }
    files.push((FileName::new("cues", "csv"), tables::cues(report)?));
    files.push((FileName::new("settings", "csv"), tables::settings(report)?));
    files.push((FileName::new("brief", "json"), data::write(report)?));
    Ok(files)
}

impl From<super::report::BriefReportError> for Failure {
    fn from(error: super::report::BriefReportError) -> Self {
        Self::internal(error)
    }
}
