//! Cautions about single chemicals, the stand and the floor, old sand, and what was taken from nature.

use super::*;

fn with_supply(name: &str, kind: &str, substance: &str) -> Vec<Caution> {
    let file = format!(
        "name: {name}\nkind: {kind}\nsubstance: {substance}\nwhere: cellar\nlocked: yes\nin-original-container: yes\n"
    );
    raised(
        &format!("shelf-{}", substance.replace(' ', "-")),
        "",
        &[("log/2026.yaml", AS_OF), ("supplies/bottle.yaml", &file)],
    )
}

const SINGLE: [&str; 4] = ["chemical.oxidiser", "chemical.ammonium", "chemical.carbon-dosing", "chemical.iron-iodine"];

#[test]
fn each_chemical_raises_its_own_caution_and_no_other() {
    for (substance, key) in [
        ("potassium nitrate", "chemical.oxidiser"),
        ("ammonium chloride", "chemical.ammonium"),
        ("vodka", "chemical.carbon-dosing"),
        ("lugol", "chemical.iron-iodine"),
    ] {
        let raised = with_supply("Bottle", "chemical", substance);
        let found: Vec<&str> = SINGLE.into_iter().filter(|key| level(&raised, key).is_some()).collect();
        assert_eq!(found, [key], "{substance}");
        assert_eq!(why(&raised, key), "Bottle");
    }
}

#[test]
fn a_kit_for_it_is_not_the_chemical() {
    let raised = raised(
        "kit",
        "",
        &[
            ("log/2026.yaml", AS_OF),
            (
                "supplies/iron-kit.yaml",
                "name: Iron drops\nkind: kit\nmeasures: iron\nresolution: 0.01 mg/L\nuncertainty: 0.02 mg/L\n",
            ),
        ],
    );
    assert_eq!(level(&raised, "chemical.iron-iodine"), None);
}

#[test]
fn a_stand_is_looked_at_when_it_is_home_built_or_nobody_says() {
    let with = |stand: &str| raised("stand", stand, &[("log/2026.yaml", AS_OF)]);
    assert_eq!(level(&with("stand: {mass: 40 kg, built: bought}\n"), "load.stand"), None);
    assert_eq!(level(&with("stand: {mass: 40 kg, built: home-built}\n"), "load.stand"), Some(Danger::Check));
    assert_eq!(why(&with("stand: {mass: 40 kg}\n"), "load.stand"), "the record does not say who built the stand");
    let tall = "stand: {built: bought, height: 150 cm, footprint: 95 x 45 cm}\n";
    assert_eq!(why(&with(tall), "load.stand"), "the stand is more than three times as high as it is deep");
    let nobody_small = format!("{tall}household: {{children-under-5: no}}\n");
    assert_eq!(level(&with(&nobody_small), "load.stand"), None);
}

#[test]
fn an_upper_floor_without_a_leak_alarm_has_a_neighbour_below() {
    let alarm = ("equipment/alarm.yaml", "name: Puck\nrole: leak-alarm\nin-service: 2023-01-10\n");
    let log = ("log/2026.yaml", AS_OF);
    assert_eq!(level(&raised("leak", "floor: upper\n", &[log]), "water.leak-damage"), Some(Danger::Check));
    assert_eq!(level(&raised("leak-alarm", "floor: upper\n", &[log, alarm]), "water.leak-damage"), None);
    assert_eq!(level(&raised("ground", "floor: ground\n", &[log]), "water.leak-damage"), None);
}

#[test]
fn deep_sand_and_its_smell_warn_of_the_gas() {
    let log = ("log/2026.yaml", AS_OF);
    let deep = raised("deep", "sand: {mass: 40 kg, depth: 10 cm}\n", &[log]);
    assert_eq!(why(&deep, "chemical.hydrogen-sulfide"), "sand 10 cm deep");
    assert_eq!(level(&raised("flat", "sand: {mass: 40 kg, depth: 4 cm}\n", &[log]), "chemical.hydrogen-sulfide"), None);
    let smelled = ("log/2026.yaml", "2026-05-30: {note: moved the sand and it smelled of rotten eggs}\n");
    assert_eq!(level(&raised("smell", "", &[smelled]), "chemical.hydrogen-sulfide"), Some(Danger::Check));
}

#[test]
fn purified_water_that_is_tested_is_labelled() {
    let tested = ("log/2026.yaml", "2026-05-30: {tds: 4 mg/L}\n");
    assert_eq!(level(&raised("tds", "", &[tested]), "water.not-drinkable"), Some(Danger::Check));
    assert_eq!(level(&raised("no-tds", "", &[("log/2026.yaml", AS_OF)]), "water.not-drinkable"), None);
}

#[test]
fn a_listed_species_and_a_find_from_the_beach_are_told() {
    let coral = |claim: &str| {
        format!(
            "name: Branch\ngroup: large-polyp-stony\narrived: 2025-02-01\nclaims: [{{thought-to-be: {claim}, by: keeper}}]\n\
             placements: [{{since: 2025-02-01, tank: ., where: left}}]\n"
        )
    };
    let log = ("log/2026.yaml", AS_OF);
    let listed = raised("listed", "", &[log, ("colonies/branch.yaml", &coral("Euphyllia paradivisa"))]);
    assert_eq!(why(&listed, "law.listed-species"), "Branch: Euphyllia paradivisa by a name it was given");
    let other = raised("other", "", &[log, ("colonies/branch.yaml", &coral("Euphyllia glabrescens"))]);
    assert_eq!(level(&other, "law.listed-species"), None);
    let found = ("log/2026.yaml", "2026-05-30: {note: Put in a shell found on the beach.}\n");
    assert_eq!(level(&raised("beach", "", &[found]), "law.wild-collection"), Some(Danger::Check));
    assert_eq!(level(&other, "law.wild-collection"), None);
}

#[test]
fn what_the_house_lends_is_asked_about_where_the_record_speaks_of_it() {
    let task = |what: &str| {
        let file = format!("tasks: {{fill: {{what: \"{what}\", every: 7 days}}}}\n");
        raised("lent", "", &[("log/2026.yaml", AS_OF), ("upkeep/a.yaml", &file)])
    };
    let hose = task("Hang the garden hose over the mixing bin");
    assert_eq!(level(&hose, "water.backflow"), Some(Danger::People));
    assert_eq!(why(&hose, "water.backflow"), "task: Hang the garden hose over the mixing bin");
    assert_eq!(level(&task("Wipe salt at the water line"), "water.backflow"), None);
    assert_eq!(level(&task("See that the two-prong adapter is cold"), "electricity.old-outlet"), Some(Danger::People));
    assert_eq!(level(&task("Press the test button"), "electricity.old-outlet"), None);
}

#[test]
fn a_battery_is_asked_about_by_kind_and_age() {
    let with = |name: &str, since: &str| {
        let file = format!("name: {name}\nrole: battery\nin-service: {since}\nmains: no\n");
        raised("worn", "", &[("log/2026.yaml", AS_OF), ("equipment/pack.yaml", &file)])
    };
    assert_eq!(level(&with("Pack", "2024-01-10"), "battery.ups"), None);
    assert_eq!(why(&with("Pack", "2022-05-10"), "battery.ups"), "Pack: 4 years in service");
    assert_eq!(level(&with("UPS of the hall", "2026-01-10"), "battery.ups"), Some(Danger::Check));
}
