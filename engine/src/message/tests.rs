//! The texts that are made when the engine is compiled, against those that
//! fluent-bundle, a reference implementation of Fluent 1.0, makes of the same
//! catalogue.
#![allow(clippy::unwrap_used)]

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec;
use alloc::vec::Vec;
use core::fmt::Display;

use fluent_bundle::{FluentArgs, FluentBundle, FluentResource};

use super::{Argument, Localized, Message};
use crate::charter::{CharterObjection, SupersedeError};
use crate::competition::schedule::{ScheduleProblem, Stage};
use crate::court::care::HoldState;
use crate::court::{Closing, Court, LineSide, Shape, SpaceObjection, Units, set_out};
use crate::crosscheck::{Reason, Status, Verdict};
use crate::game::WarningRecipient;
use crate::game::tests::shirt;
use crate::game::{Ending, FixtureObjection, Notice, NoticeObjection, PlayObjection, Stoppage};
use crate::log::{ChainError, ControlCharacter, EntryError, RecordError, RecordObjection};
use crate::log::{Field, SetupObjection, TooLarge};
use crate::message::{isolated, pairing, score};
use crate::play::{
    Advance, Base, BatterFate, BeforeFirst, Call, Goal, IllegalAct, PutOut, Scoring,
};
use crate::play::{Continuation, FurtherBase, Reach};
use crate::rules::{Edition, HandRaise, Length, SettingError};
use crate::team::{BySide, CardObjection, Position, Side, SubObjection};

const ENGLISH: &str = include_str!("../../locales/en.ftl");

type Bundle = FluentBundle<FluentResource>;

fn bundle(catalogue: &str) -> Bundle {
    let resource = FluentResource::try_new(catalogue.into()).map_err(|(_, e)| e);
    let mut bundle = FluentBundle::default();
    bundle.set_use_isolating(false);
    bundle.add_resource(resource.unwrap()).unwrap();
    bundle
}

/// What a program in another language does with a message.
fn say(bundle: &Bundle, message: &Message) -> String {
    let mut given = FluentArgs::new();
    for (name, argument) in &message.arguments {
        match argument {
            Argument::Number(n) => given.set(*name, *n),
            Argument::Text(text) => given.set(*name, text.as_str()),
            Argument::Message(inner) => given.set(*name, say(bundle, inner)),
            Argument::Messages(all) => {
                let all: Vec<_> = all.iter().map(|one| say(bundle, one)).collect();
                given.set(*name, all.join(" "));
            }
        }
    }
    let found = bundle.get_message(message.key).unwrap();
    let mut wrong = vec![];
    let pattern = match message.attribute {
        Some(name) => found.get_attribute(name).unwrap().value(),
        None => found.value().unwrap(),
    };
    let text = bundle.format_pattern(pattern, Some(&given), &mut wrong);
    assert!(wrong.is_empty(), "{}: {wrong:?}", message.key);
    text.into_owned()
}

/// The two texts, which must be one.
fn agree(bundle: &Bundle, said: &(impl Localized + Display)) {
    assert_eq!(say(bundle, &said.message()), said.to_string());
}

pub fn assert_says(message: &Message, text: &str) {
    std::thread_local! {
        static IN_ENGLISH: Bundle = bundle(ENGLISH);
    }
    IN_ENGLISH.with(|bundle| assert_eq!(say(bundle, message), text));
}

