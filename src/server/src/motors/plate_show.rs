//! A motor plate for reading: every field a line, with how its value is known.

use super::plate_said::said;
use super::plate_words::{GROUPS, HOWS};
use crate::rows::{Takes, words_of};
use crate::shop::Units;
use calc::plate::Plate;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlateLine {
    pub label: &'static str,
    /// With its unit in trade words; empty where it is not known.
    pub value: String,
    /// `read`, `measured`, `from old record`, `assumed`, `unreadable` or `not known`.
    pub how: String,
    /// Belongs to what is stamped in the first lines of every plate.
    pub main: bool,
}

impl PlateLine {
    /// The value, or the words for why there is none.
    pub fn words(&self) -> &str {
        if self.value.is_empty() {
            &self.how
        } else {
            &self.value
        }
    }
}

/// Every field of the plate, in the order in which plates are read.
pub fn plate_lines(plate: &Plate, units: Units) -> Vec<PlateLine> {
    let said = said(plate, units, true);
    let mut lines = Vec::new();
    for (at, (_, asks)) in GROUPS.iter().enumerate() {
        for ask in *asks {
            let Some(said) = said.iter().find(|said| said.name == ask.name) else {
                continue;
            };
            let value = match ask.takes {
                _ if said.text.is_empty() => String::new(),
                Takes::Choice(options) => words_of(options, &said.text),
                Takes::Number(unit) if !unit.is_empty() => format!("{} {unit}", said.text),
                _ => said.text.clone(),
            };
            let how = match said.how {
                "" => "not known".to_owned(),
                how => words_of(HOWS, how),
            };
            lines.push(PlateLine {
                label: ask.label,
                value,
                how,
                main: at == 0,
            });
        }
    }
    lines
}

/// The plate in one line: `1/4 hp, 230 V, 1.8 A, 1075 rpm`; empty where nothing is known.
pub fn plate_words(plate: &Plate, units: Units) -> String {
    let wanted = ["Power", "Volts", "Full-load amps", "Speed", "Frame"];
    plate_lines(plate, units)
        .into_iter()
        .filter(|line| wanted.contains(&line.label) && !line.value.is_empty())
        .map(|line| line.value)
        .collect::<Vec<_>>()
        .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::{FieldErrors, Fields};
    use crate::motors::plate_form::PlateInput;
    use calc::plate::{Field, How};
    use calc::units::{Rpm, Volts, Watts};

    fn typed(fields: &[(&str, &str)]) -> PlateInput {
        let fields = fields
            .iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()))
            .collect();
        PlateInput::from_fields(&Fields(fields), "fitted_")
    }

    #[test]
    fn a_plate_keeps_how_each_value_is_known() {
        let input = typed(&[
            ("fitted_power", "1/6"),
            ("fitted_power_how", "assumed"),
            ("fitted_volts", "115/230"),
            ("fitted_speeds", "900/1075"),
            ("fitted_amps_how", "unreadable"),
            ("fitted_rotation", "ccw_lead_reversible"),
            ("power", "75 hp"),
        ]);
        let plate = input.parse(Units::Us).expect("a readable plate");
        let power = Watts::from_hp(1.0 / 6.0);
        assert_eq!(
            plate.power,
            Field::Known {
                value: power,
                how: How::Assumed
            }
        );
        assert_eq!(plate.volts, Field::read(vec![Volts(115.0), Volts(230.0)]));
        assert_eq!(plate.speeds, Field::read(vec![Rpm(1075.0), Rpm(900.0)]));
        assert_eq!(plate.amps, Field::Unreadable);
        assert_eq!(plate.phases, Field::Unknown);
        for units in [Units::Us, Units::Si] {
            let again = PlateInput::from_plate(&plate, units, "").parse(units);
            let again = again.expect("what a form shows reads back");
            assert_eq!(again.rotation, plate.rotation);
            assert_eq!(again.amps, Field::Unreadable);
            assert_eq!(
                PlateInput::from_plate(&again, units, ""),
                PlateInput::from_plate(&plate, units, "")
            );
        }
        assert_eq!(
            plate_words(&plate, Units::Us),
            "1/6 hp, 115/230 V, 1075/900 rpm"
        );
        let lines = plate_lines(&plate, Units::Us);
        assert_eq!(
            (lines[0].words(), lines[0].how.as_str()),
            ("1/6 hp", "assumed")
        );
        assert_eq!(lines[2].words(), "unreadable");
        assert_eq!(lines[3].words(), "not known");
    }

    #[test]
    fn a_mistake_is_told_beside_its_field_and_opens_its_group() {
        let input = typed(&[
            ("fitted_power", "one sixth"),
            ("fitted_shaft_diameter", "half"),
            ("fitted_amps", "1.8"),
            ("fitted_amps_how", "unreadable"),
            ("fitted_speeds", "1,075"),
        ]);
        let errors: FieldErrors = input.parse(Units::Us).expect_err("cannot be read");
        assert_eq!(errors.all().count(), 4);
        assert!(
            errors
                .get("fitted_power")
                .is_some_and(|m| m.contains("1/6 hp"))
        );
        let groups = input.groups(Units::Us, &errors);
        assert!(groups[1].open && !groups[2].open);
        assert_eq!(groups[1].rows[1].value, "half");
    }

    #[test]
    fn every_question_is_said_and_every_choice_has_words() {
        let said = said(&Plate::default(), Units::Si, true);
        let asked: usize = GROUPS.iter().map(|(_, asks)| asks.len()).sum();
        assert_eq!(said.len(), asked);
        assert_eq!(plate_lines(&Plate::default(), Units::Si).len(), asked);
    }
}
