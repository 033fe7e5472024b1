//! Outlook and advice, by numbers worked out by hand.

use polypary::figures::outlook::{Correct, Drift, Hold, Outlook};
use polypary::figures::water::Standing;
use polypary::record::Parameter;

use super::{DROPS, SALT, STOCK, TANK, missing, value, worked};

/// Alkalinity every week for eight weeks on a straight line, with nothing or a weekly dose.
fn falling(start: f64, a_day: f64, dose: &str) -> String {
    (0..9)
        .map(|week| {
            let date = jiff::civil::date(2026, 4, 1).saturating_add(jiff::Span::new().weeks(week));
            let dose = if week > 0 { dose } else { "" };
            format!("{date} 20:00:\n  alkalinity: {:.3}\n{dose}", start - a_day * 7.0 * week as f64)
        })
        .collect()
}

fn of_any(log: &str, more: &[(&str, &str)]) -> polypary::figures::Findings {
    let mut files = vec![
        ("tank.yaml", TANK),
        ("supplies/drops.yaml", DROPS),
        ("supplies/card.yaml", super::CARD),
        ("log/2026.yaml", log),
    ];
    files.extend_from_slice(more);
    worked(&files).1
}

fn of(bands: &str, log: &str, more: &[(&str, &str)]) -> (polypary::figures::Findings, Outlook) {
    let tank = format!("{TANK}{bands}");
    let mut files = vec![
        ("tank.yaml", tank.as_str()),
        ("supplies/drops.yaml", DROPS),
        ("supplies/card.yaml", super::CARD),
        ("log/2026.yaml", log),
    ];
    files.extend_from_slice(more);
    let (_, findings) = worked(&files);
    let outlook = findings.tanks["."].outlook[&Parameter::Alkalinity].clone();
    (findings, outlook)
}

/// By hand: 0.05 dKH a day in 120 L, 1000 meq/L is 2803.8 dKH, so a millilitre brings 2.8038 dKH·L; 0.05·120/2.8038 = 2.140 mL.
#[test]
fn the_dose_that_holds_a_value() {
    let log = falling(9.0, 0.05, "");
    let (findings, outlook) =
        of("bands: {alkalinity: 4 to 10}\ntargets: {alkalinity: 8 dKH}\n", &log, &[("supplies/stock.yaml", STOCK)]);
    assert!((value(&findings, "water.alkalinity.uptake") - 0.05).abs() < 1e-9);
    assert!((value(&findings, "water.alkalinity.dose-to-hold") - 2.140).abs() < 0.001);
    let Hold::Dose { stock, unit, now, .. } = &outlook.hold else { panic!("{:?}", outlook.hold) };
    assert_eq!((stock.as_str(), *unit, *now), ("stock", "mL", 0.0));
    assert!(outlook.target_set && outlook.target == 8.0);
    // Correction: from 9 − 0.05·56 = 6.2 to 8: 1.8·120/2.8038 = 77.04 mL, at 0.5 dKH a day on four days.
    let Correct::Raise { days, total, a_day, .. } = &outlook.correct else { panic!("{:?}", outlook.correct) };
    assert_eq!(*days, 4);
    assert!((total - 77.04).abs() < 0.01 && (a_day - 19.26).abs() < 0.01);
    assert!(a_day * 2.8038 / 120.0 <= 0.5, "no day rises by more than the brake");
    // It falls by 0.35 a week from 6.2: the lower edge of 4 is 44 days away.
    assert!((value(&findings, "water.alkalinity.days-in-band") - 44.0).abs() < 0.5);
}

