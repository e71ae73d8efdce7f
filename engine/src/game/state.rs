//! The state of a game between two plays.

use alloc::sync::Arc;
use alloc::vec::Vec;

use super::{Ending, Hold, WarningRecipient};
use crate::Problems;
use crate::message::localized;
use crate::play::{Base, ByBase, PlateAppearance};
use crate::rules::{Edition, SecondWarning};
use crate::team::{
    BySide, Card, CardObjection, Lineup, Place, Player, Position, Shirt, Side, Squad, Whereabouts,
};

/// What is fixed before the first play: the edition and both line-ups, which
/// that edition accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fixture {
    edition: Edition,
    lineups: BySide<Lineup>,
}

/// An objection to one side's card.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[message(home = *side == Side::Home)]
pub struct FixtureObjection {
    /// Whose card.
    pub side: Side,
    /// What is wrong with it.
    pub objection: CardObjection,
}

impl Fixture {
    /// The fixture of two cards under an edition. A card of fewer than five is
    /// taken too: of such a game only the forfeit can be recorded.
    ///
    /// # Errors
    /// Every objection to either card.
    pub fn new(edition: Edition, cards: &BySide<Card>) -> Result<Self, Problems<FixtureObjection>> {
        let check = |side: Side| {
            let of_side = |objection| FixtureObjection { side, objection };
            let lineup = cards[side].check_short(&edition);
            lineup.map_err(|wrong| wrong.map(of_side))
        };
        let lineups = match (check(Side::Guest), check(Side::Home)) {
            (Ok(guest), Ok(home)) => BySide { guest, home },
            (Err(guest), Err(home)) => return Err(guest.and(home)),
            (Err(wrong), _) | (_, Err(wrong)) => return Err(wrong),
        };
        Ok(Self { edition, lineups })
    }

    /// The edition of the rules.
    #[must_use]
    pub fn edition(&self) -> &Edition {
        &self.edition
    }

    /// The accepted line-ups.
    #[must_use]
    pub fn lineups(&self) -> &BySide<Lineup> {
        &self.lineups
    }
}

/// A runner on a base.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Runner {
    /// Who stands there.
    pub shirt: Shirt,
    /// The batter due for whom this player runs, if so.
    pub stands_in_for: Option<Shirt>,
}

/// Whether the game goes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stage {
    /// The next play may come.
    Playing,
    /// Stopped for a while.
    Held(Hold),
    /// Over.
    Over(Ending),
}

/// What one side has added up at bat.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Tally {
    /// Plate appearances completed.
    pub turns: u16,
    /// Runners placed by the tie-break.
    pub placed: u16,
    /// Runs scored.
    pub runs: u16,
    /// Runners left on base in completed turns.
    pub left: u16,
    /// Outs made at bat and on base: the opponents' putouts.
    pub outs: u16,
}

/// A game between two plays. Made by [`Game::new`], changed only by
/// [`Game::apply`] and [`Game::note`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Game {
    pub(super) fixture: Arc<Fixture>,
    pub(super) inning: u8,
    pub(super) at_bat: Side,
    pub(super) outs: u8,
    pub(super) bases: ByBase<Option<Runner>>,
    pub(super) next: BySide<Place>,
    pub(super) tally: BySide<Tally>,
    pub(super) squads: BySide<Squad>,
    pub(super) defence: BySide<[Option<Position>; 5]>,
    pub(super) stage: Stage,
    pub(super) last_out: Option<Shirt>,
    pub(super) time_outs: BySide<(u8, u8)>,
    /// To whom warnings were given.
    pub(super) warned: BySide<Vec<WarningRecipient>>,
    /// Reserves put on the card after the start.
    pub(super) late: BySide<Vec<Player>>,
}

impl Game {
    /// The game before its first play.
    #[must_use]
    pub fn new(fixture: Arc<Fixture>) -> Self {
        let squads = BySide::from_fn(|s| Squad::new(&fixture.lineups[s]));
        let defence = BySide::from_fn(|s| {
            let mut positions = [None; 5];
            for (place, hitter) in fixture.lineups[s].starters() {
                positions[place.index()] = hitter.position;
            }
            positions
        });
        Self {
            fixture,
            inning: 1,
            at_bat: Side::Guest,
            outs: 0,
            bases: ByBase::default(),
            next: BySide {
                guest: Place::First,
                home: Place::First,
            },
            tally: BySide::default(),
            squads,
            defence,
            stage: Stage::Playing,
            last_out: None,
            time_outs: BySide::default(),
            warned: BySide::default(),
            late: BySide::default(),
        }
    }

