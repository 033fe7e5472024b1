//! Page models become HTML: the templates are compiled once, then every page is written, in parallel and in order.

use std::fmt;

use rayon::prelude::*;
use serde::Serialize;
use serde_json::Value;
use tera::{Context, Tera};

use super::theme::Theme;
use super::{mark, typeset};
use crate::pages::model::sheet::Sheet;
use crate::pages::model::{Page, PageBody, Site};
use crate::pages::sitter::model::SitterSheet;

/// A theme's templates, compiled once for every page of a run.
pub struct Renderer {
    engine: Tera,
    styles: Vec<String>,
}

impl Renderer {
    /// # Errors
    /// When a template is wrong.
    pub fn new(theme: &Theme) -> Result<Renderer, RenderError> {
        Ok(Renderer { engine: compile(theme)?, styles: theme.style_paths() })
    }

    /// Renders every page of one tank. The files come back in the order of `pages`.
    ///
    /// Each template is told `site` ([`Site`]), `page` (path, title, description, root, section, trail), `body` (the page's
    /// own model), `styles` (the style sheets) and `mark` (the icon). Every link in them is turned from one relative to the
    /// edition's root into one relative to the page, so that the files work wherever the folder lies.
    ///
    /// # Errors
    /// When a template asks for what there is not.
    pub fn pages(&self, pages: &[Page], site: &Site) -> Result<Vec<(String, Vec<u8>)>, RenderError> {
        let site = serde_json::to_value(site).map_err(|error| RenderError::general("site", error.to_string()))?;
        pages
            .par_iter()
            .map(|page| {
                let html = render_page(&self.engine, page, &site, &self.styles)?;
                Ok((page.path.clone(), html.into_bytes()))
            })
            .collect()
    }

    /// Renders a page that stands alone: one file, with its style and pictures inside. Its template is told `sheet` and
    /// nothing else.
    fn alone(&self, template: &str, path: &str, sheet: &impl Serialize) -> Result<Vec<u8>, RenderError> {
        let mut context = Context::new();
        context.insert("sheet", sheet);
        let html = self.engine.render(template, &context);
        html.map(String::into_bytes).map_err(|error| RenderError::from_tera(path, error))
    }

    /// Renders cards, hand-overs and reports, each under its path.
    ///
    /// # Errors
    /// As [`Renderer::pages`].
    pub fn sheets(&self, sheets: &[(String, Sheet)]) -> Result<Vec<(String, Vec<u8>)>, RenderError> {
        sheets
            .par_iter()
            .map(|(path, sheet)| Ok((path.clone(), self.alone("alone/sheet.html", path, sheet)?)))
            .collect()
    }

    /// Renders the sitter's sheet.
    ///
    /// # Errors
    /// As [`Renderer::pages`].
    pub fn sitter(&self, sheet: &SitterSheet) -> Result<Vec<u8>, RenderError> {
        self.alone("sitter/sheet.html", "sheet.html", sheet)
    }
}

/// What went wrong in a template, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RenderError {
    /// Path of the page being written; empty while the templates are compiled.
    pub page: String,
    /// Name of the template, as below `templates/`; empty when none is to blame.
    pub template: String,
    /// Line and column, both from 1; 0 when not known.
    pub line: usize,
    pub column: usize,
    pub message: String,
}

impl RenderError {
    fn general(page: &str, message: String) -> RenderError {
        RenderError { page: page.to_owned(), template: String::new(), line: 0, column: 0, message }
    }

    fn from_tera(page: &str, error: tera::Error) -> RenderError {
        match error.kind() {
            tera::ErrorKind::SyntaxError(report) | tera::ErrorKind::RenderingError(report) => RenderError {
                page: page.to_owned(),
                template: report.filename().to_owned(),
                line: report.span().start_line,
                column: report.span().start_col + 1,
                message: report.message().to_owned(),
            },
            _ => RenderError::general(page, error.to_string()),
        }
    }
}

impl fmt::Display for RenderError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.template.is_empty() {
            write!(out, "templates/{}, line {}, column {}: ", self.template, self.line, self.column)?;
        }
        write!(out, "{}", self.message)?;
        if !self.page.is_empty() {
            write!(out, " (while writing {})", self.page)?;
        }
        Ok(())
    }
}

impl std::error::Error for RenderError {}

fn compile(theme: &Theme) -> Result<Tera, RenderError> {
    let mut engine = Tera::new();
    engine.autoescape_on([".html"]);
    engine.add_raw_templates(theme.templates()).map_err(|error| RenderError::from_tera("", error))?;
    Ok(engine)
}

fn render_page(engine: &Tera, page: &Page, site: &Value, styles: &[String]) -> Result<String, RenderError> {
    let mut model = serde_json::to_value(page).map_err(|error| RenderError::general(&page.path, error.to_string()))?;
    let mut body = model.as_object_mut().and_then(|model| model.remove("body")).unwrap_or(Value::Null);
    let mut site = site.clone();
    for value in [&mut model, &mut body, &mut site] {
        make_relative(value, &page.root);
    }
    // A file of the record is shown as it is written.
    if !matches!(page.body, PageBody::SourceFile(_)) {
        typeset::tie_all(&mut model);
        typeset::tie_all(&mut body);
    }
    // The page's own path is its address below the root and stays as it is.
    model["path"] = Value::String(page.path.clone());
    let styles: Vec<String> = styles.iter().map(|path| format!("{}{path}", page.root)).collect();

    let mut context = Context::new();
    for (name, value) in [("page", &model), ("body", &body), ("site", &site)] {
        context.insert(name, value);
    }
    context.insert("styles", &styles);
    context.insert("mark", &format!("{}{}", page.root, mark::PATH));
    engine.render(page.template, &context).map_err(|error| RenderError::from_tera(&page.path, error))
}

