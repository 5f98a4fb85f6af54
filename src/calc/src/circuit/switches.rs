//! Disconnecting means: the switch that cuts the motor off.

use super::RuleSet;
use super::current::{Counted, as_f64};
use crate::installation::{Circuit, DisconnectKind, Installation};
use crate::plate::Plate;
use crate::shown::{Fill, ask, exact, figure, line, plausible, positive};
use crate::units::Volts;
use crate::working::{Line, Verdict, Working};
use rust_decimal::Decimal;

/// Smallest rating of a disconnect in amperes: 115 % of the motor's current. Source: NEC 430.110(A).
pub fn disconnect_min(flc: Decimal) -> Decimal {
    flc.checked_mul(Decimal::new(115, 2))
        .unwrap_or(Decimal::MAX)
}

/// Smallest rating of a general-use switch in amperes: twice the current. For motors to 2 hp and
/// 300 V. Source: NEC 430.109(C)(1).
pub fn general_switch_min(flc: Decimal) -> Decimal {
    flc.checked_mul(Decimal::TWO).unwrap_or(Decimal::MAX)
}

/// Largest motor current of an AC-only snap switch in amperes: 80 % of its rating. For motors to
/// 2 hp and 300 V. Source: NEC 430.109(C)(2), 404.14(A).
pub fn snap_switch_limit(rating: Decimal) -> Decimal {
    rating
        .checked_mul(Decimal::new(8, 1))
        .unwrap_or(Decimal::MAX)
}

pub(super) fn judge_disconnect(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    circuit: &Circuit,
    counted: &Counted,
    volts: Volts,
) {
    let shown = line("disconnect", "Disconnecting means").rule(
        "115 % of the current, a horsepower rating, or the small-motor switches",
        "NEC 430.109, 430.110, 404.14",
    );
    let Some(disconnect) = &installation.disconnect else {
        return ask(
            working,
            shown,
            "disconnecting means of the machine",
            "work on the motor begins at it",
            "find the switch at the machine and read its marking",
        );
    };
    judge_sight(working, disconnect.in_sight, "NEC 430.102(B), 430.107");
    let hp = motor.power.value().and_then(|p| positive(p.hp()));
    let Some(hp) = hp else {
        return ask(
            working,
            shown,
            "plate power",
            "switches are rated in horsepower or allowed by it",
            "read the motor's plate",
        );
    };
    // The breaker's own rating is that of the circuit's device.
    let rating = if disconnect.kind == DisconnectKind::BranchBreaker {
        circuit.device_rating
    } else {
        disconnect.rating
    };
    let switch = Switch {
        kind: disconnect.kind,
        rating: rating.and_then(plausible),
        marked_hp: disconnect.horsepower.and_then(plausible).and_then(as_f64),
        hp,
        amps: counted.amps,
        volts,
    };
    match switch.judge(shown.clone()) {
        Some(line) => working.lines.push(line),
        None => ask(
            working,
            shown,
            "rating of the disconnect in amperes or horsepower",
            "it must open the motor's current, a stalled motor's included",
            "read its marking at the circuit's voltage",
        ),
    }
}

/// The disconnect against the motor.
struct Switch {
    kind: DisconnectKind,
    rating: Option<Decimal>,
    marked_hp: Option<f64>,
    hp: f64,
    amps: Decimal,
    volts: Volts,
}

impl Switch {
    /// `None`: its rating is not known.
    fn judge(&self, shown: Line) -> Option<Line> {
        let small = self.hp <= 2.02 && self.volts.0 <= 300.0;
        match (self.kind, self.rating) {
            (DisconnectKind::MotorCircuitSwitch, _) => self.by_power(shown),
            (DisconnectKind::GeneralUseSwitch | DisconnectKind::AcSnapSwitch, _) if !small => {
                Some(shown.judge(
                    Verdict::Beyond,
                    "Fit a motor-circuit switch rated in horsepower: this kind of switch serves \
                     motors to 2 hp and 300 V only.",
                ))
            }
            (DisconnectKind::GeneralUseSwitch, Some(rating)) => {
                Some(by_rating(shown, general_switch_min(self.amps), rating))
            }
            (DisconnectKind::AcSnapSwitch, Some(rating)) => Some(self.snap(shown, rating)),
            (DisconnectKind::BranchBreaker, Some(rating)) => {
                Some(by_rating(shown, disconnect_min(self.amps), rating))
            }
            (DisconnectKind::PlugAndSocket, _) => self.plug(shown),
            (_, None) => None,
        }
    }

