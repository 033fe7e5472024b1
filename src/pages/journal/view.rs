//! What every page of the journal needs: the record seen from one tank, and how its values look.

use jiff::civil::Date;

pub use super::wording::*;
use crate::cautions::Caution;
use crate::diagnostic::{Place, Sources};
use crate::figures::{self, Figure, Findings, TankFindings};
use crate::pages::model::*;
use crate::record::{Entry, Record, Tank, story};
use crate::units::{Quantity, Shift, System};

/// The record seen from one of its tanks.
pub struct View<'a> {
    pub record: &'a Record,
    pub findings: &'a Findings,
    pub cautions: &'a [Caution],
    pub sources: &'a Sources,
    pub tank: &'a Tank,
    pub of: &'a TankFindings,
    /// `""` for the main tank, `jar/` for another.
    pub prefix: String,
    /// Stem of the page of each entry of the tank, in the order of the entries.
    pub slugs: Vec<String>,
}

impl<'a> View<'a> {
    pub fn href(&self, path: &str) -> String {
        format!("{}{path}", self.prefix)
    }

    /// Where a figure of any tank opens to its working: growth on the colony's page, everything else on its tank's.
    pub fn figure_place(&self, tank: &str, key: &str) -> String {
        let of_colony = key.strip_prefix("growth.").or(key.strip_prefix("lived."));
        if let Some(colony) = of_colony.and_then(|rest| rest.split('.').next()) {
            return format!("colony/{colony}.html#{}", anchor(key));
        }
        // What belongs to no tank stands with the main one.
        let prefix = if tank.is_empty() { String::new() } else { super::prefix_of(self.record, tank) };
        format!("{prefix}{}", figure_href(key))
    }

