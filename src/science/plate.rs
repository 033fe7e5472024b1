//! A pane of glass under water: how far it bends and how hard it is pulled, by the theory of thin plates.

use super::range::{OutOfRange, positive, within};
use super::structure::STANDARD_GRAVITY_M_PER_S2;
use crate::units::{Density, Length};

/// What holds the top edge of a pane; its sides and its bottom are simply supported.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TopEdge {
    /// By a rim or a brace along the whole edge.
    Supported,
    /// Rimless.
    Free,
}

/// Coefficients of a pane under water that stands from its bottom edge to its top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaneCoefficients {
    /// Greatest deflection is α·q₀h⁴/(E t³).
    pub deflection: f64,
    /// Height of that place above the bottom edge, as a share of the pane's height.
    pub deflection_at: f64,
    /// Greatest stress along the horizontal is β·q₀h²/t².
    pub stress_horizontal: f64,
    /// Greatest stress along the vertical, likewise.
    pub stress_vertical: f64,
    /// Height of the greater of the two stresses.
    pub stress_at: f64,
}

/// Last term of the series: what is left out of the moments is a ten-millionth of them.
const LAST_TERM: u32 = 799;

/// Deflection and stress of a pane under water, in terms of its size.
///
/// D∇⁴w = q₀(1 − y/h), w = Σ Yₘ(y) sin(mπx/a) over odd m, Yₘ from the edges at y = 0 and h; on the vertical centreline
/// σ = 6M/t², Mₓ = −D(w_xx + ν w_yy), M_y = −D(w_yy + ν w_xx)
///
/// Valid: width over height 0.2–5, Poisson's ratio 0–0.49; deflection small against the thickness (a fifth of it is
/// usual). Silicone joints hold somewhere between support and clamp.
/// Source: [`timoshenko_1959`](crate::science::sources), the series of Lévy.
///
/// ```
/// # use polypary::science::{plate::*, OutOfRange};
/// // Timoshenko & Woinowsky-Krieger 1959, table 11 (from memory): a square plate, simply supported, under a triangular
/// // load, ν = 0.3: greatest deflection near its middle a little over half of 0.00406 q₀a⁴/D.
/// let square = pane_coefficients(TopEdge::Supported, 0.3, 1.0)?;
/// let at_the_middle = 0.00203 * 12.0 * (1.0 - 0.3 * 0.3);
/// assert!(square.deflection > at_the_middle && square.deflection < 1.02 * at_the_middle);
/// // Without a rim the same pane bends nearly twice as far, at its top.
/// let rimless = pane_coefficients(TopEdge::Free, 0.3, 1.0)?;
/// assert!(rimless.deflection > 1.7 * square.deflection && rimless.deflection_at == 1.0);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pane_coefficients(
    top: TopEdge,
    poisson_ratio: f64,
    width_over_height: f64,
) -> Result<PaneCoefficients, OutOfRange> {
    let poisson = within("Poisson's ratio", poisson_ratio, 0.0, 0.49, "")?;
    let ratio = within("width over height", width_over_height, 0.2, 5.0, "")?;
    let terms: Vec<Term> = (1..=LAST_TERM).step_by(2).map(|m| Term::new(m, top, poisson, ratio)).collect();
    let sum = |each: &dyn Fn(&Term) -> f64| terms.iter().map(|term| term.sign * each(term)).sum::<f64>();
    let bending = |y: f64| sum(&|term: &Term| term.at(y)[0]);
    let horizontal = |y: f64| {
        sum(&|term: &Term| {
            let [value, bent] = term.at(y);
            term.beta.powi(2) * value - poisson * bent
        })
    };
    let vertical = |y: f64| {
        sum(&|term: &Term| {
            let [value, bent] = term.at(y);
            poisson * term.beta.powi(2) * value - bent
        })
    };
    let (deflection_at, deflection) = greatest(bending);
    let (horizontal_at, horizontal) = greatest(horizontal);
    let (vertical_at, vertical) = greatest(vertical);
    Ok(PaneCoefficients {
        deflection: deflection * 12.0 * (1.0 - poisson * poisson),
        deflection_at,
        stress_horizontal: horizontal * 6.0,
        stress_vertical: vertical * 6.0,
        stress_at: if horizontal > vertical { horizontal_at } else { vertical_at },
    })
}

