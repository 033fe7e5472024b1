//! A map of light through a tank from readings on a grid, and how wrong it is where nobody measured.

use super::light::Place;
use super::range::{OutOfRange, not_negative, within};
use crate::units::{Length, PhotonFlux};

/// Readings whose depths differ by less than this lie in one layer, cm.
const LAYER_CM: f64 = 2.5;

/// A surface may leave the span of its layer's readings by this factor, down or up: beyond them it is a guess.
const BEYOND: f64 = 1.5;

/// (x, y) in cm, and the light read there.
type Point = ([f64; 2], f64);

/// A map of light in layers of equal depth.
#[derive(Debug, Clone, PartialEq)]
pub struct LightMap {
    layers: Vec<Layer>,
}

/// Readings of one depth with the surface through them.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// cm below the surface; the mean of the readings'.
    pub depth_cm: f64,
    /// (x, y) in cm and light.
    points: Vec<Point>,
    trend: Trend,
}

/// How far a map is from readings that it was not shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeaveOneOut {
    /// Root of the mean square of (map − reading)/reading.
    pub relative: f64,
    /// The largest of them.
    pub worst: f64,
    pub count: usize,
    /// Mean distance from a reading to the nearest other one in its layer, cm: how far the map was stretched.
    pub distance_cm: f64,
}

impl LightMap {
    /// A map through readings.
    ///
    /// In each layer a surface of least squares, E = a + bx + cy + dx² + ey² (no bend along an axis with fewer than three
    /// places on it; a plane with fewer than 7 readings, their mean with fewer than 4), and the readings' differences from it spread by the inverse square of distance. It
    /// passes through every reading and repeats a plane field without error. Between layers ln E is joined by straight
    /// lines, as light falls with depth. Outside the readings it stays within 1.5 times their span.
    ///
    /// Errors: no reading; a light below zero.
    /// Source: [`shepard_1968`](crate::science::sources) for the differences; least squares is arithmetic; light
    /// falling by equal shares in equal depths is Beer's law.
    pub fn of_readings(readings: &[(Place, PhotonFlux)]) -> Result<LightMap, OutOfRange> {
        within("readings of a survey", readings.len() as f64, 1.0, f64::INFINITY, "")?;
        let mut sorted = Vec::with_capacity(readings.len());
        for (place, light) in readings {
            let light = not_negative("light", light.as_umol_per_m2_s(), "µmol/m²/s")?;
            let depth = not_negative("depth", place.depth.as_centimetres(), "cm")?;
            sorted.push((depth, [place.x.as_centimetres(), place.y.as_centimetres()], light));
        }
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut layers: Vec<(Vec<f64>, Vec<Point>)> = Vec::new();
        for (depth, at, light) in sorted {
            match layers.last_mut().filter(|layer| depth - layer.0[0] < LAYER_CM) {
                Some(layer) => {
                    layer.0.push(depth);
                    layer.1.push((at, light));
                }
                None => layers.push((vec![depth], vec![(at, light)])),
            }
        }
        let layers = layers.into_iter().map(|(depths, points)| Layer::new(mean(&depths), points)).collect();
        Ok(LightMap { layers })
    }

    /// The layers by depth.
    pub fn layers(&self) -> &[Layer] {
        &self.layers
    }

    /// Light at a place.
    ///
    /// ```
    /// # use polypary::{science::{light::Place, light_map::LightMap}, units::*};
    /// let at = |x, y, z| Place { x: Length::centimetres(x), y: Length::centimetres(y), depth: Length::centimetres(z) };
    /// let lit = PhotonFlux::umol_per_m2_s;
    /// let map = LightMap::of_readings(&[(at(10., 10., 5.), lit(200.)), (at(10., 10., 25.), lit(50.))])?;
    /// // Half way down, the square root of 200 × 50.
    /// assert!((map.at(at(10., 10., 15.)).as_umol_per_m2_s() - 100.).abs() < 1e-9);
    /// # Ok::<(), polypary::science::OutOfRange>(())
    /// ```
    pub fn at(&self, place: Place) -> PhotonFlux {
        let (x, y) = (place.x.as_centimetres(), place.y.as_centimetres());
        let depth = place.depth.as_centimetres();
        let below = self.layers.partition_point(|layer| layer.depth_cm < depth);
        let light = match (below.checked_sub(1).map(|above| &self.layers[above]), self.layers.get(below)) {
            (Some(upper), Some(lower)) => {
                let share = (depth - upper.depth_cm) / (lower.depth_cm - upper.depth_cm);
                between(upper.at(x, y), lower.at(x, y), share)
            }
            (Some(only), None) | (None, Some(only)) => only.at(x, y),
            (None, None) => 0.0,
        };
        PhotonFlux::umol_per_m2_s(light)
    }

