//! Heat: what water holds, what a tank loses, how warm a stuck heater makes it and how fast it cools without one.

use super::range::{OutOfRange, not_negative, positive, within};
use super::root::polynomial;
use crate::units::{Density, Duration, Length, Power, PracticalSalinity, Temperature, Volume};

/// Specific heat of seawater at one atmosphere, J/(kg K).
///
/// c_p = c_p(pure) + A(t)·S + B(t)·S^1.5
///
/// Valid: 0–35 °C, salinity 0–40.
/// Scale: fitted on IPTS-68; `Temperature` is ITS-90 and is converted here.
/// Source: [`millero_perron_desnoyers_1973`](crate::science::sources), as
/// [`fofonoff_millard_1983`](crate::science::sources) prints it.
///
/// ```
/// # use polypary::{science::{heat::*, OutOfRange}, units::*};
/// // Fofonoff & Millard 1983, table of specific heat at the surface, cold and warm (from memory).
/// let cp = |s, t| specific_heat_millero_1973_j_per_kg_k(PracticalSalinity::new(s), Temperature::celsius_68(t));
/// assert!((cp(35., 0.)? - 3986.5).abs() < 0.06);
/// assert!((cp(35., 30.)? - 4000.7).abs() < 0.06);
/// assert!((cp(25., 10.)? - 4041.8).abs() < 0.06);
/// assert!(cp(40., 40.).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn specific_heat_millero_1973_j_per_kg_k(
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<f64, OutOfRange> {
    let s = within("salinity", salinity.value(), 0.0, 40.0, "")?;
    within("temperature", temperature.as_celsius(), 0.0, 35.0, "°C")?;
    let t = temperature.as_celsius_68();
    let pure = polynomial(&[4217.4, -3.720283, 0.1412855, -2.654387e-3, 2.093236e-5], t);
    let a = polynomial(&[-7.643575, 0.1072763, -1.38385e-3], t);
    let b = polynomial(&[0.1770383, -4.07718e-3, 5.148e-5], t);
    Ok(pure + (a + b * s.sqrt()) * s)
}

/// Heat that a kilogram of water takes away as it evaporates, J/kg.
///
/// h_fg = 2.501e6 − 2.369e3 t + 2.678e-1 t² − 8.103e-3 t³ − 2.079e-5 t⁴
///
/// What evaporates from seawater is water, so this value and not that per kilogram of seawater cools a tank.
/// Valid: 0–40 °C (the source: 0–200 °C).
/// Source: [`sharqawy_2010`](crate::science::sources), equation 37; coefficients from memory.
///
/// ```
/// # use polypary::{science::{heat::*, OutOfRange}, units::*};
/// // Steam tables, from memory: 2501 kJ/kg at 0 °C and 2406 at 40 °C.
/// for (celsius, kj_per_kg) in [(0., 2501.), (40., 2406.)] {
///     let h = latent_heat_sharqawy_2010_j_per_kg(Temperature::celsius(celsius))?;
///     assert!((h / 1000. - kj_per_kg).abs() < 1.);
/// }
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn latent_heat_sharqawy_2010_j_per_kg(temperature: Temperature) -> Result<f64, OutOfRange> {
    let t = within("temperature", temperature.as_celsius(), 0.0, 40.0, "°C")?;
    Ok(polynomial(&[2.501e6, -2.369e3, 2.678e-1, -8.103e-3, -2.079e-5], t))
}

/// Thermal conductivity of glass, W/(m K). Source: [`en_673`](crate::science::sources).
pub const GLASS_CONDUCTIVITY_W_PER_M_K: f64 = 1.0;

/// Thermal conductivity of acrylic, W/(m K); from memory, not verified against a source.
pub const ACRYLIC_CONDUCTIVITY_W_PER_M_K: f64 = 0.19;

/// Resistance of the still air beside, above and below a surface, m² K/W.
///
/// Source: [`iso_6946`](crate::science::sources).
pub const AIR_BESIDE_M2_K_PER_W: f64 = 0.13;
/// See [`AIR_BESIDE_M2_K_PER_W`].
pub const AIR_ABOVE_M2_K_PER_W: f64 = 0.10;
/// See [`AIR_BESIDE_M2_K_PER_W`].
pub const AIR_BELOW_M2_K_PER_W: f64 = 0.17;

