//! What a tank holds and weighs.

use super::range::{OutOfRange, not_negative, positive, within};
use crate::units::{Density, Length, Mass, Volume};

/// Standard acceleration of gravity, m/s² (exact by definition of 1901, from memory).
pub const STANDARD_GRAVITY_M_PER_S2: f64 = 9.80665;

/// Density of soda lime glass, kg/m³.
///
/// Source: [`en_572`](crate::science::sources).
pub const GLASS_DENSITY_KG_PER_M3: f64 = 2500.0;

/// A box of glass: outer sizes, the depth of water, and the thickness of its panes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlassBox {
    pub length: Length,
    pub width: Length,
    pub height: Length,
    pub water_depth: Length,
    pub wall: Length,
    pub bottom: Length,
}

/// What a filled tank holds and weighs, and how it presses on the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilledMass {
    pub water_volume: Volume,
    pub glass: Mass,
    pub water: Mass,
    /// Glass, water, rock and stand.
    pub total: Mass,
    /// Total over the footprint of the tank.
    pub floor_load_kg_per_m2: f64,
    pub floor_load_kpa: f64,
}

/// Mass of a filled glass tank with rock and stand, and its load on the floor.
///
/// glass: bottom L·W·t_b, front and back L·(H − t_b)·t, ends (W − 2t)·(H − t_b)·t, times 2500 kg/m³;
/// water: (L − 2t)(W − 2t)·depth less the rock's volume; load: total × g over L·W
///
/// The load is spread evenly over the footprint; the feet of a stand press harder on less.
/// Valid: walls thinner than half the tank, water no deeper than the walls are high, rock smaller than the water. It is
/// arithmetic; whether a floor bears it is for a structural engineer to say.
/// Source: arithmetic; density of glass [`en_572`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{structure::*, OutOfRange}, units::*};
/// let cm = Length::centimetres;
/// let tank = GlassBox { length: cm(100.), width: cm(50.), height: cm(50.), water_depth: cm(40.),
///     wall: cm(1.), bottom: cm(1.) };
/// let filled = filled_mass(&tank, Density::kg_per_m3(1025.), Mass::kilograms(20.),
///     Density::kg_per_m3(2000.), Mass::kilograms(30.))?;
/// // By hand: 98 × 48 × 40 cm is 188.16 L, less 10 L of rock.
/// assert!((filled.water_volume.as_litres() - 178.16).abs() < 1e-9);
/// // Glass: 5000 + 2 × 4900 + 2 × 2352 cm³ = 19.504 L of 2.5 kg.
/// assert!((filled.glass.as_kilograms() - 48.76).abs() < 1e-9);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn filled_mass(
    tank: &GlassBox,
    water_density: Density,
    rock: Mass,
    rock_density: Density,
    stand: Mass,
) -> Result<FilledMass, OutOfRange> {
    let length = positive("length", tank.length.as_metres(), "m")?;
    let width = positive("width", tank.width.as_metres(), "m")?;
    let height = positive("height", tank.height.as_metres(), "m")?;
    let wall = within("thickness of the walls", tank.wall.as_metres(), 0.0, length.min(width) / 2.0, "m")?;
    let bottom = within("thickness of the bottom", tank.bottom.as_metres(), 0.0, height, "m")?;
    let depth = within("depth of water", tank.water_depth.as_metres(), 0.0, height - bottom, "m")?;
    let density = positive("density of the water", water_density.as_kg_per_m3(), "kg/m³")?;
    let stand = not_negative("mass of the stand", stand.as_kilograms(), "kg")?;
    let rock_volume = solid_volume("rock", rock, rock_density)?;

    let (inner_length, inner_width) = (length - 2.0 * wall, width - 2.0 * wall);
    let box_volume = inner_length * inner_width * depth;
    within("volume of the rock", rock_volume * 1000.0, 0.0, box_volume * 1000.0, "L")?;
    let water_volume = box_volume - rock_volume;

    let wall_height = height - bottom;
    let glass_volume = length * width * bottom + 2.0 * (length + inner_width) * wall_height * wall;
    let glass = glass_volume * GLASS_DENSITY_KG_PER_M3;
    let water = water_volume * density;
    let total = glass + water + rock.as_kilograms() + stand;
    let load = total / (length * width);
    Ok(FilledMass {
        water_volume: Volume::cubic_metres(water_volume),
        glass: Mass::kilograms(glass),
        water: Mass::kilograms(water),
        total: Mass::kilograms(total),
        floor_load_kg_per_m2: load,
        floor_load_kpa: load * STANDARD_GRAVITY_M_PER_S2 / 1000.0,
    })
}

