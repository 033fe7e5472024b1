//! What a person may write for a quantity, as regular expressions: for editors, which check while one types.
//!
//! They are of the part of ECMA-262 that JSON Schema recommends, for a search in the whole text, and hold the usual
//! spellings: every name and sign of every unit, in small or capital letters. [`parse`](super::parse()) reads a few rarer
//! ones too (`µmol m-2 s-1`, `mg NO3/L`). The unit of an uncertainty is not looked at.

use std::collections::BTreeSet;

use super::Dimension;
use super::catalogue::{BEFORE_SPECIES, UNITS, Unit};
use super::species::Species;

/// A number with a decimal point.
pub const NUMBER: &str = r"(\d+(\.\d+)?|\.\d+)([eE][-+]?\d+)?";

const CURRENCY: &str = r"([A-Z]{3}|US\$|[$€£¥₹]|kr|zł|Kč|Ft)";

/// The units of these dimensions; empty for a count.
pub fn unit(wanted: &[Dimension]) -> String {
    let mut spellings = BTreeSet::new();
    for unit in UNITS.iter().filter(|unit| wanted.contains(&unit.dimension)) {
        spellings.extend(unit.names.iter().chain([&unit.symbol]).map(|name| spelled(name, unit)));
    }
    for dimension in wanted {
        match dimension {
            Dimension::Tariff => drop(spellings.insert(format!(r"{CURRENCY}\s*(/|per)\s*[kK][wW][hH]"))),
            Dimension::Concentration => spellings.extend(of_species()),
            _ => {}
        }
    }
    spellings.remove("");
    spellings.into_iter().collect::<Vec<_>>().join("|")
}

/// One quantity with its unit (`usual`: or without), with an uncertainty behind `±` or without.
pub fn quantity(wanted: &[Dimension], usual: bool) -> String {
    format!(r"^\s*{}\s*$", bare(wanted, usual))
}

/// The same, where `below 2`, `< 2`, `above 50` and `> 50` may stand for the end of a scale.
pub fn bounded(wanted: &[Dimension], usual: bool) -> String {
    let bounds = r"([<>]=?\s*|≤\s*|≥\s*|([bB]elow|[uU]nder|[lL]ess than|[aA]bove|[oO]ver|[mM]ore than)\s+)?";
    format!(r"^\s*{bounds}{}\s*$", bare(wanted, usual))
}

/// From a lower to an upper end, of which one carries the unit or both.
pub fn range(wanted: &[Dimension], usual: bool) -> String {
    let units = unit(wanted);
    let number = format!("{}{}{NUMBER}", before(wanted), sign(wanted));
    // What stands behind the lower end is not looked at twice: a unit is long.
    let to = r"(\s*[^\d\s–—-].*)?\s*(\s[tT][oO]\s|[-–—])\s*";
    if units.is_empty() {
        return format!(r"^\s*{number}\s*([tT][oO]\s|[-–—])\s*{number}\s*$");
    }
    if usual || wanted.contains(&Dimension::Acidity) {
        return format!(r"^\s*{number}{to}{number}(\s*({units}))?\s*$");
    }
    format!(r"^\s*({number}{to}{number}\s*({units})|{number}\s*({units})\s+[tT][oO]\s+{number})\s*$")
}

/// So many lengths, as `60 x 40 x 40 cm`.
pub fn lengths(count: usize) -> String {
    let units = unit(&[Dimension::Length]);
    let one = format!(r"{NUMBER}\s*({units})?");
    let rest = format!(r"\s*([x×X·]|by)\s*{one}").repeat(count - 2);
    format!(r"^\s*{one}{rest}\s*([x×X·]|by)\s*{NUMBER}\s*({units})\s*$")
}

/// `6 h 30 min`, `3 days`.
pub fn duration() -> String {
    let units = unit(&[Dimension::Duration]);
    let one = format!(r"{NUMBER}\s*({units})");
    format!(r"^\s*{one}(,?\s*(and\s)?\s*{one})*\s*$")
}

/// [`quantity`] without its anchors, to stand within a longer text. The unit of an uncertainty is not looked at: every
/// unit stands here once, or patterns would fill the page.
pub fn bare(wanted: &[Dimension], usual: bool) -> String {
    let units = unit(wanted);
    let number = format!("{}{NUMBER}", sign(wanted));
    let half_width = format!(r"\s*(±|\+/-|\+-)\s*{NUMBER}");
    if units.is_empty() {
        return format!("{number}({half_width})?");
    }
    let may = if usual { "?" } else { "" };
    let mut forms = vec![format!(r"{number}({half_width})?(\s*({units})){may}({half_width}(\s*[^\d\s,+][^,+]*)?)?")];
    for dimension in wanted {
        match dimension {
            Dimension::Acidity => forms.push(format!(r"[pP][hH]\s*{NUMBER}({half_width})?")),
            Dimension::SpecificGravity => forms.push(format!(r"[sS][gG]\s*{NUMBER}")),
            Dimension::Tariff => forms.push(format!(r"{CURRENCY}\s*{NUMBER}\s*(/|per)\s*[kK][wW][hH]")),
            _ => {}
        }
    }
    format!("({})", forms.join("|"))
}

