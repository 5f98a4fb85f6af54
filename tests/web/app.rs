//! A whole shop in a test: the router over a fresh SQLite file, or a fresh Postgres schema where
//! `TEST_DATABASE_URL` names a server.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use brasstag::clock::{Clock, Millis};
use brasstag::config::Config;
use brasstag::db::Db;
use brasstag::people::queries::NewPerson;
use brasstag::people::{PersonId, Role, password};
use brasstag::shop::{Shop, Units};
use brasstag::state::AppState;
use calc::circuit::RuleSet;
use http_body_util::BodyExt;
use scraper::{Html, Selector};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};
use tower::ServiceExt;

/// The password of everybody in a test shop.
pub const PASSWORD: &str = "a plain test password";
/// 2026-11-25 12:00 UTC, when every test begins.
pub const NOON: Millis = 1_795_608_000_000;
/// The set-up code of a test shop.
pub const SET_UP_CODE: &str = "code1234";

pub struct TestApp {
    pub state: AppState,
    router: Router,
    // Dropped last, so that the file outlives the pools.
    _folder: Folder,
}

/// A folder of the test's own, gone with it.
pub struct Folder(pub std::path::PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        let _gone = std::fs::remove_dir_all(&self.0);
    }
}

static NUMBER: AtomicU32 = AtomicU32::new(0);

fn test_config() -> Config {
    Config {
        folder: std::path::PathBuf::new(), // the test's own, once it is there
        base_path: String::new(),
        public_url: "http://shop.example".to_owned(),
        cheap_passwords: true,
        proxy: None,
        demo: false,
    }
}

/// A database of this test's own, empty or brought up to date.
pub async fn fresh_database(migrate: bool) -> (Db, Folder) {
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    let name = format!("brasstag_test_{}_{number}", std::process::id());
    let folder = Folder(std::env::temp_dir().join(&name));
    std::fs::create_dir_all(&folder.0).expect("a folder for the test");
    let db = match std::env::var("TEST_DATABASE_URL") {
        Ok(url) => {
            let admin = Db::open(&url)
                .await
                .expect("the test database server answers");
            let Db::Postgres(pool) = &admin else {
                panic!("TEST_DATABASE_URL is for Postgres")
            };
            // The name is made above from digits and letters only.
            let sql = sqlx::AssertSqlSafe(format!("CREATE SCHEMA {name}"));
            sqlx::query(sql)
                .execute(pool)
                .await
                .expect("a schema for the test");
            admin.close().await;
            let sign = if url.contains('?') { '&' } else { '?' };
            Db::open(&format!("{url}{sign}options[search_path]={name}")).await
        }
        Err(_) => {
            Db::open(&format!(
                "sqlite:{}",
                folder.0.join("shop.sqlite").display()
            ))
            .await
        }
    };
    let db = db.expect("the database opens");
    if migrate {
        db.migrate().await.expect("the schema comes up to date");
    }
    (db, folder)
}

impl TestApp {
    /// A shop that is set up, with one person per role whose sign-in name is the role's word.
    pub async fn start() -> TestApp {
        Self::behind("").await
    }

    /// The same with a path in front of every page.
    pub async fn behind(base_path: &str) -> TestApp {
        let mut config = test_config();
        config.base_path = base_path.to_owned();
        let app = Self::with_config(config).await;
        let shop = Shop {
            name: "Test shop".to_owned(),
            time_zone: "UTC".to_owned(),
            rule_set: RuleSet::Nec2023,
            rule_note: String::new(),
            units: Units::Us,
            currency: "USD".to_owned(),
        };
        let hash = password::hash(PASSWORD, true).await.expect("a hash");
        let mut tx = app.state.db.begin_write().await.expect("a transaction");
        brasstag::shop::queries::insert(&mut tx, &shop, NOON)
            .await
            .expect("a shop");
        for role in Role::ALL {
            let works = matches!(role, Role::Technician | Role::Supervisor);
            let new = NewPerson {
                sign_in_name: role.word().to_owned(),
                name: format!("The {}", role.word()),
                role,
                password_hash: hash.clone(),
                authorised_on: works.then_some(time::macros::date!(2026 - 01 - 05)),
                qualified_on: works.then_some(time::macros::date!(2026 - 01 - 05)),
                hours_a_day: Some(8.0),
            };
            brasstag::people::queries::insert(&mut tx, &new, NOON)
                .await
                .expect("a person");
        }
        tx.commit().await.expect("commit");
        app.state.set_shop(shop);
        app
    }

    /// A shop before set-up.
    pub async fn empty() -> TestApp {
        Self::with_config(test_config()).await
    }

    pub async fn with_config(config: Config) -> TestApp {
        let (db, folder) = fresh_database(true).await;
        Self::over(config, db, folder)
    }

