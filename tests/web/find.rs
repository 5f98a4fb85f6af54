//! Find a motor from a machine or a plate, narrow the list, and set up to four side by side.

use crate::floor::{Floor, run};
use axum::http::StatusCode;

const PLATE: &str = "1/4+HP+1075RPM+115V+4.2A+60HZ+1PH+PSC+CWSE";

#[tokio::test]
async fn a_machine_without_a_job_finds_the_same_motors_as_its_job() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("storekeeper").await;
    let machine = visit.get("/machines/1").await;
    assert!(
        machine.has("a[href='/find?machine=1']"),
        "{}",
        machine.words()
    );
    let page = visit.get("/find?machine=1").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(
        page.texts("tbody th"),
        ["Quarter horse 1075", "Long-shaft 1075", "Worn plate"]
    );
    let words = page.words();
    assert!(
        words.contains("Judged against the design motor, Built with"),
        "{words}"
    );
    assert!(
        words.contains("4 motors could be had, 2 of them from the shelf"),
        "{words}"
    );
    assert!(words.contains("1 does not fit"), "{words}");
    assert!(!words.to_lowercase().contains(" safe"));
    // The same by its tag, whatever the case.
    let page = visit.get("/find?tag=ef-3").await;
    assert_eq!(page.texts("tbody th").len(), 3);
    let shut = visit.get("/find?machine=1&f_verdict=do_not_fit").await;
    assert_eq!(shut.texts("tbody th"), ["Three-phase 1075"]);
}

#[tokio::test]
async fn a_pasted_plate_is_enough_and_what_was_not_understood_is_said() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let page = visit.get(&format!("/find?plate={PLATE}+QXZZY7")).await;
    assert_eq!(page.status, StatusCode::OK);
    let words = page.words();
    assert!(words.contains("Judged against the plate you gave. Nothing is known of the machine"));
    assert!(words.contains("Not understood"), "{words}");
    assert_eq!(
        page.value("input[name=plate][type=hidden]").len(),
        "1/4 HP 1075RPM 115V 4.2A 60HZ 1PH PSC CWSE QXZZY7".len()
    );
    assert!(
        page.texts("tbody th")
            .contains(&"Quarter horse 1075".to_owned())
    );
    // A typed field stands over the text, and facts of a machine count.
    let page = visit.get(&format!("/find?plate={PLATE}&old_phases=3&old_motor_type=three_phase_induction&old_speeds=1075&old_volts=230")).await;
    assert_eq!(
        page.texts("tbody th"),
        ["Three-phase 1075"],
        "{}",
        page.words()
    );
    let page = visit
        .get(&format!("/find?plate={PLATE}&drive=direct&hub_bore=1/4+in"))
        .await;
    assert!(
        page.words()
            .contains("Judged against the plate and the machine you gave")
    );
    assert!(
        !page
            .texts("tbody th")
            .contains(&"Quarter horse 1075".to_owned())
    );
    // With a machine, its wheel and site count and the plate given stands for the old motor.
    let page = visit.get(&format!("/find?machine=1&plate={PLATE}")).await;
    assert!(
        page.words()
            .contains("with the wheel and site recorded for")
    );
}

#[tokio::test]
async fn what_cannot_be_read_is_said_beside_its_field_and_kept() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let page = visit.get("/find").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.has("textarea[name=plate]"));
    for (query, field, message) in [
        ("tag=Q-77", "tag", "No machine has the tag Q-77"),
        (
            "plate=hello+there",
            "plate",
            "Nothing of this reads as a plate",
        ),
        ("old_volts=many&plate=1/4+HP", "old_volts", "Enter volts"),
        ("drive=direct&hub_bore=wide", "hub_bore", "Enter"),
    ] {
        let page = visit.get(&format!("/find?{query}")).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{query}");
        let said = page.text(&format!("#{field}-error"));
        assert!(said.contains(message), "{query}: {said}");
    }
    let page = visit.get("/find?tag=Q-77&plate=1/4+HP").await;
    assert_eq!(page.text("textarea[name=plate]"), "1/4 HP");
    let page = visit.get("/find?machine=1&f_days=soon").await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.words().contains("Enter whole days"));
    assert_eq!(
        visit.get("/find?machine=999").await.status,
        StatusCode::NOT_FOUND
    );
    let reporter = floor.app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/find?machine=1").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        reporter.get("/find/compare?machine=1&pick=1").await.status,
        StatusCode::FORBIDDEN
    );
}

