//! The list of variables in `templates/README.md`, made from the models and the sample, to compare it with.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

use polypary::pages::model::sheet::Sheet;
use polypary::pages::model::{Page, Site};
use serde_json::Value;

/// One struct of the models.
pub struct Model {
    pub name: String,
    pub about: String,
    pub fields: Vec<Field>,
}

/// One field of a struct.
pub struct Field {
    pub name: String,
    /// As written in Rust.
    pub kind: String,
    pub about: String,
}

const PREFACE: &str = include_str!("readme-preface.md");

/// Names and texts of all templates, sorted.
pub fn templates() -> Vec<(String, String)> {
    files("templates", ".html")
}

fn files(folder: &str, ending: &str) -> Vec<(String, String)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut found = BTreeMap::new();
    let mut folders = vec![root.clone()];
    while let Some(next) = folders.pop() {
        for entry in std::fs::read_dir(&next).expect("the folder is readable") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.to_string_lossy().ends_with(ending) {
                let name = path.strip_prefix(&root).expect("below the root").to_string_lossy().replace('\\', "/");
                found.insert(name, std::fs::read_to_string(&path).expect("text"));
            }
        }
    }
    found.into_iter().collect()
}

/// The structs of `src/pages/model`, with what their comments say.
pub fn models() -> Vec<Model> {
    let mut models = Vec::new();
    for (_, source) in files("src/pages/model", ".rs") {
        let mut about = String::new();
        let mut open: Option<Model> = None;
        for line in source.lines() {
            let line = line.trim();
            if let Some(comment) = line.strip_prefix("///") {
                about = format!("{about} {}", comment.trim()).trim().to_owned();
            } else if let Some(rest) = line.strip_prefix("pub struct ").filter(|rest| rest.ends_with('{')) {
                let name = rest.trim_end_matches('{').trim().to_owned();
                open = Some(Model { name, about: std::mem::take(&mut about), fields: Vec::new() });
            } else if line == "}" {
                models.extend(open.take());
                about.clear();
            } else if let (Some(model), Some(field)) = (open.as_mut(), line.strip_prefix("pub ")) {
                let (name, kind) = field.trim_end_matches(',').split_once(": ").expect("a field has a type");
                let (name, kind) = (name.to_owned(), kind.to_owned());
                model.fields.push(Field { name, kind, about: std::mem::take(&mut about) });
            } else if !line.starts_with("#[") {
                about.clear();
            }
        }
    }
    models
}

/// Names that a template expression asks for after a dot.
pub fn fields_asked_for(expression: &str) -> Vec<String> {
    let mut unquoted = String::new();
    for (index, piece) in expression.split('"').enumerate() {
        if index % 2 == 0 {
            unquoted.push_str(piece);
        }
    }
    unquoted
        .split('.')
        .skip(1)
        .map(|after| after.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>())
        .filter(|name| name.starts_with(|c: char| c.is_alphabetic()))
        .collect()
}

/// The whole README: the words before the list, then a table for every struct.
pub fn write(pages: &[Page], site: &Site, sheet: &Sheet) -> String {
    let models = models();
    let mut examples: BTreeMap<(String, String), Value> = BTreeMap::new();
    let site = serde_json::to_value(site).expect("a site serialises");
    gather(&models, "Site", &site, &mut examples);
    gather(&models, "Sheet", &serde_json::to_value(sheet).expect("a sheet serialises"), &mut examples);
    let mut bodies: Vec<(String, String)> = Vec::new();
    for page in pages {
        let value = serde_json::to_value(page).expect("a page serialises");
        gather(&models, "Page", &value, &mut examples);
        let body = body_name(&page.body);
        gather(&models, &body, &value["body"], &mut examples);
        bodies.push((page.template.to_owned(), body));
    }

    let mut out = PREFACE.to_owned();
    out.push_str("\n## Templates and their `body`\n\n| template | `body` is a | such as |\n| --- | --- | --- |\n");
    for ((template, body), page) in bodies.iter().zip(pages) {
        writeln!(out, "| `{template}` | [{body}](#{}) | `{}` |", body.to_lowercase(), page.path).expect("writes");
    }
    out.push_str(
        "\n`alone/sheet.html` extends nothing and is told only `sheet`, a [Sheet](#sheet): a page that stands alone.\n",
    );
    let first: BTreeSet<&str> = bodies.iter().map(|(_, body)| body.as_str()).chain(["Site", "Page", "Sheet"]).collect();
    out.push_str("\n## What every page is told\n");
    push_models(&mut out, models.iter().filter(|model| ["Site", "Page"].contains(&model.name.as_str())), &examples);
    out.push_str("\n## Bodies\n");
    let is_body = |name: &str| first.contains(name) && !["Site", "Page"].contains(&name);
    push_models(&mut out, models.iter().filter(|model| is_body(&model.name)), &examples);
    out.push_str("\n## What they are made of\n");
    push_models(&mut out, models.iter().filter(|model| !first.contains(model.name.as_str())), &examples);
    out
}

