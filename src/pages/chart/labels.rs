//! Where words go so that no two of them meet.

use super::canvas::{Anchor, Canvas};
use super::text::text_width;

/// A rectangle taken up on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    fn meets(&self, other: &Area) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }
}

/// A position a text could take: its anchor point on the baseline.
pub(super) type Position = (f64, f64, Anchor);

/// Remembers what is taken.
#[derive(Default)]
pub(super) struct Labels {
    taken: Vec<Area>,
}

impl Labels {
    pub fn reserve(&mut self, area: Area) {
        self.taken.push(area);
    }

    /// The ground a text covers.
    pub fn area_of(text: &str, size: f64, bold: bool, at: Position) -> Area {
        let width = text_width(text, size, bold);
        let left = match at.2 {
            Anchor::Start => at.0,
            Anchor::Middle => at.0 - width / 2.0,
            Anchor::End => at.0 - width,
        };
        Area { left: left - 2.0, top: at.1 - size * 0.8, right: left + width + 2.0, bottom: at.1 + size * 0.22 }
    }

    /// Draws the text at the first position that is free and lies between `left` and `right`; false if there is none.
    pub fn place(
        &mut self,
        canvas: &mut Canvas,
        class: &str,
        text: &str,
        size: f64,
        positions: &[Position],
        (left, right): (f64, f64),
    ) -> bool {
        let bold = class.split(' ').any(|word| word == "strong" || word == "unit");
        for position in positions {
            let area = Labels::area_of(text, size, bold, *position);
            // Two units stand on each side of the words and may hang over the edge.
            let inside = area.left >= left - 2.0 && area.right <= right + 2.0;
            if inside && !self.taken.iter().any(|taken| taken.meets(&area)) {
                canvas.text(class, position.0, position.1, position.2, text);
                self.reserve(area);
                return true;
            }
        }
        false
    }
}

/// Moves blocks apart along one axis: each wants its centre somewhere and is so high; the answer keeps their order,
/// moves each as little as its group allows, and stays between `low` and `high` if all fit.
pub(super) fn spread(wanted: &[(f64, f64)], low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].0.total_cmp(&wanted[*b].0));
    // Each group: its members in order, its total height, its top.
    let mut groups: Vec<(Vec<usize>, f64, f64)> = Vec::new();
    for index in order {
        groups.push((vec![index], wanted[index].1, 0.0));
        loop {
            let last = groups.len() - 1;
            let top = best_top(&groups[last].0, groups[last].1, wanted, low, high);
            groups[last].2 = top;
            if last == 0 || groups[last - 1].2 + groups[last - 1].1 <= top + 1e-9 {
                break;
            }
            let Some((members, height, _)) = groups.pop() else {
                break;
            };
            groups[last - 1].0.extend(members);
            groups[last - 1].1 += height;
        }
    }
    let mut centres = vec![0.0; wanted.len()];
    for (members, _, top) in groups {
        let mut y = top;
        for index in members {
            centres[index] = y + wanted[index].1 / 2.0;
            y += wanted[index].1;
        }
    }
    centres
}

/// The top that brings a stacked group's members closest to where they want to be.
fn best_top(members: &[usize], height: f64, wanted: &[(f64, f64)], low: f64, high: f64) -> f64 {
    let mut above = 0.0;
    let mut sum = 0.0;
    for index in members {
        sum += wanted[*index].0 - wanted[*index].1 / 2.0 - above;
        above += wanted[*index].1;
    }
    (sum / members.len() as f64).min(high - height).max(low)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_text_takes_its_second_place() {
        let mut canvas = Canvas::new(100.0);
        let mut labels = Labels::default();
        let here = (10.0, 20.0, Anchor::Start);
        let below = (10.0, 40.0, Anchor::Start);
        assert!(labels.place(&mut canvas, "note", "one", 12.0, &[here, below], (0.0, 100.0)));
        assert!(labels.place(&mut canvas, "note", "two", 12.0, &[here, below], (0.0, 100.0)));
        assert!(!labels.place(&mut canvas, "note", "three", 12.0, &[here, below], (0.0, 100.0)));
        assert!(!labels.place(
            &mut canvas,
            "note",
            "too long for so narrow a place",
            12.0,
            &[(10.0, 60.0, Anchor::Start)],
            (0.0, 60.0)
        ));
    }

    #[test]
    fn blocks_keep_their_order_and_their_distance() {
        let centres = spread(&[(50.0, 16.0), (52.0, 16.0), (200.0, 16.0)], 0.0, 300.0);
        assert_eq!(centres, [43.0, 59.0, 200.0]);
        let at_the_top = spread(&[(2.0, 16.0), (4.0, 16.0)], 0.0, 300.0);
        assert_eq!(at_the_top, [8.0, 24.0]);
    }
}
