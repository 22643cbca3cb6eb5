//! `quarterstop on-air`: what a director would see.
//!
//! In: a venue file and options. Out: for each camera and minute a picture in SDR, in HDR and
//! as SDR made of the HDR, what clips, three settings side by side; a strip for each camera;
//! levels as JSON and CSV; a summary on stdout.

use std::sync::Arc;

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::base::files::{FileName, FileSet};
use crate::base::slug::unique_slugs;
use crate::camera::{SkinLight, SkinVerdict};
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::engine::view::{LinearPicture, Placing, View, ViewLight, ViewScene};
use crate::engine::{DEFAULT_HOLD_STOPS, Instant, Milestone, programme};
use crate::geometry::OverlayScratch;
use crate::jobs;
use crate::jobs::match_plan::planning::ReadyPlan;
use crate::jobs::match_plan::{pictured, planning};
use crate::output;
use crate::output::draw::DrawError;
use crate::output::words::{light_class, signed};
use crate::signal::{Output, png};
use crate::venue::{Play, Venue};

use super::develop::{Developed, Hdr, zones};
use super::expose::{Expose, Set};
use super::options::{HdrChoice, OnAirOptions};
use super::picture::{Inset, overlay, side_by_side, strip};
use super::report::{OnAirPicture, csv, json};
use super::{Framing, Scenes, between, levels, rig, stamp, view};

/// Minutes where nobody names any, and pictures of a strip.
const MINUTES: usize = 4;
const IN_STRIP: usize = 8;
/// Width of the pictures of a strip and of those side by side, pixels.
const STRIP_PX: usize = 320;
/// Strips whose pictures are held at once.
const STRIPS_AT_ONCE: usize = 4;
const SIDE_PX: usize = 480;

/// One minute with all of its light, in the scene of what stands then.
struct LitMinute {
    at: DateTime<Tz>,
    light: ViewLight,
    instant: Instant,
    scene: Arc<ViewScene>,
}

/// What all pictures have in common.
struct Job<'a> {
    venue: &'a Venue,
    options: &'a OnAirOptions,
    hdr: Hdr,
}

/// A picture before any camera.
struct Taken {
    view: View,
    placing: Placing,
    picture: LinearPicture,
}

/// Pictures of a strip with their times and settings.
struct Strip {
    pictures: Vec<(Inset, String, String)>,
    date: String,
}

