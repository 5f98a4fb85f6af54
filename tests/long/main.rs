//! What takes too long for every change: measurements with as much in the database as a large
//! installation ever has. Run with `tests/long/run`; each part prints a line per figure and fails
//! where a budget is passed.

mod crowd;
mod import;
mod motors;
mod pages;

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
    if !within {
        std::process::exit(1);
    }
}
