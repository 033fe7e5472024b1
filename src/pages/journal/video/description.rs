//! The text that goes under a video where it is published: plain, ready to be pasted, within the length that the host takes.

use std::collections::BTreeSet;

use crate::pages::journal::view::*;
use crate::pages::journal::{gear, settings, since, story};
use crate::pages::model::*;
use crate::record::colony::{Grade, SourceKind};
use crate::record::{Colony, Device, Role, Video};

/// One part of the text.
struct Part {
    /// As the closing line calls it: `the colonies`.
    name: &'static str,
    lines: Vec<String>,
    /// Whether the end of it may be left out. Else it is left out whole: half of the chapters mislead.
    may_end_early: bool,
}

impl Part {
    fn whole(name: &'static str, lines: Vec<String>) -> Part {
        Part { name, lines, may_end_early: false }
    }

    /// A heading and what it heads, the most important first.
    fn list(name: &'static str, lines: Vec<String>) -> Part {
        Part { name, lines, may_end_early: true }
    }

    /// So many of its lines, and how many more there are.
    fn text(&self, count: usize) -> String {
        let mut lines = self.lines[..count].to_vec();
        match self.lines.len() - count {
            0 => {}
            left => lines.push(format!("… and {left} more")),
        }
        plain_text(&lines.join("\n"))
    }
}

/// What closes every description, whatever is left out.
const CLOSING: &str = "± is one standard uncertainty. Numbers and settings belong to this room and this volume: a record of one tank, \
                       not instructions for another. Local codes and licensed practice come first.";

/// The description of a video, from the record as it stands and as it stood on the day of filming.
pub fn write(view: &View, then: &View, video: &Video) -> String {
    let parts = vec![
        Part::whole("the introduction", introduction(view, video)),
        Part::whole("the chapters", chapters(video)),
        Part::whole("the links to its pages", links(view, video)),
        Part::list("the equipment", equipment(then)),
        Part::list("the colonies", colonies(then)),
        Part::list("what became of it since", afterwards(view, video)),
        Part::list("the water", water(then)),
    ];
    let page = view.record.site().map(|site| site.address.value.of(&format!("video/{}.html", video.key)));
    within(video.description_limit, parts, page.as_deref())
}

/// Takes parts from the first on while they fit, and says what was left out. What comes after a part that does not fit may still fit.
fn within(limit: usize, mut parts: Vec<Part>, page: Option<&str>) -> String {
    parts.retain(|part| !part.lines.is_empty());
    // How many lines of each are taken.
    let mut taken = vec![0; parts.len()];
    let assemble = |taken: &[usize]| {
        let counted = || parts.iter().zip(taken);
        let mut text: Vec<String> =
            counted().filter(|(_, count)| **count > 0).map(|(part, count)| part.text(*count)).collect();
        let left: Vec<String> =
            counted().filter(|(_, count)| **count == 0).map(|(part, _)| part.name.to_string()).collect();
        let is_cut = counted().any(|(part, count)| *count < part.lines.len());
        let place = page.map_or(String::new(), |page| format!(" To be read at {page}"));
        if !left.is_empty() {
            text.push(format!("Left out for length: {}.{place}", list(&left, left.len())));
        } else if is_cut {
            text.push(format!("Lists were cut for length.{place}"));
        }
        text.push(CLOSING.into());
        text.join("\n\n")
    };
    let fits = |taken: &[usize]| length(&assemble(taken)) <= limit;
    for at in 0..parts.len() {
        // A heading alone is no list.
        let least = if parts[at].may_end_early { 2 } else { parts[at].lines.len() };
        taken[at] = parts[at].lines.len();
        while taken[at] > 0 && !fits(&taken) {
            taken[at] = if taken[at] > least { taken[at] - 1 } else { 0 };
        }
    }
    // A part left out makes the closing line longer, so that one that fitted before may have to go too.
    while let Some(last) = taken.iter().rposition(|count| *count > 0).filter(|_| !fits(&taken)) {
        taken[last] = 0;
    }
    assemble(&taken)
}

/// Hosts count characters, and some of them bytes or halves of a character beyond the first plane; the larger two are the same here
/// but for such characters. Common practice, no source.
pub fn length(text: &str) -> usize {
    text.encode_utf16().count()
}

/// Without what a plain field spoils or refuses: no-break spaces, and the angle brackets that one or another host bars
/// (common practice, no source).
fn plain_text(text: &str) -> String {
    text.replace('\u{a0}', " ").replace('<', "‹").replace('>', "›")
}

fn introduction(view: &View, video: &Video) -> Vec<String> {
    let about = view.tank.about.as_ref().map(|about| format!(" {about}")).unwrap_or_default();
    vec![format!("{}, filmed {}.{about}", view.tank.name.value, date_text(video.filmed.value).text)]
}

