//! The cautions a job shows: those of its machine.

use super::queries::Entry;
use super::roof;
use super::steps::JobView;
use crate::machines::cautions::{self, Known};
use calc::plate::Plate;

/// Warnings for the job's machine; the constant one alone where no machine is named yet.
pub fn of(view: &JobView) -> Vec<String> {
    let mut said = of_machine(view);
    let notes = [
        view.place.as_ref().map_or("", |p| p.access_note.as_str()),
        view.machine.as_ref().map_or("", |m| &m.before_you_go),
    ];
    said.extend(roof::access_cautions(&notes, view.on_roof()));
    said
}

/// The same with what was said at the machine.
pub fn with_said(view: &JobView, entries: &[Entry]) -> Vec<String> {
    let mut said = of(view);
    // Another machine is another roof: only what was said of this one counts.
    let confirmed = view.job.confirmed_at.is_some() && view.on_roof();
    if let Some(stay) = roof::last(entries).filter(|_| confirmed) {
        let judged = roof::judge(stay, view.units).says;
        said.extend(judged.into_iter().filter(|line| line != roof::SKYLIGHTS));
        said.push(format!("{}.", stay.words()));
    }
    said
}

fn of_machine(view: &JobView) -> Vec<String> {
    let Some(machine) = &view.machine else {
        return vec![cautions::ALWAYS.to_owned()];
    };
    let plates: Vec<&Plate> = [&view.fitted, &view.chosen]
        .into_iter()
        .flatten()
        .map(|motor| &motor.plate)
        .collect();
    cautions::cautions(&Known {
        machine,
        plates: &plates,
        sheet: view.sheet.as_ref(),
        labels_wrong: view.panel_label_wrong,
        on_roof: view
            .place
            .as_ref()
            .is_some_and(|place| place.kind == "roof"),
        units: view.units,
        today: view.today,
    })
}
