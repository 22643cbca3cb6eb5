//! The day as screens read it.
//!
//! In: state, plan, log. Out: JSON. Times are seconds since 1970; names are those of the
//! venue file; the plan is the data object of the board.

use std::sync::Arc;

use chrono::DateTime;
use chrono_tz::Tz;
use serde_json::{Value, json};

use crate::camera::LensEnd;
use crate::engine::Milestone;
use crate::jobs::brief::report::{BriefReport, board, desk_words};
use crate::jobs::crew::{Cue, MATCHED_STOPS, Settled};
use crate::jobs::day::report::{AfterTold, words};
use crate::jobs::day::{
    CameraMove, CueLine, DayPlan, Event, GoesAt, KnownTime, Learned, Person, PlayNow, StandIn,
    milestones, play_now,
};
use crate::jobs::matching::{CameraGap, gaps_at};
use crate::jobs::on_air::{Expose, Framing};
use crate::output::words::{CLOSED, WIDE_OPEN, lens_end_off};
use crate::serve::problem::Refused;
use crate::serve::through::{CameraShot, Signal};
use crate::venue::{Output, Play, Venue};

use super::clock::Clock;
use super::open_day::OpenDay;

/// Entries that screens show; the log has all.
const MAX_SHOWN: usize = 60;
/// Pairs of cameras to match by hand, likewise.
const MAX_PAIRS: usize = 12;
/// Cues that have come, likewise.
const MAX_PAST: usize = 40;

/// The camera that an event is about.
pub(super) fn camera_of(what: &Event) -> Option<&str> {
    match what {
        Event::Nd { camera, .. }
        | Event::Iris { camera, .. }
        | Event::CameraOut { camera }
        | Event::CameraBack { camera, .. }
        | Event::CameraSwapped { camera, .. }
        | Event::LensChanged { camera, .. } => Some(camera),
        _ => None,
    }
}

/// The plan as the board has it.
///
/// # Errors
/// [`Refused::Internal`] where a library refuses.
pub(super) fn plan(venue: &Venue, made: &DayPlan) -> Result<Arc<str>, Refused> {
    let report =
        BriefReport { venue, plan: &made.plan, brief: &made.brief, forecast: None, hidden: &[] };
    let text = board::data(&report).map_err(|e| Refused::Internal(e.to_string()))?;
    Ok(text.into())
}

/// What to show of a camera at a time: as it is planned to be lit and filtered, with the lens
/// that is on it.
///
/// # Errors
/// [`Refused`] for a camera that there is not.
pub(super) fn through(
    venue: &Venue,
    made: &DayPlan,
    camera: usize,
    at: DateTime<Tz>,
) -> Result<CameraShot, Refused> {
    let nothing = || Refused::NotFound("this camera has no picture at this time".to_owned());
    let post = venue.cameras.get(camera).ok_or_else(nothing)?;
    let index = made.index_at(at);
    let instant = made.plan.instants.get(index).ok_or_else(nothing)?;
    let conditions = made.conditions_at(index).ok_or_else(nothing)?;
    Ok(CameraShot {
        at: instant.at,
        camera,
        framing: Framing { zoom_deg: Some(post.horizontal_fov_deg), ..Framing::default() },
        expose: Expose::Between,
        nd_stops: made.nd_at(instant.at).get(camera).copied().flatten(),
        signal: Signal::Sdr,
        under: Some((conditions, made.plan.air)),
    })
}

/// Cameras that are hard to cut to each other at a time, and what brings the second of each to
/// the first; those of one camera where it is asked for.
pub(super) fn cuts(
    venue: &Venue,
    made: &DayPlan,
    camera: Option<usize>,
    at: DateTime<Tz>,
) -> Value {
    let index = made.index_at(at);
    let outputs = venue.production.as_ref().map_or(&[Output::Sdr][..], |p| &p.makes);
    let all = gaps_at(venue, &made.plan, &made.brief, index);
    let of =
        all.iter().filter(|((a, b), _)| camera.is_none_or(|camera| [*a, *b].contains(&camera)));
    let mark = |gap: &CameraGap| venue.field.marks.get(gap.mark).map(|mark| mark.name.as_str());
    let cut = |((a, b), gap): &((usize, usize), CameraGap)| {
        let trims = gap.outputs.iter().zip(outputs).map(|(trim, output)| {
            let (gain, lift) = trim.map(|trim| (trim.gain, trim.lift)).unzip();
            json!({ "output": output.name(), "gain": gain, "lift": lift })
        });
        json!({
            "cameras": [a, b],
            "place": mark(gap),
            "stops": gap.picture.stops(),
            "ends": gap.ends.map(|end| end.map(end_json)),
            "is_hard": gap.picture.stops().abs() > MATCHED_STOPS,
            "red_stops": gap.trims.map(|trims| trims.red),
            "blue_stops": gap.trims.map(|trims| trims.blue),
            "outputs": trims.collect::<Vec<_>>(),
        })
    };
    json!({ "epoch_s": seconds(at), "cuts": of.take(MAX_PAIRS).map(cut).collect::<Vec<_>>() })
}

