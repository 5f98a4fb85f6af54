//! A fan's reading against the limits of its category.

use super::{
    Band, Category, MEASURE, Stage, Support, Velocity, VibrationInput, band, limit, shown, shutdown,
};
use crate::shown::{Fill, ask, figure};
use crate::working::{Line, Missing, Verdict, Working};

/// Limits of the reading's own measure and unit.
struct Held {
    category: Category,
    confidence: String,
    start: f64,
    alarm: f64,
    works: Option<f64>,
    stop: Option<f64>,
    band: Band,
}

impl Held {
    fn one(&self, stage: Stage) -> Option<f64> {
        match stage {
            Stage::WorksTest => self.works,
            Stage::StartUp => Some(self.start),
            Stage::Alarm => Some(self.alarm),
            Stage::Shutdown => self.stop,
        }
    }
}

fn held(read: &Velocity, input: &VibrationInput, of: Category, on: Support) -> Option<Held> {
    let at = |stage| limit(stage, of, on).and_then(|one| read.against(one.rms, Some(one.peak)));
    Some(Held {
        category: of,
        confidence: limit(Stage::StartUp, of, on)?.confidence,
        start: at(Stage::StartUp)?,
        alarm: at(Stage::Alarm)?,
        works: at(Stage::WorksTest),
        stop: shutdown(read, input, of, on),
        band: band(input)?,
    })
}

pub(super) fn judge(working: &mut Working, input: &VibrationInput) {
    let rule = "start-up, alarm and shutdown limits of the category";
    let shown = shown(input).rule(rule, "ISO 14694");
    let (Some(read), Some(of), Some(on)) = (input.read(), input.fan_category(), input.support)
    else {
        return ask_all(working, shown, input);
    };
    let Some(held) = held(&read, input, of, on) else {
        let (what, why, how) = MEASURE;
        return ask(working, shown, what, why, how);
    };
    let shown = held_line(shown, &read, &held);
    let Some(stage) = input.stage else {
        let room = figure(held.start - read.value, 3);
        let shown = shown.margin(format!("{room} {} to start-up", read.unit.words()));
        let line = in_service(shown, held.band, held.stop.is_none());
        return working.lines.push(line);
    };
    match held.one(stage) {
        Some(limit) => working
            .lines
            .push(at_stage(shown, stage, read, limit, held.band)),
        None => ask(
            working,
            shown,
            "shutdown limit of this machine",
            "the standard has no shutdown figure for BV-1 and BV-2",
            "set one from the machine's history and give it as its own shutdown limit",
        ),
    }
}

fn held_line(shown: Line, read: &Velocity, held: &Held) -> Line {
    let stop = match held.stop {
        Some(stop) => figure(stop, 3),
        None => "from the machine's history".to_owned(),
    };
    let (start, alarm) = (figure(held.start, 3), figure(held.alarm, 3));
    let mut shown = shown
        .value(figure(read.value, 3), read.unit.words())
        .limit(format!("start-up {start}, alarm {alarm}, shutdown {stop}"));
    shown.source = format!("ISO 14694, {}, {}", held.category.words(), held.confidence).into();
    shown
}

/// Names everything that is not known; the line waits for the first of them.
fn ask_all(working: &mut Working, shown: Line, input: &VibrationInput) {
    let lacks = [
        (
            input.read().is_none(),
            "highest vibration velocity, mm/s r.m.s.",
            "it is held against the limit",
            "measure at the bearings in three directions",
        ),
        (
            input.fan_category().is_none(),
            "fan category, or the fan's use and its driver's power",
            "the limits are those of the category",
            "from the fan's papers; a building fan is BV-2 to 3.7 kW and BV-3 above (ISO 14694)",
        ),
        (
            input.support.is_none(),
            "rigid or flexible support",
            "a fan on springs may move more than one on a stiff base",
            "look for springs or rubbers under the fan",
        ),
    ];
    let mut waits = Some(shown);
    for (_, what, why, how) in lacks.into_iter().filter(|(lacks, ..)| *lacks) {
        match waits.take() {
            Some(shown) => ask(working, shown, what, why, how),
            None => working.missing.push(Missing {
                what: what.into(),
                why: why.into(),
                how: how.into(),
            }),
        }
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
fn at_stage(shown: Line, stage: Stage, read: Velocity, limit: f64, band: Band) -> Line {
    let shown = shown.margin(format!(
        "{} {} to the {} limit",
        figure(limit - read.value, 3),
        read.unit.words(),
        stage.words()
    ));
    let service = matches!(stage, Stage::Alarm | Stage::Shutdown);
    if read.value > limit + 1e-9 {
        let note = match stage {
            Stage::WorksTest => "Not accepted at the works: balance it again.",
            Stage::StartUp => "Not accepted at start-up: balance, set screws, alignment, base.",
            Stage::Alarm => "Plan the repair now: balance, bearings, looseness, alignment.",
            Stage::Shutdown => "Stop the fan now and find the cause before it runs again.",
        };
        shown.judge(Verdict::Beyond, note)
    } else if service && band > Band::Satisfactory {
        let note = format!("Under this limit, but {}: find the cause.", band.words());
        shown.judge(Verdict::WithinNote, note)
    } else {
        shown.judge(
            Verdict::Within,
            format!("Inside the {} limit.", stage.words()),
        )
    }
}
