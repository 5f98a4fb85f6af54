//! The rule table, rules 13 to 29; see `rules`.

use super::rules::*;
use super::*;

#[test]
fn rules_13_to_15_frame_mount_and_studs() {
    // 13 exact, ok (56H covers a 56), fit-up (equal height on a belt), no (coupled), ask (Z).
    pulled("frame", Same, |_, _, n| n.frame = read("56 ".to_owned()));
    pulled("frame", Suits, |_, _, n| n.frame = read("56H".to_owned()));
    let other = pulled("frame", Work, |_, _, n| n.frame = read("145T".to_owned()));
    says(
        &other,
        "frame",
        "139.7 mm (5.5 in) across and 127 mm (5 in) along",
    );
    pulled("frame", No, |_, m, n| {
        m.driven.drive = Some(Drive::Coupled);
        n.frame = read("182T".to_owned());
    });
    pulled("frame", Ask, |_, _, n| {
        n.frame = read("56HZ".to_owned());
        n.shaft_length = Field::Unknown;
    });
    // 13 fit-up: a lower frame on a belt is packed up.
    let lower = pulled("frame", Work, |o, _, n| {
        o.frame = read("90S".to_owned());
        n.frame = read("143T".to_owned());
    });
    says(&lower, "frame", "spacers of 1.1 mm");
    // 14 fit-up: studs to a band; a cradle to rigid feet. 14 no: studs to feet.
    wheel("mount", Work, |_, _, n| n.mount = read(Mount::BellyBand));
    let pads = pulled("mount", Work, |o, _, _| o.mount = read(Mount::Yoke));
    says(&pads, "mount", "rubber pads");
    wheel("mount", No, |_, _, n| n.mount = read(Mount::Feet));
    // 15 exact: 1/32 in off. 15 fit-up: another circle, thread; studs to cut by 25.4 mm.
    wheel("studs", Same, |_, _, n| {
        n.bolt_circle = inches(4.75 + 1.0 / 32.0)
    });
    let circle = wheel("studs", Work, |_, _, n| n.bolt_circle = inches(5.0));
    says(&circle, "studs", "127 mm (5 in)");
    wheel("studs", Work, |_, _, n| {
        n.stud_thread = read("10-32".to_owned())
    });
    let cut = wheel("studs", Work, |_, _, n| n.stud_length = inches(2.5));
    says(&cut, "studs", "Cut the studs by 25.4 mm (1 in)");
    // 15 ok: a little longer. 15 no: 7.3 mm short of the 20 mm; on the wrong end.
    let longer = wheel("studs", Suits, |_, _, n| n.stud_length = inches(1.75));
    says(&longer, "studs", "studs 6.4 mm (0.25 in) longer");
    let short = wheel("studs", No, |_, _, n| n.stud_length = inches(0.5));
    says(&short, "studs", "7.3 mm");
    wheel("studs", No, |_, _, n| n.stud_end = read(StudEnd::ShaftEnd));
}

