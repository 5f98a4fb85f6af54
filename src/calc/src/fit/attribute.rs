//! The attributes a motor is judged by: name, rule in a few words, and where the rule comes from.

/// One line of the judgement.
pub(super) struct Attribute {
    pub key: &'static str,
    pub label: &'static str,
    pub unit: &'static str,
    pub rule: &'static str,
    pub source: &'static str,
}

macro_rules! attributes {
    ($($name:ident: $key:literal, $label:literal, $unit:literal, $rule:literal, $source:literal;)+) => {$(
        pub(super) static $name: Attribute = Attribute {
            key: $key, label: $label, unit: $unit, rule: $rule, source: $source,
        };
    )+};
}

attributes! {
    VOLTAGE: "voltage", "Supply voltage", "V",
        "supply within 10 % of a plate voltage; volts and hertz deviations together at most 10 %",
        "NEMA MG 1 12.44";
    PHASES: "phases", "Phases", "", "same number of phases", "physics";
    FREQUENCY: "frequency", "Frequency", "Hz", "supply within 5 % of a plate frequency",
        "NEMA MG 1 12.44";
    POWER: "power", "Output power", "W",
        "not below the shaft power taken; at most two standard sizes larger without more work",
        "NEMA MG 1 14.37.1; sizes: common practice";
    SPEED: "speed", "Full-load speed", "rpm",
        "direct: rise within 5 % if power and wheel allow it, same poles; belt: within 5 %",
        "NEMA MG 1 12.46 (value from memory); torque balance and 5 %: common practice; smallest sheave: NEMA MG 1 14.42 (from memory)";
    TAPS: "taps", "Speed taps", "", "at least the taps in use", "common practice";
    CONTROL: "control", "Speed control", "", "the motor type stands the control",
        "common practice: the starting switch closes again at low speed; three-phase and electronic motors from memory";
    TYPE: "type", "Motor type", "", "starting torque and losses no worse for the driven part",
        "common practice";
    AMPS: "amps", "Full-load amps", "A",
        "within 10 % of the old, or within what switch and circuit are rated for",
        "NEMA MG 1 12.47; NEC 430.32(A)(1), 430.110(A)";
    ROTATION: "rotation", "Rotation", "", "same direction seen from the shaft end", "physics";
    REVERSIBLE: "reversible", "Reversing in service", "", "reverses if the machine reverses",
        "common practice";
    FRAME: "frame", "Frame", "", "same shaft height and feet",
        "NEMA MG 1 Part 4; IEC 60072-1 (feet from memory)";
    MOUNT: "mount", "Mount", "", "same kind, or an adapter that carries torque and weight",
        "common practice";
    STUDS: "studs", "Bolt circle and studs", "mm",
        "same count, end and thread, circle within 0.8 mm (1/32 in), long enough",
        "common practice";
    SHAFT_DIAMETER: "shaft_diameter", "Shaft diameter", "mm", "equal to the hub bore",
        "NEMA MG 1 4.9 (from memory); common practice";
    SHAFT_LENGTH: "shaft_length", "Shaft length", "mm",
        "through the hub, and within the free space", "common practice";
    SHAFT_FORM: "shaft_form", "Flat, key or round", "", "what the hub is held by",
        "set-screw practice; common practice";
    DOUBLE_SHAFT: "double_shaft", "Second shaft end", "", "present if it drives something",
        "physics";
    BODY: "body", "Body size", "mm", "within the free space, capacitor and box included",
        "common practice";
    ENCLOSURE: "enclosure", "Enclosure", "",
        "no more open than the place allows; air-over only in the stream of its fan",
        "IEC 60034-5, IEC 60034-6, NEMA MG 1 1.25 to 1.27";
    AMBIENT: "ambient", "Ambient temperature", "°C", "site not above the plate's ambient",
        "NEMA MG 1 12.42";
    INSULATION: "insulation", "Insulation class", "",
        "same or higher class, or a site at least 10 K cooler than the plate's ambient",
        "NEMA MG 1 12.42; 10 K: common practice";
    DUTY: "duty", "Duty", "", "continuous for continuous", "IEC 60034-1, S1 to S10";
    SERVICE_FACTOR: "service_factor", "Service factor", "",
        "a lower one only if the shaft power stays within the plate power",
        "NEMA MG 1 12.51 and 14.37.1";
    PROTECTION: "protection", "Thermal protection", "",
        "no automatic restart where it can hurt; never none without an outside overload",
        "NEC 430.32, NEC 430.43 (from memory)";
    BEARING: "bearing", "Bearing and position", "",
        "sleeve bearings only in a position the plate allows, and not for a belt's pull",
        "common practice";
    CAPACITOR: "capacitor", "Capacitor", "µF", "the value of the new motor's plate",
        "common practice";
    HAZARDOUS: "hazardous", "Hazardous location", "",
        "never matched automatically", "NEC 500 to 505 (from memory)";
    EFFICIENCY: "efficiency", "Efficiency required by law", "%",
        "floor for newly made general-purpose motors in the United States",
        "10 CFR 431.25 and 431.446";
}
