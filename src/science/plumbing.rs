//! A pump and its plumbing: losses of fittings, the point where pump and pipes agree, the water over an overflow's edge,
//! and what runs back into the sump when the pump stops.

use super::flow::{OperatingPoint, head_at};
use super::pipes::{Checked, PipeRun};
use super::range::{OutOfRange, not_negative, positive, within};
use super::root::crossing_quick;
use crate::units::{Flow, Length, Volume};

/// A part in a run of pipe that costs head.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fitting {
    Elbow90,
    Elbow45,
    Bend90,
    TeeRun,
    TeeBranch,
    BallValve,
    CheckValve,
    Entrance,
    EntranceProjecting,
    Exit,
}

impl Fitting {
    /// The word for each in a record.
    pub const WORDS: &'static [(&'static str, Fitting)] = &[
        ("elbow-90", Fitting::Elbow90),
        ("elbow-45", Fitting::Elbow45),
        ("bend-90", Fitting::Bend90),
        ("tee-run", Fitting::TeeRun),
        ("tee-branch", Fitting::TeeBranch),
        ("ball-valve", Fitting::BallValve),
        ("check-valve", Fitting::CheckValve),
        ("entrance", Fitting::Entrance),
        ("entrance-projecting", Fitting::EntranceProjecting),
        ("exit", Fitting::Exit),
    ];

    /// Loss coefficient in a pipe of this bore.
    ///
    /// K = n·f_T; entry and exit have fixed values. n: threaded elbow of 90° 30, of 45° 16, bend of 1.5 diameters 14,
    /// tee straight through 20, tee through its branch 60, open ball valve of full bore 3, angled swing check valve
    /// 100; entry with a sharp edge 0.5, projecting inward 0.78, exit 1.
    ///
    /// Valid: bore greater than zero. Crane's f_T is for steel pipe and customary for plastic too; real fittings differ
    /// by 30 %.
    /// Source: [`crane_2009`](crate::science::sources); the multiples are from memory.
    ///
    /// ```
    /// # use polypary::{science::plumbing::Fitting, units::Length};
    /// // An elbow in one-inch pipe: 30 × 0.0225, within 2 % of Crane's printed 30 × 0.022.
    /// let k = Fitting::Elbow90.loss_coefficient(Length::millimetres(26.64))?;
    /// assert!((k / 0.66 - 1.).abs() < 0.03);
    /// assert_eq!(Fitting::Exit.loss_coefficient(Length::millimetres(20.))?, 1.0);
    /// # Ok::<(), polypary::science::OutOfRange>(())
    /// ```
    pub fn loss_coefficient(self, bore: Length) -> Result<f64, OutOfRange> {
        let turbulent = friction_of_rough_steel(bore)?;
        Ok(match self {
            Fitting::Elbow90 => 30.0 * turbulent,
            Fitting::Elbow45 => 16.0 * turbulent,
            Fitting::Bend90 => 14.0 * turbulent,
            Fitting::TeeRun => 20.0 * turbulent,
            Fitting::TeeBranch => 60.0 * turbulent,
            Fitting::BallValve => 3.0 * turbulent,
            Fitting::CheckValve => 100.0 * turbulent,
            Fitting::Entrance => 0.5,
            Fitting::EntranceProjecting => 0.78,
            Fitting::Exit => 1.0,
        })
    }
}

/// Crane's f_T: the friction factor of Darcy at the highest flows in commercial steel pipe (roughness 0.0457 mm).
///
/// f_T = 0.25/log²(ε/(3.7 D))
///
/// Valid: bore greater than zero; within 2 % of Crane's printed values from half an inch to two inches.
/// Source: [`crane_2009`](crate::science::sources), equation of Nikuradse as given there.
fn friction_of_rough_steel(bore: Length) -> Result<f64, OutOfRange> {
    let bore = positive("bore", bore.as_metres(), "m")?;
    Ok(0.25 / (0.0457e-3 / (3.7 * bore)).log10().powi(2))
}

/// What a pump lifts at each flow.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpCurve {
    /// Flow in m³/s and head in m, flow rising and head falling; empty where only the ends are known.
    points: Vec<(f64, f64)>,
    /// Flow at no head, m³/s.
    most: f64,
    /// Head at no flow, m.
    shutoff: f64,
}

impl PumpCurve {
    /// A pump known by its two ends: a parabola through them, H = H₀(1 − (Q/Q_max)²).
    ///
    /// Valid: both greater than zero.
    /// Source: [`common-practice`](crate::science::sources).
    pub fn of_ends(shutoff_head: Length, max_flow: Flow) -> Result<PumpCurve, OutOfRange> {
        let shutoff = positive("shutoff head", shutoff_head.as_metres(), "m")?;
        let most = positive("flow at no head", max_flow.as_cubic_metres_per_second(), "m³/s")?;
        Ok(PumpCurve { points: Vec::new(), most, shutoff })
    }

