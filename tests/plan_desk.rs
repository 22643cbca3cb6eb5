//! The desk plan against every assignment there is, and at full size.

use quarterstop::base::limits::{MAX_CAMERAS, MAX_OPERATORS};
use quarterstop::jobs::crew::desk::{DeskError, DeskPlan, Proof, Request, assign, usual_least};

/// A small deterministic generator of test cases.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % n as u64) as usize
    }

    fn rides(&mut self, cameras: usize, instants: usize, percent: usize) -> Vec<Vec<bool>> {
        let mut row = || (0..instants).map(|_| self.below(100) < percent).collect();
        (0..cameras).map(|_| row()).collect()
    }

    /// Rides as a passing shadow makes them: one to three spells per camera.
    fn spells(&mut self, cameras: usize, instants: usize, longest: usize) -> Vec<Vec<bool>> {
        let mut rides = vec![vec![false; instants]; cameras];
        for row in &mut rides {
            for _ in 0..=self.below(3) {
                let (from, long) = (self.below(instants), 1 + self.below(longest));
                row.iter_mut().skip(from).take(long).for_each(|ridden| *ridden = true);
            }
        }
        rides
    }
}

/// The five parts, reckoned in the plainest way.
type Parts = (usize, usize, usize, usize, Vec<usize>);

fn parts(request: &Request, place: &[usize]) -> Parts {
    let instants = request.rides.iter().map(Vec::len).max().unwrap_or(0);
    let mine = |op: usize| place.iter().zip(request.rides).filter(move |(o, _)| **o == op);
    let rides_at = |op, t| mine(op).filter(|(_, row)| row.get(t) == Some(&true)).count();
    let (mut clashes, mut loads, mut counts) = (0, Vec::new(), Vec::new());
    for op in 0..request.operators {
        let at_once: Vec<usize> = (0..instants).map(|t| rides_at(op, t)).collect();
        clashes += at_once.iter().map(|n| n.saturating_sub(1)).sum::<usize>();
        loads.push(at_once.iter().sum::<usize>());
        counts.push(mine(op).count());
    }
    let squares = |values: &[usize]| values.iter().map(|v| v * v).sum::<usize>();
    let heaviest = loads.iter().copied().max().unwrap_or(0);
    (clashes, heaviest, squares(&loads), squares(&counts), place.to_vec())
}

fn keeps_limits(request: &Request, place: &[usize]) -> bool {
    let settled = |(camera, op): (usize, &usize)| {
        request.fixed.get(camera).copied().flatten().is_none_or(|fixed| fixed == *op)
    };
    let count = |op| place.iter().filter(|o| **o == op).count();
    place.iter().enumerate().all(settled)
        && (0..request.operators)
            .map(count)
            .all(|n| n >= request.least && request.most.is_none_or(|most| n <= most))
}

/// The best of all assignments, if any keeps the limits.
fn brute_force(request: &Request) -> Option<Parts> {
    let cameras = request.rides.len();
    let all = (0..request.operators.pow(cameras as u32)).map(|mut number| {
        let mut place = vec![0; cameras];
        for op in &mut place {
            *op = number % request.operators;
            number /= request.operators;
        }
        place
    });
    all.filter(|place| keeps_limits(request, place)).map(|place| parts(request, &place)).min()
}

fn check(request: &Request) -> bool {
    let answer = assign(request);
    let Some(best) = brute_force(request) else {
        assert!(answer.is_err(), "no plan keeps the limits of {request:?}, got {answer:?}");
        return false;
    };
    let plan = answer.unwrap_or_else(|error| panic!("{error} for {request:?}"));
    assert_eq!(parts(request, &plan.operator_of), best, "for {request:?}");
    assert_eq!(plan.clashes, best.0);
    assert_eq!(plan.loads.iter().copied().max().unwrap_or(0), best.1);
    assert_eq!((plan.proof, plan.order_settled), (Proof::Best, true));
    true
}

