//! A plate typed or pasted as it reads, put into the fields of a form. Text fills what is blank; where
//! a field says otherwise the field stays, and the page asks.

use super::plate_form::{PlateGroup, PlateInput};
use super::plate_said::said;
use super::plate_words::GROUPS;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::Page;
use crate::people::CurrentUser;
use crate::rows::Typed;
use crate::shop::Units;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use calc::plate::{Plate, plausible, read};
use calc::working::Verdict;

/// What was made of the text, for the page around the fields.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    pub prefix: String,
    /// As typed, and what it means.
    pub understood: Vec<(String, String)>,
    /// As typed, and why it is not understood.
    pub not_understood: Vec<(String, String)>,
    pub doubts: Vec<String>,
    /// What cannot be true together as it stands.
    pub beyond: Vec<String>,
    /// What is unusual.
    pub unusual: Vec<String>,
    /// The person said that the plate reads so.
    pub as_read: bool,
    /// Why the form was refused here.
    pub error: Option<String>,
}

impl Shown {
    /// Of the fields as they stand; nothing is changed.
    pub fn of(typed: &Typed, prefix: &str, units: Units, errors: &FieldErrors) -> Self {
        let reading = read(typed.get(&format!("{prefix}plate_text")));
        let plate = PlateInput::from_typed(typed, prefix).parse(units);
        let plate = plate.unwrap_or_default();
        let as_read = format!("{prefix}as_read");
        Shown {
            understood: reading
                .understood
                .iter()
                .map(|part| (part.text.clone(), part.words.clone()))
                .collect(),
            not_understood: reading
                .not_understood
                .iter()
                .map(|part| (part.text.clone(), part.why.clone()))
                .collect(),
            doubts: reading
                .doubts
                .iter()
                .map(|doubt| doubt.words.clone())
                .chain(differs(&reading.plate, &plate, units))
                .collect(),
            beyond: lines(&plate, Verdict::Beyond),
            unusual: lines(&plate, Verdict::WithinNote),
            as_read: !typed.get(&as_read).is_empty(),
            error: errors.get(&as_read).map(str::to_owned),
            prefix: prefix.to_owned(),
        }
    }

    pub fn is_empty(&self) -> bool {
        self.understood.is_empty()
            && self.not_understood.is_empty()
            && self.beyond.is_empty()
            && self.unusual.is_empty()
    }
}

fn lines(plate: &Plate, verdict: Verdict) -> Vec<String> {
    let working = plausible(plate);
    let of = working.lines.iter().filter(|l| l.verdict == Some(verdict));
    of.map(|line| match line.note.is_empty() {
        true => format!("{}: {} {}", line.label, line.value, line.unit),
        false => format!("{}: {}", line.label, line.note),
    })
    .collect()
}

fn label(name: &str) -> &'static str {
    let asks = GROUPS.iter().flat_map(|(_, asks)| asks.iter());
    asks.clone()
        .find(|ask| ask.name == name)
        .map_or("", |ask| ask.label)
}

/// Fields that say something else than the text.
fn differs(text: &Plate, fields: &Plate, units: Units) -> Vec<String> {
    let (text, fields) = (said(text, units, true), said(fields, units, true));
    text.iter()
        .zip(&fields)
        .filter(|(a, b)| !a.text.is_empty() && !b.text.is_empty() && a.text != b.text)
        .map(|(a, b)| {
            format!(
                "{}: the text says {}, the field says {}. The field counts.",
                label(a.name),
                a.text,
                b.text
            )
        })
        .collect()
}

/// Puts what the text says into fields that are blank.
pub fn fill(typed: &mut Typed, prefix: &str, units: Units) {
    let reading = read(typed.get(&format!("{prefix}plate_text")));
    for said in said(&reading.plate, units, false) {
        let name = format!("{prefix}{}", said.name);
        let how = format!("{name}_how");
        let blank = typed.get(&name).is_empty() && typed.get(&how) != "unreadable";
        if blank && !said.how.is_empty() {
            typed.put(name, said.text);
            typed.put(how, said.how);
        }
    }
}

/// The fields with the text read into them, where the form's `Read it` was pressed.
pub fn pressed(typed: &Typed, units: Units) -> Option<Typed> {
    let prefix = match typed.get("read_plate") {
        "" => return None,
        "plain" => "",
        prefix => prefix,
    };
    let mut filled = typed.clone();
    fill(&mut filled, prefix, units);
    Some(filled)
}

/// The same for a form that is kept as it came.
pub fn pressed_fields(fields: &Fields, units: Units) -> Option<Fields> {
    let filled = pressed(&Typed::from_fields(fields), units)?;
    Some(Fields(filled.0.into_iter().collect()))
}

