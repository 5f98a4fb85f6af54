//! Passwords: argon2id, checked and made off the async threads.

use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};

/// Shortest password accepted (NIST SP 800-63B asks for at least 8; length counts, not symbols).
pub const MIN_LENGTH: usize = 10;

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

/// # Errors
/// A sentence where the hash could not be made.
pub async fn hash(password: &str, cheap: bool) -> Result<String, String> {
    let password = password.to_owned();
    tokio::task::spawn_blocking(move || {
        hasher(cheap)
            .hash_password(password.as_bytes())
            .map(|hash| hash.to_string())
    })
    .await
    .map_err(|e| e.to_string())?
    .map_err(|e| e.to_string())
}

/// Whether the password is the one behind the hash. With no hash it spends the same time and
/// answers no, so that a stranger cannot tell which names exist.
pub async fn verify(password: &str, hash: Option<String>, cheap: bool) -> bool {
    let password = password.to_owned();
    tokio::task::spawn_blocking(move || match hash {
        Some(hash) => PasswordHash::new(&hash).is_ok_and(|hash| {
            hasher(cheap)
                .verify_password(password.as_bytes(), &hash)
                .is_ok()
        }),
        None => {
            let _spent = hasher(cheap).hash_password(password.as_bytes());
            false
        }
    })
    .await
    .unwrap_or(false)
}

/// # Errors
/// The sentence to show beside the field.
pub fn check_new(password: &str) -> Result<(), String> {
    if password.chars().count() < MIN_LENGTH {
        return Err(format!(
            "Use at least {MIN_LENGTH} characters; a few plain words will do"
        ));
    }
    Ok(())
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
    }

    #[test]
    fn a_short_password_is_refused() {
        assert!(check_new("short").is_err());
        assert!(check_new("ten letters").is_ok());
    }
}
