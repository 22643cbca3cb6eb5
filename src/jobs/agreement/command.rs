//! `quarterstop agreement`: one page to sign before the match.
//!
//! In: a venue file and options. Out: `agreement.html`, and a summary on stdout.

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::base::files::{FileName, FileSet};
use crate::camera::{Exposure, SidesInCover};
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::engine::view::{LinearPicture, Placing, ViewLight, ViewScene};
use crate::engine::{DEFAULT_HOLD_STOPS, Hidden, Instant, MatchPlan, Prepared};
use crate::jobs::crew;
use crate::jobs::crew::{Brief, BriefSettings};
use crate::jobs::match_plan::planning::ReadyPlan;
use crate::jobs::match_plan::{pictured, planning};
use crate::jobs::matching::matched_pairs;
use crate::jobs::on_air::develop::{Hdr, sdr, sdr_of};
use crate::jobs::on_air::{Expose, Framing, Scenes, Set, between, rig, view, zones};
use crate::output::draw::DrawError;
use crate::signal::{DownMapping, Output, png};
use crate::venue::{CameraPost, Skins, Subject, Venue};
use crate::{jobs, output};

use super::options::AgreementOptions;
use super::page::{AgreementSheet, MomentPart, SettingPart, html, inline};
use super::{AgreementMoment, AgreementReason, MOMENTS, Plans, words};

/// Said where there is no better minute to choose.
const ALL_DARK: &str = "all of play is in the dark, with the sun down and no floodlights lit";
/// Width of a picture, pixels: 200 to the inch on a third of A4.
const WIDTH_PX: usize = 480;
/// Width of a picture that only finds out what a pan shows where, pixels.
const LOOK_PX: usize = 96;
/// Places of a pan that are looked at, 0 at its first aim and 1 at its last.
const ALONG: [f64; 5] = [0.5, 0.25, 0.75, 0.0, 1.0];
/// Other cameras that are named at a moment.
const MAX_OTHERS: usize = 4;

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
    let job = Job {
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

/// Where a pan shows most of both sun and shade; its middle where nothing shows more.
fn framing(post: &CameraPost, scene: &ViewScene, light: &ViewLight) -> Framing {
    let both = |framing: &Framing| {
        let shares = scene.sun_on_play(light, &view(scene, post, *framing, LOOK_PX).0);
        let sunlit = shares.iter().filter(|sun| **sun > 0.5).count();
        sunlit.min(shares.len() - sunlit)
    };
    let at = |along: &f64| Framing { along: *along, ..Framing::default() };
    let tried = if post.aims.len() > 1 { &ALONG[..] } else { &ALONG[..1] };
    // the first of equals
    let best = tried.iter().map(at).map(|framing| (both(&framing), framing));
    let best = best.reduce(|a, b| if b.0 > a.0 { b } else { a });
    best.map_or_else(Framing::default, |(_, framing)| framing)
}

/// What all moments have in common.
struct Job<'a> {
    venue: &'a Venue,
    prepared: &'a Prepared<'a>,
    hdr: Hdr,
    plan: &'a MatchPlan,
    brief: &'a Brief,
    /// Cameras that see little of what is planned for them.
    hidden: Vec<(usize, Hidden)>,
    /// Those of them that are not shown.
    left_out: Vec<usize>,
    /// Whether no minute of play has sun or floodlights.
    all_dark: bool,
}