/// A time, or the nearer end of the break that it falls into: between two matches, say.
fn in_play(milestones: &[Milestone], at: DateTime<Tz>) -> DateTime<Tz> {
    let breaks = milestones.windows(2).filter(|pair| pair[0].play == Play::Stops);
    let around = breaks.map(|pair| (pair[0].at, pair[1].at)).find(|(a, b)| (*a..*b).contains(&at));
    around.map_or(at, |(from, to)| if at - from < to - at { from } else { to })
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames themselves fail.
pub(crate) fn run(options: &OnAirOptions) -> Result<(), Failure> {
    let ReadyPlan { venue, date, settings } = planning::ready(&options.plan, DEFAULT_HOLD_STOPS)?;
    let cameras = cameras(&venue, &options.camera)?;
    let when = &options.plan.when;
    let resolve = |date: NaiveDate, time: NaiveTime| {
        planning::resolve(venue.place.zone, date, time, when.repeated)
    };
    let asked = pictured::times(&options.minutes, &settings.window, resolve)?;
    let start = settings.window.start;
    let end = start + TimeDelta::minutes(programme(&venue).length_min().into());
    let evenly = |count: usize| -> Vec<DateTime<Tz>> {
        (0..count).map(|i| between(start, end, i as f64 / (count - 1) as f64)).collect()
    };
    let played = programme(&venue).milestones_from(start);
    let minutes = match asked.is_empty() {
        true => evenly(MINUTES).into_iter().map(|at| in_play(&played, at)).collect(),
        false => asked,
    };
    let folder = planning::folder(when, &settings.window, "-on-air");
    let mut set = FileSet::open(&folder, &jobs::check::command::inputs(&when.venue, &venue))?;

    let progress = Progress::of("light of the ground");
    let prepared = planning::prepare(&venue, date);
    let (sky, air) = (settings.sky, settings.air);
    let middle = between(start, end, 0.5);
    let mut scenes = Scenes::new(&prepared, middle, sky, &air);
    let mut moment = |at: &DateTime<Tz>| {
        let mut scratch = OverlayScratch::default();
        LitMinute {
            at: *at,
            light: prepared.view_light(*at, sky, &air),
            instant: prepared.instant(*at, sky, &air, &mut scratch),
            scene: scenes.at(*at),
        }
    };
    let through: Vec<LitMinute> = evenly(IN_STRIP).iter().map(&mut moment).collect();
    let wanted: Vec<LitMinute> = minutes.iter().map(moment).collect();
    let job = Job {
        venue: &venue,
        options,
        hdr: Hdr::of(venue.production.as_ref(), options.hdr.map(HdrChoice::output)),
    };
    drop(progress);

    let progress = Progress::of("pictures");
    let names = unique_slugs(venue.cameras.iter().map(|c| c.name.as_str()), "camera");
    let mut shown: Vec<OnAirPicture> = Vec::new();
    for (done, few) in cameras.chunks(STRIPS_AT_ONCE).enumerate() {
        // one after the other uses all cores for each picture; pages are drawn side by side
        let taken: Vec<(usize, Strip)> =
            few.iter().map(|camera| (*camera, job.pictures(*camera, &through))).collect();
        let drawn: Vec<Result<Vec<u8>, Failure>> =
            taken.into_par_iter().map(|(camera, strip)| job.strip(camera, strip)).collect();
        for (&camera, strip) in few.iter().zip(drawn) {
            let name = names.get(camera).map_or("camera", String::as_str);
            let mut stage = |what: &str, bytes: &[u8]| {
                set.stage(FileName::new(&format!("on-air-{name}-{what}"), "png"), bytes)
            };
            stage("strip", &strip?)?;
            for moment in &wanted {
                shown.push(job.single(camera, moment, &mut stage)?);
            }
        }
        progress.report((done * STRIPS_AT_ONCE + few.len()).min(cameras.len()), cameras.len());
    }
    drop(progress);
    set.stage(FileName::new("on-air", "json"), &json(&venue, job.hdr.output, &shown)?)?;
    set.stage(FileName::new("on-air", "csv"), &csv(&shown)?)?;
    let names = set.commit()?;
    let ink = ink();
    let mut text =
        output::text::titled(&venue.title, &date.format("%A %-d %B %Y").to_string(), ink);
    text += &summary(&shown, venue.field.surface.short_name());
    let cautions = output::text::cautions(ink);
    print(&format!("{text}\n{cautions}\n{}", output::text::files(&folder, &names, ink)))
}

/// Indices of the cameras asked for, all without any.
pub(crate) fn cameras(venue: &Venue, asked: &[String]) -> Result<Vec<usize>, Failure> {
    if venue.cameras.is_empty() {
        let text = "the venue file names no camera, so there is nothing to look through; \
                    add a [[camera]]";
        return Err(Failure::Input(text.into()));
    }
    if asked.is_empty() {
        return Ok((0..venue.cameras.len()).collect());
    }
    let known: Vec<&str> = venue.cameras.iter().map(|c| c.name.as_str()).collect();
    let unknown: Vec<&str> =
        asked.iter().map(|name| name.trim()).filter(|name| !known.contains(name)).collect();
    if !unknown.is_empty() {
        let text = format!(
            "no camera \"{}\" at this venue\n  choose one of: {}",
            unknown.join("\", \""),
            known.join(", ")
        );
        return Err(Failure::Input(text.into()));
    }
    Ok(asked.iter().filter_map(|name| known.iter().position(|k| *k == name.trim())).collect())
}

impl Job<'_> {
    fn set(&self, camera: usize, moment: &LitMinute, expose: Expose) -> Option<Set> {
        let post = self.venue.cameras.get(camera)?;
        let seen = moment.instant.cameras.get(camera);
        let balance = self.options.white.unwrap_or(expose);
        let rig = rig(post, self.framing());
        Some(Set::new([expose, balance], seen, (&rig, None), &self.venue.subject, &moment.light))
    }

    fn framing(&self) -> Framing {
        Framing { along: self.options.along, zoom_deg: self.options.zoom_deg }
    }

    fn take(&self, camera: usize, moment: &LitMinute, width: usize) -> Option<Taken> {
        let post = self.venue.cameras.get(camera)?;
        let (view, placing) = view(&moment.scene, post, self.framing(), width);
        let picture = moment.scene.picture(&moment.light, &view);
        Some(Taken { view, placing, picture })
    }

    fn name(&self, camera: usize) -> &str {
        self.venue.cameras.get(camera).map_or("camera", |post| post.name.as_str())
    }

    /// A camera through the match, as it is set for what is asked.
    fn pictures(&self, camera: usize, through: &[LitMinute]) -> Strip {
        let date = through.first().map(|m| m.at.format("%A %-d %B %Y").to_string());
        let mut pictures = Vec::new();
        // what stands is the same in all of these, and so is what each pixel shows
        for through in through.chunk_by(|a, b| Arc::ptr_eq(&a.scene, &b.scene)) {
            let post = self.venue.cameras.get(camera);
            let Some((moment, post)) = through.first().zip(post) else { continue };
            let (view, _) = view(&moment.scene, post, self.framing(), STRIP_PX);
            let aimed = moment.scene.aimed(&view).for_several();
            let one = |moment: &LitMinute| {
                let set = self.set(camera, moment, self.options.expose)?;
                let inset = Inset::sdr(&aimed.picture(&moment.light), &set);
                Some((inset, moment.at.format("%H:%M").to_string(), set.iris_words()))
            };
            // the first by itself: what it finds of the ground serves the others
            let (first, others) = through.split_at(1);
            pictures.extend(first.iter().map(one));
            pictures.par_extend(others.par_iter().map(one));
        }
        Strip { pictures: pictures.into_iter().flatten().collect(), date: date.unwrap_or_default() }
    }

    fn strip(&self, camera: usize, of: Strip) -> Result<Vec<u8>, Failure> {
        let remark = format!("SDR, exposed {}", self.options.expose.words());
        let head = [self.venue.title.as_str(), self.name(camera), &of.date, &remark];
        strip(head, of.pictures).map_err(Failure::picture)
    }

    /// All pictures of one camera at one minute, and what they say in numbers.
    fn single<E>(
        &self,
        camera: usize,
        moment: &LitMinute,
        stage: &mut impl FnMut(&str, &[u8]) -> Result<(), E>,
    ) -> Result<OnAirPicture, Failure>
    where
        Failure: From<E>,
    {
        let width = self.options.width as usize;
        let nothing = || Failure::Input("there is no such camera".into());
        let set = self.set(camera, moment, self.options.expose).ok_or_else(nothing)?;
        let Taken { view, placing, picture } =
            self.take(camera, moment, width).ok_or_else(nothing)?;
        let levels =
            levels(self.venue.field.surface.short_name(), &picture, &view.figures, &set, self.hdr);
        let camera_name = self.name(camera).to_owned();
        let shown =
            OnAirPicture { camera: camera_name, at: moment.at, placing, set: set.clone(), levels };
        if self.options.strips_only {
            return Ok(shown);
        }
        let small = self.take(camera, moment, SIDE_PX).ok_or_else(nothing)?;
        let sides = Expose::ALL.map(|expose| self.set(camera, moment, expose));
        let when = moment.at.format("%-d %B %Y %H:%M").to_string();
        let files = self.files(
            [self.name(camera), &when],
            &Taken { view, placing, picture },
            &small,
            (&set, &sides.into_iter().flatten().collect::<Vec<_>>()),
        )?;
        let hdr = if self.hdr.output == Output::Pq { "pq" } else { "hlg" };
        let names = ["sdr", hdr, &format!("sdr-of-{hdr}"), "clipped", "settings"];
        let time = stamp(moment.at);
        for (name, bytes) in names.into_iter().zip(files) {
            stage(&format!("{time}-{name}"), &bytes)?;
        }
        Ok(shown)
    }

    /// SDR, HDR, SDR of the HDR, what clips, settings side by side; `head` is camera and time.
    fn files(
        &self,
        [camera, when]: [&str; 2],
        taken: &Taken,
        small: &Taken,
        (set, sides): (&Set, &[Set]),
    ) -> Result<[Vec<u8>; 5], Failure> {
        let developed = Developed::new(&taken.picture, set, self.hdr);
        let size = (taken.view.size[0] as u32, taken.view.size[1] as u32);
        let written = |signals: &[[f32; 3]], output: Output| {
            png::write(size, signals, output).map_err(|e| Failure::picture(DrawError::of(e)))
        };
        let aim = taken.placing.words().map_or_else(String::new, |words| format!("; {words}"));
        let words = format!("exposed {}: {}{aim}", set.expose.words(), set.words());
        let title = self.venue.title.as_str();
        let clipped = || {
            let inset = Inset::of(taken.view.size, &developed.sdr);
            let [sdr, hdr] =
                [Output::Sdr, self.hdr.output].map(|output| zones(&taken.picture, set, output));
            let page =
                overlay([title, camera, when, &words], &inset, [&sdr, &hdr], set, self.hdr.output);
            page.map_err(Failure::picture)
        };
        let remark = taken.placing.words().unwrap_or("white balance follows the setting");
        let settings = || self.sides([title, camera, when, remark], small, sides);
        let ((sdr, hdr), ((of_hdr, clipped), settings)) = rayon::join(
            || {
                rayon::join(
                    || written(&developed.sdr, Output::Sdr),
                    || written(&developed.hdr_signals, self.hdr.output),
                )
            },
            || {
                let plain = || written(&developed.sdr_of_hdr, Output::Sdr);
                rayon::join(|| rayon::join(plain, clipped), settings)
            },
        );
        Ok([sdr?, hdr?, of_hdr?, clipped?, settings?])
    }

    /// The same moment for the sun, between and for the shade; SDR over SDR made of HDR.
    fn sides(&self, head: [&str; 4], taken: &Taken, sets: &[Set]) -> Result<Vec<u8>, Failure> {
        let Taken { view, picture, .. } = taken;
        let mut rows = vec![Vec::new(), Vec::new()];
        for set in sets {
            let developed = Developed::new(picture, set, self.hdr);
            let hdr = if self.hdr.output == Output::Pq { "PQ" } else { "HLG" };
            let expose = set.expose;
            let names = [
                format!("{}, SDR", expose.words()),
                format!("{}, SDR made of {hdr}", expose.words()),
            ];
            let both = [&developed.sdr, &developed.sdr_of_hdr];
            let outputs = [Output::Sdr, self.hdr.output];
            for (i, (name, signals)) in names.into_iter().zip(both).enumerate() {
                let zones = zones(picture, set, outputs[i]);
                let clipped = zones.iter().filter(|zone| zone.is_clipped()).count();
                let share = 100.0 * clipped as f64 / zones.len().max(1) as f64;
                let name = name[..1].to_uppercase() + &name[1..];
                let name = format!("{name}: {share:.1} % clips");
                rows[i].push((Inset::of(view.size, signals), name, set.words()));
            }
        }
        side_by_side(head, rows).map_err(Failure::picture)
    }
}

