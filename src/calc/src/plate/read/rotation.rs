//! The direction of turning, put together from the direction, the end and what can be reversed.

use super::choose::Chooser;
use super::fact::{Kind, Mark};
use super::words::only;
use crate::motor::at_shaft_end;
use crate::plate::{Direction, Field, How, Plate, Rotation, SeenFrom};

/// Direction, the end it is seen from and whether it can be reversed, from all that is said of them.
pub(super) fn rotation(from: &mut Chooser, plate: &mut Plate) {
    let (marks, unreadable) = from.marks(Kind::Rotation);
    let reversible = from.mark(Kind::Reversible, |mark| match mark {
        Mark::Reversible(flag) => Some(flag),
        _ => None,
    });
    let end = named_end(from, &marks);
    let turns: Vec<Turn> = marks.iter().filter_map(|one| turn(*one, end)).collect();
    let shipped = marks
        .iter()
        .any(|(mark, _)| matches!(mark, Mark::Shipped(_)));
    match one_way(&turns, shipped || reversible.value() == Some(&true)) {
        Ok(Some((value, how))) => {
            if value.seen_from == SeenFrom::NotStated {
                let words =
                    "the direction is given without the end it is seen from: ask for the end";
                from.doubt("rotation", words);
            }
            plate.rotation = Field::Known { value, how };
        }
        Ok(None) => {
            if end != SeenFrom::NotStated {
                from.doubt("rotation", "an end is named without a direction of turning");
            }
            plate.rotation = match unreadable {
                true => Field::Unreadable,
                false => Field::Unknown,
            };
            plate.more.reversible = reversible;
        }
        Err(()) => {
            from.doubt("rotation", "given both ways, so neither is kept");
            plate.more.reversible = reversible;
        }
    }
}

fn turn((mark, how): (Mark, How), end: SeenFrom) -> Option<Turn> {
    match mark {
        Mark::Turns(direction) => Some((direction, end, how)),
        Mark::TurnsSeen(direction, seen) => Some((direction, seen, how)),
        Mark::Shipped(direction) => Some((direction, SeenFrom::NotStated, how)),
        _ => None,
    }
}

/// The end that is named by itself, for the directions that name none.
fn named_end(from: &mut Chooser, marks: &[(Mark, How)]) -> SeenFrom {
    let end = |(mark, how): &(Mark, How)| match mark {
        Mark::Seen(seen) => Some((*seen, *how)),
        _ => None,
    };
    let ends: Vec<_> = marks.iter().filter_map(end).collect();
    match only(&ends) {
        Ok(end) => end.map_or(SeenFrom::NotStated, |(end, _)| end),
        Err(()) => {
            let words = "two ends are named and neither beside the direction";
            from.doubt("rotation", words);
            SeenFrom::NotStated
        }
    }
}

/// One direction, the end it is seen from and how it is known.
type Turn = (Direction, SeenFrom, How);

/// The rotation on which all agree: `CW SE` and `CCW LE` are one; a bare `CW` agrees with `CW SE`.
fn one_way(turns: &[Turn], reversible: bool) -> Result<Option<(Rotation, How)>, ()> {
    let rotation = |(direction, seen_from, _): Turn| Rotation {
        direction,
        seen_from,
        reversible,
    };
    // As seen from the shaft end first, so that the choice does not hang on the order.
    let mut turns = turns.to_vec();
    turns.sort_by_key(|(_, seen, how)| {
        let end = match seen {
            SeenFrom::ShaftEnd => 0,
            SeenFrom::LeadEnd => 1,
            SeenFrom::NotStated => 2,
        };
        (end, *how != How::Read)
    });
    let Some(first) = turns.first().copied() else {
        return Ok(None);
    };
    let kept = rotation(first);
    let stated = |turn: &&Turn| turn.1 != SeenFrom::NotStated;
    let same = |turn: &Turn| match at_shaft_end(rotation(*turn)) {
        Some(direction) => at_shaft_end(kept) == Some(direction),
        None => first.0 == turn.0 || turns.iter().filter(stated).any(|other| other.0 == turn.0),
    };
    let agreed = turns.iter().all(same);
    if agreed {
        Ok(Some((kept, first.2)))
    } else {
        Err(())
    }
}
