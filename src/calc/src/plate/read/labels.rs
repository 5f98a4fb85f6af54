//! The labels of plates, in the spellings in which they are stamped and typed.

use super::fact::Kind;
use super::phrases::Entry;
use crate::plate::How;

/// Words that a value follows.
pub(super) const LABELS: &[(&str, Entry)] = &[
    (
        "P|P 2|PN|HP|HORSEPOWER|HORSE POWER|KW|KILOWATT|KILOWATTS|RATED POWER|POWER|OUTPUT|POWER OUTPUT|OUTPUT POWER|WATTS OUT|WATTS OUTPUT",
        Entry::Label(Kind::Power),
    ),
    ("WATTS|WATT|W", Entry::Label(Kind::Watts)),
    (
        "P 1|INPUT|POWER INPUT|INPUT POWER|WATTS IN|WATTS INPUT|INPUT WATTS",
        Entry::Label(Kind::InputPower),
    ),
    (
        "U|V|VOLT|VOLTS|VAC|VDC|VOLTAGE|RATED VOLTAGE|RATED VOLTS|V AC|VOLTS AC|V DC|VOLTS DC",
        Entry::Label(Kind::Volts),
    ),
    (
        "I|A|AMP|AMPS|AMPERE|AMPERES|FLA|FLC|FL AMPS|FULL LOAD AMPS|FULL LOAD CURRENT|RATED AMPS|RATED CURRENT|CURRENT|MAX AMPS|AMPS MAX|F L AMPS|AMPS FL",
        Entry::Label(Kind::Amps),
    ),
    (
        "SFA|SF AMPS|SF A|SERVICE FACTOR AMPS|MAX AMPS SF",
        Entry::Label(Kind::ServiceFactorAmps),
    ),
    (
        "LRA|LOCKED ROTOR AMPS|LOCKED ROTOR CURRENT|LR AMPS",
        Entry::Label(Kind::LockedRotorAmps),
    ),
    (
        "N|RPM|R MIN|MIN 1|U MIN|REV MIN|SPEED|RATED SPEED|FULL LOAD SPEED|FL RPM|FULL LOAD RPM|SPEEDS",
        Entry::Label(Kind::Speed),
    ),
    (
        "HZ|HERTZ|CYC|CYCLE|CYCLES|CY|FREQ|FREQUENCY|CPS",
        Entry::Label(Kind::Frequency),
    ),
    ("PH|PHASE|PHASES|Ø|Φ|PHS", Entry::Label(Kind::Phases)),
    (
        "POLES|POLE|NO OF POLES|NUMBER OF POLES",
        Entry::Label(Kind::Poles),
    ),
    (
        "SPD|SPDS|NO OF SPEEDS|NUMBER OF SPEEDS",
        Entry::Label(Kind::SpeedCount),
    ),
    (
        "SF|SERVICE FACTOR|SERV FACTOR|SER FACTOR|S F|SERV FACT",
        Entry::Label(Kind::ServiceFactor),
    ),
    (
        "EFF|EFFICIENCY|NOM EFF|NOMINAL EFFICIENCY|NEMA NOM EFF|NEMA NOM EFFICIENCY|FL EFF|Η|EFFICIENCY NOMINAL|F L EFF",
        Entry::Label(Kind::Efficiency),
    ),
    (
        "PF|POWER FACTOR|COS Φ|COSΦ|COS PHI|COSPHI|COS|P F|COS Ø|COSØ",
        Entry::Label(Kind::PowerFactor),
    ),
    (
        "AMB|AMBIENT|AMB TEMP|AMBIENT TEMP|AMBIENT TEMPERATURE|MAX AMB|MAX AMBIENT|MAX AMB TEMP|TAMB|TA|AMB MAX|T AMB",
        Entry::Label(Kind::Ambient),
    ),
    (
        "RISE|RISE BY RES|RISE BY RESISTANCE|RISE RES|TEMP RISE|TEMPERATURE RISE|MAX RISE|MAX TEMP RISE",
        Entry::Label(Kind::Rise),
    ),
    (
        "CAP|CAPACITOR|MFD|MF|UF|MICROFARADS|RUN CAP|RUN CAPACITOR|START CAP|START CAPACITOR|CAPAC|CAPACITANCE|CAP MFD",
        Entry::Label(Kind::Capacitor),
    ),
    (
        "CAP VOLTS|CAP VAC|CAPACITOR VOLTS|CAP V|CAPACITOR VOLTAGE|CAPACITOR VAC",
        Entry::Label(Kind::CapacitorVolts),
    ),
    (
        "TIME|TIME RATING|DUTY|RATING|DUTY TIME|RUN TIME|DUTY CYCLE|TIME RATED",
        Entry::Label(Kind::Duty),
    ),
    ("SHAFT|SHAFT SIZE|SHFT", Entry::Label(Kind::Shaft)),
    (
        "SHAFT DIA|SHAFT DIAMETER",
        Entry::Label(Kind::ShaftDiameter),
    ),
    (
        "SHAFT LENGTH|SHAFT LGTH|SHAFT EXT|SHAFT EXTENSION",
        Entry::Label(Kind::ShaftLength),
    ),
    (
        "BODY|SHELL|HOUSING|CASE|BODY SIZE|BODY DIA|BODY DIAMETER|SHELL DIA|MOTOR DIA|MOTOR DIAMETER|SHELL DIAMETER",
        Entry::Label(Kind::Body),
    ),
    ("DIA|DIAMETER", Entry::Label(Kind::BodyDiameter)),
    (
        "BODY LENGTH|SHELL LENGTH|MOTOR LENGTH",
        Entry::Label(Kind::BodyLength),
    ),
    (
        "BOLT CIRCLE|BC|STUD CIRCLE|BOLT CIRCLE DIA|BOLT CIRCLE DIAMETER",
        Entry::Label(Kind::BoltCircle),
    ),
    ("STUD LENGTH|STUDS LENGTH", Entry::Label(Kind::StudLength)),
    (
        "STUD COUNT|NO OF STUDS|NUMBER OF STUDS",
        Entry::Label(Kind::StudCount),
    ),
    (
        "STUD THREAD|STUD THREADS|THREAD|STUD SIZE",
        Entry::Label(Kind::StudThread),
    ),
    (
        "FR|FRAME|FRM|FRAME SIZE|FRAME NO|NEMA FRAME|IEC FRAME|MOTOR FRAME|NEMA FR|IEC FR",
        Entry::Label(Kind::Frame),
    ),
    (
        "CODE|KVA CODE|KVA|CODE LETTER|LR CODE|NEMA CODE|KVA CODE LETTER|NEMA CODE LETTER|LOCKED ROTOR CODE|KVA LTR",
        Entry::Label(Kind::CodeLetter),
    ),
    (
        "DES|DESIGN|NEMA DESIGN|DESIGN LETTER|NEMA DES|DESIGN CODE",
        Entry::Label(Kind::DesignLetter),
    ),
    (
        "INS|INSUL|INSULATION|INS CL|INS CLASS|INSULATION CLASS|INSUL CLASS|CLASS INS|ISO CL|ISOL CL|TH CL|INS SYS|INSUL CL|INS SYSTEM|INS CLASS SYSTEM|TH CLASS|THERMAL CLASS|I CL|INSUL SYS CLASS|ISOL|CLASS|CL|ICL|KL|ISO KL|W KL|WKL|TH KL",
        Entry::Label(Kind::Insulation),
    ),
    ("CONN|CONNECTION", Entry::Label(Kind::Connection)),
    (
        "ENCL|ENC|ENCLOSURE|MOTOR ENCLOSURE",
        Entry::Label(Kind::Enclosure),
    ),
    ("TYPE|MOTOR TYPE|TYP|WINDING", Entry::Label(Kind::MotorType)),
    (
        "BRG|BRGS|BEARING|BEARINGS|BEARING TYPE",
        Entry::Label(Kind::Bearing),
    ),
    (
        "ROT|ROTATION|ROTN|DIRECTION|DIR|DIRECTION OF ROTATION|DIR OF ROTATION",
        Entry::Label(Kind::Rotation),
    ),
    (
        "PROT|PROTECTION|PROTECTOR|OVERLOAD|OL|THERMAL|THERMAL PROTECTION|MOTOR PROTECTION|OVERLOAD PROTECTION|THERM PROT|THERMAL PROTECTOR TYPE|TP|OVERLOAD PROTECTOR",
        Entry::Label(Kind::Protection),
    ),
    ("MOUNT|MOUNTING|MTG", Entry::Label(Kind::Mount)),
    (
        "POS|POSITION|MOUNTING POSITION|SHAFT POSITION",
        Entry::Label(Kind::Position),
    ),
    ("IM|IMB|MOUNTING CODE", Entry::Label(Kind::MountingCode)),
    (
        "HAZARDOUS LOCATION|HAZ LOC|HAZARDOUS LISTING|HAZARDOUS LOCATIONS",
        Entry::Label(Kind::HazardousListing),
    ),
    (
        "HIGH MED LOW|HI MED LO|HI LO|HIGH LOW|HI MED LOW|HIGH MEDIUM LOW|HI ML LO|H M L|HI MH ML LO",
        Entry::Tap,
    ),
];

