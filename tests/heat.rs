//! Heat of whole records: against a tank worked by hand from handbooks, with little written, and with nonsense.

mod support;

use jiff::civil::date;
use polypary::figures::{Basis, Figure, Findings};
use polypary::record::Record;

/// The figures of a record and what was told of it.
fn worked(files: &[(&str, &str)]) -> (Record, Findings, String) {
    let worked = support::worked(support::laid(files).path(), date(2026, 6, 1));
    (worked.record, worked.findings, worked.told)
}

fn figure<'f>(findings: &'f Findings, key: &str) -> &'f Figure {
    findings.figures.get(".", key).unwrap_or_else(|| {
        let missing: Vec<_> = findings.figures.missing.iter().map(|m| (&m.key, &m.what_to_record)).collect();
        panic!("{key} is not there; missing: {missing:?}")
    })
}

fn near(findings: &Findings, key: &str, expected: f64, within: f64) {
    let found = figure(findings, key).value;
    assert!((found - expected).abs() <= within, "{key}: {found}, by hand {expected} ± {within}");
}

/// Worked by hand below. Panes of 8 mm, a bottom of 10 mm, no sump, no sand, an open top, 75 L.
const TANK: &str = "name: Bay
started: 2023-01-10
zone: Europe/Lisbon
size: 60 x 40 x 40 cm
glass: 8 mm
bottom-glass: 10 mm
water-depth: 35 cm
lid: open
mat: 0 mm
water: 75 L, counted at fill
room: 18 to 28 °C
room-humidity: 50 to 50 %
";
const PUMP: &str = "name: Stream\nrole: circulation-pump\nin-service: 2023-01-10\nwatts: 10 W\nposition: in-water\n";
const LAMP: &str = "name: Bar\nrole: lamp\nin-service: 2023-01-10\nwatts: 50 W\nposition: over-water\nsettings: {schedule: 08:00 to 20:00}\n";
const HEATER: &str = "name: Rod\nrole: heater\nin-service: 2023-01-10\nwatts: 100 W\nsettings: {temperature: 25 °C}\n";
const LOG: &str = "2026-05-30:\n  salinity: 35 ppt\n  note: all quiet\n";

fn by_hand() -> Vec<(&'static str, &'static str)> {
    vec![
        ("tank.yaml", TANK),
        ("equipment/pump.yaml", PUMP),
        ("equipment/lamp.yaml", LAMP),
        ("equipment/heater.yaml", HEATER),
        ("equipment/jug.yaml", "name: Jug\nrole: top-off\nin-service: 2023-01-10\nreservoir: 5 L\n"),
        ("log/2026.yaml", LOG),
    ]
}

