//! Belt drives: speeds and sheaves, length and centres, wrap and span.

pub mod section;
pub mod tension;

use crate::motor::{MotorError, positive};
use crate::units::{Millimetres, Rpm};
use std::f64::consts::PI;

/// Two sheaves by *pitch* diameter and the distance of their shafts, in mm. Which of the sheaves
/// drives does not matter here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    large: f64,
    small: f64,
    centres: f64,
}

impl Drive {
    /// Sheaves `D`, `d` and centres `C`.
    /// # Errors
    /// [`MotorError::NotPositive`] for a figure that is not above zero, and for centres at which the
    /// sheaves would touch: `C` must be above `(D + d)/2`.
    pub fn new(
        one: Millimetres,
        other: Millimetres,
        centres: Millimetres,
    ) -> Result<Drive, MotorError> {
        let one = positive("sheave diameter", one.0)?;
        let other = positive("other sheave diameter", other.0)?;
        let centres = positive("centre distance", centres.0)?;
        let gap = centres - (one + other) / 2.0;
        positive("space between the sheaves", gap)?;
        Ok(Drive {
            large: one.max(other),
            small: one.min(other),
            centres,
        })
    }

    /// Drive of a given belt: `C = (B + sqrt(B^2 - 32 (D - d)^2))/16`, `B = 4 L - 2 pi (D + d)`.
    ///
    /// All in mm, `L` pitch length, `D`, `d` pitch diameters. The inverse of [`Drive::length`].
    /// Source: machine design textbooks.
    /// # Errors
    /// [`MotorError::NotPositive`], also for a belt too short for the sheaves.
    pub fn of_length(
        one: Millimetres,
        other: Millimetres,
        length: Millimetres,
    ) -> Result<Drive, MotorError> {
        let d1 = positive("sheave diameter", one.0)?;
        let d2 = positive("other sheave diameter", other.0)?;
        let length = positive("belt length", length.0)?;
        let b = positive(
            "belt length beyond the sheaves",
            4.0 * length - 2.0 * PI * (d1 + d2),
        )?;
        let under = b * b - 32.0 * (d1 - d2).powi(2);
        if under < 0.0 {
            positive("belt length beyond the sheaves", under)?;
        }
        Drive::new(one, other, Millimetres((b + under.sqrt()) / 16.0))
    }

    /// Distance of the shafts.
    pub fn centres(&self) -> Millimetres {
        Millimetres(self.centres)
    }

    fn difference(&self) -> f64 {
        self.large - self.small
    }

    /// Belt length by the usual series: `L = 2 C + (pi/2)(D + d) + (D - d)^2/(4 C)`.
    ///
    /// Books print 1.57 for pi/2, up to 0.03 in less for each 34 in of `D + d`; beside the exact length
    /// it is short by a few thousandths of an inch. Source: machine design textbooks.
    pub fn length(&self) -> Millimetres {
        let round = PI / 2.0 * (self.large + self.small);
        Millimetres(2.0 * self.centres + round + self.difference().powi(2) / (4.0 * self.centres))
    }

    /// Exact length: `L = 2 t + (pi/2)(D + d) + (D - d) asin((D - d)/(2 C))`, `t` the span.
    /// Source: geometry.
    pub fn exact_length(&self) -> Millimetres {
        let round = PI / 2.0 * (self.large + self.small);
        let lean = (self.difference() / (2.0 * self.centres)).asin();
        Millimetres(2.0 * self.span().0 + round + self.difference() * lean)
    }

    /// Wrap on the small sheave in degrees: `180 - 2 asin((D - d)/(2 C))`. Source: geometry.
    pub fn wrap(&self) -> f64 {
        180.0
            - 2.0
                * (self.difference() / (2.0 * self.centres))
                    .asin()
                    .to_degrees()
    }

