//! Power ratings that motors are made and stamped in.

use crate::shown::{Fill, figure, line, positive};
use crate::tables::rows;
use crate::units::Watts;
use crate::working::Working;
use std::sync::LazyLock;

/// Which list a rating belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Series {
    /// NEMA MG 1 10.32, 1/20 to 1 hp (list from memory).
    Fractional,
    /// NEMA MG 1 10.32, above 1 hp; the list of 10 CFR 431.25.
    Integral,
    /// NEMA MG 1 10.32, millihorsepower (list from memory).
    Subfractional,
    /// Stamped on fan motors, though no step of the standard. Common practice.
    Stamped,
}

impl Series {
    /// Where the list comes from.
    pub fn source(self) -> &'static str {
        match self {
            Series::Fractional => "NEMA MG 1 10.32, list from memory",
            Series::Integral => "NEMA MG 1 10.32; 10 CFR 431.25",
            Series::Subfractional => "NEMA MG 1 10.32 millihorsepower, list from memory",
            Series::Stamped => "common practice; no step of NEMA MG 1 10.32",
        }
    }
}

/// One rating.
#[derive(Clone, Debug, PartialEq)]
pub struct Rating {
    /// As stamped, such as `1/3` or `7.5 mhp`.
    pub stamped: String,
    /// Horsepower.
    pub hp: f64,
    /// The list it belongs to.
    pub series: Series,
}

impl Rating {
    /// In watts of 745.699872 to the horsepower.
    pub fn watts(&self) -> Watts {
        Watts::from_hp(self.hp)
    }
}

/// All ratings, as the lists print them.
pub fn ratings() -> &'static [Rating] {
    static TABLE: LazyLock<Vec<Rating>> = LazyLock::new(|| {
        rows(include_str!("tables/power_ratings.csv"))
            .into_iter()
            .filter_map(|row| {
                Some(Rating {
                    stamped: row.first()?.clone(),
                    hp: crate::figure::fraction(row.get(1)?)?,
                    series: match row.get(2)?.as_str() {
                        "fractional" => Series::Fractional,
                        "integral" => Series::Integral,
                        "subfractional" => Series::Subfractional,
                        _ => Series::Stamped,
                    },
                })
            })
            .collect()
    });
    &TABLE
}

/// The rating of this stamp, such as `1/3` or `1.5 mhp`.
pub fn stamped(stamp: &str) -> Option<&'static Rating> {
    let stamp = stamp.trim().trim_end_matches("hp").trim_end();
    let same = |rating: &&Rating| {
        let listed = rating.stamped.trim_end_matches("hp").trim_end();
        let milli = listed.ends_with('m') == stamp.ends_with('m');
        let read = |text: &str| crate::figure::fraction(text.trim_end_matches('m').trim_end());
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        milli
            && read(listed)
                .zip(read(stamp))
                .is_some_and(|(a, b)| near(a, b))
    };
    ratings().iter().find(same)
}

/// The smallest rating that is not below a power, of the steps of NEMA MG 1 10.32 only; a power within
/// 0.6 % above a rating still is that rating, since plates round. `None` above 200 hp, where the list
/// ends, and for no figure. Source: NEMA MG 1 10.32.
pub fn next_up(power: Watts) -> Option<&'static Rating> {
    let hp = positive(power.0)? / Watts::from_hp(1.0).0;
    ratings()
        .iter()
        .filter(|rating| rating.series != Series::Stamped && rating.hp * 1.006 >= hp)
        .min_by(|a, b| a.hp.total_cmp(&b.hp))
}

/// The rating nearest to a power by ratio, of all lists; of two alike the one of the standard.
/// Source: common practice.
pub fn nearest(power: Watts) -> Option<&'static Rating> {
    let hp = positive(power.0)? / Watts::from_hp(1.0).0;
    let off = |rating: &Rating| (rating.hp / hp).ln().abs();
    ratings().iter().min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// A power beside the ratings, laid open.
pub fn working(power: Watts, found: Option<&Rating>) -> Working {
    let mut working = Working::new("Stamped power");
    working.lines.push(
        line("power", "Power")
            .value(figure(power.0, 2), "W")
            .rule("745.7 W to the horsepower", "NIST SP 811"),
    );
    if let Some(rating) = found {
        working.lines.push(
            line("rating", "Nearest rating")
                .value(
                    format!("{} ({} W)", rating.stamped, figure(rating.watts().0, 2)),
                    "hp",
                )
                .rule("nearest by ratio", rating.series.source()),
        );
    }
    if let Some(next) = next_up(power) {
        working.lines.push(
            line("next", "Smallest standard rating that carries it")
                .value(next.stamped.clone(), "hp")
                .rule("next step of NEMA MG 1 10.32", next.series.source())
                .note("Service factor is not counted."),
        );
    }
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_stamp_is_found_as_people_write_it() {
        assert_eq!(stamped("1/3 hp").map(|r| &*r.stamped), Some("1/3"));
        assert_eq!(stamped("7 1/2").map(|r| r.hp), Some(7.5));
        assert_eq!(stamped("7.5 mhp").map(|r| r.hp), Some(0.0075));
        assert_eq!(stamped("4"), None);
    }

    #[test]
    fn the_next_rating_leaves_out_what_is_only_stamped() {
        let next = |hp| next_up(Watts::from_hp(hp)).map(|r| &*r.stamped);
        assert_eq!(next(0.2), Some("1/4"));
        assert_eq!(next(3.5), Some("5"));
        assert_eq!(next(5.0), Some("5"));
        assert_eq!(next(250.0), None);
        assert_eq!(nearest(Watts(50.0)).map(|r| &*r.stamped), Some("1/15"));
    }

    proptest! {
        #[test]
        fn the_next_rating_carries_the_power(watts in any::<f64>()) {
            let _ = nearest(Watts(watts));
            if let Some(rating) = next_up(Watts(watts)) {
                prop_assert!(rating.watts().0 * 1.0061 >= watts);
            }
        }
    }
}
