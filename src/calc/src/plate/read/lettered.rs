//! Labels whose value is a letter or a code: frame, code letter, insulation class, connection.

use super::codes;
use super::fact::{Kind, Mark, Said};
use super::labelled::{behind, sign, word};
use super::lex::Piece;
use super::phrases::{Entry, phrase};
use super::scan::{Got, Taken, chunk, missed};
use crate::plate::InsulationClass;

/// A label whose value is a letter or a code.
pub(super) fn lettered(pieces: &[Piece], label: Kind, at: usize, next: usize) -> Taken {
    let letter = word(pieces, at);
    let single = letter.len() == 1
        && !pieces
            .get(at + 1)
            .is_some_and(|p| p.glued && p.number().is_some());
    match label {
        Kind::Frame if pieces.get(at).is_some_and(|p| p.sign().is_none()) => frame(pieces, at),
        Kind::StudThread if pieces.get(at).is_some_and(|p| p.sign().is_none()) => {
            let end = chunk(pieces, at);
            Ok(Got::of(
                label,
                Said::Text(joined_text(pieces, at, end)),
                end,
            ))
        }
        Kind::CodeLetter if single && ("A"..="V").contains(&letter) && !"IOQ".contains(letter) => {
            Ok(Got::of(label, Said::Text(letter.to_owned()), at + 1))
        }
        Kind::DesignLetter if single && "ABCDEHLMN".contains(letter) => {
            Ok(Got::of(label, Said::Text(letter.to_owned()), at + 1))
        }
        Kind::Insulation => insulation(pieces, at, next),
        Kind::Connection => match codes::connection(pieces, at) {
            Some(got) => Ok(got),
            None => match codes::winding(letter) {
                Some(one) => Ok(Got::of(label, Said::Text(one.to_owned()), at + 1)),
                None => missed("a name without its value", next),
            },
        },
        Kind::MountingCode => {
            match codes::mounting(pieces, next - 1).or_else(|| codes::mounting(pieces, at)) {
                Some(got) => Ok(got),
                None => missed("a name without its value", next),
            }
        }
        Kind::HazardousListing => match phrase(pieces, at) {
            Some((Entry::Hazard, after)) => codes::hazard(pieces, at, after),
            _ => missed("a name without its value", next),
        },
        Kind::CodeLetter => super::not_used::named(pieces, next, "maker's code"),
        _ => missed("a name without its value", next),
    }
}

fn frame(pieces: &[Piece], at: usize) -> Taken {
    let mut end = chunk(pieces, at);
    // `FRAME 56 C` is not joined; a spoken "fifty-six C" is.
    let spoken = pieces
        .get(at)
        .is_some_and(|p| p.number().is_some_and(|n| n.digits == 0));
    if spoken
        && end == at + 1
        && matches!(
            word(pieces, at + 1),
            "C" | "Y" | "H" | "T" | "Z" | "S" | "L" | "M"
        )
    {
        end += 1;
    }
    Ok(Got::of(
        Kind::Frame,
        Said::Text(joined_text(pieces, at, end)),
        end,
    ))
}

/// The pieces as one text: words upper case, numbers as they are worth.
fn joined_text(pieces: &[Piece], from: usize, to: usize) -> String {
    let part = |piece: &Piece| match (piece.number(), piece.word(), piece.sign()) {
        (Some(number), ..) => format!("{:0width$}", number.value, width = number.digits),
        (_, Some(word), _) => word.to_owned(),
        (_, _, sign) => sign.map(String::from).unwrap_or_default(),
    };
    pieces.iter().take(to).skip(from).map(part).collect()
}

fn insulation(pieces: &[Piece], at: usize, next: usize) -> Taken {
    let class = match word(pieces, at) {
        "A" => Some(InsulationClass::A),
        "E" => Some(InsulationClass::E),
        "B" => Some(InsulationClass::B),
        "F" => Some(InsulationClass::F),
        "H" => Some(InsulationClass::H),
        _ => None,
    };
    let glued = pieces
        .get(at + 1)
        .is_some_and(|p| p.glued && p.number().is_some());
    let mut end = at + 1;
    let class = match (
        class.filter(|_| !glued),
        pieces.get(at).and_then(Piece::number),
    ) {
        (Some(class), _) => class,
        (None, Some(number)) => {
            // `INS 155(F)` and `INS 155 F`: the temperature says it already.
            let bracket = usize::from(sign(pieces, end) == Some('('));
            if word(pieces, end + bracket).len() == 1
                && "AEBFHC".contains(word(pieces, end + bracket))
            {
                end += bracket + 1;
            }
            match number.value {
                105.0 => InsulationClass::A,
                120.0 => InsulationClass::E,
                130.0 => InsulationClass::B,
                155.0 => InsulationClass::F,
                180.0 => InsulationClass::H,
                _ => return missed("not a class of insulation", next),
            }
        }
        _ => return missed("not a class of insulation", next),
    };
    // `CLASS F INSULATION`.
    if let Some((Entry::Label(Kind::Insulation), after)) = phrase(pieces, end)
        && insulation_letter(pieces, behind(pieces, after)).is_none()
    {
        end = after;
    }
    Ok(Got::mark(Mark::Insulation(class), end))
}

fn insulation_letter(pieces: &[Piece], at: usize) -> Option<()> {
    let class = matches!(word(pieces, at), "A" | "E" | "B" | "F" | "H");
    (class || pieces.get(at).is_some_and(|piece| piece.number().is_some())).then_some(())
}
