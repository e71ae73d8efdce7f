//! Differences between two records, each in one plain sentence.

use alloc::boxed::Box;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::align::{Pair, align_long};
use super::facts::{bare, in_force};
use super::{PlayFacts, RunnerEnd};
use crate::game::{Game, Notice, Outcome};
use crate::log::{History, Step};
use crate::play::{Call, PlateAppearance};
use crate::team::{Shirt, Side};

/// One play of a record, as a difference shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlayRef {
    /// Sequence number of the event.
    pub seq: u64,
    /// Number of the play in that record.
    pub number: usize,
    /// Whose turn at bat it was there.
    pub turn: PlateAppearance,
    /// The call with every fate explicit.
    pub call: Call,
    /// What it did, in a few words.
    pub words: String,
    /// Whether it fits its own record; one that a correction made impossible
    /// tells nothing that could be agreed on.
    pub fits: bool,
}

/// One notice of a record, as a difference shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoticeRef {
    /// Sequence number of the event.
    pub seq: u64,
    /// The notice.
    pub notice: Notice,
}

/// What differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The same play, told differently.
    Fates {
        /// My version.
        mine: PlayRef,
        /// Theirs.
        theirs: PlayRef,
    },
    /// Two neighbouring plays in the other order.
    Swapped {
        /// My two plays.
        mine: Box<[PlayRef; 2]>,
        /// Their two.
        theirs: Box<[PlayRef; 2]>,
    },
    /// A play that only I have; it belongs before their play `before`, or at the end.
    OnlyMine {
        /// My play.
        mine: PlayRef,
        /// Their next play.
        before: Option<u64>,
    },
    /// A play that only they have; it belongs before my play `before`, or at the end.
    OnlyTheirs {
        /// Their play.
        theirs: PlayRef,
        /// My next play.
        before: Option<u64>,
    },
    /// A change of players, a runner for the batter due or a forfeit, told
    /// differently at the same time.
    Notices {
        /// Mine.
        mine: NoticeRef,
        /// Theirs.
        theirs: NoticeRef,
    },
    /// Such a notice that only I have; it belongs before their step `before`,
    /// or at the end.
    NoticeOnlyMine {
        /// Mine.
        mine: NoticeRef,
        /// Their next step.
        before: Option<u64>,
    },
    /// Such a notice that only they have; it belongs before my step `before`,
    /// or at the end.
    NoticeOnlyTheirs {
        /// Theirs.
        theirs: NoticeRef,
        /// My next step.
        before: Option<u64>,
    },
    /// Both records have the notice, but at another time, and that changed who
    /// was in a play.
    Moved {
        /// The notice.
        notice: Notice,
        /// Its sequence number in my record, and the step of my record before
        /// which they have it.
        mine: (u64, Option<u64>),
        /// Its sequence number in theirs, and the step of theirs before which
        /// I have it.
        theirs: (u64, Option<u64>),
    },
}

/// One difference, with the turn at bat in which it lies.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Inning and side, as the record that has the play tells it.
    pub turn: PlateAppearance,
    /// What differs.
    pub kind: Kind,
}

/// A difference of the scorer's extras only: it never changes the check code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Detail {
    /// My play.
    pub mine: PlayRef,
    /// Theirs.
    pub theirs: PlayRef,
}

/// What comparing two records found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Comparison {
    /// The smallest set of differences in umpire facts, in order of play. Where
    /// more than 400 plays in a row are not equal, those among the first 400
    /// only: the later ones show once these are settled.
    pub differences: Vec<Difference>,
    /// Differences of the scorer's extras.
    pub details: Vec<Detail>,
}

/// A play in its position.
struct PlacedPlay<'a> {
    game: Game,
    /// What it did, with its facts; nothing when it no longer fits its record.
    done: Option<(&'a Outcome, PlayFacts)>,
    own: PlayRef,
    call: &'a Call,
}

