//! Every source named beside a formula stands in the bibliography.

use polypary::science::sources::source;

/// Reads the formula files for lines such as ``Source: [`author_year`](crate::science::sources)``.
#[test]
fn every_source_named_beside_a_formula_is_in_the_bibliography() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/science");
    let mut named = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        for line in std::fs::read_to_string(&path).unwrap().lines() {
            let Some((before, _)) = line.split_once("](crate::science::sources)") else {
                continue;
            };
            let keys = before.rsplit_once('[').expect("a link starts with a bracket").1;
            for key in keys.split(',') {
                let key = key.trim().trim_matches('`');
                assert!(source(key).is_some(), "{}: no source {key}", path.display());
                named += 1;
            }
        }
    }
    assert!(named >= 10, "only {named} sources found: has the form of the line changed?");
}