/// The struct inside a page's body, from the name its variant prints.
fn body_name(body: &impl std::fmt::Debug) -> String {
    let printed = format!("{body:?}");
    let inner = printed.split('(').nth(1).expect("a variant holds its model");
    inner.split([' ', '{']).next().unwrap_or_default().to_owned()
}

/// Keeps the first telling value of every field reached from `value`.
fn gather(models: &[Model], name: &str, value: &Value, examples: &mut BTreeMap<(String, String), Value>) {
    let Some(model) = models.iter().find(|model| model.name == name) else {
        return;
    };
    for field in &model.fields {
        let found = &value[&field.name];
        let key = (model.name.clone(), field.name.clone());
        if is_telling(found) && !examples.get(&key).is_some_and(is_telling) {
            examples.insert(key, found.clone());
        }
        let inner = inner_kind(&field.kind);
        match found {
            Value::Array(items) => {
                for item in
                    items.iter().flat_map(|item| item.as_array().map_or(vec![item], |list| list.iter().collect()))
                {
                    gather(models, &inner, item, examples);
                }
            }
            other => gather(models, &inner, other, examples),
        }
    }
}

fn is_telling(value: &Value) -> bool {
    match value {
        Value::Null => false,
        Value::Array(items) => !items.is_empty(),
        Value::String(words) => !words.is_empty(),
        _ => true,
    }
}

/// `ChartBlock` of `Option<ChartBlock>`, `Run` of `Vec<Vec<Run>>`.
fn inner_kind(kind: &str) -> String {
    let inner = kind.trim_end_matches('>');
    let inner = inner.rsplit('<').next().unwrap_or(inner);
    inner.rsplit("::").next().unwrap_or(inner).to_owned()
}

fn plain_kind(kind: &str) -> String {
    if let Some(inner) = kind.strip_prefix("Option<").and_then(|rest| rest.strip_suffix('>')) {
        return format!("{} or none", plain_kind(inner));
    }
    if let Some(inner) = kind.strip_prefix("Vec<").and_then(|rest| rest.strip_suffix('>')) {
        return format!("list of {}", plain_kind(inner));
    }
    match inner_kind(kind).as_str() {
        "String" | "str" | "&'static str" => "text".to_owned(),
        "bool" => "true or false".to_owned(),
        "u32" => "number".to_owned(),
        "Html" => "markup".to_owned(),
        "Basis" => "text: `measured`, `stated`, `computed` or `assumed`".to_owned(),
        "Danger" => "text: `people`, `animals` or `check`".to_owned(),
        "PageBody" => "see above".to_owned(),
        name => format!("[{name}](#{})", name.to_lowercase()),
    }
}

fn push_models<'a>(
    out: &mut String,
    models: impl Iterator<Item = &'a Model>,
    examples: &BTreeMap<(String, String), Value>,
) {
    for model in models {
        write!(
            out,
            "\n### {}\n\n{}\n\n| name | type | example | |\n| --- | --- | --- | --- |\n",
            model.name, model.about
        )
        .expect("writes");
        for field in &model.fields {
            let example = examples.get(&(model.name.clone(), field.name.clone()));
            let example = example.unwrap_or_else(|| panic!("the sample never fills {}.{}", model.name, field.name));
            let about = field.about.replace('|', "\\|").replace('\n', " ");
            let kind = plain_kind(&field.kind);
            writeln!(out, "| `{}` | {kind} | {} | {about} |", field.name, show(example)).expect("writes");
        }
    }
}

/// A short example of a value.
fn show(value: &Value) -> String {
    let plain = match value {
        Value::String(words) => words.clone(),
        Value::Bool(_) | Value::Number(_) => value.to_string(),
        Value::Array(items) if items.first().is_some_and(Value::is_string) => {
            items.iter().filter_map(Value::as_str).take(2).collect::<Vec<_>>().join(", ")
        }
        _ => return String::new(),
    };
    let line = plain.replace(['\n', '`'], " ").replace('|', "\\|");
    let short: String = line.chars().take(60).collect();
    let dots = if short.len() < line.len() { "…" } else { "" };
    format!("`{}{dots}`", short.trim_end())
}
