//! `brasstag figure TOPIC`: one JSON object a line in, one a line out.

use super::contract;
use calc::figure::{self, Topic, Trouble};
use serde_json::Value;
use std::io::{self, BufRead, Write};

/// Writes every topic with its fields and units.
/// # Errors
/// A sentence when the list cannot be written.
pub fn list(out: &mut impl Write) -> Result<(), String> {
    out.write_all(contract::list().as_bytes())
        .or_else(closed_pipe)
        .map_err(|e| format!("The list cannot be written: {e}"))
}

/// Answers every line; a line with trouble is answered with its trouble, and the run goes on.
/// # Errors
/// A sentence when the topic is not known, when a line had trouble, or when nothing more can be
/// read or written.
pub fn run(topic: &str, input: impl BufRead, out: &mut impl Write) -> Result<(), String> {
    let topic = figure::find(topic).ok_or_else(|| {
        format!("There is no topic {topic:?}. `brasstag figure --list` shows them all.")
    })?;
    let mut troubled = 0usize;
    for line in input.split(b'\n') {
        let line = line.map_err(|e| format!("Standard input cannot be read: {e}"))?;
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        let answer = answer(topic, &line).unwrap_or_else(|trouble| {
            troubled += 1;
            figure::trouble(&trouble)
        });
        let written = writeln!(out, "{answer}").and_then(|()| out.flush());
        match written {
            Err(e) if e.kind() == io::ErrorKind::BrokenPipe => break,
            written => written.map_err(|e| format!("An answer cannot be written: {e}"))?,
        }
    }
    match troubled {
        0 => Ok(()),
        1 => Err("One line could not be answered.".to_owned()),
        many => Err(format!("{many} lines could not be answered.")),
    }
}

fn answer(topic: &Topic, line: &[u8]) -> Result<Value, Trouble> {
    let input: Value = serde_json::from_slice(line)
        .map_err(|e| Trouble::new(format!("The line is not JSON: {e}")))?;
    figure::run(topic, &input)
}

/// A reader that has seen enough is no trouble.
fn closed_pipe(e: io::Error) -> io::Result<()> {
    if e.kind() == io::ErrorKind::BrokenPipe {
        Ok(())
    } else {
        Err(e)
    }
}
