//! The words of a plate put together: turning, enclosure, type, protection and the rest.

use super::choose::Chooser;
use super::fact::{Kind, Mark};
use crate::motor::at_shaft_end;
use crate::plate::{
    Direction, Enclosure, Field, How, MotorType, Plate, Protection, Rotation, SeenFrom,
};

/// The one value of several equal ones; `Err` where they differ.
fn only<T: PartialEq + Copy>(values: &[(T, How)]) -> Result<Option<(T, How)>, ()> {
    let Some(first) = values.first() else {
        return Ok(None);
    };
    if values.iter().any(|(value, _)| *value != first.0) {
        return Err(());
    }
    let read = values.iter().find(|(_, how)| *how == How::Read);
    Ok(Some(*read.unwrap_or(first)))
}

fn field<T: PartialEq + Copy>(
    from: &mut Chooser,
    kind: Kind,
    values: &[(T, How)],
    unreadable: bool,
) -> Field<T> {
    match only(values) {
        Ok(Some((value, how))) => Field::Known { value, how },
        Ok(None) if unreadable => Field::Unreadable,
        Ok(None) => Field::Unknown,
        Err(()) => {
            from.doubt(
                kind.name(),
                "given twice and differently, so neither is kept",
            );
            Field::Unknown
        }
    }
}

/// Direction, the end it is seen from and whether it can be reversed, from all that is said of them.
pub(super) fn rotation(from: &mut Chooser, plate: &mut Plate) {
    let (marks, unreadable) = from.marks(Kind::Rotation);
    let reversible = from.mark(Kind::Reversible, |mark| match mark {
        Mark::Reversible(flag) => Some(flag),
        _ => None,
    });
    let ends: Vec<(SeenFrom, How)> = marks
        .iter()
        .filter_map(|(mark, how)| match mark {
            Mark::Seen(seen) => Some((*seen, *how)),
            _ => None,
        })
        .collect();
    let end = match only(&ends) {
        Ok(end) => end.map_or(SeenFrom::NotStated, |(end, _)| end),
        Err(()) => {
            from.doubt(
                "rotation",
                "two ends are named and neither beside the direction",
            );
            SeenFrom::NotStated
        }
    };
    let shipped = marks
        .iter()
        .any(|(mark, _)| matches!(mark, Mark::Shipped(_)));
    let turns: Vec<(Direction, SeenFrom, How)> = marks
        .iter()
        .filter_map(|(mark, how)| match mark {
            Mark::Turns(direction) => Some((*direction, end, *how)),
            Mark::TurnsSeen(direction, seen) => Some((*direction, *seen, *how)),
            Mark::Shipped(direction) => Some((*direction, SeenFrom::NotStated, *how)),
            _ => None,
        })
        .collect();
    let flag = shipped || reversible.value() == Some(&true);
    match one_way(&turns, flag) {
        Ok(Some((rotation, how))) => {
            if rotation.seen_from == SeenFrom::NotStated {
                from.doubt(
                    "rotation",
                    "the direction is given without the end it is seen from: ask for the end",
                );
            }
            plate.rotation = Field::Known {
                value: rotation,
                how,
            };
        }
        Ok(None) => {
            if end != SeenFrom::NotStated {
                from.doubt("rotation", "an end is named without a direction of turning");
            }
            plate.rotation = if unreadable {
                Field::Unreadable
            } else {
                Field::Unknown
            };
            plate.more.reversible = reversible;
        }
        Err(()) => {
            from.doubt("rotation", "given both ways, so neither is kept");
            plate.more.reversible = reversible;
        }
    }
}

/// The rotation on which all agree: `CW SE` and `CCW LE` are one; a bare `CW` agrees with `CW SE`.
fn one_way(
    turns: &[(Direction, SeenFrom, How)],
    reversible: bool,
) -> Result<Option<(Rotation, How)>, ()> {
    let rotation = |(direction, seen_from, how): (Direction, SeenFrom, How)| {
        let rotation = Rotation {
            direction,
            seen_from,
            reversible,
        };
        (rotation, how)
    };
    let mut stated: Vec<_> = turns
        .iter()
        .filter(|turn| turn.1 != SeenFrom::NotStated)
        .copied()
        .collect();
    // As seen from the shaft end first, so that the choice does not hang on the order.
    stated.sort_by_key(|turn| (turn.1 != SeenFrom::ShaftEnd, turn.2 != How::Read));
    let bare: Vec<_> = turns
        .iter()
        .filter(|turn| turn.1 == SeenFrom::NotStated)
        .copied()
        .collect();
    let Some(first) = stated.first().or(bare.first()).copied() else {
        return Ok(None);
    };
    let (kept, how) = rotation(first);
    let same = |turn: &(Direction, SeenFrom, How)| match at_shaft_end(rotation(*turn).0) {
        Some(direction) => at_shaft_end(kept) == Some(direction),
        None => stated
            .iter()
            .chain(std::iter::once(&first))
            .any(|other| other.0 == turn.0),
    };
    if turns.iter().all(same) {
        Ok(Some((kept, how)))
    } else {
        Err(())
    }
}

