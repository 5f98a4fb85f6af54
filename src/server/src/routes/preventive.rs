//! Preventive work, procedures and the Ledger.

use crate::state::AppState;
use crate::{ledger, meters, preventive, procedures, rounds};
use axum::Router;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/ledger", get(ledger::show))
        .route("/ledger/auditor", get(ledger::auditor::show))
        .route("/ledger/auditor.csv", get(ledger::auditor::csv))
        .route("/preventive/learning", get(preventive::learning::show))
        .route(
            "/preventive/learning/keep",
            post(preventive::learning::keep),
        )
        .route(
            "/preventive/learning/replacement",
            get(preventive::learning::replacement::show),
        )
        .route("/ledger/figures", get(ledger::book::pages::list))
        .route("/ledger/figures/{figure}", get(ledger::book::pages::show))
        .route(
            "/ledger/figures/{figure}/figure.csv",
            get(ledger::book::csv_file::figure),
        )
        .route(
            "/ledger/figures/{figure}/jobs",
            get(ledger::book::rows::show),
        )
        .route(
            "/ledger/figures/{figure}/jobs.csv",
            get(ledger::book::csv_file::jobs),
        )
        .route("/preventive", get(preventive::pages::list))
        .route(
            "/preventive/new",
            get(preventive::acts::new).post(preventive::acts::create),
        )
        .route(
            "/preventive/wide/new",
            get(preventive::wide::new).post(preventive::wide::create),
        )
        .route(
            "/preventive/wide/{wide}/edit",
            get(preventive::wide::edit).post(preventive::wide::update),
        )
        .route("/preventive/missed", get(preventive::missed::show))
        .route("/preventive/season", get(preventive::season::show))
        // Rounds
        .route(
            "/rounds",
            get(rounds::pages::list).post(rounds::pages::create),
        )
        .route("/rounds/checks", get(rounds::checks::show))
        .route(
            "/rounds/{id}",
            get(rounds::pages::show).post(rounds::pages::take),
        )
        .route("/rounds/{id}/sheet", get(rounds::sheet::show))
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
        // Meters
        .route("/meters", get(meters::many::show).post(meters::many::take))
        .route(
            "/meters/{meter}/changed",
            get(meters::change::show).post(meters::change::save),
        )
        .route("/meters/readings/{id}/wrong", post(meters::pages::strike))
        .route(
            "/machines/{id}/meters",
            get(meters::pages::show).post(meters::pages::take),
        )
        .route("/machines/{id}/meters/new", post(meters::pages::create))
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
}
