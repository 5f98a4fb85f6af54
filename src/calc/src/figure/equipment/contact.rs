//! Topic `contact`.

use super::super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::json;
use crate::circuit::contact::{self, ContactCode, Fits, MotorLoad, Rating};
use crate::circuit::current::locked_rotor;
use crate::units::Volts;
use crate::working::Working;
use rust_decimal::Decimal;

const WANTS: &[Want] = &[
    want("volts", "Voltage of the circuit", Takes::Number).unit("V"),
    want("run_a", "Running current of the motor", Takes::Number)
        .unit("A")
        .note("of the plate, at this voltage"),
    want(
        "start_a",
        "Locked-rotor current of the motor",
        Takes::Number,
    )
    .unit("A")
    .note("blank: from code letter, power, volts and phases; six times below 1/2 hp"),
    want("motor_hp", "Power of the motor", Takes::Number).unit("hp"),
    want("code_letter", "Code letter of the motor", Takes::Text).note("A to V, from the plate"),
    want("phases", "Phases", Takes::Whole).note("1 or 3"),
    want(
        "contact_run_a",
        "Full-load rating of the contact",
        Takes::Number,
    )
    .unit("A")
    .note("for motors, at this voltage; a resistive rating is another thing"),
    want(
        "contact_start_a",
        "Locked-rotor rating of the contact",
        Takes::Number,
    )
    .unit("A")
    .note("at this voltage"),
    want(
        "contact_hp",
        "Horsepower rating of the contact",
        Takes::Number,
    )
    .unit("hp")
    .note("at this voltage; instead of the two currents"),
    want("pilot_code", "Pilot-duty code of the contact", Takes::Text)
        .note("A150 to E150: for coils only"),
    want(
        "pilot_va",
        "Pilot-duty rating of the contact",
        Takes::Number,
    )
    .unit("VA")
    .note("such as 125 VA: for coils only"),
    want("coil_inrush_va", "Inrush of the coil", Takes::Number).unit("VA"),
    want("coil_holding_va", "Holding of the coil", Takes::Number).unit("VA"),
];

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

const ANSWERS: &[Answer] = &[
    answer(
        "fits",
        "",
        "whether the contact may switch the motor itself",
    ),
    answer("start_a", "A", "locked-rotor current that was judged"),
    answer(
        "make_a",
        "A",
        "highest current the pilot-duty code makes at this voltage",
    ),
    answer(
        "break_a",
        "A",
        "highest current the pilot-duty code breaks at this voltage",
    ),
    answer(
        "thermal_a",
        "A",
        "current the pilot-duty code carries all day",
    ),
    answer("max_v", "V", "highest voltage of the pilot-duty code"),
    answer("make_va", "VA", "volt-amperes the pilot-duty code makes"),
    answer("break_va", "VA", "volt-amperes the pilot-duty code breaks"),
    answer("coil_fits", "", "whether the contact may switch the coil"),
];

pub(super) const CONTACT: Topic = Topic {
    name: "contact",
    title: "Control contact",
    what: "Tells whether a thermostat's or relay's contact may switch a motor, or only a coil.",
    subject: Subject::Circuit,
    wants: WANTS,
    answers: ANSWERS,
    run,
};

fn run(given: &Given) -> Result<Figure, Trouble> {
    let load = load(given)?;
    let asked = load != MotorLoad::default();
    let code = code(given)?;
    let pilot_va = given.decimal("pilot_va")?;
    let rated = Rating {
        running: given.positive("contact_run_a")?,
        locked_rotor: given.positive("contact_start_a")?,
        horsepower: given.positive("contact_hp")?,
        pilot_duty: code.is_some() || pilot_va.is_some(),
    };
    let coil = given
        .decimal("coil_inrush_va")?
        .zip(given.decimal("coil_holding_va")?);
    if !asked && code.is_none() && !(pilot_va.is_some() && coil.is_some()) {
        let label = "Not given: Running current of the motor";
        return Err(Trouble::of("run_a", label));
    }
    let mut working = Working::new("Control contact");
    working.cautions.push(crate::circuit::CAUTION.into());
    if asked {
        let source = "NEC 430.83(A)(1); common practice";
        contact::judge(&mut working, &load, &rated, source);
    }
    let volts = given.decimal("volts")?;
    if let (Some(code), Some(volts), true) = (code, volts, given.has("coil_inrush_va")) {
        contact::judge_coil(&mut working, code, volts, coil);
    }
    let fits = match contact::fits(&load, &rated) {
        Fits::Yes => Some(true),
        Fits::No => Some(false),
        Fits::AskContact | Fits::AskMotor => None,
    };
    let figure = Figure::new(working)
        .with_some("fits", fits.filter(|_| asked))
        .with_some("start_a", load.locked_rotor)
        .with_some("coil_fits", coil_fits(code, volts, pilot_va, coil));
    Ok(with_code(figure, code, volts))
}

fn coil_fits(
    code: Option<&ContactCode>,
    volts: Option<Decimal>,
    rating: Option<Decimal>,
    coil: Option<(Decimal, Decimal)>,
) -> Option<bool> {
    let (inrush, holding) = coil?;
    let by_code = code
        .zip(volts)
        .and_then(|(code, volts)| contact::coil_fits(code, volts, inrush, holding));
    by_code.or_else(|| Some(contact::coil_fits_rating(rating?, inrush, holding)))
}

fn with_code(figure: Figure, code: Option<&ContactCode>, volts: Option<Decimal>) -> Figure {
    let Some(code) = code else { return figure };
    let pilot = volts.and_then(|volts| contact::pilot_amps(code, volts));
    figure
        .with_some("make_a", pilot.map(|(make, _)| json(make)))
        .with_some("break_a", pilot.map(|(_, breaks)| json(breaks)))
        .with("thermal_a", json(code.thermal))
        .with("max_v", json(code.volts))
        .with("make_va", json(code.make))
        .with("break_va", json(code.breaks))
}

fn code(given: &Given) -> Result<Option<&'static ContactCode>, Trouble> {
    let Some(name) = given.text("pilot_code")? else {
        return Ok(None);
    };
    match contact::contact_code(&name) {
        Some(code) => Ok(Some(code)),
        None => Err(Trouble::of(
            "pilot_code",
            "Give a code such as A300 or B300",
        )),
    }
}

fn load(given: &Given) -> Result<MotorLoad, Trouble> {
    let horsepower = given.positive("motor_hp")?;
    let phases = given.whole("phases")?;
    if phases.is_some_and(|phases| !matches!(phases, 1 | 3)) {
        return Err(Trouble::of("phases", "Give 1 or 3"));
    }
    let letter = match given.text("code_letter")? {
        None => None,
        Some(text) => {
            let mut letters = text.chars();
            match (letters.next(), letters.next()) {
                (Some(letter), None) => Some(letter.to_ascii_uppercase()),
                _ => return Err(Trouble::of("code_letter", "Give one letter")),
            }
        }
    };
    let by_letter = || {
        let phases = u8::try_from(phases?).ok()?;
        locked_rotor(
            letter?,
            horsepower?,
            Volts(given.number("volts").ok()??),
            phases,
        )
    };
    let running = given.positive("run_a")?;
    let small = || contact::small_motor_locked_rotor(running?, horsepower?);
    Ok(MotorLoad {
        running,
        locked_rotor: given.positive("start_a")?.or_else(by_letter).or_else(small),
        horsepower,
    })
}
