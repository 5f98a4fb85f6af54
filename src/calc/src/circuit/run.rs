//! A run of conductors: volts lost by every method, the longest run, the smallest area.

mod percent;

pub use percent::{percent_line, plain_drop};

use super::drop::{
    Conduit, K_ALUMINIUM, K_COPPER, METRES_PER_KFT, area_for_drop, dc_resistance, drop_k,
    drop_volts, impedance, longest_run,
};
use super::wire::Size;
use crate::installation::Metal;
use crate::shown::{Fill, figure, line, positive};
use crate::tables::nec::{SIZES, effective_z};
use crate::units::{Metres, Volts};
use crate::working::{Line, Missing, Verdict, Working};

/// How the loss is worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Constant of the metal over circular mils.
    K,
    /// Resistance per thousand feet.
    Resistance,
    /// Effective impedance per thousand feet.
    Impedance,
}

/// A run and its load.
#[derive(Clone, Debug)]
pub struct Run {
    /// 1 or 3; direct current as 1.
    pub phases: u8,
    /// Amperes at its end.
    pub amps: f64,
    /// Volts at its beginning.
    pub source: Option<Volts>,
    /// Method whose figure is judged; `None`: the larger of resistance and impedance.
    pub method: Option<Method>,
    /// Size, by name, with its area.
    pub size: Option<&'static Size>,
    /// Solid or stranded, where the size was named so; table 8 then gives its resistance.
    pub solid: Option<bool>,
    /// Direct current: table 8 gives the resistance, and there is no reactance.
    pub direct: bool,
    /// Metal.
    pub metal: Option<Metal>,
    /// The metal was not given, and this one was taken in its place.
    pub metal_taken: bool,
    /// What it runs in; `None`: the largest of the three.
    pub conduit: Option<Conduit>,
    /// Ohm circular mil per foot, in place of the metal's.
    pub k: Option<f64>,
    /// Ohm per thousand feet, in place of the tables'.
    pub ohm_per_kft: Option<f64>,
    /// Cosine of the load, for impedance at another power factor than 0.85.
    pub power_factor: Option<f64>,
    /// One-way length.
    pub one_way: Option<Metres>,
    /// Volts that may be lost.
    pub limit: Option<Volts>,
}

/// Volts lost and what follows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lost {
    /// By the constant of the metal.
    pub by_k: Option<Volts>,
    /// By resistance.
    pub by_resistance: Option<Volts>,
    /// By impedance.
    pub by_impedance: Option<Volts>,
    /// The one that is judged.
    pub volts: Option<Volts>,
    /// Percent of the source.
    pub percent: Option<f64>,
    /// Volts at the end.
    pub left: Option<Volts>,
    /// Longest one-way run within the limit.
    pub longest: Option<Metres>,
    /// Smallest area within the limit, circular mils, by the constant.
    pub min_cmil: Option<f64>,
    /// Smallest size of at least that area.
    pub smallest: Option<&'static str>,
}

impl Run {
    fn k(&self) -> Option<f64> {
        let of_metal = self.metal.map(|metal| match metal {
            Metal::Copper => K_COPPER,
            Metal::Aluminium => K_ALUMINIUM,
        });
        self.k.or(of_metal)
    }

    /// Ohm per thousand feet of the method; for `K` the constant over the area.
    fn ohms(&self, method: Method) -> Option<f64> {
        let own = self.ohm_per_kft.filter(|_| method != Method::K);
        if own.is_some() {
            return own;
        }
        let size = self.size?;
        match method {
            Method::K => Some(self.k()? / f64::from(size.cmil) * 1000.0),
            Method::Resistance => Some(self.resistance(size)?.0),
            Method::Impedance if self.direct => None,
            Method::Impedance => self.impedance(size, self.metal?),
        }
    }

    /// Ohm per thousand feet with its table: table 9 for alternating current where it lists the size,
    /// the highest of the row where the conduit is not known; else table 8.
    fn resistance(&self, size: &Size) -> Option<(f64, &'static str)> {
        let metal = self.metal?;
        let ac = self
            .conduits()
            .into_iter()
            .filter(|_| !self.direct && self.solid.is_none())
            .filter_map(|conduit| Some(impedance(&size.name, metal, conduit)?.resistance))
            .reduce(f64::max);
        match ac {
            Some(ohms) => Some((ohms, "NEC chapter 9 table 9, ac resistance")),
            None => dc_resistance(&size.name, metal, self.solid == Some(true))
                .map(|ohms| (ohms, "NEC chapter 9 table 8, dc resistance")),
        }
    }

