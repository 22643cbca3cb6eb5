//! The season as a whole: placements against brute force, an assignment from a handbook,
//! conflicts against all subsets, and the file of rules.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, Utc};
use proptest::prelude::*;

use crate::support;
use quarterstop::jobs::starts::season::*;
use quarterstop::jobs::starts::*;
use quarterstop::venue::Venue;

const EQUAL: f64 = 0.5;
/// Play of the fixtures here, minutes.
const PLAY_MIN: u32 = 100;

fn venues() -> Vec<Venue> {
    let mut near = support::football();
    near.title = "Near".into();
    let mut far = support::football();
    far.title = "Far".into();
    vec![near, far]
}

fn day(n: u64) -> NaiveDate {
    // a Saturday in summer, the same clock all through
    NaiveDate::from_ymd_opt(2027, 6, 12).unwrap() + chrono::Days::new(n)
}

fn hour(n: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(n, 0, 0).unwrap()
}

/// Starts on whole hours from 12:00 on, so many of them.
fn fixture(name: usize, venue: usize, date: NaiveDate, starts: u32) -> Fixture {
    Fixture {
        name: format!("f{name}"),
        venue,
        date,
        earliest: hour(12),
        latest: hour(11 + starts),
        start: Freedom::Free,
        planned: hour(12),
        duration_min: Some(PLAY_MIN),
    }
}

/// On the clocks of the venues here.
fn instant(date: NaiveDate, clock: NaiveTime) -> DateTime<Utc> {
    use chrono::TimeZone;
    let zone = support::place().zone;
    zone.from_local_datetime(&date.and_time(clock)).unwrap().with_timezone(&Utc)
}

fn ranked(fixture: usize, of: &Fixture, costs: &[f64], equal_within: f64) -> Ranked {
    let start = |(i, cost): (usize, &f64)| {
        let at = instant(of.date, hour(12 + i as u32));
        let ends = at + TimeDelta::minutes(i64::from(PLAY_MIN));
        let mut clear = CostParts::default();
        clear.set(CostPart::Choose, *cost);
        Costed { at, ends, clear, clear_cost: *cost, worst: None, odds: None }
    };
    Ranked { fixture, starts: costs.iter().enumerate().map(start).collect(), equal_within }
}

/// A small season.
#[derive(Debug, Clone)]
struct Small {
    fixtures: Vec<Fixture>,
    ties: Vec<Ties>,
    costs: Vec<Vec<f64>>,
    rules: Rules,
}

fn rule(line: usize, kind: RuleKind) -> Rule {
    Rule { line, key: String::new(), kind }
}

prop_compose! {
    fn one_fixture()(venue in 0..2_usize, date in 0..2_u64, starts in 1..5_u32,
        team in 0..3_usize, crew in 0..3_usize, costs in prop::collection::vec(0..40_u32, 4))
        -> (usize, u64, u32, usize, usize, Vec<u32>) {
        (venue, date, starts, team, crew, costs)
    }
}

fn one_rule() -> impl Strategy<Value = RuleKind> {
    let only = |weekend: bool| Only {
        days: if weekend { vec![chrono::Weekday::Sat] } else { Vec::new() },
        ..Only::default()
    };
    prop_oneof![
        (any::<bool>(), 12..16_u32, 12..16_u32).prop_map(move |(sat, a, b)| {
            RuleKind::Hours(Hours {
                only: only(sat),
                first_start: Some(hour(a.min(b))),
                last_start: Some(hour(a.max(b))),
                last_end: None,
            })
        }),
        (15..18_u32).prop_map(|end| {
            RuleKind::Hours(Hours {
                only: Only { venues: vec!["Far".into()], ..Only::default() },
                first_start: None,
                last_start: None,
                last_end: Some(hour(end)),
            })
        }),
        (12..15_u32, 0..3_u32, any::<bool>(), 0..3_u32, 0..3_u32, 0..4_u32).prop_map(
            move |(from, long, sat, max, min, apart)| {
                RuleKind::Slot(Slot {
                    name: "slot".into(),
                    only: only(sat),
                    from: hour(from),
                    until: hour(from + long),
                    max_fixtures: (max > 0).then_some(max.max(min)),
                    min_fixtures: (min > 0).then_some(min),
                    apart_min: (apart > 0).then_some(60 * apart),
                })
            }
        ),
        (0..3_usize, 0..30_i64).prop_map(|(of, hours)| {
            let of = [InCommon::Venue, InCommon::Team, InCommon::Crew][of];
            RuleKind::Rest(RestRule { of, minutes: 60 * hours })
        }),
    ]
}