/// Puts the way back to the root before every link below `value` that is relative to the root.
fn make_relative(value: &mut Value, root: &str) {
    match value {
        Value::Object(fields) => {
            for (name, field) in fields {
                match field {
                    Value::String(link) if is_link_field(name) && is_below_root(link) => link.insert_str(0, root),
                    other => make_relative(other, root),
                }
            }
        }
        Value::Array(items) => items.iter_mut().for_each(|item| make_relative(item, root)),
        _ => {}
    }
}

fn is_link_field(name: &str) -> bool {
    matches!(name, "href" | "path" | "home") || name.ends_with("_href")
}

fn is_below_root(link: &str) -> bool {
    let leaves = ["https:", "http:", "mailto:", "#"].iter().any(|start| link.starts_with(start));
    !link.is_empty() && !leaves
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::model::tanks::TanksPage;
    use crate::pages::model::{DateText, NavItem};
    use crate::write::theme::DEFAULT_THEME;

    fn page(path: &str) -> Page {
        let body = TanksPage { standfirst: "Two & a <half>".to_owned(), ..TanksPage::default() };
        Page::new(path, "tanks", "Tanks", "The tanks of the record.", PageBody::Tanks(Box::new(body)))
    }

    fn site() -> Site {
        Site {
            name: "Low Tide".to_owned(),
            language: "en".to_owned(),
            edition: "journal".to_owned(),
            as_of: DateText { iso: "2026-10-11".to_owned(), text: "11 October 2026".to_owned() },
            home: "index.html".to_owned(),
            nav: vec![NavItem { key: "water".into(), text: "Water".into(), href: "water/index.html".into() }],
            sources_href: "sources.html".to_owned(),
            ..Site::default()
        }
    }

    fn with_template(text: &str) -> Theme {
        Theme::load(DEFAULT_THEME, &[("templates/tanks.html".to_owned(), text.as_bytes().to_vec())]).expect("loads")
    }

    fn written(template: &str, path: &str) -> Result<String, RenderError> {
        let files = Renderer::new(&with_template(template))?.pages(&[page(path)], &site())?;
        Ok(String::from_utf8(files[0].1.clone()).expect("pages are text"))
    }

    #[test]
    fn text_is_escaped_and_links_find_their_way_home() {
        let template = "{{ body.standfirst }}|{{ site.home }}|{{ site.nav[0].href }}|{{ page.path }}";
        assert_eq!(
            written(template, "a/b/tanks.html").expect("renders"),
            "Two &amp; a &lt;half&gt;|../../index.html|../../water/index.html|a/b/tanks.html"
        );
        assert_eq!(written("{{ site.home }}", "tanks.html").expect("renders"), "index.html");
    }

    #[test]
    fn links_that_leave_or_stay_on_the_page_are_untouched() {
        let mut value = serde_json::json!({
            "href": "#figure-a", "source_href": "https://example.org/x", "inner": [{"href": "mailto:a@b.c", "path": "p.jpg"}],
            "text": "water/index.html", "home": null
        });
        make_relative(&mut value, "../");
        assert_eq!(
            value,
            serde_json::json!({
                "href": "#figure-a", "source_href": "https://example.org/x",
                "inner": [{"href": "mailto:a@b.c", "path": "../p.jpg"}], "text": "water/index.html", "home": null
            })
        );
    }

    #[test]
    fn an_undefined_variable_names_template_line_and_column() {
        let error = written("<p>\n  {{ body.standfrist }}", "tanks.html").expect_err("refused");
        assert_eq!((error.template.as_str(), error.line, error.column), ("tanks.html", 2, 11));
        assert!(error.to_string().starts_with("templates/tanks.html, line 2, column 11: "), "{error}");
        assert!(error.to_string().ends_with("(while writing tanks.html)"), "{error}");
        assert!(error.message.contains("standfrist"), "{error}");
    }

    #[test]
    fn a_template_that_does_not_parse_names_line_and_column() {
        let error = written("one\n{% for x %}", "tanks.html").expect_err("refused");
        assert_eq!((error.template.as_str(), error.line), ("tanks.html", 2));
        assert!(error.column > 0);
    }

    #[test]
    fn files_come_back_in_the_order_of_the_pages() {
        let pages: Vec<Page> = (0..40).map(|number| page(&format!("{number}/tanks.html"))).collect();
        let renderer = Renderer::new(&with_template("{{ page.path }}")).expect("compiles");
        let files = renderer.pages(&pages, &site()).expect("renders");
        for (number, (path, bytes)) in files.iter().enumerate() {
            assert_eq!(path, &format!("{number}/tanks.html"));
            assert_eq!(bytes, path.as_bytes());
        }
    }
}
