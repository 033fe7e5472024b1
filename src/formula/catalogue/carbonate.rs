//! The carbonate system and the scales of pH.

use super::super::given::all_of;
use super::super::{Formula, Input, Work, number, output};
use crate::science::carbonate::*;
use crate::science::ph_scale::*;

const SALINITY: Input = number("salinity_psu", "PSU", "35", "practical salinity");
const TEMPERATURE: Input = number("temperature_c", "°C", "25", "temperature of the water");
const PH_TOTAL: Input = number("ph_total", "pH", "8.0", "pH on the total scale");
const PH_NBS: Input =
    number("ph_nbs", "pH", "8.2", "pH as a meter calibrated with dilute buffers shows it (NBS scale)");
const ALKALINITY: Input = number("alkalinity_dkh", "dKH", "8", "alkalinity");
const CALCIUM: Input = number("calcium_mg_l", "mg/L Ca", "420", "calcium");
const SOURCES: &[&str] = &[
    "lueker_2000",
    "dickson_1990b",
    "uppstrom_1974",
    "millero_1995",
    "mucci_1983",
    "riley_tongudai_1967",
    "weiss_1974",
    "dickson_1990a",
    "perez_fraga_1987",
    "takahashi_1982",
];

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "carbonate-system",
        about: "carbonate, carbon dioxide and saturation from alkalinity and pH, calcium as in the sea",
        inputs: &[number("alkalinity_umol_kg", "µmol/kg", "2300", "total alkalinity"), PH_TOTAL, TEMPERATURE, SALINITY],
        outputs: &[
            output("calcium_umol_kg", "µmol/kg", "calcium of ocean salt of that salinity"),
            output("omega_aragonite", "", "saturation state of aragonite; above 1 it can form"),
            output("omega_calcite", "", "saturation state of calcite"),
            output("carbonate_umol_kg", "µmol/kg", "carbonate ion"),
            output("dic_umol_kg", "µmol/kg", "dissolved inorganic carbon"),
            output("pco2_uatm", "µatm", "partial pressure of carbon dioxide"),
            output("ph_nbs", "", "the pH on the NBS scale"),
            output("ph_sws", "", "the pH on the seawater scale"),
        ],
        valid: "salinity 19 to 43, 2 to 35 °C, alkalinity 100 to 20 000 µmol/kg, pH 6 to 10; no phosphate, silicate or \
            organic acid is counted; other published constants differ by 5 %",
        sources: SOURCES,
        work: Work::Row(|given| {
            let system = carbonate_system(
                given.number("alkalinity_umol_kg"),
                given.number("ph_total"),
                None,
                given.salinity("salinity_psu"),
                given.celsius("temperature_c"),
            )?;
            all_of([
                system.calcium_umol_per_kg,
                system.omega_aragonite,
                system.omega_calcite,
                system.carbonate_umol_per_kg,
                system.dic_umol_per_kg,
                system.pco2_uatm,
                system.ph_nbs,
                system.ph_seawater,
            ])
        }),
    },
    Formula {
        name: "carbonate-from-kit-units",
        about: "the same from what kits and meters say: dKH, pH on the NBS scale, calcium in mg/L",
        inputs: &[ALKALINITY, PH_NBS, CALCIUM, TEMPERATURE, SALINITY],
        outputs: &[
            output("alkalinity_umol_kg", "µmol/kg", "total alkalinity"),
            output("calcium_umol_kg", "µmol/kg", "calcium"),
            output("ph_total", "", "the pH on the total scale"),
            output("omega_aragonite", "", "saturation state of aragonite; above 1 it can form"),
            output("carbonate_umol_kg", "µmol/kg", "carbonate ion"),
            output("dic_umol_kg", "µmol/kg", "dissolved inorganic carbon"),
            output("pco2_uatm", "µatm", "partial pressure of carbon dioxide"),
        ],
        valid: "salinity 19 to 43, 2 to 35 °C, alkalinity of 100 to 20 000 µmol/kg (0.3 to 57 dKH), pH 6 to 10, \
            calcium above 0; the NBS scale is the weak step: allow 15 % of saturation",
        sources: SOURCES,
        work: Work::Row(|given| {
            let system = carbonate_system_from_kits(
                given.number("alkalinity_dkh"),
                given.number("ph_nbs"),
                given.number("calcium_mg_l"),
                given.salinity("salinity_psu"),
                given.celsius("temperature_c"),
            )?;
            all_of([
                system.alkalinity_umol_per_kg,
                system.calcium_umol_per_kg,
                system.ph_total,
                system.omega_aragonite,
                system.carbonate_umol_per_kg,
                system.dic_umol_per_kg,
                system.pco2_uatm,
            ])
        }),
    },
    Formula {
        name: "aragonite-with-ph-error",
        about: "how far an error of the pH moves the saturation of aragonite",
        inputs: &[
            ALKALINITY,
            PH_NBS,
            CALCIUM,
            TEMPERATURE,
            SALINITY,
            number("ph_error", "", "0.1", "by how much the pH may be wrong, either way"),
        ],
        outputs: &[
            output("omega_aragonite", "", "saturation state at that pH"),
            output("omega_if_ph_is_lower", "", "if the true pH is lower by the error"),
            output("omega_if_ph_is_higher", "", "if it is higher by the error"),
            output("relative_change_down", "", "the first change, as a share of the value"),
            output("relative_change_up", "", "the second change, as a share of the value"),
        ],
        valid: "as carbonate-from-kit-units, the pH with its error still 6 to 10; error 0 to 1",
        sources: SOURCES,
        work: Work::Row(|given| {
            let error = crate::science::within("error of the pH", given.number("ph_error"), 0.0, 1.0, "")?;
            let omega = |ph| {
                carbonate_system_from_kits(
                    given.number("alkalinity_dkh"),
                    ph,
                    given.number("calcium_mg_l"),
                    given.salinity("salinity_psu"),
                    given.celsius("temperature_c"),
                )
                .map(|system| system.omega_aragonite)
            };
            let ph = given.number("ph_nbs");
            let (here, lower, higher) = (omega(ph)?, omega(ph - error)?, omega(ph + error)?);
            all_of([here, lower, higher, lower / here - 1.0, higher / here - 1.0])
        }),
    },
    Formula {
        name: "ph-scales",
        about: "a pH on the total scale told on the others",
        inputs: &[PH_TOTAL, TEMPERATURE, SALINITY],
        outputs: &[
            output("ph_nbs", "", "on the scale of dilute buffers"),
            output("ph_sws", "", "on the seawater scale"),
            output("ph_free", "", "on the free scale"),
        ],
        valid: "salinity 5 to 45, 0 to 40 °C, pH 5 to 10; a real electrode differs from the NBS scale by some hundredths",
        sources: &["dickson_1990a", "perez_fraga_1987", "morris_riley_1966", "riley_1965", "takahashi_1982"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            let scales = ph_scales_from_total(given.number("ph_total"), s, t)?;
            all_of([scales.nbs, scales.seawater, scales.free])
        }),
    },
    Formula {
        name: "ph-total-from-nbs",
        about: "a meter's pH (NBS scale) told on the total scale",
        inputs: &[PH_NBS, TEMPERATURE, SALINITY],
        outputs: &[output("ph_total", "", "on the total scale")],
        valid: "salinity 5 to 45, 0 to 40 °C, pH 5 to 10; a real electrode differs from the NBS scale by some hundredths",
        sources: &["takahashi_1982", "dickson_1990a", "perez_fraga_1987"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            all_of([ph_total_from_nbs(given.number("ph_nbs"), s, t)?])
        }),
    },
];
