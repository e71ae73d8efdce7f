//! Agreed rulings: what each record must correct so that both tell the same.

use alloc::vec;
use alloc::vec::Vec;

use super::{Difference, Kind, NoticeRef, PlayRef};
use crate::game::Notice;
use crate::log::{Amendment, Correction, Event, History};
use crate::message::localized;
use crate::play::Call;

/// What the officials agreed on for a difference.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// My version is right.
    Mine,
    /// Theirs is right.
    Theirs,
    /// Neither: this is what happened in the play. Of two plays in another
    /// order it is the first; the second is compared again.
    Third(Call),
    /// Neither: this is what was said between the plays.
    ThirdNotice(Notice),
}

/// Why a choice says nothing about a difference.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChoiceObjection {
    /// A play was chosen where a notice differs.
    WantsNotice,
    /// A notice was chosen where a play differs.
    WantsPlay,
    /// Only the time of a notice differs: it is one record's or the other's.
    WantsOneOfTwo,
    /// A correction made my play impossible: it tells nothing.
    MineNoLongerFits,
    /// A correction made their play impossible: it tells nothing.
    TheirsNoLongerFits,
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

/// Two neighbours, each told as the other record has it.
fn replace_both(into: &[PlayRef; 2], from: &[PlayRef; 2]) -> Vec<Event> {
    let first = replace(&into[0], &from[0].call);
    let second = replace(&into[1], &from[1].call);
    first.into_iter().chain(second).collect()
}

fn put_in_notice(before: Option<u64>, notice: &Notice) -> Vec<Event> {
    match before {
        Some(target) => settle(target, Correction::NoticeBefore(notice.clone())),
        None => vec![Event::Notice(notice.clone())],
    }
}

/// Moves a notice to where the other record has it.
fn shift((seq, before): (u64, Option<u64>), notice: &Notice) -> Vec<Event> {
    let out = take_out(seq).into_iter();
    out.chain(put_in_notice(before, notice)).collect()
}

/// Puts another notice in the place of one.
fn replace_notice(old: &NoticeRef, notice: &Notice) -> Vec<Event> {
    let put_in = settle(old.seq, Correction::NoticeBefore(notice.clone()));
    put_in.into_iter().chain(take_out(old.seq)).collect()
}

fn take_out(seq: u64) -> Vec<Event> {
    settle(seq, Correction::Remove)
}

impl Difference {
    /// What each log must record for the choice; `mine` and `theirs` are the
    /// two records as compared. Settle the first difference, then compare
    /// again: later ones may have followed from it.
    ///
    /// # Errors
    /// When the choice is no answer to this difference.
    pub fn settle(
        &self,
        choice: &Choice,
        mine: &History,
        theirs: &History,
    ) -> Result<Settlement, ChoiceObjection> {
        let (mine, theirs) = match choice {
            Choice::Mine if !self.mine_fits() => return Err(ChoiceObjection::MineNoLongerFits),
            Choice::Theirs if !self.theirs_fits() => {
                return Err(ChoiceObjection::TheirsNoLongerFits);
            }
            Choice::Mine => (vec![], self.as_mine(theirs)),
            Choice::Theirs => (self.as_theirs(mine), vec![]),
            Choice::Third(call) => self.as_called(call, mine, theirs)?,
            Choice::ThirdNotice(notice) => self.as_noticed(notice)?,
        };
        Ok(Settlement { mine, theirs })
    }

    fn mine_fits(&self) -> bool {
        match &self.kind {
            Kind::Fates { mine, .. } | Kind::OnlyMine { mine, .. } => mine.fits,
            _ => true,
        }
    }

    fn theirs_fits(&self) -> bool {
        match &self.kind {
            Kind::Fates { theirs, .. } | Kind::OnlyTheirs { theirs, .. } => theirs.fits,
            _ => true,
        }
    }

    /// What their record needs to tell what mine tells.
    fn as_mine(&self, theirs: &History) -> Vec<Event> {
        match &self.kind {
            Kind::Fates { mine, theirs } => replace(theirs, &mine.call),
            Kind::Swapped { mine, theirs } => replace_both(theirs, mine),
            Kind::OnlyMine { mine, before } => put_in(theirs, *before, &mine.call),
            Kind::OnlyTheirs { theirs, .. } => take_out(theirs.seq),
            Kind::Notices { mine, theirs } => replace_notice(theirs, &mine.notice),
            Kind::NoticeOnlyMine { mine, before } => put_in_notice(*before, &mine.notice),
            Kind::NoticeOnlyTheirs { theirs, .. } => take_out(theirs.seq),
            Kind::Moved { notice, theirs, .. } => shift(*theirs, notice),
        }
    }

    /// What my record needs to tell what theirs tells.
    fn as_theirs(&self, mine: &History) -> Vec<Event> {
        match &self.kind {
            Kind::Fates { mine, theirs } => replace(mine, &theirs.call),
            Kind::Swapped { mine, theirs } => replace_both(mine, theirs),
            Kind::OnlyMine { mine, .. } => take_out(mine.seq),
            Kind::OnlyTheirs { theirs, before } => put_in(mine, *before, &theirs.call),
            Kind::Notices { mine, theirs } => replace_notice(mine, &theirs.notice),
            Kind::NoticeOnlyMine { mine, .. } => take_out(mine.seq),
            Kind::NoticeOnlyTheirs { theirs, before } => put_in_notice(*before, &theirs.notice),
            Kind::Moved { notice, mine, .. } => shift(*mine, notice),
        }
    }

    /// What both need to tell this call.
    fn as_called(
        &self,
        call: &Call,
        mine: &History,
        theirs: &History,
    ) -> Result<(Vec<Event>, Vec<Event>), ChoiceObjection> {
        Ok(match &self.kind {
            Kind::Fates { mine: a, theirs: b } => (replace(a, call), replace(b, call)),
            Kind::Swapped { mine: a, theirs: b } => (replace(&a[0], call), replace(&b[0], call)),
            Kind::OnlyMine { mine: a, before } => (replace(a, call), put_in(theirs, *before, call)),
            Kind::OnlyTheirs { theirs: b, before } => {
                (put_in(mine, *before, call), replace(b, call))
            }
            Kind::Notices { .. } | Kind::NoticeOnlyMine { .. } | Kind::NoticeOnlyTheirs { .. } => {
                return Err(ChoiceObjection::WantsNotice);
            }
            Kind::Moved { .. } => return Err(ChoiceObjection::WantsOneOfTwo),
        })
    }

    /// What both need to tell this notice.
    fn as_noticed(&self, notice: &Notice) -> Result<(Vec<Event>, Vec<Event>), ChoiceObjection> {
        Ok(match &self.kind {
            Kind::Notices { mine, theirs } => {
                (replace_notice(mine, notice), replace_notice(theirs, notice))
            }
            Kind::NoticeOnlyMine { mine, before } => {
                (replace_notice(mine, notice), put_in_notice(*before, notice))
            }
            Kind::NoticeOnlyTheirs { theirs, before } => (
                put_in_notice(*before, notice),
                replace_notice(theirs, notice),
            ),
            Kind::Moved { .. } => return Err(ChoiceObjection::WantsOneOfTwo),
            _ => return Err(ChoiceObjection::WantsPlay),
        })
    }
}
