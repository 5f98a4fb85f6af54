//! Every register taken out of one shop and read into an empty one, and the rows that tie registers
//! to each other.

use crate::app::{Answer, NOON, TestApp, Visit, fresh_database};
use crate::small_shop::lay_out;
use axum::http::StatusCode;
use brasstag::clock::Clock;
use brasstag::exchange::columns::Register;

const PAGE: &str = "/exchange/import";

/// Sends a file, takes its columns as they were found, and shows what would change.
async fn checked(visit: &Visit<'_>, register: &str, bytes: &[u8]) -> (String, Answer) {
    let fields = [("register", register)];
    let files = [("file", "file.csv", bytes)];
    let sent = visit.submit_files(PAGE, PAGE, &fields, &files).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.words());
    let at = sent.location;
    let answer = visit.submit(&at, &at, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    let shown = visit.get(&answer.location).await;
    (at, shown)
}

async fn written(visit: &Visit<'_>, register: &str, text: &str) -> String {
    let (at, shown) = checked(visit, register, text.as_bytes()).await;
    let (check, write) = (format!("{at}/check"), format!("{at}/write"));
    assert!(shown.has("form[action$='/write']"), "{}", shown.words());
    let answer = visit.submit(&check, &write, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.words());
    visit.get(&check).await.words()
}

async fn given(visit: &Visit<'_>, register: Register) -> String {
    let path = format!("/exchange/registers/{}.csv", register.word());
    let answer = visit.get(&path).await;
    assert_eq!(answer.status, StatusCode::OK, "{path}");
    String::from_utf8(answer.bytes).expect("UTF-8")
}

#[tokio::test]
async fn every_register_of_the_demo_goes_into_an_empty_shop_and_comes_out_the_same() {
    let (db, folder) = fresh_database(true).await;
    brasstag::demo::fill(&db, &Clock::fixed(NOON), true)
        .await
        .expect("the demo fills");
    let from = TestApp::filled(db, folder).await;
    let maren = from.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    let to = TestApp::start().await;
    let visit = to.sign_in("supervisor").await;
    for register in Register::ALL {
        let text = given(&maren, *register).await;
        assert!(text.lines().count() > 2, "the demo has some: {register:?}");
        let word = register.word();
        // Into the shop that it came from it changes nothing.
        let (_, same) = checked(&maren, word, text.as_bytes()).await;
        assert!(
            same.body.contains("there is nothing to write"),
            "{word}: {}",
            same.words()
        );
        let said = written(&visit, word, &text).await;
        assert!(said.contains(" 0 changed, 0 left"), "{word}: {said}");
        assert!(given(&visit, *register).await == text, "{word} differs");
    }
    // What only ties registers together came along.
    for sql in [
        "SELECT count(*) FROM machines WHERE circuit_id IS NOT NULL",
        "SELECT count(*) FROM machines WHERE parent_id IS NOT NULL",
        "SELECT count(*) FROM panels WHERE fed_from_id IS NOT NULL",
        "SELECT count(*) FROM circuits WHERE label_wrong",
        "SELECT CAST(sum(on_hand) AS BIGINT) FROM parts",
        "SELECT count(*) FROM plans WHERE wide_id IS NULL",
    ] {
        assert_eq!(to.count(sql).await, from.count(sql).await, "{sql}");
    }
    let open = "SELECT count(*) FROM due_items WHERE state = 'open'";
    assert!(to.count(open).await > 0, "plans make their dates at once");
    let parts = "SELECT count(*) FROM parts p WHERE p.on_hand <> (SELECT coalesce(sum(s.amount), 0)
        FROM stock_moves s WHERE s.part_id = p.id)";
    assert_eq!(
        to.count(parts).await,
        0,
        "a balance is the sum of its movements"
    );
    let blank = "SELECT count(*) FROM motor_search WHERE revision IS NULL";
    assert_eq!(
        to.count(blank).await,
        0,
        "search columns were written with the plates"
    );
}

#[tokio::test]
async fn circuits_keep_proofs_apart_and_feed_no_panel_above_them() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let panels = "name,place,supply\nSub,Flat roof,120 V\n";
    written(&visit, "panels", panels).await;
    let circuits = "panel,number,label read,volts,device rating,size,conductors,feeds panels,\
        label proved on,label proved by,label proved how\n\
        Sub,1,heater,120,15,14,3,,2026-11-01,Ilse,traced\n";
    written(&visit, "circuits", circuits).await;
    let proved = "SELECT count(*) FROM circuits WHERE label_proved_by = 'Ilse' AND number = '1'
        AND label_proved_on IS NOT NULL";
    assert_eq!(app.count(proved).await, 1);
    let own = "panel,number,label read,feeds panels\nSub,2,loop,Sub\n";
    let (_, shown) = checked(&visit, "circuits", own.as_bytes()).await;
    assert!(
        shown.words().contains("Sub lies above this circuit"),
        "{}",
        shown.words()
    );
    let (_, shown) = checked(&visit, "circuits", b"panel,number,label read\nNone,2,x\n").await;
    assert!(
        shown.words().contains("There is no panel None"),
        "{}",
        shown.words()
    );
    let both = "panel,number,label wrong,label proved on\nSub,1,yes,2026-11-01\n";
    let (_, shown) = checked(&visit, "circuits", both.as_bytes()).await;
    assert!(
        shown
            .words()
            .contains("A label that is wrong is not proved")
    );
    let said = written(&visit, "circuits", "panel,number,label read\nsub,1,other\n").await;
    assert!(said.contains("1 changed"), "{said}");
    assert_eq!(
        app.count(proved).await,
        0,
        "a label that changed is proved anew"
    );
}

