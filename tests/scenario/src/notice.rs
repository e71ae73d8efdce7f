//! A line between plays.

use engine::game::{Hold, Notice, Stoppage, WarningRecipient};
use engine::team::{Shirt, Side};

fn side(word: &str) -> Result<Side, String> {
    match word {
        "guest" => Ok(Side::Guest),
        "home" => Ok(Side::Home),
        _ => Err(format!("\"{word}\" is no side: guest or home")),
    }
}

fn shirt(word: &str) -> Result<Shirt, String> {
    word.parse().map_err(|want| format!("\"{word}\": {want}"))
}

/// The text after the first `skip` words, as written.
fn text_after(line: &str, skip: usize) -> String {
    let mut rest = line.trim();
    for _ in 0..skip {
        rest = rest
            .split_once(char::is_whitespace)
            .map_or("", |(_, r)| r.trim_start());
    }
    rest.to_string()
}

/// Reads a line that is neither a play nor about one.
pub fn notice(text: &str, words: &[&str]) -> Result<Notice, String> {
    Ok(match words {
        ["sub", s, out, "by", by] => Notice::Substitution {
            side: side(s)?,
            out: shirt(out)?,
            by: shirt(by)?,
        },
        ["timeout", s] => Notice::TimeOut { side: side(s)? },
        ["warn", s, rest @ ..] => {
            let whom = match rest.first() {
                Some(&"coach") => Some(WarningRecipient::Coach),
                Some(n) => n.parse().ok().map(WarningRecipient::Player),
                None => None,
            };
            Notice::Warning {
                side: side(s)?,
                to: whom.unwrap_or(WarningRecipient::Bench),
                text: text_after(text, if whom.is_some() { 3 } else { 2 }),
            }
        }
        ["eject", s, "coach", ..] => Notice::CoachEjection {
            side: side(s)?,
            name: text_after(text, 3),
        },
        ["eject", s, who] => Notice::Ejection {
            side: side(s)?,
            who: shirt(who)?,
            by: None,
        },
        ["eject", s, who, "by", by] => Notice::Ejection {
            side: side(s)?,
            who: shirt(who)?,
            by: Some(shirt(by)?),
        },
        ["injury", s, who] => Notice::Injury {
            side: side(s)?,
            who: shirt(who)?,
            by: None,
        },
        ["injury", s, who, "by", by] => Notice::Injury {
            side: side(s)?,
            who: shirt(who)?,
            by: Some(shirt(by)?),
        },
        ["runner", "first" | "second" | "third", "by", by] => {
            Notice::CourtesyRunner { by: shirt(by)? }
        }
        ["protest", s, ..] => Notice::Protest {
            side: side(s)?,
            text: text_after(text, 2),
        },
        ["hold", why] => Notice::Hold(match *why {
            "weather" => Hold::Weather,
            "lightning" => Hold::Lightning,
            "heat" => Hold::Heat,
            "other" => Hold::Other,
            _ => return Err("hold: one of weather lightning heat other".into()),
        }),
        ["resume"] => Notice::Resume,
        ["forfeit", "both", ..] => Notice::ForfeitBoth {
            text: text_after(text, 2),
        },
        ["no-play", ..] => Notice::NoPlay {
            text: text_after(text, 1),
        },
        ["end", why, ..] => Notice::GameCalled {
            why: match *why {
                "weather" => Stoppage::Weather,
                "darkness" => Stoppage::Darkness,
                "time" => Stoppage::Time,
                "other" => Stoppage::Other,
                _ => return Err("end: one of weather darkness time other".into()),
            },
            text: text_after(text, 2),
        },
        ["card", s, from, "is", to] => Notice::Renumber {
            side: side(s)?,
            from: shirt(from)?,
            to: shirt(to)?,
        },
        ["card", s, "add", player] => Notice::Reserve {
            side: side(s)?,
            player: crate::head::player(player)?.map_err(|wrong| wrong.to_string())?,
        },
        ["forfeit", s, ..] => Notice::Forfeit {
            side: side(s)?,
            text: text_after(text, 2),
        },
        ["defence", s, positions @ ..] => Notice::Defence {
            side: side(s)?,
            positions: positions
                .iter()
                .map(|p| {
                    p.parse()
                        .map_err(|want| format!("\"{p}\" is no position: {want}"))
                })
                .collect::<Result<_, String>>()?,
        },
        ["remark", ..] => Notice::Remark {
            text: text_after(text, 1),
        },
        _ => return Err(format!("unreadable line \"{}\"", text.trim())),
    })
}
