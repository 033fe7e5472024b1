//! Colonies: the list, and the life history of each.

use jiff::civil::Date;

use super::view::*;
use crate::figures::growth::growth;
use crate::figures::light::earlier_key;
use crate::pages::model::colony::*;
use crate::pages::model::*;
use crate::record::colony::{Colony, EndKind, Flow, SourceKind};
use crate::record::days_between;

/// So many colonies stand in one grid, each with its kind; more are parted by kind.
const FEW: usize = 24;

pub fn href(key: &str) -> String {
    format!("colony/{key}.html")
}

pub fn pages(view: &View) -> Vec<Page> {
    let mut pages = vec![list_page(view)];
    pages.extend(view.record.colonies.values().map(|colony| colony_page(view, colony)));
    pages
}

fn list_page(view: &View) -> Page {
    let as_of = view.record.as_of;
    let mut groups: Vec<ColonyGroup> = Vec::new();
    let mut colonies: Vec<&Colony> = view.record.colonies.values().filter(|colony| colony.is_here_on(as_of)).collect();
    colonies.sort_by_key(|colony| (colony.group.value, colony.arrived.value));
    let count = colonies.len();
    let elsewhere = colonies
        .iter()
        .filter(|colony| colony.placement_on(as_of).is_some_and(|placement| placement.tank.value != view.tank.key))
        .count();
    let mut plates = 0;
    for colony in colonies {
        let kind = sentence_case(&colony.group.value.shown());
        let title = if count > FEW { kind.clone() } else { "Alive and here".to_string() };
        if groups.last().is_none_or(|group| group.title != title) {
            groups.push(ColonyGroup { title, ..ColonyGroup::default() });
        }
        let group = groups.last_mut().expect("a group was just pushed");
        let mut card = card(view, colony);
        if count <= FEW {
            card.since = format!("{kind}, {}", card.since);
        }
        // Empty frames tell nothing: what has no picture yet is named.
        if card.photo.is_some() {
            plates += 1;
            card.plate = plates.to_string();
            group.colonies.push(card);
        } else {
            group.unpictured.push(card);
        }
    }
    for group in &mut groups {
        group.count = (group.colonies.len() + group.unpictured.len()).to_string();
    }
    let mut ended: Vec<EndedRow> = view.record.colonies.values().filter_map(ended_row).collect();
    ended.sort_by(|a, b| b.date.iso.cmp(&a.date.iso));
    let body = ColoniesPage {
        standfirst: format!(
            "{count} alive and here{}. Every one that was lost stays in the list, with its cause and how sure it is.",
            if elsewhere > 0 {
                format!(", {} of them in another tank of this record", super::water::word_number(elsewhere))
            } else {
                String::new()
            }
        ),
        groups,
        ended,
        survival: super::survival::table(view.record),
        lineage: super::lineage::drawing_of_all(view),
        lineages: super::lineage::trees(view),
        families: super::lineage::folded(view),
        cautions: view.cautions_of("colony"),
    };
    Page::new(
        "colony/index.html",
        "colonies",
        "Colonies",
        "Every colony with its life history.",
        PageBody::Colonies(Box::new(body)),
    )
}

pub fn card(view: &View, colony: &Colony) -> ColonyCard {
    let mut remarks = Vec::new();
    if let Some(placement) = colony.placement_on(view.record.as_of)
        && placement.tank.value != view.tank.key
        && let Some(tank) = view.record.tanks.get(&placement.tank.value)
    {
        remarks.push(format!("in {}", tank.name.value));
    }
    remarks.extend(super::growth::remark(view, colony));
    ColonyCard {
        name: colony.name.value.clone(),
        href: href(&colony.key),
        photo: portrait(view, colony),
        plate: String::new(),
        since: format!("since {}", month_text(colony.arrived.value)),
        size: colony.sizes.last().map(|size| super::growth::size_shown(view, size)),
        remark: remarks.join(", "),
    }
}

/// The portrait the keeper chose, else the newest photo of it.
pub fn portrait(view: &View, colony: &Colony) -> Option<Photo> {
    colony
        .photo
        .as_ref()
        .and_then(|photo| view.photo(&photo.value))
        .or_else(|| photos_of(view, colony).last().map(|found| photo(found)))
}

fn photos_of<'a>(view: &View<'a>, colony: &Colony) -> Vec<&'a crate::record::Photo> {
    let mut photos: Vec<_> = view.record.photos.values().filter(|photo| photo.of.contains(&colony.key)).collect();
    photos.sort_by(|a, b| (a.date, &a.path).cmp(&(b.date, &b.path)));
    photos
}

