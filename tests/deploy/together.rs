//! Two processes on one PostgreSQL and one store of photos, behind nginx.

use crate::behind_a_proxy::nginx;
use crate::child::Running;
use crate::scratch::Scratch;
use crate::shop::{Database, Shop, free_port, soon, sql};
use crate::web::{Visitor, curl, hidden};
use std::process::Command;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// A store that speaks S3, in memory, with a bucket.
struct Bucket {
    _running: Running,
    endpoint: String,
}

impl Bucket {
    fn start() -> Self {
        let python = std::env::var("BRASSTAG_TEST_PYTHON")
            .expect("BRASSTAG_TEST_PYTHON names a Python with moto[server]");
        let port = free_port();
        let mut moto = Command::new("sh");
        moto.args([
            "-c",
            "exec \"$0\" -m moto.server -H 127.0.0.1 -p \"$1\" 2>&1",
            &python,
            &port.to_string(),
        ]);
        let (running, _) = Running::start(&mut moto, |line| {
            line.contains("Running on").then(String::new)
        });
        let endpoint = format!("http://127.0.0.1:{port}");
        let made = curl(&["--request", "PUT", &format!("{endpoint}/photos")]);
        assert_eq!(made.status, 200, "{}", made.body);
        Self {
            _running: running,
            endpoint,
        }
    }
}

struct Pair {
    bucket: Bucket,
    database: Database,
    folder: Scratch,
    secret: String,
}

impl Pair {
    fn new() -> Self {
        let folder = Scratch::new("together");
        let secret = folder.path().join("secret");
        std::fs::write(&secret, "a secret of the store\n").expect("a file");
        Self {
            bucket: Bucket::start(),
            database: Database::with_demo(folder.path()),
            secret: secret.display().to_string(),
            folder,
        }
    }

    fn server(&self, listen: &str) -> Shop {
        let settings = [
            ("BRASSTAG_DATABASE_URL", self.database.url.as_str()),
            ("BRASSTAG_PUBLIC_URL", "https://shop.example"),
            ("BRASSTAG_PHOTO_STORE", "s3://photos/shop"),
            ("BRASSTAG_S3_ENDPOINT", self.bucket.endpoint.as_str()),
            ("BRASSTAG_S3_KEY_ID", "key"),
            ("BRASSTAG_S3_SECRET_FILE", self.secret.as_str()),
            ("BRASSTAG_DRAIN_SECONDS", "1"),
            ("BRASSTAG_LISTEN", listen),
        ];
        Shop::start(self.folder.path(), "serve", &settings)
    }
}

