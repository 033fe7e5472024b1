//! What a reading is worth: limits, readings of one day, methods, a new lot's offset.

use polypary::record::Parameter;
use polypary::units::Bound;

use super::{CARD, DROPS, TANK, worked};

fn series(log: &str) -> polypary::figures::readings::Series {
    let (_, findings) = worked(&[
        ("tank.yaml", TANK),
        ("supplies/card.yaml", CARD),
        ("supplies/drops.yaml", DROPS),
        ("log/2026.yaml", log),
    ]);
    findings.tanks["."].water.values().find(|state| !state.series.points.is_empty()).unwrap().series.clone()
}

#[test]
fn nothing_is_read_as_below_the_limit_and_never_as_zero() {
    let series = series(
        "2026-04-01: {nitrate: 0}\n2026-04-08: {nitrate: 1}\n2026-04-15: {nitrate: below 1}\n2026-04-22: {nitrate: 3}\n",
    );
    let read: Vec<(f64, Bound)> = series.points.iter().map(|point| (point.value, point.bound)).collect();
    assert_eq!(read, [(2.0, Bound::Below), (2.0, Bound::Below), (1.0, Bound::Below), (3.0, Bound::Exactly)]);
}

/// Two readings of u = 0.2 on one day: half of the variance stays, so u² = 0.04·(1 + 1/2)/2 and u = 0.1732.
#[test]
fn readings_of_one_day_count_as_one() {
    let series = series(
        "2026-04-01 20:00: {alkalinity: 8.0}\n2026-04-01 21:00: {alkalinity: 8.4}\n2026-04-08 20:00: {alkalinity: 8.1}\n",
    );
    let days = series.by_day();
    assert_eq!((series.points.len(), days.len()), (3, 2));
    assert!((days[0].value - 8.2).abs() < 1e-12);
    assert!((days[0].u - 0.03f64.sqrt()).abs() < 1e-12, "{}", days[0].u);
    assert_eq!(days[0].when.to_string(), "2026-04-01T20:30:00");
    assert_eq!(days[1].u, 0.2);
}

#[test]
fn another_method_is_another_series() {
    let series = series(
        "2026-04-01: {alkalinity: 8.0}\n2026-04-08:\n  alkalinity: {value: 8.3 dKH ± 0.1 dKH, method: laboratory}\n2026-04-15: {alkalinity: 8.1}\n",
    );
    assert_eq!(series.points.iter().map(|point| point.run).collect::<Vec<_>>(), [0, 1, 2]);
    assert_eq!(series.points[1].kit, None);
    assert!((series.points[1].u - 0.1).abs() < 1e-12);
    assert_eq!(series.breaks[0].after, "laboratory");
}

/// Absurd series end in words, not in numbers or a crash.
#[test]
fn too_little_to_go_on_is_said() {
    for (name, log) in [
        ("single", "2026-04-01: {alkalinity: 8.0}\n"),
        (
            "one-minute",
            "2026-04-01 20:00: {alkalinity: 8.0}\n2026-04-01 20:01: {alkalinity: 8.3}\n2026-04-01 20:02: {alkalinity: 7.9}\n",
        ),
        (
            "all-below",
            "2026-04-01: {nitrate: below 2}\n2026-04-11: {nitrate: below 2}\n2026-04-21: {nitrate: below 2}\n",
        ),
    ] {
        let (_, findings) = worked(&[
            ("tank.yaml", TANK),
            ("supplies/card.yaml", CARD),
            ("supplies/drops.yaml", DROPS),
            ("log/2026.yaml", log),
        ]);
        assert!(findings.tanks["."].uptake.is_empty(), "{name}");
        let parameter = if name == "all-below" { Parameter::Nitrate } else { Parameter::Alkalinity };
        let what = super::missing(&findings, &format!("water.{}.uptake", parameter.key()));
        assert!(what.starts_with("3 readings that the kit can see, over 14 days"), "{name}: {what}");
    }
}

#[test]
fn equal_readings_are_no_uptake_with_its_uncertainty() {
    let log: String = (1..=8).map(|n| format!("2026-04-{:02}: {{alkalinity: 8.0}}\n", 3 * n)).collect();
    let (_, findings) = worked(&[
        ("tank.yaml", TANK),
        ("supplies/card.yaml", CARD),
        ("supplies/drops.yaml", DROPS),
        ("log/2026.yaml", &log),
    ]);
    let figure = findings.figures.get(".", "water.alkalinity.uptake").unwrap();
    assert!(figure.value.abs() < 1e-9, "{}", figure.value);
    // 0.2/√Σ(t − t̄)², eight readings three days apart: Σ = 9·42.
    assert!((figure.uncertainty - 0.2 / 378f64.sqrt()).abs() < 1e-6, "{}", figure.uncertainty);
}

