//! Anything in any order: what the gate lets through never means power or work where they must not
//! be.

use super::*;
use crate::jobs::body::{Control, HoldReason};
use crate::jobs::control::LockBox;
use crate::jobs::control::body::Restored;
use crate::jobs::ways::{Exception, Touches, Ways};
use proptest::prelude::*;

#[path = "gate_walk_kinds.rs"]
mod kinds;
use kinds::by_the_way;

#[path = "gate_walk_ends.rs"]
mod ends;

#[path = "gate_walk_meant.rs"]
mod meant;

#[path = "gate_site.rs"]
mod site;
use site::{Site, the_way_in};

/// One thing somebody tries: which job, who, and what.
#[derive(Clone, Debug)]
#[expect(clippy::large_enum_variant, reason = "a test's own short list")]
enum Try {
    Body(Body),
    /// The standing lock at this place in the list, of whatever job.
    TakeOff(usize),
    /// The same lock for its owner, or the personal lock on a box at this place.
    Remove(usize),
    RemoveFromBox(usize),
    /// Every own key of the job into a box, or all but the first.
    LockBox(bool),
    BoxOn(usize),
    BoxOff(usize),
    Told(usize),
    /// The standing lock of the outside firm at this place.
    OutsideOff(usize),
}

fn any_body() -> impl Strategy<Value = Try> {
    let verdict = prop_oneof![
        4 => Just(Verdict::Within),
        1 => Just(Verdict::WithinNote),
        1 => Just(Verdict::NotKnownYet),
        1 => Just(Verdict::Beyond),
    ];
    let told = Body::PeopleTold {
        who: "P".to_owned(),
    };
    let energise = Body::Energised {
        machine_id: MACHINE,
        note: String::new(),
    };
    let hold = Body::Held {
        reason: HoldReason::Part,
        note: String::new(),
    };
    let resume = Body::Resumed {
        note: String::new(),
    };
    let owed = Body::TestOwed {
        due_on: date!(2026 - 12 - 01),
        why: "no load".to_owned(),
    };
    let just = |body: Body| Just(Try::Body(body));
    prop_oneof![
        3 => just(told),
        // Twice the same source and number is a duplicate.
        8 => (1..=3_i64, 0..3_u8).prop_map(|(s, n)| Try::Body(lock_on(s, &format!("n{n}")))),
        6 => verdict.clone().prop_map(|v| Try::Body(dead_test(v))),
        4 => just(work()),
        2 => just(fitted(MACHINE)),
        1 => just(fitted(MachineId(2))),
        3 => just(clear()),
        8 => (0..6_usize).prop_map(Try::TakeOff),
        3 => (0..6_usize).prop_map(Try::Remove),
        2 => (0..4_usize).prop_map(Try::RemoveFromBox),
        3 => any::<bool>().prop_map(Try::LockBox),
        5 => (0..2_usize).prop_map(Try::BoxOn),
        4 => (0..4_usize).prop_map(Try::BoxOff),
        2 => (0..4_usize).prop_map(Try::Told),
        4 => (1..=3_i64, 1..=3_i64).prop_map(|(from, to)| Try::Body(hand_over(from, to))),
        5 => just(energise),
        5 => verdict.prop_map(|v| Try::Body(proof(v))),
        3 => just(back()),
        1 => just(owed),
        2 => any::<bool>().prop_map(|all| Try::Body(restored(all))),
        1 => just(hold),
        3 => just(resume),
        14 => by_the_way(),
    ]
}

/// What the test itself keeps beside the gate, to judge it by.
#[derive(Default)]
struct Memory {
    /// A dead test was accepted, with every source locked, since power was let back or on.
    dead: bool,
    /// The last accepted proof was passed, with no power-up since.
    passed: bool,
    /// Who took the job over and has not tested it, with the sources that were locked then.
    taken_over: Option<(i64, Vec<i64>)>,
    /// The interlocks were restored, with no power-up since.
    restored: bool,
    /// What was last said that the work touches; full where nobody did.
    level: Option<Touches>,
    /// The accepted proof was the run check of small work.
    short: bool,
    /// Hands went in, or power came back, in any way but minor servicing.
    opened: bool,
    /// Under an exception: which, and whose.
    exception: Option<(Exception, i64)>,
    /// Of the needs before the end.
    ends: ends::Ends,
}

