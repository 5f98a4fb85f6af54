//! The kinds beside isolation and proof in the walk: small work, exceptions, an outside firm, permits,
//! steps and parts, a second report, the paper, notes, late causes and sign-off.

use super::*;
use crate::jobs::control::Permit;
use crate::jobs::detail::{Answer, Detail, JobStep, PartFound};
use crate::procedures::Step;

pub(super) fn any_level() -> impl Strategy<Value = Touches> {
    prop_oneof![
        1 => Just(Touches::Nothing),
        3 => Just(Touches::Guard),
        1 => Just(Touches::LikeForLike),
    ]
}

fn touches(touches: Touches) -> Body {
    Body::Ways(Ways::TouchesSet {
        touches,
        why: "seen there".to_owned(),
    })
}

fn excepted(exception: Exception) -> Body {
    let all = exception.conditions().iter();
    Body::Ways(Ways::Excepted {
        exception,
        confirmed: all.map(|(word, _)| (*word).to_owned()).collect(),
        measures: "plug in hand".to_owned(),
    })
}

fn tried(did_not_start: bool) -> Body {
    Body::Ways(Ways::TriedDead {
        machine_id: MACHINE,
        did_not_start,
        how: "start button".to_owned(),
    })
}

fn run_checked(right_way: bool) -> Body {
    Body::Ways(Ways::RunChecked {
        machine_id: MACHINE,
        starts: true,
        right_way,
        sounds_right: true,
        guards_on: true,
        seen: "runs".to_owned(),
    })
}

pub(super) fn finished() -> Body {
    let said = || "said".to_owned();
    Body::Ways(Ways::Finished {
        done: said(),
        checked: said(),
        checked_by: said(),
        found: said(),
    })
}

fn firm(exchanged: bool) -> Body {
    let told = if exchanged { "told" } else { "" };
    Body::Ways(Ways::OutsideFirm {
        firm: "Firm".to_owned(),
        contact: String::new(),
        our_procedure: told.to_owned(),
        their_procedure: told.to_owned(),
        left_for_us: String::new(),
    })
}

fn outside_on(source_id: i64) -> Body {
    Body::Ways(Ways::OutsideLockOn {
        machine_id: MACHINE,
        source_id,
        owner: "Fitter".to_owned(),
        lock_number: "N1".to_owned(),
    })
}

fn permit() -> Body {
    Body::Control(Control::PermitOpened {
        permit_kind: "roof".to_owned(),
        number: "R1".to_owned(),
        issued_by: "P".to_owned(),
        issued_to: "P".to_owned(),
        valid_from: 0,
        valid_to: 1000,
        conditions: String::new(),
    })
}

fn step(before_power: bool) -> Body {
    Body::Detail(Detail::StepDone {
        position: 1,
        answer: Answer::Done,
        reading: None,
        choice: String::new(),
        outside: false,
        as_found: false,
        why: String::new(),
        same_read_again: false,
        before_power,
        live: None,
        used: None,
    })
}

fn parts(before_power: bool) -> Body {
    Body::Detail(Detail::PartsInspected {
        machine_id: MACHINE,
        parts: vec![PartFound {
            part: "wheel".to_owned(),
            found: "cleaned".to_owned(),
            ..PartFound::default()
        }],
        before_power,
    })
}

fn small() -> impl Strategy<Value = Body> {
    prop_oneof![
        3 => prop_oneof![any_level(), Just(Touches::Full)].prop_map(touches),
        5 => prop::bool::weighted(0.9).prop_map(tried),
        5 => prop::bool::weighted(0.7).prop_map(run_checked),
        4 => Just(finished()),
        3 => Just(excepted(Exception::CordAndPlug)),
        4 => Just(excepted(Exception::MinorServicing)),
        2 => Just(Body::Ways(Ways::ExceptionEnded { why: "over".to_owned() })),
        2 => any::<bool>().prop_map(firm),
        3 => (1..=2_i64).prop_map(outside_on),
    ]
}

