//! The face of a panel: odd numbers on the left, even ones on the right. Pure.

use super::PanelCircuit;

/// One place of the face, by its number as stamped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Slot {
    /// No circuit is recorded here.
    Blank(u32),
    /// The circuit at this index of the list begins here.
    Begins(u32, usize),
    /// A device of several poles goes on here.
    GoesOn(u32, usize),
}

/// The numbers a circuit takes: `7`, `9-11`, `1,3,5`; a single number of several poles takes every
/// other one from there. Empty where it has no number.
pub fn numbers(number: &str, poles: Option<u8>) -> Vec<u32> {
    let parts = number.split(|c: char| !c.is_ascii_digit());
    let found: Vec<u32> = parts.filter_map(|part| part.parse().ok()).collect();
    let sane = |n: &u32| (1..=200).contains(n);
    if found.is_empty() || !found.iter().all(sane) {
        return Vec::new();
    }
    let range = number.contains(['-', '–', '/']);
    match found[..] {
        [first] => (0..u32::from(poles.unwrap_or(1).clamp(1, 4)))
            .map(|pole| first + 2 * pole)
            .collect(),
        [first, last] if range && first < last && (last - first).is_multiple_of(2) => {
            (first..=last).step_by(2).collect()
        }
        _ => found,
    }
}

/// Rows of the face, left and right, down to the highest number; and the circuits that have no number
/// or whose number another one has already.
pub fn rows(circuits: &[PanelCircuit]) -> (Vec<(Slot, Slot)>, Vec<usize>) {
    let taken: Vec<Vec<u32>> = circuits
        .iter()
        .map(|circuit| numbers(&circuit.number, circuit.facts.poles))
        .collect();
    let last = taken.iter().flatten().copied().max().unwrap_or(0);
    let mut face: Vec<Slot> = (1..=last + last % 2).map(Slot::Blank).collect();
    let mut beside = Vec::new();
    for (at, numbers) in taken.iter().enumerate() {
        let mut shown = false;
        for number in numbers {
            let Some(slot) = face.get_mut(*number as usize - 1) else {
                continue;
            };
            if matches!(slot, Slot::Blank(_)) {
                *slot = match shown {
                    false => Slot::Begins(*number, at),
                    true => Slot::GoesOn(*number, at),
                };
                shown = true;
            }
        }
        if !shown {
            beside.push(at);
        }
    }
    let rows = face.chunks(2).filter_map(|pair| match pair {
        [left, right] => Some((left.clone(), right.clone())),
        _ => None,
    });
    (rows.collect(), beside)
}

/// The conductors of the feeder that a circuit loads, counted from the top of the face: `A`, `B` and,
/// on three phases, `C` (common practice). All of them where its number does not say.
pub fn legs(numbers: &[u32], of: usize) -> Vec<usize> {
    let all = || (0..of).collect();
    if numbers.is_empty() || of < 2 {
        return all();
    }
    let mut legs: Vec<usize> = numbers
        .iter()
        .map(|number| ((*number as usize).div_ceil(2) - 1) % of)
        .collect();
    legs.sort_unstable();
    legs.dedup();
    legs
}

/// Conductors of a panel's supply as written: three with three phases, two of a split phase, else one.
pub fn conductors(supply: &str) -> usize {
    let text = supply.to_lowercase();
    let three = [
        "three-phase",
        "three phase",
        "3-phase",
        "3ph",
        "3 ph",
        "3~",
        "208y",
        "480y",
    ];
    if three.iter().any(|word| text.contains(word)) {
        3
    } else if text.contains('/') || text.contains("split") {
        2
    } else {
        1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::panels::CircuitId;
    use calc::installation::Circuit;

    fn circuit(number: &str, poles: Option<u8>) -> PanelCircuit {
        PanelCircuit {
            id: CircuitId(1),
            panel_id: 1,
            panel: "LP-1".to_owned(),
            number: number.to_owned(),
            label_read: "Fans".to_owned(),
            label_wrong: false,
            label_note: String::new(),
            label_proved_on: None,
            label_proved_by: String::new(),
            label_proved_how: String::new(),
            wire_type: String::new(),
            raceway: String::new(),
            feeds: String::new(),
            facts: Circuit {
                poles,
                ..Circuit::default()
            },
            version: 1,
        }
    }

    #[test]
    fn numbers_are_read_as_they_are_stamped() {
        assert_eq!(numbers("7", None), [7]);
        assert_eq!(numbers("7", Some(3)), [7, 9, 11]);
        assert_eq!(numbers("9-11", Some(2)), [9, 11]);
        assert_eq!(numbers("1-5", None), [1, 3, 5]);
        assert_eq!(numbers("1, 3, 5", None), [1, 3, 5]);
        assert!(numbers("main", None).is_empty());
        assert!(numbers("4000", None).is_empty());
    }

    #[test]
    fn the_face_has_odd_numbers_left_and_even_ones_right() {
        let all = [circuit("1-3", None), circuit("4", None), circuit("3", None)];
        let (rows, beside) = rows(&all);
        assert_eq!(
            rows,
            [
                (Slot::Begins(1, 0), Slot::Blank(2)),
                (Slot::GoesOn(3, 0), Slot::Begins(4, 1)),
            ]
        );
        assert_eq!(beside, [2], "its place is taken");
        assert_eq!(super::rows(&[]), (Vec::new(), Vec::new()));
    }

    #[test]
    fn a_circuit_loads_the_conductors_of_its_places() {
        assert_eq!(legs(&[1], 2), [0]);
        assert_eq!(legs(&[3], 2), [1]);
        assert_eq!(legs(&[5, 7, 9], 3), [0, 1, 2]);
        assert_eq!(legs(&[], 3), [0, 1, 2]);
        assert_eq!(conductors("120/240 V single-phase"), 2);
        assert_eq!(conductors("208Y/120 V three-phase"), 3);
        assert_eq!(conductors("230 V"), 1);
    }
}
