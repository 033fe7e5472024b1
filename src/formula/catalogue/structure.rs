//! What a tank holds and weighs, and what its panes bear.

use super::super::given::all_of;
use super::super::{Formula, Input, Refusal, SHARE, Work, number, output, word};
use crate::science::plate::*;
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
    Formula {
        name: "pane-stress",
        about: "stress and deflection of a glass pane with water to its top",
        inputs: &[
            number("pane_width_mm", "mm", "900", "width of the pane"),
            number("pane_height_mm", "mm", "450", "height of the pane and of the water"),
            number("thickness_mm", "mm", "10", "thickness of the pane"),
            word("top_edge", "free", "free (rimless) or supported (by a rim or brace along the whole edge)"),
            number("youngs_modulus_gpa", "GPa", "70", "stiffness; glass 70").or("70"),
            number("poisson_ratio", "", "0.22", "glass 0.22").or("0.22"),
            number("water_density_kg_m3", "kg/m³", "1025", "density of the water").or("1025"),
        ],
        outputs: &[
            output("pressure_at_bottom_kpa", "kPa", "pressure of the water at the bottom edge"),
            output("max_stress_mpa", "MPa", "greatest stress"),
            output("max_stress_at_y_over_h", "", "its height over the bottom edge, as a share of the pane's"),
            output("max_deflection_mm", "mm", "greatest deflection"),
            output("deflection_over_thickness", "", "it over the thickness; beyond a fifth the theory overstates both"),
            output("stress_over_45_mpa", "", "stress over the strength of new glass under short load"),
        ],
        valid: "width over height 0.2 to 5, height up to 10 m, thinner than high, Poisson's ratio 0 to 0.49, the rest above 0; sides \
            and bottom simply supported. 45 MPa is no allowable stress: under load for years, scratched or reused, glass bears a \
            fraction of it. It is no design: who builds follows a standard for tanks with its safety factor, and asks who knows",
        sources: &["timoshenko_1959", "young_budynas_2002", "en_572"],
        work: Work::Row(|given| {
            let pane = Pane {
                width: given.millimetres("pane_width_mm"),
                height: given.millimetres("pane_height_mm"),
                thickness: given.millimetres("thickness_mm"),
                top: top_edge(given.word("top_edge"))?,
                youngs_modulus_gpa: given.number("youngs_modulus_gpa"),
                poisson_ratio: given.number("poisson_ratio"),
                water_density: given.density("water_density_kg_m3"),
            };
            let load = pane_load(&pane)?;
            all_of([
                load.pressure_at_bottom_kpa,
                load.stress_mpa,
                load.stress_at,
                load.deflection.as_millimetres(),
                load.deflection.as_metres() / pane.thickness.as_metres(),
                load.stress_mpa / NEW_GLASS_STRENGTH_MPA,
            ])
        }),
    },
    Formula {
        name: "pane-coefficients",
        about: "deflection and stress of a pane under water, in terms of its size",
        inputs: &[
            word("edges", "free", "free (rimless) or supported (by a rim or brace along the whole edge)"),
            number("poisson_ratio", "", "0.22", "glass 0.22"),
            number("width_over_height", "", "2", "width of the pane over its height"),
        ],
        outputs: &[
            output("alpha_deflection", "", "greatest deflection over q h⁴/(E t³), q the pressure at the bottom"),
            output("deflection_at_y_over_h", "", "its height over the bottom edge, as a share of the pane's"),
            output("beta_stress_horizontal", "", "greatest stress along the horizontal over q h²/t²"),
            output("beta_stress_vertical", "", "greatest stress along the vertical, likewise"),
            output("max_at_y_over_h", "", "height of the greater of the two"),
        ],
        valid: "width over height 0.2 to 5, Poisson's ratio 0 to 0.49; thin panes, sides and bottom simply supported; other \
            tables differ by 10 %",
        sources: &["timoshenko_1959", "young_budynas_2002"],
        work: Work::Row(|given| {
            let (poisson, ratio) = (given.number("poisson_ratio"), given.number("width_over_height"));
            let pane = pane_coefficients(top_edge(given.word("edges"))?, poisson, ratio)?;
            all_of([pane.deflection, pane.deflection_at, pane.stress_horizontal, pane.stress_vertical, pane.stress_at])
        }),
    },
];

fn top_edge(word: &str) -> Result<TopEdge, Refusal> {
    let lower = word.to_lowercase();
    // `top edge free, other three simply supported` says the same at length.
    match lower.trim_start_matches("top edge ").split(',').next().unwrap_or_default().trim() {
        "free" | "rimless" => Ok(TopEdge::Free),
        "supported" | "rim" | "braced" => Ok(TopEdge::Supported),
        _ => Err(Refusal(format!("the top edge is free or supported, not `{word}`"))),
    }
}