pub(super) fn cause() -> Body {
    let text = || "said".to_owned();
    Body::Cause {
        component: text(),
        mode: text(),
        mechanism: text(),
        cause: text(),
        evidence: text(),
    }
}

fn beside() -> impl Strategy<Value = Body> {
    let text = || "said".to_owned();
    let others = vec![
        step(false),
        step(true),
        parts(false),
        parts(true),
        permit(),
        Body::Control(Control::PermitClosed {
            of: "p".to_owned(),
            by: text(),
            note: text(),
        }),
        Body::Control(Control::PermitsNeeded {
            kinds: vec!["roof".to_owned()],
        }),
        Body::Note { text: text() },
        Body::PaperGiven {
            words: text(),
            reporter: text(),
            scope: text(),
            minutes: Some(30),
        },
        Body::EmergencyTaken {
            machine_id: MACHINE,
            on: date!(2026 - 11 - 25),
        },
        Body::HandedOut {
            to: PersonId(2),
            on: date!(2026 - 11 - 25),
            partner: None,
        },
        Body::ReportedAgain {
            words: text(),
            reporter: text(),
            contact: text(),
            urgency: Default::default(),
        },
        cause(),
        Body::TurnedDown { reason: text() },
        Body::MotorChosen {
            motor_id: crate::motors::MotorId(7),
            motor_name: text(),
            verdict: Verdict::Suits,
            working: Working::new("Fit"),
            changes: Working::new("Changes"),
        },
        Body::Ways(Ways::Accepted {
            by: text(),
            saw: text(),
        }),
        Body::SignedOff { note: text() },
        Body::UnitConfirmed {
            tag_read: "EF-1".to_owned(),
            method: text(),
            roof: None,
        },
    ];
    prop::sample::select(others)
}

pub(super) fn by_the_way() -> impl Strategy<Value = Try> {
    prop_oneof![
        4 => small().prop_map(Try::Body),
        3 => beside().prop_map(Try::Body),
        1 => (0..3_usize).prop_map(Try::OutsideOff),
    ]
}

/// What the rows of the database would say: a plugged-in machine where that is asked, a locked step,
/// a permit that stands.
pub(super) fn facts(around: &mut Surroundings, body: &Body) {
    around.plug = Some(true);
    if matches!(body, Body::Ways(Ways::Excepted { .. })) {
        around.sources.truncate(1);
    }
    around.handed_to = Some(one_of_three(2));
    around.detail.step = Some(JobStep {
        position: 1,
        taken: "t".to_owned(),
        step: Step {
            text: "Clean the wheel".to_owned(),
            locked: true,
            ..Step::default()
        },
        dropped: false,
    });
}

/// The permit that is open, as the row of the database would have it.
pub(super) fn open_permit() -> Permit {
    Permit {
        entry_id: "p".to_owned(),
        permit_kind: "roof".to_owned(),
        number: "R1".to_owned(),
        issued_by: String::new(),
        issued_to: String::new(),
        valid_from: 0,
        valid_to: 10,
        conditions: String::new(),
        closed_at: None,
    }
}

pub(super) fn remember(memory: &mut Memory, ways: &Ways, by: i64) {
    match ways {
        Ways::TouchesSet { touches, .. } => {
            let before = memory.level.unwrap_or(Touches::Full);
            if *touches > before {
                memory.exception = None;
                if before <= Touches::Guard && *touches > Touches::Guard {
                    memory.dead = false;
                }
            }
            memory.level = Some(*touches);
        }
        Ways::TriedDead { .. } => {
            (memory.dead, memory.opened, memory.taken_over) = (true, true, None);
        }
        Ways::RunChecked { .. } => (memory.passed, memory.short) = (ways.passed(), true),
        Ways::Excepted { exception, .. } => {
            (memory.exception, memory.passed, memory.dead) = (Some((*exception, by)), false, false);
        }
        Ways::ExceptionEnded { .. } | Ways::Finished { .. } => memory.exception = None,
        _ => {}
    }
}

