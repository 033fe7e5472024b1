//! A year in review: what it held, worked out as the record stood at its end.

use jiff::civil::Date;

use super::then::Dates;
use super::view::*;
use super::{compare, story};
use crate::figures;
use crate::figures::year::{self, FURTHEST_DAYS, Year};
use crate::pages::model::back::*;
use crate::pages::model::log::YearCard;
use crate::pages::model::*;
use crate::record::colony::EndKind;
use crate::record::{Lane, Photo as Taken, days_between, shows_tank};

fn path(year: i16) -> String {
    format!("year/{year}.html")
}

/// The years that the record covers, each with the last day of it that counts.
fn years(view: &View) -> Vec<(i16, Date)> {
    let as_of = view.record.as_of;
    (view.tank.started.value.year()..=view.tank.last_day(as_of).year())
        .filter_map(|year| Some((year, Date::new(year, 12, 31).ok()?.min(as_of))))
        .collect()
}

/// The day before a year begins, where the tank was there.
fn eve(view: &View, year: i16) -> Option<Date> {
    Date::new(year - 1, 12, 31).ok().filter(|eve| *eve >= view.tank.started.value)
}

pub fn dates(view: &View) -> Vec<Date> {
    years(view).into_iter().flat_map(|(year, end)| [eve(view, year), Some(end)]).flatten().collect()
}

/// A card and a page for each year, oldest first.
pub fn pages(view: &View, then: &Dates) -> Vec<(YearCard, Page)> {
    let years = years(view);
    let mut found = Vec::new();
    for (place, (number, end)) in years.iter().enumerate() {
        let Some(at_end) = then.view(view, *end) else { continue };
        let Some(sums) = year::year(at_end.record, at_end.tank, at_end.of, *number) else { continue };
        let at_start = eve(view, *number).and_then(|eve| then.view(view, eve));
        let link = |(year, _): &(i16, Date)| PlaceLink::new(format!("{year} in review"), view.href(&path(*year)));
        let mut body = review(view, &at_end, at_start.as_ref(), *number, &sums);
        body.previous = place.checked_sub(1).map(|before| link(&years[before]));
        body.next = years.get(place + 1).map(link);
        let card = YearCard {
            year: number.to_string(),
            href: view.href(&path(*number)),
            count: span_text(&sums),
            summary: card_summary(&at_end, &sums, *number),
        };
        let title = format!("{number} in review");
        let description =
            format!("What {number} held for {}: growth, losses, water, energy, upkeep.", view.tank.name.value);
        let mut page =
            Page::new(view.href(&path(*number)), "back", title, description, PageBody::Review(Box::new(body)));
        page.trail = vec![PlaceLink::new("Looking back", super::back::href(view))];
        found.push((card, page));
    }
    found
}

fn span_text(sums: &Year) -> String {
    match (sums.from, sums.to) {
        (Some(from), Some(to)) => format!("{} to {}", date_text(from).text, date_text(to).text),
        _ => String::new(),
    }
}

fn card_summary(view: &View, sums: &Year, number: i16) -> String {
    let lost = losses(view, number).len();
    let mut parts = vec![super::water::counted(sums.entries, "entry", "entries")];
    if let Some((key, _)) = sums.growth.first() {
        parts.push(format!("most growth seen in {}", colony_name(view, key)));
    }
    parts.push(match lost {
        0 => "nothing lost or broken that the record tells of".into(),
        lost => format!("{} lost or broken", super::water::word_number(lost)),
    });
    sentence(&sentence_case(&parts.join("; ")))
}

fn colony_name(view: &View, key: &str) -> String {
    view.record.colonies.get(key).map_or(key.replace('-', " "), |colony| colony.name.value.clone())
}

