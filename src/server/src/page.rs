//! What every page shares: the frame around it, and how a template becomes a response.

use crate::people::session::Visitor;
use crate::people::{Person, Role};
use crate::shop::Units;
use crate::state::AppState;
use crate::static_files;
use askama::Template;
use axum::http::header;
use axum::response::{Html, IntoResponse, Response};
use calc::working::Working;
use std::borrow::Cow;

/// Renders a template; private pages are never kept by a cache.
pub struct Page<T>(pub T);

impl<T: Template> IntoResponse for Page<T> {
    fn into_response(self) -> Response {
        match self.0.render() {
            Ok(html) => ([(header::CACHE_CONTROL, "no-store")], Html(html)).into_response(),
            Err(cause) => {
                tracing::error!(error = &cause as &dyn std::error::Error, "template error");
                axum::http::StatusCode::INTERNAL_SERVER_ERROR.into_response()
            }
        }
    }
}

/// The frame: who is here, where the links go. Every page template holds one as `layout`.
#[derive(Clone, Debug)]
pub struct Layout {
    pub base: String,
    pub csrf: String,
    pub shop: String,
    pub units: Units,
    pub person: Option<Person>,
    pub section: &'static str,
    /// Made to be kept on a phone: every form is shown, and judged when it is sent.
    pub ahead: bool,
}

impl Layout {
    /// `section` is the menu entry that is lit, such as `Machines`; empty for none.
    pub fn new(app: &AppState, visitor: &Visitor, section: &'static str) -> Self {
        Layout {
            base: app.config.base_path.clone(),
            csrf: visitor.csrf.clone(),
            shop: app.shop_name(),
            units: app.units(),
            person: visitor.person.clone(),
            section,
            ahead: visitor.ahead,
        }
    }

    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }

    /// A working in the shop's units; workings are made and kept in SI.
    pub fn shown<'a>(&self, working: &'a Working) -> Cow<'a, Working> {
        match self.units {
            Units::Us => Cow::Owned(working.in_us_units()),
            Units::Si => Cow::Borrowed(working),
        }
    }

    /// A sentence of a working in the shop's units.
    pub fn words<'a>(&self, sentence: &'a str) -> Cow<'a, str> {
        match self.units {
            Units::Us => Cow::Owned(calc::us::in_us_units(sentence)),
            Units::Si => Cow::Borrowed(sentence),
        }
    }

    /// The address of a static file, with its hash, so that it can be kept for ever.
    pub fn file(&self, name: &str) -> String {
        format!("{}{}", self.base, static_files::address(name))
    }

    pub fn is(&self, role: Role) -> bool {
        self.person.as_ref().is_some_and(|p| p.role == role)
    }

    /// May hand out work and sign it off.
    pub fn supervises(&self) -> bool {
        self.is(Role::Supervisor)
    }

    /// Everybody who works here, but not who only reports.
    pub fn searches(&self) -> bool {
        self.person.is_some() && !self.is(Role::Reporter)
    }

    /// Works at machines.
    pub fn works(&self) -> bool {
        self.is(Role::Technician) || self.supervises()
    }

    /// The menu of this person's role, in order.
    pub fn menu(&self) -> &'static [(&'static str, &'static str)] {
        match self.person.as_ref().map(|p| p.role) {
            None => &[("Report", "/report"), ("Sign in", "/sign-in")],
            Some(Role::Reporter) => &[("Report", "/report")],
            Some(Role::Technician) => &[
                ("Today", "/today"),
                ("Machines", "/machines"),
                ("Panels", "/panels"),
                ("Shelf", "/shelf"),
                ("Bench", "/bench"),
            ],
            Some(Role::Storekeeper) => &[
                ("Shelf", "/shelf"),
                ("Machines", "/machines"),
                ("Bench", "/bench"),
            ],
            Some(Role::Supervisor) => &[
                ("Desk", "/desk"),
                ("Today", "/today"),
                ("Machines", "/machines"),
                ("Panels", "/panels"),
                ("Shelf", "/shelf"),
                ("Preventive", "/preventive"),
                ("Bench", "/bench"),
                ("Ledger", "/ledger"),
                ("Shop", "/shop"),
            ],
            Some(Role::Auditor) => &[
                ("Ledger", "/ledger"),
                ("Desk", "/desk"),
                ("Machines", "/machines"),
                ("Panels", "/panels"),
                ("Shelf", "/shelf"),
                ("Preventive", "/preventive"),
                ("Bench", "/bench"),
                ("Shop", "/shop"),
            ],
            Some(Role::Keeper) => &[
                ("Shop", "/shop"),
                ("Machines", "/machines"),
                ("Ledger", "/ledger"),
                ("Bench", "/bench"),
            ],
        }
    }
}
