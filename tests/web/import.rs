//! Files read into registers: seen before they are written, whole or not at all, twice is once.

use crate::app::{Answer, TestApp, Visit};
use crate::small_shop::lay_out;
use axum::http::StatusCode;

const PAGE: &str = "/exchange/import";

/// Sends a file and answers with the address that it got.
async fn send(visit: &Visit<'_>, register: &str, name: &str, bytes: &[u8]) -> String {
    let answer = sent(visit, register, name, bytes).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    answer.location
}

async fn sent(visit: &Visit<'_>, register: &str, name: &str, bytes: &[u8]) -> Answer {
    let fields = [("register", register)];
    visit
        .submit_files(PAGE, PAGE, &fields, &[("file", name, bytes)])
        .await
}

/// Takes the columns as they were found and shows what would change.
async fn checked(visit: &Visit<'_>, at: &str) -> Answer {
    let answer = visit.submit(at, at, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    visit.get(&answer.location).await
}

async fn written(visit: &Visit<'_>, at: &str) -> Answer {
    let (check, write) = (format!("{at}/check"), format!("{at}/write"));
    let answer = visit.submit(&check, &write, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    visit.get(&check).await
}

async fn whole(visit: &Visit<'_>, register: &str, text: &str) -> Answer {
    let at = send(visit, register, "file.csv", text.as_bytes()).await;
    checked(visit, &at).await;
    written(visit, &at).await
}

#[tokio::test]
async fn places_and_machines_come_from_a_spreadsheet() {
    let app = TestApp::start().await;
    let visit = app.sign_in("supervisor").await;
    let places = "Within;Name;Kind;Access\n;Mill;site;\nMill;Roof;roof;Key 4\n";
    let done = whole(&visit, "places", places).await;
    assert!(
        done.body.contains("2 places added, 0 changed, 0 left"),
        "{}",
        done.body
    );

    let machines = "Asset Tag,Description,Type,Location,Wheel diameter (mm),Colour\n\
        F-1,Kiln fan,exhaust fan,Roof,355.6,blue\nP-1,Pump,Pump,\"Mill, Roof\",,\n";
    let at = send(&visit, "machines", "machines.csv", machines.as_bytes()).await;
    let shown = checked(&visit, &at).await;
    assert!(
        shown.body.contains("2 machines would be added"),
        "{}",
        shown.body
    );
    assert_eq!(
        app.count("SELECT count(*) FROM machines").await,
        0,
        "nothing before the press"
    );
    let done = written(&visit, &at).await;
    assert!(done.body.contains("2 machines added"), "{}", done.body);
    assert!(visit.get("/machines?q=F-1").await.body.contains("Kiln fan"));
    let audits = "SELECT count(*) FROM audit WHERE act = 'added from a file'";
    assert_eq!(app.count(audits).await, 4);
    // 355.6 mm by the column's head, in a shop that reads inches.
    let wheel = "SELECT count(*) FROM machines WHERE tag = 'F-1' AND facts LIKE '%355.6%'";
    assert_eq!(app.count(wheel).await, 1);

    let at = send(&visit, "machines", "machines.csv", machines.as_bytes()).await;
    let again = checked(&visit, &at).await;
    assert!(
        again
            .body
            .contains("0 machines would be added, 0 changed, 2 left"),
        "{}",
        again.body
    );
    assert!(again.body.contains("there is nothing to write"));
}

#[tokio::test]
async fn blank_leaves_and_the_word_clears() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run("UPDATE machines SET serves = 'Hall', before_you_go = 'Key' WHERE id = 1")
        .await;
    let visit = app.sign_in("keeper").await;
    let text = "tag,serves,before you go,wheel diameter\nf-1,,[clear],14\n";
    let at = send(&visit, "machines", "m.csv", text.as_bytes()).await;
    let shown = checked(&visit, &at).await;
    assert!(
        shown.body.contains("Know before you go: Key → blank"),
        "{}",
        shown.body
    );
    assert!(
        shown.body.contains("Wheel diameter: blank → 14"),
        "{}",
        shown.body
    );
    written(&visit, &at).await;
    let kept = "SELECT count(*) FROM machines WHERE id = 1 AND tag = 'F-1' AND serves = 'Hall'
        AND before_you_go = '' AND circuit_id = 1 AND fitted_motor_id = 1 AND version = 2";
    assert_eq!(
        app.count(kept).await,
        1,
        "the rest stays: circuit, motor, the case of the tag"
    );
}

#[tokio::test]
async fn a_fault_has_its_row_and_column_and_nothing_is_written() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let text = "tag,name,kind,place,installed on\nF-1,Fan,fan,Flat roof,\nX-1,New,boat,Nowhere,31.5.2019\n\
        F-1,Fan,fan,Flat roof,\nX 2,Bad tag,fan,Flat roof,\nX-3,,fan,Flat roof,\n";
    let at = send(&visit, "machines", "m.csv", text.as_bytes()).await;
    let shown = checked(&visit, &at).await;
    for words in [
        "Row&nbsp;3",
        "This is none of: fan; pump",
        "Row&nbsp;4",
        "Row 2 is about the same one",
        "Use up to 24 letters",
        "This is needed for one that is new",
    ] {
        assert!(shown.body.contains(words), "{words}: {}", shown.body);
    }
    assert!(!shown.body.contains("Write it"));
    let csrf = shown.filled("/sign-out", &[]);
    let csrf = csrf
        .iter()
        .find(|(name, _)| name == "csrf")
        .expect("a word");
    let forced = [("csrf", csrf.1.as_str()), ("seen", "")];
    visit.post(&format!("{at}/write"), &forced).await;
    assert_eq!(app.count("SELECT count(*) FROM machines").await, 2);
}

