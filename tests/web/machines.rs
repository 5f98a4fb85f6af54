//! Machines: listed, shown, added, changed, isolated and tagged.

use crate::app::TestApp;
use crate::small_shop::lay_out;
use axum::http::StatusCode;

#[tokio::test]
async fn the_list_groups_by_place_and_finds_whatever_the_case() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/machines").await;
    assert_eq!(page.texts("h2"), ["Mill, Flat roof"]);
    assert_eq!(page.texts("ul.machines .tag"), ["F-1", "F-2"]);
    let found = visit.get("/machines?q=GLAZE").await;
    assert_eq!(found.texts("ul.machines .tag"), ["F-2"]);
    assert_eq!(found.value("#q"), "GLAZE");
    assert_eq!(
        visit
            .get("/machines?q=flat+ROOF")
            .await
            .texts("ul.machines .tag")
            .len(),
        2
    );
    crate::small_shop::report(&app, "F-1", "It hums").await;
    assert!(visit.get("/machines").await.words().contains("reported"));
}

#[tokio::test]
async fn a_machine_answers_where_it_is_what_feeds_it_and_what_is_not_known() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/machines/1").await;
    let words = page.words();
    for said in [
        "Mill, Flat roof",
        "Key 4 at the office",
        "Panel LP-1, circuit 7",
        "Roof fans",
        "not proved",
        "Revision 1",
        "not inspected",
        "Old fan motor",
        "not known",
        "2 sources. 2 locks.",
        "Lock, tag, try, test.",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    assert!(!words.to_lowercase().contains("is safe"));
    assert!(!words.contains("have been wrong before"));
    assert_eq!(
        visit.get("/machines/99").await.status,
        StatusCode::NOT_FOUND
    );
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/machines/1").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        reporter.get("/machines").await.status,
        StatusCode::FORBIDDEN
    );
    for role in ["storekeeper", "auditor", "keeper", "supervisor"] {
        let visit = app.sign_in(role).await;
        assert_eq!(
            visit.get("/machines/1").await.status,
            StatusCode::OK,
            "{role}"
        );
    }
}

#[tokio::test]
async fn a_machine_is_added_with_its_motor_in_trade_units() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = [
        ("tag", "KH-EF-1"),
        ("name", "Kiln-hall extract fan"),
        ("kind", "fan"),
        ("place_id", "2"),
        ("fitted_power", "1/4"),
        ("fitted_volts", "208-230"),
        ("fitted_amps_how", "unreadable"),
        ("wheel_diameter", "14"),
        ("roof_edge", "10"),
    ];
    let added = visit.submit("/machines/new", "/machines/new", &typed).await;
    assert_eq!(added.status, StatusCode::SEE_OTHER, "{}", added.body);
    let page = visit.get(&added.location).await;
    let words = page.words();
    for said in [
        "1/4 hp",
        "208-230 V",
        "unreadable",
        "14 in",
        "10 ft",
        "10 ft from the roof edge: fall protection",
    ] {
        assert!(words.contains(said), "{said}");
    }
    assert_eq!(
        app.count("SELECT count(*) FROM audit WHERE thing = 'machines'")
            .await,
        1
    );
    let facts = app
        .count("SELECT count(*) FROM machines WHERE facts LIKE '%355.6%'")
        .await;
    assert_eq!(facts, 1, "14 inches are 355.6 mm exactly");
}

#[tokio::test]
async fn mistakes_are_told_beside_the_fields_and_nothing_typed_is_lost() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let typed = [
        ("tag", "two words"),
        ("name", " "),
        ("fitted_power", "a quarter"),
        ("wheel_diameter", "14 apples"),
        ("feed_proved_on", "2026-02-30"),
        ("serves", "the kiln hall"),
    ];
    let page = visit.submit("/machines/new", "/machines/new", &typed).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#tag-error").contains("letters, digits"));
    assert!(page.text("#name-error").contains("what the machine is"));
    assert!(page.text("#kind-error").contains("Choose"));
    assert!(page.text("#place_id-error").contains("Choose where"));
    assert!(page.text("#fitted_power-error").contains("1/6 hp"));
    assert!(page.text("#wheel_diameter-error").contains("12.7 mm"));
    assert!(
        page.text("#feed_proved_on-error")
            .contains("date that exists")
    );
    assert_eq!(page.value("#tag"), "two words");
    assert_eq!(page.value("#fitted_power"), "a quarter");
    assert_eq!(page.value("#serves"), "the kiln hall");
    assert_eq!(app.count("SELECT count(*) FROM machines").await, 2);
    let taken = [
        ("tag", "f-1"),
        ("name", "x"),
        ("kind", "fan"),
        ("place_id", "2"),
    ];
    let page = visit.submit("/machines/new", "/machines/new", &taken).await;
    assert_eq!(page.text("#tag-error"), "Another machine has this tag");
}

