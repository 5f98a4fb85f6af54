//! Parts: the register, balances that are the sum of their movements, parts lists, issue on a job.

use crate::app::{TestApp, Visit};
use crate::small_shop;
use axum::http::StatusCode;

const BELT: &[(&str, &str)] = &[
    ("name", "Belt A42"),
    ("kind", "belt"),
    ("standing", "held"),
    ("bins", "B-1"),
    ("description", "A section, 42 in"),
    ("price", "11.40"),
    ("lead_days", "6"),
];

/// The small shop with part 1, a belt, and `held` of it on the shelf.
pub async fn with_belts(held: &str) -> TestApp {
    let app = TestApp::start().await;
    small_shop::lay_out(&app).await;
    let store = app.sign_in("storekeeper").await;
    let made = store
        .submit("/shelf/parts/new", "/shelf/parts/new", BELT)
        .await;
    assert_eq!(made.location, "/shelf/parts/1", "{}", made.body);
    let page = "/shelf/parts/1";
    let done = store
        .submit(page, "/shelf/parts/1/receive", &[("received", held)])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    app
}

/// A job on machine 1 that is handed out.
pub async fn job(app: &TestApp) -> i64 {
    let job = small_shop::report(app, "F-1", "It squeals").await;
    small_shop::plan_and_hand_out(app, job).await;
    job
}

/// Posts one of the forms of the job's shelf page, with fresh keys.
pub async fn at_shelf(
    visit: &Visit<'_>,
    job: i64,
    act: &str,
    fields: &[(&str, &str)],
) -> crate::app::Answer {
    let form = visit.get(&format!("/jobs/{job}/stores?q=belt")).await;
    assert_eq!(form.status, StatusCode::OK);
    let mut all = vec![
        ("csrf".to_owned(), form.value("[name=csrf]")),
        ("entry".to_owned(), form.value("[name=entry]")),
        ("seen".to_owned(), form.value("[name=seen]")),
    ];
    all.extend(
        fields
            .iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned())),
    );
    let all: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    visit.post(&format!("/jobs/{job}/stores/{act}"), &all).await
}

async fn sums_agree(app: &TestApp) {
    let wrong = app
        .count(
            "SELECT count(*) FROM parts p WHERE p.on_hand <> COALESCE((SELECT sum(s.amount)
                FROM stock_moves s WHERE s.part_id = p.id), 0)
             OR p.reserved <> COALESCE((SELECT sum(s.held_back)
                FROM stock_moves s WHERE s.part_id = p.id), 0)",
        )
        .await;
    assert_eq!(wrong, 0, "a balance is the sum of its movements");
}

