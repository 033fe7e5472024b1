//! Lines of equal value through a grid, closed into loops that can be filled.

/// A closed line of one value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Loop {
    /// Number of the level among those asked for.
    pub level: usize,
    /// Whether the values inside are at or above the level; else it is a hole.
    pub is_above: bool,
    /// In steps of the grid: column and row.
    pub points: Vec<(f64, f64)>,
    /// Parts of the loop that do not run along the grid's edge.
    pub inner: Vec<Vec<(f64, f64)>>,
}

/// The loops of all levels, those with the largest area first: painted in this order, each covers what lies in it.
///
/// `grid` holds rows of one length, two or more of two or more. A value that is not a number counts as below all levels.
pub(super) fn loops(grid: &[Vec<f64>], levels: &[f64]) -> Vec<Loop> {
    let mut found: Vec<(f64, Loop)> = Vec::new();
    for (number, level) in levels.iter().enumerate() {
        for points in trace(grid, *level) {
            let area = signed_area(&points);
            let inner = inner_parts(&points, grid[0].len() as f64 - 1.0, grid.len() as f64 - 1.0);
            found.push((area.abs(), Loop { level: number, is_above: area > 0.0, points, inner }));
        }
    }
    // A stable sort: of loops that both run along the edge, the higher level comes later.
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.into_iter().map(|(_, each)| each).collect()
}

/// An edge of the padded grid: of the cell at column and row, its lower (true) or its left side.
type Edge = (usize, usize, bool);

/// Marching squares over the grid with a frame of low values around it that takes no room, so that every line closes.
/// The high side lies to the left, going along a loop with rows upwards.
fn trace(grid: &[Vec<f64>], level: f64) -> Vec<Vec<(f64, f64)>> {
    let (columns, rows) = (grid[0].len() + 2, grid.len() + 2);
    let value = |column: usize, row: usize| {
        let inside = (1..columns - 1).contains(&column) && (1..rows - 1).contains(&row);
        let value = if inside { grid[row - 1][column - 1] } else { f64::NEG_INFINITY };
        if value.is_nan() { f64::NEG_INFINITY } else { value }
    };
    let high = |column: usize, row: usize| value(column, row) >= level;
    // From the edge where a piece of line enters a cell to the edge where it leaves.
    let mut pieces: std::collections::BTreeMap<Edge, Vec<Edge>> = std::collections::BTreeMap::new();
    for row in 0..rows - 1 {
        for column in 0..columns - 1 {
            let (bottom, top) = ((column, row, true), (column, row + 1, true));
            let (left, right) = ((column, row, false), (column + 1, row, false));
            let corners = [high(column, row), high(column + 1, row), high(column + 1, row + 1), high(column, row + 1)];
            let case = corners.iter().enumerate().fold(0, |case, (bit, high)| case | usize::from(*high) << bit);
            let middle = || {
                let sum =
                    value(column, row) + value(column + 1, row) + value(column + 1, row + 1) + value(column, row + 1);
                sum / 4.0 >= level
            };
            let lines: &[(Edge, Edge)] = match case {
                0 | 15 => &[],
                1 => &[(bottom, left)],
                2 => &[(right, bottom)],
                3 => &[(right, left)],
                4 => &[(top, right)],
                5 if middle() => &[(bottom, right), (top, left)],
                5 => &[(bottom, left), (top, right)],
                6 => &[(top, bottom)],
                7 => &[(top, left)],
                8 => &[(left, top)],
                9 => &[(bottom, top)],
                10 if middle() => &[(right, top), (left, bottom)],
                10 => &[(right, bottom), (left, top)],
                11 => &[(right, top)],
                12 => &[(left, right)],
                13 => &[(bottom, right)],
                _ => &[(left, bottom)],
            };
            for (from, to) in lines {
                pieces.entry(*from).or_default().push(*to);
            }
        }
    }
    let (last_column, last_row) = (grid[0].len() as f64 - 1.0, grid.len() as f64 - 1.0);
    let point = |(column, row, is_lower): Edge| {
        let (a, b) = (value(column, row), if is_lower { value(column + 1, row) } else { value(column, row + 1) });
        let share = match (a.is_finite(), b.is_finite()) {
            (true, true) => (level - a) / (b - a),
            // The frame takes no room: the line runs along the edge of the grid.
            (true, false) => 0.0,
            _ => 1.0,
        };
        let (x, y) = (column as f64 - 1.0, row as f64 - 1.0);
        let (x, y) = if is_lower { (x + share, y) } else { (x, y + share) };
        (x.clamp(0.0, last_column), y.clamp(0.0, last_row))
    };
    let mut loops = Vec::new();
    while let Some((start, _)) = pieces.first_key_value().map(|(from, to)| (*from, to.clone())) {
        let mut points: Vec<(f64, f64)> = Vec::new();
        let mut at = start;
        while let Some(nexts) = pieces.get_mut(&at) {
            let next = nexts.pop();
            if nexts.is_empty() {
                pieces.remove(&at);
            }
            let Some(next) = next else { break };
            let here = point(at);
            if points.last() != Some(&here) {
                points.push(here);
            }
            at = next;
        }
        if points.len() >= 3 && signed_area(&points).abs() > 1e-9 {
            loops.push(points);
        }
    }
    loops
}

