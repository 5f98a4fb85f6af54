//! The Ledger's figures: every number opens to its jobs, and plain loops over the raw rows find the same.

use crate::app::{Answer, NOON, TestApp, Visit, fresh_database};
use axum::http::StatusCode;
use brasstag::clock::Clock;
use brasstag::ledger::book::Figure;
use std::collections::BTreeMap;
use time::Date;

const DAY: i64 = 86_400_000;

/// The demo shop, signed in as its supervisor.
async fn demo() -> TestApp {
    let (db, folder) = fresh_database(true).await;
    brasstag::demo::fill(&db, &Clock::fixed(NOON), true)
        .await
        .expect("the demo fills");
    TestApp::filled(db, folder).await
}

/// Addresses and words of links that a selector finds.
fn links(page: &Answer, css: &str) -> Vec<(String, String)> {
    let html = scraper::Html::parse_document(&page.body);
    let selector = scraper::Selector::parse(css).expect("a selector");
    let pair = |link: scraper::ElementRef<'_>| {
        let words: String = link.text().collect();
        (
            link.attr("href").unwrap_or("").to_owned(),
            words.trim().to_owned(),
        )
    };
    html.select(&selector).map(pair).collect()
}

/// Jobs listed at an address, page after page.
async fn listed(visit: &Visit<'_>, address: &str) -> Vec<String> {
    let (mut found, mut next) = (Vec::new(), Some(address.to_owned()));
    while let Some(path) = next {
        let page = visit.get(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        found.extend(page.texts("table.behind tbody th"));
        let links = links(&page, "a.button.quiet");
        next = links
            .into_iter()
            .find(|(to, _)| to.contains("before="))
            .map(|(to, _)| to);
    }
    found
}

/// Every number on the page of every figure opens to as many jobs, each once.
async fn numbers_open_to_their_jobs(visit: &Visit<'_>, query: &str) -> usize {
    let mut followed = 0;
    for figure in Figure::ALL {
        let page = visit
            .get(&format!("/ledger/figures/{}?{query}", figure.word()))
            .await;
        assert_eq!(page.status, StatusCode::OK, "{figure:?}");
        assert!(
            !page.text("p.hint").is_empty(),
            "{figure:?} says what it counts"
        );
        for (address, words) in links(&page, "a[href*='/jobs?']") {
            let number: usize = words.parse().unwrap_or_else(|e| panic!("{words:?}: {e}"));
            let mut jobs = listed(visit, &address).await;
            assert_eq!(jobs.len(), number, "{address}");
            let head = visit.get(&address).await.text("h1");
            assert!(head.contains(&format!(": {number} ")), "{head}: {address}");
            jobs.sort();
            jobs.dedup();
            assert_eq!(jobs.len(), number, "{address}: each once");
            followed += 1;
        }
    }
    followed
}

#[tokio::test]
async fn every_number_of_every_figure_opens_to_its_jobs() {
    let app = demo().await;
    let visit = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    assert!(numbers_open_to_their_jobs(&visit, "").await > 40);
    numbers_open_to_their_jobs(&visit, "kind=fan&from=2026-03-01&to=2026-09-30").await;
    numbers_open_to_their_jobs(&visit, "place=1&machine=F-14").await;
    let all = visit.get("/ledger/figures").await;
    for (address, words) in links(&all, "a[href*='/jobs?']") {
        assert_eq!(
            listed(&visit, &address).await.len().to_string(),
            words,
            "{address}"
        );
    }
}

/// A job as it lies in the database.
#[derive(Debug, sqlx::FromRow)]
struct Raw {
    id: i64,
    machine_id: Option<i64>,
    kind: Option<String>,
    due_item_id: Option<i64>,
    state: String,
    held_for: Option<String>,
    reported_at: i64,
    level: Option<String>,
    clock_from: i64,
    paused_ms: i64,
    attended_at: Option<i64>,
    held_at: Option<i64>,
    emergency: bool,
    back_at: Option<i64>,
    proof_verdict: Option<String>,
    finished: bool,
    touches: Option<String>,
    component: String,
    mode: String,
    cause: String,
}

async fn raw(app: &TestApp) -> Vec<Raw> {
    const SQL: &str = "SELECT j.id, j.machine_id, m.kind, j.due_item_id, j.state, j.held_for,
            j.reported_at, j.level, j.clock_from, j.paused_ms, j.attended_at, j.held_at,
            j.emergency, j.back_at, j.proof_verdict, j.finished, j.touches, j.component, j.mode,
            j.cause
        FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id";
    brasstag::on_db!(app.db(), pool => sqlx::query_as(SQL).fetch_all(pool).await).expect("jobs")
}

fn live(job: &Raw) -> bool {
    !["turned_down", "joined"].contains(&job.state.as_str())
}

/// The parts of one job in a figure, by the definition alone; `None` where it is not counted.
fn part(figure: Figure, job: &Raw, all: &[Raw], now: i64) -> Option<(String, String)> {
    let corrective = job.due_item_id.is_none() && live(job);
    let repaired = corrective && job.back_at.is_some();
    let kind = || job.kind.clone().unwrap_or("no_machine".to_owned());
    let (key, sub) = match figure {
        Figure::Backlog => {
            let over = ["signed_off", "turned_down", "joined"];
            if over.contains(&job.state.as_str()) {
                return None;
            }
            let waits = match (&job.held_for, job.state.as_str()) {
                (Some(reason), "held") => format!("held_{reason}"),
                (_, state) => state.to_owned(),
            };
            let age = match (now - job.reported_at) / DAY {
                0..7 => "week",
                7..30 => "month",
                30..90 => "quarter",
                _ => "older",
            };
            (waits, age.to_owned())
        }
        Figure::Response => {
            corrective.then_some(())?;
            let level = job.level.clone().unwrap_or("not_judged".to_owned());
            (response(job, now).to_owned(), level)
        }
        Figure::Share => {
            live(job).then_some(())?;
            let kind = if corrective { "corrective" } else { "planned" };
            let begun = if job.emergency {
                "emergency"
            } else {
                "ordinary"
            };
            (kind.to_owned(), begun.to_owned())
        }
        Figure::Restored => {
            corrective.then_some(())?;
            let back = if job.back_at.is_some() {
                "back"
            } else {
                "not_back"
            };
            let level = job.level.clone().unwrap_or("not_judged".to_owned());
            (back.to_owned(), level)
        }
        // Not of jobs: see `due_parts`.
        Figure::Due => return None,
        Figure::Repeats => {
            corrective.then_some(())?;
            (came(job, all).to_owned(), "all".to_owned())
        }
        Figure::Modes => {
            repaired.then_some(())?;
            let mode = match job.mode.as_str() {
                "" => "not_coded".to_owned(),
                mode => format!("{}: {mode}", job.component),
            };
            (mode, kind())
        }
        Figure::Codes => {
            repaired.then_some(())?;
            (says(job).to_owned(), "all".to_owned())
        }
        Figure::Proved => {
            let owed = job.state == "test_owed";
            (live(job) && (owed || job.back_at.is_some())).then_some(())?;
            let shown = match job.proof_verdict.as_deref() {
                _ if owed => "owed",
                _ if job.finished || job.touches.as_deref() == Some("nothing") => "not_needed",
                Some("within" | "within_note") => "proved",
                Some(_) => "not_shown",
                None => "untested",
            };
            let kind = if corrective { "corrective" } else { "planned" };
            (shown.to_owned(), kind.to_owned())
        }
    };
    Some((key, sub))
}

fn response(job: &Raw, now: i64) -> &'static str {
    let hours = match job.level.as_deref() {
        None => return "not_judged",
        Some("danger") => 1,
        Some("damage") => 24,
        Some("service_lost") => 168,
        Some(_) => 720,
    };
    let due = job.clock_from + job.paused_ms + hours * 3_600_000;
    let over = ["back_in_service", "signed_off", "test_owed"].contains(&job.state.as_str());
    match (job.attended_at, job.held_at) {
        (Some(at), _) if at <= due => "in_time",
        (Some(_), _) => "late",
        (None, _) if over => "not_written",
        (None, Some(held)) if held > due => "overdue",
        (None, Some(_)) => "paused",
        (None, None) if now > due => "overdue",
        (None, None) => "runs",
    }
}