    fn by_power(&self, shown: Line) -> Option<Line> {
        let marked = self.marked_hp?;
        let shown = shown
            .value(figure(marked, 3), "hp")
            .limit(format!("at least {} hp", figure(self.hp, 3)));
        Some(if marked >= self.hp * 0.989 {
            shown.judge(
                Verdict::Within,
                "The switch is rated for the motor's horsepower.",
            )
        } else {
            shown.judge(
                Verdict::Beyond,
                "Fit a switch rated for the motor's horsepower.",
            )
        })
    }

    fn snap(&self, shown: Line, rating: Decimal) -> Line {
        let limit = snap_switch_limit(rating);
        let shown = shown
            .value(exact(self.amps), "A")
            .limit(format!("{} A (80 % of {} A)", exact(limit), exact(rating)))
            .margin(format!("{} A", exact(limit - self.amps)));
        if self.amps <= limit {
            shown.judge(Verdict::Within, "The snap switch is rated for the motor.")
        } else {
            shown.judge(
                Verdict::Beyond,
                "Fit a larger AC snap switch or a motor-circuit switch.",
            )
        }
    }

    fn plug(&self, shown: Line) -> Option<Line> {
        if self.hp <= 0.337 {
            return Some(shown.judge(
                Verdict::WithinNote,
                "Plug and socket serve a portable motor of this size; a fixed machine needs a switch.",
            ));
        }
        Some(if self.marked_hp? >= self.hp * 0.989 {
            shown.judge(Verdict::WithinNote, "For a cord-connected machine only.")
        } else {
            shown.judge(
                Verdict::Beyond,
                "Fit a plug and socket rated for the horsepower.",
            )
        })
    }
}

fn by_rating(shown: Line, need: Decimal, rating: Decimal) -> Line {
    let shown = shown
        .value(exact(rating), "A")
        .limit(format!("at least {} A", exact(need)))
        .margin(format!("{} A", exact(rating - need)));
    if rating >= need {
        shown.judge(Verdict::Within, "The disconnect is rated for the motor.")
    } else {
        let note = format!(
            "Fit a disconnect of {} A or more, or one rated in horsepower.",
            exact(need)
        );
        shown.judge(Verdict::Beyond, note)
    }
}

fn judge_sight(working: &mut Working, in_sight: Option<bool>, source: &'static str) {
    let shown = line("in_sight", "Disconnect in sight")
        .rule("in sight of the motor and within 15 m (50 ft)", source);
    match in_sight {
        Some(true) => working.lines.push(shown.judge(Verdict::Within, "Seen from the motor.")),
        Some(false) => working.lines.push(shown.judge(
            Verdict::Beyond,
            "Fit a disconnect in sight, or have a licensed electrician record which exception holds \
             and that the far one can be locked open.",
        )),
        None => ask(
            working,
            shown,
            "whether the disconnect is in sight of the motor",
            "somebody else can close a switch that the worker does not see",
            "stand at the motor and look; measure the distance",
        ),
    }
}

/// NEC sections stand in the lines; under IEC the isolator is judged by its rating alone.
pub(super) fn judge_isolator(working: &mut Working, installation: &Installation, design: Decimal) {
    let shown = line("disconnect", "Isolating switch").rule(
        "rated for the design current, near the machine and lockable",
        format!("{}-5-53 clause 537", RuleSet::Iec60364.words()),
    );
    let Some(disconnect) = &installation.disconnect else {
        return ask(
            working,
            shown,
            "isolating switch of the machine",
            "work on the motor begins at it",
            "find the switch at the machine and read its marking",
        );
    };
    judge_sight(
        working,
        disconnect.in_sight,
        "common practice; IEC 60364-5-53 clause 537",
    );
    match disconnect.rating.and_then(plausible) {
        Some(rating) if rating >= design => working.lines.push(
            shown
                .value(exact(rating), "A")
                .limit(format!("at least {} A", exact(design)))
                .judge(Verdict::Within, "Rated for the design current."),
        ),
        Some(rating) => working.lines.push(
            shown
                .value(exact(rating), "A")
                .limit(format!("at least {} A", exact(design)))
                .judge(
                    Verdict::Beyond,
                    "Fit an isolating switch rated for the design current.",
                ),
        ),
        None => ask(
            working,
            shown,
            "rating of the isolating switch",
            "it must open the motor's current",
            "read its marking",
        ),
    }
}
