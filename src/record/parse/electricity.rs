//! `electricity` of a `tank.yaml`: voltage, prices, ratings and protection.

use crate::diagnostic::Kind;
use crate::read::{Content, Node};
use crate::record::fields::{self, Context, Fields};
use crate::record::tank::{Electricity, OffPeak};
use crate::record::timeline::Located;
use crate::units::{self, Dimension};

pub fn electricity(node: &Node, in_list: bool, context: &mut Context) -> Option<Electricity> {
    let node = match (in_list, node.get("value")) {
        (true, Some(value)) => value,
        _ => node,
    };
    let Content::Map(_) = &node.content else {
        let typed = fields::text(node, context)?;
        let mut found = Electricity::default();
        for part in typed.value.split(',') {
            match units::parse(part.trim(), &[Dimension::Voltage, Dimension::Tariff, Dimension::Current], None) {
                Ok(quantity) => {
                    let located = Located::new(quantity, typed.place.clone());
                    match located.value.dimension {
                        Dimension::Voltage => found.voltage = Some(located),
                        Dimension::Current => found.circuit_rating = Some(located),
                        _ => found.tariff = Some(located),
                    }
                }
                Err(problem) => {
                    let wanted = [Dimension::Voltage, Dimension::Tariff];
                    context.note(fields::problem_kind(problem, "electricity", part.trim(), &wanted), &typed.place);
                }
            }
        }
        return Some(found);
    };
    let mut map = Fields::of(node, "electricity", context)?;
    map.take("since");
    let found = Electricity {
        voltage: map.quantity("voltage", &[Dimension::Voltage], context),
        tariff: map.quantity("tariff", &[Dimension::Tariff], context),
        off_peak: map.take("off-peak").map(|node| off_peak(node, context)).unwrap_or_default(),
        circuit_rating: map.quantity("circuit-rating", &[Dimension::Current, Dimension::Power], context),
        ground_fault: map.yes_no_or_unknown("ground-fault", context),
        drip_loops: map.yes_no_or_unknown("drip-loops", context),
    };
    map.finish(context);
    for stretch in &found.off_peak {
        if let Some(tariff) = &found.tariff
            && tariff.value.currency != stretch.price.value.currency
        {
            let name = |quantity: &units::Quantity| quantity.currency.clone().unwrap_or_default();
            let kind = Kind::Contradiction {
                what: "two prices in two currencies".into(),
                why: format!("the tariff is in {}, these hours in {}", name(&tariff.value), name(&stretch.price.value)),
                suggestion: None,
            };
            context.note(kind, &stretch.price.place);
        }
    }
    Some(found)
}

/// One stretch of the day with a price of its own, or a list of them.
fn off_peak(node: &Node, context: &mut Context) -> Vec<OffPeak> {
    fields::items(node)
        .into_iter()
        .filter_map(|item| {
            let mut map = Fields::of(item, "off-peak hours", context)?;
            let example = "hours: 22:00 to 08:00";
            let hours = map.need("hours", example, context).and_then(|node| fields::text(node, context));
            let price = map
                .need("price", "price: 0.13 EUR/kWh", context)
                .and_then(|node| fields::quantity(node, "price", &[Dimension::Tariff], None, context));
            map.finish(context);
            let hours = hours?;
            let Some((from, to)) = hours.value.split_once(" to ") else {
                let wanted = format!("two times of day, as `{example}`");
                context.note(Kind::NotANumber { typed: hours.value, wanted }, &hours.place);
                return None;
            };
            let from = fields::parse_time(from, &hours.place, context)?;
            let to = fields::parse_time(to, &hours.place, context)?;
            Some(OffPeak { from, to, price: price? })
        })
        .collect()
}
