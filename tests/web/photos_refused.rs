//! Photos that are refused: hostile, broken, too large or too many, each in words and with everything
//! typed kept.

use crate::app::TestApp;
use crate::photos::{added, files, holds, jpeg, picture, reported_from, reported_with, rows};
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder};

/// A PNG of a few bytes whose head promises 60000 by 60000 points.
fn bomb() -> Vec<u8> {
    let mut bytes = Vec::new();
    PngEncoder::new(&mut bytes)
        .write_image(&picture(8, 8, 0), 8, 8, ExtendedColorType::Rgb8)
        .expect("a png");
    bytes[16..24].copy_from_slice(&[60_000_u32.to_be_bytes(), 60_000_u32.to_be_bytes()].concat());
    let sum = !bytes[12..29].iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            (crc >> 1) ^ (0xEDB8_8320 & 0_u32.wrapping_sub(crc & 1))
        })
    });
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    bytes
}

#[tokio::test]
async fn a_hostile_or_broken_file_is_refused_in_words_and_the_report_kept() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let whole = jpeg(400, 300, 1);
    let mut large = whole.clone();
    large.resize(16 * 1024 * 1024, 0);
    let bomb = bomb();
    let refused: [(&[u8], &str); 9] = [
        (b"<!doctype html><script>alert(1)</script>", "no photo"),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg' onload='x()'/>",
            "no photo",
        ),
        (b"GIF89a\x01\0\x01\0\x80\0\0\xff\xff\xff\0\0\0;", "no photo"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"),
        (&whole[..whole.len() / 2], "end of the file is missing"),
        (b"\xFF\xD8\xFF\xE0\0\x04ab\xFF\xD9", "damaged"),
        (&bomb, "more than 50 million points"),
        (b"", "empty"),
        (&large, "larger than 15 MB"),
    ];
    for (bytes, why) in refused {
        let page = reported_with(&app, &[("photo", "fan.jpg", bytes)]).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{why}");
        let said = page.text("#photo-error");
        assert!(
            said.starts_with("fan.jpg was not taken") && said.contains(why),
            "{said}"
        );
        assert_eq!(page.value("#words"), "It howls", "the words are kept");
        assert_eq!(page.value("#reporter"), "Ana");
        assert!(
            page.text("h1 + p + div a").contains(why),
            "in the summary too"
        );
        assert!(page.words().contains("Choose it again"));
    }
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 0);
    assert_eq!(
        (rows(&app).await, files(&app).len()),
        (0, 0),
        "nothing was stored"
    );
}

#[tokio::test]
async fn what_hangs_on_a_photo_is_not_stored() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let mut photo = jpeg(200, 100, 1);
    photo.extend(b"<html><script>alert('here')</script></html>");
    let answer = reported_with(&app, &[("photo", "fan.jpg.html", &photo)]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    for name in files(&app) {
        let file = app.state.config.folder.join("photos").join(name);
        let stored = std::fs::read(file).expect("the file reads");
        assert!(stored.starts_with(b"\xFF\xD8\xFF"));
        assert!(!holds(&stored, b"script") && !holds(&stored, b"html"));
    }
}

#[tokio::test]
async fn a_fourth_photo_of_a_report_is_refused() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let photo = jpeg(40, 30, 1);
    let page = reported_with(
        &app,
        &[
            ("photo", "1.jpg", &photo),
            ("photo", "2.jpg", &photo),
            ("photo2", "3.jpg", &photo),
            ("photo3", "4.jpg", &photo),
        ],
    )
    .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = page.text("#photo3-error");
    assert!(said.starts_with("4.jpg was not taken: too many"), "{said}");
    assert_eq!(page.value("#words"), "It howls");
    assert_eq!((rows(&app).await, files(&app).len()), (0, 0));
}

