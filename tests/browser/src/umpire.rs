//! An umpire with the phone in hand: enters line-up cards and calls plays by touching what the screen
//! offers, and holds what the screen then shows against the engine's own answer.

use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail, ensure};
use engine::game::{Change, Game, Stage};
use engine::play::{
    Advance, Base, BatterFate, BeforeFirst, Call, Continuation, FurtherBase, Goal, IllegalAct,
    PutOut, Reach, RunnerFate,
};
use engine::team::{Shirt, Side};

use crate::{Found, Named, Phone, is, starts, with};

/// A team as its card is handed over: name, five hitters in order, reserves.
#[derive(Clone, Copy, Debug)]
pub struct CardInHand<'a> {
    /// The team.
    pub team: &'a str,
    /// Shirt numbers of the five, in batting order.
    pub hitters: [u8; 5],
    /// Shirt numbers of the reserves.
    pub reserves: [u8; 3],
}

/// Guests of the tests' own event.
pub const QUAY_STREET: CardInHand<'static> = CardInHand {
    team: "Quay Street",
    hitters: [21, 22, 23, 24, 25],
    reserves: [26, 27, 28],
};
/// Their hosts.
pub const TRAM_YARD: CardInHand<'static> = CardInHand {
    team: "Tram Yard",
    hitters: [11, 12, 13, 14, 15],
    reserves: [16, 17, 18],
};

/// The sheet's words for what followed when a base was reached.
fn then_words(then: Continuation) -> String {
    match then {
        Continuation::Base(further) => format!("{} {}", further.to, further.on.choice()),
        Continuation::Out(out) => match out.how {
            PutOut::Tagged | PutOut::Missed => format!("{} at {}", out.how.choice(), out.at),
            how => how.choice().to_owned(),
        },
    }
}

fn safe_name(at: Goal) -> String {
    match at {
        Goal::Home => "safe home".to_owned(),
        Goal::First => format!("safe {at}"),
        Goal::Second | Goal::Third => format!("safe at {at}"),
    }
}

impl Phone {
    /// From the screen of a new game to the line-up cards of two teams.
    ///
    /// # Errors
    /// When a step is not offered.
    pub async fn name_teams(&self, one: &str, other: &str) -> Result<()> {
        self.fill("textbox", &is("One team"), one).await?;
        self.fill("textbox", &is("The other team"), other).await?;
        self.tap("button", &is("Line-up cards")).await
    }

    /// From the first screen to the first pitch: the two teams, their cards, who is home as agreed.
    ///
    /// # Errors
    /// When a step is not offered.
    pub async fn new_game(&self, guest: &CardInHand<'_>, home: &CardInHand<'_>) -> Result<()> {
        self.tap("link", &is("New game")).await?;
        self.name_teams(guest.team, home.team).await?;
        self.card(guest).await?;
        self.tap("button", &is("Next card")).await?;
        self.card(home).await?;
        self.tap("button", &is("Toss for home")).await?;
        self.tap_in(&is("Who is home"), "button", &starts(home.team))
            .await?;
        self.tap("button", &is("Play ball")).await?;
        self.see_in(&is("Record"), "button", &starts("Record"))
            .await?;
        Ok(())
    }

    /// Enters the numbers of one card on the pad of the screen.
    ///
    /// # Errors
    /// When the card or the pad is not there.
    pub async fn card(&self, card: &CardInHand<'_>) -> Result<()> {
        self.see("textbox", &is("number of hitter 1")).await?;
        let last = card.reserves.last();
        for number in card.hitters.iter().chain(&card.reserves) {
            for digit in number.to_string().chars() {
                self.tap_in(&is("Number pad"), "button", &is(digit)).await?;
            }
            // Of two digits the pad knows by itself that they are all.
            // After the last number "next" leads to the next card.
            if *number < 10 && Some(number) != last {
                self.tap_in(&is("Number pad"), "button", &is("Next"))
                    .await?;
            }
        }
        Ok(())
    }

    /// The words of the score at the top, in one line.
    ///
    /// # Errors
    /// When there is none.
    pub async fn score_line(&self) -> Result<String> {
        let text = self
            .evaluate("document.querySelector('header')?.innerText ?? ''")
            .await?;
        Ok(words(text.as_str().unwrap_or_default()))
    }

