//! Passwords: argon2id, checked and made off the async threads; and which ones will do.
//!
//! NIST SP 800-63B-4 section 3.1.1.2: at least 15 characters where the password is all there is and 8
//! where a second factor is asked for, no rules about kinds of characters, no change without a reason,
//! and a list of common ones. Each code point counts; what is typed is brought to Unicode's NFC first.

use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use sha2::{Digest, Sha256};
use unicode_normalization::UnicodeNormalization;

/// Where the password is all that is asked for.
pub const MIN_LENGTH: usize = 15;
/// Where a code is asked for as well.
pub const MIN_WITH_FACTOR: usize = 8;
/// Longer ones would only cost time.
pub const MAX_LENGTH: usize = 256;
/// What pages say beside the field.
pub const HINT: &str = "At least 15 characters; four plain words will do. Spaces count.";

/// The first twelve hexadecimal digits of SHA-256 of common passwords in small letters, sorted. Made
/// from the list of 20,000 that the Django framework carries (BSD licence, beside this file): the
/// 5,000 commonest of six characters and more, and 3,000 of eight and more. Hashed, because many of
/// them are words that nobody wants to read here.
static COMMON: &str = include_str!("common_passwords.txt");
const COMMON_DIGITS: usize = 12;

fn hasher(cheap: bool) -> Argon2<'static> {
    // OWASP's first choice for argon2id is 19 MiB and two passes; the crate's default is that.
    let params = if cheap {
        Params::new(8, 1, 1, None)
    } else {
        Ok(Params::default())
    };
    Argon2::new(
        Algorithm::Argon2id,
        Version::V0x13,
        params.unwrap_or_default(),
    )
}

/// The same word typed on another keyboard is the same password.
fn composed(password: &str) -> String {
    password.nfc().collect()
}

/// # Errors
/// A sentence where the hash could not be made.
pub async fn hash(password: &str, cheap: bool) -> Result<String, String> {
    let password = composed(password);
    tokio::task::spawn_blocking(move || {
        hasher(cheap)
            .hash_password(password.as_bytes())
            .map(|hash| hash.to_string())
    })
    .await
    .map_err(|e| e.to_string())?
    .map_err(|e| e.to_string())
}

/// Whether the password is the one behind the hash. With no hash, or one that nobody has set yet, it
/// spends the same time and answers no, so that a stranger cannot tell which names exist.
pub async fn verify(password: &str, hash: Option<String>, cheap: bool) -> bool {
    if password.len() > 4 * MAX_LENGTH {
        return false;
    }
    let password = composed(password);
    tokio::task::spawn_blocking(move || {
        let hash = hash
            .as_deref()
            .and_then(|hash| PasswordHash::new(hash).ok());
        match hash {
            Some(hash) => hasher(cheap)
                .verify_password(password.as_bytes(), &hash)
                .is_ok(),
            None => {
                let _spent = hasher(cheap).hash_password(password.as_bytes());
                false
            }
        }
    })
    .await
    .unwrap_or(false)
}

/// What a new password is judged beside.
#[derive(Clone, Copy, Debug, Default)]
pub struct Around<'a> {
    /// Names that everybody here knows: of the shop, of the person.
    pub names: &'a [&'a str],
    /// A code is asked for as well.
    pub second_factor: bool,
}

/// # Errors
/// The sentence to show beside the field.
pub fn check_new(password: &str, around: Around<'_>) -> Result<(), String> {
    let password = composed(password);
    let length = password.chars().count();
    let least = if around.second_factor {
        MIN_WITH_FACTOR
    } else {
        MIN_LENGTH
    };
    if length < least {
        return Err(format!(
            "Use at least {least} characters; a few plain words will do"
        ));
    }
    if length > MAX_LENGTH {
        return Err(format!("Use at most {MAX_LENGTH} characters"));
    }
    let small: Vec<char> = password.to_lowercase().chars().collect();
    if repeats(&small) || runs(&small) || common(&small) {
        return Err("This is one of the first that would be tried; choose another".to_owned());
    }
    if says_only(&small, around.names) {
        return Err(
            "The name of the shop or of the person is not enough; add words of your own".to_owned(),
        );
    }
    Ok(())
}

/// The same few characters over and over.
fn repeats(small: &[char]) -> bool {
    (1..=small.len() / 2).any(|period| {
        let (first, rest) = small.split_at(period);
        rest.chunks(period).all(|part| first.starts_with(part))
    })
}

