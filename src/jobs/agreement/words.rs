//! What a setting costs, in plain words.
//!
//! In: how a camera is set, where the pixels of its picture lie. Out: short sentences for people
//! who do not count in stops.

use crate::camera::{LightClass, OneSide, SkinVerdict, Verdict};
use crate::jobs::on_air::{Expose, Set, ToneZone};
use crate::output::words::light_class;
use crate::signal::Output;

use super::{AgreementReason, Cut};

/// Faces that far under where they belong are hard to make out, stops (common practice, no
/// source).
const HARD_TO_SEE_STOPS: f64 = 2.0;

/// What is lost: of faces in each light, of the picture in each output.
pub(super) fn lost(set: &Set, outputs: &[(Output, Vec<ToneZone>)]) -> Vec<String> {
    let classes = [LightClass::Sun, LightClass::Dimmed, LightClass::Shade];
    let mut lines: Vec<String> =
        classes.into_iter().filter_map(|class| faces(set, class)).collect();
    // that all is dark or bright stands with the iris
    let as_asked = set.dark_stops == 0.0 && set.bright_stops == 0.0;
    if !set.skins.is_empty() && lines.is_empty() && as_asked {
        lines.push("Faces are right.".to_owned());
    }
    lines.extend(pictures(outputs));
    lines
}

/// How much of the picture has no detail, outputs of which the same is true together.
fn pictures(outputs: &[(Output, Vec<ToneZone>)]) -> Vec<String> {
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for (output, zones) in outputs {
        let text = picture(zones);
        match groups.iter_mut().find(|(known, _)| *known == text) {
            Some((_, names)) => names.push(output.name()),
            None => groups.push((text, vec![output.name()])),
        }
    }
    let words = |(text, names): (String, Vec<&str>)| match outputs.len() {
        1 => text[..1].to_uppercase() + &text[1..],
        _ => format!("{}: {text}", names.join(" and ")),
    };
    groups.into_iter().map(words).collect()
}

/// Faces in one light, by the worst off of all skins; `None` where all are right.
fn faces(set: &Set, class: LightClass) -> Option<String> {
    let lit = set.skins.iter().filter(|light| light.class == class);
    let worst = lit.max_by(|a, b| {
        a.verdict.cmp(&b.verdict).then(a.off_stops.abs().total_cmp(&b.off_stops.abs()))
    })?;
    let (place, off, skin) = (light_class(class), worst.off_stops.abs(), worst.skin.name());
    match worst.verdict {
        SkinVerdict::Fits => None,
        SkinVerdict::TooBright => {
            Some(format!("Faces in {place} are too bright, {skin} by {off:.1} stops."))
        }
        SkinVerdict::TooDark if off < HARD_TO_SEE_STOPS => {
            Some(format!("Faces in {place} are dull, {skin} {off:.1} stops too dark."))
        }
        SkinVerdict::TooDark => {
            Some(format!("Faces in {place} are hard to make out, {skin} {off:.1} stops too dark."))
        }
        SkinVerdict::Clips => Some(format!("Faces in {place} burn out, {skin} first.")),
        SkinVerdict::Lost => Some(format!("Faces in {place} go black, {skin} first.")),
    }
}

fn picture(zones: &[ToneZone]) -> String {
    let share = |is: fn(ToneZone) -> bool| {
        zones.iter().filter(|zone| is(**zone)).count() as f64 / zones.len().max(1) as f64
    };
    let clipped = share_words(share(ToneZone::is_clipped)).map(|s| format!("{s} burns out"));
    let crushed =
        share_words(share(|zone| zone == ToneZone::Crushed)).map(|s| format!("{s} is black"));
    match (clipped, crushed) {
        (None, None) => "detail is kept everywhere.".to_owned(),
        (Some(one), None) | (None, Some(one)) => format!("{one}."),
        (Some(clipped), Some(crushed)) => format!("{clipped}, {crushed}."),
    }
}

/// "12 % of the picture"; `None` under a thousandth.
fn share_words(share: f64) -> Option<String> {
    match 100.0 * share {
        percent if percent < 0.1 => None,
        percent if percent < 1.0 => Some("under 1 % of the picture".to_owned()),
        percent => Some(format!("{percent:.0} % of the picture")),
    }
}

/// Why a moment is there; `name` gives cameras their names.
pub(super) fn reason(reason: AgreementReason, name: impl Fn(usize) -> String) -> String {
    match reason {
        AgreementReason::WidestSplit => "widest split".to_owned(),
        AgreementReason::HardestCut(cut) => format!("hardest cut: {}", cut_words(&cut, name)),
        AgreementReason::LastLight => "last sun and shade in one picture".to_owned(),
        AgreementReason::Asked => "as asked".to_owned(),
        AgreementReason::InPlay => "in play".to_owned(),
    }
}

/// "1 main to 2 net, 0.9 stops apart".
pub(super) fn cut_words(cut: &Cut, name: impl Fn(usize) -> String) -> String {
    let (a, b) = cut.cameras;
    format!("{} to {}, {:.1} stops apart", name(a), name(b), cut.stops)
}

/// The light of a cover that has one, before "in shot".
pub(super) fn only(side: OneSide) -> &'static str {
    match side {
        OneSide::AllSunlit => "Only sun",
        OneSide::AllDimmed => "Only dimmed light",
        OneSide::AllShaded => "Only shade",
    }
}

/// A setting by itself is between nothing.
pub(super) fn name(expose: Expose, offered: &[Expose]) -> &'static str {
    match (expose, offered) {
        (Expose::Between, [_]) => "for the light there is",
        (expose, _) => expose.words(),
    }
}

/// What the brief says of a camera, after its name.
pub(super) fn advice(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Hold => "one iris will do for what is in shot",
        Verdict::Ride => "the iris can follow",
        Verdict::Choose => "choose a side",
    }
}