/// Thermal transmittance of a pane between two surfaces, W/(m² K).
///
/// U = 1/(R_in + d/λ + R_out)
///
/// Resistances of the surfaces in m² K/W; a water film has next to none.
/// Valid: conductivity greater than zero, the rest zero or more, and some resistance in all.
/// Source: [`iso_6946`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{heat::*, OutOfRange}, units::*};
/// // A 6 mm pane between water and a room: 1/(0.006 + 0.13), by hand.
/// let u = u_value_w_per_m2_k(Length::millimetres(6.), 1.0, 0.0, AIR_BESIDE_M2_K_PER_W)?;
/// assert!((u - 7.352941176).abs() < 1e-9);
/// // Single glazing of 4 mm between indoor and outdoor air: 5.8 in glazing tables after EN 673 (from memory).
/// assert!((u_value_w_per_m2_k(Length::millimetres(4.), 1.0, 0.13, 0.04)? - 5.8).abs() < 0.06);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn u_value_w_per_m2_k(
    thickness: Length,
    conductivity_w_per_m_k: f64,
    inner_resistance_m2_k_per_w: f64,
    outer_resistance_m2_k_per_w: f64,
) -> Result<f64, OutOfRange> {
    let thickness = not_negative("thickness", thickness.as_metres(), "m")?;
    let conductivity = positive("conductivity", conductivity_w_per_m_k, "W/(m K)")?;
    let inner = not_negative("inner resistance", inner_resistance_m2_k_per_w, "m² K/W")?;
    let outer = not_negative("outer resistance", outer_resistance_m2_k_per_w, "m² K/W")?;
    let resistance = positive("resistance", inner + thickness / conductivity + outer, "m² K/W")?;
    Ok(1.0 / resistance)
}

/// A tank as heat sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WarmBox {
    /// Outer length.
    pub length: Length,
    /// Outer width.
    pub width: Length,
    pub water_depth: Length,
    pub side_thickness: Length,
    pub bottom_thickness: Length,
    /// [`GLASS_CONDUCTIVITY_W_PER_M_K`] or [`ACRYLIC_CONDUCTIVITY_W_PER_M_K`].
    pub conductivity_w_per_m_k: f64,
    /// Of a mat under the tank; 0 without one.
    pub bottom_insulation_m2_k_per_w: f64,
}

/// Heat that a tank loses to the room, evaporation left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatLoss {
    pub sides: Power,
    pub bottom: Power,
    /// Through the open water surface, as warmth of the air alone.
    pub surface: Power,
    pub total: Power,
    pub conductance_w_per_k: f64,
}

/// Heat loss of an open tank of water to the room around it.
///
/// sides 2(L + W)·depth/(0.13 + t/λ), bottom L·W/(0.17 + t/λ + R_mat), surface L·W/0.10, all times (T_w − T_a)
///
/// Evaporation is not counted and often cools more than the glass does. A room warmer than the water gives negative
/// losses. Allow 30 %.
/// Valid: sizes greater than zero, temperatures −20–60 °C.
/// Source: [`iso_6946`](crate::science::sources) for the resistances of air; [`en_673`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{heat::*, OutOfRange}, units::*};
/// let (m, mm) = (Length::metres, Length::millimetres);
/// let tank = WarmBox { length: m(0.6), width: m(0.4), water_depth: m(0.35), side_thickness: mm(8.),
///     bottom_thickness: mm(10.), conductivity_w_per_m_k: 1.0, bottom_insulation_m2_k_per_w: 0.0 };
/// let loss = tank_heat_loss(&tank, Temperature::celsius(25.), Temperature::celsius(20.))?;
/// // By hand: 5 K × (0.7/0.138 + 0.24/0.18 + 0.24/0.10) m² over m² K/W.
/// assert!((loss.total.as_watts() - 44.02898551).abs() < 1e-8);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn tank_heat_loss(tank: &WarmBox, water: Temperature, room: Temperature) -> Result<HeatLoss, OutOfRange> {
    let length = positive("length", tank.length.as_metres(), "m")?;
    let width = positive("width", tank.width.as_metres(), "m")?;
    let depth = positive("depth of water", tank.water_depth.as_metres(), "m")?;
    within("temperature of the water", water.as_celsius(), -20.0, 60.0, "°C")?;
    within("temperature of the room", room.as_celsius(), -20.0, 60.0, "°C")?;
    let mat = not_negative("insulation under the tank", tank.bottom_insulation_m2_k_per_w, "m² K/W")?;
    let conductivity = tank.conductivity_w_per_m_k;
    let through_side = u_value_w_per_m2_k(tank.side_thickness, conductivity, 0.0, AIR_BESIDE_M2_K_PER_W)?;
    let through_bottom = u_value_w_per_m2_k(tank.bottom_thickness, conductivity, mat, AIR_BELOW_M2_K_PER_W)?;
    let sides = 2.0 * (length + width) * depth * through_side;
    let bottom = length * width * through_bottom;
    let surface = length * width / AIR_ABOVE_M2_K_PER_W;
    let conductance = sides + bottom + surface;
    let kelvin = (water - room).as_kelvin();
    Ok(HeatLoss {
        sides: Power::watts(sides * kelvin),
        bottom: Power::watts(bottom * kelvin),
        surface: Power::watts(surface * kelvin),
        total: Power::watts(conductance * kelvin),
        conductance_w_per_k: conductance,
    })
}

