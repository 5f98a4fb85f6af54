//! A plate's text cut into numbers, words and signs, each with its place.

use std::ops::Range;

/// What one piece is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Lex {
    Number(Number),
    /// Upper case, with `µ` as `U` and dots between single letters dropped (`S.F.` is `SF`).
    Word(String),
    /// One sign; dashes, strokes and quotes of every kind as `-`, `/` and `"`.
    Sign(char),
}

/// A number as written.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Number {
    pub value: f64,
    /// Written without decimals and not as a fraction.
    pub whole: bool,
    /// Written or said as one fraction: `½`, `one sixth`.
    pub fraction: bool,
    /// Three figures behind a comma: `1,075` may be 1075 or 1.075, `208,230` may be two.
    pub comma: Option<(f64, f64)>,
    pub digits: usize,
}

/// One piece of the text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    pub lex: Lex,
    pub at: Range<usize>,
    /// Nothing blank before it.
    pub glued: bool,
}

impl Piece {
    pub fn word(&self) -> Option<&str> {
        match &self.lex {
            Lex::Word(word) => Some(word),
            _ => None,
        }
    }
    pub fn number(&self) -> Option<Number> {
        match self.lex {
            Lex::Number(number) => Some(number),
            _ => None,
        }
    }
    pub fn sign(&self) -> Option<char> {
        match self.lex {
            Lex::Sign(sign) => Some(sign),
            _ => None,
        }
    }
}

/// Signs that only part one value from the next.
pub(super) fn parts(sign: char) -> bool {
    ",;:/|.-@()[]{}'\"_*•·=&+".contains(sign)
}

/// Cuts the text.
pub(super) fn cut(text: &str) -> Vec<Piece> {
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    let end = |i: usize| chars.get(i).map_or(text.len(), |(at, _)| *at);
    let mut pieces: Vec<Piece> = Vec::new();
    let mut glued = false;
    let mut i = 0;
    while let Some(&(start, c)) = chars.get(i) {
        if blank(c) {
            glued = false;
            i += 1;
            continue;
        }
        let before = pieces.last().filter(|_| glued);
        let (lex, next) = number(&chars, i, before)
            .or_else(|| word(&chars, i))
            .unwrap_or_else(|| (sign(c), i + 1));
        pieces.push(Piece {
            lex,
            at: start..end(next),
            glued,
        });
        glued = true;
        i = next;
    }
    pieces
}

/// Blanks, no-break and zero-width ones included.
pub(super) fn blank(c: char) -> bool {
    c.is_whitespace()
        || matches!(
            c,
            '\u{200b}' | '\u{200c}' | '\u{200d}' | '\u{feff}' | '\u{ad}'
        )
}

fn fraction(c: char) -> Option<f64> {
    Some(match c {
        '½' => 1.0 / 2.0,
        '¼' => 1.0 / 4.0,
        '¾' => 3.0 / 4.0,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '⅕' => 1.0 / 5.0,
        '⅙' => 1.0 / 6.0,
        '⅚' => 5.0 / 6.0,
        '⅐' => 1.0 / 7.0,
        '⅛' => 1.0 / 8.0,
        '⅜' => 3.0 / 8.0,
        '⅝' => 5.0 / 8.0,
        '⅞' => 7.0 / 8.0,
        '⅒' => 1.0 / 10.0,
        _ => return None,
    })
}

fn char_at(chars: &[(usize, char)], i: usize) -> char {
    chars.get(i).map_or(' ', |(_, c)| *c)
}

fn digits(chars: &[(usize, char)], from: usize) -> usize {
    chars
        .iter()
        .skip(from)
        .take_while(|(_, c)| c.is_ascii_digit())
        .count()
}

fn text(chars: &[(usize, char)], from: usize, count: usize) -> String {
    let part = chars.iter().skip(from).take(count);
    part.map(|(_, c)| *c).collect()
}

