//! How often one address may do what needs no sign-in: report, try the code of a report, ask for a
//! calendar.
//!
//! Counted in the memory of this process and forgotten when it ends: a shop that runs several
//! processes lets each of them count for itself, so that an address gets as many times more. The
//! shop's own limit on open reports without a sign-in is counted in the database and holds for all.

use crate::api::rate::Buckets;
use crate::clock::{HOUR, Millis};
use crate::state::AppState;
use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::request::Parts;
use std::collections::HashMap;
use std::convert::Infallible;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Mutex;

/// Reports without a sign-in from one address in an hour.
const REPORTS: usize = 10;
/// Wrong codes from one address in an hour.
const WRONG_CODES: usize = 10;
/// Calendars asked for by one address in an hour; calendars of many people may come from one.
const CALENDARS: usize = 1200;
/// Of these, with secrets that open none.
const WRONG_CALENDARS: usize = 30;
/// Addresses remembered at once; the one that was quiet longest is forgotten first.
const ADDRESSES: usize = 10_000;

/// The limits of one process.
#[derive(Debug)]
pub struct Limits {
    pub reports: Limiter,
    pub codes: Limiter,
    pub calendars: Limiter,
    pub wrong_calendars: Limiter,
    /// Requests of programs with a token.
    pub tokens: Buckets,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            reports: Limiter::new(REPORTS, HOUR, ADDRESSES),
            codes: Limiter::new(WRONG_CODES, HOUR, ADDRESSES),
            calendars: Limiter::new(CALENDARS, HOUR, ADDRESSES),
            wrong_calendars: Limiter::new(WRONG_CALENDARS, HOUR, ADDRESSES),
            tokens: Buckets::default(),
        }
    }
}

/// So many times in a moving window, for each address.
#[derive(Debug)]
pub struct Limiter {
    most: usize,
    window: Millis,
    addresses: usize,
    seen: Mutex<HashMap<IpAddr, Vec<Millis>>>,
}

impl Limiter {
    pub fn new(most: usize, window: Millis, addresses: usize) -> Limiter {
        Limiter {
            most,
            window,
            addresses,
            seen: Mutex::default(),
        }
    }

    /// Takes one of the address's times; give it back if it turned out not to count.
    ///
    /// # Errors
    /// When there is one again, where all are used up.
    pub fn take(&self, who: IpAddr, now: Millis) -> Result<(), Millis> {
        let who = network(who);
        let mut seen = self
            .seen
            .lock()
            .unwrap_or_else(|broken| broken.into_inner());
        if !seen.contains_key(&who) && seen.len() >= self.addresses {
            self.make_room(&mut seen, now);
        }
        let times = seen.entry(who).or_default();
        times.retain(|at| now - at < self.window);
        match times.first() {
            Some(oldest) if times.len() >= self.most => Err(oldest + self.window),
            _ => {
                times.push(now);
                Ok(())
            }
        }
    }

    pub fn give_back(&self, who: IpAddr) {
        let mut seen = self
            .seen
            .lock()
            .unwrap_or_else(|broken| broken.into_inner());
        if let Some(times) = seen.get_mut(&network(who)) {
            times.pop();
        }
    }

    fn make_room(&self, seen: &mut HashMap<IpAddr, Vec<Millis>>, now: Millis) {
        let last = |times: &Vec<Millis>| times.last().copied().unwrap_or(Millis::MIN);
        seen.retain(|_, times| now.saturating_sub(last(times)) < self.window);
        if seen.len() >= self.addresses
            && let Some(quiet) = seen
                .iter()
                .min_by_key(|(_, t)| last(t))
                .map(|(who, _)| *who)
        {
            seen.remove(&quiet);
        }
    }
}

/// Whoever has one address of the newer kind usually has the whole network of it.
pub fn network(who: IpAddr) -> IpAddr {
    match who {
        IpAddr::V6(v6) => match v6.to_ipv4_mapped() {
            Some(v4) => IpAddr::V4(v4),
            None => {
                let s = v6.segments();
                IpAddr::V6(Ipv6Addr::new(s[0], s[1], s[2], s[3], 0, 0, 0, 0))
            }
        },
        v4 => v4,
    }
}

/// Where a request comes from. A proxy on this host, or the one that `BRASSTAG_PROXY` names, says
/// for whom it asks; from anybody else that line is not believed.
#[derive(Clone, Copy, Debug)]
pub struct Client(pub IpAddr);

impl FromRequestParts<AppState> for Client {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, app: &AppState) -> Result<Self, Infallible> {
        // Without a peer it is a socket of this host.
        let peer = parts
            .extensions
            .get::<ConnectInfo<SocketAddr>>()
            .map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), |peer| peer.0.ip());
        if !peer.is_loopback() && app.config.proxy != Some(peer) {
            return Ok(Client(peer));
        }
        // The last one is the one that the proxy itself wrote.
        let asked_for = parts
            .headers
            .get_all("x-forwarded-for")
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(','))
            .filter_map(|address| address.trim().parse().ok())
            .next_back();
        Ok(Client(asked_for.unwrap_or(peer)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(last: u8) -> IpAddr {
        IpAddr::V4(Ipv4Addr::new(192, 0, 2, last))
    }

    #[test]
    fn an_address_waits_until_its_oldest_time_has_passed() {
        let limiter = Limiter::new(2, HOUR, 10);
        assert_eq!(limiter.take(at(1), 0), Ok(()));
        assert_eq!(limiter.take(at(1), 10), Ok(()));
        assert_eq!(limiter.take(at(1), 20), Err(HOUR));
        assert_eq!(limiter.take(at(2), 20), Ok(()), "another one does not wait");
        limiter.give_back(at(1));
        assert_eq!(
            limiter.take(at(1), 30),
            Ok(()),
            "what did not count is free again"
        );
        assert_eq!(limiter.take(at(1), HOUR), Ok(()));
        assert_eq!(limiter.take(at(1), HOUR), Err(HOUR + 30));
    }

    #[test]
    fn it_remembers_only_so_many_and_forgets_the_quiet_ones() {
        let limiter = Limiter::new(1, HOUR, 3);
        for n in 0..200 {
            assert_eq!(limiter.take(at(n), Millis::from(n)), Ok(()));
        }
        let seen = limiter.seen.lock().expect("not broken");
        assert_eq!(seen.len(), 3);
        assert!(seen.contains_key(&at(199)) && !seen.contains_key(&at(0)));
    }

    #[test]
    fn a_network_of_the_newer_kind_counts_as_one() {
        let limiter = Limiter::new(1, HOUR, 10);
        let one: IpAddr = "2001:db8:1:2::1".parse().expect("an address");
        let two: IpAddr = "2001:db8:1:2:ffff::9".parse().expect("an address");
        let other: IpAddr = "2001:db8:1:3::1".parse().expect("an address");
        assert_eq!(limiter.take(one, 0), Ok(()));
        assert_eq!(limiter.take(two, 0), Err(HOUR));
        assert_eq!(limiter.take(other, 0), Ok(()));
        let mapped: IpAddr = "::ffff:192.0.2.7".parse().expect("an address");
        assert_eq!(limiter.take(mapped, 0), Ok(()));
        assert_eq!(limiter.take(at(7), 0), Err(HOUR));
    }
}
