//! What is asked when a value is missing: what, why it matters, how to get it.

pub(super) struct Question {
    pub what: &'static str,
    pub why: &'static str,
    pub how: &'static str,
}

macro_rules! questions {
    ($($name:ident: $what:literal, $why:literal, $how:literal;)+) => {$(
        pub(super) static $name: Question = Question { what: $what, why: $why, how: $how };
    )+};
}

questions! {
    SUPPLY: "Supply voltage at the machine",
        "The candidate may stand outside 10 % of the supply.",
        "Measure between the lines at the disconnect, by a qualified person.";
    NEW_VOLTS: "Voltage of the candidate", "It cannot be held against the supply.",
        "Read its plate or the supplier's sheet.";
    PHASES: "Phases of the supply", "A single-phase motor cannot run on three phases, nor the reverse.",
        "Count the live conductors at the disconnect, or read the circuit's label.";
    NEW_PHASES: "Phases of the candidate", "It must be the same as the supply's.",
        "Read its plate or the supplier's sheet.";
    FREQUENCY: "Supply frequency", "Speed and heating follow it.",
        "Ask the utility or read another plate on the same supply.";
    NEW_FREQUENCY: "Frequency of the candidate", "It must include the supply's.",
        "Read its plate or the supplier's sheet.";
    POWER: "Shaft power the machine takes",
        "Neither the old plate nor a measurement says what the machine needs.",
        "Measure watts at the old speed, or identify the old motor by its body size.";
    NEW_POWER: "Output power of the candidate", "It may be less than the machine takes.",
        "Read its plate or the supplier's sheet; amps do not tell it.";
    SHAFT_POWER: "Measured shaft power, and the speed at which it was measured",
        "Only a measurement shows that the candidate carries the machine at its speed.",
        "Measure input watts and speed with the old motor, or a like machine, and take off the losses.";
    DRIVE: "How the machine is driven", "Direct, belt and coupled machines follow different rules.",
        "Look at the machine: wheel on the motor shaft, belt, or coupling.";
    OLD_SPEED: "Full-load speed of the old motor", "Flow and power follow the speed.",
        "Read the old plate, or measure a like machine with a tachometer.";
    NEW_SPEED: "Full-load speed of the candidate", "Flow and power follow the speed.",
        "Read its plate or the supplier's sheet.";
    POLES: "Motor types and supply frequency",
        "Beyond 5 % the pole counts must be compared, and they cannot be worked out.",
        "Read the type on both plates and the supply frequency.";
    WHEEL_LIMIT: "Highest speed of the wheel", "The candidate turns it more than 5 % faster.",
        "Read the wheel's mark or ask its maker.";
    SETTLED: "Measured shaft power, and the speed at which it was measured",
        "The wheel's highest speed lies below the candidate's synchronous speed, and a stronger motor runs nearer to it.",
        "Measure input watts and speed with the old motor, or a like machine, and take off the losses.";
    TAPS: "Speed taps wired and used", "The candidate has fewer than the old motor.",
        "Count the speed wires connected at the switch.";
    CONTROL: "What switches or regulates the motor",
        "Some motors burn out on a speed controller.",
        "Follow the supply: plain switch, thermostat, contactor, speed controller or drive.";
    CONTROLLABLE: "Whether the candidate may be speed-controlled",
        "Motors of this type stand it only where the plate or maker says so.",
        "Read its plate or ask its maker.";
    OLD_TYPE: "Type of the old motor", "What may replace it depends on its type; amps do not compare across types.",
        "Look for capacitor, start switch, shading rings or electronics.";
    NEW_TYPE: "Type of the candidate", "Starting torque and control depend on it.",
        "Read its plate or the supplier's sheet.";
    NEW_AMPS: "Full-load amps of the candidate at this voltage",
        "Switch, circuit and overload are checked by it.", "Read its plate or the supplier's sheet.";
    CONTROL_AMPS: "Current rating of the switch or control",
        "The candidate may take more than the old motor did.", "Read the rating on the control.";
    ROTATION: "Right turning of the wheel, seen from the shaft end",
        "The candidate turns one way only.",
        "Look for the arrow on the housing, the blade shape, or the old plate with its viewing end.";
    NEW_ROTATION: "Rotation of the candidate and the end it is seen from",
        "A bare direction may mean either end.", "Ask the supplier, or run it on the bench.";
    REVERSES: "Whether the machine reverses in service", "The candidate cannot.",
        "Look for a reversing switch or contactor pair.";
    NEW_REVERSIBLE: "Whether the candidate can be reversed", "The machine may reverse in service.",
        "Read its connection diagram.";
    OLD_FRAME: "Frame of the old motor", "Feet and shaft height follow from it.",
        "Read the plate, or measure shaft height and foot holes.";
    NEW_FRAME: "Frame of the candidate", "Feet and shaft height follow from it.",
        "Read its plate or the supplier's sheet.";
    FRAME_SIZE: "Shaft height and foot holes of both frames",
        "One of the frames is not in the tables.", "Measure both, or take them from the makers' drawings.";
    SPECIAL_FRAME: "Dimensions behind the special frame letter",
        "Z marks a special shaft, Y a special mounting.", "Take them from the maker's drawing and enter them.";
    OLD_MOUNT: "Mount of the old motor", "The candidate must be carried the same way.",
        "Look at the bracket.";
    NEW_MOUNT: "Mount of the candidate", "It may not fit the bracket.",
        "Read the supplier's sheet.";
    OLD_CIRCLE: "Bolt circle of the bracket", "The studs may not meet the holes.",
        "Measure across opposite holes, centre to centre.";
    NEW_CIRCLE: "Bolt circle of the candidate", "The studs may not meet the holes.",
        "Read the supplier's sheet or measure.";
    STUD_ENDS: "Count and end of the studs, on both motors", "Studs on the wrong end cannot be used.",
        "Count them on the old motor, and read the supplier's sheet.";
    NEW_STUD_LENGTH: "Stud length of the candidate", "It may not reach through bracket and nut.",
        "Read the supplier's sheet or measure.";
    STUD_NEEDED: "Stud length that bracket, washer and nut take up",
        "The candidate's studs may not reach.", "Measure bracket, washer and nut together.";
    BORE: "Bore of the hub or sheave", "The shaft must match it.",
        "Measure the bore or the old shaft with a caliper.";
    NEW_SHAFT: "Shaft diameter of the candidate", "It must match the bore.",
        "Read the supplier's sheet or measure.";
    HUB_LENGTH: "Length of the hub", "The shaft may not reach through it.",
        "Measure the hub, or the old shaft beyond its shoulder.";
    NEW_SHAFT_LENGTH: "Shaft length of the candidate", "It may not reach through the hub.",
        "Read the supplier's sheet or measure.";
    KEYWAY: "Keyway in the hub", "A keyed hub needs a key, a plain one a flat.",
        "Look into the bore, or at the old shaft.";
    NEW_FORM: "Shaft form of the candidate", "The hub must hold on it.",
        "Read the supplier's sheet: flat, key or round.";
    SECOND_SHAFT: "Whether the second shaft end drives anything", "The candidate may have no second end.",
        "Look at the far end of the old motor.";
    NEW_SECOND_SHAFT: "Shaft ends of the candidate", "A second end is needed, or must be guarded.",
        "Read the supplier's sheet.";
    NEW_BODY: "Body diameter and length of the candidate", "It may not go in.",
        "Read the supplier's sheet, capacitor and connection box included.";
    SPACE: "Free length and diameter for the body", "The candidate is, or may be, larger than the old motor.",
        "Measure the space, capacitor and connection box included.";
    NEW_ENCLOSURE: "Enclosure of the candidate", "It may be too open for the place.",
        "Read its plate: ODP, TEFC, TENV, TEAO.";
    STREAM: "Whether the motor sits in the air stream of its fan",
        "An air-over motor overheats anywhere else.", "Look at where the motor sits.";
    SURROUNDINGS: "Dirt and wet around the motor", "An open motor stands neither.",
        "Look at the place: clean and dry, dusty, wet, greasy or corrosive.";
    AMBIENT: "Highest air temperature around the motor", "It may pass what the candidate allows.",
        "Leave a thermometer beside the motor through a hot shift.";
    NEW_AMBIENT: "Ambient temperature on the candidate's plate", "The site may be hotter.",
        "Read its plate or the supplier's sheet.";
    OLD_CLASS: "Insulation class of the old motor", "The candidate's may be lower.",
        "Read the old plate, or measure the site's temperature.";
    NEW_CLASS: "Insulation class of the candidate", "It may be lower than the old one.",
        "Read its plate or the supplier's sheet.";
    DUTY: "Whether the machine runs continuously", "The candidate is made for short running only.",
        "Ask how long it runs without a stop.";
    NEW_DUTY: "Duty of the candidate", "It may be made for short running only.",
        "Read its plate: CONT or S1, else minutes.";
    NEW_PROTECTION: "Thermal protection of the candidate", "It may restart by itself, or have none.",
        "Read its plate or the supplier's sheet.";
    RESTART: "Whether an unexpected restart can hurt somebody",
        "The candidate's protector closes again by itself.",
        "Look for an open belt or blades within reach.";
    POSITION: "Position of the shaft", "Oil runs out of sleeve bearings in a wrong position.",
        "Look: horizontal, shaft up or shaft down.";
    NEW_POSITION: "Positions the candidate's plate allows",
        "Oil runs out of sleeve bearings in a wrong position.", "Read its plate or ask its maker.";
    NEW_BEARING: "Bearings of the candidate", "Sleeve bearings do not stand every position and pull.",
        "Read its plate or the supplier's sheet.";
    OLD_BEARING: "Bearings of the old motor", "Sleeve bearings may not stand the pull of this belt.",
        "Look for oil holes, or read the old plate.";
    NEW_CAPACITOR: "Capacitor value and voltage on the candidate's plate",
        "The value belongs to its winding; another one burns it.",
        "Read its plate or its connection diagram.";
    CLASSIFICATION: "Classification of the location",
        "The old motor is made for a hazardous location.",
        "Ask for the area classification drawing.";
    VERIFY_LISTING: "Check of the listing by a qualified person",
        "The program never matches a motor for a hazardous location by itself.",
        "a qualified person must verify the listing";
}
