//! A lineage as a tree over time: every colony a line from its birth to its end, hanging from its mother's at the date
//! it was cut or budded.

use jiff::civil::Date;

use super::canvas::{Anchor, Canvas, Frame};
use super::dates::{AxisStyle, TimeScale, draw_time_axis};
use super::input::Drawn;
use super::text::{text_width, wrap};
use super::time::{LABEL, tame};

/// Colonies in any order, over a stretch of time that holds them all.
#[derive(Debug, Clone, Default)]
pub struct Lineage {
    pub id: String,
    pub title: String,
    pub description: String,
    pub from: Date,
    /// The last day shown, inclusive: those alive reach it.
    pub to: Date,
    pub members: Vec<Member>,
}

/// One colony of a lineage.
#[derive(Debug, Clone, Default)]
pub struct Member {
    pub name: String,
    /// `alive in the jar`, `lost 3 May 2025`.
    pub fate: String,
    /// Its mother's place in the list; none for the first of a line, and for one whose mother is not in the list.
    pub mother: Option<usize>,
    pub born: Date,
    /// None for one that is alive.
    pub ended: Option<End>,
    pub evidence: Evidence,
    /// The one the page is about.
    pub here: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct End {
    pub on: Date,
    pub lost: bool,
}

/// How far a link to the mother is to be trusted: the style of its line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Evidence {
    Witnessed,
    Written,
    Said,
    #[default]
    Unknown,
}

impl Evidence {
    fn class(self) -> &'static str {
        match self {
            Evidence::Witnessed => "trace ink",
            Evidence::Written => "trace ink long",
            Evidence::Said => "trace ink dash",
            Evidence::Unknown => "trace ink dots",
        }
    }
}

/// Draws a row for each colony: its name and its fate over its line.
pub fn draw_lineage(lineage: &Lineage) -> Drawn {
    Drawn { wide: draw(lineage, true), narrow: draw(lineage, false) }
}

fn draw(lineage: &Lineage, wide: bool) -> String {
    let (width, small) = if wide { (940.0, 12.0) } else { (340.0, 13.0) };
    let (x0, x1) = (2.0, width - 10.0);
    let time = TimeScale::new(lineage.from, lineage.to, x0, x1);
    let order = order(&lineage.members);
    let mut canvas = Canvas::new(width);
    // Where each member's line lies, by its place in the list.
    let mut lines = vec![0.0; lineage.members.len()];
    let mut words: Vec<(usize, f64, Words)> = Vec::new();
    let mut y = 4.0;
    for &place in &order {
        let member = &lineage.members[place];
        let room = (x1 - x0) / WIDER;
        let said = Words {
            names: wrap(&member.name, LABEL, member.here, room),
            fates: wrap(&member.fate, small, false, room),
        };
        let top = y;
        y += said.lines() as f64 * 16.0 + 9.0;
        lines[place] = y;
        y += 15.0;
        words.push((place, top, said));
    }
    for (place, member) in lineage.members.iter().enumerate() {
        if let Some(mother) = member.mother.filter(|mother| *mother < lineage.members.len()) {
            let x = time.start(member.born);
            canvas.path(member.evidence.class(), vec![(x, lines[mother]), (x, lines[place])]);
        }
    }
    for (place, member) in lineage.members.iter().enumerate() {
        let end = member.ended.map_or(lineage.to, |end| end.on);
        let (from, to, y) = (time.start(member.born), time.noon(end).max(time.start(member.born)), lines[place]);
        canvas.line(if member.here { "err2 ink" } else { "trace ink" }, from, y, to, y);
        draw_end(&mut canvas, member, to, y);
    }
    for (place, top, said) in &words {
        let member = &lineage.members[*place];
        let (x, anchor) = said.beside(time.start(member.born), (x0, x1), small, member.here);
        let name = if member.here { "lab strong halo" } else { "lab halo" };
        let classes = said.names.iter().map(|_| name).chain(said.fates.iter().map(|_| "note halo"));
        for (index, (text, class)) in said.names.iter().chain(&said.fates).zip(classes).enumerate() {
            canvas.text(class, x, top + 12.0 + index as f64 * 16.0, anchor, text);
        }
    }
    let base = y + 4.0;
    draw_time_axis(&mut canvas, &time, &AxisStyle { base, size: small, second_row: true });
    let id = format!("l-{}{}", tame(&lineage.id), if wide { "" } else { "-n" });
    let kind = if wide { "wide" } else { "narrow" };
    let frame = Frame { kind, id, title: &lineage.title, description: &lineage.description };
    canvas.finish(base + 2.0 * small + 12.0, &frame)
}

/// A reader's own sans may run this much wider than the metrics that widths are estimated by.
const WIDER: f64 = 1.18;

/// What stands over a line: the name, and beneath it what became of the colony.
struct Words {
    names: Vec<String>,
    fates: Vec<String>,
}

impl Words {
    fn lines(&self) -> usize {
        self.names.len() + self.fates.len()
    }