/// The first at 0:00, without which hosts take the list for plain text (common practice, no source).
fn chapters(video: &Video) -> Vec<String> {
    if video.marks.is_empty() {
        return Vec::new();
    }
    let is_long = video.marks.iter().any(|mark| mark.seconds >= 3600);
    let stamp = |seconds: u32| match is_long {
        true => format!("{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60),
        false => format!("{}:{:02}", seconds / 60, seconds % 60),
    };
    let mut lines = vec!["Chapters".to_string()];
    if video.marks[0].seconds > 0 {
        lines.push(format!("{} Beginning", stamp(0)));
    }
    lines.extend(video.marks.iter().map(|mark| {
        let title = mark.title.split_whitespace().collect::<Vec<_>>().join(" ");
        format!("{} {title}", stamp(mark.seconds))
    }));
    lines
}

fn links(view: &View, video: &Video) -> Vec<String> {
    let Some(site) = view.record.site() else {
        return Vec::new();
    };
    let address = |path: &str| site.address.value.of(path);
    let mut lines = vec![
        "Read on".to_string(),
        format!("The whole record: {}", address("index.html")),
        format!("Settings and figures as filmed and today: {}", address(&format!("video/{}.html", video.key))),
    ];
    let mut told = BTreeSet::new();
    for mark in &video.marks {
        let page = mark.page.as_ref().and_then(|page| super::mark_page(view, &page.value));
        if let Some(PlaceLink { text, href: Some(href) }) = page
            && told.insert(href.clone())
        {
            lines.push(format!("{text}: {}", address(&href)));
        }
    }
    lines
}

fn equipment(then: &View) -> Vec<String> {
    let mut devices: Vec<&Device> = then.tank.devices_at(then.record.as_of).collect();
    devices
        .retain(|device| !matches!(device.role.value, Role::PowerStrip | Role::GroundFaultProtection | Role::Camera));
    devices.sort_by_key(|device| (device.role.value != Role::Lamp, device.role.value, device.key.clone()));
    let mut lines: Vec<String> = devices.into_iter().filter_map(|device| device_line(then, device)).collect();
    if !lines.is_empty() {
        lines
            .insert(0, "Equipment, with what makers state, what was measured or worked out, and how it was set".into());
    }
    lines
}

/// `None` for a device of which nothing is known but that it was there.
fn device_line(then: &View, device: &Device) -> Option<String> {
    let mut told = Vec::new();
    let mut is_observed = false;
    let rows = gear::stated_rows(then, device);
    for row in rows.into_iter().filter(|row| ["Power", "Flow"].contains(&row.label.as_str())) {
        let mut text = format!("{} {} stated", lower(&row.label), row.stated.as_ref().map(said).unwrap_or_default());
        if let Some(observed) = &row.observed {
            is_observed = true;
            text.push_str(&format!(", {} {}", said(observed), found(observed)));
        }
        told.push(text);
    }
    if !is_observed && let Some(energy) = then.shown(&format!("power.{}.energy-per-day", device.key)) {
        told.push(format!("{} a day {}", said(&energy), found(&energy)));
    }
    if let Some(settings) = device.settings.at(then.record.as_of) {
        let rows = settings::setting_rows(then, &settings.value);
        told.extend(rows.into_iter().map(|(label, text)| match label.as_str() {
            "Hours" | "Mode" | "Duty" => text,
            _ => format!("{} {text}", lower(&label)),
        }));
    }
    (!told.is_empty()).then(|| format!("{}: {}", device.name.value, told.join("; ")))
}

/// How a number that is not the maker's came about.
fn found(shown: &Shown) -> &'static str {
    match shown.basis {
        Some(Basis::Measured) => "measured",
        Some(Basis::Stated) => "stated",
        Some(Basis::Assumed) => "worked out with assumptions",
        Some(Basis::Computed) | None => "worked out",
    }
}

fn water(then: &View) -> Vec<String> {
    let mut lines = Vec::new();
    let mut tell = |label: &str, shown: Option<Shown>| {
        if let Some(shown) = shown {
            lines.push(format!("{label}: {}, {}", said(&shown), found(&shown)));
        }
    };
    tell("Water", then.shown("water.net-volume"));
    tell("Turnover", then.shown("flow.turnover"));
    tell("Light at the corals a day", story::daily_light(then));
    for (parameter, state) in &then.of.water {
        if parameter.is_of_the_water() {
            tell(parameter.shown(), super::super::water::latest(then, state));
        }
    }
    tell("Energy a day", then.shown("power.energy-per-day"));
    tell("Cost a month", then.shown("power.cost-per-month"));
    tell("Work a week", then.shown("upkeep.minutes-per-week"));
    if !lines.is_empty() {
        lines.insert(0, format!("Figures on {}", date_text(then.record.as_of).text));
    }
    lines
}