fn small() -> impl Strategy<Value = Small> {
    let fixtures = prop::collection::vec(one_fixture(), 2..5);
    let rules = prop::collection::vec(one_rule(), 0..4);
    let wishes = prop::collection::vec((12..16_u32, 0..3_u32, 0..3_usize), 0..2);
    (fixtures, rules, wishes, any::<bool>()).prop_map(|(all, kinds, wishes, only_in_slots)| {
        let fixtures: Vec<Fixture> = all
            .iter()
            .enumerate()
            .map(|(i, (venue, date, starts, ..))| fixture(i, *venue, day(*date), *starts))
            .collect();
        let ties = |(_, _, _, team, crew, _): &(usize, u64, u32, usize, usize, Vec<u32>)| Ties {
            line: 0,
            teams: vec![format!("t{team}")],
            crew: (*crew > 0).then(|| format!("c{crew}")),
            truck: None,
        };
        let costs = |(_, _, starts, _, _, costs): &(_, _, u32, _, _, Vec<u32>)| {
            costs.iter().take(*starts as usize).map(|c| f64::from(*c)).collect()
        };
        let mut list: Vec<Rule> =
            kinds.into_iter().enumerate().map(|(i, kind)| rule(i + 1, kind)).collect();
        if only_in_slots && list.iter().any(|r| matches!(r.kind, RuleKind::Slot(_))) {
            list.push(rule(90, RuleKind::OnlyInSlots));
        }
        let strengths = [WishStrength::Slight, WishStrength::Normal, WishStrength::Strong];
        let preferences = wishes.iter().map(|(from, long, strength)| Preference {
            line: 95,
            from: hour(*from),
            until: hour(from + long),
            strength: strengths[*strength],
            only: Only::default(),
            reason: None,
        });
        Small {
            ties: all.iter().map(ties).collect(),
            costs: all.iter().map(costs).collect(),
            rules: Rules {
                file: "rules.toml".into(),
                list,
                ways: vec![(["Near".into(), "Far".into()], 90)],
                preferences: preferences.collect(),
                ..Rules::default()
            },
            fixtures,
        }
    })
}

impl Small {
    /// Whether starts, as hours after 12:00, keep some of the rules; fixtures without a start
    /// are left out of the season, and may stand for any that a slot lacks.
    fn keeps(&self, starts: &[Option<usize>], rules: &[usize]) -> bool {
        rules.iter().all(|i| self.keeps_one(starts, &self.rules.list[*i].kind))
    }