    fn conduits(&self) -> Vec<Conduit> {
        match self.conduit {
            Some(conduit) => vec![conduit],
            None => vec![Conduit::Pvc, Conduit::Aluminium, Conduit::Steel],
        }
    }

    fn impedance(&self, size: &Size, metal: Metal) -> Option<f64> {
        let Some(cosine) = self.power_factor else {
            return match self.conduit {
                Some(conduit) => Some(impedance(&size.name, metal, conduit)?.effective),
                None => effective_z(&size.name, metal),
            };
        };
        let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
        self.conduits()
            .into_iter()
            .filter_map(|conduit| impedance(&size.name, metal, conduit))
            .map(|z| z.resistance * cosine + z.reactance * sine)
            .reduce(f64::max)
    }
}

/// The method whose figure is judged: the one asked for, else the larger of the two by ohms.
fn judged(run: &Run) -> Option<Method> {
    if run.method.is_some() {
        return run.method;
    }
    if run.ohm_per_kft.is_some() {
        return Some(Method::Resistance);
    }
    match (run.ohms(Method::Resistance), run.ohms(Method::Impedance)) {
        (Some(r), Some(z)) if z > r => Some(Method::Impedance),
        (Some(_), _) => Some(Method::Resistance),
        (None, Some(_)) => Some(Method::Impedance),
        (None, None) => Some(Method::K),
    }
}

/// Volts lost on a run, `f I R L`: by the constant, by resistance at 75 °C, by effective impedance.
///
/// `f` 2 on one phase and for direct current, root of three on three phases; with a power factor the
/// impedance is `R cos + X sin`. Resistance: table 9 on alternating current, table 8 for direct
/// current, for sizes that table 9 leaves out and where the size is named solid or stranded. Percent
/// figures of 3 and 5 are advice, not requirements; more than 10 % lost is judged beyond.
/// Source: NEC chapter 9 tables 8 and 9; the constant: common practice.
pub fn lost(run: &Run) -> (Lost, Working) {
    let by = |method| {
        let length = run.one_way?;
        match (method, run.size) {
            (Method::K, Some(size)) => {
                drop_k(run.phases, run.k()?, run.amps, length, f64::from(size.cmil))
            }
            _ => drop_volts(run.phases, run.amps, run.ohms(method)?, length),
        }
    };
    let method = judged(run);
    let own = run.ohm_per_kft.is_some();
    let volts = method.and_then(by);
    let source = run.source.and_then(|v| positive(v.0));
    let min_cmil = run
        .one_way
        .zip(run.limit)
        .and_then(|(length, limit)| area_for_drop(run.phases, run.k()?, run.amps, length, limit));
    let shown = |want: Method| (!own || method == Some(want)).then(|| by(want)).flatten();
    let lost = Lost {
        by_k: by(Method::K),
        by_resistance: shown(Method::Resistance),
        by_impedance: shown(Method::Impedance),
        volts,
        percent: volts.zip(source).map(|(v, source)| 100.0 * v.0 / source),
        left: volts
            .zip(source)
            .filter(|(v, source)| v.0 < *source)
            .map(|(v, source)| Volts(source - v.0)),
        longest: run.limit.zip(method).and_then(|(limit, method)| {
            longest_run(run.phases, run.amps, run.ohms(method)?, limit)
        }),
        min_cmil,
        smallest: min_cmil.and_then(|area| {
            let size = SIZES
                .iter()
                .filter(|size| run.metal.is_none_or(|m| size.ampacity(m, 1).is_some()))
                .find(|size| f64::from(size.cmil) >= area - 1e-6)?;
            Some(size.name.as_str())
        }),
    };
    let working = working(run, method, &lost);
    (lost, working)
}

