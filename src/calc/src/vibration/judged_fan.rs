//! A fan's reading against the limits of its category.

use super::{Band, HOW, MEASURE, Stage, Velocity, VibrationInput, band, limit, shown, shutdown};
use crate::shown::{Fill, ask, figure};
use crate::working::{Line, Verdict, Working};

pub(super) fn judge(working: &mut Working, input: &VibrationInput) {
    let rule = "start-up, alarm and shutdown limits of the category";
    let shown = shown(input).rule(rule, "ISO 14694");
    let found = (input.read(), input.fan_category(), input.support);
    let (Some(read), Some(of), Some(on)) = found else {
        let what = match found {
            (None, ..) => "highest vibration velocity, mm/s r.m.s.",
            (_, None, _) => "fan category, or the driver's power",
            _ => "rigid or flexible support",
        };
        let why = "the limit follows from category and support";
        return ask(working, shown, what, why, HOW);
    };
    let Some(band) = band(input) else {
        let (what, why, how) = MEASURE;
        return ask(working, shown, what, why, how);
    };
    let held =
        |stage| limit(stage, of, on).and_then(|found| read.against(found.rms, Some(found.peak)));
    let stop = shutdown(&read, input, of, on);
    let words = |limit: Option<f64>| {
        limit.map_or_else(
            || "from the machine's history".to_owned(),
            |limit| figure(limit, 3),
        )
    };
    let mut shown = shown
        .value(figure(read.value, 3), read.unit.words())
        .limit(format!(
            "start-up {}, alarm {}, shutdown {}",
            words(held(Stage::StartUp)),
            words(held(Stage::Alarm)),
            words(stop)
        ));
    shown.source = format!(
        "ISO 14694, {}, {}",
        of.words(),
        limit(Stage::StartUp, of, on).map_or_else(String::new, |found| found.confidence)
    )
    .into();
    match input.stage {
        None => {
            let room = held(Stage::StartUp).unwrap_or_default() - read.value;
            let shown = shown.margin(format!(
                "{} {} to start-up",
                figure(room, 3),
                read.unit.words()
            ));
            working.lines.push(in_service(shown, band, stop.is_none()));
        }
        Some(Stage::Shutdown) => at_stage(working, shown, Stage::Shutdown, read, stop, band),
        Some(stage) => at_stage(working, shown, stage, read, held(stage), band),
    }
}

/// Up to start-up: within. To alarm: within, note. Above alarm, or above shutdown: beyond.
fn in_service(shown: Line, band: Band, no_shutdown: bool) -> Line {
    match band {
        Band::Shutdown => {
            shown.judge(Verdict::Beyond, "Stop the fan now and find the cause before it runs again.")
        }
        Band::Alarm if no_shutdown => shown.judge(
            Verdict::Beyond,
            "Plan the repair now: balance, bearings, looseness, alignment. The standard has no \
             shutdown figure for this category; set one from the machine's history.",
        ),
        Band::Alarm => shown.judge(
            Verdict::Beyond,
            "Plan the repair now: balance, bearings, looseness, alignment.",
        ),
        Band::AboveStartUp => shown.judge(
            Verdict::WithinNote,
            "Above the start-up limit: clean and balance the wheel, check set screws, measure again.",
        ),
        Band::Satisfactory => shown.judge(Verdict::Within, "Inside the start-up limit."),
    }
}

/// One limit only. Above it: beyond. Below it and above the milder ones of service: within, note.
fn at_stage(
    working: &mut Working,
    shown: Line,
    stage: Stage,
    read: Velocity,
    limit: Option<f64>,
    band: Band,
) {
    let Some(limit) = limit else {
        return ask(
            working,
            shown,
            "shutdown limit of this machine",
            "the standard has no shutdown figure for BV-1 and BV-2",
            "set one from the machine's history and give it as its own shutdown limit",
        );
    };
    let shown = shown.margin(format!(
        "{} {} to the {} limit",
        figure(limit - read.value, 3),
        read.unit.words(),
        stage.words()
    ));
    let note = match stage {
        Stage::WorksTest => "Not accepted at the works: balance it again.",
        Stage::StartUp => "Not accepted at start-up: balance, set screws, alignment, base.",
        Stage::Alarm => "Plan the repair now: balance, bearings, looseness, alignment.",
        Stage::Shutdown => "Stop the fan now and find the cause before it runs again.",
    };
    let service = matches!(stage, Stage::Alarm | Stage::Shutdown);
    working.lines.push(if read.value > limit + 1e-9 {
        shown.judge(Verdict::Beyond, note)
    } else if service && band > Band::Satisfactory {
        shown.judge(
            Verdict::WithinNote,
            format!("Under this limit, but {}: find the cause.", band.words()),
        )
    } else {
        shown.judge(
            Verdict::Within,
            format!("Inside the {} limit.", stage.words()),
        )
    });
}