fn came(job: &Raw, all: &[Raw]) -> &'static str {
    if job.machine_id.is_none() {
        return "no_machine";
    }
    let earlier = |other: &&Raw| {
        other.machine_id == job.machine_id
            && other.due_item_id.is_none()
            && live(other)
            && (other.reported_at, other.id) < (job.reported_at, job.id)
            && (job.reported_at - other.reported_at) / DAY <= 90
    };
    if all.iter().any(|other| earlier(&other)) {
        "repeat"
    } else {
        "first"
    }
}

fn says(job: &Raw) -> &'static str {
    let words = [&job.component, &job.mode].map(|word| word.to_lowercase());
    match job.cause.to_lowercase().as_str() {
        "" => "blank",
        "unknown" | "not known" => "unknown",
        "not examined" => "not_examined",
        "other" | "x" | "-" | "?" | "n/a" | "none" => "other",
        _ if words.contains(&"other".to_owned()) => "other",
        _ => "named",
    }
}

/// Parts of a figure as its file has them: words of part and second part, jobs.
async fn in_the_file(
    visit: &Visit<'_>,
    figure: Figure,
    query: &str,
) -> BTreeMap<(String, String), i64> {
    let file = visit
        .get(&format!(
            "/ledger/figures/{}/figure.csv?{query}",
            figure.word()
        ))
        .await;
    assert_eq!(file.status, StatusCode::OK, "{figure:?}");
    let mut found = BTreeMap::new();
    let text = file.body.trim_start_matches('\u{feff}').to_owned();
    let mut read = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(text.as_bytes());
    for line in read.records().map(|line| line.expect("a line")) {
        let cell = |at: usize| line.get(at).unwrap_or("").to_owned();
        if cell(0).len() == 10 {
            *found.entry((cell(2), cell(3))).or_default() +=
                cell(4).parse::<i64>().expect("a count");
        }
    }
    found
}

