//! What every drawing must and must not contain, whatever it is given.

use std::collections::BTreeSet;

use jiff::ToSpan;
use jiff::civil::{Date, date};

use super::*;

fn day(number: i32) -> Date {
    date(2025, 10, 1).checked_add(number.days()).expect("a date of this decade")
}

fn reading(number: i32, value: f64, bound: Bound) -> Point {
    Point { time: day(number).at(19, 0, 0, 0), value, u: 0.5, bound, label: None }
}

fn full_chart() -> TimeChart {
    let exact = |number| reading(number, 6.0 - f64::from(number) * 0.01, Bound::Exactly);
    TimeChart {
        id: "nitrate & more".into(),
        title: "Nitrate <year>".into(),
        description: "Readings \"with\" bars".into(),
        unit: "mg/L <NO₃>".into(),
        from: day(0),
        to: day(364),
        band: Some((Some(2.0), Some(10.0))),
        band_labels: ("bottom of band".into(), "top of band".into()),
        series: vec![
            Series { points: (1..20).map(|n| exact(n * 8)).collect(), ..Default::default() },
            Series {
                mark: Mark::Square,
                points: (20..30)
                    .map(|n| reading(n * 8, 2.0, Bound::Below))
                    .chain((31..45).map(|n| exact(n * 8)))
                    .collect(),
                ..Default::default()
            },
        ],
        breaks: vec![Break { date: day(160), before_label: "lot 1".into(), after_label: "lot 2 <b>".into() }],
        gaps: vec![(day(232), day(248))],
        trend: Some(TrendLine {
            from: day(260),
            to: day(350),
            value_from: 3.0,
            value_to: 4.0,
            low_from: 2.5,
            low_to: 3.4,
            high_from: 3.5,
            high_to: 4.6,
            label: "trend".into(),
        }),
        doses: (0..60).map(|n| Amount { date: day(n * 6), amount: 1.2, label: String::new() }).collect(),
        dose_label: "dose, mL".into(),
        water_changes: vec![Amount { date: day(30), amount: 10.0, label: String::new() }],
        lanes: vec![
            LaneEvent { date: day(40), lane: Lane::Lamp, number: 1, text: "90 → 100 %".into() },
            LaneEvent { date: day(90), lane: Lane::Work, number: 2, text: "a & b".into() },
        ],
        decimals: 1,
        quiet_days: vec![day(240)],
        ..Default::default()
    }
}

/// What holds for every drawing.
fn check(svg: &str) {
    let classes: BTreeSet<&str> = svg.split("class=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert!(classes.iter().all(|class| !class.is_empty()), "{svg}");
    assert!(svg.starts_with("<svg class=\"chart ") && svg.ends_with("</svg>\n"));
    assert!(svg.contains("role=\"img\" aria-labelledby=\""));
    assert!(svg.contains("<title id=\"") && svg.contains("<desc id=\""));
    // Colours and type belong to the style sheet. `url(#…)` names a pattern or a marker.
    let without_references = svg.replace("url(#", "");
    for forbidden in ["#", "rgb(", "style=", "font-", "opacity", "sans-serif", "stroke=", "xmlns", "NaN", "inf"] {
        assert!(!without_references.contains(forbidden), "{forbidden} in {svg}");
    }
    assert!(
        !svg.contains("fill=\"")
            || svg.replace("fill=\"url(#", "").replace("fill=\"none\"", "").find("fill=\"").is_none()
    );
    let ids: Vec<&str> = svg.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "{ids:?}");
    for reference in svg.split("url(#").skip(1).filter_map(|rest| rest.split(')').next()) {
        assert!(ids.contains(&reference), "{reference} is nowhere in {ids:?}");
    }
    for tag in ["svg", "text", "defs", "marker", "pattern", "title", "desc"] {
        let opened = svg.matches(&format!("<{tag}>")).count() + svg.matches(&format!("<{tag} ")).count();
        assert_eq!(opened, svg.matches(&format!("</{tag}>")).count(), "{tag}");
    }
}

fn check_time_chart(chart: &TimeChart) {
    let drawn = draw_time_chart(chart);
    let multiple = draw_multiple(chart);
    [&drawn.wide, &drawn.narrow, &multiple].into_iter().for_each(|svg| check(svg));
}

