//! The words of plates that are values themselves: types, enclosures, duties, directions.

use super::fact::Mark;
use super::phrases::Entry;
use crate::plate::{
    Bearing, Direction, Duty, Enclosure, MotorType, Mount, Position, Protection, SeenFrom,
    ShaftForm, StudEnd,
};

/// Words that are a value.
pub(super) const MARKS: &[(&str, Entry)] = &[
    (
        "SHADED POLE|SHADED POLES|SP MOTOR|SHADE POLE",
        Entry::Mark(Mark::Type(MotorType::ShadedPole)),
    ),
    (
        "SPLIT PHASE|SPLIT PH|SPLITPHASE",
        Entry::Mark(Mark::Type(MotorType::SplitPhase)),
    ),
    (
        "PSC|PERMANENT SPLIT CAPACITOR|PERM SPLIT CAP|PERM SPLIT CAPACITOR|PERMANENT SPLIT CAP",
        Entry::Mark(Mark::Type(MotorType::PermanentSplitCapacitor)),
    ),
    (
        "CAP RUN|CAPACITOR RUN",
        Entry::Unsure(
            Mark::Type(MotorType::PermanentSplitCapacitor),
            "capacitor run alone is taken as permanent split capacitor: look for a start capacitor",
        ),
    ),
    (
        "CAP START|CAPACITOR START|CSIR|CAP START INDUCTION RUN|CAPACITOR START INDUCTION RUN|CAP ST|CAP START IND RUN",
        Entry::Mark(Mark::Type(MotorType::CapacitorStart)),
    ),
    (
        "CSCR|CAP START CAP RUN|CAPACITOR START CAPACITOR RUN|CAP ST CAP RUN",
        Entry::Mark(Mark::Type(MotorType::CapacitorStartCapacitorRun)),
    ),
    (
        "ECM|EC|EC MOTOR|ELECTRONICALLY COMMUTATED|BLDC|BRUSHLESS DC|BRUSHLESS",
        Entry::Mark(Mark::Type(MotorType::ElectronicallyCommutated)),
    ),
    (
        "DC MOTOR|DIRECT CURRENT|PMDC|DC|PERMANENT MAGNET DC",
        Entry::Mark(Mark::Type(MotorType::DirectCurrent)),
    ),
    (
        "POLYPHASE|POLYPHASE INDUCTION",
        Entry::Mark(Mark::Type(MotorType::ThreePhaseInduction)),
    ),
    (
        "INDUCTION|IND|INDUCTION MOTOR|AC INDUCTION|SQUIRREL CAGE|ASYNCHRONOUS|CAGE",
        Entry::Mark(Mark::Induction),
    ),
    (
        "ODP|DP|DRIP PROOF|DRIPPROOF|OPEN DRIP PROOF|OPEN DRIPPROOF|DPR|OPEN DP|DRPR",
        Entry::Mark(Mark::Enclosure(Enclosure::OpenDripProof)),
    ),
    (
        "OPAO|OAO|OPEN AIR OVER|OPEN AO|OP AO",
        Entry::Mark(Mark::Enclosure(Enclosure::OpenAirOver)),
    ),
    (
        "TEFC|TOTALLY ENCLOSED FAN COOLED|TOT ENCL FAN COOLED|TE FAN COOLED",
        Entry::Mark(Mark::Enclosure(Enclosure::TotallyEnclosedFanCooled)),
    ),
    (
        "TENV|TOTALLY ENCLOSED NON VENTILATED|TOTALLY ENCLOSED NON VENT|TOTALLY ENCLOSED NONVENTILATED|TOTALLY ENCLOSED NOT VENTILATED|TE NV",
        Entry::Mark(Mark::Enclosure(Enclosure::TotallyEnclosedNonVentilated)),
    ),
    (
        "TEAO|TOTALLY ENCLOSED AIR OVER|TE AO|TE AIR OVER|TOT ENCL AIR OVER",
        Entry::Mark(Mark::Enclosure(Enclosure::TotallyEnclosedAirOver)),
    ),
    (
        "XP|XPRF|EXP|EXPLOSION PROOF|EXPLOSIONPROOF|EXPL PROOF",
        Entry::Mark(Mark::Enclosure(Enclosure::ExplosionProof)),
    ),
    ("OPEN|OPEN FRAME|OPEN ENCLOSURE", Entry::Mark(Mark::Open)),
    (
        "TE|TOTALLY ENCLOSED|TOT ENCL|TOTALLY ENCL|ENCLOSED",
        Entry::Mark(Mark::TotallyEnclosed),
    ),
    ("AO|AIR OVER|AIROVER", Entry::Mark(Mark::AirOver)),
    (
        "TEBC|TOTALLY ENCLOSED BLOWER COOLED",
        Entry::Mark(Mark::EnclosedAs("TEBC")),
    ),
    (
        "WPI|WP I|WP 1|WEATHER PROTECTED I|WP1",
        Entry::Mark(Mark::EnclosedAs("WPI")),
    ),
    (
        "WPII|WP II|WP 2|WEATHER PROTECTED II",
        Entry::Mark(Mark::EnclosedAs("WPII")),
    ),
    (
        "REV|REV PLUG|REVERSIBLE PLUG|REVERSING PLUG|REV ROT|REV ROTATION|REVERSIBLE ROTATION|REVERSIBLE|REVERSING|REVERSABLE|CW CCW|CCW CW|CW OR CCW|CCW OR CW|EITHER ROTATION|EITHER DIRECTION|BOTH DIRECTIONS|ROTATION REVERSIBLE|CLOCKWISE COUNTERCLOCKWISE|EITHER|BI DIRECTIONAL|BIDIRECTIONAL|CW AND CCW",
        Entry::Mark(Mark::Reversible(true)),
    ),
    (
        "NON REV|NON REVERSIBLE|NOT REVERSIBLE|NONREVERSIBLE|NOT REV|NONREV",
        Entry::Mark(Mark::Reversible(false)),
    ),
    (
        "CONT|CONTINUOUS|CONT DUTY|CONTINUOUS DUTY|CONTINOUS",
        Entry::Mark(Mark::Duty(Duty::Continuous)),
    ),
    (
        "INT|INTERMITTENT|INT DUTY|INTERMITTENT DUTY|INTERM|INTMT",
        Entry::Mark(Mark::Duty(Duty::Intermittent)),
    ),
    (
        "AUTO|AUTOMATIC|AUTO RESET|AUTOMATIC RESET|THERMALLY PROTECTED AUTO|THERMALLY PROTECTED AUTOMATIC|THERMALLY PROTECTED AUTO RESET|THERMALLY PROTECTED AUTOMATIC RESET|THERM PROT AUTO|TP AUTO|THERMAL PROTECTOR AUTO|THERM AUTO|AUTO OVERLOAD|AUTOMATIC OVERLOAD|AUTO OL|THERMAL PROTECTION AUTO",
        Entry::Mark(Mark::Protection(Protection::Automatic)),
    ),
    (
        "MAN|MANUAL|MANUAL OVERLOAD|MANUAL OL|MANUAL RESET|MAN RESET|THERMALLY PROTECTED MANUAL|THERMALLY PROTECTED MAN|THERMALLY PROTECTED MANUAL RESET|THERM PROT MAN|TP MAN|TP MANUAL|THERM MAN|MAN OL",
        Entry::Mark(Mark::Protection(Protection::Manual)),
    ),
    (
        "IMPEDANCE PROTECTED|IMP PROT|IMP PROTECTED|IMPEDANCE PROT|ZP|Z P|IMPEDANCE|IMPEDANCE PROTECTION",
        Entry::Mark(Mark::Protection(Protection::Impedance)),
    ),
    (
        "NOT THERMALLY PROTECTED|NO PROTECTOR|NO PROTECTION|NO THERMAL PROTECTOR|NO THERMAL PROTECTION|NOT PROTECTED|NO THERMAL|UNPROTECTED|NO OVERLOAD|NO OL|NO TP",
        Entry::Mark(Mark::Protection(Protection::NoProtector)),
    ),
    (
        "THERMOSTAT|THERMOSTATS|T STAT|PILOT THERMOSTAT|WITH THERMOSTAT",
        Entry::Mark(Mark::Protection(Protection::Thermostat)),
    ),
    (
        "THERMALLY PROTECTED|THERM PROT|THERMALLY PROT|THERMAL PROTECTED|THERM PROTECTED|THERMAL PROTECTOR|THERMAL OVERLOAD|T P",
        Entry::Mark(Mark::Thermal),
    ),
    (
        "BALL|BALL BEARING|BALL BEARINGS|BALL BRG|BALL BRGS|BRG BALL",
        Entry::Mark(Mark::Bearing(Bearing::Ball)),
    ),
    (
        "SLEEVE|SLEEVE BEARING|SLEEVE BEARINGS|SLEEVE BRG|SLEEVE BRGS|SLV|SLV BRG",
        Entry::Mark(Mark::Bearing(Bearing::Sleeve)),
    ),
    (
        "ANY POSITION|ALL POSITION|ALL POSITIONS|ALL ANGLE|ANY POS|ALL POS",
        Entry::Mark(Mark::Position(Position::Any)),
    ),
    (
        "HORIZONTAL|HORIZ|HORIZ MOUNT|HORIZONTAL MOUNT|SHAFT HORIZONTAL|SHAFT HORIZ|SHAFT LEVEL",
        Entry::Mark(Mark::Position(Position::Horizontal)),
    ),
    (
        "SHAFT UP|VERTICAL SHAFT UP|VERT SHAFT UP",
        Entry::Mark(Mark::Position(Position::ShaftUp)),
    ),
    (
        "SHAFT DOWN|VERTICAL SHAFT DOWN|VERT SHAFT DOWN",
        Entry::Mark(Mark::Position(Position::ShaftDown)),
    ),
    (
        "STUDS|STUD|STUD MOUNT|STUD MOUNTED|THROUGH BOLTS|THRU BOLTS|THROUGH BOLT|THRU BOLT",
        Entry::Mark(Mark::Mount(Mount::Studs)),
    ),
    (
        "FEET|FOOT|RIGID BASE|FOOT MOUNT|FOOT MOUNTED|RESILIENT BASE|BASE MOUNT|RIGID MOUNT|RIGID|CRADLE BASE",
        Entry::Mark(Mark::Mount(Mount::Feet)),
    ),
    (
        "C FACE|CFACE|FACE MOUNT|C FLANGE",
        Entry::Mark(Mark::Mount(Mount::CFace)),
    ),
    (
        "BELLY BAND|BELLYBAND|BAND MOUNT|BELLY BAND MOUNT",
        Entry::Mark(Mark::Mount(Mount::BellyBand)),
    ),
    (
        "YOKE|CRADLE|YOKE MOUNT|CRADLE MOUNT",
        Entry::Mark(Mark::Mount(Mount::Yoke)),
    ),
    (
        "FLANGE|FLANGE MOUNT|FLANGED|D FLANGE",
        Entry::Mark(Mark::Mount(Mount::Flange)),
    ),
    (
        "STUDS AT SHAFT END|STUDS SHAFT END|STUD END SHAFT",
        Entry::Mark(Mark::StudEnd(StudEnd::ShaftEnd)),
    ),
    (
        "STUDS AT LEAD END|STUDS LEAD END|STUD END LEAD",
        Entry::Mark(Mark::StudEnd(StudEnd::LeadEnd)),
    ),
    (
        "STUDS BOTH ENDS|STUDS AT BOTH ENDS|STUD END BOTH",
        Entry::Mark(Mark::StudEnd(StudEnd::Both)),
    ),
    (
        "KEYED|KEYED SHAFT|KEYWAY|SHAFT KEYED|SHAFT WITH KEY|KEY|SHAFT WITH KEYWAY",
        Entry::Mark(Mark::ShaftForm(ShaftForm::Keyed)),
    ),
    (
        "FLAT|FLAT SHAFT|SHAFT FLAT|SHAFT WITH FLAT|SHAFT W FLAT|WITH FLAT|FLATTED|ONE FLAT|W FLAT|D SHAFT",
        Entry::Mark(Mark::ShaftForm(ShaftForm::Flat)),
    ),
    (
        "ROUND|ROUND SHAFT|SHAFT ROUND|PLAIN SHAFT|PLAIN ROUND SHAFT",
        Entry::Mark(Mark::ShaftForm(ShaftForm::Round)),
    ),
    (
        "DOUBLE SHAFT|DUAL SHAFT|DBL SHAFT|DOUBLE ENDED SHAFT|TWO SHAFTS|DOUBLE SHAFTED",
        Entry::Mark(Mark::DoubleShaft(true)),
    ),
    (
        "SINGLE SHAFT|ONE SHAFT",
        Entry::Mark(Mark::DoubleShaft(false)),
    ),
    (
        "SPEED CONTROL OK|SPEED CONTROL ALLOWED|SPEED CONTROL|SPEED CONTROLLABLE|INV DUTY|INVERTER DUTY|VFD RATED|VFD OK|VARIABLE SPEED|INVERTER RATED|TRIAC OK",
        Entry::Mark(Mark::SpeedControl(true)),
    ),
    (
        "NO SPEED CONTROL|NOT SPEED CONTROLLABLE|NO VFD|NO INVERTER",
        Entry::Mark(Mark::SpeedControl(false)),
    ),
    (
        "CAP INCLUDED|CAPACITOR INCLUDED|WITH CAPACITOR|W CAP|CAP SUPPLIED|WITH CAP",
        Entry::Mark(Mark::CapacitorIncluded(true)),
    ),
    (
        "CAP NOT INCLUDED|CAPACITOR NOT INCLUDED|LESS CAP|LESS CAPACITOR|NO CAP|WITHOUT CAPACITOR|W O CAP",
        Entry::Mark(Mark::CapacitorIncluded(false)),
    ),
    ("SINGLE SPEED|SINGLE SPD", Entry::Mark(Mark::SpeedCount(1))),
    (
        "SINGLE PHASE|SINGLE PH|SGL PH|ONE PHASE|MONOPHASE",
        Entry::Mark(Mark::Phases(1)),
    ),
    ("THREE PHASE|TRI PHASE", Entry::Mark(Mark::Phases(3))),
];