pub fn ended_word(how: EndKind) -> &'static str {
    match how {
        EndKind::Lost => "lost",
        EndKind::GivenAway => "given away",
        EndKind::Removed => "removed",
        EndKind::CutUp => "cut up",
    }
}

fn ended_row(colony: &Colony) -> Option<EndedRow> {
    let ended = colony.ended.as_ref()?;
    Some(EndedRow {
        colony: PlaceLink::new(colony.name.value.clone(), href(&colony.key)),
        date: date_text(ended.on),
        how: ended_word(ended.how).into(),
        cause: ended.cause.clone().unwrap_or_else(|| "not known".into()),
        grade: ended.grade.word().into(),
    })
}

fn card_words(colony: &Colony) -> &'static str {
    if super::fragment::is_cut(colony.group.value) {
        "A card for whoever gets a fragment"
    } else {
        "A card for whoever gets it"
    }
}

fn colony_page(view: &View, colony: &Colony) -> Page {
    let as_of = view.record.as_of;
    let standfirst =
        growth(view.record, colony).map(|found| super::growth::sentence_of(view, &found)).unwrap_or_default();
    let mut before = Vec::new();
    let tank_on = |date: Date| {
        colony.placement_on(date).map_or(view.tank.key.as_str(), |placement| placement.tank.value.as_str())
    };
    for event in colony.events.iter().rev().take(3) {
        let title = format!("The six weeks before {}", date_text(event.on).text);
        let mut block = super::around::before(view, tank_on(event.on), event.on, &title);
        block.note = format!("{}. {}", sentence_case(event.what.trim_end_matches('.')), block.note);
        before.push(block);
    }
    if let Some(ended) = &colony.ended
        && ended.how == EndKind::Lost
    {
        let title = format!("The six weeks before it was lost, {}", date_text(ended.on).text);
        before.insert(0, super::around::before(view, tank_on(ended.on), ended.on, &title));
    }
    let here = colony.placements.last().map_or(view.tank.key.as_str(), |placement| placement.tank.value.as_str());
    let mut rows: Vec<FigureRow> = view.row_in(here, &crate::figures::growth::key(&colony.key)).into_iter().collect();
    if colony.is_here_on(as_of) {
        rows.extend(
            ["par", "dli"].iter().filter_map(|what| view.row_in(here, &format!("light.{}.{what}", colony.key))),
        );
    }
    for placement in &colony.placements {
        let keys = ["par", "dli"].map(|what| earlier_key(&colony.key, placement.since, what));
        rows.extend(keys.iter().filter_map(|key| view.row_in(&placement.tank.value, key)));
    }
    let body = ColonyPage {
        name: colony.name.value.clone(),
        standfirst,
        in_short: in_short(view, colony),
        photo: portrait(view, colony),
        identity: colony.identity.as_ref().map_or("none yet".into(), |identity| identity.value.clone()),
        group: sentence_case(&colony.group.value.shown()),
        claims: claims(colony),
        origin: origin(colony),
        ended: ended_row(colony),
        series: photo_series(view, colony),
        growth: super::growth::growth_chart(view, colony),
        siblings: super::growth::siblings(view, colony),
        sizes: sizes_table(view, colony),
        lineage_chart: super::lineage::drawing(view, colony),
        lineage: super::lineage::tree(view, colony),
        lineage_note: super::lineage::note(view, colony),
        placements: placements(view, colony),
        light_chart: None,
        needs: needs(view, colony),
        events: events(view, colony),
        story: colony.story.as_deref().map(super::log::paragraphs).unwrap_or_default(),
        before,
        figures: rows,
        card: colony.is_here_on(as_of).then(|| PlaceLink::new(card_words(colony), super::fragment::href(&colony.key))),
        cautions: view
            .cautions
            .iter()
            .filter(|caution| {
                caution.why.iter().any(|(_, place)| place.as_ref().is_some_and(|place| place.file == colony.place.file))
            })
            .map(|caution| view.caution(caution))
            .collect(),
        source: Some(view.place_link(&colony.place)),
    };
    let mut page = Page::new(
        href(&colony.key),
        "colonies",
        colony.name.value.clone(),
        format!("The life history of {}.", colony.name.value),
        PageBody::Colony(Box::new(body)),
    );
    page.trail = vec![PlaceLink::new("Colonies", "colony/index.html")];
    page
}

