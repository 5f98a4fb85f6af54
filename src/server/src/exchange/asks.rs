//! What the columns of each register ask, beside those that a form's own table lists.

use crate::machines::{self, form::CRITICALITIES};
use crate::preventive::form as plans;
use crate::rows::{Ask, Options, Takes, YES_NO, hinted};
use crate::shelf::form::MADE;
use crate::shop::places;
use crate::stores;

const PLACE_HINT: &str =
    "The way to it, as Mill, North range, Roof; or its name where only one has it";

pub(super) const PLACES: &[Ask] = &[
    hinted(
        "within",
        "Lies within",
        Takes::Text,
        "The way to it from the site down, as Mill, North range; blank for a site",
    ),
    hinted("name", "Name", Takes::Text, "Roof 2"),
    hinted("kind", "Kind", Takes::Choice(places::KINDS), ""),
    hinted(
        "access_note",
        "Access",
        Takes::Text,
        "Keys, ladder, hatch, who to ask",
    ),
];

pub(super) const MACHINES: &[Ask] = &[
    hinted("tag", "Tag", Takes::Text, "KH-EF-1"),
    hinted("name", "What it is", Takes::Text, "Kiln-hall extract fan"),
    hinted("kind", "Kind", Takes::Choice(machines::KINDS), ""),
    hinted("serves", "Serves", Takes::Text, "Kiln hall"),
    hinted("place", "Place", Takes::Text, PLACE_HINT),
    hinted(
        "part_of",
        "Part of",
        Takes::Text,
        "The tag of the machine that it is a part of",
    ),
    hinted(
        "panel",
        "Panel that feeds it",
        Takes::Text,
        "Its name, with the circuit",
    ),
    hinted(
        "circuit",
        "Circuit that feeds it",
        Takes::Text,
        "Its number, with the panel",
    ),
    hinted(
        "feed_proved_on",
        "Feed proved on",
        Takes::Text,
        "A day; another circuit is proved anew",
    ),
    hinted("feed_proved_by", "Feed proved by", Takes::Text, ""),
    hinted(
        "criticality",
        "How much it matters",
        Takes::Choice(CRITICALITIES),
        "ordinary where a new row is blank",
    ),
    hinted(
        "before_you_go",
        "Know before you go",
        Takes::Text,
        "Keys, ladder, who to tell",
    ),
    hinted(
        "installed_on",
        "Installed on",
        Takes::Text,
        "A day, as 2019-05-31",
    ),
    hinted(
        "retired_on",
        "Retired on",
        Takes::Text,
        "A day, as 2026-11-25",
    ),
];

const NAME: Ask = hinted(
    "name",
    "Name",
    Takes::Text,
    "The shop's own name for the motor",
);
const MADE_ASK: Ask = hinted(
    "made",
    "Still made",
    Takes::Choice(MADE),
    "not known where a new row is blank",
);
const PRICE: Ask = hinted("price", "Price", Takes::Text, "148.50");
const NOTE: Ask = hinted("note", "Note", Takes::Text, "");
const PLATE_TEXT: Ask = hinted("plate_text", "The plate as it reads", Takes::Text, "");
const KNOWN: Ask = hinted(
    "how_known",
    "How the plate is known",
    Takes::Choice(HOWS),
    "For the values of the row that are new or changed; from old record where blank",
);
const HOWS: Options = &[
    ("read", "read"),
    ("measured", "measured"),
    ("old_record", "from old record"),
    ("assumed", "assumed"),
];

pub(super) const SHELF: &[Ask] = &[
    NAME,
    hinted("bin", "Bin", Takes::Text, "A-3"),
    hinted("held", "Held", Takes::Text, "Counted; 0 is an answer"),
    PRICE,
    MADE_ASK,
    NOTE,
    PLATE_TEXT,
    KNOWN,
];

pub(super) const LISTS: &[Ask] = &[
    hinted("list", "List", Takes::Text, "Whose list it is"),
    hinted(
        "list_day",
        "Day of the list",
        Takes::Text,
        "The day it was current, as 2026-11-25; needed for a list that is new",
    ),
    NAME,
    PRICE,
    hinted("lead_days", "Days until it is here", Takes::Text, "14"),
    MADE_ASK,
    NOTE,
    PLATE_TEXT,
    KNOWN,
];

pub(super) const PANELS: &[Ask] = &[
    hinted("name", "Name", Takes::Text, "As marked on it: LP-1"),
    hinted("place", "Place", Takes::Text, PLACE_HINT),
    hinted(
        "supply",
        "Supply",
        Takes::Text,
        "As written on it: 208Y/120 V three-phase",
    ),
    NOTE,
];

