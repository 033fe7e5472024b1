//! From the letters after a number to the unit they mean.

use std::sync::LazyLock;

use super::Dimension;
use super::catalogue::{BEFORE_SPECIES, OF_SPECIES, UNITS, Unit};
use super::species::Species;

/// Every unit the text may mean, the likeliest first; empty when it means none. `C` is both a temperature and a
/// difference of temperatures, so the caller chooses by the dimension that is wanted.
pub(super) fn candidates(text: &str) -> Vec<&'static Unit> {
    let folded = fold(text);
    let named = named(&folded);
    if !named.is_empty() {
        return named;
    }
    of_species(&folded).into_iter().collect()
}

/// The unit of that name, the likeliest when there are two.
pub fn unit_named(text: &str) -> Option<&'static Unit> {
    candidates(text).into_iter().next()
}

/// Spellings that differ only in typography made one: µ and μ, ² and ^2 and 2, `per` and `/`, `s-1` and `/s`, `·`,
/// no-break spaces, every dash and every degree sign.
pub(super) fn fold(text: &str) -> String {
    let plain = plain_signs(text).replace('^', "");
    let words: Vec<&str> = plain.split_whitespace().collect();
    let mut folded = words.join(" ").replace(" per ", "/");
    for spaced in [" /", "/ "] {
        folded = folded.replace(spaced, "/");
    }
    for spaced in [" ·", "· "] {
        folded = folded.replace(spaced, "·");
    }
    folded = without_negative_powers(&folded);
    folded = without_brackets(&folded);
    // After a division, a product sign goes on dividing (`µmol/m²·s`); before it, it joins (`kW·h`).
    let mut divided = false;
    let mut joined = String::with_capacity(folded.len());
    for sign in folded.chars() {
        divided = (divided || sign == '/') && sign != ' ';
        match sign {
            '·' if divided => joined.push('/'),
            '·' => {}
            other => joined.push(other),
        }
    }
    let whole = joined.trim();
    whole.strip_suffix('.').unwrap_or(whole).to_string()
}

/// Typographic variants of single characters.
pub(super) fn plain_signs(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for sign in text.trim().chars() {
        match sign {
            // Greek small mu, for the micro sign.
            '\u{3bc}' => plain.push('µ'),
            '⁰'..='⁹' => plain.push(char::from(b'0' + (sign as u32 - '⁰' as u32) as u8)),
            '¹' => plain.push('1'),
            '²' => plain.push('2'),
            '³' => plain.push('3'),
            '₀'..='₉' => plain.push(char::from(b'0' + (sign as u32 - '₀' as u32) as u8)),
            '−' | '–' | '—' | '‐' | '‑' | '⁻' => plain.push('-'),
            '⁺' => plain.push('+'),
            '⋅' | '∙' | '•' | '*' => plain.push('·'),
            '″' | '“' | '”' => plain.push('"'),
            '′' | '‘' | '’' => plain.push('\''),
            'º' | '˚' => plain.push('°'),
            '℃' => plain.push_str("°C"),
            '℉' => plain.push_str("°F"),
            'ℓ' => plain.push('L'),
            '≤' => plain.push_str("<="),
            '≥' => plain.push_str(">="),
            // No-break, narrow no-break, thin and other spaces.
            other if other.is_whitespace() => plain.push(' '),
            other => plain.push(other),
        }
    }
    plain
}

/// `µmol m-2 s-1` to `µmol/m2/s`.
fn without_negative_powers(text: &str) -> String {
    let mut result = String::new();
    let mut rest = text;
    while !rest.is_empty() {
        let end = rest.find([' ', '·']).unwrap_or(rest.len());
        let (token, after) = rest.split_at(end);
        let divisor = token.split_once('-').filter(|(unit, power)| {
            !unit.is_empty() && unit.chars().all(char::is_alphabetic) && matches!(*power, "1" | "2" | "3")
        });
        match divisor {
            Some((unit, power)) if !result.is_empty() => {
                while result.ends_with([' ', '·']) {
                    result.pop();
                }
                result.push('/');
                result.push_str(unit);
                if power != "1" {
                    result.push_str(power);
                }
            }
            _ => result.push_str(token),
        }
        let separator = after.chars().next().map_or(0, char::len_utf8);
        result.push_str(&after[..separator]);
        rest = &after[separator..];
    }
    result
}