    /// A pump known by points of its curve, (flow, head) in any order, joined by straight lines.
    ///
    /// Errors: fewer than two points; two points of one flow; a head that rises with flow; a highest flow or head of
    /// zero.
    pub fn of_points(curve: &[(Flow, Length)]) -> Result<PumpCurve, OutOfRange> {
        within("points of the pump's curve", curve.len() as f64, 2.0, f64::INFINITY, "")?;
        let mut points: Vec<(f64, f64)> =
            curve.iter().map(|(flow, head)| (flow.as_cubic_metres_per_second(), head.as_metres())).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        for &(flow, head) in &points {
            not_negative("flow of a point of the pump's curve", flow, "m³/s")?;
            not_negative("head of a point of the pump's curve", head, "m")?;
        }
        for pair in points.windows(2) {
            positive("flow between two points of the pump's curve", pair[1].0 - pair[0].0, "m³/s")?;
            within("head of a point of the pump's curve", pair[1].1, 0.0, pair[0].1, "m")?;
        }
        let most = positive("flow of the pump's curve", points[points.len() - 1].0, "m³/s")?;
        let shutoff = positive("head of the pump's curve", points[0].1, "m")?;
        Ok(PumpCurve { points, most, shutoff })
    }

    /// The same pump turned slower: flow follows the speed, head its square.
    ///
    /// Valid: speed above 0 and up to 1. The level on a pump's dial need not be its speed.
    /// Source: the affinity laws of pumps, [`karassik_2008`](crate::science::sources).
    pub fn at_speed(&self, speed: f64) -> Result<PumpCurve, OutOfRange> {
        let speed = within("speed of the pump", speed, f64::MIN_POSITIVE, 1.0, "")?;
        Ok(PumpCurve {
            points: self.points.iter().map(|(flow, head)| (flow * speed, head * speed * speed)).collect(),
            most: self.most * speed,
            shutoff: self.shutoff * speed * speed,
        })
    }

    /// Head at a flow; none beyond the last point.
    pub fn head_at(&self, flow: Flow) -> Option<Length> {
        let flow = flow.as_cubic_metres_per_second();
        (0.0..=self.most).contains(&flow).then(|| Length::metres(self.head(flow)))
    }

    /// Flow at no head, or at the last point of the curve.
    pub fn max_flow(&self) -> Flow {
        Flow::cubic_metres_per_second(self.most)
    }

    /// Head at no flow, or at the first point of the curve.
    pub fn shutoff_head(&self) -> Length {
        Length::metres(self.shutoff)
    }

    fn head(&self, flow: f64) -> f64 {
        if self.points.is_empty() {
            return self.shutoff * (1.0 - (flow / self.most).powi(2));
        }
        // Below the first printed flow nothing is printed: the head stays at its first value.
        head_at(&self.points, flow.max(self.points[0].0))
    }
}

/// Head that runs of pipe, one after the other, cost at a flow, each by [`head_loss`](super::pipes::head_loss) with the
/// friction factor of Churchill.
pub fn head_of_runs(runs: &[PipeRun], flow: Flow) -> Result<Length, OutOfRange> {
    let flow = not_negative("flow", flow.as_cubic_metres_per_second(), "m³/s")?;
    let mut head = 0.0;
    for run in runs {
        head += run.checked()?.head_at(flow);
    }
    Ok(Length::metres(head))
}

/// Where a pump and its plumbing agree: the flow at which the head of the pump is the height lifted and what all runs
/// of pipe cost.
///
/// H_pump(Q) = H_s + m·Σ(f·L/D + ΣK)·v²/(2g), f after Churchill
///
/// `losses` m multiplies what the pipes cost: 1, or what a measured flow says.
/// A pump that cannot lift so high moves nothing. A system that asks for less head than the last point of a curve gets
/// the flow of that point, which is a lower bound.
/// Valid: static head of zero or more.
/// Source: Darcy and Weisbach; [`churchill_1977`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{plumbing::*, pipes::*}, units::*};
/// let pump = PumpCurve::of_ends(Length::metres(3.), Flow::litres_per_hour(4000.))?;
/// // Without pipes: Q = Q_max √(1 − 1/3), by hand.
/// let point = operating_point(&pump, Length::metres(1.), &[], 1.0)?;
/// assert!((point.flow.as_litres_per_hour() / (4000. * (2f64 / 3.).sqrt()) - 1.).abs() < 1e-9);
/// assert_eq!(operating_point(&pump, Length::metres(4.), &[], 1.0)?.flow.as_litres_per_hour(), 0.0);
/// # Ok::<(), polypary::science::OutOfRange>(())
/// ```
pub fn operating_point(
    pump: &PumpCurve,
    static_head: Length,
    runs: &[PipeRun],
    losses: f64,
) -> Result<OperatingPoint, OutOfRange> {
    let lift = not_negative("static head", static_head.as_metres(), "m")?;
    let losses = not_negative("multiple of the losses", losses, "")?;
    let runs = runs.iter().map(PipeRun::checked).collect::<Result<Vec<Checked>, OutOfRange>>()?;
    let needed = |flow: f64| lift + losses * runs.iter().map(|run| run.head_at(flow)).sum::<f64>();
    let spare = |flow: f64| pump.head(flow) - needed(flow);
    let flow = if spare(0.0) <= 0.0 {
        0.0
    } else if spare(pump.most) >= 0.0 {
        pump.most
    } else {
        crossing_quick(0.0, pump.most, spare)
    };
    Ok(OperatingPoint { flow: Flow::cubic_metres_per_second(flow), head: Length::metres(needed(flow)) })
}

