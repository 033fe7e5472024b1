//! A keeper's CommonMark becomes HTML that is safe to publish: no raw HTML, no link that could do anything but lead to a
//! page, no picture that is not one of the record's own.

use pulldown_cmark::{Alignment, CowStr, Event, HeadingLevel, LinkType, Options, Parser, Tag, TagEnd};

use super::markup::escape;
use super::model::{Html, Photo};

/// What prose may refer to.
pub trait Surroundings {
    /// The published photo for a destination as written (`photos/2024-09-14-front.jpg`), if the record has it. Its
    /// paths are relative to the edition's root.
    fn photo(&self, destination: &str) -> Option<Photo>;

    /// The page for a link inside the record as written (`colonies/leather.yaml`, `story/first-light.md`), relative to
    /// the edition's root. `None` when nothing published stands there.
    fn page(&self, destination: &str) -> Option<String>;
}

/// Renders prose for a page that lies `root` (`""`, `"../"`) below the edition's root.
///
/// - Raw HTML is shown as the text it was typed as.
/// - Links lead to `http:`, `https:`, `mailto:`, a place on the same page, or a page the record publishes; of any other
///   link only the words stay.
/// - Images are the record's own photos; of any other only the description stays.
/// - Headings start one level below the page's own title, so `#` becomes `<h2>`.
/// - Tables, footnotes, strikethrough and typographic quotes and dashes are on.
pub fn render(text: &str, root: &str, surroundings: &dyn Surroundings) -> Html {
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_STRIKETHROUGH
        | Options::ENABLE_SMART_PUNCTUATION;
    let mut safe = Safe {
        root,
        surroundings,
        open_links: Vec::new(),
        image: None,
        in_table_head: false,
        alignments: Vec::new(),
        column: 0,
    };
    let events: Vec<Event> = Parser::new_ext(text, options).filter_map(|event| safe.pass(event)).collect();
    let mut html = String::with_capacity(text.len() * 3 / 2);
    pulldown_cmark::html::push_html(&mut html, events.into_iter());
    Html::trusted(html)
}

/// Keeps what is safe of a run of events.
struct Safe<'a> {
    root: &'a str,
    surroundings: &'a dyn Surroundings,
    /// For each link that is open, whether it was kept.
    open_links: Vec<bool>,
    /// The image being read: its destination and the words of its description.
    image: Option<(String, String)>,
    in_table_head: bool,
    /// How the columns of the table are set, and the column being read.
    alignments: Vec<Alignment>,
    column: usize,
}