/// Where it came from, where it lived, what came of it and what became of it, for somebody who never saw the tank.
fn in_short(view: &View, colony: &Colony) -> String {
    let mut sentences = Vec::new();
    let source = colony.source.as_ref();
    let kind = source.map_or(SourceKind::Unknown, |source| source.kind.value);
    let kind = match kind {
        SourceKind::Unknown => "whether taken from the wild or grown is not known".to_string(),
        SourceKind::WildCollected => "taken from the wild".to_string(),
        SourceKind::HitchHiker => "a hitch-hiker on something else".to_string(),
        SourceKind::Mariculture => "grown in the sea for sale".to_string(),
        SourceKind::Aquaculture => "grown in a tank".to_string(),
    };
    let from = source.and_then(|source| source.from.as_ref());
    let from = from.map_or(String::new(), |from| format!(" Where from: {}.", from.trim_end_matches('.')));
    let arrived = date_text(colony.arrived.value).text;
    let mother =
        colony.parent.as_ref().and_then(|parent| Some((parent, view.record.colonies.get(&parent.colony.value)?)));
    sentences.push(match mother {
        Some((parent, mother)) => {
            let cut = parent.on.filter(|on| *on != colony.arrived.value);
            let cut = cut.map_or(String::new(), |on| format!(", cut on {}", date_text(on).text));
            format!(
                "It came on {arrived} as a piece of {}{cut} (evidence: {}).",
                mother.name.value,
                parent.grade.shown()
            )
        }
        None => format!("It came on {arrived}: {kind}.{from}"),
    });
    let mut tanks: Vec<&str> = Vec::new();
    for placement in &colony.placements {
        let name = view.record.tanks.get(&placement.tank.value).map_or("?", |tank| tank.name.value.as_str());
        if tanks.last() != Some(&name) {
            tanks.push(name);
        }
    }
    match (colony.placements.len(), tanks.as_slice()) {
        (_, []) => {}
        (1, [tank]) => sentences.push(format!("It has stood in one place: in {tank}.")),
        (count, tanks) => sentences.push(format!("It has stood in {count} places: in {}.", tanks.join(", then in "))),
    }
    if let Some(figure) = light_figure(view, colony, "dli").filter(|_| colony.is_here_on(view.record.as_of)) {
        let light = view.value_of(figure);
        let about = light.spread.map_or(String::new(), |spread| format!(" {spread}"));
        sentences.push(format!("Light today: {}{about} {} at its place.", light.number, light.unit));
    }
    let daughters: Vec<&Colony> = view
        .record
        .colonies
        .values()
        .filter(|other| other.parent.as_ref().is_some_and(|parent| parent.colony.value == colony.key))
        .collect();
    if !daughters.is_empty() {
        let alive = daughters.iter().filter(|daughter| daughter.ended.is_none()).count();
        sentences.push(match (daughters.len(), alive) {
            (1, 0) => "One piece of it became a colony of its own, which is no longer here.".into(),
            (1, _) => "One piece of it became a colony of its own, alive and here.".into(),
            (count, alive) => {
                let pieces = sentence_case(&super::water::word_number(count));
                let here = match alive {
                    0 => "none of them here any more".to_string(),
                    alive => format!("{} of them alive and here", super::water::word_number(alive)),
                };
                format!("{pieces} pieces of it became colonies of their own, {here}.")
            }
        });
    }
    if let Some(news) = super::lineage::last_heard(colony) {
        sentences.push(format!("Last news of it: {news}."));
    }
    sentences.join(" ")
}

fn claims(colony: &Colony) -> Vec<Claim> {
    let mut rows = Vec::new();
    for claim in &colony.claims {
        let mut by: Vec<String> = Vec::new();
        by.extend(claim.by.as_ref().map(|by| format!("by {by}")));
        by.extend(claim.on.map(|on| date_text(on).text));
        by.extend(claim.sure.clone());
        for (kind, text, scientific) in
            [("Called", &claim.called, false), ("Thought to be", &claim.thought_to_be, true)]
        {
            if let Some(text) = text {
                rows.push(Claim { kind: kind.into(), text: text.clone(), scientific, by: by.join(", ") });
            }
        }
    }
    rows
}