    pub fn figure(&self, key: &str) -> Option<&'a Figure> {
        self.findings.figures.get(&self.tank.key, key).filter(|figure| !figure.private)
    }

    /// The value of a figure, linked to its working.
    pub fn shown(&self, key: &str) -> Option<Shown> {
        self.figure(key).map(|figure| self.value_of(figure))
    }

    /// The value of a figure in the units of the edition.
    pub fn value_of(&self, figure: &Figure) -> Shown {
        shown(figure, self.record.units)
    }

    /// How values kept in a unit are shown in the edition.
    pub fn shift(&self, unit: &str) -> Shift {
        self.record.units.of(unit)
    }

    /// A quantity as the keeper wrote it, in the units of the edition.
    pub fn typed(&self, quantity: &Quantity) -> String {
        quantity.in_system(self.record.units)
    }

    /// `60 × 40 × 40 cm`, from cm.
    pub fn size_text(&self, size: [f64; 3]) -> String {
        let shift = self.shift("cm");
        let [length, width, height] = size.map(|side| figures::number(shift.value(side)));
        format!("{length} × {width} × {height}\u{a0}{}", shift.unit)
    }

    /// The whole address of a place in the journal, where it has one.
    pub fn address(&self, path: &str) -> Option<String> {
        Some(self.record.site()?.address.value.of(path))
    }

    /// The line of the published source page.
    pub fn place_link(&self, place: &Place) -> PlaceLink {
        let text = format!("{}:{}", place.file, place.line);
        if self.sources.get(&place.file).is_some() && !place.file.ends_with(".csv") {
            PlaceLink::new(text, format!("source/{}.html#L{}", place.file, place.line))
        } else {
            PlaceLink::plain(text)
        }
    }

    pub fn photo(&self, typed: &str) -> Option<Photo> {
        self.record.photo(typed).map(photo)
    }

    pub fn entry_href(&self, index: usize) -> String {
        self.href(&format!("log/{}.html", self.slugs[index]))
    }

    /// The page of the entry that was written at a place, if one was.
    pub fn entry_of(&self, place: &Place) -> Option<String> {
        let (nearest, _) = self
            .tank
            .entries
            .iter()
            .enumerate()
            .filter(|(_, entry)| entry.place.file == place.file && entry.place.line <= place.line)
            .max_by_key(|(_, entry)| entry.place.line)?;
        Some(self.entry_href(nearest))
    }

    /// Changes between two dates, numbered by date, at most the newest `most`.
    pub fn changes(&self, from: Date, to: Date, most: usize) -> Vec<(figures::Change, Change)> {
        self.changes_in(self.of, from, to, most)
    }

    /// The same of any tank.
    pub fn changes_in(&self, tank: &TankFindings, from: Date, to: Date, most: usize) -> Vec<(figures::Change, Change)> {
        let mut found: Vec<&figures::Change> =
            tank.changes.iter().filter(|change| change.date >= from && change.date <= to).collect();
        let skip = found.len().saturating_sub(most);
        found.drain(..skip);
        self.numbered(found.into_iter().cloned())
    }

    /// Changes as they stand under a chart, counted from one, each with the entry or the line that tells of it.
    pub fn numbered(&self, changes: impl Iterator<Item = figures::Change>) -> Vec<(figures::Change, Change)> {
        changes
            .enumerate()
            .map(|(index, change)| {
                let shown = Change {
                    number: index as u32 + 1,
                    date: date_text(change.date),
                    lane: change.lane.word().into(),
                    text: change.text.clone(),
                    href: self.entry_of(&change.place).or_else(|| self.place_link(&change.place).href),
                };
                (change, shown)
            })
            .collect()
    }

    pub fn cautions_of(&self, topic: &str) -> Vec<CautionBlock> {
        self.cautions
            .iter()
            .filter(|caution| caution.tanks.contains(&self.tank.key))
            .filter(|caution| caution.topics.contains(&topic))
            .map(|caution| self.caution(caution))
            .collect()
    }

    pub fn caution(&self, caution: &Caution) -> CautionBlock {
        CautionBlock {
            key: caution.key.into(),
            id: format!("caution-{}", caution.key.replace('.', "-")),
            class: caution.danger,
            severity_word: caution.danger.words().into(),
            title: caution.title.clone(),
            text: caution.text.clone(),
            steps: Vec::new(),
            why: caution
                .why
                .iter()
                .map(|(text, place)| match place {
                    Some(place) => PlaceLink { text: text.clone(), ..self.place_link(place) },
                    None => PlaceLink::plain(text.clone()),
                })
                .collect(),
            defer: Some(caution.defer.into()),
            sources: caution.sources.iter().map(|source| PlaceLink::plain(*source)).collect(),
            acknowledged: caution
                .acknowledged
                .as_ref()
                .map(|(on, reason)| Acknowledged { on: date_text(*on), reason: reason.clone() }),
            href: Some(format!("cautions.html#caution-{}", caution.key.replace('.', "-"))),
        }
    }

    pub fn entry_card(&self, index: usize) -> EntryCard {
        let entry = &self.tank.entries[index];
        EntryCard {
            date: date_text(entry.date()),
            time: entry.has_time.then(|| time_text(entry.when)),
            href: self.entry_href(index),
            heading: heading(entry),
            text: entry.note.as_ref().map(|note| note.value.clone()).unwrap_or_default(),
            facts: super::log::entry_facts(self, entry),
            photo: entry.photos.iter().find_map(|photo| self.photo(&photo.file.value)),
            quiet: entry.quiet,
        }
    }
}

/// What an entry is about, in a few words.
pub fn heading(entry: &Entry) -> String {
    if let Some(event) = &entry.event {
        return sentence_case(&event.what.value);
    }
    let mut parts = Vec::new();
    if entry.quiet {
        return "Nothing to report".into();
    }
    if !entry.readings.is_empty() {
        let names: Vec<String> = entry.readings.iter().map(|reading| lower(reading.parameter.shown())).collect();
        parts.push(format!("Tested {}", list(&names, 3)));
    }
    if entry.water_change.is_some() {
        parts.push("water change".into());
    }
    if !entry.harvests.is_empty() {
        parts.push("harvest".into());
    }
    if entry.ask.is_some() {
        parts.push("a question".into());
    }
    if entry.answer.is_some() {
        parts.push("an answer".into());
    }
    if parts.is_empty() && !entry.done.is_empty() {
        let names: Vec<String> = entry.done.iter().map(|done| done.value.replace('-', " ")).collect();
        parts.push(list(&names, 3));
    }
    if parts.is_empty() && entry.top_off.is_some() {
        parts.push("topped off".into());
    }
    if parts.is_empty() && !entry.photos.is_empty() {
        parts.push("photographs".into());
    }
    if parts.is_empty() { "Note".into() } else { sentence_case(&parts.join(", ")) }
}

