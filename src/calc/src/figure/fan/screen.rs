//! Topics: the loss of screens and guards, and the guard itself.

use super::laws::answer;
use super::sheet::{FLOW, HEIGHT, LENGTH, PRESSURE, Sheet, VELOCITY, temperature};
use crate::fan::guard::{self, GuardInput, needs_guard, opening_at};
use crate::fan::screen::{
    Correlation, flow_left, fouled_area, in_range, kinematic_viscosity, mesh_open_area,
    pressure_loss,
};
use crate::fan::system::velocity_pressure;
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
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

const CORRELATIONS: &[(&str, &str)] = &[
    ("handbook_wire_mesh", "Handbook wire mesh"),
    (
        "round_edge_screen",
        "Round-edge wire screen, needs the Reynolds number",
    ),
    (
        "square_edge_screen",
        "Square-edge screen or perforated plate",
    ),
    ("square_edge_grill", "Square-edge grill"),
    ("round_edge_grill", "Round-edge grill"),
    ("round_bar_mesh", "Open mesh of round bars"),
    ("diamond_wire_mesh", "Open mesh of diamond wire"),
];

const SCREEN_WANTS: &[Want] = &[
    want("open_area_fraction", "Open area", Takes::Number)
        .note("above 0 to 1; or pitch and wire instead"),
    want("pitch_mm", "Pitch of the mesh", Takes::Number)
        .unit("mm")
        .note("wire centre to wire centre"),
    want("pitch_in", "Pitch of the mesh, in inches", Takes::Number)
        .unit("in")
        .note("an 18 mesh has 1/18 in"),
    want("pitch_across_mm", "Pitch the other way", Takes::Number)
        .unit("mm")
        .note("blank for a square mesh"),
    want(
        "pitch_across_in",
        "Pitch the other way, in inches",
        Takes::Number,
    )
    .unit("in"),
    want("wire_mm", "Wire thickness", Takes::Number).unit("mm"),
    want("wire_in", "Wire thickness, in inches", Takes::Number).unit("in"),
    want("correlation", "Correlation", Takes::Choice(CORRELATIONS))
        .note("blank: handbook wire mesh, with the span of all that hold here"),
    want("reynolds", "Reynolds number of the gap", Takes::Number)
        .note("or worked out from gap, velocity, temperature and density"),
    want("velocity_m_s", "Velocity of approach", Takes::Number)
        .unit("m/s")
        .note("in the full face before the screen, never between the wires"),
    want(
        "velocity_fpm",
        "Velocity of approach, in ft/min",
        Takes::Number,
    )
    .unit("ft/min"),
    want("flow_m3_s", "Flow", Takes::Number)
        .unit("m³/s")
        .note("with the face area, instead of the velocity"),
    want("flow_cfm", "Flow, in cfm", Takes::Number).unit("cfm"),
    want("face_area_m2", "Face area", Takes::Number).unit("m²"),
    want("density_kg_m3", "Air density", Takes::Number)
        .unit("kg/m³")
        .note("see air_density"),
    want("temperature_c", "Air temperature", Takes::Number)
        .unit("°C")
        .note("for the Reynolds number only"),
    want("temperature_f", "Air temperature, in °F", Takes::Number).unit("°F"),
    want(
        "fouled_open_area_fraction",
        "Open area as it is now, fouled",
        Takes::Number,
    )
    .note("or the blocked share instead"),
    want(
        "blocked_percent",
        "Share of the holes that is blocked",
        Takes::Number,
    )
    .unit("%"),
    want(
        "system_pressure_pa",
        "Pressure of the system without the screen",
        Takes::Number,
    )
    .unit("Pa")
    .note("at this flow; tells what the screen takes from the flow"),
    want(
        "system_pressure_inwg",
        "Pressure of the system, in inches",
        Takes::Number,
    )
    .unit("inwg"),
];

