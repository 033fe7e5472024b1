//! Every formula by subject. A file holds one subject's formulas; a new one is an entry there.

use super::Formula;

mod air;
mod carbonate;
mod changes;
mod density;
mod doses;
mod gases;
mod heat;
mod lamps;
mod light;
mod pipes;
mod power;
mod salinity;
mod salt;
mod structure;
mod trend;
mod units;

/// Formulas that belong together.
pub struct Subject {
    pub name: &'static str,
    pub formulas: &'static [Formula],
}

/// All subjects, in the order in which they are listed.
pub fn all() -> &'static [Subject] {
    &[
        Subject { name: "Salinity and conductivity", formulas: salinity::FORMULAS },
        Subject { name: "Density, specific gravity and refraction", formulas: density::FORMULAS },
        Subject { name: "Oxygen and ammonia", formulas: gases::FORMULAS },
        Subject { name: "Carbonate system", formulas: carbonate::FORMULAS },
        Subject { name: "Units of nutrients and hardness", formulas: units::FORMULAS },
        Subject { name: "Doses and stock solutions", formulas: doses::FORMULAS },
        Subject { name: "Mixing and correcting salinity", formulas: salt::FORMULAS },
        Subject { name: "Water changes and evaporation", formulas: changes::FORMULAS },
        Subject { name: "Trends", formulas: trend::FORMULAS },
        Subject { name: "Light", formulas: light::FORMULAS },
        Subject { name: "Lamps and maps of light", formulas: lamps::FORMULAS },
        Subject { name: "Air and evaporation", formulas: air::FORMULAS },
        Subject { name: "Heat", formulas: heat::FORMULAS },
        Subject { name: "Pipes and pumps", formulas: pipes::FORMULAS },
        Subject { name: "Electricity", formulas: power::FORMULAS },
        Subject { name: "Structure", formulas: structure::FORMULAS },
    ]
}

/// The formula of a name; hyphens, underscores and spaces are one.
pub fn find(name: &str) -> Option<&'static Formula> {
    let plain = name.trim().to_lowercase().replace(['_', ' '], "-");
    every().find(|formula| formula.name == plain)
}

/// The names of all formulas, as listed.
pub fn names() -> impl Iterator<Item = &'static str> {
    every().map(|formula| formula.name)
}

fn every() -> impl Iterator<Item = &'static Formula> {
    all().iter().flat_map(|subject| subject.formulas)
}

#[cfg(test)]
mod tests {
    use super::super::{Kind, Typed, Work, work_out};
    use super::*;
    use crate::science::sources;

    #[test]
    fn names_stand_once_and_every_entry_is_whole() {
        let mut seen: Vec<&str> = names().collect();
        seen.sort_unstable();
        assert!(seen.windows(2).all(|pair| pair[0] != pair[1]), "{seen:?}");
        for formula in every() {
            let name = formula.name;
            assert!(!formula.about.is_empty() && !formula.valid.is_empty() && !formula.outputs.is_empty(), "{name}");
            assert!(!formula.sources.is_empty(), "{name}");
            for key in formula.sources {
                assert!(sources::source(key).is_some(), "{name} names the source {key}, which is not listed");
            }
            let mut keys: Vec<&str> = formula.inputs.iter().map(|input| input.key).collect();
            keys.extend(formula.outputs.iter().map(|output| output.key));
            let several = keys.len();
            keys.sort_unstable();
            keys.dedup();
            assert_eq!(keys.len(), several, "{name} has two columns of one name");
            assert!(
                formula.inputs.iter().all(|input| !input.example.is_empty() && !input.meaning.is_empty()),
                "{name}"
            );
        }
    }

    #[test]
    fn the_example_of_every_formula_works() {
        for formula in every() {
            let inputs: Vec<Typed> = formula
                .inputs
                .iter()
                .map(|input| Typed::of(input, Some(input.example)).unwrap_or_else(|why| panic!("{}: {why}", input.key)))
                .collect();
            let outcome = work_out(formula, &inputs).unwrap_or_else(|why| panic!("{}: {why}", formula.name));
            assert!(outcome.rows.iter().all(|row| row.len() == formula.outputs.len()), "{}", formula.name);
            assert!(outcome.rows.iter().flatten().any(Option::is_some), "{}", formula.name);
            if matches!(formula.work, Work::Whole(_) | Work::Series(_)) {
                let lists = formula.inputs.iter().all(|input| input.kind == Kind::List);
                assert!(lists && formula.inputs[1].key == "value", "{}", formula.name);
            }
        }
    }

    /// Each number in turn is no number, endless, negative, huge or nothing: a result is a number, or there is none.
    #[test]
    fn absurd_inputs_are_refused_or_give_a_number() {
        let mut refused = 0;
        for formula in every() {
            for changed in formula.inputs.iter().filter(|input| input.kind != Kind::Word) {
                for absurd in ["NaN", "inf", "-inf", "-1", "1e9", "1e300", "0", "-0.0"] {
                    let inputs: Result<Vec<Typed>, _> = formula
                        .inputs
                        .iter()
                        .map(|input| {
                            Typed::of(input, Some(if input.key == changed.key { absurd } else { input.example }))
                        })
                        .collect();
                    let place = format!("{} with {}={absurd}", formula.name, changed.key);
                    let Ok(inputs) = inputs else {
                        assert!(absurd.contains("NaN") || absurd.contains("inf"), "{place}");
                        refused += 1;
                        continue;
                    };
                    match work_out(formula, &inputs) {
                        Ok(outcome) => {
                            assert!(outcome.rows.iter().flatten().flatten().all(|value| value.is_finite()), "{place}");
                        }
                        Err(why) => {
                            assert!(why.0.len() > 10 && !why.0.contains("NaN"), "{place}: {why}");
                            refused += 1;
                        }
                    }
                }
            }
        }
        assert!(refused > 500, "{refused}");
    }
}
