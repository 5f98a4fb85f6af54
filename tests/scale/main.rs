//! Fills an empty database with a large invented shop, for measurements and load tests.
//!
//! `cargo run --release -p brasstag --example scale -- sqlite:/tmp/big/shop.sqlite 100000 1000000 200000`
//! (machines, jobs, motors). The same sizes give the same rows but for the hour.

mod rows;
mod words;

use brasstag::clock::Clock;
use brasstag::db::Db;
use std::process::ExitCode;
use std::time::Instant;

/// How much to make.
#[derive(Clone, Copy, Debug)]
pub struct Sizes {
    pub machines: i64,
    pub jobs: i64,
    pub motors: i64,
}

#[tokio::main]
async fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let size = |at: usize, otherwise: i64| match words.get(at) {
        Some(text) => text.parse().map_err(|_| format!("{text} is no size")),
        None => Ok(otherwise),
    };
    let asked = (|| -> Result<(String, Sizes), String> {
        let url = words.first().cloned();
        let url =
            url.ok_or("Which database? sqlite:PATH or postgres://…, machines, jobs, motors")?;
        let sizes = Sizes {
            machines: size(1, 100_000)?,
            jobs: size(2, 1_000_000)?,
            motors: size(3, 200_000)?,
        };
        Ok((url, sizes))
    })();
    let done = match asked {
        Ok((url, sizes)) => fill(&url, sizes).await,
        Err(sentence) => Err(sentence),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            eprintln!("scale: {sentence}");
            ExitCode::FAILURE
        }
    }
}

/// The demo shop first, for its people and one shop's worth of real history, then the crowd.
async fn fill(url: &str, sizes: Sizes) -> Result<(), String> {
    let from = Instant::now();
    let clock = Clock::System;
    let db = Db::open(url).await.map_err(|e| format!("{url}: {e}"))?;
    db.migrate().await.map_err(|e| e.to_string())?;
    brasstag::demo::fill(&db, &clock, true).await?;
    rows::fill(&db, sizes, clock.now())
        .await
        .map_err(|e| e.to_string())?;
    db.close().await;
    println!("{sizes:?} in {} s", from.elapsed().as_secs());
    Ok(())
}
