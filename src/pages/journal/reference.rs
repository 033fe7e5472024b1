//! Cautions, sources and methods, the record's own files, and the tanks.

use std::collections::BTreeMap;

use super::view::*;
use crate::pages::model::cautions::*;
use crate::pages::model::sources::*;
use crate::pages::model::tanks::*;
use crate::pages::model::*;
use crate::read::{Document, Folder, private_lines, public_lines};
use crate::record::colony::EndKind;
use crate::science::sources as bibliography;

pub fn cautions(view: &View) -> Page {
    let blocks: Vec<CautionBlock> =
        view.cautions.iter().map(|caution| CautionBlock { href: None, ..view.caution(caution) }).collect();
    let of = |class: Danger| {
        blocks.iter().filter(|block| block.class == class && block.acknowledged.is_none()).cloned().collect::<Vec<_>>()
    };
    let chemicals: Vec<Vec<Cell>> = view
        .record
        .supplies
        .values()
        .filter(|supply| supply.substance.is_some() || supply.locked.is_some())
        .map(|supply| {
            let word = |answer: &Option<crate::record::Located<crate::record::YesNo>>| {
                Cell::text(answer.as_ref().map_or("not recorded", |answer| answer.value.word()))
            };
            let link = view.place_link(&supply.place);
            vec![
                Cell { href: link.href, ..Cell::header(supply.name.value.clone()) },
                Cell::text(
                    supply.substance.as_ref().map_or("not recorded".into(), |substance| substance.value.clone()),
                ),
                Cell::text(supply.where_kept.as_ref().map_or("not recorded".into(), |kept| kept.value.clone())),
                word(&supply.locked),
                word(&supply.in_original_container),
            ]
        })
        .collect();
    let body = CautionsPage {
        standfirst: "Each is here because something in the record raised it. None of them is advice; those named at its end decide.".into(),
        people: of(Danger::People),
        animals: of(Danger::Animals),
        check: of(Danger::Check),
        acknowledged: blocks.iter().filter(|block| block.acknowledged.is_some()).cloned().collect(),
        chemicals: (!chemicals.is_empty()).then(|| Table {
            caption: "Chemicals and stocks, where they stand and whether they are locked".into(),
            head: ["What", "Substance", "Where", "Locked", "Original container"].map(HeadCell::text).to_vec(),
            rows: chemicals,
        }),
        defer: vec![
            "Local codes and licensed practice come first: an electrician for wiring, a structural engineer for floors, a doctor or poison centre for people, a veterinarian for animals, the wildlife authority for what may be kept and moved.".into(),
            "This is the record of one tank, not instructions for another.".into(),
        ],
        figures: Vec::new(),
    };
    Page::new(
        "cautions.html",
        "cautions",
        "Cautions",
        "Every caution the record raises, with what raised it.",
        PageBody::Cautions(Box::new(body)),
    )
}

/// Sources and methods, with every figure of every tank.
pub fn sources(views: &[View], folder: &Folder) -> Page {
    let view = &views[0];
    let mut groups = Vec::new();
    let mut used: BTreeMap<&'static str, Vec<String>> = BTreeMap::new();
    let mut missing = Vec::new();
    let mut count = 0;
    for view in views {
        let mut by_subject: BTreeMap<&str, Vec<FigureListRow>> = BTreeMap::new();
        for figure in view.findings.figures.of_tank(&view.tank.key).filter(|figure| !figure.private) {
            count += 1;
            for source in &figure.method.sources {
                let uses = used.entry(source).or_default();
                if uses.len() < 6 {
                    uses.push(figure.label.clone());
                }
            }
            by_subject.entry(subject(&figure.key)).or_default().push(FigureListRow {
                key: figure.key.clone(),
                label: figure.label.clone(),
                value: view.value_of(figure),
                basis_word: figure.basis.word().into(),
                href: view.figure_place(&figure.tank, &figure.key),
            });
        }
        for (title, rows) in by_subject {
            let title = if views.len() > 1 { format!("{title}, {}", view.tank.name.value) } else { title.to_string() };
            groups.push(FigureListGroup { title, rows });
        }
        missing.extend(view.findings.figures.missing.iter().filter(|missing| missing.tank == view.tank.key).map(
            |missing| MissingRow {
                key: missing.key.clone(),
                label: missing.label.clone(),
                why: "The record does not hold enough.".into(),
                record: vec![missing.what_to_record.replace('`', "")],
            },
        ));
    }
    let works = bibliography::all()
        .iter()
        .filter(|source| used.contains_key(source.key))
        .map(|source| Work {
            id: format!("work-{}", source.key),
            short: sentence_case(&source.key.replace(['-', '_'], " ")),
            full: format!("{} ({})", source.citation, source.standing),
            href: None,
            used_for: used.get(source.key).cloned().unwrap_or_default(),
        })
        .collect();
    let body = SourcesPage {
        standfirst: "Every number can be asked where it came from: measured by the keeper, stated by a maker, computed from the record, or assumed for want of a reading.".into(),
        figures: groups,
        figures_count: format!("{count} figures"),
        figures_href: Some("figures.json".into()),
        missing,
        works,
        files: folder
            .documents
            .iter()
            .map(|document| SourceFileRow {
                name: document.path.to_string(),
                href: format!("source/{}.html", document.path),
                what: what(document).into(),
                lines: format!("{} lines", view.sources.get(&document.path).map_or(0, |text| text.lines().count())),
            })
            .collect(),
        made: vec![
            Fact::new("Made with", vec![Run::text(concat!("polypary ", env!("CARGO_PKG_VERSION")))]),
            Fact::new("As of", vec![Run::text(date_text(view.record.as_of).text)]),
        ],
    };
    Page::new(
        "sources.html",
        "sources",
        "Sources and methods",
        "How every number is known.",
        PageBody::Sources(Box::new(body)),
    )
}

