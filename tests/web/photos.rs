//! Photos: taken small and bare of place data, shown to the shop only, and hostile files refused.

use crate::app::{Answer, TestApp};
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder, Rgb, RgbImage};
use std::time::Duration;

/// A picture that differs by its seed.
fn picture(width: u32, height: u32, seed: u8) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let shade = u8::try_from((x + 2 * y) % 200).unwrap_or(0);
        Rgb([shade, seed, 255 - shade])
    })
}

fn jpeg(width: u32, height: u32, seed: u8) -> Vec<u8> {
    let mut out = Vec::new();
    JpegEncoder::new(&mut out)
        .encode_image(&picture(width, height, seed))
        .expect("a jpeg");
    out
}

/// As a phone writes it held upright: orientation 6, and a GPS part with a field in it.
fn upright_with_place(width: u32, height: u32) -> Vec<u8> {
    let mut tiff = b"II\x2A\x00\x08\x00\x00\x00\x02\x00".to_vec();
    tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0, 6, 0, 0, 0]);
    tiff.extend([0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
    tiff.extend([0, 0, 0, 0]);
    tiff.extend([1, 0, 0x12, 0, 2, 0, 12, 0, 0, 0, 56, 0, 0, 0, 0, 0, 0, 0]);
    tiff.extend(b"WGS-84-HERE\0");
    let mut out = Vec::new();
    let mut encoder = JpegEncoder::new(&mut out);
    encoder.set_exif_metadata(tiff).expect("exif is written");
    encoder
        .encode_image(&picture(width, height, 9))
        .expect("a jpeg");
    out
}

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

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

/// The names in the photo folder.
fn files(app: &TestApp) -> Vec<String> {
    let Ok(listed) = std::fs::read_dir(app.state.config.folder.join("photos")) else {
        return Vec::new();
    };
    listed
        .map(|file| {
            file.expect("a file")
                .file_name()
                .into_string()
                .expect("utf")
        })
        .collect()
}

async fn rows(app: &TestApp) -> i64 {
    app.count("SELECT count(*) FROM photos").await
}

/// The hashes of the photos on a page.
fn shown(page: &Answer) -> Vec<String> {
    let links = page.attributes("href");
    links
        .iter()
        .filter_map(|link| link.strip_prefix("/photos/"))
        .map(str::to_owned)
        .collect()
}

async fn reported_with(app: &TestApp, files: &[(&str, &str, &[u8])]) -> Answer {
    let words = [("words", "It howls"), ("reporter", "Ana")];
    app.visitor()
        .submit_files("/t/F-1", "/report", &words, files)
        .await
}

async fn added(
    visit: &crate::app::Visit<'_>,
    job: i64,
    about: &str,
    files: &[(&str, &str, &[u8])],
) -> Answer {
    let page = format!("/jobs/{job}/photos");
    let typed = [("about", about), ("caption", "Back side")];
    visit.submit_files(&page, &page, &typed, files).await
}

/// A report with a photo, two of the technician's, one of them withdrawn.
pub async fn three_photos_one_withdrawn(app: &TestApp) {
    lay_out(app).await;
    let answer = reported_with(app, &[("photo", "a.jpg", &jpeg(50, 40, 1))]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let visit = app.sign_in("technician").await;
    for seed in [2, 3] {
        let photo = jpeg(60, 40, seed);
        let answer = added(&visit, 1, "plate", &[("photo", "b.jpg", &photo)]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    }
    let (page, action) = ("/jobs/1/photos", "/jobs/1/photos/withdraw");
    let answer = visit
        .submit(page, action, &[("reason", "Shows a face")])
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
}

#[tokio::test]
async fn a_report_with_three_photos_is_one_plain_form() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let (one, two, three) = (jpeg(2000, 1000, 1), jpeg(40, 30, 2), jpeg(40, 30, 3));
    let sent: [(&str, &str, &[u8]); 3] = [
        ("photo", "one.jpg", &one),
        ("photo2", "two.jpg", &two),
        ("photo3", "three.jpg", &three),
    ];
    let answer = reported_with(&app, &sent).await;
    assert_eq!(answer.location, "/status/1?new=yes", "{}", answer.body);
    assert_eq!(rows(&app).await, 3);
    assert_eq!(
        files(&app).len(),
        4,
        "what is small already is its own small one"
    );
    let desk = app.sign_in("supervisor").await;
    let page = desk.get("/jobs/1").await;
    assert_eq!(page.texts("ol.timeline img").len(), 3);
    assert!(page.words().contains("with the report"));
    assert!(page.words().contains("It howls"));
    let sheet = desk.get("/jobs/1/sheet").await;
    assert!(sheet.words().contains("Photos: 3"), "{}", sheet.words());
    assert!(!sheet.has("img"), "no pictures on paper");
    let machine = desk.get("/machines/1").await;
    assert_eq!(shown(&machine).len(), 3);
}

#[tokio::test]
async fn a_report_needs_no_photo_and_an_empty_file_field_is_none() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let answer = reported_with(&app, &[("photo", "", b"")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert_eq!((rows(&app).await, files(&app).len()), (0, 0));
}

#[tokio::test]
async fn what_is_served_is_a_picture_and_to_the_shop_only() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let photo = upright_with_place(2000, 1000);
    assert!(holds(&photo, b"WGS-84-HERE"));
    let name = "../../../../tmp/..\\brasstag<img src=x>.html";
    let answer = reported_with(&app, &[("photo", name, &photo)]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let desk = app.sign_in("supervisor").await;
    let page = desk.get("/jobs/1").await;
    let sha = shown(&page).remove(0);
    let mut names = files(&app);
    names.sort();
    assert_eq!(names.len(), 2);
    assert!(names.contains(&format!("{sha}.jpg")), "named by its hash");
    for (path, size) in [
        (format!("/photos/{sha}"), (800, 1600)),
        (format!("/photos/{sha}/small"), (160, 320)),
    ] {
        let answer = desk.get(&path).await;
        let header = |name: &str| {
            let value = answer.headers.get(name).expect(name);
            value.to_str().expect("ascii").to_owned()
        };
        assert_eq!(header("content-type"), "image/jpeg");
        assert_eq!(header("x-content-type-options"), "nosniff");
        assert_eq!(
            header("content-security-policy"),
            "default-src 'none'; sandbox"
        );
        assert!(header("content-disposition").starts_with("inline; filename=\""));
        assert!(header("content-disposition").ends_with(".jpg\""));
        assert!(header("cache-control").starts_with("private"));
        let read = image::load_from_memory(&answer.bytes).expect("a picture");
        assert_eq!(
            (read.width(), read.height()),
            size,
            "turned as it was taken"
        );
        assert!(!holds(&answer.bytes, b"WGS-84") && !holds(&answer.bytes, b"Exif"));
        assert_eq!(app.visitor().get(&path).await.status, StatusCode::SEE_OTHER);
        let reporter = app.sign_in("reporter").await;
        assert_eq!(reporter.get(&path).await.status, StatusCode::FORBIDDEN);
    }
    for path in [
        "/photos/abc",
        "/photos/..%2F..%2Fshop.sqlite",
        "/photos/%00",
    ] {
        assert_eq!(desk.get(path).await.status, StatusCode::NOT_FOUND, "{path}");
    }
    let unknown = format!("/photos/{}", "0".repeat(64));
    assert_eq!(desk.get(&unknown).await.status, StatusCode::NOT_FOUND);
    let text = app.visitor().get("/report").await;
    assert!(
        text.headers["content-security-policy"]
            .to_str()
            .expect("ascii")
            .contains("'self'")
    );
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
    assert_eq!(answer.location, "/status/1?new=yes");
    let other = jpeg(40, 30, 200);
    let page = visit
        .post_files("/report", &right, &[("photo", "b.jpg", &other)])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text("#photo-error").contains("has the number 1"));
    assert_eq!((rows(&app).await, files(&app).len()), (1, 1));
}

#[tokio::test]
async fn a_technician_adds_photos_and_says_what_they_show() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let job = report(&app, "F-1", "hot").await;
    let visit = app.sign_in("technician").await;
    let (one, two) = (jpeg(500, 300, 1), jpeg(500, 300, 2));
    let both: [(&str, &str, &[u8]); 2] = [("photo", "1.jpg", &one), ("more", "2.jpg", &two)];
    let page = added(&visit, job, "", &both).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(page.text("#about-error"), "Choose what it shows");
    assert_eq!(page.value("#caption"), "Back side");
    assert!(page.words().contains("Choose it again"));
    let page = added(&visit, job, "plate", &[("photo", "", b"")]).await;
    assert!(page.text("#photo-error").contains("Take a photo"));
    assert_eq!(page.value("#about"), "plate");
    assert_eq!((rows(&app).await, files(&app).len()), (0, 0));
    let answer = added(&visit, job, "plate", &both).await;
    assert_eq!(
        answer.location,
        format!("/jobs/{job}/photos"),
        "{}",
        answer.body
    );
    let page = visit.get(&answer.location).await;
    assert_eq!(shown(&page).len(), 2);
    assert!(page.words().contains("Photo, plate: Back side"));
    assert!(
        page.attributes("alt")
            .contains(&"Photo, plate: Back side".to_owned())
    );
    let timeline = visit.get(&format!("/jobs/{job}")).await;
    assert!(timeline.words().contains("Caption: Back side"));
    for role in ["storekeeper", "auditor", "keeper"] {
        let other = app.sign_in(role).await;
        let page = other.get(&format!("/jobs/{job}/photos")).await;
        assert_eq!(shown(&page).len(), 2, "{role} looks");
        assert!(!page.has("[type=file]"), "{role} takes none");
        let csrf = page.value("[name=csrf]");
        let fields = [("csrf", csrf.as_str()), ("about", "plate")];
        let path = format!("/jobs/{job}/photos");
        let answer = other.post_files(&path, &fields, &both).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{role}");
    }
    assert_eq!(
        visit.get("/jobs/99/photos").await.status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(rows(&app).await, 2);
}

#[tokio::test]
async fn a_form_sent_twice_adds_its_photos_once() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    report(&app, "F-1", "hot").await;
    let visit = app.sign_in("technician").await;
    let page = visit.get("/jobs/1/photos").await;
    let of = |name: &str| page.value(&format!("main form [name={name}]"));
    let (csrf, entry, seen) = (of("csrf"), of("entry"), of("seen"));
    let fields = [
        ("csrf", csrf.as_str()),
        ("entry", &entry),
        ("seen", &seen),
        ("about", "damage"),
    ];
    let (one, two) = (jpeg(30, 30, 1), jpeg(30, 30, 2));
    let both: [(&str, &str, &[u8]); 2] = [("photo", "1.jpg", &one), ("more", "2.jpg", &two)];
    for _ in 0..2 {
        let answer = visit.post_files("/jobs/1/photos", &fields, &both).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    }
    assert_eq!((rows(&app).await, files(&app).len()), (2, 2));
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
async fn a_withdrawn_photo_is_served_to_nobody_and_its_file_is_gone() {
    let app = TestApp::start().await;
    three_photos_one_withdrawn(&app).await;
    let visit = app.sign_in("technician").await;
    assert_eq!((rows(&app).await, files(&app).len()), (3, 2));
    let page = visit.get("/jobs/1").await;
    assert_eq!(page.texts("ol.timeline img").len(), 2);
    assert!(page.words().contains("Shows a face"));
    assert!(page.words().contains("Withdrawn: see entry 5"));
    let gone = app
        .count("SELECT count(*) FROM photos WHERE withdrawn_by IS NOT NULL")
        .await;
    assert_eq!(gone, 1);
    let sha: String = brasstag::on_db!(app.db(), pool => sqlx::query_scalar(
        "SELECT sha FROM photos WHERE withdrawn_by IS NOT NULL").fetch_one(pool).await.expect("it"));
    let path = format!("/photos/{sha}");
    assert_eq!(visit.get(&path).await.status, StatusCode::NOT_FOUND);
    assert_eq!(
        visit.get(&format!("{path}/small")).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn who_took_a_photo_or_a_supervisor_withdraws_it_with_a_reason() {
    let app = TestApp::start().await;
    three_photos_one_withdrawn(&app).await;
    let (page, action) = ("/jobs/1/photos", "/jobs/1/photos/withdraw");
    let technician = app.sign_in("technician").await;
    let own = technician.get(page).await;
    assert_eq!(
        own.texts("#of option").len(),
        1,
        "the reporter's is not theirs"
    );
    let answer = technician.submit(page, action, &[("reason", " ")]).await;
    assert_eq!(answer.text("#reason-error"), "Say why it is withdrawn");
    let of_reporter: String = brasstag::on_db!(app.db(), pool => sqlx::query_scalar(
        "SELECT entry_id FROM photos WHERE person_id IS NULL").fetch_one(pool).await.expect("it"));
    let typed = [("of", of_reporter.as_str()), ("reason", "blurred")];
    let answer = technician.submit(page, action, &typed).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer
            .text("#of-error")
            .contains("a supervisor, withdraws it")
    );
    assert_eq!(answer.value("#reason"), "blurred");
    for role in ["storekeeper", "auditor", "keeper", "reporter"] {
        let other = app.sign_in(role).await;
        let csrf = other.get("/report").await.value("[name=csrf]");
        let fields = [("csrf", csrf.as_str()), typed[0], typed[1]];
        let answer = other.post(action, &fields).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{role}");
    }
    let desk = app.sign_in("supervisor").await;
    let answer = desk.submit(page, action, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let answer = desk.submit(page, action, &typed).await;
    assert!(
        answer
            .text("#of-error")
            .contains("not one of the job's any more")
    );
    assert_eq!(files(&app).len(), 1);
}

#[tokio::test]
async fn a_file_that_another_photo_needs_stays() {
    let app = TestApp::start().await;
    lay_out(&app).await;
    let photo = jpeg(30, 20, 1);
    for _ in 0..2 {
        let answer = reported_with(&app, &[("photo", "a.jpg", &photo)]).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
    }
    assert_eq!((rows(&app).await, files(&app).len()), (2, 1), "kept once");
    let desk = app.sign_in("supervisor").await;
    let (page, action) = ("/jobs/1/photos", "/jobs/1/photos/withdraw");
    let sha = shown(&desk.get(page).await).remove(0);
    desk.submit(page, action, &[("reason", "wrong machine")])
        .await;
    assert_eq!(
        desk.get(&format!("/photos/{sha}")).await.status,
        StatusCode::OK
    );
    let (page, action) = ("/jobs/2/photos", "/jobs/2/photos/withdraw");
    desk.submit(page, action, &[("reason", "wrong machine")])
        .await;
    assert_eq!(files(&app).len(), 0);
}

#[tokio::test]
async fn files_that_a_kill_left_behind_are_swept_at_the_next_start() {
    let app = TestApp::start().await;
    three_photos_one_withdrawn(&app).await;
    let kept = files(&app);
    let folder = app.state.config.folder.join("photos");
    let lost = "c".repeat(64);
    for name in [
        format!("{lost}.jpg"),
        format!("{lost}.jpg#1"),
        "list.txt".to_owned(),
    ] {
        std::fs::write(folder.join(name), b"left").expect("written");
    }
    let path = format!("/photos/{lost}");
    let desk = app.sign_in("supervisor").await;
    assert_eq!(
        desk.get(&path).await.status,
        StatusCode::NOT_FOUND,
        "harmless meanwhile"
    );
    let swept = brasstag::photos::taking::sweep(&app.state).await;
    assert_eq!(
        swept,
        Ok(0),
        "a young one may belong to an entry that is being written"
    );
    let swept = brasstag::photos::taking::sweep_older(&app.state, Duration::ZERO).await;
    assert_eq!(swept, Ok(2));
    let mut left = files(&app);
    left.retain(|name| !kept.contains(name));
    assert_eq!(left, ["list.txt"], "what is somebody else's is left alone");
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
        let answer = reported_with(&app, &sent).await;
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
