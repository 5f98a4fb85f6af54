//! One table of routes, in the order of the menu.

use crate::jobs::{
    at_machine, closing, control, desk, detail, emergency, isolation, lift, planning,
    priority_page, proof, report, returning, sheet, show, spells, status, today, work,
};
use crate::people::{self, session, sign_in};
use crate::photos::{self, upload::form_limit};
use crate::shop::{overview, places, response, set_up};
use crate::state::AppState;
use crate::{bench, circuit_check, error, figure, fit, security, shelf, static_files};
use crate::{ledger, preventive, procedures};
use crate::{machines, panels};
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{Method, StatusCode};
use axum::middleware::{Next, from_fn, from_fn_with_state, map_response};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Router, http::header};
use std::time::Duration;
use tower_http::compression::CompressionLayer;
use tower_http::trace::TraceLayer;

pub fn router(app: AppState) -> Router {
    let pages = Router::new()
        .route("/", get(sign_in::home))
        .route("/sign-in", get(sign_in::show).post(sign_in::enter))
        .route("/sign-out", post(sign_in::leave))
        .route("/set-up", get(set_up::show).post(set_up::create))
        // Reports, Desk, Today and jobs
        .route(
            "/report",
            get(report::show)
                .post(report::create)
                .layer(DefaultBodyLimit::max(form_limit(photos::MOST_OF_A_REPORT))),
        )
        .route("/t/{tag}", get(report::show_for_tag))
        .route("/status", get(status::ask))
        .route("/status/{number}", get(status::show))
        .route("/desk", get(desk::show))
        .route("/today", get(today::show))
        .route("/jobs/{id}", get(show::show))
        .route("/jobs/{id}/plan", get(planning::show).post(planning::plan))
        .route(
            "/jobs/{id}/priority",
            get(priority_page::show).post(priority_page::set),
        )
        .route("/jobs/{id}/hand-out", post(planning::hand_out))
        .route("/jobs/{id}/turn-down", post(planning::turn_down))
        .route("/jobs/{id}/join", post(planning::join))
        .route(
            "/jobs/{id}/confirm",
            get(at_machine::show_confirm).post(at_machine::confirm),
        )
        .route(
            "/jobs/{id}/as-found",
            get(at_machine::show_as_found).post(at_machine::as_found),
        )
        .route(
            "/jobs/{id}/hold",
            get(at_machine::show_hold).post(at_machine::hold),
        )
        .route(
            "/jobs/{id}/paper",
            get(emergency::show_paper).post(emergency::paper),
        )
        .route("/jobs/{id}/resume", post(at_machine::resume))
        .route("/jobs/{id}/time", get(spells::show).post(spells::spend))
        .route("/jobs/{id}/time/withdraw", post(spells::withdraw))
        .route(
            "/jobs/{id}/note",
            get(at_machine::show_note).post(at_machine::note),
        )
        .route(
            "/jobs/{id}/cause",
            get(closing::show_cause).post(closing::record_cause),
        )
        .route(
            "/jobs/{id}/sign-off",
            get(closing::show_sign_off).post(closing::sign_off),
        )
        .route("/jobs/{id}/steps", get(detail::step_list::show))
        .route("/jobs/{id}/steps/take", post(detail::step_list::take))
        .route("/jobs/{id}/steps/drop", post(detail::step_list::drop_one))
        .route(
            "/jobs/{id}/steps/{position}",
            get(detail::step_answer::show).post(detail::step_answer::answer),
        )
        .route(
            "/jobs/{id}/parts",
            get(detail::parts::show).post(detail::parts::record),
        )
        .route(
            "/jobs/{id}/review",
            get(detail::review::show).post(detail::review::record),
        )
        .route(
            "/jobs/{id}/follow-up",
            get(detail::follow_up::show).post(detail::follow_up::make),
        )
        .route(
            "/jobs/{id}/temporary",
            get(detail::temporary::show).post(detail::temporary::make),
        )
        .route("/jobs/{id}/temporary/end", post(detail::temporary::end))
        .route("/temporary", get(detail::temporary::all))
        .route("/jobs/{id}/sheet", get(sheet::show))
        .route("/jobs/{id}/isolation", get(isolation::show))
        .route("/jobs/{id}/isolation/told", post(isolation::told))
        .route("/jobs/{id}/isolation/lock", post(isolation::lock))
        .route("/jobs/{id}/isolation/off", post(isolation::off))
        .route("/jobs/{id}/isolation/dead", post(isolation::dead))
        .route("/jobs/{id}/work", get(work::show).post(work::record))
        .route("/jobs/{id}/fitted", post(work::fit))
        .route("/jobs/{id}/lift", get(lift::show))
        .route("/jobs/{id}/lift/ready", post(lift::ready))
        .route("/jobs/{id}/lift/off", post(lift::off))
        .route("/jobs/{id}/lift/energise", post(lift::energise))
        .route("/jobs/{id}/proof", get(proof::show).post(proof::record))
        .route(
            "/jobs/{id}/return",
            get(returning::show).post(returning::put_back),
        )
        .route("/jobs/{id}/return/owed", post(returning::owe))
        // Photos
        .route(
            "/jobs/{id}/photos",
            get(photos::pages::show)
                .post(photos::pages::add)
                .layer(DefaultBodyLimit::max(form_limit(photos::MOST_AT_ONCE))),
        )
        .route("/jobs/{id}/photos/withdraw", post(photos::pages::withdraw))
        .route("/photos/{sha}", get(photos::files::large))
        .route("/photos/{sha}/small", get(photos::files::small))
        .route("/jobs/{id}/return/interlocks", post(returning::restore))
        // Locks of absent owners, boxes, handover, permits and the board of all locks
        .route("/locks", get(control::board::show))
        .route(
            "/jobs/{id}/lock/{lock}/removal",
            get(control::absent_owner::show).post(control::absent_owner::remove),
        )
        .route(
            "/jobs/{id}/lock/{lock}/told",
            post(control::absent_owner::told),
        )
        .route(
            "/jobs/{id}/handover",
            get(control::handover::show).post(control::handover::record),
        )
        .route(
            "/jobs/{id}/box",
            get(control::boxes::show).post(control::boxes::lock),
        )
        .route("/jobs/{id}/box/on", post(control::boxes::on))
        .route("/jobs/{id}/box/off", post(control::boxes::off))
        .route(
            "/jobs/{id}/permits",
            get(control::permits::show).post(control::permits::open),
        )
        .route("/jobs/{id}/permits/needed", post(control::permits::needed))
        .route("/jobs/{id}/permits/close", post(control::permits::close))
        // Machines, places and panels
        .route("/machines", get(machines::list::list))
        .route(
            "/machines/new",
            get(machines::edit::new).post(machines::edit::create),
        )
        .route("/machines/tags", get(machines::tags::all))
        .route("/machines/{id}", get(machines::show::show))
        .route(
            "/machines/{id}/edit",
            get(machines::edit::edit).post(machines::edit::update),
        )
        .route("/machines/{id}/feed", post(machines::edit::prove_feed))
        .route("/machines/{id}/emergency", post(emergency::open))
        .route("/machines/{id}/tag", get(machines::tags::one))
        .route("/machines/{id}/isolation", get(machines::isolation::show))
        .route(
            "/machines/{id}/isolation/edit",
            get(machines::isolation::edit).post(machines::isolation::revise),
        )
        .route(
            "/machines/{id}/isolation/inspection",
            post(machines::isolation::inspect),
        )
        .route("/panels", get(panels::show::list))
        .route(
            "/panels/new",
            get(panels::edit::new_panel).post(panels::edit::create_panel),
        )
        .route("/panels/{id}", get(panels::show::show))
        .route(
            "/panels/{id}/edit",
            get(panels::edit::edit_panel).post(panels::edit::update_panel),
        )
        .route(
            "/panels/{id}/circuits/new",
            get(panels::edit::new_circuit).post(panels::edit::create_circuit),
        )
        .route("/panels/circuits/{id}", get(panels::show::circuit))
        .route(
            "/panels/circuits/{id}/label",
            post(panels::show::mark_label),
        )
        .route(
            "/panels/circuits/{id}/edit",
            get(panels::edit::edit_circuit).post(panels::edit::update_circuit),
        )
        // Shelf, fit, circuit check and Bench
        .route("/shelf", get(shelf::list))
        .route("/shelf/motors/new", get(shelf::new).post(shelf::create))
        .route("/shelf/motors/{id}", get(shelf::show))
        .route(
            "/shelf/motors/{id}/edit",
            get(shelf::edit).post(shelf::update),
        )
        .route("/shelf/motors/{id}/count", post(shelf::count))
        .route(
            "/shelf/lists/new",
            get(shelf::lists::new).post(shelf::lists::create),
        )
        .route("/shelf/lists/{id}", get(shelf::lists::show))
        .route(
            "/shelf/lists/{id}/motors/new",
            get(shelf::lists::new_motor).post(shelf::lists::add_motor),
        )
        .route("/jobs/{id}/fit", get(fit::list))
        .route("/jobs/{id}/fit/{motor}", get(fit::show).post(fit::choose))
        .route(
            "/jobs/{id}/circuit",
            get(circuit_check::show).post(circuit_check::record_check),
        )
        .route("/jobs/{id}/circuit/decision", post(circuit_check::decide))
        .route("/bench", get(bench::index))
        .route("/bench/{name}", get(bench::show))
        .route("/api/figure", get(figure::api::list))
        .route("/api/figure/{topic}", post(figure::api::answer))
        // Preventive and Ledger
        .route("/ledger", get(ledger::show))
        .route("/preventive", get(preventive::pages::list))
        .route(
            "/preventive/new",
            get(preventive::acts::new).post(preventive::acts::create),
        )
        .route("/preventive/{plan}", get(preventive::pages::show))
        .route(
            "/preventive/{plan}/edit",
            get(preventive::acts::edit).post(preventive::acts::update),
        )
        .route(
            "/preventive/items/{item}/job",
            post(preventive::acts::make_job),
        )
        .route(
            "/preventive/items/{item}/could-not",
            post(preventive::acts::could_not),
        )
        .route(
            "/jobs/{id}/plan-from-cause",
            get(preventive::from_cause::show).post(preventive::from_cause::save),
        )
        // Procedures
        .route("/procedures", get(procedures::pages::list))
        .route(
            "/procedures/new",
            get(procedures::edit::new).post(procedures::edit::create),
        )
        .route("/procedures/starter", post(procedures::pages::add_starter))
        .route("/procedures/{id}", get(procedures::pages::show))
        .route(
            "/procedures/{id}/edit",
            get(procedures::edit::edit).post(procedures::edit::update),
        )
        // Shop and people
        .route("/shop", get(overview::show))
        .route("/shop/settings", get(overview::edit).post(overview::update))
        .route("/shop/response", get(response::edit).post(response::update))
        .route("/shop/places", get(places::list))
        .route("/shop/places/new", get(places::new).post(places::create))
        .route("/shop/places/{id}", get(places::edit).post(places::update))
        .route(
            "/shop/people/new",
            get(people::edit::new).post(people::edit::create),
        )
        .route(
            "/shop/people/{id}",
            get(people::edit::show).post(people::edit::update),
        )
        .route(
            "/shop/people/{id}/password",
            post(people::edit::new_password),
        )
        .route("/shop/people/{id}/close", post(people::edit::close))
        .fallback(error::not_found)
        .layer(from_fn_with_state(app.clone(), session::recognise));
    let pages = pages
        .route("/static/{hash}/{name}", get(static_files::serve))
        .route("/healthz", get(healthy))
        .route("/readyz", get(ready));

    let base = app.config.base_path.clone();
    // axum panics on nesting at the root.
    let site = if base.is_empty() {
        pages
    } else {
        Router::new().nest(&base, pages)
    };
    site.layer(DefaultBodyLimit::max(256 * 1024))
        .layer(from_fn_with_state(app.clone(), security::headers))
        .layer(map_response(html_varies))
        .layer(CompressionLayer::new())
        .layer(from_fn(in_time))
        .layer(TraceLayer::new_for_http())
        .with_state(app)
}

/// A request takes half a minute at most; photos come over a phone's weak signal.
async fn in_time(req: Request, next: Next) -> Response {
    let path = req.uri().path();
    let photos =
        req.method() == Method::POST && (path.ends_with("/report") || path.ends_with("/photos"));
    let most = Duration::from_secs(if photos { 300 } else { 30 });
    match tokio::time::timeout(most, next.run(req)).await {
        Ok(response) => response,
        Err(_) => StatusCode::REQUEST_TIMEOUT.into_response(),
    }
}

/// A page differs by who asks.
async fn html_varies(mut response: Response) -> Response {
    let vary = axum::http::HeaderValue::from_static("cookie");
    response.headers_mut().append(header::VARY, vary);
    response
}

/// The process answers.
async fn healthy() -> &'static str {
    "ok\n"
}

/// The database answers too.
async fn ready(State(app): State<AppState>) -> (StatusCode, &'static str) {
    match app.db.ping().await {
        Ok(()) => (StatusCode::OK, "ok\n"),
        Err(_) => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the database does not answer\n",
        ),
    }
}
