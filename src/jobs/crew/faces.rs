//! What a brief says of faces and of light that a lens lacks, where the venue file asks for it.
//!
//! In: a camera's brief, the plan. Out: where in its zoom the lens has too little light, instant
//! by instant, and [`SkinRun`]s: when which skin is not where it belongs. Both are for what the
//! verdict asks of a hand: one iris, an iris for each side, or a choice between them.

use crate::base::units::Luminance;
use crate::camera::{
    LightClass, ShortOfLight, SkinLight, SkinVerdict, TOLERANCE_STOPS, Verdict, skin_lights,
};
use crate::engine::model::MatchPlan;
use crate::jobs::match_plan::play::PlaySpan;
use crate::signal::IrisSetting;
use crate::venue::{Skin, Venue};

use super::{Brief, CameraBrief};

/// What the iris is set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum IrisSetFor {
    /// One iris for both sides.
    One,
    /// Each side, as the iris follows.
    Each,
    Sun,
    Shade,
}

impl IrisSetFor {
    /// In words, after a verdict on a skin; empty for what goes without saying.
    pub fn words(self) -> &'static str {
        match self {
            Self::One | Self::Each => "",
            Self::Sun => " where exposed for the sun",
            Self::Shade => " where exposed for the shade",
        }
    }
}

/// One skin in one light that is not where it belongs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkinRun {
    pub skin: Skin,
    pub class: LightClass,
    pub set_for: IrisSetFor,
    /// The worst in it.
    pub verdict: SkinVerdict,
    /// The farthest outside of its levels, stops, negative under them.
    pub off_stops: f64,
    /// Indices of the first and the last instant.
    pub instants: (usize, usize),
}

impl CameraBrief {
    /// Where in its zoom the lens has too little light for the one setting of an instant;
    /// `None` where it has enough, or loses none.
    pub fn short_of_light(&self, spans: &[PlaySpan], index: usize) -> Option<ShortOfLight> {
        let zoom = self.rig_at(index).zoom.as_ref()?;
        let exposure = self.exposures.get(index)?.as_ref()?;
        let short = zoom.short_of(self.t_at(spans, index, exposure.one.white)?)?;
        let (ShortOfLight::From { long_end_stops, .. }
        | ShortOfLight::Everywhere { long_end_stops, .. }) = short;
        (long_end_stops > TOLERANCE_STOPS).then_some(short)
    }

    /// What lies at white where `white` is wanted: more where the lens opens no farther, less
    /// where it closes no farther.
    pub fn reached(&self, spans: &[PlaySpan], index: usize, white: Luminance) -> Option<Luminance> {
        let rig = self.rig_at(index);
        let setting = self.setting_at(spans, index)?;
        let t = self.t_at(spans, index, white)?;
        let t_number = rig.lens().set_t(t);
        let (nd_stops, gain_db) = (setting.nd_stops, setting.gain_db);
        Some(rig.sensitivity().white(&IrisSetting { t_number, nd_stops, gain_db }))
    }

    /// Every skin at an instant, by what the iris is set for.
    fn skins_at(
        &self,
        (venue, plan): (&Venue, &MatchPlan),
        spans: &[PlaySpan],
        index: usize,
    ) -> Vec<(IrisSetFor, SkinLight)> {
        let seen = plan.instants.get(index).and_then(|i| i.cameras.get(self.camera));
        let exposure = self.exposures.get(index).copied().flatten();
        let (Some(view), Some(e)) = (seen, exposure) else { return Vec::new() };
        let lit = |set_for: IrisSetFor, white: Option<Luminance>, only: Option<LightClass>| {
            let white = white.and_then(|white| self.reached(spans, index, white));
            let all = white.map_or_else(Vec::new, |white| {
                skin_lights(view, self.rig_at(index), venue.subject.skins, white)
            });
            let wanted = move |light: &SkinLight| only.is_none_or(|class| light.class == class);
            all.into_iter().filter(wanted).map(move |light| (set_for, light))
        };
        match e.verdict {
            Verdict::Hold => lit(IrisSetFor::One, Some(e.one.white), None).collect(),
            Verdict::Ride => lit(IrisSetFor::Each, e.sun, Some(LightClass::Sun))
                .chain(lit(IrisSetFor::Each, e.dimmed, Some(LightClass::Dimmed)))
                .chain(lit(IrisSetFor::Each, Some(e.opaque), Some(LightClass::Shade)))
                .collect(),
            Verdict::Choose => lit(IrisSetFor::Sun, e.sun, None)
                .chain(lit(IrisSetFor::Shade, Some(e.shade), None))
                .collect(),
        }
    }
}

impl Brief {
    /// Skins that are not where they belong while play runs, in order of time.
    pub fn skin_runs(&self, venue: &Venue, plan: &MatchPlan, camera: &CameraBrief) -> Vec<SkinRun> {
        let mut open: Vec<SkinRun> = Vec::new();
        let mut found = Vec::new();
        let inside = self.spans.iter().flat_map(|span| span.instants.0..span.instants.1);
        for index in inside {
            let off = camera.skins_at((venue, plan), &self.spans, index);
            let off = off.into_iter().filter(|(_, light)| light.verdict != SkinVerdict::Fits);
            for (set_for, SkinLight { skin, class, verdict, off_stops, .. }) in off {
                let same = |run: &&mut SkinRun| {
                    (run.skin, run.class, run.set_for) == (skin, class, set_for)
                        && run.instants.1 + 1 >= index
                };
                match open.iter_mut().find(same) {
                    Some(run) => {
                        run.instants.1 = index;
                        run.verdict = run.verdict.max(verdict);
                        if off_stops.abs() > run.off_stops.abs() {
                            run.off_stops = off_stops;
                        }
                    }
                    None => {
                        let instants = (index, index);
                        open.push(SkinRun { skin, class, set_for, verdict, off_stops, instants });
                    }
                }
            }
            let over = |run: &SkinRun| run.instants.1 < index;
            found.extend(open.iter().filter(|run| over(run)).copied());
            open.retain(|run| !over(run));
        }
        found.extend(open);
        found.sort_by_key(|run| run.instants);
        found
    }
}