#[tokio::test]
async fn a_part_is_added_found_changed_and_a_stale_change_is_refused() {
    let app = with_belts("3").await;
    let store = app.sign_in("storekeeper").await;
    let words = store.get("/shelf/parts/1").await.words();
    assert!(words.contains("3 pieces, bin B-1"), "{words}");
    assert!(words.contains("3 pieces came, 34.20 USD"), "{words}");
    for (query, found) in [
        ("q=a42", 1),
        ("q=pump", 0),
        ("kind=belt", 1),
        ("kind=seal", 0),
    ] {
        let page = store.get(&format!("/shelf/parts?{query}")).await;
        assert_eq!(page.texts("tbody th").len(), found, "{query}");
    }
    let edit = "/shelf/parts/1/edit";
    assert_eq!(store.get(edit).await.value("#price"), "11.40");
    let done = store.submit(edit, edit, &[("bins", "B-2")]).await;
    assert_eq!(done.location, "/shelf/parts/1", "{}", done.body);
    let stale = store.submit(edit, edit, &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    let typed = [
        ("name", "BELT a42"),
        ("kind", "belt"),
        ("standing", "to_buy"),
    ];
    let again = store
        .submit("/shelf/parts/new", "/shelf/parts/new", &typed)
        .await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(again.text("#name-error").contains("Another part"));
    let typed = [
        ("name", "Seal"),
        ("kind", "x"),
        ("standing", "held"),
        ("price", "dear"),
    ];
    let page = store
        .submit("/shelf/parts/new", "/shelf/parts/new", &typed)
        .await;
    assert_eq!(page.text("#kind-error"), "Choose what kind of part it is");
    assert_eq!(page.text("#bins-error"), "Enter the bin it lies in");
    assert_eq!(page.text("#price-error"), "Enter a price, as 148.50");
    assert_eq!(page.value("#name"), "Seal");
    assert_eq!(
        store.get("/shelf/parts/9").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn a_count_that_differs_says_why_and_is_a_line_of_its_own() {
    let app = with_belts("3").await;
    let tech = app.sign_in("technician").await;
    let (page, to) = ("/shelf/parts/1", "/shelf/parts/1/count");
    let refused = tech.submit(page, to, &[("counted", "2")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .text("#count_why-error")
            .contains("The list says 3 pieces")
    );
    assert_eq!(refused.value("#counted"), "2");
    let typed = [("counted", "2"), ("count_why", "unexplained")];
    assert_eq!(tech.submit(page, to, &typed).await.location, page);
    let words = tech.get(page).await.words();
    assert!(words.contains("counted: 1 piece missing"), "{words}");
    assert!(words.contains("nobody knows"), "{words}");
    assert_eq!(
        tech.submit(page, to, &[("counted", "2")]).await.location,
        page
    );
    let store = app.sign_in("storekeeper").await;
    let typed = [("scrapped", "5"), ("scrap_why", "Cracked")];
    let refused = store.submit(page, "/shelf/parts/1/scrap", &typed).await;
    assert!(refused.text("#scrapped-error").contains("2 pieces free"));
    let typed = [("scrapped", "1"), ("scrap_why", "Cracked")];
    assert_eq!(
        store
            .submit(page, "/shelf/parts/1/scrap", &typed)
            .await
            .location,
        page
    );
    assert_eq!(app.count("SELECT on_hand FROM parts").await, 1000);
    sums_agree(&app).await;
}

#[tokio::test]
async fn a_machines_parts_list_says_where_each_part_sits_and_where_a_part_is_used() {
    let app = with_belts("3").await;
    let tech = app.sign_in("technician").await;
    let page = "/machines/1/parts";
    let typed = [("place", "belt 1"), ("part", "1"), ("amount", "1")];
    assert_eq!(tech.submit(page, page, &typed).await.location, page);
    let twice = tech.submit(page, page, &typed).await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(twice.text("#place-error").contains("already"));
    let blank = tech
        .submit(page, page, &[("place", ""), ("amount", "")])
        .await;
    assert!(blank.text("#place-error").contains("drive-end bearing"));
    assert_eq!(blank.text("#part-error"), "Choose the part");
    let machine = tech.get("/machines/1").await.words();
    assert!(
        machine.contains("belt 1: 1 piece of Belt A42; on the shelf 3 pieces"),
        "{machine}"
    );
    let part = tech.get("/shelf/parts/1").await.words();
    assert!(part.contains("F-1 Kiln fan: belt 1, 1 piece"), "{part}");
    let gone = tech.submit(page, "/machines/1/parts/1/remove", &[]).await;
    assert_eq!(gone.location, page);
    assert_eq!(app.count("SELECT count(*) FROM machine_parts").await, 0);
    let audit = "SELECT count(*) FROM audit WHERE act LIKE 'part % its list'";
    assert_eq!(app.count(audit).await, 2);
}

#[tokio::test]
async fn issue_and_return_are_entries_of_the_job_with_their_movements() {
    let app = with_belts("3").await;
    let job = job(&app).await;
    let tech = app.sign_in("technician").await;
    let page = format!("/jobs/{job}/stores");
    let done = at_shelf(&tech, job, "issue", &[("item", "part-1"), ("amount", "2")]).await;
    assert_eq!(done.location, page, "{}", done.body);
    let words = tech.get(&page).await.words();
    assert!(words.contains("Belt A42: 2 pieces out"), "{words}");
    assert!(words.contains("Cost of what is out: 22.80 USD"), "{words}");
    let back = [("item", "part-1"), ("amount", "3")];
    let refused = at_shelf(&tech, job, "return", &back).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .words()
            .contains("2 pieces of it is out with this job")
    );
    let back = [("item", "part-1"), ("amount", "1")];
    assert_eq!(at_shelf(&tech, job, "return", &back).await.location, page);
    assert_eq!(app.count("SELECT on_hand FROM parts").await, 2000);
    let entries = "SELECT count(*) FROM stock_moves s JOIN entries e ON e.id = s.entry_id
        WHERE e.kind IN ('part_issued', 'part_returned') AND s.machine_id = 1";
    assert_eq!(app.count(entries).await, 2);
    let words = tech.get(&format!("/jobs/{job}")).await.words();
    assert!(words.contains("Taken from the shelf"), "{words}");
    assert!(words.contains("Belt A42: 2 pieces, 22.80"), "{words}");
    sums_agree(&app).await;
}

#[tokio::test]
async fn the_same_form_sent_twice_takes_once() {
    let app = with_belts("3").await;
    let job = job(&app).await;
    let tech = app.sign_in("technician").await;
    let form = tech.get(&format!("/jobs/{job}/note")).await;
    let (entry, seen) = (form.value("[name=entry]"), form.value("[name=seen]"));
    let csrf = form.value("[name=csrf]");
    let typed = [
        ("csrf", csrf.as_str()),
        ("entry", entry.as_str()),
        ("seen", seen.as_str()),
        ("item", "part-1"),
        ("amount", "1"),
    ];
    for _ in 0..2 {
        let to = format!("/jobs/{job}/stores/issue");
        assert_eq!(tech.post(&to, &typed).await.status, StatusCode::SEE_OTHER);
    }
    assert_eq!(app.count("SELECT on_hand FROM parts").await, 2000);
}

#[tokio::test]
async fn more_than_there_is_is_refused_with_the_choice_to_count_first() {
    let app = with_belts("1").await;
    let job = job(&app).await;
    let tech = app.sign_in("technician").await;
    let two = [("item", "part-1"), ("amount", "2")];
    let refused = at_shelf(&tech, job, "issue", &two).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused
            .words()
            .contains("The list says 1 piece of Belt A42")
    );
    assert!(
        refused.has("#counted"),
        "the count is asked on the same page"
    );
    assert_eq!(app.count("SELECT on_hand FROM parts").await, 1000);
    let typed = [("item", "part-1"), ("counted", "4"), ("count_why", "")];
    let refused = at_shelf(&tech, job, "count", &typed).await;
    assert!(refused.text("#count_why-error").contains("The list says"));
    assert_eq!(refused.value("#counted"), "4");
    let typed = [("item", "part-1"), ("counted", "4"), ("count_why", "found")];
    let done = at_shelf(&tech, job, "count", &typed).await;
    assert_eq!(
        done.location,
        format!("/jobs/{job}/stores"),
        "{}",
        done.body
    );
    assert_eq!(
        at_shelf(&tech, job, "issue", &two).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(app.count("SELECT on_hand FROM parts").await, 2000);
    sums_agree(&app).await;
}

#[tokio::test]
async fn what_is_kept_for_one_job_is_not_taken_for_another() {
    let app = with_belts("2").await;
    let (first, second) = (job(&app).await, job(&app).await);
    let store = app.sign_in("storekeeper").await;
    let two = [("item", "part-1"), ("amount", "2")];
    let one = [("item", "part-1"), ("amount", "1")];
    assert_eq!(
        at_shelf(&store, first, "keep", &two).await.status,
        StatusCode::SEE_OTHER
    );
    let refused = at_shelf(&store, second, "issue", &one).await;
    assert!(
        refused
            .words()
            .contains("2 pieces of it is kept for other jobs")
    );
    let refused = at_shelf(&store, second, "keep", &one).await;
    assert!(refused.words().contains("Free on the shelf: 0 pieces"));
    assert_eq!(
        at_shelf(&store, first, "issue", &one).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(app.count("SELECT reserved FROM parts").await, 1000);
    assert_eq!(
        at_shelf(&store, first, "release", &one).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        at_shelf(&store, second, "issue", &one).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(app.count("SELECT on_hand FROM parts").await, 0);
    sums_agree(&app).await;
}

#[tokio::test]
async fn each_role_does_its_part_and_no_more() {
    let app = with_belts("3").await;
    let job = job(&app).await;
    for (who, reads, takes, receives) in [
        ("reporter", false, false, false),
        ("auditor", true, false, false),
        ("technician", true, true, false),
        ("storekeeper", true, true, true),
        ("supervisor", true, true, true),
    ] {
        let visit = app.sign_in(who).await;
        let csrf = visit.get("/report").await.value("[name=csrf]");
        let csrf = ("csrf", csrf.as_str());
        for page in ["/shelf/parts", "/shelf/parts/1", "/machines/1/parts"] {
            let status = visit.get(page).await.status;
            assert_eq!(status == StatusCode::OK, reads, "{who} {page}");
        }
        let stores = format!("/jobs/{job}/stores");
        assert_eq!(
            visit.get(&stores).await.status == StatusCode::OK,
            reads,
            "{who}"
        );
        let to = "/shelf/parts/1/receive";
        let status = visit.post(to, &[csrf, ("received", "1")]).await.status;
        assert_eq!(status != StatusCode::FORBIDDEN, receives, "{who}");
        let status = visit
            .post("/shelf/parts/1/count", &[csrf, ("counted", "")])
            .await
            .status;
        assert_eq!(status != StatusCode::FORBIDDEN, takes, "{who}");
        let to = format!("{stores}/issue");
        let status = visit
            .post(&to, &[csrf, ("item", "part-1"), ("amount", "")])
            .await
            .status;
        assert_eq!(status != StatusCode::FORBIDDEN, takes, "{who}");
    }
}

#[tokio::test]
async fn a_motors_count_and_fitting_are_movements_too() {
    let app = TestApp::start().await;
    let store = app.sign_in("storekeeper").await;
    let typed = [
        ("name", "Spare"),
        ("made", "made"),
        ("bin", "M-1"),
        ("held", "2"),
    ];
    store
        .submit("/shelf/motors/new", "/shelf/motors/new", &typed)
        .await;
    let page = "/shelf/motors/1";
    let typed = [("held", "1"), ("reason", "one went unbooked")];
    store.submit(page, "/shelf/motors/1/count", &typed).await;
    let sum = "SELECT CAST(sum(amount) AS BIGINT) FROM stock_moves WHERE motor_id = 1";
    assert_eq!(app.count(sum).await, 1000);
    assert_eq!(app.count("SELECT held FROM shelf_motors").await, 1);
}