#[tokio::test]
async fn a_change_keeps_what_was_not_touched_and_a_stale_one_is_refused() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "UPDATE machines SET facts = '{\"driven\":{\"wheel_diameter\":333.3,\"flow_m3_s\":0.4}}'
         WHERE id = 1",
    )
    .await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    let saved = visit.submit(edit, edit, &[("serves", "kiln hall")]).await;
    assert_eq!(saved.location, "/machines/1", "{}", saved.body);
    let kept = app
        .count("SELECT count(*) FROM machines WHERE facts LIKE '%333.3%' AND facts LIKE '%0.4%'")
        .await;
    assert_eq!(kept, 1);
    assert_eq!(
        app.count("SELECT count(*) FROM motors").await,
        1,
        "the same motor stays"
    );
    let stale = visit.submit(edit, edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    assert!(stale.words().contains("Someone changed this"));
    let technician = app.sign_in("technician").await;
    assert_eq!(technician.get(edit).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_changed_plate_becomes_a_motor_of_its_own() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    visit
        .submit(
            edit,
            edit,
            &[("fitted_power", "1/3"), ("fitted_power_how", "assumed")],
        )
        .await;
    assert_eq!(app.count("SELECT count(*) FROM motors").await, 2);
    assert_eq!(
        app.count("SELECT count(*) FROM motors WHERE id = 1 AND plate = '{}'")
            .await,
        1
    );
    assert!(visit.get("/machines/1").await.words().contains("assumed"));
}

#[tokio::test]
async fn a_proof_belongs_to_the_circuit_it_was_made_on() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let technician = app.sign_in("technician").await;
    let proved = technician
        .submit("/machines/1", "/machines/1/feed", &[])
        .await;
    assert_eq!(proved.status, StatusCode::SEE_OTHER);
    let page = technician.get("/machines/1").await;
    assert!(
        page.words()
            .contains("proved Wed 25 Nov 2026 by The technician")
    );
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    let page = visit.submit(edit, edit, &[("circuit_id", "")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        page.text("#circuit_id-error")
            .contains("Choose the circuit that was proved")
    );
    app.run(
        "INSERT INTO circuits (id, panel_id, number, label_read, facts)
        VALUES (2, 1, '9', 'Spare', '{}')",
    )
    .await;
    let page = visit.submit(edit, edit, &[("circuit_id", "2")]).await;
    assert!(
        page.text("#feed_proved_on-error")
            .contains("prove the feed again")
    );
    let wrong_circuit =
        technician.submit("/machines/2", "/machines/2/feed", &[("circuit_id", "2")]);
    assert_eq!(wrong_circuit.await.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn a_new_revision_keeps_the_old_one_and_waits_for_its_inspection() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let sheet = "/machines/2/isolation";
    let inspected = [
        ("inspected_on", "2026-11-20"),
        ("inspected_by", "Ada Brook"),
    ];
    let page = visit
        .submit(sheet, "/machines/2/isolation/inspection", &inspected)
        .await;
    assert_eq!(page.location, sheet, "{}", page.body);
    assert!(
        visit
            .get(sheet)
            .await
            .words()
            .contains("inspected Fri 20 Nov 2026 by Ada Brook")
    );
    let edit = "/machines/2/isolation/edit";
    let typed = [
        ("steps", "Stop, lock, let out, test"),
        ("new1_name", "Run capacitor"),
        ("new1_kind", "stored"),
        ("new1_device", "Bleed resistor"),
        ("new1_relieved_how", "Wait a minute, measure"),
        ("new1_dead_test", "none"),
    ];
    let saved = visit.submit(edit, edit, &typed).await;
    assert_eq!(saved.location, sheet, "{}", saved.body);
    let page = visit.get(sheet).await;
    assert!(page.words().contains("Revision 2") && page.words().contains("not inspected"));
    assert!(page.words().contains("2. Run capacitor"));
    assert_eq!(
        app.count("SELECT count(*) FROM isolation_sheets WHERE machine_id = 2")
            .await,
        2
    );
    let stale = visit
        .submit(edit, edit, &[("revision", "1"), ("source", "1")])
        .await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    let future = [("inspected_on", "2027-01-01"), ("inspected_by", "")];
    let page = visit
        .submit(sheet, "/machines/2/isolation/inspection", &future)
        .await;
    assert!(
        page.text("#inspected_on-error")
            .contains("has not come yet")
    );
    assert!(page.text("#inspected_by-error").contains("who inspected"));
    let auditor = app.sign_in("auditor").await;
    assert_eq!(auditor.get(sheet).await.status, StatusCode::OK);
    assert_eq!(auditor.get(edit).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_control_is_refused_as_an_isolating_device() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let edit = "/machines/1/isolation/edit";
    let typed = [
        ("steps", "Press stop"),
        ("new1_name", "Fan supply"),
        ("new1_kind", "electrical"),
        ("new1_device", "Selector switch on the wall"),
        ("new1_dead_test", "none"),
    ];
    let page = visit.submit(edit, edit, &typed).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#new1_device-error").contains("1910.147(b)"));
    assert!(
        page.text("#new1_dead_test-error")
            .contains("choose the pairs")
    );
    assert_eq!(page.value("#new1_device"), "Selector switch on the wall");
    assert_eq!(
        app.count("SELECT count(*) FROM isolation_sheets WHERE machine_id = 1")
            .await,
        1
    );
}

#[tokio::test]
async fn a_source_with_a_lock_on_it_cannot_leave_the_sheet() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    crate::small_shop::report(&app, "F-1", "It hums").await;
    app.run(
        "INSERT INTO entries (id, job_id, number, person_id, received_at, kind, body)
            SELECT 'e-1', 1, 900, id, 0, 'test', '{}' FROM people WHERE role = 'technician';
         INSERT INTO locks (entry_id, job_id, machine_id, source_id, person_id, lock_number, on_at)
            SELECT 'e-1', 1, 1, 1, id, 'T-7', 0 FROM people WHERE role = 'technician'",
    )
    .await;
    let visit = app.sign_in("supervisor").await;
    let page = visit.get("/machines/2").await;
    assert!(
        page.words().contains("T-7"),
        "a shared source shows its lock on both machines"
    );
    let edit = "/machines/1/isolation/edit";
    let page = visit.submit(edit, edit, &[("source", "2")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        page.text("#source-error")
            .contains("Lock T-7 of The technician stands")
    );
}

#[tokio::test]
async fn a_tag_is_printed_with_its_code_and_its_sentence() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/machines/1/tag").await;
    assert!(page.has(".tag-sheet svg") && page.text("h1 .tag") == "F-1");
    assert!(page.words().contains("Something wrong?"));
    assert!(page.words().contains("http://shop.example/report"));
    let all = visit.get("/machines/tags").await;
    assert_eq!(all.texts(".label .tag"), ["F-1", "F-2"]);
}

#[tokio::test]
async fn a_belt_drive_is_worked_out_on_the_machines_page() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let none = visit.get("/machines/1").await;
    assert!(!none.has("#belt-drive"), "nobody said that it has a belt");
    let typed = [
        ("drive", "belt"),
        ("motor_sheave", "3.6"),
        ("driven_sheave", "6.4"),
        ("belts", "2"),
        ("belt", "a50"),
        ("centres", "17.7"),
    ];
    let wrong = [("drive", "belt"), ("belt", "fifty")];
    let edit = "/machines/1/edit";
    let refused = visit.submit(edit, edit, &wrong).await;
    assert!(
        refused.text("#belt-error").contains("as it is marked"),
        "{}",
        refused.words()
    );
    let saved = visit.submit(edit, edit, &typed).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.words());
    let page = visit.get("/machines/1").await;
    let worked = page.text("#belt-drive");
    assert!(
        worked.contains("Named belt") && worked.contains("Try other sheaves"),
        "{worked}"
    );
    let link = page.attributes("href");
    let bench = link.iter().find(|link| link.starts_with("/bench/belt?"));
    let bench = visit.get(bench.expect("a link")).await;
    assert_eq!(bench.status, StatusCode::OK);
    assert_eq!(bench.value("#belt"), "A50");
}