/// A due item as it lies in the database: state, day, done, window, note, kind of machine.
type RawDue = (String, Date, Option<Date>, i64, String, String);

/// Due items by part, counted by the definition alone.
async fn due_parts(
    app: &TestApp,
    days: (&str, &str),
    kind: &str,
) -> BTreeMap<(String, String), i64> {
    const SQL: &str = "SELECT d.state, d.due_on, d.done_on, pl.window_days, d.note, m.kind
        FROM due_items d JOIN plans pl ON pl.id = d.plan_id JOIN machines m ON m.id = pl.machine_id";
    let rows: Vec<RawDue> =
        brasstag::on_db!(app.db(), pool => sqlx::query_as(SQL).fetch_all(pool).await)
            .expect("items");
    let today = app.state.today();
    let mut found = BTreeMap::new();
    for (state, due_on, done_on, window, note, of) in rows {
        let day = brasstag::clock::date_value(due_on);
        if !(days.0..=days.1).contains(&day.as_str()) || !(kind.is_empty() || kind == of) {
            continue;
        }
        let days_after = |on: Date| (on - due_on).whole_days();
        let part = match state.as_str() {
            "done" if done_on.is_none() => "done_some_day",
            "done" if done_on.is_some_and(|on| days_after(on) > window) => "late",
            "done" => "in_window",
            "missed" if note.is_empty() => "missed",
            "missed" => "missed_reason",
            "open" if days_after(today) > window => "overdue",
            "open" => "not_yet",
            other => other,
        };
        *found
            .entry((Figure::Due.part_words(part), "all".to_owned()))
            .or_default() += 1;
    }
    found
}

