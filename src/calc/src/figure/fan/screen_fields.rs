//! The fields and answers of the screen topic.

use super::answer;
use crate::figure::{Answer, Takes, Want, want};

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

pub(super) const SCREEN_WANTS: &[Want] = &[
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

pub(super) const SCREEN_ANSWERS: &[Answer] = &[
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
        "velocity pressure of the approach",
    ),
    answer("velocity_pressure_inwg", "inwg", "the same"),
    answer("pressure_loss_pa", "Pa", "loss of the clean screen"),
    answer("pressure_loss_inwg", "inwg", "the same"),
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
    answer("fouled_loss_pa", "Pa", "loss of the fouled screen"),
    answer("fouled_loss_inwg", "inwg", "the same"),
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