/// What accepting one of these must never mean.
pub(super) fn promises(
    ways: &Ways,
    job: &Job,
    by: i64,
    memory: &Memory,
    site: &Site,
) -> Result<(), TestCaseError> {
    let level = memory.level.unwrap_or(Touches::Full);
    let own = site.locked_by(job.id);
    match ways {
        Ways::TriedDead { did_not_start, .. } => {
            prop_assert_eq!(level, Touches::Guard, "tried where an instrument is needed");
            prop_assert!(site.all_locked(job.id) && *did_not_start, "tried live");
            if let Some((to, _)) = &memory.taken_over {
                prop_assert_eq!(*to, by, "the incoming person did not try");
            }
        }
        Ways::RunChecked { .. } => {
            prop_assert_eq!(
                level,
                Touches::Guard,
                "a run check for more than small work"
            );
            prop_assert!(
                site.locks.is_empty() && site.outside.is_empty(),
                "run locked"
            );
            prop_assert_eq!(site.people_on_boxes(), 0, "run with a box lock on");
        }
        Ways::Finished { .. } => {
            prop_assert!(
                !memory.opened,
                "finished without proof though it was opened"
            );
            let minor = matches!(memory.exception, Some((Exception::MinorServicing, _)));
            prop_assert!(minor || level == Touches::Nothing, "finished at {level:?}");
            prop_assert!(own.is_empty(), "finished with a lock standing");
        }
        Ways::Excepted { exception, .. } => {
            prop_assert!(own.is_empty(), "an exception beside own locks");
            let minor = *exception == Exception::MinorServicing;
            prop_assert!(
                !minor || !memory.opened,
                "minor servicing after it was opened"
            );
        }
        Ways::TouchesSet { touches, .. } => {
            let less = *touches < level;
            prop_assert!(
                !less || by == 3,
                "lowered by somebody else than a supervisor"
            );
            let begun = memory.opened;
            prop_assert!(
                !(less && begun && *touches == Touches::Nothing),
                "lowered to nothing"
            );
        }
        _ => {}
    }
    Ok(())
}

/// Each way is open to who goes it as meant, so that the walk is not true for want of motion.
#[test]
fn the_short_ways_and_the_exceptions_are_open() {
    use crate::jobs::allowed::Stand;
    let told = Body::PeopleTold {
        who: "P".to_owned(),
    };
    let energise = Body::Energised {
        machine_id: MACHINE,
        note: String::new(),
    };
    let just = Try::Body;
    let locked = || {
        vec![
            just(told.clone()),
            just(lock_on(1, "own 1")),
            just(lock_on(2, "own 2")),
            just(tried(true)),
            just(work()),
            just(clear()),
            Try::TakeOff(0),
            Try::TakeOff(0),
            just(energise.clone()),
            just(run_checked(true)),
            just(restored(true)),
            just(back()),
        ]
    };
    let cord = vec![
        just(excepted(Exception::CordAndPlug)),
        just(work()),
        just(energise.clone()),
        just(proof(Verdict::Within)),
        just(restored(true)),
        just(back()),
    ];
    let minor = vec![
        just(excepted(Exception::MinorServicing)),
        just(work()),
        just(finished()),
    ];
    for (level, way, end) in [
        (
            Some(Touches::Nothing),
            vec![just(finished())],
            Stand::Finished,
        ),
        (Some(Touches::Guard), locked(), Stand::BackInService),
        (Some(Touches::Guard), minor, Stand::Finished),
        (None, cord, Stand::BackInService),
    ] {
        let (mut job, mut site) = (job(1), Site::default());
        job.way.touches = level;
        for (step, tried) in way.into_iter().enumerate() {
            let body = site.body(tried, job.id, 1);
            let taken = check(&job, &body, Some(&one_of_three(1)), &site.around(&body));
            assert_eq!(taken, Ok(()), "{level:?} {body:?}");
            site.moved(job.id, 1, &body, step);
            apply::apply(&mut job, &body, Some(PersonId(1)), 10 + step as i64);
        }
        assert_eq!(Stand::of(&job), end, "{level:?}");
    }
}
