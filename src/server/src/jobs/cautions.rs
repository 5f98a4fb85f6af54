//! The cautions a job shows: those of its machine.

use super::steps::JobView;
use crate::machines::cautions::{self, Known};
use calc::plate::Plate;

/// Warnings for the job's machine; the constant one alone where no machine is named yet.
pub fn of(view: &JobView) -> Vec<String> {
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