fn what(document: &Document) -> &'static str {
    use crate::read::DocumentKind::*;
    match document.kind {
        Tank => "a tank",
        Equipment => "a device",
        Spec => "a spec sheet",
        Supply => "a supply",
        Colony => "a colony",
        Log => "entries",
        Readings => "what a sensor file holds",
        LightSurvey => "a light survey",
        Upkeep => "tasks and plans",
        Story => "a chapter",
        Video => "chapter marks",
        Captions => "captions of photos",
    }
}

/// Every file of the record as the keeper wrote it, without comments and private lines, and without entries after the
/// record's date.
pub fn source_files(view: &View, folder: &Folder) -> Vec<Page> {
    folder.documents.iter().map(|document| source_file(view, document)).collect()
}

fn source_file(view: &View, document: &Document) -> Page {
    let text = view.sources.get(&document.path).map_or("", |text| text);
    let mut hidden = private_lines(&document.root);
    hidden.extend(super::later_lines(document, view.record.as_of));
    let lines: Vec<SourceLine> = public_lines(document, text, &hidden)
        .into_iter()
        .enumerate()
        .map(|(place, line)| SourceLine {
            number: place as u32 + 1,
            redacted: line.is_none(),
            text: line.unwrap_or_default(),
        })
        .collect();
    let left_out = lines.iter().filter(|line| line.redacted).count();
    let path = document.path.to_string();
    let body = SourceFilePage {
        name: path.clone(),
        standfirst: format!(
            "{} of the record, as the keeper wrote it; comments are left out.",
            sentence_case(what(document))
        ),
        redacted_note: match left_out {
            0 => String::new(),
            1 => "One line is left out of the journal.".into(),
            count => format!("{count} lines are left out of the journal."),
        },
        lines,
        used_by: Vec::new(),
    };
    let mut page = Page::new(
        format!("source/{path}.html"),
        "sources",
        path.clone(),
        format!("{path}, a file of the record."),
        PageBody::SourceFile(Box::new(body)),
    );
    page.trail = vec![PlaceLink::new("Sources and methods", "sources.html")];
    page
}

pub fn tank_card(view: &View) -> TankCard {
    let tank = view.tank;
    let mut facts = Vec::new();
    if let Some(size) = &tank.size {
        facts.push(Fact::new("Glass", vec![Run::text(view.size_text(size.value))]));
    }
    if let Some(volume) = view.shown("water.net-volume") {
        facts.push(Fact::new("Water", vec![Run::value(volume)]));
    }
    facts.push(Fact::new("Since", vec![Run::text(date_text(tank.started.value).text)]));
    if let Some(ended) = &tank.ended {
        facts.push(Fact::new("Until", vec![Run::text(date_text(ended.value).text)]));
    }
    TankCard {
        name: tank.name.value.clone(),
        href: view.href("index.html"),
        about: tank.about.clone().unwrap_or_default(),
        photo: tank.hero.as_ref().and_then(|hero| view.photo(&hero.value)),
        facts,
    }
}

pub fn tanks(views: &[View]) -> Page {
    let record = views[0].record;
    let mut moves = Vec::new();
    for colony in record.colonies.values() {
        for pair in colony.placements.windows(2) {
            if pair[0].tank.value != pair[1].tank.value {
                let name = |key: &str| record.tanks.get(key).map_or(key.to_string(), |tank| tank.name.value.clone());
                moves.push(DatedText {
                    date: date_text(pair[1].since),
                    text: format!(
                        "{}: from {} to {}",
                        colony.name.value,
                        name(&pair[0].tank.value),
                        name(&pair[1].tank.value)
                    ),
                    href: Some(format!("colony/{}.html", colony.key)),
                });
            }
        }
        if let Some(ended) = colony.ended.as_ref().filter(|ended| ended.how == EndKind::GivenAway) {
            moves.push(DatedText {
                date: date_text(ended.on),
                text: format!("{}: given away", colony.name.value),
                href: Some(format!("colony/{}.html", colony.key)),
            });
        }
    }
    moves.sort_by(|a, b| b.date.iso.cmp(&a.date.iso));
    let body = TanksPage {
        standfirst: "The tanks of this record. Colonies move between them and keep their identity.".into(),
        tanks: views.iter().map(tank_card).collect(),
        moves,
    };
    Page::new("tanks.html", "tanks", "Tanks", "The tanks of this record.", PageBody::Tanks(Box::new(body)))
}

/// What a figure is about, by the topic of its key.
fn subject(key: &str) -> &'static str {
    match key.split('.').next().unwrap_or_default() {
        "dose" => "Doses",
        "flow" => "Movement of the water",
        "growth" => "Growth",
        "heat" => "Heat",
        "light" | "lived" => "Light",
        "load" => "Weight",
        "power" => "Power",
        "upkeep" => "Upkeep",
        _ => "Water",
    }
}