/// Words that say nothing of a field, or say how it is known.
pub(super) const WORDS: &[(&str, Entry)] = &[
    (
        "MOTOR|MTR|ELECTRIC|ELECTRICAL|NAMEPLATE|PLATE|SAYS|READS|IT|IT S|IS|THE|OF|AT|AND|WITH|MOTORS|FAN|BLOWER|INDUSTRIAL|AC|RATED|FOR|RUNS|ON|NEMA|IEC|FULL LOAD|FL|LONG|NOM|NOMINAL|APPROX|DUAL VOLTAGE|FAN DUTY|GENERAL PURPOSE|SPECIAL PURPOSE|DEFINITE PURPOSE|MULTI SPEED|CONDENSER FAN|DIRECT DRIVE|TEMP|TEMPERATURE|MAX|MOT",
        Entry::Filler,
    ),
    (
        "SER|SERIAL|SER NO|SERIAL NO|SERIAL NUMBER|S N|SN|SER NUMBER|SER NUM",
        Entry::Named("serial number"),
    ),
    (
        "CAT|CAT NO|CATALOG|CATALOG NO|CATALOGUE NO|CATALOG NUMBER|CATALOGUE|CATALOGUE NUMBER|CAT NUMBER",
        Entry::Named("catalogue number"),
    ),
    (
        "MOD|MODEL|MODEL NO|MOD NO|M N|MODEL NUMBER|MN|STYLE|STYLE NO|SPEC|SPEC NO|IDENT|IDENT NO",
        Entry::Named("model number"),
    ),
    (
        "PART|PART NO|P N|PN|PART NUMBER|ITEM|ITEM NO|STOCK NO|ORDER NO|REF|REF NO|JOB NO|PROD NO|PRODUCT NO|NR|NO",
        Entry::Named("part number"),
    ),
    (
        "DATE|DATE CODE|MFG DATE|MFD DATE|DATE MFD|DATE OF MFR|YEAR|MFR DATE|BUILT|MADE|DATE MFG|DATE OF MANUFACTURE|MANUFACTURED",
        Entry::Named("date"),
    ),
    (
        "SHAFT END BRG|OPP END BRG|DE BRG|ODE BRG|NDE BRG|DRIVE END BRG|SHAFT END BEARING|OPP END BEARING|D E BRG|O D E BRG|DRIVE END BEARING|OPPOSITE DRIVE END BEARING|BRG DE|BRG NDE|BEARING DE|BEARING NDE|PE BRG|OPE BRG",
        Entry::Named("bearing number"),
    ),
    (
        "MFR|MAKER|BRAND|MADE BY|MFG BY|MFD BY|MANUFACTURER|MANUFACTURED BY|MFG|MAKE",
        Entry::Names("maker"),
    ),
    (
        "MADE IN|ASSEMBLED IN|PRODUCT OF|ASSEMBLED BY",
        Entry::Names("country"),
    ),
    (
        "PAT NO|PATENT NO|PAT|PATENT|US PAT NO|U S PAT NO",
        Entry::Named("patent"),
    ),
    ("WT|WEIGHT|MASS", Entry::Named("weight")),
    ("ALTITUDE|ALT|MAX ALTITUDE", Entry::Named("altitude")),
    (
        "FILE|FILE NO|UL FILE|CC|DOE CC|CC NO|GUIDE NO|LIST NO|LISTING NO|CERT NO",
        Entry::Named("listing mark"),
    ),
    (
        "UL|CE|CSA|RU|CUL|CUS|CURUS|CULUS|CCC|UKCA|EAC|VDE|LISTED|RECOGNIZED|RECOGNISED|COMPONENT|UL LISTED|UL RECOGNIZED|C US|ETL|ROHS|WEEE|TUV|ROHS COMPLIANT|EN|IEC 60034|IEC 60034 1|EN 60034|EN 60034 1",
        Entry::NotUsed("listing mark"),
    ),
    (
        "UNIT BEARING|UNIT BEARINGS|ENERGY EFFICIENT|PREMIUM EFFICIENCY|PREMIUM EFFICIENT|HIGH EFFICIENCY|INVERTER GRADE|RAINSHIELD|WITH LEADS|INSTANTLY REVERSIBLE|CONNECTION DIAGRAM ON BACK|SEE DIAGRAM|SEE CONNECTION DIAGRAM|FAN COOLED",
        Entry::NotUsed("remark"),
    ),
    (
        "MEASURED|MEAS|BY METER|BY CLAMP|CLAMPED|METERED|AS MEASURED",
        Entry::How(How::Measured),
    ),
    (
        "ASSUMED|EST|ESTIMATED|GUESS|GUESSED|GUESSING|PROBABLY|I THINK|ASSUMING",
        Entry::How(How::Assumed),
    ),
    (
        "OLD RECORD|FROM OLD RECORD|FROM RECORD|FROM RECORDS|FROM OLD RECORDS|ON RECORD|PER RECORDS|FROM FILE|FROM OLD TAG",
        Entry::How(How::OldRecord),
    ),
    (
        "UNREADABLE|ILLEGIBLE|NOT READABLE|WORN|WORN OFF|CANNOT READ|CANT READ|CAN T READ|NOT LEGIBLE|PAINTED OVER|SCRATCHED OFF|RUSTED|BLURRED|MISSING FROM PLATE|SCRATCHED|FADED",
        Entry::Unreadable,
    ),
    (
        "CLASS I|CL I|CLASS II|CL II|CLASS III|CL III|CLASS 1|CL 1|CLASS 2 DIV|CLASS 2 GROUP|CLASS 1 DIV|CLASS 1 GROUP",
        Entry::Hazard,
    ),
    ("HI|HIGH|MED|MEDIUM|LO|LOW|MH|ML", Entry::Tap),
];
