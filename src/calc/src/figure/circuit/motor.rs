//! Topics about one motor on its branch circuit.

use super::super::editions::{RULE_SET, per_edition};
use super::super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::read::{self, num};
use crate::circuit::current::Basis;
use crate::circuit::one_motor::{Branch, OneMotor, Starter, one_motor};
use crate::installation::DeviceKind;

const STARTER: Want = want(
    "starter",
    "Starter",
    Takes::Choice(&[
        ("star_delta", "star-delta"),
        ("part_winding", "part winding"),
    ]),
)
.note("blank: at full voltage");

pub(super) const BRANCH: Topic = Topic {
    name: "motor_branch",
    title: "Branch circuit of one motor",
    what: "Full-load current, conductor, branch device of every kind, overload, disconnect and \
           grounding conductor of one continuous-duty motor.",
    subject: Subject::Circuit,
    wants: &[
        read::HP,
        read::PHASES,
        read::VOLTS,
        read::NAMEPLATE,
        read::EXCEPTION,
        read::TYPE,
        read::SERVICE_FACTOR,
        read::RISE,
        read::TERMINAL,
        read::OCPD,
        read::DEVICE_ALIAS,
        want("ocpd_a", "Rating of the branch device", Takes::Number)
            .unit("A")
            .note("to be judged; needs the kind"),
        STARTER,
        RULE_SET,
    ],
    answers: &[
        a("flc_a", "A", "current that counts"),
        a("flc_basis", "", "table or nameplate"),
        a("min_conductor_ampacity_a", "A", "125 % of it"),
        a(
            "cu_size",
            "",
            "smallest copper conductor at the terminals given",
        ),
        a("cu_ampacity_a", "A", "what it carries there"),
        a(
            "cu_size_60c",
            "",
            "smallest copper conductor, 60 °C terminals",
        ),
        a(
            "cu_size_75c",
            "",
            "smallest copper conductor, 75 °C terminals",
        ),
        a(
            "al_size",
            "",
            "smallest aluminium conductor at the terminals given",
        ),
        a("al_ampacity_a", "A", "what it carries there"),
        a(
            "al_size_60c",
            "",
            "smallest aluminium conductor, 60 °C terminals",
        ),
        a(
            "al_size_75c",
            "",
            "smallest aluminium conductor, 75 °C terminals",
        ),
        a(
            "ocpd_calc_a",
            "A",
            "percentage of the current for the device given",
        ),
        a("ocpd_max_a", "A", "largest standard rating, next above"),
        a(
            "ocpd_ceiling_calc_a",
            "A",
            "ceiling where the motor will not start",
        ),
        a("ocpd_ceiling_a", "A", "largest standard rating under it"),
        a(
            "nontime_delay_fuse_calc_a",
            "A",
            "fuse without time delay: percentage of the current",
        ),
        a(
            "nontime_delay_fuse_max_a",
            "A",
            "fuse without time delay: largest rating",
        ),
        a(
            "nontime_delay_fuse_ceiling_calc_a",
            "A",
            "fuse without time delay: ceiling",
        ),
        a(
            "nontime_delay_fuse_ceiling_a",
            "A",
            "fuse without time delay: largest rating under it",
        ),
        a(
            "dual_element_fuse_calc_a",
            "A",
            "dual-element fuse: percentage of the current",
        ),
        a(
            "dual_element_fuse_max_a",
            "A",
            "dual-element fuse: largest rating",
        ),
        a(
            "dual_element_fuse_ceiling_calc_a",
            "A",
            "dual-element fuse: ceiling",
        ),
        a(
            "dual_element_fuse_ceiling_a",
            "A",
            "dual-element fuse: largest rating under it",
        ),
        a(
            "time_delay_fuse_calc_a",
            "A",
            "the same by another name: percentage of the current",
        ),
        a(
            "time_delay_fuse_max_a",
            "A",
            "the same by another name: largest rating",
        ),
        a(
            "time_delay_fuse_ceiling_calc_a",
            "A",
            "the same by another name: ceiling",
        ),
        a(
            "time_delay_fuse_ceiling_a",
            "A",
            "the same by another name: largest rating under it",
        ),
        a(
            "instantaneous_trip_breaker_calc_a",
            "A",
            "instantaneous-trip breaker: percentage of the current",
        ),
        a(
            "instantaneous_trip_breaker_max_a",
            "A",
            "instantaneous-trip breaker: largest rating",
        ),
        a(
            "instantaneous_trip_breaker_ceiling_calc_a",
            "A",
            "instantaneous-trip breaker: ceiling",
        ),
        a(
            "instantaneous_trip_breaker_ceiling_a",
            "A",
            "instantaneous-trip breaker: largest rating under it",
        ),
        a(
            "inverse_time_breaker_calc_a",
            "A",
            "inverse-time breaker: percentage of the current",
        ),
        a(
            "inverse_time_breaker_max_a",
            "A",
            "inverse-time breaker: largest rating",
        ),
        a(
            "inverse_time_breaker_ceiling_calc_a",
            "A",
            "inverse-time breaker: ceiling",
        ),
        a(
            "inverse_time_breaker_ceiling_a",
            "A",
            "inverse-time breaker: largest rating under it",
        ),
        a("overload_pct", "%", "highest setting of the plate current"),
        a("overload_max_a", "A", "highest setting"),
        a(
            "overload_step_up_max_a",
            "A",
            "where it will not start or carry the load",
        ),
        a(
            "ultimate_trip_max_a",
            "A",
            "protector inside a motor over 1 hp",
        ),
        a("disconnect_min_a", "A", "115 % of the current"),
        a("table_lrc_a", "A", "locked-rotor current by table"),
        a(
            "lrc_a",
            "A",
            "the same, else six times the full-load current",
        ),
        a("motor_leads_min_a", "A", "leads between starter and motor"),
        a(
            "egc_cu",
            "",
            "grounding conductor, copper; where the device is known",
        ),
        a("egc_al", "", "grounding conductor, aluminium"),
    ],
    run: |given| {
        let ask = OneMotor {
            motor: {
                let mut motor = read::motor(given)?;
                motor.exception = read::exception(given)?;
                motor
            },
            terminals: read::rating_c(given, "terminal_c")?,
            device: read::device_by_either(given, "ocpd", "device")?,
            device_rating: read::amps(given, "ocpd_a")?,
            starter: starter(given)?,
        };
        per_edition(given, |set| {
            let (branch, working) = one_motor(set, &ask).map_err(|why| read::no_full_load(&why))?;
            Ok(branch_answers(Figure::new(working), &ask, &branch))
        })
    },
};

