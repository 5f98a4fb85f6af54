//! The words that the rows are put together from, and the plates of the motors.

use brasstag::demo::suppliers;

pub const NAMES: &[&str] = &[
    "extract fan",
    "supply fan",
    "circulating pump",
    "unit heater",
    "air compressor",
    "roof fan",
    "booster pump",
    "air handler",
    "hood fan",
    "sump pump",
    "make-up air unit",
];
pub const SERVES: &[&str] = &[
    "kiln hall",
    "lecture hall",
    "glaze room",
    "corridor",
    "kitchen",
    "laundry",
    "archive",
    "boiler room",
    "workshop",
    "loading dock",
    "stairwell",
    "studio",
    "washroom",
];
pub const TROUBLES: &[&str] = &[
    "Hums and does not start",
    "Rattles since this morning",
    "Stopped, smells burnt",
    "Breaker trips when it starts",
    "Runs slow and hot",
    "Squeals for a minute at start",
    "Leaks at the seal",
    "No heat on cold days",
    "Vibrates so that the duct drums",
    "Starts and stops all day",
    "Runs backwards after the power cut",
];
pub const WORK: &[&str] = &[
    "Cleaned the wheel and balanced it",
    "Replaced the run capacitor",
    "Replaced both belts",
    "Greased the bearings and logged the amps",
    "Replaced the motor like for like",
    "Tightened the terminals in the peckerhead",
    "Reset the overload and measured all legs",
    "Aligned the sheaves",
    "Replaced the mechanical seal",
    "Freed the damper",
];
pub const CAUSES: &[&str] = &[
    "dust packed on the wheel",
    "capacitor dried out",
    "belt worn past its groove",
    "bearing without grease",
    "winding burnt by overload",
    "loose neutral",
    "sheave out of line",
    "water in the conduit box",
    "damper seized",
];

/// A plate as JSON, as it reads, and the motor's name.
pub struct PlateRow {
    pub name: String,
    pub plate: String,
    pub text: String,
}

/// Every motor of the demo's lists with other lengths and speeds: some thousands of plates.
pub fn plates() -> Result<Vec<PlateRow>, String> {
    let mut out = Vec::new();
    for turn in 0..8_u32 {
        for offered in suppliers::offered() {
            let mut spec = offered.spec;
            if let Ok(rpm) = spec.rpm.parse::<u32>() {
                spec.rpm = (rpm + 5 * turn - 15).to_string();
            }
            if let Some(length) = brasstag::demo::spec::number(&spec.body_length_in) {
                spec.body_length_in = format!("{}", length + f64::from(turn) * 0.125);
            }
            spec.name = format!("{} mark {turn}", spec.name);
            let plate = serde_json::to_string(&spec.plate()?).map_err(|e| e.to_string())?;
            out.push(PlateRow {
                text: spec.plate_text(),
                name: spec.name,
                plate,
            });
        }
    }
    Ok(out)
}