/// Height of running water above the edge that it falls over.
///
/// h = (Q/(1.84·b))^(2/3), from Q = 1.84·b·h^(3/2) in metres and seconds
///
/// `edge` b is the length of the edge, without the teeth that stand in the water. The height is measured a little way
/// back from the edge. Valid: edge greater than zero, flow zero or more; sharp edge, wide against its water, free fall.
/// A toothed edge of an overflow differs by 20 %.
/// Source: Francis 1883 as in [`usbr_2001`](crate::science::sources) (Q = 3.33·L·H^1.5 in feet).
///
/// ```
/// # use polypary::{science::plumbing::weir_head_francis_1883, units::*};
/// // USBR tables (from memory): a suppressed weir of 1 ft under 0.2 ft of water passes 0.298 ft³/s.
/// let h = weir_head_francis_1883(Flow::cubic_metres_per_second(0.298 * 0.0283168), Length::metres(0.3048))?;
/// assert!((h.as_metres() / (0.2 * 0.3048) - 1.).abs() < 2e-3);
/// # Ok::<(), polypary::science::OutOfRange>(())
/// ```
pub fn weir_head_francis_1883(flow: Flow, edge: Length) -> Result<Length, OutOfRange> {
    let flow = not_negative("flow", flow.as_cubic_metres_per_second(), "m³/s")?;
    let edge = positive("length of the edge", edge.as_metres(), "m")?;
    Ok(Length::metres((flow / (1.84 * edge)).powf(2.0 / 3.0)))
}

