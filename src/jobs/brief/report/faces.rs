//! Faces and light that a lens lacks in words and as data. Nothing of it is there unless the
//! venue file names skins, or states a lens that loses light at its long end.

use schemars::JsonSchema;
use serde::Serialize;

use crate::camera::{LightClass, ShortOfLight, SkinVerdict};
use crate::jobs::crew::faces::{IrisSetFor, SkinRun};
use crate::jobs::crew::{CameraBrief, STEADY_MIN};
use crate::output::words::{light_class, local_time, skin_verdict};
use crate::venue::{Skin, Skins};

use super::BriefReport;
use super::words::clock;

/// "19:52 to 20:10 lens short of light at the long end: ..."; empty where it has enough.
pub(super) fn light_lines(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<String> {
    let words = |short: &ShortRun| {
        let at = |index: usize| time(report, index).map_or_else(String::new, clock);
        format!("{} to {} {}", at(short.instants.0), at(short.instants.1), short.words())
    };
    short_runs(report, brief).iter().map(words).collect()
}

/// A stretch of time in which a lens lacks light.
struct ShortRun {
    instants: (usize, usize),
    /// From where on it lacks light at the worst, mm; `None` where it does everywhere.
    from_mm: Option<f64>,
    /// At either end of the zoom at the worst, stops.
    short_end_stops: f64,
    long_end_stops: f64,
    zoom_mm: (f64, f64),
}

impl ShortRun {
    fn words(&self) -> String {
        let (short_mm, long_mm) = self.zoom_mm;
        let stops = self.long_end_stops;
        match self.from_mm {
            Some(mm) => format!(
                "lens runs out of light at the long end: enough up to {mm:.0} mm, {stops:.1} stops \
                 dark at {long_mm:.0} mm"
            ),
            None if short_mm == long_mm => {
                format!("lens runs out of light: {stops:.1} stops dark at {long_mm:.0} mm")
            }
            None => format!(
                "lens runs out of light at both ends: {:.1} stops dark at {short_mm:.0} mm, \
                 {stops:.1} at {long_mm:.0} mm",
                self.short_end_stops
            ),
        }
    }
}

fn short_runs(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<ShortRun> {
    let mut runs: Vec<ShortRun> = Vec::new();
    for index in 0..report.plan.instants.len() {
        let Some(short) = brief.short_of_light(&report.brief.spans, index) else { continue };
        let zoom_mm = brief.rig_at(index).zoom.as_ref().map_or((0.0, 0.0), |zoom| zoom.used_mm);
        let (from_mm, short_end_stops, long_end_stops) = match short {
            ShortOfLight::From { focal_mm, long_end_stops } => {
                (Some(focal_mm), 0.0, long_end_stops)
            }
            ShortOfLight::Everywhere { short_end_stops, long_end_stops } => {
                (None, short_end_stops, long_end_stops)
            }
        };
        match runs.last_mut() {
            Some(run)
                if run.instants.1 + 1 == index && run.from_mm.is_some() == from_mm.is_some() =>
            {
                run.instants.1 = index;
                run.from_mm = run.from_mm.zip(from_mm).map(|(a, b)| a.min(b));
                run.short_end_stops = run.short_end_stops.max(short_end_stops);
                run.long_end_stops = run.long_end_stops.max(long_end_stops);
            }
            _ => runs.push(ShortRun {
                instants: (index, index),
                from_mm,
                short_end_stops,
                long_end_stops,
                zoom_mm,
            }),
        }
    }
    runs
}

/// "15:00 to 16:40 skin in shade too dark where exposed for the sun: dark 1.8, medium 2.6
/// stops"; that all is well where it is. Empty unless the venue file names skins. What does not
/// last [`STEADY_MIN`] is left to the data.
pub(super) fn skin_lines(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<String> {
    if report.venue.subject.skins == Skins::default() {
        return Vec::new();
    }
    let groups = skin_groups(report, brief);
    if groups.is_empty() {
        return vec!["all skins within a stop of their levels while play runs".to_owned()];
    }
    let at = |index: usize| time(report, index).map_or_else(String::new, clock);
    let words = |group: &SkinGroup| {
        let worst: Vec<String> = group.worst().iter().map(skin_words).collect();
        let (class, set_for) = (light_class(group.class), group.set_for.words());
        let off = if group.dark { "too dark" } else { "too bright" };
        let (from, until) = (at(group.instants.0), at(group.instants.1));
        format!("{from} to {until} skin in {class} {off}{set_for}: {} stops", worst.join(", "))
    };
    groups.iter().map(words).collect()
}

/// What becomes of skins before a camera.
#[derive(Serialize)]
pub(super) struct SkinRow {
    pub camera: String,
    pub lines: Vec<String>,
}

/// What becomes of skins before some cameras; empty unless the venue file names skins.
pub(super) fn skins<'a>(
    report: &BriefReport<'_>,
    cameras: impl IntoIterator<Item = &'a CameraBrief>,
) -> Vec<SkinRow> {
    let row = |brief: &CameraBrief| SkinRow {
        camera: report.venue.cameras.get(brief.camera).map_or_else(String::new, |c| c.name.clone()),
        lines: skin_lines(report, brief),
    };
    cameras.into_iter().map(row).filter(|row| !row.lines.is_empty()).collect()
}

/// "dark 1.8", "light 2.4 (clips)".
fn skin_words(run: &SkinRun) -> String {
    let name = run.skin.name().trim_end_matches(" skin");
    let lost = match run.verdict {
        SkinVerdict::Clips => " (clips)",
        SkinVerdict::Lost => " (lost in black)",
        SkinVerdict::Fits | SkinVerdict::TooBright | SkinVerdict::TooDark => "",
    };
    format!("{name} {:.1}{lost}", run.off_stops.abs())
}

/// Runs of several skins that are off the same way at the same time.
struct SkinGroup {
    class: LightClass,
    set_for: IrisSetFor,
    dark: bool,
    instants: (usize, usize),
    runs: Vec<SkinRun>,
}

impl SkinGroup {
    /// Each skin once, at its worst, from dark to light.
    fn worst(&self) -> Vec<SkinRun> {
        let worst = |skin: Skin| {
            let of = self.runs.iter().filter(|run| run.skin == skin);
            of.max_by(|a, b| a.off_stops.abs().total_cmp(&b.off_stops.abs())).copied()
        };
        Skin::ALL.into_iter().filter_map(worst).collect()
    }
}

fn skin_groups(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<SkinGroup> {
    let mut groups: Vec<SkinGroup> = Vec::new();
    for run in report.brief.skin_runs(report.venue, report.plan, brief) {
        let (class, set_for, dark) = (run.class, run.set_for, run.off_stops < 0.0);
        let same = |group: &&mut SkinGroup| {
            (group.class, group.set_for, group.dark) == (class, set_for, dark)
                && run.instants.0 <= group.instants.1 + 1
        };
        match groups.iter_mut().find(same) {
            Some(group) => {
                group.instants.1 = group.instants.1.max(run.instants.1);
                group.runs.push(run);
            }
            None => {
                groups.push(SkinGroup {
                    class,
                    set_for,
                    dark,
                    instants: run.instants,
                    runs: vec![run],
                });
            }
        }
    }
    let lasts = |group: &SkinGroup| {
        let ends = time(report, group.instants.0).zip(time(report, group.instants.1));
        ends.is_some_and(|(from, until)| (until - from).num_minutes() >= STEADY_MIN)
    };
    groups.retain(lasts);
    groups
}

/// Where a lens lacks light.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ShortOut {
    /// RFC 3339.
    pub from: String,
    pub until: String,
    /// From this focal length on at the worst; null where it does at every one.
    pub from_focal_mm: Option<f64>,
    /// At the ends of the zoom, without an extender, at the worst.
    pub short_end_stops: f64,
    pub long_end_stops: f64,
}

/// A skin that is not where it belongs.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SkinOut {
    /// RFC 3339.
    pub from: String,
    pub until: String,
    pub skin: &'static str,
    pub reflectance: f64,
    /// "sun", "dimmed" or "shade".
    pub light: &'static str,
    /// What the iris is set for: "one", "each" (the iris follows), "sun" or "shade".
    pub set_for: &'static str,
    /// "too_bright", "too_dark", "clips" or "lost", the worst in it.
    pub verdict: &'static str,
    /// The farthest outside of the levels of Report ITU-R BT.2408, negative under them.
    pub off_stops: f64,
}

pub(super) fn short_outs(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<ShortOut> {
    let out = |run: &ShortRun| ShortOut {
        from: stamp(report, run.instants.0),
        until: stamp(report, run.instants.1),
        from_focal_mm: run.from_mm,
        short_end_stops: run.short_end_stops,
        long_end_stops: run.long_end_stops,
    };
    short_runs(report, brief).iter().map(out).collect()
}

pub(super) fn skin_outs(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<SkinOut> {
    let out = |run: &SkinRun| SkinOut {
        from: stamp(report, run.instants.0),
        until: stamp(report, run.instants.1),
        skin: run.skin.name(),
        reflectance: run.skin.luminous(),
        light: match run.class {
            LightClass::Sun => "sun",
            LightClass::Dimmed => "dimmed",
            LightClass::Shade => "shade",
        },
        set_for: match run.set_for {
            IrisSetFor::One => "one",
            IrisSetFor::Each => "each",
            IrisSetFor::Sun => "sun",
            IrisSetFor::Shade => "shade",
        },
        verdict: skin_verdict(run.verdict),
        off_stops: run.off_stops,
    };
    report.brief.skin_runs(report.venue, report.plan, brief).iter().map(out).collect()
}

fn time(report: &BriefReport<'_>, index: usize) -> Option<chrono::DateTime<chrono_tz::Tz>> {
    report.plan.instants.get(index).map(|instant| instant.at)
}

fn stamp(report: &BriefReport<'_>, index: usize) -> String {
    time(report, index).map_or_else(String::new, local_time)
}
