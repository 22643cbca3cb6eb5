//! How the brief says things.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use crate::base::units::Luminance;
use crate::camera::{Exposure, ExposureRange, Interval, LensEnd, LensState, SubjectLit, Verdict};
use crate::jobs::crew::CameraBrief;
use crate::jobs::crew::cues::{Cue, CueKind, During, Sure, Urgency};
use crate::jobs::match_plan::play::PlaySpan;

use super::BriefReport;

pub(super) use crate::jobs::crew::cues::crew::{setting_words, verdict_words};
use crate::output::words::{CLOSED, WIDE_OPEN};

/// "15:04".
pub(crate) fn clock(at: DateTime<Tz>) -> String {
    at.format("%H:%M").to_string()
}

/// "15:04:20".
pub(crate) fn clock_s(at: DateTime<Tz>) -> String {
    at.format("%H:%M:%S").to_string()
}

/// Seconds since 1970.
pub(crate) fn epoch_s(at: DateTime<Tz>) -> i64 {
    at.with_timezone(&Utc).timestamp()
}

/// The day, zone, sky and air of a plan.
pub(super) fn heading(report: &BriefReport<'_>) -> String {
    let Some(first) = report.plan.instants.first() else { return String::new() };
    let zone = report.venue.place.zone;
    format!(
        "{}, {zone} (UTC{}), {}. {}",
        first.at.format("%A %-d %B %Y"),
        first.at.format("%:z"),
        report.plan.sky,
        report.plan.air.statement()
    )
}

/// What an iris does on one side through a run of play: "T8.0", "T8.0 to T5.6", with the
/// times of its light where that is not there all the time, "no direct sun" without it.
/// `values` are those of the instants `from..until`, as T-numbers.
pub(super) fn iris(report: &BriefReport<'_>, from: usize, values: &[Option<f64>]) -> String {
    let known = |t: &Option<f64>| t.is_some();
    let (Some(first), Some(last)) = (values.iter().position(known), values.iter().rposition(known))
    else {
        return "no direct sun".to_owned();
    };
    let at = |index: usize| {
        report.plan.instants.get(from + index).map_or_else(String::new, |i| clock(i.at))
    };
    let t = |index: usize| {
        let value = values.get(index).copied().flatten();
        value.map_or_else(String::new, |t| format!("T{t:.1}"))
    };
    let range = if t(first) == t(last) { t(first) } else { format!("{} to {}", t(first), t(last)) };
    match (first > 0, last + 1 < values.len()) {
        (false, false) => range,
        (true, false) => format!("{range} from {}", at(first)),
        (false, true) => format!("{range} until {}", at(last)),
        (true, true) => format!("{range} from {} until {}", at(first), at(last)),
    }
}

/// The T-numbers of a camera through a run of play.
pub(super) struct Iris {
    /// As [`iris`] has it, as far as the lens goes.
    pub range: String,
    /// "closed all the way until 17:40, up to 1.2 stops too bright: more ND", "wide open from
    /// 18:52": where the light asks for more than the lens has, and what another filter of the
    /// wheel is for.
    pub ends: Vec<String>,
}

impl Iris {
    /// Of one side or of both.
    pub fn of(
        report: &BriefReport<'_>,
        brief: &CameraBrief,
        span: &PlaySpan,
        white: impl Fn(&Exposure) -> Option<Luminance>,
    ) -> Self {
        let (from, until) = span.instants;
        let value = |index: usize| {
            let exposure = brief.exposures.get(index)?.as_ref()?;
            brief.t_at(&report.brief.spans, index, white(exposure)?)
        };
        let wanted: Vec<(usize, Option<f64>)> = (from..until).map(|i| (i, value(i))).collect();
        let set = wanted.iter().map(|(i, t)| t.map(|t| brief.set_t(*i, t)));
        let range = iris(report, from, &set.collect::<Vec<_>>());
        let known: Vec<(usize, Option<LensEnd>)> =
            wanted.iter().filter_map(|(i, t)| Some((*i, brief.end_at(*i, (*t)?)))).collect();
        let open = when(report, &known, |end| matches!(end, LensEnd::WideOpen(_)));
        let closed = when(report, &known, |end| matches!(end, LensEnd::Closed(_)));
        let bright = known.iter().filter_map(|(_, end)| match end {
            Some(LensEnd::Closed(stops)) => Some(stops.stops()),
            _ => None,
        });
        let bright = bright.fold(0.0, f64::max);
        let closed =
            closed.map(|when| format!("{CLOSED}{when}, up to {bright:.1} stops too bright"));
        let other = |is_other: &dyn Fn(f64, f64) -> bool, words: &'static str| {
            let mut at_end = known.iter().filter(|(_, end)| end.is_some()).map(|known| known.0);
            let mends = |index: usize| {
                let setting = brief.setting_at(&report.brief.spans, index);
                let wheel = &brief.rig_at(index).nd_stops;
                setting.is_some_and(|s| wheel.iter().any(|nd| is_other(*nd, s.nd_stops)))
            };
            if at_end.any(mends) { words } else { "" }
        };
        let less = other(&|nd, now| nd < now, ": less ND");
        let more = other(&|nd, now| nd > now, ": more ND");
        let closed = closed.map(|words| words + more);
        let open = open.map(|when| format!("{WIDE_OPEN}{when}{less}"));
        Self { range, ends: closed.into_iter().chain(open).collect() }
    }
}

