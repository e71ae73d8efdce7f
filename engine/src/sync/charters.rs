//! What a collector answers about the versions of a charter.
//!
//! ```text
//! receipt = ["chalkbook:charters", 1, event: bstr, next: uint, head: bstr / null,
//!            forked_at: uint / null, refusal / null]
//! ```

use alloc::vec::Vec;

use super::Refusal;
use crate::charter::CharterHistory;
use crate::log::Hash;

/// How far an event's charter has come at a collector, and what it refused if
/// anything.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CharterReceipt {
    /// Hash of the event's first version.
    pub event: Hash,
    /// How many versions the line there has; 0 when the event is not served.
    pub next: u64,
    /// Hash of the version in force there.
    pub head: Option<Hash>,
    /// The first version of which two different ones were signed.
    pub forked_at: Option<u64>,
    /// What was not taken.
    pub refusal: Option<Refusal>,
}

impl CharterReceipt {
    /// The first item of every receipt.
    pub const MARK: &'static str = "chalkbook:charters";
    const FORM: u8 = 1;

    /// The receipt of an event's charter as it stands.
    #[must_use]
    pub fn new(event: Hash, history: Option<&CharterHistory>) -> Self {
        let versions = history.map_or(0, |h| h.versions().len());
        Self {
            event,
            next: u64::try_from(versions).unwrap_or(u64::MAX),
            head: history.map(|h| h.in_force().hash()),
            forked_at: history.and_then(|h| h.forked_at()).map(u64::from),
            refusal: None,
        }
    }

