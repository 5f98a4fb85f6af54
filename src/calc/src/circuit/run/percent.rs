//! Volts lost against the voltage at the beginning, with or without a run.

use super::{Lost, ask_rest};
use crate::circuit::CAUTION;
use crate::shown::{Fill, figure, line, positive};
use crate::units::Volts;
use crate::working::{Verdict, Working};

/// Volts lost that are known, against the source, and a limit in volts; no run is needed.
/// `100 drop / source`. Source: as [`lost`].
pub fn plain_drop(
    drop: Option<Volts>,
    source: Option<Volts>,
    limit: Option<Volts>,
) -> (Lost, Working) {
    let mut working = Working::new("Voltage drop");
    working.cautions.push(CAUTION.into());
    let from = source.and_then(|v| positive(v.0));
    let found = Lost {
        volts: drop,
        percent: drop.zip(from).map(|(v, from)| 100.0 * v.0 / from),
        left: drop
            .zip(from)
            .filter(|(v, from)| v.0 < *from)
            .map(|(v, from)| Volts(from - v.0)),
        ..Lost::default()
    };
    ask_rest(&mut working, &found, true);
    if let Some(drop) = drop {
        percent_line(&mut working, drop, source);
    }
    if let Some(limit) = limit {
        let shown = line("limit", "Volts that may be lost")
            .value(figure(limit.0, 3), "V")
            .rule("percent of the source", "arithmetic");
        working.lines.push(match drop {
            Some(drop) if drop.0 > limit.0 + 1e-9 => {
                shown.judge(Verdict::Beyond, "More is lost than the limit given.")
            }
            Some(_) => shown.judge(Verdict::Within, "Not above the limit given."),
            None => shown,
        });
    }
    (found, working)
}

/// Volts lost against the source, judged: 3 and 5 % are advice; above 10 % a motor of the nominal
/// voltage is outside its own limits. Source: NEC 210.19 and 215.2 informational notes; MG 1 for 10 %.
pub fn percent_line(working: &mut Working, lost: Volts, source: Option<Volts>) {
    let Some(source) = source.and_then(|v| positive(v.0)) else {
        return;
    };
    let percent = 100.0 * lost.0 / source;
    let shown = line("percent", "Lost of the source")
        .value(figure(percent, 2), "%")
        .limit("3 %; 5 % with the feeder")
        .rule(
            "advice, not a requirement; a motor stands 10 % below its plate at most",
            "NEC 210.19 and 215.2 informational notes; MG 1",
        );
    let (verdict, note) = match percent {
        p if p >= 100.0 - 1e-9 => (
            Verdict::Beyond,
            "All of the voltage would be lost: this load cannot run on this run.",
        ),
        p if p > 10.0 + 1e-9 => (
            Verdict::Beyond,
            "Fit larger conductors: more than 10 % is lost, beyond what a motor stands.",
        ),
        p if p > 5.0 + 1e-9 => (
            Verdict::WithinNote,
            "More than 5 % is lost, above the advice even with the feeder: a motor runs hot and may \
             not start. Fit larger conductors.",
        ),
        p if p > 3.0 + 1e-9 => (
            Verdict::WithinNote,
            "Consider larger conductors: more than 3 % is lost.",
        ),
        _ => (Verdict::Within, "Inside the advice for a branch circuit."),
    };
    let shown = if percent < 100.0 {
        shown.margin(format!("{} V left", figure(source - lost.0, 2)))
    } else {
        shown
    };
    working.lines.push(shown.judge(verdict, note));
}
