//! Plain forms: strings in, parsed by hand, every message kept beside its field.

use crate::error::AppError;
use crate::people::session::Visitor;
use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::{HeaderMap, header};
use rust_decimal::Decimal;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::str::FromStr;
use subtle::ConstantTimeEq;
use time::Date;
use time::macros::format_description;

/// Messages by field name; `form` is the message for the whole form.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FieldErrors(BTreeMap<String, String>);

impl FieldErrors {
    pub fn of(field: &str, message: impl Into<String>) -> Self {
        let mut errors = FieldErrors::default();
        errors.add(field, message);
        errors
    }

    /// Keeps the first message of a field.
    pub fn add(&mut self, field: &str, message: impl Into<String>) {
        self.0
            .entry(field.to_owned())
            .or_insert_with(|| message.into());
    }

    /// The value of a parsed field, or its default with the message noted.
    pub fn take<T: Default>(&mut self, field: &str, parsed: Result<T, String>) -> T {
        parsed.unwrap_or_else(|message| {
            self.add(field, message);
            T::default()
        })
    }

    /// The value, or nothing with all messages of another parse kept.
    pub fn gather<T>(&mut self, parsed: Result<T, FieldErrors>) -> Option<T> {
        match parsed {
            Ok(value) => Some(value),
            Err(errors) => {
                for (field, message) in errors.all() {
                    self.add(field, message);
                }
                None
            }
        }
    }

    /// The same with the message of one field beside another.
    pub fn renamed(mut self, field: &str, other: &str) -> FieldErrors {
        if let Some(message) = self.0.remove(field) {
            self.add(other, message);
        }
        self
    }

    pub fn get(&self, field: &str) -> Option<&str> {
        self.0.get(field).map(String::as_str)
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// All messages with their fields, for the summary at the top.
    pub fn all(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0
            .iter()
            .map(|(field, message)| (field.as_str(), message.as_str()))
    }

    pub fn or<T>(self, value: T) -> Result<T, FieldErrors> {
        if self.is_empty() {
            Ok(value)
        } else {
            Err(self)
        }
    }
}

/// A posted form whose hidden `csrf` field and origin were verified first.
pub struct CheckedForm<T>(pub T);

/// The fields as they came, for forms whose rows are made from data. Keeps repeats and order.
#[derive(Clone, Debug, Default)]
pub struct Fields(pub Vec<(String, String)>);

impl Fields {
    /// The first value of a field, trimmed; empty where it was not sent.
    pub fn get(&self, name: &str) -> &str {
        self.0
            .iter()
            .find(|(n, _)| n == name)
            .map_or("", |(_, v)| v.trim())
    }

    pub fn ticked(&self, name: &str) -> bool {
        !self.get(name).is_empty()
    }
}

async fn checked_body<S: Send + Sync>(req: Request, state: &S) -> Result<Bytes, AppError> {
    let (mut parts, body) = req.into_parts();
    let Ok(visitor) = Visitor::from_request_parts(&mut parts, state).await;
    check_origin(&parts.headers)?;
    let body = Bytes::from_request(Request::from_parts(parts, body), state)
        .await
        .map_err(|_| AppError::BadRequest("The form is too large.".to_owned()))?;
    let fields: Vec<(String, String)> = serde_html_form::from_bytes(&body)
        .map_err(|_| AppError::BadRequest("The form could not be read.".to_owned()))?;
    check_text(&fields)?;
    let sent = fields
        .iter()
        .find(|(name, _)| name == "csrf")
        .map_or("", |(_, value)| value);
    check_token(&visitor, sent)?;
    Ok(body)
}

/// Refuses a form that another site sent.
pub(crate) fn check_origin(headers: &HeaderMap) -> Result<(), AppError> {
    if same_origin(headers) {
        Ok(())
    } else {
        Err(AppError::Forbidden(
            "This form was sent from another site. Nothing was saved.",
        ))
    }
}

/// Refuses a form whose csrf word is not this visit's.
pub(crate) fn check_token(visitor: &Visitor, sent: &str) -> Result<(), AppError> {
    if bool::from(sent.as_bytes().ct_eq(visitor.csrf.as_bytes())) {
        Ok(())
    } else {
        Err(AppError::Forbidden(
            "This form is from an earlier visit. Go back, reload the page and send it again.",
        ))
    }
}

pub(crate) fn check_text(fields: &[(String, String)]) -> Result<(), AppError> {
    if fields.iter().any(|(_, value)| value.contains('\0')) {
        return Err(AppError::BadRequest(
            "The form holds a character that is no text.".to_owned(),
        ));
    }
    Ok(())
}

/// Browsers say where a form came from; one that says nothing is judged by the token alone.
fn same_origin(headers: &HeaderMap) -> bool {
    let text = |name| {
        headers
            .get(name)
            .and_then(|v: &header::HeaderValue| v.to_str().ok())
    };
    if let Some(site) = text(header::HeaderName::from_static("sec-fetch-site")) {
        return site == "same-origin" || site == "none";
    }
    match (text(header::ORIGIN), text(header::HOST)) {
        (Some(origin), Some(host)) => origin.split_once("://").is_some_and(|(_, of)| of == host),
        (Some(_), None) => false,
        (None, _) => true,
    }
}

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for CheckedForm<T> {
    type Rejection = AppError;

    async fn from_request(req: Request, state: &S) -> Result<Self, AppError> {
        let body = checked_body(req, state).await?;
        serde_html_form::from_bytes(&body)
            .map(CheckedForm)
            .map_err(|_| AppError::BadRequest("The form could not be read.".to_owned()))
    }
}

impl<S: Send + Sync> FromRequest<S> for Fields {
    type Rejection = AppError;