    fn keeps_one(&self, starts: &[Option<usize>], kind: &RuleKind) -> bool {
        let placed = || {
            let all = self.fixtures.iter().zip(starts).enumerate();
            all.filter_map(|(i, (f, start))| {
                Some((i, f, hour(12 + start.as_ref().copied()? as u32)))
            })
        };
        let end = |start: NaiveTime| start + TimeDelta::minutes(i64::from(PLAY_MIN));
        let weekday = |only: &Only, date: NaiveDate| {
            use chrono::Datelike;
            only.days.is_empty() || only.days.contains(&date.weekday())
        };
        let title = |f: &Fixture| ["Near", "Far"][f.venue].to_owned();
        match kind {
            RuleKind::Hours(hours) => placed().all(|(_, f, at)| {
                let about = weekday(&hours.only, f.date)
                    && (hours.only.venues.is_empty() || hours.only.venues.contains(&title(f)));
                !about
                    || (hours.first_start.is_none_or(|first| at >= first)
                        && hours.last_start.is_none_or(|last| at <= last)
                        && hours.last_end.is_none_or(|last| end(at) <= last))
            }),
            RuleKind::OnlyInSlots => placed().all(|(_, f, at)| {
                self.rules.list.iter().any(|rule| match &rule.kind {
                    RuleKind::Slot(slot) => {
                        weekday(&slot.only, f.date) && at >= slot.from && at <= slot.until
                    }
                    _ => false,
                })
            }),
            RuleKind::Slot(slot) => [day(0), day(1)].into_iter().all(|date| {
                let listed = self.fixtures.iter().filter(|f| f.date == date).count();
                if listed == 0 || !weekday(&slot.only, date) {
                    return true;
                }
                let on = || placed().filter(|(_, f, _)| f.date == date);
                let out = listed - on().count();
                let inside: Vec<NaiveTime> = on()
                    .map(|(_, _, at)| at)
                    .filter(|at| (slot.from..=slot.until).contains(at))
                    .collect();
                let apart = slot.apart_min.is_none_or(|apart| {
                    inside.iter().enumerate().all(|(i, a)| {
                        inside
                            .iter()
                            .skip(i + 1)
                            .all(|b| (*a - *b).num_minutes().abs() >= i64::from(apart))
                    })
                });
                slot.max_fixtures.is_none_or(|max| inside.len() <= max as usize)
                    && slot.min_fixtures.is_none_or(|min| inside.len() + out >= min as usize)
                    && apart
            }),
            RuleKind::Rest(rest) => placed().all(|(i, f, at)| {
                placed().filter(|(j, ..)| *j > i).all(|(j, g, other)| {
                    let (x, y) = (&self.ties[i], &self.ties[j]);
                    let (shares, way) = match rest.of {
                        InCommon::Venue => (f.venue == g.venue, 0),
                        InCommon::Team => (x.teams == y.teams, 0),
                        _ => (
                            x.crew.is_some() && x.crew == y.crew,
                            if f.venue == g.venue { 0 } else { 90 },
                        ),
                    };
                    let (from, to) = (f.date.and_time(at), g.date.and_time(other));
                    let (first, second) = if from <= to { (from, to) } else { (to, from) };
                    let gap = second - first - TimeDelta::minutes(i64::from(PLAY_MIN));
                    !shares || gap.num_minutes() >= rest.minutes + way
                })
            }),
        }
    }

    fn cost(&self, fixture: usize, start: usize) -> f64 {
        let costs = &self.costs[fixture];
        let over = costs[start] - costs.iter().copied().fold(f64::INFINITY, f64::min);
        let light = if over <= EQUAL { 1e-5 * over } else { over };
        let at = hour(12 + start as u32);
        let wishes = self.rules.preferences.iter().filter(|p| at < p.from || at > p.until);
        let wishes: f64 = wishes
            .map(|p| match p.strength {
                WishStrength::Slight => 5.0,
                WishStrength::Normal => 15.0,
                WishStrength::Strong => 60.0,
            })
            .sum();
        light + wishes + 0.01 * EQUAL * start as f64
    }

    /// Every season of some fixtures.
    fn all(&self, held: &[usize]) -> Vec<Vec<Option<usize>>> {
        let mut all: Vec<Vec<Option<usize>>> = vec![Vec::new()];
        for (i, costs) in self.costs.iter().enumerate() {
            let own: Vec<Option<usize>> = match held.contains(&i) {
                true => (0..costs.len()).map(Some).collect(),
                false => vec![None],
            };
            all = all
                .iter()
                .flat_map(|season| {
                    own.iter().map(|start| {
                        let mut season = season.clone();
                        season.push(*start);
                        season
                    })
                })
                .collect();
        }
        all
    }

    fn best(&self) -> Option<f64> {
        let rules: Vec<usize> = (0..self.rules.list.len()).collect();
        let everyone: Vec<usize> = (0..self.fixtures.len()).collect();
        let kept = self.all(&everyone).into_iter().filter(|season| self.keeps(season, &rules));
        let cost = |season: Vec<Option<usize>>| -> f64 {
            season.iter().enumerate().map(|(i, start)| self.cost(i, start.unwrap())).sum()
        };
        kept.map(cost).min_by(f64::total_cmp)
    }

