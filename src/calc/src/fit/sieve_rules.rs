//! From a machine to its sieve. Each condition names the rule it follows from.

use super::known::{Facts, celsius, get, num, opt, text};
use super::load::ROUNDING;
use super::shaft::{SAME_BORE, SHAFTS};
use super::shape::SAME_LENGTH;
use super::sieve::{Cut, Sieve};
use super::sink::Tally;
use super::speed::FIVE_PERCENT;
use super::traits::{Coded, Column, OneWay, foot_height};
use super::{Need, kind, place, shaft, shape, supply};
use crate::installation::Drive;
use crate::plate::*;
use crate::units::WATTS_PER_HP;

/// Limits are widened by a millionth: a candidate at a limit is left to the rules.
const DOWN: f64 = 1.0 - 1e-6;
const UP: f64 = 1.0 + 1e-6;
/// Shares of a speed at which the cube law is cut into steps.
const SLOWER: [f64; 5] = [1.0, 0.9, 0.8, 0.7, 0.6];
const FASTER: [f64; 3] = [1.05, 1.15, 1.3];

impl Sieve {
    /// What rules a candidate out for this machine. Valid for any input; no errors.
    pub fn new(need: &Need) -> Sieve {
        let blank = Plate::default();
        let facts = Facts::new(need, &blank);
        let mut sieve = Sieve::default();
        sieve.supply(&facts);
        sieve.power(&facts);
        sieve.speed(&facts);
        sieve.listed(need);
        sieve.turning(need);
        sieve.shaft(&facts);
        sieve.place(&facts);
        sieve
    }

    fn one(&mut self, cut: Cut) {
        self.misfits.push(vec![cut]);
    }

    fn both(&mut self, cut: Cut, and: Cut) {
        self.misfits.push(vec![cut, and]);
    }

    /// Rules 1 to 3: phases, and volts and hertz that no plate value comes near.
    fn supply(&mut self, f: &Facts) {
        let known = |phases: &u8| *phases > 0;
        let old = || get(&f.old.phases).filter(known);
        if let Some(phases) = f.site.phases.filter(known).or_else(old) {
            self.one(Cut::Other(Column::Phases, f64::from(phases)));
        }
        if let Some((volts, _)) = f.supply() {
            self.one(Cut::Below(Column::VoltsHigh, volts / 1.10 * DOWN));
            self.one(Cut::Above(Column::VoltsLow, volts / 0.90 * UP));
        }
        if let Some(hertz) = opt(f.site.frequency) {
            self.one(Cut::Below(Column::HertzHigh, hertz / 1.05 * DOWN));
            self.one(Cut::Above(Column::HertzLow, hertz / 0.95 * UP));
        }
    }

    /// Rules 4, 5 and 7: too weak for what is taken or for the old plate, too few taps.
    fn power(&mut self, f: &Facts) {
        // Four times the margin: the cube triples that of the speed.
        let least = (1.0 - ROUNDING) * DOWN.powi(4);
        match (f.load, f.load_at, f.driven.drive) {
            // A slower wheel takes less: the floor falls with the cube of the candidate's speed.
            (Some(load), Some(at), Some(Drive::Direct)) => {
                for share in SLOWER {
                    let floor = Cut::Below(Column::Power, load * share.powi(3) * least);
                    self.both(floor, Cut::Above(Column::Speed, at * share * DOWN));
                }
            }
            (Some(load), _, _) => self.one(Cut::Below(Column::Power, load * least)),
            // Down to 4 % below the old plate it is a question.
            (None, _, _) => {
                if let Some(old) = f.old_power {
                    self.one(Cut::Below(Column::Power, 0.96 * old * DOWN));
                }
            }
        }
        if let Some(used) = f.site.taps_used.filter(|used| *used > 0) {
            self.one(Cut::Below(Column::Taps, f64::from(used)));
        }
    }

    /// Rules 5 and 6: past the wheel's limit, another pole count, overloaded by its speed.
    fn speed(&mut self, f: &Facts) {
        let Some((drive, old)) = f.driven.drive.zip(f.old_speed) else {
            return;
        };
        if drive == Drive::Belt {
            return;
        }
        if let Some(limit) = opt(f.driven.wheel_limit) {
            self.one(Cut::Above(Column::Speed, limit * UP));
        }
        if let Some((poles, _)) = f.poles(f.old_type, f.old, old) {
            let other = || Cut::Other(Column::Poles, f64::from(poles));
            let (low, high) = (old * (1.0 - FIVE_PERCENT), old * (1.0 + FIVE_PERCENT));
            self.both(other(), Cut::Below(Column::Speed, low * DOWN));
            self.both(other(), Cut::Above(Column::Speed, high * UP));
        }
        if let Some((load, at)) = f.load.zip(f.load_at) {
            for share in FASTER {
                // Beyond the plate tolerance the cube law holds, whatever the candidate's type.
                let faster = (at * share).max(at + f.speed_tolerance()) * UP;
                let weak = load * share.powi(3) / (1.0 + ROUNDING) * DOWN;
                self.both(
                    Cut::Above(Column::Speed, faster),
                    Cut::Below(Column::Power, weak),
                );
            }
        }
    }

