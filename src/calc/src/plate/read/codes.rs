//! Codes of letters and figures: IP55, IC411, IM B3, IE2, S1, 3~, Δ/Y, frames, hazardous classes.

use super::fact::{Kind, Mark, Said};
use super::lex::Piece;
use super::phrases::{Entry, phrase};
use super::scan::Got;
use super::units::{Unit, unit};
use crate::plate::{Duty, Mount, Position};

pub(super) fn word(pieces: &[Piece], i: usize) -> &str {
    pieces.get(i).and_then(Piece::word).unwrap_or("")
}

pub(super) fn sign(pieces: &[Piece], i: usize) -> Option<char> {
    pieces.get(i).and_then(Piece::sign)
}

pub(super) fn glued(pieces: &[Piece], i: usize) -> bool {
    pieces.get(i).is_some_and(|piece| piece.glued)
}

/// A whole number with its count of digits.
pub(super) fn whole(pieces: &[Piece], i: usize) -> Option<(u32, usize)> {
    let number = pieces.get(i).and_then(Piece::number)?;
    (number.whole && number.value < 10_000.0).then_some((number.value as u32, number.digits))
}

fn text(kind: Kind, text: String, next: usize) -> Option<Got> {
    Some(Got::of(kind, Said::Text(text), next))
}

/// A code at `i`.
pub(super) fn code(pieces: &[Piece], i: usize) -> Option<Got> {
    phases(pieces, i)
        .or_else(|| ip(pieces, i))
        .or_else(|| iec(pieces, i))
        .or_else(|| mounting(pieces, i))
        .or_else(|| duty(pieces, i))
        .or_else(|| connection(pieces, i))
        .or_else(|| bare_frame(pieces, i))
}

/// `3~`, `~1`, `3 ~`, `3 Mot`.
fn phases(pieces: &[Piece], i: usize) -> Option<Got> {
    let wave = |at: usize| sign(pieces, at) == Some('~');
    let before = wave(i) && glued(pieces, i + 1);
    // `~50 Hz` is the sign of alternating current.
    if before && unit(pieces, i + 2).is_some()
        || !before && !wave(i + 1) && word(pieces, i + 1) != "MOT"
    {
        return None;
    }
    let (count, _) = whole(pieces, i + usize::from(before))?;
    matches!(count, 1 | 3).then(|| Got::figure(Kind::Phases, f64::from(count), i + 2))
}

/// `IP55`, `IP 54`, `IPX4`, `IP5X`. Source: IEC 60529, digits 0 to 6 and 0 to 9.
fn ip(pieces: &[Piece], i: usize) -> Option<Got> {
    match word(pieces, i) {
        "IPX" => {
            let (second, _) = whole(pieces, i + 1).filter(|(digit, _)| *digit <= 9)?;
            text(Kind::IpCode, format!("IPX{second}"), i + 2)
        }
        "IP" => {
            let (code, digits) = whole(pieces, i + 1)?;
            if digits == 1 && code <= 6 && word(pieces, i + 2) == "X" && glued(pieces, i + 2) {
                return text(Kind::IpCode, format!("IP{code}X"), i + 3);
            }
            let known = digits == 2 && code / 10 <= 6;
            let letter = glued(pieces, i + 2) && word(pieces, i + 2).len() == 1;
            let tail = if letter { word(pieces, i + 2) } else { "" };
            known.then_some(())?;
            text(
                Kind::IpCode,
                format!("IP{code:02}{tail}"),
                i + 2 + usize::from(letter),
            )
        }
        _ => None,
    }
}

/// `IC411` (IEC 60034-6) and `IE2` (IEC 60034-30-1).
fn iec(pieces: &[Piece], i: usize) -> Option<Got> {
    let file = pieces
        .get(i + 1)
        .and_then(Piece::number)
        .filter(|n| n.whole && n.digits >= 5);
    if word(pieces, i) == "E" && glued(pieces, i + 1) && file.is_some() {
        return Some(Got::not_used("listing mark", i + 2));
    }
    let (code, digits) = whole(pieces, i + 1)?;
    match word(pieces, i) {
        "IC" if (2..=4).contains(&digits) => {
            let letter = glued(pieces, i + 2) && matches!(word(pieces, i + 2), "W" | "A");
            let tail = if letter { word(pieces, i + 2) } else { "" };
            text(
                Kind::CoolingCode,
                format!("IC{code}{tail}"),
                i + 2 + usize::from(letter),
            )
        }
        "IE" if (1..=5).contains(&code) => text(Kind::EfficiencyClass, format!("IE{code}"), i + 2),
        _ => None,
    }
}

