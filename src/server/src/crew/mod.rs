//! Who works when, who is away, and who is qualified for what: asked wherever work is handed out.

pub mod form;
pub mod pages;
pub mod queries;

use crate::clock::date_words;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::jobs::gate::Refusal;
use crate::people::{self, Person, PersonId, Role};
use crate::preventive::{self, Needs};
use calc::due::Closed;
use std::collections::HashMap;
use time::Date;

/// Away from one day to another, both included.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Absence {
    pub id: i64,
    pub person_id: PersonId,
    pub from_on: Date,
    pub until_on: Date,
    pub why: String,
}

impl Absence {
    pub fn words(&self) -> String {
        let why = match self.why.as_str() {
            "" => String::new(),
            why => format!(": {why}"),
        };
        match self.from_on == self.until_on {
            true => format!("{}{why}", date_words(self.from_on)),
            false => format!(
                "{} to {}{why}",
                date_words(self.from_on),
                date_words(self.until_on)
            ),
        }
    }
}

/// A qualification with its days.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Skill {
    pub id: i64,
    pub person_id: PersonId,
    pub skill: String,
    pub valid_from: Date,
    pub valid_until: Option<Date>,
}

impl Skill {
    pub fn holds(&self, day: Date) -> bool {
        self.valid_from <= day && self.valid_until.is_none_or(|until| day <= until)
    }

    pub fn words(&self) -> String {
        let until = self
            .valid_until
            .map_or_else(String::new, |until| format!(" until {}", date_words(until)));
        format!("{} from {}{until}", self.skill, date_words(self.valid_from))
    }
}

/// What a person can give on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Room {
    Minutes(i64),
    Away(String),
    Closed,
    /// Nobody has said.
    NotKnown,
}

impl Room {
    /// Minutes to plan with; `None` where nobody has said.
    pub fn minutes(&self) -> Option<i64> {
        match self {
            Room::Minutes(minutes) => Some(*minutes),
            Room::Away(_) | Room::Closed => Some(0),
            Room::NotKnown => None,
        }
    }
}

/// Everybody who takes work, with hours, absences and skills.
#[derive(Clone, Debug, Default)]
pub struct Crew {
    pub people: Vec<Person>,
    hours: HashMap<(i64, i64), i64>,
    absences: Vec<Absence>,
    skills: Vec<Skill>,
    closed: Closed,
}

impl Crew {
    /// Absences that end before `from` are left out.
    ///
    /// # Errors
    /// The database's own.
    pub async fn load(db: &Db, from: Date) -> sqlx::Result<Crew> {
        let mut people = people::queries::list(db).await?;
        people.retain(|p| !p.closed && matches!(p.role, Role::Technician | Role::Supervisor));
        let hours = queries::hours(db).await?;
        Ok(Crew {
            people,
            hours: hours.into_iter().map(|(p, d, m)| ((p, d), m)).collect(),
            absences: queries::absences(db, from).await?,
            skills: queries::skills(db).await?,
            closed: crate::shop::closed_queries::closed(db).await?,
        })
    }

    pub fn room(&self, person: &Person, day: Date) -> Room {
        let away = self
            .absences
            .iter()
            .find(|a| a.person_id == person.id && a.from_on <= day && day <= a.until_on);
        if let Some(away) = away {
            return Room::Away(away.why.clone());
        }
        if self.closed.holds(day) {
            return Room::Closed;
        }
        let weekday = i64::from(day.weekday().number_from_monday());
        if let Some(minutes) = self.hours.get(&(person.id.0, weekday)) {
            return Room::Minutes(*minutes);
        }
        // Hours of a working day, where nobody said more.
        match person.hours_a_day {
            Some(hours) => Room::Minutes((hours * 60.0).round() as i64),
            None => Room::NotKnown,
        }
    }

    pub fn hours_of(&self, person: PersonId, weekday: i64) -> Option<i64> {
        self.hours.get(&(person.0, weekday)).copied()
    }

    pub fn absences_of(&self, person: PersonId) -> Vec<&Absence> {
        let own = |a: &&Absence| a.person_id == person;
        self.absences.iter().filter(own).collect()
    }

    pub fn skills_of(&self, person: PersonId) -> Vec<&Skill> {
        let own = |s: &&Skill| s.person_id == person;
        self.skills.iter().filter(own).collect()
    }

    pub fn find(&self, person: PersonId) -> Option<&Person> {
        self.people.iter().find(|p| p.id == person)
    }

    /// What this person lacks for the work on that day; empty: nothing.
    pub fn lacks(&self, person: &Person, day: Date, asks: &Asks) -> Vec<String> {
        let own: Vec<Skill> = self.skills_of(person.id).into_iter().cloned().collect();
        lacks(asks, person, &own, day)
    }

    /// The words of all skills anybody has, each once.
    pub fn known_skills(&self) -> Vec<String> {
        let mut known: Vec<String> = self.skills.iter().map(|s| s.skill.clone()).collect();
        known.sort_by_key(|s| s.to_lowercase());
        known.dedup_by_key(|s| s.to_lowercase());
        known
    }
}

/// What work asks of the person who does it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asks {
    pub skills: Vec<String>,
    /// The plan needs the machine isolated: training for energy control, 29 CFR 1910.147(c)(7).
    pub authorised: bool,
}

impl Asks {
    pub fn of(needs: &Needs, steps: &str, locking: &[i64]) -> Asks {
        Asks {
            skills: needs.skills.clone(),
            authorised: needs.isolation(steps, locking).needed(),
        }
    }
}

/// What stands against handing a job to somebody.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lacking {
    /// What the person lacks, in words.
    pub person: Vec<String>,
    pub partner_named: bool,
    /// What the named partner lacks of that.
    pub partner: Vec<String>,
}