/// Open and totally enclosed join with air over; what has no word of its own is kept as marked.
pub(super) fn enclosure(from: &mut Chooser, plate: &mut Plate) {
    plate.more.enclosure_mark = from.mark(Kind::EnclosureMark, |mark| match mark {
        Mark::EnclosedAs(mark) => Some(mark.to_owned()),
        _ => None,
    });
    let (marks, unreadable) = from.marks(Kind::Enclosure);
    let how = |wanted: Mark| {
        marks
            .iter()
            .find(|(mark, _)| *mark == wanted)
            .map(|(_, how)| *how)
    };
    let mut full: Vec<(Enclosure, How)> = marks
        .iter()
        .filter_map(|(mark, how)| match mark {
            Mark::Enclosure(enclosure) => Some((*enclosure, *how)),
            _ => None,
        })
        .collect();
    let (open, closed, air) = (
        how(Mark::Open),
        how(Mark::TotallyEnclosed),
        how(Mark::AirOver),
    );
    if let Some(how) = air {
        if open.is_some() {
            full.push((Enclosure::OpenAirOver, how));
        }
        if closed.is_some() {
            full.push((Enclosure::TotallyEnclosedAirOver, how));
        }
    }
    use Enclosure::{OpenAirOver, OpenDripProof, TotallyEnclosedAirOver};
    let is_open = |(kind, _): &(Enclosure, How)| matches!(kind, OpenAirOver | OpenDripProof);
    if open.is_some() && full.iter().any(|one| !is_open(one))
        || closed.is_some() && full.iter().any(is_open)
        || open.is_some() && closed.is_some()
    {
        from.doubt("enclosure", "open and enclosed at once, so neither is kept");
        return;
    }
    let over = |(kind, _): &(Enclosure, How)| matches!(kind, OpenAirOver | TotallyEnclosedAirOver);
    if air.is_some() && full.is_empty() {
        from.doubt(
            "enclosure",
            "air over, but not said whether open or totally enclosed",
        );
    } else if air.is_some() && !full.iter().any(over) {
        from.doubt("enclosure", "air over, and an enclosure that is not");
        return;
    }
    let mark = if open.is_some() {
        Some(("OPEN", open))
    } else {
        closed.map(|how| ("TE", Some(how)))
    };
    if let Some((mark, Some(how))) = mark
        && full.is_empty()
        && air.is_none()
        && plate.more.enclosure_mark == Field::Unknown
    {
        plate.more.enclosure_mark = Field::Known {
            value: mark.to_owned(),
            how,
        };
        if mark == "TE" {
            from.doubt(
                "enclosure",
                "totally enclosed, but not said how it is cooled",
            );
        }
    }
    plate.enclosure = field(from, Kind::Enclosure, &full, unreadable);
}

/// `Induction` alone is a type only where the phases are known to be three.
pub(super) fn motor_type(from: &mut Chooser, plate: &mut Plate) {
    let (marks, unreadable) = from.marks(Kind::MotorType);
    let mut types = Vec::new();
    let mut induction = None;
    for (mark, how) in marks {
        match mark {
            Mark::Type(kind) => types.push((kind, how)),
            Mark::Induction => induction = Some(how),
            _ => {}
        }
    }
    if let Some(how) = induction {
        let no_induction = |(kind, _): &(MotorType, How)| {
            matches!(
                kind,
                MotorType::ElectronicallyCommutated | MotorType::DirectCurrent
            )
        };
        match plate.phases.value() {
            _ if types.iter().any(no_induction) => {
                from.doubt("motor_type", "an induction motor, and a type that is none");
                return;
            }
            Some(3) => types.push((MotorType::ThreePhaseInduction, how)),
            _ if types.is_empty() => {
                from.doubt(
                    "motor_type",
                    "an induction motor, but not said of which type",
                );
            }
            _ => {}
        }
    }
    plate.motor_type = field(from, Kind::MotorType, &types, unreadable);
}

/// A thermal protector is a value only with how it resets.
pub(super) fn protection(from: &mut Chooser, plate: &mut Plate) {
    let (marks, unreadable) = from.marks(Kind::Protection);
    let thermal = marks.iter().any(|(mark, _)| *mark == Mark::Thermal);
    let kinds: Vec<(Protection, How)> = marks
        .iter()
        .filter_map(|(mark, how)| match mark {
            Mark::Protection(kind) => Some((*kind, *how)),
            _ => None,
        })
        .collect();
    if thermal && kinds.is_empty() {
        from.doubt(
            "protection",
            "thermally protected, but not said whether it resets by itself or by hand",
        );
    }
    if thermal
        && kinds
            .iter()
            .any(|(kind, _)| *kind == Protection::NoProtector)
    {
        from.doubt(
            "protection",
            "protected and not protected, so neither is kept",
        );
        return;
    }
    plate.protection = field(from, Kind::Protection, &kinds, unreadable);
}

macro_rules! marks {
    ($from:ident, $plate:ident, $($field:ident: $kind:ident;)+) => {$(
        $plate.$field = $from.mark(Kind::$kind, |mark| match mark {
            Mark::$kind(value) => Some(value),
            _ => None,
        });
    )+};
}

/// Fields that are one word each.
pub(super) fn others(from: &mut Chooser, plate: &mut Plate) {
    marks!(from, plate,
        insulation: Insulation;
        bearing: Bearing;
        position: Position;
        mount: Mount;
        stud_end: StudEnd;
        shaft_form: ShaftForm;
        double_shaft: DoubleShaft;
        speed_control: SpeedControl;
        capacitor_included: CapacitorIncluded;
    );
}
