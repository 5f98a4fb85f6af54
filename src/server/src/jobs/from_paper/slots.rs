//! What came back on paper, as the entries it makes, in the order of the sheet. Every blank part of
//! the paper makes none. The same readers as on the screens' own pages judge what was written.

use super::beside::PermitLine;
use crate::clock::{Millis, Zone};
use crate::form::{self, FieldErrors, Fields};
use crate::instruments::Instrument;
use crate::jobs::at_machine::AtMachineInput;
use crate::jobs::body::Body;
use crate::jobs::confirm;
use crate::jobs::dead_test::{self, Moment};
use crate::jobs::detail::{Detail, JobStep, parts, step_answer};
use crate::jobs::proof_form::{self, Known};
use crate::jobs::returning;
use crate::jobs::steps::JobView;
use crate::machines::{MachineId, Source};
use crate::people::PersonId;
use sha2::{Digest, Sha256};

/// One part of the paper that makes one entry.
pub struct Slot {
    /// What people read when it is refused.
    pub name: String,
    /// Before the names of its fields on the page.
    pub prefix: String,
    pub id: String,
    pub body: Result<Body, FieldErrors>,
}

/// What the paper is read with.
pub struct Paper<'a> {
    pub view: &'a JobView,
    pub steps: &'a [JobStep],
    pub fields: &'a Fields,
    /// When it was done, as written.
    pub moment: Moment,
    pub writer: PersonId,
    pub register: &'a [Instrument],
    /// The permits that have a line on the sheet.
    pub permits: &'a [PermitLine],
    pub zone: &'a Zone,
    /// When it is typed in: nothing of the paper is still to come.
    pub now: Millis,
    /// The chosen motor's circuit check still holds, or somebody licensed has decided.
    pub circuit_stands: bool,
}

/// The fields of one part, without its prefix.
pub(super) fn under(fields: &Fields, prefix: &str) -> Fields {
    let named = fields.0.iter().filter_map(|(name, value)| {
        let name = name.strip_prefix(prefix)?;
        Some((name.to_owned(), value.clone()))
    });
    Fields(named.collect())
}

pub(super) fn written(fields: &Fields) -> bool {
    fields.0.iter().any(|(_, value)| !value.trim().is_empty())
}

/// The same paper sent twice makes the same ids, so that nothing is entered twice.
pub fn id(base: &str, slot: &str) -> String {
    let digest = Sha256::new_with_prefix(base).chain_update(slot).finalize();
    let mut bytes = [0_u8; 16];
    bytes.copy_from_slice(&digest[..16]);
    uuid::Builder::from_random_bytes(bytes)
        .into_uuid()
        .to_string()
}