/// The keeper's own words for the stock's strength, and what it is mixed from, give the same dose.
#[test]
fn three_ways_to_know_a_stock_agree() {
    let log = falling(9.0, 0.05, "");
    let bands = "bands: {alkalinity: 4 to 10}\n";
    let dose = |stock: &str| {
        let (findings, _) = of(bands, &log, &[("supplies/stock.yaml", stock)]);
        value(&findings, "water.alkalinity.dose-to-hold")
    };
    let stated = dose(STOCK);
    // 84.007 g of sodium hydrogen carbonate is a mole, one equivalent.
    let mixed =
        dose("name: S\nkind: stock\nmade-of: {substance: sodium hydrogen carbonate, mass: 84.007 g, volume: 1 L}\n");
    let watched = dose("name: S\nkind: stock\nraises: {alkalinity: 10 mL raises 100 L by 0.28038 dKH}\n");
    assert!((stated / mixed - 1.0).abs() < 1e-4, "{stated} {mixed}");
    assert!((stated / watched - 1.0).abs() < 1e-4, "{stated} {watched}");
}

#[test]
fn too_little_use_gets_no_dose() {
    let log = falling(8.0, 0.001, "");
    let (findings, outlook) = of("bands: {alkalinity: 7 to 9}\n", &log, &[("supplies/stock.yaml", STOCK)]);
    assert_eq!(outlook.hold, Hold::TooSmall);
    assert_eq!(outlook.correct, Correct::TooSmall);
    assert_eq!(
        missing(&findings, "water.alkalinity.dose-to-hold"),
        "more readings, or a finer kit: the uptake is smaller than the kit can see"
    );
    assert!(!outlook.target_set);
}

#[test]
fn without_a_stock_it_says_what_to_record() {
    let log = falling(9.0, 0.05, "");
    let (findings, outlook) = of("bands: {alkalinity: 4 to 10}\n", &log, &[("supplies/salt.yaml", SALT)]);
    assert_eq!(outlook.hold, Hold::NoStock);
    assert!(missing(&findings, "water.alkalinity.dose-to-hold").contains("strength: {alkalinity"));
}

/// By hand: level 9 and target 8.1; new water of 7.5 asks for (9 − 8.1)/(9 − 7.5) of 120 L = 72 L, on two days.
#[test]
fn a_high_value_is_lowered_by_water_or_by_use() {
    let mut log = falling(9.0, 0.0, "  dose: {stock: {total: 30 mL, over: 7 days}}\n");
    log = log.replacen("  alkalinity", "  water-change: 1 mL\n  alkalinity", 1);
    let salt = "name: Mix\nkind: salt\nstrength: {alkalinity: 7.5 dKH}\n";
    let (findings, outlook) =
        of("bands: {alkalinity: 7.2 to 9}\n", &log, &[("supplies/stock.yaml", STOCK), ("supplies/salt.yaml", salt)]);
    // 30 mL a week is 30·2.8038/120/7 a day, all of it used.
    assert!((value(&findings, "water.alkalinity.uptake") - 0.10014).abs() < 2e-4);
    let Correct::Lower { change: Some(change), by_use: Some(days) } = outlook.correct else {
        panic!("{:?}", outlook.correct)
    };
    assert!((change.litres - 72.0).abs() < 0.5, "{}", change.litres);
    assert_eq!(change.days, 2);
    assert!((days - 8.99).abs() < 0.05, "{days}");
}

/// Food that brings more nitrogen than is used needs no dose. By hand: 1 g a day of 7 % nitrogen is 310 mg NO₃, 2.58 mg/L.
#[test]
fn food_counts_before_any_dose() {
    let log: String = (0..9)
        .map(|week| {
            let date = jiff::civil::date(2026, 4, 1).saturating_add(jiff::Span::new().weeks(week));
            let feed = if week > 0 { "  feed: {flake: {total: 7 g, over: 7 days}}\n" } else { "" };
            format!("{date} 20:00:\n  nitrate: {}\n{feed}", 5 + week)
        })
        .collect();
    let flake = "name: Flake\nkind: food\nnitrogen: 7 %\n";
    let tank = format!("{TANK}bands: {{nitrate: 2 to 20}}\n");
    let (_, findings) = worked(&[
        ("tank.yaml", &tank),
        ("supplies/flake.yaml", flake),
        ("supplies/drops.yaml", DROPS),
        ("supplies/card.yaml", super::CARD),
        ("log/2026.yaml", &log),
    ]);
    let came = 70.0 * 4.4266 / 120.0;
    assert!((value(&findings, "water.nitrate.uptake") - (came - 1.0 / 7.0)).abs() < 0.005);
    let Hold::NoDose { surplus } = findings.tanks["."].outlook[&Parameter::Nitrate].hold else { panic!() };
    assert!((surplus - 1.0 / 7.0).abs() < 0.005);
}