fn remember(memory: &mut Memory, body: &Body, by: i64, all_locked: bool, sources: Vec<i64>) {
    ends::remember(&mut memory.ends, body);
    match body {
        Body::DeadTest { verdict, .. } => {
            memory.dead = *verdict != Verdict::Beyond && all_locked;
            memory.opened |= *verdict != Verdict::Beyond;
            if *verdict != Verdict::Beyond {
                memory.taken_over = None;
            }
        }
        Body::ReadyToLift { .. } => memory.dead = false,
        Body::Control(Control::InterlocksRestored { said }) => memory.restored = !said.is_empty(),
        Body::Control(Control::HandedOver { to, .. }) => {
            memory.dead = false;
            memory.taken_over = Some((to.0, sources));
        }
        Body::Energised { .. } => {
            *memory = Memory {
                level: memory.level,
                opened: true,
                ends: std::mem::take(&mut memory.ends),
                ..Memory::default()
            }
        }
        Body::Proof { verdict, .. } => {
            memory.passed = matches!(verdict, Verdict::Within | Verdict::WithinNote);
            memory.short = false;
        }
        Body::WorkDone { .. } | Body::MotorFitted { .. } => {
            let minor = memory.exception.map(|(which, _)| which);
            memory.opened |= minor != Some(Exception::MinorServicing);
        }
        Body::Ways(ways) => kinds::remember(memory, ways, by),
        _ => {}
    }
}

fn restored(all: bool) -> Body {
    let one = Restored {
        interlock: "Fire alarm".to_owned(),
        words: "zone 3 back".to_owned(),
    };
    let said = if all { vec![one] } else { Vec::new() };
    Body::Control(Control::InterlocksRestored { said })
}

fn hand_over(from: i64, to: i64) -> Body {
    Body::Control(Control::HandedOver {
        from: PersonId(from),
        to: PersonId(to),
        note: String::new(),
    })
}

/// Two technicians and a supervisor.
fn one_of_three(id: i64) -> Person {
    let mut person = person(id);
    if id == 3 {
        person.role = Role::Supervisor;
    }
    person
}

fn moved(locks: &mut Vec<Lock>, job: JobId, by: i64, body: &Body, step: usize) {
    match body {
        Body::LockOn {
            source_id,
            lock_number,
            ..
        } => {
            let mut lock = standing(&format!("e{step}"), job.0, *source_id, by);
            lock.lock_number.clone_from(lock_number);
            locks.push(lock);
        }
        Body::LockOff { lock } => locks.retain(|l| l.entry_id != *lock),
        _ => {}
    }
}

/// What accepting this entry must never mean.
fn promises(
    body: &Body,
    job: &Job,
    by: i64,
    memory: &Memory,
    site: &Site,
) -> Result<(), TestCaseError> {
    let all_locked = site.all_locked(job.id);
    if matches!(body, Body::WorkDone { .. } | Body::MotorFitted { .. }) {
        let permitted = job.permits_needed.is_empty() || site.permit;
        prop_assert!(permitted, "work without the permit it needs");
    }
    match body {
        Body::BackInService { .. } => {
            prop_assert!(memory.passed, "back in service without a passed proof");
            let level = memory.level.unwrap_or(Touches::Full);
            prop_assert!(
                !memory.short || level == Touches::Guard,
                "back in service by a run check where numbers were needed"
            );
            prop_assert!(site.outside.is_empty(), "back with an outside lock on");
            prop_assert!(memory.restored, "back in service with an interlock out");
            prop_assert!(
                site.locks.is_empty(),
                "back in service with a lock standing"
            );
        }
        Body::WorkDone { .. } | Body::MotorFitted { .. } if memory.exception.is_some() => {
            let (_, whose) = memory.exception.expect("an exception");
            prop_assert_eq!(whose, by, "work under another's exception");
        }
        Body::WorkDone { .. } | Body::MotorFitted { .. } => {
            prop_assert!(
                memory.dead,
                "work without a dead test, state {:?}",
                job.state
            );
            prop_assert!(all_locked, "work with a source unlocked");
            prop_assert!(memory.taken_over.is_none(), "work on another's dead test");
            let mut own_boxes = site.boxes.iter().filter(|b| b.job_id == job.id).peekable();
            let on = |b: &LockBox| b.locks.iter().any(|l| l.person_id.0 == by);
            prop_assert!(
                own_boxes.peek().is_none() || own_boxes.any(on),
                "work behind a box without an own lock"
            );
        }
        Body::Energised { .. } | Body::Proof { .. } => {
            prop_assert!(site.locks.is_empty(), "energised with a lock standing");
            prop_assert_eq!(site.people_on_boxes(), 0, "energised with a box lock on");
            prop_assert!(site.outside.is_empty(), "energised with an outside lock on");
        }
        Body::Ways(ways) => kinds::promises(ways, job, by, memory, site)?,
        Body::DeadTest { verdict, .. } => {
            prop_assert!(all_locked, "dead test with a source unlocked");
            if let (Some((to, _)), true) = (&memory.taken_over, *verdict != Verdict::Beyond) {
                prop_assert_eq!(*to, by, "the incoming person did not test");
            }
        }
        Body::ReadyToLift { .. } => {
            let mut own = site.boxes.iter().filter(|b| b.job_id == job.id);
            prop_assert!(own.all(|b| b.locks.is_empty()), "lifted past a box lock");
        }
        Body::LockOff { lock } => {
            let owner = site.locks.iter().find(|l| l.entry_id == *lock);
            prop_assert_eq!(owner.map(|l| l.person_id.0), Some(by), "another's lock");
        }
        Body::Control(Control::BoxLockOff { lock }) => {
            let mut all = site.boxes.iter().flat_map(|b| &b.locks);
            let owner = all.find(|l| l.entry_id == *lock);
            prop_assert_eq!(owner.map(|l| l.person_id.0), Some(by), "another's lock");
        }
        Body::Control(Control::LockRemovedForOwner { lock, .. }) => {
            prop_assert_eq!(by, 3, "a lock taken off by somebody else than a supervisor");
            let own = |l: &Lock| l.entry_id == *lock && l.person_id.0 == by;
            prop_assert!(!site.locks.iter().any(own), "one's own lock as an absent's");
        }
        _ => {}
    }
    let works_here = matches!(
        body,
        Body::LockOn { .. } | Body::DeadTest { .. } | Body::WorkDone { .. }
    );
    if works_here {
        let untold = site.removals.iter().any(|r| r.owner_id.0 == by);
        prop_assert!(!untold, "work here before the owner was told");
    }
    Ok(())
}

