//! Categories of fans and their vibration limits, as the standards' tables give them.

use crate::shown::positive;
use crate::tables::{number, rows};
use crate::units::{MillimetresPerSecond, Watts};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Fan application category. Source: ISO 14694, AMCA 204.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Category {
    /// BV-1.
    #[serde(rename = "BV-1")]
    Bv1,
    /// BV-2.
    #[serde(rename = "BV-2")]
    Bv2,
    /// BV-3.
    #[serde(rename = "BV-3")]
    Bv3,
    /// BV-4.
    #[serde(rename = "BV-4")]
    Bv4,
    /// BV-5.
    #[serde(rename = "BV-5")]
    Bv5,
}

impl Category {
    /// All, from the coarsest to the finest.
    pub const ALL: [Category; 5] = [
        Category::Bv1,
        Category::Bv2,
        Category::Bv3,
        Category::Bv4,
        Category::Bv5,
    ];

    /// The name as the standards write it.
    pub fn words(self) -> &'static str {
        match self {
            Category::Bv1 => "BV-1",
            Category::Bv2 => "BV-2",
            Category::Bv3 => "BV-3",
            Category::Bv4 => "BV-4",
            Category::Bv5 => "BV-5",
        }
    }

    /// The category of this name, `BV-3`.
    pub fn read(name: &str) -> Option<Category> {
        Category::ALL.into_iter().find(|one| one.words() == name)
    }

    /// Balance grade of the wheel of such a fan. Source: ISO 14694, AMCA 204.
    pub fn balance_grade(self) -> &'static str {
        match self {
            Category::Bv1 | Category::Bv2 => "G16",
            Category::Bv3 => "G6.3",
            Category::Bv4 => "G2.5",
            Category::Bv5 => "G1",
        }
    }

    /// The standards give a shutdown limit; BV-1 and BV-2 are shut down by the machine's own history.
    /// Source: ISO 14694, from memory.
    pub fn has_shutdown(self) -> bool {
        !matches!(self, Category::Bv1 | Category::Bv2)
    }
}

/// What a fan is used for. Source: AMCA 204, ISO 14694, table of applications.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Application {
    /// Ceiling, attic and window units of a dwelling.
    Residential,
    /// Heating, ventilation and air conditioning of buildings, and farms.
    Building,
    /// Industrial process and power generation.
    Industrial,
    /// Locomotives, trucks, ships.
    Transport,
    /// Underground railways, tunnels and garages.
    Tunnel,
    /// A jet fan in a tunnel, of any power.
    JetFan,
    /// Petrochemical works.
    Petrochemical,
    /// Clean rooms and chip making, of any power.
    CleanRoom,
}

impl Application {
    /// All, in the order of the standards' table.
    pub const ALL: [Application; 8] = [
        Application::Residential,
        Application::Building,
        Application::Industrial,
        Application::Transport,
        Application::Tunnel,
        Application::JetFan,
        Application::Petrochemical,
        Application::CleanRoom,
    ];

    /// Its word in tables and fields.
    pub fn word(self) -> &'static str {
        match self {
            Application::Residential => "residential",
            Application::Building => "building",
            Application::Industrial => "industrial",
            Application::Transport => "transport",
            Application::Tunnel => "tunnel",
            Application::JetFan => "jet_fan",
            Application::Petrochemical => "petrochemical",
            Application::CleanRoom => "clean_room",
        }
    }

    /// The application of this word.
    pub fn read(word: &str) -> Option<Application> {
        Application::ALL.into_iter().find(|one| one.word() == word)
    }
}

/// How the fan stands: on a stiff base, or on springs and rubbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Support {
    /// On a stiff base.
    Rigid,
    /// On springs or rubbers.
    Flexible,
}

/// When the limit counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Test at the manufacturer's works.
    WorksTest,
    /// Start-up where it stands.
    StartUp,
    /// From here on the cause is looked for.
    Alarm,
    /// From here on it is stopped.
    Shutdown,
}

impl Stage {
    /// All, in the order of a fan's life.
    pub const ALL: [Stage; 4] = [
        Stage::WorksTest,
        Stage::StartUp,
        Stage::Alarm,
        Stage::Shutdown,
    ];

    /// What people read.
    pub fn words(self) -> &'static str {
        match self {
            Stage::WorksTest => "works test",
            Stage::StartUp => "start-up",
            Stage::Alarm => "alarm",
            Stage::Shutdown => "shutdown",
        }
    }
}

/// A limit with how well it is known. The peak limit is a table value of its own: it is not the
/// r.m.s. limit times 1.414.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Limit of the r.m.s. velocity.
    pub rms: MillimetresPerSecond,
    /// Limit of the peak velocity, mm/s peak.
    pub peak: MillimetresPerSecond,
    /// How well the figures are known.
    pub confidence: String,
}

/// One row of the table of applications.
struct Bound {
    application: String,
    watts: Option<f64>,
    to: Category,
    above: Category,
}