/// Only a temperature can be below nought.
fn sign(wanted: &[Dimension]) -> &'static str {
    if wanted.contains(&Dimension::Temperature) { "[-+−]?" } else { "" }
}

/// What may stand before a number instead of behind it.
fn before(wanted: &[Dimension]) -> &'static str {
    if wanted.contains(&Dimension::Acidity) { r"([pP][hH]\s*)?" } else { "" }
}

/// A name as it may be typed.
fn spelled(name: &str, unit: &Unit) -> String {
    // As in the look-up: a small letter that could make mega of milli is kept.
    let milli = name.starts_with('m')
        && matches!(
            unit.dimension,
            Dimension::Power | Dimension::Voltage | Dimension::Current | Dimension::Mass | Dimension::Length
        );
    let is_word = name.chars().filter(|sign| sign.is_alphabetic()).count() > 4;
    let mut pattern = String::new();
    for (at, sign) in name.chars().enumerate() {
        match sign {
            'm' if milli && at == 0 => pattern.push('m'),
            letter if letter.is_ascii_alphabetic() && (at == 0 || !is_word) => pattern.push_str(&either_case(letter)),
            'µ' => pattern.push_str("[µμu]"),
            '2' | '²' => pattern.push_str(r"\^?[2²]"),
            '3' | '³' => pattern.push_str(r"\^?[3³]"),
            '₃' => pattern.push_str("[3₃]"),
            '/' => pattern.push_str(r"\s*(/|per)\s*"),
            ' ' if name.ends_with("CaCO₃") => pattern.push_str(r"\s+(as\s+)?"),
            ' ' => pattern.push_str(r"\s+"),
            '°' => pattern.push_str(r"[°º˚]\s*"),
            '.' => pattern.push_str(r"\."),
            other => pattern.push(other),
        }
    }
    pattern
}

fn either_case(letter: char) -> String {
    let (small, capital) = (letter.to_ascii_lowercase(), letter.to_ascii_uppercase());
    format!("[{small}{capital}]")
}

/// `mg/L NO3`, `mg/L as NO3`, `NO3 mg/L`.
fn of_species() -> Vec<String> {
    let names = Species::ALL.iter().filter(|species| **species != Species::CalciumCarbonate);
    let names: BTreeSet<String> = names
        .flat_map(|species| species.names())
        .map(|name| {
            let is_word = name.len() > 5;
            name.chars()
                .enumerate()
                .map(|(at, sign)| match sign {
                    letter if letter.is_ascii_alphabetic() && (at == 0 || !is_word) => either_case(letter),
                    digit @ '2'..='4' => {
                        format!("[{digit}{}]", char::from_u32('₀' as u32 + digit as u32 - 48).unwrap_or(digit))
                    }
                    '-' => r"[-\s]".to_string(),
                    other => other.to_string(),
                })
                .collect()
        })
        .collect();
    let species = names.into_iter().collect::<Vec<_>>().join("|");
    let bases = BEFORE_SPECIES.iter().flat_map(|(_, names)| names.iter());
    let bases: BTreeSet<String> = bases
        .map(|name| {
            name.chars()
                .map(|sign| match sign {
                    letter if letter.is_ascii_alphabetic() && !matches!(letter, 'm' | 'M') && name.len() < 7 => {
                        either_case(letter)
                    }
                    'µ' => "[µμu]".to_string(),
                    '/' => r"\s*(/|per)\s*".to_string(),
                    other => other.to_string(),
                })
                .collect()
        })
        .collect();
    let base = bases.into_iter().collect::<Vec<_>>().join("|");
    vec![format!(r"({base})\s+(as\s+)?({species})"), format!(r"({species})\s+({base})")]
}

#[cfg(test)]
mod tests {
    use super::super::{parse, parse_bounded, parse_duration, parse_lengths, parse_range};
    use super::*;
    use regex_lite::Regex;

    fn matches(pattern: &str, text: &str) -> bool {
        Regex::new(pattern).unwrap().is_match(text)
    }

    /// Every unit of the catalogue under each of its names: the pattern of its dimension takes it, and never a bare number.
    #[test]
    fn every_unit_is_taken_by_the_pattern_of_its_dimension() {
        let mut tried = 0;
        let dimensions: BTreeSet<Dimension> = UNITS.iter().map(|unit| unit.dimension).collect();
        for dimension in dimensions {
            let pattern = Regex::new(&quantity(&[dimension], false)).unwrap();
            for unit in UNITS.iter().filter(|unit| unit.dimension == dimension) {
                for name in unit.names.iter().chain([&unit.symbol]) {
                    let text = format!("2.5 {name}");
                    assert!(pattern.is_match(&text), "{dimension:?}: {text}");
                    assert!(parse(&text, &[dimension], None).is_ok(), "{dimension:?}: {text}");
                    tried += 1;
                }
            }
            assert!(!pattern.is_match("2.5"), "{dimension:?} needs its unit");
        }
        assert!(tried > 200, "{tried}");
    }