/// What the parts of a figure with hours add up to, by the file and by plain loops.
async fn hours_are_the_same(app: &TestApp, visit: &Visit<'_>, figure: Figure, expected: i64) {
    let file = visit
        .get(&format!("/ledger/figures/{}/figure.csv", figure.word()))
        .await;
    let text = file.body.trim_start_matches('\u{feff}').to_owned();
    let mut read = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(text.as_bytes());
    let lines = read.records().map(|line| line.expect("a line"));
    let cells = lines.filter(|line| line.get(0).unwrap_or("").len() == 10);
    let found: f64 = cells
        .map(|line| line.get(6).unwrap_or("").parse::<f64>().expect("hours"))
        .sum();
    let hours = expected as f64 / 3_600_000.0;
    assert!(
        hours > 1.0 && (found - hours).abs() < 0.5,
        "{figure:?}: {found} and {hours}"
    );
    assert_eq!(app.state.today(), brasstag::clock::Zone::utc().date(NOON));
}

async fn loops_find_the_same(
    app: &TestApp,
    visit: &Visit<'_>,
    days: (&str, &str),
    kind: &str,
) -> i64 {
    let all = raw(app).await;
    let zone = app.state.zone();
    let now = app.state.clock.now();
    let mut seen = 0;
    for figure in Figure::ALL {
        let mut expected: BTreeMap<(String, String), i64> = BTreeMap::new();
        for job in &all {
            let day = brasstag::clock::date_value(zone.date(job.reported_at));
            let inside = figure == Figure::Backlog || (days.0..=days.1).contains(&day.as_str());
            let of_kind = kind.is_empty() || job.kind.as_deref() == Some(kind);
            if let Some((key, sub)) = part(figure, job, &all, now).filter(|_| inside && of_kind) {
                let words = (figure.part_words(&key), figure.sub_words(&sub));
                *expected.entry(words).or_default() += 1;
            }
        }
        if figure == Figure::Due {
            expected = due_parts(app, days, kind).await;
        }
        let query = format!("from={}&to={}&kind={kind}", days.0, days.1);
        let found = in_the_file(visit, figure, &query).await;
        assert_eq!(found, expected, "{figure:?} {query}");
        seen += expected.values().sum::<i64>();
    }
    seen
}

#[tokio::test]
async fn loops_over_the_demos_rows_find_the_same_figures() {
    let app = demo().await;
    let visit = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    assert!(loops_find_the_same(&app, &visit, ("2025-11-26", "2026-11-25"), "").await > 60);
    loops_find_the_same(&app, &visit, ("2026-01-01", "2026-06-30"), "").await;
    let jobs = raw(&app).await;
    let year = |job: &&Raw| live(job) && job.reported_at > NOON - 364 * DAY;
    let restored = jobs
        .iter()
        .filter(year)
        .filter(|job| job.due_item_id.is_none());
    let restored = restored
        .filter_map(|job| Some(job.back_at? - job.reported_at))
        .sum();
    hours_are_the_same(&app, &visit, Figure::Restored, restored).await;
    const SPELLS: &str = "SELECT job_id, to_at - from_at FROM job_spells
        WHERE withdrawn_by IS NULL AND person_id IS NOT NULL";
    let spells: Vec<(i64, i64)> =
        brasstag::on_db!(app.db(), pool => sqlx::query_as(SPELLS).fetch_all(pool).await)
            .expect("spells");
    let of_year = |id: i64| jobs.iter().filter(year).any(|job| job.id == id);
    let written = spells
        .iter()
        .filter(|(job, _)| of_year(*job))
        .map(|(_, long)| long)
        .sum();
    hours_are_the_same(&app, &visit, Figure::Share, written).await;
    assert!(loops_find_the_same(&app, &visit, ("2025-11-26", "2026-11-25"), "fan").await > 10);
}