/// Where the temperature ends if a heater never switches off.
///
/// T = T_a + P/K
///
/// Without evaporation in the conductance this is an upper bound.
/// Valid: conductance greater than zero, power zero or more, a result of at most 100 °C (water then boils).
/// Source: the balance of heat.
///
/// ```
/// # use polypary::{science::{heat::*, OutOfRange}, units::*};
/// let t = stuck_heater_temperature(Power::watts(150.), 10.0, Temperature::celsius(20.))?;
/// assert_eq!(t.as_celsius(), 35.0);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn stuck_heater_temperature(
    heater: Power,
    conductance_w_per_k: f64,
    room: Temperature,
) -> Result<Temperature, OutOfRange> {
    let watts = not_negative("power of the heater", heater.as_watts(), "W")?;
    let conductance = positive("conductance", conductance_w_per_k, "W/K")?;
    let celsius = room.as_celsius() + watts / conductance;
    Ok(Temperature::celsius(within("temperature", celsius, -20.0, 100.0, "°C")?))
}

/// How a tank cools (or warms) towards the room with its power cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooling {
    /// Time in which the distance to the room's temperature falls to 37 %.
    pub time_constant: Duration,
    pub temperature: Temperature,
}

/// Water as a store of heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatStore {
    pub volume: Volume,
    pub density: Density,
    pub specific_heat_j_per_kg_k: f64,
}

/// Temperature some hours into a power cut.
///
/// T(t) = T_a + (T₀ − T_a)·exp(−t/τ), τ = V·ρ·c_p/K
///
/// Rock and glass hold heat too and slow it; evaporation quickens it.
/// Valid: volume, density, specific heat and conductance greater than zero, time zero or more.
/// Source: Newton's law of cooling.
///
/// ```
/// # use polypary::{science::{heat::*, OutOfRange}, units::*};
/// // 100 kg of 3600 J/(kg K) over 10 W/K: ten hours.
/// let water = HeatStore { volume: Volume::litres(100.), density: Density::kg_per_m3(1000.),
///     specific_heat_j_per_kg_k: 3600. };
/// let later = cooling(&water, 10.0, Temperature::celsius(25.), Temperature::celsius(15.), Duration::hours(10.))?;
/// assert!((later.time_constant.as_hours() - 10.).abs() < 1e-12);
/// assert!((later.temperature.as_celsius() - (15. + 10. / std::f64::consts::E)).abs() < 1e-12);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn cooling(
    water: &HeatStore,
    conductance_w_per_k: f64,
    start: Temperature,
    room: Temperature,
    after: Duration,
) -> Result<Cooling, OutOfRange> {
    let volume = positive("volume of water", water.volume.as_cubic_metres(), "m³")?;
    let density = positive("density of the water", water.density.as_kg_per_m3(), "kg/m³")?;
    let specific_heat = positive("specific heat", water.specific_heat_j_per_kg_k, "J/(kg K)")?;
    let conductance = positive("conductance", conductance_w_per_k, "W/K")?;
    let hours = not_negative("time", after.as_hours(), "h")?;
    let time_constant = volume * density * specific_heat / conductance / 3600.0;
    let (start, room) = (start.as_celsius(), room.as_celsius());
    let celsius = room + (start - room) * (-hours / time_constant).exp();
    Ok(Cooling { time_constant: Duration::hours(time_constant), temperature: Temperature::celsius(celsius) })
}

/// Hours until the water has cooled to a temperature, or None where it never does.
///
/// t = τ·ln((T₀ − T_a)/(T − T_a))
///
/// Valid as [`cooling`]; `time_constant` is its τ.
///
/// ```
/// # use polypary::{science::{heat::*, OutOfRange}, units::*};
/// let (c, tau) = (Temperature::celsius, Duration::hours(10.));
/// let wait = time_to_reach(tau, c(25.), c(15.), c(20.))?.unwrap();
/// assert!((wait.as_hours() - 10. * 2f64.ln()).abs() < 1e-12);
/// assert_eq!(time_to_reach(tau, c(25.), c(21.), c(20.))?, None);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn time_to_reach(
    time_constant: Duration,
    start: Temperature,
    room: Temperature,
    target: Temperature,
) -> Result<Option<Duration>, OutOfRange> {
    let hours = positive("time constant", time_constant.as_hours(), "h")?;
    let ratio = (start - room).as_kelvin() / (target - room).as_kelvin();
    // Below one the target lies away from the room's temperature, beyond it, or at it.
    Ok((ratio.is_finite() && ratio >= 1.0).then(|| Duration::hours(hours * ratio.ln())))
}
