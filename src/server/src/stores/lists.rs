//! What to order, what grows too old, and the list to count by.

use super::parts::currency;
use super::queries;
use super::reorder::{self, Judged, WINDOW};
use super::{HANDS, Part};
use crate::clock::{DAY, date_words};
use crate::error::AppError;
use crate::fit::candidates::{lead_words, price_words};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use time::Date;

/// Parts that one list holds.
const MOST: i64 = 5000;

/// A part that is judged.
struct Row {
    part: Part,
    judged: Judged,
    lead: String,
    price: String,
}

#[derive(Template)]
#[template(path = "stores/to_order.html")]
struct ToOrderPage {
    layout: Layout,
    order: Vec<Row>,
    unknown: Vec<Row>,
    buys: bool,
}

/// `/shelf/to-order`
pub async fn to_order(
    user: CurrentUser,
    State(app): State<AppState>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let now = app.clock.now();
    let uses = queries::uses(&app.db, now - WINDOW * DAY, 0).await?;
    let currency = currency(&app);
    let (mut order, mut unknown) = (Vec::new(), Vec::new());
    for part in queries::counting(&app.db, MOST).await? {
        let used = uses.get(&part.id).cloned().unwrap_or_default();
        let judged = reorder::judge(&part, &used, now);
        let row = Row {
            lead: lead_words(part.lead_days),
            price: price_words(part.price_minor, &currency),
            part,
            judged,
        };
        match (row.judged.order, row.judged.working.missing.is_empty()) {
            (Some(_), _) => order.push(row),
            (None, false) => unknown.push(row),
            (None, true) => {}
        }
    }
    // What a machine that matters waits for comes first.
    order.sort_by_key(|row| !row.part.critical);
    let page = ToOrderPage {
        layout: Layout::new(&app, &user.visitor, "Shelf"),
        buys: HANDS.contains(&user.person.role),
        order,
        unknown,
    };
    Ok(Page(page).into_response())
}

impl Row {
    fn quantity(&self) -> String {
        let many = self.judged.order.unwrap_or(0.0);
        let amount = super::amount::Amount((many * 1000.0).round() as i64);
        amount.words()
    }
}

/// A lot and the day by which it is to be used.
struct Lot {
    part: Part,
    by: Date,
    left: String,
    past: bool,
}

#[derive(Template)]
#[template(path = "stores/expiry.html")]
struct ExpiryPage {
    layout: Layout,
    lots: Vec<Lot>,
}

impl ExpiryPage {
    fn day(&self, lot: &Lot) -> String {
        date_words(lot.by)
    }
}

/// `/shelf/expiry`
pub async fn expiry(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let today = app.today();
    let all = queries::lots(&app.db).await?;
    let mut lots = Vec::new();
    for part in queries::dated_parts(&app.db).await? {
        let of = all.iter().filter(|(id, ..)| *id == part.id);
        let of: Vec<_> = of.map(|(_, by, amount)| (*by, *amount)).collect();
        for left in reorder::left(&of, part.on_hand) {
            lots.push(Lot {
                left: left.amount.with_unit(&part.unit),
                past: left.by < today,
                by: left.by,
                part: part.clone(),
            });
        }
    }
    lots.sort_by_key(|lot| lot.by);
    let layout = Layout::new(&app, &user.visitor, "Shelf");
    Ok(Page(ExpiryPage { layout, lots }).into_response())
}

#[derive(Template)]
#[template(path = "stores/counting.html")]
struct CountingPage {
    layout: Layout,
    parts: Vec<Part>,
}

/// `/shelf/counting`
pub async fn counting(
    user: CurrentUser,
    State(app): State<AppState>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let page = CountingPage {
        layout: Layout::new(&app, &user.visitor, "Shelf"),
        parts: queries::counting(&app.db, MOST).await?,
    };
    Ok(Page(page).into_response())
}