/// Where a figure stands in a band: one-sided 95 in 100, as for the water.
pub fn stands(figure: &Figure, low: f64, high: f64) -> &'static str {
    let band = crate::record::Band { low, high };
    let standing = figures::water::stands(figure.value, figure.uncertainty, crate::units::Bound::Exactly, band);
    super::water::standing_word(standing)
}

pub fn anchor(key: &str) -> String {
    format!("figure-{}", key.replace('.', "-"))
}

/// The page on which a figure's working stands.
pub fn figure_href(key: &str) -> String {
    let page = match key.split('.').next().unwrap_or_default() {
        "power" => "power.html",
        "heat" | "topup" => "heat.html",
        "flow" => "movement.html",
        "light" => "light.html",
        "upkeep" => "upkeep.html",
        "load" => "equipment/index.html",
        "water" => {
            let parts: Vec<&str> = key.split('.').collect();
            let named = parts.get(1).is_some_and(|name| crate::record::Parameter::from_key(name).is_some());
            if named {
                return format!("water/{}.html#{}", parts[1], anchor(key));
            }
            "water/index.html"
        }
        _ => "water/index.html",
    };
    format!("{page}#{}", anchor(key))
}

pub fn shown(figure: &Figure, units: System) -> Shown {
    let shift = units.of(&figure.unit);
    let decimals = figure.decimals.map(|decimals| shift.decimals(decimals.into()) as u8);
    let (value, u) = (shift.value(figure.value), shift.spread(figure.uncertainty));
    let (number, spread) = match figure.lopsided() {
        Some((low, high)) => {
            let (number, _) = rounded(value, u.min(value.abs() / 3.0), decimals);
            let spread = format!("(95 in 100: {} to {})", about(shift.value(low)), about(shift.value(high)));
            (number, Some(spread))
        }
        None => rounded(value, u, decimals),
    };
    Shown {
        number,
        spread,
        unit: unit_text(&shift.unit),
        unit_title: unit_title(&shift.unit).map(String::from),
        basis: Some(basis_of(figure.basis)),
        href: None,
    }
}

/// What a unit stands for, where not every reader will know.
fn unit_title(unit: &str) -> Option<&'static str> {
    Some(match unit {
        "dKH" | "dKH/day" => "degrees of carbonate hardness; one is 0.357 milliequivalents per litre",
        "ppt" => "parts per thousand of salt",
        "µmol/m²/s" => "micromoles of light useful to plants, on a square metre in a second",
        "mol/m²" => "moles of light useful to plants, on a square metre",
        "kWh" => "kilowatt-hours",
        "mg/L" => "milligrams per litre",
        _ => return None,
    })
}

/// A pure number has no unit to show.
pub fn unit_text(unit: &str) -> String {
    match unit {
        "1" => String::new(),
        "pH" => String::new(),
        other => other.to_string(),
    }
}

pub fn basis_of(basis: figures::Basis) -> Basis {
    match basis {
        figures::Basis::Measured => Basis::Measured,
        figures::Basis::Stated => Basis::Stated,
        figures::Basis::Computed => Basis::Computed,
        figures::Basis::Assumed => Basis::Assumed,
    }
}

/// Widths a photo is published in; one narrower than a width stops at its own.
pub const WIDTHS: [u32; 3] = [1600, 800, 400];

/// Name of a published photo without width and extension.
pub fn published_stem(path: &str) -> String {
    let (stem, extension) = path.rsplit_once('.').unwrap_or((path, "jpg"));
    let extension = extension.to_lowercase();
    let stem: String = stem.chars().map(|c| if c.is_alphanumeric() || "-_/.".contains(c) { c } else { '-' }).collect();
    if extension == "jpg" { stem } else { format!("{stem}-{extension}") }
}

