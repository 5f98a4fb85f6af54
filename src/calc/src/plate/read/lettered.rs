//! Labels whose value is a letter or a code: frame, code letter, insulation class, connection.

use super::fact::{Kind, Mark, Said};
use super::labelled::{behind, sign, word};
use super::lex::Piece;
use super::phrases::{Entry, phrase};
use super::scan::{Got, Taken, chunk, missed};
use super::{codes, hazard};
use crate::plate::InsulationClass;

/// Labels whose value is a letter or a code.
pub(super) fn of_letters(label: Kind) -> bool {
    matches!(
        label,
        Kind::Frame
            | Kind::StudThread
            | Kind::CodeLetter
            | Kind::DesignLetter
            | Kind::Insulation
            | Kind::Connection
            | Kind::MountingCode
            | Kind::HazardousListing
    )
}

/// The letter or code behind such a label.
pub(super) fn lettered(pieces: &[Piece], label: Kind, at: usize, next: usize) -> Taken {
    let letter = word(pieces, at);
    let figure_behind = pieces
        .get(at + 1)
        .is_some_and(|p| p.glued && p.number().is_some());
    let single = letter.len() == 1 && !figure_behind;
    let text = pieces.get(at).is_some_and(|piece| piece.sign().is_none());
    let found = match label {
        Kind::Frame if text => Some(frame(pieces, at)),
        Kind::StudThread if text => {
            let end = chunk(pieces, at);
            Some(Got::of(
                label,
                Said::Text(joined_text(pieces, at, end)),
                end,
            ))
        }
        Kind::CodeLetter if single && "ABCDEFGHJKLMNPRSTUV".contains(letter) => {
            Some(Got::of(label, Said::Text(letter.to_owned()), at + 1))
        }
        Kind::DesignLetter if single && "ABCDEHLMN".contains(letter) => {
            Some(Got::of(label, Said::Text(letter.to_owned()), at + 1))
        }
        Kind::Connection => codes::connection(pieces, at).or_else(|| {
            let one = codes::winding(letter)?;
            Some(Got::of(label, Said::Text(one.to_owned()), at + 1))
        }),
        Kind::MountingCode => {
            codes::mounting(pieces, next - 1).or_else(|| codes::mounting(pieces, at))
        }
        Kind::Insulation => return insulation(pieces, at, next),
        Kind::CodeLetter => return super::not_used::named(pieces, next, "maker's code"),
        Kind::HazardousListing => match phrase(pieces, at) {
            Some((Entry::Hazard, after)) => Some(hazard::hazard(pieces, at, after)),
            _ => None,
        },
        _ => None,
    };
    found.map_or_else(|| missed("a name without its value", next), Ok)
}

fn frame(pieces: &[Piece], at: usize) -> Got {
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
    Got::of(Kind::Frame, Said::Text(joined_text(pieces, at, end)), end)
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
    let glued = pieces
        .get(at + 1)
        .is_some_and(|p| p.glued && p.number().is_some());
    let letter = class(word(pieces, at)).filter(|_| !glued);
    let heat = pieces
        .get(at)
        .and_then(Piece::number)
        .and_then(|n| class_of_heat(n.value));
    let Some(class) = letter.or(heat) else {
        return missed("not a class of insulation", next);
    };
    let mut end = at + 1;
    if letter.is_none() {
        // `INS 155(F)` and `INS 155 F`: the temperature says it already.
        let bracket = usize::from(sign(pieces, end) == Some('('));
        let again = self::class(word(pieces, end + bracket)) == Some(class);
        end += if again { bracket + 1 } else { 0 };
    }
    // `CLASS F INSULATION`.
    if let Some((Entry::Label(Kind::Insulation), after)) = phrase(pieces, end)
        && insulation_letter(pieces, behind(pieces, after)).is_none()
    {
        end = after;
    }
    Ok(Got::mark(Mark::Insulation(class), end))
}

fn class(letter: &str) -> Option<InsulationClass> {
    Some(match letter {
        "A" => InsulationClass::A,
        "E" => InsulationClass::E,
        "B" => InsulationClass::B,
        "F" => InsulationClass::F,
        "H" => InsulationClass::H,
        _ => return None,
    })
}

fn class_of_heat(celsius: f64) -> Option<InsulationClass> {
    let of = |(heat, _): &&(f64, InsulationClass)| *heat == celsius;
    CLASSES.iter().find(of).map(|(_, class)| *class)
}

/// Class temperatures. Source: IEC 60085.
const CLASSES: &[(f64, InsulationClass)] = &[
    (105.0, InsulationClass::A),
    (120.0, InsulationClass::E),
    (130.0, InsulationClass::B),
    (155.0, InsulationClass::F),
    (180.0, InsulationClass::H),
];

fn insulation_letter(pieces: &[Piece], at: usize) -> Option<()> {
    (class(word(pieces, at)).is_some()
        || pieces.get(at).is_some_and(|piece| piece.number().is_some()))
    .then_some(())
}
