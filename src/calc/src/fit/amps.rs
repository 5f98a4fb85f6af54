//! Full-load amps: against the old plate, the control, the disconnect and the overload.

use super::attribute as a;
use super::known::{Facts, num, opt};
use super::question as q;
use super::say::{amps, short};
use super::sink::{Said, Sink};
use super::supply::HAIR;
use super::work::Work;
use crate::installation::{Control, OverloadKind};
use crate::working::Verdict;
use rust_decimal::prelude::ToPrimitive;

pub(super) fn amps_line(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = f.amps(f.new) else {
        return sink.ask(&a::AMPS, &q::NEW_AMPS);
    };
    let old = f.amps(f.old);
    let rating = opt(f.site.control_amps);
    let alike = f.new_type.is_some() && f.new_type == f.old_type;
    let say = move |note: &'static str| {
        move || {
            let margin = match old {
                Some(old) => format!("{:+.1} % on the old motor", 100.0 * (new / old - 1.0)),
                None => String::new(),
            };
            let limit = rating
                .map(|r| format!("control {}", amps(r)))
                .unwrap_or_default();
            Said::of(amps(new), note).limit(limit).margin(margin)
        }
    };
    let switched = !matches!(f.site.control, Some(Control::None));
    if switched && rating.is_some_and(|rating| new > rating + HAIR) {
        let note = "More than the control may switch.";
        return sink.judge(&a::AMPS, Verdict::DoNotFit, say(note));
    }
    let Some(rise) = old.map(|old| new / old) else {
        // Nothing to compare with: the ratings must carry it.
        return match switched && rating.is_none() {
            true => sink.ask(&a::AMPS, &q::CONTROL_AMPS),
            false => more_amps(f, new, sink, say("The old amps are not known.")),
        };
    };
    if (0.9 - HAIR..=1.1 + HAIR).contains(&rise) {
        let best = if alike { Verdict::Same } else { Verdict::Suits };
        return sink.judge(
            &a::AMPS,
            best,
            say("Within the plate tolerance of the old motor."),
        );
    }
    if rise < 1.0 {
        sink.caution(|| {
            let (limit, percent) = overload_limit(f, new);
            format!(
                "The motor takes fewer amps than the old one. That is no fault; set a separate \
                 overload to at most {} A ({} %).",
                amps(limit),
                short(percent, 0)
            )
            .into()
        });
        return sink.judge(&a::AMPS, Verdict::Suits, say("Lower than the old motor."));
    }
    match switched && rating.is_none() {
        true => sink.ask(&a::AMPS, &q::CONTROL_AMPS),
        false => more_amps(f, new, sink, say("Higher than the old motor.")),
    }
}

/// Overload limit in amps and percent: NEC 430.32(A)(1). Without a known service factor of 1.15
/// or a known rise of 40 K the code's lower figure holds.
pub(super) fn overload_limit(f: &Facts, new: f64) -> (f64, f64) {
    let strong = num(&f.new.service_factor).is_some_and(|sf| sf >= 1.15);
    let cool = num(&f.new.rise).is_some_and(|rise| rise <= 40.0);
    let percent = if strong || cool { 125.0 } else { 115.0 };
    (new * percent / 100.0, percent)
}

/// Present setting of the separate overload.
pub(super) fn overload_setting(f: &Facts) -> Option<f64> {
    f.installation.overload.as_ref()?.setting?.to_f64()
}

/// Work for more amps than before; a disconnect below 115 % of them (NEC 430.110(A)) is named.
fn more_amps(f: &Facts, new: f64, sink: &mut impl Sink, say: impl FnOnce() -> Said) {
    let (limit, percent) = overload_limit(f, new);
    let set = Work::SetOverload {
        amps: limit,
        percent,
    };
    let check = Work::CheckCircuit { amps: new };
    let rating = f
        .installation
        .disconnect
        .as_ref()
        .and_then(|d| d.rating?.to_f64());
    match rating {
        Some(rating) if 1.15 * new > rating + HAIR => {
            let replace = Work::ReplaceDisconnect { amps: new };
            sink.work(&a::AMPS, &[check, set, replace], say);
        }
        _ => sink.work(&a::AMPS, &[check, set], say),
    }
}

/// A separate overload that was seen.
pub(super) fn separate_overload(f: &Facts) -> bool {
    f.installation
        .overload
        .as_ref()
        .is_some_and(|o| o.kind == OverloadKind::Separate)
}
