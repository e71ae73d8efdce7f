//! HTML put together: what people wrote is always escaped.

/// A page in the making.
#[derive(Debug)]
pub struct Page {
    markup: String,
    up: &'static str,
}

impl Page {
    /// Begins a page; with an event, its live changes are followed. `up` leads
    /// from its folder to where `results` lies: links say nothing of the path
    /// that a proxy may put before it.
    #[must_use]
    pub fn new(title: &str, live: Option<&str>, up: &'static str) -> Self {
        let markup = String::with_capacity(8 * 1024);
        let mut page = Self { markup, up };
        page.raw("<!doctype html><html lang=en><head><meta charset=utf-8>");
        page.raw("<meta name=viewport content=\"width=device-width,initial-scale=1\"><title>");
        page.text(title);
        page.raw("</title><link rel=stylesheet href=\"");
        page.path("results/look.css");
        page.raw("\">");
        if live.is_some() {
            page.raw("<script src=\"");
            page.path("results/live.js");
            page.raw("\" defer></script>");
        }
        page.raw("</head><body");
        if let Some(event) = live {
            page.raw(" data-event=\"");
            page.text(event);
            page.raw("\"");
        }
        page.raw("><main>");
        page
    }

    /// Adds the way to something of this service, inside an attribute.
    pub fn path(&mut self, path: &str) {
        self.raw(self.up);
        self.text(path);
    }

    /// Adds markup of our own.
    pub fn raw(&mut self, markup: &str) {
        self.markup.push_str(markup);
    }

    /// Adds text, safe in elements and in quoted attributes.
    pub fn text(&mut self, text: &str) {
        for c in text.chars() {
            match c {
                '&' => self.markup.push_str("&amp;"),
                '<' => self.markup.push_str("&lt;"),
                '>' => self.markup.push_str("&gt;"),
                '"' => self.markup.push_str("&quot;"),
                '\'' => self.markup.push_str("&#39;"),
                c => self.markup.push(c),
            }
        }
    }

    /// An element with text.
    pub fn tag(&mut self, element: &str, text: &str) {
        self.raw("<");
        self.raw(element);
        self.raw(">");
        self.text(text);
        self.raw("</");
        // Attributes stand in the opening tag only.
        self.raw(element.split(' ').next().unwrap_or_default());
        self.raw(">");
    }

    /// A row of cells: the first heads the row.
    pub fn row(&mut self, cells: &[String]) {
        self.raw("<tr>");
        for (at, cell) in cells.iter().enumerate() {
            self.tag(if at == 0 { "th scope=row" } else { "td" }, cell);
        }
        self.raw("</tr>");
    }

    /// A table's head.
    pub fn head(&mut self, caption: &str, columns: &[&str]) {
        self.raw("<div class=scroll tabindex=0 role=region aria-label=\"");
        self.text(caption);
        self.raw("\"><table><caption>");
        self.text(caption);
        self.raw("</caption><thead><tr>");
        for column in columns {
            self.tag("th scope=col", column);
        }
        self.raw("</tr></thead><tbody>");
    }

    /// Ends a table.
    pub fn foot(&mut self) {
        self.raw("</tbody></table></div>");
    }

    /// The finished page.
    #[must_use]
    pub fn end(mut self) -> String {
        self.raw("</main></body></html>");
        self.markup
    }
}

#[cfg(test)]
mod tests {
    use super::Page;

    #[test]
    fn what_people_wrote_is_never_markup() {
        let mut page = Page::new("<title>", Some("\"><script>"), "");
        page.tag("h1", "<img src=x onerror=alert(1)> & 'quotes'");
        page.row(&["</th><script>".to_owned()]);
        let html = page.end();
        assert!(!html.contains("<script>") && !html.contains("<img"));
        assert!(html.contains("&lt;img src=x onerror=alert(1)&gt; &amp; &#39;quotes&#39;"));
    }
}
