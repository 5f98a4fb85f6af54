//! Topics. Permissible unbalance, and the force of a stuck mass.

use super::answer;
use super::vibration::{APPLICATIONS, CATEGORIES, POWER_HP, POWER_KW, fan_category};
use crate::balance::{self, BalanceError, Debris, Unbalance};
use crate::figure::sheet::tidied;
use crate::figure::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::units::{Kilograms, Millimetres, Rpm};
use crate::working::Line;

const GRADE_MM_S: Want = want("grade_mm_s", "Balance grade as a number", Takes::Number)
    .unit("mm/s")
    .note("6.3 for G6.3");
const GRADE: Want = want("grade", "Balance grade", Takes::Text).note("such as G6.3; G0.4 to G100");
const CATEGORY: Want = want("category", "Fan category", Takes::Choice(CATEGORIES))
    .note("gives the grade where none is named");
const APPLICATION: Want = want("application", "Use of the fan", Takes::Choice(APPLICATIONS))
    .note("with the driver's power gives the category");

/// The grade in mm/s: as a number, by its name, or as the fan's category asks for; the stricter of
/// them where they differ, with the line that says so.
fn grade(given: &Given) -> Result<Option<(f64, Option<Line>)>, Trouble> {
    let mut told = Vec::new();
    if let Some(number) = given.positive("grade_mm_s")? {
        told.push(("as a number", number));
    }
    if let Some(name) = given.text("grade")? {
        let found = balance::grade(&name)
            .ok_or_else(|| Trouble::of("grade", "Give a listed grade, such as G6.3"))?;
        told.push(("by name", found.mm_s));
    }
    let category = fan_category(given)?;
    if let Some(found) = category.and_then(|category| balance::grade(category.balance_grade())) {
        told.push(("by the fan's category", found.mm_s));
    }
    Ok(balance::strictest(&told))
}

fn trouble(error: BalanceError) -> Trouble {
    let BalanceError::NotPositive { what, .. } = error;
    let field = match what {
        "grade" => "grade_mm_s",
        "mass of the rotor" => "rotor_mass_kg",
        "mass" => "mass_g",
        "radius" => "radius_mm",
        "residual unbalance" => "residual_g_mm",
        _ => "speed_rpm",
    };
    Trouble::of(field, error.to_string())
}

pub(super) const UNBALANCE: Topic = Topic {
    name: "unbalance",
    title: "Permissible unbalance",
    what: "Residual unbalance that a balance grade permits a wheel or rotor at its speed, whole and per plane.",
    subject: Subject::Proof,
    wants: &[
        want("rotor_mass_kg", "Mass of the rotor", Takes::Number).unit("kg"),
        want("speed_rpm", "Highest service speed", Takes::Number).unit("rpm"),
        GRADE_MM_S,
        GRADE,
        CATEGORY,
        APPLICATION,
        POWER_KW,
        POWER_HP,
        want(
            "correction_radius_mm",
            "Radius of the correction",
            Takes::Number,
        )
        .unit("mm")
        .note("blank: no mass is answered"),
        want(
            "residual_g_mm",
            "Residual unbalance measured",
            Takes::Number,
        )
        .unit("g mm")
        .note("blank: nothing is judged"),
        want(
            "residual_oz_in",
            "Residual unbalance measured",
            Takes::Number,
        )
        .unit("oz in")
        .note("the same in ounce inches"),
    ],
    answers: &[
        answer("grade_mm_s", "mm/s", "the grade that was used"),
        answer("e_per_um", "µm", "permissible eccentricity"),
        answer(
            "U_per_g_mm_exact",
            "g mm",
            "permissible residual unbalance, 1000 G m / omega",
        ),
        answer("U_per_g_mm_9549_form", "g mm", "the same by 9549 G m / n"),
        answer(
            "U_per_each_plane_symmetric_g_mm",
            "g mm",
            "each of two planes alike about the centre of mass",
        ),
        answer("U_per_oz_in", "oz in", "the whole in ounce inches"),
        answer(
            "permissible_mass_g",
            "g",
            "mass at the correction radius that makes the whole",
        ),
        answer("residual_g_mm", "g mm", "the measured one"),
    ],
    run: |given| Ok(tidied(run_unbalance(given)?)),
};