impl Safe<'_> {
    fn pass<'e>(&mut self, event: Event<'e>) -> Option<Event<'e>> {
        if self.image.is_some() {
            return self.inside_image(event);
        }
        match event {
            Event::Html(raw) | Event::InlineHtml(raw) => Some(Event::Text(raw)),
            Event::Start(Tag::HtmlBlock) => Some(Event::Start(Tag::Paragraph)),
            Event::End(TagEnd::HtmlBlock) => Some(Event::End(TagEnd::Paragraph)),
            Event::Start(Tag::Heading { level, .. }) => {
                Some(Event::Start(Tag::Heading { level: lower(level), id: None, classes: vec![], attrs: vec![] }))
            }
            Event::End(TagEnd::Heading(level)) => Some(Event::End(TagEnd::Heading(lower(level)))),
            Event::Start(Tag::Link { link_type, dest_url, title, .. }) => {
                let target = self.link_target(link_type, &dest_url);
                self.open_links.push(target.is_some());
                target.map(|target| {
                    Event::Start(Tag::Link {
                        link_type: LinkType::Inline,
                        dest_url: target.into(),
                        title,
                        id: CowStr::Borrowed(""),
                    })
                })
            }
            Event::End(TagEnd::Link) => {
                if self.open_links.pop() == Some(true) {
                    Some(event)
                } else {
                    None
                }
            }
            Event::Start(Tag::Image { dest_url, .. }) => {
                self.image = Some((dest_url.to_string(), String::new()));
                None
            }
            Event::Start(Tag::TableHead) => {
                self.in_table_head = true;
                self.column = 0;
                Some(event)
            }
            Event::End(TagEnd::TableHead) => {
                self.in_table_head = false;
                Some(event)
            }
            // The markup of a table comes from here alone, so that its heads carry their scope and it can scroll.
            Event::Start(Tag::Table(alignments)) => {
                self.alignments = alignments;
                Some(Event::Html(
                    "<div class=\"scroll\" role=\"group\" aria-label=\"Table\" tabindex=\"0\"><table>".into(),
                ))
            }
            Event::End(TagEnd::Table) => Some(Event::Html("</tbody></table></div>\n".into())),
            Event::Start(Tag::TableRow) => {
                self.column = 0;
                Some(event)
            }
            Event::Start(Tag::TableCell) => Some(Event::Html(self.open_cell().into())),
            Event::End(TagEnd::TableCell) => {
                self.column += 1;
                Some(Event::Html(if self.in_table_head { "</th>" } else { "</td>" }.into()))
            }
            other => Some(other),
        }
    }

    /// The start of a cell: heads carry their scope, and columns of numbers stand to the right.
    fn open_cell(&self) -> &'static str {
        let right = self.alignments.get(self.column) == Some(&Alignment::Right);
        match (self.in_table_head, right) {
            (true, true) => "<th scope=\"col\" class=\"n\">",
            (true, false) => "<th scope=\"col\">",
            (false, true) => "<td class=\"n\">",
            (false, false) => "<td>",
        }
    }

    /// Gathers the description of an image; at its end gives the picture, or the description alone.
    fn inside_image<'e>(&mut self, event: Event<'e>) -> Option<Event<'e>> {
        let (destination, alt) = self.image.as_mut()?;
        match event {
            Event::Text(text) | Event::Code(text) | Event::Html(text) | Event::InlineHtml(text) => alt.push_str(&text),
            Event::SoftBreak | Event::HardBreak => alt.push(' '),
            Event::End(TagEnd::Image) => {
                let photo = self.surroundings.photo(destination);
                let (_, alt) = self.image.take()?;
                return match photo {
                    Some(photo) if !photo.missing => Some(Event::InlineHtml(picture(&photo, &alt, self.root).into())),
                    _ => Some(Event::Text(alt.into())),
                };
            }
            _ => {}
        }
        None
    }

    fn link_target(&self, link_type: LinkType, destination: &str) -> Option<String> {
        if link_type == LinkType::Email {
            return Some(format!("mailto:{destination}"));
        }
        // A scheme is what stands before a colon, unless a slash, a question mark or a hash came first.
        let scheme_end = destination.find([':', '/', '?', '#']).filter(|at| destination[*at..].starts_with(':'));
        match scheme_end {
            Some(end) => {
                let scheme = destination[..end].to_ascii_lowercase();
                matches!(scheme.as_str(), "http" | "https" | "mailto").then(|| destination.to_owned())
            }
            None if destination.starts_with('#') => Some(destination.to_owned()),
            None => self.surroundings.page(destination).map(|page| format!("{}{page}", self.root)),
        }
    }
}

fn lower(level: HeadingLevel) -> HeadingLevel {
    match level {
        HeadingLevel::H1 => HeadingLevel::H2,
        HeadingLevel::H2 => HeadingLevel::H3,
        HeadingLevel::H3 => HeadingLevel::H4,
        HeadingLevel::H4 => HeadingLevel::H5,
        HeadingLevel::H5 | HeadingLevel::H6 => HeadingLevel::H6,
    }
}

