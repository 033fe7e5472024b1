//! Water in pipes: viscosity, friction, the head a run of pipe costs, and the flow that a pump is left with.

use super::flow::OperatingPoint;
use super::range::{OutOfRange, not_negative, positive, within};
use super::root::{crossing, polynomial};
use super::structure::STANDARD_GRAVITY_M_PER_S2;
use crate::units::{Density, Flow, Length, PracticalSalinity, Temperature};

/// Roughness of the inside of PVC pipe; from memory, not verified against a source.
pub const PVC_ROUGHNESS: Length = Length::millimetres(0.0015);

/// Dynamic viscosity of seawater, Pa s.
///
/// μ = μ_w(t)(1 + A(t)·S + B(t)·S²), S the mass salinity in kg/kg
///
/// Valid: 0–40 °C (the source: to 180 °C), salinity 0–42. Good to 1.5 %.
/// Source: [`sharqawy_2010`](crate::science::sources), equations 22 and 23; mass salinity after
/// [`millero_2008`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{pipes::*, OutOfRange}, units::*};
/// let mu = |s, t| viscosity_sharqawy_2010_pa_s(PracticalSalinity::new(s), Temperature::celsius(t));
/// // Pure water at 20 °C: 1.0016 mPa s (IAPWS 2008, from memory); seawater at 15 °C: 1.220 (ITTC 7.5-02-01-03).
/// assert!((mu(0., 20.)? * 1e3 - 1.0016).abs() < 5e-4);
/// assert!((mu(35., 15.)? * 1e3 - 1.220).abs() < 1e-3);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn viscosity_sharqawy_2010_pa_s(salinity: PracticalSalinity, temperature: Temperature) -> Result<f64, OutOfRange> {
    let t = within("temperature", temperature.as_celsius(), 0.0, 40.0, "°C")?;
    // The ratio of the reference composition, down to no salt at all.
    let s = within("salinity", salinity.value(), 0.0, 42.0, "")? * 35.16504 / 35.0 / 1000.0;
    let water = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993) * (t + 64.993) - 91.296);
    let a = polynomial(&[1.541, 1.998e-2, -9.52e-5], t);
    let b = polynomial(&[7.974, -7.561e-2, 4.724e-4], t);
    Ok(water * (1.0 + a * s + b * s * s))
}

/// Friction factor of Darcy for turbulent flow, solved from Colebrook's equation.
///
/// 1/√f = −2 log(ε/3.7 + 2.51/(Re √f))
///
/// `relative_roughness` ε is roughness over bore.
/// Valid: Reynolds number 4000–1e8, ε 0–0.05.
/// Source: [`colebrook_1939`](crate::science::sources).
///
/// ```
/// # use polypary::science::{pipes::*, OutOfRange};
/// // White, Fluid Mechanics, smooth pipes (from memory): 0.0399 at Re 4000 and 0.0116 at 1e6.
/// assert!((friction_factor_colebrook_1939(4e3, 0.)? - 0.0399).abs() < 1e-4);
/// assert!((friction_factor_colebrook_1939(1e6, 0.)? - 0.0116).abs() < 1e-4);
/// assert!(friction_factor_colebrook_1939(2e3, 0.).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn friction_factor_colebrook_1939(reynolds: f64, relative_roughness: f64) -> Result<f64, OutOfRange> {
    let re = within("Reynolds number", reynolds, 4000.0, 1e8, "")?;
    let rough = relative_roughness_checked(relative_roughness)?;
    let root = crossing(1.0, 20.0, |x| x + 2.0 * (rough / 3.7 + 2.51 * x / re).log10());
    Ok(1.0 / (root * root))
}

/// Friction factor of Darcy for any flow, laminar, turbulent or between.
///
/// f = 8((8/Re)¹² + (A + B)^−1.5)^(1/12), A = (2.457 ln(1/((7/Re)^0.9 + 0.27 ε)))¹⁶, B = (37530/Re)¹⁶
///
/// Valid: Reynolds number above 0 and up to 1e8, ε 0–0.05. Within 3.5 % of Colebrook's where both hold.
/// Source: [`churchill_1977`](crate::science::sources).
///
/// ```
/// # use polypary::science::{pipes::*, OutOfRange};
/// // Laminar flow is 64/Re.
/// assert!((friction_factor_churchill_1977(600., 0.)? - 64. / 600.).abs() < 1e-9);
/// let turbulent = friction_factor_churchill_1977(1e5, 1e-4)?;
/// assert!((turbulent / friction_factor_colebrook_1939(1e5, 1e-4)? - 1.).abs() < 0.01);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn friction_factor_churchill_1977(reynolds: f64, relative_roughness: f64) -> Result<f64, OutOfRange> {
    let re = within("Reynolds number", reynolds, f64::MIN_POSITIVE, 1e8, "")?;
    Ok(churchill(re, relative_roughness_checked(relative_roughness)?))
}

