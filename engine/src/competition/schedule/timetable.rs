//! Courts and times for a list of meetings.

use alloc::vec::Vec;

use super::super::entrants;
use super::plan::Plan;
use super::{
    Clock, DAY, MAX_COURTS, MAX_WINDOWS, Participant, Request, ScheduleProblem, ScheduledGame,
    Stage, Window,
};
use crate::rules::{Series, SeriesHome};

/// Adds every problem of courts, times and lengths.
pub(super) fn check(request: &Request, problems: &mut Vec<ScheduleProblem>) {
    match request.courts.len() {
        0 => problems.push(ScheduleProblem::NoCourt),
        n if n > MAX_COURTS => problems.push(ScheduleProblem::TooManyCourts(n)),
        _ => problems.extend(
            entrants::name_problems(&request.courts)
                .into_iter()
                .map(ScheduleProblem::Court),
        ),
    }
    if !(1..=DAY).contains(&request.game) {
        problems.push(ScheduleProblem::GameLength(request.game));
    }
    for pause in [request.turnaround, request.rest] {
        if pause > DAY {
            problems.push(ScheduleProblem::Pause(pause));
        }
    }
    match request.windows.len() {
        0 => problems.push(ScheduleProblem::NoWindow),
        n if n > MAX_WINDOWS => problems.push(ScheduleProblem::TooManyWindows(n)),
        _ => {
            for w in &request.windows {
                if w.closes <= w.opens || w.closes.0 > 366 * DAY {
                    problems.push(ScheduleProblem::BadWindow(*w));
                }
            }
            for pair in request.windows.windows(2) {
                if pair[1].opens < pair[0].closes {
                    problems.push(ScheduleProblem::Overlap(pair[0], pair[1]));
                }
            }
        }
    }
}

/// A game still to be placed.
struct OpenGame {
    /// Its meeting, from 0.
    meeting: usize,
    of_series: u8,
}

/// How the next game is chosen among those that can begin first.
#[derive(Clone, Copy)]
enum Choice {
    /// In the order of the plan.
    Order,
    /// The one whose teams have most games ahead of them.
    MostAhead,
}

/// What is known while games are being placed. All times in minutes.
struct Board<'a> {
    request: &'a Request,
    plan: &'a Plan,
    open: Vec<OpenGame>,
    /// When each court is free again.
    courts: Vec<u32>,
    /// When each team is rested.
    rested: Vec<u32>,
    /// Games each team still has among those of known sides.
    ahead: Vec<u32>,
    /// For each meeting: games still open, and when its sides are rested.
    meetings: Vec<(u8, u32)>,
    /// For each pool: games still open, and when its teams are rested.
    pools: Vec<(u32, u32)>,
}

/// Puts every game on a court, or says why they do not fit.
pub(super) fn place(
    request: &Request,
    plan: &Plan,
    policy: SeriesHome,
) -> Result<Vec<ScheduledGame>, ScheduleProblem> {
    let games: usize = plan
        .meetings
        .iter()
        .map(|m| usize::from(length(m.length)))
        .sum();
    let each: usize = request.windows.iter().map(|w| slots(request, w)).sum();
    let room = each * request.courts.len();
    if room < games {
        return Err(ScheduleProblem::NotEnoughRoom {
            games,
            room,
            courts: (each > 0).then(|| games.div_ceil(each)),
        });
    }
    let end = |games: &[ScheduledGame]| games.iter().map(|g| g.end).max();
    let mut best = Board::new(request, plan).run(Choice::Order, policy);
    let other = Board::new(request, plan).run(Choice::MostAhead, policy);
    if end(&other) < end(&best) {
        best = other;
    }
    match (end(&best), request.windows.last()) {
        (Some(end), Some(last)) if end > last.closes => Err(ScheduleProblem::TooLate {
            end,
            closes: last.closes,
        }),
        _ => Ok(best),
    }
}

/// Games of a meeting at most.
fn length(series: Series) -> u8 {
    match series {
        Series::Single => 1,
        Series::BestOfThree => 3,
    }
}

/// Games one court has room for in an opening time.
fn slots(request: &Request, window: &Window) -> usize {
    let open = window.closes.0 - window.opens.0;
    ((open + request.turnaround) / (request.game + request.turnaround)) as usize
}

impl<'a> Board<'a> {
    fn new(request: &'a Request, plan: &'a Plan) -> Self {
        let mut board = Self {
            request,
            plan,
            open: Vec::new(),
            courts: alloc::vec![0; request.courts.len()],
            rested: alloc::vec![0; request.teams.len()],
            ahead: alloc::vec![0; request.teams.len()],
            meetings: Vec::new(),
            pools: alloc::vec![(0, 0); plan.pools.len()],
        };
        for (at, meeting) in plan.meetings.iter().enumerate() {
            let games = length(meeting.length);
            board.meetings.push((games, 0));
            for of_series in 1..=games {
                board.open.push(OpenGame {
                    meeting: at,
                    of_series,
                });
            }
            for side in meeting.sides {
                if let Participant::Team(team) = side {
                    board.ahead[team.index()] += u32::from(games);
                }
            }
            if let Stage::Pool(pool) = meeting.stage {
                board.pools[usize::from(pool)].0 += 1;
            }
        }
        board
    }

