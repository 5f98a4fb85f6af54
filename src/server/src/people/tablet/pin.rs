//! Which PINs will do. Pure.

/// Wrong ones in a row after which it is gone.
pub const TRIES: i64 = 5;

/// Typed first by whoever guesses, beside runs and repeats.
const EASY: &[&str] = &[
    "147258", "258000", "159753", "147852", "369258", "102030", "010203", "112358", "314159",
    "271828", "246810", "135790", "123654", "789456", "456789", "987456", "159357", "142536",
];

/// # Errors
/// The sentence to show beside the field.
pub fn check(pin: &str) -> Result<(), String> {
    let digits = pin.as_bytes();
    if !(6..=12).contains(&digits.len()) || !digits.iter().all(u8::is_ascii_digit) {
        return Err("Six to twelve digits, nothing else".to_owned());
    }
    if easy(digits) || EASY.iter().any(|easy| pin.starts_with(easy)) {
        return Err("This is one of the first that would be tried; choose another".to_owned());
    }
    if day(pin) {
        return Err("A day of the calendar is soon guessed; choose another".to_owned());
    }
    Ok(())
}

/// Few digits, the same again, mirrored, or one after the other.
fn easy(digits: &[u8]) -> bool {
    let mut kinds = digits.to_vec();
    kinds.sort_unstable();
    kinds.dedup();
    let repeats = (1..=digits.len() / 2).any(|period| {
        digits
            .iter()
            .zip(&digits[period..])
            .all(|(one, next)| one == next)
    });
    let step = |by: i16| {
        let next =
            |pair: &&[u8]| (i16::from(pair[1]) - i16::from(pair[0]) - by).rem_euclid(10) == 0;
        digits.windows(2).filter(next).count() >= digits.len() - 2
    };
    let pairs = digits.len().is_multiple_of(2) && digits.chunks(2).all(|pair| pair[0] == pair[1]);
    let mirrored = digits.iter().eq(digits.iter().rev());
    kinds.len() < 3 || repeats || step(1) || step(-1) || pairs || mirrored
}

/// A date in one of the usual orders, with the year whole or in two digits.
fn day(pin: &str) -> bool {
    let part = |from: usize, to: usize| pin[from..to].parse::<u16>().unwrap_or(0);
    let month_day = |a: u16, b: u16| (1..=12).contains(&a) && (1..=31).contains(&b);
    let either = |a: u16, b: u16| month_day(a, b) || month_day(b, a);
    let year = |y: u16| (1930..=2060).contains(&y);
    match pin.len() {
        6 => either(part(0, 2), part(2, 4)) && part(4, 6) >= 30 || year(part(0, 4)),
        8 => {
            either(part(0, 2), part(2, 4)) && year(part(4, 8))
                || year(part(0, 4)) && either(part(4, 6), part(6, 8))
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::check;

    #[test]
    fn easy_pins_are_refused_and_others_taken() {
        for bad in [
            "",
            "12345",
            "1234567890123",
            "12345a",
            "１２３４５６",
            "111111",
            "123456",
            "654321",
            "121212",
            "123123",
            "112233",
            "123321",
            "890123",
            "147258",
            "240783",
            "19830724",
            "24071983",
            "198307",
        ] {
            assert!(check(bad).is_err(), "{bad}");
        }
        for good in ["482915", "7302648", "905173", "604927381540"] {
            assert_eq!(check(good), Ok(()), "{good}");
        }
    }
}