/// The widths and heights in which a photo of this upright size is published, widest first.
pub fn published_sizes(width: u32, height: u32) -> Vec<(u32, u32)> {
    let mut sizes: Vec<(u32, u32)> = WIDTHS
        .iter()
        .map(|wanted| {
            let across = (*wanted).min(width);
            (across, ((f64::from(height) * f64::from(across) / f64::from(width)).round() as u32).max(1))
        })
        .collect();
    sizes.dedup();
    sizes
}

/// Size after the EXIF orientation is applied.
pub fn upright(width: u32, height: u32, orientation: u8) -> (u32, u32) {
    if orientation >= 5 { (height, width) } else { (width, height) }
}

pub fn photo(found: &story::Photo) -> Photo {
    let caption = found.caption.clone().unwrap_or_default();
    let mut shown = Photo {
        alt: if caption.is_empty() { "A photograph without a caption".into() } else { caption.clone() },
        caption,
        date: found.date.map(date_text),
        lamp: found.lamp.as_ref().map(|lamp| match lamp.to_lowercase() {
            known if known.starts_with("lamp") => lamp.clone(),
            off if off.starts_with("off") || off.starts_with("on") => format!("Lamp {lamp}"),
            _ => format!("Lamp at {lamp}"),
        }),
        missing: true,
        width: 800,
        height: 600,
        href: (!found.is_private).then(|| super::photos::href(&found.path)),
        ..Photo::default()
    };
    if let Some((width, height, orientation)) = found.header {
        let (width, height) = upright(width, height, orientation);
        let stem = published_stem(&found.path);
        shown.variants = published_sizes(width, height)
            .into_iter()
            .rev()
            .map(|(width, height)| Variant { path: format!("{stem}-{width}.jpg"), width, height })
            .collect();
        if let Some(middle) = shown.variants.iter().find(|variant| variant.width >= 800).or(shown.variants.last()) {
            shown.path = middle.path.clone();
            shown.width = middle.width;
            shown.height = middle.height;
        }
        shown.missing = false;
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lopsided_interval_is_told_by_its_ends() {
        use crate::figures::graph::{Basis, Root, Shape};
        let mut figures = figures::Figures::new();
        let log = figures.graph.root(Root {
            label: "ln".into(),
            value: 0.849,
            uncertainty: 0.405,
            unit: "a year".into(),
            basis: Basis::Computed,
            places: Vec::new(),
            shape: Shape::Normal,
            private: false,
            note: None,
            source: None,
        });
        let rate = figures.graph.compute("Rate", "% a year", &[log], |x| 100.0 * x[0].exp_m1());
        figures.define(".", "growth.a.rate", "Rate").finish(rate);
        figures.define(".", "growth.a.log", "Log").finish(log);
        let of = |key: &str| shown(figures.get(".", key).unwrap(), System::Metric);
        // Of a log-normal the ends are exp(0.849 ± 1.96 · 0.405) − 1: 5.7 and 417 %; 20 000 draws know them to about 2 %.
        let spread = of("growth.a.rate").spread.unwrap();
        let ends: Vec<f64> =
            spread.trim_matches(['(', ')']).split_whitespace().filter_map(|word| word.parse().ok()).collect();
        assert!(spread.starts_with("(95 in 100: "), "{spread}");
        assert!((ends[1] - 5.7).abs() < 4.0 && (ends[2] - 420.0).abs() < 15.0, "{spread}");
        assert_eq!(of("growth.a.log").spread.as_deref(), Some("±\u{a0}0.4"));
    }

    #[test]
    fn photos_are_never_enlarged() {
        assert_eq!(published_sizes(4000, 3000), vec![(1600, 1200), (800, 600), (400, 300)]);
        assert_eq!(published_sizes(500, 1000), vec![(500, 1000), (400, 800)]);
        assert_eq!(published_sizes(300, 100), vec![(300, 100)]);
        assert_eq!(upright(1600, 1200, 6), (1200, 1600));
    }
}