#[tokio::test]
async fn machines_name_their_circuit_and_what_they_are_part_of() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "UPDATE machines SET feed_proved_on = '2026-11-01', feed_proved_by = 'Ilse' WHERE id = 1",
    )
    .await;
    let visit = app.sign_in("supervisor").await;
    let text =
        "tag,name,kind,place,part of\nA-1,Coil,other,Flat roof,A-2\nA-2,Unit,other,Flat roof,\n";
    let (_, shown) = checked(&visit, "machines", text.as_bytes()).await;
    assert!(
        shown.words().contains("nor a row above that adds it"),
        "{}",
        shown.words()
    );
    let text =
        "tag,name,kind,place,part of\nA-2,Unit,other,Flat roof,\nA-1,Coil,other,Flat roof,a-2\n";
    written(&visit, "machines", text).await;
    let parts = "SELECT count(*) FROM machines m JOIN machines p ON p.id = m.parent_id
        WHERE m.tag = 'A-1' AND p.tag = 'A-2'";
    assert_eq!(app.count(parts).await, 1);
    let ring = b"tag,part of\nA-2,A-1\n";
    let (_, shown) = checked(&visit, "machines", ring).await;
    assert!(
        shown.words().contains("cannot be part of itself"),
        "{}",
        shown.words()
    );
    let (_, shown) = checked(&visit, "machines", b"tag,circuit\nA-1,7\n").await;
    assert!(
        shown.words().contains("Write both the panel"),
        "{}",
        shown.words()
    );
    written(
        &visit,
        "machines",
        "tag,panel,circuit\nF-1,[clear],[clear]\n",
    )
    .await;
    let left = "SELECT count(*) FROM machines WHERE id = 1 AND circuit_id IS NULL
        AND feed_proved_on IS NULL AND feed_proved_by = ''";
    assert_eq!(app.count(left).await, 1, "a proof is of one circuit");
}

#[tokio::test]
async fn parts_are_counted_by_movements_and_lists_name_what_is_there() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("storekeeper").await;
    let text = "name,kind,standing,bins,on hand,critical\nBelt A42,belt,held,B-1,3,yes\n\
        Bearing,bearing,to_buy,,,\n";
    written(&visit, "parts", text).await;
    let moved = "SELECT CAST(sum(amount) AS BIGINT) FROM stock_moves WHERE part_id IS NOT NULL";
    assert_eq!(app.count(moved).await, 3000);
    let said = written(&visit, "parts", "name,on hand\nbelt a42,2\n").await;
    assert!(said.contains("1 changed"), "{said}");
    assert_eq!(app.count(moved).await, 2000);
    assert_eq!(
        app.count("SELECT on_hand FROM parts WHERE critical").await,
        2000
    );
    app.run("UPDATE parts SET reserved = 2000 WHERE critical")
        .await;
    let (_, shown) = checked(&visit, "parts", b"name,on hand\nBelt A42,1\n").await;
    assert!(shown.words().contains("kept for jobs"), "{}", shown.words());

    let lines = "machine,position,part,amount\nf-1,belt 1,belt a42,2\nF-1,belt 1,Chain,1\n";
    let (_, shown) = checked(&visit, "parts-lists", lines.as_bytes()).await;
    assert!(
        shown.words().contains("There is no such part"),
        "{}",
        shown.words()
    );
    let lines = "machine,position,part,amount\nf-1,belt 1,belt a42,2\n";
    written(&visit, "parts-lists", lines).await;
    let said = written(
        &visit,
        "parts-lists",
        "tag,position,part,qty\nF-1,Belt 1,Belt A42,1\n",
    )
    .await;
    assert!(said.contains("1 changed"), "{said}");
    assert_eq!(app.count("SELECT amount FROM machine_parts").await, 1000);
    let plans = visit.get("/exchange/registers/plans.csv").await;
    assert_eq!(plans.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn plans_are_read_with_their_rules() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("supervisor").await;
    let text = "machine,action,kind,count,unit,anchor on,included in\n\
        F-1,Overhaul,every so often from a date,1,years,2027-01-01,\n\
        F-1,Grease,after_done,3,months,2026-12-01,overhaul\n";
    written(&visit, "plans", text).await;
    let tied = "SELECT count(*) FROM plans p JOIN plans l ON l.id = p.included_in
        WHERE p.action = 'Grease' AND l.action = 'Overhaul'";
    assert_eq!(app.count(tied).await, 1);
    let open = "SELECT count(*) FROM due_items WHERE state = 'open'";
    assert_eq!(app.count(open).await, 2);
    let said = written(&visit, "plans", "machine,action,count\nF-1,grease,6\n").await;
    assert!(said.contains("1 changed"), "{said}");
    assert_eq!(app.count("SELECT count(*) FROM plan_revisions").await, 1);
    let bad =
        "machine,action,kind,anchor on\nF-1,Look,in_season,2026-12-01\nX-9,Look,meter,2026-12-01\n";
    let (_, shown) = checked(&visit, "plans", bad.as_bytes()).await;
    for words in [
        "Enter month and day",
        "There is no such machine",
        "Enter the run hours",
    ] {
        assert!(shown.words().contains(words), "{words}: {}", shown.words());
    }
}
