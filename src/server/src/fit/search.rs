//! Every motor that could be had, judged for one machine and put in order, however many there are.
//!
//! The sieve of calc goes through the search columns in the database; only what it lets through is
//! judged, by its whole plate. Plates are read from memory where this process has seen them. Above
//! [`MOST`] that pass, too little is known to judge: the nearest in power are, and the page says so.

use super::filter::Filter;
use super::queries::{self, Survivor};
use crate::error::AppError;
use crate::motors::MotorId;
use crate::state::AppState;
use calc::fit::{self, Need, Order, Sieve};
use calc::installation::Installation;
use calc::plate::Plate;
use calc::working::Verdict;
use std::sync::Arc;
use std::thread;

/// Offers judged in one search; a motor on two lists has two.
pub const MOST: usize = 30_000;

/// What a motor is wanted for.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    pub old: Arc<Plate>,
    pub installation: Arc<Installation>,
}

impl Wanted {
    pub fn need(&self) -> Need<'_> {
        Need {
            old: &self.old,
            installation: &self.installation,
        }
    }

    /// The power that candidates are near to or far from.
    fn power(&self) -> Option<f64> {
        let taken = self.installation.driven.shaft_power;
        taken
            .or(self.old.power.value().copied())
            .map(|watts| watts.0)
    }
}

/// Where a motor can be had, in the few figures that order and filter need.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brief {
    pub held: Option<i64>,
    pub listed: bool,
    /// Fewest days of any list that says them.
    pub soonest: Option<i64>,
    pub cheapest: Option<i64>,
}

impl Brief {
    /// Days until it could be here: none for the shelf, greatest where nobody knows.
    fn wait(&self) -> i64 {
        match self.held {
            Some(_) => -1,
            None => self.soonest.unwrap_or(i64::MAX),
        }
    }
}

/// A motor with its verdict; the texts are made only for what is shown.
#[derive(Clone, Debug)]
pub struct Hit {
    pub id: MotorId,
    pub offer: Brief,
    pub plate: Arc<Plate>,
    pub verdict: Verdict,
    pub order: Order,
}

#[derive(Clone, Debug, Default)]
pub struct Found {
    /// Best first: verdict, calc's order, the shelf before lists, the shorter wait.
    pub hits: Vec<Hit>,
    /// Motors on the shelf or a list, whatever their verdict.
    pub available: usize,
    pub on_shelf: usize,
    /// More passed the sieve than were judged.
    pub cut: bool,
}

impl Found {
    /// Hits that may fit or are not known yet; they stand first.
    pub fn open(&self) -> usize {
        let fits = |hit: &&Hit| hit.verdict != Verdict::DoNotFit;
        self.hits.iter().filter(fits).count()
    }

    /// How many of each verdict, best first, without the ones nobody got.
    pub fn counts(&self) -> Vec<(Verdict, usize)> {
        let of = |verdict: Verdict| {
            let same = |hit: &&Hit| hit.verdict == verdict;
            (verdict, self.hits.iter().filter(same).count())
        };
        let all = [
            Verdict::Same,
            Verdict::Suits,
            Verdict::SuitsAfterWork,
            Verdict::NotKnownYet,
            Verdict::DoNotFit,
        ];
        all.map(of).into_iter().filter(|(_, n)| *n > 0).collect()
    }
}

/// Judges every motor that the sieve lets through and the filter keeps.
///
/// # Errors
/// The database's.
pub async fn search(app: &AppState, wanted: &Wanted, filter: &Filter) -> Result<Found, AppError> {
    // Who asks for what does not fit must be shown it.
    let misfits = filter.verdict == Some(Verdict::DoNotFit);
    let sieve = if misfits {
        Sieve::default()
    } else {
        Sieve::new(&wanted.need())
    };
    through(app, wanted, filter, sieve).await
}

/// The same without the sieve: for the nearest misfits, where nothing else is left.
///
/// # Errors
/// The database's.
pub async fn unsieved(app: &AppState, wanted: &Wanted) -> Result<Found, AppError> {
    through(app, wanted, &Filter::default(), Sieve::default()).await
}

