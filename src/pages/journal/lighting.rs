//! What follows from the light: levels that suit the colonies, ageing, steps over weeks, and the lamp's own spectrum.

use jiff::civil::Date;

use super::gear::device_link;
use super::view::*;
use crate::figures::light::{ColonyLevels, LampLight, Plan, PlanFor};
use crate::figures::{Figure, number};
use crate::pages::chart::{self, XyChart, XyLine, XyZone};
use crate::pages::model::light::*;
use crate::pages::model::*;

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", fixed(100.0 * share, 0))
}

fn name_of(view: &View, colony: &str) -> String {
    view.record.colonies.get(colony).map_or(colony.to_string(), |colony| colony.name.value.clone())
}

/// Says that nobody measured, where the colonies' light rests on the maker's numbers.
pub fn without_meter(view: &View) -> String {
    if view.figure("light.estimate.surface").is_none() {
        return String::new();
    }
    "Nobody has measured here: this is worked out from what the lamp’s maker states, spread over the footprint and taken \
     through the water, and it may be half or twice as much. A survey with a borrowed quantum meter makes it sure to a \
     tenth; even a lux app in a bag tells more than the sheet."
        .into()
}

/// The levels that put each colony, and most of them, into their bands.
pub fn levels(view: &View) -> Option<Levels> {
    let dimming = view.of.lighting.dimming.as_ref()?;
    let lamp = device_link(view, &dimming.lamp).text;
    let how = if dimming.is_measured {
        "by the lamp’s measured dimming"
    } else {
        "if light follows the level in proportion, which only a measured dimming curve would tell"
    };
    let mut sentence = format!("{lamp} stands at {} today. ", percent(dimming.level_now));
    if let Some((key, level, (low, high))) = &dimming.for_most {
        let inside = dimming.colonies.iter().filter(|colony| is_inside(colony)).count();
        let spread =
            view.figure(key).map_or(String::new(), |figure| format!(" ± {}", number(figure.uncertainty.round())));
        sentence.push_str(&format!(
            "Most colonies are in their bands between {} and {}: at {}{spread}\u{a0}%, {inside} of {}, {how}.",
            percent(*low),
            percent(*high),
            fixed(100.0 * level, 0),
            dimming.colonies.len()
        ));
    }
    let rows = dimming.colonies.iter().map(|colony| level_row(view, colony)).collect();
    let apart = dimming
        .apart
        .iter()
        .map(|(one, other)| {
            format!(
                "No one level puts both {} and {} into their bands where they stand.",
                name_of(view, one),
                name_of(view, other)
            )
        })
        .collect();
    Some(Levels {
        sentence,
        table: Table {
            caption: "Level of the lamp for each colony’s band".into(),
            head: vec![
                HeadCell::text("Colony"),
                HeadCell::text("Band, µmol/m²/s"),
                HeadCell::text("Levels for it"),
                HeadCell::number("Its middle at"),
                HeadCell::number("At level for most"),
                HeadCell::text("Then it is"),
            ],
            rows,
        },
        apart,
        elsewhere: dimming.colonies.iter().filter_map(|colony| elsewhere(view, colony)).collect(),
    })
}

fn is_inside(colony: &ColonyLevels) -> bool {
    colony.at_most.is_some_and(|light| (colony.band.0..=colony.band.1).contains(&light))
}

fn level_row(view: &View, colony: &ColonyLevels) -> Vec<Cell> {
    let (low, high) = colony.band;
    let levels = match colony.levels {
        Some((from, to)) if from <= 0.0 => format!("up to {}", percent(to)),
        Some((from, to)) => format!("{} to {}", percent(from), percent(to)),
        None => "none: full level is too little here".into(),
    };
    let middle = match colony.figure.as_ref().and_then(|key| view.figure(key)) {
        Some(figure) => {
            let shown = view.value_of(figure);
            let words = format!("{} {}\u{a0}%", shown.number, shown.spread.unwrap_or_default());
            Cell::number(words).linked(format!("#{}", anchor(&figure.key))).known(Basis::Computed)
        }
        None => Cell::number("not reached"),
    };
    let stands = match colony.at_most {
        None => "–",
        Some(light) if light < low => "below",
        Some(light) if light > high => "above",
        Some(_) => "inside",
    };
    vec![
        Cell::header(name_of(view, &colony.colony)),
        Cell::text(format!("{} to {}", fixed(low, 0), fixed(high, 0))),
        Cell::text(levels),
        middle,
        Cell::number(colony.at_most.map_or("–".into(), |light| format!("{}\u{a0}µmol/m²/s", fixed(light, 0)))),
        Cell::text(stands),
    ]
}