    /// Fewest fixtures and rules that cannot hold together.
    fn smallest_conflict(&self) -> usize {
        let (fixtures, rules) = (self.fixtures.len(), self.rules.list.len());
        let conflicts = |mask: u32| {
            let has = |i: usize| mask >> i & 1 == 1;
            let held: Vec<usize> = (0..fixtures).filter(|i| has(*i)).collect();
            let kept: Vec<usize> = (0..rules).filter(|i| has(fixtures + i)).collect();
            !self.all(&held).iter().any(|season| self.keeps(season, &kept))
        };
        let all = 1_u32 << (fixtures + rules);
        (0..all).filter(|mask| conflicts(*mask)).map(u32::count_ones).min().unwrap() as usize
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn seasons_are_the_best_of_all_and_conflicts_the_smallest(small in small()) {
        let venues = venues();
        let schedule = Schedule::new(&small.rules, &venues, &small.fixtures, &small.ties, 60);
        let ranked: Vec<Ranked> = small.fixtures.iter().enumerate()
            .map(|(i, f)| ranked(i, f, &small.costs[i], EQUAL)).collect();
        match (schedule.placed(&ranked), small.best()) {
            (Ok(placement), Some(best)) => {
                prop_assert!(placement.is_best);
                prop_assert!((placement.cost - best).abs() < 1e-6, "{} {best}", placement.cost);
                prop_assert!(schedule.check().is_ok());
                // and what is placed keeps the rules by the clock
                let hours: Vec<Option<usize>> = placement.starts.iter().zip(&small.fixtures)
                    .map(|(p, f)| Some((p.at - instant(f.date, hour(12))).num_hours() as usize))
                    .collect();
                let rules: Vec<usize> = (0..small.rules.list.len()).collect();
                prop_assert!(small.keeps(&hours, &rules));
            }
            (Err(NoSeason::Conflict(found)), None) => {
                // a conflict of one part may be larger than one of another
                let told = schedule.check().unwrap_err();
                prop_assert_eq!(&told, &found);
                prop_assert!(found.is_smallest);
                let held: Vec<usize> = found.members.iter().filter_map(|m| match m {
                    ConflictMember::Fixture(i) => Some(*i), ConflictMember::Rule(_) => None }).collect();
                let kept: Vec<usize> = found.members.iter().filter_map(|m| match m {
                    ConflictMember::Rule(i) => Some(*i), ConflictMember::Fixture(_) => None }).collect();
                prop_assert!(!small.all(&held).iter().any(|season| small.keeps(season, &kept)));
                if schedule.instance.parts().len() == 1 {
                    prop_assert_eq!(found.members.len(), small.smallest_conflict());
                }
            }
            (found, best) => prop_assert!(false, "{found:?} against {best:?}"),
        }
    }
}

/// Hillier and Lieberman, Introduction to Operations Research, "The Assignment Problem", the
/// Job Shop Company: three machines, four places, what a place costs each machine an hour;
/// machine 2 may not stand at place 2; the best costs 29: machine 1 at place 4, machine 2
/// at 3, machine 3 at 1 (values from memory).
#[test]
fn an_assignment_of_a_handbook_comes_out() {
    const NEVER: f64 = 1000.0;
    let costs = [[13.0, 16.0, 12.0, 11.0], [15.0, NEVER, 13.0, 20.0], [5.0, 7.0, 10.0, 6.0]];
    let venues = venues();
    let fixtures: Vec<Fixture> = (0..3).map(|i| fixture(i, 0, day(0), 4)).collect();
    let slot = |at: u32| {
        RuleKind::Slot(Slot {
            name: format!("place {at}"),
            only: Only::default(),
            from: hour(at),
            until: hour(at),
            max_fixtures: Some(1),
            min_fixtures: None,
            apart_min: None,
        })
    };
    let list = (12..16).map(|at| rule(1, slot(at))).collect();
    let rules = Rules { list, ..Rules::default() };
    let ties = vec![Ties::default(); 3];
    let schedule = Schedule::new(&rules, &venues, &fixtures, &ties, 60);
    let ranked: Vec<Ranked> =
        fixtures.iter().enumerate().map(|(i, f)| ranked(i, f, &costs[i], 0.0)).collect();
    let placement = schedule.placed(&ranked).unwrap();
    let least: f64 = costs.iter().map(|c| c.iter().copied().fold(f64::INFINITY, f64::min)).sum();
    assert!((placement.cost + least - 29.0).abs() < 1e-6, "{}", placement.cost + least);
    let hours = |placed: &PlacedFixture| (placed.at - instant(day(0), hour(12))).num_hours();
    assert_eq!(placement.starts.iter().map(hours).collect::<Vec<_>>(), [3, 2, 0]);
    assert!(placement.is_best);
}

/// By hand: one crew, two fixtures of a day, both best at 12:00; the dearer to move stays.
#[test]
fn a_fixture_that_gives_way_says_to_whom_and_at_what_price() {
    let venues = venues();
    let fixtures = vec![fixture(0, 0, day(0), 4), fixture(1, 0, day(0), 4)];
    let crew = Ties { crew: Some("north".into()), ..Ties::default() };
    let rest = rule(1, RuleKind::Rest(RestRule { of: InCommon::Crew, minutes: 0 }));
    let rules = Rules { list: vec![rest], ..Rules::default() };
    let ties = vec![crew.clone(), crew];
    let schedule = Schedule::new(&rules, &venues, &fixtures, &ties, 60);
    let costs = [[0.0, 5.0, 30.0, 30.0], [0.0, 5.0, 10.0, 10.0]];
    let ranked: Vec<Ranked> =
        fixtures.iter().enumerate().map(|(i, f)| ranked(i, f, &costs[i], EQUAL)).collect();
    let placement = schedule.placed(&ranked).unwrap();
    assert_eq!(placement.starts[0].reason, Reason::OwnBest);
    let Reason::Kept { own, breaks, price } = &placement.starts[1].reason else {
        panic!("{:?}", placement.starts[1])
    };
    assert_eq!(*own, instant(day(0), hour(12)));
    assert_eq!(breaks, &[Breach { rule: 0, fixture: 0, other: Some(1) }]);
    // 30 in place of 10
    assert!(matches!(price, Price::More(more) if (more - 20.0).abs() < 1e-6), "{price:?}");
    assert_eq!(placement.planned_breaches.len(), 1);
}

/// Every mistake of a file, each with its line and its key.
#[test]
fn a_file_of_rules_has_all_its_mistakes_told_at_once() {
    let known = KnownNames { venues: &["Mill Lane"], fixtures: &["Round 1"], teams: &[] };
    let text = "only_in_slots = true\n[[hours]]\nvenues = [\"Mill Lame\"]\n\
                first_start = \"18:00\"\nlast_start = \"12:00\"\n[[prefer]]\nfrom = \"9\"\n\
                until = \"12:00\"\nweight = \"normal\"\nteams = [\"Reds\"]\n[travel]\n\
                straight_km_per_h = 50\n";
    let told = parse_rules(text, "rules.toml", &known).unwrap_err().to_string();
    for part in [
        "6 mistakes in the season rules",
        "only_in_slots: found true without a slot",
        "such as \"Mill Lane\"",
        "hours[0].last_start",
        "prefer[0].from",
        "prefer[0].teams[0]",
        "travel",
    ] {
        assert!(told.contains(part), "{part}:\n{told}");
    }
    let wrong = "[[rest]]\nof = \"coach\"\nhours = -1\nminutes = 3\n";
    let told = parse_rules(wrong, "rules.toml", &known).unwrap_err().to_string();
    for part in ["rest[0].of", "rest[0].hours", "minutes"] {
        assert!(told.contains(part), "{part}:\n{told}");
    }
    let sound =
        "# rules\n[[rest]]\nof = \"crew\"\nhours = 4\n\n[[rest]]\nof = \"team\"\nhours = 48\n";
    let rules = parse_rules(sound, "rules.toml", &known).unwrap();
    assert_eq!(rules.list.iter().map(|rule| rule.line).collect::<Vec<_>>(), [2, 6]);
}

/// By hand: of shifts over different fixtures only those are shown that the same may make.
#[test]
fn shifts_are_compared_over_the_same_fixtures() {
    let zones = [support::place().zone];
    // two may start from 12:00 to 15:00, one at 12:00 and 13:00 only
    let fixtures = [4, 4, 2].map(|starts| fixture(0, 0, day(0), starts));
    let costs: [&[f64]; 3] = [&[4.0, 3.0, 2.0, 1.0], &[2.0, 2.0, 0.0, 9.0], &[50.0, 0.0]];
    let ranked: Vec<Ranked> =
        fixtures.iter().enumerate().map(|(i, f)| ranked(i, f, costs[i], EQUAL)).collect();
    let compared = compared(&ranked, &fixtures, &zones, 60, 16);
    assert_eq!((&compared.over[..], &compared.left_out[..]), (&[0, 1][..], &[2][..]));
    let row = |s: &Shift| (s.by_min, s.fixtures, s.cost, s.saves, s.better, s.worse);
    assert_eq!(
        compared.shifts.iter().map(row).collect::<Vec<_>>(),
        [
            (0, 2, 3.0, 0.0, 0, 0),
            (60, 2, 2.5, 0.5, 1, 0),
            (120, 2, 1.0, 2.0, 2, 0),
            (180, 2, 5.0, -2.0, 1, 1)
        ]
    );
}
