//! The agreement sheet: what a director and vision control settle before the match.
//!
//! In: a plan, the crew's brief of it, the pairs that cut. Out: three [`AgreementMoment`]s at which
//! a compromise is needed, each with the camera that matters most; a page that shows each of them
//! exposed for the sun, between and for the shade (once where one light alone is in shot), says
//! what is lost, and leaves room to sign.
//!
//! Pictures and settings are those of [`crate::jobs::on_air`].

#[cfg(feature = "cli")]
pub mod command;
#[cfg(feature = "cli")]
mod moments;
#[cfg(feature = "cli")]
pub mod options;
pub mod page;
#[cfg(feature = "cli")]
mod words;

use crate::camera::{Exposure, SidesInCover};
use crate::engine::MatchPlan;
use crate::jobs::crew::{Brief, CameraBrief};
use crate::jobs::match_plan::play::runs_at;
use crate::jobs::matching::MatchedPairs;
use crate::light::FloodlightState;
use crate::solar::SunState;

/// Moments of a sheet.
pub const MOMENTS: usize = 3;
/// Moments that nobody named lie so far apart at least, minutes (common practice, no source).
const APART_MIN: i64 = 10;
/// A split that nobody sees, stops: what cameras are matched to is five times as much.
const UNSEEN_STOPS: f64 = 0.05;

/// Why a moment is on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AgreementReason {
    /// Sun and shade of a camera are farthest apart, by so many stops of what one iris is off.
    WidestSplit,
    /// Two cameras differ most on a cut.
    HardestCut(Cut),
    /// The last time in play with sun and shade in one camera's cover.
    LastLight,
    /// Named by its minute.
    Asked,
    /// To fill the sheet where fewer ask for a compromise.
    InPlay,
}

/// A cut from a camera to another, by index, and how far their pictures differ, stops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Index of the instant.
    pub index: usize,
    pub cameras: (usize, usize),
    pub stops: f64,
}

/// A moment and the camera that matters most then.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgreementMoment {
    pub reason: AgreementReason,
    /// The hardest cut of the match, where it comes so near to this moment that a moment of its
    /// own would show the same light twice.
    pub cut: Option<Cut>,
    /// Index of the instant.
    pub index: usize,
    /// Index into [`crate::venue::Venue::cameras`].
    pub camera: usize,
}

/// What the moments are chosen from.
#[derive(Clone, Copy)]
pub struct Plans<'a> {
    pub plan: &'a MatchPlan,
    pub brief: &'a Brief,
    pub pairs: &'a MatchedPairs,
    /// Cameras that may be shown, by index.
    pub cameras: &'a [usize],
}