    /// The edition and line-ups.
    #[must_use]
    pub fn fixture(&self) -> &Fixture {
        &self.fixture
    }

    /// The edition of the rules.
    #[must_use]
    pub fn edition(&self) -> &Edition {
        &self.fixture.edition
    }

    /// The inning, from 1. After the end, the inning in which it came.
    #[must_use]
    pub fn inning(&self) -> u8 {
        self.inning
    }

    /// The side at bat: the guests in the top, the home side in the bottom.
    #[must_use]
    pub fn at_bat(&self) -> Side {
        self.at_bat
    }

    /// Outs in this turn, 0 to 2; 3 only when the game ended on a third out.
    #[must_use]
    pub fn outs(&self) -> u8 {
        self.outs
    }

    /// Who stands on which base.
    #[must_use]
    pub fn bases(&self) -> &ByBase<Option<Runner>> {
        &self.bases
    }

    /// Place in the order of the batter due for a side.
    #[must_use]
    pub fn next_place(&self, side: Side) -> Place {
        self.next[side]
    }

    /// The batter due.
    #[must_use]
    pub fn due(&self) -> Shirt {
        self.squads[self.at_bat].at(self.next[self.at_bat])
    }

    /// The hitter `later` turns after the batter due.
    #[must_use]
    pub fn on_deck(&self, later: usize) -> Shirt {
        self.squads[self.at_bat].at(self.next[self.at_bat].after(later))
    }

    /// The turn at bat that the next play belongs to.
    #[must_use]
    pub fn turn(&self) -> PlateAppearance {
        PlateAppearance {
            inning: self.inning,
            side: self.at_bat,
            place: self.next[self.at_bat],
        }
    }

    /// Whether the game goes on.
    #[must_use]
    pub fn stage(&self) -> Stage {
        self.stage
    }

    /// How the game ended, if it has.
    #[must_use]
    pub fn ending(&self) -> Option<Ending> {
        match self.stage {
            Stage::Over(ending) => Some(ending),
            Stage::Playing | Stage::Held(_) => None,
        }
    }

    /// Each side's totals.
    #[must_use]
    pub fn tally(&self) -> &BySide<Tally> {
        &self.tally
    }

    /// Warnings given so far to a person, or to a side's bench.
    #[must_use]
    pub fn warnings(&self, side: Side, to: WarningRecipient) -> usize {
        self.warned[side].iter().filter(|w| **w == to).count()
    }

    /// Whether the last warning of a side was a second one that sends the person
    /// off in this edition: proposed, never done by itself. A bench is not sent
    /// off. Source: from memory, a policy.
    #[must_use]
    pub fn proposes_ejection(&self, side: Side) -> Option<WarningRecipient> {
        let last = self.warned[side].last().copied()?;
        let away = match last {
            WarningRecipient::Bench => true,
            WarningRecipient::Coach => false,
            WarningRecipient::Player(who) => self.squads[side]
                .member(who)
                .is_none_or(|m| matches!(m.whereabouts, Whereabouts::Away(_))),
        };
        let second = **self.edition().second_warning() == SecondWarning::Ejection
            && self.warnings(side, last) >= 2;
        (second && !away).then_some(last)
    }

    /// Whether a side has fewer than five on its card: it can only forfeit.
    #[must_use]
    pub fn lineup_is_short(&self, side: Side) -> bool {
        self.fixture.lineups[side].is_short()
    }

    /// Whether either side has fewer than five on its card.
    #[must_use]
    pub fn is_short(&self) -> bool {
        Side::BOTH.into_iter().any(|s| self.lineup_is_short(s))
    }

    /// The player who wears a number now, as the card names them: a corrected
    /// number is the same person, a reserve may have come late.
    #[must_use]
    pub fn player(&self, side: Side, shirt: Shirt) -> Option<&Player> {
        let carded = self.squads[side].member(shirt)?.carded;
        self.fixture.lineups[side]
            .player(carded)
            .or_else(|| self.late[side].iter().find(|p| p.shirt == carded))
    }