    /// As CBOR.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let all = (
            Self::MARK,
            Self::FORM,
            self.event,
            self.next,
            self.head,
            self.forked_at,
            &self.refusal,
        );
        // Writing to memory cannot fail.
        minicbor::to_vec(all).unwrap_or_default()
    }

    /// Reads a receipt; `None` for anything else, a portal's page for one.
    #[must_use]
    pub fn read(bytes: &[u8]) -> Option<Self> {
        if bytes.len() > super::Receipt::BYTES_LIMIT {
            return None;
        }
        let mut d = minicbor::Decoder::new(bytes);
        if d.array().ok()? != Some(7) || d.str().ok()? != Self::MARK || d.u8().ok()? != Self::FORM {
            return None;
        }
        let receipt = Self {
            event: d.decode().ok()?,
            next: d.u64().ok()?,
            head: d.decode().ok()?,
            forked_at: d.decode().ok()?,
            refusal: d.decode().ok()?,
        };
        let bounded = receipt.next <= CharterHistory::VERSIONS_LIMIT as u64;
        (d.position() == bytes.len() && bounded).then_some(receipt)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
    use alloc::string::ToString;
    use alloc::vec;

    use super::super::{Answer, Ask, Parcel, Receipt, Shelf, Uploader};
    use super::*;
    use crate::log::{AuthorLog, Fingerprint, GameId, LogName};

    const EVENT: Hash = Hash([1; 32]);
    const LOG: LogName = LogName {
        game: GameId([2; 32]),
        author: Fingerprint([3; 16]),
    };

    /// A phone with versions of a charter and a record of one entry.
    struct Phone(u8);

    impl Shelf for Phone {
        fn length(&self, _: Parcel, _: u64) -> Option<usize> {
            Some(100)
        }
        fn hash(&self, parcel: Parcel, seq: u64) -> Option<Hash> {
            match parcel {
                Parcel::Charter(_) => (seq < u64::from(self.0)).then_some(Hash([seq as u8; 32])),
                Parcel::Log(_) => (seq < 1).then_some(Hash([9; 32])),
            }
        }
    }

    fn charters(next: u64) -> Vec<u8> {
        let head = next.checked_sub(1).map(|last| Hash([last as u8; 32]));
        let receipt = CharterReceipt {
            event: EVENT,
            next,
            head,
            forked_at: None,
            refusal: None,
        };
        assert_eq!(
            CharterReceipt::read(&receipt.to_bytes()),
            Some(receipt.clone())
        );
        receipt.to_bytes()
    }

    fn record(next: u64, refusal: Option<&str>) -> Vec<u8> {
        let mut receipt = Receipt::of(&AuthorLog::new(LOG));
        receipt.next = next;
        receipt.head = (next > 0).then_some(Hash([9; 32]));
        receipt.refusal = refusal.map(|name| Refusal {
            at: next,
            name: name.to_string(),
            sentence: "Why.".to_string(),
        });
        receipt.to_bytes()
    }

    /// Answers the request that is due, which must be this one.
    fn answer(uploader: &mut Uploader, phone: &Phone, due: (Parcel, Ask), body: &[u8]) {
        let request = uploader.next(0, phone).unwrap();
        assert_eq!((request.parcel, request.what), due);
        let came = Answer::Came {
            status: 200,
            retry_after: None,
            body,
        };
        uploader.answered(request.number, 0, 0, phone, came);
    }

    #[test]
    fn versions_go_before_records_and_free_what_was_refused_for_their_sake() {
        let (charter, log) = (Parcel::Charter(EVENT), Parcel::Log(LOG));
        let mut phone = Phone(2);
        let mut uploader = Uploader::default();
        uploader.stored(log, 1);
        uploader.stored(charter, 2);
        let send = |from, count| Ask::Send { from, count };
        answer(&mut uploader, &phone, (charter, Ask::Head), &charters(1));
        assert_eq!(uploader.progress(charter).unwrap().waiting(), 1);
        answer(&mut uploader, &phone, (charter, send(1, 1)), &charters(2));
        assert_eq!(uploader.progress(charter).unwrap().waiting(), 0);
        // The record's official is listed by a version that is not here either.
        answer(&mut uploader, &phone, (log, Ask::Head), &record(0, None));
        let refused = record(0, Some("unlisted-key"));
        answer(&mut uploader, &phone, (log, send(0, 1)), &refused);
        assert!(uploader.progress(log).unwrap().refused.is_some());
        assert_eq!(uploader.next(0, &phone), None, "it rests");
        // The version comes to this phone, goes to the collector, and the
        // record follows at once.
        phone.0 = 3;
        uploader.stored(charter, 3);
        answer(&mut uploader, &phone, (charter, send(2, 1)), &charters(3));
        answer(&mut uploader, &phone, (log, Ask::Head), &record(0, None));
        answer(&mut uploader, &phone, (log, send(0, 1)), &record(1, None));
        assert_eq!(uploader.wake_at(0), None);
    }

    #[test]
    fn a_record_that_waits_for_its_charter_is_kept_and_asked_for_again() {
        let log = Parcel::Log(LOG);
        let phone = Phone(0);
        let mut uploader = Uploader::default();
        uploader.stored(log, 1);
        let awaits = Some(Refusal::AWAITS_CHARTER);
        let send = Ask::Send { from: 0, count: 1 };
        answer(&mut uploader, &phone, (log, Ask::Head), &record(0, None));
        answer(&mut uploader, &phone, (log, send), &record(1, awaits));
        let stands = uploader.progress(log).unwrap();
        assert_eq!((stands.waiting(), stands.awaits), (0, true));
        assert_eq!(stands.refused, None, "nothing is to be done again");
        let again = uploader.wake_at(0).unwrap();
        assert!(again > 0);
        let request = uploader.next(again, &phone).unwrap();
        assert_eq!(request.what, Ask::Head);
        let body = record(1, None);
        let came = Answer::Came {
            status: 200,
            retry_after: None,
            body: &body,
        };
        uploader.answered(request.number, again, 0, &phone, came);
        assert!(!uploader.progress(log).unwrap().awaits);
        assert_eq!(uploader.wake_at(again), None);
        assert!(vec![uploader.parcels().count()] == [1]);
    }

    #[test]
    fn a_newer_version_at_the_collector_is_noticed() {
        let charter = Parcel::Charter(EVENT);
        let phone = Phone(2);
        let mut uploader = Uploader::default();
        uploader.stored(charter, 2);
        answer(&mut uploader, &phone, (charter, Ask::Head), &charters(3));
        assert!(uploader.progress(charter).unwrap().ahead);
    }
}
