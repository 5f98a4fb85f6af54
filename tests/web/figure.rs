//! The calculations for programs: by command line and by address.

use crate::app::TestApp;
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::io::Write as _;
use std::process::{Command, Stdio};

/// Runs `brasstag figure` on these lines: exit status, answers, and what stood on standard error.
fn figure(arguments: &[&str], input: &str) -> (Option<i32>, String, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_brasstag"))
        .arg("figure")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("its input");
    // A program that refuses its arguments has closed its input already.
    let _ = stdin.write_all(input.as_bytes());
    drop(stdin);
    let done = child.wait_with_output().expect("the program ends");
    (
        done.status.code(),
        String::from_utf8(done.stdout).expect("text"),
        String::from_utf8(done.stderr).expect("text"),
    )
}

fn lines(text: &str) -> Vec<Value> {
    text.lines()
        .map(|line| serde_json::from_str(line).expect("one JSON object a line"))
        .collect()
}

const MOTOR: &str = r#"{"hp": "5", "phases": 1, "terminal_c": 75, "volts": 230}"#;

#[test]
fn one_line_in_is_one_line_out() {
    let (status, out, errors) = figure(&["motor_branch"], &format!("{MOTOR}\n\n{MOTOR}\n"));
    assert_eq!(status, Some(0), "{errors}");
    let answers = lines(&out);
    assert_eq!(answers.len(), 2);
    assert_eq!(answers[0]["min_conductor_ampacity_a"], json!(35.0));
    assert_eq!(answers[0]["cu_size"], json!("10"));
    assert!(answers[0]["working"]["lines"].is_array());
}

#[test]
fn a_line_with_trouble_is_answered_and_the_run_goes_on() {
    let input = format!("{{\"hp\": \"many\"}}\nno json\n[]\n{MOTOR}");
    let (status, out, errors) = figure(&["motor_branch"], &input);
    assert_eq!(status, Some(1));
    let answers = lines(&out);
    assert_eq!(answers.len(), 4);
    assert_eq!(answers[0]["field"], json!("hp"));
    assert!(
        answers[0]["error"]
            .as_str()
            .is_some_and(|text| !text.is_empty())
    );
    assert!(answers[1]["error"].is_string() && answers[1]["field"].is_null());
    assert!(answers[2]["error"].is_string());
    assert_eq!(answers[3]["cu_size"], json!("10"));
    assert!(errors.contains("3 lines"), "{errors}");
}

#[test]
fn a_bare_answer_stands_under_result() {
    let input = r#"{"anchor": "2024-01-31", "every": {"months": 1}, "first_n": 3}"#;
    let (status, out, _) = figure(&["interval_anchored"], input);
    assert_eq!(status, Some(0));
    let want = json!(["2024-01-31", "2024-02-29", "2024-03-31"]);
    assert_eq!(lines(&out)[0]["result"], want);
}

#[test]
fn a_field_nobody_knows_is_named() {
    let input = r#"{"ocpd_a": 100, "colour": "green"}"#;
    let (_, out, _) = figure(&["egc"], input);
    let answer = &lines(&out)[0];
    assert_eq!(answer["cu"], json!("8"));
    assert_eq!(answer["not_understood"], json!(["colour"]));
}

#[test]
fn the_list_is_the_contract() {
    let (status, out, _) = figure(&["--list"], "");
    assert_eq!(status, Some(0));
    for topic in [
        "fit",
        "plate",
        "fan_speed",
        "screen",
        "vibration",
        "unbalance",
        "proof",
        "belt",
        "bearing",
        "energy",
        "motor_branch",
        "rrule",
        "weibull_mle_right_censored",
    ] {
        assert!(out.contains(&format!("\n{topic}\n")), "{topic}");
    }
    let (status, _, errors) = figure(&["horoscope"], "{}");
    assert_eq!(status, Some(1));
    assert!(errors.contains("figure --list"), "{errors}");
    let (status, _, _) = figure(&[], "");
    assert_eq!(status, Some(2), "clap asks for a topic");
}

#[tokio::test]
async fn programs_ask_by_address() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let list = visit.get("/api/figure").await;
    assert_eq!(list.status, StatusCode::OK);
    let topics: Value = serde_json::from_str(&list.body).expect("JSON");
    assert!(topics.as_array().is_some_and(|topics| topics.len() > 60));

    let (status, answer) = visit.post_json("/api/figure/motor_branch", MOTOR).await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(answer["min_conductor_ampacity_a"], json!(35.0));

    let (status, answer) = visit
        .post_json("/api/figure/motor_branch", r#"{"hp": "many"}"#)
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(answer["field"], json!("hp"));
    let (status, answer) = visit.post_json("/api/figure/motor_branch", "no json").await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
    assert!(answer["error"].is_string());
    let (status, _) = visit.post_json("/api/figure/horoscope", "{}").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn only_the_shops_staff_may_ask() {
    let app = TestApp::start().await;
    let nobody = app.visitor();
    assert_eq!(
        nobody.get("/api/figure").await.status,
        StatusCode::UNAUTHORIZED
    );
    let (status, answer) = nobody.post_json("/api/figure/motor_branch", MOTOR).await;
    assert_eq!(status, StatusCode::UNAUTHORIZED);
    assert!(answer["error"].is_string());
    let reporter = app.sign_in("reporter").await;
    let (status, _) = reporter.post_json("/api/figure/motor_branch", MOTOR).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
}