/// A photo inside prose, with every width it is published in.
fn picture(photo: &Photo, alt: &str, root: &str) -> String {
    let alt = escape(if alt.is_empty() { &photo.alt } else { alt });
    let widths: Vec<String> =
        photo.variants.iter().map(|variant| format!("{root}{} {}w", escape(&variant.path), variant.width)).collect();
    format!(
        "<img src=\"{root}{}\" srcset=\"{}\" sizes=\"(min-width: 64rem) 46rem, 92vw\" width=\"{}\" height=\"{}\" \
         loading=\"lazy\" alt=\"{alt}\">",
        escape(&photo.path),
        widths.join(", "),
        photo.width,
        photo.height
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::model::Variant;

    struct Record;

    impl Surroundings for Record {
        fn photo(&self, destination: &str) -> Option<Photo> {
            (destination == "photos/front.jpg").then(|| Photo {
                alt: "The tank".to_owned(),
                variants: vec![Variant { path: "photos/front-480.jpg".to_owned(), width: 480, height: 360 }],
                path: "photos/front-480.jpg".to_owned(),
                width: 480,
                height: 360,
                ..Photo::default()
            })
        }

        fn page(&self, destination: &str) -> Option<String> {
            (destination == "colonies/leather.yaml").then(|| "colony/leather.html".to_owned())
        }
    }

    fn html(text: &str) -> String {
        render(text, "../", &Record).as_str().to_owned()
    }

    #[test]
    fn raw_html_is_shown_not_run() {
        for (typed, shown) in [
            ("<script>alert(1)</script>", "&lt;script&gt;"),
            ("before <b onclick=\"x()\">bold</b>", "&lt;b onclick="),
            ("<img src=x onerror=alert(1)>", "&lt;img src=x onerror"),
            ("<iframe src=\"https://example.org\"></iframe>", "&lt;iframe"),
            ("<!-- a comment -->", "&lt;!-- a comment --&gt;"),
            ("<style>p{}</style>", "&lt;style&gt;"),
        ] {
            let html = html(typed);
            assert!(html.contains(shown), "{typed} became {html}");
            for forbidden in ["<script", "<b ", "<img", "<iframe", "<!--", "<style"] {
                assert!(!html.contains(forbidden), "{typed} became {html}");
            }
        }
    }

    #[test]
    fn links_lead_to_pages_and_nothing_else() {
        for (typed, expected) in [
            ("[a](https://example.org/x)", "<p><a href=\"https://example.org/x\">a</a></p>\n"),
            ("[a](mailto:x@example.org)", "<p><a href=\"mailto:x@example.org\">a</a></p>\n"),
            ("<x@example.org>", "<p><a href=\"mailto:x@example.org\">x@example.org</a></p>\n"),
            ("[a](#below)", "<p><a href=\"#below\">a</a></p>\n"),
            ("[a](colonies/leather.yaml)", "<p><a href=\"../colony/leather.html\">a</a></p>\n"),
            ("[a *b*](javascript:alert(1))", "<p>a <em>b</em></p>\n"),
            ("[a](JaVaScRiPt:alert(1))", "<p>a</p>\n"),
            ("[a](java&#x0A;script:alert(1))", "<p>a</p>\n"),
            ("[a](data:text/html,x)", "<p>a</p>\n"),
            ("[a](vbscript:x)", "<p>a</p>\n"),
            ("[a](file:///etc/passwd)", "<p>a</p>\n"),
            ("<javascript:alert(1)>", "<p>javascript:alert(1)</p>\n"),
            ("[a](../../outside.html)", "<p>a</p>\n"),
            ("[a](/etc/passwd)", "<p>a</p>\n"),
            ("[a](//example.org/x)", "<p>a</p>\n"),
            ("[a][r]\n\n[r]: javascript:alert(1)", "<p>a</p>\n"),
        ] {
            assert_eq!(html(typed), expected, "{typed}");
        }
    }

    #[test]
    fn a_link_title_cannot_leave_its_attribute() {
        assert_eq!(
            html("[a](https://example.org 'x\" onclick=\"y')"),
            "<p><a href=\"https://example.org\" title=\"x&quot; onclick=&quot;y\">a</a></p>\n"
        );
    }

    #[test]
    fn pictures_are_the_records_own() {
        let own = html("![The *whole* tank](photos/front.jpg)");
        assert!(own.contains("src=\"../photos/front-480.jpg\""), "{own}");
        assert!(own.contains("alt=\"The whole tank\"") && own.contains("width=\"480\" height=\"360\""), "{own}");
        assert!(html("![](photos/front.jpg)").contains("alt=\"The tank\""));
        assert_eq!(html("![seen elsewhere](https://example.org/x.jpg)"), "<p>seen elsewhere</p>\n");
        assert_eq!(html("![a\"><script>](x.jpg)"), "<p>a\u{201c}&gt;&lt;script&gt;</p>\n");
        assert!(html("![a\\\"b](photos/front.jpg)").contains("alt=\"a&quot;b\""));
    }

    #[test]
    fn a_picture_inside_a_dropped_link_stays_a_picture() {
        let linked = html("[![t](photos/front.jpg)](javascript:x)");
        assert!(linked.starts_with("<p><img ") && !linked.contains("href"), "{linked}");
    }

    #[test]
    fn headings_stand_below_the_title() {
        assert_eq!(html("# One\n\n###### Six"), "<h2>One</h2>\n<h6>Six</h6>\n");
    }

    #[test]
    fn tables_footnotes_and_quotes_work() {
        let table = html("| a | b |\n|---|--:|\n| 1 | 2 |\n");
        assert!(table.contains("<th scope=\"col\">a</th>"), "{table}");
        assert!(table.contains("<tbody>") && table.contains("</tbody></table></div>"), "{table}");
        assert!(table.contains("<th scope=\"col\" class=\"n\">b</th>"), "{table}");
        assert!(table.contains("<td>1</td>") && table.contains("<td class=\"n\">2</td>"), "{table}");
        assert!(html("x[^1]\n\n[^1]: Note").contains("footnote"));
        assert_eq!(html("it's \"so\" -- yes..."), "<p>it\u{2019}s \u{201c}so\u{201d} \u{2013} yes\u{2026}</p>\n");
    }
}
