//! What stands between the water and its room in a `tank.yaml`: the lid, and the room month by month.

use std::collections::BTreeMap;

use crate::diagnostic::{Kind, nearest};
use crate::read::Node;
use crate::record::fields::{self, Context, Fields};
use crate::record::tank::{MONTHS, RoomMonth};
use crate::record::timeline::Located;
use crate::units::{self, Dimension};

/// `open`, `closed`, or the share of the surface that is covered: `60 %`.
pub fn lid(node: &Node, context: &mut Context) -> Option<Located<f64>> {
    let typed = fields::text(node, context)?;
    match typed.value.to_lowercase().as_str() {
        "open" | "none" | "no" => return Some(Located::new(0.0, typed.place)),
        "closed" | "yes" => return Some(Located::new(1.0, typed.place)),
        _ => {}
    }
    let share = fields::quantity(node, "lid", &[Dimension::Fraction], None, context)?;
    fields::in_range("lid", &share.value, &share.place, (0.0, 1.0), context)
        .then(|| Located::new(share.value.value, share.place))
}

/// A map of months to `18.4 °C, 46 %`, either of which may stand alone.
pub fn by_month(node: &Node, context: &mut Context) -> BTreeMap<i8, RoomMonth> {
    let mut found = BTreeMap::new();
    let Some(mut map) = Fields::of(node, "the room by month", context) else {
        return found;
    };
    for (name, key, value) in map.rest() {
        let number = MONTHS.iter().position(|month| *month == name || (name.len() == 3 && month.starts_with(&name)));
        let Some(number) = number else {
            let kind = Kind::WrongWord {
                what: "month".into(),
                typed: name.clone(),
                allowed: MONTHS.iter().map(|month| month.to_string()).collect(),
                nearest: nearest(&name, MONTHS),
            };
            context.note(kind, &key.place);
            continue;
        };
        let number = number as i8 + 1;
        if let Some(earlier) = found.get(&number).and_then(place_of) {
            let kind = Kind::DuplicateName { name, what: "month".into() };
            let diagnostic = crate::diagnostic::Diagnostic::new(kind, key.place.clone());
            context.diagnostics.push(diagnostic.with_related(earlier, "the other one".to_string()));
            continue;
        }
        if let Some(month) = month(value, context) {
            found.insert(number, month);
        }
    }
    found
}

fn place_of(month: &RoomMonth) -> Option<crate::diagnostic::Place> {
    month.temperature.as_ref().or(month.humidity.as_ref()).map(|located| located.place.clone())
}

fn month(node: &Node, context: &mut Context) -> Option<RoomMonth> {
    let typed = fields::text(node, context)?;
    let mut month = RoomMonth::default();
    let wanted = [Dimension::Temperature, Dimension::Fraction];
    for part in typed.value.split(',') {
        let quantity = match units::parse(part.trim(), &wanted, None) {
            Ok(quantity) => quantity,
            Err(problem) => {
                context.note(fields::problem_kind(problem, "room-by-month", part.trim(), &wanted), &typed.place);
                return None;
            }
        };
        let warm = quantity.dimension == Dimension::Temperature;
        let (what, limits) = if warm { ("room temperature", (-20.0, 55.0)) } else { ("room humidity", (0.0, 1.0)) };
        if !fields::in_range(what, &quantity, &typed.place, limits, context) {
            return None;
        }
        let slot = if warm { &mut month.temperature } else { &mut month.humidity };
        *slot = Some(Located::new(quantity, typed.place.clone()));
    }
    Some(month)
}
