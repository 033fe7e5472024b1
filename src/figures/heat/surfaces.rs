//! What the glass, the bottom, the surface and the sump hand to the room, and the surface that evaporates.

use super::spread::{Side, Spread};
use crate::figures::graph::{Graph, NodeId};
use crate::figures::inputs::{measured, set};
use crate::record::Tank;
use crate::science::heat::{
    AIR_ABOVE_M2_K_PER_W, AIR_BELOW_M2_K_PER_W, AIR_BESIDE_M2_K_PER_W, GLASS_CONDUCTIVITY_W_PER_M_K,
};

/// Conductances in W/K and the free surface in m², on one side.
#[derive(Clone, Copy, Debug)]
pub struct Surfaces {
    pub sides: NodeId,
    pub bottom: NodeId,
    pub top: NodeId,
    pub sump: NodeId,
    /// All four.
    pub sensible: NodeId,
    /// Evaporates freely.
    pub open: NodeId,
}

/// Resistance of the air between water and a lid, m² K/W: an unventilated layer of 25 mm, heat going up (ISO 6946, from
/// memory).
const LAYER_UNDER_LID_M2_K_PER_W: f64 = 0.16;

/// Conductivity of closed-cell foam, W/(m K) (common practice, no source).
const FOAM_W_PER_M_K: f64 = 0.035;

/// A tape measure: half a centimetre either way, rectangular.
const TAPE_CM: f64 = 0.5 / 1.732_050_807_568_877_2;

/// The inputs in the order in which the formulas take them, each with whether more of it loses more.
pub struct SurfaceInputs([(Spread, bool); 14]);

impl SurfaceInputs {
    /// None where the tank's size is not written.
    pub fn of(tank: &Tank, graph: &mut Graph) -> Option<SurfaceInputs> {
        let size = tank.size.as_ref()?;
        let [length, width, height] = size.value;
        let known = |graph: &mut Graph, label: &str, value: f64| {
            Spread::known(measured(graph, label, value, TAPE_CM, "cm", &size.place))
        };
        let length = known(graph, "Outer length", length);
        let width = known(graph, "Outer width", width);
        let depth = match &tank.water_depth {
            Some(depth) => {
                let sand = tank.sand_depth.as_ref().map_or(0.0, |sand| sand.value.value);
                Spread::known(measured(
                    graph,
                    "Height of water and sand against the glass",
                    depth.value.value + sand,
                    TAPE_CM,
                    "cm",
                    &depth.place,
                ))
            }
            None => Spread::between(
                graph,
                "Height of water against the glass",
                0.75 * height,
                0.95 * height,
                "cm",
                "`water-depth:` is not recorded: three quarters to nearly all of the tank’s height",
            ),
        };
        let pane = match &tank.glass {
            Some(glass) => Spread::known(set(graph, "Glass", glass.value.value, "cm", &glass.place)),
            None => Spread::between(graph, "Glass", 0.4, 1.2, "cm", "`glass:` is not recorded"),
        };
        let bottom = match &tank.bottom_glass {
            Some(glass) => Spread::known(set(graph, "Bottom glass", glass.value.value, "cm", &glass.place)),
            None => pane,
        };
        let mat = match &tank.mat {
            Some(mat) => Spread::known(set(graph, "Foam under the tank", mat.value.value, "cm", &mat.place)),
            None => Spread::between(
                graph,
                "Foam under the tank",
                0.0,
                1.0,
                "cm",
                "`mat:` is not recorded: none, or up to a centimetre",
            ),
        };
        let films = Spread::between(
            graph,
            "Real share of the handbook’s heat loss",
            0.7,
            1.3,
            "1",
            "the handbook’s resistances of air are for still air and large panes: 30 % either way",
        );
        let covered = match &tank.lid {
            Some(lid) => Spread::known(set(graph, "Share of the surface under a lid", lid.value, "1", &lid.place)),
            None => Spread::between(
                graph,
                "Share of the surface under a lid",
                0.0,
                0.9,
                "1",
                "`lid:` is not recorded: open, or up to nine tenths covered",
            ),
        };
        let leak = Spread::between(
            graph,
            "What a covered surface still evaporates, of an open one",
            0.0,
            0.3,
            "1",
            "gaps for cords and air",
        );
        let (sump_length, sump_width, sump_depth) = match &tank.sump_size {
            Some(size) => {
                let [length, width, height] = size.value;
                let depth = match &tank.sump_water_depth {
                    Some(depth) => {
                        let (cm, place) = (depth.value.value, &depth.place);
                        Spread::known(measured(graph, "Depth of water in the sump", cm, TAPE_CM, "cm", place))
                    }
                    None => Spread::between(
                        graph,
                        "Depth of water in the sump",
                        0.3 * height,
                        0.8 * height,
                        "cm",
                        "`water-depth:` of the sump is not recorded: three to eight tenths of its height",
                    ),
                };
                let known = |graph: &mut Graph, label: &str, value: f64| {
                    Spread::known(measured(graph, label, value, TAPE_CM, "cm", &size.place))
                };
                (known(graph, "Sump, length", length), known(graph, "Sump, width", width), depth)
            }
            None => {
                let none = Spread::known(graph.exact(0.0));
                (none, none, none)
            }
        };
        let cabinet = match &tank.sump_size {
            Some(_) => Spread::between(
                graph,
                "What a sump in a cabinet loses, of one in the room",
                0.3,
                1.0,
                "1",
                "air in a cabinet is warmer and damper than the room’s",
            ),
            None => Spread::known(graph.exact(0.0)),
        };
        let sump_pane = match (&tank.sump_size, &tank.sump_glass) {
            (None, _) => Spread::known(graph.exact(0.0)),
            (Some(_), Some(glass)) => Spread::known(set(graph, "Sump, glass", glass.value.value, "cm", &glass.place)),
            (Some(_), None) => {
                let why = "`glass:` of the sump is not recorded: sumps are of thin panes";
                Spread::between(graph, "Sump, glass", 0.4, 0.8, "cm", why)
            }
        };
        Some(SurfaceInputs([
            (length, true),
            (width, true),
            (depth, true),
            (pane, false),
            (bottom, false),
            (mat, false),
            (films, true),
            (covered, false),
            (leak, true),
            (sump_length, true),
            (sump_width, true),
            (sump_depth, true),
            (cabinet, true),
            (sump_pane, false),
        ]))
    }

