//! What every handler shares.

use crate::backup::schedule::Daily;
use crate::clock::{Clock, Millis, Zone};
use crate::config::Config;
use crate::db::Db;
use crate::fit::plates::Plates;
use crate::limits::Limits;
use crate::photos::store::Store;
use crate::shop::{self, Shop, Units};
use crate::telling::mail::Mail;
use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};
use std::sync::{Arc, RwLock};

/// A change of the shop's settings reaches visitors of other processes within this.
const LOOK_AGAIN: Millis = 3_000;

#[derive(Clone)]
pub struct AppState {
    pub config: Arc<Config>,
    pub db: Db,
    pub clock: Clock,
    pub photos: Store,
    /// The shop's own row, read at start and after each change; `None` before set-up.
    shop: Arc<RwLock<Option<Shop>>>,
    /// Of the row as it was read; 0 where that is not known.
    shop_version: Arc<AtomicI64>,
    shop_looked_at: Arc<AtomicI64>,
    /// The one-time code that guards set-up.
    pub set_up_code: Arc<str>,
    /// What needs no sign-in, by address.
    pub limits: Arc<Limits>,
    /// The process was told to stop.
    stopping: Arc<AtomicBool>,
    /// Plates of motors judged lately.
    pub plates: Arc<Plates>,
    /// The backup of each day, where one is set.
    pub daily_backup: Option<Arc<Daily>>,
    /// The mail server, where one is set.
    pub mail: Option<Arc<Mail>>,
}

impl AppState {
    pub fn new(
        config: Config,
        db: Db,
        clock: Clock,
        shop: Option<Shop>,
        set_up_code: &str,
    ) -> Self {
        AppState {
            photos: Store::at(config.folder.join("photos")),
            config: Arc::new(config),
            db,
            clock,
            shop: Arc::new(RwLock::new(shop)),
            shop_version: Arc::default(),
            shop_looked_at: Arc::new(AtomicI64::new(i64::MIN)),
            set_up_code: set_up_code.into(),
            limits: Arc::default(),
            stopping: Arc::default(),
            plates: Arc::default(),
            daily_backup: None,
            mail: None,
        }
    }

    /// Photos lie elsewhere than in the folder.
    pub fn with_photos(self, photos: Store) -> Self {
        AppState { photos, ..self }
    }

    pub fn with_daily_backup(self, daily: Option<Daily>) -> Self {
        AppState {
            daily_backup: daily.map(Arc::new),
            ..self
        }
    }

    pub fn with_mail(self, mail: Option<Mail>) -> Self {
        AppState {
            mail: mail.map(Arc::new),
            ..self
        }
    }

    /// From now on a proxy should ask another process.
    pub fn stop(&self) {
        self.stopping.store(true, Ordering::Relaxed);
    }

    pub fn stopping(&self) -> bool {
        self.stopping.load(Ordering::Relaxed)
    }

    /// The address of a page, base path included.
    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.config.base_path)
    }

    /// The address of a page as people outside the program write it, for a QR code.
    pub fn public_url(&self, path: &str) -> String {
        format!("{}{}{path}", self.config.public_url, self.config.base_path)
    }

    pub fn shop(&self) -> Option<Shop> {
        self.shop
            .read()
            .unwrap_or_else(|broken| broken.into_inner())
            .clone()
    }

    pub fn set_shop(&self, shop: Shop) {
        // Whoever asks next reads the row and its version again.
        self.shop_version.store(0, Ordering::Relaxed);
        *self
            .shop
            .write()
            .unwrap_or_else(|broken| broken.into_inner()) = Some(shop);
    }

    /// Reads the settings again where another process has changed them.
    pub async fn shop_is(&self, version: i64) -> sqlx::Result<()> {
        if version == self.shop_version.load(Ordering::Relaxed) {
            return Ok(());
        }
        if let Some(shop) = shop::queries::find(&self.db).await? {
            self.set_shop(shop);
            self.shop_version.store(version, Ordering::Relaxed);
        }
        Ok(())
    }

    /// The same for visitors who are not signed in: looked at every few seconds.
    pub async fn refresh_shop(&self, now: Millis) -> sqlx::Result<()> {
        let looked = self.shop_looked_at.load(Ordering::Relaxed);
        if self.shop().is_some() && (0..LOOK_AGAIN).contains(&now.saturating_sub(looked)) {
            return Ok(());
        }
        self.shop_looked_at.store(now, Ordering::Relaxed);
        match shop::queries::version_now(&self.db).await? {
            Some(version) => self.shop_is(version).await,
            None => Ok(()),
        }
    }

    pub fn shop_name(&self) -> String {
        self.shop()
            .map_or_else(|| "Brasstag".to_owned(), |shop| shop.name)
    }

    pub fn zone(&self) -> Zone {
        self.shop()
            .and_then(|shop| Zone::named(&shop.time_zone))
            .unwrap_or_else(Zone::utc)
    }

    /// The units people here read; SI before set-up.
    pub fn units(&self) -> Units {
        self.shop().map_or(Units::Si, |shop| shop.units)
    }

    /// Today on the shop's calendar.
    pub fn today(&self) -> time::Date {
        self.zone().date(self.clock.now())
    }
}
