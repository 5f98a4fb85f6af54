//! People who write without pause: notes, reports with photos, and parts from the shelf. What was not
//! answered is sent again with the same id until it is.

use super::Before;
use super::http::{self, FORM, Person};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// A write that never gets through is a failure of its own.
const PATIENCE: Duration = Duration::from_secs(120);
/// Around the words by which a write is found again.
const MARK: &str = "kill-mark-";

/// When a write was last acknowledged.
#[derive(Clone, Default)]
pub struct Clock(Arc<Mutex<Option<Instant>>>);

impl Clock {
    fn tick(&self) {
        *self.0.lock().expect("the clock") = Some(Instant::now());
    }

    /// Waits for one that was acknowledged after this.
    pub fn after(&self, from: Instant) -> Instant {
        loop {
            let last = *self.0.lock().expect("the clock");
            match last {
                Some(at) if at > from => return at,
                _ if from.elapsed() > PATIENCE => panic!("no write got through after a kill"),
                _ => std::thread::sleep(Duration::from_millis(2)),
            }
        }
    }
}

/// The mark in an entry's body.
pub fn mark(body: &str) -> Option<&str> {
    let at = body.find(MARK)?;
    let rest = &body[at..];
    let end = rest[MARK.len()..].find(|c: char| !c.is_ascii_hexdigit());
    Some(&rest[..MARK.len() + end.unwrap_or(rest.len() - MARK.len())])
}

/// What one writer knows to be there.
#[derive(Default)]
pub struct Kept {
    /// The entry's id, and the mark in its words where it has words.
    pub acknowledged: Vec<(String, Option<String>)>,
    pub sent_again: usize,
    pub parts_taken: i64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Note,
    /// With a photo.
    Report,
    Part,
}

pub struct Writer {
    what: What,
    person: Person,
    job: i64,
    part: i64,
    place: i64,
}

struct Sending {
    entry: String,
    mark: Option<String>,
    path: String,
    body: Vec<u8>,
    kind: String,
}

impl Writer {
    /// Two who write notes, two who report, one who takes parts.
    pub fn all(port: u16, before: &Before) -> Vec<Writer> {
        let people = [
            (What::Note, "tobin"),
            (What::Note, "maren"),
            (What::Report, "ilse"),
            (What::Report, "piet"),
            (What::Part, "tobin"),
        ];
        let each = people.into_iter().map(|(what, name)| Writer {
            what,
            person: Person::sign_in(port, name).expect("they sign in"),
            job: before.job,
            part: before.part,
            place: before.place,
        });
        each.collect()
    }

    pub fn work(self, stop: &AtomicBool, clock: &Clock) -> Kept {
        let mut kept = Kept::default();
        let mut number = 0;
        while !stop.load(Ordering::Relaxed) {
            number += 1;
            let sending = self.next(number);
            self.send(&sending, &mut kept);
            clock.tick();
            if self.what == What::Part {
                kept.parts_taken += 1;
            }
            kept.acknowledged.push((sending.entry, sending.mark));
        }
        kept
    }

    fn next(&self, number: u32) -> Sending {
        let entry = uuid::Uuid::now_v7().to_string();
        let mark = format!("{MARK}{}", uuid::Uuid::now_v7().simple());
        let job = self.job;
        let mut fields = vec![
            ("csrf", self.person.csrf.clone()),
            ("entry", entry.clone()),
            ("seen", "1".to_owned()),
        ];
        let (path, marked) = match self.what {
            What::Note => {
                fields.push(("text", mark.clone()));
                (format!("/jobs/{job}/note"), true)
            }
            What::Report => {
                fields.push(("place", self.place.to_string()));
                fields.push(("words", mark.clone()));
                ("/report".to_owned(), true)
            }
            What::Part => {
                fields.push(("item", format!("part-{}", self.part)));
                fields.push(("amount", "1".to_owned()));
                (format!("/jobs/{job}/stores/issue"), false)
            }
        };
        let (body, kind) = match self.what {
            What::Note | What::Part => (http::form(&fields), FORM.to_owned()),
            What::Report => http::multipart(&fields, ("photo", &picture(number))),
        };
        Sending {
            entry,
            mark: marked.then_some(mark),
            path,
            body,
            kind,
        }
    }

    /// Returns when the write was acknowledged.
    fn send(&self, sending: &Sending, kept: &mut Kept) {
        let from = Instant::now();
        loop {
            let answer = self
                .person
                .post(&sending.path, &sending.body, &sending.kind);
            match answer {
                Ok(answer) if answer.status == 303 => return,
                Ok(answer) if answer.status < 500 => panic!(
                    "{:?} was refused with {}: {}",
                    self.what, answer.status, answer.body
                ),
                _ => {}
            }
            assert!(
                from.elapsed() < PATIENCE,
                "{:?} never got through",
                self.what
            );
            kept.sent_again += 1;
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

/// A small picture, no two alike.
fn picture(number: u32) -> Vec<u8> {
    let [a, b, c, _] = number.to_le_bytes();
    let pixels = image::RgbImage::from_pixel(24, 24, image::Rgb([a, b, c]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    pixels
        .write_to(&mut bytes, image::ImageFormat::Png)
        .expect("a picture");
    bytes.into_inner()
}