/// What must hold of everything that stands, after every entry.
fn still(
    jobs: &[Job; 2],
    memories: &[Memory; 2],
    before: &Site,
    now: &Site,
) -> Result<(), TestCaseError> {
    for b in &now.boxes {
        // Why the need for no box lock follows from that for no lock: who stands on a box stands
        // over a source lock.
        let stands = |key: &String| now.locks.iter().any(|lock| lock.entry_id == *key);
        prop_assert!(
            b.locks.is_empty() || b.keys.iter().any(stands),
            "a box over no lock"
        );
    }
    for b in &before.boxes {
        // Keys stay behind the locks of the people on the box.
        let kept = now.boxes.iter().find(|n| n.entry_id == b.entry_id);
        prop_assert!(
            kept.map_or(b.locks.is_empty(), |n| n.locks.is_empty()
                || b.keys.iter().all(|key| n.keys.contains(key))),
            "a source lock came off from under a box lock"
        );
    }
    for (job, memory) in jobs.iter().zip(memories) {
        if job.state == State::Isolated && !job.lifting {
            prop_assert!(memory.dead, "isolated without a dead test");
            prop_assert!(now.all_locked(job.id), "isolated with a source unlocked");
        }
        prop_assert_eq!(
            job.way.exception.is_some(),
            memory.exception.is_some(),
            "an exception that nobody recorded, or one forgotten"
        );
        if let Some((_, sources)) = &memory.taken_over {
            let locked = now.locked_by(job.id);
            prop_assert!(
                sources.iter().all(|source| locked.contains(source)),
                "a gap in a handover"
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// Two jobs on one machine, three people, anything in any order.
    #[test]
    fn no_order_of_entries_leads_to_power_or_work_where_they_must_not_be(
        begun in prop_oneof![3 => 0..18_usize, 1 => Just(17)],
        (begins, ended) in (ends::any_begin(), 0..4_usize),
        // Small work, planned so, in half of the walks.
        small in prop::option::of(kinds::any_level()),
        tries in prop::collection::vec(
            (prop_oneof![4 => Just(0_usize), 1 => Just(1)], 1..=3_i64, any_body()),
            1..200,
        )
    ) {
        let out = begins.the_way_out(if begun == 17 { ended } else { 0 });
        let tries = the_way_in(begun).into_iter().chain(out).chain(tries);
        let mut jobs = [job(1), job(2)];
        for job in &mut jobs {
            job.chosen_motor_id = Some(MotorId(7));
            job.circuit_motor_id = Some(MotorId(7));
            job.circuit_verdict = Some("within".to_owned());
        }
        let mut memories = [Memory::default(), Memory::default()];
        for (job, memory) in jobs.iter_mut().zip(&mut memories) {
            (job.way.touches, memory.level) = (small, small);
        }
        let mut site = Site::default();
        begins.begin(&mut jobs[0], &mut memories[0], &mut site);
        for (step, (which, by, tried)) in tries.enumerate() {
            let job = &mut jobs[which];
            let body = site.body(tried, job.id, by);
            let mut around = site.around(&body);
            let other = JobId(2 - which as i64);
            around.excepted_elsewhere = memories[1 - which].exception.map(|_| other);
            around.failed_elsewhere = memories[1 - which].ends.failed.then_some(other);
            if check(job, &body, Some(&begins.person(by)), &around).is_err() {
                continue;
            }
            prop_assert!(
                memories[1 - which].exception.is_none()
                    || !matches!(body, Body::Energised { .. } | Body::BackInService { .. }),
                "energised on somebody at work under an exception"
            );
            promises(&body, job, by, &memories[which], &site)?;
            ends::promises(&body, job, &memories[which], &site)?;
            begins.promises(&body, by, &memories[1 - which])?;
            let (all_locked, locked) = (site.all_locked(job.id), site.locked_by(job.id));
            remember(&mut memories[which], &body, by, all_locked, locked);
            let before = site.clone();
            site.moved(job.id, by, &body, step);
            apply::apply(job, &body, Some(PersonId(by)), 10 + step as i64);
            still(&jobs, &memories, &before, &site)?;
        }
    }
}