/// Asks about a plate that cannot be true as it stands, unless it is the one on record or the person
/// says that it reads so.
pub fn ask(
    errors: &mut FieldErrors,
    typed: &Typed,
    prefix: &str,
    plate: &Plate,
    recorded: Option<&Plate>,
) {
    let name = format!("{prefix}as_read");
    if recorded.is_some_and(|recorded| alike(recorded, plate)) || !typed.get(&name).is_empty() {
        return;
    }
    if let Some(first) = lines(plate, Verdict::Beyond).into_iter().next() {
        let message = format!(
            "This cannot be true as it stands. Look at the plate again, or say that it reads so. {first}"
        );
        errors.add(&name, message);
    }
}

/// The same in words: a figure that went through a form may differ in its last places.
fn alike(a: &Plate, b: &Plate) -> bool {
    let (a, b) = (said(a, Units::Si, true), said(b, Units::Si, true));
    a.iter()
        .map(|said| &said.text)
        .eq(b.iter().map(|said| &said.text))
}

#[derive(Template)]
#[template(path = "motors/plate_fields.html")]
struct FieldsPage {
    read: Shown,
    groups: Vec<PlateGroup>,
}

/// `/motors/plate/read`: the fields of one plate with the text read into them, for the script of a
/// form. Writes nothing.
pub async fn fragment(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let units = app.units();
    let typed = Typed::from_fields(&fields);
    let prefix = match typed.get("read_plate") {
        "plain" => String::new(),
        prefix => prefix.to_owned(),
    };
    let mut filled = typed;
    fill(&mut filled, &prefix, units);
    let errors = FieldErrors::default();
    let page = FieldsPage {
        read: Shown::of(&filled, &prefix, units, &errors),
        groups: PlateInput::from_typed(&filled, &prefix).groups(units, &errors),
    };
    Ok(Page(page).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(fields: &[(&str, &str)]) -> Typed {
        let mut typed = Typed::default();
        for (name, value) in fields {
            typed.put(*name, *value);
        }
        typed
    }

    #[test]
    fn text_fills_what_is_blank_and_asks_where_a_field_says_otherwise() {
        let mut form = typed(&[
            (
                "fitted_plate_text",
                "1/6 HP 1075 RPM 208-230 V 1.2 A 60 HZ 1 PH SFA 1.4 IP55 ZZ9",
            ),
            ("fitted_power", "1/4"),
            ("fitted_power_how", "measured"),
            ("fitted_volts_how", "unreadable"),
        ]);
        fill(&mut form, "fitted_", Units::Us);
        assert_eq!(form.get("fitted_power"), "1/4");
        assert_eq!(form.get("fitted_speeds"), "1075");
        assert_eq!(form.get("fitted_speeds_how"), "read");
        assert_eq!(form.get("fitted_volts"), "");
        assert_eq!(form.get("fitted_ip_code"), "IP55");
        let shown = Shown::of(&form, "fitted_", Units::Us, &FieldErrors::default());
        assert!(
            shown.doubts.iter().any(|d| d.contains("1/6 hp")),
            "{shown:?}"
        );
        assert!(
            shown
                .not_understood
                .iter()
                .any(|(text, _)| text.contains("ZZ9"))
        );
        let plate = PlateInput::from_typed(&form, "fitted_").parse(Units::Us);
        let plate = plate.expect("it reads");
        assert_eq!(
            plate.more.service_factor_amps.value().map(Vec::len),
            Some(1)
        );
        let again = PlateInput::from_plate(&plate, Units::Us, "").parse(Units::Us);
        assert_eq!(again.expect("it reads back").more, plate.more);
    }

    #[test]
    fn a_plate_that_cannot_be_is_asked_about_once() {
        let form = typed(&[
            ("power", "10 hp"),
            ("volts", "115"),
            ("amps", "1"),
            ("phases", "1"),
        ]);
        let plate = PlateInput::from_typed(&form, "").parse(Units::Us);
        let plate = plate.expect("it reads");
        let mut errors = FieldErrors::default();
        ask(&mut errors, &form, "", &plate, Some(&plate));
        assert!(errors.is_empty(), "on record already");
        ask(&mut errors, &form, "", &plate, None);
        assert!(errors.get("as_read").is_some());
        let mut said = form.clone();
        said.put("as_read", "yes");
        let mut errors = FieldErrors::default();
        ask(&mut errors, &said, "", &plate, None);
        assert!(errors.is_empty());
    }
}
