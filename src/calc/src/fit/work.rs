//! Named work that makes a candidate fit, with its dimensions. Kept as numbers until somebody
//! reads it, so that ranking thousands of candidates writes no text.

use super::say::{amps, inch, mm, short};
use std::fmt;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Work {
    Connect {
        volts: f64,
        way: &'static str,
    },
    CheckLargerMotor {
        sizes: usize,
        overload: Option<(f64, f64)>,
    },
    FitSheave {
        ratio: f64,
        sheaves: Sheaves,
    },
    ReduceSheave {
        ratio: f64,
        sheaves: Sheaves,
    },
    AcceptFlow {
        percent: f64,
    },
    MeasureAfterFaster {
        percent: f64,
    },
    ConnectTap {
        used: usize,
    },
    RemoveController,
    WireCapacitor,
    FitElectronicControl,
    CheckCircuit {
        amps: f64,
    },
    SetOverload {
        amps: f64,
        percent: f64,
    },
    FitOverload {
        limit: Option<(f64, f64)>,
    },
    ReplaceDisconnect {
        amps: f64,
    },
    SwapLines,
    SwapLeads,
    SetDirection,
    SlotFeet {
        most: f64,
    },
    Redrill {
        across: f64,
        along: f64,
    },
    Realign {
        height: f64,
    },
    Adapter,
    RubberPads,
    DrillBracket {
        circle: f64,
    },
    StudCount {
        count: u8,
    },
    Nuts,
    CutStuds {
        by: f64,
    },
    Bushing {
        shaft: f64,
        bore: f64,
    },
    SheaveBore {
        shaft: f64,
    },
    CouplingHub {
        shaft: f64,
    },
    CutShaft {
        by: f64,
        least: f64,
    },
    CutShaftToHub {
        hub: f64,
    },
    ScrewOnKey,
    SeatOnFlat,
    FileFlat,
    GuardSecondEnd,
    Band {
        diameter: f64,
    },
    FitCapacitor {
        microfarads: f64,
        volts: f64,
    },
    FitSuppliedCapacitor,
    WireThermostat,
}

/// Pitch diameters that keep the driven speed, in mm, as far as they are known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Sheaves {
    /// Motor sheave with the driven one as it is.
    pub motor: Option<f64>,
    /// Smallest motor sheave of the frame.
    pub least: Option<f64>,
    /// Driven sheave that goes with the smallest motor sheave.
    pub driven: Option<f64>,
}

impl Sheaves {
    fn motor(&self) -> String {
        self.motor
            .map_or(String::new(), |d| format!(", to {}", mm(d)))
    }

    fn least(&self) -> String {
        let too_small = self
            .motor
            .zip(self.least)
            .is_some_and(|(d, least)| d < least);
        let least = self
            .least
            .map_or(String::new(), |d| format!(" of {}", mm(d)));
        match self.driven.filter(|_| too_small) {
            Some(driven) => format!(
                "{least} (take that one and a driven sheave of {})",
                mm(driven)
            ),
            None if too_small => format!("{least} (take that one and a larger driven sheave)"),
            None => least,
        }
    }
}