#[test]
fn rules_16_to_19_the_shaft() {
    // 16 fit-up: 1/2 in in a 5/8 in hub, by a bushing at least 19 mm long.
    let bushing = wheel("shaft_diameter", Work, |_, m, _| {
        m.driven.hub_bore = Some(Millimetres(15.875));
    });
    says(
        &bushing,
        "shaft_diameter",
        "12.7 × 15.9 mm (1/2 × 5/8 in), at least 19 mm",
    );
    // 16 fit-up on a belt: one size smaller. 16 no: two sizes. 16 no: a bushing at 1 hp.
    pulled("shaft_diameter", Work, |_, _, n| {
        n.shaft_diameter = inches(0.5)
    });
    pulled("shaft_diameter", No, |_, _, n| {
        n.shaft_diameter = inches(0.375)
    });
    wheel("shaft_diameter", No, |_, m, n| {
        m.driven.hub_bore = Some(Millimetres(15.875));
        n.power = read(Watts::from_hp(1.0));
    });
    // 17 ok: longer with room. 17 fit-up: 31.8 mm longer with room for 25.4. 17 no: 1.5 in hub.
    wheel("shaft_length", Suits, |_, _, n| {
        n.shaft_length = inches(4.5)
    });
    let cut = wheel("shaft_length", Work, |_, _, n| {
        n.shaft_length = inches(5.25)
    });
    says(
        &cut,
        "shaft_length",
        "Cut the shaft by 31.8 mm (1.25 in), at the least by 6.4 mm",
    );
    wheel("shaft_length", No, |_, _, n| n.shaft_length = inches(1.5));
    // 18 ok: a flat for a round one. 18 fit-up: key in a plain hub; round to be filed.
    wheel("shaft_form", Suits, |o, _, _| {
        o.shaft_form = read(ShaftForm::Round)
    });
    wheel("shaft_form", Work, |_, _, n| {
        n.shaft_form = read(ShaftForm::Keyed)
    });
    wheel("shaft_form", Work, |_, _, n| {
        n.shaft_form = read(ShaftForm::Round)
    });
    // 18 no: 1 hp on a belt without the key.
    pulled("shaft_form", No, |_, _, n| {
        n.shaft_form = read(ShaftForm::Flat)
    });
    // 19 ok, fit-up, no, ask.
    wheel("double_shaft", Suits, |o, _, _| o.double_shaft = read(true));
    wheel("double_shaft", Work, |_, _, n| n.double_shaft = read(true));
    wheel("double_shaft", No, |o, m, _| {
        o.double_shaft = read(true);
        m.driven.second_shaft_used = Some(true);
    });
    wheel("double_shaft", Ask, |o, m, _| {
        o.double_shaft = read(true);
        m.driven.second_shaft_used = None;
    });
}

#[test]
fn rules_20_to_23_body_and_place() {
    // 20 ok: smaller. 20 fit-up: another band. 20 no: 9 in into 200 mm. 20 ask: no space known.
    wheel("body", Suits, |_, _, n| n.body_length = inches(4.0));
    let band = wheel("body", Work, |o, _, n| {
        o.mount = read(Mount::BellyBand);
        n.mount = read(Mount::BellyBand);
        n.body_diameter = inches(5.0);
    });
    says(&band, "body", "127 mm (5 in)");
    wheel("body", No, |_, _, n| n.body_length = inches(9.0));
    wheel("body", Ask, |_, m, n| {
        m.site.free_length = None;
        n.body_length = inches(6.0);
    });
    // 21 ok: enclosed and self-cooled for air-over. 21 no: open in the wet; 21 ask: stream unknown.
    wheel("enclosure", Suits, |_, _, n| {
        n.enclosure = read(Enclosure::TotallyEnclosedFanCooled)
    });
    wheel("enclosure", No, |_, m, n| {
        m.site.surroundings = Some(Surroundings::GreaseLaden);
        n.enclosure = read(Enclosure::OpenDripProof);
    });
    wheel("enclosure", Ask, |o, m, _| {
        o.enclosure = read(Enclosure::OpenDripProof);
        m.site.in_air_stream = None;
    });
    // 22 ok: a higher mark, a higher class. 22 no: hotter than the mark; lower class, no margin.
    wheel("ambient", Suits, |_, _, n| n.ambient = read(Celsius(60.0)));
    wheel("ambient", No, |_, m, _| {
        m.site.ambient = Some(Celsius(45.0))
    });
    wheel("insulation", Suits, |_, _, n| {
        n.insulation = read(InsulationClass::F)
    });
    wheel("insulation", No, |_, m, n| {
        m.site.ambient = Some(Celsius(35.0));
        n.insulation = read(InsulationClass::A);
    });
    // 23 ok: continuous for anything. 23 no: short-time for continuous. 23 ask.
    wheel("duty", Suits, |o, m, _| {
        o.duty = read(Duty::Intermittent);
        m.site.continuous = None;
    });
    wheel("duty", No, |_, _, n| n.duty = read(Duty::Intermittent));
    wheel("duty", Ask, |_, _, n| n.duty = Field::Unreadable);
}

