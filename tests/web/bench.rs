//! The bench: every calculation on its own, its inputs in the address.

use crate::app::TestApp;
use axum::http::StatusCode;

#[tokio::test]
async fn the_bench_lists_its_calculations_and_each_opens_blank() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let links = visit.get("/bench").await.texts("main li strong");
    assert!(links.len() >= 5, "{links:?}");
    for calculation in brasstag::bench::CALCULATIONS {
        let page = visit.get(&format!("/bench/{}", calculation.name)).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(!page.has(".working"), "nothing is worked out of nothing");
        assert!(page.has("form[method=get]"));
    }
    assert_eq!(
        visit.get("/bench/horoscope").await.status,
        StatusCode::NOT_FOUND
    );
    let reporter = app.sign_in("reporter").await;
    assert_eq!(reporter.get("/bench").await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_running_speed_is_worked_out_from_the_address() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let path = "/bench/speed?power=1%2F4&frequency=60&speeds=1075\
                &motor_type=permanent_split_capacitor&load_power=186.4+W&load_at=1075";
    let page = visit.get(path).await;
    let words = page.words();
    assert!(words.contains("Synchronous speed 1200 rpm"), "{words}");
    assert!(words.contains("Running speed 1075 rpm"), "{words}");
    assert_eq!(page.value("#power"), "1/4", "the inputs stay");
}

#[tokio::test]
async fn what_is_left_blank_is_missing_and_never_guessed() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/bench/speed?power=1%2F4").await;
    assert!(page.words().contains("Not known yet"));
    let page = visit
        .get("/bench/fit?old_power=1%2F4&new_power=1%2F4")
        .await;
    assert!(page.words().contains("not known yet"), "{}", page.words());
}

#[tokio::test]
async fn every_topic_has_a_form_and_works_out_nothing_from_nothing() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let index = visit.get("/bench").await;
    for topic in calc::figure::topics() {
        let path = format!("/bench/{}", topic.name);
        assert!(
            index.body.contains(&format!("\"{path}\"")),
            "{path} is listed"
        );
        let page = visit.get(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        assert!(
            page.has("form[method=get]") && !page.has(".working"),
            "{path}"
        );
    }
}

#[tokio::test]
async fn a_mistake_is_told_beside_its_field_and_kept() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let page = visit
        .get("/bench/fan_law?speed_rpm=fast&new_speed_rpm=900")
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("[id='speed_rpm-error']").contains("in rpm"));
    assert_eq!(page.value("#speed_rpm"), "fast");
    assert!(!page.has(".working"));
    let page = visit
        .get("/bench/several_motors?motors.0.hp=5&motors.0.phases=7&motors.0.volts=230")
        .await;
    assert_eq!(
        page.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        page.words()
    );
    assert_eq!(page.value("[id='motors.0.hp']"), "5");
}

#[tokio::test]
async fn a_topic_answers_in_the_shops_units_with_its_working() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    // The test shop is a US shop: a bare length is in inches, a bare power in hp, a flow in cfm.
    let page = visit
        .get("/bench/fan_law?speed_rpm=1000&new_speed_rpm=1100&flow_m3_s=1000&power_w=1")
        .await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.words());
    let words = page.words();
    assert!(
        words.contains("1100 cfm") && words.contains("1.331 hp"),
        "{words}"
    );
    assert!(!page.has("#flow_cfm"), "one figure is asked once");
    assert!(page.has(".working"));
    let si = visit
        .get("/bench/fan_law?speed_rpm=1000&new_speed_rpm=1100&flow_m3_s=0.5+m3/s")
        .await;
    assert!(si.words().contains("1165.38 cfm"), "{}", si.words());
    let page = visit.get("/bench/voltage_unbalance?v=460+460+440").await;
    assert!(page.words().contains("2.94"), "{}", page.words());
}

#[tokio::test]
async fn rows_are_typed_in_a_table_and_blank_ones_close_up() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    let page = visit
        .get(
            "/bench/several_motors?motors.0.hp=7+1/2&motors.0.phases=1&motors.0.volts=230\
             &motors.3.hp=5&motors.3.phases=1&motors.3.volts=230&terminal_c=75+C",
        )
        .await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.words());
    assert!(page.words().contains("78 A"), "{}", page.words());
    assert_eq!(page.value("[id='motors.1.hp']"), "5");
    assert!(page.has("[id='motors.3.hp']"), "two blank rows follow");
}

#[tokio::test]
async fn a_circuit_is_checked_under_the_rules_that_were_chosen() {
    let app = TestApp::start().await;
    let visit = app.sign_in("technician").await;
    assert_eq!(
        visit.get("/bench/circuit").await.value("#rule_set"),
        "NEC 2023"
    );
    let page = visit
        .get("/bench/circuit?motor_volts=115&circuit_volts=dozen")
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#rule_set-error").contains("none are assumed"));
    assert!(page.has("#circuit_volts-error"));
    assert_eq!(page.value("#circuit_volts"), "dozen");
    assert!(page.has("#air_mover"));
    let page = visit
        .get("/bench/circuit?rule_set=NEC+2020&air_mover=perhaps")
        .await;
    assert_eq!(page.text("#air_mover-error"), "Choose yes or no");
    for (fan, amps) in [
        ("yes", "Current that counts 8.8 A"),
        ("no", "Current that counts 9.8 A"),
    ] {
        let path = format!(
            "/bench/circuit?rule_set=NEC+2020&motor_power=1%2F2+hp&motor_volts=115&motor_amps=8.8\
             &motor_phases=1&motor_motor_type=permanent_split_capacitor&motor_speeds=1625\
             &circuit_volts=120&circuit_phases=1&air_mover={fan}"
        );
        let words = visit.get(&path).await.words();
        assert!(words.contains(amps), "{words}");
    }
    let page = visit
        .get(
            "/bench/circuit?rule_set=NEC+2020&motor_power=1%2F3+hp&motor_volts=115&motor_phases=1\
             &motor_motor_type=split_phase&circuit_volts=120&circuit_phases=1",
        )
        .await;
    assert!(
        page.words()
            .contains("Circuit check, NEC 2020: not known yet"),
        "{}",
        page.words()
    );
}
