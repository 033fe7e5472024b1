//! A theme: colours and type that become CSS variables, style sheets, and the templates they may replace.
//!
//! Templates and themes are built into the program. A record may lay files of the same name over them, one by one; the
//! bytes of those files are handed in, since only `read` opens a record.

use std::collections::BTreeMap;
use std::fmt;

use include_dir::{Dir, include_dir};
use serde::Deserialize;

static TEMPLATES: Dir = include_dir!("$CARGO_MANIFEST_DIR/templates");
static THEMES: Dir = include_dir!("$CARGO_MANIFEST_DIR/themes");

/// The theme used when none is named, and the one that lends what another lacks.
pub const DEFAULT_THEME: &str = "fieldguide";

/// Every role a theme gives a colour to, in the order of the written style sheet.
pub const COLOUR_ROLES: [&str; 13] =
    ["paper", "well", "ink", "ink-2", "rule", "link", "band", "band-edge", "band-ink", "a", "b", "c", "d"];

pub const TYPE_ROLES: [&str; 6] = ["head", "text", "label", "code", "head-weight", "leading"];

pub const SIZE_ROLES: [&str; 10] = [
    "size-small",
    "size-body",
    "size-lead",
    "size-head",
    "size-title",
    "measure",
    "margin",
    "gutter",
    "page",
    "part-gap",
];

/// The style sheets of a theme, in the order in which a page links them. `character.css` is for what sets a theme apart
/// that shares the others with the default, which has none.
const STYLE_SHEETS: [&str; 3] = ["style.css", "charts.css", "character.css"];

/// A theme, ready for the pages.
#[derive(Debug, Clone)]
pub struct Theme {
    name: String,
    settings: Settings,
    styles: BTreeMap<String, String>,
    templates: BTreeMap<String, String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    #[serde(rename = "name")]
    _name: String,
    colours: Colours,
    #[serde(rename = "type")]
    faces: BTreeMap<String, String>,
    sizes: BTreeMap<String, String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Colours {
    light: BTreeMap<String, String>,
    dark: BTreeMap<String, String>,
    print: BTreeMap<String, String>,
}

impl Theme {
    /// The theme `name`, with the files of the record's own `themes/NAME/` laid over it.
    ///
    /// `overrides` holds paths relative to that folder (`theme.yaml`, `style.css`, `charts.css`, `templates/index.html`,
    /// `templates/parts/photo.html`) and their bytes. A `theme.yaml` need only hold the lines it changes. A name that
    /// is not built in is allowed when the record brings files for it; what they leave out comes from the default.
    pub fn load(name: &str, overrides: &[(String, Vec<u8>)]) -> Result<Theme, ThemeError> {
        let built_in = THEMES.get_dir(name).is_some();
        if !built_in && overrides.is_empty() {
            return Err(ThemeError::UnknownTheme { name: name.to_owned(), known: Theme::built_in() });
        }
        let own = own_files(name, overrides)?;

        let mut settings = parse_settings(DEFAULT_THEME, built_in_file(DEFAULT_THEME, "theme.yaml").unwrap_or(""))?;
        if built_in && name != DEFAULT_THEME {
            merge(&mut settings, parse_settings(name, built_in_file(name, "theme.yaml").unwrap_or(""))?);
        }
        if let Some(text) = own.get("theme.yaml") {
            merge(&mut settings, parse_settings(name, text)?);
        }
        let settings: Settings =
            serde_yaml::from_value(settings).map_err(|error| bad_settings(name, error.to_string()))?;
        check_settings(name, &settings)?;

        let mut styles = BTreeMap::new();
        for file in STYLE_SHEETS {
            let text = own
                .get(file)
                .map(String::as_str)
                .or_else(|| built_in_file(name, file))
                .or_else(|| built_in_file(DEFAULT_THEME, file));
            if let Some(text) = text {
                refuse_requests(name, file, text)?;
                styles.insert(file.to_owned(), text.to_owned());
            }
        }
        Ok(Theme { name: name.to_owned(), settings, styles, templates: gather_templates(name, &own) })
    }

    /// Names of the themes that are built in.
    pub fn built_in() -> Vec<String> {
        let mut names: Vec<String> = THEMES
            .dirs()
            .filter_map(|dir| dir.path().file_name().and_then(|name| name.to_str()))
            .map(str::to_owned)
            .collect();
        names.sort();
        names
    }

