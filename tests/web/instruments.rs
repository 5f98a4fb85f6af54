//! Test instruments: the register, which one a reading was taken with, and what one found wrong puts
//! in doubt.

use crate::app::{Answer, NOON, TestApp, Visit};
use crate::small_shop::{lay_out, plan_and_hand_out, report};
use axum::http::StatusCode;
use brasstag::clock::DAY;

async fn add(visit: &Visit<'_>, number: &str, more: &[(&str, &str)]) -> Answer {
    let typed = [&[("number", number), ("kind", "clamp_meter")], more].concat();
    visit
        .submit("/instruments/new", "/instruments/new", &typed)
        .await
}

/// As found, with volts read by this instrument.
async fn as_found(visit: &Visit<'_>, job: i64, with: &[(&str, &str)]) -> Answer {
    let page = format!("/jobs/{job}/as-found");
    let person = visit.get(&page).await;
    let id = person.value("#qualified_person option:not([value=''])");
    let typed = [
        &[
            ("running", "running"),
            ("condition", "Howls"),
            ("guard", "there and whole"),
            ("volts", "118"),
            ("qualified_person", id.as_str()),
            ("precautions", "Gloves"),
        ],
        with,
    ]
    .concat();
    visit.submit(&page, &page, &typed).await
}

#[tokio::test]
async fn an_instrument_is_kept_by_the_stores_and_seen_by_staff() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let keeper = app.sign_in("storekeeper").await;
    let blank = add(&keeper, " ", &[("calibrated_on", "2027-01-01")]).await;
    assert_eq!(blank.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(blank.text("#number-error"), "Type the number on its label");
    assert!(blank.text("#calibrated_on-error").contains("still to come"));
    assert_eq!(blank.value("#calibrated_on"), "2027-01-01");
    let dates = [("calibrated_on", "2026-03-01"), ("due_on", "2027-03-01")];
    let answer = add(&keeper, "CM-7", &dates).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let page = answer.location.clone();
    assert!(
        keeper
            .get(&page)
            .await
            .words()
            .contains("calibrated until Mon 1 Mar 2027")
    );
    let twice = add(&keeper, "cm-7", &[]).await;
    assert_eq!(
        twice.text("#number-error"),
        "Another instrument has this number"
    );
    let technician = app.sign_in("technician").await;
    assert!(
        technician
            .get("/instruments")
            .await
            .words()
            .contains("CM-7, clamp meter")
    );
    for path in ["/instruments/new", "/instruments/1/edit"] {
        assert_eq!(technician.get(path).await.status, StatusCode::FORBIDDEN);
    }
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/instruments").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        keeper.get("/instruments/99").await.status,
        StatusCode::NOT_FOUND
    );
    let edit = format!("{page}/edit");
    let old = keeper.get(&edit).await.value("input[name=version]");
    let change = [
        ("number", "CM-7"),
        ("kind", "multimeter"),
        ("withdrawn_on", "2026-11-20"),
    ];
    let answer = keeper.submit(&edit, &edit, &change).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert!(
        keeper
            .get(&page)
            .await
            .words()
            .contains("out of use since Fri 20 Nov 2026")
    );
    let stale = [&change[..], &[("version", old.as_str())]].concat();
    let answer = keeper.submit(&edit, &edit, &stale).await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn a_reading_names_an_instrument_in_date_or_is_refused_beside_it() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let desk = app.sign_in("supervisor").await;
    add(&desk, "CM-7", &[("due_on", "2027-03-01")]).await;
    add(&desk, "CM-8", &[("due_on", "2026-11-24")]).await;
    let job = report(&app, "F-1", "Howls").await;
    plan_and_hand_out(&app, job).await;
    let phone = app.sign_in("technician").await;
    let answer = as_found(&phone, job, &[("instrument", "CM-8")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = answer.text("#instrument-error");
    assert!(said.contains("CM-8 ended on Tue 24 Nov 2026"), "{said}");
    assert_eq!(answer.value("#condition"), "Howls", "what was typed stays");
    let answer = as_found(&phone, job, &[("instrument", "Borrowed 5")]).await;
    assert!(
        answer
            .text("#instrument_due-error")
            .contains("nobody knows")
    );
    let late = [
        ("instrument", "Borrowed 5"),
        ("instrument_due", "2026-11-01"),
    ];
    let answer = as_found(&phone, job, &late).await;
    assert!(answer.text("#instrument_due-error").contains("has ended"));
    assert_eq!(app.count("SELECT count(*) FROM instrument_uses").await, 0);
    let unknown = [("instrument", "Borrowed 5"), ("instrument_unknown", "yes")];
    let answer = as_found(&phone, job, &unknown).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let words = phone.get(&format!("/jobs/{job}")).await.words();
    assert!(
        words.contains("Borrowed 5, not in the register, calibration date not known"),
        "{words}"
    );
    let answer = as_found(&phone, job, &[("instrument", "cm-7")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let words = phone.get(&format!("/jobs/{job}")).await.words();
    assert!(
        words.contains("CM-7, calibrated until Mon 1 Mar 2027"),
        "{words}"
    );
    let named =
        "SELECT count(*) FROM instrument_uses u JOIN instruments i ON i.id = u.instrument_id
        WHERE i.number = 'CM-7'";
    assert_eq!(app.count(named).await, 1);
}

#[tokio::test]
async fn one_found_wrong_is_refused_and_lists_what_was_read_with_it() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let desk = app.sign_in("supervisor").await;
    let dates = [("calibrated_on", "2026-11-01"), ("due_on", "2027-11-01")];
    let page = add(&desk, "CM-7", &dates).await.location;
    let job = report(&app, "F-1", "Howls").await;
    plan_and_hand_out(&app, job).await;
    let phone = app.sign_in("technician").await;
    as_found(&phone, job, &[("instrument", "CM-7")]).await;
    let words = desk.get(&page).await.words();
    assert!(
        words.contains("Read with it since it was right on Sun 1 Nov 2026"),
        "{words}"
    );
    let post = format!("{page}/calibrations");
    let blank = desk
        .submit(&page, &post, &[("done_on", "2026-12-24")])
        .await;
    assert_eq!(blank.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(blank.text("#done_on-error").contains("still to come"));
    assert_eq!(blank.text("#found-error"), "Say how it was found");
    assert_eq!(blank.text("#by_whom-error"), "Say who calibrated it");
    app.state.clock.advance(2 * DAY);
    let desk = app.sign_in("supervisor").await;
    let today = brasstag::clock::date_value(app.state.zone().date(NOON + 2 * DAY));
    let off = [
        ("done_on", today.as_str()),
        ("found", "off"),
        ("by_whom", "Meter room"),
        ("why", "Reads 8 V low"),
    ];
    let answer = desk.submit(&page, &post, &off).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let shown = desk.get(&page).await;
    assert!(
        shown.words().contains("In doubt: read with it since"),
        "{}",
        shown.words()
    );
    assert!(
        shown.has(&format!("a[href='/jobs/{job}']")),
        "the job is a tap away"
    );
    assert!(shown.words().contains("118 V"));
    let phone = app.sign_in("technician").await;
    let answer = as_found(&phone, job, &[("instrument", "CM-7")]).await;
    assert!(answer.text("#instrument-error").contains("was found wrong"));
    let right = [
        ("done_on", today.as_str()),
        ("found", "within"),
        ("by_whom", "Meter room"),
        ("next_due", "2027-12-01"),
    ];
    desk.submit(&page, &post, &right).await;
    let answer = as_found(&phone, job, &[("instrument", "CM-7")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert!(
        desk.get(&page)
            .await
            .words()
            .contains("until it was put right on")
    );
    let csrf = phone.get("/report").await.value("[name=csrf]");
    let refused = phone
        .post(&post, &[&right[..], &[("csrf", &csrf)]].concat())
        .await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}