#[tokio::test]
async fn only_what_was_shown_is_written_and_only_once() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let text = "tag,name\nF-1,Another name\n";
    let at = send(&visit, "machines", "m.csv", text.as_bytes()).await;
    let shown = checked(&visit, &at).await;
    let form = shown.filled(&format!("{at}/write"), &[]);
    let form: Vec<(&str, &str)> = form.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    app.run("UPDATE machines SET name = 'Meanwhile', version = version + 1 WHERE id = 1")
        .await;
    visit.post(&format!("{at}/write"), &form).await;
    let told = visit.get(&format!("{at}/check")).await;
    assert!(
        told.body.contains("was changed after this page was shown"),
        "{}",
        told.body
    );
    written(&visit, &at).await;
    visit.post(&format!("{at}/write"), &form).await;
    let once = "SELECT count(*) FROM audit WHERE act = 'changed from a file'";
    assert_eq!(app.count(once).await, 1);
}

#[tokio::test]
async fn motors_come_to_the_shelf_and_to_lists() {
    let app = TestApp::start().await;
    let visit = app.sign_in("storekeeper").await;
    let text = "Motor,Bin,Qty,Cost,HP,Volts,FLA,RPM,Enclosure,Frame\n\
        Spare A,A-1,2,148.50,1/2,115/230,7.2/3.6,1075,TEFC,unreadable\n";
    let done = whole(&visit, "shelf-motors", text).await;
    assert!(done.body.contains("1 motor added"), "{}", done.body);
    assert_eq!(app.count("SELECT held FROM shelf_motors").await, 2);
    let first = "SELECT count(*) FROM stock_moves WHERE kind = 'counted' AND amount = 2000";
    assert_eq!(app.count(first).await, 1, "the balance has its movement");
    let known = "SELECT count(*) FROM motors WHERE plate LIKE '%old_record%'";
    assert_eq!(app.count(known).await, 1, "a spreadsheet is an old record");

    let at = send(&visit, "shelf-motors", "s.csv", text.as_bytes()).await;
    let again = checked(&visit, &at).await;
    assert!(again.body.contains("0 changed, 1 left"), "{}", again.body);

    let counted = whole(
        &visit,
        "shelf-motors",
        "name,held,power\nspare a,5,0.5 hp\n",
    )
    .await;
    assert!(counted.body.contains("1 changed"), "{}", counted.body);
    assert_eq!(app.count("SELECT held FROM shelf_motors").await, 5);
    assert_eq!(
        app.count("SELECT CAST(sum(amount) AS BIGINT) FROM stock_moves")
            .await,
        5000
    );

    let list = "Supplier,Motor,List day,Price,Lead time,kW\nNorth,M-1,2026-11-01,99.00,14,0.37\n\
        North,M-2,2026-11-01,,,\n";
    let at = send(&visit, "supplier-motors", "l.csv", list.as_bytes()).await;
    let fields = visit.get(&at).await;
    assert!(fields.body.contains("List day"), "{}", fields.body);
    let day = [("column2", "list_day")];
    let answer = visit.submit(&at, &at, &day).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let done = written(&visit, &at).await;
    assert!(done.body.contains("2 motors added"), "{}", done.body);
    assert_eq!(app.count("SELECT count(*) FROM supplier_lists").await, 1);
    let done = whole(
        &visit,
        "supplier-motors",
        "list,name,price\nnorth,m-1,101.00\n",
    )
    .await;
    assert!(done.body.contains("1 changed"), "{}", done.body);
    let price = "SELECT price_minor FROM supplier_motors WHERE lead_days = 14";
    assert_eq!(app.count(price).await, 10_100, "and the days stay");
}

