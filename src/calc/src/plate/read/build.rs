//! The facts of a text put together as one plate.

use super::Reading;
use super::choose::{Chooser, map};
use super::fact::{Kind, Mark, Said};
use super::scan::Scanned;
use super::{rotation, words};
use crate::plate::{Duty, Field, How, More, Plate};
use crate::units::{Amps, Celsius, Hertz, Microfarads, Millimetres, Rpm, Volts, Watts};

const MORE_CURRENTS: &str = "more currents than voltages";

/// The reading of what was scanned.
pub(super) fn build(scanned: Scanned) -> Reading {
    let mut from = Chooser {
        facts: scanned.facts,
        doubts: scanned.doubts,
    };
    capacitor_voltage(&mut from);
    watts(&mut from);
    let mut plate = Plate::default();
    ratings(&mut from, &mut plate);
    currents(&mut from, &mut plate);
    speeds(&mut from, &mut plate);
    powers(&mut from, &mut plate);
    duty(&mut from, &mut plate);
    shape(&mut from, &mut plate);
    codes(&mut from, &mut plate.more);
    rotation::rotation(&mut from, &mut plate);
    words::enclosure(&mut from, &mut plate);
    words::motor_type(&mut from, &mut plate);
    words::protection(&mut from, &mut plate);
    words::others(&mut from, &mut plate);
    Reading {
        plate,
        understood: scanned.understood,
        not_understood: scanned.not_understood,
        doubts: from.doubts,
    }
}

/// 330 V and 370 V are voltages of capacitors and of no motor.
fn capacitor_voltage(from: &mut Chooser) {
    for fact in &mut from.facts {
        if let (Kind::Volts, Said::Figures(values, _)) = (fact.kind, &fact.said)
            && matches!(values.as_slice(), [330.0] | [370.0])
        {
            fact.kind = Kind::CapacitorVolts;
        }
    }
}

/// Watts without `input` or `output`: beside a power they are input where they are more, and the
/// same power where they are like it; alone they are taken as output, with a doubt.
fn watts(from: &mut Chooser) {
    let power = from
        .facts
        .iter()
        .find_map(|fact| match (fact.kind, &fact.said) {
            (Kind::Power, Said::Figures(values, _)) => values.iter().copied().reduce(f64::max),
            _ => None,
        });
    let mut doubt = None;
    for fact in &mut from.facts {
        if fact.kind != Kind::Watts {
            continue;
        }
        let most = match &fact.said {
            Said::Figures(values, _) => values.iter().copied().reduce(f64::max),
            _ => None,
        };
        fact.kind = Kind::Power;
        match (power, most) {
            (Some(power), Some(watts)) if watts > power * 1.045 => {
                fact.kind = Kind::InputPower;
                doubt = Some((
                    "input_power",
                    "watts above the marked power are taken as the input",
                ));
            }
            (None, Some(_)) => {
                doubt = Some((
                    "power",
                    "watts alone are taken as the output; fan motors often mark the input",
                ));
            }
            _ => {}
        }
    }
    if let Some((field, words)) = doubt {
        from.doubt(field, words);
    }
}

fn all<T>(field: Field<(Vec<f64>, Vec<usize>)>, unit: fn(f64) -> T) -> Field<Vec<T>> {
    map(field, |(values, _)| {
        Some(values.into_iter().map(unit).collect())
    })
}

fn one<T>(field: Field<f64>, unit: fn(f64) -> T) -> Field<T> {
    map(field, |value| Some(unit(value)))
}

fn small(field: Field<f64>) -> Field<u8> {
    map(field, |value| {
        (0.0..=255.0).contains(&value).then_some(value as u8)
    })
}

