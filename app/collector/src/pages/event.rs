//! An event: games going on, tables with their steps, schedule, leaders.

use engine::charter::{Charter, Scheduled};
use engine::competition::bracket::GameState;
use engine::competition::schedule::Clock;
use engine::report::GameReport;
use engine::report::publish::shown;

use super::html::Page;
use crate::standings::View;

pub(super) fn page(view: &View, name: &str) -> Page {
    let event = view.event.to_string();
    let mut page = Page::new(name, Some(&event), super::FROM_EVENT);
    page.raw("<header><h1>");
    page.text(name);
    page.raw("</h1>");
    if let Some(charter) = view.charter() {
        page.tag("p", &format!("{}, {}", charter.place, charter.date));
    }
    page.raw("</header>");
    boards(&mut page, view, &event);
    podium(&mut page, view);
    tables(&mut page, view);
    schedule(&mut page, view, &event);
    other_games(&mut page, view, &event);
    leaders(&mut page, view);
    problems(&mut page, view);
    downloads(&mut page, view, &event);
    page
}

fn link(page: &mut Page, event: &str, game: &GameReport, text: &str) {
    page.raw("<a href=\"");
    page.path(&format!("results/{event}/games/{}", game.game));
    page.raw("\">");
    page.text(text);
    page.raw("</a>");
}

/// The games going on, largest on the page.
fn boards(page: &mut Page, view: &View, event: &str) {
    let live = view.games.iter().filter(|g| g.is_going_on() && !g.practice);
    let mut live = live.peekable();
    if live.peek().is_none() {
        return;
    }
    page.raw("<section aria-label=\"Being played\"><h2>Being played</h2><div class=boards>");
    for game in live {
        page.raw("<article class=board data-game=\"");
        page.text(&game.game.to_string());
        page.raw("\"><h3>");
        let title = game
            .court
            .as_deref()
            .or(game.title.as_deref())
            .unwrap_or("Game");
        link(page, event, game, title);
        page.raw("</h3><p class=score><span>");
        page.text(&game.teams.guest);
        page.raw(" <b data-runs=0>");
        page.text(&game.score.guest.to_string());
        page.raw("</b></span> <span>");
        page.text(&game.teams.home);
        page.raw(" <b data-runs=1>");
        page.text(&game.score.home.to_string());
        page.raw("</b></span></p><p data-where>");
        page.text(&place(game));
        page.raw("</p></article>");
    }
    page.raw("</div></section>");
}

fn place(game: &GameReport) -> String {
    match game.ending {
        Some(ending) => ending.to_string(),
        None => format!("{}, {} out", game.inning, game.outs),
    }
}

fn podium(page: &mut Page, view: &View) {
    let Some((schedule, results)) = view
        .report
        .as_ref()
        .and_then(|r| Some((r.schedule()?, r.results()?)))
    else {
        return;
    };
    let podium = results.podium();
    if podium[0].is_none() {
        return;
    }
    page.raw("<section class=podium aria-label=\"First places\"><h2>First places</h2><ol>");
    for team in podium.into_iter().flatten() {
        page.tag("li", schedule.entrants().name(team));
    }
    page.raw("</ol></section>");
}

fn tables(page: &mut Page, view: &View) {
    let Some((schedule, results)) = view
        .report
        .as_ref()
        .and_then(|r| Some((r.schedule()?, r.results()?)))
    else {
        return;
    };
    let entrants = schedule.entrants();
    for stage in results.tables() {
        page.raw("<section>");
        let title = stage.stage.to_string();
        page.tag("h2", &title);
        let state = if stage.complete { "complete" } else { "so far" };
        page.head(
            &format!("{title}, {state}"),
            &["Place", "Team", "Won", "Lost", "Runs", "Allowed"],
        );
        for row in stage.table.rows() {
            let place = format!("{}{}", row.place, if row.shared { "=" } else { "" });
            page.row(&[
                place,
                entrants.name(row.team).to_owned(),
                row.record.wins.to_string(),
                row.record.losses.to_string(),
                row.scored.to_string(),
                row.allowed.to_string(),
            ]);
        }
        page.foot();
        page.raw("<details><summary>How this order came about</summary><ol>");
        for step in stage.table.words(entrants) {
            page.tag("li", &step);
        }
        page.raw("</ol></details></section>");
    }
}

fn time(charter: &Charter, fixture: &Scheduled) -> String {
    let clock = charter.clock(fixture);
    clock.map_or_else(
        || Clock(u32::try_from(fixture.starts / 60_000 % 1440).unwrap_or(0)).to_string(),
        |c| c.to_string(),
    )
}

