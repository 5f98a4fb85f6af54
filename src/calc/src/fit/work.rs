//! Named work that makes a candidate fit, with its dimensions. Kept as numbers until somebody
//! reads it, so that ranking thousands of candidates writes no text.

use super::say::{amps, mm, short};
use std::fmt;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Work {
    Connect { volts: f64 },
    CheckLargerMotor,
    FitSheave { ratio: f64 },
    ReduceSheave { ratio: f64 },
    AcceptFlow { percent: f64 },
    MeasureAfterFaster { percent: f64 },
    ConnectTap { used: usize },
    RemoveController,
    WireCapacitor,
    FitElectronicControl,
    CheckCircuit { amps: f64 },
    SetOverload { amps: f64, percent: f64 },
    FitOverload,
    SwapLines,
    SwapLeads,
    SetDirection,
    SlotFeet { most: f64 },
    Redrill,
    Realign { height: f64 },
    Adapter,
    DrillBracket { circle: f64 },
    StudCount { count: u8 },
    Nuts,
    CutStuds { by: f64 },
    Bushing { shaft: f64, bore: f64 },
    SheaveBore { shaft: f64 },
    CouplingHub { shaft: f64 },
    CutShaft { by: f64 },
    CutShaftToHub { hub: f64 },
    ScrewOnKey,
    SeatOnFlat,
    FileFlat,
    GuardSecondEnd,
    Band { diameter: f64 },
    FitCapacitor { microfarads: f64, volts: f64 },
    FitSuppliedCapacitor,
    WireThermostat,
}

impl fmt::Display for Work {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use Work::*;
        match *self {
            Connect { volts } => {
                write!(
                    f,
                    "Connect for {} V by the diagram on the motor",
                    short(volts, 0)
                )
            }
            CheckLargerMotor => {
                f.write_str("Check overload, wiring and bracket for the larger motor")
            }
            FitSheave { ratio } => {
                let percent = 100.0 * (ratio - 1.0);
                let way = if percent < 0.0 { "smaller" } else { "larger" };
                write!(
                    f,
                    "Fit a motor sheave {} % {way} in pitch diameter to keep the driven speed, \
                     not below the motor's smallest sheave; tension and align the belt",
                    short(percent.abs(), 1)
                )
            }
            ReduceSheave { ratio } => write!(
                f,
                "Reduce the motor sheave by {} % or accept {} % more power, measured; tension and \
                 align the belt",
                short(100.0 * (1.0 - 1.0 / ratio), 1),
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
            FitOverload => {
                f.write_str("Fit an outside overload set by the plate amps: the motor has none")
            }
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
            Redrill => f.write_str("Redrill the base for the new feet, or fit an adapter base"),
            Realign { height } => write!(
                f,
                "Align the drive anew: shaft {} {}",
                mm(height.abs()),
                if height > 0.0 { "higher" } else { "lower" }
            ),
            Adapter => f.write_str("Fit an adapter or band kit that carries torque and weight"),
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
                "Fit a reducing bushing {} × {} mm, set screw through to the flat; check balance",
                short(shaft, 1),
                short(bore, 1)
            ),
            SheaveBore { shaft } => {
                write!(
                    f,
                    "Fit a motor sheave or bushing bored {}, with key to suit",
                    mm(shaft)
                )
            }
            CouplingHub { shaft } => write!(f, "Fit a coupling hub bored {}", mm(shaft)),
            CutShaft { by } => {
                write!(
                    f,
                    "Cut the shaft by {}, deburr; keep flat or key under the set screw",
                    mm(by)
                )
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
