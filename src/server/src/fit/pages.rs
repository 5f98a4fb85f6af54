//! What the fit pages show.

use super::candidates::{self, Candidate, Explained};
use super::case::Case;
use super::queries;
use super::search::{Found, Hit};
use crate::error::AppError;
use crate::form::FieldErrors;
use crate::jobs::gate::{self, Surroundings};
use crate::jobs::record;
use crate::motors::MotorId;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::shelf::pages::words;
use crate::state::AppState;
use askama::Template;
use calc::fit::Need;
use calc::plate::Plate;
use calc::working::Verdict;

/// Rows on the first page: more than anybody compares, few enough for a phone.
const BEST: usize = 25;
/// Rows where all are asked for: a page nobody waits for.
const ALL: usize = 500;
/// Rows shown of what does not fit, when nothing else is left.
const NEAREST: usize = 5;
/// Questions named at the top when no motor can be chosen yet.
const ASKED: usize = 3;

/// One candidate as a row.
#[derive(Clone, Debug)]
pub struct Row {
    pub id: i64,
    pub name: String,
    pub plate: String,
    pub verdict: Verdict,
    pub places: Vec<String>,
    pub speed: String,
    pub work: Vec<String>,
    pub missing: Vec<String>,
    pub blocks: Vec<String>,
    pub differs: String,
    pub same_points: usize,
    pub points: usize,
    pub sentence: String,
    pub ended: bool,
}

fn speed_words(plate: &Plate) -> String {
    let Some(speeds) = plate.speeds.value() else {
        return "not known".to_owned();
    };
    speeds
        .iter()
        .map(|n| n.0.round().to_string())
        .collect::<Vec<_>>()
        .join("/")
}

impl Row {
    pub fn new(app: &AppState, need: &Need, candidate: &Candidate, currency: &str) -> Row {
        let explained = Explained::of(need, &candidate.plate);
        let owned = |texts: Vec<&str>| texts.into_iter().map(str::to_owned).collect();
        let judged_points = explained
            .working
            .lines
            .iter()
            .filter(|l| l.verdict.is_some())
            .count();
        Row {
            id: candidate.id.0,
            name: candidate.name.clone(),
            plate: words(app, &candidate.plate),
            verdict: explained.verdict,
            places: places(candidate, currency),
            speed: speed_words(&candidate.plate),
            work: owned(explained.work()),
            missing: owned(explained.missing()),
            blocks: explained.blocks(),
            differs: explained.differs().join(", ").to_lowercase(),
            same_points: explained.same_points(),
            points: judged_points,
            sentence: explained.sentence(),
            ended: candidate.made == "ended",
        }
    }

    pub fn bad(&self) -> bool {
        self.verdict.severity() == 4
    }

    /// `2 things to do`, the summary of what opens.
    pub fn count(&self) -> String {
        let some = |count: usize, one: &str, more: &str| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {more}"),
        };
        match self.verdict {
            Verdict::NotKnownYet => some(self.missing.len(), "answer missing", "answers missing"),
            Verdict::DoNotFit | Verdict::Beyond => some(
                self.blocks.len(),
                "point rules it out",
                "points rule it out",
            ),
            _ if self.work.is_empty() => "nothing to alter".to_owned(),
            _ => some(self.work.len(), "thing to do", "things to do"),
        }
    }

    /// What stands behind the count.
    pub fn details(&self) -> &[String] {
        match self.verdict {
            Verdict::NotKnownYet => &self.missing,
            Verdict::DoNotFit | Verdict::Beyond => &self.blocks,
            _ => &self.work,
        }
    }
}

fn places(candidate: &Candidate, currency: &str) -> Vec<String> {
    if candidate.offers.is_empty() {
        return vec!["Not on the shelf and on no supplier list.".to_owned()];
    }
    candidate
        .offers
        .iter()
        .map(|offer| offer.words(currency))
        .collect()
}

/// A question that stands between several candidates and a verdict.
pub struct Open {
    pub what: String,
    pub how: String,
    pub candidates: usize,
}

/// The questions that most candidates wait for, first.
fn questions(case: &Case, waiting: &[Hit]) -> Vec<Open> {
    let mut all: Vec<Open> = Vec::new();
    for hit in waiting {
        for missing in Explained::of(&case.need(), &hit.plate).working.missing {
            match all.iter_mut().find(|open| open.what == missing.what) {
                Some(open) => open.candidates += 1,
                None => all.push(Open {
                    what: missing.what.into_owned(),
                    how: missing.how.into_owned(),
                    candidates: 1,
                }),
            }
        }
    }
    all.sort_by_key(|open| std::cmp::Reverse(open.candidates));
    all.truncate(ASKED);
    all
}

#[derive(Template)]
#[template(path = "fit/list.html")]
pub struct ListPage {
    layout: Layout,
    case: Case,
    old_plate: String,
    judged: usize,
    on_shelf: usize,
    counts: Vec<(Verdict, usize)>,
    best: Option<Row>,
    /// The best of the shelf, where a supplier's motor stands before it.
    shelf: Option<Row>,
    /// What to find out first, where no motor can be chosen.
    questions: Vec<Open>,
    rows: Vec<Row>,
    /// Candidates that may fit or are not known yet.
    open: usize,
    shut: usize,
    /// Name and id of what does not fit, only where all were asked for.
    shut_names: Vec<(i64, String)>,
    all: bool,
    /// Too little is known: only the nearest in power were judged.
    cut: bool,
}