impl fmt::Display for Work {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use Work::*;
        match *self {
            Connect { volts, way } => {
                let way = match way {
                    "" => String::new(),
                    way => format!(" ({way})"),
                };
                write!(
                    f,
                    "Connect for {} V{way} by the diagram on the motor",
                    short(volts, 0)
                )
            }
            CheckLargerMotor { sizes, overload } => {
                write!(
                    f,
                    "Check wiring, starter and bracket for a motor {sizes} sizes larger"
                )?;
                overload.map_or(Ok(()), |(limit, percent)| {
                    write!(
                        f,
                        "; overload at most {} A ({} %)",
                        amps(limit),
                        short(percent, 0)
                    )
                })
            }
            FitSheave { ratio, sheaves } => {
                let percent = 100.0 * (ratio - 1.0);
                let way = if percent < 0.0 { "smaller" } else { "larger" };
                write!(
                    f,
                    "Fit a motor sheave {} % {way} in pitch diameter{} to keep the driven speed, \
                     not below the motor's smallest sheave{}; tension and align the belt",
                    short(percent.abs(), 1),
                    sheaves.motor(),
                    sheaves.least()
                )
            }
            ReduceSheave { ratio, sheaves } => write!(
                f,
                "Reduce the motor sheave by {} %{} or accept {} % more power, measured; tension \
                 and align the belt",
                short(100.0 * (1.0 - 1.0 / ratio), 1),
                sheaves.motor(),
                short(100.0 * (ratio.powi(3) - 1.0), 1)
            ),
            AcceptFlow { percent } => {
                write!(
                    f,
                    "Get written acceptance of {} % less flow",
                    short(percent, 1)
                )
            }
            MeasureAfterFaster { percent } => write!(
                f,
                "Measure power and amps on the first run: the wheel turns {} % faster",
                short(percent, 1)
            ),
            ConnectTap { used } => {
                write!(
                    f,
                    "Connect the {used} speed wire(s) in use; cap unused wires separately"
                )
            }
            RemoveController => {
                f.write_str("Remove or replace the speed controller, with the owner's agreement")
            }
            WireCapacitor => f.write_str(
                "Mount the run capacitor's clip and wire it by the diagram; it stays in circuit",
            ),
            FitElectronicControl => {
                f.write_str("Fit and set the motor's own control or control signal")
            }
            CheckCircuit { amps: a } => {
                write!(
                    f,
                    "Check circuit, switch and disconnect for {} A full load",
                    amps(a)
                )
            }
            SetOverload { amps: a, percent } => write!(
                f,
                "Set or replace the overload: at most {} A ({} % of plate amps)",
                amps(a),
                short(percent, 0)
            ),
            FitOverload { limit: None } => {
                f.write_str("Fit an outside overload set by the plate amps: the motor has none")
            }
            FitOverload {
                limit: Some((limit, percent)),
            } => write!(
                f,
                "Fit an outside overload set to at most {} A ({} % of plate amps): the motor has \
                 none",
                amps(limit),
                short(percent, 0)
            ),
            ReplaceDisconnect { amps: a } => write!(
                f,
                "Replace the disconnect by one of at least {} A (115 % of plate amps)",
                amps(1.15 * a)
            ),
            SwapLines => {
                f.write_str("Swap two lines to turn the motor round; bump-test before coupling up")
            }
            SwapLeads => f.write_str(
                "Swap the reversing leads or plug; bump-test; check the arrow on the housing",
            ),
            SetDirection => f.write_str(
                "Bump-test the direction before fitting the wheel, and reverse if wrong",
            ),
            SlotFeet { most } => write!(f, "Slot the foot holes by up to {}", mm(most)),
            Redrill { across, along } => write!(
                f,
                "Redrill the base for feet {} across and {} along the shaft, or fit an adapter base",
                mm(across),
                mm(along)
            ),
            Realign { height } if height > 0.0 => {
                write!(f, "Align the drive anew: shaft {} higher", mm(height))
            }
            Realign { height } => write!(
                f,
                "Align the drive anew: shaft {0} lower, or pack the feet with spacers of {0}",
                mm(height.abs())
            ),
            Adapter => f.write_str("Fit an adapter or band kit that carries torque and weight"),
            RubberPads => f.write_str(
                "Drill the base for the motor's feet and set it on rubber pads: the old one stood \
                 in rubber rings",
            ),
            DrillBracket { circle } => {
                write!(f, "Drill the bracket for a bolt circle of {}", mm(circle))
            }
            StudCount { count } => write!(f, "Drill the bracket for {count} studs"),
            Nuts => f.write_str("Take nuts for the new motor's stud thread"),
            CutStuds { by } => {
                write!(f, "Cut the studs by {0} or fit spacers of {0}", mm(by))
            }
            Bushing { shaft, bore } => write!(
                f,
                "Fit a reducing bushing {} × {} mm ({} × {} in), at least {} long, set screw \
                 through to the flat; check balance",
                short(shaft, 1),
                short(bore, 1),
                inch(shaft),
                inch(bore),
                mm(1.5 * shaft)
            ),
            SheaveBore { shaft } => {
                write!(
                    f,
                    "Fit a motor sheave or bushing bored {}, with key to suit",
                    mm(shaft)
                )
            }
            CouplingHub { shaft } => write!(f, "Fit a coupling hub bored {}", mm(shaft)),
            CutShaft { by, least } => {
                write!(f, "Cut the shaft by {}", mm(by))?;
                if least < by {
                    write!(f, ", at the least by {}", mm(least))?;
                }
                f.write_str(", deburr; keep flat or key under the set screw")
            }
            CutShaftToHub { hub } => write!(
                f,
                "Cut the shaft to the place it has, not below the hub's {}, and deburr",
                mm(hub)
            ),
            ScrewOnKey => f.write_str("Set the screw on the key, or fit a keyed hub"),
            SeatOnFlat => f.write_str("Hold the keyed hub by its set screw on the flat"),
            FileFlat => f.write_str("File or mill a flat for the set screw"),
            GuardSecondEnd => f.write_str("Cut off or guard the unused second shaft end"),
            Band { diameter } => {
                write!(f, "Fit a band or bracket for a body of {}", mm(diameter))
            }
            FitCapacitor { microfarads, volts } => write!(
                f,
                "Fit a {} µF {} V capacitor and its clip; do not keep another value",
                short(microfarads, 1),
                short(volts, 0)
            ),
            FitSuppliedCapacitor => {
                f.write_str("Fit the capacitor supplied with the motor, and its clip")
            }
            WireThermostat => {
                f.write_str("Wire the thermostat into the contactor's control circuit")
            }
        }
    }
}
