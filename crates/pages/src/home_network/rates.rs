//! How much one address of the home network may ask in a while.
//!
//! A page asks for a dozen things at once and a queue sends one after the other: 40 requests a second for long, 200 at
//! once. What is sent: 4 MiB a second for long, 200 MiB at once, which is some twenty photographs. Tries of pairing
//! words: one in two seconds, five at once. What is more is refused for now, never entered in part.

use std::net::IpAddr;
use std::num::NonZeroU32;

use governor::clock::{Clock, DefaultClock};
use governor::middleware::NoOpMiddleware;
use governor::state::keyed::HashMapStateStore;
use governor::{Quota, RateLimiter};

type PerAddress<C> =
    RateLimiter<IpAddr, HashMapStateStore<IpAddr>, C, NoOpMiddleware<<C as Clock>::Instant>>;

/// The address asks too much at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TooMuch;

/// More addresses than these are looked through for those that were silent for long.
const MANY: usize = 256;

/// What each address has asked of late.
pub struct Rates<C: Clock = DefaultClock> {
    requests: PerAddress<C>,
    kibibytes: PerAddress<C>,
    words: PerAddress<C>,
}

impl Default for Rates {
    fn default() -> Rates {
        Rates::by(DefaultClock::default())
    }
}

impl<C: Clock + Clone> Rates<C> {
    /// By this clock.
    pub fn by(clock: C) -> Rates<C> {
        let many = |count: u32| NonZeroU32::new(count).unwrap_or(NonZeroU32::MIN);
        let quota = |a_second: u32, at_once: u32| {
            Quota::per_second(many(a_second)).allow_burst(many(at_once))
        };
        let limiter = |quota| RateLimiter::new(quota, HashMapStateStore::default(), clock.clone());
        Rates {
            requests: limiter(quota(40, 200)),
            kibibytes: limiter(quota(4 << 10, 200 << 10)),
            words: limiter(Quota::per_minute(many(30)).allow_burst(many(5))),
        }
    }

    /// Counts a request.
    pub fn request(&self, from: IpAddr) -> Result<(), TooMuch> {
        for limiter in [&self.requests, &self.kibibytes, &self.words] {
            if limiter.len() > MANY {
                limiter.retain_recent();
            }
        }
        self.requests.check_key(&from).map_err(|_| TooMuch)
    }

    /// Counts what is sent with a request.
    pub fn sent(&self, from: IpAddr, bytes: u64) -> Result<(), TooMuch> {
        let kibibytes = u32::try_from(bytes.div_ceil(1024)).unwrap_or(u32::MAX);
        match NonZeroU32::new(kibibytes) {
            None => Ok(()),
            // More than is ever let through at once is for the limit of one body to refuse.
            Some(own) if own.get() > 200 << 10 => Ok(()),
            Some(own) => match self.kibibytes.check_key_n(&from, own) {
                Ok(Ok(())) => Ok(()),
                _ => Err(TooMuch),
            },
        }
    }

    /// Counts a try of pairing words.
    pub fn words(&self, from: IpAddr) -> Result<(), TooMuch> {
        self.words.check_key(&from).map_err(|_| TooMuch)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use governor::clock::FakeRelativeClock;
    use std::time::Duration;

    #[test]
    fn each_address_has_its_own_measure_and_gets_it_back() {
        let clock = FakeRelativeClock::default();
        let own = Rates::by(clock.clone());
        let (one, other): (IpAddr, IpAddr) = ([192, 168, 1, 2].into(), [192, 168, 1, 3].into());
        assert_eq!((0..300).filter(|_| own.request(one).is_ok()).count(), 200);
        assert_eq!(own.request(other), Ok(()));
        clock.advance(Duration::from_secs(1));
        assert_eq!((0..300).filter(|_| own.request(one).is_ok()).count(), 40);

        let photograph = 9 << 20;
        assert_eq!(
            (0..50)
                .filter(|_| own.sent(one, photograph).is_ok())
                .count(),
            22
        );
        assert_eq!(own.sent(one, 0), Ok(()));
        clock.advance(Duration::from_secs(3));
        assert_eq!(
            (0..50)
                .filter(|_| own.sent(one, photograph).is_ok())
                .count(),
            1
        );

        assert_eq!((0..9).filter(|_| own.words(one).is_ok()).count(), 5);
        clock.advance(Duration::from_secs(2));
        assert_eq!((0..9).filter(|_| own.words(one).is_ok()).count(), 1);
    }
}
