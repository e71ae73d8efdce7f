//! What every page has around its content. What people wrote is escaped by the
//! macro that writes the markup.

use engine::log::GameId;
use maud::{DOCTYPE, Markup, html};

use crate::event::EventId;

/// What a page follows while it is open.
#[derive(Clone, Copy, Debug)]
pub struct Follows {
    /// The event.
    pub event: EventId,
    /// Only this game of it.
    pub game: Option<GameId>,
}

/// A page without its content.
#[derive(Clone, Copy, Debug)]
pub struct Frame<'a> {
    /// The title.
    pub title: &'a str,
    /// What the page shows, in a sentence for search engines and previews.
    pub about: &'a str,
    /// What it follows.
    pub follows: Option<Follows>,
    /// The way from its folder to where `results` lies: links say nothing of
    /// the path that a proxy may put before it.
    pub up: &'static str,
}

impl Frame<'_> {
    /// The whole page.
    #[must_use]
    pub fn around(&self, content: &Markup) -> String {
        let path = |file: &str| format!("{}results/{file}", self.up);
        let event = self.follows.map(|f| f.event.to_string());
        let game = self.follows.and_then(|f| f.game).map(|g| g.to_string());
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width,initial-scale=1";
                    title { (self.title) }
                    meta name="description" content=(self.about);
                    meta name="theme-color" media="(prefers-color-scheme: light)" content="#f8f6f0";
                    meta name="theme-color" media="(prefers-color-scheme: dark)" content="#17181a";
                    link rel="icon" type="image/svg+xml" href=(path("icon.svg"));
                    link rel="stylesheet" href=(path("look.css"));
                    @if self.follows.is_some() {
                        script src=(path("live.js")) defer {}
                    }
                }
                body data-event=[event] data-game=[game] { main { (content) } }
            }
        };
        page.into_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_wrote_is_never_markup() {
        let frame = Frame {
            title: "<title>",
            about: "\"><script>",
            follows: None,
            up: "",
        };
        let name = "<img src=x onerror=alert(1)> & \"quotes\"";
        let page = frame.around(&html! { a title=(name) { (name) } });
        assert!(!page.contains("<script>") && !page.contains("<img"));
        let safe = "&lt;img src=x onerror=alert(1)&gt; &amp; &quot;quotes&quot;";
        assert_eq!(page.matches(safe).count(), 2);
    }
}
