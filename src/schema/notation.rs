//! From the notation of types in the table to JSON Schema (draft 2020-12).
//!
//! | notation | what stands there |
//! | --- | --- |
//! | `text` `anything` `nothing` `date` `moment` `time` `duration` `yes-no` `name` `whole` `number` | as it says |
//! | `quantity D` `bare D` `range D` | of the dimensions `D`, parted by `/`; `bare` lets the unit be left out |
//! | `lengths N` `words NAME` `roles NAME` `unit D` | so many lengths; a word of an enumeration; roles of a theme; a unit alone |
//! | `list(X)` `array(X)` | a list of X, or one alone; a list only |
//! | `since(X)` | X, or a list of X each with `since` (what is no map stands under `value`) |
//! | `each(X)` `moments(X)` `parameters(X)` | a map from names, from moments, from what is read |
//! | `<NAME>` | a map of the table |
//! | `X | Y` | either |
//!
//! Within `parameters(X)`, `reading`, `band`, `value`, `unit`, `concentration`, `raise` and `uncertainty` are of the parameter's own
//! dimension. Further words are of one place only, in [`special`].

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value, json};

use super::table::{Key, Table};
use super::words;
use crate::record::Parameter;
use crate::record::tank::MONTHS;
use crate::units::{Dimension, pattern};

/// Writes types, and gathers what they refer to.
pub struct Writer<'t> {
    table: &'t Table,
    /// Definitions by their name in `$defs`.
    pub defs: BTreeMap<String, Value>,
}

type Outcome = Result<Value, String>;

impl<'t> Writer<'t> {
    pub fn new(table: &'t Table) -> Self {
        Writer { table, defs: BTreeMap::new() }
    }

    /// The schema of a type.
    pub fn of(&mut self, holds: &str, parameter: Option<Parameter>) -> Outcome {
        let mut choices =
            alternatives(holds).into_iter().map(|choice| self.one(choice, parameter)).collect::<Result<Vec<_>, _>>()?;
        Ok(if choices.len() == 1 { choices.remove(0) } else { json!({ "anyOf": choices }) })
    }

    fn one(&mut self, holds: &str, parameter: Option<Parameter>) -> Outcome {
        if let Some(name) = map_name(holds) {
            return self.map_reference(name);
        }
        if let Some((outer, inner)) = call(holds) {
            return match outer {
                "list" => {
                    let one = self.of(inner, parameter)?;
                    Ok(json!({ "anyOf": [one, { "type": "array", "items": one }] }))
                }
                "array" => Ok(json!({ "type": "array", "items": self.of(inner, parameter)? })),
                "since" => self.since(inner, parameter),
                "each" => Ok(json!({ "type": "object", "additionalProperties": self.of(inner, parameter)? })),
                "moments" => {
                    let one = self.of(inner, parameter)?;
                    Ok(json!({ "type": "object", "patternProperties": { MOMENT: one }, "additionalProperties": false }))
                }
                "parameters" => self.parameters(inner),
                other => Err(format!("`{other}(…)` is no type")),
            };
        }
        if let Some(parameter) = parameter
            && let Some(pattern) = of_parameter(holds, parameter)
        {
            // Parameters of one dimension share their patterns.
            let name = format!("{holds}-{:?}", parameter.dimension()).to_lowercase();
            return Ok(self.defined(&name, pattern));
        }
        let (word, rest) = holds.split_once(' ').unwrap_or((holds, ""));
        if word == "words" {
            let known = words::words(rest).ok_or_else(|| format!("no words are named `{rest}`"))?;
            return Ok(self.defined(&format!("words-{rest}"), word_of(&known)));
        }
        if word == "roles" {
            let roles = words::roles(rest).ok_or_else(|| format!("no roles are named `{rest}`"))?;
            let properties: Map<String, Value> = roles.iter().map(|role| ((*role).to_string(), text())).collect();
            return Ok(json!({ "type": "object", "properties": properties, "additionalProperties": false }));
        }
        if let Some(plain) = plain(holds) {
            return Ok(plain);
        }
        let found = special(holds).or_else(|| of_dimensions(word, rest));
        let found = found.ok_or_else(|| format!("`{holds}` is no type"))?;
        Ok(self.defined(&format!("type-{}", plain_name(holds)), found))
    }