/// When the iris is at an end of the lens, of the instants that it is known at: " from 17:52",
/// nothing for all of them; `None` where it never is.
fn when(
    report: &BriefReport<'_>,
    known: &[(usize, Option<LensEnd>)],
    is_at: impl Fn(&LensEnd) -> bool,
) -> Option<String> {
    let (begin, end) = (known.first()?.0, known.last()?.0);
    let mut there = known.iter().filter(|(_, end)| end.as_ref().is_some_and(&is_at)).map(|k| k.0);
    let first = there.next()?;
    let last = there.next_back().unwrap_or(first);
    let at = |i: usize| report.plan.instants.get(i).map_or_else(String::new, |i| clock(i.at));
    Some(match (first == begin, last == end) {
        (true, true) => String::new(),
        (false, true) => format!(" from {}", at(first)),
        (true, false) => format!(" until {}", at(last)),
        (false, false) => format!(" between {} and {}", at(first), at(last)),
    })
}

impl std::fmt::Display for Iris {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.range)?;
        self.ends.iter().try_for_each(|end| write!(f, ", {end}"))
    }
}

/// Low and high of each T-number that [`Iris`] names: "(7.4\u{2013}8.6 to
/// 4.9\u{2013}6.3)"; empty where no range is known.
pub(super) fn iris_range_of(
    report: &BriefReport<'_>,
    brief: &CameraBrief,
    span: &PlaySpan,
    white: impl Fn(&ExposureRange) -> Option<Interval>,
) -> String {
    let (from, until) = span.instants;
    let value = |index: usize| {
        let range = brief.ranges.get(index)?.as_ref()?;
        let (low, high) = brief.t_between(&report.brief.spans, index, white(range)?)?;
        let [low, high] = [low, high].map(|t| format!("{:.1}", brief.set_t(index, t)));
        Some(if low == high { low } else { format!("{low}\u{2013}{high}") })
    };
    let values: Vec<String> = (from..until).filter_map(value).collect();
    match (values.first(), values.last()) {
        (Some(first), Some(last)) if first == last => format!("({first})"),
        (Some(first), Some(last)) => format!("({first} to {last})"),
        _ => String::new(),
    }
}

/// Dimmed light in a run of play, where it makes a side in a camera's cover.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct DimmedSpan {
    /// Index of the first instant and of the last.
    pub instants: (usize, usize),
    /// Smallest and largest T-number.
    pub t: (f64, f64),
    /// Smallest and largest share of the picture, 0 to 1.
    pub picture_share: (f64, f64),
    /// Smallest and largest mean transmittance, 0 to 1.
    pub transmittance: (f64, f64),
}

impl DimmedSpan {
    /// Of a camera and a run of play; `None` where no more than a sliver is dimmed.
    pub fn of(report: &BriefReport<'_>, brief: &CameraBrief, span: &PlaySpan) -> Option<Self> {
        let one = |index: usize| {
            let exposure = brief.exposures.get(index)?.as_ref()?;
            let t = brief.t_at(&report.brief.spans, index, exposure.dimmed_side()?)?;
            let t = brief.set_t(index, t);
            let shares = exposure.shares;
            Some(Self {
                instants: (index, index),
                t: (t, t),
                picture_share: (shares.dimmed, shares.dimmed),
                transmittance: (shares.transmittance, shares.transmittance),
            })
        };
        let wider = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
        let (from, until) = span.instants;
        (from..until).filter_map(one).reduce(|all, now| Self {
            instants: (all.instants.0, now.instants.1),
            t: wider(all.t, now.t),
            picture_share: wider(all.picture_share, now.picture_share),
            transmittance: wider(all.transmittance, now.transmittance),
        })
    }

    /// "dimmed T4.0 to T5.6, 3 to 18 % of the picture".
    pub fn words(&self) -> String {
        let range = |low: String, high: String| match low == high {
            true => low,
            false => format!("{low} to {high}"),
        };
        let t = range(format!("T{:.1}", self.t.0), format!("T{:.1}", self.t.1));
        let percent = |share: f64| format!("{:.0}", 100.0 * share);
        let share = range(percent(self.picture_share.0), percent(self.picture_share.1));
        format!("dimmed {t}, {share} % of the picture")
    }
}