/// Friction factor of Darcy for turbulent flow, in one step.
///
/// f = 0.25/log²(ε/3.7 + (6.97/Re)^0.9); the paper prints 5.74/Re^0.9, of which this is the unrounded form
///
/// Valid: Reynolds number 4000–1e8, ε 0–0.05.
/// Source: [`swamee_jain_1976`](crate::science::sources).
///
/// ```
/// # use polypary::science::{pipes::*, OutOfRange};
/// let quick = friction_factor_swamee_jain_1976(1e5, 1e-4)?;
/// assert!((quick / friction_factor_colebrook_1939(1e5, 1e-4)? - 1.).abs() < 0.01);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn friction_factor_swamee_jain_1976(reynolds: f64, relative_roughness: f64) -> Result<f64, OutOfRange> {
    let re = within("Reynolds number", reynolds, 4000.0, 1e8, "")?;
    let rough = relative_roughness_checked(relative_roughness)?;
    Ok(0.25 / ((6.97 / re).powf(0.9) + rough / 3.7).log10().powi(2))
}

/// A run of pipe and the water in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PipeRun {
    /// Inner diameter.
    pub bore: Length,
    pub length: Length,
    /// Loss coefficients of bends, valves, entry and exit, added up.
    pub sum_k: f64,
    /// Roughness of the inside; [`PVC_ROUGHNESS`] is usual.
    pub roughness: Length,
    pub density: Density,
    pub viscosity_pa_s: f64,
}

/// What a run of pipe costs at a flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadLoss {
    pub velocity_m_per_s: f64,
    pub reynolds: f64,
    pub friction_factor: f64,
    pub pipe: Length,
    pub fittings: Length,
    pub total: Length,
}

/// Head lost in a run of pipe.
///
/// h = (f·L/D + ΣK)·v²/(2g); f = 64/Re below Re 2000, Colebrook from 4000, and Churchill's formula between, where
/// the flow itself cannot decide
///
/// Valid: bore greater than zero, flow zero or more; no flow costs no head. Real fittings differ by 30 %.
/// Source: Darcy and Weisbach; [`colebrook_1939`, `churchill_1977`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{pipes::*, OutOfRange}, units::*};
/// let run = PipeRun { bore: Length::millimetres(20.), length: Length::metres(2.), sum_k: 3.0,
///     roughness: PVC_ROUGHNESS, density: Density::kg_per_m3(1025.), viscosity_pa_s: 1e-3 };
/// // Slow enough to be laminar, by hand: v = 0.0265258 m/s, Re = 543.78, f = 0.1176949.
/// let slow = head_loss(&run, Flow::litres_per_hour(30.))?;
/// assert!((slow.reynolds - 543.78).abs() < 0.01);
/// assert!((slow.total.as_metres() - (11.76949 + 3.) * 0.0265258f64.powi(2) / 19.6133).abs() < 1e-9);
/// assert_eq!(head_loss(&run, Flow::litres_per_hour(0.))?.total.as_metres(), 0.);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn head_loss(run: &PipeRun, flow: Flow) -> Result<HeadLoss, OutOfRange> {
    let run = run.checked()?;
    let flow = not_negative("flow", flow.as_cubic_metres_per_second(), "m³/s")?;
    if flow == 0.0 {
        let none = Length::metres(0.0);
        return Ok(HeadLoss {
            velocity_m_per_s: 0.0,
            reynolds: 0.0,
            friction_factor: 0.0,
            pipe: none,
            fittings: none,
            total: none,
        });
    }
    let (velocity, reynolds) = run.velocity_and_reynolds(flow);
    let friction_factor = if reynolds < 2000.0 {
        64.0 / reynolds
    } else if reynolds < 4000.0 {
        churchill(reynolds, run.relative_roughness)
    } else {
        friction_factor_colebrook_1939(reynolds, run.relative_roughness)?
    };
    let velocity_head = velocity * velocity / (2.0 * STANDARD_GRAVITY_M_PER_S2);
    let pipe = friction_factor * run.length / run.bore * velocity_head;
    let fittings = run.sum_k * velocity_head;
    Ok(HeadLoss {
        velocity_m_per_s: velocity,
        reynolds,
        friction_factor,
        pipe: Length::metres(pipe),
        fittings: Length::metres(fittings),
        total: Length::metres(pipe + fittings),
    })
}

