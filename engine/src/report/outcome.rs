//! How a game counts, ended and was scored, from the record that is shown and
//! what the organiser decided.

use super::Verdict;
use crate::competition::standings::{Batting, SideLine, Standing, TableRules};
use crate::game::Ending;
use crate::log::{Disposition, GameRecord};
use crate::rules::Ties;
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
        decided: Option<Disposition>,
        rules: TableRules,
    ) -> Self {
        let game = record.history().game();
        let recorded = Self {
            standing: standing(record, verdict, lines, rules),
            ending: game.ending(),
            score: match game.ending() {
                Some(Ending::Forfeit { by }) => forfeited(by, lines, rules).1,
                _ => game.score(),
            },
        };
        match decided {
            None | Some(Disposition::Withdrawn) => recorded,
            Some(Disposition::NotCounted | Disposition::NotPlayed) => Self {
                standing: None,
                ..recorded
            },
            Some(Disposition::Forfeit { by }) => {
                let (standing, score) = forfeited(by, lines, rules);
                Self {
                    standing: Some(standing),
                    ending: Some(Ending::Forfeit { by }),
                    score,
                }
            }
            Some(Disposition::Stands { .. }) => Self {
                standing: Some(match game.ending() {
                    Some(Ending::Forfeit { by }) => forfeited(by, lines, rules).0,
                    _ => settled(lines, rules),
                }),
                ..recorded
            },
            Some(Disposition::Score { runs, close }) => {
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
                    standing: Some(settled(BySide::from_fn(given), rules)),
                    ending: close.ending(),
                    score: runs,
                }
            }
        }
    }
}

/// Final where one side leads; level a tie, where the rules have ties.
fn settled(lines: BySide<SideLine>, rules: TableRules) -> Standing {
    match (lines.guest.runs == lines.home.runs, rules.ties) {
        (false, _) => Standing::Final(lines),
        (true, Ties::Allowed) => Standing::Tied(lines),
        (true, Ties::PlayedOn) => Standing::Unsettled(lines),
    }
}

/// How a forfeit counts, and its score: that of the rules, or as played where a
/// larger lead stands.
fn forfeited(by: Side, lines: BySide<SideLine>, rules: TableRules) -> (Standing, BySide<u16>) {
    let runs = lines.map(|l| l.runs);
    let lead = runs[by.other()].saturating_sub(runs[by]);
    if rules.forfeit_larger.keeps(lead, rules.forfeit_runs) {
        return (Standing::Final(lines), runs);
    }
    let score = BySide::from_fn(|side| if side == by { 0 } else { rules.forfeit_runs });
    (Standing::Forfeit(by), score)
}

fn standing(
    record: &GameRecord,
    verdict: Verdict,
    lines: BySide<SideLine>,
    rules: TableRules,
) -> Option<Standing> {
    let game = record.history().game();
    let counts = verdict.counts();
    match (counts, game.ending()) {
        (true, Some(Ending::Forfeit { by })) => Some(forfeited(by, lines, rules).0),
        (true, Some(Ending::Called(_))) => Some(settled(lines, rules)),
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