    /// Over a database that is filled already, which has to have a shop.
    pub async fn filled(db: Db, folder: Folder) -> TestApp {
        let app = Self::over(test_config(), db, folder);
        let shop = brasstag::shop::queries::find(app.db()).await;
        app.state.set_shop(shop.expect("it reads").expect("a shop"));
        app
    }

    fn over(mut config: Config, db: Db, folder: Folder) -> TestApp {
        config.folder = folder.0.clone();
        let clock = Clock::fixed(NOON);
        let state = AppState::new(config, db, clock, None, SET_UP_CODE);
        let router = brasstag::routes::router(state.clone());
        TestApp {
            state,
            router,
            _folder: folder,
        }
    }

    /// The same shop with a mail server.
    pub fn mailing(mut self, mail: brasstag::telling::mail::Mail) -> TestApp {
        self.state = self.state.with_mail(Some(mail));
        self.router = brasstag::routes::router(self.state.clone());
        self
    }

    pub fn db(&self) -> &Db {
        &self.state.db
    }

    /// The id of the person with this role's word as sign-in name.
    pub async fn person(&self, sign_in_name: &str) -> PersonId {
        let people = brasstag::people::queries::list(&self.state.db)
            .await
            .expect("people");
        people
            .into_iter()
            .find(|p| p.sign_in_name == sign_in_name)
            .expect("a known person")
            .id
    }

    pub async fn count(&self, sql: &'static str) -> i64 {
        brasstag::on_db!(&self.state.db, pool =>
            sqlx::query_scalar(sql).fetch_one(pool).await.expect("a count"))
    }

    /// Runs a statement of the test's own, to lay out data.
    pub async fn run(&self, sql: &'static str) {
        match &self.state.db {
            Db::Sqlite { write, .. } => {
                sqlx::raw_sql(sql).execute(write).await.expect("statement");
            }
            Db::Postgres(pool) => {
                sqlx::raw_sql(sql).execute(pool).await.expect("statement");
            }
        }
    }

    pub fn visitor(&self) -> Visit<'_> {
        Visit {
            app: self,
            cookies: RefCell::default(),
            address: None,
        }
    }

    /// A visit through this host's proxy from an address.
    pub fn visitor_from(&self, address: &'static str) -> Visit<'_> {
        let mut visit = self.visitor();
        visit.address = Some(address);
        visit
    }

    /// A visit signed in as the person with this sign-in name.
    pub async fn sign_in(&self, name: &str) -> Visit<'_> {
        self.sign_in_with(name, PASSWORD).await
    }

    pub async fn sign_in_with(&self, name: &str, password: &str) -> Visit<'_> {
        let visit = self.visitor();
        let answer = visit
            .submit(
                "/sign-in",
                "/sign-in",
                &[("name", name), ("password", password)],
            )
            .await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{name} signs in");
        visit
    }
}

/// One browser's cookies.
pub struct Visit<'a> {
    app: &'a TestApp,
    cookies: RefCell<BTreeMap<String, String>>,
    address: Option<&'static str>,
}

impl Visit<'_> {
    pub async fn get(&self, path: &str) -> Answer {
        let request = Request::get(path).header(header::COOKIE, self.cookie());
        self.send(request.body(Body::empty()).expect("request"))
            .await
    }

    /// Posts exactly these fields.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let body = serde_html_form::to_string(fields).expect("form");
        let request = Request::post(path)
            .header(header::COOKIE, self.cookie())
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(body))
            .expect("request");
        self.send(request).await
    }

    /// Posts this body as JSON; the answer's status and its JSON.
    pub async fn post_json(&self, path: &str, body: &str) -> (StatusCode, serde_json::Value) {
        let request = Request::post(path)
            .header(header::COOKIE, self.cookie())
            .header(header::CONTENT_TYPE, "application/json")
            .body(Body::from(body.to_owned()))
            .expect("request");
        let answer = self.send(request).await;
        let json = serde_json::from_str(&answer.body)
            .unwrap_or_else(|e| panic!("{path}: {e}: {}", answer.body));
        (answer.status, json)
    }

    /// Loads a page and sends its form that posts to `action`, as a browser would: hidden fields and
    /// filled-in values as they stand, with `fields` typed over them.
    pub async fn submit(&self, page: &str, action: &str, fields: &[(&str, &str)]) -> Answer {
        let shown = self.get(page).await;
        assert_eq!(
            shown.status,
            StatusCode::OK,
            "{page} shows its form:\n{}",
            shown.body
        );
        let all = shown.filled(action, fields);
        let all: Vec<(&str, &str)> = all.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
        self.post(action, &all).await
    }

    /// A cookie that came from elsewhere.
    pub fn take(&self, name: &str, value: &str) {
        let mut cookies = self.cookies.borrow_mut();
        cookies.insert(name.to_owned(), value.to_owned());
    }

    pub fn cookie(&self) -> String {
        let pairs: Vec<String> = self
            .cookies
            .borrow()
            .iter()
            .map(|(name, value)| format!("{name}={value}"))
            .collect();
        pairs.join("; ")
    }

    pub async fn send(&self, mut request: Request<Body>) -> Answer {
        if let Some(address) = self.address {
            let from = header::HeaderValue::from_static(address);
            request.headers_mut().insert("x-forwarded-for", from);
        }
        let response = self
            .app
            .router
            .clone()
            .oneshot(request)
            .await
            .expect("infallible");
        for value in response.headers().get_all(header::SET_COOKIE) {
            let text = value.to_str().expect("ascii");
            let (name, rest) = text.split_once('=').expect("a cookie");
            let value = rest.split(';').next().unwrap_or("");
            self.cookies
                .borrow_mut()
                .insert(name.to_owned(), value.to_owned());
        }
        let (parts, body) = response.into_parts();
        let bytes = body.collect().await.expect("body").to_bytes();
        let location = parts
            .headers
            .get(header::LOCATION)
            .and_then(|v| v.to_str().ok())
            .unwrap_or("")
            .to_owned();
        Answer {
            status: parts.status,
            location,
            headers: parts.headers,
            body: String::from_utf8_lossy(&bytes).into_owned(),
            bytes: bytes.to_vec(),
        }
    }
}

