//! What stands at the machine in the walk, as the rows of the database would have it.

use super::*;
use crate::jobs::control::{BoxLock, LockBox, Removal};
use crate::jobs::ways::gate::OutsideLock;

/// What stands in the walk: locks on sources, boxes, removals whose owners are not told.
#[derive(Clone)]
pub(super) struct Site {
    pub(super) locks: Vec<Lock>,
    pub(super) boxes: Vec<LockBox>,
    pub(super) removals: Vec<Removal>,
    pub(super) outside: Vec<OutsideLock>,
    /// The roof permit is open.
    pub(super) permit: bool,
    /// The machine has an isolation sheet.
    pub(super) sheet: bool,
    /// A warranty runs that nobody answered for.
    pub(super) warranty: bool,
}

impl Default for Site {
    fn default() -> Site {
        Site {
            locks: Vec::new(),
            boxes: Vec::new(),
            removals: Vec::new(),
            outside: Vec::new(),
            permit: false,
            sheet: true,
            warranty: false,
        }
    }
}

impl Site {
    fn box_lock(&self, at: usize) -> String {
        let mut all = self.boxes.iter().flat_map(|b| &b.locks);
        all.nth(at)
            .map_or_else(String::new, |lock| lock.entry_id.clone())
    }

    fn lock(&self, at: usize) -> String {
        let lock = self.locks.get(at);
        lock.map_or_else(String::new, |lock| lock.entry_id.clone())
    }

    fn outside_off(&self, at: usize) -> Ways {
        let lock = self.outside.get(at);
        Ways::OutsideLockOff {
            lock: lock.map_or_else(String::new, |l| l.entry_id.clone()),
            by_owner: true,
        }
    }

    pub(super) fn body(&self, tried: Try, job: JobId, by: i64) -> Body {
        let control = match tried {
            Try::Body(body) => return body,
            Try::OutsideOff(at) => return Body::Ways(self.outside_off(at)),
            Try::TakeOff(at) => {
                return Body::LockOff {
                    lock: self.lock(at),
                };
            }
            Try::Remove(at) => removal(self.lock(at)),
            Try::RemoveFromBox(at) => removal(self.box_lock(at)),
            Try::LockBox(all) => Control::BoxLocked {
                box_name: "Box".to_owned(),
                coordinator: PersonId(by),
                keys_of: self
                    .locks
                    .iter()
                    .filter(|l| l.job_id == job && l.person_id.0 == by)
                    .skip(usize::from(!all))
                    .map(|l| l.entry_id.clone())
                    .collect(),
            },
            Try::BoxOn(at) => Control::BoxLockOn {
                of: self
                    .boxes
                    .get(at)
                    .map_or_else(String::new, |b| b.entry_id.clone()),
                lock_number: "P".to_owned(),
            },
            Try::BoxOff(at) => Control::BoxLockOff {
                lock: self.box_lock(at),
            },
            Try::Told(at) => Control::OwnerTold {
                lock: self
                    .removals
                    .get(at)
                    .map_or_else(String::new, |r| r.lock_entry_id.clone()),
                how: "by phone".to_owned(),
            },
        };
        Body::Control(control)
    }

    pub(super) fn around(&self, body: &Body) -> Surroundings {
        let mut around = around(self.locks.clone());
        around.control.boxes.clone_from(&self.boxes);
        around.outside.clone_from(&self.outside);
        kinds::facts(&mut around, body);
        if !self.sheet {
            around.sources.clear();
        }
        around.warranty_open = self.warranty.then(|| "The motor".to_owned());
        around.control.permits = self.permit.then(kinds::open_permit).into_iter().collect();
        around.control.interlocks = vec!["Fire alarm".to_owned()];
        around.control.removals.clone_from(&self.removals);
        around.handed_to = match body {
            Body::Control(Control::BoxLocked {
                coordinator: to, ..
            })
            | Body::Control(Control::HandedOver { to, .. }) => Some(one_of_three(to.0)),
            _ => None,
        };
        around
    }

    pub(super) fn moved(&mut self, job: JobId, by: i64, body: &Body, step: usize) {
        moved(&mut self.locks, job, by, body, step);
        if let Body::Control(control) = body {
            self.control(job, by, control, format!("e{step}"));
        }
        if let Body::Ways(ways) = body {
            self.ways(job, ways, format!("e{step}"));
        }
        let locks = &self.locks;
        for b in &mut self.boxes {
            b.keys
                .retain(|key| locks.iter().any(|l| l.entry_id == *key));
        }
        // As the query has it: a box stands while a lock does whose key is in it.
        self.boxes.retain(|b| !b.keys.is_empty());
    }