#[tokio::test]
async fn who_may_and_whose_it_is() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    for role in ["technician", "auditor", "reporter"] {
        let visit = app.sign_in(role).await;
        assert_eq!(
            visit.get(PAGE).await.status,
            StatusCode::FORBIDDEN,
            "{role}"
        );
    }
    let keeper = app.sign_in("storekeeper").await;
    let page = keeper.get(PAGE).await;
    assert!(
        !page.body.contains("value=\"machines\"") && page.body.contains("value=\"shelf-motors\"")
    );
    let refused = sent(&keeper, "machines", "m.csv", b"tag,name\nF-1,x\n").await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let supervisor = app.sign_in("supervisor").await;
    let at = send(&supervisor, "machines", "m.csv", b"tag,name\nF-1,x\n").await;
    let other = app.sign_in("keeper").await;
    assert_eq!(
        other.get(&at).await.status,
        StatusCode::NOT_FOUND,
        "another's file"
    );
    app.state.clock.advance(brasstag::clock::DAY + 1);
    let supervisor = app.sign_in("supervisor").await;
    assert_eq!(
        supervisor.get(&at).await.status,
        StatusCode::NOT_FOUND,
        "after a day"
    );
}

#[tokio::test]
async fn a_file_that_is_none_is_refused_beside_its_field() {
    let app = TestApp::start().await;
    let visit = app.sign_in("supervisor").await;
    let none = sent(&visit, "machines", "", b"").await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        none.body.contains("Choose a file that is not empty"),
        "{}",
        none.body
    );
    let picture = sent(&visit, "machines", "m.xlsx", b"\x89PNG\r\n\x1a\n\0\0").await;
    assert_eq!(picture.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        picture.body.contains("is not UTF-8 text"),
        "{}",
        picture.body
    );
    let large = vec![b'a'; 33 * 1024 * 1024];
    let refused = sent(&visit, "machines", "m.csv", &large).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.body.contains("larger than 32 MB"),
        "{}",
        refused.body
    );
    // A workbook under another name is read by what it is.
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (at, text) in ["name", "kind"].iter().enumerate() {
        sheet
            .write(0, u16::try_from(at).expect("small"), *text)
            .expect("cell");
    }
    sheet
        .write(1, 0, "Yard")
        .expect("cell")
        .write(1, 1, "site")
        .expect("cell");
    let bytes = book.save_to_buffer().expect("a file");
    let at = send(&visit, "places", "places.csv", &bytes).await;
    assert!(
        checked(&visit, &at)
            .await
            .body
            .contains("1 place would be added")
    );
}

