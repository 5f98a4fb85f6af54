//! What takes too long for every change: measurements with as much in the database as a large
//! installation ever has. Run with `tests/long/run`; each part prints a line per figure and fails
//! where a budget is passed.

#[path = "../browser/child.rs"]
#[allow(dead_code, reason = "shared with the browser's tests")]
mod child;
mod crowd;
mod import;
#[path = "../kill/mod.rs"]
mod kill;
mod motors;
mod pages;
#[path = "../browser/scratch.rs"]
mod scratch;

fn main() {
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let asked: Vec<String> = std::env::args().skip(1).collect();
    let wanted = |name: &str| asked.is_empty() || asked.iter().any(|word| word == name);
    let mut within = true;
    if wanted("motors") {
        within &= runtime.block_on(motors::measure());
    }
    if wanted("import") {
        within &= runtime.block_on(import::measure());
    }
    if wanted("pages") {
        within &= runtime.block_on(pages::measure());
    }
    // Both databases are its own, so once is enough.
    if wanted("kills") && std::env::var_os("TEST_DATABASE_URL").is_none() {
        let seed = std::time::UNIX_EPOCH.elapsed().expect("after 1970");
        for kind in [kill::Kind::Sqlite, kill::Kind::Postgres] {
            println!("{:?}", kill::rounds(kind, 200, seed.as_secs()));
        }
    }
    if !within {
        std::process::exit(1);
    }
}