/// Numbers that look random and are the same each time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: i64) -> i64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as i64) % sides
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.roll(from.len() as i64) as usize]
    }
}

const STATES: &[&str] = &[
    "reported",
    "planned",
    "handed_out",
    "isolated",
    "on_test",
    "back_in_service",
    "signed_off",
    "signed_off",
    "held",
    "test_owed",
    "turned_down",
    "joined",
];

async fn random_shop(app: &TestApp, seed: u64) {
    app.run(
        "INSERT INTO places (id, parent_id, kind, name) VALUES (1, NULL, 'site', 'Mill'),
             (2, 1, 'room', 'Hall'), (3, NULL, 'site', 'Barn');
         INSERT INTO machines (id, tag, name, kind, place_id, facts, created_at) VALUES
             (1, 'F-1', 'Hall fan', 'fan', 2, '{}', 0), (2, 'P-1', 'Barn pump', 'pump', 3, '{}', 0),
             (3, 'F-2', 'Mill fan', 'fan', 1, '{}', 0)",
    )
    .await;
    const SQL: &str =
        "INSERT INTO jobs (id, machine_id, place_id, due_item_id, state, held_for, words,
            reported_at, level, clock_from, paused_ms, attended_at, held_at, emergency, back_at,
            proof_verdict, finished, touches, component, mode, cause, entry_count, last_entry_at)
        VALUES ($1, $2, $3, $4, $5, $6, 'Words', $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17,
            $18, $19, $20, 1, 0)";
    let mut dice = Dice(seed);
    for id in 1..=300_i64 {
        let machine = dice.pick(&[Some(1_i64), Some(1), Some(2), Some(3), None]);
        let state = dice.pick(STATES);
        let at = NOON - dice.roll(420 * 24) * 3_600_000;
        let some = |dice: &mut Dice, hours: i64| {
            (dice.roll(3) > 0).then(|| at + dice.roll(hours) * 3_600_000)
        };
        let held = (state == "held").then(|| dice.pick(&["part", "access", "weather", "other"]));
        let due = (dice.roll(4) == 0).then_some(id);
        let level = dice.pick(&[
            None,
            Some("danger"),
            Some("damage"),
            Some("service_lost"),
            Some("when_it_suits"),
        ]);
        let (paused, attended) = (dice.roll(3) * 3_600_000, some(&mut dice, 400));
        let (held_at, emergency) = (some(&mut dice, 300), dice.roll(9) == 0);
        let back = match state {
            "signed_off" | "back_in_service" => Some(at + dice.roll(900) * 3_600_000),
            _ => None,
        };
        let verdict = dice.pick(&[
            None,
            Some("within"),
            Some("within_note"),
            Some("beyond"),
            Some("not_known_yet"),
        ]);
        let (finished, touches) = (
            dice.roll(8) == 0,
            dice.pick(&[None, Some("nothing"), Some("full")]),
        );
        let component = dice.pick(&["", "motor", "belt", "Other"]);
        let mode = dice.pick(&["", "broken", "does not start"]);
        let cause = dice.pick(&["", "unknown", "Not examined", "x", "age", "other"]);
        let mut tx = app.db().begin_write().await.expect("a transaction");
        brasstag::on_tx!(&mut tx, conn => sqlx::query(SQL).bind(id).bind(machine).bind(2_i64).bind(due)
            .bind(state).bind(held).bind(at).bind(level).bind(at).bind(paused).bind(attended)
            .bind(held_at).bind(emergency).bind(back).bind(verdict).bind(finished).bind(touches)
            .bind(component).bind(mode).bind(cause).execute(conn).await.map(|_| ()))
        .expect("a job");
        tx.commit().await.expect("it is kept");
    }
}