    fn defined(&mut self, name: &str, schema: Value) -> Value {
        self.defs.entry(name.to_string()).or_insert(schema);
        json!({ "$ref": format!("#/$defs/{name}") })
    }

    fn map_reference(&mut self, name: &str) -> Outcome {
        let definition = plain_name(name);
        if !self.defs.contains_key(&definition) {
            self.defs.insert(definition.clone(), Value::Null);
            let map = self.map(name)?;
            self.defs.insert(definition.clone(), map);
        }
        Ok(json!({ "$ref": format!("#/$defs/{definition}") }))
    }

    /// A map of the table in full.
    pub fn map(&mut self, name: &str) -> Outcome {
        let table = self.table;
        let keys = table.maps.get(name).ok_or_else(|| format!("no map is named `{name}`"))?;
        let mut properties = Map::new();
        for key in keys {
            if key.name == "(parameters)" {
                for parameter in Parameter::ALL {
                    let schema = self.of(&key.holds, Some(parameter))?;
                    let about = format!("{}. {}", parameter.shown(), key.about);
                    properties.insert(parameter.key().into(), described(schema, &about, &[sample(parameter)]));
                }
                continue;
            }
            let schema = self.of(&key.holds, None)?;
            properties.insert(key.name.clone(), described(schema, &key.about, &key.examples));
        }
        properties.insert("private".into(), json!({ "description": "Anything you like; it is never published." }));
        properties.entry("note").or_insert(described(text(), "A remark of your own.", &[]));
        let needed: Vec<&Key> = keys.iter().filter(|key| key.needed).collect();
        let mut map = json!({ "type": "object", "properties": properties, "additionalProperties": false });
        if !needed.is_empty() {
            map["required"] = needed.iter().map(|key| key.name.as_str()).collect();
        }
        let beside = keys.iter().filter_map(|key| Some((key.name.clone(), json!([key.beside.as_ref()?]))));
        let beside: Map<String, Value> = beside.collect();
        if !beside.is_empty() {
            map["dependentRequired"] = Value::Object(beside);
        }
        Ok(map)
    }

    fn parameters(&mut self, inner: &str) -> Outcome {
        let mut properties = Map::new();
        for parameter in Parameter::ALL {
            let schema = self.of(inner, Some(parameter))?;
            properties.insert(parameter.key().into(), described(schema, parameter.shown(), &[]));
        }
        properties.insert("private".into(), json!({ "description": "Anything you like; it is never published." }));
        Ok(json!({ "type": "object", "properties": properties, "additionalProperties": false }))
    }

    fn since(&mut self, inner: &str, parameter: Option<Parameter>) -> Outcome {
        let (mut alone, mut listed) = (Vec::new(), Vec::new());
        for choice in alternatives(inner) {
            let schema = self.one(choice, parameter)?;
            alone.push(schema.clone());
            if map_name(choice).is_some() {
                listed.push(json!({ "allOf": [schema], "required": ["since"] }));
                continue;
            }
            let since = described(plain("date").unwrap_or_default(), "From when this holds.", &[]);
            let properties = json!({ "since": since, "value": schema, "note": text(), "private": {} });
            let under_value = |needed: &[&str]| json!({ "type": "object", "properties": properties, "required": needed, "additionalProperties": false });
            alone.push(under_value(&["value"]));
            listed.push(under_value(&["since", "value"]));
        }
        let listed = if listed.len() == 1 { listed.remove(0) } else { json!({ "anyOf": listed }) };
        alone.push(json!({ "type": "array", "items": listed }));
        Ok(json!({ "anyOf": alone }))
    }
}

/// A name as it stands in `$defs`.
fn plain_name(name: &str) -> String {
    name.chars().map(|sign| if sign.is_ascii_alphanumeric() { sign } else { '-' }).collect()
}

const DATE: &str = r"^\s*\d{4}-\d{2}-\d{2}\s*$";
const MOMENT: &str = r"^\s*\d{4}-\d{2}-\d{2}([ T]\s*([01]?\d|2[0-3]):[0-5]\d(:[0-5]\d)?)?\s*$";
const TIME: &str = r"([01]?\d|2[0-3]):[0-5]\d(:[0-5]\d)?";