/// A row from reading to reading sums up as the ledger does. By hand: 8.0 dKH in 120 L, u a day; after seven days a fifth
/// is changed for water of 8.6; after seven more 7.5 is read: (8 − 7u)·0.8 + 0.2·8.6 − 7u = 7.5, so u = 0.62/12.6.
#[test]
fn what_changes_did_between_two_readings_closes_the_sum() {
    let (_, findings) = worked(&[
        ("tank.yaml", TANK),
        ("supplies/drops.yaml", DROPS),
        ("supplies/mix.yaml", super::SALT),
        ("supplies/card.yaml", CARD),
        (
            "log/2026.yaml",
            "2026-10-20 12:00: {alkalinity: 8.0}\n2026-10-27 12:00: {water-change: 24 L}\n2026-11-03 12:00: {alkalinity: 7.5}\n\
             2026-11-10 12:00: {alkalinity: 7.4}\n2026-11-24 12:00: {alkalinity: 7.2}\n",
        ),
    ]);
    let uptake = &findings.tanks["."].uptake[&Parameter::Alkalinity];
    let first = uptake.pairs[0];
    assert!((first.uptake - 0.62 / 12.6).abs() < 1e-9, "{first:?}");
    assert!((first.changed - (7.5 - 8.0 + 14.0 * 0.62 / 12.6)).abs() < 1e-9, "{first:?}");
    for pair in &uptake.pairs {
        assert!((pair.was + pair.came + pair.changed - pair.is - pair.uptake * pair.days).abs() < 1e-9, "{pair:?}");
    }
}

#[test]
fn an_uncertainty_that_a_supply_states_is_not_called_assumed() {
    let log = "2026-11-03 12:00: {alkalinity: 7.5}\n2026-11-10 12:00: {alkalinity: 7.4}\n";
    let basis = |drops: &str| {
        let (_, findings) = worked(&[
            ("tank.yaml", TANK),
            ("supplies/drops.yaml", drops),
            ("supplies/card.yaml", CARD),
            ("log/2026.yaml", log),
        ]);
        let figure = findings.figures.get(".", "water.alkalinity.visible-change").unwrap().clone();
        match figure.inputs.first() {
            Some(polypary::figures::Input::Root { basis, places, uncertainty, .. }) => {
                assert_eq!(*uncertainty, 0.0);
                (basis.word(), places.first().map(|place| place.file.clone()))
            }
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(basis(DROPS), ("stated", Some("supplies/drops.yaml".into())));
    let silent = "name: Drops\nkind: kit\nmeasures: alkalinity\nmethod: titration\n";
    assert_eq!(basis(silent), ("assumed", None));
}

/// What the readings leave open is an input like any other, with the lines of the readings, so that the shares add up.
#[test]
fn shares_of_uptake_and_level_add_up_to_one() {
    let log: String = (0..6)
        .map(|week| {
            format!(
                "2026-{}: {{alkalinity: {}}}\n",
                ["10-20", "10-27", "11-03", "11-10", "11-17", "11-24"][week],
                8.4 - 0.1 * week as f64
            )
        })
        .collect();
    let (_, findings) = worked(&[
        ("tank.yaml", TANK),
        ("supplies/drops.yaml", DROPS),
        ("supplies/card.yaml", CARD),
        ("log/2026.yaml", &log),
    ]);
    for key in ["water.alkalinity.uptake", "water.alkalinity.level"] {
        let figure = findings.figures.get(".", key).unwrap();
        let shares: Vec<(f64, usize)> = figure
            .inputs
            .iter()
            .map(|input| match input {
                polypary::figures::Input::Root { share, places, .. } => (*share, places.len()),
                other => panic!("{other:?}"),
            })
            .collect();
        assert!((shares.iter().map(|(share, _)| share).sum::<f64>() - 1.0).abs() < 1e-6, "{key}: {shares:?}");
        assert!(shares.iter().any(|(share, places)| *share > 0.2 && *places == 6), "{key}: {shares:?}");
    }
}
