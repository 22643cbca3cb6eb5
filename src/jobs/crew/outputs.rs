//! What each output of a production needs of a camera, where the venue file states one.
//!
//! In: a camera's views and rig, the iris that is set for the output that is shaded on. Out:
//! an [`OutputBrief`] each: its own verdict and one setting at each instant, what the iris that
//! is set leaves of it, and where skin and turf lie in code values.

use crate::base::units::Luminance;
use crate::camera::{CameraView, Exposure, Rig, SetFor, Side, Verdict, exposure_after, set_for};
use crate::engine::model::MatchPlan;
use crate::signal::{CodeRange, Making, Output};
use crate::venue::{Production, Subject};

use super::settings::steady;

/// Bits of the code values.
pub const CODE_BITS: u32 = 10;

/// One output of one camera through the match.
#[derive(Debug, Clone)]
pub struct OutputBrief {
    pub output: Output,
    /// As if the iris were set for this output alone, at each instant; verdicts are steady.
    pub exposures: Vec<Option<Exposure>>,
    /// With the one setting of the output that is shaded on.
    pub as_set: Vec<Option<SetFor>>,
    pub codes: Vec<Option<SideCodes>>,
}

/// Code values of 10 bits, narrow range, at the one setting of the output that is shaded on;
/// neutral greys of the reflectance of skin and of turf. `None` without direct sun.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SideCodes {
    pub skin_sun: Option<u32>,
    pub skin_shade: u32,
    pub turf_sun: Option<u32>,
    pub turf_shade: u32,
}

/// Every output of a camera. `views` and `set` are those of each instant, `rig_at` the rig
/// that is there, whatever the production.
pub(super) fn outputs<'a>(
    (production, subject): (&Production, &Subject),
    plan: &MatchPlan,
    views: &[Option<&CameraView>],
    set: &[Option<Exposure>],
    rig_at: &dyn Fn(usize) -> &'a Rig,
) -> Vec<OutputBrief> {
    let one = |&output: &Output| {
        let making = |index: usize| {
            let camera = rig_at(index);
            let making = Making::of(production, output, &camera.curve);
            (making, camera.for_making(&making))
        };
        let at = |index: usize| Some((views.get(index).copied().flatten()?, making(index)));
        let white = |index: usize| Some(set.get(index)?.as_ref()?.one.white);
        let mut held: Option<Verdict> = None;
        let exposed = |index: usize| {
            let (view, (_, rig)) = at(index)?;
            let exposure = exposure_after(view, &rig, subject, held)?;
            held = Some(exposure.verdict);
            Some(exposure)
        };
        let every = || 0..plan.instants.len();
        let mut exposures: Vec<Option<Exposure>> = every().map(exposed).collect();
        steady(&mut exposures, plan);
        let as_set = |index: usize| {
            let (view, (_, rig)) = at(index)?;
            set_for(view, &rig, subject, white(index)?)
        };
        let codes = |index: usize| {
            let (view, (making, _)) = at(index)?;
            side_codes(view, &making, subject, white(index)?)
        };
        OutputBrief {
            output,
            exposures,
            as_set: every().map(as_set).collect(),
            codes: every().map(codes).collect(),
        }
    };
    production.makes.iter().map(one).collect()
}

fn side_codes(
    view: &CameraView,
    making: &Making,
    subject: &Subject,
    white: Luminance,
) -> Option<SideCodes> {
    let code = |luminance: f64| {
        CodeRange::Narrow.code(making.of_level(luminance / white.cd_per_m2()), CODE_BITS)
    };
    let skin =
        |side: Side| code(side.light.lux() * subject.skin_reflectance / std::f64::consts::PI);
    let turf = |side: Side| code(side.luminance.cd_per_m2());
    Some(SideCodes {
        skin_sun: view.subject.sunlit.map(skin),
        skin_shade: skin(view.subject.shaded?),
        turf_sun: view.turf.sunlit.map(turf),
        turf_shade: turf(view.turf.shaded?),
    })
}

/// "HLG holds, SDR must choose": outputs of one verdict together, in the order in which they
/// are made.
pub fn outputs_words(verdicts: &[(Output, Verdict)]) -> String {
    let mut groups: Vec<(Verdict, Vec<&str>)> = Vec::new();
    for (output, verdict) in verdicts {
        match groups.iter_mut().find(|(of, _)| of == verdict) {
            Some((_, names)) => names.push(output.name()),
            None => groups.push((*verdict, vec![output.name()])),
        }
    }
    // what holds comes first
    groups.sort_by_key(|(verdict, _)| *verdict);
    let words = |(verdict, names): &(Verdict, Vec<&str>)| {
        let does = match (verdict, names.len()) {
            (Verdict::Hold, 1) => "holds",
            (Verdict::Hold, _) => "hold",
            (Verdict::Ride, _) => "must ride",
            (Verdict::Choose, _) => "must choose",
        };
        format!("{} {does}", names.join(" and "))
    };
    groups.iter().map(words).collect::<Vec<_>>().join(", ")
}

impl super::CameraBrief {
    /// Verdicts of all outputs at an instant; empty without a production.
    pub fn output_verdicts(&self, index: usize) -> Vec<(Output, Verdict)> {
        let verdict = |of: &OutputBrief| {
            let exposure = of.exposures.get(index)?.as_ref()?;
            Some((of.output, exposure.verdict))
        };
        self.outputs.iter().filter_map(verdict).collect()
    }
}
