//! What the walk begins with beside an empty site, and what must hold of the needs that only such
//! beginnings reach: the sheet, permits, an outside firm, full work, acceptance, cause and paper. And a
//! walk of its own for work on a place alone.

use super::*;
use crate::jobs::ways::gate::OutsideLock;
use crate::shop::Units;

/// What is so when a walk begins.
#[derive(Clone, Debug)]
pub(super) struct Begins {
    sheet: bool,
    permit_needed: bool,
    /// An outside firm, and whether both procedures were exchanged.
    firm: Option<bool>,
    outside_lock: bool,
    emergency: bool,
    warranty: bool,
    /// Back in service in the end, with nobody's acceptance.
    unaccepted: bool,
    caused: bool,
    /// Person 2 is not authorised for energy control.
    unauthorised: bool,
}

pub(super) fn any_begin() -> impl Strategy<Value = Begins> {
    let rarely = || prop::bool::weighted(0.15);
    (
        prop::bool::weighted(0.9),
        rarely(),
        prop::option::weighted(0.2, any::<bool>()),
        rarely(),
        prop::bool::weighted(0.3),
        rarely(),
        any::<(bool, bool, bool)>(),
    )
        .prop_map(|parts| {
            let (sheet, permit_needed, firm, outside_lock, emergency, warranty, end) = parts;
            Begins {
                sheet,
                permit_needed,
                firm,
                outside_lock,
                emergency,
                warranty,
                unaccepted: end.0,
                caused: end.1,
                unauthorised: end.2,
            }
        })
}

/// What the test itself keeps of these, to judge by.
#[derive(Clone, Debug, Default)]
pub(super) struct Ends {
    firm: Option<bool>,
    emergency: bool,
    accepted: bool,
    finished: bool,
    cause: bool,
    paper: bool,
    /// The last proof was failed, and the machine was not isolated since.
    pub(super) failed: bool,
}

impl Begins {
    pub(super) fn begin(&self, job: &mut Job, memory: &mut Memory, site: &mut Site) {
        if self.permit_needed {
            job.permits_needed = "roof".to_owned();
        }
        if let Some(exchanged) = self.firm {
            job.way.outside_firm = "Firm".to_owned();
            job.way.outside_exchanged = exchanged;
        }
        job.response.emergency = self.emergency;
        (memory.ends.firm, memory.ends.emergency) = (self.firm, self.emergency);
        (site.sheet, site.warranty) = (self.sheet, self.warranty);
        if self.outside_lock {
            site.outside.push(OutsideLock {
                entry_id: "o".to_owned(),
                job_id: JobId(9),
                machine_id: MACHINE,
                source_id: 1,
                source: String::new(),
                firm: "Another firm".to_owned(),
                owner: "Fitter".to_owned(),
                lock_number: "N9".to_owned(),
                on_at: 0,
            });
        }
    }

    pub(super) fn person(&self, id: i64) -> Person {
        let mut person = one_of_three(id);
        if id == 2 && self.unauthorised {
            person.authorised_on = None;
        }
        person
    }

    /// What accepting this entry must never mean, by who added it and what the other job is in.
    pub(super) fn promises(
        &self,
        body: &Body,
        by: i64,
        other: &Memory,
    ) -> Result<(), TestCaseError> {
        let kind = body.kind();
        let controls = [
            "dead_test",
            "tried_dead",
            "excepted",
            "ready_to_lift",
            "energised",
        ];
        if controls.contains(&kind) {
            let unauthorised = self.unauthorised && by == 2;
            prop_assert!(!unauthorised, "{kind} by somebody who is not authorised");
        }
        if ["energised", "back_in_service", "test_owed"].contains(&kind) {
            prop_assert!(!other.ends.failed, "{kind} past another job's failed proof");
        }
        Ok(())
    }

    /// The end of the meant way, after the given steps of its beginning.
    pub(super) fn the_way_out(&self, steps: usize) -> Vec<(usize, i64, Try)> {
        let accepted_by = if self.unaccepted { "" } else { "P" };
        let back = Body::BackInService {
            guards_on: true,
            people_told: "P".to_owned(),
            accepted_by: accepted_by.to_owned(),
        };
        let signed = Body::SignedOff {
            note: String::new(),
        };
        let cause = kinds::cause();
        let way = [(1, back), (1, cause), (3, signed)];
        let way = way
            .into_iter()
            .filter(|(_, body)| self.caused || body.kind() != "cause");
        let way = way.map(|(by, body)| (0, by, Try::Body(body)));
        way.take(steps).collect()
    }
}

pub(super) fn remember(ends: &mut Ends, body: &Body) {
    match body {
        Body::Ways(Ways::OutsideFirm { our_procedure, .. }) => {
            ends.firm = Some(!our_procedure.is_empty());
        }
        Body::Proof { verdict, .. } => ends.failed = *verdict == Verdict::Beyond,
        Body::Ways(ways @ Ways::RunChecked { .. }) => ends.failed = !ways.passed(),
        Body::DeadTest { verdict, .. } if *verdict != Verdict::Beyond => ends.failed = false,
        Body::Energised { .. } | Body::Ways(Ways::TriedDead { .. } | Ways::Excepted { .. }) => {
            ends.failed = false;
        }
        Body::Ways(Ways::Accepted { .. }) => ends.accepted = true,
        Body::Ways(Ways::Finished { .. }) => ends.finished = true,
        Body::BackInService { accepted_by, .. } => ends.accepted = !accepted_by.is_empty(),
        Body::Cause { .. } => ends.cause = true,
        Body::PaperGiven { .. } => ends.paper = true,
        Body::EmergencyTaken { .. } => ends.emergency = true,
        _ => {}
    }
}