    pub fn on(&self, side: Side, graph: &mut Graph) -> Surfaces {
        let x: Vec<NodeId> = self.0.iter().map(|(spread, more_loses)| spread.on(side, *more_loses)).collect();
        let pick = |wanted: &[usize]| wanted.iter().map(|index| x[*index]).collect::<Vec<_>>();
        let sides = graph.compute("Through the sides", "W/K", &pick(&[0, 1, 2, 3, 6]), |v| {
            let resistance = AIR_BESIDE_M2_K_PER_W + v[3] / 100.0 / GLASS_CONDUCTIVITY_W_PER_M_K;
            v[4] * 2.0 * (v[0] + v[1]) * v[2] / 1e4 / resistance
        });
        let bottom = graph.compute("Through the bottom", "W/K", &pick(&[0, 1, 4, 5, 6]), |v| {
            let glass = v[2] / 100.0 / GLASS_CONDUCTIVITY_W_PER_M_K;
            let resistance = AIR_BELOW_M2_K_PER_W + glass + v[3] / 100.0 / FOAM_W_PER_M_K;
            v[4] * v[0] * v[1] / 1e4 / resistance
        });
        let top = graph.compute("From the surface, without evaporation", "W/K", &pick(&[0, 1, 3, 6, 7]), move |v| {
            let under_lid = AIR_ABOVE_M2_K_PER_W + LAYER_UNDER_LID_M2_K_PER_W;
            v[3] * free(v[0], v[1], v[2]) * ((1.0 - v[4]) / AIR_ABOVE_M2_K_PER_W + v[4] / under_lid)
        });
        let sump = graph.compute("From the sump, without evaporation", "W/K", &pick(&[9, 10, 11, 6, 12, 13]), |v| {
            let pane = v[5] / 100.0 / GLASS_CONDUCTIVITY_W_PER_M_K;
            let walls = 2.0 * (v[0] + v[1]) * v[2] / 1e4 / (AIR_BESIDE_M2_K_PER_W + pane);
            let bottom = v[0] * v[1] / 1e4 / (AIR_BELOW_M2_K_PER_W + pane);
            v[3] * v[4] * (walls + bottom + free(v[0], v[1], v[5]) / AIR_ABOVE_M2_K_PER_W)
        });
        let open = graph.compute("Surface that evaporates", "m²", &pick(&[0, 1, 3, 7, 8, 9, 10, 12, 13]), move |v| {
            free(v[0], v[1], v[2]) * (1.0 - v[3] * (1.0 - v[4])) + v[7] * free(v[5], v[6], v[8])
        });
        let sensible = graph.sum("Heat loss without evaporation", "W/K", &[sides, bottom, top, sump]);
        Surfaces { sides, bottom, top, sump, sensible, open }
    }
}

/// Surface of the water between the panes, m², of outer length and width and the pane in cm.
fn free(length: f64, width: f64, pane: f64) -> f64 {
    (length - 2.0 * pane).max(0.0) * (width - 2.0 * pane).max(0.0) / 1e4
}
