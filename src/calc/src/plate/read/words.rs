//! The words of a plate put together: enclosure, type, protection and the rest.

use super::choose::Chooser;
use super::fact::{Kind, Mark};
use crate::plate::{Enclosure, Field, How, MotorType, Plate, Protection};

/// The one value of several equal ones; `Err` where they differ.
pub(super) fn only<T: PartialEq + Copy>(values: &[(T, How)]) -> Result<Option<(T, How)>, ()> {
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

/// Open and totally enclosed join with air over; what has no word of its own is kept as marked.
pub(super) fn enclosure(from: &mut Chooser, plate: &mut Plate) {
    use Enclosure::{OpenAirOver, OpenDripProof, TotallyEnclosedAirOver};
    plate.more.enclosure_mark = from.mark(Kind::EnclosureMark, |mark| match mark {
        Mark::EnclosedAs(mark) => Some(mark.to_owned()),
        _ => None,
    });
    let (marks, unreadable) = from.marks(Kind::Enclosure);
    let how = |wanted: Mark| {
        let found = marks.iter().find(|(mark, _)| *mark == wanted);
        found.map(|(_, how)| *how)
    };
    let mut full = whole_enclosures(&marks);
    let (open, closed, air) = (
        how(Mark::Open),
        how(Mark::TotallyEnclosed),
        how(Mark::AirOver),
    );
    if let Some(how) = air {
        full.extend(open.map(|_| (OpenAirOver, how)));
        full.extend(closed.map(|_| (TotallyEnclosedAirOver, how)));
    }
    let is_open = |(kind, _): &(Enclosure, How)| matches!(kind, OpenAirOver | OpenDripProof);
    let against_open = open.is_some() && (closed.is_some() || full.iter().any(|one| !is_open(one)));
    if against_open || closed.is_some() && full.iter().any(is_open) {
        return from.doubt("enclosure", "open and enclosed at once, so neither is kept");
    }
    let over = |(kind, _): &(Enclosure, How)| matches!(kind, OpenAirOver | TotallyEnclosedAirOver);
    if air.is_some() && full.is_empty() {
        let words = "air over, but not said whether open or totally enclosed";
        from.doubt("enclosure", words);
    } else if air.is_some() && !full.iter().any(over) {
        return from.doubt("enclosure", "air over, and an enclosure that is not");
    }
    if full.is_empty() && air.is_none() {
        as_marked(from, plate, open, closed);
    }
    plate.enclosure = field(from, Kind::Enclosure, &full, unreadable);
}

fn whole_enclosures(marks: &[(Mark, How)]) -> Vec<(Enclosure, How)> {
    let whole = |(mark, how): &(Mark, How)| match mark {
        Mark::Enclosure(enclosure) => Some((*enclosure, *how)),
        _ => None,
    };
    marks.iter().filter_map(whole).collect()
}

/// `OPEN` and `TE` alone say too little for an enclosure, and are kept as they are marked.
fn as_marked(from: &mut Chooser, plate: &mut Plate, open: Option<How>, closed: Option<How>) {
    let open = open.map(|how| ("OPEN", how));
    let marked = open.or(closed.map(|how| ("TE", how)));
    if let Some((mark, how)) = marked.filter(|_| plate.more.enclosure_mark == Field::Unknown) {
        let value = mark.to_owned();
        plate.more.enclosure_mark = Field::Known { value, how };
        if mark == "TE" {
            from.doubt(
                "enclosure",
                "totally enclosed, but not said how it is cooled",
            );
        }
    }
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