/// What accepting this entry must never mean.
pub(super) fn promises(
    body: &Body,
    job: &Job,
    memory: &Memory,
    site: &Site,
) -> Result<(), TestCaseError> {
    let level = memory.level.unwrap_or(Touches::Full);
    let ends = &memory.ends;
    let hands = matches!(body, Body::WorkDone { .. } | Body::MotorFitted { .. });
    let over = matches!(body, Body::Ways(Ways::Finished { .. }));
    if hands || over || matches!(body, Body::Ways(Ways::OutsideLockOn { .. })) {
        prop_assert_ne!(
            ends.firm,
            Some(false),
            "work before procedures were exchanged"
        );
    }
    if hands {
        let answered = !site.warranty || ends.emergency;
        prop_assert!(
            answered,
            "opened while a warranty runs that nobody answered for"
        );
    }
    if over {
        let open = job.permits_needed.is_empty() || site.permit;
        prop_assert!(open, "finished without the permit it needs");
    }
    match body {
        Body::MotorFitted { .. } | Body::MotorChosen { .. } => {
            prop_assert_eq!(level, Touches::Full, "another motor in less than full work");
        }
        Body::DeadTest { .. }
        | Body::Ways(Ways::TriedDead { .. })
        | Body::Ways(Ways::Excepted { .. }) => {
            prop_assert!(site.sheet, "isolated or excepted without a sheet");
        }
        Body::SignedOff { .. } => {
            prop_assert!(
                ends.accepted || ends.finished,
                "signed off, accepted by nobody"
            );
            let asked = ends.emergency || level >= Touches::LikeForLike;
            prop_assert!(ends.cause || !asked, "signed off without the cause");
            prop_assert!(
                ends.paper || !ends.emergency,
                "signed off without the paper"
            );
        }
        Body::TurnedDown { .. } => {
            prop_assert!(!memory.opened, "turned down though it was opened");
            let own = site.locked_by(job.id);
            prop_assert!(own.is_empty(), "turned down with a lock standing");
        }
        _ => {}
    }
    Ok(())
}

fn on_the_place(at_roof: bool) -> (Job, Surroundings) {
    let mut job = job(1);
    (job.machine_id, job.confirmed_at) = (None, None);
    job.place_id = Some(1);
    job.way.touches = Some(Touches::Nothing);
    let around = Surroundings {
        on_roof: at_roof.then_some(Units::Us),
        live_person: Some(person(1)),
        handed_to: Some(one_of_three(2)),
        ..Surroundings::default()
    };
    (job, around)
}

fn at_the_place(protected: bool) -> Body {
    let stay = crate::jobs::roof::Stay {
        protection: if protected { "guardrail" } else { "" }.to_owned(),
        ..Default::default()
    };
    Body::UnitConfirmed {
        tag_read: String::new(),
        method: "at the place".to_owned(),
        roof: Some(stay),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Work on a place alone touches no machine, whatever is tried in whatever order.
    #[test]
    fn work_on_a_place_alone_never_comes_to_a_machine(
        at_roof in any::<bool>(),
        tries in prop::collection::vec(
            (1..=3_i64, prop_oneof![4 => any_body(), 1 => any::<bool>()
                .prop_map(|protected| Try::Body(at_the_place(protected)))]),
            1..60,
        )
    ) {
        let (mut job, around) = on_the_place(at_roof);
        let (mut protected, mut finished) = (false, false);
        for (step, (by, tried)) in tries.into_iter().enumerate() {
            let Try::Body(body) = tried else { continue };
            if check(&job, &body, Some(&one_of_three(by)), &around).is_err() {
                continue;
            }
            if let Body::UnitConfirmed { roof, .. } = &body {
                protected |= roof.as_ref().is_some_and(|stay| !stay.protection.is_empty());
            }
            let machine = matches!(
                body.kind(),
                "lock_on" | "dead_test" | "tried_dead" | "excepted" | "work_done" | "motor_fitted"
                    | "ready_to_lift" | "energised" | "proof" | "run_checked" | "back_in_service"
                    | "test_owed" | "outside_lock_on"
            );
            prop_assert!(!machine, "{} on a place alone", body.kind());
            if let Body::Ways(Ways::TouchesSet { touches, .. }) = &body {
                prop_assert_eq!(*touches, Touches::Nothing, "it touches no machine");
            }
            if let Body::Ways(Ways::Finished { .. }) = &body {
                prop_assert!(!at_roof || protected, "finished on a roof that nobody asked about");
                finished = true;
            }
            if matches!(body, Body::SignedOff { .. }) {
                prop_assert!(finished, "signed off without its finish check");
            }
            apply::apply(&mut job, &body, Some(PersonId(by)), 10 + step as i64);
            let stands = matches!(
                job.state,
                State::HandedOut | State::Held | State::BackInService | State::SignedOff
                    | State::TurnedDown
            );
            prop_assert!(stands && job.machine_id.is_none(), "{:?}", job.state);
        }
    }
}

/// The meant way of work on a roof is open, so that the walk is not true for want of motion.
#[test]
fn work_on_a_roof_ends_once_protection_is_named() {
    let (mut job, around) = on_the_place(true);
    let by = one_of_three(1);
    assert!(check(&job, &kinds::finished(), Some(&by), &around).is_err());
    assert!(check(&job, &at_the_place(false), Some(&by), &around).is_err());
    for body in [at_the_place(true), kinds::finished()] {
        assert_eq!(check(&job, &body, Some(&by), &around), Ok(()));
        apply::apply(&mut job, &body, Some(by.id), 10);
    }
    assert_eq!(job.state, State::BackInService);
}
