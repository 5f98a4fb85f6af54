//! Permits, interlocks and time typed in from paper.

use crate::app::TestApp;
use crate::from_paper::{UNTIL_DEAD, code, handed_out, type_in};
use crate::replay::{control_replays, same_jobs};
use axum::http::StatusCode;

#[tokio::test]
async fn a_permit_on_paper_opens_the_work_of_its_hours_and_is_closed_there() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let desk = app.sign_in("supervisor").await;
    let permits = format!("/jobs/{job}/permits");
    let needed = format!("{permits}/needed");
    desk.submit(&permits, &needed, &[("needs_hot_work", "yes")])
        .await;
    let sheet = desk.get(&format!("/jobs/{job}/sheet")).await.words();
    assert!(
        sheet.contains("needed and not open: hot work, number"),
        "{sheet}"
    );
    // Typed in on the next day, when the permit has long run out.
    app.state.clock.advance(20 * 3_600_000);
    let visit = app.sign_in("technician").await;
    let code = code(&visit, job).await;
    let permit = [
        ("permit_hot_work_number", "HW-4"),
        ("permit_hot_work_issued_by", "Maren"),
        ("permit_hot_work_issued_to", "Tobin"),
        ("permit_hot_work_from_time", "08:00"),
        ("permit_hot_work_to_time", "11:00"),
        ("permitoff_hot_work_closed_by", "Maren"),
        ("permitoff_hot_work_note", "No smoulder after the hour"),
    ];
    let mut parts = UNTIL_DEAD.to_vec();
    parts.extend(permit);
    // It was over at half past eleven, when the paper says the work was finished.
    let answer = type_in(&app, &visit, (job, &code), &parts).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.words().contains("run out"), "{}", answer.words());
    let work = "SELECT count(*) FROM entries WHERE kind = 'work_done'";
    assert_eq!(app.count(work).await, 0);

    let page = format!("/jobs/{job}/from-paper");
    let last = [
        ("permit_hot_work_number", "HW-4"),
        ("permit_hot_work_issued_by", "Maren"),
        ("permit_hot_work_issued_to", "Tobin"),
        ("permit_hot_work_from_time", "08:00"),
        ("permit_hot_work_to_time", "12:00"),
    ];
    let fields = answer.filled(&page, &last);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    let answer = visit.post(&page, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    assert_eq!(app.count(work).await, 1);
    let closed = "SELECT count(*) FROM entries WHERE kind = 'permit_closed'";
    assert_eq!(app.count(closed).await, 1);
    let shown = visit.get(&format!("/jobs/{job}")).await.words();
    assert!(shown.contains("HW-4"), "{shown}");
    control_replays(app.db()).await;
    same_jobs(app.db()).await;
}

#[tokio::test]
async fn interlocks_restored_on_paper_are_each_said() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    app.run("UPDATE isolation_sheets SET interlocks = 'Fire alarm zone 3' WHERE machine_id = 1")
        .await;
    let visit = app.sign_in("technician").await;
    let sheet = visit.get(&format!("/jobs/{job}/sheet")).await.words();
    assert!(sheet.contains("Restored, Fire alarm zone 3"), "{sheet}");
    let code = code(&visit, job).await;
    let mut parts = UNTIL_DEAD.to_vec();
    parts.extend([
        ("ready_tools_clear", "yes"),
        ("ready_guards_on", "yes"),
        ("ready_people_clear", "Ilse"),
        ("ready_people_told", "Kiln keeper"),
        ("off1_off", "yes"),
        ("off2_off", "yes"),
        ("power_on", "yes"),
        ("inter_restored_0", "yes"),
    ]);
    let answer = type_in(&app, &visit, (job, &code), &parts).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer
            .text("#inter_words_0-error")
            .contains("who restored it")
    );
    let restored = "SELECT count(*) FROM entries WHERE kind = 'interlocks_restored'";
    assert_eq!(app.count(restored).await, 0);
    let page = format!("/jobs/{job}/from-paper");
    let fields = answer.filled(&page, &[("inter_words_0", "Tobin, panel shows normal")]);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    let answer = visit.post(&page, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    assert_eq!(app.count(restored).await, 1);
    control_replays(app.db()).await;
    same_jobs(app.db()).await;
}

#[tokio::test]
async fn time_on_paper_is_the_writers_and_a_wait_is_nobodys() {
    let app = TestApp::start().await;
    let job = handed_out(&app).await;
    let visit = app.sign_in("technician").await;
    let code = code(&visit, job).await;
    let parts = [
        ("time0_spent", "repair"),
        ("time0_from", "09:00"),
        ("time0_to", "10:30"),
        ("time1_spent", "part"),
        ("time1_from", "10:30"),
        ("time1_to", "11:00"),
        ("time2_spent", "travel"),
        ("time2_from", "11:15"),
        ("time2_to", "11:00"),
    ];
    let answer = type_in(&app, &visit, (job, &code), &parts).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.has("#time2_to-error"), "{}", answer.words());
    assert_eq!(answer.value("#time0_from"), "", "that was taken");
    let page = format!("/jobs/{job}/from-paper");
    let fields = answer.filled(&page, &[("time2_to", "11:25")]);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (&**n, &**v)).collect();
    let answer = visit.post(&page, &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    let spent = "SELECT count(*) FROM entries WHERE kind = 'time_spent'";
    assert_eq!(app.count(spent).await, 3);
    let shown = visit.get(&format!("/jobs/{job}/time")).await.words();
    assert!(shown.contains("1 h 30 min"), "{shown}");
    same_jobs(app.db()).await;
}