fn review(view: &View, at_end: &View, at_start: Option<&View>, number: i16, sums: &Year) -> ReviewPage {
    let end = at_end.record.as_of;
    let is_over = end.month() == 12 && end.day() == 31;
    let losses = losses(at_end, number);
    let whole = super::log::questions(view);
    let of_year = |date: &DateText| date.iso.starts_with(&format!("{number}-"));
    let asked: Vec<QuestionRow> = whole
        .into_iter()
        .filter(|row| of_year(&row.asked) || row.answer.as_ref().is_some_and(|answer| of_year(&answer.on)))
        .collect();
    let start_head = at_start.map_or("Before".into(), |start| date_text(start.record.as_of).text);
    ReviewPage {
        year: number.to_string(),
        standfirst: format!(
            "{}, {}.{} Every figure is worked out from the record as it stood on {}.",
            span_text(sums),
            super::water::counted(sums.days as usize, "day", "days"),
            if is_over { "" } else { " The year is not over." },
            date_text(end).text
        ),
        short: short(at_end, number, sums, losses.len()),
        photos: from_the_front(at_end, number),
        growth: growth_table(at_end, sums),
        growth_note: growth_note(sums),
        losses_note: "With the cause and how sure it is. What nobody wrote down is not here.".into(),
        losses,
        arrivals: arrivals(view, number),
        bands: super::in_band::chart(sums, number),
        bands_note: format!(
            "A day counts as inside or outside only where it is so by more than the kit’s error (95 in 100). Between two readings a straight line is taken; readings more than {FURTHEST_DAYS} days apart say nothing of the days between (judgement, no source)."
        ),
        figures: story::rows(at_start, at_end),
        start_head,
        end_head: date_text(end).text,
        energy: energy_table(sums),
        energy_note: "Worked out from what was set on each day and what each device draws; a heater whose running time is not recorded runs as long as the balance of heat asks, or, without a balance, a usual share. The meter, where it was read, stands first.".into(),
        upkeep: upkeep_table(at_end, sums),
        upkeep_note: "On time: done within the keeper’s own interval and a tenth of it, a day at least (judgement, no source). What was done earlier than due counts as on time.".into(),
        asked,
        missing: missing(at_end, sums),
        log: (sums.entries > 0)
            .then(|| PlaceLink::new(format!("The entries of {number}"), view.href(&format!("log/{number}.html")))),
        previous: None,
        next: None,
    }
}

/// A sum as shown, rounded to where its uncertainty begins.
fn shown(view: &View, sum: &year::Sum, unit: &str, basis: Basis) -> Shown {
    let shift = view.shift(unit);
    let (number, spread) = rounded(shift.value(sum.value), shift.spread(sum.u), None);
    Shown { spread, ..Shown::new(number, shift.unit, basis) }
}

fn fact(label: &str, runs: Vec<Run>, basis: figures::Basis) -> Fact {
    Fact { basis_word: Some(basis.word().into()), ..Fact::new(label, runs) }
}

fn days_of(days: i32, all: i32) -> String {
    if days >= all { String::new() } else { format!(", over {days} of {all} days") }
}