    /// Distance from a place to the nearest reading.
    pub fn nearest(&self, place: Place) -> Length {
        let square = |layer: &Layer| {
            let down = place.depth.as_centimetres() - layer.depth_cm;
            let across = layer
                .points
                .iter()
                .map(|(at, _)| (at[0] - place.x.as_centimetres()).powi(2) + (at[1] - place.y.as_centimetres()).powi(2));
            across.fold(f64::INFINITY, f64::min) + down * down
        };
        Length::centimetres(self.layers.iter().map(square).fold(f64::INFINITY, f64::min).sqrt())
    }

    /// Leaves each reading out in turn and compares it with the map of the others of its layer.
    ///
    /// None where no layer has three readings with light in them.
    /// Source: cross-validation, [`stone_1974`](crate::science::sources).
    pub fn leave_one_out(&self) -> Option<LeaveOneOut> {
        let mut squares = Vec::new();
        let mut distances = Vec::new();
        for layer in self.layers.iter().filter(|layer| layer.points.len() >= 3) {
            for (index, (at, light)) in layer.points.iter().enumerate() {
                if *light <= 0.0 {
                    continue;
                }
                let mut others = layer.points.clone();
                others.remove(index);
                let nearest = others.iter().map(|(other, _)| distance(at, other)).fold(f64::INFINITY, f64::min);
                let without = Layer::new(layer.depth_cm, others);
                squares.push(((without.at(at[0], at[1]) - light) / light).powi(2));
                distances.push(nearest);
            }
        }
        if squares.is_empty() {
            return None;
        }
        Some(LeaveOneOut {
            relative: mean(&squares).sqrt(),
            worst: squares.iter().copied().fold(0.0, f64::max).sqrt(),
            count: squares.len(),
            distance_cm: mean(&distances),
        })
    }
}

impl Layer {
    fn new(depth_cm: f64, points: Vec<Point>) -> Layer {
        let trend = Trend::through(&points);
        Layer { depth_cm, points, trend }
    }

    /// Readings of the layer: (x, y) in cm and light.
    pub fn points(&self) -> impl Iterator<Item = (f64, f64, f64)> {
        self.points.iter().map(|(at, light)| (at[0], at[1], *light))
    }

    /// Light in µmol/m²/s at (x, y) in cm.
    pub fn at(&self, x: f64, y: f64) -> f64 {
        let place = [x, y];
        let (mut weights, mut differences) = (0.0, 0.0);
        let (mut same, mut sum_of_same) = (0, 0.0);
        for (at, light) in &self.points {
            let away = distance(at, &place);
            // A tenth of a millimetre is the same place: no survey is written down finer.
            if away < 0.01 {
                same += 1;
                sum_of_same += light;
                continue;
            }
            let weight = away.powi(-2);
            weights += weight;
            differences += weight * (light - self.trend.at(at));
        }
        if same > 0 {
            return sum_of_same / f64::from(same);
        }
        let (low, high) = self
            .points
            .iter()
            .fold((f64::INFINITY, 0.0f64), |span, (_, light)| (span.0.min(*light), span.1.max(*light)));
        (self.trend.at(&place) + differences / weights).clamp(low / BEYOND, high * BEYOND)
    }
}

/// A surface of least squares over centred and scaled coordinates.
#[derive(Debug, Clone, PartialEq)]
struct Trend {
    centre: [f64; 2],
    scale: f64,
    /// Of 1, x, y, x², y²; zero for those that the readings do not decide.
    coefficients: [f64; 5],
}

