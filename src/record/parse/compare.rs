//! `compare:` of `tank.yaml`: pairs of dates to be shown side by side.

use jiff::civil::Date;

use crate::diagnostic::Kind;
use crate::read::Node;
use crate::record::fields::{self, Context, Fields};
use crate::record::tank::Pair;

/// Every pair that makes sense; what is wrong with the others is told.
pub fn pairs(node: &Node, started: Option<Date>, context: &mut Context) -> Vec<Pair> {
    fields::items(node).into_iter().filter_map(|item| pair(item, started, context)).collect()
}

fn pair(node: &Node, started: Option<Date>, context: &mut Context) -> Option<Pair> {
    let mut map = Fields::of(node, "a pair of dates", context)?;
    let from = map.need("from", "from: 2025-04-12", context).and_then(|node| fields::past_date(node, context));
    let to = map.need("to", "to: 2026-04-12", context).and_then(|node| fields::past_date(node, context));
    let title = map.plain("title", context);
    let colony = map.take("colony").and_then(|node| fields::name(node, context));
    let place = map.place().clone();
    map.finish(context);
    let (from, to) = (from?, to?);
    let wrong = if to.value <= from.value {
        Some((&to, "the pair does not end after it begins".to_string(), format!("it begins on {}", from.value)))
    } else {
        started.filter(|started| from.value < *started).map(|started| {
            let what = "the pair begins before the tank".to_string();
            (&from, what, format!("the tank was first filled on {started}"))
        })
    };
    if let Some((date, what, why)) = wrong {
        context.note(Kind::Contradiction { what, why, suggestion: None }, &date.place);
        return None;
    }
    Some(Pair { from: from.value, to: to.value, title, colony, place })
}