fn colonies(then: &View) -> Vec<String> {
    let mut colonies: Vec<&Colony> = then.record.colonies_in(&then.tank.key, then.record.as_of).collect();
    colonies.sort_by_key(|colony| (colony.group.value, colony.arrived.value, colony.key.clone()));
    let mut lines: Vec<String> = colonies.into_iter().map(|colony| colony_line(then, colony)).collect();
    if !lines.is_empty() {
        lines.insert(0, "Colonies, and where each came from".into());
    }
    lines
}

fn colony_line(then: &View, colony: &Colony) -> String {
    let mut told = vec![format!("since {}", month_text(colony.arrived.value))];
    told.push(match &colony.source {
        Some(source) => {
            let kind = match source.kind.value {
                SourceKind::Unknown => "source not known".to_string(),
                SourceKind::WildCollected => "collected in the wild".to_string(),
                other => other.word().to_string(),
            };
            source.from.as_ref().map_or(kind.clone(), |from| format!("{kind}: {from}"))
        }
        None => "source not recorded".into(),
    });
    if let Some(parent) = &colony.parent {
        let mother = then
            .record
            .colonies
            .get(&parent.colony.value)
            .map_or(parent.colony.value.clone(), |mother| mother.name.value.clone());
        told.push(format!("a piece of {mother}, by {}", evidence(parent.grade)));
    }
    format!("{} ({}): {}", colony.name.value, colony.group.value.shown(), told.join("; "))
}

/// How it is known whose piece it is.
fn evidence(grade: Grade) -> &'static str {
    match grade {
        Grade::WitnessedCut => "a cut that was witnessed",
        Grade::GiversRecord => "the giver’s record",
        Grade::GiversStatement => "the giver’s word",
        Grade::SellersStatement => "the seller’s word",
        Grade::NameOnly => "its name only",
        Grade::Unknown => "evidence that is not known",
    }
}

/// Losses and corrections: what a viewer of an old video should know first.
fn afterwards(view: &View, video: &Video) -> Vec<String> {
    let filmed = video.filmed.value;
    let line = |told: DatedText| format!("{}: {}", told.date.text, told.text);
    let mut lines: Vec<String> = since::losses(view, filmed).into_iter().map(line).collect();
    lines.extend(
        since::corrections(view, filmed)
            .into_iter()
            .map(|told| format!("{}: corrected: {}", told.date.text, told.text)),
    );
    if !lines.is_empty() {
        lines.insert(0, format!("Since it was filmed, up to {}", date_text(view.record.as_of).text));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts() -> Vec<Part> {
        let part = |name, length: usize| Part::whole(name, vec!["x".repeat(length)]);
        vec![part("one", 50), part("two", 400), part("three", 60)]
    }

    #[test]
    fn a_text_that_fits_is_whole() {
        let text = within(5000, parts(), None);
        assert_eq!(text, format!("{}\n\n{}\n\n{}\n\n{CLOSING}", "x".repeat(50), "x".repeat(400), "x".repeat(60)));
    }

    #[test]
    fn parts_are_left_out_whole_and_it_is_said() {
        let limit = length(CLOSING) + 300;
        let text = within(limit, parts(), Some("https://example.org/video/first.html"));
        assert!(length(&text) <= limit, "{}", length(&text));
        assert!(text.starts_with(&format!("{}\n\n{}\n\n", "x".repeat(50), "x".repeat(60))), "{text}");
        assert!(
            text.contains("Left out for length: two. To be read at https://example.org/video/first.html"),
            "{text}"
        );
        assert!(text.ends_with(CLOSING));
    }

    /// Ten lines of ten letters under a heading.
    fn long_list() -> Part {
        Part::list(
            "the animals",
            ["Animals".to_string()].into_iter().chain((0..10).map(|n| format!("animal {n:02}."))).collect(),
        )
    }

    #[test]
    fn a_list_ends_early_and_says_how_many_are_missing() {
        let limit = length(CLOSING) + 160;
        let mut parts = parts();
        parts.truncate(1);
        parts.push(long_list());
        let text = within(limit, parts, Some("https://example.org/v.html"));
        assert!(length(&text) <= limit, "{}: {text}", length(&text));
        // The whole list takes 171 with what stands before it. 160 less 50 of the introduction, 67 of the line about the cut and 6
        // for blank lines are 37 for the list: 7 of its heading, 11 for an animal and 13 for the line that counts the rest.
        let list = "Animals\nanimal 00.\n… and 9 more";
        let cut = "Lists were cut for length. To be read at https://example.org/v.html";
        assert!(text.contains(&format!("{list}\n\n{cut}")), "{text}");
    }

    #[test]
    fn no_limit_is_passed() {
        for limit in length(CLOSING) + 60..length(CLOSING) + 700 {
            let mut parts = parts();
            parts.insert(1, long_list());
            let text = within(limit, parts, None);
            assert!(length(&text) <= limit, "{limit}: {}", length(&text));
        }
    }

    #[test]
    fn what_a_field_refuses_is_written_otherwise() {
        assert_eq!(plain_text("5\u{a0}mg/L, <b>"), "5 mg/L, ‹b›");
    }
}
