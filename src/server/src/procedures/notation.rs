//! Steps as people type them: one a line, what it takes in square brackets, cautions and sources on
//! lines of their own below it.

use super::{Step, Takes, quantity};

/// Shown beside the field; the parser's own documentation.
pub const HELP: &[(&str, &str)] = &[
    ("Guard back and fixed", "a step to tick"),
    (
        "Insulation to earth [megohm >= 5]",
        "a reading with a lower limit; <= for an upper one",
    ),
    (
        "Supply volts [volts 198..242]",
        "a reading between two limits",
    ),
    ("Fan speed [rpm]", "a reading without a limit"),
    (
        "Belt [whole | cracked | glazed]",
        "one of these words is chosen",
    ),
    (
        "Draw the wheel off [locked]",
        "waits until every source is locked and proved dead",
    ),
    (
        "! The wheel may turn by draught",
        "a caution for the step above",
    ),
    ("@ maker's manual", "where the step above comes from"),
];

/// What is wrong with a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    pub line: usize,
    pub message: String,
}

/// Reads a whole text.
///
/// # Errors
/// Every line that cannot be read, with what to write instead.
pub fn parse(text: &str) -> Result<Vec<Step>, Vec<Problem>> {
    let mut steps: Vec<Step> = Vec::new();
    let mut problems = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        let read = match line.chars().next() {
            None => Ok(()),
            Some(mark @ ('!' | '@')) => beside(steps.last_mut(), mark, line[1..].trim()),
            Some(_) => step(line).map(|step| steps.push(step)),
        };
        if let Err(message) = read {
            problems.push(Problem {
                line: at + 1,
                message,
            });
        }
    }
    if steps.is_empty() && problems.is_empty() {
        problems.push(Problem {
            line: 1,
            message: "Write at least one step".to_owned(),
        });
    }
    if problems.is_empty() {
        Ok(steps)
    } else {
        Err(problems)
    }
}

fn beside(step: Option<&mut Step>, mark: char, words: &str) -> Result<(), String> {
    let Some(step) = step else {
        return Err("This belongs under a step; write the step first".to_owned());
    };
    let field = if mark == '!' {
        &mut step.caution
    } else {
        &mut step.source
    };
    if words.is_empty() {
        return Err(format!("Write something behind {mark}"));
    }
    if !field.is_empty() {
        field.push_str("; ");
    }
    field.push_str(words);
    Ok(())
}

fn step(line: &str) -> Result<Step, String> {
    let mut step = Step::default();
    let mut rest = line;
    // Brackets stand at the end, one after the other.
    let mut marks = Vec::new();
    while let Some(front) = rest.strip_suffix(']') {
        let at = front
            .rfind('[')
            .ok_or("A bracket is closed that was not opened")?;
        marks.push(front[at + 1..].trim());
        rest = front[..at].trim_end();
    }
    if rest.contains(['[', ']']) {
        return Err("Put what it takes in brackets at the end of the line".to_owned());
    }
    if rest.is_empty() {
        return Err("Say what is to be done before the bracket".to_owned());
    }
    rest.clone_into(&mut step.text);
    for mark in marks {
        if mark.eq_ignore_ascii_case("locked") {
            step.locked = true;
        } else if step.takes != Takes::Tick {
            return Err("A step takes one answer; write two steps".to_owned());
        } else if mark.contains('|') {
            choice(&mut step, mark)?;
        } else {
            reading(&mut step, mark)?;
        }
    }
    Ok(step)
}

fn choice(step: &mut Step, mark: &str) -> Result<(), String> {
    step.takes = Takes::Choice;
    for word in mark.split('|').map(str::trim) {
        if word.is_empty() || step.choices.iter().any(|w| w.eq_ignore_ascii_case(word)) {
            return Err("Give words that differ, as [whole | cracked]".to_owned());
        }
        step.choices.push(word.to_owned());
    }
    Ok(())
}

