//! The shelf, its counts, and the supplier lists.

use crate::app::TestApp;
use crate::floor::Floor;
use axum::http::StatusCode;

const TYPED: &[(&str, &str)] = &[
    ("name", "Third horse 1725"),
    ("made", "ended"),
    ("bin", "C-4"),
    ("held", "2"),
    ("price", "148.50"),
    ("power", "1/3 hp"),
    ("volts", "115/230"),
    ("plate_text", "HP 1/3 RPM 1725"),
];

#[tokio::test]
async fn a_motor_is_put_on_the_shelf_found_and_shown_with_how_it_is_known() {
    let app = TestApp::start().await;
    let visit = app.sign_in("storekeeper").await;
    let done = visit
        .submit("/shelf/motors/new", "/shelf/motors/new", TYPED)
        .await;
    assert_eq!(done.location, "/shelf/motors/1", "{}", done.body);
    let page = visit.get("/shelf/motors/1").await;
    let words = page.words();
    assert!(words.contains("Bin C-4, 2 held, 148.50 USD"), "{words}");
    assert!(words.contains("no longer made"));
    assert!(words.contains("1/3 hp"));
    assert!(words.contains("not known"), "what is blank is said");
    assert_eq!(
        visit
            .get("/shelf?q=115%2F230+third")
            .await
            .texts("tbody th")
            .len(),
        1
    );
    assert!(
        visit
            .get("/shelf?q=pump")
            .await
            .words()
            .contains("No motor on the shelf")
    );
}

#[tokio::test]
async fn a_refusal_stands_beside_its_field_and_keeps_what_was_typed() {
    let app = TestApp::start().await;
    let visit = app.sign_in("storekeeper").await;
    let typed = [
        ("name", " "),
        ("bin", "C-4"),
        ("held", "two"),
        ("price", "cheap"),
        ("power", "one third"),
        ("note", "from the flood"),
    ];
    let page = visit
        .submit("/shelf/motors/new", "/shelf/motors/new", &typed)
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        page.text("#name-error"),
        "Enter the shop's own name for the motor"
    );
    assert_eq!(page.text("#held-error"), "Enter a whole number, as 3");
    assert_eq!(page.text("#price-error"), "Enter a price, as 148.50");
    assert!(page.text("#power-error").contains("1/6 hp"));
    assert_eq!(page.value("#power"), "one third");
    assert_eq!(page.value("#note"), "from the flood");
    assert_eq!(app.count("SELECT count(*) FROM motors").await, 0);
}