/// Words that need no definition of their own.
fn plain(holds: &str) -> Option<Value> {
    Some(match holds {
        "text" | "name" => text(),
        "anything" => json!({}),
        "nothing" => json!({ "type": "null" }),
        "date" => json!({ "type": "string", "pattern": DATE }),
        "moment" => json!({ "type": "string", "pattern": MOMENT }),
        "time" => json!({ "type": "string", "pattern": format!(r"^\s*{TIME}\s*$") }),
        "yes-no" => {
            let words = word_of(&["yes", "no", "unknown"]);
            json!({ "anyOf": [words, { "type": "boolean" }] })
        }
        "whole" => json!({ "type": ["integer", "string"], "minimum": 0, "pattern": r"^\s*\d+\s*$" }),
        "number" => {
            json!({ "type": ["number", "string"], "minimum": 0, "pattern": format!(r"^\s*{}\s*$", pattern::NUMBER) })
        }
        "factor" => {
            json!({ "type": ["number", "string"], "minimum": 0.5, "maximum": 3, "pattern": format!(r"^\s*{}\s*$", pattern::NUMBER) })
        }
        _ => return None,
    })
}

/// A scalar is the text that was typed, also where an editor takes it for a number or a yes.
fn text() -> Value {
    json!({ "type": ["string", "number", "boolean"] })
}

fn typed(pattern: String) -> Value {
    json!({ "type": "string", "pattern": pattern })
}

/// A number alone is one to an editor, and a text with a pattern if it is in quotes.
fn typed_or_number(pattern: String) -> Value {
    json!({ "type": ["string", "number"], "pattern": pattern })
}

/// The words as they are listed; capitals, and spaces for hyphens, are let pass.
fn word_of(known: &[&str]) -> Value {
    let spelled = |word: &&str| -> String {
        word.chars()
            .map(|sign| match sign {
                letter if letter.is_ascii_alphabetic() => {
                    format!("[{}{}]", letter.to_ascii_lowercase(), letter.to_ascii_uppercase())
                }
                '-' => "[-_\\s]".to_string(),
                other => other.to_string(),
            })
            .collect()
    };
    let pattern = known.iter().map(spelled).collect::<Vec<_>>().join("|");
    json!({ "anyOf": [{ "enum": known }, { "type": "string", "pattern": format!(r"^\s*({pattern})\s*$") }] })
}

fn of_dimensions(word: &str, rest: &str) -> Option<Value> {
    let wanted = || rest.split('/').map(dimension).collect::<Option<Vec<_>>>();
    Some(match word {
        "quantity" => typed(pattern::quantity(&wanted()?, false)),
        "bare" => typed_or_number(pattern::quantity(&wanted()?, true)),
        "range" => typed(pattern::range(&wanted()?, false)),
        "unit" => typed(format!(r"^\s*({})\s*$", pattern::unit(&wanted()?))),
        "lengths" => typed(pattern::lengths(rest.parse().ok()?)),
        _ => return None,
    })
}

fn dimension(name: &str) -> Option<Dimension> {
    Some(match name {
        "volume" => Dimension::Volume,
        "volume-rate" => Dimension::VolumeRate,
        "length" => Dimension::Length,
        "area" => Dimension::Area,
        "mass" => Dimension::Mass,
        "power" => Dimension::Power,
        "energy" => Dimension::Energy,
        "voltage" => Dimension::Voltage,
        "current" => Dimension::Current,
        "temperature" => Dimension::Temperature,
        "photon-flux" => Dimension::PhotonFlux,
        "illuminance" => Dimension::Illuminance,
        "luminous-flux" => Dimension::LuminousFlux,
        "salinity" => Dimension::Salinity,
        "specific-gravity" => Dimension::SpecificGravity,
        "conductivity" => Dimension::Conductivity,
        "fraction" => Dimension::Fraction,
        "speed" => Dimension::Speed,
        "tariff" => Dimension::Tariff,
        "count" => Dimension::Count,
        _ => return None,
    })
}