#[test]
fn rules_24_to_27_service_factor_protection_bearing_capacitor() {
    // 24 exact: higher. 24 ok: lower, and 140 W of 186 W. 24 no: 200 W. 24 ask: load unknown.
    wheel("service_factor", Same, |_, _, n| {
        n.service_factor = read(1.15)
    });
    wheel("service_factor", Suits, |o, _, _| {
        o.service_factor = read(1.35)
    });
    wheel("service_factor", No, |o, m, _| {
        o.service_factor = read(1.35);
        m.driven.shaft_power = Some(Watts(200.0));
    });
    wheel("service_factor", Ask, |o, m, _| {
        o.service_factor = read(1.35);
        m.driven.shaft_power = None;
    });
    // 25 ok: manual for automatic. 25 fit-up: none, overload 1.8 x 1.15. 25 no, ask: restart.
    wheel("protection", Suits, |_, _, n| {
        n.protection = read(Protection::Manual)
    });
    let none = wheel("protection", Work, |_, _, n| {
        n.protection = read(Protection::NoProtector)
    });
    says(&none, "protection", "at most 2.07 A (115 % of plate amps)");
    wheel("protection", No, |_, m, _| {
        m.site.restart_can_hurt = Some(true)
    });
    wheel("protection", Ask, |_, m, _| m.site.restart_can_hurt = None);
    // 25 fit-up: the overload seen is set to 6 A, and this motor allows 4 A.
    let reset = pulled("protection", Work, |_, m, _| {
        m.overload.as_mut().unwrap().setting = Some(6.into());
    });
    says(&reset, "protection", "at most 4 A (125 % of plate amps)");
    // 26 ok: ball for sleeve. 26 no: sleeve for ball on a belt. 26 ask: position unknown.
    wheel("bearing", Suits, |_, _, n| n.bearing = read(Bearing::Ball));
    pulled("bearing", No, |_, _, n| n.bearing = read(Bearing::Sleeve));
    wheel("bearing", Ask, |o, m, _| {
        o.position = Field::Unknown;
        m.site.position = None;
    });
    // 27 ok: the old one is rated higher. 27 fit-up: another value. 27 ask: none on the plate.
    wheel("capacitor", Suits, |o, _, _| {
        o.capacitor_volts = read(Volts(440.0))
    });
    let fitted = wheel("capacitor", Work, |_, _, n| {
        n.capacitor = read(Microfarads(7.5))
    });
    says(&fitted, "capacitor", "7.5 µF 370 V");
    wheel("capacitor", Ask, |_, _, n| n.capacitor = Field::Unknown);
    // 27: a lower rating of the old one is never kept.
    wheel("capacitor", Work, |_, _, n| {
        n.capacitor_volts = read(Volts(440.0))
    });
}

#[test]
fn rules_28_and_29_the_law() {
    // 28: the same listing is a question for a qualified person, another one or none is no.
    let change: Change = |_, m, n| {
        m.site.hazardous = Some("Class I Division 2 Group D T3".to_owned());
        n.hazardous_listing = read("Class I Division 2 Group D T3".to_owned());
    };
    wheel("hazardous", Ask, change);
    wheel("hazardous", No, |_, m, _| {
        m.site.hazardous = Some("Class I Division 2 Group D T3".to_owned());
    });
    wheel("hazardous", Same, |_, m, _| {
        m.site.hazardous = Some("Unclassified".to_owned())
    });
    // 29: above the floor is exact; below it warns and blocks nothing.
    pulled("efficiency", Same, |_, _, n| n.efficiency = read(90.0));
    let below = pulled("efficiency", Suits, |_, _, n| n.efficiency = read(60.0));
    assert!(below.cautions.iter().any(|c| c.contains("floor")));
}