pub(super) const fn a(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

fn starter(given: &Given) -> Result<Option<Starter>, Trouble> {
    Ok(given.choice("starter")?.map(|word| match word {
        "star_delta" => Starter::StarDelta,
        _ => Starter::PartWinding,
    }))
}

pub(super) fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Table => "table",
        Basis::Nameplate => "nameplate",
    }
}

/// The kinds by the names of the answers; a time-delay fuse is the dual-element one.
const KINDS: [(&str, DeviceKind); 5] = [
    ("nontime_delay_fuse", DeviceKind::NonTimeDelayFuse),
    ("dual_element_fuse", DeviceKind::DualElementFuse),
    ("time_delay_fuse", DeviceKind::DualElementFuse),
    (
        "instantaneous_trip_breaker",
        DeviceKind::InstantaneousTripBreaker,
    ),
    ("inverse_time_breaker", DeviceKind::InverseTimeBreaker),
];

fn branch_answers(figure: Figure, ask: &OneMotor, branch: &Branch) -> Figure {
    let figure = figure
        .with("flc_a", num(branch.full_load.amps))
        .with("flc_basis", basis(branch.full_load.basis))
        .with("min_conductor_ampacity_a", num(branch.conductor_min));
    if branch.high_voltage {
        return figure;
    }
    let mut figure = figure
        .with("overload_pct", branch.overload.highest)
        .with_some(
            "overload_max_a",
            branch.overload_amps.map(|(most, _)| num(most)),
        )
        .with_some(
            "overload_step_up_max_a",
            branch.overload_amps.map(|(_, stepped)| num(stepped)),
        )
        .with_some(
            "ultimate_trip_max_a",
            branch.protector.map(|(_, amps)| num(amps)),
        )
        .with("disconnect_min_a", num(branch.disconnect_min))
        .with_some("table_lrc_a", branch.locked_rotor.map(num))
        .with("lrc_a", num(branch.stalled()))
        .with_some("motor_leads_min_a", branch.leads_min.map(num))
        .with_some("egc_cu", branch.grounding.map(|(copper, _)| copper))
        .with_some("egc_al", branch.grounding.map(|(_, aluminium)| aluminium));
    for (at, metal) in ["cu", "al"].into_iter().enumerate() {
        for (column, celsius) in [(0, 60), (1, 75)] {
            let size = branch.sizes[at][column].map(|(size, _)| size.name.as_str());
            figure = figure.with_some(&format!("{metal}_size_{celsius}c"), size);
        }
        if let Some((size, amps)) = ask.terminals.and_then(|c| branch.sizes_at(c)[at]) {
            figure = figure
                .with(&format!("{metal}_size"), size.name.as_str())
                .with(&format!("{metal}_ampacity_a"), num(amps));
        }
    }
    for (name, kind) in KINDS {
        figure = device_answers(figure, name, branch, kind);
    }
    match ask.device {
        Some(kind) => device_answers(figure, "ocpd", branch, kind),
        None => figure,
    }
}

fn device_answers(figure: Figure, name: &str, branch: &Branch, kind: DeviceKind) -> Figure {
    let Some(limit) = branch.device(kind) else {
        return figure;
    };
    figure
        .with(&format!("{name}_calc_a"), num(limit.calculated))
        .with(&format!("{name}_max_a"), num(limit.highest))
        .with(
            &format!("{name}_ceiling_calc_a"),
            num(limit.ceiling_calculated),
        )
        .with_some(&format!("{name}_ceiling_a"), limit.ceiling.map(num))
}