/// What depends on the parameter that it is of. Its unit may be left out where `usual-units` names it, which stands in
/// another file: the program says where it is missing, an editor cannot.
fn of_parameter(word: &str, parameter: Parameter) -> Option<Value> {
    let wanted = parameter.dimensions();
    Some(match word {
        "reading" => typed_or_number(pattern::bounded(wanted, true)),
        "band" => typed(pattern::range(wanted, true)),
        "value" => typed_or_number(pattern::quantity(wanted, true)),
        "uncertainty" => {
            let mut wanted = wanted.to_vec();
            wanted.push(Dimension::TemperatureDifference);
            typed_or_number(pattern::quantity(&wanted, true))
        }
        "unit" => typed(format!(r"^\s*({})\s*$", pattern::unit(wanted))),
        "concentration" => typed(pattern::quantity(&[Dimension::Concentration, Dimension::Alkalinity], false)),
        "raise" => {
            let dose = pattern::bare(&[Dimension::Volume, Dimension::Mass], false);
            let water = pattern::bare(&[Dimension::Volume], false);
            typed(format!(r"^\s*{dose} raises {water} by {}\s*$", pattern::bare(wanted, false)))
        }
        _ => return None,
    })
}

/// Types of a single place.
fn special(word: &str) -> Option<Value> {
    let every: BTreeSet<Dimension> =
        Parameter::ALL.iter().flat_map(|parameter| parameter.dimensions()).copied().collect();
    let every: Vec<Dimension> = every.into_iter().collect();
    let hours = format!(r"{TIME} to {TIME}");
    Some(match word {
        "duration" => typed(pattern::duration()),
        "signed-length" => typed(format!(r"^\s*[-−]?\s*{}\s*$", pattern::bare(&[Dimension::Length], false))),
        "water" => {
            let volume = pattern::bare(&[Dimension::Volume], false);
            typed(format!(r"^\s*({volume}(,\s*(counted at fill|tracer|stated|geometry))?|geometry)\s*$"))
        }
        "electricity" => {
            let one = pattern::bare(&[Dimension::Voltage, Dimension::Tariff, Dimension::Current], false);
            typed(format!(r"^\s*{one}(\s*,\s*{one})*\s*$"))
        }
        "hours" => typed(format!(r"^\s*{hours}\s*$")),
        "lid" => {
            let words = word_of(&["open", "closed"]);
            json!({ "anyOf": [words, typed(pattern::quantity(&[Dimension::Fraction], false))] })
        }
        "months" => {
            let one = pattern::bare(&[Dimension::Temperature, Dimension::Fraction], false);
            let month = format!("^({}|{})$", MONTHS.join("|"), MONTHS.map(|month| &month[..3]).join("|"));
            json!({
                "type": "object",
                "patternProperties": { (month): typed(format!(r"^\s*{one}(\s*,\s*{one})?\s*$")) },
                "additionalProperties": false
            })
        }
        "dimmed" => {
            typed(pattern::quantity(&[Dimension::Fraction, Dimension::PhotonFlux, Dimension::Illuminance], false))
        }
        "schedule" => {
            let ramp = pattern::duration();
            let ramp = ramp.trim_start_matches(r"^\s*").trim_end_matches(r"\s*$");
            let span = format!(r"{TIME}\s*(to|[-–])\s*{TIME}(\s*,\s*(ramp\s+({ramp})|({ramp})\s+ramp))?");
            typed(format!(r"^\s*(always|off|Always|Off|{span})\s*$"))
        }
        "fittings" => {
            let known = words::words("fitting")?;
            let count =
                json!({ "type": ["integer", "string"], "minimum": 0, "maximum": 1000, "pattern": r"^\s*\d+\s*$" });
            let properties: Map<String, Value> =
                known.iter().map(|word| ((*word).to_string(), count.clone())).collect();
            json!({ "type": "object", "properties": properties, "additionalProperties": false })
        }
        "curve" => {
            let flow = typed(pattern::quantity(&[Dimension::VolumeRate], false));
            let head = pattern::quantity(&[Dimension::Length], false);
            json!({ "type": "object", "patternProperties": { head: flow }, "additionalProperties": false })
        }
        "identity" => typed("^pp-[0-9a-hjkmnp-tv-z]{10}$".into()),
        "flow" => {
            let speed = pattern::bare(&[Dimension::Speed], false);
            typed(format!(r"^\s*({speed}|[^\d\s].*)$"))
        }
        "reading-any" => typed_or_number(pattern::bounded(&every, true)),
        "value-any" => typed_or_number(pattern::quantity(&every, true)),
        "kit-uncertainty" => {
            let mut wanted = every;
            wanted.push(Dimension::TemperatureDifference);
            let one = pattern::bare(&wanted, true);
            typed_or_number(format!(r"^\s*{one}(\s*\+\s*{one})?\s*$"))
        }
        "column" => {
            let mut named: BTreeMap<&[Dimension], Vec<&str>> = BTreeMap::new();
            for parameter in Parameter::ALL {
                named.entry(parameter.dimensions()).or_default().push(parameter.key());
            }
            let forms: Vec<String> = named
                .into_iter()
                .map(|(dimensions, keys)| {
                    let may = if dimensions == [Dimension::Acidity] { "?" } else { "" };
                    format!(r"({})(\s+({})){may}", keys.join("|"), pattern::unit(dimensions))
                })
                .collect();
            typed(format!(r"^\s*(time|{})\s*$", forms.join("|")))
        }
        "rows" => json!({
            "type": "array",
            "items": {
                "type": "array", "minItems": 4, "maxItems": 4,
                "items": typed_or_number(pattern::quantity(&[Dimension::Length, Dimension::PhotonFlux, Dimension::Illuminance], true))
            }
        }),
        "delimiter" => json!({ "enum": [",", ";", "tab", "\\t"] }),
        "decimal" => json!({ "enum": [".", ","] }),
        "web" => typed(r"^\s*https?://\S+\s*$".into()),
        "site" => typed(r"^\s*https://\S+\s*$".into()),
        "feed-tag" => typed(r"^\s*[a-z0-9.@_-]+,\d{4}(-\d{2}){0,2}\s*$".into()),
        "mark" => typed(r"^\s*(\d+:)?\d+:\d{1,2}\s*$".into()),
        "page" => {
            let quantities = Parameter::ALL.map(Parameter::key).join("|");
            typed(format!(
                r"^\s*(story/.+|colony/.+|equipment/.+|water/({quantities})|light|power|movement|heat|upkeep)\s*$"
            ))
        }
        _ => return None,
    })
}

