//! What a tank holds and weighs.

use super::super::given::all_of;
use super::super::{Formula, Input, SHARE, Work, number, output};
use crate::science::structure::*;

const ROCK: Input = number("rock_kg", "kg", "20", "mass of the rock");
const ROCK_DENSITY: Input =
    number("rock_density_kg_m3", "kg/m³", "2000", "density of the rock with its closed pores").or("2000");

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "filled-mass",
        about: "water, glass and all that stands on the floor, and what it presses",
        inputs: &[
            number("length_mm", "mm", "900", "outer length"),
            number("width_mm", "mm", "450", "outer width"),
            number("height_mm", "mm", "500", "outer height"),
            number("water_depth_mm", "mm", "450", "depth of water"),
            number("wall_mm", "mm", "10", "thickness of the walls"),
            number("bottom_mm", "mm", "12", "thickness of the bottom"),
            number("water_density_kg_m3", "kg/m³", "1023.3", "density of the water"),
            ROCK,
            ROCK_DENSITY,
            number("stand_kg", "kg", "40", "mass of the stand"),
        ],
        outputs: &[
            output("water_volume_l", "L", "water, less what the rock takes up"),
            output("total_kg", "kg", "mass of everything"),
            output("floor_load_kpa", "kPa", "over the footprint"),
            output("glass_kg", "kg", "mass of the glass"),
            output("water_kg", "kg", "mass of the water"),
            output("floor_load_kg_m2", "kg/m²", "over the footprint"),
        ],
        valid: "sizes above 0 that fit into each other, masses 0 or more. Feet press on less than the footprint: whether a \
            floor bears it is for a structural engineer to say",
        sources: &["en_572"],
        work: Work::Row(|given| {
            let tank = GlassBox {
                length: given.millimetres("length_mm"),
                width: given.millimetres("width_mm"),
                height: given.millimetres("height_mm"),
                water_depth: given.millimetres("water_depth_mm"),
                wall: given.millimetres("wall_mm"),
                bottom: given.millimetres("bottom_mm"),
            };
            let (water, stone) = (given.density("water_density_kg_m3"), given.density("rock_density_kg_m3"));
            let filled = filled_mass(&tank, water, given.kilograms("rock_kg"), stone, given.kilograms("stand_kg"))?;
            all_of([
                filled.water_volume.as_litres(),
                filled.total.as_kilograms(),
                filled.floor_load_kpa,
                filled.glass.as_kilograms(),
                filled.water.as_kilograms(),
                filled.floor_load_kg_per_m2,
            ])
        }),
    },
    Formula {
        name: "net-water-volume",
        about: "water in a box with sand and rock",
        inputs: &[
            number("inner_length_m", "m", "0.88", "inner length"),
            number("inner_width_m", "m", "0.43", "inner width"),
            number("water_depth_m", "m", "0.4", "from the top of the sand to the surface"),
            number("sand_depth_m", "m", "0.05", "depth of the sand"),
            number("pore_fraction", SHARE, "0.4", "share of the sand that is water between the grains").or("0.4"),
            ROCK,
            ROCK_DENSITY,
        ],
        outputs: &[output("water_volume_l", "L", "volume of water")],
        valid: "lengths above 0, pores 0 to 1, rock smaller than the water; pores of 0.35 to 0.5 and a rock density of \
            2000 kg/m³ are common practice, without a source",
        sources: &["common-practice"],
        work: Work::Row(|given| {
            let sand = SandBed { depth: given.metres("sand_depth_m"), pore_fraction: given.number("pore_fraction") };
            let (length, width) = (given.metres("inner_length_m"), given.metres("inner_width_m"));
            let (rock, stone) = (given.kilograms("rock_kg"), given.density("rock_density_kg_m3"));
            let volume = net_water_volume(length, width, given.metres("water_depth_m"), sand, rock, stone)?;
            all_of([volume.as_litres()])
        }),
    },
];