/// A bed of sand over the whole bottom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SandBed {
    pub depth: Length,
    /// Share of the bed that is water between the grains: 0.35 to 0.5 is common practice, without a source.
    pub pore_fraction: f64,
}

/// Net volume of water in a box with sand and rock.
///
/// V = L·W·depth + L·W·sand depth·pore fraction − rock mass / rock density
///
/// Inner `length` and `width`; `water_depth` from the top of the sand to the surface; rock is taken to stand above the
/// sand, and `rock_density` is that of the rock with its closed pores.
/// Valid: pore fraction 0–1, rock smaller than the water.
/// Source: arithmetic.
///
/// ```
/// # use polypary::{science::{structure::*, OutOfRange}, units::*};
/// let (cm, sand) = (Length::centimetres, SandBed { depth: Length::centimetres(5.), pore_fraction: 0.4 });
/// let volume = net_water_volume(cm(90.), cm(40.), cm(30.), sand, Mass::kilograms(14.),
///     Density::kg_per_m3(2000.))?;
/// // By hand: 108 L, and 0.4 of 18 L between the grains, less 7 L of rock.
/// assert!((volume.as_litres() - 108.2).abs() < 1e-9);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn net_water_volume(
    length: Length,
    width: Length,
    water_depth: Length,
    sand: SandBed,
    rock: Mass,
    rock_density: Density,
) -> Result<Volume, OutOfRange> {
    let length = positive("length", length.as_metres(), "m")?;
    let width = positive("width", width.as_metres(), "m")?;
    let depth = not_negative("depth of water", water_depth.as_metres(), "m")?;
    let sand_depth = not_negative("depth of sand", sand.depth.as_metres(), "m")?;
    let pores = within("share of pores in the sand", sand.pore_fraction, 0.0, 1.0, "")?;
    let above_sand = length * width * depth;
    let rock_volume = solid_volume("rock", rock, rock_density)?;
    within("volume of the rock", rock_volume * 1000.0, 0.0, above_sand * 1000.0, "L")?;
    Ok(Volume::cubic_metres(above_sand + length * width * sand_depth * pores - rock_volume))
}

/// m³ of a mass; no mass has no volume whatever its density.
fn solid_volume(what: &'static str, mass: Mass, density: Density) -> Result<f64, OutOfRange> {
    let mass = not_negative(what, mass.as_kilograms(), "kg")?;
    if mass == 0.0 {
        return Ok(0.0);
    }
    Ok(mass / positive("density of the rock", density.as_kg_per_m3(), "kg/m³")?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tank() -> GlassBox {
        let cm = Length::centimetres;
        GlassBox {
            length: cm(100.0),
            width: cm(50.0),
            height: cm(50.0),
            water_depth: cm(40.0),
            wall: cm(1.0),
            bottom: cm(1.0),
        }
    }

    fn filled(tank: &GlassBox, rock_kg: f64) -> Result<FilledMass, OutOfRange> {
        let (water, stone) = (Density::kg_per_m3(1025.0), Density::kg_per_m3(2000.0));
        filled_mass(tank, water, Mass::kilograms(rock_kg), stone, Mass::kilograms(0.0))
    }

    #[test]
    fn a_tank_cannot_hold_more_than_its_walls_and_its_water() {
        let too_deep = GlassBox { water_depth: Length::centimetres(60.0), ..tank() };
        assert_eq!(filled(&too_deep, 0.0).unwrap_err().quantity, "depth of water");
        let too_thick = GlassBox { wall: Length::centimetres(30.0), ..tank() };
        assert_eq!(filled(&too_thick, 0.0).unwrap_err().quantity, "thickness of the walls");
        assert_eq!(filled(&tank(), 400.0).unwrap_err().quantity, "volume of the rock");
    }

    #[test]
    fn a_heavier_stand_adds_its_whole_mass() {
        let empty = filled(&tank(), 0.0).unwrap();
        let (water, stone) = (Density::kg_per_m3(1025.0), Density::kg_per_m3(2000.0));
        let with_stand = filled_mass(&tank(), water, Mass::kilograms(0.0), stone, Mass::kilograms(50.0)).unwrap();
        assert!(((with_stand.total - empty.total).as_kilograms() - 50.0).abs() < 1e-9);
        // 50 kg on half a square metre.
        let more = with_stand.floor_load_kg_per_m2 - empty.floor_load_kg_per_m2;
        assert!((more - 100.0).abs() < 1e-9);
    }
}
