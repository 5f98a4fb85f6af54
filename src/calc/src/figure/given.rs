//! What was given to a topic, read field by field with a clear sentence for what cannot be read.

mod figures;

pub(crate) use figures::fraction;
use figures::{decimal, number};

use super::{Takes, Trouble, Want};
use rust_decimal::Decimal;
use serde_json::{Map, Value};
use time::macros::format_description;
use time::{Date, PrimitiveDateTime};

/// The fields of one question. A field that is absent or `null` was not given.
#[derive(Clone, Copy, Debug)]
pub struct Given<'a> {
    fields: &'a Map<String, Value>,
    wants: &'static [Want],
}

impl<'a> Given<'a> {
    /// These fields, read as the topic wants them.
    pub fn new(fields: &'a Map<String, Value>, wants: &'static [Want]) -> Self {
        Given { fields, wants }
    }

    /// The field as it came; `None` where it was not given.
    pub fn raw(&self, name: &str) -> Option<&'a Value> {
        debug_assert!(
            self.wants.iter().any(|want| want.name == name),
            "{name} is read but not listed"
        );
        self.fields.get(name).filter(|value| !value.is_null())
    }

    /// Whether it was given at all.
    pub fn has(&self, name: &str) -> bool {
        self.raw(name).is_some()
    }

    fn label(&self, name: &str) -> &'static str {
        self.wants
            .iter()
            .find(|want| want.name == name)
            .map_or("this", |want| want.label)
    }

    /// The field must be there: the reading, or a sentence that asks for it.
    pub fn need<T>(&self, name: &str, read: Option<T>) -> Result<T, Trouble> {
        read.ok_or_else(|| Trouble::of(name, format!("Not given: {}", self.label(name))))
    }

    /// Unit of the field; a text may end in it.
    fn unit(&self, name: &str) -> &'static str {
        self.wants
            .iter()
            .find(|want| want.name == name)
            .map_or("", |want| want.unit)
    }

    /// A finite number; a text is read as decimals or a fraction (`1/2`, `7 1/2`, `7-1/2`), with or
    /// without the unit of the field. Two voltages in one text, `230/460`, are not one number.
    pub fn number(&self, name: &str) -> Result<Option<f64>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        number(value, self.unit(name))
            .map(Some)
            .ok_or_else(|| Trouble::of(name, "Give one number, such as 12.5 or 1/2"))
    }

    /// A finite number above zero.
    pub fn positive(&self, name: &str) -> Result<Option<f64>, Trouble> {
        match self.number(name)? {
            Some(value) if value <= 0.0 => Err(Trouble::of(name, "Give a number above zero")),
            read => Ok(read),
        }
    }

    /// A finite number, zero or above.
    pub fn not_negative(&self, name: &str) -> Result<Option<f64>, Trouble> {
        match self.number(name)? {
            Some(value) if value < 0.0 => Err(Trouble::of(name, "Give zero or a number above it")),
            read => Ok(read),
        }
    }

    /// A number above zero that must be there.
    pub fn need_positive(&self, name: &str) -> Result<f64, Trouble> {
        self.need(name, self.positive(name)?)
    }

    /// A number that must be there.
    pub fn need_number(&self, name: &str) -> Result<f64, Trouble> {
        self.need(name, self.number(name)?)
    }

    /// An exact figure, zero or above and at most a million: amperes, volts, ratings.
    pub fn decimal(&self, name: &str) -> Result<Option<Decimal>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        decimal(value, self.unit(name))
            .filter(|value| *value >= Decimal::ZERO && *value <= Decimal::from(1_000_000))
            .map(Some)
            .ok_or_else(|| Trouble::of(name, "Give one number from 0 to 1 000 000"))
    }

    /// An exact figure that must be there.
    pub fn need_decimal(&self, name: &str) -> Result<Decimal, Trouble> {
        self.need(name, self.decimal(name)?)
    }

    /// A whole number from 0 to 1 000 000 000.
    pub fn whole(&self, name: &str) -> Result<Option<u64>, Trouble> {
        match self.number(name)? {
            None => Ok(None),
            Some(value) if value.fract() == 0.0 && (0.0..=1e9).contains(&value) => {
                Ok(Some(value as u64))
            }
            Some(_) => Err(Trouble::of(name, "Give a whole number, zero or above")),
        }
    }

    /// A whole number that must be there.
    pub fn need_whole(&self, name: &str) -> Result<u64, Trouble> {
        self.need(name, self.whole(name)?)
    }

    /// `true` or `false`; on the bench also `yes` and `no`.
    pub fn flag(&self, name: &str) -> Result<Option<bool>, Trouble> {
        match self.raw(name) {
            None => Ok(None),
            Some(Value::Bool(flag)) => Ok(Some(*flag)),
            Some(Value::String(text)) if text == "true" || text == "yes" => Ok(Some(true)),
            Some(Value::String(text)) if text == "false" || text == "no" => Ok(Some(false)),
            Some(_) => Err(Trouble::of(name, "Give true or false")),
        }
    }

    /// A text, without outer blanks; a number is taken as it is written.
    pub fn text(&self, name: &str) -> Result<Option<String>, Trouble> {
        match self.raw(name) {
            None => Ok(None),
            Some(Value::String(text)) => Ok(Some(text.trim().to_owned())),
            Some(Value::Number(number)) => Ok(Some(number.to_string())),
            Some(_) => Err(Trouble::of(name, "Give a text")),
        }
    }

    /// A text that must be there.
    pub fn need_text(&self, name: &str) -> Result<String, Trouble> {
        self.need(name, self.text(name)?)
    }

    /// One word of the field's choices, in any case.
    pub fn choice(&self, name: &str) -> Result<Option<&'static str>, Trouble> {
        let Some(text) = self.text(name)? else {
            return Ok(None);
        };
        let options = match self.wants.iter().find(|want| want.name == name) {
            Some(Want {
                takes: Takes::Choice(options),
                ..
            }) => *options,
            _ => &[],
        };
        options
            .iter()
            .map(|(word, _)| *word)
            .find(|word| word.eq_ignore_ascii_case(&text))
            .map(Some)
            .ok_or_else(|| {
                let words: Vec<&str> = options.iter().map(|(word, _)| *word).collect();
                Trouble::of(name, format!("Give one of {}", words.join(", ")))
            })
    }

    /// A choice that must be there.
    pub fn need_choice(&self, name: &str) -> Result<&'static str, Trouble> {
        self.need(name, self.choice(name)?)
    }

    /// A date, `2026-11-25`, of the years 1900 to 2400.
    pub fn date(&self, name: &str) -> Result<Option<Date>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        date(value)
            .map(Some)
            .ok_or_else(|| Trouble::of(name, "Give a date as 2026-11-25"))
    }

    /// A date that must be there.
    pub fn need_date(&self, name: &str) -> Result<Date, Trouble> {
        self.need(name, self.date(name)?)
    }

    /// Wall-clock time, `2026-11-25T09:00` or with seconds; a bare date is its first minute.
    pub fn moment(&self, name: &str) -> Result<Option<PrimitiveDateTime>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        moment(value)
            .map(Some)
            .ok_or_else(|| Trouble::of(name, "Give a time as 2026-11-25T09:00"))
    }

    /// Wall-clock time that must be there.
    pub fn need_moment(&self, name: &str) -> Result<PrimitiveDateTime, Trouble> {
        self.need(name, self.moment(name)?)
    }

    /// The items of a list, each with its place for the sentence about it.
    fn list<T>(
        &self,
        name: &str,
        what: &str,
        read: impl Fn(&'a Value) -> Option<T>,
    ) -> Result<Option<Vec<T>>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        let items = value
            .as_array()
            .ok_or_else(|| Trouble::of(name, format!("Give a list of {what}")))?;
        let one = |(at, item)| {
            read(item).ok_or_else(|| {
                Trouble::of(
                    format!("{name}.{at}"),
                    format!("Give only {what} in this list"),
                )
            })
        };
        items
            .iter()
            .enumerate()
            .map(one)
            .collect::<Result<_, _>>()
            .map(Some)
    }

    /// A list of finite numbers.
    pub fn numbers(&self, name: &str) -> Result<Option<Vec<f64>>, Trouble> {
        let unit = self.unit(name);
        self.list(name, "numbers", |item| number(item, unit))
    }

    /// A list of numbers that must be there.
    pub fn need_numbers(&self, name: &str) -> Result<Vec<f64>, Trouble> {
        self.need(name, self.numbers(name)?)
    }

    /// A list of lists of finite numbers.
    pub fn number_lists(&self, name: &str) -> Result<Option<Vec<Vec<f64>>>, Trouble> {
        self.list(name, "lists of numbers", |item| {
            item.as_array()?
                .iter()
                .map(|value| number(value, ""))
                .collect()
        })
    }

    /// A list of exact figures, each zero or above.
    pub fn decimals(&self, name: &str) -> Result<Option<Vec<Decimal>>, Trouble> {
        let unit = self.unit(name);
        self.list(name, "numbers, zero or above", |item| {
            decimal(item, unit).filter(|value| *value >= Decimal::ZERO)
        })
    }

    /// A list of dates.
    pub fn dates(&self, name: &str) -> Result<Option<Vec<Date>>, Trouble> {
        self.list(name, "dates as 2026-11-25", date)
    }

    /// A list of texts.
    pub fn texts(&self, name: &str) -> Result<Option<Vec<String>>, Trouble> {
        self.list(name, "texts", |item| Some(item.as_str()?.to_owned()))
    }

    /// Numbers by name, in the order of the names.
    pub fn numbers_by_name(&self, name: &str) -> Result<Option<Vec<(String, f64)>>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        let fields = value
            .as_object()
            .ok_or_else(|| Trouble::of(name, "Give an object of numbers by name"))?;
        let one = |(key, value): (&String, &Value)| match number(value, "") {
            Some(value) => Ok((key.clone(), value)),
            None => Err(Trouble::of(format!("{name}.{key}"), "Give a number")),
        };
        fields.iter().map(one).collect::<Result<_, _>>().map(Some)
    }

    fn within(&self, name: &str) -> &'static [Want] {
        match self.wants.iter().find(|want| want.name == name) {
            Some(Want {
                takes: Takes::Rows(wants) | Takes::Group(wants),
                ..
            }) => wants,
            _ => &[],
        }
    }

    /// A list of objects, each read by `read`; trouble inside names the row.
    pub fn rows<T>(
        &self,
        name: &str,
        read: impl Fn(&Given<'a>) -> Result<T, Trouble>,
    ) -> Result<Option<Vec<T>>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        let wants = self.within(name);
        let items = value
            .as_array()
            .ok_or_else(|| Trouble::of(name, "Give a list of objects"))?;
        let one = |(at, item): (usize, &'a Value)| {
            let place = format!("{name}.{at}");
            let fields = item
                .as_object()
                .ok_or_else(|| Trouble::of(place.clone(), "Give an object here"))?;
            read(&Given::new(fields, wants)).map_err(|trouble| trouble.inside(&place))
        };
        items
            .iter()
            .enumerate()
            .map(one)
            .collect::<Result<_, _>>()
            .map(Some)
    }

    /// One object, read by `read`; trouble inside names it.
    pub fn group<T>(
        &self,
        name: &str,
        read: impl Fn(&Given<'a>) -> Result<T, Trouble>,
    ) -> Result<Option<T>, Trouble> {
        let Some(value) = self.raw(name) else {
            return Ok(None);
        };
        let wants = self.within(name);
        let fields = value
            .as_object()
            .ok_or_else(|| Trouble::of(name, "Give an object"))?;
        read(&Given::new(fields, wants))
            .map(Some)
            .map_err(|trouble| trouble.inside(name))
    }
}