#[test]
fn english_is_what_fluent_makes_of_the_catalogue() {
    let bundle = bundle(ENGLISH);
    for n in 0..=3 {
        agree(&bundle, &RecordObjection::BattedIn { runs: n });
        agree(&bundle, &PlayObjection::RunsUnanswered { most: n });
        let fewer = ScheduleProblem::NotEnoughRoom {
            games: 9,
            room: usize::from(n),
            courts: (n > 1).then_some(usize::from(n)),
        };
        agree(&bundle, &fewer);
        let (expected, found) = (2, u32::from(n));
        agree(&bundle, &SupersedeError::Version { expected, found });
    }
    for side in Side::BOTH {
        let objection = CardObjection::NumberTwice(shirt(7));
        agree(&bundle, &CharterObjection::Card(side, objection.clone()));
        agree(&bundle, &FixtureObjection { side, objection });
        agree(&bundle, &NoticeObjection::ShortHanded(side));
    }
    let why = SubObjection::NotInPlay(shirt(99));
    let side = Side::Home;
    agree(&bundle, &NoticeObjection::Substitution { side, why });
    let (who, how) = (shirt(0), PutOut::Forced);
    agree(&bundle, &PlayObjection::HowDoesNotFit { who, how });
    agree(&bundle, &PlayObjection::NoRunner(Goal::Home));
    let (due, base) = (shirt(12), Base::Third);
    agree(&bundle, &PlayObjection::CourtesyRunnerNeeded { due, base });
    let (shape, extent) = (Shape::Obstacle(0), 10_000.4);
    agree(&bundle, &SpaceObjection::TooLarge { shape, extent });
    agree(&bundle, &ControlCharacter('\u{202e}'));
    agree(
        &bundle,
        &ChainError::Gap {
            expected: 3,
            found: 8,
        },
    );
    agree(&bundle, &ChainError::Full);
    let (field, given, most) = (Field::Note, 300, 280);
    let long = EntryError::TooLarge(TooLarge { field, given, most });
    agree(&bundle, &ChainError::Entry(long));
    let unknown = Edition::federation().with("nothing", "1");
    agree(&bundle, &unknown.unwrap_err());
    let (name, want) = ("innings", "a number");
    let given = "{ $five }".to_string();
    agree(&bundle, &SettingError::BadValue { name, given, want });
}

#[test]
fn a_court_is_set_out_in_the_words_of_the_catalogue() {
    let bundle = bundle(ENGLISH);
    for edition in [Edition::federation(), Edition::introductory()] {
        let court = Court::full(&edition, Length::from_mm(1_000));
        for units in [Units::Metric, Units::FeetInches] {
            for step in set_out(&court) {
                assert_says(&step.message(units), &step.text(units));
            }
        }
    }
    let (differ_cm, move_cm, towards) = (12, 6, LineSide::Left);
    let leans = Closing::Leans {
        differ_cm,
        move_cm,
        towards,
    };
    for closing in [leans, Closing::SidesWrong { side_cm: -4 }] {
        agree(&bundle, &closing);
    }
    let left_ms = 61_000;
    for hold in [HoldState::Clear, HoldState::Holding { left_ms }] {
        agree(&bundle, &hold);
    }
}

#[test]
fn words_are_what_fluent_makes_of_the_catalogue() {
    let bundle = bundle(ENGLISH);
    for places in [2, 4, 8, 16] {
        agree(&bundle, &Stage::Knockout { places });
    }
    agree(&bundle, &Stage::Pool(1));
    for why in Stoppage::ALL {
        agree(&bundle, &Ending::Suspended(why));
    }
    agree(&bundle, &Ending::Forfeit { by: Side::Guest });
    let word = |message: Message, name| say(&bundle, &message.attribute(name));
    for on in [Advance::Hit, Advance::Throw, Advance::Error, Advance::Award] {
        assert_eq!(word(on.message(), "clause"), on.clause());
        assert_eq!(word(on.message(), "word"), on.word());
        assert_eq!(word(on.message(), "choice"), on.choice());
    }
    for who in HandRaise::ALL {
        assert_eq!(word(who.message(), "meaning"), who.meaning());
    }
}

#[test]
fn several_objections_are_several_messages() {
    let one = |side| FixtureObjection {
        side,
        objection: CardObjection::NumberTwice(shirt(7)),
    };
    let all: Vec<_> = Side::BOTH
        .map(|side| SetupObjection::Card(one(side)))
        .into();
    let wrong = RecordError::Setup(crate::Problems::none(all).unwrap_err());
    agree(&bundle(ENGLISH), &wrong);
}

#[test]
fn another_language_is_a_catalogue_with_the_same_keys() {
    let german = "sub-objection-not-in-play = Nummer { $shirt } ist keine der fünf im Spiel.
record-objection-putouts =
    { $outs ->
        [one] Höchstens ein Aus hat dieser Spielzug.
       *[other] Höchstens { $outs } Aus hat dieser Spielzug.
    }
";
    let bundle = bundle(german);
    let why = SubObjection::NotInPlay(shirt(7)).message();
    assert_eq!(say(&bundle, &why), "Nummer 7 ist keine der fünf im Spiel.");
    let outs = |outs| say(&bundle, &RecordObjection::Putouts { outs }.message());
    assert_eq!(outs(1), "Höchstens ein Aus hat dieser Spielzug.");
    assert_eq!(outs(2), "Höchstens 2 Aus hat dieser Spielzug.");
}