/// What the setting makes of the skins that the venue file names; empty without any.
fn skins(set: &Set) -> String {
    let words = |light: &SkinLight| {
        let off = light.off_stops.abs();
        let verdict = match light.verdict {
            SkinVerdict::Fits => "where it belongs".to_owned(),
            SkinVerdict::TooBright => format!("{off:.1} stops too bright"),
            SkinVerdict::TooDark => format!("{off:.1} stops too dark"),
            SkinVerdict::Clips => "clips".to_owned(),
            SkinVerdict::Lost => "lost in black".to_owned(),
        };
        format!("{} in {} {verdict}", light.skin.name(), light_class(light.class))
    };
    if set.skins.is_empty() {
        return String::new();
    }
    let off = set.skins.iter().filter(|light| light.verdict != SkinVerdict::Fits);
    let off: Vec<String> = off.map(words).collect();
    let all = if off.is_empty() { "all where they belong".to_owned() } else { off.join(", ") };
    output::text::wrapped("    ", &format!("skins: {all}"))
}

/// A line for each picture; `surface` is what the ground of play is called.
fn summary(shown: &[OnAirPicture], surface: &str) -> String {
    let [in_sun, in_shade] = ["sun", "shade"].map(|side| format!("{surface} in {side}"));
    let line = |one: &OnAirPicture| {
        let find = |name: &str| one.levels.iter().find(|level| level.name == name);
        let stops = |name: &str| {
            let level = find(name)?;
            Some(format!("{name} {}", signed(level.stops_from_grey, 1)))
        };
        let places = [
            in_sun.as_str(),
            in_shade.as_str(),
            "white kit",
            "black kit",
            "dark skin beside white kit",
        ];
        let places: Vec<String> = places.into_iter().filter_map(stops).collect();
        let time = one.at.format("%H:%M");
        let head = format!("{time} {}: {}", one.camera, one.set.words());
        let head = output::text::wrapped("  ", &head);
        let levels = match places.is_empty() {
            true => format!("nothing to measure: no {in_sun} or in shade, no player"),
            false => format!("stops from grey: {}", places.join(", ")),
        };
        let aim = one.placing.words().map_or_else(String::new, |words| format!("    {words}\n"));
        head + &aim + &output::text::wrapped("    ", &levels) + &skins(&one.set)
    };
    shown.iter().map(line).collect()
}
