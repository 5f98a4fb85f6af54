//! A shop under a load of writes whose server or database is killed at random moments, again and
//! again. Every write that was acknowledged must be there, none may be there twice, and the record must
//! be whole.

mod database;
pub mod http;
mod writers;

use crate::child::Running;
use crate::scratch::Scratch;
use brasstag::check::record;
use brasstag::clock::Clock;
use brasstag::db::Db;
use brasstag::on_db;
use brasstag::photos::store::Store;
use database::Postgres;
use std::collections::HashMap;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use writers::{Kept, Writer};

/// Which database the shop is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Sqlite,
    Postgres,
}

/// What came of it.
#[derive(Debug)]
pub struct Tally {
    pub server_killed: u32,
    pub database_killed: u32,
    pub acknowledged: usize,
    /// Sent again after a kill, until acknowledged: it was not known whether they had arrived.
    pub sent_again: usize,
    /// The longest time from a kill to the next acknowledged write.
    pub slowest_recovery: Duration,
}

/// Numbers that are the same for the same seed (SplitMix64, public domain, Steele and others 2014).
struct Seed(u64);

impl Seed {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % most
    }
}

/// The server's process, on one port for the whole time.
struct Server {
    port: u16,
    folder: Scratch,
    url: String,
    running: Running,
}

impl Server {
    fn start(kind: Kind, postgres: Option<&Postgres>) -> Server {
        let folder = Scratch::new("killed_server");
        let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = listener.local_addr().expect("an address").port();
        drop(listener);
        let url = match (kind, postgres) {
            (Kind::Postgres, Some(postgres)) => postgres.url(),
            _ => format!("sqlite:{}", folder.path().join("shop.sqlite").display()),
        };
        let running = run("demo", folder.path(), port, &url);
        Server {
            port,
            folder,
            url,
            running,
        }
    }

    fn kill_and_start_again(&mut self) {
        self.running.kill9();
        self.running = run("serve", self.folder.path(), self.port, &self.url);
    }
}

