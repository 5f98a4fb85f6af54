//! The topic of motors that share a branch circuit.

use super::super::editions::{RULE_SET, per_edition};
use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::motor::a;
use super::read::{self, num};
use super::several::{MOTOR_FLC, MOTORS, bare_currents, member, one};
use crate::circuit::several::Member;
use crate::circuit::sharing::{Shared, SharedAnswer, shared};
use crate::units::Volts;

pub(super) const GROUP: Topic = Topic {
    name: "group",
    title: "Motors that share a branch circuit",
    what: "Whether motors may share one branch device: small motors, any motors behind the smallest \
           one's device, or a listed group assembly.",
    subject: Subject::Circuit,
    wants: &[
        read::HP,
        read::PHASES_AC,
        read::VOLTS,
        read::NAMEPLATE,
        read::EXCEPTION,
        read::TYPE,
        read::SERVICE_FACTOR,
        read::RISE,
        Want {
            label: "Further motors",
            ..MOTORS
        },
        MOTOR_FLC,
        want("ocpd_a", "Rating of the branch device", Takes::Number).unit("A"),
        Want {
            note: "for 430.53(B) and (C)",
            ..read::OCPD
        },
        want(
            "overload_protected",
            "Each motor has overload protection",
            Takes::Flag,
        ),
        want("other_a", "Other loads on the circuit", Takes::Number).unit("A"),
        RULE_SET,
    ],
    answers: &[
        a("ok", "", "430.53(A): small motors may share the device"),
        a("flc_a", "A", "current of the first motor"),
        a("small_limit_a", "A", "largest device of 430.53(A)"),
        a("ok_430_53_b", "", "the device serves the smallest motor"),
        a(
            "limit_430_53_b_a",
            "A",
            "largest device of the smallest motor",
        ),
        a(
            "limit_430_53_c_a",
            "A",
            "largest device of a listed group assembly",
        ),
    ],
    run: run_group,
};

/// The voltage of the motors, where all that name one agree.
fn common_volts(motors: &[Member]) -> Option<Volts> {
    let mut named = motors.iter().filter_map(|motor| motor.volts);
    let first = named.next()?;
    named.all(|volts| volts == first).then_some(first)
}

fn run_group(given: &Given) -> Result<Figure, Trouble> {
    let mut first = read::motor(given)?;
    first.exception = read::exception(given)?;
    let further = given.rows("motors", member)?.unwrap_or_default();
    let mut motors = Vec::new();
    let bare = bare_currents(given)?;
    let none = further.is_empty() && bare.is_empty();
    if first.hp.is_some() || first.plate_amps.is_some() || none {
        motors.push(one(&first, None)?);
    }
    motors.extend(further.into_iter().flatten());
    motors.extend(bare);
    let volts = given.need("volts", first.volts.or_else(|| common_volts(&motors)))?;
    let rating = given.need("ocpd_a", read::amps(given, "ocpd_a")?)?;
    let ask = Shared {
        volts,
        single_phase: read::phases(given)?.map(|phases| phases == 1),
        device_rating: rating,
        device: read::device(given, "ocpd")?,
        overload: given.flag("overload_protected")?,
        other: read::load_amps(given, "other_a")?.unwrap_or_default(),
        motors,
    };
    let flc = ask.motors.first().map(|motor| num(motor.amps));
    per_edition(given, |set| {
        let (answer, working) = shared(set, &ask)
            .ok_or_else(|| Trouble::of("ocpd_a", "Give amperes above zero, up to 100 000"))?;
        let SharedAnswer {
            small,
            small_limit,
            smallest_limit,
            listed_limit,
        } = answer;
        Ok(Figure::new(working)
            .with_some("ok", small)
            .with_some("flc_a", flc)
            .with("small_limit_a", num(small_limit))
            .with_some("ok_430_53_b", smallest_limit.map(|limit| rating <= limit))
            .with_some("limit_430_53_b_a", smallest_limit.map(num))
            .with_some("limit_430_53_c_a", listed_limit.map(num)))
    })
}
