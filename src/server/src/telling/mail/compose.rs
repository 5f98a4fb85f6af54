//! One mail as it goes out: plain text, nothing in a header that was not made or checked here.

use super::Mail;
use crate::clock::Millis;
use crate::telling::one_line;
use lettre::message::header::{ContentType, HeaderName, HeaderValue};
use lettre::message::{Mailbox, Message};
use std::time::{Duration, SystemTime};

/// A mail that waits.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Waiting {
    pub id: i64,
    pub message_id: String,
    pub address: String,
    pub subject: String,
    pub words: String,
    pub stop: String,
    pub made_at: Millis,
    pub tries: i64,
}

/// # Errors
/// One sentence where it cannot be sent however often one tries.
pub fn message(mail: &Mail, waiting: &Waiting, stop: Option<&str>) -> Result<Message, String> {
    let to = waiting
        .address
        .parse()
        .map_err(|_| "This is no address".to_owned())?;
    let millis = u64::try_from(waiting.made_at).unwrap_or(0);
    let mut builder = Message::builder()
        .from(mail.from.clone())
        .to(Mailbox::new(None, to))
        .subject(subject(&waiting.subject))
        .date(SystemTime::UNIX_EPOCH + Duration::from_millis(millis))
        .message_id(Some(format!("<{}>", waiting.message_id)))
        // RFC 3834: no answering machine answers.
        .raw_header(raw("Auto-Submitted", "auto-generated"))
        .header(ContentType::TEXT_PLAIN);
    if let Some(reply_to) = &mail.reply_to {
        builder = builder.reply_to(reply_to.clone());
    }
    if let Some(stop) = stop {
        // RFC 2369, and RFC 8058 for the one click.
        builder = builder
            .raw_header(raw("List-Unsubscribe", &format!("<{stop}>")))
            .raw_header(raw("List-Unsubscribe-Post", "List-Unsubscribe=One-Click"));
    }
    let words = match stop {
        Some(stop) => format!(
            "{}\n\nNo more such mail: {stop}\n",
            waiting.words.trim_end()
        ),
        None => format!("{}\n", waiting.words.trim_end()),
    };
    builder
        .body(words)
        .map_err(|e| format!("The mail cannot be put together: {e}"))
}

fn raw(name: &'static str, value: &str) -> HeaderValue {
    HeaderValue::new(HeaderName::new_from_ascii_str(name), one_line(value))
}

/// One line of a length that lists show.
fn subject(text: &str) -> String {
    let line = one_line(text);
    if line.chars().count() <= 120 {
        return line;
    }
    let start: String = line.chars().take(119).collect();
    format!("{}…", start.trim_end())
}

#[cfg(test)]
mod tests {
    use super::super::settings::MailSettings;
    use super::*;
    use proptest::prelude::*;

    fn composed(subject: &str, words: &str) -> String {
        let settings = MailSettings {
            server: Some("mail.example".to_owned()),
            from: Some("Shop <shop@example.org>".to_owned()),
            reply_to: Some("desk@example.org".to_owned()),
            ..MailSettings::default()
        };
        let runtime = tokio::runtime::Builder::new_current_thread().build();
        let _in = runtime.as_ref().expect("a runtime").enter();
        let mail = Mail::of(&settings).expect("settings").expect("a server");
        let waiting = Waiting {
            id: 1,
            message_id: "word@example.org".to_owned(),
            address: "ann@example.net".to_owned(),
            subject: subject.to_owned(),
            words: words.to_owned(),
            stop: String::new(),
            made_at: 1_795_608_000_000,
            tries: 0,
        };
        let stop = Some("https://shop.example/stop/abc");
        let message = message(&mail, &waiting, stop).expect("a mail");
        String::from_utf8(message.formatted()).expect("text")
    }

    #[test]
    fn the_headers_say_what_it_is_and_how_to_stop_it() {
        let text = composed("Job 7", "Handed to you.");
        for line in [
            "From: Shop <shop@example.org>\r\n",
            "To: ann@example.net\r\n",
            "Reply-To: desk@example.org\r\n",
            "Subject: Job 7\r\n",
            "Date: Wed, 25 Nov 2026 12:00:00 +0000\r\n",
            "Message-ID: <word@example.org>\r\n",
            "Auto-Submitted: auto-generated\r\n",
            "List-Unsubscribe: <https://shop.example/stop/abc>\r\n",
            "List-Unsubscribe-Post: List-Unsubscribe=One-Click\r\n",
            "Content-Type: text/plain; charset=utf-8\r\n",
        ] {
            assert!(text.contains(line), "{line} in {text}");
        }
    }

    proptest! {
        #[test]
        fn nothing_typed_becomes_a_header(typed in "[a-z\\r\\n: é@<>]{0,80}") {
            let text = composed(&format!("x{typed}\r\nBcc: evil@example.org"), &typed);
            let (head, _) = text.split_once("\r\n\r\n").expect("a body");
            let names: Vec<&str> = head
                .split("\r\n")
                .filter(|line| !line.starts_with([' ', '\t']))
                .filter_map(|line| Some(line.split_once(':')?.0))
                .collect();
            let known = ["From", "To", "Reply-To", "Subject", "Date", "Message-ID", "Auto-Submitted",
                "List-Unsubscribe", "List-Unsubscribe-Post", "Content-Type",
                "Content-Transfer-Encoding", "MIME-Version"];
            for name in names {
                prop_assert!(known.contains(&name), "{name}");
            }
            prop_assert!(!head.contains('\n') || head.matches('\n').count() == head.matches("\r\n").count());
        }
    }
}
