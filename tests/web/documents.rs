//! Files of documents and photos of things themselves: kept, given back as downloads, refused where
//! they are not what they say.

use crate::app::{Answer, TestApp, Visit};
use crate::photos::{files, jpeg};
use crate::small_shop::lay_out;
use axum::http::StatusCode;

const PAGE: &str = "/machines/1/papers";
const SEND: &str = "/machines/1/papers/document";

async fn send(visit: &Visit<'_>, name: &str, revision: &str, file: (&str, &[u8])) -> Answer {
    let fields = [("name", name), ("revision", revision)];
    let files = [("file", file.0, file.1)];
    visit.submit_files(PAGE, SEND, &fields, &files).await
}

#[tokio::test]
async fn a_document_comes_back_as_a_download_and_older_revisions_stay() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let sent = send(
        &visit,
        "Manual",
        "A",
        ("Händbuch (1).pdf", b"%PDF-1.7 first"),
    )
    .await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.words());
    let fields = [
        ("name", "manual"),
        ("revision", "B"),
        ("dated_on", "2026-11-01"),
    ];
    let second = [("file", "b.pdf", b"%PDF-1.7 second".as_slice())];
    let sent = visit.submit_files(PAGE, SEND, &fields, &second).await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.words());
    let page = visit.get(PAGE).await;
    let documents = page.texts("#documents li");
    assert!(
        documents[0].contains("revision B of Sun 1 Nov 2026"),
        "{documents:?}"
    );
    assert!(
        page.text("#earlier").contains("revision A"),
        "{}",
        page.words()
    );
    assert!(visit.get("/machines/1").await.words().contains("b.pdf"));

    let first = visit.get("/documents/1").await;
    assert_eq!(first.bytes, b"%PDF-1.7 first");
    let header = |name: &str| {
        let value = first.headers.get(name).expect("a header");
        value.to_str().expect("ascii").to_owned()
    };
    assert_eq!(header("content-type"), "application/pdf");
    assert_eq!(header("x-content-type-options"), "nosniff");
    assert_eq!(
        header("content-security-policy"),
        "default-src 'none'; sandbox"
    );
    let named = "attachment; filename=\"H_ndbuch _1_.pdf\"";
    assert!(
        header("content-disposition").starts_with(named),
        "{}",
        header("content-disposition")
    );
    assert_eq!(
        visit.get("/documents/9").await.status,
        StatusCode::NOT_FOUND
    );
    let nobody = app.visitor().get("/documents/1").await;
    assert_eq!(nobody.status, StatusCode::SEE_OTHER, "sign in first");
    let reporter = app.sign_in("reporter").await;
    assert_eq!(
        reporter.get("/documents/1").await.status,
        StatusCode::FORBIDDEN
    );
    // Both files are needed, so the sweep leaves them.
    let all = brasstag::photos::taking::sweep_older(&app.state, std::time::Duration::ZERO);
    assert_eq!(all.await, Ok(0));
    assert_eq!(files(&app).len(), 2);
}