#[test]
fn a_full_chart_has_all_its_parts() {
    let chart = full_chart();
    let drawn = draw_time_chart(&chart);
    check_time_chart(&chart);
    for svg in [&drawn.wide, &drawn.narrow] {
        for class in [
            "band",
            "band-edge",
            "axis",
            "grid",
            "err a",
            "err2 a",
            "pt a",
            "cens",
            "cens-line",
            "gap",
            "break",
            "trend b",
            "ribbon b",
            "dose",
            "wc",
            "drop",
            "ev",
            "evn",
            "lane",
            "quiet",
            "hatch",
        ] {
            assert!(svg.contains(&format!("class=\"{class}\"")), "{class} in {svg}");
        }
        for words in ["no readings", "lot 1", "What changed", ">lamp<", ">losses<", ">below 2<"] {
            assert!(svg.contains(words), "{words} in {svg}");
        }
        assert!(svg.contains("mg/L &lt;NO₃&gt;") && svg.contains("Nitrate &lt;year&gt;"));
        assert!(svg.contains("lot 2 &lt;b&gt;"));
    }
    assert!(drawn.wide.contains("viewBox=\"0 0 940 ") && drawn.narrow.contains("viewBox=\"0 0 340 "));
    assert!(drawn.wide.contains("top of band, 10") && drawn.wide.contains("bottom of band, 2"));
    assert!(drawn.wide.contains("2.5\u{a0}±\u{a0}0.5 on\u{a0}18\u{a0}Sep"), "{}", drawn.wide);
    assert!(drawn.wide.contains("a &amp; b"));
    assert!(draw_multiple(&chart).contains("viewBox=\"0 0 300 112\""));
}

#[test]
fn the_same_chart_is_drawn_in_the_same_bytes_and_wide_and_narrow_share_no_id() {
    let (one, other) = (draw_time_chart(&full_chart()), draw_time_chart(&full_chart()));
    assert_eq!(one, other);
    check(&format!("{}{}", one.wide.trim_end(), one.narrow).replacen("</svg>\n", "</svg>\n", 1));
}

#[test]
fn a_limit_is_an_open_triangle_and_never_a_dot() {
    let mut chart = full_chart();
    chart.series = vec![Series {
        points: vec![reading(50, 2.0, Bound::Below), reading(355, 40.0, Bound::Above)],
        ..Default::default()
    }];
    let drawn = draw_time_chart(&chart);
    for svg in [&drawn.wide, &drawn.narrow, &draw_multiple(&chart)] {
        check(svg);
        assert!(!svg.contains("class=\"pt"), "{svg}");
        assert!(!svg.contains("class=\"err"), "{svg}");
        assert_eq!(svg.matches("class=\"cens\"").count(), 2);
        assert!(svg.contains("class=\"cens-line\""));
    }
    // The dashed line of the lower limit ends on the baseline, where zero is.
    let dashes = drawn.wide.split("class=\"cens-line\"").nth(1).and_then(|rest| rest.split("/>").next());
    assert!(dashes.is_some_and(|line| line.contains("y1=\"308.4\"") && line.contains("y2=\"320\"")), "{dashes:?}");
    assert!(drawn.wide.contains(">above 40.0 on\u{a0}21\u{a0}Sep<"), "{}", drawn.wide);
}

/// A leader over nine empty months would be read as nine months of one value.
#[test]
fn a_last_reading_far_from_the_edge_is_named_where_it_stands() {
    let mut chart = full_chart();
    chart.series = vec![Series { points: vec![reading(90, 4.0, Bound::Exactly)], ..Default::default() }];
    chart.trend = None;
    let far = draw_time_chart(&chart).wide;
    assert!(!far.contains("class=\"lead\""), "{far}");
    assert!(far.contains(">4.0\u{a0}±\u{a0}0.5<"), "{far}");
    chart.series = vec![Series { points: vec![reading(355, 4.0, Bound::Exactly)], ..Default::default() }];
    let near = draw_time_chart(&chart).wide;
    assert!(near.contains("on\u{a0}21\u{a0}Sep<"), "{near}");
}

