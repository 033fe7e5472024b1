//! The days of a year by where each quantity stood against its band.

use super::view::*;
use crate::figures::year::{InBand, Year};
use crate::pages::chart;
use crate::pages::model::*;

/// Fewer known days than this make no share of a year.
const FEWEST_KNOWN: i32 = 30;

pub fn chart(sums: &Year, number: i16) -> Option<ChartBlock> {
    if sums.bands.is_empty() {
        return None;
    }
    let known = |band: &InBand| band.inside + band.outside + band.too_close;
    let share = |band: &InBand| match known(band) {
        days if days < FEWEST_KNOWN => format!("{} known", super::water::counted(days as usize, "day", "days")),
        days => format!("{} of {days} known days", super::review::percent_of(band.inside, days)),
    };
    let names = ["inside the band", "too close to tell", "outside", "not known"];
    let title = "Days of the year by where each quantity stood".to_string();
    let most = sums.bands.iter().filter(|band| known(band) >= FEWEST_KNOWN).max_by_key(|band| band.outside);
    let sentence = match most {
        Some(band) if band.outside > 0 => format!(
            "Longest outside its band, as far as the kits can tell: {}, {}.",
            lower(band.parameter.shown()),
            super::water::counted(band.outside as usize, "day", "days")
        ),
        Some(_) => "Nothing stood outside its band by more than its kit’s error.".into(),
        None => "Too few days are known for shares of the year.".into(),
    };
    let rows = sums.bands.iter().map(|band| chart::ShareRow {
        label: band.parameter.shown().into(),
        parts: [band.inside, band.too_close, band.outside, band.unknown].map(f64::from),
        note: share(band),
    });
    let drawn = chart::draw_shares(&chart::Shares {
        id: format!("bands-{number}"),
        title: title.clone(),
        description: sentence.clone(),
        names: names.map(String::from),
        rows: rows.collect(),
    });
    let days = |count: i32| Cell::number(count.to_string());
    let table = Table {
        caption: title.clone(),
        head: [HeadCell::text("Quantity")]
            .into_iter()
            .chain(names.map(|name| HeadCell::number(sentence_case(name))))
            .collect(),
        rows: sums
            .bands
            .iter()
            .map(|band| {
                let counts = [band.inside, band.too_close, band.outside, band.unknown].map(days);
                [Cell::header(band.parameter.shown())].into_iter().chain(counts).collect()
            })
            .collect(),
    };
    Some(ChartBlock {
        id: "chart-bands".into(),
        title,
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: "The days as a table".into(),
        table,
        ..ChartBlock::default()
    })
}