/// `IM B3`, `IMB3`, `B3`, `V1`, with what they say of feet, flange and shaft. Source: IEC 60034-7.
pub(super) fn mounting(pieces: &[Piece], i: usize) -> Option<Got> {
    let (letter, at) = match word(pieces, i) {
        "IMB" => ("B", i + 1),
        "IMV" => ("V", i + 1),
        "IM" => (word(pieces, i + 1), i + 2),
        letter if glued(pieces, i + 1) => (letter, i + 1),
        _ => return None,
    };
    let (figure, _) = whole(pieces, at)?;
    // V and figures that are no mounting are volts.
    let known: &[u32] = match letter {
        "B" => &[3, 5, 6, 7, 8, 9, 10, 14, 34, 35],
        "V" => &[1, 2, 3, 4, 5, 6, 8, 9, 10, 15, 18, 19, 36, 37],
        _ => &[],
    };
    known.contains(&figure).then_some(())?;
    // `V1.5` and `B 3.7 in` were numbers with decimals, and are not whole.
    let mut got = Got::of(
        Kind::MountingCode,
        Said::Text(format!("{letter}{figure}")),
        at + 1,
    );
    let (mount, position) = match (letter, figure) {
        ("B", 3 | 6 | 7 | 8) => (Some(Mount::Feet), None),
        ("B", 5 | 10 | 14) => (Some(Mount::Flange), None),
        ("V", 1 | 18 | 10) => (Some(Mount::Flange), Some(Position::ShaftDown)),
        ("V", 3 | 19) => (Some(Mount::Flange), Some(Position::ShaftUp)),
        ("V", 5) => (Some(Mount::Feet), Some(Position::ShaftDown)),
        ("V", 6) => (Some(Mount::Feet), Some(Position::ShaftUp)),
        _ => (None, None),
    };
    let mount = mount.map(|mount| (Kind::Mount, Said::Mark(Mark::Mount(mount))));
    let position = position.map(|position| (Kind::Position, Said::Mark(Mark::Position(position))));
    got.facts.extend(mount.into_iter().chain(position));
    Some(got)
}

/// `S1`, `S2 30 MIN`, `S3 40 %`, `S6-40%`. Source: IEC 60034-1 clause 4.
fn duty(pieces: &[Piece], i: usize) -> Option<Got> {
    if word(pieces, i) != "S" || !glued(pieces, i + 1) {
        return None;
    }
    let (kind, _) = whole(pieces, i + 1).filter(|(kind, _)| (1..=10).contains(kind))?;
    let mut code = format!("S{kind}");
    let mut next = i + 2;
    let dash = usize::from(sign(pieces, next) == Some('-'));
    if let Some((percent, _)) = whole(pieces, next + dash)
        && let Some((Unit::Percent, after)) = unit(pieces, next + dash + 1)
        && kind > 2
    {
        code += &format!(" {percent} %");
        next = after;
    }
    let mut facts = vec![(Kind::DutyCode, Said::Text(code))];
    let duty = match kind {
        1 => Some(Duty::Continuous),
        2..=5 => Some(Duty::Intermittent),
        _ => None,
    };
    facts.extend(duty.map(|duty| (Kind::Duty, Said::Mark(Mark::Duty(duty)))));
    Some(Got {
        facts,
        next,
        ..Got::default()
    })
}

/// One winding connection: `Δ`, `Y`, `YY`.
pub(super) fn winding(word: &str) -> Option<&'static str> {
    match word {
        "Δ" | "D" | "DELTA" | "TRIANGLE" => Some("Δ"),
        "Y" | "WYE" | "STAR" => Some("Y"),
        "YY" => Some("YY"),
        "ΔΔ" | "DD" => Some("ΔΔ"),
        _ => None,
    }
}

/// `Δ/Y`, `D/Y`, `STAR/DELTA`, `YY/Y`.
pub(super) fn connection(pieces: &[Piece], i: usize) -> Option<Got> {
    let first = winding(word(pieces, i))?;
    let second =
        winding(word(pieces, i + 2)).filter(|_| matches!(sign(pieces, i + 1), Some('/' | '-')))?;
    text(Kind::Connection, format!("{first}/{second}"), i + 3)
}

/// `56C FRAME`, and the frames that are nothing else: `48Y`, `143T`, `90S`, `184TC`.
fn bare_frame(pieces: &[Piece], i: usize) -> Option<Got> {
    let (size, _) = whole(pieces, i)?;
    let mut letters = word(pieces, i + 1);
    // `forty-eight Y` is said with a blank; typed letters are glued.
    let said = pieces.get(i).is_some_and(|p| p.at.len() > 3) && letters.len() <= 2;
    if !(glued(pieces, i + 1) || said && matches!(letters, "C" | "Y" | "H" | "T" | "Z")) {
        letters = "";
    }
    let behind = i + 1 + usize::from(!letters.is_empty());
    if letters != "V"
        && let Some((Entry::Label(Kind::Frame), next)) = phrase(pieces, behind)
        && !super::labelled::has_value(pieces, next)
    {
        return text(Kind::Frame, format!("{size}{letters}"), next);
    }
    let nema = matches!(size, 42 | 48 | 56)
        && matches!(letters, "Y" | "Z" | "J" | "CZ" | "YZ" | "CJ" | "HC");
    let integral = (143..=449).contains(&size)
        && matches!(letters, "T" | "TC" | "TS" | "TSC" | "JM" | "JP" | "TD");
    let metric = matches!(
        size,
        90 | 100 | 112 | 132 | 160 | 180 | 200 | 225 | 250 | 280
    ) && matches!(letters, "S" | "M" | "L" | "LA" | "LB" | "MA");
    (nema || integral || metric).then_some(())?;
    let mut got = Got::of(Kind::Frame, Said::Text(format!("{size}{letters}")), behind);
    // `90S-4`: the poles stand behind the dash.
    if metric
        && sign(pieces, behind) == Some('-')
        && glued(pieces, behind + 1)
        && let Some((poles @ (2 | 4 | 6 | 8), 1)) = whole(pieces, behind + 1)
    {
        got.facts
            .push((Kind::Poles, Said::Figures(vec![f64::from(poles)], vec![0])));
        got.next = behind + 2;
    }
    Some(got)
}