#[tokio::test]
async fn a_change_keeps_the_count_and_a_stale_one_is_refused() {
    let app = TestApp::start().await;
    let visit = app.sign_in("supervisor").await;
    visit
        .submit("/shelf/motors/new", "/shelf/motors/new", TYPED)
        .await;
    let edit = "/shelf/motors/1/edit";
    let page = visit.get(edit).await;
    assert_eq!(page.value("#power"), "1/3 hp");
    assert!(!page.has("#held"), "the count has its own form");
    let done = visit
        .submit(edit, edit, &[("name", "Third horse"), ("bin", "C-5")])
        .await;
    assert_eq!(done.location, "/shelf/motors/1");
    let words = visit.get("/shelf/motors/1").await.words();
    assert!(words.contains("Bin C-5, 2 held, 148.50 USD"), "{words}");
    let stale = visit.submit(edit, edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn a_count_is_put_right_with_a_reason_only() {
    let app = TestApp::start().await;
    let visit = app.sign_in("storekeeper").await;
    visit
        .submit("/shelf/motors/new", "/shelf/motors/new", TYPED)
        .await;
    let (page, to) = ("/shelf/motors/1", "/shelf/motors/1/count");
    let refused = visit
        .submit(page, to, &[("held", "1"), ("reason", "")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused.text("#reason-error"), "Say why the count was wrong");
    assert_eq!(refused.value("#held"), "1");
    let done = visit
        .submit(
            page,
            to,
            &[("held", "1"), ("reason", "one went to studio 2")],
        )
        .await;
    assert_eq!(done.location, page);
    assert_eq!(app.count("SELECT held FROM shelf_motors").await, 1);
    let words = visit.get(page).await.words();
    assert!(
        words.contains("The storekeeper: from 2 to 1: one went to studio 2"),
        "{words}"
    );
}

#[tokio::test]
async fn a_supplier_list_is_added_with_its_day_and_motors() {
    let app = TestApp::start().await;
    let visit = app.sign_in("storekeeper").await;
    let new = "/shelf/lists/new";
    let refused = visit
        .submit(new, new, &[("name", "Harbour"), ("read_on", "2026-02-30")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#read_on-error")
            .contains("a date that exists")
    );
    assert_eq!(refused.value("#name"), "Harbour");
    let done = visit
        .submit(new, new, &[("name", "Harbour"), ("read_on", "2026-11-02")])
        .await;
    assert_eq!(done.location, "/shelf/lists/1");
    let add = "/shelf/lists/1/motors/new";
    let typed = [
        ("name", "Half horse"),
        ("power", "1/2 hp"),
        ("price", "210"),
        ("lead_days", ""),
    ];
    assert_eq!(
        visit.submit(add, add, &typed).await.location,
        "/shelf/lists/1"
    );
    let words = visit.get("/shelf/lists/1").await.words();
    assert!(words.contains("as on Mon 2 Nov 2026"), "{words}");
    assert!(
        words.contains("lead time not known") && words.contains("210.00 USD"),
        "{words}"
    );
    assert!(
        visit
            .get("/shelf?q=half")
            .await
            .words()
            .contains("Half horse")
    );
}

#[tokio::test]
async fn a_motor_says_which_machines_have_it() {
    let floor = Floor::lay().await;
    let visit = floor.app.sign_in("auditor").await;
    assert!(
        visit
            .get("/shelf/motors/1")
            .await
            .words()
            .contains("built with it; another is fitted")
    );
    assert!(
        visit
            .get("/shelf/motors/2")
            .await
            .words()
            .contains("fitted now; not the one")
    );
}

#[tokio::test]
async fn only_storekeeper_and_supervisor_change_the_shelf() {
    let floor = Floor::lay().await;
    for role in ["technician", "auditor", "keeper"] {
        let visit = floor.app.sign_in(role).await;
        let page = visit.get("/shelf").await;
        assert_eq!(page.status, StatusCode::OK);
        let token = page.value("form.who input[name=csrf]");
        for path in [
            "/shelf/motors/new",
            "/shelf/motors/1/edit",
            "/shelf/motors/1/count",
            "/shelf/lists/new",
            "/shelf/lists/1/motors/new",
        ] {
            let refused = visit.post(path, &[("csrf", &token)]).await;
            assert_eq!(refused.status, StatusCode::FORBIDDEN, "{role} {path}");
        }
    }
    let visit = floor.app.sign_in("storekeeper").await;
    for missing in [
        "/shelf/motors/999",
        "/shelf/motors/999/edit",
        "/shelf/lists/999",
    ] {
        assert_eq!(
            visit.get(missing).await.status,
            StatusCode::NOT_FOUND,
            "{missing}"
        );
    }
}

#[test]
fn every_choice_of_a_plate_reads_back() {
    use brasstag::form::Fields;
    use brasstag::motors::plate_form::PlateInput;
    use brasstag::motors::plate_words::GROUPS;
    use brasstag::rows::Takes;
    use brasstag::shop::Units;
    for ask in GROUPS.iter().flat_map(|(_, asks)| asks.iter()) {
        let Takes::Choice(options) = ask.takes else {
            continue;
        };
        for (word, _) in options {
            let fields = Fields(vec![(ask.name.to_owned(), (*word).to_owned())]);
            let read = PlateInput::from_fields(&fields, "").parse(Units::Us);
            assert!(read.is_ok(), "{} {word}: {read:?}", ask.name);
        }
    }
}