impl Lacking {
    /// # Errors
    /// One sentence, and the field it belongs beside.
    pub fn gate(&self, name: &str) -> Result<(), Refusal> {
        let refuse = |field, message| Err(Refusal { field, message });
        match (self.person.is_empty(), self.partner_named) {
            (true, _) => Ok(()),
            (false, false) => refuse(
                "to",
                format!(
                    "{name} is not qualified for it that day: {}. Choose somebody who is, or name a \
                     qualified partner who is there too",
                    self.person.join(", ")
                ),
            ),
            (false, true) if self.partner.is_empty() => Ok(()),
            (false, true) => refuse(
                "partner",
                format!("This partner lacks it too: {}", self.partner.join(", ")),
            ),
        }
    }
}

/// The same of a job, inside the write that hands it out.
pub(crate) async fn lacking_in(
    tx: &mut Tx,
    job: JobId,
    to: Option<&Person>,
    day: Date,
    partner: Option<PersonId>,
) -> sqlx::Result<Lacking> {
    let mut lacking = Lacking::default();
    let (Some(person), Some((needs, steps))) = (to, queries::asks_in(tx, job).await?) else {
        return Ok(lacking);
    };
    let locking = preventive::queries::locking_procedures_in(tx).await?;
    let mut asks = Asks::of(&Needs::read(&needs)?, &steps, &locking);
    let own = queries::skills_in(tx, person.id).await?;
    lacking.person = lacks(&asks, person, &own, day);
    let Some(partner) = partner.filter(|partner| *partner != person.id) else {
        return Ok(lacking);
    };
    lacking.partner_named = true;
    match people::queries::find_in(tx, partner).await? {
        Some(partner) if !partner.closed => {
            // The partner makes up for what the person lacks, and for nothing else.
            let held = |skill: &String| lacks(&only(skill), person, &own, day).is_empty();
            asks.skills.retain(|skill| !held(skill));
            asks.authorised &= person.authorised_on.is_none_or(|on| on > day);
            let skills = queries::skills_in(tx, partner.id).await?;
            lacking.partner = lacks(&asks, &partner, &skills, day);
        }
        _ => lacking
            .partner
            .push("nobody of that name works here".to_owned()),
    }
    Ok(lacking)
}

fn only(skill: &str) -> Asks {
    Asks {
        skills: vec![skill.to_owned()],
        authorised: false,
    }
}

/// Each thing that is lacking, in words.
pub fn lacks(asks: &Asks, person: &Person, own: &[Skill], day: Date) -> Vec<String> {
    let mut lacking = Vec::new();
    if asks.authorised && person.authorised_on.is_none_or(|on| on > day) {
        lacking.push("training for energy control".to_owned());
    }
    for wanted in &asks.skills {
        let named = |s: &&Skill| s.skill.eq_ignore_ascii_case(wanted);
        if own.iter().filter(named).any(|s| s.holds(day)) {
            continue;
        }
        let ended = own.iter().filter(named).filter_map(|s| s.valid_until).max();
        lacking.push(match ended {
            Some(until) if until < day => format!("{wanted} (ended {})", date_words(until)),
            _ => wanted.clone(),
        });
    }
    lacking
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn person(hours: Option<f64>) -> Person {
        Person {
            id: PersonId(1),
            sign_in_name: String::new(),
            name: "Ida".to_owned(),
            role: Role::Technician,
            authorised_on: None,
            qualified_on: None,
            hours_a_day: hours,
            closed: false,
        }
    }

    fn skill(name: &str, until: Option<Date>) -> Skill {
        Skill {
            id: 1,
            person_id: PersonId(1),
            skill: name.to_owned(),
            valid_from: date!(2026 - 01 - 01),
            valid_until: until,
        }
    }

    #[test]
    fn a_qualification_counts_on_its_days_only() {
        let asks = Asks {
            skills: vec!["gas".to_owned(), "roof".to_owned()],
            authorised: true,
        };
        let own = [
            skill("Gas", Some(date!(2026 - 11 - 30))),
            skill("roof", None),
        ];
        let at = |day| lacks(&asks, &person(None), &own, day);
        assert_eq!(at(date!(2026 - 11 - 30)), ["training for energy control"]);
        assert_eq!(
            at(date!(2026 - 12 - 01)),
            ["training for energy control", "gas (ended Mon 30 Nov 2026)"]
        );
        assert_eq!(at(date!(2025 - 12 - 31)).len(), 3);
        let trained = Person {
            authorised_on: Some(date!(2026 - 02 - 01)),
            ..person(None)
        };
        assert!(lacks(&asks, &trained, &own, date!(2026 - 11 - 30)).is_empty());
    }

    #[test]
    fn a_day_is_the_persons_hours_and_unknown_where_nobody_said() {
        let mut crew = Crew {
            closed: Closed {
                weekend: vec![time::Weekday::Sunday],
                holidays: Vec::new(),
            },
            ..Crew::default()
        };
        let monday = date!(2026 - 11 - 30);
        assert_eq!(crew.room(&person(None), monday), Room::NotKnown);
        assert_eq!(crew.room(&person(Some(7.5)), monday), Room::Minutes(450));
        crew.hours.insert((1, 1), 240);
        assert_eq!(crew.room(&person(Some(7.5)), monday), Room::Minutes(240));
        let sunday = date!(2026 - 11 - 29);
        assert_eq!(crew.room(&person(Some(7.5)), sunday), Room::Closed);
        crew.absences.push(Absence {
            id: 1,
            person_id: PersonId(1),
            from_on: monday,
            until_on: monday,
            why: "leave".to_owned(),
        });
        assert_eq!(
            crew.room(&person(None), monday),
            Room::Away("leave".to_owned())
        );
    }
}
