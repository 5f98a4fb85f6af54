//! Settings: flags and `BRASSTAG_…` variables, each documented where it is read.

use clap::{Args, Parser, Subcommand};
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;

#[derive(Debug, Parser)]
#[command(
    name = "brasstag",
    version,
    about = "Repair and care of a building's machines"
)]
pub struct Cli {
    #[command(subcommand)]
    pub command: Option<Command>,
    #[command(flatten)]
    pub settings: Settings,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Serve the shop (this is also what no command at all does)
    Serve,
    /// Make the demo shop in a folder of its own and serve it
    Demo {
        /// Throw the demo's data away first and start over
        #[arg(long)]
        fresh: bool,
    },
    /// Add, change or close the sign-in of a person
    Person {
        #[command(subcommand)]
        act: PersonAct,
    },
    /// Check configuration, database, clock and disk
    Check,
    /// Read an archive of everything into an empty shop, on either database
    Restore {
        /// The zip, as downloaded from the Shop page
        file: PathBuf,
    },
    /// Calculate: one JSON object a line on standard input, one answer a line on standard output
    Figure {
        /// Which calculation, as `motor_branch`
        #[arg(required_unless_present = "list")]
        topic: Option<String>,
        /// Show every topic with its fields and units
        #[arg(long)]
        list: bool,
    },
}

#[derive(Debug, Subcommand)]
pub enum PersonAct {
    /// Add a person; the new password is read from standard input
    Add {
        sign_in_name: String,
        name: String,
        role: String,
    },
    /// Give a person another role
    Role { sign_in_name: String, role: String },
    /// Set a new password, read from standard input; all sessions of the person end
    NewPassword { sign_in_name: String },
    /// Close a person's sign-in; the history stays
    Close { sign_in_name: String },
}

/// The shop's folder where no other is named.
pub const FOLDER: &str = "brasstag-data";
/// The demo's.
pub const DEMO_FOLDER: &str = "demo-data";

#[derive(Clone, Debug, Args)]
pub struct Settings {
    /// Where the data lie: `postgres://…`, or `sqlite:FILE`; left out, a SQLite file in the folder
    #[arg(long, env = "BRASSTAG_DATABASE_URL", global = true)]
    pub database_url: Option<String>,
    /// Folder of the shop's files; `brasstag-data`, or `demo-data` for the demo
    #[arg(long, env = "BRASSTAG_FOLDER", global = true)]
    pub folder: Option<PathBuf>,
    /// Address and port to listen on; port 0 takes a free one
    #[arg(
        long,
        env = "BRASSTAG_LISTEN",
        default_value = "127.0.0.1:8710",
        global = true
    )]
    pub listen: SocketAddr,
    /// Path in front of every page when a proxy shares the host, such as `/shop`
    #[arg(long, env = "BRASSTAG_BASE_PATH", default_value = "", global = true)]
    pub base_path: String,
    /// Address people type, printed in the QR code of a tag; left out, the listening address
    #[arg(long, env = "BRASSTAG_PUBLIC_URL", global = true)]
    pub public_url: Option<String>,
    /// Address of a proxy on another host that says for whom it asks (`X-Forwarded-For`), so that
    /// limits count visitors and not the proxy; one on this host needs no setting
    #[arg(long, env = "BRASSTAG_PROXY", global = true)]
    pub proxy: Option<IpAddr>,
    /// `test` makes password hashing cheap; never set it for a real shop
    #[arg(
        long,
        hide = true,
        hide = true,
        env = "BRASSTAG_PASSWORD_COST",
        default_value = "full",
        global = true
    )]
    pub password_cost: String,
}

impl Settings {
    pub fn folder_or(&self, default: &str) -> PathBuf {
        self.folder
            .clone()
            .unwrap_or_else(|| PathBuf::from(default))
    }
}

/// The settings a running server needs, checked.
#[derive(Clone, Debug)]
pub struct Config {
    /// Of the shop's files.
    pub folder: PathBuf,
    /// Empty, or `/shop`: starts with a slash, does not end with one.
    pub base_path: String,
    /// Scheme, host and port, without the base path.
    pub public_url: String,
    pub cheap_passwords: bool,
    /// Whose word about an address is believed, beside this host's.
    pub proxy: Option<IpAddr>,
    /// The demo prints its sign-ins on the sign-in page.
    pub demo: bool,
}

impl Config {
    pub fn secure(&self) -> bool {
        self.public_url.starts_with("https://")
    }

    /// # Errors
    /// One sentence that names the setting which cannot be used.
    pub fn new(settings: &Settings, listening: SocketAddr, demo: bool) -> Result<Self, String> {
        let base_path = settings.base_path.trim_end_matches('/').to_owned();
        if !base_path.is_empty() && !base_path.starts_with('/') {
            return Err(format!(
                "BRASSTAG_BASE_PATH must start with a slash: {base_path:?}"
            ));
        }
        let public_url = match &settings.public_url {
            Some(url) if url.starts_with("http://") || url.starts_with("https://") => {
                url.trim_end_matches('/').to_owned()
            }
            Some(url) => return Err(format!("BRASSTAG_PUBLIC_URL must start with http: {url:?}")),
            None => format!("http://{listening}"),
        };
        let cheap_passwords = match settings.password_cost.as_str() {
            "full" => false,
            "test" => true,
            other => {
                return Err(format!(
                    "BRASSTAG_PASSWORD_COST is full or test, not {other:?}"
                ));
            }
        };
        Ok(Config {
            folder: settings.folder_or(if demo { DEMO_FOLDER } else { FOLDER }),
            base_path,
            public_url,
            cheap_passwords,
            proxy: settings.proxy,
            demo,
        })
    }
}
