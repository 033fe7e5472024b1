//! How figures open to what went into them, on the pages of the example.

use serde_json::Value;

use super::{Edition, example};

fn text(edition: &Edition, path: &str) -> String {
    String::from_utf8(edition[path].clone()).unwrap()
}

/// The working of a figure on its page, and what it is called there.
fn working<'p>(page: &'p str, id: &str) -> Option<&'p str> {
    let from = page.find(&format!("<details class=\"figure-row\" id=\"{id}\""))?;
    page[from..].split("</details>").next()
}

/// What a working lists, and what it leaves to other workings: how many inputs, and where.
fn listed(working: &str) -> (usize, Vec<(usize, &str)>) {
    let left = working
        .match_indices(" are the same as under <a href=\"#")
        .map(|(at, words)| {
            let sentence = working[..at].rsplit('>').next().unwrap();
            let count = sentence.split(' ').next().unwrap().parse().unwrap();
            (count, working[at + words.len()..].split('"').next().unwrap())
        })
        .collect();
    (working.matches("<tr><th scope=\"row\">").count(), left)
}

/// Nothing that went in is lost: what a working does not list, another one on the same page does.
#[test]
fn every_input_is_listed_or_stands_under_the_figure_that_is_named() {
    let edition = example();
    let figures: Value = serde_json::from_slice(&edition["figures.json"]).unwrap();
    let page = text(edition, "heat.html");
    let mut folded = 0;
    for figure in figures["figures"].as_array().unwrap() {
        let key = figure["key"].as_str().unwrap();
        if figure["tank"] != "." || !key.starts_with("heat.") {
            continue;
        }
        let id = format!("figure-{}", key.replace('.', "-"));
        let working = working(&page, &id).unwrap_or_else(|| panic!("{key} stands on the page"));
        let (rows, left) = listed(working);
        let inputs = figure["inputs"].as_array().unwrap().len();
        assert_eq!(rows + left.iter().map(|(count, _)| count).sum::<usize>(), inputs, "{key}");
        for (count, other) in left {
            let (rows, _) = listed(self::working(&page, other).unwrap_or_else(|| panic!("{other} stands on the page")));
            assert!(rows >= count, "{key} leaves {count} inputs to {other}, which lists {rows}");
            folded += 1;
        }
    }
    assert!(folded > 12, "the twelve months share what the balance rests on: {folded}");
}

#[test]
fn the_largest_share_of_the_uncertainty_is_listed_first() {
    let page = text(example(), "heat.html");
    let working = working(&page, "figure-heat-evaporation").unwrap();
    let shares: Vec<u32> = working
        .split("data-label=\"Share of u²\">")
        .skip(1)
        .filter_map(|rest| rest.split('\u{a0}').next()?.parse().ok())
        .collect();
    assert!(shares.len() > 2 && shares.is_sorted_by(|a, b| a >= b), "{shares:?}");
}

/// A survey stays at its address when a newer one comes; the page of the light shows the newest whole and names them all.
#[test]
fn each_light_survey_has_a_page() {
    let edition = example();
    let light = text(edition, "light.html");
    let keys = ["2024-10-19", "2025-05-03", "2025-05-11", "2026-05-16"];
    for key in keys {
        assert!(light.contains(&format!("href=\"light/{key}.html\"")), "{key}");
        let page = text(edition, &format!("light/{key}.html"));
        assert!(page.contains(&format!("id=\"chart-survey-{key}-3\"")), "the map 3 cm deep of {key}");
        assert_eq!(light.contains(&format!("id=\"chart-survey-{key}-3\"")), key == "2026-05-16", "{key}");
    }
    let second = text(edition, "light/2025-05-03.html");
    for beside in ["2024-10-19", "2025-05-11"] {
        assert!(second.contains(&format!("href=\"../light/{beside}.html\"")), "{beside}");
    }
}