fn origin(colony: &Colony) -> Vec<Fact> {
    let text = |text: String| vec![Run::text(text)];
    let source = colony.source.as_ref();
    let quarantine = colony.quarantine.as_ref().map_or("not known".into(), |quarantine| {
        let span = match (quarantine.from, quarantine.to) {
            (Some(from), Some(to)) => {
                format!("{} to {}, {} days", date_text(from).text, date_text(to).text, days_between(from, to))
            }
            (Some(from), None) => format!("from {}", date_text(from).text),
            _ => "dates not known".into(),
        };
        if quarantine.dips.is_empty() { span } else { format!("{span}; dips: {}", quarantine.dips.join(", ")) }
    });
    vec![
        Fact::new("Arrived", text(date_text(colony.arrived.value).text)),
        Fact::new(
            "Source",
            text(source.map_or("not known".into(), |source| source.kind.value.word().replace('-', " "))),
        ),
        Fact::new("From", text(source.and_then(|source| source.from.clone()).unwrap_or_else(|| "not known".into()))),
        Fact::new("Papers", text(source.map_or("not known".into(), |source| source.papers.word().into()))),
        Fact::new("Quarantine", text(quarantine)),
    ]
}

/// Photos by view, in time, with the days between.
fn photo_series(view: &View, colony: &Colony) -> Vec<PhotoSeries> {
    let photos = photos_of(view, colony);
    let mut series: Vec<PhotoSeries> = Vec::new();
    for found in photos {
        let name = found.view.clone().unwrap_or_else(|| "any view".into());
        let title = sentence_case(&name.replace('-', " "));
        let mut shown = photo(found);
        let place = match series.iter().position(|series| series.title == title) {
            Some(place) => place,
            None => {
                series.push(PhotoSeries {
                    title,
                    note: "Colour depends on the lamp’s channels; compare shapes, not shades.".into(),
                    steps: None,
                    photos: Vec::new(),
                });
                series.len() - 1
            }
        };
        let row = &mut series[place];
        let before: Option<Date> = row.photos.last().and_then(|photo| photo.date.as_ref()?.iso.parse().ok());
        shown.days_between =
            before.zip(found.date).map(|(before, date)| super::photos::days_later(days_between(before, date)));
        shown.size = found
            .date
            .and_then(|date| colony.sizes.iter().find(|size| size.on == date))
            .map(|size| super::growth::size_shown(view, size));
        row.photos.push(shown);
    }
    for row in &mut series {
        row.steps = (row.photos.len() >= 3).then_some(row.photos.len() as u32);
    }
    series
}

fn sizes_table(view: &View, colony: &Colony) -> Option<Table> {
    if colony.sizes.is_empty() {
        return None;
    }
    let rows = colony
        .sizes
        .iter()
        .map(|size| {
            let place = view.place_link(&size.place);
            let shown = super::growth::size_shown(view, size);
            vec![
                Cell::date(date_text(size.on).text),
                Cell::text(size.measure.word()),
                Cell::number(format!("{}\u{a0}{}", shown.number, shown.unit)).known(Basis::Measured),
                Cell { href: place.href, ..Cell::text(place.text) },
            ]
        })
        .collect();
    Some(Table {
        caption: "Sizes as measured".into(),
        head: vec![HeadCell::text("Date"), HeadCell::text("What"), HeadCell::number("Size"), HeadCell::text("Where")],
        rows,
    })
}

fn placements(view: &View, colony: &Colony) -> Vec<PlacementRow> {
    let mut rows: Vec<PlacementRow> = colony
        .placements
        .iter()
        .enumerate()
        .map(|(place, placement)| {
            let tank = view.record.tanks.get(&placement.tank.value);
            let until = match colony.placements.get(place + 1) {
                Some(next) => format!("until {}", date_text(next.since).text),
                None => colony
                    .ended
                    .as_ref()
                    .map_or("until now".into(), |ended| format!("until {}", date_text(ended.on).text)),
            };
            PlacementRow {
                since: date_text(placement.since),
                until,
                tank: match tank {
                    Some(tank) => PlaceLink::new(tank.name.value.clone(), super::home_of(view.record, &tank.key)),
                    None => PlaceLink::plain(placement.tank.value.clone()),
                },
                place: placement.where_text.clone().unwrap_or_else(|| "not recorded".into()),
                depth: placement.depth.map_or("not recorded".into(), |depth| length_text(view, depth)),
                light: if place + 1 == colony.placements.len() && colony.ended.is_none() {
                    light_figure(view, colony, "dli").map(|figure| view.value_of(figure))
                } else {
                    let key = earlier_key(&colony.key, placement.since, "dli");
                    let figure = view.findings.figures.get(&placement.tank.value, &key);
                    // Not the light of one day, which stands beside it where dates are compared.
                    figure.filter(|figure| !figure.private).map(|figure| {
                        let shown = view.value_of(figure);
                        Shown { unit: format!("{} in the mean", shown.unit), ..shown }
                    })
                },
                flow: match &placement.flow {
                    Some(Flow::Speed(speed)) => view.typed(speed),
                    Some(Flow::Word(word)) => word.clone(),
                    None => "not recorded".into(),
                },
            }
        })
        .collect();
    rows.reverse();
    rows
}

