#![allow(clippy::unwrap_used, missing_docs)]
use super::*;
use crate::competition::Entrant;
use crate::competition::bracket::GameOutcome;
use crate::competition::leaders::{Leader, LeaderValue};
use crate::competition::schedule::{Clock, Format, Request, Window};
use crate::competition::standings::{GameResult, Standing, TableRules};
use crate::rules::Edition;
use crate::team::{Shirt, Side};
use alloc::vec;
use proptest::prelude::*;

/// A reader written from RFC 4180 section 2 alone.
fn read(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut field) = (vec![], vec![], String::new());
    let mut chars = text.chars().peekable();
    let mut quoted = false;
    while let Some(c) = chars.next() {
        match (quoted, c) {
            (true, '"') if chars.peek() == Some(&'"') => field.extend(chars.next()),
            (_, '"') => quoted = !quoted,
            (false, ',') => row.push(core::mem::take(&mut field)),
            (false, '\r') => {
                assert_eq!(chars.next(), Some('\n'));
                row.push(core::mem::take(&mut field));
                rows.push(core::mem::take(&mut row));
            }
            (_, c) => field.push(c),
        }
    }
    assert!(row.is_empty() && field.is_empty(), "the last line ends");
    rows
}

#[test]
fn standings_and_leaders_read_as_documented() {
    let names = ["=Quay", "Tram, \"Yard\""].map(String::from);
    let e = Entrants::new(&names).unwrap();
    let games = [GameResult {
        number: 1,
        guest: Entrant::at(0),
        home: Entrant::at(1),
        standing: Standing::Forfeit(Side::Guest),
        rules: TableRules::of(&Edition::federation()),
    }];
    let all: Vec<_> = e.iter().collect();
    let table = Table::of(&e, &all, &games, &[]).unwrap();
    assert_eq!(
        standings(&table, &e),
        "place,shared,team,games,wins,losses,ties,average,runs_scored,runs_allowed,difference\r\n\
         1,no,\"Tram, \"\"Yard\"\"\",1,1,0,0,1.000,5,0,5\r\n\
         2,no,'=Quay,1,0,1,0,0.000,0,5,-5\r\n"
    );
    let leader = Leader {
        place: 1,
        shared: true,
        team: Entrant::at(0),
        shirt: Shirt::new(12).unwrap(),
        value: LeaderValue::Average(crate::competition::Fraction::of(1, 3).unwrap()),
    };
    assert_eq!(
        leaders(&[(Category::BattingAverage, vec![leader])], &e),
        "category,place,shared,team,number,value\r\nbatting average,1,yes,'=Quay,12,0.333\r\n"
    );
}

#[test]
fn a_schedule_reads_as_documented() {
    let request = Request {
        teams: ["-Quay", "Tram"].map(String::from).to_vec(),
        format: Format::Series,
        courts: vec!["@slip".into()],
        windows: vec![Window {
            opens: Clock(1_410),
            closes: Clock(2_000),
        }],
        game: 40,
        turnaround: 0,
        rest: 25,
    };
    let s = Schedule::arrange(&request, &Edition::federation()).unwrap();
    let outcomes = [1, 2].map(|game| GameOutcome {
        game,
        winner: Entrant::at(0),
    });
    let progress = Progress::of(&s, &[], &outcomes).unwrap();
    assert_eq!(
        schedule(&s, Some(&progress)),
        "game,stage,round,meeting,of_series,if_needed,day,start,end,court,guest,home,toss,\
         state,winner\r\n\
         1,Series,1,1,1,no,1,23:30,00:10,'@slip,Tram,'-Quay,no,won,'-Quay\r\n\
         2,Series,1,1,2,no,2,00:35,01:15,'@slip,'-Quay,Tram,no,won,'-Quay\r\n\
         3,Series,1,1,3,yes,2,01:40,02:20,'@slip,Tram,'-Quay,yes,not needed,\r\n"
    );
    let plain = read(&schedule(&s, None));
    assert_eq!(plain[1][13..], ["", ""]);
}

proptest! {
    #[test]
    fn any_text_reads_back_and_never_begins_a_formula(
        cells in prop::collection::vec("(?s)[=+@\\-\t\r\n\",; a\u{ff1d}\\PC]{0,12}", 1..5),
    ) {
        let guarded: Vec<String> = cells.iter().map(|c| guarded(c)).collect();
        let mut out = String::new();
        push_record(&mut out, &guarded);
        prop_assert_eq!(read(&out), vec![guarded.clone()]);
        for (cell, guarded) in cells.iter().zip(&guarded) {
            prop_assert!(!guarded.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']));
            prop_assert_eq!(guarded.strip_prefix('\'').filter(|_| guarded != cell).unwrap_or(guarded), cell);
        }
    }
}