    /// Each side's squad.
    #[must_use]
    pub fn squads(&self) -> &BySide<Squad> {
        &self.squads
    }

    /// Position of each of the five, by place in the order, where known.
    #[must_use]
    pub fn defence(&self, side: Side) -> &[Option<Position>; 5] {
        &self.defence[side]
    }

    /// Who holds a position on defence, where known.
    #[must_use]
    pub fn fielder(&self, side: Side, position: Position) -> Option<Shirt> {
        let place = Place::ALL
            .into_iter()
            .find(|p| self.defence[side][p.index()] == Some(position))?;
        Some(self.squads[side].at(place))
    }

    /// Runs as played.
    #[must_use]
    pub fn runs(&self) -> BySide<u16> {
        self.tally.map(|t| t.runs)
    }

    /// The official score: the runs played, or the edition's forfeit score.
    #[must_use]
    pub fn score(&self) -> BySide<u16> {
        match self.ending() {
            Some(Ending::ForfeitBoth) => BySide::default(),
            Some(Ending::Forfeit { by }) if self.larger_lead_stands(by.other()) => self.runs(),
            Some(Ending::Forfeit { by }) => {
                let mut score = BySide::default();
                score[by.other()] = u16::from(self.edition().forfeit_score().get());
                score
            }
            _ => self.runs(),
        }
    }

    /// Whether a side's lead is larger than the forfeit score, and stands.
    fn larger_lead_stands(&self, side: Side) -> bool {
        let runs = self.runs();
        let lead = runs[side].saturating_sub(runs[side.other()]);
        let edition = self.edition();
        edition
            .forfeit_larger()
            .keeps(lead, u16::from(edition.forfeit_score().get()))
    }

    /// The winner of a game that is over; nobody in a tie, a suspended game, and
    /// one that both forfeited.
    #[must_use]
    pub fn winner(&self) -> Option<Side> {
        if matches!(self.ending()?, Ending::Suspended(_)) {
            return None;
        }
        let score = self.score();
        match score.guest.cmp(&score.home) {
            core::cmp::Ordering::Greater => Some(Side::Guest),
            core::cmp::Ordering::Less => Some(Side::Home),
            core::cmp::Ordering::Equal => None,
        }
    }

    /// The batter due stands on a base: someone must run there before the next
    /// play.
    ///
    /// With five in the order that is third base, with the bases loaded and two
    /// out (derived); where the tie-break puts the nearest hitters on the leading
    /// bases it can be another one, with fewer out. The remedy is a policy of
    /// the competition.
    #[must_use]
    pub fn needs_courtesy_runner(&self) -> bool {
        self.base_of_due().is_some()
    }

    /// The base on which the batter due stands, if so.
    #[must_use]
    pub fn base_of_due(&self) -> Option<Base> {
        let due = self.due();
        let on = |b: &Base| self.bases[*b].is_some_and(|r| r.shirt == due);
        Base::ALL
            .into_iter()
            .find(on)
            .filter(|_| self.ending().is_none())
    }

    /// The last player put out in this turn at bat.
    #[must_use]
    pub fn last_out(&self) -> Option<Shirt> {
        self.last_out
    }

    /// Time-outs that a side has taken: in the game, and in this inning.
    #[must_use]
    pub fn time_outs(&self, side: Side) -> (u8, u8) {
        self.time_outs[side]
    }

    /// Runners on base now.
    #[must_use]
    pub fn on_base(&self) -> u8 {
        Base::ALL
            .iter()
            .map(|b| u8::from(self.bases[*b].is_some()))
            .sum()
    }

    /// The balance of a side's box score, zero when it proves: plate
    /// appearances + placed runners - runs - left on base (and on base now)
    /// - opponents' putouts.
    ///
    /// Source: Official Baseball Rules 9.03(c), reduced (no walks or
    /// sacrifices here); wording from memory.
    #[must_use]
    pub fn balance(&self, side: Side) -> i32 {
        let t = &self.tally[side];
        let goes_on = matches!(self.ending(), None | Some(Ending::Suspended(_)));
        let now = if goes_on && side == self.at_bat {
            self.on_base()
        } else {
            0
        };
        i32::from(t.turns) + i32::from(t.placed)
            - i32::from(t.runs)
            - i32::from(t.left)
            - i32::from(now)
            - i32::from(t.outs)
    }
}