fn short(view: &View, number: i16, sums: &Year, lost: usize) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut words =
        format!("{}, {} of them quiet", super::water::counted(sums.entries, "entry", "entries"), sums.quiet);
    words.push_str(&format!(", {}", super::water::counted(sums.readings, "reading", "readings")));
    facts.push(Fact::new("Written", vec![Run::text(words)]));
    match sums.growth.first() {
        Some((key, found)) => {
            let name = Run::link(colony_name(view, key), super::colony::href(key));
            facts.push(fact(
                "Best growth",
                vec![name, Run::text(format!(", {}", super::growth::rate_words(view, found)))],
                figures::Basis::Computed,
            ));
        }
        None => facts.push(Fact::new(
            "Best growth",
            vec![Run::text("none that the sizes of this year can tell from no growth")],
        )),
    }
    let lost_words = if lost == 0 {
        "nothing that the record tells of".to_string()
    } else {
        super::water::counted(lost, "loss or fault", "losses and faults")
    };
    facts.push(Fact::new("Went wrong", vec![Run::text(lost_words)]));
    // What the meter says stands first; what was worked out, beside it.
    if let Some(metered) = &sums.metered {
        let mut runs =
            vec![Run::value(shown(view, metered, "kWh", Basis::Measured)), Run::text(days_of(metered.days, sums.days))];
        for (currency, cost) in metered_cost(sums) {
            runs.push(Run::text(", at the prices of the days "));
            runs.push(Run::value(shown(view, &cost, &currency, Basis::Computed)));
        }
        facts.push(fact("Energy, by the meter", runs, figures::Basis::Measured));
    }
    if let Some(energy) = &sums.energy {
        let mut runs =
            vec![Run::value(shown(view, energy, "kWh", Basis::Computed)), Run::text(days_of(energy.days, sums.days))];
        for (currency, cost) in &sums.cost {
            runs.push(Run::text(", for "));
            runs.push(Run::value(shown(view, cost, currency, Basis::Computed)));
            runs.push(Run::text(days_of(cost.days, sums.days)));
        }
        let label = if sums.metered.is_some() { "Energy, worked out" } else { "Energy" };
        facts.push(fact(label, runs, figures::Basis::Computed));
    }
    if sums.changed.times > 0 {
        let runs = vec![
            Run::value(shown(view, &sums.changed, "L", Basis::Measured)),
            Run::text(format!(" in {}", super::water::counted(sums.changed.times, "change", "changes"))),
        ];
        facts.push(fact("Water changed", runs, figures::Basis::Measured));
    }
    if sums.evaporated.days > 0 {
        let runs = vec![
            Run::value(shown(view, &sums.evaporated, "L", Basis::Computed)),
            Run::text(days_of(sums.evaporated.days, sums.days)),
        ];
        facts.push(fact("Evaporated", runs, figures::Basis::Computed));
    }
    let due: u32 = sums.upkeep.iter().map(|kept| kept.due).sum();
    let on_time: u32 = sums.upkeep.iter().map(|kept| kept.on_time).sum();
    if due > 0 {
        let mut runs = vec![Run::text(format!("{on_time} of {due} times on time"))];
        let minutes: f64 = sums.upkeep.iter().filter_map(|kept| kept.minutes).sum();
        if minutes > 0.0 {
            runs.push(Run::text(format!(", about {} hours of work at the stated minutes", fixed(minutes / 60.0, 0))));
        }
        facts.push(fact("Upkeep", runs, figures::Basis::Computed));
    }
    if !photos_of(view, number).is_empty() {
        facts.push(Fact::new("Photographed", photographed(view, number)));
    }
    facts
}

/// Photos taken in the year, by time.
fn photos_of<'a>(view: &View<'a>, number: i16) -> Vec<&'a Taken> {
    let of_year = |photo: &&Taken| photo.date.is_some_and(|date| date.year() == number && date <= view.record.as_of);
    let of_tank = |photo: &&Taken| shows_tank(view.record, view.tank, photo);
    super::photos::in_order(view.record).into_iter().filter(of_year).filter(of_tank).collect()
}

/// How often each colony was photographed; all of those that share the first place.
fn photographed(view: &View, number: i16) -> Vec<Run> {
    let photos = photos_of(view, number);
    let mut counts: Vec<(usize, &String)> = view
        .record
        .colonies
        .keys()
        .map(|key| (photos.iter().filter(|photo| photo.of.contains(key)).count(), key))
        .filter(|(count, _)| *count > 0)
        .collect();
    counts.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let mut runs = vec![Run::text(super::water::counted(photos.len(), "photo", "photos"))];
    if let Some((most, _)) = counts.first() {
        runs.push(Run::text(", most often "));
        for (place, (_, key)) in counts.iter().take_while(|(count, _)| count == most).enumerate() {
            if place > 0 {
                runs.push(Run::text(", "));
            }
            runs.push(Run::link(colony_name(view, key), super::colony::href(key)));
        }
        runs.push(Run::text(format!(" ({most})")));
    }
    runs
}

/// Pictures of a year at most.
const MOST_PICTURES: usize = 6;

