//! One question under several editions of the NEC: what they agree on once, what they differ in each.
//!
//! A topic calls [`per_edition`] with a calculation of one edition. With `rule_set` given it is run
//! for that edition; without it for all three, and an answer on which they differ is given a name per
//! group of editions, such as `egc_allowance_in3_2017` and `egc_allowance_in3_2020_2023`.

use super::{Figure, Given, Takes, Trouble, Want, want};
use crate::circuit::RuleSet;
use crate::working::{Line, Working};
use serde_json::{Map, Value};

/// The editions, oldest first.
pub(super) const EDITIONS: [RuleSet; 3] = [RuleSet::Nec2017, RuleSet::Nec2020, RuleSet::Nec2023];

/// The field that names the edition, for a topic's list.
pub(super) const RULE_SET: Want = want(
    "rule_set",
    "Rule set",
    Takes::Choice(&[
        ("NEC 2017", "NEC 2017"),
        ("NEC 2020", "NEC 2020"),
        ("NEC 2023", "NEC 2023"),
    ]),
)
.note("blank: all three editions, told apart where they differ");

/// The edition that was given, or all three.
pub(super) fn editions(given: &Given) -> Result<Vec<RuleSet>, Trouble> {
    match given.choice(RULE_SET.name)? {
        None => Ok(EDITIONS.to_vec()),
        Some(word) => match word.parse() {
            Ok(set) => Ok(vec![set]),
            Err(_) => Err(Trouble::of(RULE_SET.name, "Give one edition of the NEC")),
        },
    }
}

/// Runs `one` for the edition given, or for all three, and puts the figures together.
/// # Errors
/// The first trouble of `one`.
pub(super) fn per_edition(
    given: &Given,
    one: impl Fn(RuleSet) -> Result<Figure, Trouble>,
) -> Result<Figure, Trouble> {
    let runs = editions(given)?
        .into_iter()
        .map(|set| Ok((set, one(set)?)))
        .collect::<Result<Vec<_>, Trouble>>()?;
    Ok(together(runs))
}

/// Figures of several editions as one.
pub(super) fn together(runs: Vec<(RuleSet, Figure)>) -> Figure {
    if let [(set, figure)] = runs.as_slice() {
        let mut figure = figure.clone();
        figure.working.title = format!("{}, {}", figure.working.title, set.words()).into();
        return figure;
    }
    let answers = answers(&runs);
    let workings: Vec<(RuleSet, Working)> = runs
        .into_iter()
        .map(|(set, figure)| (set, figure.working))
        .collect();
    Figure {
        answers,
        working: working(&workings),
    }
}

fn answers(runs: &[(RuleSet, Figure)]) -> Map<String, Value> {
    let mut out = Map::new();
    for (_, figure) in runs {
        for name in figure.answers.keys() {
            if out.contains_key(name) {
                continue;
            }
            let groups = groups(runs, |figure| figure.answers.get(name).cloned());
            if let [(sets, Some(value))] = groups.as_slice()
                && sets.len() == runs.len()
            {
                out.insert(name.clone(), value.clone());
                continue;
            }
            for (sets, value) in groups {
                if let Some(value) = value {
                    out.insert(format!("{name}_{}", years(&sets, "_")), value);
                }
            }
        }
    }
    out
}

/// Which runs give the same; in the order of the runs.
fn groups<R, T: PartialEq>(
    runs: &[(RuleSet, R)],
    part: impl Fn(&R) -> T,
) -> Vec<(Vec<RuleSet>, T)> {
    let mut groups: Vec<(Vec<RuleSet>, T)> = Vec::new();
    for (set, run) in runs {
        let value = part(run);
        match groups.iter_mut().find(|(_, other)| *other == value) {
            Some((sets, _)) => sets.push(*set),
            None => groups.push((vec![*set], value)),
        }
    }
    groups
}

/// `2017_2020`: the years of these editions.
fn years(sets: &[RuleSet], between: &str) -> String {
    sets.iter()
        .map(|set| set.words().trim_start_matches("NEC "))
        .collect::<Vec<_>>()
        .join(between)
}

