//! The part of `/telling` about mail: address, what is told, and how soon.

use super::mail::kinds::{Kind, WAYS, Way};
use super::mail::queries::{self, NewMail, Told};
use super::mail::{address_in, news};
use super::pages;
use crate::audit::audit;
use crate::clock::{HOUR, MINUTE, Millis};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::report_code;
use crate::people::{CurrentUser, PersonId};
use crate::state::AppState;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

/// How long a mailed code holds, and how often a wrong one may be typed.
const CODE_HOLDS: Millis = HOUR;
const TRIES: i64 = 5;
/// Between one mailed code and the next.
const NEXT_CODE: Millis = 2 * MINUTE;

/// What the page shows about mail.
#[derive(Debug, Default)]
pub struct MailPart {
    pub told: Told,
    /// Kind, its words, what stands.
    pub kinds: Vec<(Kind, &'static str)>,
    pub errors: FieldErrors,
    pub typed_address: String,
}

impl MailPart {
    pub fn hour(&self) -> String {
        self.told.digest_hour.to_string()
    }

    /// Every hour of the day as a choice.
    pub fn hours(&self) -> Vec<(String, String)> {
        (0..24)
            .map(|hour| (hour.to_string(), format!("{hour:02}:00")))
            .collect()
    }

    pub fn ways(&self) -> [(&'static str, &'static str); 3] {
        WAYS
    }
}

/// `None` where the shop sends no mail.
pub async fn part(app: &AppState, user: &CurrentUser) -> Result<Option<MailPart>, AppError> {
    if app.mail.is_none() {
        return Ok(None);
    }
    let chosen = queries::ways(&app.db, user.id()).await?;
    let way = |kind: Kind| {
        let found = chosen.iter().find(|(word, _)| word == kind.word());
        found
            .and_then(|(_, way)| Way::named(way))
            .unwrap_or(kind.usual())
            .word()
    };
    let kinds = Kind::ALL.into_iter();
    let told = queries::told(&app.db, user.id()).await?;
    Ok(Some(MailPart {
        told: told.unwrap_or(Told {
            digest_hour: 6,
            ..Told::default()
        }),
        kinds: kinds
            .filter(|kind| kind.open_to(user.person.role))
            .map(|kind| (kind, way(kind)))
            .collect(),
        errors: FieldErrors::default(),
        typed_address: String::new(),
    }))
}

/// `what` says which of the page's forms it is.
pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    if app.mail.is_none() {
        return Err(AppError::NotFound);
    }
    let done = match fields.get("what") {
        "address" => ask(&app, &user, fields.get("address")).await?,
        "code" => confirm(&app, &user, fields.get("code")).await?,
        "off" => set(&app, user.id(), user.id(), "").await.map(Ok)?,
        _ => choose(&app, &user, &fields).await.map(Ok)?,
    };
    let Err(errors) = done else {
        return Ok(Redirect::to(&app.url("/telling")).into_response());
    };
    let typed = fields.get("address").to_owned();
    let page = pages::page(&app, &user, None, Some((errors, typed))).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

type Done = Result<(), FieldErrors>;

/// An address as typed in a form; the sentence says what is wrong with it.
pub fn typed_address(text: &str) -> Result<String, String> {
    address_in(text)
        .filter(|found| found == text.trim())
        .ok_or_else(|| "Enter one address, as name@example.org".to_owned())
}

/// Mails a code to an address: only who reads it there can confirm it.
async fn ask(app: &AppState, user: &CurrentUser, typed: &str) -> Result<Done, AppError> {
    let address = match typed_address(typed) {
        Ok(address) => address,
        Err(sentence) => return Ok(Err(FieldErrors::of("address", sentence))),
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let mut told = queries::lock_told(&mut tx, user.id()).await?;
    if !told.code_hash.is_empty() && now < told.code_until - CODE_HOLDS + NEXT_CODE {
        let sentence = "A code was mailed a moment ago. Look for it, or ask again in two minutes";
        return Ok(Err(FieldErrors::of("address", sentence)));
    }
    let code = report_code::new_code();
    told.asked_address.clone_from(&address);
    told.code_hash = hash(user.id(), &code);
    told.code_until = now + CODE_HOLDS;
    told.code_tries = 0;
    queries::set_told(&mut tx, user.id(), &told).await?;
    let words = code_words(app, user, &code);
    let new = NewMail {
        message_id: &news::message_id(app),
        person: None,
        entry: None,
        address: &address,
        subject: &format!("Confirm this address for {}", app.shop_name()),
        words: &words,
        stop: "",
    };
    queries::add_mail(&mut tx, &new, now).await?;
    tx.commit().await?;
    Ok(Ok(()))
}

fn code_words(app: &AppState, user: &CurrentUser, code: &str) -> String {
    format!(
        "Somebody signed in at {} as {} wants news to this address. If that is you, type the code \
         {code} on {} within an hour. If not, do nothing: no news will come.",
        app.shop_name(),
        user.person.sign_in_name,
        app.public_url("/telling"),
    )
}

fn hash(person: PersonId, code: &str) -> String {
    let digest = Sha256::new_with_prefix("mail-code")
        .chain_update(person.0.to_be_bytes())
        .chain_update(code)
        .finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

async fn confirm(app: &AppState, user: &CurrentUser, typed: &str) -> Result<Done, AppError> {
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let mut told = queries::lock_told(&mut tx, user.id()).await?;
    let wrong = |sentence: &str| Ok(Err(FieldErrors::of("code", sentence)));
    if told.code_hash.is_empty() || now > told.code_until || told.code_tries >= TRIES {
        return wrong("This code holds no longer. Have a new one mailed");
    }
    let asked = hash(user.id(), &report_code::typed(typed));
    if !bool::from(asked.as_bytes().ct_eq(told.code_hash.as_bytes())) {
        told.code_tries += 1;
        queries::set_told(&mut tx, user.id(), &told).await?;
        tx.commit().await?;
        return wrong("This is not the code that was mailed. Look again");
    }
    let address = told.asked_address.clone();
    drop(tx);
    set(app, user.id(), user.id(), &address).await?;
    Ok(Ok(()))
}

/// Gives a person an address, or takes it; what waited for a code goes.
pub async fn set(
    app: &AppState,
    person: PersonId,
    by: PersonId,
    address: &str,
) -> Result<(), AppError> {
    let mut tx = app.db.begin_write().await?;
    let mut told = queries::lock_told(&mut tx, person).await?;
    told.address = address.to_owned();
    told.asked_address = String::new();
    told.code_hash = String::new();
    queries::set_told(&mut tx, person, &told).await?;
    let act = if address.is_empty() {
        "mail address taken"
    } else {
        "mail address given"
    };
    let at = app.clock.now();
    audit(&mut tx, at, Some(by), ("people", person.0), act, &()).await?;
    tx.commit().await?;
    Ok(())
}

async fn choose(app: &AppState, user: &CurrentUser, fields: &Fields) -> Result<(), AppError> {
    let mut tx = app.db.begin_write().await?;
    let mut told = queries::lock_told(&mut tx, user.id()).await?;
    if let Some(hour) = fields
        .get("hour")
        .parse()
        .ok()
        .filter(|h| (0..24).contains(h))
    {
        told.digest_hour = hour;
    }
    queries::set_told(&mut tx, user.id(), &told).await?;
    for kind in Kind::ALL {
        if kind.open_to(user.person.role)
            && let Some(way) = Way::named(fields.get(kind.word()))
        {
            queries::set_way(&mut tx, user.id(), kind, way).await?;
        }
    }
    tx.commit().await?;
    Ok(())
}