/// Resistances of air 0.13, 0.17 and 0.10 m² K/W: ISO 6946. Glass 1 W/(m K): EN 673. Saturation pressures in kPa of
/// ASHRAE Handbook Fundamentals 2017, chapter 1, table 3 (from memory): 18 °C 2.0647, 22 °C 2.6453, 23 °C 2.8110, 24 °C
/// 2.9851, 25 °C 3.1697, 26 °C 3.3637, 27 °C 3.5681, 28 °C 3.7831, 39 °C 6.9979, 40 °C 7.3844. Evaporation: ASHRAE
/// Handbook HVAC Applications, indoor pools: 89 W/(m² kPa), activity 0.5 to 1 (from memory). Latent heat at 25 °C
/// 2441.7 kJ/kg: steam tables. Heat of a litre: 3993 × 1.0233 J.
#[test]
fn a_tank_worked_by_hand_gives_the_same_figures() {
    let (_, findings, told) = worked(&by_hand());
    assert_eq!(told, "");
    // Sides 2 × (0.6 + 0.4) × 0.35 / (0.13 + 0.008) = 5.0725, bottom 0.24 / (0.17 + 0.010) = 1.3333,
    // surface 0.584 × 0.384 / 0.10 = 2.2426: K = 8.6484 W/K. Evaporating: 0.75 × 0.224256 × 89 = 14.969 W/kPa.
    // Slope of the saturation pressure at 25 °C: (3.3637 − 2.9851)/2 = 0.1893; 8.6484 + 14.969 × 0.1893.
    near(&findings, "heat.loss", 11.482, 0.01);
    // Coldest day 18 °C: 8.6484 × 7 + 14.969 × (3.1697 − 0.5 × 2.0647) = 60.54 + 31.99 W; the pump gives 0.9 × 10 W.
    near(&findings, "heat.heater-needed", 83.53, 0.05);
    // In the middle of the room's range, 23 °C: 8.6484 × 2 + 14.969 × (3.1697 − 1.4055) = 17.30 + 26.41 W, of which pump
    // and lamp (25 W in the mean, a share of 0.35) give 9 + 8.75: 25.96 of 100 W.
    near(&findings, "heat.heater-duty", 25.96, 0.1);
    // 14.969/89 × 0.089 kg/s of the 1.7642 kPa over 2441.7 kJ/kg: 0.9345 kg a day, over 0.997 kg/L.
    near(&findings, "heat.evaporation", 0.9373, 0.001);
    // Hottest day 28 °C: 17.75 = 8.6484 (T − 28) + 14.969 (p(T) − 1.8916). At 27 °C 16.45, at 27.1 °C (3.5891) 17.63.
    near(&findings, "heat.hottest-day", 27.11, 0.01);
    // Stuck, every input on the warm side: K × 0.7 = 6.0539, 0.5 × 0.224256 × 89 = 9.9794 W/kPa, 100 + 10 + 0.6 × 25 W in a
    // room of 28 °C. At 39.8 °C (7.306) 71.44 + 54.03 = 125.47, at 39.7 °C (7.267) 70.83 + 53.64 = 124.47: 39.75 °C.
    // A watt moves it by 1/(6.0539 + 9.9794 × 0.384) = 0.1012 °C. Uncertainties: room 0.5 °C × 0.724, heater 2.3 W, pump 0.5 W,
    // lamp 0.39 W, length 0.53 W, width 0.74 W, depth 0.34 W: together 0.446 °C, one-sided 95 % 0.734 °C.
    // 40.48, and up to the next tenth.
    near(&findings, "heat.stuck-heater-temperature", 40.5, 1e-9);
    // No power, every input on the cold side, 18 °C: 1.3 K = 11.243 W/K, 19.959 W/kPa. At 25 °C 78.70 + 42.66 = 121.36 W, at
    // 22 °C 44.97 + 32.19 = 77.16 W, logarithmic mean 97.60 W; 75 L hold 85.13 Wh/K: 3 × 85.13 / 97.60.
    // Uncertainties: volume 5 %, setting 0.2 °C × 85.13/121.36 h, room 0.5 °C × 12.54 W/K of 97.60 W, length, width and depth
    // 0.4, 0.6 and 0.3 %: together 0.256 h, one-sided 95 % 0.421 h.
    // 2.196, and down to the next tenth.
    near(&findings, "heat.power-cut-hours", 2.1, 1e-9);
    // 35 × 75/(75 − 0.9373) − 35; 35 × 75/80; 75 × (35/33 − 1); 5/0.9373.
    near(&findings, "topup.salinity-per-day", 0.4430, 0.001);
    near(&findings, "topup.full-dump-salinity", 32.8125, 1e-9);
    near(&findings, "topup.largest-harmless", 4.5455, 1e-4);
    near(&findings, "topup.reservoir-days", 5.334, 0.005);
}

