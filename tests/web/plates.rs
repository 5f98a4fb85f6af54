//! A plate typed as it reads is put into fields: with script at once, without it by a button.

use crate::app::TestApp;
use crate::small_shop::lay_out;
use axum::http::StatusCode;

const TEXT: &str = "1/6 HP 1075 RPM 208-230 V 1.2 A 60 HZ 1 PH IP55 QX77";

#[tokio::test]
async fn the_button_fills_the_fields_and_saves_nothing() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    let typed = [
        ("read_plate", "fitted_"),
        ("fitted_plate_text", TEXT),
        ("fitted_power", "1/4"),
        ("fitted_volts_how", "unreadable"),
    ];
    let page = visit.submit(edit, edit, &typed).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    assert_eq!(page.value("#fitted_speeds"), "1075");
    assert_eq!(page.value("#fitted_amps"), "1.2");
    assert_eq!(page.value("#fitted_ip_code"), "IP55");
    assert_eq!(page.value("#fitted_power"), "1/4", "typed values stay");
    assert_eq!(page.value("#fitted_volts"), "", "unreadable stays");
    let words = page.words();
    assert!(words.contains("QX77") && words.contains("Not understood"));
    assert!(words.contains("the text says 1/6 hp, the field says 1/4 hp"));
    assert!(!visit.get("/machines/1").await.words().contains("1075"));
}

#[tokio::test]
async fn what_was_read_beyond_the_usual_fields_is_kept_and_can_be_changed() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    let typed = [
        ("fitted_ip_code", "IP55"),
        ("fitted_locked_rotor_amps", "12"),
        ("fitted_locked_rotor_amps_how", "measured"),
    ];
    let answer = visit.submit(edit, edit, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let words = visit.get("/machines/1").await.words();
    assert!(words.contains("IP55") && words.contains("12 A"), "{words}");
    let answer = visit.submit(edit, edit, &[("serves", "Kilns")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(visit.get("/machines/1").await.words().contains("IP55"));
    let page = visit
        .submit(edit, edit, &[("fitted_tap_amps", "many")])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        page.text("#fitted_tap_amps-error"),
        "Enter amps, as 1.8 or 3.6/1.8"
    );
}

#[tokio::test]
async fn a_plate_that_cannot_be_is_asked_about() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    let typed = [
        ("fitted_power", "10 hp"),
        ("fitted_volts", "115"),
        ("fitted_amps", "1"),
        ("fitted_phases", "1"),
    ];
    let page = visit.submit(edit, edit, &typed).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        page.text("#fitted_as_read-error")
            .contains("cannot be true")
    );
    assert_eq!(page.value("#fitted_power"), "10 hp");
    let sure = [&typed[..], &[("fitted_as_read", "yes")]].concat();
    let answer = visit.submit(edit, edit, &sure).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let answer = visit.submit(edit, edit, &[("serves", "Kilns")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "asked once only");
}

#[tokio::test]
async fn the_fragment_reads_for_staff_and_nobody_else() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("storekeeper").await;
    let page = visit
        .submit(
            "/shelf/motors/new",
            "/shelf/motors/new",
            &[("read_plate", "plain"), ("plate_text", TEXT)],
        )
        .await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(page.value("#power"), "1/6 hp");
    let csrf = page.value("input[name=csrf]");
    let typed = [
        ("csrf", csrf.as_str()),
        ("read_plate", "plain"),
        ("plate_text", "1/4 HP 850 RPM"),
    ];
    let fragment = visit.post("/motors/plate/read", &typed).await;
    assert_eq!(fragment.status, StatusCode::OK);
    assert_eq!(fragment.value("#speeds"), "850");
    assert!(!fragment.body.contains("<html"));
    let forged = visit
        .post("/motors/plate/read", &[("plate_text", "1/4 HP")])
        .await;
    assert_eq!(forged.status, StatusCode::FORBIDDEN);
}
