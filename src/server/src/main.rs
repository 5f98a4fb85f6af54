//! The command line: parses, then hands over to the library.

use brasstag::backup::command as backup;
use brasstag::clock::Clock;
use brasstag::config::{Cli, Command, FOLDER, PersonAct, Settings};
use brasstag::figure::command;
use brasstag::people;
use brasstag::serve::{healthy, logs};
use brasstag::{check, serve};
use clap::Parser;
use std::process::ExitCode;

#[tokio::main]
async fn main() -> ExitCode {
    let cli = Cli::parse();
    logs::start(cli.settings.log_format);
    let done = match cli.command {
        None | Some(Command::Serve) => serve_shop(&cli.settings).await,
        Some(Command::Demo { fresh }) => brasstag::demo::command::run(&cli.settings, fresh).await,
        Some(Command::Person { act }) => person(&cli.settings, &act).await,
        Some(Command::Restore { file }) => said(backup::restore(&cli.settings, &file).await),
        Some(Command::Backup { to }) => {
            said(backup::backup(&cli.settings, &Clock::System, to.as_deref()).await)
        }
        Some(Command::Move { to_url }) => {
            said(backup::move_to(&cli.settings, &Clock::System, &to_url).await)
        }
        Some(Command::Check) => check_all(&cli.settings).await,
        Some(Command::Healthy) => healthy::ask(&cli.settings),
        Some(Command::Figure { topic, list }) => calculate(topic.as_deref(), list),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            eprintln!("brasstag: {sentence}");
            ExitCode::FAILURE
        }
    }
}

async fn serve_shop(settings: &Settings) -> Result<(), serve::Failure> {
    let db = serve::open(settings, FOLDER).await?;
    serve::run(settings, db, false).await
}

async fn person(settings: &Settings, act: &PersonAct) -> Result<(), serve::Failure> {
    let mut typed = String::new();
    if people::command::wants_password(act) {
        eprintln!("New password, then Enter:");
        std::io::stdin()
            .read_line(&mut typed)
            .map_err(|e| format!("The password cannot be read: {e}"))?;
    }
    let db = serve::open(settings, FOLDER).await?;
    let cheap = settings.password_cost == "test";
    let said = people::command::run(&db, &Clock::System, act, &typed, cheap).await;
    db.close().await;
    println!("{}", said?);
    Ok(())
}

fn said(done: Result<String, String>) -> Result<(), serve::Failure> {
    println!("{}", done?);
    Ok(())
}

fn calculate(topic: Option<&str>, list: bool) -> Result<(), String> {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    match topic {
        Some(topic) if !list => command::run(topic, std::io::stdin().lock(), &mut out),
        _ => command::list(&mut out),
    }
}

async fn check_all(settings: &Settings) -> Result<(), serve::Failure> {
    let findings = check::run(settings, &Clock::System, FOLDER).await;
    for finding in &findings {
        println!("{}", finding.line());
    }
    match findings
        .iter()
        .filter(|finding| finding.found.is_err())
        .count()
    {
        0 => Ok(()),
        1 => Err("One thing is wrong.".to_owned()),
        wrong => Err(format!("{wrong} things are wrong.")),
    }
}
