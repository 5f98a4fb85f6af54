//! Every table of the schema: carried in the archive, or left out and why. A test holds this list
//! against both databases, so a new table needs its one line here.

/// What becomes of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Carried whole.
    Kept { secrets: &'static [&'static str] },
    /// Left out: made anew from other tables, or of no use elsewhere.
    Left { why: &'static str },
}

#[derive(Clone, Copy, Debug)]
pub struct Table {
    pub name: &'static str,
    pub part: Part,
    /// What its rows are, for the readme.
    pub what: &'static str,
}

const fn kept(name: &'static str, what: &'static str) -> Table {
    let part = Part::Kept { secrets: &[] };
    Table { name, part, what }
}

/// Carried, with columns that open doors: blank in what people download.
const fn kept_but(
    name: &'static str,
    secrets: &'static [&'static str],
    what: &'static str,
) -> Table {
    let part = Part::Kept { secrets };
    Table { name, part, what }
}

const fn left(name: &'static str, why: &'static str) -> Table {
    let part = Part::Left { why };
    let what = "";
    Table { name, part, what }
}

/// A table stands after those it refers to, where that is possible.
pub const TABLES: &[Table] = &[
    kept("shop", "the shop's own settings, one row"),
    kept_but(
        "people",
        &["password_hash"],
        "people, their roles and authorisations",
    ),
    kept_but(
        "integrations",
        &["token_hash"],
        "programs that have a token, and what it opens",
    ),
    left("api_answers", "answers waiting a day for a repeat"),
    kept("work_hours", "hours that people work, by day of the week"),
    kept("absences", "days on which people are away"),
    kept(
        "person_skills",
        "what people are qualified for, with its days",
    ),
    left("sessions", "who is signed in on which device"),
    left("password_links", "links that end within days"),
    left("sign_in_tries", "wrong tries of the last day"),
    left("known_devices", "browsers in which people signed in"),
    kept_but(
        "second_factors",
        &["secret"],
        "who is asked for a code at sign-in",
    ),
    kept_but(
        "recovery_codes",
        &["code_hash"],
        "codes that open once instead",
    ),
    left("begun_sign_ins", "who is asked for a code just now"),
    left("tablets", "shared tablets are set up anew"),
    left("tablet_pins", "they belong to a tablet"),
    left("begun_sessions", "whose ended session a form came from"),
    left(
        "backups",
        "when this installation was backed up, and to which file",
    ),
    left("kept_forms", "forms waiting a day for their sender"),
    left("imports", "files waiting a day to be written to a register"),
    kept("audit", "what was changed in the registers, by whom"),
    kept("places", "sites, buildings, floors, rooms: a tree"),
    kept("panels", "panels"),
    kept("circuits", "circuits of panels; facts as JSON"),
    kept(
        "motors",
        "motors by their plate; plate as JSON, each value with how it is known",
    ),
    left("motor_search", "made anew from the plates"),
    kept("calendar_rules", "what calendars may show"),
    kept_but(
        "feeds",
        &["token_hash"],
        "calendars that people subscribed to",
    ),
    kept("feed_events", "what each of these calendars told last"),
    kept_but(
        "mail_people",
        &["code_hash"],
        "where people are told by mail",
    ),
    kept(
        "mail_ways",
        "what each person chose to be told, and how soon",
    ),
    kept("shift_end", "when the shift ends"),
    left("mails", "mail on its way from this installation"),
    left("news", "what was told or is about to be"),
    left("mail_stops", "addresses in mail that was sent"),
    left("search_machines", "made anew from what it finds"),
    left("search_jobs", "made anew from what it finds"),
    left("search_panels", "made anew from what it finds"),
    left("search_motors", "made anew from what it finds"),
    kept(
        "shelf_motors",
        "motors the shop holds; price in the smallest unit of money",
    ),
    kept("supplier_lists", "lists of motors that could be bought"),
    kept("supplier_motors", "the motors of those lists"),
    kept("machines", "machines by tag; facts as JSON"),
    kept("parts", "parts the shop uses, held or not; facts as JSON"),
    kept("machine_parts", "which part sits where on a machine"),
    kept(
        "alternates",
        "what was approved in place of an ended part or motor",
    ),
    kept("warranties", "until when a maker answers for what"),
    kept(
        "machine_notes",
        "what to know before going to a machine, with its history",
    ),
    kept(
        "thing_photos",
        "photos of machines, motors and parts themselves; sha and thumb name the files in photos/",
    ),
    kept(
        "machine_documents",
        "drawings, manuals and other papers of a machine",
    ),
    kept(
        "energy_sources",
        "what must be isolated, and by which device",
    ),
    kept(
        "isolation_sheets",
        "the written isolation steps of machines, by revision",
    ),
    kept("isolation_sheet_sources", "the sources on each sheet"),
    kept("procedures", "procedures"),
    kept("procedure_revisions", "each revision of a procedure"),
    kept("procedure_steps", "the steps of each revision"),
    kept("response_targets", "minutes allowed by level"),
    kept("jobs", "jobs as they stand, made from their entries"),
    kept(
        "entries",
        "everything that happened in jobs; body as JSON; the truth of the record",
    ),
    kept(
        "plate_photos",
        "the photo that a motor's plate was read from",
    ),
    kept("instruments", "test instruments by their own numbers"),
    kept("calibrations", "calibrations of instruments"),
    kept(
        "instrument_uses",
        "which instrument readings were taken with, made from entries",
    ),
    kept("locks", "locks on and off, made from entries"),
    kept("readings", "readings taken, made from entries"),
    kept("wide_plans", "plans on a kind of machine or a place"),
    kept("plans", "preventive plans; rule as JSON"),
    kept("plan_revisions", "what a plan was before each change"),
    kept(
        "due_items",
        "what fell due under the plans and what became of it",
    ),
    kept(
        "closed_weekdays",
        "days of the week on which the shop is closed",
    ),
    kept("closed_days", "single days on which the shop is closed"),
    kept("rounds", "due items walked to together"),
    kept(
        "round_lines",
        "what is on a round, in the order of the walk",
    ),
    kept("meters", "meters of machines"),
    kept("meter_readings", "what the meters read"),
    kept(
        "meter_changes",
        "meters that were changed for others, and what both showed",
    ),
    kept("job_spells", "time by person and activity"),
    kept(
        "photos",
        "photos of jobs; sha and thumb name the files in photos/",
    ),
    kept("lock_removals", "locks removed for absent owners"),
    kept("lock_boxes", "lock boxes"),
    kept("lock_box_keys", "the keys in each box"),
    kept("box_locks", "personal locks on boxes"),
    kept("permits", "permits of jobs"),
    kept(
        "outside_locks",
        "locks that people from outside put on, made from entries",
    ),
    kept("report_codes", "the codes by which reporters follow a job"),
    kept("job_procedures", "procedures taken into jobs"),
    kept("job_steps", "their steps, as they read then"),
    kept("job_step_answers", "what was answered at each step"),
    kept("part_conditions", "how each part was found and left"),
    kept("cause_reviews", "reviews of causes"),
    kept("follow_ups", "jobs made from other jobs"),
    kept("temporary_fixes", "temporary fixes and their end"),
    kept("stock_moves", "every movement of parts and motors"),
    kept(
        "purchases",
        "what was needed, approved, ordered and arrived",
    ),
    kept(
        "warranty_answers",
        "what was answered before opening under warranty",
    ),
    kept("removed_units", "what became of units taken off"),
    kept("motor_units", "motors as single pieces, by their number"),
    kept(
        "motor_stays",
        "which piece was on which machine, from when to when",
    ),
];

pub fn all_kept() -> impl DoubleEndedIterator<Item = (&'static Table, &'static [&'static str])> {
    TABLES.iter().filter_map(|table| match table.part {
        Part::Kept { secrets } => Some((table, secrets)),
        Part::Left { .. } => None,
    })
}
