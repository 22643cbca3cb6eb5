//! `quarterstop agreement`: one page to sign before the match.
//!
//! In: a venue file and options. Out: `agreement.html`, and a summary on stdout.

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::base::files::{FileName, FileSet};
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::engine::{DEFAULT_HOLD_STOPS, Hidden, MatchPlan};
use crate::jobs::crew;
use crate::jobs::crew::BriefSettings;
use crate::jobs::match_plan::planning::ReadyPlan;
use crate::jobs::match_plan::{pictured, planning};
use crate::jobs::matching::matched_pairs;
use crate::jobs::on_air::develop::Hdr;
use crate::jobs::on_air::{Scenes, between};
use crate::venue::Venue;
use crate::{jobs, output};

use super::moments::{ALL_DARK, SheetJob};
use super::options::AgreementOptions;
use super::page::{AgreementSheet, MomentPart, html};
use super::{AgreementMoment, AgreementReason, MOMENTS, Plans};

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames themselves fail.
pub(crate) fn run(options: &AgreementOptions) -> Result<(), Failure> {
    let ReadyPlan { venue, date, mut settings } =
        planning::ready(&options.plan, DEFAULT_HOLD_STOPS)?;
    planning::refuse_polar_night(&venue, date)?;
    let cameras = jobs::on_air::command::cameras(&venue, &options.camera)?;
    if options.minutes.len() > MOMENTS {
        let text = format!("--minute names more than {MOMENTS}: a sheet has room for {MOMENTS}");
        return Err(Failure::Input(text.into()));
    }
    let when = &options.plan.when;
    let resolve = |date: NaiveDate, time: NaiveTime| {
        planning::resolve(venue.place.zone, date, time, when.repeated)
    };
    let asked = pictured::times(&options.minutes, &settings.window, resolve)?;
    let folder = planning::folder(when, &settings.window, "-agreement");
    let window = (&settings.window, when.repeated);
    settings.air = options.readings.over(settings.air, &venue, window, None)?;
    let mut set = FileSet::open(&folder, &jobs::check::command::inputs(&when.venue, &venue))?;

    let progress = Progress::of("sun, shadow and splits");
    let prepared = planning::prepare(&venue, date);
    let (sky, air) = (settings.sky, settings.air);
    let middle = between(settings.window.start, settings.window.until, 0.5);
    let plan = planning::plan(&prepared, settings, |done, all| progress.report(done, all))?;
    drop(progress);
    warn(planning::sunless(&plan));
    let brief = crew::brief(&prepared, &plan, &BriefSettings::default())?;
    let pairs = matched_pairs(&venue, &plan, &brief);
    let hidden = Hidden::of_blocked(&venue, date);
    // a picture of what stands in the way agrees nothing: shown where it is asked for or no
    // camera sees more
    let is_seeing = |camera: &usize| !hidden.iter().any(|(hidden, _)| hidden == camera);
    let (seeing, blocked): (Vec<usize>, Vec<usize>) = cameras.iter().partition(|c| is_seeing(c));
    let (cameras, left_out) = match options.camera.is_empty() && !seeing.is_empty() {
        true => (seeing, blocked),
        false => (cameras, Vec::new()),
    };
    let plans = Plans { plan: &plan, brief: &brief, pairs: &pairs, cameras: &cameras };
    let moments = match asked.is_empty() {
        true => plans.moments(),
        false => named(&plans, &asked),
    };
    let all_dark = asked.is_empty() && plans.is_all_dark();
    warn(all_dark.then(|| ALL_DARK.to_owned()));
    let progress = Progress::of("pictures");
    let job = SheetJob {
        venue: &venue,
        prepared: &prepared,
        hdr: Hdr::of(venue.production.as_ref(), None),
        plan: &plan,
        brief: &brief,
        hidden,
        left_out,
        all_dark,
    };
    let mut scenes = Scenes::new(&prepared, middle, sky, &air);
    let parts = moments.iter().filter_map(|moment| {
        let scene = scenes.at(plan.instants.get(moment.index)?.at);
        job.part(moment, &scene).transpose()
    });
    let sheet = AgreementSheet {
        title: venue.title.clone(),
        heading: heading(&venue, &plan),
        note: String::new(),
        moments: parts.collect::<Result<_, _>>()?,
    };
    let sheet = AgreementSheet { note: job.note(&sheet.moments), ..sheet };
    drop(progress);
    let page = html(&sheet).map_err(Failure::internal)?;
    set.stage(FileName::new("agreement", "html"), page.as_bytes())?;
    let names = set.commit()?;
    let ink = ink();
    let mut text =
        output::text::titled(&venue.title, &date.format("%A %-d %B %Y").to_string(), ink);
    text += &summary(&sheet);
    let cautions = output::text::cautions(ink);
    print(&format!("{text}\n{cautions}\n{}", output::text::files(&folder, &names, ink)))
}

/// The minutes that were asked for, each with its camera.
fn named(plans: &Plans<'_>, asked: &[DateTime<Tz>]) -> Vec<AgreementMoment> {
    let one = |at: &DateTime<Tz>| {
        let last = plans.plan.instants.len().checked_sub(1)?;
        let index = plans.plan.instants.partition_point(|i| i.at < *at).min(last);
        Some(AgreementMoment {
            reason: AgreementReason::Asked,
            cut: None,
            index,
            camera: plans.camera_at(index)?,
        })
    };
    let mut moments: Vec<AgreementMoment> = asked.iter().filter_map(one).collect();
    moments.sort_by_key(|moment| moment.index);
    moments
}

fn heading(venue: &Venue, plan: &MatchPlan) -> String {
    let stones: Vec<String> = plan
        .milestones
        .iter()
        .map(|stone| format!("{} {}", stone.name, stone.at.format("%H:%M")))
        .collect();
    let date = plan.instants.first().map(|i| i.at.format("%A %-d %B %Y").to_string());
    let date = date.unwrap_or_default();
    format!("{date}, {}, {}: {}", venue.place.zone, plan.sky, stones.join(", "))
}

/// The sheet in a terminal.
fn summary(sheet: &AgreementSheet) -> String {
    let moment = |part: &MomentPart| {
        let head = format!("{} {}: {}", part.time, part.camera, part.reason);
        let mut head = output::text::wrapped("  ", &head);
        if !part.aside.is_empty() {
            head += &output::text::wrapped("    ", &part.aside);
        }
        let lines = part.settings.iter().map(|setting| {
            let words = format!("{} ({}): {}", setting.name, setting.set, setting.lost.join(" "));
            output::text::wrapped("    ", &words)
        });
        head + &lines.collect::<String>()
    };
    sheet.moments.iter().map(moment).collect()
}