impl Paper<'_> {
    /// Everything that was written, in the order of the sheet.
    pub fn slots(&self) -> Vec<Slot> {
        let mut slots = Vec::new();
        self.permits_opened(&mut slots);
        self.at_machine(&mut slots);
        if let Some(machine) = self.view.machine.as_ref().map(|m| m.id) {
            self.isolation(machine, &mut slots);
            self.motor(machine, &mut slots);
            self.work(machine, &mut slots);
            self.power(machine, &mut slots);
        }
        self.closing(&mut slots);
        slots
    }

    pub(super) fn add(
        &self,
        slots: &mut Vec<Slot>,
        name: impl Into<String>,
        prefix: &str,
        body: impl FnOnce(&Fields) -> Result<Body, FieldErrors>,
    ) {
        let fields = under(self.fields, prefix);
        if written(&fields) {
            slots.push(Slot {
                name: name.into(),
                id: id(self.fields.get("entry"), prefix),
                prefix: prefix.to_owned(),
                body: body(&fields),
            });
        }
    }

    fn at_machine(&self, slots: &mut Vec<Slot>) {
        self.add(slots, "Unit confirmed", "unit_", |fields| {
            confirm::body(fields, self.view, "tag read at the machine")
        });
        self.add(slots, "As found", "seen_", |fields| {
            let of = |name: &str| fields.get(name).to_owned();
            let input = AtMachineInput {
                running: of("running"),
                condition: of("condition"),
                guard: of("guard"),
                ..AtMachineInput::default()
            };
            input.parse_as_found(self.register, self.moment.today)
        });
    }

    fn isolation(&self, machine_id: MachineId, slots: &mut Vec<Slot>) {
        self.add(slots, "People told", "told_", |fields| {
            let who = fields.get("who").to_owned();
            Ok(Body::PeopleTold { who })
        });
        let Some(sheet) = &self.view.sheet else {
            return;
        };
        for source in &sheet.sources {
            let name = format!("Lock on {}", source.name);
            self.add(slots, name, &lock_prefix(source), |fields| {
                let of = |name: &str| fields.get(name).to_owned();
                Ok(Body::LockOn {
                    machine_id,
                    source_id: source.id,
                    lock_number: of("lock_number"),
                    label_read: of("label_read"),
                    seen_off: fields.ticked("seen_off"),
                    relieved: of("relieved"),
                })
            });
        }
        self.add(slots, "Dead test", "dead_", |fields| {
            dead_test::body(fields, sheet, machine_id, self.moment, self.register)
        });
    }

    fn motor(&self, machine_id: MachineId, slots: &mut Vec<Slot>) {
        let Some(motor) = &self.view.chosen else {
            return;
        };
        self.add(slots, "Motor fitted", "fit_", |fields| {
            if !self.circuit_stands {
                let message =
                    "The figures have changed since the circuit was checked. Check it again";
                return Err(FieldErrors::of("work_done", message));
            }
            Ok(Body::MotorFitted {
                machine_id,
                motor_id: motor.id,
                work_done: fields.get("work_done").to_owned(),
            })
        });
    }

    fn work(&self, machine_id: MachineId, slots: &mut Vec<Slot>) {
        for step in self.steps {
            let prefix = format!("step{}_", step.position);
            let name = format!("Step {}", step.position);
            self.add(slots, name, &prefix, |fields| {
                let mut fields = fields.clone();
                // A figure or a word in the blank is the answer.
                if fields.get("answer").is_empty() {
                    let word = step_answer::answer_of(&step.step).word();
                    fields.0.retain(|(name, _)| name != "answer");
                    fields.0.push(("answer".to_owned(), word.to_owned()));
                }
                let shared = [
                    "qualified_person",
                    "instrument",
                    "instrument_due",
                    "instrument_unknown",
                    "precautions",
                ];
                let live = step.step.live();
                for shared in shared.into_iter().filter(|_| live) {
                    let value = self.fields.get(&format!("proof_{shared}")).to_owned();
                    fields.0.push((shared.to_owned(), value));
                }
                let known = (self.register, self.moment.today);
                step_answer::read(step.position, &step.step, &fields, known).map(Body::Detail)
            });
        }
        let kind = self.view.machine.as_ref().map_or("", |m| m.kind.as_str());
        self.add(slots, "Parts", "part_", |fields| {
            let parts = parts::read(fields, kind)?;
            Ok(Body::Detail(Detail::PartsInspected {
                machine_id,
                parts,
                before_power: false,
            }))
        });
        self.add(slots, "Work done", "work_", |fields| {
            let what = fields.get("what").to_owned();
            Ok(Body::WorkDone { what })
        });
    }

    fn power(&self, machine_id: MachineId, slots: &mut Vec<Slot>) {
        self.add(slots, "Clear for the run test", "ready_", |fields| {
            Ok(Body::ReadyToLift {
                tools_clear: fields.ticked("tools_clear"),
                guards_on: fields.ticked("guards_on"),
                people_clear: fields.get("people_clear").to_owned(),
                people_told: fields.get("people_told").to_owned(),
            })
        });
        for source in self.view.sheet.iter().flat_map(|sheet| &sheet.sources) {
            let name = format!("Lock off {}", source.name);
            self.add(slots, name, &format!("off{}_", source.id), |_| {
                self.lock_of(source)
                    .map(|lock| Body::LockOff { lock })
                    .ok_or_else(|| FieldErrors::of("off", "No lock of the writer is recorded here"))
            });
        }
        self.add(slots, "Energised for the run test", "power_", |fields| {
            Ok(Body::Energised {
                machine_id,
                note: fields.get("note").to_owned(),
            })
        });
        self.add(slots, "Proof", "proof_", |fields| {
            let known = Known::of(self.view);
            let proof = proof_form::parse(fields, &known, self.moment.today, self.register)?;
            Ok(Body::Proof {
                machine_id,
                readings: proof.readings,
                input: proof.input,
                live: proof.live,
                verdict: proof.verdict,
                working: proof.working,
            })
        });
        self.before_return(slots);
        self.add(slots, "Back in service", "back_", returning::back);
    }

    fn closing(&self, slots: &mut Vec<Slot>) {
        self.time(slots);
        self.add(slots, "Cause as written", "cause_", |fields| {
            let text = form::required(fields.get("words"), "Type the cause as written")
                .map_err(|message| FieldErrors::of("words", message))?;
            Ok(Body::Note {
                text: format!("Cause, as written on paper: {text}"),
            })
        });
    }

    /// The writer's own lock on this source: of this very paper, or recorded before.
    fn lock_of(&self, source: &Source) -> Option<String> {
        let prefix = lock_prefix(source);
        if written(&under(self.fields, &prefix)) {
            return Some(id(self.fields.get("entry"), &prefix));
        }
        self.view
            .own_locks()
            .find(|lock| lock.source_id == source.id && lock.person_id == self.writer)
            .map(|lock| lock.entry_id.clone())
    }
}

fn lock_prefix(source: &Source) -> String {
    format!("lock{}_", source.id)
}