/// A sitter's step begins where the tank is found, not where it is set. Of the tank above with a band of 24 to 26 °C "too hot"
/// is 27 °C and "too cold" 23 °C; 22 and 30 °C are where somebody is called. With 2.8110 and 2.6453 kPa at 23 and 22 °C,
/// 3.5681 at 27 and 4.2460 at 30 °C (same table, from memory):
/// - every heater on: 125 W given, lost at 27 °C −6.05 + 16.73 = 10.68 W, at 30 °C 12.11 + 23.50 = 35.61 W; logarithmic mean of
///   114.32 and 89.39 W is 101.3 W: 3 × 85.13 / 101.3 = 2.52 h. Uncertainty: volume 5 %, heater 2.3 %, room 0.5 °C × 7.15 W/K of
///   101.3 W, the rest small: 0.165 h, one-sided 0.27 h.
/// - no power: at 23 °C 56.22 + 35.50 = 91.72 W, at 22 °C 77.16 W, logarithmic mean 84.2 W: 85.13 / 84.2 = 1.011 h. Uncertainty:
///   volume 5 %, room 0.5 °C × 12.5 W/K of 84.2 W: 0.091 h, one-sided 0.150 h.
#[test]
fn a_sitters_hours_count_from_where_the_step_begins() {
    let tank = format!("{TANK}bands: {{temperature: 24 to 26 °C}}\n");
    let mut files = by_hand();
    files[0].1 = &tank;
    let (record, mut findings, told) = worked(&files);
    assert_eq!(told, "");
    let period = polypary::figures::stay::Period { from: date(2026, 6, 2), to: date(2026, 6, 6) };
    let stay = polypary::figures::stay::work_out(&record, &record.tanks["."], &mut findings, period);
    assert_eq!(
        (stay.limits.hot, stay.limits.call_hot, stay.limits.cold, stay.limits.call_cold),
        (27.0, 30.0, 23.0, 22.0)
    );
    near(&findings, "stay.stuck-heater-hours", 2.2, 1e-9);
    near(&findings, "stay.power-cut-hours", 0.8, 1e-9);
    assert!(figure(&findings, "heat.stuck-heater-hours").value > 3.0);
    // No sump: nothing is stranded by the return pump.
    assert!(findings.figures.get(".", "stay.no-return-hours").is_none());
    let working = &figure(&findings, "stay.stuck-heater-hours").method.substituted;
    assert!(working.contains("from 27 to 30 °C → 2.5") && working.contains(" h, less 1.645 × 0.1"), "{working}");
}

/// The bounds lie beyond the likely values, on the side that they guard.
#[test]
fn bounds_lie_on_the_safe_side() {
    let (_, findings, _) = worked(&by_hand());
    let value = |key: &str| figure(&findings, key).value;
    assert!(value("heat.stuck-heater-temperature") > value("heat.stuck-heater-estimate"));
    assert!(value("heat.power-cut-hours") < value("heat.power-cut-estimate"));
    assert!(value("heat.hottest-day-fan") < value("heat.hottest-day"));
    // 100 W into 85.13 Wh/K lift 5 °C in 4.26 h without any loss or any pump; the balance before took away what it gave.
    assert!((2.0..10.0).contains(&value("heat.stuck-heater-hours")), "{}", value("heat.stuck-heater-hours"));
}

#[test]
fn what_comes_in_goes_out() {
    let (_, findings, _) = worked(&by_hand());
    let heat = &findings.tanks["."].heat;
    let sum = |flows: &[polypary::figures::heat::Flow]| flows.iter().map(|flow| flow.watts).sum::<f64>();
    assert!((sum(&heat.gains) - sum(&heat.losses)).abs() < 1e-6, "{:?} {:?}", heat.gains, heat.losses);
    assert_eq!(heat.gains.len(), 3);
    assert_eq!(heat.working_temperature.map(f64::round), Some(25.0));
    // In a warm room pumps and lamp alone make it warmer than it is set, and it closes all the same.
    let warm = TANK.replace("18 to 28", "27 to 28");
    let mut files = by_hand();
    files[0].1 = &warm;
    let (_, findings, _) = worked(&files);
    let heat = &findings.tanks["."].heat;
    assert!(heat.over_target && heat.working_temperature.is_some_and(|celsius| celsius > 25.5));
    assert!((sum(&heat.gains) - sum(&heat.losses)).abs() < 1e-6);
    assert_eq!(heat.gains.len(), 2);
}

