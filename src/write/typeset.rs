//! Words as they are set: a number is never parted from its unit at the end of a line.

use serde_json::Value;

/// Symbols that stay with the number before them. Those that are also English words (`in`, `a`) are not among them.
const UNITS: &[&str] = &[
    "%",
    "°C",
    "°F",
    "L",
    "mL",
    "gal",
    "g",
    "mg",
    "kg",
    "lb",
    "oz",
    "µm",
    "mm",
    "cm",
    "m",
    "ft",
    "cm²",
    "m²",
    "W",
    "Wh",
    "kWh",
    "kWh/day",
    "V",
    "A",
    "h",
    "min",
    "s",
    "dKH",
    "ppt",
    "ppm",
    "ppb",
    "mg/L",
    "µg/L",
    "g/L",
    "mg/L/day",
    "dKH/day",
    "mol/m²",
    "µmol/m²/s",
    "lx",
    "cm/s",
    "L/h",
    "gal/h",
    "L/day",
    "EUR",
    "EUR/kWh",
    "mS/cm",
    "mmol/L",
    "nm",
    "K",
];

/// A day is read with its month.
const MONTHS: &[&str] = &[
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Fields that hold no prose: links, keys, and what is shown as it would be typed or worked out.
fn is_left_alone(name: &str) -> bool {
    matches!(name, "href" | "path" | "id" | "iso" | "formula" | "numbers" | "record" | "data")
        || name.ends_with("_href")
}

/// Ties every text of a page's model. Markup, links, workings and what to type are left as they are.
pub fn tie_all(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            for (name, field) in fields {
                if !is_left_alone(name) {
                    tie_all(field);
                }
            }
        }
        Value::Array(items) => items.iter_mut().for_each(tie_all),
        Value::String(text) if !text.starts_with('<') => {
            if let Some(tied) = tied(text) {
                *text = tied;
            }
        }
        _ => {}
    }
}

/// The text with no-break spaces before units and months and around `±` and `×`; `None` where there is nothing to tie.
fn tied(text: &str) -> Option<String> {
    if !text.contains(' ') || !text.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let mut set = String::with_capacity(text.len() + 8);
    let mut changed = false;
    let mut rest = text;
    while let Some(space) = rest.find(' ') {
        let (before, after) = (&rest[..space], &rest[space + 1..]);
        set.push_str(before);
        let next = after.split([' ', ',', ';', ':', '?', '!', ')', '\n', '\u{a0}']).next().unwrap_or_default();
        let next = next.trim_end_matches('.');
        let last = before.chars().next_back();
        let ties = match last {
            Some(last) if last.is_ascii_digit() => {
                UNITS.contains(&next) || matches!(next, "±" | "×") || MONTHS.contains(&next)
            }
            Some('±' | '×') => after.starts_with(|c: char| c.is_ascii_digit()),
            _ => false,
        };
        set.push(if ties { '\u{a0}' } else { ' ' });
        changed |= ties;
        rest = after;
    }
    set.push_str(rest);
    changed.then_some(set)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit() {
        for (text, wanted) in [
            ("raised from 0.3 to 0.4 g a day", "raised from 0.3 to 0.4\u{a0}g a day"),
            ("Lamp at 75 %, 27 cm over it.", "Lamp at 75\u{a0}%, 27\u{a0}cm over it."),
            ("(4 h)", "(4\u{a0}h)"),
            ("90 × 40 × 38 cm", "90\u{a0}×\u{a0}40\u{a0}×\u{a0}38\u{a0}cm"),
            ("6.0 ± 0.8", "6.0\u{a0}±\u{a0}0.8"),
            ("it took 12 min.", "it took 12\u{a0}min."),
            ("until 28 March 2026", "until 28\u{a0}March 2026"),
        ] {
            assert_eq!(tied(text).as_deref(), Some(wanted));
        }
    }

    #[test]
    fn what_is_no_number_with_a_unit_stays() {
        for text in ["5 in all", "a h", "lot B 2", "2 Linckia", "one L", "12 a day"] {
            assert_eq!(tied(text), None, "{text}");
        }
    }

    #[test]
    fn markup_and_links_are_left_alone() {
        let mut value = serde_json::json!({"href": "a 1 L", "prose": "<p>1 L</p>", "list": [{"text": "1 L"}]});
        tie_all(&mut value);
        assert_eq!(value, serde_json::json!({"href": "a 1 L", "prose": "<p>1 L</p>", "list": [{"text": "1\u{a0}L"}]}));
    }
}