    /// The name it was asked for by.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The style sheets as files below the edition's root, in the order in which a page links them.
    pub fn style_files(&self) -> Vec<(String, Vec<u8>)> {
        let mut files = vec![("style/theme.css".to_owned(), self.variables().into_bytes())];
        for file in STYLE_SHEETS {
            if let Some(text) = self.styles.get(file) {
                files.push((format!("style/{file}"), text.clone().into_bytes()));
            }
        }
        files
    }

    /// The paths of [`Theme::style_files`].
    pub fn style_paths(&self) -> Vec<String> {
        self.style_files().into_iter().map(|(path, _)| path).collect()
    }

    /// One colour of the light, dark or print palette, as written in `theme.yaml`.
    pub fn colour(&self, mode: Mode, role: &str) -> Option<&str> {
        self.palette(mode).get(role).map(String::as_str)
    }

    /// Name and text of every template, the record's own in place of the built-in.
    pub(crate) fn templates(&self) -> impl Iterator<Item = (&str, &str)> {
        self.templates.iter().map(|(name, text)| (name.as_str(), text.as_str()))
    }

    fn palette(&self, mode: Mode) -> &BTreeMap<String, String> {
        match mode {
            Mode::Light => &self.settings.colours.light,
            Mode::Dark => &self.settings.colours.dark,
            Mode::Print => &self.settings.colours.print,
        }
    }

    /// `theme.yaml` as CSS variables: light, then dark where the reader prefers it, then print.
    fn variables(&self) -> String {
        let mut css = String::from("/* Written from theme.yaml. */\n:root {\n  color-scheme: light dark;\n");
        push_variables(&mut css, "  ", &COLOUR_ROLES, self.palette(Mode::Light));
        push_variables(&mut css, "  ", &TYPE_ROLES, &self.settings.faces);
        push_variables(&mut css, "  ", &SIZE_ROLES, &self.settings.sizes);
        css.push_str("}\n@media screen and (prefers-color-scheme: dark) {\n  :root {\n");
        push_variables(&mut css, "    ", &COLOUR_ROLES, self.palette(Mode::Dark));
        css.push_str("  }\n}\n@media print {\n  :root {\n    color-scheme: light;\n");
        push_variables(&mut css, "    ", &COLOUR_ROLES, self.palette(Mode::Print));
        css.push_str("  }\n}\n");
        css
    }
}

/// One of a theme's three palettes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    Light,
    Dark,
    Print,
}

/// Why a theme cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ThemeError {
    /// Neither built in nor in the record.
    UnknownTheme { name: String, known: Vec<String> },
    /// A file of the record's theme that no theme has.
    UnknownFile { theme: String, file: String },
    /// A file that is not UTF-8 text.
    NotText { theme: String, file: String },
    /// `theme.yaml` is not YAML, or lacks or adds something.
    Settings { theme: String, what: String },
    /// A style sheet that would fetch something when a page is opened.
    Request { theme: String, file: String, line: usize },
}

impl fmt::Display for ThemeError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ThemeError::UnknownTheme { name, known } => {
                write!(out, "no theme is called `{name}`; there are {}", known.join(", "))
            }
            ThemeError::UnknownFile { theme, file } => write!(
                out,
                "themes/{theme}/{file}: a theme has theme.yaml, style.css, charts.css, character.css and templates/, and the templates \
                 it replaces are called as the built-in ones"
            ),
            ThemeError::NotText { theme, file } => {
                write!(out, "themes/{theme}/{file}: not UTF-8 text")
            }
            ThemeError::Settings { theme, what } => {
                write!(out, "themes/{theme}/theme.yaml: {what}")
            }
            ThemeError::Request { theme, file, line } => write!(
                out,
                "themes/{theme}/{file}, line {line}: a style sheet may not fetch anything (`@import`, `url(`); a journal \
                 works with no request leaving its folder"
            ),
        }
    }
}

impl std::error::Error for ThemeError {}

fn built_in_file(theme: &str, file: &str) -> Option<&'static str> {
    THEMES.get_file(format!("{theme}/{file}")).and_then(|file| file.contents_utf8())
}

/// The record's own files as text, each under a name that a theme can have.
fn own_files(theme: &str, overrides: &[(String, Vec<u8>)]) -> Result<BTreeMap<String, String>, ThemeError> {
    let mut own = BTreeMap::new();
    for (file, bytes) in overrides {
        let known = file == "theme.yaml"
            || STYLE_SHEETS.contains(&file.as_str())
            || file.strip_prefix("templates/").is_some_and(|name| TEMPLATES.get_file(name).is_some());
        if !known {
            return Err(ThemeError::UnknownFile { theme: theme.to_owned(), file: file.clone() });
        }
        let text = std::str::from_utf8(bytes)
            .map_err(|_| ThemeError::NotText { theme: theme.to_owned(), file: file.clone() })?;
        own.insert(file.clone(), text.to_owned());
    }
    Ok(own)
}