/// A pane and the water behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pane {
    pub width: Length,
    /// Height of the pane and of the water alike.
    pub height: Length,
    pub thickness: Length,
    pub top: TopEdge,
    pub youngs_modulus_gpa: f64,
    pub poisson_ratio: f64,
    pub water_density: Density,
}

/// What the water does to a pane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaneLoad {
    pub pressure_at_bottom_kpa: f64,
    pub stress_mpa: f64,
    /// Height of the greatest stress above the bottom edge, as a share of the pane's height.
    pub stress_at: f64,
    pub deflection: Length,
}

/// The characteristic short-term strength of new float glass, MPa. It is no allowable stress: under load for years, with
/// scratches and reused, glass bears a fraction of it.
///
/// Source: [`en_572`](crate::science::sources).
pub const NEW_GLASS_STRENGTH_MPA: f64 = 45.0;

/// Greatest stress and deflection of a pane with water to its top.
///
/// q₀ = ρ g h, σ = β q₀ h²/t², w = α q₀ h⁴/(E t³), coefficients as [`pane_coefficients`]
///
/// It is no design and no leave to build: who builds follows a standard for tanks, with its safety factor.
/// Valid: as there; sizes, stiffness and density greater than zero.
/// Source: as there.
///
/// ```
/// # use polypary::{science::{plate::*, OutOfRange}, units::*};
/// let mm = Length::millimetres;
/// let pane = |t| Pane { width: mm(900.), height: mm(450.), thickness: mm(t), top: TopEdge::Free,
///     youngs_modulus_gpa: 70., poisson_ratio: 0.22, water_density: Density::kg_per_m3(1025.) };
/// // 1025 × 9.80665 × 0.45 Pa, by hand; twice the thickness, a quarter of the stress and an eighth of the deflection.
/// let (thin, thick) = (pane_load(&pane(6.))?, pane_load(&pane(12.))?);
/// assert!((thin.pressure_at_bottom_kpa - 4.523317).abs() < 1e-6);
/// assert!((thin.stress_mpa / thick.stress_mpa - 4.).abs() < 1e-9);
/// assert!((thin.deflection.as_metres() / thick.deflection.as_metres() - 8.).abs() < 1e-9);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pane_load(pane: &Pane) -> Result<PaneLoad, OutOfRange> {
    let width = positive("width of the pane", pane.width.as_metres(), "m")?;
    let height = within("height of the pane", pane.height.as_metres(), f64::MIN_POSITIVE, 10.0, "m")?;
    let thickness = within("thickness of the pane", pane.thickness.as_metres(), f64::MIN_POSITIVE, height, "m")?;
    let stiffness = positive("Young's modulus", pane.youngs_modulus_gpa, "GPa")? * 1e9;
    let density = positive("density of the water", pane.water_density.as_kg_per_m3(), "kg/m³")?;
    let coefficients = pane_coefficients(pane.top, pane.poisson_ratio, width / height)?;
    let pressure = density * STANDARD_GRAVITY_M_PER_S2 * height;
    let stress =
        coefficients.stress_horizontal.max(coefficients.stress_vertical) * pressure * (height / thickness).powi(2);
    let deflection = coefficients.deflection * pressure * height.powi(4) / (stiffness * thickness.powi(3));
    Ok(PaneLoad {
        pressure_at_bottom_kpa: pressure / 1000.0,
        stress_mpa: stress / 1e6,
        stress_at: coefficients.stress_at,
        deflection: Length::metres(deflection),
    })
}

/// One term of the series for q₀ = h = D = 1: Y = p(1 − y) + c₁e^(−βy) + c₂βy e^(−βy) + c₃e^(−β(1−y)) + c₄β(1−y)e^(−β(1−y)).
struct Term {
    beta: f64,
    /// sin(mπ/2), on the vertical centreline.
    sign: f64,
    particular: f64,
    c: [f64; 4],
}