fn working(run: &Run, method: Option<Method>, lost: &Lost) -> Working {
    let mut working = Working::new("Voltage drop");
    working.cautions.push(super::CAUTION.into());
    metal_line(&mut working, run);
    let table_8_or_9 = run.size.and_then(|size| run.resistance(size));
    let resistance = table_8_or_9.map_or("NEC chapter 9 table 8", |(_, table)| table);
    let rows = [
        (
            Method::K,
            "By the constant of the metal",
            lost.by_k,
            "common practice",
        ),
        (
            Method::Resistance,
            "By resistance",
            lost.by_resistance,
            resistance,
        ),
        (
            Method::Impedance,
            "By impedance",
            lost.by_impedance,
            "NEC chapter 9 table 9",
        ),
    ];
    for (which, label, volts, source) in rows {
        if let (Some(volts), Some(ohms)) = (volts, run.ohms(which)) {
            let source = match run.ohm_per_kft {
                Some(_) if which != Method::K => "ohms as given",
                _ => source,
            };
            let shown = line("drop", label).rule("volts lost out and back, one-way length", source);
            let shown = method_line(shown, run, which, volts, ohms);
            working.lines.push(if Some(which) == method {
                shown.note("This one is judged.")
            } else {
                shown
            });
        }
    }
    ask_rest(&mut working, lost, false);
    if let Some(volts) = lost.volts {
        percent_line(&mut working, volts, run.source);
    }
    limit_lines(&mut working, run, lost);
    working
}

/// Copper was taken: told, asked for, and never better than a note.
fn metal_line(working: &mut Working, run: &Run) {
    if !run.metal_taken {
        return;
    }
    working.lines.push(
        line("metal", "Metal")
            .value("copper", "")
            .rule("K = 12.9 copper, 21.2 aluminium", "common practice")
            .judge(
                Verdict::WithinNote,
                "Metal: not given; copper taken, aluminium drops about 1.6 times as much.",
            ),
    );
    working.missing.push(Missing {
        what: "metal of the conductors".into(),
        why: "copper was taken; aluminium drops about 1.6 times as much".into(),
        how: "look at the end of the conductor or read the print on the jacket".into(),
    });
}

fn ask_rest(working: &mut Working, lost: &Lost, plain: bool) {
    if !plain && lost.volts.is_none() && lost.longest.is_none() && lost.min_cmil.is_none() {
        working.missing.push(Missing {
            what: "length with size and metal, or ohms per thousand feet".into(),
            why: "the loss follows from all of them".into(),
            how: "measure the run and read the print on the jacket".into(),
        });
    }
    if lost.volts.is_some() && lost.percent.is_none() {
        working.missing.push(Missing {
            what: "voltage at the beginning of the run".into(),
            why: "percent and what is left follow from it".into(),
            how: "read the panel's label or measure".into(),
        });
    }
}

fn method_line(shown: Line, run: &Run, method: Method, volts: Volts, ohms: f64) -> Line {
    let feet = run
        .one_way
        .map_or(0.0, |length| length.0 / METRES_PER_KFT * 1000.0);
    let f = if run.phases == 3 { "1.732" } else { "2" };
    let amps = figure(run.amps, 3);
    let feet = figure(feet, 1);
    let by = match (method, run.size, run.k()) {
        (Method::K, Some(size), Some(k)) => {
            format!(
                "{f} x {} x {amps} A x {feet} ft / {} cmil",
                figure(k, 3),
                size.cmil
            )
        }
        _ => format!(
            "{f} x {amps} A x {} ohm/kft x {feet} ft / 1000",
            figure(ohms, 4)
        ),
    };
    shown.value(figure(volts.0, 3), "V").limit(by)
}

fn limit_lines(working: &mut Working, run: &Run, lost: &Lost) {
    if let (Some(limit), Some(longest)) = (run.limit, lost.longest) {
        working.lines.push(
            line("longest", "Longest run, one way")
                .value(figure(longest.0 / 0.3048, 1), "ft")
                .limit(format!("{} V lost", figure(limit.0, 2)))
                .margin(format!("{} m", figure(longest.0, 1)))
                .rule(
                    "the same formula turned round",
                    "NEC chapter 9 tables 8 and 9",
                ),
        );
    }
    if let (Some(limit), Some(area)) = (run.limit, lost.min_cmil) {
        working.lines.push(
            line("area", "Smallest area for the limit")
                .value(figure(area, 0), "cmil")
                .limit(format!("{} V lost", figure(limit.0, 2)))
                .margin(lost.smallest.unwrap_or("above the table"))
                .rule(
                    "f K I L / volts; for voltage only, ampacity is judged apart",
                    "common practice",
                )
                .note(format!("K = {}.", figure(run.k().unwrap_or_default(), 3))),
        );
    }
}