/// A sump of 5 mm panes in a room of 20 °C, by hand: walls 2 × 0.6 × 0.2/(0.13 + 0.005) = 1.7778, bottom 0.08/(0.17 +
/// 0.005) = 0.4571, surface 0.39 × 0.19/0.10 = 0.741 W/K; in a cabinet 0.65 of it (the middle of 0.3 to 1): 1.9344 W/K.
#[test]
fn a_sump_loses_by_its_own_panes() {
    let with = |sump: &str| {
        let tank = TANK.replace("18 to 28", "20 to 20") + sump;
        let mut files = by_hand();
        files[0].1 = &tank;
        let (_, findings, told) = worked(&files);
        assert_eq!(told, "");
        let heat = &findings.tanks["."].heat;
        let watts = |label: &str| heat.losses.iter().find(|flow| flow.label == label).map(|flow| (flow.watts, flow.u));
        let (sump, u) = watts("Sump").unwrap();
        (sump / (heat.working_temperature.unwrap() - 20.0), u)
    };
    let (thin, u) = with("sump: {size: 40 x 20 x 30 cm, glass: 5 mm, water-depth: 20 cm}\n");
    assert!((thin - 1.9344).abs() < 1e-3, "{thin}");
    let (thick, _) = with("sump: {size: 40 x 20 x 30 cm, glass: 20 mm, water-depth: 20 cm}\n");
    assert!(thick < 0.95 * thin, "{thick} {thin}");
    // A depth that nobody wrote makes it no smaller than it is: it is counted, and wide.
    let (unknown, wide) = with("sump: {size: 40 x 20 x 30 cm}\n");
    assert!(unknown > 0.7 * thin && wide / unknown > 1.05 * u / thin, "{unknown} {wide} {u}");
}

/// The hottest day with a chiller: 17.75 W are given (above), and at 25.5 °C in a room of 28 °C the tank takes 8.6484 × 2.5 −
/// 14.969 × (3.2654 − 1.8916) = 21.62 − 20.56 W more from the room, so a chiller that holds 25.5 °C must take 18.81 W; 3.2654
/// kPa is the mean of the table's 25 and 26 °C, less 0.0013 for the bend of the curve. With 200 W printed it is held; with
/// 10 W, of which 8 are counted in the mean (0.6 to 1), the water stands where 9.75 W are given: between 26.4 and 26.5 °C.
#[test]
fn a_chiller_holds_the_hottest_day_as_far_as_it_can() {
    let with = |watts: u32, holds: &str| {
        let chiller = format!(
            "name: Cold box\nrole: chiller\nin-service: 2023-01-10\nspec: box\nsettings: {{temperature: {holds}}}\n"
        );
        let sheet = format!("---\nname: Box\nkind: chiller\ncooling: {watts} W\n---\n");
        let mut files = by_hand();
        files.extend([("equipment/box.yaml", chiller.as_str()), ("specs/box.md", sheet.as_str())]);
        worked(&files).1
    };
    near(&with(200, "25.5 °C"), "heat.hottest-day-chiller", 25.5, 1e-9);
    near(&with(24, "25.5 °C"), "heat.hottest-day-chiller", 25.5, 0.01);
    // 22 W printed, 17.6 W in the mean, are 1.2 W too few: 1.2/11.7 °C above.
    near(&with(22, "25.5 °C"), "heat.hottest-day-chiller", 25.6, 0.02);
    let weak = figure(&with(10, "25.5 °C"), "heat.hottest-day-chiller").value;
    assert!((26.4..26.5).contains(&weak), "{weak}");
    near(&with(200, "30 °C"), "heat.hottest-day-chiller", 27.11, 0.01);
    // In a room so warm that it runs, what comes in still goes out, the chiller's part among it.
    let warm = TANK.replace("18 to 28", "27 to 28");
    let box_file =
        "name: Cold box\nrole: chiller\nin-service: 2023-01-10\nspec: box\nsettings: {temperature: 25.2 °C}\n";
    let mut files = by_hand();
    files[0].1 = &warm;
    files.extend([("equipment/box.yaml", box_file), ("specs/box.md", "---\nname: Box\ncooling: 100 W\n---\n")]);
    let (_, findings, _) = worked(&files);
    let heat = &findings.tanks["."].heat;
    let sum = |flows: &[polypary::figures::heat::Flow]| flows.iter().map(|flow| flow.watts).sum::<f64>();
    assert!(heat.losses.iter().any(|flow| flow.label == "Chiller" && flow.watts > 5.0), "{:?}", heat.losses);
    assert!((sum(&heat.gains) - sum(&heat.losses)).abs() < 1e-6, "{:?} {:?}", heat.gains, heat.losses);
    assert!((heat.working_temperature.unwrap() - 25.2).abs() < 1e-9);
}