fn from_the_front(view: &View, number: i16) -> Option<PhotoSeries> {
    let front: Vec<_> = photos_of(view, number)
        .into_iter()
        .filter(|taken| compare::shows_whole_tank(view.record, &view.tank.key, taken))
        .collect();
    if front.len() < 2 {
        return None;
    }
    // The first, the last, and those between them as evenly as they come.
    let count = front.len().min(MOST_PICTURES);
    let chosen: Vec<&Taken> = (0..count).map(|place| front[place * (front.len() - 1) / (count - 1)]).collect();
    let mut photos = Vec::new();
    let mut before: Option<Date> = None;
    for taken in chosen {
        let later = before.zip(taken.date).map(|(before, date)| super::photos::days_later(days_between(before, date)));
        photos.push(Photo { days_between: later, ..photo(taken) });
        before = taken.date;
    }
    Some(PhotoSeries {
        title: "The year from the front".into(),
        note: "Colour depends on the lamp’s channels; compare shapes, not shades.".into(),
        steps: None,
        photos,
    })
}

fn growth_table(view: &View, sums: &Year) -> Option<Table> {
    if sums.growth.is_empty() {
        return None;
    }
    let rows = sums
        .growth
        .iter()
        .map(|(key, found)| {
            vec![
                Cell::header(colony_name(view, key)).linked(super::colony::href(key)),
                Cell::text(found.measure.word()),
                Cell::number(super::growth::ends(view, found)),
                Cell::number(super::growth::rate_words(view, found)).known(Basis::Computed),
                Cell::text(super::growth::rate_interval(view, found)),
                Cell::text(format!("{} to {}", date_text(found.from).text, date_text(found.to).text)),
            ]
        })
        .collect();
    Some(Table {
        caption: "Colonies that grew by more than the measuring can be wrong".into(),
        head: vec![
            HeadCell::text("Colony"),
            HeadCell::text("What"),
            HeadCell::number("From and to"),
            HeadCell::number("Rate"),
            HeadCell::text("95 in 100"),
            HeadCell::text("Between"),
        ],
        rows,
    })
}

fn growth_note(sums: &Year) -> String {
    let mut note =
        "Lengths grow by so much a year, counts by a share: the two cannot be ranked against each other.".to_string();
    if sums.hardly > 0 {
        note.push_str(&format!(
            " Of {} more the sizes cannot tell growth from none.",
            super::water::counted(sums.hardly, "colony", "colonies")
        ));
    }
    note
}

/// Lost colonies and faults, oldest first.
fn losses(view: &View, number: i16) -> Vec<LossRow> {
    let mut rows: Vec<LossRow> =
        super::log::losses(view).into_iter().filter(|row| row.date.iso.starts_with(&format!("{number}-"))).collect();
    rows.reverse();
    rows
}

fn arrivals(view: &View, number: i16) -> Vec<DatedText> {
    let mut found: Vec<DatedText> = view
        .of
        .changes
        .iter()
        .filter(|change| change.date.year() == number)
        .filter(|change| change.lane == Lane::Arrivals)
        .map(|change| DatedText {
            date: date_text(change.date),
            text: sentence_case(&change.text),
            href: view.place_link(&change.place).href,
        })
        .collect();
    for colony in view.record.colonies.values() {
        let ended = colony.ended_in(&view.tank.key);
        if let Some(ended) = ended.filter(|ended| ended.how != EndKind::Lost && ended.on.year() == number) {
            found.push(DatedText {
                date: date_text(ended.on),
                text: format!("{} {}", colony.name.value, super::colony::ended_word(ended.how)),
                href: Some(super::colony::href(&colony.key)),
            });
        }
    }
    found.sort_by(|a, b| a.date.iso.cmp(&b.date.iso));
    found
}

pub fn percent_of(part: i32, all: i32) -> String {
    format!("{}\u{a0}%", fixed(100.0 * f64::from(part) / f64::from(all), 0))
}

