//! These entries as people read them in the timeline.

use super::body::Ways;

/// One plain line for each fact; `None` where nothing was said.
pub fn facts(ways: &Ways) -> Vec<Option<String>> {
    let said = |label: &str, text: &str| {
        let text = text.trim();
        (!text.is_empty()).then(|| format!("{label}: {text}"))
    };
    match ways {
        Ways::PlacePlanned { scope, minutes, .. } => vec![
            said("Scope", scope),
            minutes.map(|m| format!("{:.1} h planned", m as f64 / 60.0)),
        ],
        Ways::TouchesSet { touches, why } => {
            vec![Some(touches.words().to_owned()), said("Why", why)]
        }
        Ways::TriedDead { how, .. } => {
            vec![
                Some("Controls worked; it did not start".to_owned()),
                said("How", how),
            ]
        }
        Ways::RunChecked {
            starts,
            right_way,
            sounds_right,
            guards_on,
            seen,
            ..
        } => {
            let all = [
                (starts, "starts"),
                (right_way, "turns the right way"),
                (sounds_right, "sounds right"),
                (guards_on, "guards on"),
            ];
            let words: Vec<String> = all
                .into_iter()
                .map(|(yes, what)| format!("{what}: {}", if *yes { "yes" } else { "no" }))
                .collect();
            vec![Some(words.join("; ")), said("Seen", seen)]
        }
        Ways::Finished {
            done,
            checked,
            checked_by,
            found,
        } => vec![
            said("Done", done),
            said("Checked", checked),
            said("By", checked_by),
            said("Found", found),
        ],
        Ways::Excepted {
            exception,
            measures,
            ..
        } => {
            let confirmed = exception.conditions().iter();
            let words: Vec<&str> = confirmed.map(|(_, words)| *words).collect();
            vec![
                Some(format!("{} ({})", exception.words(), exception.source())),
                Some(format!("Confirmed: {}", words.join("; "))),
                said(exception.measures_label(), measures),
            ]
        }
        Ways::ExceptionEnded { why } => vec![said("Why", why)],
        Ways::OutsideFirm {
            firm,
            contact,
            our_procedure,
            their_procedure,
            left_for_us,
        } => vec![
            said("Firm", firm),
            said("Contact", contact),
            said("Our energy procedure given", our_procedure),
            said("Theirs read", their_procedure),
            said("Left for us", left_for_us),
        ],
        Ways::OutsideLockOn {
            owner, lock_number, ..
        } => vec![Some(format!("Lock {lock_number} of {owner}"))],
        Ways::OutsideLockOff { .. } => vec![Some("Taken off by its owner".to_owned())],
        Ways::Accepted { by, saw } => vec![said("By", by), said("Saw working", saw)],
    }
}
