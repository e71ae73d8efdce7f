//! Agreed rulings: what each record must correct so that both tell the same.

use alloc::vec;
use alloc::vec::Vec;

use super::{Difference, Kind, PlayRef};
use crate::game::Notice;
use crate::log::{Amendment, Correction, Event, History};
use crate::play::Call;

/// What the officials agreed on for a difference.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// My version is right.
    Mine,
    /// Theirs is right.
    Theirs,
    /// Neither: this is what happened in the play.
    Third(Call),
}

/// The events to be recorded in each log, in order. A record that was right
/// already needs none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settlement {
    /// For my log.
    pub mine: Vec<Event>,
    /// For theirs.
    pub theirs: Vec<Event>,
}

fn settle(target: u64, change: Correction) -> Vec<Event> {
    vec![Event::Settle(Amendment { target, change })]
}

fn replace(play: &PlayRef, call: &Call) -> Vec<Event> {
    // The scorer's extras of this record stay with it.
    let scoring = play.call.scoring.clone();
    let call = Call {
        scoring,
        ..call.clone()
    };
    settle(play.seq, Correction::Replace(call))
}

/// Puts a missed play in before `before`, or appends it.
fn put_in(history: &History, before: Option<u64>, call: &Call) -> Vec<Event> {
    match before {
        Some(target) => settle(target, Correction::InsertBefore(call.clone())),
        None => vec![history.next_play(call.clone())],
    }
}

fn put_in_notice(before: Option<u64>, notice: &Notice) -> Vec<Event> {
    match before {
        Some(target) => settle(target, Correction::NoticeBefore(notice.clone())),
        None => vec![Event::Notice(notice.clone())],
    }
}

impl Difference {
    /// What each log must record for the choice; `mine` and `theirs` are the
    /// two records as compared. Settle the first difference, then compare
    /// again: later ones may have followed from it.
    #[must_use]
    pub fn settle(&self, choice: &Choice, mine: &History, theirs: &History) -> Settlement {
        let both = |mine, theirs| Settlement { mine, theirs };
        match (&self.kind, choice) {
            (Kind::Fates { mine: a, theirs: b }, choice) => match choice {
                Choice::Mine => both(vec![], replace(b, &a.call)),
                Choice::Theirs => both(replace(a, &b.call), vec![]),
                Choice::Third(call) => both(replace(a, call), replace(b, call)),
            },
            (Kind::Swapped { mine: a, theirs: b }, choice) => {
                let exchange = |into: &[PlayRef; 2], from: &[PlayRef; 2]| {
                    let first = replace(&into[0], &from[0].call);
                    first
                        .into_iter()
                        .chain(replace(&into[1], &from[1].call))
                        .collect()
                };
                match choice {
                    Choice::Mine => both(vec![], exchange(b, a)),
                    Choice::Theirs => both(exchange(a, b), vec![]),
                    Choice::Third(call) => both(replace(&a[0], call), replace(&b[0], call)),
                }
            }
            (Kind::OnlyMine { mine: a, before }, choice) => match choice {
                Choice::Mine => both(vec![], put_in(theirs, *before, &a.call)),
                Choice::Theirs => both(settle(a.seq, Correction::Remove), vec![]),
                Choice::Third(call) => both(replace(a, call), put_in(theirs, *before, call)),
            },
            (Kind::OnlyTheirs { theirs: b, before }, choice) => match choice {
                Choice::Theirs => both(put_in(mine, *before, &b.call), vec![]),
                Choice::Mine => both(vec![], settle(b.seq, Correction::Remove)),
                Choice::Third(call) => both(put_in(mine, *before, call), replace(b, call)),
            },
            (
                Kind::Moved {
                    notice,
                    mine: a,
                    theirs: b,
                },
                choice,
            ) => {
                let shift = |(seq, before): (u64, Option<u64>)| {
                    let out = settle(seq, Correction::Remove);
                    out.into_iter()
                        .chain(put_in_notice(before, notice))
                        .collect()
                };
                match choice {
                    Choice::Mine | Choice::Third(_) => both(vec![], shift(*b)),
                    Choice::Theirs => both(shift(*a), vec![]),
                }
            }
            (
                Kind::Notice {
                    mine: a,
                    theirs: b,
                    before,
                },
                choice,
            ) => match (a, b, choice) {
                (Some((_, notice)), _, Choice::Mine | Choice::Third(_)) => {
                    both(vec![], put_in_notice(*before, notice))
                }
                (Some((seq, _)), _, Choice::Theirs) => {
                    both(settle(*seq, Correction::Remove), vec![])
                }
                (None, Some((_, notice)), Choice::Theirs | Choice::Third(_)) => {
                    both(put_in_notice(*before, notice), vec![])
                }
                (None, Some((seq, _)), Choice::Mine) => {
                    both(vec![], settle(*seq, Correction::Remove))
                }
                (None, None, _) => Settlement::default(),
            },
        }
    }
}
