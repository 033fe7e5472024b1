//! Viscosity, friction, pipes and pumps.

use super::super::given::{Given, all_of};
use super::super::{Formula, Input, Output, Refusal, SHARE, Work, number, numbers, output, word};
use crate::diagnostic::nearest;
use crate::science::flow::*;
use crate::science::pipes::*;
use crate::science::plumbing::{Fitting, PumpCurve, drain_back, weir_head_francis_1883};
use crate::science::range::{positive, within};
use crate::units::{Flow, Length};

const BORE: Input = number("inner_diameter_m", "m", "0.0266", "bore of the pipe");
const LENGTH: Input = number("length_m", "m", "2.5", "length of the pipe");
const SUM_K: Input = number("sum_k", "", "6", "loss coefficients of bends, valves, entry and exit, added up");
const ROUGHNESS: Input = number("roughness_m", "m", "1.5e-6", "roughness of the inside; PVC 0.0015 mm").or("1.5e-6");
const DENSITY: Input = number("density_kg_m3", "kg/m³", "1023.34", "density of the water").or("1023.34");
const VISCOSITY: Input = number("viscosity_pa_s", "Pa s", "0.00096", "dynamic viscosity").or("0.00096");
const SHUTOFF: Input = number("shutoff_head_m", "m", "3", "head at which the pump moves nothing");
const MAX_FLOW: Input = number("max_flow_l_h", "L/h", "4000", "flow at no head");
const STATIC: Input = number("static_head_m", "m", "1", "height that the water is lifted");
const RESISTANCE: Input = number(
    "resistance_m_per_lh2",
    "m/(L/h)²",
    "1e-7",
    "head that the pipes cost, over the flow squared; 0 for a lift alone",
);
const POINT: &[Output] =
    &[output("flow_l_h", "L/h", "flow that is left"), output("head_m", "m", "head that the pump works against")];

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "friction-factor",
        about: "friction factor of Darcy for flow in a pipe, by three published formulas",
        inputs: &[
            number("reynolds", "", "30000", "Reynolds number"),
            number("relative_roughness", "", "5.6e-5", "roughness over bore"),
        ],
        outputs: &[
            output("f_colebrook", "", "turbulent flow; none below Reynolds number 4000"),
            output("f_churchill_1977", "", "any flow"),
            output("f_swamee_jain_1976", "", "turbulent flow; none below Reynolds number 4000"),
            output("f_laminar", "", "64/Re; none from Reynolds number 2000 on"),
        ],
        valid: "Reynolds number above 0 and up to 1e8, roughness over bore 0 to 0.05; between 2000 and 4000 the flow \
            itself cannot decide",
        sources: &["colebrook_1939", "churchill_1977", "swamee_jain_1976"],
        work: Work::Row(|given| {
            let (re, rough) = (given.number("reynolds"), given.number("relative_roughness"));
            let any = friction_factor_churchill_1977(re, rough)?;
            let colebrook = friction_factor_colebrook_1939(re, rough).ok();
            let quick = friction_factor_swamee_jain_1976(re, rough).ok();
            Ok(vec![colebrook, Some(any), quick, (re < 2000.0).then_some(64.0 / re)])
        }),
    },
    Formula {
        name: "seawater-viscosity",
        about: "dynamic viscosity of seawater",
        inputs: &[
            number("salinity_psu", "PSU", "35", "practical salinity"),
            number("temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[output("viscosity_sharqawy_pa_s", "Pa s", "dynamic viscosity")],
        valid: "salinity 0 to 42, 0 to 40 °C; good to 1.5 %",
        sources: &["sharqawy_2010", "millero_2008"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            all_of([viscosity_sharqawy_2010_pa_s(s, t)?])
        }),
    },
    Formula {
        name: "head-loss",
        about: "head that a run of pipe costs at a flow",
        inputs: &[number("flow_l_h", "L/h", "2000", "flow"), BORE, LENGTH, SUM_K, ROUGHNESS, DENSITY, VISCOSITY],
        outputs: &[
            output("velocity_m_s", "m/s", "mean speed in the pipe"),
            output("reynolds", "", "Reynolds number"),
            output("friction_factor", "", "friction factor of Darcy"),
            output("pipe_head_m", "m", "head lost along the pipe"),
            output("fitting_head_m", "m", "head lost in the fittings"),
            output("total_head_m", "m", "head lost in all"),
        ],
        valid: "flow 0 or more, bore, density and viscosity above 0, Reynolds number up to 1e8, roughness up to 1/20 of \
            the bore; 64/Re below Reynolds number 2000, Colebrook from 4000, Churchill between; real fittings differ by 30 %",
        sources: &["colebrook_1939", "churchill_1977"],
        work: Work::Row(|given| {
            let loss = head_loss(&run(given), given.litres_per_hour("flow_l_h"))?;
            all_of([
                loss.velocity_m_per_s,
                loss.reynolds,
                loss.friction_factor,
                loss.pipe.as_metres(),
                loss.fittings.as_metres(),
                loss.total.as_metres(),
            ])
        }),
    },
    Formula {
        name: "pump-operating-point",
        about: "flow that a pump known by its two ends pushes through a pipe",
        inputs: &[SHUTOFF, MAX_FLOW, STATIC, BORE, LENGTH, SUM_K, ROUGHNESS, DENSITY, VISCOSITY],
        outputs: POINT,
        valid: "static head from 0 to the shutoff head; a parabola through the two ends of the pump's curve, from which \
            real curves differ; friction after Churchill; roughness up to 1/20 of the bore",
        sources: &["churchill_1977", "common-practice"],
        work: Work::Row(|given| {
            let (shutoff, most) = (given.metres("shutoff_head_m"), given.litres_per_hour("max_flow_l_h"));
            point(pump_operating_point_with_pipe(shutoff, most, given.metres("static_head_m"), &run(given))?)
        }),
    },
    Formula {
        name: "pump-operating-point-by-resistance",
        about: "the same for pipes known by one resistance, in closed form",
        inputs: &[SHUTOFF, MAX_FLOW, STATIC, RESISTANCE],
        outputs: POINT,
        valid: "static head from 0 to the shutoff head, resistance 0 or more",
        sources: &["common-practice"],
        work: Work::Row(|given| {
            let (shutoff, most) = (given.metres("shutoff_head_m"), given.litres_per_hour("max_flow_l_h"));
            let lift = given.metres("static_head_m");
            point(pump_operating_point(shutoff, most, lift, given.number("resistance_m_per_lh2"))?)
        }),
    },
    Formula {
        name: "pump-operating-point-of-curve",
        about: "the same for a pump known by points of its curve",
        inputs: &[
            numbers("curve_flow_l_h", "", "0 1000 2000 3000 4000", "flows of the points"),
            numbers("curve_head_m", "", "3 2.7 2.1 1.2 0", "head at each"),
            STATIC,
            RESISTANCE,
        ],
        outputs: POINT,
        valid: "two points or more of different flow, joined by straight lines, the head never rising with the flow; \
            a system that meets the curve between its ends",
        sources: &["common-practice"],
        work: Work::Row(|given| {
            let curve: Vec<(Flow, Length)> = given
                .pairs("curve_flow_l_h", "curve_head_m")?
                .into_iter()
                .map(|(flow, head)| (Flow::litres_per_hour(flow), Length::metres(head)))
                .collect();
            let lift = given.metres("static_head_m");
            point(pump_operating_point_of_curve(&curve, lift, given.number("resistance_m_per_lh2"))?)
        }),
    },
    Formula {
        name: "pump-derating",
        about: "share of its clean flow that a pump moves some months after it was cleaned",
        inputs: &[number("months", "", "4", "months since it was cleaned")],
        outputs: &[
            output("fraction", "", "share of the clean pump's flow"),
            output("standard_uncertainty", "", "of that share"),
        ],
        valid: "0 to 12 months; a habit of the trade, not a measurement of yours",
        sources: &["common-practice", "jcgm_100_2008"],
        work: Work::Row(|given| {
            let derating = derating_by_dirt(given.number("months"))?;
            all_of([derating.fraction, derating.standard_uncertainty])
        }),
    },
    Formula {
        name: "fitting-loss",
        about: "loss coefficient K of a fitting in a pipe",
        inputs: &[
            word(
                "fitting",
                "elbow-90",
                "elbow-90, elbow-45, bend-90, tee-run, tee-branch, ball-valve, check-valve, entrance, entrance-projecting or exit",
            ),
            BORE,
        ],
        outputs: &[output("k", "", "loss coefficient: heads of v²/2g that it costs")],
        valid: "bore above 0 and up to 10 m; customary for plastic pipe too; within 2 % of the handbook's printed values from half an \
            inch to two inches; real fittings differ by 30 %",
        sources: &["crane_2009"],
        work: Work::Row(|given| {
            let typed = given.word("fitting").to_lowercase().replace([' ', '_'], "-");
            let words = Fitting::WORDS;
            let Some((_, fitting)) = words.iter().find(|(word, _)| *word == typed) else {
                let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
                return Err(Refusal(match nearest(&typed, known.iter().copied()) {
                    Some(near) => format!("no fitting `{typed}` is known; did you mean `{near}`?"),
                    None => format!("no fitting `{typed}` is known: {}", known.join(", ")),
                }));
            };
            within("bore", given.number("inner_diameter_m"), f64::MIN_POSITIVE, 10.0, "m")?;
            all_of([fitting.loss_coefficient(given.metres("inner_diameter_m"))?])
        }),
    },
    Formula {
        name: "pump-at-speed",
        about: "what a pump moves and lifts when it is turned slower: the affinity laws",
        inputs: &[SHUTOFF, MAX_FLOW, number("speed", SHARE, "0.7", "speed over full speed; a dial need not be that")],
        outputs: &[
            output("flow_at_no_head_l_h", "L/h", "flow at no head: in proportion to the speed"),
            output("head_at_no_flow_m", "m", "head at no flow: with the square of the speed"),
        ],
        valid: "speed above 0 and up to 1, head and flow above 0",
        sources: &["karassik_2008"],
        work: Work::Row(|given| {
            let pump = PumpCurve::of_ends(given.metres("shutoff_head_m"), given.litres_per_hour("max_flow_l_h"))?;
            let slower = pump.at_speed(given.number("speed"))?;
            all_of([slower.max_flow().as_litres_per_hour(), slower.shutoff_head().as_metres()])
        }),
    },
    Formula {
        name: "weir-head",
        about: "height of running water above the edge of an overflow",
        inputs: &[
            number("flow_l_h", "L/h", "900", "flow over the edge"),
            number("edge_m", "m", "0.2", "length of the edge without the teeth that stand in the water"),
        ],
        outputs: &[output("head_m", "m", "height of the water above the edge, a little way back from it")],
        valid: "edge above 0, flow 0 or more; a sharp edge in free fall; a toothed one differs by 20 %",
        sources: &["usbr_2001"],
        work: Work::Row(|given| {
            all_of([weir_head_francis_1883(given.litres_per_hour("flow_l_h"), given.metres("edge_m"))?.as_metres()])
        }),
    },
    Formula {
        name: "drain-back",
        about: "water that runs back into the sump when the return pump stops",
        inputs: &[
            number("length_m", "m", "0.884", "inner length of the display"),
            number("width_m", "m", "0.384", "inner width of the display"),
            number("over_edge_m", "m", "0.011", "running water above the edge of the overflow, from weir-head"),
            number(
                "siphon_depth_m",
                "m",
                "0.008",
                "mouth of the return, or its siphon hole, below the running surface",
            ),
            number("pipes_l", "L", "0.6", "what stands in pipes and overflow box above the sump"),
        ],
        outputs: &[output("drained_l", "L", "water that runs back; a check valve is not counted on")],
        valid: "length and width above 0, the rest 0 or more; what the sump still takes must be more than this",
        sources: &["common-practice"],
        work: Work::Row(|given| {
            let length = positive("length", given.number("length_m"), "m")?;
            let width = positive("width", given.number("width_m"), "m")?;
            let (edge, siphon) = (given.metres("over_edge_m"), given.metres("siphon_depth_m"));
            all_of([drain_back(length * width * 1e4, edge, siphon, given.litres("pipes_l"))?.as_litres()])
        }),
    },
];

fn run(given: &Given) -> PipeRun {
    PipeRun {
        bore: given.metres("inner_diameter_m"),
        length: given.metres("length_m"),
        sum_k: given.number("sum_k"),
        roughness: given.metres("roughness_m"),
        density: given.density("density_kg_m3"),
        viscosity_pa_s: given.number("viscosity_pa_s"),
    }
}

fn point(point: OperatingPoint) -> Result<Vec<Option<f64>>, Refusal> {
    all_of([point.flow.as_litres_per_hour(), point.head.as_metres()])
}