fn ratings(from: &mut Chooser, plate: &mut Plate) {
    plate.frequency = all(from.list(Kind::Frequency), Hertz);
    // `Single phase` is the figure 1.
    for fact in &mut from.facts {
        if let Said::Mark(Mark::Phases(count) | Mark::SpeedCount(count)) = fact.said {
            fact.said = Said::Figures(vec![f64::from(count)], vec![0]);
        }
    }
    plate.phases = small(from.figure(Kind::Phases));
    plate.service_factor = from.figure(Kind::ServiceFactor);
    plate.efficiency = from.figure(Kind::Efficiency);
    plate.power_factor = from.figure(Kind::PowerFactor);
    plate.ambient = one(from.figure(Kind::Ambient), Celsius);
    plate.rise = one(from.figure(Kind::Rise), Celsius);
    plate.capacitor = one(from.figure(Kind::Capacitor), Microfarads);
    plate.capacitor_volts = one(from.figure(Kind::CapacitorVolts), Volts);
    plate.more.poles = small(from.figure(Kind::Poles));
    plate.more.speed_count = small(from.figure(Kind::SpeedCount));
}

/// Amperes in the order of the volts: `208-230/460 V 5.4/2.7 A` is 5.4 A at both of the first.
fn currents(from: &mut Chooser, plate: &mut Plate) {
    let volts = from.list(Kind::Volts);
    let (count, groups) = match volts.value() {
        Some((values, groups)) => (values.len(), groups.clone()),
        None => (0, Vec::new()),
    };
    let parts = groups.last().map_or(0, |last| last + 1);
    let spread = |(values, of): (Vec<f64>, Vec<usize>)| {
        if values.len() == parts && parts > 1 && count > parts {
            let spread = groups
                .iter()
                .filter_map(|group| values.get(*group).copied());
            return Some((spread.collect(), groups.clone()));
        }
        Some((values, of))
    };
    let amps = map(from.list(Kind::Amps), spread);
    let paired = amps.value().map(|(values, _)| values.len());
    plate.more.service_factor_amps = all(map(from.list(Kind::ServiceFactorAmps), spread), Amps);
    plate.more.locked_rotor_amps = all(map(from.list(Kind::LockedRotorAmps), spread), Amps);
    plate.volts = all(volts, Volts);
    plate.amps = all(amps, Amps);
    named_taps(from, plate);
    match paired {
        Some(1) if parts > 1 => {
            let words = "one current for several voltages: which it belongs to is not said";
            from.doubt("amps", words);
        }
        Some(paired) if count > 0 && paired > count && paired > 1 => {
            from.doubt("amps", MORE_CURRENTS);
        }
        _ => {}
    }
}

/// Currents of taps, highest first; the highest is the plate current where no other is given.
fn named_taps(from: &mut Chooser, plate: &mut Plate) {
    plate.more.tap_amps = all(from.list(Kind::TapAmps), Amps);
    if let Field::Known { value: taps, how } = &mut plate.more.tap_amps {
        taps.sort_by(|a, b| b.0.total_cmp(&a.0));
        if plate.amps == Field::Unknown {
            let value = taps.iter().take(1).copied().collect();
            plate.amps = Field::Known { value, how: *how };
        }
    }
}

/// Speeds of taps, highest first; of frequencies in their order.
fn speeds(from: &mut Chooser, plate: &mut Plate) {
    let list = from.list(Kind::Speed);
    let Field::Known {
        value: (mut speeds, _),
        how,
    } = list
    else {
        plate.speeds = all(list, Rpm);
        return;
    };
    let by_frequency = match plate.frequency.value().map(Vec::as_slice) {
        Some([first, second]) if speeds.len() == 2 => {
            let turns = |speed: f64, hertz: Hertz| speed / hertz.0;
            let (a, b) = (turns(speeds[0], *first), turns(speeds[1], *second));
            (a - b).abs() <= 0.06 * a.max(b)
        }
        _ => false,
    };
    if by_frequency {
        let value = speeds.iter().map(|speed| Rpm(*speed)).collect();
        plate.more.speeds_by_frequency = Field::Known { value, how };
    }
    speeds.sort_by(|a, b| b.total_cmp(a));
    speeds.dedup();
    speeds.truncate(if by_frequency { 1 } else { usize::MAX });
    tap_currents(from, plate, speeds.len());
    if let Some(count) = plate.more.speed_count.value()
        && speeds.len() > 1
        && speeds.len() != usize::from(*count)
    {
        from.doubt(
            "speeds",
            "the marked number of speeds is not the number of speeds given",
        );
    }
    plate.speeds = Field::Known {
        value: speeds.into_iter().map(Rpm).collect(),
        how,
    };
}