#[test]
fn nothing_but_changes_is_drawn_without_a_plot() {
    let full = full_chart();
    let only = TimeChart { from: full.from, to: full.to, lanes: full.lanes.clone(), ..Default::default() };
    check_time_chart(&only);
    for svg in [draw_time_chart(&only).wide, draw_time_chart(&only).narrow] {
        assert!(!svg.contains("no readings") && !svg.contains(">What changed<") && svg.contains(">lamp<"), "{svg}");
        // Seven lanes of 22 units and two rows of dates: nothing is as tall as a plot.
        let size = svg.split("viewBox=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
        let height: f64 = size.split(' ').nth(3).unwrap().parse().unwrap();
        assert!(height < 240.0, "{height}");
        let drops = svg.split("class=\"drop\" d=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
        for run in drops.split(['v', 'm']).skip(1).filter_map(|run| run.split([' ', '-']).next()?.parse::<f64>().ok()) {
            assert!(run.abs() < height, "{drops}");
        }
    }
}

#[test]
fn nothing_one_thing_and_endless_time_are_drawn_too() {
    check_time_chart(&TimeChart::default());
    let week = TimeChart { from: day(0), to: day(6), ..Default::default() };
    check_time_chart(&week);
    assert!(draw_time_chart(&week).wide.contains(">no readings<"));
    let mut one = full_chart();
    one.series.truncate(1);
    one.series[0].points.truncate(1);
    check_time_chart(&one);
    let mut equal = full_chart();
    equal.band = None;
    equal.trend = None;
    equal.series.iter_mut().flat_map(|series| &mut series.points).for_each(|point| {
        (point.value, point.u) = (8.0, 0.0);
    });
    check_time_chart(&equal);
    let mut endless = full_chart();
    (endless.from, endless.to) = (Date::MIN, Date::MAX);
    check_time_chart(&endless);
    let mut backwards = full_chart();
    (backwards.from, backwards.to) = (backwards.to, backwards.from);
    check_time_chart(&backwards);
    let mut broken = full_chart();
    broken.band = Some((Some(f64::NAN), Some(f64::INFINITY)));
    broken.series[0].points[0].value = f64::NAN;
    broken.series[0].points[1].u = f64::INFINITY;
    broken.series[0].points[2].value = 1e300;
    broken.daily = Some(vec![DailyRange { date: day(3), mean: f64::NAN, low: 1.0, high: 2.0 }]);
    check_time_chart(&broken);
    let mut crowd = full_chart();
    crowd.lanes = (0..300)
        .map(|n| LaneEvent { date: day(n), lane: Lane::ALL[n as usize % 7], number: n as u32 + 1, text: "x".into() })
        .collect();
    check_time_chart(&crowd);
    let discs = draw_time_chart(&crowd).wide.matches("class=\"evn\"").count();
    assert!((1..=25).contains(&discs), "{discs}");
}

#[test]
fn five_hundred_readings_and_twenty_years_of_days_stay_small() {
    let mut chart = full_chart();
    (chart.from, chart.to) = (day(0), day(2500));
    chart.lanes.clear();
    chart.series = vec![Series {
        points: (0..500).map(|n| reading(n * 5, 8.0 + f64::from(n % 7) * 0.1, Bound::Exactly)).collect(),
        ..Default::default()
    }];
    let size = draw_time_chart(&chart).wide.len();
    assert!(size < 18_000, "{size}");
    chart.series.clear();
    (chart.from, chart.to) = (day(0), day(7300));
    let range = |n: i32| DailyRange { date: day(n), mean: 25.0, low: 24.5 - f64::from(n % 5) * 0.1, high: 25.5 };
    chart.daily = Some((0..7300).map(range).collect());
    let drawn = draw_time_chart(&chart);
    check(&drawn.wide);
    assert!(drawn.wide.contains("class=\"range a\"") && drawn.wide.contains("class=\"trace a\""));
    assert!(drawn.wide.len() < 20_000, "{}", drawn.wide.len());
}

#[test]
fn a_computed_an_assumed_and_a_stated_line_look_different() {
    let points = vec![
        LinePoint { date: day(10), value: 4.0, low: 3.0, high: 5.0 },
        LinePoint { date: day(200), value: 5.0, low: 4.0, high: 6.0 },
    ];
    let line = |basis| ValueLine { basis, label: "x".into(), points: points.clone() };
    let chart =
        |basis| TimeChart { series: vec![], trend: None, gaps: vec![], lines: vec![line(basis)], ..full_chart() };
    let computed = draw_time_chart(&chart(LineBasis::Computed)).wide;
    let assumed = draw_time_chart(&chart(LineBasis::Assumed)).wide;
    let stated = draw_time_chart(&chart(LineBasis::Stated)).wide;
    [&computed, &assumed, &stated].into_iter().for_each(|svg| check(svg));
    assert!(computed.contains("\"ribbon b\"") && computed.contains("\"trend b\""));
    assert!(assumed.contains("\"guess b\"") && assumed.contains("\"trend b dash\"") && assumed.contains("\"gap\""));
    assert!(stated.contains("\"trace stated\"") && !stated.contains("ribbon"));
}

#[test]
fn a_reading_outside_the_band_is_joined_to_its_edge() {
    let mut chart = full_chart();
    chart.series.truncate(1);
    assert!(!draw_time_chart(&chart).wide.contains("plumb"));
    chart.series[0].points.push(reading(360, 14.0, Bound::Exactly));
    assert!(draw_time_chart(&chart).wide.contains("class=\"plumb\""));
    assert!(draw_multiple(&chart).contains("class=\"plumb\""));
}

#[test]
fn days_bars_and_plans_are_drawn_and_survive_nothing() {
    let curve = DayCurve {
        id: "lamp".into(),
        unit: "%".into(),
        lines: vec![
            ("blue <450>".into(), vec![(8.0, 0.0), (12.0, 90.0), (20.0, 0.0), (30.0, 5.0)]),
            ("white".into(), vec![(8.0, 0.0), (12.0, f64::NAN), (20.0, 30.0)]),
        ],
        y_max: Some(100.0),
        ..Default::default()
    };
    let bar = |basis, u| Bar { label: "lamp & pump".into(), value: 120.0, u, basis, note: "8 h".into() };
    let bars = Bars {
        id: "power".into(),
        unit: "kWh".into(),
        rows: vec![
            bar(BarBasis::Measured, 10.0),
            bar(BarBasis::Stated, 0.0),
            bar(BarBasis::Computed, 20.0),
            bar(BarBasis::Assumed, f64::NAN),
            Bar { value: -4.0, ..Default::default() },
        ],
        ..Default::default()
    };
    let plan = Plan {
        id: "light".into(),
        unit: "µmol/m²/s".into(),
        unit_of_length: "cm".into(),
        length: 90.0,
        width: 45.0,
        points: vec![PlanPoint { x: 10.0, y: 10.0, value: 180.0 }],
        colonies: vec![PlanColony { x: 60.0, y: 30.0, label: "finger leather".into() }],
        ..Default::default()
    };
    let drawings = [
        draw_day_curve(&curve),
        draw_day_curve(&DayCurve::default()),
        draw_bars(&bars),
        draw_bars(&Bars::default()),
        draw_plan(&plan),
        draw_plan(&Plan::default()),
    ];
    for drawn in &drawings {
        check(&drawn.wide);
        check(&drawn.narrow);
    }
    assert!(drawings[0].wide.contains("blue &lt;450&gt;") && drawings[0].wide.contains(">24:00<"));
    assert!(drawings[2].wide.contains("120\u{a0}±\u{a0}10") && drawings[2].wide.contains("computed, 8 h"));
    assert!(drawings[2].wide.contains(">−4<"));
    assert!(drawings[4].wide.contains(">180<") && drawings[4].wide.contains(">finger leather<"));
    assert!(drawings[4].narrow.contains(">A<") && drawings[4].narrow.contains(">finger leather<"));
}

/// 292.5 of 365 days are four fifths of the bar; the number stands in a share that has room for it, and nowhere else.
#[test]
fn a_year_is_parted_as_its_days_are() {
    let shares = Shares {
        id: "bands".into(),
        title: "Days".into(),
        description: "Where it stood.".into(),
        names: ["inside", "too close", "outside", "not known"].map(String::from),
        rows: vec![
            ShareRow { label: "Nitrate".into(), parts: [292.0, 0.0, 71.0, 2.0], note: "80 %".into() },
            ShareRow { label: "Nothing".into(), ..ShareRow::default() },
        ],
    };
    let drawn = draw_shares(&shares);
    for svg in [&drawn.wide, &drawn.narrow] {
        check(svg);
        assert!(svg.contains(">292<") && svg.contains(">71<") && !svg.contains(">2<"), "{svg}");
        assert!(!svg.contains("Nothing"), "a whole of no days is not drawn");
    }
    let widths: Vec<f64> = drawn
        .narrow
        .split("<rect ")
        .skip(1)
        .filter(|rect| rect.contains("height=\"16\""))
        .filter_map(|rect| rect.split("width=\"").nth(1)?.split('"').next()?.parse().ok())
        .collect();
    // 338 units across: 338 × 292 ∕ 365 = 270.4, 338 × 71 ∕ 365 = 65.7, 338 × 2 ∕ 365 = 1.9.
    assert_eq!(widths, [270.4, 65.7, 1.9]);
}
