//! The second factor: six digits by the clock (RFC 6238), or one of ten codes that open once.
//!
//! The secret lies in the database as it is: whoever reads the database could make codes, but still
//! lacks the password, of which only an argon2id hash is there. Downloads of the record leave it out.
//! A code counts once, a step of 30 seconds before and after is taken for clocks that differ.

pub mod pages;
pub mod queries;
pub mod sign_in;

use crate::audit::audit;
use crate::clock::Millis;
use crate::db::Tx;
use crate::people::cookies::hash;
use crate::people::kind::Kind;
use crate::people::{Person, PersonId, Role};
use crate::state::AppState;
use serde_json::json;
use totp_rs::{Builder, Secret, Totp};

/// Recovery codes of one person.
const CODES: usize = 10;
/// Letters and digits that are not taken for one another on paper: 32 of them.
const LETTERS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";
/// Sixteen letters of 32 are 80 bits.
const CODE_LENGTH: usize = 16;

/// Who may be asked for it by the shop's setting.
pub const ASKED: &[Role] = &[Role::Supervisor, Role::Keeper];

fn random<const N: usize>() -> [u8; N] {
    let mut bytes = [0_u8; N];
    getrandom::fill(&mut bytes).expect("the operating system gives random bytes");
    bytes
}

/// A new secret of 160 bits, in base32 as apps take it.
pub fn new_secret() -> String {
    Secret::from(random::<20>()).to_base32()
}

/// The clock of codes of one secret; `None` where it is blank or does not read.
pub fn totp(secret: &str, account: &str, issuer: &str) -> Option<Totp> {
    let plain = |text: &str| text.replace(':', " ");
    let secret = Secret::try_from_base32(secret).ok()?;
    Builder::new()
        .with_secret(secret)
        .with_skew(1)
        .with_account_name(plain(account))
        .with_issuer(Some(plain(issuer)))
        .build()
        .ok()
}

/// A step of the clock as codes count it.
fn seconds(now: Millis) -> u64 {
    u64::try_from(now / 1000).unwrap_or(0)
}

/// `xxxx-xxxx-xxxx-xxxx`
pub fn new_code() -> String {
    let mut code = String::new();
    for (at, byte) in random::<CODE_LENGTH>().into_iter().enumerate() {
        if at > 0 && at % 4 == 0 {
            code.push('-');
        }
        code.push(char::from(LETTERS[usize::from(byte % 32)]));
    }
    code
}

fn code_hash(person: PersonId, typed: &str) -> String {
    let bare: String = typed.chars().filter(char::is_ascii_alphanumeric).collect();
    let bare = bare.to_ascii_lowercase();
    hash("recovery code", &format!("{} {bare}", person.0))
}

/// Ten new recovery codes; earlier ones no longer open.
pub async fn new_codes(tx: &mut Tx, person: PersonId) -> sqlx::Result<Vec<String>> {
    queries::drop_codes(tx, person).await?;
    let codes: Vec<String> = (0..CODES).map(|_| new_code()).collect();
    for code in &codes {
        queries::add_code(tx, person, &code_hash(person, code)).await?;
    }
    Ok(codes)
}

/// Whether this code of the clock is the person's, and was not taken before. `confirmed`: of a factor
/// that is in use already.
pub async fn code_right(
    tx: &mut Tx,
    person: PersonId,
    typed: &str,
    now: Millis,
    confirmed: bool,
) -> sqlx::Result<bool> {
    let bare: String = typed.chars().filter(|c| !c.is_whitespace()).collect();
    let Some(factor) = queries::lock(tx, person).await? else {
        return Ok(false);
    };
    if confirmed && factor.confirmed_at.is_none() {
        return Ok(false);
    }
    let step = totp(&factor.secret, "", "").and_then(|totp| totp.check(&bare, seconds(now)));
    let step = step.and_then(|step| i64::try_from(step).ok());
    match step.filter(|step| *step > factor.last_step) {
        Some(step) => queries::taken(tx, person, step).await.map(|()| true),
        None => Ok(false),
    }
}

/// The same, or one of the codes that open once.
pub async fn opens(tx: &mut Tx, person: PersonId, typed: &str, now: Millis) -> sqlx::Result<bool> {
    if code_right(tx, person, typed, now, true).await? {
        return Ok(true);
    }
    if !queries::use_code(tx, person, &code_hash(person, typed), now).await? {
        return Ok(false);
    }
    let left = queries::codes_left(tx, person).await?;
    let thing = ("people", person.0);
    let detail = json!({ "codes_left": left });
    audit(tx, now, Some(person), thing, "recovery code used", &detail).await?;
    Ok(true)
}

/// The session that signing in with everything gives.
pub async fn kind_of(app: &AppState, person: &Person) -> sqlx::Result<Kind> {
    if !ASKED.contains(&person.role) || !queries::demanded(&app.db).await? {
        return Ok(Kind::Full);
    }
    Ok(if queries::in_use(&app.db, person.id).await? {
        Kind::Full
    } else {
        Kind::Factor
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_as_the_standard_has_it() {
        // RFC 6238 appendix B, SHA-1, at 59 s: 94287082, of which six digits are 287082.
        let secret = Secret::from(*b"12345678901234567890").to_base32();
        let totp = totp(&secret, "ada", "Mill: House").expect("a clock");
        assert_eq!(totp.check("287082", 59), Some(1));
        assert_eq!(totp.check("287082", 89), Some(1), "a step late");
        assert_eq!(totp.check("287082", 120), None, "two steps late");
        let url = totp.to_url().expect("an address");
        assert!(url.starts_with("otpauth://totp/"), "{url}");
    }

    #[test]
    fn a_blank_secret_opens_nothing() {
        assert!(totp("", "ada", "shop").is_none());
        assert!(totp("not base 32!", "ada", "shop").is_none());
    }

    #[test]
    fn a_recovery_code_is_read_however_it_is_typed() {
        let code = new_code();
        assert_eq!(code.len(), 19);
        let person = PersonId(7);
        let typed = format!(" {} ", code.replace('-', " ").to_uppercase());
        assert_eq!(code_hash(person, &code), code_hash(person, &typed));
        assert_ne!(code_hash(person, &code), code_hash(PersonId(8), &code));
        assert_ne!(code, new_code());
    }
}
