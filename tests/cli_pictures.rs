//! Which instants get a picture of the field.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, TimeZone};
use chrono_tz::Europe::Lisbon;
use chrono_tz::Tz;
use report_support::{at, plan};

use crate::report_support;
use quarterstop::camera::SplitState;
use quarterstop::command::window::Window;
use quarterstop::command::{Failure, WindowError};
use quarterstop::jobs::match_plan::pictured::{indices, times};

fn time(hour: u32, minute: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, minute, 0).unwrap()
}

fn earliest(date: NaiveDate, time: NaiveTime) -> Result<DateTime<Tz>, Failure> {
    let found = Lisbon.from_local_datetime(&date.and_time(time));
    found.earliest().ok_or_else(|| Failure::Input("the clocks jump over it".into()))
}

fn window(from: DateTime<Tz>, until: DateTime<Tz>) -> Window {
    Window { start: from, from, until }
}

#[test]
fn by_default_milestones_and_the_widest_split_in_shot() {
    // kickoff 17:30 is instant 2, half-time is outside, the widest split in
    // shot is 3.25 stops at 17:33, instant 5
    assert_eq!(indices(&plan(), &[]), [2, 5]);
}

#[test]
fn a_milestone_at_the_widest_split_gets_one_picture() {
    let mut plan = plan();
    plan.milestones[0].at = at(17, 33);
    assert_eq!(indices(&plan, &[]), [5]);
}

#[test]
fn without_milestone_and_edge_the_middle_of_the_window() {
    let mut plan = plan();
    plan.milestones.clear();
    for view in plan.instants.iter_mut().flat_map(|i| &mut i.cameras) {
        view.turf.state = SplitState::NoEdge;
        view.subject.state = SplitState::NoEdge;
    }
    assert_eq!(indices(&plan, &[]), [3]);
    plan.instants.clear();
    assert!(indices(&plan, &[]).is_empty());
}

#[test]
fn times_asked_for_are_sorted_and_drawn_once() {
    let asked = [at(17, 34), at(17, 29), at(17, 34)];
    assert_eq!(indices(&plan(), &asked), [1, 6]);
}

#[test]
fn a_time_behind_the_last_whole_step_gets_the_last_instant() {
    assert_eq!(indices(&plan(), &[at(17, 35)]), [6]);
}

#[test]
fn times_of_a_window_past_midnight_are_found_on_the_next_day() {
    let window = window(at(22, 0), at(22, 0) + TimeDelta::hours(4));
    let found = times(&[time(0, 30), time(23, 0)], &window, earliest).unwrap();
    let found: Vec<String> = found.iter().map(|t| t.format("%d %H:%M").to_string()).collect();
    assert_eq!(found, ["12 00:30", "11 23:00"]);
}

#[test]
fn a_time_outside_the_window_is_refused() {
    let window = window(at(17, 0), at(19, 0));
    for outside in [time(16, 59), time(19, 1), time(3, 0)] {
        let refused = times(&[time(18, 0), outside], &window, earliest).unwrap_err();
        assert!(matches!(
            refused,
            Failure::Window(WindowError::PictureOutside { at, .. }) if at == outside
        ));
        assert_eq!(refused.exit_code(), 2);
    }
    assert_eq!(times(&[time(17, 0), time(19, 0)], &window, earliest).unwrap().len(), 2);
}

/// In Portugal clocks went from 00:59 to 02:00 on 29 March 2026 (Directive
/// 2000/84/EC, Article 2: last Sunday of March, 01:00 UTC).
#[test]
fn a_time_that_the_clocks_jump_over_is_refused_with_that_reason() {
    let evening = Lisbon.with_ymd_and_hms(2026, 3, 28, 22, 0, 0).unwrap();
    let window = window(evening, evening + TimeDelta::hours(5));
    let refused = times(&[time(1, 30)], &window, earliest).unwrap_err();
    assert!(refused.to_string().contains("jump over"));
    assert!(times(&[time(2, 30)], &window, earliest).is_ok());
}