#[tokio::test]
async fn a_form_far_beyond_every_limit_still_comes_back_with_its_words() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let huge = vec![0xFF; 60 * 1024 * 1024];
    let page = reported_with(&app, &[("photo", "huge.jpg", &huge)]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#photo-error").contains("larger than 15 MB"));
    assert_eq!(page.value("#words"), "It howls");
    // Every other form stays as small as it was.
    let long = "x".repeat(300 * 1024);
    let answer = app.visitor().post("/sign-in", &[("name", &long)]).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    let answer = app
        .visitor()
        .post_files("/report", &[("csrf", &long)], &[])
        .await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn without_the_right_csrf_field_in_front_nothing_is_read() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let visit = app.visitor();
    let page = visit.get("/t/F-1").await;
    let (csrf, entry) = (
        page.value("form [name=csrf]"),
        page.value("form [name=entry]"),
    );
    let photo = jpeg(40, 30, 1);
    let files_sent: [(&str, &str, &[u8]); 1] = [("photo", "a.jpg", &photo)];
    let rest = [("entry", entry.as_str()), ("tag", "F-1"), ("words", "hot")];
    let wrong = [&[("csrf", "0")], rest.as_slice()].concat();
    let last = [rest.as_slice(), &[("csrf", csrf.as_str())]].concat();
    for fields in [wrong, last, rest.to_vec()] {
        let answer = visit.post_files("/report", &fields, &files_sent).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN);
    }
    assert_eq!((rows(&app).await, files(&app).len()), (0, 0));
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 0);
    let right = [&[("csrf", csrf.as_str())], rest.as_slice()].concat();
    let answer = visit.post_files("/report", &right, &files_sent).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    // The same again counts once; with another photo it is told apart and nothing is lost silently.
    let answer = visit.post_files("/report", &right, &files_sent).await;
    assert!(answer.location.starts_with("/status/1?new=yes"));
    let other = jpeg(40, 30, 200);
    let page = visit
        .post_files("/report", &right, &[("photo", "b.jpg", &other)])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#photo-error").contains("has the number 1"));
    assert_eq!((rows(&app).await, files(&app).len()), (1, 1));
}

#[tokio::test]
async fn a_job_holds_forty_photos_and_the_file_of_the_next_is_removed() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "hot").await;
    let visit = app.sign_in("technician").await;
    for round in 0..7_u8 {
        let photos: Vec<Vec<u8>> = (0..6).map(|at| jpeg(20, 20, round * 6 + at)).collect();
        let take = if round == 6 { 4 } else { 6 };
        let chosen: Vec<(&str, &str, &[u8])> = photos[..take]
            .iter()
            .map(|photo| ("more", "a.jpg", photo.as_slice()))
            .collect();
        let answer = added(&visit, 1, "other", &chosen).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    }
    assert_eq!((rows(&app).await, files(&app).len()), (40, 40));
    let page = added(
        &visit,
        1,
        "other",
        &[("photo", "a.jpg", &jpeg(20, 20, 250))],
    )
    .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#photo-error").contains("holds 40 photos"));
    assert_eq!((rows(&app).await, files(&app).len()), (40, 40));
    let seven: Vec<Vec<u8>> = (0..7).map(|at| jpeg(21, 20, at)).collect();
    let seven: Vec<(&str, &str, &[u8])> = seven
        .iter()
        .map(|photo| ("more", "a.jpg", photo.as_slice()))
        .collect();
    let page = added(&visit, 1, "other", &seven).await;
    assert!(page.text("#more-error").contains("too many photos at once"));
}

#[tokio::test]
async fn reports_without_sign_in_share_sixty_photos_an_hour() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    for round in 0..20_u8 {
        let three: Vec<Vec<u8>> = (0..3).map(|at| jpeg(10, 10, round * 3 + at)).collect();
        let sent: Vec<(&str, &str, &[u8])> = three
            .iter()
            .map(|photo| ("photo", "a.jpg", photo.as_slice()))
            .collect();
        // One address may not send so many reports; the photos are counted for all together.
        let address = ["198.51.100.1", "198.51.100.2", "198.51.100.3"][usize::from(round / 8)];
        let answer = reported_from(&app, address, &sent).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    }
    let photo = jpeg(10, 10, 250);
    let page = reported_with(&app, &[("photo", "a.jpg", &photo)]).await;
    assert!(
        page.text("#photo-error")
            .contains("Send the report without")
    );
    assert_eq!(page.value("#words"), "It howls");
    let answer = reported_with(&app, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "without, it is taken");
    let reporter = app.sign_in("reporter").await;
    let words = [("words", "hot")];
    let answer = reporter
        .submit_files("/t/F-1", "/report", &words, &[("photo", "a.jpg", &photo)])
        .await;
    assert_eq!(
        answer.status,
        StatusCode::SEE_OTHER,
        "so it is of somebody known"
    );
}

#[tokio::test]
async fn a_photo_that_cannot_be_stored_does_not_cost_the_report() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    // A file where the folder should be.
    std::fs::write(app.state.config.folder.join("photos"), b"").expect("written");
    let page = reported_with(&app, &[("photo", "a.jpg", &jpeg(10, 10, 1))]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#photo-error").contains("could not be stored"));
    assert_eq!(page.value("#words"), "It howls");
    assert_eq!(app.count("SELECT count(*) FROM jobs").await, 0);
}
