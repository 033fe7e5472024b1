//! Cautions about what lives in the tank, the work on it, the chemical shelf and the law.

use polypary::pages::model::Danger;

use crate::{AS_OF, colony, level, raised, why};

#[test]
fn palytoxin_by_group_name_and_work() {
    let zoas = colony("Green mat", "zoanthid", "source: {kind: aquaculture}\n");
    let log = "2026-04-01: {note: Scrubbed a plug under hot water}\n2026-05-30: {note: Power cut of an hour}\n";
    let with = raised("zoas", "", &[("colonies/mat.yaml", &zoas), ("log/a.yaml", log)]);
    for key in ["palytoxin.present", "palytoxin.aerosol", "palytoxin.symptoms"] {
        assert_eq!(level(&with, key), Some(Danger::People), "{key}");
    }
    assert!(why(&with, "palytoxin.aerosol").contains("2026-04-01"));
    assert!(!why(&with, "palytoxin.aerosol").contains("2026-05-30"));

    let quiet = raised("zoas-quiet", "", &[("colonies/mat.yaml", &zoas), ("log/a.yaml", AS_OF)]);
    assert_eq!(level(&quiet, "palytoxin.aerosol"), None);
    let claimed =
        colony("Rock crust", "soft", "claims: [{thought-to-be: Palythoa sp.}]\nsource: {kind: aquaculture}\n");
    let claimed = raised("paly-claim", "", &[("colonies/crust.yaml", &claimed)]);
    assert_eq!(level(&claimed, "palytoxin.present"), Some(Danger::People));
    let stranger = colony("Brown polyps", "other", "source: {kind: hitch-hiker}\n");
    let stranger = raised("stranger", "", &[("colonies/brown.yaml", &stranger)]);
    assert_eq!(level(&stranger, "palytoxin.present"), Some(Danger::Check));
    let fish = colony("Goby", "fish", "source: {kind: aquaculture}\n");
    let fish = raised("fish", "", &[("colonies/goby.yaml", &fish), ("log/a.yaml", log)]);
    assert!(fish.iter().all(|caution| !caution.key.starts_with("palytoxin.")));
}

#[test]
fn hands_in_the_water() {
    let with = |name: &str, lines: &str| {
        let tasks = format!("tasks: {{wipe: {{what: Clean the glass, every: 7 days{lines}}}}}\n");
        let all = raised(name, "", &[("upkeep/a.yaml", &tasks)]);
        (level(&all, "electricity.hands-in-water"), level(&all, "skin.infection"))
    };
    assert_eq!(with("hands-yes", ", hands-in-water: yes"), (Some(Danger::People), Some(Danger::Check)));
    assert_eq!(with("hands-missing", ""), (Some(Danger::Check), None));
    assert_eq!(with("hands-no", ", hands-in-water: no"), (None, None));
}

fn chemical(name: &str, lines: &str) -> String {
    format!("name: {name}\nkind: chemical\n{lines}")
}

#[test]
fn the_chemical_shelf() {
    let store = |name: &str, lines: &str| {
        level(&raised(name, "", &[("supplies/x.yaml", &chemical("Citric acid", lines))]), "chemical.store")
    };
    assert_eq!(store("store-no", "locked: no\nin-original-container: yes\n"), Some(Danger::People));
    assert_eq!(store("store-missing", ""), Some(Danger::Check));
    assert_eq!(store("store-yes", "locked: yes\nin-original-container: yes\n"), None);

    let mix = |name: &str, bleach: &str, acid: &str| {
        let files = [("supplies/b.yaml", chemical("Bleach", bleach)), ("supplies/v.yaml", chemical("Vinegar", acid))];
        let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (*path, text.as_str())).collect();
        level(&raised(name, "", &files), "chemical.bleach-mix")
    };
    assert_eq!(mix("mix-together", "where: Sink cupboard\n", "where: sink cupboard\n"), Some(Danger::People));
    assert_eq!(mix("mix-apart", "where: Garage\n", "where: Sink cupboard\n"), None);
    assert_eq!(mix("mix-unknown", "where: Garage\n", ""), Some(Danger::Check));

    let peroxide = |name: &str, text: &str| {
        level(&raised(name, "", &[("supplies/p.yaml", &chemical(text, ""))]), "chemical.peroxide")
    };
    assert_eq!(peroxide("peroxide-3", "Hydrogen peroxide 3 %"), Some(Danger::Check));
    assert_eq!(peroxide("peroxide-35", "Hydrogen peroxide 35%"), Some(Danger::People));
    assert_eq!(peroxide("peroxide-unknown", "Hydrogen peroxide"), Some(Danger::People));

    let lime = raised(
        "lime",
        "",
        &[("supplies/l.yaml", &chemical("Top-off powder", "substance: calcium hydroxide\nlocked: no\n"))],
    );
    assert_eq!(level(&lime, "chemical.lime"), Some(Danger::People));
    let files = [("supplies/c.yaml", chemical("Calcium chloride", "")), ("supplies/s.yaml", chemical("Soda ash", ""))];
    let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (*path, text.as_str())).collect();
    let salts = raised("salts", "", &files);
    assert_eq!(level(&salts, "chemical.order"), Some(Danger::Check));
    assert_eq!(level(&salts, "chemical.acid"), None);
}

#[test]
fn law_and_papers() {
    let wild =
        |papers: &str| colony("Finger", "small-polyp-stony", &format!("source: {{kind: wild-collected{papers}}}\n"));
    let with = |name: &str, text: &str| raised(name, "", &[("colonies/c.yaml", text)]);
    assert_eq!(level(&with("wild-no", &wild(", papers: no")), "law.cites"), Some(Danger::Check));
    assert_eq!(level(&with("wild-missing", &wild("")), "law.cites"), Some(Danger::Check));
    assert_eq!(level(&with("wild-yes", &wild(", papers: yes")), "law.cites"), None);
    let given = colony(
        "Finger",
        "small-polyp-stony",
        "source: {kind: aquaculture}\nended: {on: 2025-03-01, how: given-away}\n",
    );
    let given = with("given", &given);
    assert_eq!(level(&given, "law.cites"), Some(Danger::Check));
    assert_eq!(level(&given, "law.do-not-release"), Some(Danger::Check));

    let grape = colony("Grapes", "macroalga", "claims: [{thought-to-be: Caulerpa racemosa}]\n");
    let grape = with("caulerpa", &grape);
    assert!(why(&grape, "law.macroalgae").contains("Caulerpa"));
    assert_eq!(level(&grape, "law.provenance-missing"), Some(Danger::Check));
    let trade_name = colony("Tuft", "macroalga", "claims: [{called: Tuft}]\nsource: {kind: aquaculture}\n");
    assert!(why(&with("trade-name", &trade_name), "law.macroalgae").contains("no scientific name"));
    let named =
        colony("Tuft", "macroalga", "claims: [{thought-to-be: Chaetomorpha sp.}]\nsource: {kind: aquaculture}\n");
    let named = with("named", &named);
    assert_eq!(level(&named, "law.macroalgae"), None);
    assert_eq!(level(&named, "law.provenance-missing"), None);
}