fn schedule(page: &mut Page, view: &View, event: &str) {
    let Some(charter) = view.charter().filter(|c| !c.fixtures.is_empty()) else {
        return;
    };
    let arranged = view
        .report
        .as_ref()
        .and_then(|r| Some((r.schedule()?, r.results()?.progress())));
    page.raw("<section><h2>Games</h2>");
    page.head(
        "Schedule and results",
        &[
            "Game", "Time", "Court", "What", "Guests", "Home", "Score", "State",
        ],
    );
    for fixture in &charter.fixtures {
        let number = fixture.number;
        let found = arranged.and_then(|(schedule, progress)| {
            let at = usize::try_from(number).ok()?.checked_sub(1)?;
            let game = schedule.games().get(at)?;
            let sides = [game.guest, game.home].map(|s| progress.side_name(schedule, s));
            Some((sides, *progress.games().get(at)?))
        });
        let report = view.of_fixture(number);
        let kept = view
            .report
            .as_ref()
            .map_or(0, |r| r.undecided(number).len());
        let open = |side: &Option<String>| side.clone().unwrap_or_else(|| "open".into());
        let planned = found.as_ref().map_or_else(
            || [open(&fixture.guest), open(&fixture.home)],
            |(sides, _)| sides.clone(),
        );
        // Who was home in the end is what the log says.
        let [guest, home] =
            report.map_or(planned, |r| [r.teams.guest.clone(), r.teams.home.clone()]);
        let state = match (report, found.map(|(_, s)| s)) {
            (Some(report), _) => report.verdict.to_string(),
            (None, _) if kept > 1 => format!("kept as {kept} games, to be decided"),
            (None, Some(GameState::NotNeeded)) => "not needed".into(),
            (None, Some(GameState::NotPlayed)) => "not played".into(),
            (None, Some(GameState::Waiting)) => "waits for earlier games".into(),
            (None, _) => "to come".into(),
        };
        page.raw("<tr><th scope=row>");
        match report {
            Some(report) => link(page, event, report, &number.to_string()),
            None => page.text(&number.to_string()),
        }
        page.raw("</th>");
        let played = report.filter(|r| !r.will_not_be_played());
        let score = played.map_or(String::new(), |r| {
            format!("{}-{}", r.score.guest, r.score.home)
        });
        for cell in [
            time(charter, fixture),
            fixture.court.clone(),
            fixture.title.clone(),
            guest,
            home,
            score,
        ] {
            page.tag("td", &cell);
        }
        let class = match report {
            Some(report) if report.needs_attention() => "td class=odd",
            None if kept > 1 => "td class=odd",
            _ => "td",
        };
        page.tag(class, &state);
        page.raw("</tr>");
    }
    page.foot();
    page.raw("</section>");
}

/// Games that stand for no fixture, or not for theirs.
fn other_games(page: &mut Page, view: &View, event: &str) {
    let counts = |g: &GameReport| {
        let counting = g.fixture.and_then(|n| view.of_fixture(n));
        counting.is_some_and(|c| c.game == g.game)
    };
    let mut others = view.games.iter().filter(|g| !counts(g)).peekable();
    if others.peek().is_none() {
        return;
    }
    page.raw("<section><h2>Other games</h2>");
    page.head(
        "Games outside the schedule",
        &["Game", "Guests", "Home", "Score", "State"],
    );
    for game in others {
        page.raw("<tr><th scope=row>");
        link(page, event, game, game.title.as_deref().unwrap_or("Game"));
        page.raw("</th>");
        let score = format!("{}-{}", game.score.guest, game.score.home);
        let state = match (game.practice, game.counts()) {
            (true, _) => format!("practice, {}", game.verdict),
            (false, true) => game.verdict.to_string(),
            (false, false) => format!("does not count, {}", game.verdict),
        };
        for cell in [&game.teams.guest, &game.teams.home, &score, &state] {
            page.tag("td", cell);
        }
        page.raw("</tr>");
    }
    page.foot();
    page.raw("</section>");
}

/// More players than this on one place are counted, not named.
const TOGETHER: usize = 8;

fn leaders(page: &mut Page, view: &View) {
    let Some(schedule) = view.report.as_ref().and_then(|r| r.schedule()) else {
        return;
    };
    let lists: Vec<_> = view
        .published(|p| p.leaders())
        .into_iter()
        .filter(|(_, l)| !l.is_empty())
        .collect();
    if lists.is_empty() {
        return;
    }
    page.raw("<section><h2>Leaders</h2><div class=lists>");
    let least = view.published(|p| p.minimums());
    for (category, list) in lists {
        let needs = least.sentence(category);
        let needs = needs.map(|n| format!(". {n}")).unwrap_or_default();
        let title = format!("{category}{needs}");
        page.head(&title, &["Place", "Player", "Team", "Value"]);
        for equals in list.chunk_by(|a, b| a.place == b.place) {
            // Half the event with an average of 1.000 is a number, not a list.
            if let ([first, ..], true) = (equals, equals.len() > TOGETHER) {
                let many = format!("{} players", equals.len());
                let value = first.value.to_string();
                page.row(&[first.place_text(), many, String::new(), value]);
                continue;
            }
            for leader in equals {
                let team = schedule.entrants().name(leader.team);
                page.row(&[
                    leader.place_text(),
                    shown(view.charter(), team, leader.shirt),
                    team.to_owned(),
                    leader.value.to_string(),
                ]);
            }
        }
        page.foot();
    }
    page.raw("</div></section>");
}

fn problems(page: &mut Page, view: &View) {
    let problems = view
        .report
        .as_ref()
        .map(|r| r.problems())
        .unwrap_or_default();
    if problems.is_empty() {
        return;
    }
    page.raw("<section class=odd><h2>To be looked at</h2><ul>");
    for problem in problems {
        page.tag("li", problem);
    }
    page.raw("</ul></section>");
}

fn downloads(page: &mut Page, view: &View, event: &str) {
    page.raw("<footer><p>For other programs: ");
    let files = view.published(|p| p.names());
    for (at, file) in files.iter().enumerate() {
        page.raw(if at == 0 {
            "<a href=\""
        } else {
            ", <a href=\""
        });
        page.path(&format!("api/events/{event}/{file}"));
        page.raw("\">");
        page.text(file);
        page.raw("</a>");
    }
    page.raw("</p></footer>");
}
