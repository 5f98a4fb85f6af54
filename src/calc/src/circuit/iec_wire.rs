//! Conductors under IEC 60364: capacity, volts lost, and the breakers and fuses that protect them.

use super::drop::METRES_PER_KFT;
use crate::installation::{DeviceKind, Metal};
use crate::shown::{plausible, positive};
pub use crate::tables::iec::{Curve, curve};
use crate::tables::{decimal, iec};
use crate::units::{Celsius, Metres, Volts};
use rust_decimal::Decimal;

/// A current-carrying capacity with its steps.
#[derive(Clone, Debug, PartialEq)]
pub struct IecCapacity {
    /// Capacity from the table at 30 °C, amperes.
    pub table: Decimal,
    /// Factor for the ambient temperature.
    pub ambient: Decimal,
    /// Factor for circuits bunched together.
    pub grouping: Decimal,
    /// `Iz` in amperes.
    pub corrected: Decimal,
    /// Which table and how well the figure is known.
    pub source: String,
}

/// Capacity of a copper conductor: `Iz = It f g`.
///
/// `area` mm² (1.5 to 16), `method` A1 to E, `loaded` 2 or 3 conductors, insulation 70 °C (PVC) or
/// 90 °C (XLPE), `f` for the air temperature (between two rows the hotter one), `g` for bunched
/// circuits (between two rows the larger number). `None` where the tables list nothing.
/// Source: IEC 60364-5-52 tables B.52.2 to B.52.5, B.52.10, B.52.14, B.52.17.
pub fn iec_capacity(
    area: Decimal,
    method: &str,
    loaded: u8,
    insulation: Celsius,
    ambient: Celsius,
    circuits: u32,
) -> Option<IecCapacity> {
    let name = insulation_name(insulation)?;
    let method = method.trim();
    let cell = iec::CAPACITY.iter().find(|cell| {
        cell.insulation == name
            && cell.loaded == loaded
            && cell.method.eq_ignore_ascii_case(method)
            && cell.area_mm2 == area
    })?;
    let (_, pvc, xl) = iec::AMBIENT
        .iter()
        .find(|(at, ..)| ambient.0 <= *at + 1e-9)?;
    let (_, grouping) = iec::GROUPING
        .iter()
        .find(|(n, _)| circuits > 0 && circuits <= *n)?;
    let factor = if name == "xlpe_90c" { *xl } else { *pvc };
    Some(IecCapacity {
        table: cell.amps,
        ambient: factor,
        grouping: *grouping,
        corrected: cell.amps * factor * *grouping,
        source: format!("IEC 60364-5-52 {}, {}", cell.table, cell.confidence),
    })
}

/// A size written as `2.5`, `2.5 mm2` or `2,5 mm²`, in square millimetres.
pub fn area(text: &str) -> Option<Decimal> {
    let text = text.trim().to_lowercase().replace(',', ".");
    plausible(decimal(
        text.trim_end_matches("mm2").trim_end_matches("mm²"),
    )?)
}

/// What the formula of annex G takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IecRun {
    /// 1 or 3.
    pub phases: u8,
    /// Design current, amperes.
    pub amps: f64,
    /// Area of a conductor, mm².
    pub area_mm2: f64,
    /// One-way length.
    pub one_way: Metres,
    /// Metal.
    pub metal: Metal,
    /// Cosine of the load.
    pub cos_phi: f64,
    /// Reactance, ohm a metre.
    pub reactance: f64,
}

/// Cosine of the phase angle where nothing better is known. Source: IEC 60364-5-52 annex G.
pub const COS_PHI: f64 = 0.8;
/// Reactance per metre where nothing better is known, ohm/m. `from memory`, annex G.
pub const REACTANCE: f64 = 0.000_08;

/// Resistivity in service, ohm mm²/m: copper 0.0225, aluminium 0.036. Source: IEC 60364-5-52 annex G.
pub fn resistivity(metal: Metal) -> f64 {
    match metal {
        Metal::Copper => 0.0225,
        Metal::Aluminium => 0.036,
    }
}

/// Factor `b` of annex G: 2 on one phase, 1 on three. Source: IEC 60364-5-52 annex G.
pub fn factor_b(phases: u8) -> Option<f64> {
    match phases {
        1 => Some(2.0),
        3 => Some(1.0),
        _ => None,
    }
}