/// Category of a fan by its application and the power of its driver; a power on the bound belongs to
/// the smaller fans. The bounds are printed in kilowatts and horsepower (3.7 kW beside 5 hp, which is
/// 3.73 kW); the larger of the two counts. `None` where the power is needed and is no figure.
///
/// Jet fans and clean rooms have one category whatever the power. ISO 14694 itself ends at 300 kW and
/// leaves out fans that only stir air, such as ceiling and table fans; AMCA 204 goes on.
/// Source: AMCA 204 and ISO 14694, table of applications.
pub fn category(application: Application, power: Option<Watts>) -> Option<Category> {
    static TABLE: LazyLock<Vec<Bound>> = LazyLock::new(|| {
        rows(include_str!("../tables/fan_application_categories.csv"))
            .into_iter()
            .filter_map(|row| {
                let kw = row.get(1).and_then(|cell| number(cell));
                let hp = row.get(2).and_then(|cell| number(cell));
                Some(Bound {
                    application: row.first()?.clone(),
                    watts: kw.zip(hp).map(|(kw, hp)| {
                        // A hair of room, so that 5 hp read from a plate in watts stays 5 hp.
                        (1000.0 * kw).max(Watts::from_hp(hp).0) * (1.0 + 1e-6)
                    }),
                    to: Category::read(row.get(3)?)?,
                    above: Category::read(row.get(4)?)?,
                })
            })
            .collect()
    });
    let row = TABLE
        .iter()
        .find(|row| row.application == application.word())?;
    match row.watts {
        None => Some(row.to),
        Some(bound) => Some(if positive(power?.0)? <= bound {
            row.to
        } else {
            row.above
        }),
    }
}

/// Category of a building fan: BV-2 to 3.7 kW (5 hp) of driver power, BV-3 above.
/// Source: ISO 14694 / AMCA 204, heating and ventilation row.
pub fn building_category(power: Watts) -> Option<Category> {
    category(Application::Building, Some(power))
}

/// Stage, category, support, r.m.s. limit, peak limit and how well they are known.
type Row = (String, String, String, Option<f64>, Option<f64>, String);

/// Limits in mm/s; `None` where the standard has no figure (shutdown of BV-1 and BV-2 is set from the
/// machine's own history). Source: ISO 14694 tables.
pub fn limit(stage: Stage, category: Category, support: Support) -> Option<Limit> {
    static TABLE: LazyLock<Vec<Row>> = LazyLock::new(|| {
        rows(include_str!("../tables/fan_vibration_limits_iso14694.csv"))
            .into_iter()
            .filter_map(|row| {
                Some((
                    row.first()?.clone(),
                    row.get(1)?.clone(),
                    row.get(2)?.clone(),
                    number(row.get(4)?),
                    number(row.get(3)?),
                    row.get(7)?.clone(),
                ))
            })
            .collect()
    });
    let stage = match stage {
        Stage::WorksTest => "manufacturer works test",
        Stage::StartUp => "in-situ start-up",
        Stage::Alarm => "in-situ alarm",
        Stage::Shutdown => "in-situ shutdown",
    };
    let support = match support {
        Support::Rigid => "rigid",
        Support::Flexible => "flexible",
    };
    let (.., rms, peak, confidence) = TABLE
        .iter()
        .find(|(s, c, p, ..)| s.starts_with(stage) && c == category.words() && p == support)?;
    Some(Limit {
        rms: MillimetresPerSecond((*rms)?),
        peak: MillimetresPerSecond((*peak)?),
        confidence: confidence.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_category_has_start_and_alarm_and_two_lack_a_shutdown() {
        for category in Category::ALL {
            for support in [Support::Rigid, Support::Flexible] {
                let start = limit(Stage::StartUp, category, support).expect("a start-up limit");
                let alarm = limit(Stage::Alarm, category, support).expect("an alarm limit");
                assert!(start.rms < alarm.rms && start.peak < alarm.peak);
                let shutdown = limit(Stage::Shutdown, category, support);
                assert_eq!(shutdown.is_some(), category.has_shutdown(), "{category:?}");
                assert!(shutdown.is_none_or(|shutdown| alarm.rms < shutdown.rms));
            }
        }
    }

    #[test]
    fn a_small_building_fan_is_bv_2() {
        assert_eq!(building_category(Watts::from_hp(5.0)), Some(Category::Bv2));
        assert_eq!(building_category(Watts(4000.0)), Some(Category::Bv3));
        assert_eq!(building_category(Watts(f64::NAN)), None);
    }

    #[test]
    fn every_application_has_a_category_and_two_need_no_power() {
        for application in Application::ALL {
            assert_eq!(Application::read(application.word()), Some(application));
            assert!(category(application, Some(Watts(100.0))).is_some());
            let fixed = matches!(application, Application::JetFan | Application::CleanRoom);
            assert_eq!(category(application, None).is_some(), fixed);
        }
    }
}
