//! One visit to a machine in the demo's year: confirmed, locked, proved dead, worked on, run.

use super::detail::When;
use super::history::{JobData, Walk};
use super::registers::MachineData;
use super::{instruments, tests_taken};
use crate::clock::DAY;
use crate::jobs::JobId;
use crate::jobs::body::{Body, LiveTest, Reading};
use crate::machines::MachineId;
use crate::people::Person;
use calc::fit::Need;
use calc::plate::Plate;
use calc::working::Verdict;

impl Walk<'_> {
    pub(super) async fn work(
        &mut self,
        data: &JobData,
        row: &MachineData,
        job: JobId,
        machine: MachineId,
        to: &Person,
    ) -> Result<(), String> {
        let mut marks = vec![self.app.clock.now()];
        let tag_read = data.machine.clone();
        let confirmed = Body::UnitConfirmed {
            tag_read,
            method: "read the tag".to_owned(),
            roof: row.roof(),
        };
        self.add(job, to, 10, confirmed).await?;
        let found = Body::AsFound {
            running: data.running.clone(),
            condition: data.condition.clone(),
            guard: "complete".to_owned(),
            readings: Vec::new(),
            live: None,
        };
        self.add(job, to, 4, found).await?;
        self.take(data, job, to).await?;
        self.steps(data, job, to, When::Before).await?;
        if let Some(reason) = data.hold {
            let note = data.why.clone();
            return self
                .add(job, to, 20, Body::Held { reason, note })
                .await
                .map(|_| ());
        }
        marks.push(self.app.clock.now());
        let locks = self.isolate(row, job, machine, to).await?;
        marks.push(self.app.clock.now());
        let mut plate = self.plate(&data.machine)?;
        if let Some(bin) = &data.fit {
            plate = self.fit(data, row, job, machine, to, (bin, &plate)).await?;
        }
        self.steps(data, job, to, When::Locked).await?;
        self.parts(data, job, machine, to).await?;
        for what in &data.done {
            self.add(job, to, 15, Body::WorkDone { what: what.clone() })
                .await?;
        }
        marks.push(self.app.clock.now());
        let clear = Body::ReadyToLift {
            tools_clear: true,
            guards_on: true,
            people_clear: to.name.clone(),
            people_told: row.told().to_owned(),
        };
        self.add(job, to, 12, clear).await?;
        for lock in locks {
            self.add(job, to, 1, Body::LockOff { lock }).await?;
        }
        let energised = Body::Energised {
            machine_id: machine,
            note: String::new(),
        };
        self.add(job, to, 2, energised).await?;
        if data.until == "test_owed" {
            let due_on = self.app.zone().date(self.app.clock.now() + 5 * DAY);
            let why = data.why.clone();
            return self
                .add(job, to, 6, Body::TestOwed { due_on, why })
                .await
                .map(|_| ());
        }
        let proof = self.proof(row, machine, to, plate)?;
        self.add(job, to, 22, proof).await?;
        self.steps(data, job, to, When::After).await?;
        let back = Body::BackInService {
            guards_on: true,
            people_told: row.told().to_owned(),
            accepted_by: data.reporter.replace("plan", "Porter"),
        };
        self.add(job, to, 5, back).await?;
        marks.push(self.app.clock.now());
        self.time(job, to, &marks).await?;
        if let Some([component, mode, mechanism, cause]) = data.cause.clone() {
            let evidence = data.evidence.clone();
            let body = Body::Cause {
                component,
                mode,
                mechanism,
                cause,
                evidence,
            };
            self.add(job, to, 8, body).await?;
        }
        Ok(())
    }

    /// The visit's hours, from mark to mark: finding, locks, repair, test.
    async fn time(&mut self, job: JobId, to: &Person, marks: &[i64]) -> Result<(), String> {
        let spent = ["diagnosing", "making_dead", "repair", "testing"];
        for (spent, ends) in spent.into_iter().zip(marks.windows(2)) {
            let body = Body::TimeSpent {
                person: Some(to.id),
                spent: spent.to_owned(),
                from: ends[0],
                to: ends[1],
                note: String::new(),
            };
            self.add(job, to, 0, body).await?;
        }
        Ok(())
    }

    /// Locks on every source, then the dead test; answers with the lock entries.
    async fn isolate(
        &mut self,
        row: &MachineData,
        job: JobId,
        machine: MachineId,
        to: &Person,
    ) -> Result<Vec<String>, String> {
        let who = row.told().to_owned();
        self.add(job, to, 6, Body::PeopleTold { who }).await?;
        let mut locks = Vec::new();
        let made = self.made;
        for key in &row.sources {
            let source = made
                .shop
                .sources
                .iter()
                .find(|s| s.key == *key)
                .ok_or("no source")?;
            self.locks += 1;
            let body = Body::LockOn {
                machine_id: machine,
                source_id: *made.sources.get(key).ok_or("no source row")?,
                lock_number: format!("{}{:02}", &to.name[..1], 1 + self.locks % 12),
                label_read: source.label().to_owned(),
                seen_off: true,
                relieved: source.relieved_how.clone(),
            };
            locks.push(self.add(job, to, 3, body).await?);
        }
        let electrical = row
            .sources
            .iter()
            .filter_map(|key| made.shop.sources.iter().find(|s| s.key == *key))
            .find(|s| s.dead_test != "none")
            .ok_or("no electrical source")?;
        let with = instruments::in_hand(made, "V-3", self.app, made.now);
        let body = tests_taken::dead(&electrical.dead_test, machine, self.app, with);
        self.add(job, to, 9, body).await?;
        Ok(locks)
    }

    fn plate(&self, key: &str) -> Result<Plate, String> {
        self.made
            .specs
            .get(key)
            .ok_or(format!("no motor {key:?}"))?
            .plate()
    }

    async fn fit(
        &mut self,
        data: &JobData,
        row: &MachineData,
        job: JobId,
        machine: MachineId,
        to: &Person,
        (bin, old): (&str, &Plate),
    ) -> Result<Plate, String> {
        let made = self.made;
        let new = self.plate(bin)?;
        let motor_id = *made.motors.get(bin).ok_or("no such motor")?;
        let need = Need {
            old,
            installation: &row.facts,
        };
        let working = calc::fit::explain(&need, &new);
        let chosen = Body::MotorChosen {
            motor_id,
            motor_name: made.specs[bin].name.clone(),
            verdict: working.verdict().unwrap_or(Verdict::NotKnownYet),
            changes: calc::fit::changes(&need, &new),
            working,
        };
        self.add(job, to, 15, chosen).await?;
        let circuit = made
            .shop
            .circuits
            .iter()
            .find(|c| format!("{}/{}", c.panel, c.number) == row.circuit)
            .ok_or("no circuit")?;
        let rule_set = self.app.shop().ok_or("no shop")?.rule_set;
        let mut facts = row.facts.clone();
        facts.driven.air_mover = crate::machines::air_mover(&row.kind);
        let working = calc::circuit::check(rule_set, &new, &facts, &circuit.facts);
        let checked = Body::CircuitChecked {
            motor_id,
            rule_set: rule_set.words().to_owned(),
            verdict: working.verdict().unwrap_or(Verdict::NotKnownYet),
            working,
        };
        self.add(job, to, 3, checked).await?;
        let work_done = format!("{} fitted, wheel back at its mark", made.specs[bin].name);
        let fitted = Body::MotorFitted {
            machine_id: machine,
            motor_id,
            work_done,
        };
        self.add(job, to, 40, fitted)
            .await
            .map_err(|e| format!("{} {e}", data.machine))?;
        Ok(new)
    }

    fn proof(
        &self,
        row: &MachineData,
        machine: MachineId,
        to: &Person,
        plate: Plate,
    ) -> Result<Body, String> {
        let on = self.app.today();
        let input = tests_taken::run(&row.facts, plate, on)
            .ok_or("the motor's plate gives no amps for the run test")?;
        let working = calc::proof::judge(&input);
        let verdict = working.verdict().unwrap_or(Verdict::NotKnownYet);
        if !matches!(verdict, Verdict::Within | Verdict::WithinNote) {
            return Err(format!("the run test is {}: {working:?}", verdict.words()));
        }
        let with = instruments::in_hand(self.made, "CM-2", self.app, self.made.now);
        let precautions = "Gloves, face shield, one hand at the meter".to_owned();
        let live = LiveTest::new(to.id, precautions, with);
        let readings: Vec<Reading> = tests_taken::readings(&input);
        Ok(Body::Proof {
            machine_id: machine,
            readings,
            input,
            live,
            verdict,
            working,
        })
    }
}