    /// The shop form of the wrap, `180 - 60 (D - d)/C` degrees: about 1 degree low on usual drives,
    /// too high where `D - d` is above `C`. Source: common practice.
    pub fn wrap_by_rule(&self) -> f64 {
        180.0 - 60.0 * self.difference() / self.centres
    }

    /// Free span between the sheaves: `t = sqrt(C^2 - ((D - d)/2)^2)`. Source: geometry.
    pub fn span(&self) -> Millimetres {
        Millimetres((self.centres.powi(2) - (self.difference() / 2.0).powi(2)).sqrt())
    }
}

/// How far a belt is pressed down in the middle of its span for the force test: `t/64`, 1/64 in for
/// each inch. Source: belt maintenance practice.
/// # Errors
/// [`MotorError::NotPositive`] for the span.
pub fn test_deflection(span: Millimetres) -> Result<Millimetres, MotorError> {
    Ok(Millimetres(positive("span", span.0)? / 64.0))
}

/// Pitch diameter of the driven sheave for a wanted speed: `D = d n1/n2`; turned round,
/// `d = D n2/n1` is the same with the speeds exchanged.
///
/// Slip of the belt, about 1 %, is left out. Source: geometry.
/// # Errors
/// [`MotorError::NotPositive`] for any input.
pub fn sheave_for(
    sheave: Millimetres,
    its_speed: Rpm,
    wanted: Rpm,
) -> Result<Millimetres, MotorError> {
    let n = positive("speed of the known sheave", its_speed.0)?;
    let d = positive("known sheave", sheave.0)?;
    Ok(Millimetres(d * n / positive("wanted speed", wanted.0)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::driven_speed;
    use proptest::prelude::*;

    fn mm(value: f64) -> Millimetres {
        Millimetres(value)
    }

    #[test]
    fn sheaves_that_touch_are_no_drive() {
        assert!(Drive::new(mm(200.0), mm(100.0), mm(150.0)).is_err());
        assert!(Drive::of_length(mm(200.0), mm(100.0), mm(450.0)).is_err());
    }

    proptest! {
        #[test]
        fn length_and_centres_come_back(
            one in 50.0..800.0f64, other in 50.0..800.0f64, room in 1.0..2000.0f64,
        ) {
            let centres = (one + other) / 2.0 + room;
            let drive = Drive::new(mm(one), mm(other), mm(centres)).expect("a drive");
            let back = Drive::of_length(mm(one), mm(other), drive.length()).expect("a drive");
            prop_assert!((back.centres().0 - centres).abs() < 1e-6 * centres);
            prop_assert!(drive.length().0 <= drive.exact_length().0 + 1e-9 * centres);
            prop_assert!(drive.wrap() <= 180.0);
            if (one - other).abs() <= centres {
                prop_assert!(drive.wrap() > drive.wrap_by_rule() - 1e-9);
            }
            let wider = Drive::new(mm(one), mm(other), mm(centres + 10.0)).expect("a drive");
            prop_assert!(wider.wrap() >= drive.wrap() && wider.length() > drive.length());
        }

        #[test]
        fn the_sheave_for_a_speed_gives_that_speed(
            d in 50.0..400.0f64, n in 500.0..3600.0f64, wanted in 200.0..3000.0f64,
        ) {
            let driven = sheave_for(mm(d), Rpm(n), Rpm(wanted)).expect("a sheave");
            let speed = driven_speed(Rpm(n), mm(d), driven).expect("a speed");
            prop_assert!((speed.0 / wanted - 1.0).abs() < 1e-9);
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            let drives = [Drive::new(mm(a), mm(b), mm(c)), Drive::of_length(mm(a), mm(b), mm(c))];
            for drive in drives.into_iter().flatten() {
                let _ = (drive.length(), drive.exact_length(), drive.wrap(), drive.span());
            }
            let _ = (test_deflection(mm(a)), sheave_for(mm(a), Rpm(b), Rpm(c)));
        }
    }
}
