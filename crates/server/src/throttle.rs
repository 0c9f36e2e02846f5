//! How often one address may try to sign in.
//!
//! The record locks a member out after a few wrong tries; this slows down one who tries many names,
//! and keeps the slow password hash from being asked for without end.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};

use jiff::{SignedDuration, Timestamp};

/// Tries within the span. ASSUMED: a bench where six people sign in on a club night stays below it.
const TRIES_MOST: u32 = 20;
/// The span.
const SPAN: SignedDuration = SignedDuration::from_mins(5);
/// Addresses remembered; beyond it the oldest spans are forgotten.
const ADDRESSES_MOST: usize = 1024;

/// Tries to sign in, by address.
#[derive(Debug, Default)]
pub(crate) struct Throttle(Mutex<HashMap<IpAddr, (Timestamp, u32)>>);

impl Throttle {
    /// Counts a try; gives until when the address must wait, if it must.
    pub(crate) fn try_at(&self, address: IpAddr, now: Timestamp) -> Result<(), Timestamp> {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if tries.len() >= ADDRESSES_MOST {
            tries.retain(|_, (since, _)| now.duration_since(*since) < SPAN);
            if tries.len() >= ADDRESSES_MOST && !tries.contains_key(&address) {
                return Err(now.saturating_add(SPAN).unwrap_or(Timestamp::MAX));
            }
        }
        let (since, count) = tries.entry(address).or_insert((now, 0));
        if now.duration_since(*since) >= SPAN {
            (*since, *count) = (now, 0);
        }
        if *count >= TRIES_MOST {
            return Err(since.saturating_add(SPAN).unwrap_or(Timestamp::MAX));
        }
        *count += 1;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_twenty_first_try_waits_and_another_address_does_not() {
        let (throttle, start) = (Throttle::default(), Timestamp::UNIX_EPOCH);
        let (one, other) = (IpAddr::from([192, 0, 2, 1]), IpAddr::from([192, 0, 2, 2]));
        for _ in 0..TRIES_MOST {
            assert_eq!(throttle.try_at(one, start), Ok(()));
        }
        let until = start + SPAN;
        assert_eq!(throttle.try_at(one, start), Err(until));
        assert_eq!(throttle.try_at(other, start), Ok(()));
        assert_eq!(throttle.try_at(one, until), Ok(()));
    }

    #[test]
    fn it_remembers_no_more_addresses_than_it_says() {
        let throttle = Throttle::default();
        for index in 0..5000_u32 {
            let address = IpAddr::from(index.to_be_bytes());
            let _ = throttle.try_at(address, Timestamp::UNIX_EPOCH);
        }
        let tries = throttle.0.lock().expect("nobody panicked");
        assert!(tries.len() <= ADDRESSES_MOST);
    }
}