    fn ways(&mut self, job: JobId, ways: &Ways, entry_id: String) {
        match ways {
            Ways::OutsideLockOn {
                machine_id,
                source_id,
                owner,
                lock_number,
            } => self.outside.push(OutsideLock {
                entry_id,
                job_id: job,
                machine_id: *machine_id,
                source_id: *source_id,
                source: String::new(),
                firm: "Firm".to_owned(),
                owner: owner.clone(),
                lock_number: lock_number.clone(),
                on_at: 0,
            }),
            Ways::OutsideLockOff { lock, .. } => self.outside.retain(|l| l.entry_id != *lock),
            _ => {}
        }
    }

    fn control(&mut self, job: JobId, by: i64, control: &Control, entry_id: String) {
        match control {
            Control::LockRemovedForOwner { lock, .. } => {
                let on_source = self.locks.iter().find(|l| l.entry_id == *lock);
                let mut on_box = self.boxes.iter().flat_map(|b| &b.locks);
                let owner = on_source
                    .map(|l| l.person_id)
                    .or_else(|| on_box.find(|l| l.entry_id == *lock).map(|l| l.person_id));
                self.removals.push(Removal {
                    entry_id,
                    lock_entry_id: lock.clone(),
                    job_id: job,
                    owner_id: owner.expect("an accepted removal names a standing lock"),
                    owner: String::new(),
                    lock_number: String::new(),
                    point: String::new(),
                    removed_by: String::new(),
                    removed_at: 0,
                    told_at: None,
                });
                self.locks.retain(|l| l.entry_id != *lock);
                for b in &mut self.boxes {
                    b.locks.retain(|l| l.entry_id != *lock);
                }
            }
            Control::PermitOpened { .. } => self.permit = true,
            Control::PermitClosed { .. } => self.permit = false,
            Control::OwnerTold { lock, .. } => self.removals.retain(|r| r.lock_entry_id != *lock),
            Control::BoxLocked { keys_of, .. } => self.boxes.push(LockBox {
                entry_id,
                job_id: job,
                name: "Box".to_owned(),
                coordinator_id: PersonId(by),
                coordinator: String::new(),
                locked_at: 0,
                keys: keys_of.clone(),
                locks: Vec::new(),
            }),
            Control::BoxLockOn { of, .. } => {
                let found = self.boxes.iter_mut().find(|b| b.entry_id == *of);
                found
                    .expect("an accepted lock is on a box")
                    .locks
                    .push(BoxLock {
                        entry_id,
                        person_id: PersonId(by),
                        person: String::new(),
                        lock_number: String::new(),
                        on_at: 0,
                    });
            }
            Control::BoxLockOff { lock } => {
                for b in &mut self.boxes {
                    b.locks.retain(|l| l.entry_id != *lock);
                }
            }
            _ => {}
        }
    }

    pub(super) fn people_on_boxes(&self) -> usize {
        self.boxes.iter().map(|b| b.locks.len()).sum()
    }

    /// Sources on which this job has a lock.
    pub(super) fn locked_by(&self, job: JobId) -> Vec<i64> {
        let own = self.locks.iter().filter(|l| l.job_id == job);
        own.map(|l| l.source_id).collect()
    }

    pub(super) fn all_locked(&self, job: JobId) -> bool {
        let locked = self.locked_by(job);
        [1, 2].iter().all(|source| locked.contains(source))
    }
}

fn removal(lock: String) -> Control {
    let said = || "said".to_owned();
    Control::LockRemovedForOwner {
        lock,
        owner_not_on_site: said(),
        tried_to_reach: said(),
        directed_by: said(),
        procedure_ref: said(),
        device_checked: said(),
    }
}

/// The first so many steps of the meant way of a group, so that many walks begin in its middle.
pub(super) fn the_way_in(steps: usize) -> Vec<(usize, i64, Try)> {
    let told = Body::PeopleTold {
        who: "P".to_owned(),
    };
    let energise = Body::Energised {
        machine_id: MACHINE,
        note: String::new(),
    };
    let way = [
        (1, Try::Body(told)),
        (1, Try::Body(lock_on(1, "own 1"))),
        (1, Try::Body(lock_on(2, "own 2"))),
        (1, Try::Body(dead_test(Verdict::Within))),
        (1, Try::LockBox(true)),
        (1, Try::BoxOn(0)),
        (2, Try::BoxOn(0)),
        (1, Try::Body(work())),
        (1, Try::Body(fitted(MACHINE))),
        (1, Try::BoxOff(0)),
        (2, Try::BoxOff(0)),
        (1, Try::Body(clear())),
        (1, Try::TakeOff(0)),
        (1, Try::TakeOff(0)),
        (1, Try::Body(energise)),
        (1, Try::Body(proof(Verdict::Within))),
        (1, Try::Body(restored(true))),
    ];
    let way = way.into_iter().map(|(by, tried)| (0, by, tried));
    way.take(steps).collect()
}
