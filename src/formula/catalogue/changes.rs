//! Water changes and evaporation: what they leave, and how much a target takes.

use super::super::given::all_of;
use super::super::{Formula, Input, Work, number, numbers, output};
use crate::science::dosing::{share_to_change, spread_over_days};
use crate::science::water_balance::evaporation_litres_per_day;
use crate::science::water_changes::*;
use crate::units::Volume;

const BEFORE: Input = number("before_mg_l", "mg/L", "20", "concentration in the tank now");
const NEW: Input = number("new_water_mg_l", "mg/L", "0", "concentration in the new water").or("0");
const VOLUME: Input = number("volume_l", "L", "200", "volume of water in tank and sump");
const ARITHMETIC: &[&str] = &["common-practice"];

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "water-changes",
        about: "concentration after a sequence of water changes, each into mixed water",
        inputs: &[BEFORE, NEW, VOLUME, numbers("changes_l", "L", "20 20 40", "volumes changed, in order")],
        outputs: &[
            output("after_mg_l", "mg/L", "concentration after the last"),
            output("fraction_left", "", "share of the old water that is left"),
        ],
        valid: "concentrations 0 or more, volume above 0, each change from nothing to all of it; nothing else adds or takes",
        sources: ARITHMETIC,
        work: Work::Row(|given| {
            let changes: Vec<Volume> = given.list("changes_l")?.into_iter().map(Volume::litres).collect();
            let (volume, new) = (given.litres("volume_l"), given.number("new_water_mg_l"));
            let after = concentrations_after_changes(given.number("before_mg_l"), new, volume, &changes)?;
            let left = crate::science::water_balance::fraction_left(volume, &changes)?;
            all_of([after.last().copied().unwrap_or(given.number("before_mg_l")), left])
        }),
    },
    Formula {
        name: "continuous-water-change",
        about: "concentration after water was changed without pause, new water running in as mixed water runs out",
        inputs: &[BEFORE, NEW, VOLUME, number("changed_l", "L", "100", "water that went through")],
        outputs: &[output("after_mg_l", "mg/L", "concentration afterwards")],
        valid: "concentrations and changed volume 0 or more, volume above 0",
        sources: ARITHMETIC,
        work: Work::Row(|given| {
            let (before, new) = (given.number("before_mg_l"), given.number("new_water_mg_l"));
            let (volume, changed) = (given.litres("volume_l"), given.litres("changed_l"));
            all_of([concentration_after_continuous_change(before, new, volume, changed)?])
        }),
    },
    Formula {
        name: "water-change-for-target",
        about: "water to change for a wanted concentration: at once, without pause, or in changes of one size",
        inputs: &[
            BEFORE,
            number("wanted_mg_l", "mg/L", "10", "concentration that is wanted"),
            NEW,
            VOLUME,
            number("change_l", "L", "20", "size of one change"),
        ],
        outputs: &[
            output("at_once_l", "L", "in a single change"),
            output("continuous_l", "L", "without pause; none where all of it would have to go"),
            output("changes", "", "changes of that size, as a fraction; none where no number is enough"),
        ],
        valid: "concentrations 0 to 1 000 000 mg/L, the wanted one between what is there and what the new water holds, a \
            change above 0 and less than the volume; nothing else adds or takes meanwhile",
        sources: ARITHMETIC,
        work: Work::Row(|given| {
            let (before, wanted) = (given.number("before_mg_l"), given.number("wanted_mg_l"));
            let share = share_to_change(before, wanted, given.number("new_water_mg_l"))?;
            let (volume, change) = (given.litres("volume_l"), given.litres("change_l"));
            crate::science::range::positive("volume of water", volume.as_litres(), "L")?;
            crate::science::within("water change", change.as_litres(), f64::MIN_POSITIVE, volume.as_litres(), "L")?;
            Ok(vec![
                Some(share * volume.as_litres()),
                continuous_change_for(share, volume).ok().map(|water| water.as_litres()),
                changes_for(share, volume, change).ok(),
            ])
        }),
    },
    Formula {
        name: "spread-over-days",
        about: "days over which a correction is spread so that no day exceeds a limit",
        inputs: &[
            number("change", "", "1.2", "rise or fall that is wanted, in any unit"),
            number("most_a_day", "", "0.5", "the most that a day may bring, in the same unit"),
        ],
        outputs: &[output("days", "", "whole days"), output("a_day", "", "part of each day, in the same unit")],
        valid: "change up to 1 000 000 either way, limit above 0; the limit is yours",
        sources: ARITHMETIC,
        work: Work::Row(|given| {
            let (days, a_day) = spread_over_days(given.number("change"), given.number("most_a_day"))?;
            all_of([f64::from(days), a_day])
        }),
    },
    Formula {
        name: "evaporation-from-top-offs",
        about: "mean evaporation over a run of top-offs, each to the same mark",
        inputs: &[
            numbers("days", "", "0 2 5 6", "days of the top-offs, from any origin"),
            numbers("top_offs_l", "L", "4 2 3 1", "volumes; the first closes a stretch before the run and is left out"),
        ],
        outputs: &[output("evaporation_l_d", "L/d", "fresh water a day")],
        valid: "two top-offs or more on different days, none negative; water spilled or skimmed counts as evaporated",
        sources: ARITHMETIC,
        work: Work::Row(|given| all_of([evaporation_litres_per_day(&given.pairs("days", "top_offs_l")?)?])),
    },
];