#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    /// Where a redirect leads; empty without one.
    pub location: String,
    pub headers: axum::http::HeaderMap,
    pub body: String,
    /// The same as it came, for what is no text.
    pub bytes: Vec<u8>,
}

impl Answer {
    fn all<T>(&self, css: &str, read: impl Fn(scraper::ElementRef<'_>) -> T) -> Vec<T> {
        let page = Html::parse_document(&self.body);
        let selector = Selector::parse(css).expect("a selector");
        page.select(&selector).map(read).collect()
    }

    /// The words of the first element, with single spaces; empty where there is none.
    pub fn text(&self, css: &str) -> String {
        self.texts(css).into_iter().next().unwrap_or_default()
    }

    pub fn texts(&self, css: &str) -> Vec<String> {
        self.all(css, |e| {
            e.text()
                .collect::<String>()
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
        })
    }

    /// What a field holds: an input's value, a textarea's text, a select's chosen option.
    pub fn value(&self, css: &str) -> String {
        self.all(css, field_value)
            .into_iter()
            .next()
            .unwrap_or_default()
    }

    /// Every value of an attribute on the page.
    pub fn attributes(&self, name: &str) -> Vec<String> {
        self.all(&format!("[{name}]"), |e| {
            e.attr(name).unwrap_or("").to_owned()
        })
    }

    pub fn has(&self, css: &str) -> bool {
        !self.all(css, |_| ()).is_empty()
    }

    /// The words of the whole page.
    pub fn words(&self) -> String {
        self.text("body")
    }

    /// The same with `fields` typed over them.
    pub fn filled(&self, action: &str, fields: &[(&str, &str)]) -> Vec<(String, String)> {
        let mut all: Vec<(String, String)> = self
            .form(action)
            .into_iter()
            .filter(|(name, _)| fields.iter().all(|(n, _)| n != name))
            .collect();
        all.extend(
            fields
                .iter()
                .map(|(n, v)| ((*n).to_owned(), (*v).to_owned())),
        );
        all
    }

    /// The fields of the form that posts to `action`, as a browser would send them.
    fn form(&self, action: &str) -> Vec<(String, String)> {
        let page = Html::parse_document(&self.body);
        let forms = Selector::parse("form").expect("a selector");
        let fields = Selector::parse("input, select, textarea").expect("a selector");
        let form = page
            .select(&forms)
            .find(|form| form.attr("action") == Some(action))
            .unwrap_or_else(|| panic!("no form posts to {action} on this page:\n{}", self.body));
        form.select(&fields)
            .filter(|field| {
                let kind = field.attr("type").unwrap_or("");
                let ticks = kind == "checkbox" || kind == "radio";
                !ticks || field.attr("checked").is_some()
            })
            .filter_map(|field| Some((field.attr("name")?.to_owned(), field_value(field))))
            .collect()
    }
}

fn field_value(field: scraper::ElementRef<'_>) -> String {
    match field.value().name() {
        "textarea" => field.text().collect(),
        "select" => {
            let options = Selector::parse("option").expect("a selector");
            let chosen = field
                .select(&options)
                .find(|option| option.attr("selected").is_some())
                .or_else(|| field.select(&options).next());
            chosen
                .and_then(|option| option.attr("value"))
                .unwrap_or("")
                .to_owned()
        }
        _ => field.attr("value").unwrap_or("").to_owned(),
    }
}