#[tokio::test]
async fn filters_stand_in_the_address_and_pages_keep_them() {
    let floor = Floor::lay().await;
    // A crowd of copies, so that there is a second page.
    for at in 0..60 {
        run(
            &floor.app,
            format!(
                "INSERT INTO motors (id, name, plate)
                    SELECT {0}, 'Copy {0}', plate FROM motors WHERE id = {1};
                 INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days)
                    SELECT min(list_id), {0}, 10000, {2} FROM supplier_motors",
                5000 + at,
                floor.same,
                at
            ),
        )
        .await;
    }
    let visit = floor.app.sign_in("technician").await;
    let page = visit.get("/find?machine=1").await;
    assert!(
        page.words().contains("63 motors, page 1 of 3"),
        "{}",
        page.words()
    );
    assert_eq!(page.texts("tbody th").len(), 25);
    let last = visit.get("/find?machine=1&page=3").await;
    assert_eq!(last.texts("tbody th").len(), 13);
    let far = visit.get("/find?machine=1&page=99").await;
    assert_eq!(far.texts("tbody th").len(), 13);
    let narrow = visit.get("/find?machine=1&f_days=30&f_where=list").await;
    assert!(
        narrow.words().contains("motors, page 1 of 2"),
        "{}",
        narrow.words()
    );
    assert!(narrow.has("a[href*='f_days=30'][href*='page=2']"));
    let shelf = visit.get("/find?machine=1&f_where=shelf").await;
    assert_eq!(
        shelf.texts("tbody th"),
        ["Quarter horse 1075", "Worn plate"]
    );
    let none = visit.get("/find?machine=1&f_frame=999T").await;
    assert!(none.words().contains("No motor passes this filter"));
}

#[tokio::test]
async fn up_to_four_stand_side_by_side_with_their_differences_in_words() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let (same, long, wrong) = (floor.same, floor.long, floor.wrong);
    let path = format!("/find/compare?machine=1&pick={same}&pick={long}&pick={wrong}");
    let page = visit.get(&path).await;
    assert_eq!(page.status, StatusCode::OK);
    let heads = page.texts("table.side thead th");
    assert_eq!(heads.len(), 4);
    assert!(
        heads[0].starts_with("Design plate and machine"),
        "{heads:?}"
    );
    assert!(heads[2].contains("suits after work"), "{heads:?}");
    let rows = page.texts("table.side tbody th");
    // Where it is, 29 attributes, work, what is missing, what changes.
    assert_eq!(rows.len(), 33, "{rows:?}");
    let words = page.words();
    for said in [
        "As before",
        "Differs, with work",
        "Does not fit",
        "Cut the shaft",
        "Harbour Supply, 3 days, 129.00 USD",
        "Phases",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    assert!(!words.to_lowercase().contains(" safe"));
    // From a job each leads to where it is chosen.
    let page = visit.get(&format!("{path}&job={}", floor.job)).await;
    assert!(page.has(&format!("a[href='/jobs/{}/fit/{long}']", floor.job)));
}

#[tokio::test]
async fn more_than_four_are_said_and_nothing_ticked_is_a_sentence() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("technician").await;
    let picks: Vec<String> = [floor.same, floor.long, floor.wrong, floor.doubtful, 1]
        .iter()
        .map(|id| format!("pick={id}"))
        .collect();
    let page = visit
        .get(&format!("/find/compare?machine=1&{}", picks.join("&")))
        .await;
    assert_eq!(page.texts("table.side thead th").len(), 5);
    assert!(
        page.words().contains("1 of those ticked is left out"),
        "{}",
        page.words()
    );
    // The same one twice is one.
    let twice = format!("/find/compare?machine=1&pick={0}&pick={0}", floor.same);
    assert_eq!(
        visit.get(&twice).await.texts("table.side thead th").len(),
        2
    );
    let none = visit.get("/find/compare?machine=1").await;
    assert_eq!(none.status, StatusCode::BAD_REQUEST);
    assert!(none.words().contains("Tick one to four motors"));
    let no_subject = visit
        .get(&format!("/find/compare?pick={}", floor.same))
        .await;
    assert_eq!(no_subject.status, StatusCode::BAD_REQUEST);
    for path in [
        "/find/compare?machine=1&pick=99999",
        "/find/compare?machine=1&pick=x",
    ] {
        assert_eq!(visit.get(path).await.status, StatusCode::NOT_FOUND);
    }
}