/// `115 V 1075/900 RPM 1.2/0.9 A`: as many currents as speeds and one voltage.
fn tap_currents(from: &mut Chooser, plate: &mut Plate, speeds: usize) {
    let volts = plate.volts.value().map_or(0, Vec::len);
    let Field::Known { value: amps, how } = &plate.amps else {
        return;
    };
    if speeds < 2 || amps.len() != speeds || volts != 1 || plate.more.tap_amps != Field::Unknown {
        return;
    }
    let (mut taps, how) = (amps.clone(), *how);
    taps.sort_by(|a, b| b.0.total_cmp(&a.0));
    plate.amps = Field::Known {
        value: taps.iter().take(1).copied().collect(),
        how,
    };
    plate.more.tap_amps = Field::Known { value: taps, how };
    from.doubts.retain(|doubt| doubt.words != MORE_CURRENTS);
    from.doubt(
        "tap_amps",
        "as many currents as speeds are taken as one for each speed",
    );
}

fn powers(from: &mut Chooser, plate: &mut Plate) {
    plate.more.input_power = map(from.list(Kind::InputPower), |(values, _)| {
        values.into_iter().reduce(f64::max).map(Watts)
    });
    let list = from.list(Kind::Power);
    let Field::Known {
        value: (mut values, _),
        how,
    } = list
    else {
        plate.power = map(list, |_| None);
        return;
    };
    values.sort_by(|a, b| b.total_cmp(a));
    let power = values.first().copied().map(Watts);
    if values.len() > 1 && plate.more.speeds_by_frequency != Field::Unknown {
        from.doubt(
            "power",
            "two powers, one for each frequency: the smaller is kept",
        );
        plate.power = known(values.last().copied().map(Watts), how);
        return;
    }
    plate.power = known(power, how);
    if values.len() > 1 {
        plate.more.tap_powers = known(Some(values.into_iter().map(Watts).collect()), how);
    }
}

fn known<T>(value: Option<T>, how: How) -> Field<T> {
    value.map_or(Field::Unknown, |value| Field::Known { value, how })
}

/// Minutes say that it must rest.
fn duty(from: &mut Chooser, plate: &mut Plate) {
    plate.more.duty_minutes = from.figure(Kind::Minutes);
    plate.duty = from.mark(Kind::Duty, |mark| match mark {
        Mark::Duty(duty) => Some(duty),
        _ => None,
    });
    match (&plate.duty, &plate.more.duty_minutes) {
        (Field::Unknown, Field::Known { how, .. })
            if !from.facts.iter().any(|f| f.kind == Kind::Duty) =>
        {
            plate.duty = Field::Known {
                value: Duty::Intermittent,
                how: *how,
            };
        }
        (
            Field::Known {
                value: Duty::Continuous,
                ..
            },
            Field::Known { .. },
        ) => {
            from.doubt("duty", "continuous, and a time to run as well");
        }
        _ => {}
    }
}

fn shape(from: &mut Chooser, plate: &mut Plate) {
    let mut length = |kind| one(from.figure(kind), Millimetres);
    plate.shaft_diameter = length(Kind::ShaftDiameter);
    plate.shaft_length = length(Kind::ShaftLength);
    plate.body_diameter = length(Kind::BodyDiameter);
    plate.body_length = length(Kind::BodyLength);
    plate.bolt_circle = length(Kind::BoltCircle);
    plate.stud_length = length(Kind::StudLength);
    plate.stud_count = small(from.figure(Kind::StudCount));
    plate.stud_thread = from.text(Kind::StudThread);
    plate.frame = from.text(Kind::Frame);
    plate.code_letter = from.letter(Kind::CodeLetter);
    plate.hazardous_listing = from.text(Kind::HazardousListing);
}

fn codes(from: &mut Chooser, more: &mut More) {
    more.design_letter = from.letter(Kind::DesignLetter);
    more.connection = from.text(Kind::Connection);
    more.ip_code = from.text(Kind::IpCode);
    more.cooling_code = from.text(Kind::CoolingCode);
    more.mounting_code = from.text(Kind::MountingCode);
    more.efficiency_class = from.text(Kind::EfficiencyClass);
    more.duty_code = from.text(Kind::DutyCode);
}