#[test]
fn every_small_case_is_as_good_as_the_best_of_all_assignments() {
    let mut dice = Dice(0xD15C);
    let mut answered = 0;
    for case in 0..1500 {
        let (cameras, operators) = (dice.below(7), 1 + dice.below(3));
        let (instants, percent) = (dice.below(12), 10 + dice.below(80));
        let mut rides = if case % 3 == 0 && instants > 0 {
            dice.spells(cameras, instants, 6)
        } else {
            dice.rides(cameras, instants, percent)
        };
        if case % 5 == 0 && cameras > 1 {
            rides[0] = rides[cameras - 1].clone();
            rides[1].truncate(instants / 2);
        }
        let mut fixed = vec![None; if case % 2 == 0 { cameras } else { 0 }];
        for settled in &mut fixed {
            *settled = (dice.below(3) == 0).then(|| dice.below(operators));
        }
        let most = (case % 4 > 1).then(|| 1 + dice.below(4));
        let usual = usual_least(cameras, operators);
        let least = if case % 7 == 0 { dice.below(4) } else { usual };
        let request = Request { rides: &rides, operators, least, most, fixed: &fixed };
        answered += usize::from(check(&request));
    }
    assert!(answered > 700, "only {answered} of the cases have a plan");
}

#[test]
fn more_than_one_word_of_instants_is_reckoned_alike() {
    let mut dice = Dice(0xFEED);
    for case in 0..120 {
        let rides = match case % 2 {
            0 => dice.rides(6, 150, 20),
            _ => dice.spells(6, 150, 60),
        };
        check(&Request { rides: &rides, operators: 3, least: 1, most: Some(3), fixed: &[] });
    }
}

fn full_size(seed: u64, longest: usize) -> (DeskPlan, Vec<Vec<bool>>) {
    let rides = Dice(seed).spells(28, 151, longest);
    let mut fixed = vec![None; 28];
    fixed[3] = Some(5);
    let request = Request { rides: &rides, operators: 8, least: 2, most: Some(5), fixed: &fixed };

    let plan = assign(&request).unwrap();
    assert!(keeps_limits(&request, &plan.operator_of));
    assert_eq!(plan.clashes, parts(&request, &plan.operator_of).0);
    (plan, rides)
}

#[test]
fn a_full_size_desk_answers_and_keeps_the_limits() {
    for (seed, longest) in [(1, 10), (2, 20), (3, 40), (4, 80), (5, 25), (6, 30)] {
        full_size(seed, longest);
    }
}

#[test]
fn the_same_request_gives_the_same_plan() {
    let (first, _) = full_size(9, 40);
    assert_eq!(first, full_size(9, 40).0);
}

#[test]
fn a_request_without_a_plan_says_why() {
    let rides = vec![vec![true; 4]; 5];
    let ask = |operators, least, most, fixed: &[Option<usize>]| {
        assign(&Request { rides: &rides, operators, least, most, fixed }).unwrap_err()
    };
    assert_eq!(ask(0, 0, None, &[]), DeskError::NoOperators);
    assert_eq!(ask(3, 2, None, &[]), DeskError::TooFew { cameras: 5, needed: 6, least: 2 });
    assert_eq!(ask(2, 0, Some(2), &[]), DeskError::TooMany { cameras: 5, room: 4, most: 2 });
    let all_first = [Some(0); 4];
    assert_eq!(
        ask(2, 2, None, &all_first),
        DeskError::TooFew { cameras: 5, needed: 6, least: 2 },
        "four on the first operator leave one for the second"
    );
    assert_eq!(
        ask(3, 0, Some(3), &all_first),
        DeskError::TooManyFixed { operator: 0, cameras: 4, most: 3 }
    );
    let nobody = ask(2, 0, None, &[None, Some(2)]);
    assert_eq!(nobody.to_string(), "camera 2 is settled on operator 3, and the desk has only 2");
    assert_eq!(
        ask(MAX_OPERATORS + 1, 0, None, &[]),
        DeskError::TooLarge { cameras: 5, operators: MAX_OPERATORS + 1 }
    );
}

#[test]
fn the_largest_desk_answers() {
    for (seed, instants) in [(11, 151), (12, 3000)] {
        let rides = Dice(seed).spells(MAX_CAMERAS, instants, instants / 6);
        let request = Request { rides: &rides, operators: 16, least: 2, most: None, fixed: &[] };

        let plan = assign(&request).unwrap();
        assert!(keeps_limits(&request, &plan.operator_of));
    }
}