impl Trend {
    fn through(points: &[Point]) -> Trend {
        let centre = [0, 1].map(|axis| mean(&points.iter().map(|(at, _)| at[axis]).collect::<Vec<_>>()));
        let reach = points.iter().map(|(at, _)| distance(at, &centre)).fold(0.0, f64::max);
        let trend = Trend { centre, scale: reach.max(1.0), coefficients: [0.0; 5] };
        let distinct = |axis: usize| {
            let mut values: Vec<f64> = points.iter().map(|(at, _)| at[axis]).collect();
            values.sort_by(f64::total_cmp);
            values.dedup_by(|a, b| (*a - *b).abs() < 0.5);
            values.len()
        };
        let mut bent = vec![0, 1, 2];
        // Three places on an axis show a bend along it; two do not.
        bent.extend([0, 1].into_iter().filter(|axis| distinct(*axis) >= 3).map(|axis| axis + 3));
        let wanted = [(7, bent), (4, vec![0, 1, 2]), (1, vec![0])];
        let fitted = wanted
            .iter()
            .filter(|(fewest, _)| points.len() >= *fewest)
            .find_map(|(_, terms)| Some((terms, trend.fit(points, terms)?)));
        let mut coefficients = [0.0; 5];
        for (term, coefficient) in fitted.iter().flat_map(|(terms, found)| terms.iter().zip(found)) {
            coefficients[*term] = *coefficient;
        }
        Trend { coefficients, ..trend }
    }

    fn terms(&self, at: &[f64; 2]) -> [f64; 5] {
        let [x, y] = [0, 1].map(|axis| (at[axis] - self.centre[axis]) / self.scale);
        [1.0, x, y, x * x, y * y]
    }

    fn at(&self, at: &[f64; 2]) -> f64 {
        self.terms(at).iter().zip(&self.coefficients).map(|(term, coefficient)| term * coefficient).sum()
    }

    /// The normal equations by elimination with pivots. None where they do not decide, as with readings in a row.
    fn fit(&self, points: &[Point], wanted: &[usize]) -> Option<Vec<f64>> {
        let count = wanted.len();
        let mut rows = vec![vec![0.0; count + 1]; count];
        for (at, light) in points {
            let all = self.terms(at);
            let terms: Vec<f64> = wanted.iter().map(|term| all[*term]).collect();
            for (row, left) in rows.iter_mut().zip(&terms) {
                for (cell, right) in row.iter_mut().zip(terms.iter().chain([light])) {
                    *cell += left * right;
                }
            }
        }
        for step in 0..count {
            let pivot = (step..count).max_by(|a, b| rows[*a][step].abs().total_cmp(&rows[*b][step].abs()))?;
            rows.swap(step, pivot);
            if rows[step][step].abs() < 1e-9 * points.len() as f64 {
                return None;
            }
            let leading = rows[step].clone();
            for row in &mut rows[step + 1..] {
                let factor = row[step] / leading[step];
                for (cell, lead) in row.iter_mut().zip(&leading) {
                    *cell -= factor * lead;
                }
            }
        }
        let mut solution = vec![0.0; count];
        for step in (0..count).rev() {
            let known: f64 = (step + 1..count).map(|later| rows[step][later] * solution[later]).sum();
            solution[step] = (rows[step][count] - known) / rows[step][step];
        }
        Some(solution)
    }
}

/// Between two lights at a share of the way, straight in ln E; straight in E where one of them is dark.
fn between(upper: f64, lower: f64, share: f64) -> f64 {
    if upper > 0.0 && lower > 0.0 { upper * (lower / upper).powf(share) } else { upper + (lower - upper) * share }
}