/// The lead of most cues, s; `None` without cues.
pub(super) fn usual_lead_s(cues: &[Cue]) -> Option<f64> {
    let count = |lead: f64| cues.iter().filter(|c| c.lead_s == lead).count();
    // of equals the longest
    cues.iter().map(|c| c.lead_s).max_by_key(|lead| (count(*lead), (*lead * 1000.0) as i64))
}

/// "warn 15 s ahead" where that is not the usual; else empty.
pub(super) fn lead_words(cue: &Cue, usual: Option<f64>) -> String {
    let ahead = cue.lead_s.ceil();
    match usual {
        Some(usual) if usual.ceil() == ahead => String::new(),
        _ => format!("warn {ahead:.0} s ahead"),
    }
}

/// Key actions, at most so many: the most urgent of them, in order of time.
pub(super) fn key_actions<'a>(cues: impl Iterator<Item = &'a Cue>, most: usize) -> Vec<&'a Cue> {
    let mut actions: Vec<&Cue> = cues.filter(|cue| cue.is_key_action()).collect();
    actions.sort_by_key(|cue| (cue.urgency, cue.at));
    actions.truncate(most);
    actions.sort_by_key(|cue| (cue.at, cue.urgency));
    actions
}

pub(crate) fn verdict_key(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Hold) => "hold",
        Some(Verdict::Ride) => "ride",
        Some(Verdict::Choose) => "choose",
        None => "none",
    }
}

pub(crate) fn lens_key(state: LensState) -> &'static str {
    match state {
        LensState::Clear => "clear",
        LensState::Shaded => "shaded",
        LensState::OnElement => "on_element",
        LensState::InFrame => "in_frame",
    }
}

pub(super) fn lens_words(state: LensState) -> &'static str {
    match state {
        LensState::Clear => "sun behind or beside",
        LensState::Shaded => "sun ahead, lens in shade",
        LensState::OnElement => "flare: sun on the front element",
        LensState::InFrame => "sun in frame",
    }
}

pub(super) fn lit_words(lit: SubjectLit) -> &'static str {
    match lit {
        SubjectLit::Front => "front-lit",
        SubjectLit::Side => "side-lit",
        SubjectLit::Back => "back-lit",
    }
}

/// The kind of a cue as data carries it.
pub(crate) fn cue_key(kind: CueKind) -> &'static str {
    match kind {
        CueKind::Mark => "edge",
        CueKind::Zone => "zone",
        CueKind::Coverage => "cover",
        CueKind::Lens => "lens",
        CueKind::Verdict => "verdict",
        CueKind::Split => "split",
        CueKind::Floodlights => "lamps",
        CueKind::Move => "move",
        CueKind::Balance => "balance",
        CueKind::Forecast => "forecast",
        CueKind::Setting => "break",
    }
}

/// The urgency of a cue as data carries it.
pub(crate) fn urgency_key(urgency: Urgency) -> &'static str {
    match urgency {
        Urgency::Act => "act",
        Urgency::AtBreak => "at_break",
        Urgency::Know => "know",
    }
}

/// Whether play runs at a cue, as data carries it.
pub(super) fn during_key(during: During) -> &'static str {
    match during {
        During::Play => "play",
        During::Outside => "outside",
    }
}

/// Whole seconds either way, one at least unless it is exact; `None` where it may not come at
/// all.
pub(crate) fn uncertain_s(sure: Sure) -> Option<f64> {
    match sure {
        Sure::Within(seconds) | Sure::Step(seconds) => {
            Some(if seconds > 0.0 { seconds.round().max(1.0) } else { 0.0 })
        }
        Sure::Exact => Some(0.0),
        Sure::MayNotCome => None,
    }
}

/// "+-4.5 min", "+-40 s", "may not come".
pub(crate) fn sure_words(sure: Sure) -> String {
    match uncertain_s(sure) {
        None => "may not come".to_owned(),
        Some(s) if s <= 0.0 => "by the clock".to_owned(),
        Some(s) if s < 90.0 => format!("\u{b1}{s:.0} s"),
        Some(s) => format!("\u{b1}{} min", (s / 6.0).round() / 10.0),
    }
}

/// Where the edge goes on to; empty for other cues.
pub(super) fn moving_words(cue: &Cue) -> String {
    cue.moving.as_ref().map_or_else(String::new, |moving| {
        let speed = match moving.m_per_min < 0.05 {
            true => "under 0.1".to_owned(),
            false => format!("{:.1}", moving.m_per_min),
        };
        format!("moves toward {} at {speed} m/min", moving.toward)
    })
}

/// Runs of equal values over the window, as (first, last, value).
pub(super) fn runs<T: PartialEq + Copy>(values: &[T]) -> Vec<(usize, usize, T)> {
    let mut runs: Vec<(usize, usize, T)> = Vec::new();
    for (index, value) in values.iter().enumerate() {
        match runs.last_mut() {
            Some(run) if run.2 == *value => run.1 = index,
            _ => runs.push((index, index, *value)),
        }
    }
    runs
}