/// `µmol/(m2·s)` to `µmol/m2/s`.
fn without_brackets(text: &str) -> String {
    let Some((before, after)) = text.split_once("/(") else {
        return text.to_string();
    };
    let Some((inside, rest)) = after.split_once(')') else {
        return text.to_string();
    };
    format!("{before}/{}{rest}", inside.replace([' ', '·'], "/"))
}

/// A name folded, the same in lower case, and its unit.
type Name = (String, String, &'static Unit);

/// All names, in the order of the catalogue.
static NAMES: LazyLock<Vec<Name>> = LazyLock::new(|| {
    let names = UNITS.iter().flat_map(|unit| unit.names.iter().map(move |name| (fold(name), unit)));
    names.map(|(name, unit)| (name.clone(), name.to_lowercase(), unit)).collect()
});

fn named(folded: &str) -> Vec<&'static Unit> {
    let exactly = |wanted: &str| -> Vec<&'static Unit> {
        NAMES.iter().filter(|(name, _, _)| name == wanted).map(|(_, _, unit)| *unit).collect()
    };
    let found = exactly(folded);
    if !found.is_empty() {
        return found;
    }
    let micro = folded.strip_prefix(['u', 'U']).map(|rest| format!("µ{rest}"));
    let found = micro.as_deref().map(exactly).unwrap_or_default();
    if !found.is_empty() {
        return found;
    }
    // Capitals are let pass where they cannot turn milli into mega.
    let lower = folded.to_lowercase();
    let micro = micro.map(|text| text.to_lowercase());
    let mut found: Vec<&'static Unit> = Vec::new();
    for (name, small, unit) in NAMES.iter() {
        let mega = folded.starts_with('M')
            && name.starts_with('m')
            && matches!(
                unit.dimension,
                Dimension::Power | Dimension::Voltage | Dimension::Current | Dimension::Mass | Dimension::Length
            );
        let same = *small == lower || micro.as_deref() == Some(small.as_str());
        if same && !mega && !found.iter().any(|known| std::ptr::eq(*known, *unit)) {
            found.push(unit);
        }
    }
    found
}

/// A concentration with what it is of: `mg/L NO3`, `NO3 mg/L`, `mg NO3/L`, `mg/L as NO3`.
fn of_species(folded: &str) -> Option<&'static Unit> {
    let (base, species) = split_species(folded)?;
    let symbol = format!("{base} {}", species.symbol());
    OF_SPECIES.iter().chain(UNITS).find(|unit| unit.symbol == symbol)
}

fn split_species(folded: &str) -> Option<(&'static str, Species)> {
    let spaces = folded.match_indices(' ').map(|(at, _)| at);
    for at in spaces {
        let (left, right) = (&folded[..at], &folded[at + 1..]);
        let of = right.strip_prefix("as ").unwrap_or(right);
        if let (Some(base), Some(species)) = (before_species(left), Species::named(of)) {
            return Some((base, species));
        }
        if let (Some(species), Some(base)) = (Species::named(left), before_species(right)) {
            return Some((base, species));
        }
    }
    let (above, below) = folded.split_once('/')?;
    let (mass, of) = above.split_once(' ')?;
    Some((before_species(&format!("{mass}/{below}"))?, Species::named(of)?))
}

fn before_species(text: &str) -> Option<&'static str> {
    let matching = |same: &dyn Fn(&str) -> bool| {
        BEFORE_SPECIES.iter().find(|(_, names)| names.iter().any(|name| same(name))).map(|(base, _)| *base)
    };
    matching(&|name| name == text).or_else(|| matching(&|name| name.to_lowercase() == text.to_lowercase()))
}