/// The stretches of a loop that lie off the edge of the grid: the loop's own line.
fn inner_parts(points: &[(f64, f64)], right: f64, top: f64) -> Vec<Vec<(f64, f64)>> {
    let on_edge = |a: &(f64, f64), b: &(f64, f64)| {
        (a.0 == b.0 && (a.0 == 0.0 || a.0 == right)) || (a.1 == b.1 && (a.1 == 0.0 || a.1 == top))
    };
    let count = points.len();
    // Begin after a piece of edge, so that a line is not cut at the loop's first point.
    let begin = (0..count).find(|at| on_edge(&points[*at], &points[(at + 1) % count])).map_or(0, |at| at + 1);
    let mut parts: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut open = false;
    for step in 0..count {
        let (a, b) = (points[(begin + step) % count], points[(begin + step + 1) % count]);
        if on_edge(&a, &b) {
            open = false;
            continue;
        }
        match parts.last_mut().filter(|_| open) {
            Some(part) => part.push(b),
            None => parts.push(vec![a, b]),
        }
        open = true;
    }
    parts
}

fn signed_area(points: &[(f64, f64)]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(columns: usize, rows: usize, value: impl Fn(f64, f64) -> f64) -> Vec<Vec<f64>> {
        (0..rows).map(|row| (0..columns).map(|column| value(column as f64, row as f64)).collect()).collect()
    }

    #[test]
    fn a_slope_is_parted_by_straight_lines() {
        let found = loops(&field(5, 3, |x, _| x), &[1.5, 2.5]);
        assert_eq!(found.len(), 2);
        // Right of 1.5: 2.5 × 2; right of 2.5: 1.5 × 2. The larger comes first.
        let areas: Vec<f64> = found.iter().map(|each| signed_area(&each.points)).collect();
        assert!((areas[0] - 5.0).abs() < 1e-9 && (areas[1] - 3.0).abs() < 1e-9, "{areas:?}");
        assert!(found.iter().all(|each| each.is_above && each.inner.len() == 1));
        assert!(found[0].inner[0].iter().all(|point| (point.0 - 1.5).abs() < 1e-12));
    }

    #[test]
    fn a_hill_is_a_loop_and_a_pit_a_hole() {
        let hill = loops(&field(9, 9, |x, y| 10.0 - (x - 4.0).hypot(y - 4.0)), &[8.0]);
        assert_eq!((hill.len(), hill[0].is_above), (1, true));
        // A circle of radius 2, cut by straight lines: a little less than 4π.
        let area = signed_area(&hill[0].points);
        assert!((10.5..12.57).contains(&area), "{area}");
        assert_eq!(hill[0].inner.len(), 1);
        let pit = loops(&field(9, 9, |x, y| (x - 4.0).hypot(y - 4.0)), &[2.0]);
        assert_eq!(pit.iter().map(|each| each.is_above).collect::<Vec<_>>(), [true, false]);
        assert!((signed_area(&pit[0].points) - 64.0).abs() < 1e-9);
        assert!(pit[0].inner.is_empty());
    }

    #[test]
    fn flat_fields_and_saddles_close_too() {
        assert!(loops(&field(4, 4, |_, _| 1.0), &[2.0]).is_empty());
        let full = loops(&field(4, 4, |_, _| 3.0), &[2.0]);
        assert!((signed_area(&full[0].points) - 9.0).abs() < 1e-9);
        let saddle = loops(&field(7, 7, |x, y| (x - 3.0) * (y - 3.0)), &[0.5, -0.5]);
        let total: f64 = saddle.iter().map(|each| signed_area(&each.points)).sum();
        // By symmetry the area above 0.5 and that above −0.5 are together the whole of 36.
        assert!((total - 36.0).abs() < 1e-6, "{total}");
        assert!(loops(&vec![vec![f64::NAN; 3]; 3], &[1.0]).is_empty());
    }
}
