//! Moments of the sheet, in words and pictures.
//!
//! In: the plan, the crew's brief, the scene of an instant. Out: for each moment what is agreed
//! on, a picture at each setting, what is lost in it; splits in stops, sizes in pixels.

use super::page::{MomentPart, SettingPart, inline};
use super::{AgreementMoment, words};
use crate::camera::{Exposure, OneSide, SidesInCover, Verdict};
use crate::command::failure::Failure;
use crate::engine::view::{LinearPicture, Placing, ViewLight, ViewScene};
use crate::engine::{Hidden, Instant, MatchPlan, Prepared};
use crate::jobs::crew::Brief;
use crate::jobs::on_air::develop::{Hdr, sdr, sdr_of};
use crate::jobs::on_air::{Expose, Framing, Set, rig, view, zones};
use crate::output;
use crate::output::draw::DrawError;
use crate::signal::{DownMapping, Output, png};
use crate::venue::{CameraPost, Skins, Subject, Venue};

/// Said where there is no better minute to choose.
pub(super) const ALL_DARK: &str =
    "all of play is in the dark, with the sun down and no floodlights lit";
/// Width of a picture, pixels: 200 to the inch on a third of A4.
const WIDTH_PX: usize = 480;
/// Width of a picture that only finds out what a pan shows where, pixels.
const LOOK_PX: usize = 96;
/// Places of a pan that are looked at, 0 at its first aim and 1 at its last.
const ALONG: [f64; 5] = [0.5, 0.25, 0.75, 0.0, 1.0];
/// Other cameras that are named at a moment.
const MAX_OTHERS: usize = 4;

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
pub(super) struct SheetJob<'a> {
    pub(super) venue: &'a Venue,
    pub(super) prepared: &'a Prepared<'a>,
    pub(super) hdr: Hdr,
    pub(super) plan: &'a MatchPlan,
    pub(super) brief: &'a Brief,
    /// Cameras that see little of what is planned for them.
    pub(super) hidden: Vec<(usize, Hidden)>,
    /// Those of them that are not shown.
    pub(super) left_out: Vec<usize>,
    /// Whether no minute of play has sun or floodlights.
    pub(super) all_dark: bool,
}

impl SheetJob<'_> {
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

    pub(super) fn note(&self, moments: &[MomentPart]) -> String {
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
    pub(super) fn part(
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
        let settings: Vec<SettingPart> =
            self.offered(moment).iter().map(setting).collect::<Result<_, _>>()?;
        Ok(Some(MomentPart {
            time: instant.at.format("%H:%M").to_string(),
            camera: self.name(moment.camera),
            reason: self.reason(moment),
            state: self.state(moment, &picture),
            aside: self.aside(moment.camera, placing),
            others: self.others(moment),
            choice: settings.len() > 1,
            settings,
        }))
    }

    /// What a director may choose from: where only one light is in shot there is no choice.
    fn offered(&self, moment: &AgreementMoment) -> &'static [Expose] {
        let sides = self.exposure(moment.camera, moment.index).map(|exposure| exposure.sides);
        match sides {
            Some(SidesInCover::Both) => &Expose::ALL,
            Some(SidesInCover::Only(OneSide::AllSunlit)) => &[Expose::Sun],
            Some(SidesInCover::Only(OneSide::AllShaded)) => &[Expose::Shade],
            Some(SidesInCover::Only(OneSide::AllDimmed) | SidesInCover::NoSun) | None => {
                &[Expose::Between]
            }
        }
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
            name: words::name(expose, self.offered(at.0)).to_owned(),
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
            (SidesInCover::Only(side), Some(_)) => {
                (words::only(side).to_owned(), " in shot".to_owned())
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