/// The unit a mistyped one comes closest to, those of the wanted dimensions first.
pub(super) fn nearest(text: &str, wanted: &[Dimension]) -> Option<String> {
    let folded = fold(text);
    if let Some(base) = before_species(&folded) {
        // Moles without a species cannot be turned into a mass.
        return Some(format!("{base} NO3"));
    }
    if let Some((base, species)) = folded.split_once(' ')
        && let Some(base) = before_species(base)
    {
        let lower = species.to_lowercase();
        let closest = Species::ALL
            .into_iter()
            .flat_map(|species| species.names().iter().map(move |name| (species, *name)))
            .find(|(_, name)| name.len() > 2 && edits(&lower, name) == 1);
        return closest.map(|(species, _)| format!("{base} {}", species.symbol()));
    }
    let lower = folded.to_lowercase();
    let length = lower.chars().count();
    let closest = NAMES
        .iter()
        .filter(|(_, name, _)| name.chars().count().abs_diff(length) <= 2)
        .map(|(_, name, unit)| {
            let far = edits(&lower, name);
            (far, !wanted.contains(&unit.dimension), unit.symbol)
        })
        // No distance at all is `MW` for milliwatts, which would be the worst advice.
        .filter(|(far, _, _)| (1..=2).contains(far) && far * 2 <= length)
        .min_by_key(|(far, unwanted, _)| (*unwanted, *far));
    closest.map(|(_, _, symbol)| symbol.to_string())
}

/// Letters to insert, delete or replace (Levenshtein's distance).
fn edits(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (i, letter) in from.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for j in 0..to.len() {
            let replaced = diagonal + usize::from(letter != to[j]);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[to.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_fold_into_one() {
        let table = [
            ("μmol·m⁻²·s⁻¹", "µmol/m2/s"),
            ("µmol m-2 s-1", "µmol/m2/s"),
            ("µmol/(m² s)", "µmol/m2/s"),
            ("µmol/m^2/s", "µmol/m2/s"),
            ("µmol / m² · s", "µmol/m2/s"),
            ("µmol per m² per s", "µmol/m2/s"),
            ("kW·h", "kWh"),
            ("mg L-1 NO3-N", "mg/L NO3-N"),
            ("\u{202f}℃", "°C"),
            ("gal.", "gal"),
        ];
        for (text, expected) in table {
            assert_eq!(fold(text), expected, "{text}");
        }
    }

    #[test]
    fn every_name_finds_its_unit() {
        for unit in UNITS {
            for name in unit.names {
                assert!(candidates(name).iter().any(|found| std::ptr::eq(*found, unit)), "{name}");
            }
            let by_symbol = candidates(unit.symbol);
            assert!(by_symbol.iter().any(|found| std::ptr::eq(*found, unit)), "{}", unit.symbol);
        }
        for unit in OF_SPECIES {
            assert_eq!(unit_named(unit.symbol), Some(unit), "{}", unit.symbol);
        }
    }

    #[test]
    fn a_name_means_two_units_only_where_it_must() {
        for (name, _, unit) in NAMES.iter() {
            let dimensions: Vec<Dimension> = candidates(name).iter().map(|found| found.dimension).collect();
            let both = [Dimension::Temperature, Dimension::TemperatureDifference];
            assert!(dimensions == [unit.dimension] || dimensions == both, "{name}: {dimensions:?}");
        }
    }

    #[test]
    fn capitals_pass_where_they_are_harmless() {
        assert_eq!(unit_named("DKH").map(|unit| unit.symbol), Some("dKH"));
        assert_eq!(unit_named("MG/L").map(|unit| unit.symbol), Some("mg/L"));
        assert_eq!(unit_named("UMOL/M2/S").map(|unit| unit.symbol), Some("µmol/m²/s"));
        assert_eq!(unit_named("GPH").map(|unit| unit.symbol), Some("gph"));
        for mega in ["MW", "MV", "Mg", "M"] {
            assert_eq!(unit_named(mega), None, "{mega}");
        }
    }

    #[test]
    fn the_nearest_unit_is_of_the_wanted_kind() {
        assert_eq!(nearest("dKG", &[Dimension::Alkalinity]), Some("dKH".to_string()));
        assert_eq!(nearest("galons", &[Dimension::Volume]), Some("gal".to_string()));
        assert_eq!(nearest("mg/L NO4", &[Dimension::Concentration]), Some("mg/L NO₃".to_string()));
        assert_eq!(nearest("mg/L N", &[Dimension::Concentration]), None);
        assert_eq!(nearest("xyzzy", &[Dimension::Volume]), None);
    }

    #[test]
    fn edits_are_counted() {
        // Wagner & Fischer 1974, J. ACM 21, 168 define the distance; the pair is the usual textbook one (from memory).
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("cm", "cm"), 0);
    }
}