/// Built-in templates, those of the built-in theme over them, the record's own over both.
fn gather_templates(theme: &str, own: &BTreeMap<String, String>) -> BTreeMap<String, String> {
    let mut templates = BTreeMap::new();
    collect_html(&TEMPLATES, "", &mut templates);
    if let Some(dir) = THEMES.get_dir(format!("{theme}/templates")) {
        collect_html(dir, &format!("{theme}/templates/"), &mut templates);
    }
    for (file, text) in own {
        if let Some(name) = file.strip_prefix("templates/") {
            templates.insert(name.to_owned(), text.clone());
        }
    }
    templates
}

fn collect_html(dir: &Dir, prefix: &str, templates: &mut BTreeMap<String, String>) {
    for file in dir.files() {
        let path = file.path().to_string_lossy().replace('\\', "/");
        if let (true, Some(text)) = (path.ends_with(".html"), file.contents_utf8()) {
            templates.insert(path.strip_prefix(prefix).unwrap_or(&path).to_owned(), text.to_owned());
        }
    }
    for inner in dir.dirs() {
        collect_html(inner, prefix, templates);
    }
}

fn parse_settings(theme: &str, text: &str) -> Result<serde_yaml::Value, ThemeError> {
    serde_yaml::from_str(text).map_err(|error| bad_settings(theme, error.to_string()))
}

fn bad_settings(theme: &str, what: String) -> ThemeError {
    ThemeError::Settings { theme: theme.to_owned(), what }
}

/// Lays `over` on `under`, key by key.
fn merge(under: &mut serde_yaml::Value, over: serde_yaml::Value) {
    match (under, over) {
        (serde_yaml::Value::Mapping(under), serde_yaml::Value::Mapping(over)) => {
            for (key, value) in over {
                match under.get_mut(&key) {
                    Some(old) => merge(old, value),
                    None => {
                        under.insert(key, value);
                    }
                }
            }
        }
        (under, over) => *under = over,
    }
}

/// Every role is there, none is strange, and no value can end its declaration.
fn check_settings(theme: &str, settings: &Settings) -> Result<(), ThemeError> {
    let groups = [
        ("colours: light", &settings.colours.light, &COLOUR_ROLES[..]),
        ("colours: dark", &settings.colours.dark, &COLOUR_ROLES[..]),
        ("colours: print", &settings.colours.print, &COLOUR_ROLES[..]),
        ("type", &settings.faces, &TYPE_ROLES[..]),
        ("sizes", &settings.sizes, &SIZE_ROLES[..]),
    ];
    for (group, values, roles) in groups {
        for role in roles {
            if !values.contains_key(*role) {
                return Err(bad_settings(theme, format!("`{group}` lacks `{role}`")));
            }
        }
        for (role, value) in values {
            if !roles.contains(&role.as_str()) {
                let known = roles.join(", ");
                return Err(bad_settings(theme, format!("`{group}` has no `{role}`; it has {known}")));
            }
            let fetches = value.to_ascii_lowercase().contains("url(");
            if fetches || value.contains(['{', '}', ';', '<', '>', '\\', '\n']) || value.contains("/*") {
                return Err(bad_settings(theme, format!("`{group}: {role}` is not a plain value: `{value}`")));
            }
        }
    }
    Ok(())
}

/// A journal works with no request leaving its folder, so no style sheet may fetch.
fn refuse_requests(theme: &str, file: &str, text: &str) -> Result<(), ThemeError> {
    for (index, line) in text.lines().enumerate() {
        let line = line.to_ascii_lowercase();
        if line.contains("@import") || line.contains("url(") || line.contains("image-set(") {
            return Err(ThemeError::Request { theme: theme.to_owned(), file: file.to_owned(), line: index + 1 });
        }
    }
    Ok(())
}