/// Ten lines and the watts of a heater: figures, each with the width that so little deserves.
#[test]
fn a_short_record_gets_wide_figures() {
    let tank = "name: Kitchen lagoon\nstarted: 2024-09-07\nzone: Europe/Lisbon\nsize: 60 x 40 x 40 cm\n\
                water: 75 L, counted at fill\nroom: 18 to 27 °C\nelectricity: 230 V, 0.24 EUR/kWh\n";
    let heater = "name: Rod\nrole: heater\nin-service: 2024-09-07\nwatts: 75 W\n";
    let (_, findings, told) = worked(&[("tank.yaml", tank), ("equipment/heater.yaml", heater)]);
    assert_eq!(told, "");
    for key in ["heat.loss", "heat.heater-needed", "heat.evaporation", "heat.hottest-day", "heat.power-cut-estimate"] {
        let figure = figure(&findings, key);
        assert_eq!(figure.basis, Basis::Computed);
        let assumed = findings.figures.graph.assumed_roots_of(figure.node);
        assert!(!assumed.is_empty(), "{key} rests on nothing assumed");
        assert!(figure.uncertainty > 0.0, "{key} claims to be exact");
    }
    // Known lid, glass, depth and humidity make it narrower.
    let (_, known, _) = worked(&by_hand());
    let width = |findings: &Findings, key: &str| {
        let figure = figure(findings, key);
        figure.uncertainty / figure.value
    };
    for key in ["heat.loss", "heat.evaporation"] {
        assert!(width(&findings, key) > 1.2 * width(&known, key), "{key}");
    }
    // A bound is one number, beyond the likely one.
    assert!(
        figure(&findings, "heat.stuck-heater-temperature").value
            > figure(&findings, "heat.stuck-heater-estimate").value
    );
}

#[test]
fn what_is_missing_is_told() {
    let tank = "name: Bay\nstarted: 2023-01-10\nzone: Europe/Lisbon\nsize: 60 x 40 x 40 cm\nwater: 75 L, stated\n";
    let told = |tank: &str, key: &str| {
        let (_, findings, _) = worked(&[("tank.yaml", tank)]);
        let missing = findings.figures.missing.iter().find(|missing| missing.key == key);
        missing.map(|missing| missing.what_to_record.clone()).unwrap_or_default()
    };
    assert!(told(tank, "heat.loss").contains("`room: 18 to 27 °C`"));
    assert!(told(&tank.replace("size: 60 x 40 x 40 cm\n", "room: 18 to 27 °C\n"), "heat.loss").contains("`size:"));
    let with_room = format!("{tank}room: 18 to 27 °C\n");
    assert!(told(&with_room, "heat.stuck-heater-temperature").contains("a heater"));
    // A reservoir is asked for where a top-off is, and only there.
    assert_eq!(told(&with_room, "topup.reservoir-days"), "");
    let jug = ("equipment/jug.yaml", "name: Jug\nrole: top-off\nin-service: 2023-01-10\n");
    let (_, findings, _) = worked(&[("tank.yaml", &with_room), jug]);
    let missing = findings.figures.missing.iter().find(|missing| missing.key == "topup.reservoir-days");
    assert!(missing.is_some_and(|missing| missing.what_to_record.contains("`reservoir: 10 L`")));
}