fn run(command: &str, folder: &Path, port: u16, url: &str) -> Running {
    let mut program = Command::new(env!("CARGO_BIN_EXE_brasstag"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("BRASSTAG_")) {
        program.env_remove(name);
    }
    let log = std::fs::OpenOptions::new()
        .create(true)
        .append(true)
        .open(folder.join("log"))
        .expect("a log");
    program
        .arg(command)
        .env("BRASSTAG_FOLDER", folder)
        .env("BRASSTAG_DATABASE_URL", url)
        .env("BRASSTAG_LISTEN", format!("127.0.0.1:{port}"))
        .env("BRASSTAG_PASSWORD_COST", "test")
        .stderr(log);
    let listening = |line: &str| line.contains("Listening on ").then(String::new);
    Running::start(&mut program, listening).0
}

/// Kills so many times. On PostgreSQL the server and the database take turns.
///
/// # Panics
/// Where a write was lost or doubled, or the record is not whole, with the seed that did it.
pub fn rounds(kind: Kind, rounds: u32, seed: u64) -> Tally {
    println!("{kind:?}: {rounds} kills, seed {seed}");
    let mut postgres = (kind == Kind::Postgres).then(Postgres::start);
    let mut server = Server::start(kind, postgres.as_ref());
    let before = Before::of(&server);
    let stop = Arc::new(AtomicBool::new(false));
    let last_write = writers::Clock::default();
    let working: Vec<_> = Writer::all(server.port, &before)
        .into_iter()
        .map(|writer| {
            let (stop, clock) = (stop.clone(), last_write.clone());
            std::thread::spawn(move || writer.work(&stop, &clock))
        })
        .collect();
    let mut seed = Seed(seed);
    let mut tally = Tally {
        server_killed: 0,
        database_killed: 0,
        acknowledged: 0,
        sent_again: 0,
        slowest_recovery: Duration::ZERO,
    };
    for round in 0..rounds {
        std::thread::sleep(Duration::from_millis(30 + seed.below(700)));
        let killed = Instant::now();
        match &mut postgres {
            Some(postgres) if round % 2 == 1 => {
                postgres.kill9();
                std::thread::sleep(Duration::from_millis(seed.below(300)));
                postgres.start_again();
                tally.database_killed += 1;
            }
            _ => {
                server.kill_and_start_again();
                tally.server_killed += 1;
            }
        }
        let recovered = last_write.after(killed);
        tally.slowest_recovery = tally.slowest_recovery.max(recovered - killed);
    }
    stop.store(true, Ordering::Relaxed);
    let kept: Vec<Kept> = working
        .into_iter()
        .map(|writer| writer.join().expect("a writer got its answers"))
        .collect();
    tally.acknowledged = kept.iter().map(|kept| kept.acknowledged.len()).sum();
    tally.sent_again = kept.iter().map(|kept| kept.sent_again).sum();
    // As after one more power cut.
    server.running.kill9();
    look(&server, &before, &kept);
    tally
}

/// What the shop held before anything was written.
pub struct Before {
    /// One that is handed out.
    pub job: i64,
    pub part: i64,
    pub place: i64,
    on_hand: i64,
}

impl Before {
    fn of(server: &Server) -> Before {
        let (job, part, place, on_hand) = block_on(async {
            let db = Db::open(&server.url).await.expect("the database");
            let job = number(
                &db,
                "SELECT min(id) FROM jobs WHERE state = 'handed_out' AND machine_id IS NOT NULL",
            )
            .await;
            let part = number(&db, "SELECT min(id) FROM parts WHERE on_hand > 0").await;
            let place = number(&db, "SELECT min(id) FROM places").await;
            // Enough for every round.
            change(
                &db,
                "UPDATE parts SET on_hand = 1000000000 WHERE on_hand > 0",
            )
            .await;
            let on_hand = number(
                &db,
                "SELECT on_hand FROM parts WHERE id = (SELECT min(id) FROM parts WHERE on_hand > 0)",
            )
            .await;
            db.close().await;
            (job, part, place, on_hand)
        });
        Before {
            job,
            part,
            place,
            on_hand,
        }
    }
}

fn block_on<T>(future: impl Future<Output = T>) -> T {
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    runtime.block_on(future)
}

async fn number(db: &Db, sql: &'static str) -> i64 {
    on_db!(db, pool => sqlx::query_scalar(sql).fetch_one(pool).await.expect("a number"))
}

async fn change(db: &Db, sql: &'static str) {
    let done = match db {
        Db::Sqlite { write, .. } => sqlx::query(sql).execute(write).await.map(|_| ()),
        Db::Postgres(pool) => sqlx::query(sql).execute(pool).await.map(|_| ()),
    };
    done.expect("the statement runs");
}

/// Every acknowledged write once, nothing twice, the record whole.
fn look(server: &Server, before: &Before, kept: &[Kept]) {
    block_on(async {
        let db = Db::open(&server.url).await.expect("the database opens");
        let rows: Vec<(String, String)> = on_db!(&db, pool =>
            sqlx::query_as("SELECT id, body FROM entries")
                .fetch_all(pool).await.expect("the entries"));
        let mut by_mark: HashMap<&str, u32> = HashMap::new();
        let bodies: HashMap<&str, &str> = rows
            .iter()
            .map(|(id, body)| (id.as_str(), body.as_str()))
            .collect();
        assert_eq!(bodies.len(), rows.len(), "no entry has another's id");
        for (_, body) in &rows {
            if let Some(mark) = writers::mark(body) {
                *by_mark.entry(mark).or_default() += 1;
            }
        }
        for (entry, mark) in kept.iter().flat_map(|kept| &kept.acknowledged) {
            assert!(
                bodies.contains_key(entry.as_str()),
                "an acknowledged entry is gone: {entry} {mark:?}"
            );
            let times = mark
                .as_ref()
                .map(|mark| by_mark.get(mark.as_str()).copied());
            assert!(
                times.is_none_or(|times| times == Some(1)),
                "{entry} {mark:?} is there {times:?} times"
            );
        }
        let taken: i64 = kept.iter().map(|kept| kept.parts_taken).sum();
        let on_hand: i64 = on_db!(&db, pool =>
            sqlx::query_scalar("SELECT on_hand FROM parts WHERE id = $1")
                .bind(before.part).fetch_one(pool).await.expect("a balance"));
        let gone = (before.on_hand - on_hand) / brasstag::stores::amount::Amount::ONE.0;
        assert_eq!(gone, taken, "parts taken and balance");

        let photos = Store::at(server.folder.path().join("photos"));
        let findings = record::look(&db, Ok(photos), Clock::System.now()).await;
        for finding in findings {
            // A photo whose entry never came is swept up at the next start.
            let stray = finding.what == "stray photo files";
            assert!(stray || finding.found.is_ok(), "{}", finding.line());
        }
        db.close().await;
    });
}
