//! Settings: flags and `BRASSTAG_…` variables, each documented where it is read.

use crate::backup::keep::Keep;
use crate::backup::schedule::{Daily, TimeOfDay};
use crate::serve::logs;
use crate::telling::mail::settings::MailSettings;
use clap::{Args, Parser, Subcommand};
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};

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
    /// Ask the server of this host whether it is ready; status 0 if so
    Healthy,
    /// Write everything to one file while the shop goes on; read back before it gets its name
    Backup {
        /// A file ending in .zip that is not there yet, or a folder; left out, BRASSTAG_BACKUP_FOLDER
        to: Option<PathBuf>,
    },
    /// Carry everything into another, empty database and compare every row; stop the server first
    Move {
        /// `postgres://…` or `sqlite:FILE`
        to_url: String,
    },
    /// Read an archive of everything into an empty shop, on either database
    Restore {
        /// A backup, or the zip as downloaded from the Shop page
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
    /// Print a link with which the person sets a new password
    NewLink { sign_in_name: String },
    /// Take a person's second factor away; they set a new password with the link that is printed
    ResetSecondFactor { sign_in_name: String },
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
    /// File with the database's address, where the address holds a password
    #[arg(
        long,
        env = "BRASSTAG_DATABASE_URL_FILE",
        global = true,
        conflicts_with = "database_url"
    )]
    pub database_url_file: Option<PathBuf>,
    /// Certificate chain (PEM) for HTTPS without a proxy; read again on SIGHUP and once an hour
    #[arg(long, env = "BRASSTAG_TLS_CERT", global = true, requires = "tls_key")]
    pub tls_cert: Option<PathBuf>,
    /// Private key (PEM) of that certificate
    #[arg(long, env = "BRASSTAG_TLS_KEY", global = true, requires = "tls_cert")]
    pub tls_key: Option<PathBuf>,
    /// Seconds between being told to stop and turning connections away; `/readyz` says no at once,
    /// so that a proxy can look elsewhere
    #[arg(
        long,
        env = "BRASSTAG_DRAIN_SECONDS",
        default_value = "0",
        value_parser = clap::value_parser!(u64).range(0..=300),
        global = true
    )]
    pub drain_seconds: u64,
    /// Address and port of this host where figures for Prometheus are read; none without it
    #[arg(long, env = "BRASSTAG_METRICS_LISTEN", global = true)]
    pub metrics_listen: Option<SocketAddr>,
    /// How the log's lines look
    #[arg(
        long,
        env = "BRASSTAG_LOG_FORMAT",
        default_value = "plain",
        global = true
    )]
    pub log_format: logs::Form,
    #[command(flatten)]
    pub photos: PhotoSettings,
    #[command(flatten)]
    pub backup: BackupSettings,
    #[command(flatten)]
    pub mail: MailSettings,
    /// Address of a proxy on another host that says for whom it asks (`X-Forwarded-For`), so that
    /// limits count visitors and not the proxy; one on this host needs no setting
    #[arg(long, env = "BRASSTAG_PROXY", global = true)]
    pub proxy: Option<IpAddr>,
    /// `test` makes password hashing cheap; never set it for a real shop
    #[arg(
        long,
        hide = true,
        env = "BRASSTAG_PASSWORD_COST",
        default_value = "full",
        global = true
    )]
    pub password_cost: String,
}

/// Where photos lie: in the shop's folder, or in a store that several servers share.
#[derive(Clone, Debug, Default, Args)]
pub struct PhotoSettings {
    /// `s3://BUCKET` or `s3://BUCKET/PREFIX`; left out, `photos/` in the folder
    #[arg(long = "photo-store", env = "BRASSTAG_PHOTO_STORE", global = true)]
    pub store: Option<String>,
    /// Address of the store, where it is not the region's own: `http://10.0.0.5:9000`
    #[arg(long, env = "BRASSTAG_S3_ENDPOINT", global = true)]
    pub s3_endpoint: Option<String>,
    /// Region of the bucket
    #[arg(
        long,
        env = "BRASSTAG_S3_REGION",
        default_value = "us-east-1",
        global = true
    )]
    pub s3_region: String,
    /// Name of the store's key
    #[arg(long, env = "BRASSTAG_S3_KEY_ID", global = true)]
    pub s3_key_id: Option<String>,
    /// File with the secret of that key
    #[arg(long, env = "BRASSTAG_S3_SECRET_FILE", global = true)]
    pub s3_secret_file: Option<PathBuf>,
}

/// The backup of each day.
#[derive(Clone, Debug, Args)]
pub struct BackupSettings {
    /// Folder for a backup each day, on another disk or machine; none is made by itself without it
    #[arg(
        id = "backup_folder",
        long = "backup-folder",
        env = "BRASSTAG_BACKUP_FOLDER",
        global = true
    )]
    pub folder: Option<PathBuf>,
    /// When, on the shop's clock
    #[arg(
        id = "backup_at",
        long = "backup-at",
        env = "BRASSTAG_BACKUP_AT",
        default_value = "02:00",
        global = true
    )]
    pub at: TimeOfDay,
    /// Days, weeks and months whose last backup is kept, such as 7,5,12, which is what the backup
    /// of each day keeps; `backup` takes old ones away only where this is set
    #[arg(long, env = "BRASSTAG_BACKUP_KEEP", global = true)]
    pub keep: Option<Keep>,
}

impl BackupSettings {
    pub fn daily(&self) -> Option<Daily> {
        self.folder.clone().map(|folder| Daily {
            folder,
            at: self.at,
            keep: self.keep.unwrap_or_default(),
        })
    }
}

/// The first line of a file that holds a secret.
///
/// # Errors
/// One sentence that names the file, never what is in it.
pub fn secret(file: &Path) -> Result<String, String> {
    let text = std::fs::read_to_string(file)
        .map_err(|e| format!("{} cannot be read: {e}", file.display()))?;
    match text.lines().next().map(str::trim) {
        Some(line) if !line.is_empty() => Ok(line.to_owned()),
        _ => Err(format!("{} is empty", file.display())),
    }
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
            None if settings.tls_cert.is_some() => format!("https://{listening}"),
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
        if let Some(metrics) = settings.metrics_listen.filter(|at| !at.ip().is_loopback()) {
            return Err(format!(
                "BRASSTAG_METRICS_LISTEN must be an address of this host itself, such as \
                 127.0.0.1:9710, not {metrics}: whoever reads the figures needs no sign-in"
            ));
        }
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

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_holds_together() {
        Cli::command().debug_assert();
    }
}