    /// First moment from `from` on at which a game fits; after the last opening
    /// time there is no end, so that the caller can say how late it would be.
    fn fit(&self, from: u32) -> u32 {
        let windows = &self.request.windows;
        let fits = |w: &Window| {
            let start = from.max(w.opens.0);
            (start + self.request.game <= w.closes.0).then_some(start)
        };
        let last = windows.last().map_or(0, |w| w.opens.0);
        windows.iter().find_map(fits).unwrap_or(from.max(last))
    }

    /// When a side is there and rested; `None` while that is not yet known.
    fn ready(&self, side: Participant) -> Option<u32> {
        let over = |number: u16| {
            let (open, rested) = self.meetings[usize::from(number) - 1];
            (open == 0).then_some(rested)
        };
        match side {
            Participant::Team(team) => Some(self.rested[team.index()]),
            Participant::Winner(number) | Participant::Loser(number) => over(number),
            Participant::Place { pool, .. } => {
                let (open, rested) = self.pools[usize::from(pool)];
                (open == 0).then_some(rested)
            }
        }
    }

    /// Earliest start of an open game on any court free at `free`.
    fn earliest(&self, game: &OpenGame, free: u32) -> Option<u32> {
        let meeting = &self.plan.meetings[game.meeting];
        let (open, rested) = self.meetings[game.meeting];
        // The games of a series are played in order.
        if open + game.of_series != length(meeting.length) + 1 {
            return None;
        }
        let [a, b] = meeting.sides.map(|side| self.ready(side));
        Some(self.fit(a?.max(b?).max(rested).max(free)))
    }

    /// The next game to place, as place in the list and start.
    fn choose(&self, choice: Choice, free: u32) -> Option<(usize, u32)> {
        let soonest = self.fit(free);
        let mut best: Option<(usize, u32, u32)> = None;
        for (at, game) in self.open.iter().enumerate() {
            let Some(start) = self.earliest(game, free) else {
                continue;
            };
            let ahead = match choice {
                Choice::Order if start == soonest => return Some((at, start)),
                Choice::Order => 0,
                Choice::MostAhead => self.plan.meetings[game.meeting]
                    .sides
                    .iter()
                    .map(|side| match side {
                        Participant::Team(team) => self.ahead[team.index()],
                        _ => 1,
                    })
                    .sum(),
            };
            let better = best.is_none_or(|(_, s, a)| start < s || (start == s && ahead > a));
            if better {
                best = Some((at, start, ahead));
            }
        }
        best.map(|(at, start, _)| (at, start))
    }

    fn run(mut self, choice: Choice, policy: SeriesHome) -> Vec<ScheduledGame> {
        let mut placed = Vec::with_capacity(self.open.len());
        // A meeting only waits for earlier ones, so some game is always ready.
        while let Some(free) = self.courts.iter().copied().min() {
            let Some((at, start)) = self.choose(choice, free) else {
                break;
            };
            let game = self.open.remove(at);
            let court = self.courts.iter().position(|c| *c <= start).unwrap_or(0);
            placed.push(self.take(&game, court, start, policy));
        }
        placed.sort_by_key(|g| (g.start, g.court));
        for (at, game) in placed.iter_mut().enumerate() {
            game.number = at as u16 + 1;
        }
        placed
    }

    /// Puts a game on a court and notes who is busy until when.
    fn take(
        &mut self,
        game: &OpenGame,
        court: usize,
        start: u32,
        policy: SeriesHome,
    ) -> ScheduledGame {
        let meeting = &self.plan.meetings[game.meeting];
        let end = start + self.request.game;
        let rested = end + self.request.rest;
        self.courts[court] = end + self.request.turnaround;
        for side in meeting.sides {
            if let Participant::Team(team) = side {
                self.rested[team.index()] = rested;
                self.ahead[team.index()] -= 1;
            }
        }
        let (open, until) = &mut self.meetings[game.meeting];
        (*open, *until) = (*open - 1, rested);
        if let Stage::Pool(pool) = meeting.stage {
            let (open, until) = &mut self.pools[usize::from(pool)];
            (*open, *until) = (*open - 1, rested.max(*until));
        }
        let home = match meeting.stage {
            Stage::RoundRobin | Stage::Pool(_) => Home::First,
            _ => home_in(policy, game.of_series),
        };
        let [first, second] = meeting.sides;
        let (guest, home_side) = match home {
            Home::Second => (first, second),
            Home::First | Home::Toss => (second, first),
        };
        ScheduledGame {
            number: 0,
            meeting: meeting.number,
            of_series: game.of_series,
            if_needed: game.of_series == 3,
            guest,
            home: home_side,
            toss: home == Home::Toss,
            court: court as u16,
            start: Clock(start),
            end: Clock(end),
        }
    }
}

/// Who is home in a game of a meeting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Home {
    First,
    Second,
    Toss,
}

/// The policy applied to the games of a knock-out meeting or series, from 1.
fn home_in(policy: SeriesHome, of_series: u8) -> Home {
    match (policy, of_series) {
        (SeriesHome::TossEach, _) | (SeriesHome::SwapThenToss, 3..) => Home::Toss,
        (SeriesHome::SwapThenToss, 2) => Home::Second,
        (SeriesHome::SwapThenToss | SeriesHome::Fixed, _) => Home::First,
    }
}