/// The conductors and the device follow: what the form of a circuit asks.
pub(super) const CIRCUITS: &[Ask] = &[
    hinted(
        "panel",
        "Panel",
        Takes::Text,
        "Its name; it is there already",
    ),
    hinted("number", "Number", Takes::Text, "As marked: 7, 9-11"),
    hinted(
        "label_read",
        "Label",
        Takes::Text,
        "Word for word as it reads; blank where it is blank",
    ),
    hinted(
        "label_wrong",
        "Label found wrong",
        Takes::Choice(YES_NO),
        "and not yet put right; no where a new row is blank",
    ),
    hinted("label_note", "Note on the label", Takes::Text, ""),
    hinted(
        "label_proved_on",
        "Label proved on",
        Takes::Text,
        "A day; a label that changes is proved anew",
    ),
    hinted("label_proved_by", "Label proved by", Takes::Text, ""),
    hinted(
        "label_proved_how",
        "How it was proved",
        Takes::Text,
        "Switched off and looked; traced",
    ),
    hinted("wire_type", "Insulation mark", Takes::Text, "THHN"),
    hinted("raceway", "Raceway", Takes::Text, "Conduit, cable or tray"),
    hinted(
        "feeds",
        "Also feeds",
        Takes::Text,
        "Besides machines of the register",
    ),
    hinted(
        "feeds_panels",
        "Feeds the panels",
        Takes::Text,
        "Their names, with ; between them",
    ),
];

pub(super) const PARTS: &[Ask] = &[
    hinted(
        "name",
        "Name",
        Takes::Text,
        "The shop's own name for the part",
    ),
    hinted("kind", "Kind", Takes::Choice(stores::KINDS), ""),
    hinted(
        "description",
        "Key facts",
        Takes::Text,
        "6203 size, 5 µF 370 V, A42",
    ),
    hinted("maker_number", "Maker's number", Takes::Text, ""),
    hinted(
        "unit",
        "Counted in",
        Takes::Text,
        "piece where a new row is blank; m, l",
    ),
    hinted("bins", "Bins", Takes::Text, "B-4; needed where it is held"),
    hinted(
        "standing",
        "Does the shop hold it",
        Takes::Choice(stores::STANDINGS),
        "",
    ),
    hinted(
        "on_hand",
        "On hand",
        Takes::Text,
        "Counted; 0 is an answer. A difference is booked as a count",
    ),
    hinted(
        "last_buy",
        "Last buy",
        Takes::Text,
        "Where it is no longer made: until when",
    ),
    hinted("lead_days", "Days until it is here", Takes::Text, "14"),
    PRICE,
    hinted(
        "order_at",
        "Order at",
        Takes::Text,
        "The shop's own point; blank: worked out from use and lead time",
    ),
    hinted(
        "critical",
        "Work stops without it",
        Takes::Choice(YES_NO),
        "no where a new row is blank",
    ),
];

pub(super) const LINES: &[Ask] = &[
    hinted("machine", "Machine", Takes::Text, "Its tag"),
    hinted(
        "position",
        "Where it sits",
        Takes::Text,
        "Drive-end bearing, belt 1, filter bank",
    ),
    hinted(
        "part",
        "Part",
        Takes::Text,
        "Its name in the register of parts",
    ),
    hinted("amount", "How many", Takes::Text, "2"),
    NOTE,
];

const PLAN_KINDS: Options = &[
    ("calendar", "every so often from a date"),
    ("after_done", "so long after it was last done"),
    ("nth_weekday", "on a weekday of the month"),
    ("months", "on a day of certain months"),
    ("before_season", "some days before a season"),
    ("in_season", "so long after the last, in a season"),
    ("meter", "after run hours"),
    (
        "meter_or_calendar",
        "run hours or calendar, whichever comes first",
    ),
];

pub(super) const PLANS: &[Ask] = &[
    hinted("machine", "Machine", Takes::Text, "Its tag"),
    hinted(
        "action",
        "What is to be done",
        Takes::Text,
        "Grease both bearings",
    ),
    hinted("why", "Why", Takes::Text, ""),
    hinted("kind", "When it is due", Takes::Choice(PLAN_KINDS), ""),
    hinted("count", "Every", Takes::Text, "How many of the unit: 3"),
    hinted("unit", "Unit", Takes::Choice(plans::UNITS), ""),
    hinted(
        "hours",
        "Run hours",
        Takes::Text,
        "Between two services: 500",
    ),
    hinted(
        "nth",
        "Which one",
        Takes::Choice(plans::NTHS),
        "For a weekday of the month",
    ),
    hinted("weekday", "Weekday", Takes::Choice(plans::WEEKDAYS), ""),
    hinted("months", "Months", Takes::Text, "By number: 1, 4, 7, 10"),
    hinted("month_day", "Day of the month", Takes::Text, "1 to 31"),
    hinted(
        "season_start",
        "Season from",
        Takes::Text,
        "Month and day: 10-01",
    ),
    hinted(
        "season_end",
        "Season to",
        Takes::Text,
        "Month and day: 04-30",
    ),
    hinted("lead_days", "Days before the season", Takes::Text, "28"),
    hinted(
        "anchor_on",
        "First date",
        Takes::Text,
        "A day, as 2026-11-25",
    ),
    hinted(
        "window_days",
        "Days that still count as in time",
        Takes::Text,
        "7",
    ),
    hinted("minutes", "Minutes of work", Takes::Text, "45"),
    hinted("steps", "Steps", Takes::Text, "One a line"),
    hinted(
        "included_in",
        "Included in",
        Takes::Text,
        "What is to be done by the longer plan of the machine that covers this one",
    ),
    hinted(
        "ended_on",
        "Ended on",
        Takes::Text,
        "A day; blank while it goes on",
    ),
];