/// Flow of a pump known by its two ends through a run of pipe.
///
/// H₀(1 − (Q/Q_max)²) = H_s + (f·L/D + ΣK)·v²/(2g), f after Churchill, solved by bisection
///
/// Arguments as [`pump_operating_point`](super::flow::pump_operating_point) and [`head_loss`].
/// Valid: static head from 0 to the shutoff head.
/// Source: [`churchill_1977`](crate::science::sources); the parabola is [`common-practice`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{flow::*, pipes::*, OutOfRange}, units::*};
/// let (h0, q, lift) = (Length::metres(3.), Flow::litres_per_hour(4000.), Length::metres(1.));
/// let wide = PipeRun { bore: Length::metres(1.), length: Length::metres(1.), sum_k: 0.0,
///     roughness: PVC_ROUGHNESS, density: Density::kg_per_m3(1025.), viscosity_pa_s: 1e-3 };
/// // A pipe wide enough leaves the lift alone.
/// let free = pump_operating_point(h0, q, lift, 0.0)?.flow.as_litres_per_hour();
/// let piped = pump_operating_point_with_pipe(h0, q, lift, &wide)?.flow.as_litres_per_hour();
/// assert!((piped / free - 1.).abs() < 1e-6);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pump_operating_point_with_pipe(
    shutoff_head: Length,
    max_flow: Flow,
    static_head: Length,
    run: &PipeRun,
) -> Result<OperatingPoint, OutOfRange> {
    let shutoff = positive("shutoff head", shutoff_head.as_metres(), "m")?;
    let most = positive("flow at no head", max_flow.as_cubic_metres_per_second(), "m³/s")?;
    let lift = within("static head", static_head.as_metres(), 0.0, shutoff, "m")?;
    let run = run.checked()?;
    let pump = |flow: f64| shutoff * (1.0 - (flow / most).powi(2));
    let flow = crossing(0.0, most, |flow| pump(flow) - lift - run.head_at(flow));
    Ok(OperatingPoint { flow: Flow::cubic_metres_per_second(flow), head: Length::metres(lift + run.head_at(flow)) })
}

/// A run of pipe in metres, with its numbers checked.
#[derive(Clone, Copy)]
pub(super) struct Checked {
    bore: f64,
    length: f64,
    sum_k: f64,
    relative_roughness: f64,
    density: f64,
    viscosity: f64,
}

impl PipeRun {
    pub(super) fn checked(&self) -> Result<Checked, OutOfRange> {
        let bore = positive("bore", self.bore.as_metres(), "m")?;
        Ok(Checked {
            bore,
            length: not_negative("length of the pipe", self.length.as_metres(), "m")?,
            sum_k: not_negative("loss coefficient", self.sum_k, "")?,
            relative_roughness: relative_roughness_checked(self.roughness.as_metres() / bore)?,
            density: positive("density of the water", self.density.as_kg_per_m3(), "kg/m³")?,
            viscosity: positive("viscosity", self.viscosity_pa_s, "Pa s")?,
        })
    }
}

impl Checked {
    /// Head in m that the run costs at a flow in m³/s, with the friction factor of Churchill, which knows every flow.
    pub(super) fn head_at(&self, flow_m3_per_s: f64) -> f64 {
        if flow_m3_per_s == 0.0 {
            return 0.0;
        }
        let (velocity, reynolds) = self.velocity_and_reynolds(flow_m3_per_s);
        let friction = churchill(reynolds, self.relative_roughness) * self.length / self.bore;
        (friction + self.sum_k) * velocity * velocity / (2.0 * STANDARD_GRAVITY_M_PER_S2)
    }

    fn velocity_and_reynolds(&self, flow_m3_per_s: f64) -> (f64, f64) {
        let velocity = flow_m3_per_s / (std::f64::consts::PI * self.bore * self.bore / 4.0);
        (velocity, self.density * velocity * self.bore / self.viscosity)
    }
}

fn churchill(reynolds: f64, relative_roughness: f64) -> f64 {
    let a = (2.457 * (1.0 / ((7.0 / reynolds).powf(0.9) + 0.27 * relative_roughness)).ln()).powi(16);
    let b = (37530.0 / reynolds).powi(16);
    8.0 * ((8.0 / reynolds).powi(12) + (a + b).powf(-1.5)).powf(1.0 / 12.0)
}

fn relative_roughness_checked(relative_roughness: f64) -> Result<f64, OutOfRange> {
    within("roughness over bore", relative_roughness, 0.0, 0.05, "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_laminar_and_turbulent_the_head_still_grows() {
        let run = PipeRun {
            bore: Length::millimetres(20.0),
            length: Length::metres(2.0),
            sum_k: 3.0,
            roughness: PVC_ROUGHNESS,
            density: Density::kg_per_m3(1025.0),
            viscosity_pa_s: 1e-3,
        };
        let heads: Vec<f64> = (1..=10)
            .map(|i| head_loss(&run, Flow::litres_per_hour(f64::from(i) * 30.0)).unwrap())
            .map(|loss| loss.total.as_metres())
            .collect();
        assert!(heads.windows(2).all(|pair| pair[1] > pair[0]), "{heads:?}");
        let none = PipeRun { bore: Length::metres(0.0), ..run };
        assert_eq!(head_loss(&none, Flow::litres_per_hour(30.0)).unwrap_err().quantity, "bore");
    }
}