/// Characters one after the other, up or down.
fn runs(small: &[char]) -> bool {
    let step = |by: i64| {
        let next =
            |pair: &&[char]| i64::from(u32::from(pair[1])) - i64::from(u32::from(pair[0])) == by;
        small.windows(2).filter(next).count()
    };
    let pairs = small.len().saturating_sub(1);
    pairs > 0 && 5 * step(1).max(step(-1)) >= 4 * pairs
}

/// On the list, as it is or without the digits and marks around it.
fn common(small: &[char]) -> bool {
    let whole: String = small.iter().collect();
    let bare = whole.trim_matches(|c: char| !c.is_alphabetic());
    listed(&whole) || (bare.len() < whole.len() && listed(bare))
}

fn listed(word: &str) -> bool {
    let digest = Sha256::digest(word.as_bytes());
    let mut hex: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
    hex.truncate(COMMON_DIGITS);
    let lines: &[u8] = COMMON.as_bytes();
    let (mut low, mut high) = (0, lines.len() / (COMMON_DIGITS + 1));
    while low < high {
        let middle = usize::midpoint(low, high);
        let at = middle * (COMMON_DIGITS + 1);
        match lines[at..at + COMMON_DIGITS].cmp(hex.as_bytes()) {
            std::cmp::Ordering::Less => low = middle + 1,
            std::cmp::Ordering::Greater => high = middle,
            std::cmp::Ordering::Equal => return true,
        }
    }
    false
}

/// Whether little is left without the words of these names.
fn says_only(small: &[char], names: &[&str]) -> bool {
    let whole: String = small.iter().collect();
    let mut rest = whole.clone();
    let words = names
        .iter()
        .flat_map(|name| name.split(|c: char| !c.is_alphanumeric()));
    for word in words.chain(["brasstag"]) {
        let word = composed(word).to_lowercase();
        if word.chars().count() >= 3 {
            rest = rest.replace(&word, "");
        }
    }
    let own = rest.chars().filter(|c| c.is_alphabetic()).count();
    rest.len() < whole.len() && own < 5
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn only_the_right_password_opens() {
        let made = hash("warm kiln on tuesday", true).await.expect("hash");
        assert!(made.starts_with("$argon2id$"));
        assert!(verify("warm kiln on tuesday", Some(made.clone()), true).await);
        assert!(!verify("warm kiln on wednesday", Some(made), true).await);
        assert!(!verify("anything", None, true).await);
        assert!(!verify("", Some(String::new()), true).await);
    }

    #[tokio::test]
    async fn an_accent_typed_either_way_is_the_same() {
        let made = hash("caf\u{e9} au lait at ten", true).await.expect("hash");
        assert!(verify("cafe\u{301} au lait at ten", Some(made), true).await);
    }

    fn refused(password: &str) -> String {
        let names = ["Mill House", "ada", "Ada Brook"];
        let around = Around {
            names: &names,
            second_factor: false,
        };
        check_new(password, around).err().unwrap_or_default()
    }

    #[test]
    fn length_counts_and_nothing_about_kinds_of_characters() {
        assert!(refused("short").contains("at least 15"));
        assert!(refused("fourteen chars").contains("at least 15"));
        assert_eq!(refused("fifteen letters"), "");
        assert_eq!(refused("粘土と銅の屋根の上の風車を直す"), "");
        assert_eq!(
            refused(&"a kiln and a wheel ".repeat(6)),
            refused(&"ab".repeat(9))
        );
        assert_eq!(refused(&format!("{} end", "wheel of clay ".repeat(5))), "");
        assert!(refused(&"x y z ".repeat(60)).contains("at most 256"));
        let with = Around {
            second_factor: true,
            ..Around::default()
        };
        assert_eq!(check_new("wet clay", with), Ok(()));
        assert!(check_new("wetclay", with).is_err());
    }

    #[test]
    fn what_would_be_tried_first_is_refused() {
        for bad in [
            "passwordpassword",
            "Password12345678",
            "aaaaaaaaaaaaaaaa",
            "abcdefghijklmnop",
            "1234567890123456",
            "9876543210987654321",
            "0123456789abcdefgh",
        ] {
            assert!(refused(bad).contains("first that would be tried"), "{bad}");
        }
        for bad in [
            "mill house 2026!",
            "Ada Brook ada 1999",
            "brasstag ada brook",
        ] {
            assert!(refused(bad).contains("words of your own"), "{bad}");
        }
        assert_eq!(refused("mill house leaks on fridays"), "");
    }

    #[test]
    fn the_list_is_sorted_and_whole() {
        let lines: Vec<&str> = COMMON.lines().collect();
        assert!(lines.len() > 5_000 && lines.is_sorted());
        assert!(lines.iter().all(|line| line.len() == COMMON_DIGITS));
        assert!(listed("password") && listed("football1") && !listed("clay and copper"));
    }
}