    /// Whether the screen shows this state of the game now: score, inning, outs, who is due, who is on
    /// base. Gives what differs.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn differs_from(&self, game: &Game) -> Result<Option<String>> {
        let line = self.score_line().await?;
        let over = game.ending().is_some();
        for side in Side::BOTH {
            let team = game.fixture().lineups()[side].team();
            let runs = game.score()[side].to_string();
            let after = line.split(team).nth(1).unwrap_or_default();
            let shown: String = after
                .trim_start_matches(|letter: char| !letter.is_ascii_digit())
                .chars()
                .take_while(char::is_ascii_digit)
                .collect();
            if shown != runs {
                return Ok(Some(format!("{team} should have {runs}: {line}")));
            }
        }
        if over {
            return Ok((!line.contains("Over")).then(|| format!("should be over: {line}")));
        }
        let half = if game.at_bat() == Side::Guest {
            "Top"
        } else {
            "Bottom"
        };
        let inning = format!("{half} of {}", engine::play::ordinal(game.inning()));
        let outs = match game.outs() {
            0 => "no outs".to_owned(),
            1 => "1 out".to_owned(),
            n => format!("{n} outs"),
        };
        for wanted in [inning, outs] {
            if !line.contains(&wanted) {
                return Ok(Some(format!("should say {wanted}: {line}")));
            }
        }
        let text = words(&self.text().await?);
        let due = format!("At bat {}", game.due());
        if !text.contains(&due) {
            return Ok(Some(format!("should say {due}: {text}")));
        }
        let things = self.everything().await?;
        let lanes: Vec<&str> = things
            .iter()
            .filter(|one| one.role == "group")
            .map(|one| one.name.as_str())
            .filter(|name| name.contains(" on ") || name.ends_with(" at bat"))
            .collect();
        // Between two halves the lanes give way to the change of sides.
        if lanes.is_empty() {
            return Ok(None);
        }
        let on_base = Base::ALL
            .into_iter()
            .rev()
            .filter_map(|base| Some(format!("{} on {base}", game.bases()[base]?.shirt)));
        let wanted: Vec<String> = on_base.chain([format!("{} at bat", game.due())]).collect();
        Ok((lanes != wanted).then(|| format!("lanes should be {wanted:?}, are {lanes:?}")))
    }

    /// Waits until the screen shows this state of the game.
    ///
    /// # Errors
    /// When it does not; the message says what differs.
    pub async fn shows(&self, game: &Game) -> Result<()> {
        let from = Instant::now();
        while let Some(why) = self.differs_from(game).await? {
            if from.elapsed() > Duration::from_secs(10) {
                bail!("{why}\nthe screen says:\n{}", self.text().await?);
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        Ok(())
    }

    /// Goes past a change of sides or a question who runs, where the screen asks, and gives the game
    /// as it is then.
    ///
    /// # Errors
    /// When the screen offers no way.
    pub async fn ready(&self, game: Game) -> Result<Game> {
        if game.needs_courtesy_runner() {
            let who = game
                .courtesy_runners()
                .first()
                .copied()
                .context("nobody may run")?;
            self.tap("button", &starts(who.to_string())).await?;
            let notice = engine::game::Notice::CourtesyRunner { by: who };
            let game = game
                .note(&notice)
                .map_err(|refused| anyhow::anyhow!("{}", refused.objection))?;
            self.shows(&game).await?;
            return Ok(game);
        }
        if self.sees("button", &is("second scorer not here")).await? {
            self.tap("button", &is("second scorer not here")).await?;
            self.see_in(&is("Record"), "button", &starts("Record"))
                .await?;
        }
        Ok(game)
    }

    /// Puts the demo day on the phone. Its games come all at once: as long as it is made, nothing moves.
    ///
    /// # Errors
    /// When they do not come, or a few only.
    pub async fn demo_day(&self) -> Result<()> {
        let rows = "document.querySelectorAll('main li a').length";
        let whole = "[...document.querySelectorAll('button')] \
            .some(button => button.innerText.startsWith('Remove the demo day'))";
        self.tap("button", &starts("Show a demo day")).await?;
        let from = Instant::now();
        loop {
            let seen = self.evaluate(&format!("[{rows}, {whole}]")).await?;
            if seen[1] == true {
                break;
            }
            ensure!(
                seen[0] == 0,
                "some games are there before the others: {seen}"
            );
            ensure!(
                from.elapsed() < Duration::from_secs(60),
                "no demo day comes"
            );
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        self.until(&format!("{rows} >= 4")).await?;
        Ok(())
    }

    /// Calls a play and waits until the screen shows what the engine says it did. Gives the game after
    /// it and the touches it took, those for the change of sides not counted.
    ///
    /// # Errors
    /// When a touch is not offered, or the screen shows something else.
    pub async fn call(&self, game: Game, call: &Call) -> Result<(Game, usize)> {
        let before = self.taps();
        self.enter(&game, call).await?;
        self.record_call(call).await?;
        let taps = self.taps() - before;
        let played = match game.apply(call) {
            Ok(played) => played,
            Err(refused) => bail!("the test's own call is refused: {}", refused.objection),
        };
        self.shows(&played.game)
            .await
            .with_context(|| format!("after {call:?}"))?;
        if played.outcome.change == Change::Sides {
            self.see("button", &is("second scorer not here")).await?;
        }
        let next = match played.game.stage() {
            Stage::Playing => self.ready(played.game).await?,
            _ => played.game,
        };
        Ok((next, taps))
    }

    /// Touches the one large button that records.
    ///
    /// # Errors
    /// When it is not there or the call does not fit.
    pub async fn record(&self) -> Result<()> {
        self.tap_in(&is("Record"), "button", &starts("Record"))
            .await
    }

    /// Records a call that was entered: with the answer to the question of the third out, where the call
    /// has one.
    ///
    /// # Errors
    /// When the button or the answer is not there.
    pub async fn record_call(&self, call: &Call) -> Result<()> {
        let Some(runs) = call.home_first else {
            return self.record().await;
        };
        let answers = self.all_in(&is("Third out"), "button").await?;
        // The answers with runs come first, from one run up; the one without comes last.
        let at = match usize::from(runs) {
            0 => answers.len().checked_sub(1),
            runs => Some(runs - 1),
        };
        let answer = at
            .and_then(|at| answers.get(at))
            .context("the question has no such answer")?;
        self.touch(answer).await
    }

    /// Touches what a call needs before it is recorded.
    ///
    /// # Errors
    /// When something is not offered.
    pub async fn enter(&self, game: &Game, call: &Call) -> Result<()> {
        if let Some(hitter) = call.hitter {
            self.tap("button", &is("More")).await?;
            self.tap("button", &is("Hit out of turn")).await?;
            self.tap_sheet(&starts(hitter.to_string())).await?;
        }
        let hitter = call.hitter.unwrap_or_else(|| game.due());
        self.enter_batter(hitter, &call.batter).await?;
        // Outs first: an out changes what the others do by default.
        for out in [true, false] {
            for base in Base::LEAD_FIRST {
                let (Some(runner), Some(fate)) = (game.bases()[base], call.runners()[base]) else {
                    continue;
                };
                if fate.is_out() == out {
                    self.enter_runner(runner.shirt, base, &fate).await?;
                }
            }
        }
        Ok(())
    }

    async fn all_in(&self, group: &Named, role: &str) -> Result<Vec<Found>> {
        let mut all = self.all(role, &starts("")).await?;
        all.retain(|one| one.inside.iter().any(|around| group.fits(around)));
        Ok(all)
    }

    async fn enter_batter(&self, due: Shirt, fate: &BatterFate) -> Result<()> {
        let lane = is(format!("{due} at bat"));
        match *fate {
            BatterFate::OutBeforeFirst(how) => {
                self.tap_in(&lane, "button", &is("out before 1st")).await?;
                let said = match how {
                    BeforeFirst::Base => return Ok(()),
                    BeforeFirst::Tagged => "tagged before 1st",
                    BeforeFirst::Interference => "in the way of the play",
                    BeforeFirst::Collision => "avoidable collision",
                    BeforeFirst::Other => "another ruling",
                };
                self.tap_why(&lane, said).await
            }
            BatterFate::NoHit => self.tap_why(&lane, "no hit: the umpire stopped play").await,
            BatterFate::Caught => self.tap_in(&lane, "button", &is("caught")).await,
            BatterFate::Illegal(act) => {
                self.tap_in(&lane, "button", &is("illegal hit")).await?;
                // The commonest reason stands already.
                if act == IllegalAct::NoHitZone {
                    return Ok(());
                }
                self.tap_why(&lane, act.sentence()).await
            }
            BatterFate::Safe { at, on, then } => {
                let button = self.see_in(&lane, "button", &starts(safe_name(at))).await?;
                if !button.on {
                    self.touch(&button).await?;
                }
                match on {
                    Reach::Hit => {}
                    Reach::Error => {
                        self.tap_in(&lane, "button", &is("safe on error")).await?;
                    }
                    Reach::Choice => self.tap_why(&lane, "fielder's choice").await?,
                    Reach::Award => self.tap_why(&lane, "given by the umpire").await?,
                }
                let next = Continuation::Base(FurtherBase {
                    to: at.next(),
                    on: Advance::Error,
                });
                match then {
                    None => Ok(()),
                    Some(then) if then == next => {
                        self.tap_in(&lane, "button", &starts("+1 on error")).await
                    }
                    Some(then) => self.tap_why(&lane, &then_words(then)).await,
                }
            }
        }
    }

    /// Says why on the sheet that the person's own button raises.
    async fn tap_why(&self, lane: &Named, words: &str) -> Result<()> {
        self.tap_in(lane, "button", &with(", how?")).await?;
        self.tap_sheet(&is(words)).await
    }

    /// Whether the person's own button says so already.
    async fn stands(&self, lane: &Named, words: &str) -> Result<bool> {
        let button = self.see_in(lane, "button", &with(", how?")).await?;
        Ok(button.name.starts_with(&format!("{words}, how?")))
    }

    async fn enter_runner(&self, who: Shirt, base: Base, fate: &RunnerFate) -> Result<()> {
        let lane = is(format!("{who} on {base}"));
        match *fate {
            RunnerFate::Holds => {
                let button = self.see_in(&lane, "button", &is("stays")).await?;
                if button.on {
                    Ok(())
                } else {
                    self.touch(&button).await
                }
            }
            RunnerFate::To { goal, on, then } => {
                let button = self.see_in(&lane, "button", &is(goal.to_string())).await?;
                if !button.on {
                    self.touch(&button).await?;
                }
                let said = on.choice();
                if on != Advance::Hit && !self.stands(&lane, &format!("to {goal} {said}")).await? {
                    self.tap_why(&lane, said).await?;
                }
                match then {
                    None => Ok(()),
                    // The lane stands on the base reached; the sheet has what came after.
                    Some(then) => self.tap_why(&lane, &then_words(then)).await,
                }
            }
            RunnerFate::Out { at: Some(at), how } => {
                let said = format!("{} at {at}", how.choice());
                self.enter_out(&lane, &said).await
            }
            RunnerFate::Out { at: None, how } => self.enter_out(&lane, how.choice()).await,
        }
    }

    /// An out of a runner: the likeliest way is one touch, any other is on the sheet.
    async fn enter_out(&self, lane: &Named, said: &str) -> Result<()> {
        let button = self.see_in(lane, "button", &is("out")).await?;
        if !button.on {
            self.touch(&button).await?;
        }
        if self.stands(lane, said).await? {
            return Ok(());
        }
        self.tap_why(lane, said).await
    }

    /// Touches a button of the sheet that has risen.
    async fn tap_sheet(&self, name: &Named) -> Result<()> {
        let from = Instant::now();
        loop {
            let found = self.all("button", name).await?;
            if let Some(button) = found.iter().find(|one| !one.inside.is_empty()) {
                return self.touch(button).await;
            }
            if from.elapsed() > Duration::from_secs(5) {
                bail!(
                    "the sheet has no button {name}; the screen says:\n{}",
                    self.text().await?
                );
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }
}

/// Words with one space between them.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