#[test]
fn nonsense_is_refused_or_named() {
    for (line, words) in [
        ("lid: 150 %", "lid out of range"),
        ("lid: half", "lid"),
        ("room-by-month: {januari: 18 °C}", "january"),
        ("room-by-month: {january: 180 °C}", "room temperature out of range"),
        ("room-by-month: {january: 18 W}", "temperature"),
        ("limits: {temperature: 30 to 21 °C}", "30"),
        ("limits: {warmth: 20 to 30 °C}", "temperature"),
        ("electricity: {tariff: 0.24 EUR/kWh, off-peak: {hours: 22 to 8, price: 0.1 EUR/kWh}}", "22"),
        (
            "electricity: {tariff: 0.24 EUR/kWh, off-peak: {hours: \"22:00 to 08:00\", price: 0.1 USD/kWh}}",
            "currencies",
        ),
        ("electricity: {tariff: 0.24 EUR/kWh, off-peak: {price: 0.1 EUR/kWh}}", "hours"),
    ] {
        let tank = format!("{}{line}\n", TANK.replace("lid: open\n", ""));
        let _name = format!("nonsense-{}", line.len());
        let (_, _, told) = worked(&[("tank.yaml", &tank)]);
        assert!(!told.is_empty() && told.contains(words), "{line}: {told}");
    }
    // A room so hot that the formula ends, and a tank of no size, say nothing rather than something wrong.
    for (from, to) in [("room: 18 to 28 °C", "room: 50 to 54 °C"), ("size: 60 x 40 x 40 cm", "size: 1 x 1 x 40 cm")] {
        let tank = TANK.replace(from, to);
        let (_, findings, _) = worked(&[("tank.yaml", &tank), ("equipment/h.yaml", HEATER)]);
        for figure in findings.figures.of_tank(".") {
            assert!(figure.value.is_finite() && figure.uncertainty.is_finite(), "{to}: {}", figure.key);
        }
    }
}

/// A logged top-off tells how freely the surface evaporates; a log of something else is named and not used.
#[test]
fn the_log_calibrates_the_surface_or_is_flagged() {
    let log = |litres: f64| {
        let mut log = String::new();
        for week in 0..8 {
            let day = date(2026, 4, 4).checked_add(jiff::Span::new().days(7 * week)).unwrap();
            log.push_str(&format!("{day}:\n  top-off: {litres} L\n"));
        }
        log
    };
    let with = |_name: &str, litres: f64| {
        let text = log(litres);
        let mut files = by_hand();
        files.retain(|(path, _)| *path != "log/2026.yaml");
        let (_, findings, told) = worked(&[files, vec![("log/2026.yaml", text.as_str())]].concat());
        assert_eq!(told, "");
        findings
    };
    // By hand above: 0.9373 L a day at 0.75; 7 L a week are 1 L a day: 0.75 × 1/0.9373.
    let findings = with("calibrated", 7.0);
    near(&findings, "heat.evaporation-factor", 0.8002, 0.001);
    near(&findings, "heat.evaporation-difference", 0.0627, 0.001);
    assert!(findings.tanks["."].heat.evaporation_words[1].starts_with("The two agree"));
    let without = worked(&by_hand()).1;
    let width = |findings: &Findings| {
        figure(findings, "heat.power-cut-estimate").value - figure(findings, "heat.power-cut-hours").value
    };
    assert!(width(&findings) < width(&without));
    // Ten times as much is no evaporation.
    let findings = with("leak", 70.0);
    assert!(findings.tanks["."].heat.evaporation_words[1].starts_with("More is topped off"));
    assert_eq!(figure(&findings, "heat.power-cut-hours").value, figure(&without, "heat.power-cut-hours").value);
}