/// Volts lost: `b (ρ L cos φ / S + λ L sin φ) I`; on three phases that is line to neutral and is
/// multiplied by the root of three, so that it compares with the voltage between lines.
/// `None` for anything that is not a positive figure. Source: IEC 60364-5-52 annex G.
pub fn iec_lost(run: &IecRun) -> Option<Volts> {
    let length = positive(run.one_way.0).filter(|l| *l < METRES_PER_KFT * 1000.0)?;
    if !(0.0..=1.0).contains(&run.cos_phi) || !(0.0..1.0).contains(&run.reactance) {
        return None;
    }
    let sin = (1.0 - run.cos_phi * run.cos_phi).sqrt();
    let ohms = resistivity(run.metal) * length * run.cos_phi / positive(run.area_mm2)?
        + run.reactance * length * sin;
    let root = if run.phases == 3 { 3f64.sqrt() } else { 1.0 };
    Some(Volts(
        factor_b(run.phases)? * root * ohms * positive(run.amps)?,
    ))
}

/// Volts lost in copper with the usual cosine and reactance; see [`iec_lost`].
/// Source: IEC 60364-5-52 annex G.
pub fn iec_drop(phases: u8, amps: f64, area_mm2: f64, one_way: Metres) -> Option<Volts> {
    iec_lost(&IecRun {
        phases,
        amps,
        area_mm2,
        one_way,
        metal: Metal::Copper,
        cos_phi: COS_PHI,
        reactance: REACTANCE,
    })
}

/// Advised drop in percent: public network 3 lighting, 5 other; private supply 6 and 8.
/// Source: IEC 60364-5-52 G.52.1.
pub fn drop_advice(private: bool, lighting: bool) -> f64 {
    match (private, lighting) {
        (false, true) => 3.0,
        (false, false) => 5.0,
        (true, true) => 6.0,
        (true, false) => 8.0,
    }
}

/// Current that surely opens the device within the conventional time, in multiples of its rating:
/// miniature breaker 1.45; gG fuse 1.6 from 16 A, 1.9 above 4 A, 2.1 to 4 A.
/// Source: IEC 60898-1; fuses IEC 60269-1, from memory.
pub fn second_current(device: DeviceKind, rating: Decimal) -> Option<Decimal> {
    let breaker = |letter| curve(letter).map(|curve| curve.trip);
    match device {
        DeviceKind::MiniatureBreakerB => breaker("B"),
        DeviceKind::MiniatureBreakerC => breaker("C"),
        DeviceKind::MiniatureBreakerD => breaker("D"),
        DeviceKind::GgFuse if rating >= Decimal::from(16) => Some(Decimal::new(16, 1)),
        DeviceKind::GgFuse if rating > Decimal::from(4) => Some(Decimal::new(19, 1)),
        DeviceKind::GgFuse => Some(Decimal::new(21, 1)),
        _ => None,
    }
}

/// Letter of a miniature breaker's curve.
pub fn curve_letter(device: DeviceKind) -> Option<&'static str> {
    match device {
        DeviceKind::MiniatureBreakerB => Some("B"),
        DeviceKind::MiniatureBreakerC => Some("C"),
        DeviceKind::MiniatureBreakerD => Some("D"),
        _ => None,
    }
}

/// Usual rating of a miniature breaker at or next above a current; `from memory`.
pub fn next_iec_rating(amps: Decimal) -> Option<Decimal> {
    iec::RATINGS.iter().copied().find(|rating| *rating >= amps)
}

/// Areas that the tables list for an insulation, method and number of loaded conductors, mm².
/// Source: IEC 60364-5-52 annex B, copper 1.5 to 16 mm².
pub fn listed_areas(
    insulation: Celsius,
    method: &str,
    loaded: u8,
) -> impl Iterator<Item = Decimal> {
    let name = insulation_name(insulation);
    let method = method.trim().to_ascii_uppercase();
    iec::CAPACITY
        .iter()
        .filter(move |cell| {
            Some(cell.insulation.as_str()) == name && cell.loaded == loaded && cell.method == method
        })
        .map(|cell| cell.area_mm2)
}

fn insulation_name(insulation: Celsius) -> Option<&'static str> {
    match insulation.0 {
        c if (70.0..90.0).contains(&c) => Some("pvc_70c"),
        c if c.is_finite() && c >= 90.0 => Some("xlpe_90c"),
        _ => None,
    }
}
