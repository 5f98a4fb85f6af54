//! The way that is meant, through whatever noise.

use super::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// The way that is meant gets through, so that the walk above is not true for want of motion.
    #[test]
    fn the_meant_way_is_open(noise in prop::collection::vec(any_body(), 0..6)) {
        let mut job = job(1);
        let by = person(1);
        let mut locks: Vec<Lock> = Vec::new();
        let mut step = 0;
        let mut add = |job: &mut Job, body: Body, locks: &mut Vec<Lock>| {
            let taken = check(job, &body, Some(&by), &around(locks.clone()));
            if taken.is_ok() {
                step += 1;
                moved(locks, job.id, by.id.0, &body, step);
                apply::apply(job, &body, Some(by.id), 10 + step as i64);
            }
            taken
        };
        for tried in noise {
            if let Try::Body(body @ (Body::LockOn { .. } | Body::WorkDone { .. })) = tried {
                let _either = add(&mut job, body, &mut locks);
            }
        }
        let told = Body::PeopleTold { who: "P".to_owned() };
        prop_assert!(add(&mut job, told, &mut locks).is_ok());
        for (source, number) in [(1, "own 1"), (2, "own 2")] {
            prop_assert!(add(&mut job, lock_on(source, number), &mut locks).is_ok());
        }
        for body in [dead_test(Verdict::Within), work(), clear()] {
            prop_assert!(add(&mut job, body, &mut locks).is_ok());
        }
        while let Some(lock) = locks.first().map(|l| l.entry_id.clone()) {
            let off = Body::LockOff { lock };
            prop_assert!(add(&mut job, off, &mut locks).is_ok());
        }
        let energise = Body::Energised { machine_id: MACHINE, note: String::new() };
        for body in [energise, proof(Verdict::WithinNote), back()] {
            prop_assert!(add(&mut job, body, &mut locks).is_ok());
        }
        prop_assert_eq!(job.state, State::BackInService);
    }
}