fn distance(a: &[f64; 2], b: &[f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(x: f64, y: f64, depth: f64) -> Place {
        Place { x: Length::centimetres(x), y: Length::centimetres(y), depth: Length::centimetres(depth) }
    }

    /// A grid of 4 × 3 readings of a field at one depth.
    fn grid(depth: f64, field: impl Fn(f64, f64) -> f64) -> Vec<(Place, PhotonFlux)> {
        let mut readings = Vec::new();
        for x in [10.0, 30.0, 50.0, 70.0] {
            for y in [10.0, 20.0, 30.0] {
                readings.push((place(x, y, depth), PhotonFlux::umol_per_m2_s(field(x, y))));
            }
        }
        readings
    }

    fn map(readings: &[(Place, PhotonFlux)]) -> LightMap {
        LightMap::of_readings(readings).unwrap()
    }

    fn rough(x: f64, y: f64) -> f64 {
        100.0 + 30.0 * (x / 9.0).sin() + 20.0 * (y / 5.0).cos()
    }

    #[test]
    fn every_reading_is_returned_at_its_place() {
        let mut readings = grid(5.0, rough);
        readings.extend(grid(20.0, |x, y| rough(x, y) / 2.0));
        let map = map(&readings);
        assert_eq!(map.layers().len(), 2);
        for (at, light) in &readings {
            assert!((map.at(*at).as_umol_per_m2_s() - light.as_umol_per_m2_s()).abs() < 1e-9);
            assert!(map.nearest(*at).as_centimetres() < 1e-9);
        }
    }

    #[test]
    fn a_known_field_is_repeated_and_leaving_one_out_finds_no_error() {
        // A plane, and a lamp's hump: both are surfaces of the kind that is fitted.
        let plane = |x: f64, y: f64| 80.0 + 0.5 * x + 1.5 * y;
        let hump = |x: f64, y: f64| 200.0 - 0.03 * (x - 40.0).powi(2) - 0.1 * (y - 20.0).powi(2);
        for field in [&plane as &dyn Fn(f64, f64) -> f64, &hump] {
            let map = map(&grid(5.0, field));
            assert!((map.at(place(37.0, 24.0, 5.0)).as_umol_per_m2_s() - field(37.0, 24.0)).abs() < 1e-9);
            let left = map.leave_one_out().unwrap();
            assert!(left.relative < 1e-10, "{left:?}");
            assert_eq!(left.count, 12);
            assert!((left.distance_cm - 10.0).abs() < 1e-12);
        }
    }

    /// Two layers of one field that differ by a factor: by hand 100 × 0.25^(1/3) a third of the way down.
    #[test]
    fn between_layers_light_falls_by_equal_shares() {
        let mut readings = grid(0.0, |_, _| 100.0);
        readings.extend(grid(30.0, |_, _| 25.0));
        let map = map(&readings);
        let light = |depth| map.at(place(20.0, 15.0, depth)).as_umol_per_m2_s();
        assert!((light(10.0) - 100.0 * 0.25f64.powf(1.0 / 3.0)).abs() < 1e-9);
        // Beyond the last layer nothing is known: it stays as it is there.
        assert!((light(40.0) - 25.0).abs() < 1e-9);
    }

    /// Readings 100, 100 and 130 in a row of steps of 10 cm: with three only their mean is fitted, and what is left out
    /// is judged by the two others. Left out 130 from 100 and 100: 30 of 130; left out an end 100: from 100 at 10 cm and
    /// 130 at 20 cm, (4 × 100 + 130)/5 = 106; left out the middle: (100 + 130)/2 = 115.
    #[test]
    fn leaving_one_out_by_hand() {
        let at = |x, light| (place(x, 10.0, 5.0), PhotonFlux::umol_per_m2_s(light));
        let left = map(&[at(10.0, 100.0), at(20.0, 100.0), at(30.0, 130.0)]).leave_one_out().unwrap();
        let squares: f64 = [6.0 / 100.0, 15.0 / 100.0, 30.0 / 130.0].iter().map(|e: &f64| e * e).sum();
        assert!((left.relative - (squares / 3.0).sqrt()).abs() < 1e-9, "{left:?}");
        assert!((left.worst - 30.0 / 130.0).abs() < 1e-12);
    }

    /// Two rows show no bend from front to back, and the bend along them all the same.
    #[test]
    fn two_rows_show_the_bend_along_them() {
        let hump = |x: f64, y: f64| 200.0 - 0.03 * (x - 40.0).powi(2) + y;
        let rows: Vec<_> = grid(5.0, hump).into_iter().filter(|(at, _)| at.y.as_centimetres() != 20.0).collect();
        assert!(map(&rows).leave_one_out().unwrap().relative < 1e-10);
    }

    #[test]
    fn what_no_survey_holds() {
        assert!(LightMap::of_readings(&[]).is_err());
        let dark = [(place(1.0, 1.0, 1.0), PhotonFlux::umol_per_m2_s(-1.0))];
        assert!(LightMap::of_readings(&dark).is_err());
        let one = map(&[(place(1.0, 1.0, 1.0), PhotonFlux::umol_per_m2_s(90.0))]);
        assert_eq!(one.leave_one_out(), None);
        assert!((one.at(place(50.0, 20.0, 30.0)).as_umol_per_m2_s() - 90.0).abs() < 1e-9);
        // Far outside, a surface that bends down stays in the span of its readings.
        let hump = map(&grid(5.0, |x, _| 200.0 - 0.1 * (x - 40.0).powi(2)));
        assert!(hump.at(place(500.0, 20.0, 5.0)).as_umol_per_m2_s() >= 110.0 / BEYOND - 1e-9);
    }
}