    async fn from_request(req: Request, state: &S) -> Result<Self, AppError> {
        let body = checked_body(req, state).await?;
        serde_html_form::from_bytes(&body)
            .map(Fields)
            .map_err(|_| AppError::BadRequest("The form could not be read.".to_owned()))
    }
}

/// A text that must be there.
pub fn required(text: &str, message: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() {
        Err(message.to_owned())
    } else {
        Ok(text.to_owned())
    }
}

/// A date as date inputs send it; blank is `None`.
pub fn optional_date(text: &str) -> Result<Option<Date>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    Date::parse(text, format_description!("[year]-[month]-[day]"))
        .map(Some)
        .map_err(|_| "Enter a date that exists, as 2026-11-25".to_owned())
}

pub fn date(text: &str, message: &str) -> Result<Date, String> {
    optional_date(text)?.ok_or_else(|| message.to_owned())
}

/// A number; a comma counts as the decimal point; blank is `None`, never zero.
pub fn optional_number(text: &str) -> Result<Option<f64>, String> {
    let text = text.trim().replace(',', ".");
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(Some(number)),
        _ => Err("Enter a number, as 12.5".to_owned()),
    }
}

/// An exact decimal; blank is `None`, never zero.
pub fn optional_decimal(text: &str) -> Result<Option<Decimal>, String> {
    let text = text.trim().replace(',', ".");
    if text.is_empty() {
        return Ok(None);
    }
    Decimal::from_str(&text)
        .map(Some)
        .map_err(|_| "Enter a number, as 12.5".to_owned())
}

/// A whole number that is not negative; blank is `None`.
pub fn optional_count(text: &str) -> Result<Option<i64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<i64>() {
        Ok(number) if number >= 0 => Ok(Some(number)),
        _ => Err("Enter a whole number, as 3".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blank_is_unknown_and_never_zero() {
        assert_eq!(optional_number("  "), Ok(None));
        assert_eq!(optional_number("0"), Ok(Some(0.0)));
        assert_eq!(optional_number("12,5"), Ok(Some(12.5)));
        assert!(optional_number("inf").is_err());
        assert!(optional_number("12 A").is_err());
        assert_eq!(
            optional_count("-1").unwrap_err(),
            "Enter a whole number, as 3"
        );
    }

    #[test]
    fn a_date_must_exist() {
        assert!(optional_date("2026-02-30").is_err());
        assert_eq!(optional_date(""), Ok(None));
        assert!(optional_date("2028-02-29").is_ok_and(|d| d.is_some()));
    }

    #[test]
    fn another_sites_form_is_refused() {
        let mut headers = HeaderMap::new();
        assert!(same_origin(&headers));
        headers.insert(header::HOST, "shop.example".parse().expect("header"));
        headers.insert(
            header::ORIGIN,
            "https://evil.example".parse().expect("header"),
        );
        assert!(!same_origin(&headers));
        headers.insert(
            header::ORIGIN,
            "https://shop.example".parse().expect("header"),
        );
        assert!(same_origin(&headers));
        headers.insert("sec-fetch-site", "cross-site".parse().expect("header"));
        assert!(!same_origin(&headers));
    }
}