#[tokio::test]
async fn what_is_no_document_is_refused_beside_the_field_and_nothing_is_kept() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.sign_in("technician").await;
    let large = vec![b'a'; 25 * 1024 * 1024 + 1];
    for (file, said) in [
        (
            ("page.html", b"<script>".as_slice()),
            "Choose a PDF, a picture",
        ),
        (("manual.pdf", b"<html>".as_slice()), "This is no pdf file"),
        (("notes.txt", b"\xFF\xFE".as_slice()), "This is no txt file"),
        (("empty.pdf", b"".as_slice()), "The file is empty"),
        (("large.txt", large.as_slice()), "larger than 25 MB"),
    ] {
        let refused = send(&visit, "Manual", "A", file).await;
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{}",
            file.0
        );
        let message = refused.text("#file-error");
        assert!(message.contains(said), "{}: {message}", file.0);
        assert_eq!(refused.value("#name"), "Manual", "what was typed stays");
    }
    assert_eq!(files(&app).len(), 0);
    assert_eq!(app.count("SELECT count(*) FROM machine_documents").await, 0);
    app.run(
        "INSERT INTO machine_documents (machine_id, name, sha, noted_at, ended_at)
         WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 100)
         SELECT 1, 'D', 'x', 0, 0 FROM n",
    )
    .await;
    let full = send(&visit, "Manual", "A", ("a.pdf", b"%PDF-1")).await;
    assert!(
        full.text("#file-error").contains("keeps 100 files"),
        "{}",
        full.words()
    );
    let auditor = app.sign_in("auditor").await;
    assert!(!auditor.get(PAGE).await.has("#add-document"));
    let csrf = auditor.get(PAGE).await.value("input[name=csrf]");
    let typed = [("csrf", csrf.as_str()), ("name", "x"), ("kept", "y")];
    let refused = auditor.post_files(SEND, &typed, &[]).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_machine_a_motor_and_a_part_show_their_own_photos() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    app.run(
        "INSERT INTO parts (name, kind, standing, created_at) VALUES ('Belt', 'belt', 'to_buy', 0)",
    )
    .await;
    let visit = app.sign_in("storekeeper").await;
    for (thing, page, seed) in [
        ("machine-1", "/machines/1", 1),
        ("motor-1", "/shelf/motors/1", 2),
        ("part-1", "/shelf/parts/1", 3),
    ] {
        let at = format!("/photos/of/{thing}");
        let picture = jpeg(600, 400, seed);
        let photo = [("photo", "a.jpg", picture.as_slice())];
        let caption = [("caption", "From the hatch")];
        let sent = visit.submit_files(&at, &at, &caption, &photo).await;
        assert_eq!(
            sent.status,
            StatusCode::SEE_OTHER,
            "{thing}: {}",
            sent.words()
        );
        let shown = visit.get(page).await;
        assert!(
            shown.text("#own-photos").contains("From the hatch"),
            "{thing}"
        );
        let links = shown.attributes("href");
        let sha = links.iter().find_map(|link| {
            let sha = link.strip_prefix("/photos/")?;
            (sha.len() == 64).then_some(sha)
        });
        let large = visit
            .get(&format!("/photos/{}", sha.expect("a photo")))
            .await;
        assert_eq!(large.status, StatusCode::OK);
    }
    assert_eq!(files(&app).len(), 6);
    let none = visit
        .submit_files("/photos/of/part-1", "/photos/of/part-1", &[], &[])
        .await;
    assert!(
        none.text("#photo-error").contains("Take a photo"),
        "{}",
        none.words()
    );
    let gone = [("id", "1")];
    let other = visit
        .submit("/photos/of/part-1", "/photos/of/part-1/withdraw", &gone)
        .await;
    assert_eq!(other.status, StatusCode::NOT_FOUND, "another thing's photo");
    let own = visit
        .submit(
            "/photos/of/machine-1",
            "/photos/of/machine-1/withdraw",
            &gone,
        )
        .await;
    assert_eq!(own.status, StatusCode::SEE_OTHER);
    assert!(!visit.get("/machines/1").await.has("#own-photos"));
    assert_eq!(
        files(&app).len(),
        4,
        "the files of a photo that is gone are gone"
    );
    for bad in [
        "/photos/of/machine-99",
        "/photos/of/panel-1",
        "/photos/of/x",
    ] {
        assert_eq!(visit.get(bad).await.status, StatusCode::NOT_FOUND, "{bad}");
    }
    let auditor = app.sign_in("auditor").await;
    assert!(
        !auditor
            .get("/photos/of/motor-1")
            .await
            .has("input[type=file]")
    );
    let own = auditor.get("/photos/of/motor-1").await;
    let csrf = own.value("input[name=csrf]");
    let refused = auditor
        .post(
            "/photos/of/motor-1/withdraw",
            &[("csrf", &csrf), ("id", "2")],
        )
        .await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}
