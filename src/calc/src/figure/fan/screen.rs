//! Topic: the loss of screens and guards.

use super::screen_fields::{SCREEN_ANSWERS, SCREEN_WANTS};
use super::sheet::{FLOW, LENGTH, PRESSURE, Sheet, VELOCITY, not_both, temperature};
use crate::fan::screen::{
    Correlation, NoLoss, flow_left, fouled_area, in_range, kinematic_viscosity, mesh_open_area,
    pressure_loss,
};
use crate::fan::system::velocity_pressure;
use crate::figure::{Figure, Given, Subject, Topic, Trouble};
use crate::shown::{Fill, ask, figure, line};
use crate::units::{Celsius, MetresPerSecond, Millimetres};
use serde_json::{Map, Value};

pub(super) const SCREEN: Topic = Topic {
    name: "screen",
    title: "Screen or guard in the air",
    what: "Loss coefficient and pressure loss of a screen, clean and fouled, by named correlations, and what it takes from the flow.",
    subject: Subject::FanAndDrive,
    wants: SCREEN_WANTS,
    answers: SCREEN_ANSWERS,
    run: screen,
};

fn fraction(given: &Given, name: &str) -> Result<Option<f64>, Trouble> {
    match given.positive(name)? {
        Some(value) if value > 1.0 => Err(Trouble::of(name, "Give a fraction above 0 and up to 1")),
        read => Ok(read),
    }
}

/// The gap in m where pitch and wire are given, and the open area.
fn mesh(given: &Given) -> Result<(f64, Option<f64>), Trouble> {
    let open = fraction(given, "open_area_fraction")?;
    let pitch = LENGTH.positive(given, "pitch")?;
    let wire = LENGTH.positive(given, "wire")?;
    let across = LENGTH.positive(given, "pitch_across")?;
    if open.is_none() && pitch.or(wire).is_some() {
        given.need("pitch_mm", pitch)?;
        given.need("wire_mm", wire)?;
    }
    let (Some(pitch), Some(wire)) = (pitch, wire) else {
        return Ok((given.need("open_area_fraction", open)?, None));
    };
    let across = across.unwrap_or(pitch);
    let woven = mesh_open_area(Millimetres(pitch), Millimetres(across), Millimetres(wire))
        .ok_or_else(|| Trouble::of("wire_mm", "The wire must be thinner than the pitch"))?;
    let gap = (pitch.min(across) - wire) / 1000.0;
    Ok((open.unwrap_or(woven), Some(gap)))
}

fn approach(given: &Given) -> Result<Option<f64>, Trouble> {
    let flow = FLOW.read(given, "flow")?;
    match (VELOCITY.read(given, "velocity")?, flow) {
        (Some(_), Some(_)) => {
            let words = "Give the velocity of approach or the flow, not both";
            return Err(Trouble::of("velocity_m_s", words));
        }
        (Some(velocity), None) => return Ok(Some(velocity)),
        (None, _) => {}
    }
    let area = given.positive("face_area_m2")?;
    Ok(flow.zip(area).map(|(flow, area)| flow / area))
}

/// What the loss of a screen follows from.
struct Stream {
    open: f64,
    velocity: Option<f64>,
    density: Option<f64>,
    reynolds: Option<f64>,
}

fn stream(given: &Given) -> Result<Stream, Trouble> {
    let (open, gap) = mesh(given)?;
    let velocity = approach(given)?;
    let density = given.positive("density_kg_m3")?;
    let celsius = temperature(given, "temperature")?.map(Celsius);
    let viscosity = celsius
        .zip(density)
        .and_then(|(celsius, density)| kinematic_viscosity(celsius, density));
    let worked_out = match (velocity, gap, viscosity) {
        (Some(velocity), Some(gap), Some(viscosity)) => Some(velocity * gap / viscosity),
        _ => None,
    };
    Ok(Stream {
        open,
        velocity,
        density,
        reynolds: given.positive("reynolds")?.or(worked_out),
    })
}

