//! Properties of a proposal, and small cases against every arrangement there is.

use super::*;
use proptest::prelude::*;
use time::Duration;
use time::macros::date;

const MONDAY: Date = date!(2026 - 11 - 30);

fn day(n: i64) -> Date {
    MONDAY + Duration::days(n)
}

fn week(days: i64) -> Vec<Date> {
    (0..days).map(day).collect()
}

/// Due offset, days before and after, limit after the window, minutes, and who may on which days.
type Drawn = (i64, i64, i64, Option<i64>, Option<i64>, Vec<(i64, u8)>);

fn drawn() -> impl Strategy<Value = Drawn> {
    (
        -6..9_i64,
        0..4_i64,
        0..4_i64,
        proptest::option::of(0..4_i64),
        proptest::option::weighted(0.9, 10..200_i64),
        proptest::collection::vec((1..4_i64, any::<u8>()), 0..4),
    )
}

fn work(id: i64, drawn: Drawn) -> Work {
    let (due, before, after, limit, minutes, may) = drawn;
    let mut by_person: BTreeMap<i64, Vec<Date>> = BTreeMap::new();
    for (person, bits) in may {
        let on = (0..5).filter(|n| bits & (1 << n) != 0).map(day);
        by_person.insert(person, on.collect());
    }
    Work {
        id,
        due: day(due),
        first: day(due - before),
        last: day(due + after),
        limit: limit.map(|more| day(due + more)),
        minutes,
        may: by_person,
    }
}

fn hands(free: &[Vec<i64>]) -> Vec<Hand> {
    (1..)
        .zip(free)
        .map(|(person, minutes)| Hand {
            person,
            free: (0..).map(day).zip(minutes.iter().copied()).collect(),
        })
        .collect()
}

proptest! {
    #[test]
    fn it_keeps_to_hours_windows_limits_and_skills(
        drawn in proptest::collection::vec(drawn(), 0..14),
        free in proptest::collection::vec(proptest::collection::vec(0..500_i64, 5), 0..4),
    ) {
        let all: Vec<Work> = (1..).zip(drawn).map(|(id, d)| work(id, d)).collect();
        let hands = hands(&free);
        let found = propose(&all, &hands, &week(5));
        prop_assert_eq!(found.placed.len() + found.left.len(), all.len());
        let mut given: BTreeMap<(Date, i64), i64> = BTreeMap::new();
        for placed in &found.placed {
            let of = all.iter().find(|w| w.id == placed.id).expect("its work");
            prop_assert!(of.may[&placed.person].contains(&placed.day), "unqualified");
            prop_assert!(of.limit.is_none_or(|limit| placed.day <= limit), "beyond its limit");
            if placed.late {
                prop_assert!(of.end() < day(0), "late only where its window has passed");
            } else {
                prop_assert!(of.first <= placed.day && placed.day <= of.last, "outside its window");
            }
            prop_assert!(!placed.why.is_empty());
            *given.entry((placed.day, placed.person)).or_default() += of.minutes.expect("known");
        }
        for ((on, person), minutes) in given {
            let hand = hands.iter().find(|h| h.person == person).expect("known");
            prop_assert!(minutes <= hand.free[&on], "beyond hours");
        }
    }

    #[test]
    fn the_order_in_which_things_come_changes_nothing(
        drawn in proptest::collection::vec(drawn(), 0..10),
        free in proptest::collection::vec(proptest::collection::vec(0..500_i64, 5), 1..4),
        turn in 0..10_usize,
    ) {
        let all: Vec<Work> = (1..).zip(drawn).map(|(id, d)| work(id, d)).collect();
        let (mut others, mut people, mut days) = (all.clone(), hands(&free), week(5));
        let found = propose(&all, &people, &days);
        let at = turn % others.len().max(1);
        others.rotate_left(at);
        others.reverse();
        people.reverse();
        days.reverse();
        prop_assert_eq!(found, propose(&others, &people, &days));
    }

    #[test]
    fn whatever_is_left_could_not_have_been_added(
        drawn in proptest::collection::vec(drawn(), 0..10),
        free in proptest::collection::vec(proptest::collection::vec(0..300_i64, 5), 1..4),
    ) {
        let all: Vec<Work> = (1..).zip(drawn).map(|(id, d)| work(id, d)).collect();
        let hands = hands(&free);
        let found = propose(&all, &hands, &week(5));
        for left in &found.left {
            let of = all.iter().find(|w| w.id == left.id).expect("its work");
            let spot = spots(of, &hands, 5).into_iter().find(|(on, person)| {
                let used: i64 = found.placed.iter()
                    .filter(|p| p.day == *on && p.person == *person)
                    .filter_map(|p| all.iter().find(|w| w.id == p.id)?.minutes)
                    .sum();
                let hand = hands.iter().find(|h| h.person == *person).expect("known");
                of.minutes.is_some_and(|minutes| used + minutes <= hand.free[on])
            });
            prop_assert_eq!(spot, None, "{:?}", left);
        }
    }

    /// Independent of the rule: every arrangement of a few pieces is tried.
    #[test]
    fn small_cases_agree_with_trying_every_arrangement(
        drawn in proptest::collection::vec(drawn(), 0..4),
        free in proptest::collection::vec(proptest::collection::vec(0..250_i64, 3), 1..3),
    ) {
        let all: Vec<Work> = (1..).zip(drawn).map(|(id, d)| work(id, d)).collect();
        let hands = hands(&free);
        let found = propose(&all, &hands, &week(3));
        let most = best(&all, &hands);
        prop_assert!(found.placed.len() <= most, "more than can be placed at all");
        // Greedy by nature: it may leave some over, yet never all where one can be placed.
        prop_assert_eq!(found.placed.is_empty(), most == 0);
        if all.len() == 1 {
            prop_assert_eq!(found.placed.len(), most);
        }
        let order = in_order(&all);
        // Its own promise: no piece is left over for one that comes after it.
        for left in &found.left {
            let at = order.iter().position(|id| *id == left.id).expect("listed");
            let before: Vec<Work> = order[..=at].iter()
                .filter_map(|id| all.iter().find(|w| w.id == *id).cloned())
                .collect();
            let alone = propose(&before, &hands, &week(3));
            prop_assert!(alone.left.iter().any(|l| l.id == left.id));
        }
    }
}

