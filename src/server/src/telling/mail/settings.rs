//! The shop's mail server, as the settings name it.

use crate::config;
use clap::{Args, ValueEnum};
use lettre::message::Mailbox;
use lettre::transport::smtp::authentication::Credentials;
use lettre::transport::smtp::client::{Tls, TlsParameters};
use lettre::{AsyncSmtpTransport, Tokio1Executor};
use std::path::PathBuf;
use std::sync::atomic::AtomicI64;
use std::time::Duration;

/// How long the server may be silent.
const SILENCE: Duration = Duration::from_secs(20);

/// How the way to the server is guarded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Security {
    /// Encrypted from the first byte, usually port 465
    Tls,
    /// Encrypted before anything is said, usually port 587; a server that cannot is refused
    #[default]
    Starttls,
    /// Not at all, for a relay on this host, usually port 25
    None,
}

/// Mail to people and reporters; none is sent until a server is named.
#[derive(Clone, Debug, Default, Args)]
pub struct MailSettings {
    /// Mail server, `mail.example` or `mail.example:587`; left out, no mail is sent
    #[arg(
        id = "mail_server",
        long = "mail-server",
        env = "BRASSTAG_MAIL_SERVER",
        global = true
    )]
    pub server: Option<String>,
    /// How the way to it is guarded
    #[arg(
        id = "mail_security",
        long = "mail-security",
        env = "BRASSTAG_MAIL_SECURITY",
        default_value = "starttls",
        global = true
    )]
    pub security: Security,
    /// The sender's address, `Shop <shop@example.org>`
    #[arg(
        id = "mail_from",
        long = "mail-from",
        env = "BRASSTAG_MAIL_FROM",
        global = true
    )]
    pub from: Option<String>,
    /// Where answers go, if not to the sender
    #[arg(
        id = "mail_reply_to",
        long = "mail-reply-to",
        env = "BRASSTAG_MAIL_REPLY_TO",
        global = true
    )]
    pub reply_to: Option<String>,
    /// Name for signing in to the mail server
    #[arg(
        id = "mail_user",
        long = "mail-user",
        env = "BRASSTAG_MAIL_USER",
        global = true
    )]
    pub user: Option<String>,
    /// File with the password for it
    #[arg(
        id = "mail_password_file",
        long = "mail-password-file",
        env = "BRASSTAG_MAIL_PASSWORD_FILE",
        global = true
    )]
    pub password_file: Option<PathBuf>,
}

/// Ready to send.
pub struct Mail {
    pub from: Mailbox,
    pub reply_to: Option<Mailbox>,
    /// For people: where it goes out, never how one signs in there.
    pub server: String,
    pub transport: AsyncSmtpTransport<Tokio1Executor>,
    /// The longest that one mail may take.
    pub patience: Duration,
    /// When this process last looked for what the clock brings.
    pub looked_at: AtomicI64,
}

impl Mail {
    /// `None` where no server is named.
    ///
    /// # Errors
    /// One sentence that names the setting which cannot be used, never a secret.
    pub fn of(settings: &MailSettings) -> Result<Option<Mail>, String> {
        Self::with_silence(settings, SILENCE)
    }