fn chosen(given: &Given) -> Result<Option<Correlation>, Trouble> {
    let name = given.choice("correlation")?;
    Ok(name.and_then(|name| Correlation::ALL.into_iter().find(|c| c.name() == name)))
}

fn screen(given: &Given) -> Result<Figure, Trouble> {
    let stream = stream(given)?;
    let choice = chosen(given)?;
    let which = choice.unwrap_or(Correlation::HandbookWireMesh);
    let refuse = |error: NoLoss| {
        let open = ["open_area_fraction", "pitch_mm", "pitch_in"];
        let field = match error {
            NoLoss::OpenArea(..) => open.into_iter().find(|name| given.has(name)),
            NoLoss::NoReynolds | NoLoss::Reynolds(..) => Some("reynolds"),
        };
        let words = format!("No answer by the {}: {error}", which.words());
        Trouble::of(field.unwrap_or("correlation"), words)
    };
    let clean = which.loss(stream.open, stream.reynolds).map_err(refuse)?;
    let mut sheet = Sheet::new("Screen or guard in the air");
    let shown = line("open_area_fraction", "Open area").rule(
        "(gap/pitch) one way times (gap/pitch) the other, or as given",
        "geometry",
    );
    sheet.tell(shown, stream.open, 4, "");
    if let Some(reynolds) = stream.reynolds {
        let shown = line("reynolds", "Reynolds number of the gap").rule(
            "v gap/viscosity, v the velocity of approach",
            "from memory which velocity",
        );
        sheet.tell(shown, reynolds, 0, "");
    }
    sheet.answer("correlation", which.name());
    let shown = line("loss_coefficient", "Loss coefficient K").rule(which.words(), which.source());
    sheet.tell(shown, clean, 4, "");
    let span = span(&mut sheet, &stream, choice.is_none());
    let losses = losses(&mut sheet, &stream, clean, span)?;
    let fouled = fouled(&mut sheet, given, &stream, which, (clean, losses))?;
    system(&mut sheet, given, losses, fouled)?;
    sheet.caution("Correlations differ by up to four times at the same open area; a loss without the name of its correlation means nothing.");
    sheet.caution("Never take a guard off to gain air: clean it, or fit one with more open area and no wider openings.");
    sheet.done()
}

/// The coefficients of all correlations in range; lowest and highest.
fn span(sheet: &mut Sheet, stream: &Stream, shown: bool) -> (f64, f64) {
    let all = in_range(stream.open, stream.reynolds);
    let mut by_name = Map::new();
    for (which, k) in &all {
        by_name.insert(which.name().into(), (*k).into());
    }
    sheet.answer("coefficients", Value::Object(by_name));
    let lowest = all.iter().map(|(_, k)| *k).fold(f64::MAX, f64::min);
    let highest = all.iter().map(|(_, k)| *k).fold(0.0, f64::max);
    sheet.number("lowest_coefficient", lowest);
    sheet.number("highest_coefficient", highest);
    if shown {
        let words: Vec<String> = all
            .iter()
            .map(|(which, k)| format!("{} {}", which.words(), figure(*k, 3)))
            .collect();
        sheet.working().lines.push(
            line("span", "Span of the correlations that hold here")
                .value(
                    format!("{} to {}", figure(lowest, 3), figure(highest, 3)),
                    "",
                )
                .rule("none was chosen", "see each")
                .note(words.join("; ")),
        );
    }
    (lowest, highest)
}