fn reading(step: &mut Step, mark: &str) -> Result<(), String> {
    let end = mark
        .find(|c: char| c.is_whitespace() || "<>=".contains(c))
        .unwrap_or(mark.len());
    let (word, limit) = mark.split_at(end);
    let Some((name, unit)) = quantity(word) else {
        return Err(format!(
            "“{word}” is no unit known here; the list below has them"
        ));
    };
    step.takes = Takes::Reading;
    name.clone_into(&mut step.quantity);
    unit.clone_into(&mut step.unit);
    let limit = limit.trim();
    let bad = || format!("“{limit}” is no limit; write >= 5, <= 6.5 or 198..242");
    let number = |text: &str| {
        let text = text.trim().replace(',', ".");
        text.parse::<f64>()
            .ok()
            .filter(|n| n.is_finite())
            .ok_or_else(bad)
    };
    if let Some(low) = limit.strip_prefix(">=") {
        step.low = Some(number(low)?);
    } else if let Some(high) = limit.strip_prefix("<=") {
        step.high = Some(number(high)?);
    } else if let Some((low, high)) = limit.split_once("..") {
        let (low, high) = (number(low)?, number(high)?);
        if low > high {
            return Err(format!("The limits are the wrong way round: {limit}"));
        }
        (step.low, step.high) = (Some(low), Some(high));
    } else if !limit.is_empty() {
        return Err(bad());
    }
    Ok(())
}

/// The text that reads back as these steps.
pub fn write(steps: &[Step]) -> String {
    let mut text = String::new();
    for step in steps {
        text.push_str(&step.text);
        match step.takes {
            Takes::Tick => {}
            Takes::Choice => text.push_str(&format!(" [{}]", step.choices.join(" | "))),
            Takes::Reading => {
                let limit = match (step.low, step.high) {
                    (None, None) => String::new(),
                    (Some(low), None) => format!(" >= {low}"),
                    (None, Some(high)) => format!(" <= {high}"),
                    (Some(low), Some(high)) => format!(" {low}..{high}"),
                };
                text.push_str(&format!(" [{}{limit}]", step.quantity));
            }
        }
        if step.locked {
            text.push_str(" [locked]");
        }
        text.push('\n');
        for (mark, words) in [('!', &step.caution), ('@', &step.source)] {
            if !words.is_empty() {
                text.push_str(&format!("{mark} {words}\n"));
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_help_reads_and_writes_back() {
        let text: String = HELP.iter().map(|(line, _)| format!("{line}\n")).collect();
        let steps = parse(&text).expect("the help is right");
        assert_eq!(steps.len(), 6);
        assert_eq!(
            (steps[1].quantity.as_str(), steps[1].low, steps[1].high),
            ("megohm", Some(5.0), None)
        );
        assert_eq!((steps[2].low, steps[2].high), (Some(198.0), Some(242.0)));
        assert_eq!(steps[4].choices, ["whole", "cracked", "glazed"]);
        assert!(steps[5].locked && steps[5].takes == Takes::Tick);
        assert_eq!(steps[5].caution, "The wheel may turn by draught");
        assert_eq!(steps[5].source, "maker's manual");
        assert_eq!(parse(&write(&steps)), Ok(steps));
    }

    #[test]
    fn both_brackets_in_either_order() {
        let one = parse("Winding [ohm] [locked]").expect("reads");
        assert_eq!(parse("Winding [locked] [ohm]"), Ok(one));
    }

    #[test]
    fn each_bad_line_is_named_with_what_to_write() {
        let text = "! first\nSpeed [furlong]\nVolts [volts 250..200]\nOk\nA [x | x]\nB [amps < 5]\n\
                    [ohm]\nC [ohm] later\nD [ohm] [volts]\nE]\n@";
        let problems = parse(text).expect_err("bad lines");
        let lines: Vec<usize> = problems.iter().map(|p| p.line).collect();
        assert_eq!(lines, [1, 2, 3, 5, 6, 7, 8, 9, 10, 11]);
        assert!(problems[1].message.contains("furlong"));
        assert!(problems[2].message.contains("wrong way round"));
        assert_eq!(parse(" \n").expect_err("blank").len(), 1);
    }
}
