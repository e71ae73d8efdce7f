//! How a game counts, ended and was scored, from the record that is shown and
//! what the organiser decided.

use super::Verdict;
use crate::competition::standings::{Batting, SideLine, Standing, TableRules};
use crate::game::Ending;
use crate::log::{Decided, GameRecord};
use crate::score::BoxScore;
use crate::team::{BySide, Side};

/// How a game counts, ended and was scored.
pub(super) struct Outcome {
    pub standing: Option<Standing>,
    pub ending: Option<Ending>,
    pub score: BySide<u16>,
}

impl Outcome {
    pub fn of(
        record: &GameRecord,
        verdict: Verdict,
        lines: BySide<SideLine>,
        decided: Option<Decided>,
        rules: TableRules,
    ) -> Self {
        let game = record.history().game();
        let forfeited =
            |by: Side| BySide::from_fn(|side| if side == by { 0 } else { rules.forfeit_runs });
        let recorded = Self {
            standing: standing(record, verdict, lines),
            ending: game.ending(),
            score: match game.ending() {
                Some(Ending::Forfeit { by }) => forfeited(by),
                _ => game.score(),
            },
        };
        match decided {
            None | Some(Decided::Withdrawn) => recorded,
            Some(Decided::NotCounted | Decided::NotPlayed) => Self {
                standing: None,
                ..recorded
            },
            Some(Decided::Forfeit { by }) => Self {
                standing: Some(Standing::Forfeit(by)),
                ending: Some(Ending::Forfeit { by }),
                score: forfeited(by),
            },
            Some(Decided::Stands { .. }) => Self {
                standing: Some(match game.ending() {
                    Some(Ending::Forfeit { by }) => Standing::Forfeit(by),
                    _ => settled(lines),
                }),
                ..recorded
            },
            Some(Decided::Score { runs, close }) => {
                // Figures that nobody decided on are not made up: the score
                // alone is known, over the innings that were recorded.
                let given = |side: Side| match lines[side] {
                    line if line.runs == runs[side] => line,
                    line => SideLine {
                        runs: runs[side],
                        outs: if line.outs == 0 {
                            rules.full_outs
                        } else {
                            line.outs
                        },
                        earned: None,
                        batting: None,
                    },
                };
                Self {
                    standing: Some(settled(BySide::from_fn(given))),
                    ending: close.ending(),
                    score: runs,
                }
            }
        }
    }
}

/// Final where one side leads: a game has a winner.
fn settled(lines: BySide<SideLine>) -> Standing {
    match lines.guest.runs == lines.home.runs {
        true => Standing::Unsettled(lines),
        false => Standing::Final(lines),
    }
}

fn standing(record: &GameRecord, verdict: Verdict, lines: BySide<SideLine>) -> Option<Standing> {
    let game = record.history().game();
    let settled = verdict.counts();
    match (settled, game.ending()) {
        (true, Some(Ending::Forfeit { by })) => Some(Standing::Forfeit(by)),
        (true, Some(_)) if game.winner().is_some() => Some(Standing::Final(lines)),
        (_, Some(_)) => Some(Standing::Unsettled(lines)),
        (_, None) => record.signed_off().map(|_| Standing::Unsettled(lines)),
    }
}

pub(super) fn side_line(record: &GameRecord, sheet: &BoxScore, side: Side) -> SideLine {
    let tally = record.history().game().tally()[side];
    let players = || sheet.players()[side].values();
    let sum = |of: fn(&crate::score::PlayerTotals) -> u16| {
        players().map(of).fold(0u16, u16::saturating_add)
    };
    let at_bats = sum(|p| p.at_bats);
    SideLine {
        runs: tally.runs,
        outs: tally.outs,
        earned: Some(sheet.earned()[side].min(tally.runs)),
        batting: Some(Batting {
            at_bats,
            hits: sum(|p| p.hits).min(at_bats),
        }),
    }
}