/// The lines, missing inputs and cautions of all; lines that differ name their editions.
fn working(runs: &[(RuleSet, Working)]) -> Working {
    let mut out = Working::new(
        runs.first()
            .map_or_else(Default::default, |(_, working)| working.title.clone()),
    );
    for (key, nth) in order(runs) {
        let line_of = |working: &Working| nth_line(working, &key, nth).cloned();
        let groups = groups(runs, |working| line_of(working).map(without_source));
        let alike = groups.len() == 1;
        for (sets, line) in groups {
            let Some(mut line) = line else { continue };
            let of_group: Vec<(RuleSet, Working)> = runs
                .iter()
                .filter(|(set, _)| sets.contains(set))
                .cloned()
                .collect();
            line.source = sources(&of_group, line_of).into();
            if !alike {
                line.label = format!("{} (NEC {})", line.label, years(&sets, ", ")).into();
            }
            out.lines.push(line);
        }
    }
    for (_, working) in runs {
        for missing in &working.missing {
            if !out.missing.contains(missing) {
                out.missing.push(missing.clone());
            }
        }
        for caution in &working.cautions {
            if !out.cautions.contains(caution) {
                out.cautions.push(caution.clone());
            }
        }
    }
    out
}

fn without_source(mut line: Line) -> Line {
    line.source = "".into();
    line
}

fn sources(runs: &[(RuleSet, Working)], line_of: impl Fn(&Working) -> Option<Line>) -> String {
    let groups = groups(runs, |working| {
        line_of(working).map_or_else(Default::default, |line| line.source)
    });
    match groups.as_slice() {
        [(_, source)] => source.to_string(),
        several => several
            .iter()
            .map(|(sets, source)| format!("{source} ({})", years(sets, ", ")))
            .collect::<Vec<_>>()
            .join("; "),
    }
}

fn nth_line<'a>(working: &'a Working, key: &str, nth: usize) -> Option<&'a Line> {
    working.lines.iter().filter(|line| line.key == key).nth(nth)
}

/// Every line as key and number among its like, in an order that all runs keep.
fn order(runs: &[(RuleSet, Working)]) -> Vec<(String, usize)> {
    let mut order: Vec<(String, usize)> = Vec::new();
    for (_, working) in runs {
        let mut at = 0;
        for (i, line) in working.lines.iter().enumerate() {
            let before = working.lines.iter().take(i);
            let place = (
                line.key.to_string(),
                before.filter(|other| other.key == line.key).count(),
            );
            if let Some(found) = order.iter().position(|other| *other == place) {
                at = found + 1;
            } else {
                order.insert(at, place);
                at += 1;
            }
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shown::{Fill, line};

    fn one(set: RuleSet) -> Figure {
        let old = set == RuleSet::Nec2017;
        let mut working = Working::new("Box");
        let shown = line("egc", "Grounding").value(if old { "2.5" } else { "4.375" }, "in3");
        working.lines.push(shown.rule("count", "NEC 314.16(B)(5)"));
        let section = if old {
            "NEC 310.15(B)(16)"
        } else {
            "NEC 310.16"
        };
        working
            .lines
            .push(line("same", "Same").value("1", "A").rule("table", section));
        if set == RuleSet::Nec2023 {
            working.lines.insert(1, line("block", "Block"));
        }
        Figure::new(working)
            .with("fill", if old { 2.5 } else { 4.375 })
            .with("same", 1)
            .with_some("block", (set == RuleSet::Nec2023).then_some(2))
    }

    #[test]
    fn answers_that_differ_are_named_by_their_editions() {
        let all = together(EDITIONS.map(|set| (set, one(set))).to_vec());
        let names: Vec<&str> = all.answers.keys().map(String::as_str).collect();
        assert_eq!(names, ["block_2023", "fill_2017", "fill_2020_2023", "same"]);
        let lines: Vec<(&str, &str)> = all
            .working
            .lines
            .iter()
            .map(|line| (line.label.as_ref(), line.source.as_ref()))
            .collect();
        assert_eq!(
            lines,
            [
                ("Grounding (NEC 2017)", "NEC 314.16(B)(5)"),
                ("Grounding (NEC 2020, 2023)", "NEC 314.16(B)(5)"),
                ("Block (NEC 2023)", ""),
                ("Same", "NEC 310.15(B)(16) (2017); NEC 310.16 (2020, 2023)"),
            ]
        );
    }

    #[test]
    fn one_edition_keeps_its_names() {
        let alone = together(vec![(RuleSet::Nec2020, one(RuleSet::Nec2020))]);
        assert_eq!(alone.answers.get("fill"), Some(&4.375.into()));
        assert_eq!(alone.working.title, "Box, NEC 2020");
    }
}