/// What the metered energy cost, where meter, sum of the devices and prices speak of about the same days: that sum's cost, in
/// the proportion of the two energies.
fn metered_cost(sums: &Year) -> Vec<(String, year::Sum)> {
    let (Some(metered), Some(energy)) = (&sums.metered, &sums.energy) else { return Vec::new() };
    let alike = |days: i32| f64::from((days - metered.days).abs()) <= 0.1 * f64::from(sums.days);
    if !alike(energy.days) || energy.value <= 0.0 {
        return Vec::new();
    }
    let cost = sums.cost.iter().filter(|(_, cost)| alike(cost.days));
    cost.map(|(currency, cost)| {
        let value = metered.value * cost.value / energy.value * f64::from(energy.days) / f64::from(cost.days.max(1));
        let sum = year::Sum { value, u: value * metered.u / metered.value.max(1e-9), ..*metered };
        (currency.clone(), sum)
    })
    .collect()
}

fn energy_table(sums: &Year) -> Option<Table> {
    let energy = sums.energy.as_ref()?;
    let row = |label: &str, sum: &year::Sum, unit: &str, basis: Basis| {
        let (number, spread) = rounded(sum.value, sum.u, None);
        let spread = spread.map(|spread| format!(" {spread}")).unwrap_or_default();
        vec![
            Cell::header(label),
            Cell::number(format!("{number}{spread}\u{a0}{unit}")).known(basis),
            Cell::number(sum.days.to_string()),
        ]
    };
    let mut rows: Vec<Vec<Cell>> =
        sums.metered.iter().map(|sum| row("Energy, by the meter", sum, "kWh", Basis::Measured)).collect();
    rows.extend(
        metered_cost(sums).iter().map(|(currency, sum)| row("Cost, by the meter", sum, currency, Basis::Computed)),
    );
    rows.push(row("Energy, worked out", energy, "kWh", Basis::Computed));
    rows.extend(sums.cost.iter().map(|(currency, sum)| row("Cost, worked out", sum, currency, Basis::Computed)));
    Some(Table {
        caption: "Energy and what it cost".into(),
        head: vec![HeadCell::text("What"), HeadCell::number("In the year"), HeadCell::number("Days it speaks for")],
        rows,
    })
}

fn upkeep_table(view: &View, sums: &Year) -> Option<Table> {
    let rows: Vec<Vec<Cell>> = sums
        .upkeep
        .iter()
        .map(|kept| {
            let what = view.tank.upkeep.tasks.get(&kept.task).map_or(kept.task.as_str(), |task| task.what.as_str());
            let mut row = vec![Cell::header(sentence_case(what))];
            row.extend(
                [kept.due, kept.on_time, kept.late, kept.not_done, kept.done]
                    .map(|count| Cell::number(count.to_string())),
            );
            row
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        caption: "Upkeep, times".into(),
        head: [HeadCell::text("Task")]
            .into_iter()
            .chain(["Due", "On time", "Late", "Not done", "Done in all"].map(HeadCell::number))
            .collect(),
        rows,
    })
}

/// What the year does not tell, and what to write down so that the next one does.
fn missing(view: &View, sums: &Year) -> Vec<String> {
    let mut lines = Vec::new();
    if sums.growth.is_empty() && sums.hardly == 0 {
        lines.push("Growth: a size of a colony twice in the year, 60 days or more apart.".to_string());
    }
    if sums.energy.is_none() {
        lines.push("Energy: the watts of each device, measured or from its spec sheet.".into());
    } else if sums.cost.is_empty() {
        lines.push("Cost: the tariff, under electricity in tank.yaml.".into());
    }
    if sums.metered.is_none() {
        lines.push("Energy by the meter: the meter’s total in two entries at least five days apart.".into());
    }
    if sums.evaporated.days == 0 {
        lines.push("Evaporation: every top-off, with its litres.".into());
    }
    if sums.changed.times == 0 {
        lines.push(
            "Water changed: the litres of each change. None is recorded, which may mean that none was made.".into(),
        );
    }
    if view.tank.bands.is_empty() {
        lines.push("Days in band: the bands the keeper wants, in tank.yaml.".into());
    }
    if sums.upkeep.is_empty() {
        lines.push("Upkeep: tasks with their intervals in upkeep/, and what was done in entries.".into());
    }
    lines
}