/// Loss of the clean screen and the velocity pressure, Pa.
fn losses(
    sheet: &mut Sheet,
    stream: &Stream,
    clean: f64,
    (lowest, highest): (f64, f64),
) -> Result<Option<(f64, f64)>, Trouble> {
    let shown = line("pressure_loss", "Pressure loss").rule("K rho v²/2", "definition of K");
    let (Some(velocity), Some(density)) = (stream.velocity, stream.density) else {
        let what = if stream.velocity.is_none() {
            "velocity of approach, or flow and face area"
        } else {
            "air density"
        };
        ask(
            sheet.working(),
            shown,
            what,
            "the loss is the coefficient times the velocity pressure",
            "measure the air in the full face before the screen; work the density out under air density",
        );
        return Ok(None);
    };
    let range = || Trouble::new("No loss comes out of these numbers: check them");
    let pv = velocity_pressure(density, MetresPerSecond(velocity)).ok_or_else(range)?;
    sheet.number("velocity_m_s", velocity);
    let first = line("velocity_pressure", "Velocity pressure of the approach")
        .rule("rho v²/2", "definition");
    sheet.quantity(first, PRESSURE, pv);
    let loss = pressure_loss(clean, pv).ok_or_else(range)?;
    sheet.quantity(shown, PRESSURE, loss);
    sheet.number("lowest_loss_pa", lowest * pv);
    sheet.number("highest_loss_pa", highest * pv);
    Ok(Some((loss, pv)))
}

/// Open area of the fouled screen and the field that told it; `None` where nobody said.
fn fouled_open(given: &Given, clean: f64) -> Result<Option<(f64, &'static str)>, Trouble> {
    not_both(given, "fouled_open_area_fraction", "blocked_percent")?;
    let now = fraction(given, "fouled_open_area_fraction")?;
    let blocked = given.not_negative("blocked_percent")?;
    let (open, field) = match (now, blocked) {
        (None, None) => return Ok(None),
        (Some(open), _) => (Some(open), "fouled_open_area_fraction"),
        (None, Some(percent)) => (fouled_area(clean, percent / 100.0), "blocked_percent"),
    };
    let open = open.filter(|open| *open > 0.0).ok_or_else(|| {
        Trouble::of(
            field,
            "Give a share from 0 to below 100 %: nothing passes a screen that is shut",
        )
    })?;
    if open > clean + 1e-12 {
        return Err(Trouble::of(
            field,
            "A fouled screen cannot be more open than the clean one",
        ));
    }
    Ok(Some((open, field)))
}

/// Loss of the fouled screen, Pa, where it can be told.
fn fouled(
    sheet: &mut Sheet,
    given: &Given,
    stream: &Stream,
    which: Correlation,
    (clean, losses): (f64, Option<(f64, f64)>),
) -> Result<Option<f64>, Trouble> {
    let Some((open, field)) = fouled_open(given, stream.open)? else {
        return Ok(None);
    };
    let k = which.loss(open, stream.reynolds).map_err(|error| {
        Trouble::of(
            field,
            format!("No answer by the {}: {error}", which.words()),
        )
    })?;
    let shown =
        line("fouled_coefficient", "Loss coefficient, fouled").rule(which.words(), which.source());
    sheet.tell(shown, k, 4, "");
    if clean > 0.0 {
        let shown =
            line("loss_ratio", "Loss fouled over loss clean").rule("K2/K1", "at equal flow");
        sheet.tell(shown, k / clean, 3, "");
    }
    let loss = losses.and_then(|(_, pv)| pressure_loss(k, pv));
    if let Some(loss) = loss {
        let shown =
            line("fouled_loss", "Pressure loss, fouled").rule("K rho v²/2", "definition of K");
        sheet.quantity(shown, PRESSURE, loss);
    }
    Ok(loss)
}

fn system(
    sheet: &mut Sheet,
    given: &Given,
    losses: Option<(f64, f64)>,
    fouled: Option<f64>,
) -> Result<(), Trouble> {
    let Some(pressure) = PRESSURE.positive(given, "system_pressure")? else {
        return Ok(());
    };
    let clean = losses.map(|(loss, _)| loss);
    for (key, label, loss) in [
        ("flow_ratio_clean", "Flow left with the clean screen", clean),
        (
            "flow_ratio_fouled",
            "Flow left with the fouled screen",
            fouled,
        ),
    ] {
        let Some(left) = loss.and_then(|loss| flow_left(pressure, loss)) else {
            continue;
        };
        let shown = line(key, label)
            .rule("sqrt(P/(P + dp))", "system curve, AMCA 201")
            .note(
                "At equal fan pressure; a fan whose pressure rises as its flow falls keeps more.",
            );
        sheet.tell(shown, left, 4, "of the flow without it");
    }
    Ok(())
}