impl Job<'_> {
    fn name(&self, camera: usize) -> String {
        self.venue.cameras.get(camera).map_or_else(String::new, |post| post.name.clone())
    }

    /// How SDR is made where the production makes it of HDR; `None` by the camera.
    fn sdr_by(&self) -> Option<DownMapping> {
        let production = self.venue.production.as_ref()?;
        production.hdr_for_sdr()?;
        DownMapping::named(production.sdr_from)
    }

    /// Outputs whose losses are counted.
    fn outputs(&self) -> Vec<Output> {
        let made = self.venue.production.as_ref().map(|p| p.makes.clone());
        made.unwrap_or_else(|| vec![Output::Sdr])
    }

    fn note(&self, moments: &[MomentPart]) -> String {
        let sdr = match self.sdr_by() {
            Some(_) => "as SDR made of the HDR",
            None => "in SDR",
        };
        let players = match moments.iter().all(|moment| moment.aside.is_empty()) {
            true => "The players stand where the camera looks",
            false => "The players stand where the camera looks, unless the moment says otherwise",
        };
        let left_out: Vec<String> = self.left_out.iter().map(|c| self.name(*c)).collect();
        let left_out = match left_out.is_empty() {
            true => String::new(),
            false => {
                format!(" Not shown, most of the cover being hidden: {}.", left_out.join(", "))
            }
        };
        let dark = if self.all_dark {
            format!(" {}.", output::words::capital(ALL_DARK))
        } else {
            String::new()
        };
        format!(
            "Worked out beforehand, {sdr}, white balance following the setting. {players}: white, \
             black, red and yellow kit, skin from dark to light. Tick one for each moment.{left_out}\
             {dark}"
        )
    }

    fn exposure(&self, camera: usize, index: usize) -> Option<Exposure> {
        let brief = self.brief.cameras.iter().find(|brief| brief.camera == camera)?;
        brief.exposures.get(index).copied().flatten()
    }

    /// A moment in words and pictures; `None` for one that is not in the plan.
    fn part(
        &self,
        moment: &AgreementMoment,
        scene: &ViewScene,
    ) -> Result<Option<MomentPart>, Failure> {
        let instant = self.plan.instants.get(moment.index);
        let post = self.venue.cameras.get(moment.camera);
        let (Some(instant), Some(post)) = (instant, post) else { return Ok(None) };
        let light = self.prepared.view_light(instant.at, self.plan.sky, &self.plan.air);
        let framing = framing(post, scene, &light);
        let (seen, placing) = view(scene, post, framing, WIDTH_PX);
        let picture = scene.picture(&light, &seen);
        let taken = (framing, &picture);
        let setting = |expose: &Expose| self.setting((moment, instant), *expose, &light, taken);
        let settings = Expose::ALL.iter().map(setting).collect::<Result<_, _>>()?;
        Ok(Some(MomentPart {
            time: instant.at.format("%H:%M").to_string(),
            camera: self.name(moment.camera),
            reason: self.reason(moment),
            state: self.state(moment, &picture),
            aside: self.aside(moment.camera, placing),
            others: self.others(moment),
            settings,
        }))
    }

    /// A camera as it would be set, with the ND that the crew has in then.
    fn set(
        &self,
        (moment, instant): (&AgreementMoment, &Instant),
        expose: Expose,
        light: &ViewLight,
        framing: Framing,
    ) -> Option<Set> {
        let post = self.venue.cameras.get(moment.camera)?;
        let seen = instant.cameras.get(moment.camera);
        let subject = Subject { skins: Skins::ALL, ..self.venue.subject };
        let mut rig = rig(post, framing);
        let crew = self.brief.cameras.iter().find(|brief| brief.camera == moment.camera);
        if let Some(set) = crew.and_then(|crew| crew.setting_at(&self.brief.spans, moment.index)) {
            rig.nd_stops = vec![set.nd_stops];
        }
        Some(Set::new([expose; 2], seen, (&rig, None), &subject, light))
    }

    fn setting(
        &self,
        at: (&AgreementMoment, &Instant),
        expose: Expose,
        light: &ViewLight,
        (framing, picture): (Framing, &LinearPicture),
    ) -> Result<SettingPart, Failure> {
        let nothing = || Failure::Input("there is no such camera".into());
        let set = self.set(at, expose, light, framing).ok_or_else(nothing)?;
        let signals = match self.sdr_by() {
            Some(_) => sdr_of(picture, &set, self.hdr),
            None => sdr(picture, &set),
        };
        let size = (picture.size[0] as u32, picture.size[1] as u32);
        let png = png::write(size, &signals, Output::Sdr);
        let png = png.map_err(|e| Failure::picture(DrawError::of(e)))?;
        let outputs = self.outputs().into_iter();
        let outputs: Vec<_> = outputs.map(|of| (of, zones(picture, &set, of))).collect();
        Ok(SettingPart {
            name: expose.words().to_owned(),
            set: set.words(),
            lost: words::lost(&set, &outputs),
            png: inline(&png),
            size: picture.size,
        })
    }

    /// Why a moment is there; with the hardest cut where that comes close to it.
    fn reason(&self, moment: &AgreementMoment) -> String {
        let name = |camera| self.name(camera);
        let reason = words::reason(moment.reason, name);
        let cut = moment.cut.map(|cut| {
            let at = self.plan.instants.get(cut.index).filter(|_| cut.index != moment.index);
            let at = at.map_or_else(String::new, |i| format!(" at {}", i.at.format("%H:%M")));
            format!("; hardest cut{at}: {}", words::cut_words(&cut, name))
        });
        reason + &cut.unwrap_or_default()
    }

    /// How far apart sun and shade are, and what the brief says; of what is out of sight it
    /// promises nothing.
    fn state(&self, moment: &AgreementMoment, picture: &LinearPicture) -> String {
        let Some(exposure) = self.exposure(moment.camera, moment.index) else {
            return "Sees nothing of the field.".to_owned();
        };
        let unseen = match picture.seen.iter().any(|seen| seen.is_play()) {
            false => Some("nothing of the field is in sight here"),
            true if self.hidden(moment.camera).is_some() => {
                Some("most of that is out of sight: judge by the pictures")
            }
            true => None,
        };
        let (what, seen) = match (exposure.sides, exposure.ride) {
            (SidesInCover::Both, Some(apart)) => {
                let apart = format!("Sun and shade {:.1} stops apart", apart.stops().abs());
                (apart, format!(": {}", words::advice(exposure.verdict)))
            }
            (SidesInCover::Only(_), Some(_)) => {
                ("Only one of sun and shade".to_owned(), " in shot".to_owned())
            }
            _ => return "No direct sun: one kind of light.".to_owned(),
        };
        match unseen {
            Some(why) => format!("{what} in what it covers, but {why}."),
            None => format!("{what}{seen}."),
        }
    }

    fn hidden(&self, camera: usize) -> Option<&Hidden> {
        self.hidden.iter().find(|(hidden, _)| *hidden == camera).map(|(_, hidden)| hidden)
    }

    /// Where players stand, if not where the camera looks, and what hides them.
    fn aside(&self, camera: usize, placing: Placing) -> String {
        let placed = placing.words().map(output::words::capital);
        let hidden = self.hidden(camera).map(|hidden| {
            let words = output::words::hidden(self.venue, hidden);
            format!("{words}: these settings count it as seen")
        });
        let said: Vec<String> = placed.into_iter().chain(hidden).map(|s| s + ".").collect();
        said.join(" ")
    }

    /// Other cameras that need a hand, the most demanding first.
    fn others(&self, moment: &AgreementMoment) -> String {
        use crate::camera::Verdict;
        let verdict = |camera: usize| Some(self.exposure(camera, moment.index)?.verdict);
        let name = |camera: usize| match self.hidden(camera) {
            Some(_) => format!("{} (most of its cover out of sight)", self.name(camera)),
            None => self.name(camera),
        };
        let all = (0..self.venue.cameras.len()).filter(|camera| *camera != moment.camera);
        let mut others: Vec<(Verdict, String)> = all
            .filter_map(|camera| Some((verdict(camera)?, name(camera))))
            .filter(|(verdict, _)| *verdict != Verdict::Hold)
            .collect();
        others.sort_by_key(|(verdict, _)| std::cmp::Reverse(*verdict));
        let more = others.len().saturating_sub(MAX_OTHERS);
        let one =
            |(verdict, name): &(Verdict, String)| format!("{name}: {}", words::advice(*verdict));
        let mut named: Vec<String> = others.iter().take(MAX_OTHERS).map(one).collect();
        if more > 0 {
            named.push(format!("{more} more in the brief"));
        }
        if named.is_empty() { String::new() } else { format!("Also {}.", named.join("; ")) }
    }
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