#[tokio::test]
async fn loops_over_random_shops_find_the_same_figures() {
    for seed in [1, 7] {
        let app = TestApp::start().await;
        random_shop(&app, seed).await;
        let visit = app.sign_in("auditor").await;
        assert!(loops_find_the_same(&app, &visit, ("2025-11-26", "2026-11-25"), "").await > 800);
        loops_find_the_same(&app, &visit, ("2026-02-10", "2026-05-09"), "pump").await;
        if seed == 1 {
            numbers_open_to_their_jobs(&visit, "").await;
            numbers_open_to_their_jobs(&visit, "place=1").await;
        }
    }
}

#[tokio::test]
async fn places_take_in_what_is_in_them_and_the_calendar_is_the_shops() {
    let app = TestApp::start().await;
    random_shop(&app, 3).await;
    let visit = app.sign_in("supervisor").await;
    let jobs = |query: &'static str| listed_count(&visit, query);
    let (mill, barn) = (jobs("place=1").await, jobs("place=3").await);
    assert_eq!(
        mill + barn,
        jobs("").await,
        "a report without a machine is in its own place"
    );
    assert!(mill > 0 && barn > 0);
    // Midnight in Chicago is 6 in the morning in UTC: the night before the first belongs to the last.
    app.run("DELETE FROM jobs; INSERT INTO jobs (id, machine_id, state, words, reported_at, entry_count,
        last_entry_at) VALUES (1, 1, 'planned', 'Late', 1769925600000 - 1, 1, 0),
        (2, 1, 'planned', 'Early', 1769925600000, 1, 0)").await;
    app.run("UPDATE shop SET time_zone = 'America/Chicago', version = version + 1")
        .await;
    assert_eq!(jobs("from=2026-01-01&to=2026-01-31").await, 1);
    assert_eq!(jobs("from=2026-02-01&to=2026-02-01").await, 1);
    let page = visit
        .get("/ledger/figures/preventive-share?from=2026-01-01&to=2026-02-28")
        .await;
    assert_eq!(
        page.texts("table.months tbody th"),
        ["Jan 2026", "Feb 2026"]
    );
}

async fn listed_count(visit: &Visit<'_>, query: &str) -> usize {
    listed(
        visit,
        &format!("/ledger/figures/preventive-share/jobs?{query}"),
    )
    .await
    .len()
}

#[tokio::test]
async fn figures_are_for_who_answers_and_who_looks_over() {
    let app = TestApp::start().await;
    let paths = [
        "/ledger/figures",
        "/ledger/figures/backlog",
        "/ledger/figures/backlog/jobs",
        "/ledger/figures/backlog/figure.csv",
        "/ledger/figures/backlog/jobs.csv",
    ];
    for (role, status) in [
        ("supervisor", StatusCode::OK),
        ("auditor", StatusCode::OK),
        ("keeper", StatusCode::OK),
        ("technician", StatusCode::FORBIDDEN),
        ("storekeeper", StatusCode::FORBIDDEN),
        ("reporter", StatusCode::FORBIDDEN),
    ] {
        let visit = app.sign_in(role).await;
        for path in paths {
            assert_eq!(visit.get(path).await.status, status, "{role} {path}");
        }
    }
    let visit = app.sign_in("auditor").await;
    let unknown = visit.get("/ledger/figures/luck").await;
    assert_eq!(unknown.status, StatusCode::NOT_FOUND);
    let odd = visit
        .get("/ledger/figures/response?from=2026-02-30&machine=none&place=x&kind=%00")
        .await;
    assert_eq!(odd.status, StatusCode::OK);
    assert_eq!(odd.text("p.error"), "No machine has the tag none.");
    assert_eq!(odd.value("#from"), "2026-02-30", "what was typed stays");
    let turned = visit
        .get("/ledger/figures/response?from=2026-03-01&to=2026-01-01")
        .await;
    assert!(turned.text("p.error").contains("the other way round"));
    assert_eq!(turned.value("#from"), "2026-01-01");
    // Nothing at all is not nothing of something.
    assert!(
        odd.text("p.share")
            .starts_with("–: 0 attended within the target, of 0"),
        "{}",
        odd.text("p.share")
    );
}