/// Directions and the ends from which they are seen. Source: plate marks as NEMA MG 1 writes them.
pub(super) const TURNS: &[(&str, Entry)] = &[
    (
        "CW|CLOCKWISE|CLOCK WISE|RIGHT HAND|CLKWISE",
        Entry::Mark(Mark::Turns(Direction::Clockwise)),
    ),
    (
        "CWSE|CWOE|CWDE|CWPE|CWOLE",
        Entry::Mark(Mark::TurnsSeen(Direction::Clockwise, SeenFrom::ShaftEnd)),
    ),
    (
        "CWLE|CWOSE|CWODE|CWNDE|CWOPE",
        Entry::Mark(Mark::TurnsSeen(Direction::Clockwise, SeenFrom::LeadEnd)),
    ),
    (
        "CCW|ACW|COUNTERCLOCKWISE|COUNTER CLOCKWISE|ANTICLOCKWISE|ANTI CLOCKWISE|LEFT HAND|COUNTERCLKWISE|CNTR CLOCKWISE",
        Entry::Mark(Mark::Turns(Direction::CounterClockwise)),
    ),
    (
        "CCWSE|CCWOE|CCWDE|CCWPE|CCWOLE|ACWSE|ACWOE|ACWDE|ACWPE|ACWOLE",
        Entry::Mark(Mark::TurnsSeen(
            Direction::CounterClockwise,
            SeenFrom::ShaftEnd,
        )),
    ),
    (
        "CCWLE|CCWOSE|CCWODE|CCWNDE|CCWOPE|ACWLE|ACWOSE|ACWODE|ACWNDE|ACWOPE",
        Entry::Mark(Mark::TurnsSeen(
            Direction::CounterClockwise,
            SeenFrom::LeadEnd,
        )),
    ),
    ("ECW", Entry::Mark(Mark::Shipped(Direction::Clockwise))),
    (
        "ECCW",
        Entry::Mark(Mark::Shipped(Direction::CounterClockwise)),
    ),
    (
        "SE|OE|DE|PE|OLE|S E|D E|P E|O L E|O E",
        Entry::EndCode(SeenFrom::ShaftEnd),
    ),
    (
        "LE|OSE|ODE|NDE|OPE|L E|N D E|O S E|LEADS",
        Entry::EndCode(SeenFrom::LeadEnd),
    ),
    (
        "SHAFT END|DRIVE END|PULLEY END|D END|OPPOSITE LEAD END|OPP LEAD END|OPPOSITE LEADS|OPP LEADS|OUTPUT END|OPPOSITE LEADS END|FROM SHAFT",
        Entry::Mark(Mark::Seen(SeenFrom::ShaftEnd)),
    ),
    (
        "LEAD END|LEADS END|OPPOSITE SHAFT END|OPP SHAFT END|OPPOSITE SHAFT|OPP SHAFT|NON DRIVE END|OPPOSITE DRIVE END|OPP DRIVE END|N END|REAR END|OPPOSITE PULLEY END|END OPPOSITE DRIVE|END OPPOSITE SHAFT|END OPPOSITE THE DRIVE|END OPPOSITE THE SHAFT|WIRE END",
        Entry::Mark(Mark::Seen(SeenFrom::LeadEnd)),
    ),
];