impl Term {
    fn new(m: u32, top: TopEdge, poisson: f64, ratio: f64) -> Term {
        let beta = f64::from(m) * std::f64::consts::PI / ratio;
        let particular = 4.0 / (f64::from(m) * std::f64::consts::PI * beta.powi(4));
        let sign = if m % 4 == 1 { 1.0 } else { -1.0 };
        let e = (-beta).exp();
        // Rows: Y and Y″ at the bottom; at the top Y and Y″, or moment and shear. Derivatives over powers of β.
        let value_at_bottom = [1.0, 0.0, e, beta * e];
        let bent_at_bottom = [1.0, -2.0, e, (beta - 2.0) * e];
        let value_at_top = [e, beta * e, 1.0, 0.0];
        let bent_at_top = [e, (beta - 2.0) * e, 1.0, -2.0];
        let slope_at_top = [-e, (1.0 - beta) * e, 1.0, -1.0];
        let third_at_top = [-e, (3.0 - beta) * e, 1.0, -3.0];
        let mix = |a: [f64; 4], b: [f64; 4], factor: f64| std::array::from_fn(|i| a[i] - factor * b[i]);
        let (rows, right) = match top {
            TopEdge::Supported => {
                ([value_at_bottom, bent_at_bottom, value_at_top, bent_at_top], [-particular, 0.0, 0.0, 0.0])
            }
            TopEdge::Free => (
                [
                    value_at_bottom,
                    bent_at_bottom,
                    mix(bent_at_top, value_at_top, poisson),
                    mix(third_at_top, slope_at_top, 2.0 - poisson),
                ],
                // The particular part has a slope at the top, −p, and no more.
                [-particular, 0.0, 0.0, (2.0 - poisson) * -particular / beta],
            ),
        };
        Term { beta, sign, particular, c: solve(rows, right) }
    }

    /// Y and Y″ at a height.
    fn at(&self, y: f64) -> [f64; 2] {
        let (up, down) = (self.beta * y, self.beta * (1.0 - y));
        let (from_bottom, from_top) = ((-up).exp(), (-down).exp());
        let [c1, c2, c3, c4] = self.c;
        let value = self.particular * (1.0 - y) + (c1 + c2 * up) * from_bottom + (c3 + c4 * down) * from_top;
        let bent = (c1 + c2 * (up - 2.0)) * from_bottom + (c3 + c4 * (down - 2.0)) * from_top;
        [value, bent * self.beta * self.beta]
    }
}

/// Four equations in four unknowns, by elimination with the largest pivot.
fn solve(mut rows: [[f64; 4]; 4], mut right: [f64; 4]) -> [f64; 4] {
    for column in 0..4 {
        let pivot = (column..4).max_by(|&a, &b| rows[a][column].abs().total_cmp(&rows[b][column].abs()));
        let pivot = pivot.unwrap_or(column);
        rows.swap(column, pivot);
        right.swap(column, pivot);
        let (row, value) = (rows[column], right[column]);
        for (below, known) in rows[column + 1..].iter_mut().zip(&mut right[column + 1..]) {
            let factor = below[column] / row[column];
            for (cell, above) in below.iter_mut().zip(row) {
                *cell -= factor * above;
            }
            *known -= factor * value;
        }
    }
    let mut solution = [0.0; 4];
    for row in (0..4).rev() {
        let known: f64 = (row + 1..4).map(|column| rows[row][column] * solution[column]).sum();
        solution[row] = (right[row] - known) / rows[row][row];
    }
    solution
}

/// Place from 0 to 1 and size of the greatest value: a fine scan, then golden sections around the best.
fn greatest(function: impl Fn(f64) -> f64) -> (f64, f64) {
    const STEPS: u32 = 50;
    let step = 1.0 / f64::from(STEPS);
    let scanned = (0..=STEPS).map(|i| f64::from(i) * step).map(|y| (y, function(y)));
    let best = scanned.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or_default().0;
    let (mut low, mut high) = ((best - step).max(0.0), (best + step).min(1.0));
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    for _ in 0..40 {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if function(a) < function(b) { low = a } else { high = b }
    }
    let middle = (low + high) / 2.0;
    // An end is reached exactly or not at all.
    [0.0, 1.0, middle].into_iter().map(|y| (y, function(y))).max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((middle, 0.0))
}