/// Where a colony that is not in its band would be.
fn elsewhere(view: &View, colony: &ColonyLevels) -> Option<String> {
    let found = colony.elsewhere.as_ref()?;
    let shift = view.shift("cm");
    let across = |cm: f64| fixed(shift.value(cm), shift.decimals(0));
    let shares: Vec<String> = found
        .shares
        .iter()
        .map(|(depth, share)| format!("{} of the area {} {} deep", percent(*share), across(*depth), shift.unit))
        .collect();
    let name = name_of(view, &colony.colony);
    Some(match found.nearest {
        Some((x, y, depth, light)) => format!(
            "{name} would be in its band on {}; the nearest such place is {} {unit} from the left, {} {unit} from the front and {} {unit} deep, with {} µmol/m²/s.",
            list(&shares, 6),
            across(x),
            across(y),
            across(depth),
            fixed(light, 0),
            unit = shift.unit
        ),
        None => format!("{name} would be in its band nowhere in the map at that level."),
    })
}

/// The lamp's light against earlier surveys.
pub fn ageing(view: &View) -> Option<Table> {
    let rows: Vec<Vec<Cell>> = view
        .of
        .lighting
        .changes
        .iter()
        .rev()
        .filter_map(|change| {
            let figure = view.figure(&change.figure)?;
            let shown = view.value_of(figure);
            let on = |key: &str| {
                let survey = view.tank.surveys.iter().find(|survey| survey.key == key);
                survey.map_or(key.to_string(), |survey| date_text(survey.on.value).text)
            };
            Some(vec![
                Cell::header(format!("{} to {}", on(&change.from), on(&change.to))),
                Cell::number(change.days.to_string()),
                Cell::number(change.places.to_string()),
                Cell::number(format!("{} {}\u{a0}%", shown.number, shown.spread.unwrap_or_default()))
                    .linked(format!("#{}", anchor(&figure.key)))
                    .known(Basis::Computed),
                Cell::text(if is_change(figure) { "a change" } else { "no change that can be told" }),
                Cell::text(if change.same_level { "the same level" } else { "different levels" }),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        caption: "Light at the same places, at equal level of the lamp".into(),
        head: vec![
            HeadCell::text("Surveys"),
            HeadCell::number("Days"),
            HeadCell::number("Places"),
            HeadCell::number("Change"),
            HeadCell::text("That is"),
            HeadCell::text("Surveyed at"),
        ],
        rows,
    })
}

/// 95 in 100.
fn is_change(figure: &Figure) -> bool {
    figure.value.abs() > 1.96 * figure.uncertainty
}

/// Steps over weeks.
pub fn plans(view: &View) -> Vec<PlanBlock> {
    view.of.lighting.plans.iter().map(|plan| plan_block(view, plan)).collect()
}

/// Heights of a lamp before and from a day on, in cm, where both are written and differ.
fn heights_around(view: &View, lamp: &str, day: Date) -> Option<(f64, f64)> {
    let settings = &view.tank.device(lamp)?.settings;
    let height = |on: Date| settings.at(on)?.value.height.as_ref().map(|height| height.value.value);
    let (before, after) = (height(day.yesterday().ok()?)?, height(day)?);
    ((before - after).abs() > 1.0).then_some((before, after))
}

fn plan_block(view: &View, plan: &Plan) -> PlanBlock {
    let lamp_value = |level: f64| percent(level);
    let light_value = |light: f64| format!("{} µmol/m²/s", fixed(light, 0));
    let start = date_text(plan.start).text;
    let (title, sentence, head, value): (String, String, &str, &dyn Fn(f64) -> String) = match &plan.of {
        PlanFor::Arrival(colony) => {
            let name = name_of(view, colony);
            let past = if plan.from_is_known {
                format!("It was used to {}", light_value(plan.from))
            } else {
                format!(
                    "What light it had before is not recorded (‘light:’ under its source), so it begins at {}, two fifths of its place’s",
                    light_value(plan.from)
                )
            };
            let sentence = format!(
                "{past}; its place has {}. Shade it, set it lower, or turn the lamp down so that its light rises by no more than 15 % a week.",
                light_value(plan.to)
            );
            (format!("{name}, since {start}"), sentence, "Light at it", &light_value)
        }
        PlanFor::Raised(lamp) => {
            let name = device_link(view, lamp).text;
            let mut sentence = format!(
                "On {start} the day’s light rose by more than a quarter in one step. These levels would have led there: what is left of them can still be followed."
            );
            if let Some((before, after)) = heights_around(view, lamp, plan.start) {
                let shift = view.shift("cm");
                let shown = |cm: f64| format!("{}\u{a0}{}", fixed(shift.value(cm), shift.decimals(0)), shift.unit);
                sentence.push_str(&format!(
                    " The lamp went from {} to {} over the water on the same day, which is not counted here: a lamp that hangs higher gives less light below it.",
                    shown(before),
                    shown(after)
                ));
            }
            (format!("{name}, raised on {start}"), sentence, "Level", &lamp_value)
        }
        PlanFor::ForMost(lamp) => {
            let name = device_link(view, lamp).text;
            let sentence = format!(
                "From {} today to {}, where most colonies are in their bands: if it is to be done, in these steps.",
                percent(plan.from),
                percent(plan.to)
            );
            (format!("{name}, to the level for most"), sentence, "Level", &lamp_value)
        }
    };
    PlanBlock {
        title,
        sentence,
        table: Table {
            caption: "A step a week, none of more than 15 % (common practice, no source: 10 to 15 %)".into(),
            head: vec![HeadCell::text("From"), HeadCell::number(head), HeadCell::number("Of the light in the end")],
            rows: plan
                .steps
                .iter()
                .map(|step| {
                    vec![
                        Cell::date(date_text(step.on).text),
                        Cell::number(value(step.to)),
                        Cell::number(percent(step.share)),
                    ]
                })
                .collect(),
        },
    }
}

/// The lamps' spectra.
pub fn spectra(view: &View) -> Vec<SpectrumBlock> {
    view.of.lighting.lamps.iter().map(|light| spectrum_block(view, light)).collect()
}

fn spectrum_block(view: &View, light: &LampLight) -> SpectrumBlock {
    let lamp = device_link(view, &light.device);
    let mut block = SpectrumBlock { lamp, ..SpectrumBlock::default() };
    let Some(spectrum) = &light.spectrum else {
        block.remark = "Its spectrum is not recorded: with the table off its maker’s drawing, lux and lumens could be turned into light for photosynthesis.".into();
        return block;
    };
    let linked = |key: &str| {
        let figure = view.figure(key)?;
        Some((figure, view.value_of(figure).linked(format!("#{}", anchor(key)))))
    };
    for (key, words) in light.shares.iter().zip(["400 to 500 nm, blue", "500 to 600 nm, green", "600 to 700 nm, red"]) {
        block.facts.extend(linked(key).map(|(_, shown)| Fact::new(words, vec![Run::value(shown)])));
    }
    for (key, words) in [
        (&light.colour_temperature, "Correlated colour temperature"),
        (&light.lux_per_photon, "Lux in each µmol/m²/s"),
        (&light.efficacy, "Lumens in each watt of its light"),
    ] {
        let shown = key.as_ref().and_then(|key| linked(key));
        block.facts.extend(shown.map(|(_, shown)| Fact::new(words, vec![Run::value(shown)])));
    }
    block.remark = light.no_temperature.as_ref().map(|why| sentence(why)).unwrap_or_default();
    block.chart = Some(spectrum_chart(&block, light, spectrum.points()));
    block
}

fn spectrum_chart(block: &SpectrumBlock, light: &LampLight, points: &[(f64, f64)]) -> ChartBlock {
    let strongest = points.iter().map(|point| point.1).fold(0.0, f64::max).max(f64::MIN_POSITIVE);
    let peak = points.iter().find(|point| point.1 == strongest).map_or(0.0, |point| point.0);
    let scaled: Vec<(f64, f64)> = points.iter().map(|(nm, power)| (*nm, 100.0 * power / strongest)).collect();
    let title = format!("Spectrum of {}", block.lamp.text);
    let sentence = format!(
        "Power at each wavelength by the maker’s table, the strongest, at {} nm, as a hundred; joined by straight lines.",
        fixed(peak, 0)
    );
    let zone = |from: f64, to: f64, label: &str| XyZone { from, to, label: label.into() };
    let drawn = chart::draw_xy(&XyChart {
        id: format!("spectrum-{}", light.device),
        title: title.clone(),
        description: sentence.clone(),
        x_unit: "wavelength, nm".into(),
        y_unit: "% of the strongest".into(),
        x_span: Some((380.0, 720.0)),
        zones: vec![zone(400.0, 500.0, "blue"), zone(500.0, 600.0, "green"), zone(600.0, 700.0, "red")],
        lines: vec![XyLine { label: String::new(), points: scaled.clone() }],
        filled: true,
        ..XyChart::default()
    });
    // A published light has a point every 5 nm: every fourth says enough in a table.
    let every = scaled.len().div_ceil(40).max(1);
    ChartBlock {
        id: format!("chart-spectrum-{}", light.device),
        title,
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: "The spectrum as a table".into(),
        table: Table {
            caption: "Power by wavelength".into(),
            head: vec![HeadCell::number("Wavelength, nm"), HeadCell::number("% of the strongest")],
            rows: scaled
                .iter()
                .step_by(every)
                .map(|(nm, power)| vec![Cell::number(fixed(*nm, 0)), Cell::number(fixed(*power, 0))])
                .collect(),
        },
        ..ChartBlock::default()
    }
}