/// The text of a file that a page gives.
async fn given(visit: &Visit<'_>, path: &str) -> Vec<u8> {
    let answer = visit.get(path).await;
    assert_eq!(answer.status, StatusCode::OK, "{path}");
    let kind = answer.headers.get("content-type").expect("a kind");
    assert!(kind.to_str().expect("ascii").starts_with("text/csv"));
    answer.bytes
}

#[tokio::test]
async fn what_is_taken_out_changes_nothing_when_it_comes_back() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "UPDATE machines SET name = '=1+1', serves = '-5 wing', installed_on = '2019-05-31' WHERE id = 1;
         UPDATE places SET access_note = '@door', name = 'Roof, flat' WHERE id = 2;",
    )
    .await;
    let visit = app.sign_in("supervisor").await;
    let facts = "tag,wheel diameter,shaft power,roof edge,turns\nF-1,1/2,1/6 hp,12 ft,clockwise\n";
    let done = whole(&visit, "machines", facts).await;
    assert!(done.body.contains("1 changed"), "{}", done.body);
    let shelf = "name,bin,held,power,volts,shaft diameter,enclosure,ambient,insulation,frame\n\
        Spare A,A-1,2,1/2 hp,115/230,1/2,TEFC,40,B,unreadable\n-9 pole,A-2,0,,,12.3 mm,,,,\n";
    whole(&visit, "shelf-motors", shelf).await;
    let list = "list,list day,name,price\nNorth,2026-11-01,M-1,99.00\n";
    whole(&visit, "supplier-motors", list).await;
    for register in ["places", "machines", "shelf-motors", "supplier-motors"] {
        let text = given(&visit, &format!("/exchange/registers/{register}.csv")).await;
        let said = String::from_utf8(text.clone()).expect("UTF-8");
        for line in said.lines() {
            let runs = |cell: &str| cell.starts_with(['=', '@', '-', '+']);
            assert!(
                !line.split(',').any(runs),
                "no cell is run as a formula: {line}"
            );
        }
        let at = send(&visit, register, "again.csv", &text).await;
        let again = checked(&visit, &at).await;
        assert!(
            again.body.contains(" 0 changed"),
            "{register}: {}",
            again.body
        );
        assert!(
            again.body.contains("there is nothing to write"),
            "{register}: {}",
            again.body
        );
    }
    let name = "SELECT count(*) FROM machines WHERE name = '=1+1' AND serves = '-5 wing'";
    assert_eq!(app.count(name).await, 1);
}

#[tokio::test]
async fn the_columns_are_documented_and_the_templates_are_made_of_them() {
    let app = TestApp::start().await;
    let visit = app.sign_in("supervisor").await;
    let page = visit.get("/exchange/columns").await;
    assert_eq!(page.status, StatusCode::OK);
    for words in [
        "before you go",
        "[clear]",
        "/exchange/templates/machines.csv",
        "unit heater",
    ] {
        assert!(page.body.contains(words), "{words}");
    }
    let heads = given(&visit, "/exchange/templates/places.csv").await;
    assert_eq!(heads, b"\xEF\xBB\xBFwithin,name,kind,access note\n");
    assert_eq!(
        visit.get("/exchange/templates/people.csv").await.status,
        StatusCode::NOT_FOUND
    );
    let keeper = app.sign_in("storekeeper").await;
    assert_eq!(
        keeper.get("/exchange/registers/machines.csv").await.status,
        StatusCode::FORBIDDEN
    );
    let page = keeper.get("/exchange/columns").await;
    assert!(
        !page.body.contains("templates/machines.csv") && page.body.contains("shelf-motors.csv")
    );
}