#[test]
fn a_play_and_a_notice_are_what_fluent_makes_of_the_catalogue() {
    let bundle = bundle(ENGLISH);
    let names = BySide {
        guest: "Quay Street",
        home: "הנמל",
    };
    let mut rng = fastrand::Rng::with_seed(7);
    let (mut told, mut long) = (0, 0);
    for _ in 0..40 {
        let mut game = crate::game::tests::game(Edition::federation());
        while game.ending().is_none() {
            let objection = game.resolve(&Call::new(BatterFate::OUT)).err();
            if let Some(PlayObjection::CourtesyRunnerNeeded { .. }) = objection {
                let by = game.courtesy_runners()[0];
                let notice = Notice::CourtesyRunner { by };
                assert_eq!(
                    say(&bundle, &notice.message(&names)),
                    notice.sentence(&names)
                );
                game = game.note(&notice).unwrap();
                continue;
            }
            let mut call = Call::new(match rng.u8(..9) {
                0 => BatterFate::safe(Goal::First),
                1 => BatterFate::safe(Goal::Second),
                2 => BatterFate::OUT,
                3 => BatterFate::Caught,
                4 => BatterFate::Illegal(IllegalAct::Foul),
                5 => BatterFate::NoHit,
                7 => BatterFate::Safe {
                    at: Goal::First,
                    on: Reach::Hit,
                    then: Some(Continuation::Base(FurtherBase {
                        to: Goal::Second,
                        on: Advance::Error,
                    })),
                },
                6 => BatterFate::OutBeforeFirst(BeforeFirst::Collision),
                _ => BatterFate::safe(Goal::Home),
            });
            for base in Base::ALL {
                if game.bases()[base].is_some() {
                    let mut ways = game.ways_safe(&call, base);
                    ways.extend(game.ways_out(&call, base));
                    call.set_runner(base, rng.choice(ways).filter(|_| rng.bool()));
                }
            }
            call.home_first = game.question(&call).map(|_| 0);
            call.scoring = (rng.u8(..4) == 0).then(|| Scoring {
                errors: vec![Position::FirstBase; rng.usize(1..4)],
                ..Scoring::default()
            });
            let Ok(played) = game.clone().apply(&call) else {
                continue;
            };
            let said = played.outcome.messages();
            let said: Vec<String> = said.iter().map(|one| say(&bundle, one)).collect();
            assert_eq!(said, played.outcome.sentences());
            told += said.len();
            long += usize::from(said.iter().any(|one| one.contains(", then ")));
            game = played.game;
        }
    }
    assert!(told > 1000 && long > 10, "{told} {long}");
    let text = "too late".to_string();
    for side in Side::BOTH {
        for notice in [
            Notice::Warning {
                side,
                to: WarningRecipient::Player(shirt(7)),
                text: text.clone(),
            },
            Notice::Warning {
                side,
                to: WarningRecipient::Coach,
                text: String::new(),
            },
            Notice::GameCalled {
                why: Stoppage::ALL[0],
                text: text.clone(),
            },
            Notice::Ejection {
                side,
                who: shirt(7),
                by: Some(shirt(12)),
            },
            Notice::Remark { text: text.clone() },
        ] {
            assert_eq!(
                say(&bundle, &notice.message(&names)),
                notice.sentence(&names)
            );
        }
    }
}

#[test]
fn a_reason_is_what_fluent_makes_of_the_catalogue() {
    let ends = crate::crosscheck::Half {
        inning: 3,
        side: Side::Home,
    };
    let [one, other] = [1, 0].map(|guest| BySide { guest, home: 2 });
    let differs = |scores| Reason::Differs {
        whose: [0, 1],
        differences: vec![],
        scores,
    };
    let details = |plays, errors| Reason::Details {
        whose: [0, 1],
        plays,
        errors,
    };
    let (whose, note, wrong) = (1, "x".to_string(), "y".to_string());
    for reason in [
        Reason::NoRecord,
        Reason::Fork { whose },
        Reason::Rewritten { whose },
        Reason::OtherGame { whose },
        Reason::LeftOpen { whose, note },
        differs(true),
        differs(false),
        Reason::Misstated { whose, wrong },
        Reason::Conflicts { whose, plays: 2 },
        Reason::StillOn { whose },
        Reason::Old { whose, ends },
        Reason::NotSigned { whose },
        Reason::SignedEarly { whose },
        Reason::NotCoSigned { whose },
        details(1, [one, other]),
        details(3, [one, one]),
        Reason::Alone,
    ] {
        for notes in [false, true] {
            let who = |whose| format!("record {whose}");
            let (verdict, reasons) = (Verdict::Incomplete, vec![reason.clone()]);
            let status = Status { verdict, reasons };
            assert_says(&status.message(), &status.to_string());
            let messages = reason.messages(&who, notes);
            let sentences = reason.sentences(&who, notes);
            assert_eq!(messages.len(), sentences.len());
            for (message, sentence) in messages.iter().zip(&sentences) {
                assert_says(message, sentence);
            }
        }
    }
}