/// What the sieve left out does not fit and was not even read.
fn counts(found: &Found, open: usize) -> Vec<(Verdict, usize)> {
    let mut counts = found.counts();
    counts.retain(|(verdict, _)| *verdict != Verdict::DoNotFit);
    let shut = found.available.saturating_sub(open);
    if shut > 0 && !found.cut {
        counts.push((Verdict::DoNotFit, shut));
    }
    counts
}

/// The rows of these hits, in their order.
pub async fn rows(
    app: &AppState,
    need: &Need<'_>,
    hits: impl Iterator<Item = &Hit>,
) -> Result<Vec<Row>, AppError> {
    let currency = app.shop().map_or_else(String::new, |shop| shop.currency);
    let ids: Vec<MotorId> = hits.map(|hit| hit.id).collect();
    let candidates = queries::candidates(&app.db, &ids).await?;
    let row = |candidate| Row::new(app, need, candidate, &currency);
    Ok(candidates.iter().map(row).collect())
}

/// Id and name of what does not fit, as many as anybody reads.
async fn names(app: &AppState, rest: &[Hit]) -> Result<Vec<(i64, String)>, AppError> {
    let shut = rest.iter().filter(|hit| hit.verdict == Verdict::DoNotFit);
    let ids: Vec<MotorId> = shut.take(ALL).map(|hit| hit.id).collect();
    let candidates = queries::candidates(&app.db, &ids).await?;
    Ok(candidates.into_iter().map(|c| (c.id.0, c.name)).collect())
}

impl ListPage {
    /// # Errors
    /// The database's.
    pub async fn new(
        app: &AppState,
        user: &CurrentUser,
        case: Case,
        found: Found,
        all: bool,
    ) -> Result<Page<Self>, AppError> {
        let open = found.open();
        let shown = match (open, all) {
            (0, _) => NEAREST.min(found.hits.len()),
            (_, true) => open.min(ALL),
            (_, false) => open.min(BEST),
        };
        let (shown, rest) = found.hits.split_at(shown);
        let can = |hit: &&Hit| hit.verdict.severity() <= Verdict::SuitsAfterWork.severity();
        let best = found.hits.first().filter(can);
        let held = |hit: &&Hit| hit.offer.held.is_some();
        let shelf = found.hits.iter().filter(can).find(held);
        let shelf = shelf.filter(|_| best.is_some_and(|best| best.offer.held.is_none()));
        let shut_names = match all {
            true => names(app, rest).await?,
            false => Vec::new(),
        };
        let waiting = &found.hits[..if best.is_none() { open.min(BEST) } else { 0 }];
        let shelf = rows(app, &case.need(), shelf.into_iter()).await?.pop();
        let rows = rows(app, &case.need(), shown.iter()).await?;
        Ok(Page(ListPage {
            layout: Layout::new(app, &user.visitor, ""),
            old_plate: words(app, &case.old.plate),
            judged: found.available,
            on_shelf: found.on_shelf,
            counts: counts(&found, open),
            best: best.and_then(|_| rows.first().cloned()),
            shelf,
            questions: questions(&case, waiting),
            rows,
            open,
            shut: found.available.saturating_sub(open),
            shut_names,
            all,
            cut: found.cut,
            case,
        }))
    }

    /// `1 same, 3 suits, 650 do not fit`
    fn counted(&self) -> String {
        let part = |(verdict, n): &(Verdict, usize)| match (verdict, n) {
            (Verdict::DoNotFit, 1) => "1 does not fit".to_owned(),
            (verdict, n) => format!("{n} {}", verdict.words()),
        };
        self.counts.iter().map(part).collect::<Vec<_>>().join(", ")
    }
}

#[derive(Template)]
#[template(path = "fit/motor.html")]
pub struct MotorPage {
    layout: Layout,
    case: Case,
    motor: Candidate,
    plate: String,
    places: Vec<String>,
    explained: Explained,
    /// Why it cannot be chosen now; `None`: it can.
    refusal: Option<String>,
    entry: String,
    errors: FieldErrors,
}

impl MotorPage {
    pub fn new(
        app: &AppState,
        user: &CurrentUser,
        case: Case,
        motor: Candidate,
        errors: FieldErrors,
    ) -> Page<Self> {
        let currency = app.shop().map_or_else(String::new, |shop| shop.currency);
        let explained = Explained::of(&case.need(), &motor.plate);
        // The same gate that the post asks; a choice needs nothing of the surroundings.
        let body = super::chosen(&motor, explained.clone());
        let asked = gate::check(
            &case.job,
            &body,
            Some(&user.person),
            &Surroundings::default(),
        );
        Page(MotorPage {
            layout: Layout::new(app, &user.visitor, ""),
            plate: words(app, &motor.plate),
            places: places(&motor, &currency),
            explained,
            refusal: asked.err().map(|refusal| refusal.message),
            entry: record::new_id(app.clock.now()),
            errors,
            case,
            motor,
        })
    }

    fn bad(&self) -> bool {
        self.explained.verdict.severity() == 4
    }

    fn chosen(&self) -> bool {
        self.case.job.chosen_motor_id == Some(self.motor.id)
    }

    /// Where it was read, for each supplier list.
    fn read_on(&self) -> Vec<String> {
        let words = self.motor.offers.iter().map(candidates::Offer::read_on);
        words.filter(|words| !words.is_empty()).collect()
    }
}