/// Water that runs back into the sump when the return pump stops.
///
/// V = A·max(h_edge, h_siphon) + V_pipes
///
/// The display falls to the lower of two marks under its running surface: the edge of the overflow (`over_edge`), and
/// the mouth of the return, or the hole that breaks its siphon (`siphon_depth`; zero where the mouth is in air).
/// `pipes` is what stands in pipes and overflow box above the sump. A check valve is not counted on: it leaks sooner
/// or later.
/// Valid: all zero or more.
/// Source: geometry.
///
/// ```
/// # use polypary::{science::plumbing::drain_back, units::*};
/// // 90 × 40 cm, siphon mouth 2 cm down, 1 L in the pipes: 7.2 + 1 L, by hand.
/// let litres = drain_back(3600., Length::centimetres(0.8), Length::centimetres(2.), Volume::litres(1.))?;
/// assert!((litres.as_litres() - 8.2).abs() < 1e-12);
/// # Ok::<(), polypary::science::OutOfRange>(())
/// ```
pub fn drain_back(
    surface_cm2: f64,
    over_edge: Length,
    siphon_depth: Length,
    pipes: Volume,
) -> Result<Volume, OutOfRange> {
    let surface = not_negative("surface of the display", surface_cm2, "cm²")?;
    let edge = not_negative("water over the edge", over_edge.as_centimetres(), "cm")?;
    let siphon = not_negative("depth of the siphon", siphon_depth.as_centimetres(), "cm")?;
    let pipes = not_negative("water in the pipes", pipes.as_litres(), "L")?;
    Ok(Volume::litres(surface * edge.max(siphon) / 1000.0 + pipes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::science::pipes::{PVC_ROUGHNESS, pump_operating_point_with_pipe};
    use crate::units::Density;

    fn run(bore_mm: f64, length_m: f64, sum_k: f64) -> PipeRun {
        PipeRun {
            bore: Length::millimetres(bore_mm),
            length: Length::metres(length_m),
            sum_k,
            roughness: PVC_ROUGHNESS,
            density: Density::kg_per_m3(1023.341235),
            viscosity_pa_s: 0.0009591850603,
        }
    }

    /// Crane's printed f_T for half an inch to two inches of schedule 40 (TP-410, 2009, page A-27; from memory).
    #[test]
    fn turbulent_friction_is_that_of_the_handbook() {
        for (bore, printed) in
            [(15.76, 0.026), (20.96, 0.024), (26.64, 0.022), (35.08, 0.021), (40.94, 0.020), (52.48, 0.019)]
        {
            let found = friction_of_rough_steel(Length::millimetres(bore)).unwrap();
            assert!((found / printed - 1.0).abs() < 0.03, "{bore}: {found}");
        }
    }

    #[test]
    fn one_run_and_two_ends_are_the_formula_of_the_other_file() {
        let pump = PumpCurve::of_ends(Length::metres(3.0), Flow::litres_per_hour(4000.0)).unwrap();
        let run = run(26.64, 2.5, 6.0);
        let point = operating_point(&pump, Length::metres(1.0), &[run], 1.0).unwrap();
        let other = pump_operating_point_with_pipe(
            Length::metres(3.0),
            Flow::litres_per_hour(4000.0),
            Length::metres(1.0),
            &run,
        )
        .unwrap();
        assert!((point.flow.as_litres_per_hour() / other.flow.as_litres_per_hour() - 1.0).abs() < 1e-9);
    }

    /// Two runs by hand, with f of the Moody chart's formula: at 1200 L/h in 20 mm v = 1.061 m/s, Re = 22 640,
    /// f = 0.02525 (Swamee and Jain), 1.5 m and ΣK 3: (1.894 + 3) × 0.05741 = 0.2810 m; in 25 mm v = 0.6791 m/s,
    /// Re = 18 113, f = 0.02665, 1 m and ΣK 2: (1.066 + 2) × 0.02351 = 0.0721 m.
    #[test]
    fn runs_in_a_row_add_up() {
        let head = head_of_runs(&[run(20.0, 1.5, 3.0), run(25.0, 1.0, 2.0)], Flow::litres_per_hour(1200.0)).unwrap();
        assert!((head.as_metres() - 0.3531).abs() < 0.003, "{}", head.as_metres());
    }

    #[test]
    fn what_a_pump_cannot_do() {
        let metres = Length::metres;
        let flow = Flow::litres_per_hour;
        let points = [(flow(0.0), metres(2.0)), (flow(1000.0), metres(0.5))];
        let pump = PumpCurve::of_points(&points).unwrap();
        assert_eq!(operating_point(&pump, metres(2.5), &[], 1.0).unwrap().flow.as_litres_per_hour(), 0.0);
        let end = operating_point(&pump, metres(0.2), &[], 1.0).unwrap().flow.as_litres_per_hour();
        assert!((end - 1000.0).abs() < 1e-9);
        assert!(pump.head_at(flow(1001.0)).is_none());
        assert!(PumpCurve::of_points(&points[..1]).is_err());
        assert!(PumpCurve::of_points(&[(flow(0.0), metres(1.0)), (flow(1000.0), metres(2.0))]).is_err());
        assert!(PumpCurve::of_ends(metres(0.0), flow(1000.0)).is_err());
        assert!(operating_point(&pump, metres(-1.0), &[], 1.0).is_err());
        assert!(pump.at_speed(0.0).is_err() && pump.at_speed(1.1).is_err());
    }

    #[test]
    fn half_the_speed_is_half_the_flow_and_a_quarter_of_the_head() {
        let pump = PumpCurve::of_ends(Length::metres(3.0), Flow::litres_per_hour(4000.0)).unwrap();
        let slow = pump.at_speed(0.5).unwrap();
        assert!((slow.max_flow().as_litres_per_hour() - 2000.0).abs() < 1e-9);
        assert!((slow.shutoff_head().as_metres() - 0.75).abs() < 1e-12);
    }

    #[test]
    fn the_deeper_of_edge_and_siphon_decides() {
        let cm = Length::centimetres;
        let litres = |edge, siphon| drain_back(3000.0, cm(edge), cm(siphon), Volume::litres(0.5)).unwrap().as_litres();
        assert!((litres(1.0, 0.0) - 3.5).abs() < 1e-12);
        assert!((litres(1.0, 4.0) - 12.5).abs() < 1e-12);
        assert!(drain_back(3000.0, cm(-1.0), cm(1.0), Volume::litres(0.0)).is_err());
        assert!(weir_head_francis_1883(Flow::litres_per_hour(700.0), cm(0.0)).is_err());
        assert_eq!(weir_head_francis_1883(Flow::litres_per_hour(0.0), cm(10.0)).unwrap().as_metres(), 0.0);
    }
}
