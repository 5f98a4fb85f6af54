//! The command line: parses, then hands over to the library.

use brasstag::config::{Cli, Command, Settings};
use brasstag::serve;
use clap::Parser;
use std::process::ExitCode;

#[tokio::main]
async fn main() -> ExitCode {
    tracing_subscriber::fmt()
        .with_env_filter(
            tracing_subscriber::EnvFilter::try_from_env("BRASSTAG_LOG")
                .unwrap_or_else(|_| "warn,brasstag=info".into()),
        )
        .with_writer(std::io::stderr)
        .init();
    let cli = Cli::parse();
    let done = match cli.command {
        None | Some(Command::Serve) => serve_shop(&cli.settings).await,
        Some(Command::Demo { fresh }) => brasstag::demo::command::run(&cli.settings, fresh).await,
        Some(Command::Person { .. } | Command::Check) => Ok(()),
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
    let db = serve::open(settings, "brasstag-data").await?;
    serve::run(settings, db, false).await
}