/// Every group of the catalogue is a type's or a module's: the macro finds what a type lacks
/// or does not say, but not a group that nobody reads.
#[test]
fn no_group_is_left_over() {
    let mut sources = String::new();
    let mut folders = vec![std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                sources += &std::fs::read_to_string(path).unwrap();
            }
        }
    }
    let mut groups = 0;
    for name in ENGLISH.lines().filter_map(|line| line.strip_prefix("## ")) {
        // As a type's own head, or as a policy's in `choices!`.
        let mut heads = [
            "enum {} {",
            "struct {} {",
            "struct {}(",
            "struct {};",
            "struct {}<",
            "enum {}<",
            "\n    {} {\n",
        ]
        .iter();
        let of_type = heads.any(|head| sources.contains(&head.replace("{}", name)));
        let module = format!("src/{}", name.replace("::", "/"));
        let module = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(module);
        let of_module = module.with_extension("rs").is_file() || module.join("mod.rs").is_file();
        assert!(of_type || of_module, "{name}");
        groups += 1;
    }
    assert!(groups > 30, "{groups}");
    let sources: String = sources.split_whitespace().collect();
    // Of a group with a text that is said where it stands, every text is.
    for group in ENGLISH.split("\n## ") {
        let lines = group.lines().skip(1);
        let keys = lines.filter_map(|line| line.split_once(" =")?.0.into());
        let keys: Vec<&str> = keys
            .filter(|key| key.starts_with(char::is_alphabetic))
            .collect();
        let is_said = |key: &&str| sources.contains(&format!("text!(\"{key}\""));
        let said = keys.iter().filter(|key| is_said(key)).count();
        assert!(said == 0 || said == keys.len(), "{keys:?}");
    }
}

/// As the Unicode bidirectional algorithm (UAX 9) puts it on a line of a page
/// in English, by the crate `unicode-bidi`: the score stays after its team and
/// the first named stays first, whichever way a name is written.
#[test]
fn a_name_from_the_right_moves_nothing_beside_it() {
    let seen = |text: &str| {
        let info = unicode_bidi::BidiInfo::new(text, Some(unicode_bidi::Level::ltr()));
        let line = info.paragraphs.first().unwrap();
        let marks = ['\u{2068}', '\u{2069}'];
        info.reorder_line(line, line.range.clone())
            .replace(marks, "")
    };
    let from_the_right = |name: &str| name.chars().rev().collect::<String>();
    let (harbour, old_town) = ("הנמל", "المدينة");
    let teams = |guest, home| BySide { guest, home };
    let runs = BySide { guest: 4, home: 2 };
    // What happens otherwise: the first team's runs stand before it.
    assert_eq!(seen("הנמל 4, המזח 2"), "2 חזמה ,4 למנה");
    for (guest, home) in [
        (harbour, old_town),
        (harbour, "Quay Street"),
        ("Quay Street", old_town),
    ] {
        let as_seen = |name: &str| match name.is_ascii() {
            true => name.to_string(),
            false => from_the_right(name),
        };
        let (first, second) = (as_seen(guest), as_seen(home));
        let teams = teams(guest, home);
        assert_eq!(
            seen(&score(&teams, &runs)),
            format!("{first} 4, {second} 2")
        );
        assert_eq!(seen(&pairing(&teams)), format!("{first} at {second}"));
    }
    let side = Side::Guest;
    let said = crate::game::Notice::TimeOut { side }.sentence(&teams(harbour, old_town));
    assert_eq!(
        seen(&said),
        format!("Time-out, {}.", from_the_right(harbour))
    );
    // Said within a longer sentence, it is marked once.
    let once = isolated(harbour).into_owned();
    assert_eq!(isolated(&once), once);
}