#[test]
fn two_servers_share_sessions_photos_and_the_work_behind_the_pages() {
    let pair = Pair::new();
    // What is due was taken away: both servers find it missing at the same moment.
    let database = &pair.database.url;
    sql(
        database,
        "DELETE FROM due_items WHERE state = 'open' AND job_id IS NULL",
    );
    let (one, two) = std::thread::scope(|scope| {
        let one = scope.spawn(|| pair.server("127.0.0.1:0"));
        let two = scope.spawn(|| pair.server("127.0.0.1:0"));
        (one.join().expect("one"), two.join().expect("two"))
    });
    let open = "SELECT count(*) FROM due_items WHERE state = 'open'";
    soon("due work is made", || sql(database, open) != "0");
    std::thread::sleep(std::time::Duration::from_secs(2));
    let twice = "SELECT count(*) FROM (SELECT plan_id FROM due_items WHERE state = 'open' \
        GROUP BY plan_id HAVING count(*) > 1) twice";
    assert_eq!(sql(database, twice), "0", "no due item is doubled");

    let proxy = nginx(pair.folder.path(), &[one.port(), two.port()], "");
    let tobin = Visitor::signed_in(pair.folder.path(), &proxy.https, "tobin");
    for _ in 0..6 {
        assert_eq!(
            tobin.get("/today").status,
            200,
            "either server knows the session"
        );
    }

    let page = tobin.get("/jobs/3/photos").body;
    let picture = pair.folder.path().join("small.png");
    image::RgbImage::from_pixel(64, 48, image::Rgb([90, 60, 30]))
        .save(&picture)
        .expect("a picture");
    let sent = tobin.send(
        "/jobs/3/photos",
        &[
            format!("csrf={}", hidden(&page, "csrf")),
            format!("entry={}", hidden(&page, "entry")),
            format!("seen={}", hidden(&page, "seen")),
            "about=as_found".to_owned(),
            format!("photo=@{};type=image/png", picture.display()),
        ],
        "Accept: text/html",
    );
    assert_eq!(sent.status, 303, "{}", sent.body);
    let shown = tobin.get("/jobs/3/photos").body;
    let (_, rest) = shown.split_once("/photos/").expect("a photo on the page");
    let sha: String = rest.chars().take_while(char::is_ascii_hexdigit).collect();
    assert_eq!(sha.len(), 64, "{rest}");
    for _ in 0..4 {
        let photo = tobin.get(&format!("/photos/{sha}"));
        assert_eq!(photo.status, 200, "either server has the photo");
        assert_eq!(photo.header("content-type"), Some("image/jpeg"));
    }
    let stored = curl(&[
        "--aws-sigv4",
        "aws:amz:us-east-1:s3",
        "--user",
        "key:a secret of the store",
        &format!("{}/photos/shop/{sha}.jpg", pair.bucket.endpoint),
    ]);
    assert_eq!(stored.status, 200, "it lies in the store under its hash");
}

#[test]
fn a_rolling_restart_fails_no_request_and_loses_no_note() {
    let pair = Pair::new();
    let mut one = pair.server("127.0.0.1:0");
    let mut two = pair.server("127.0.0.1:0");
    let proxy = nginx(pair.folder.path(), &[one.port(), two.port()], "");
    let tobin = Visitor::signed_in(pair.folder.path(), &proxy.https, "tobin");
    let (over, read, written) = (AtomicBool::new(false), AtomicU32::new(0), AtomicU32::new(0));

    std::thread::scope(|scope| {
        for _ in 0..3 {
            scope.spawn(|| {
                while !over.load(Ordering::Relaxed) {
                    let page = tobin.get("/jobs/3");
                    assert_eq!(page.status, 200, "{}", page.body);
                    read.fetch_add(1, Ordering::Relaxed);
                }
            });
        }
        scope.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                let n = written.load(Ordering::Relaxed);
                let form = tobin.get("/jobs/3/note").body;
                let sent = tobin.post(
                    "/jobs/3/note",
                    &[
                        format!("csrf={}", hidden(&form, "csrf")),
                        format!("entry={}", hidden(&form, "entry")),
                        format!("seen={}", hidden(&form, "seen")),
                        format!("text=Rolling note {n}."),
                    ],
                );
                assert_eq!(sent.status, 303, "{} {}", sent.headers, sent.body);
                written.fetch_add(1, Ordering::Relaxed);
            }
        });
        for server in [&mut one, &mut two] {
            std::thread::sleep(std::time::Duration::from_secs(2));
            let listen = format!("127.0.0.1:{}", server.port());
            server.tell("-TERM");
            soon("it ends", || {
                curl(&[&format!("http://{listen}/healthz")]).status == 0
            });
            *server = pair.server(&listen);
        }
        std::thread::sleep(std::time::Duration::from_secs(3));
        over.store(true, Ordering::Relaxed);
    });

    let (read, written) = (read.into_inner(), written.into_inner());
    assert!(read > 20 && written > 5, "{read} pages, {written} notes");
    let kept = sql(
        &pair.database.url,
        "SELECT count(*) FROM entries WHERE body LIKE '%Rolling note%'",
    );
    assert_eq!(
        kept,
        written.to_string(),
        "each acknowledged note is there once"
    );
}