impl Plans<'_> {
    fn brief_of(&self, camera: usize) -> Option<&CameraBrief> {
        self.brief.cameras.iter().find(|brief| brief.camera == camera)
    }

    fn exposure(&self, camera: usize, index: usize) -> Option<&Exposure> {
        self.brief_of(camera)?.exposures.get(index)?.as_ref()
    }

    /// How far one iris is off on both sides together, stops.
    fn spread(&self, camera: usize, index: usize) -> f64 {
        let exposure = self.exposure(camera, index);
        exposure.map_or(0.0, |e| e.one.over.stops() + e.one.under.stops())
    }

    /// The camera whose sides are farthest apart; the first that sees anything where none are.
    pub fn camera_at(&self, index: usize) -> Option<usize> {
        let seeing = || self.cameras.iter().filter(|c| self.exposure(**c, index).is_some());
        let first = seeing().next().or(self.cameras.first());
        let widest = seeing()
            .map(|camera| (*camera, self.spread(*camera, index)))
            .reduce(|a, b| if b.1 > a.1 { b } else { a });
        widest.map(|(camera, _)| camera).or(first.copied())
    }

    /// Instants at which play runs; all of the window where it never does.
    fn in_play(&self) -> Vec<usize> {
        let all = || 0..self.plan.instants.len();
        let runs = |index: &usize| {
            self.plan.instants.get(*index).is_some_and(|i| runs_at(self.plan, i.at))
        };
        let playing: Vec<usize> = all().filter(runs).collect();
        if playing.is_empty() { all().collect() } else { playing }
    }

    /// Whether the sun is up or floodlights are lit: in the dark there is nothing to agree on.
    fn is_lit(&self, index: usize) -> bool {
        self.plan.instants.get(index).is_some_and(|instant| {
            instant.sun_state != SunState::Down || instant.floodlight == FloodlightState::Lit
        })
    }

    /// Whether no minute of play has sun or floodlights.
    pub fn is_all_dark(&self) -> bool {
        !self.in_play().into_iter().any(|index| self.is_lit(index))
    }

    /// Instants of play that are lit; all of play where none are.
    fn in_lit_play(&self) -> Vec<usize> {
        let mut playing = self.in_play();
        if !self.is_all_dark() {
            playing.retain(|index| self.is_lit(*index));
        }
        playing
    }

    fn apart(&self, a: usize, b: usize) -> bool {
        let at = |index: usize| self.plan.instants.get(index).map(|instant| instant.at);
        at(a).zip(at(b)).is_some_and(|(a, b)| (a - b).num_minutes().abs() >= APART_MIN)
    }

    /// The moments of a match, in order of time: the widest split, the hardest cut, the last
    /// light, and what fills the sheet; all while the sun is up or floodlights are lit, if ever.
    /// Moments that lie close together tell a director nothing new, so the hardest cut is named
    /// with the widest split where both come at once.
    pub fn moments(&self) -> Vec<AgreementMoment> {
        let playing = self.in_lit_play();
        let mut chosen: Vec<AgreementMoment> = Vec::new();
        let free = |chosen: &[AgreementMoment]| -> Vec<usize> {
            let clear = |index: &&usize| chosen.iter().all(|m| self.apart(m.index, **index));
            playing.iter().filter(clear).copied().collect()
        };
        let cut = self.hardest_cut(&playing);
        let near = |m: &AgreementMoment| cut.filter(|cut| !self.apart(m.index, cut.index));
        chosen.extend(self.widest_split(&playing).map(|m| AgreementMoment { cut: near(&m), ..m }));
        let is_told = chosen.iter().any(|moment| moment.cut.is_some());
        chosen.extend(cut.filter(|_| !is_told).map(|cut| self.moment_of(cut)));
        chosen.extend(self.last_light(&free(&chosen), &playing));
        for share in [0.0, 1.0, 0.5] {
            let place = (share * playing.len().saturating_sub(1) as f64).round() as usize;
            let Some(&index) = playing.get(place) else { continue };
            if chosen.len() < MOMENTS && chosen.iter().all(|m| self.apart(m.index, index)) {
                let moment = |camera| AgreementMoment {
                    reason: AgreementReason::InPlay,
                    cut: None,
                    index,
                    camera,
                };
                chosen.extend(self.camera_at(index).map(moment));
            }
        }
        chosen.sort_by_key(|moment| moment.index);
        chosen
    }

    fn widest_split(&self, free: &[usize]) -> Option<AgreementMoment> {
        let each = free.iter().flat_map(|index| self.cameras.iter().map(move |c| (*index, *c)));
        let spreads = each.map(|(index, camera)| (index, camera, self.spread(camera, index)));
        let (index, camera, stops) = spreads.reduce(|a, b| if b.2 > a.2 { b } else { a })?;
        let reason = AgreementReason::WidestSplit;
        (stops > UNSEEN_STOPS).then_some(AgreementMoment { reason, cut: None, index, camera })
    }

    fn hardest_cut(&self, playing: &[usize]) -> Option<Cut> {
        let shown = |camera: usize| self.cameras.contains(&camera);
        let pairs = self.pairs.pairs.iter();
        let pairs = pairs.filter(|pair| shown(pair.cameras.0) && shown(pair.cameras.1));
        let gaps = pairs.flat_map(|pair| {
            let gap = |index: &usize| {
                let gap = pair.gaps.get(*index)?.as_ref()?;
                let stops = gap.picture.stops().abs();
                Some(Cut { index: *index, cameras: pair.cameras, stops })
            };
            playing.iter().filter_map(gap)
        });
        let hardest = gaps.reduce(|a, b| if b.stops > a.stops { b } else { a })?;
        (hardest.stops > UNSEEN_STOPS).then_some(hardest)
    }

    /// A cut as a moment, by the camera of the two whose sides are farther apart.
    fn moment_of(&self, cut: Cut) -> AgreementMoment {
        let (index, (a, b)) = (cut.index, cut.cameras);
        let camera = if self.spread(b, index) > self.spread(a, index) { b } else { a };
        AgreementMoment { reason: AgreementReason::HardestCut(cut), cut: None, index, camera }
    }

    /// The last of the free instants with sun and shade in one picture; it is called so only
    /// where none of the match comes after it.
    fn last_light(&self, free: &[usize], playing: &[usize]) -> Option<AgreementMoment> {
        let both = |index: &&usize| {
            let sides = |camera: &usize| self.exposure(*camera, **index).map(|e| e.sides);
            self.cameras.iter().any(|camera| sides(camera) == Some(SidesInCover::Both))
        };
        let last = |of: &[usize]| of.iter().rev().find(both).copied();
        let index = last(free)?;
        let is_last = last(playing) == Some(index);
        let reason = if is_last { AgreementReason::LastLight } else { AgreementReason::InPlay };
        Some(AgreementMoment { reason, cut: None, index, camera: self.camera_at(index)? })
    }
}