async fn through(
    app: &AppState,
    wanted: &Wanted,
    filter: &Filter,
    mut sieve: Sieve,
) -> Result<Found, AppError> {
    sieve.misfits.extend(filter.misfits());
    let ((passed, cut), (available, on_shelf)) = tokio::try_join!(
        queries::survivors(&app.db, &sieve, wanted.power(), MOST),
        queries::available(&app.db),
    )?;
    let passed = with_plates(app, passed).await?;
    let (wanted, filter) = (wanted.clone(), filter.clone());
    // Tens of thousands take a moment in which this thread should answer others.
    let hits = tokio::task::spawn_blocking(move || judged(&wanted, &filter, passed))
        .await
        .map_err(|e| AppError::Database(sqlx::Error::Io(e.into())))?;
    Ok(Found {
        hits,
        available,
        on_shelf,
        cut,
    })
}

async fn with_plates(
    app: &AppState,
    passed: Vec<Survivor>,
) -> Result<Vec<(Survivor, Arc<Plate>)>, AppError> {
    let mut ready = Vec::with_capacity(passed.len());
    let mut unread = Vec::new();
    for motor in passed {
        match motor.stamp.and_then(|stamp| app.plates.get(stamp)) {
            Some(plate) => ready.push((motor, plate)),
            None => unread.push(motor),
        }
    }
    let ids: Vec<MotorId> = unread.iter().map(|motor| motor.id).collect();
    let mut plates = queries::plates(&app.db, &ids, &app.plates).await?;
    // A motor deleted between the two questions is gone.
    ready.extend(unread.into_iter().filter_map(|motor| {
        let plate = plates.remove(&motor.id)?;
        Some((motor, plate))
    }));
    Ok(ready)
}

/// So many are judged in one go; fewer are not worth a thread of their own.
const A_SHARE: usize = 1_500;
/// Threads that judge one search, so that a large one leaves processors to others.
const MOST_SHARES: usize = 4;

fn judged(wanted: &Wanted, filter: &Filter, passed: Vec<(Survivor, Arc<Plate>)>) -> Vec<Hit> {
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let shares = (passed.len() / A_SHARE).clamp(1, cores.min(MOST_SHARES));
    let mut hits = if shares == 1 {
        judge_share(wanted, filter, passed)
    } else {
        in_shares(wanted, filter, passed, shares)
    };
    // Total by the number at its end, so it does not matter who judged what.
    hits.sort_unstable_by_key(|hit| {
        (
            hit.verdict.severity(),
            hit.order,
            hit.offer.wait(),
            hit.id.0,
        )
    });
    hits
}

/// Every share by a thread of its own, this one included.
fn in_shares(
    wanted: &Wanted,
    filter: &Filter,
    mut passed: Vec<(Survivor, Arc<Plate>)>,
    shares: usize,
) -> Vec<Hit> {
    let size = passed.len().div_ceil(shares);
    thread::scope(|scope| {
        let mut others = Vec::with_capacity(shares - 1);
        while passed.len() > size {
            let share = passed.split_off(passed.len() - size);
            others.push(scope.spawn(move || judge_share(wanted, filter, share)));
        }
        let mut hits = judge_share(wanted, filter, passed);
        for other in others {
            match other.join() {
                Ok(more) => hits.extend(more),
                Err(broken) => std::panic::resume_unwind(broken),
            }
        }
        hits
    })
}

fn judge_share(wanted: &Wanted, filter: &Filter, share: Vec<(Survivor, Arc<Plate>)>) -> Vec<Hit> {
    let need = wanted.need();
    let kept = |(motor, plate): &(Survivor, Arc<Plate>)| filter.keeps(&motor.offer, plate);
    let judged = share.into_iter().filter(kept).map(|(motor, plate)| {
        let judgement = fit::judge(&need, &plate);
        Hit {
            id: motor.id,
            offer: motor.offer,
            verdict: with_changes(judgement.verdict, &need, &plate),
            order: judgement.order,
            plate,
        }
    });
    let asked = |hit: &Hit| filter.verdict.is_none_or(|verdict| hit.verdict == verdict);
    judged.filter(asked).collect()
}

/// A motor that ends up loaded beyond its plate does not fit, whatever its attributes say. Asked
/// only where the attributes let it through.
fn with_changes(verdict: Verdict, need: &Need, plate: &Plate) -> Verdict {
    let shut = verdict.severity() > Verdict::SuitsAfterWork.severity();
    if shut || !fit::may_overload(need, plate) {
        return verdict;
    }
    fit::changes(need, plate)
        .verdict()
        .map_or(verdict, |changes| verdict.worse(changes))
}