/// Compares two records of the same fixture.
///
/// Two plays tell the same when their facts are equal, when either call,
/// played in the other's position, does what was recorded there, or when the
/// same people in running order ended alike: what merely follows from an
/// earlier difference is not reported again.
#[must_use]
pub fn compare(mine: &History, theirs: &History) -> Comparison {
    let (ours, others) = (seen(mine), seen(theirs));
    let same = |i: usize, j: usize| tells_the_same(&ours[i], &others[j]);
    let anchored = |i: usize, j: usize| ours[i].own.turn == others[j].own.turn;
    let mut found = Comparison::default();
    let mut theirs_at = 0;
    let mut mine_at = 0;
    let equal = |i: usize, j: usize| match (&ours[i].done, &others[j].done) {
        (Some((_, a)), Some((_, b))) => a == b,
        _ => false,
    };
    for pair in align_long(ours.len(), others.len(), equal, same, anchored) {
        match pair {
            Pair::Same(i, j) => {
                (mine_at, theirs_at) = (i + 1, j + 1);
                let (a, b) = (&ours[i], &others[j]);
                if a.extras() != b.extras() {
                    found.details.push(Detail {
                        mine: a.own.clone(),
                        theirs: b.own.clone(),
                    });
                }
            }
            Pair::Differs(i, j) => {
                (mine_at, theirs_at) = (i + 1, j + 1);
                let (mine, theirs) = told_apart(&ours[i], &others[j]);
                found.push(mine.turn, Kind::Fates { mine, theirs });
            }
            Pair::Swapped(i, j) => {
                (mine_at, theirs_at) = (i + 2, j + 2);
                let two = |s: &[PlacedPlay<'_>], k: usize| {
                    Box::new([s[k].own.clone(), s[k + 1].own.clone()])
                };
                let kind = Kind::Swapped {
                    mine: two(&ours, i),
                    theirs: two(&others, j),
                };
                found.push(ours[i].own.turn, kind);
            }
            Pair::OnlyMine(i) => {
                mine_at = i + 1;
                let before = others.get(theirs_at).map(|o| o.own.seq);
                found.push(
                    ours[i].own.turn,
                    Kind::OnlyMine {
                        mine: ours[i].own.clone(),
                        before,
                    },
                );
            }
            Pair::OnlyTheirs(j) => {
                theirs_at = j + 1;
                let before = ours.get(mine_at).map(|o| o.own.seq);
                found.push(
                    others[j].own.turn,
                    Kind::OnlyTheirs {
                        theirs: others[j].own.clone(),
                        before,
                    },
                );
            }
        }
    }
    notices(mine, theirs, &mut found);
    if found.differences.is_empty() && !super::code::agree(mine, theirs) {
        found.differences.extend(moved(mine, theirs));
    }
    found
        .differences
        .sort_by_key(|d| (d.turn.inning, d.turn.side));
    found
}

impl Comparison {
    fn push(&mut self, turn: PlateAppearance, kind: Kind) {
        self.differences.push(Difference { turn, kind });
    }
}

fn seen(history: &History) -> Vec<PlacedPlay<'_>> {
    let plays = history.positions().filter_map(|(game, step)| match step {
        Step::Play(play) => Some((game, play)),
        Step::Notice(_) => None,
    });
    plays
        .map(|(game, play)| {
            let outcome = play.result.as_ref().ok();
            let own = PlayRef {
                fits: outcome.is_some(),
                seq: play.seq,
                number: play.number,
                turn: outcome.map(|o| o.turn).or(play.turn).unwrap_or(game.turn()),
                call: outcome.map_or_else(|| play.call.clone(), |o| o.explicit(&play.call)),
                words: outcome.map_or_else(|| "a play that no longer fits".into(), Outcome::brief),
            };
            let done = outcome.map(|o| (o, PlayFacts::of(o)));
            PlacedPlay {
                game,
                done,
                own,
                call: &play.call,
            }
        })
        .collect()
}

/// Both plays in words that differ, where the engine has any that do.
fn told_apart(a: &PlacedPlay<'_>, b: &PlacedPlay<'_>) -> (PlayRef, PlayRef) {
    let (mut mine, mut theirs) = (a.own.clone(), b.own.clone());
    // Who it was may differ only because of an earlier difference.
    let plain = |words: &str| words.replace(|c: char| c.is_ascii_digit(), "");
    if plain(&mine.words) == plain(&theirs.words) {
        for (seen, own) in [(a, &mut mine), (b, &mut theirs)] {
            if let Some((outcome, _)) = &seen.done {
                let said = outcome.sentences().join(" ");
                own.words = said.trim_end_matches('.').to_string();
            }
        }
    }
    (mine, theirs)
}

impl PlacedPlay<'_> {
    /// What the call would do if it were played here.
    fn would(&self, call: &Call) -> Option<Vec<RunnerEnd>> {
        let played = self.game.clone().apply(call).ok()?;
        Some(PlayFacts::of(&played.outcome).ends())
    }

    /// The scorer's extras, for the comparison apart.
    fn extras(&self) -> Option<(Option<crate::play::Reach>, &crate::play::Scoring)> {
        self.done
            .as_ref()
            .map(|(outcome, _)| (outcome.reach(), &outcome.scoring))
    }
}

fn tells_the_same(a: &PlacedPlay<'_>, b: &PlacedPlay<'_>) -> bool {
    let (Some((_, facts_a)), Some((_, facts_b))) = (&a.done, &b.done) else {
        return false;
    };
    let (ends_a, ends_b) = (facts_a.ends(), facts_b.ends());
    ends_a == ends_b
        || a.would(b.call).is_some_and(|ends| ends == ends_a)
        || b.would(a.call).is_some_and(|ends| ends == ends_b)
}