const SCREEN_ANSWERS: &[Answer] = &[
    answer("open_area_fraction", "", "open area used"),
    answer("correlation", "", "name of the correlation used"),
    answer(
        "loss_coefficient",
        "",
        "K of dp = K rho v²/2, v the velocity of approach",
    ),
    answer(
        "coefficients",
        "",
        "K of every correlation that holds here, by name",
    ),
    answer("lowest_coefficient", "", "lowest of them"),
    answer("highest_coefficient", "", "highest of them"),
    answer("reynolds", "", "Reynolds number used"),
    answer("velocity_m_s", "m/s", "velocity of approach used"),
    answer(
        "velocity_pressure_pa",
        "Pa",
        "velocity pressure of the approach; also velocity_pressure_inwg",
    ),
    answer(
        "pressure_loss_pa",
        "Pa",
        "loss of the clean screen; also pressure_loss_inwg",
    ),
    answer(
        "lowest_loss_pa",
        "Pa",
        "by the lowest coefficient that holds here",
    ),
    answer(
        "highest_loss_pa",
        "Pa",
        "by the highest coefficient that holds here",
    ),
    answer("fouled_coefficient", "", "K of the fouled screen"),
    answer(
        "loss_ratio",
        "",
        "loss fouled over loss clean, at equal flow",
    ),
    answer(
        "fouled_loss_pa",
        "Pa",
        "loss of the fouled screen; also fouled_loss_inwg",
    ),
    answer(
        "flow_ratio_clean",
        "",
        "flow left with the clean screen, at equal fan pressure",
    ),
    answer(
        "flow_ratio_fouled",
        "",
        "flow left with the fouled screen, at equal fan pressure",
    ),
];

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
    if let Some(velocity) = VELOCITY.read(given, "velocity")? {
        return Ok(Some(velocity));
    }
    let flow = FLOW.read(given, "flow")?;
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
    let refuse = |error: crate::fan::screen::NoLoss| {
        Trouble::new(format!("No answer by the {}: {error}", which.words()))
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

/// Loss of the fouled screen, Pa, where it can be told.
fn fouled(
    sheet: &mut Sheet,
    given: &Given,
    stream: &Stream,
    which: Correlation,
    (clean, losses): (f64, Option<(f64, f64)>),
) -> Result<Option<f64>, Trouble> {
    let now = fraction(given, "fouled_open_area_fraction")?;
    let blocked = given.not_negative("blocked_percent")?;
    let (open, field) = match (now, blocked) {
        (None, None) => return Ok(None),
        (Some(open), _) => (Some(open), "fouled_open_area_fraction"),
        (None, Some(percent)) => (fouled_area(stream.open, percent / 100.0), "blocked_percent"),
    };
    let open = open.filter(|open| *open > 0.0).ok_or_else(|| {
        Trouble::of(
            field,
            "Give a share from 0 to below 100 %: nothing passes a screen that is shut",
        )
    })?;
    if open > stream.open + 1e-12 {
        return Err(Trouble::of(
            field,
            "A fouled screen cannot be more open than the clean one",
        ));
    }
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

pub(super) const GUARD: Topic = Topic {
    name: "guard",
    title: "Guard of fan blades",
    what: "Whether blades must be guarded, the widest opening, and the opening a distance allows.",
    subject: Subject::FanAndDrive,
    wants: GUARD_WANTS,
    answers: GUARD_ANSWERS,
    run: run_guard,
};

const GUARD_WANTS: &[Want] = &[
    want(
        "blade_height_m",
        "Lowest point of the blades above floor or working level",
        Takes::Number,
    )
    .unit("m")
    .note("of the periphery; the level on which people stand or work"),
    want(
        "blade_height_ft",
        "Height of the blades, in feet",
        Takes::Number,
    )
    .unit("ft"),
    want("guarded", "A guard is there", Takes::Flag),
    want("opening_mm", "Widest opening of the guard", Takes::Number)
        .unit("mm")
        .note("on ring guards the clear space between rings"),
    want("opening_in", "Widest opening, in inches", Takes::Number).unit("in"),
    want(
        "distance_mm",
        "From the opening to the blades",
        Takes::Number,
    )
    .unit("mm"),
    want(
        "distance_in",
        "From the opening to the blades, in inches",
        Takes::Number,
    )
    .unit("in"),
    want("enclosed", "Inside a closed unit", Takes::Flag),
];

const GUARD_ANSWERS: &[Answer] = &[
    answer("guard_needed", "", "true where the height rule bites"),
    answer(
        "largest_opening_mm",
        "mm",
        "widest opening by the height rule; also largest_opening_in",
    ),
    answer(
        "opening_at_distance_mm",
        "mm",
        "widest opening at this distance; also opening_at_distance_in",
    ),
];

fn run_guard(given: &Given) -> Result<Figure, Trouble> {
    let input = GuardInput {
        height: HEIGHT
            .read(given, "blade_height")?
            .map(|metres| Millimetres(metres * 1000.0)),
        guarded: given.flag("guarded")?,
        opening: LENGTH.read(given, "opening")?.map(Millimetres),
        distance: LENGTH.read(given, "distance")?.map(Millimetres),
        enclosed: given.flag("enclosed")?,
    };
    let mut sheet = Sheet::on(guard::check(&input));
    let needed = input.height.and_then(needs_guard);
    if let Some(needed) = needed {
        sheet.answer("guard_needed", needed);
    }
    if needed == Some(true) {
        sheet.number("largest_opening_mm", guard::LARGEST_OPENING.0);
        sheet.number("largest_opening_in", guard::LARGEST_OPENING.inches());
    }
    if let Some(limit) = input.distance.and_then(opening_at) {
        sheet.number("opening_at_distance_mm", limit.0);
        sheet.number("opening_at_distance_in", limit.inches());
    }
    sheet.done()
}