/// A use that new water makes good is no uptake too small to see. By hand: a tenth changed each week for water of 30 dKH,
/// 8 dKH before each: 0.1·(30 − 8)/7 = 0.314 dKH a day are used, and at 8.1 the changes bring 12/7·(30 − 8.1)/120 = 0.313.
#[test]
fn what_new_water_makes_good_is_told_as_that() {
    let log = falling(8.0, 0.0, "  water-change: 12 L\n").replacen(
        "alkalinity: 8.000\n",
        "alkalinity: 8.000\n  water-change: 12 L\n",
        1,
    );
    let rich = "name: Mix\nkind: salt\nstrength: {alkalinity: 30 dKH}\n";
    let (findings, outlook) =
        of("bands: {alkalinity: 7 to 9}\ntargets: {alkalinity: 8.1 dKH}\n", &log, &[("supplies/mix.yaml", rich)]);
    assert!((value(&findings, "water.alkalinity.uptake") - 2.2 / 7.0).abs() < 1e-6);
    let Hold::AsMuchComes { rest, u } = outlook.hold else { panic!("{:?}", outlook.hold) };
    assert!((rest - (2.2 / 7.0 - 12.0 / 7.0 * 21.9 / 120.0)).abs() < 1e-6, "{rest}");
    assert!(u > rest);
    assert!(
        missing(&findings, "water.alkalinity.dose-to-hold").contains("food and new water bring as much as is used")
    );
}

/// One test for both: inside only by 1.645 standard uncertainties. The latest reading, 8.65 ± 0.2, is: 8.979 is less than
/// 9. The level by all readings carries what the kit reads high throughout beside what the readings leave open, and is not.
#[test]
fn the_page_and_its_outlook_stand_by_one_test() {
    let (findings, outlook) = of("bands: {alkalinity: 7 to 9}\n", &falling(8.65, 0.0, ""), &[]);
    assert_eq!(findings.tanks["."].water[&Parameter::Alkalinity].standing, Standing::Inside);
    assert_eq!(outlook.drift, Drift::AtTheEdge(Standing::TooCloseToTell));
    let (level, u) = outlook.level;
    assert!(level + 1.645 * u > 9.0 && u > 0.2, "{level} {u}");
    let (_, outlook) = of("bands: {alkalinity: 7 to 9}\n", &falling(8.0, 0.0, ""), &[]);
    assert!(!matches!(outlook.drift, Drift::AtTheEdge(_)), "{:?}", outlook.drift);
}

/// A ratio to what may as well be none has no upper end, and is not told.
#[test]
fn a_ratio_to_what_may_be_none_is_not_told() {
    let nutrients = |phosphate: &str| {
        let log: String = (0..9)
            .map(|week| {
                let date = jiff::civil::date(2026, 10, 1).saturating_add(jiff::Span::new().weeks(week));
                format!("{date} 20:00: {{nitrate: 8, phosphate: {{value: {phosphate} mg/L PO4, kit: meter}}}}\n")
            })
            .collect();
        let meter = "name: Meter\nkind: kit\nmeasures: phosphate\nmethod: photometer\nuncertainty: 0.03 mg/L PO4\n";
        of_any(&log, &[("supplies/meter.yaml", meter)])
    };
    let clear = nutrients("0.20");
    // 8/0.2 by mass, by moles 40 · 94.97/62.00 = 61.3.
    assert!((value(&clear, "water.n-to-p") - 61.3).abs() < 0.1, "{}", value(&clear, "water.n-to-p"));
    let faint = nutrients("0.04");
    assert!(faint.figures.get(".", "water.n-to-p").is_none());
    assert_eq!(missing(&faint, "water.n-to-p"), "a finer kit for phosphate: what there is cannot be told from none");
}
