//! Reports, Desk, Today and jobs; photos; locks and permits.

use crate::desk;
use crate::jobs::{
    aging, at_machine, closing, confirm, control, day_pack, detail, emergency, from_paper,
    isolation, lift, planning, priority_page, proof, report, returning, sheet, show, spells,
    status, today, ways, work,
};
use crate::photos::{self, upload::form_limit};
use crate::state::AppState;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route(
            "/report",
            get(report::show)
                .post(report::create)
                .layer(DefaultBodyLimit::max(form_limit(photos::MOST_OF_A_REPORT))),
        )
        .route("/t/{tag}", get(report::show_for_tag))
        .route("/status", get(status::ask))
        .route("/status/{number}", get(status::show))
        .route("/desk", get(desk::page::show))
        .route("/desk/board", get(desk::page::part))
        .route("/desk/hand-out", post(desk::act::hand_out))
        .route("/desk/week", get(desk::week::week))
        .route("/desk/month", get(desk::week::month))
        .route("/desk/proposal", get(desk::proposal::show))
        .route("/desk/backlog", get(desk::backlog::show))
        .route("/desk/old", get(aging::show))
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
            get(confirm::show).post(confirm::record),
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
        .route("/jobs/{id}/way", get(ways::pages::show))
        .route("/jobs/{id}/way/{what}", post(ways::pages::record))
        .route("/jobs/{id}/new-machine", post(ways::new_machine::start))
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
        .route(
            "/jobs/{id}/from-paper",
            get(from_paper::show).post(from_paper::record),
        )
        .route("/day-pack", get(day_pack::show))
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
}