fn push_variables(css: &mut String, indent: &str, roles: &[&str], values: &BTreeMap<String, String>) {
    for role in roles {
        if let Some(value) = values.get(*role) {
            css.push_str(&format!("{indent}--{role}: {value};\n"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn theme(overrides: &[(&str, &str)]) -> Result<Theme, ThemeError> {
        let overrides: Vec<(String, Vec<u8>)> =
            overrides.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec())).collect();
        Theme::load(DEFAULT_THEME, &overrides)
    }

    fn css(theme: &Theme, path: &str) -> String {
        let files = theme.style_files();
        let (_, bytes) = files.iter().find(|(name, _)| name == path).expect("the style sheet is there");
        String::from_utf8(bytes.clone()).expect("style sheets are text")
    }

    /// Relative luminance of a colour, WCAG 2.2, "relative luminance".
    fn luminance(hex: &str) -> f64 {
        let channel = |at: usize| {
            let value = u8::from_str_radix(&hex[at..at + 2], 16).expect("two hexadecimal digits") as f64 / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    /// Contrast ratio, WCAG 2.2, "contrast ratio".
    fn contrast(one: &str, other: &str) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn contrast_follows_the_definition() {
        // WCAG 2.2: the ratio runs from 1 to 21; #767676 on white is the guideline's best-known edge, 4.54.
        assert!((contrast("#ffffff", "#000000") - 21.0).abs() < 1e-9);
        assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.005);
    }

    #[test]
    fn words_and_marks_stand_out_enough() {
        let theme = theme(&[]).expect("the built-in theme loads");
        for mode in [Mode::Light, Mode::Dark, Mode::Print] {
            let colour = |role| theme.colour(mode, role).expect("every role has a colour");
            // WCAG 2.2, 1.4.3: 4.5 for text; 1.4.11: 3 for what a chart needs to be understood.
            for text in ["ink", "ink-2", "link", "band-ink", "a", "b", "c", "d"] {
                for ground in ["paper", "band"] {
                    let ratio = contrast(colour(text), colour(ground));
                    assert!(ratio >= 4.5, "{text} on {ground} in {mode:?}: {ratio:.2}");
                }
            }
            for ground in ["paper", "well"] {
                assert!(contrast(colour("ink-2"), colour(ground)) >= 4.5, "labels on {ground} in {mode:?}");
            }
            assert!(contrast(colour("band-edge"), colour("paper")) >= 3.0);
        }
    }

    #[test]
    fn settings_become_variables_for_light_dark_and_print() {
        let written = css(&theme(&[]).expect("loads"), "style/theme.css");
        assert!(written.contains("--paper: #f8f9f5;"));
        let dark = written.find("prefers-color-scheme: dark").expect("there is a dark palette");
        assert!(written[dark..].contains("--paper: #171c1d;"));
        let print = written.find("@media print").expect("there is a print palette");
        assert!(written[print..].contains("--paper: #ffffff;"));
        assert!(written.contains("--page: 77rem;"));
    }

    #[test]
    fn a_record_changes_one_line_and_keeps_the_rest() {
        let changed = theme(&[("theme.yaml", "colours: {light: {link: \"#004488\"}}")]).expect("loads");
        assert_eq!(changed.colour(Mode::Light, "link"), Some("#004488"));
        assert_eq!(changed.colour(Mode::Light, "ink"), Some("#1a2326"));
        assert_eq!(changed.colour(Mode::Dark, "link"), Some("#e7abd0"));
    }

    #[test]
    fn a_record_replaces_one_file_and_keeps_the_rest() {
        let changed =
            theme(&[("style.css", "body { margin: 9px }"), ("templates/parts/value.html", "x")]).expect("loads");
        assert_eq!(css(&changed, "style/style.css"), "body { margin: 9px }");
        assert!(changed.templates().any(|(name, text)| name == "parts/value.html" && text == "x"));
        assert!(changed.templates().any(|(name, text)| name == "index.html" && text.contains("extends")));
    }

    #[test]
    fn what_no_theme_has_is_named() {
        let message = |overrides: &[(&str, &str)]| theme(overrides).expect_err("refused").to_string();
        assert!(message(&[("colours.css", "")]).starts_with("themes/fieldguide/colours.css: a theme has theme.yaml"));
        assert!(message(&[("templates/front.html", "")]).contains("templates/front.html"));
        assert_eq!(
            message(&[("theme.yaml", "colours: {light: {papier: white}}")]),
            format!(
                "themes/fieldguide/theme.yaml: `colours: light` has no `papier`; it has {}",
                COLOUR_ROLES.join(", ")
            )
        );
        assert!(
            message(&[("theme.yaml", "colours: {light: {ink: \"red; } body { color: red\"}}")]).contains("plain value")
        );
        assert_eq!(
            message(&[("style.css", "p { color: red }\n@import \"x.css\";")]),
            "themes/fieldguide/style.css, line 2: a style sheet may not fetch anything (`@import`, `url(`); a journal \
             works with no request leaving its folder"
        );
        assert_eq!(
            Theme::load("moonlight", &[]).expect_err("refused").to_string(),
            format!("no theme is called `moonlight`; there are {}", Theme::built_in().join(", "))
        );
    }
}