    /// Rules 8, 9, 14, 19, 21, 23, 25 and 26: the rule itself, asked about each value it may see.
    /// Every one of them refuses by this one value alone, whatever else the plate tells.
    fn listed(&mut self, need: &Need) {
        self.each(need, Column::Kind, |value, plate| {
            plate.motor_type = Field::read(value);
        });
        self.each(need, Column::Mount, |value, plate| {
            plate.mount = Field::read(value);
        });
        self.each(need, Column::Enclosure, |value, plate| {
            plate.enclosure = Field::read(value);
        });
        self.each(need, Column::Duty, |value, plate| {
            plate.duty = Field::read(value);
        });
        self.each(need, Column::Protection, |value, plate| {
            plate.protection = Field::read(value);
        });
        self.each(need, Column::Bearing, |value, plate| {
            plate.bearing = Field::read(value);
        });
        let single = Plate {
            double_shaft: Field::read(false),
            ..Plate::default()
        };
        if refused(need, &single) {
            self.one(Cut::OneOf(Column::DoubleShaft, vec![0.0]));
        }
    }

    fn each<T: Coded>(&mut self, need: &Need, column: Column, put: impl Fn(T, &mut Plate)) {
        let refused = |value: &&T| {
            let mut plate = Plate::default();
            put(**value, &mut plate);
            refused(need, &plate)
        };
        let values = T::ALL.iter().filter(refused);
        let codes: Vec<f64> = values.filter_map(|value| value.code()).collect();
        if !codes.is_empty() {
            self.one(Cut::OneOf(column, codes));
        }
    }

    /// Rules 11 and 12, for a motor that turns one way only.
    fn turning(&mut self, need: &Need) {
        self.each(need, Column::Turning, |way: OneWay, plate| {
            let direction = match way {
                OneWay::CounterClockwise => Direction::CounterClockwise,
                OneWay::Clockwise | OneWay::NotStated => Direction::Clockwise,
            };
            let seen_from = match way {
                OneWay::NotStated => SeenFrom::NotStated,
                _ => SeenFrom::ShaftEnd,
            };
            plate.rotation = Field::read(Rotation {
                direction,
                seen_from,
                reversible: false,
            });
        });
    }

    /// Rules 13, 16 and 17: shaft height, bore and hub.
    fn shaft(&mut self, f: &Facts) {
        let on_line = f.driven.drive != Some(Drive::Belt);
        if let Some(height) = foot_height(f.old).filter(|_| on_line) {
            let play = SAME_LENGTH * UP;
            self.one(Cut::Below(Column::FootHeight, height - play));
            self.one(Cut::Above(Column::FootHeight, height + play));
        }
        if let Some(hub) = opt(f.driven.hub_length) {
            self.one(Cut::Below(Column::ShaftLength, (hub - SAME_LENGTH) * DOWN));
        }
        let old_shaft = || num(&f.old.shaft_diameter);
        let Some(bore) = opt(f.driven.hub_bore).or_else(old_shaft) else {
            return;
        };
        let smaller = |than: f64| Cut::Below(Column::ShaftDiameter, (than - SAME_BORE) * DOWN);
        match f.driven.drive {
            None | Some(Drive::Direct) => {
                self.one(Cut::Above(Column::ShaftDiameter, (bore + SAME_BORE) * UP));
                // A bushing is for motors below 1 hp.
                let strong = Cut::Above(Column::Power, 0.995 * WATTS_PER_HP * UP);
                self.both(smaller(bore), strong);
            }
            Some(Drive::Belt) => {
                let below = |size: &f64| size * 25.4 <= bore + SAME_BORE;
                let second = SHAFTS.iter().rev().copied().filter(below).nth(1);
                if let Some(second) = second {
                    self.one(smaller((second * 25.4).min(bore)));
                }
            }
            Some(Drive::Coupled) => {}
        }
    }

    /// Rules 20, 22 and 28: free space, heat, hazardous locations.
    fn place(&mut self, f: &Facts) {
        if let Some(free) = opt(f.site.free_diameter) {
            self.one(Cut::Above(Column::BodyDiameter, free * UP));
        }
        if let Some(free) = opt(f.site.free_length) {
            self.one(Cut::Above(Column::BodyLength, free * UP));
        }
        if let Some(site) = celsius(f.site.ambient) {
            self.one(Cut::Below(Column::Ambient, site - 0.01 - 1e-6));
        }
        let site = f.site.hazardous.as_deref().map(str::trim);
        let site = site.filter(|text| !text.is_empty());
        let old = || text(&f.old.hazardous_listing).filter(|text| !place::unclassified(text));
        match site {
            Some(site) if place::unclassified(site) => {}
            site => {
                if let Some(needed) = site.or_else(old) {
                    self.one(Cut::Unlisted(needed.to_owned()));
                }
            }
        }
    }
}

/// Whether a rule that looks at one value refuses it.
fn refused(need: &Need, plate: &Plate) -> bool {
    let facts = Facts::new(need, plate);
    let mut tally = Tally::default();
    kind::motor_type(&facts, &mut tally);
    supply::control(&facts, &mut tally);
    shape::mount(&facts, &mut tally);
    shaft::double_shaft(&facts, &mut tally);
    place::rotation(&facts, &mut tally);
    place::reversing(&facts, &mut tally);
    place::enclosure(&facts, &mut tally);
    kind::duty(&facts, &mut tally);
    kind::protection(&facts, &mut tally);
    kind::bearing(&facts, &mut tally);
    tally.blocks > 0
}