fn run_unbalance(given: &Given) -> Result<Figure, Trouble> {
    let residual = match (
        given.not_negative("residual_g_mm")?,
        given.not_negative("residual_oz_in")?,
    ) {
        (Some(_), Some(_)) => {
            return Err(Trouble::of(
                "residual_oz_in",
                "Give g mm or oz in, not both",
            ));
        }
        (g_mm, oz_in) => g_mm.or(oz_in.map(balance::g_mm)),
    };
    let (grade, told) = given.need("grade", grade(given)?)?;
    let mut found = balance::unbalance(&Unbalance {
        grade_mm_s: grade,
        mass: Kilograms(given.need_positive("rotor_mass_kg")?),
        speed: Rpm(given.need_positive("speed_rpm")?),
        radius: given.positive("correction_radius_mm")?.map(Millimetres),
        residual_g_mm: residual,
    })
    .map_err(trouble)?;
    found.working.lines.extend(told);
    let permitted = found.permitted;
    Ok(Figure::new(found.working)
        .with("grade_mm_s", permitted.grade_mm_s)
        .with("e_per_um", permitted.e_per_um)
        .with("U_per_g_mm_exact", permitted.u_per_g_mm)
        .with("U_per_g_mm_9549_form", permitted.u_per_9549_g_mm)
        .with("U_per_each_plane_symmetric_g_mm", permitted.each_plane_g_mm)
        .with("U_per_oz_in", permitted.oz_in())
        .with_some("permissible_mass_g", found.mass_g)
        .with_some("residual_g_mm", residual))
}

pub(super) const DEBRIS: Topic = Topic {
    name: "debris",
    title: "Force of a stuck or lost mass",
    what: "Force of dirt on a blade or of a lost weight at speed, beside the unbalance the wheel may have.",
    subject: Subject::Proof,
    wants: &[
        want("mass_g", "Mass stuck or lost", Takes::Number).unit("g"),
        want("radius_mm", "Its distance from the axis", Takes::Number).unit("mm"),
        want("speed_rpm", "Speed of the wheel", Takes::Number).unit("rpm"),
        want("rotor_mass_kg", "Mass of the wheel", Takes::Number)
            .unit("kg")
            .note("blank: the force only"),
        GRADE_MM_S,
        GRADE,
        CATEGORY,
        APPLICATION,
        POWER_KW,
        POWER_HP,
    ],
    answers: &[
        answer("unbalance_g_mm", "g mm", "mass times radius"),
        answer("force_N", "N", "force that turns with the wheel"),
        answer("force_lbf", "lbf", "the same in pounds-force"),
        answer("force_kgf", "kgf", "the same in kilograms-force"),
        answer(
            "permissible_g_mm",
            "g mm",
            "residual unbalance the wheel may have",
        ),
        answer(
            "times_permissible",
            "",
            "unbalance over the permissible one",
        ),
        answer(
            "cleaning_owed",
            "",
            "whether it is above the permissible one",
        ),
    ],
    run: |given| Ok(tidied(run_debris(given)?)),
};

fn run_debris(given: &Given) -> Result<Figure, Trouble> {
    let (grade, told) = grade(given)?.map_or((None, None), |(grade, told)| (Some(grade), told));
    let mut found = balance::debris(&Debris {
        mass_g: given.need_positive("mass_g")?,
        radius: Millimetres(given.need_positive("radius_mm")?),
        speed: Rpm(given.need_positive("speed_rpm")?),
        wheel: given.positive("rotor_mass_kg")?.map(Kilograms),
        grade_mm_s: grade,
    })
    .map_err(trouble)?;
    found.working.lines.extend(told);
    Ok(Figure::new(found.working)
        .with("unbalance_g_mm", found.force.unbalance_g_mm)
        .with("force_N", found.force.newtons)
        .with("force_lbf", found.force.lbf())
        .with("force_kgf", found.force.kgf())
        .with_some("permissible_g_mm", found.permissible_g_mm)
        .with_some("times_permissible", found.times)
        .with_some("cleaning_owed", found.cleaning_owed))
}