/// A reading as a keeper would write it.
fn sample(parameter: Parameter) -> Value {
    Value::String(match parameter {
        Parameter::Ph => "8.1".into(),
        Parameter::Temperature | Parameter::RoomTemperature => format!("25.1 {}", parameter.unit()),
        Parameter::Salinity => "35 ppt".into(),
        Parameter::Alkalinity => "8.1 dKH".into(),
        Parameter::Nitrate => "below 2 mg/L NO3".into(),
        Parameter::Calcium => "420 mg/L".into(),
        Parameter::Magnesium => "1300 mg/L".into(),
        Parameter::Potassium => "390 mg/L".into(),
        Parameter::RoomHumidity => "50 %".into(),
        other => format!("0.05 {}", other.unit()),
    })
}

fn described(mut schema: Value, about: &str, examples: &[Value]) -> Value {
    if let Value::Object(schema) = &mut schema {
        schema.insert("description".into(), about.into());
        if !examples.is_empty() {
            schema.insert("examples".into(), Value::Array(examples.to_vec()));
        }
    }
    schema
}

/// `<a stand>` names the map `a stand`.
pub fn map_name(holds: &str) -> Option<&str> {
    holds.trim().strip_prefix('<')?.strip_suffix('>').filter(|name| !name.contains('<'))
}

/// `list(X)` as `list` and `X`.
pub fn call(holds: &str) -> Option<(&str, &str)> {
    holds.trim().strip_suffix(')')?.split_once('(')
}

/// The sides of `|` that stand outside of brackets.
pub fn alternatives(holds: &str) -> Vec<&str> {
    let (mut depth, mut from, mut found) = (0, 0, Vec::new());
    for (at, sign) in holds.char_indices() {
        match sign {
            '(' => depth += 1,
            ')' => depth -= 1,
            '|' if depth == 0 => {
                found.push(holds[from..at].trim());
                from = at + 1;
            }
            _ => {}
        }
    }
    found.push(holds[from..].trim());
    found
}