    /// What matches is read, and what is not read does not match.
    #[test]
    fn patterns_and_readers_agree() {
        use Dimension::*;
        let texts = [
            "75 L",
            "75L",
            "75",
            "75 l",
            "75,5 L",
            "20 gal",
            "3.5 mL",
            "3.5 ML",
            "25.5 °C",
            "25.5 C",
            "-2 °C",
            "−2 °C",
            "78 °F",
            "8.1 dKH",
            "8.1 ± 0.2 dKH",
            "8.1 dKH ± 0.2 dKH",
            "8.1 dKH ± 3 %",
            "5 mg/L",
            "5 mg/L NO3",
            "5 mg/L as NO₃",
            "NO3 5 mg/L",
            "5 mg/L NO3-N",
            "5 µg/L PO4",
            "5 ug/L PO4",
            "5 ppm",
            "1.0255 SG",
            "SG 1.0255",
            "pH 8.1",
            "8.1 pH",
            "8.1",
            "60 µmol/m²/s",
            "60 umol/m2/s",
            "60 PAR",
            "0.24 EUR/kWh",
            "€ 0.24/kWh",
            "0.24 EUR per kWh",
            "30 %",
            "30",
            "230 V",
            "5 W",
            "5 mW",
            "5 MW",
            "53 mS/cm",
            "1e-2 L",
            ".5 L",
            "five litres",
            "1 000 L",
            "143 mg/L CaCO3",
            "143 ppm as CaCO3",
            "5 cm²",
            "5 cm2",
            "12 inches",
            "",
            " ",
            "L",
            "75 LL",
        ];
        let all = [
            Volume,
            Temperature,
            Alkalinity,
            Concentration,
            SpecificGravity,
            Acidity,
            PhotonFlux,
            Tariff,
            Fraction,
            Voltage,
            Power,
            Conductivity,
            Area,
            Length,
            Count,
        ];
        let mut agreed = 0;
        for dimension in all {
            for text in texts {
                let read = parse(text, &[dimension], None).is_ok();
                let taken = matches(&quantity(&[dimension], false), text);
                assert!(read || !taken, "{dimension:?}: `{text}` matches and is not read");
                // The one spelling of these texts that is read and left to the reader: the species before the number.
                assert!(taken || !read || text == "NO3 5 mg/L", "{dimension:?}: `{text}` is read and does not match");
                agreed += usize::from(read && taken);
            }
        }
        assert!(agreed >= 40, "{agreed}");
    }

    #[test]
    fn ranges_bounds_lengths_and_durations() {
        use Dimension::*;
        let ranges = [
            ("18 to 27 °C", Temperature),
            ("18 °C to 27 °C", Temperature),
            ("18-27 °C", Temperature),
            ("18–27 °C", Temperature),
            ("18 to 27", Temperature),
            ("-2 to 3 °C", Temperature),
            ("18 °C", Temperature),
            ("10 to 20", Count),
            ("2 to 15 mg/L NO3", Concentration),
            ("60 to 180 µmol/m²/s", PhotonFlux),
            ("42 to 66 %", Fraction),
            ("18 bis 27 °C", Temperature),
        ];
        for (text, dimension) in ranges {
            let read = parse_range(text, &[dimension], None).is_ok();
            assert_eq!(matches(&range(&[dimension], false), text), read, "{text}");
        }
        for text in ["2 to 15", "2–15"] {
            assert!(matches(&range(&[Concentration], true), text), "{text}");
        }
        for text in [
            "below 2 mg/L NO3",
            "< 2 mg/L NO3",
            ">50 mg/L NO3",
            "<= 2 mg/L NO3",
            "above 50 mg/L NO3",
            "below",
            "about 2 mg/L NO3",
        ] {
            let read = parse_bounded(text, &[Concentration], None).is_ok();
            assert_eq!(matches(&bounded(&[Concentration], false), text), read, "{text}");
        }
        assert!(matches(&bounded(&[Concentration], true), "below 2"));
        for text in
            ["60 x 40 x 40 cm", "60x40x40cm", "24 in x 16 in x 16 in", "60 × 40 × 40 cm", "60 x 40 x 40", "60 x 40 cm"]
        {
            let read = parse_lengths(text).is_ok_and(|lengths| lengths.len() == 3);
            assert_eq!(matches(&lengths(3), text), read, "{text}");
        }
        assert!(matches(&lengths(2), "95 x 48 cm"));
        for text in ["6 h 30 min", "14 days", "3 years", "2 weeks and 1 day", "90 s", "1 day, 2 h", "3", "days", "3 L"]
        {
            assert_eq!(matches(&duration(), text), parse_duration(text).is_ok(), "{text}");
        }
    }
}