/// Where a piece may lie, by the rule's own words and not by its code.
fn spots(work: &Work, hands: &[Hand], days: i64) -> Vec<(Date, i64)> {
    let mut found = Vec::new();
    for n in 0..days {
        let on = day(n);
        let end = [Some(work.last), work.limit].into_iter().flatten().min();
        let passed = end.is_some_and(|end| end < day(0));
        let in_window = work.first <= on && on <= work.last;
        let in_limit = work.limit.is_none_or(|limit| on <= limit);
        for hand in hands {
            let may = work.may.get(&hand.person);
            if may.is_some_and(|days| days.contains(&on))
                && hand.free.contains_key(&on)
                && in_limit
                && (in_window || passed)
            {
                found.push((on, hand.person));
            }
        }
    }
    found
}

/// The most pieces that any arrangement places.
fn best(all: &[Work], hands: &[Hand]) -> usize {
    fn go(rest: &[Work], used: &mut BTreeMap<(Date, i64), i64>, hands: &[Hand]) -> usize {
        let Some((one, rest)) = rest.split_first() else {
            return 0;
        };
        let mut most = go(rest, used, hands);
        let Some(minutes) = one.minutes else {
            return most;
        };
        for (on, person) in spots(one, hands, 3) {
            let hand = hands.iter().find(|h| h.person == person).expect("known");
            let slot = (on, person);
            if used.get(&slot).copied().unwrap_or(0) + minutes <= hand.free[&on] {
                *used.entry(slot).or_default() += minutes;
                most = most.max(1 + go(rest, used, hands));
                *used.entry(slot).or_default() -= minutes;
            }
        }
        most
    }
    go(all, &mut BTreeMap::new(), hands)
}

fn in_order(all: &[Work]) -> Vec<i64> {
    let mut order: Vec<&Work> = all.iter().collect();
    order.sort_by_key(|w| (w.limit.unwrap_or(w.last).min(w.last), w.due, w.id));
    order.into_iter().map(|w| w.id).collect()
}

#[test]
fn a_week_by_hand() {
    let may = |people: &[i64]| people.iter().map(|p| (*p, week(5))).collect();
    let piece = |id, due: i64, minutes, people: &[i64]| Work {
        id,
        due: day(due),
        first: day(due - 1),
        last: day(due + 1),
        limit: None,
        minutes,
        may: may(people),
    };
    let all = [
        piece(1, 0, Some(240), &[1]),
        piece(2, 0, Some(240), &[1]),
        piece(3, 0, Some(60), &[1, 2]),
        piece(4, 0, Some(60), &[9]),
        piece(5, 0, None, &[1]),
        piece(6, 20, Some(60), &[1]),
        piece(7, -9, Some(60), &[2]),
        Work {
            limit: Some(day(-5)),
            ..piece(8, -9, Some(60), &[2])
        },
        piece(9, 0, Some(999), &[1]),
    ];
    let found = propose(&all, &hands(&[vec![240; 5], vec![120; 5]]), &week(5));
    let placed: Vec<(i64, i64, Date)> = found
        .placed
        .iter()
        .map(|p| (p.id, p.person, p.day))
        .collect();
    assert_eq!(
        placed,
        [
            (1, 1, day(0)),
            (3, 2, day(0)),
            (7, 2, day(0)),
            (2, 1, day(1))
        ]
    );
    assert!(found.placed[2].late && !found.placed[0].late);
    assert_eq!(
        found.placed[3].why,
        "a day after it is due, in its window; nearer days are full; 240 min free there before"
    );
    let left: Vec<(i64, Reason)> = found.left.iter().map(|l| (l.id, l.reason)).collect();
    assert_eq!(
        left,
        [
            (4, Reason::NobodyQualified),
            (5, Reason::MinutesNotKnown),
            (6, Reason::NotYet),
            (8, Reason::BeyondLimit),
            (9, Reason::NoRoom)
        ]
    );
    assert!(left.iter().all(|(_, reason)| !reason.words().is_empty()));
    assert_eq!(propose(&all, &[], &[]).left.len(), all.len());
}