fn number(chars: &[(usize, char)], i: usize, before: Option<&Piece>) -> Option<(Lex, usize)> {
    let c = char_at(chars, i);
    let single = fraction(c).map(|value| said(value, true));
    if let Some(number) = single.or_else(|| (c == '¹').then(|| said(1.0, false))) {
        return Some((Lex::Number(number), i + 1));
    }
    let whole = digits(chars, i);
    let point = char_at(chars, i + whole);
    let after = digits(chars, i + whole + 1);
    let next = i + whole + 1 + after;
    let left = text(chars, i, whole);
    let right = text(chars, i + whole + 1, after);
    // `1'725`: thousands as some write them.
    if (1..=3).contains(&whole) && matches!(point, '\'' | '’') && after == 3 {
        let value = format!("{left}{right}").parse().ok()?;
        return Some((Lex::Number(exact(value, whole + after)), next));
    }
    // A leading point is one only where nothing that it could end stands before it.
    let free = before.is_none_or(|piece| matches!(piece.sign(), Some('/' | '-' | '(' | ':' | '=')));
    let decimals = after > 0 && matches!(point, '.' | ',') && (whole > 0 || (free && point == '.'));
    if whole == 0 && !decimals || after > 30 || whole > 15 {
        return None;
    }
    let lead = left.parse().unwrap_or(0.0);
    // `1075,900` is a list: no thousands, and no decimals behind four figures.
    if !decimals || point == ',' && whole > 3 {
        return Some((Lex::Number(exact(lead, whole)), i + whole));
    }
    let mut number = said(format!("{left}.{right}").parse().ok()?, false);
    number.whole = false;
    if point == ',' && after == 3 && lead > 0.0 && !left.starts_with('0') {
        number.comma = Some((lead, right.parse().unwrap_or(0.0)));
    }
    Some((Lex::Number(number), next))
}

fn exact(value: f64, digits: usize) -> Number {
    Number {
        value,
        whole: true,
        digits,
        ..Number::default()
    }
}

/// A number that is complete as it stands.
pub(super) fn said(value: f64, fraction: bool) -> Number {
    Number {
        value,
        whole: !fraction && value.fract() == 0.0,
        fraction,
        ..Number::default()
    }
}

fn word(chars: &[(usize, char)], i: usize) -> Option<(Lex, usize)> {
    let letters = |from: usize| {
        chars
            .iter()
            .skip(from)
            .take_while(|(_, c)| c.is_alphabetic())
            .count()
    };
    let mut count = letters(i);
    if count == 0 {
        // More figures than any plate value has: a serial number, kept whole.
        count = digits(chars, i);
    }
    if count == 0 {
        return None;
    }
    // `230VΔ/400VY`: volts with the winding's connection.
    let winding = char_at(chars, i + 1);
    if count == 2 && char_at(chars, i).eq_ignore_ascii_case(&'v') && "ΔδYyDd".contains(winding) {
        count = 1;
    }
    let mut text: String = chars.iter().skip(i).take(count).map(|(_, c)| *c).collect();
    let mut next = i + count;
    // S.F. and H.P.: single letters with dots between them are one word.
    while count == 1 && char_at(chars, next) == '.' && letters(next + 1) == 1 {
        text.push(char_at(chars, next + 1));
        next += 2;
        count = 1;
    }
    Some((Lex::Word(upper(&text)), next))
}

fn upper(text: &str) -> String {
    text.chars()
        .flat_map(char::to_uppercase)
        .map(|c| match c {
            'Μ' | 'µ' => 'U',
            'Υ' => 'Y',
            c => c,
        })
        .collect()
}

fn sign(c: char) -> Lex {
    match c {
        '–' | '—' | '−' | '‐' | '‑' | '‒' | '⁻' => Lex::Sign('-'),
        '⁄' | '∕' | '\\' => Lex::Sign('/'),
        '″' | '”' | '“' => Lex::Sign('"'),
        '’' | '‘' | '′' => Lex::Sign('\''),
        '°' | '˚' => Lex::Sign('°'),
        '∿' | '∼' | '～' | '≈' => Lex::Sign('~'),
        '，' => Lex::Sign(','),
        '×' | '✕' => Lex::Word("X".into()),
        '∆' | '△' => Lex::Word("Δ".into()),
        '⌀' => Lex::Word("DIA".into()),
        '℃' => Lex::Word("°C".into()),
        '℉' => Lex::Word("°F".into()),
        c => Lex::Sign(c),
    }
}
