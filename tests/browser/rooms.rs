//! The rooms that the walk opens once each, on the phone and at the desk, with script and without. A
//! new page gets a line here: a short name for its picture, its address, and who opens it.

/// Who opens a room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    Supervisor,
    Technician,
    /// Somebody who is not signed in.
    Nobody,
}

use Who::{Nobody, Supervisor, Technician};

/// Name, address, who. `{job}` is the job that the walk has taken from report to sign-off. Each room
/// is looked at for parts that stick out, for targets too small to touch and for errors in the console.
#[rustfmt::skip]
pub const ROOMS: &[(&str, &str, Who)] = &[
    // Jobs
    ("report", "/report", Nobody),
    ("status-ask", "/status", Nobody),
    ("status", "/status/{job}", Nobody),
    ("sign-in", "/sign-in", Nobody),
    ("desk", "/desk", Supervisor),
    ("today", "/today", Technician),
    ("job", "/jobs/{job}", Technician),
    ("job-running", "/jobs/3", Supervisor),
    ("plan-job", "/jobs/3/plan", Supervisor),
    ("priority", "/jobs/3/priority", Supervisor),
    ("way", "/jobs/1/way", Supervisor),
    ("hold", "/jobs/3/hold", Technician),
    ("time", "/jobs/3/time", Supervisor),
    ("note", "/jobs/3/note", Technician),
    ("steps", "/jobs/3/steps", Technician),
    ("parts-looked-at", "/jobs/3/parts", Technician),
    ("photos", "/jobs/3/photos", Technician),
    ("review", "/jobs/{job}/review", Supervisor),
    ("follow-up", "/jobs/{job}/follow-up", Supervisor),
    ("temporary", "/jobs/3/temporary", Supervisor),
    ("temporary-all", "/temporary", Supervisor),
    ("sheet", "/jobs/3/sheet", Technician),
    ("sheet-large", "/jobs/3/sheet?form=large", Technician),
    ("from-paper", "/jobs/3/from-paper", Technician),
    ("day-pack", "/day-pack", Technician),
    ("day-pack-of", "/day-pack?person=2", Supervisor),
    ("isolation", "/jobs/3/isolation", Technician),
    ("lift", "/jobs/3/lift", Technician),
    ("locks", "/locks", Supervisor),
    ("handover", "/jobs/3/handover", Technician),
    ("box", "/jobs/3/box", Technician),
    ("permits", "/jobs/3/permits", Supervisor),
    ("cause", "/jobs/{job}/cause", Technician),
    ("sign-off", "/jobs/{job}/sign-off", Supervisor),
    // Machines, panels, the shelf
    ("panels", "/panels", Supervisor),
    ("panel", "/panels/1", Supervisor),
    ("circuit", "/panels/circuits/1/edit", Supervisor),
    ("machine-edit", "/machines/1/edit", Supervisor),
    ("papers", "/machines/1/papers", Supervisor),
    ("readings", "/machines/1/readings", Supervisor),
    ("tags", "/machines/tags", Supervisor),
    ("changes", "/changes/machines/1", Supervisor),
    ("motor-unit", "/motors/units/1", Supervisor),
    ("motor-another", "/machines/1/motors/another", Supervisor),
    ("isolation-sheet", "/machines/1/isolation", Supervisor),
    ("isolation-edit", "/machines/1/isolation/edit", Supervisor),
    ("shelf", "/shelf", Supervisor),
    ("motor", "/shelf/motors/1", Supervisor),
    ("motor-edit", "/shelf/motors/1/edit", Supervisor),
    ("list", "/shelf/lists/1", Supervisor),
    ("search", "/search?q=fan", Supervisor),
    ("find", "/find", Supervisor),
    ("find-machine", "/find?machine=1", Supervisor),
    ("compare", "/find/compare?machine=1&pick=1&pick=2&pick=3&pick=4", Supervisor),
    ("parts", "/shelf/parts", Supervisor),
    ("part", "/shelf/parts/1", Supervisor),
    ("part-edit", "/shelf/parts/1/edit", Supervisor),
    ("machine-parts", "/machines/4/parts", Supervisor),
    ("job-stores", "/jobs/18/stores", Supervisor),
    ("job-warranty", "/jobs/1/warranty", Supervisor),
    ("to-order", "/shelf/to-order", Supervisor),
    ("expiry", "/shelf/expiry", Supervisor),
    ("counting", "/shelf/counting", Supervisor),
    ("buying", "/buying", Supervisor),
    ("alternates", "/shelf/parts/1/alternates", Supervisor),
    ("schedule", "/panels/1/schedule", Supervisor),
    ("panel-check", "/panels/1/check", Supervisor),
    // Preventive work, procedures
    ("preventive", "/preventive", Supervisor),
    ("plan", "/preventive/1", Supervisor),
    ("plan-edit", "/preventive/1/edit", Supervisor),
    ("plan-wide", "/preventive/wide/new", Supervisor),
    ("procedures", "/procedures", Supervisor),
    // Bench and ledger
    ("bench", "/bench", Supervisor),
    ("bench-fit", "/bench/fit", Supervisor),
    ("bench-circuit", "/bench/circuit", Supervisor),
    ("bench-belt", "/bench/belt?motor_speed_rpm=1725&motor_sheave_pitch_mm=3.4&driven_sheave_pitch_mm=8.4&centres_mm=20&section=A", Supervisor),
    ("bench-motors", "/bench/several_motors?motors.0.hp=7+1/2&motors.0.phases=1&motors.0.volts=230&motors.1.hp=5&motors.1.phases=1&motors.1.volts=230&terminal_c=75", Supervisor),
    ("bench-plate", "/bench/plate?text=1/6+HP+1075RPM+208-230V+1.2A+60HZ+1PH+CWSE+5MFD/370V+TEAO+INS+B+CONT", Supervisor),
    ("bench-weibull", "/bench/weibull_mle_right_censored?failures=410+1210+1850+2600&censored=3000+3000", Supervisor),
    ("ledger", "/ledger", Supervisor),
    // The shop
    ("shop", "/shop", Supervisor),
    ("exchange", "/exchange", Supervisor),
    ("person", "/shop/people/1", Supervisor),
    ("places", "/shop/places", Supervisor),
];