/// An end of a lens, by its name alone and with what it leaves.
fn end_json(end: LensEnd) -> Value {
    let name = match end {
        LensEnd::WideOpen(_) => WIDE_OPEN,
        LensEnd::Closed(_) => CLOSED,
    };
    json!({ "name": name, "words": lens_end_off(end) })
}

/// A cue for the log.
pub(super) fn cue_line(venue: &Venue, plan: &DayPlan, cue: &Cue) -> CueLine {
    let camera = |c: &usize| venue.cameras.get(*c).map(|camera| camera.name.clone());
    let operator = |o: &usize| plan.brief.desk.operators.get(*o).map(|o| o.name.clone());
    CueLine {
        at: cue.at.fixed_offset(),
        id: format!("{:?} {} {}", cue.kind, cue.subject, cue.ordinal).to_lowercase(),
        what: cue.what.clone(),
        key_action: cue.is_key_action(),
        cameras: cue.cameras.iter().filter_map(camera).collect(),
        operators: cue.operators.iter().filter_map(operator).collect(),
        after_entry: plan.after_entry,
    }
}

fn seconds(at: DateTime<Tz>) -> i64 {
    at.timestamp()
}

fn play_word(play: PlayNow) -> &'static str {
    match play {
        PlayNow::Before => "before",
        PlayNow::Runs => "runs",
        PlayNow::Stopped => "stopped",
        PlayNow::Break => "break",
        PlayNow::Over => "over",
    }
}

/// All but the plan, for one person.
pub(super) fn state(day: &OpenDay, clock: &Clock, person: &Person) -> Value {
    let now = day.now(clock);
    let stones = milestones(&day.programme, day.start, &day.state);
    let play = play_now(&stones, &day.state, now);
    let known = |number: usize| day.state.moments.get(number).copied().flatten();
    let moments = stones.iter().enumerate().map(|(number, stone)| {
        json!({
            "moment": number,
            "name": stone.name,
            "epoch_s": seconds(stone.at),
            "starts_play": stone.play == Play::Starts,
            "stops_play": stone.play == Play::Stops,
            "known": known(number).is_some_and(|k: KnownTime| !k.expected),
            "expected": known(number).is_some_and(|k: KnownTime| k.expected),
        })
    });
    let marks: Vec<&str> = day.venue.field.marks.iter().map(|mark| mark.name.as_str()).collect();
    json!({
        "title": day.venue.title,
        "zone": day.venue.place.zone.name(),
        "now_ms": clock.now().timestamp_millis(),
        "speed": clock.speed(),
        "rehearsal": !matches!(clock, Clock::Real),
        "utc_offset_s": chrono::Offset::fix(now.offset()).local_minus_utc(),
        "entry": day.state.last_entry,
        "planned": day.plan.as_ref().map(|plan| plan.after_entry),
        "revision": day.revision,
        "you": { "role": person.role, "name": person.name },
        "play": play_word(play),
        "moments": moments.collect::<Vec<_>>(),
        "sky": day.state.sky(),
        "floodlights": day.state.floodlights.last().map(|(_, lit)| *lit),
        "has_floodlights": day.venue.floodlights.is_some(),
        "cameras": cameras(day, &stones, now),
        "marks": marks,
        "entries": entries(day),
        "past": day.past.iter().rev().take(MAX_PAST).collect::<Vec<_>>(),
        "desk": desk(day, now),
        "log": day.log.path().file_name().map(|name| name.to_string_lossy().into_owned()),
        "unread": day.unread.len(),
        "learned": learned(day, now),
    })
}

/// What the entries say about the model, and what the lead may accept of it.
fn learned(day: &OpenDay, now: DateTime<Tz>) -> Value {
    let Some(plan) = &day.plan else { return Value::Null };
    let learned = Learned::of(plan, &day.state, now);
    let accepted = day.state.correction(now, learned.sky);
    let proposed = learned.correction(accepted).filter(|proposed| *proposed != accepted);
    let survey = day.survey.as_ref().map(|survey| survey.as_deref());
    let numbers = match survey {
        Ok(Some(survey)) => survey.numbers.iter().map(words::number).collect(),
        Ok(None) => Vec::new(),
        Err(why) => vec![format!("edges could not be compared with the venue file: {why}")],
    };
    json!({
        "sky": learned.sky,
        "light": words::light(&learned),
        "accepted": accepted,
        "proposed": proposed,
        "edges": learned.edges.iter().map(words::edge).collect::<Vec<_>>(),
        "numbers": numbers,
        "can_survey": matches!(survey, Ok(Some(_))),
    })
}