fn length_text(view: &View, cm: f64) -> String {
    let shift = view.shift("cm");
    format!("{}\u{a0}{}", fixed(shift.value(cm), shift.decimals(0)), shift.unit)
}

/// Light of a colony is a figure of the tank it stands in.
fn light_figure<'a>(view: &View<'a>, colony: &Colony, what: &str) -> Option<&'a crate::figures::Figure> {
    let tank = &colony.placement_on(view.record.as_of)?.tank.value;
    view.findings.figures.get(tank, &format!("light.{}.{what}", colony.key)).filter(|figure| !figure.private)
}

/// What it wants against what it gets today; nothing for one that is no longer here.
fn needs(view: &View, colony: &Colony) -> Vec<NeedRow> {
    let mut rows = Vec::new();
    if !colony.is_here_on(view.record.as_of) {
        return rows;
    }
    let figure = light_figure(view, colony, "par");
    if colony.needs_light.is_some() || figure.is_some() {
        let (wanted, verdict) = super::light::verdict(colony.needs_light.as_ref().map(|needs| needs.value), figure);
        rows.push(NeedRow {
            need: "Light".into(),
            wanted: wanted.unwrap_or_else(|| "not recorded".into()),
            today: figure.map(|figure| view.value_of(figure)),
            verdict,
        });
    }
    let shift = view.shift("cm/s");
    let number = |speed: f64| fixed(shift.value(speed), shift.decimals(0));
    let flow = colony.placement_on(view.record.as_of).and_then(|placement| placement.flow.as_ref());
    if colony.needs_flow.is_some() || flow.is_some() {
        let needs = colony.needs_flow.as_ref().map(|needs| needs.value);
        let verdict = match (needs, flow) {
            (None, _) => "no band",
            (Some((low, _)), Some(Flow::Speed(speed))) if speed.value < low => "below",
            (Some((_, high)), Some(Flow::Speed(speed))) if speed.value > high => "above",
            (Some(_), Some(Flow::Speed(_))) => "inside",
            // A word is no number to hold against a band.
            (Some(_), _) => "not known",
        };
        let wanted = needs.map(|(low, high)| format!("{} to {}\u{a0}{}", number(low), number(high), shift.unit));
        rows.push(NeedRow {
            need: "Flow".into(),
            wanted: wanted.unwrap_or_else(|| "not recorded".into()),
            today: flow.map(|flow| match flow {
                Flow::Speed(speed) => Shown::new(number(speed.value), shift.unit.clone(), Basis::Measured),
                Flow::Word(word) => Shown { number: word.clone(), ..Shown::default() },
            }),
            verdict: verdict.into(),
        });
    }
    rows
}

fn events(view: &View, colony: &Colony) -> Vec<DatedText> {
    let mut found: Vec<DatedText> = colony
        .events
        .iter()
        .map(|event| DatedText {
            date: date_text(event.on),
            text: sentence_case(&event.what),
            href: view.place_link(&event.place).href,
        })
        .collect();
    found.extend(colony.heard.iter().map(|heard| {
        let from = heard.from.as_ref().map_or(String::new(), |from| format!(" from {from}"));
        let text = format!("Heard{from}: {}", heard.what);
        DatedText { date: date_text(heard.on), text, href: view.place_link(&heard.place).href }
    }));
    for (index, entry) in view.tank.entries.iter().enumerate() {
        for (name, text) in &entry.seen {
            if name.value == colony.key {
                found.push(DatedText {
                    date: date_text(entry.date()),
                    text: sentence_case(text),
                    href: Some(view.entry_href(index)),
                });
            }
        }
        for harvest in &entry.harvests {
            if harvest.of.value == colony.key {
                let text = format!("Harvested {}", view.typed(&harvest.amount.value));
                found.push(DatedText { date: date_text(entry.date()), text, href: Some(view.entry_href(index)) });
            }
        }
    }
    found.sort_by(|a, b| b.date.iso.cmp(&a.date.iso));
    found
}
