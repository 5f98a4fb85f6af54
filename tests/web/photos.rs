//! Photos: taken small and bare of place data, shown to the shop only.

use crate::app::{Answer, TestApp};
use crate::small_shop::{lay_out, report};
use axum::http::StatusCode;
use image::codecs::jpeg::JpegEncoder;
use image::{ImageEncoder, Rgb, RgbImage};

/// A picture that differs by its seed.
pub fn picture(width: u32, height: u32, seed: u8) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let shade = u8::try_from((x + 2 * y) % 200).unwrap_or(0);
        Rgb([shade, seed, 255 - shade])
    })
}

pub fn jpeg(width: u32, height: u32, seed: u8) -> Vec<u8> {
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

pub fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

/// The names in the photo folder.
pub fn files(app: &TestApp) -> Vec<String> {
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

pub async fn rows(app: &TestApp) -> i64 {
    app.count("SELECT count(*) FROM photos").await
}

/// The hashes of the photos on a page.
pub fn shown(page: &Answer) -> Vec<String> {
    let links = page.attributes("href");
    links
        .iter()
        .filter_map(|link| link.strip_prefix("/photos/"))
        .filter(|rest| !rest.starts_with("of/"))
        .map(str::to_owned)
        .collect()
}

pub async fn reported_with(app: &TestApp, files: &[(&str, &str, &[u8])]) -> Answer {
    reported_from(app, "198.51.100.7", files).await
}

/// The same through the proxy, from an address.
pub async fn reported_from(
    app: &TestApp,
    address: &'static str,
    files: &[(&str, &str, &[u8])],
) -> Answer {
    let words = [("words", "It howls"), ("reporter", "Ana")];
    app.visitor_from(address)
        .submit_files("/t/F-1", "/report", &words, files)
        .await
}

pub async fn added(
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
    let to = "/status/1?new=yes";
    assert!(answer.location.starts_with(to), "{}", answer.body);
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
async fn a_plate_is_read_beside_its_photos_and_keeps_which_one_it_was() {
    let app = TestApp::start().await;
    three_photos_one_withdrawn(&app).await;
    app.run("UPDATE jobs SET machine_id = 1").await;
    let desk = app.sign_in("supervisor").await;
    let edit = "/machines/1/edit";
    let page = desk.get(edit).await;
    assert_eq!(
        page.texts(".plate-photos figcaption").len(),
        2,
        "the one withdrawn is not there"
    );
    let first = page.value("input[name=fitted_photo]");
    assert!(
        page.text(".plate-photos figcaption").contains("plate"),
        "plates come first"
    );
    assert!(
        page.has(&format!("a[href='/photos/{first}']")),
        "opened, it is large"
    );
    let bare = [
        ("fitted_photo", first.as_str()),
        ("fitted_volts_how", "unreadable"),
        ("fitted_power", "250 W"),
        ("fitted_power_how", "assumed"),
    ];
    let answer = desk.submit(edit, edit, &bare).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let shown = desk.get("/machines/1").await;
    assert!(shown.words().contains("Read from this photo of the plate"));
    assert!(shown.words().contains("assumed"));
    assert_eq!(
        desk.get(edit)
            .await
            .value("input[name=fitted_photo][checked]"),
        first
    );
    let strange = [("fitted_photo", "0123")];
    desk.submit(edit, edit, &strange).await;
    let kept = "SELECT count(*) FROM plate_photos WHERE sha = '0123'";
    assert_eq!(app.count(kept).await, 0, "only a photo of this machine");
    assert!(!desk.get("/machines/2/edit").await.has(".plate-photos"));
}