/// The page of the day, planned against happened.
///
/// # Errors
/// [`Refused`] before there is a plan.
pub(super) fn page(day: &OpenDay, clock: &Clock) -> Result<String, Refused> {
    let plan = day.plan.as_ref().ok_or(Refused::Busy("the plan is not made yet"))?;
    let survey = day.survey.as_ref().map(|survey| survey.as_deref()).map_err(Clone::clone);
    let report = AfterTold {
        venue: &day.venue,
        programme: &day.programme,
        start: day.start,
        entries: &day.entries,
        cues: &day.past,
        state: &day.state,
        plan,
        now: day.now(clock),
        survey,
    };
    crate::jobs::day::report::page(&report).map_err(|e| Refused::Internal(e.to_string()))
}

fn cameras(day: &OpenDay, stones: &[Milestone], now: DateTime<Tz>) -> Vec<Value> {
    let (venue, state) = (&day.venue, &day.state);
    let settled = Settled { out: state.absences(stones), ..Settled::default() };
    let name = |camera: usize| venue.cameras.get(camera).map(|c| c.name.clone());
    let between = |name: String, at: GoesAt| {
        let at = at.time(stones)?;
        Some(json!({ "camera": name, "epoch_s": seconds(at), "has_been": at <= now }))
    };
    let goes = |camera: usize| {
        let away = state.away(camera)?;
        between(format!("{} of {}", away.place, away.ground), away.from)
    };
    let comes = |camera: usize| {
        let visit = state.visit(camera)?;
        between(format!("{} of {}", visit.camera, visit.ground), visit.from)
    };
    let moves = |of: fn(&CameraMove) -> (usize, usize), camera: usize| {
        let found = state.moves.iter().find(|m| m.is_on() && of(m).0 == camera)?;
        let at = stones.get(found.moment)?.at;
        Some(json!({ "camera": name(of(found).1), "epoch_s": seconds(at), "has_been": at <= now }))
    };
    let each = venue.cameras.iter().zip(&state.cameras).enumerate();
    let stand_in = |stand_in: &StandIn| match stand_in {
        StandIn::Visitor(_) => None,
        StandIn::Camera(other) => venue.cameras.get(*other).map(|c| c.name.clone()),
        StandIn::Spare { name, .. } => Some(name.clone()),
    };
    each.map(|(index, (post, day))| {
        let iris = day.iris.last();
        json!({
            "name": post.name,
            "out": settled.is_out(index, now),
            // from a moment of play on: what comes over to this place, where this one goes
            "comes": comes(index).or_else(|| moves(|m| (m.camera, m.comes), index)),
            "goes": goes(index).or_else(|| moves(|m| (m.comes, m.camera), index)),
            // at another ground of the day
            "away": state.away(index).map(|away| &away.ground),
            "visitor": state.visit(index).map(|visit| &visit.ground),
            "stand_in": day.stand_in.as_ref().and_then(stand_in),
            "stands_in_for": state.stands_in_for(index)
                .and_then(|place| venue.cameras.get(place)).map(|c| &c.name),
            "nd_stops": state.nd_in(index, stones, now),
            "iris": iris.map(|i| json!({
                "t_number": i.t_number, "epoch_s": seconds(i.at), "light": i.light,
            })),
            "readings": day.iris.iter().map(|i| (seconds(i.at), i.t_number)).collect::<Vec<_>>(),
            "horizontal_fov_deg": day.horizontal_fov_deg,
        })
    })
    .collect()
}

/// The last entries, newest first.
fn entries(day: &OpenDay) -> Vec<Value> {
    let each = day.entries.iter().rev().take(MAX_SHOWN);
    each.map(|entry| {
        let mut value = serde_json::to_value(entry).unwrap_or_default();
        value["taken_back"] = json!(day.state.taken_back.contains(&entry.entry));
        value["epoch_s"] = json!(entry.at.timestamp());
        value
    })
    .collect()
}

/// What the desk has in common, in sentences: ND and irises of cameras that cut to each
/// other, pairs to match by hand, operators with two cameras at the same moment.
fn desk(day: &OpenDay, now: DateTime<Tz>) -> Value {
    let Some(made) = &day.plan else { return Value::Null };
    let report = BriefReport {
        venue: &day.venue,
        plan: &made.plan,
        brief: &made.brief,
        forecast: None,
        hidden: &[],
    };
    let pairs = made.brief.matching.pairs.iter();
    // what lies ahead: the last run of minutes apart is not over
    let ahead = pairs.filter(|pair| pair.apart.last().is_some_and(|(_, until)| *until > now));
    json!({
        "filters": desk_words::filters(&report),
        "by_hand": ahead.take(MAX_PAIRS).map(|pair| desk_words::pair(&report, pair))
            .collect::<Vec<_>>(),
        "at_once": desk_words::at_once(&report),
    })
}