    /// Behind the link to the mother, before it where the words of one born late would run out of the drawing, or as
    /// far right as they fit.
    fn beside(&self, born: f64, (x0, x1): (f64, f64), small: f64, strong: bool) -> (f64, Anchor) {
        let names = self.names.iter().map(|text| text_width(text, LABEL, strong));
        let fates = self.fates.iter().map(|text| text_width(text, small, false));
        let widest = names.chain(fates).fold(0.0, f64::max) * WIDER;
        if born + 5.0 + widest <= x1 {
            (born + 5.0, Anchor::Start)
        } else if born - 5.0 - widest >= x0 {
            (born - 5.0, Anchor::End)
        } else {
            ((x1 - widest).max(x0), Anchor::Start)
        }
    }
}

/// A disc for one that is alive, a cross for one that was lost, a bar across for one that left.
fn draw_end(canvas: &mut Canvas, member: &Member, x: f64, y: f64) {
    match member.ended {
        None => canvas.circle("pt-colony", x, y, 4.0),
        Some(End { lost: true, .. }) => {
            canvas.line("trace ink", x - 4.0, y - 4.0, x + 4.0, y + 4.0);
            canvas.line("trace ink", x - 4.0, y + 4.0, x + 4.0, y - 4.0);
        }
        Some(_) => canvas.line("trace ink", x, y - 5.0, x, y + 5.0),
    }
}

/// Mothers before their daughters, the youngest daughter first, so that no link crosses the line of a sister: hers
/// begins to the right of it. Whom no first of a line leads to comes last.
fn order(members: &[Member]) -> Vec<usize> {
    let mother = |place: usize| members[place].mother.filter(|mother| *mother < members.len());
    let mut order = Vec::new();
    let mut seen = vec![false; members.len()];
    let mut firsts: Vec<usize> = (0..members.len()).filter(|place| mother(*place).is_none()).collect();
    firsts.sort_by_key(|place| (members[*place].born, *place));
    let mut ahead: Vec<usize> = firsts.into_iter().rev().collect();
    loop {
        while let Some(place) = ahead.pop() {
            if std::mem::replace(&mut seen[place], true) {
                continue;
            }
            order.push(place);
            let mut daughters: Vec<usize> =
                (0..members.len()).filter(|daughter| mother(*daughter) == Some(place)).collect();
            // What is pushed last is drawn first.
            daughters.sort_by_key(|daughter| (members[*daughter].born, *daughter));
            ahead.extend(daughters);
        }
        match seen.iter().position(|seen| !seen) {
            Some(left) => ahead.push(left),
            None => return order,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn member(name: &str, mother: Option<usize>, born: Date) -> Member {
        Member { name: name.into(), mother, born, fate: "alive".into(), ..Member::default() }
    }

    fn family() -> Lineage {
        Lineage {
            id: "mushrooms".into(),
            title: "Lineage".into(),
            description: "Four generations.".into(),
            from: date(2021, 6, 5),
            to: date(2026, 10, 11),
            members: vec![
                member("Granddaughter", Some(2), date(2025, 3, 1)),
                member("First", None, date(2021, 6, 5)),
                member("Elder", Some(1), date(2022, 1, 1)),
                Member {
                    ended: Some(End { on: date(2025, 1, 1), lost: true }),
                    here: true,
                    ..member("Younger", Some(1), date(2024, 1, 1))
                },
                member("Great-granddaughter with a name <as long> as names of colonies get", Some(0), date(2026, 9, 1)),
            ],
        }
    }

    #[test]
    fn mothers_come_before_their_daughters_and_the_youngest_first() {
        assert_eq!(order(&family().members), [1, 3, 2, 0, 4]);
        // A loop cannot get here from a record that is sound; it must not hang all the same.
        let loops = [member("a", Some(1), date(2024, 1, 1)), member("b", Some(0), date(2024, 1, 1))];
        assert_eq!(order(&loops), [0, 1]);
    }

    #[test]
    fn every_member_is_named_with_its_fate_in_both_drawings() {
        let drawn = draw_lineage(&family());
        for svg in [&drawn.wide, &drawn.narrow] {
            for words in ["Granddaughter", "First", "Elder", "Younger", "&lt;as"] {
                assert!(svg.contains(words), "{words} is missing in {svg}");
            }
            assert_eq!(svg.matches(">alive<").count(), 5);
            assert!(!svg.contains("NaN"));
        }
    }

    /// Words stay inside the drawing, also those of a colony born on the last day.
    #[test]
    fn words_do_not_run_out_of_the_narrow_drawing() {
        let svg = draw_lineage(&family()).narrow;
        for text in svg.split("<text").skip(1) {
            let x: f64 = text.split("x=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap().parse().unwrap();
            let words = text.split('>').nth(1).and_then(|rest| rest.split('<').next()).unwrap();
            let words = words.replace("&lt;", "<").replace("&gt;", ">");
            let anchored_at_start = !text.contains("text-anchor=\"middle\"") && !text.contains("text-anchor=\"end\"");
            if anchored_at_start {
                assert!(x + text_width(&words, 13.0, false) <= 342.0, "{words} at {x}");
            }
        }
    }
}