fn date(value: &Value) -> Option<Date> {
    Date::parse(
        value.as_str()?.trim(),
        format_description!("[year]-[month]-[day]"),
    )
    .ok()
    .filter(|date| (1900..=2400).contains(&date.year()))
}

fn moment(value: &Value) -> Option<PrimitiveDateTime> {
    let text = value.as_str()?.trim();
    if let Some(date) = date(value) {
        return Some(date.midnight());
    }
    let seconds = format_description!("[year]-[month]-[day]T[hour]:[minute]:[second]");
    let minutes = format_description!("[year]-[month]-[day]T[hour]:[minute]");
    PrimitiveDateTime::parse(text, seconds)
        .or_else(|_| PrimitiveDateTime::parse(text, minutes))
        .ok()
        .filter(|moment| (1900..=2400).contains(&moment.year()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::want;
    use serde_json::json;

    static ROW: &[Want] = &[want("hp", "Power", Takes::Number)];
    static WANTS: &[Want] = &[
        want("hp", "Power", Takes::Number).unit("hp"),
        want("amps", "Amperes", Takes::Number).unit("A"),
        want("on", "Date", Takes::Date),
        want(
            "kind",
            "Kind",
            Takes::Choice(&[("fan", "Fan"), ("pump", "Pump")]),
        ),
        want("motors", "Motors", Takes::Rows(ROW)),
    ];

    fn with<T>(value: Value, read: impl Fn(&Given) -> T) -> T {
        read(&Given::new(value.as_object().expect("an object"), WANTS))
    }

    #[test]
    fn a_text_may_end_in_the_unit_of_its_field() {
        let read = |text: &str| with(json!({"hp": text}), |given| given.number("hp"));
        assert_eq!(read("7.5 hp"), Ok(Some(7.5)));
        assert_eq!(read("7 1/2HP"), Ok(Some(7.5)));
        assert!(read("7.5 kW").is_err());
        let trouble = read("230/460").unwrap_err();
        assert!(trouble.message.starts_with("Give one number"));
        let amps = with(json!({"amps": "100 A"}), |given| given.decimal("amps"));
        assert_eq!(amps, Ok(Some(Decimal::from(100))));
    }

    #[test]
    fn amperes_stay_exact() {
        let exact = with(json!({"amps": 16.7}), |given| given.decimal("amps"));
        assert_eq!(exact, Ok(Some(Decimal::new(167, 1))));
    }

    #[test]
    fn what_cannot_be_read_names_its_field() {
        let trouble = with(json!({"motors": [{"hp": 5}, {"hp": "x"}]}), |given| {
            given.rows("motors", |row| row.need_positive("hp"))
        });
        assert_eq!(trouble.unwrap_err().field.as_deref(), Some("motors.1.hp"));
        let trouble = with(json!({"kind": "boat"}), |given| given.choice("kind"));
        assert_eq!(trouble.unwrap_err().message, "Give one of fan, pump");
        let trouble = with(json!({"motors": [{"kw": 5}]}), |given| {
            given.rows("motors", |row| row.need_positive("hp"))
        });
        assert_eq!(trouble.unwrap_err().field.as_deref(), Some("motors.0.hp"));
        let trouble = with(json!({"hp": null}), |given| given.need_positive("hp"));
        assert_eq!(trouble.unwrap_err().message, "Not given: Power");
    }
}
