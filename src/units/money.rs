//! Money and the price of energy, whose unit is a currency and not one of the catalogue.

use super::Dimension;
use super::catalogue::{MONEY, TARIFF, Unit};
use super::lookup::fold;

/// A currency, alone or a kilowatt hour. Three capitals are taken for a currency's code (ISO 4217) where money is
/// wanted, or where they are no unit.
pub(super) fn priced(unit: &str, wanted: &[Dimension], is_no_unit: bool) -> Option<(&'static Unit, String)> {
    let folded = fold(unit);
    let (currency, priced) = match folded.split_once('/') {
        Some((currency, energy)) if energy.eq_ignore_ascii_case("kWh") => (currency, &TARIFF),
        Some(_) => return None,
        None => (folded.as_str(), &MONEY),
    };
    let is_code = currency.len() == 3 && currency.bytes().all(|letter| letter.is_ascii_uppercase());
    let currency = match currency {
        "€" => "EUR",
        "£" => "GBP",
        "US$" => "USD",
        "$" | "¥" | "kr" | "zł" | "Kč" | "Ft" | "₹" => currency,
        _ if is_code && (is_no_unit || wanted.contains(&priced.dimension)) => currency,
        _ => return None,
    };
    // Three capitals by themselves are a currency only where money is wanted.
    let plainly_money = priced.dimension == Dimension::Tariff || !is_code;
    (plainly_money || wanted.contains(&Dimension::Money)).then(|| (priced, currency.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_currency_is_told_from_other_capitals() {
        let found = |text: &str, wanted: &[Dimension], is_no_unit| {
            priced(text, wanted, is_no_unit).map(|(unit, currency)| (unit.dimension, currency))
        };
        let money = |currency: &str| Some((Dimension::Money, currency.to_string()));
        let tariff = |currency: &str| Some((Dimension::Tariff, currency.to_string()));
        assert_eq!(found("EUR/kWh", &[Dimension::Tariff], true), tariff("EUR"));
        assert_eq!(found("€ / kWh", &[Dimension::Tariff], true), tariff("EUR"));
        assert_eq!(found("US$ per kWh", &[Dimension::Tariff], true), tariff("USD"));
        assert_eq!(found("kr/kWh", &[Dimension::Tariff], true), tariff("kr"));
        assert_eq!(found("GBP/kWh", &[Dimension::Power], true), tariff("GBP"));
        assert_eq!(found("CHF", &[Dimension::Money], true), money("CHF"));
        assert_eq!(found("$", &[Dimension::Volume], true), money("$"));
        // Cents of which currency is not said.
        assert_eq!(found("ct/kWh", &[Dimension::Tariff], true), None);
        assert_eq!(found("PSU", &[Dimension::Salinity], false), None);
        assert_eq!(found("ABC", &[Dimension::Volume], true), None);
        assert_eq!(found("EUR/month", &[Dimension::Tariff], true), None);
    }
}