    /// The same with another patience, for tests.
    ///
    /// # Errors
    /// As above.
    pub fn with_silence(
        settings: &MailSettings,
        silence: Duration,
    ) -> Result<Option<Mail>, String> {
        let Some(server) = settings
            .server
            .as_deref()
            .map(str::trim)
            .filter(|s| !s.is_empty())
        else {
            return Ok(None);
        };
        let (host, port) = host_and_port(server, settings.security)?;
        let from = settings
            .from
            .as_deref()
            .ok_or("BRASSTAG_MAIL_FROM is missing: mail needs a sender")?;
        let from = mailbox("BRASSTAG_MAIL_FROM", from)?;
        let reply_to = settings.reply_to.as_deref();
        let reply_to = reply_to
            .map(|text| mailbox("BRASSTAG_MAIL_REPLY_TO", text))
            .transpose()?;
        let tls = match settings.security {
            Security::None => Tls::None,
            guarded => {
                let parameters = TlsParameters::new(host.clone())
                    .map_err(|e| format!("BRASSTAG_MAIL_SERVER: {e}"))?;
                match guarded {
                    Security::Tls => Tls::Wrapper(parameters),
                    _ => Tls::Required(parameters),
                }
            }
        };
        let mut builder = AsyncSmtpTransport::<Tokio1Executor>::builder_dangerous(host)
            .port(port)
            .tls(tls)
            .timeout(Some(silence));
        if let Some(credentials) = credentials(settings)? {
            builder = builder.credentials(credentials);
        }
        Ok(Some(Mail {
            from,
            reply_to,
            server: server.to_owned(),
            transport: builder.build(),
            patience: silence * 3,
            looked_at: AtomicI64::new(i64::MIN / 2),
        }))
    }
}

fn credentials(settings: &MailSettings) -> Result<Option<Credentials>, String> {
    match (&settings.user, &settings.password_file) {
        (None, None) => Ok(None),
        (Some(_), Some(_)) if settings.security == Security::None => Err(
            "BRASSTAG_MAIL_SECURITY is none: a password would travel open. Leave user and password \
             out, or use starttls or tls"
                .to_owned(),
        ),
        (Some(user), Some(file)) => Ok(Some(Credentials::new(user.clone(), config::secret(file)?))),
        _ => Err("BRASSTAG_MAIL_USER and BRASSTAG_MAIL_PASSWORD_FILE go together".to_owned()),
    }
}

fn host_and_port(server: &str, security: Security) -> Result<(String, u16), String> {
    let usual = match security {
        Security::Tls => 465,
        Security::Starttls => 587,
        Security::None => 25,
    };
    let (host, port) = match server.rsplit_once(':') {
        None => (server, usual),
        Some((host, port)) => (
            host,
            port.parse()
                .map_err(|_| format!("BRASSTAG_MAIL_SERVER has no such port: {port:?}"))?,
        ),
    };
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-');
    if host.is_empty() || !host.chars().all(plain) {
        return Err(format!(
            "BRASSTAG_MAIL_SERVER is no name of a server: {host:?}"
        ));
    }
    Ok((host.to_owned(), port))
}

fn mailbox(setting: &str, text: &str) -> Result<Mailbox, String> {
    text.trim()
        .parse()
        .map_err(|_| format!("{setting} is no address such as Shop <shop@example.org>: {text:?}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(server: &str) -> MailSettings {
        MailSettings {
            server: Some(server.to_owned()),
            from: Some("Shop <shop@example.org>".to_owned()),
            ..MailSettings::default()
        }
    }

    #[tokio::test]
    async fn no_server_no_mail_and_a_wrong_setting_is_named() {
        assert!(Mail::of(&MailSettings::default()).expect("off").is_none());
        let said = |settings: &MailSettings| Mail::of(settings).err().unwrap_or_default();
        assert!(Mail::of(&settings("mail.example")).is_ok_and(|mail| mail.is_some()));
        assert!(said(&settings("mail.example:99999")).contains("no such port"));
        assert!(said(&settings("mail example")).contains("BRASSTAG_MAIL_SERVER"));
        let mut wrong = settings("mail.example");
        wrong.from = Some("a@b\r\nBcc: c@d".to_owned());
        assert!(said(&wrong).contains("BRASSTAG_MAIL_FROM"));
        wrong.from = None;
        assert!(said(&wrong).contains("BRASSTAG_MAIL_FROM is missing"));
        let mut open = settings("127.0.0.1:25");
        open.security = Security::None;
        open.user = Some("shop".to_owned());
        assert!(said(&open).contains("go together"));
        open.password_file = Some(PathBuf::from("/nowhere"));
        assert!(said(&open).contains("would travel open"));
        open.security = Security::Tls;
        assert!(said(&open).contains("/nowhere cannot be read"));
    }
}