/// A notice of a record with its place in the game.
struct Told {
    seq: u64,
    notice: Notice,
    turn: PlateAppearance,
    /// Plays before it.
    after: usize,
}

impl Told {
    fn own(&self) -> NoticeRef {
        NoticeRef {
            seq: self.seq,
            notice: self.notice.clone(),
        }
    }
}

fn told(history: &History) -> Vec<Told> {
    let mut after = 0;
    let mut list = Vec::new();
    for (game, step) in history.positions() {
        if let Some(notice) = in_force(step) {
            list.push(Told {
                seq: step.seq(),
                notice: notice.clone(),
                turn: game.turn(),
                after,
            });
        }
        after += usize::from(matches!(step, Step::Play(_)));
    }
    list
}

/// The step before which a notice belongs that the other record has after
/// `after` plays.
fn place_for(history: &History, after: usize) -> Option<u64> {
    history.plays().nth(after).map(|p| p.seq)
}

/// The player who leaves by a notice.
fn leaves(notice: &Notice) -> Option<(Side, Shirt)> {
    match notice {
        Notice::Substitution { side, out: who, .. }
        | Notice::Ejection { side, who, .. }
        | Notice::Injury { side, who, .. } => Some((*side, *who)),
        _ => None,
    }
}

/// Whether two notices at the same time are one that was told differently.
fn one_matter(a: &Notice, b: &Notice) -> bool {
    use Notice::{CourtesyRunner, Forfeit, ForfeitBoth, GameCalled, Renumber};
    let ends = |n: &Notice| matches!(n, Forfeit { .. } | ForfeitBoth { .. } | GameCalled { .. });
    match (a, b) {
        (CourtesyRunner { .. }, CourtesyRunner { .. }) => true,
        (
            Renumber { side, from, .. },
            Renumber {
                side: other,
                from: number,
                ..
            },
        ) => (side, from) == (other, number),
        _ if ends(a) && ends(b) => true,
        _ => leaves(a).is_some_and(|who| Some(who) == leaves(b)),
    }
}

fn notices(mine: &History, theirs: &History, found: &mut Comparison) {
    let (mut ours, mut others) = (told(mine), told(theirs));
    ours.retain(|a| {
        let twin = |b: &Told| bare(&b.notice) == bare(&a.notice);
        let at = others.iter().position(twin);
        at.map(|at| others.remove(at)).is_none()
    });
    let mut list = Vec::new();
    for a in ours {
        let twin = |b: &Told| b.after == a.after && one_matter(&a.notice, &b.notice);
        let own = a.own();
        let kind = match others.iter().position(twin) {
            Some(at) => Kind::Notices {
                mine: own,
                theirs: others.remove(at).own(),
            },
            None => Kind::NoticeOnlyMine {
                mine: own,
                before: place_for(theirs, a.after),
            },
        };
        list.push((a.after, a.turn, kind));
    }
    for b in others {
        let kind = Kind::NoticeOnlyTheirs {
            theirs: b.own(),
            before: place_for(mine, b.after),
        };
        list.push((b.after, b.turn, kind));
    }
    // In the order of the game: a later one may follow from an earlier one.
    list.sort_by_key(|(after, ..)| *after);
    for (_, turn, kind) in list {
        found.push(turn, kind);
    }
}

/// The first notice that the records have in another order or after another
/// number of plays; asked only when plays and notices themselves agree.
fn moved(mine: &History, theirs: &History) -> Option<Difference> {
    let (ours, others) = (told(mine), told(theirs));
    let same = |a: &Told, b: &Told| a.after == b.after && bare(&a.notice) == bare(&b.notice);
    let k = ours.iter().zip(&others).position(|(a, b)| !same(a, b))?;
    let twin = |list: &[Told], of: &Told| {
        list[k..]
            .iter()
            .position(|n| bare(&n.notice) == bare(&of.notice))
            .map(|n| n + k)
    };
    // The earlier of the two is out of place; its twin comes later.
    let (i, j) = if others[k].after < ours[k].after {
        (twin(&ours, &others[k])?, k)
    } else {
        (k, twin(&others, &ours[k])?)
    };
    let (a, b) = (&ours[i], &others[j]);
    let place = |history: &History, list: &[Told], at: usize, after: usize| {
        let next = list.get(at).filter(|n| n.after == after && at != i.max(j));
        next.map(|n| n.seq).or_else(|| place_for(history, after))
    };
    let kind = Kind::Moved {
        notice: a.notice.clone(),
        mine: (a.seq, place(mine, &ours, j, b.after)),
        theirs: (b.seq, place(theirs, &others, i, a.after)),
    };
    Some(Difference { turn: a.turn, kind })
}
