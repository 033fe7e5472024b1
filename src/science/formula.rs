//! Chemical formulas as they stand on a label, and what a mole of them weighs.

use std::collections::BTreeMap;
use std::fmt;

/// An element's abridged standard atomic weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Element {
    pub symbol: &'static str,
    /// g/mol.
    pub weight: f64,
    /// Uncertainty as stated with the weight, g/mol: it covers the spread between natural samples. From memory.
    pub uncertainty: f64,
}

/// Every element that has a standard atomic weight, by symbol.
///
/// Source: [`prohaska_2022`](crate::science::sources), abridged to five digits. The elements of a tank's chemicals were
/// compared with the paper's table; the others are from an open library (periodictable 2.1.0), rounded to five digits,
/// their uncertainties no finer than the last digit.
#[rustfmt::skip]
pub const ELEMENTS: &[Element] = &[
    Element { symbol: "Ag", weight: 107.87, uncertainty: 0.01 },
    Element { symbol: "Al", weight: 26.982, uncertainty: 0.001 },
    Element { symbol: "Ar", weight: 39.95, uncertainty: 0.16 },
    Element { symbol: "As", weight: 74.922, uncertainty: 0.001 },
    Element { symbol: "Au", weight: 196.97, uncertainty: 0.01 },
    Element { symbol: "B", weight: 10.81, uncertainty: 0.02 },
    Element { symbol: "Ba", weight: 137.33, uncertainty: 0.01 },
    Element { symbol: "Be", weight: 9.0122, uncertainty: 0.0001 },
    Element { symbol: "Bi", weight: 208.98, uncertainty: 0.01 },
    Element { symbol: "Br", weight: 79.904, uncertainty: 0.003 },
    Element { symbol: "C", weight: 12.011, uncertainty: 0.002 },
    Element { symbol: "Ca", weight: 40.078, uncertainty: 0.004 },
    Element { symbol: "Cd", weight: 112.41, uncertainty: 0.01 },
    Element { symbol: "Ce", weight: 140.12, uncertainty: 0.01 },
    Element { symbol: "Cl", weight: 35.45, uncertainty: 0.01 },
    Element { symbol: "Co", weight: 58.933, uncertainty: 0.001 },
    Element { symbol: "Cr", weight: 51.996, uncertainty: 0.001 },
    Element { symbol: "Cs", weight: 132.91, uncertainty: 0.01 },
    Element { symbol: "Cu", weight: 63.546, uncertainty: 0.003 },
    Element { symbol: "Dy", weight: 162.50, uncertainty: 0.01 },
    Element { symbol: "Er", weight: 167.26, uncertainty: 0.01 },
    Element { symbol: "Eu", weight: 151.96, uncertainty: 0.01 },
    Element { symbol: "F", weight: 18.998, uncertainty: 0.001 },
    Element { symbol: "Fe", weight: 55.845, uncertainty: 0.002 },
    Element { symbol: "Ga", weight: 69.723, uncertainty: 0.001 },
    Element { symbol: "Gd", weight: 157.25, uncertainty: 0.03 },
    Element { symbol: "Ge", weight: 72.630, uncertainty: 0.008 },
    Element { symbol: "H", weight: 1.008, uncertainty: 0.0002 },
    Element { symbol: "He", weight: 4.0026, uncertainty: 0.0001 },
    Element { symbol: "Hf", weight: 178.49, uncertainty: 0.01 },
    Element { symbol: "Hg", weight: 200.59, uncertainty: 0.01 },
    Element { symbol: "Ho", weight: 164.93, uncertainty: 0.01 },
    Element { symbol: "I", weight: 126.90, uncertainty: 0.01 },
    Element { symbol: "In", weight: 114.82, uncertainty: 0.01 },
    Element { symbol: "Ir", weight: 192.22, uncertainty: 0.01 },
    Element { symbol: "K", weight: 39.098, uncertainty: 0.001 },
    Element { symbol: "Kr", weight: 83.798, uncertainty: 0.002 },
    Element { symbol: "La", weight: 138.91, uncertainty: 0.01 },
    Element { symbol: "Li", weight: 6.94, uncertainty: 0.06 },
    Element { symbol: "Lu", weight: 174.97, uncertainty: 0.01 },
    Element { symbol: "Mg", weight: 24.305, uncertainty: 0.002 },
    Element { symbol: "Mn", weight: 54.938, uncertainty: 0.001 },
    Element { symbol: "Mo", weight: 95.95, uncertainty: 0.01 },
    Element { symbol: "N", weight: 14.007, uncertainty: 0.001 },
    Element { symbol: "Na", weight: 22.990, uncertainty: 0.001 },
    Element { symbol: "Nb", weight: 92.906, uncertainty: 0.001 },
    Element { symbol: "Nd", weight: 144.24, uncertainty: 0.01 },
    Element { symbol: "Ne", weight: 20.180, uncertainty: 0.001 },
    Element { symbol: "Ni", weight: 58.693, uncertainty: 0.001 },
    Element { symbol: "O", weight: 15.999, uncertainty: 0.001 },
    Element { symbol: "Os", weight: 190.23, uncertainty: 0.03 },
    Element { symbol: "P", weight: 30.974, uncertainty: 0.001 },
    Element { symbol: "Pa", weight: 231.04, uncertainty: 0.01 },
    Element { symbol: "Pb", weight: 207.2, uncertainty: 1.1 },
    Element { symbol: "Pd", weight: 106.42, uncertainty: 0.01 },
    Element { symbol: "Pr", weight: 140.91, uncertainty: 0.01 },
    Element { symbol: "Pt", weight: 195.08, uncertainty: 0.01 },
    Element { symbol: "Rb", weight: 85.468, uncertainty: 0.001 },
    Element { symbol: "Re", weight: 186.21, uncertainty: 0.01 },
    Element { symbol: "Rh", weight: 102.91, uncertainty: 0.01 },
    Element { symbol: "Ru", weight: 101.07, uncertainty: 0.02 },
    Element { symbol: "S", weight: 32.06, uncertainty: 0.02 },
    Element { symbol: "Sb", weight: 121.76, uncertainty: 0.01 },
    Element { symbol: "Sc", weight: 44.956, uncertainty: 0.001 },
    Element { symbol: "Se", weight: 78.971, uncertainty: 0.008 },
    Element { symbol: "Si", weight: 28.085, uncertainty: 0.001 },
    Element { symbol: "Sm", weight: 150.36, uncertainty: 0.02 },
    Element { symbol: "Sn", weight: 118.71, uncertainty: 0.01 },
    Element { symbol: "Sr", weight: 87.62, uncertainty: 0.01 },
    Element { symbol: "Ta", weight: 180.95, uncertainty: 0.01 },
    Element { symbol: "Tb", weight: 158.93, uncertainty: 0.01 },
    Element { symbol: "Te", weight: 127.60, uncertainty: 0.03 },
    Element { symbol: "Th", weight: 232.04, uncertainty: 0.01 },
    Element { symbol: "Ti", weight: 47.867, uncertainty: 0.001 },
    Element { symbol: "Tl", weight: 204.38, uncertainty: 0.01 },
    Element { symbol: "Tm", weight: 168.93, uncertainty: 0.01 },
    Element { symbol: "U", weight: 238.03, uncertainty: 0.01 },
    Element { symbol: "V", weight: 50.942, uncertainty: 0.001 },
    Element { symbol: "W", weight: 183.84, uncertainty: 0.01 },
    Element { symbol: "Xe", weight: 131.29, uncertainty: 0.01 },
    Element { symbol: "Y", weight: 88.906, uncertainty: 0.001 },
    Element { symbol: "Yb", weight: 173.05, uncertainty: 0.02 },
    Element { symbol: "Zn", weight: 65.38, uncertainty: 0.02 },
    Element { symbol: "Zr", weight: 91.224, uncertainty: 0.002 },
];

/// The four-fold negative ion of ethylenediaminetetraacetic acid, which labels write as a group.
const EDTA: &[(&str, u64)] = &[("C", 10), ("H", 12), ("N", 2), ("O", 8)];

/// Why a text is no formula.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotAFormula {
    /// Nothing is written, or nothing after a dot or inside parentheses.
    Empty,
    /// A symbol that is no element in [`ELEMENTS`].
    UnknownElement(String),
    /// A character that has no place in a formula.
    Unexpected(char),
    /// A parenthesis without its partner.
    Unbalanced,
    /// A count of zero, or too large to be meant.
    Count(String),
}

impl fmt::Display for NotAFormula {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NotAFormula::Empty => f.write_str("a formula, or a part of it, is empty"),
            NotAFormula::UnknownElement(symbol) => write!(f, "no element `{symbol}` is known here"),
            NotAFormula::Unexpected(character) => {
                write!(f, "`{character}` has no place in a formula")
            }
            NotAFormula::Unbalanced => f.write_str("a parenthesis has no partner"),
            NotAFormula::Count(count) => write!(f, "`{count}` is no count of atoms"),
        }
    }
}

impl std::error::Error for NotAFormula {}

/// How many atoms of each element a formula holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Composition(BTreeMap<&'static str, u64>);

impl Composition {
    /// Reads a formula: `KNO3`, `Fe(C6H11O7)2`, `MgCl2.6H2O`, `NaFeEDTA·3H₂O`.
    ///
    /// Symbols are case-sensitive (`Co` is cobalt, `CO` carbon and oxygen); a hydrate is set off by `.`, `·` or `*`.
    ///
    /// ```
    /// # use polypary::science::formula::{Composition, NotAFormula};
    /// let epsom = Composition::of("MgSO4.7H2O")?;
    /// assert_eq!((epsom.count("O"), epsom.count("H"), epsom.count("Na")), (11, 14, 0));
    /// assert_eq!(Composition::of("KNo3"), Err(NotAFormula::UnknownElement("No".into())));
    /// # Ok::<(), NotAFormula>(())
    /// ```
    pub fn of(formula: &str) -> Result<Composition, NotAFormula> {
        let characters: Vec<char> = formula.trim().chars().map(plain_digit).collect();
        let mut total = Composition::default();
        for part in characters.split(|c| ['.', '·', '*', '•'].contains(c)) {
            let mut reader = Reader { characters: part, at: 0 };
            let times = reader.count()?;
            let atoms = reader.groups()?;
            if reader.at < part.len() {
                // `groups` stops early only at a closing parenthesis.
                return Err(NotAFormula::Unbalanced);
            }
            total.add(&atoms, times)?;
        }
        Ok(total)
    }

    /// Atoms of an element, by symbol.
    pub fn count(&self, symbol: &str) -> u64 {
        self.0.get(symbol).copied().unwrap_or(0)
    }

    /// The elements and their counts, by symbol.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, u64)> {
        self.0.iter().map(|(symbol, count)| (*symbol, *count))
    }

    /// Mass of a mole, g/mol.
    pub fn molar_mass_g_per_mol(&self) -> f64 {
        self.iter().map(|(symbol, count)| weight_of(symbol) * count as f64).sum()
    }

    pub(super) fn add(&mut self, other: &Composition, times: u64) -> Result<(), NotAFormula> {
        for (symbol, count) in other.iter() {
            let sum = count.checked_mul(times).and_then(|atoms| atoms.checked_add(self.count(symbol)));
            // A million atoms is beyond any salt; it also keeps nested counts from overflowing.
            let sum = sum.filter(|sum| *sum <= 1_000_000);
            self.0.insert(symbol, sum.ok_or_else(|| NotAFormula::Count(times.to_string()))?);
        }
        Ok(())
    }
}

/// Mass of a mole of a compound, g/mol.
///
/// M = Σ nᵢ Aᵢ
///
/// Source: [`prohaska_2022`](crate::science::sources), abridged standard atomic weights.
///
/// ```
/// # use polypary::science::formula::{molar_mass_g_per_mol, NotAFormula};
/// // By hand: 39.098 + 14.007 + 3 × 15.999; and 55.845 + 12 × 12.011 + 26 × 1.008 + 16 × 15.999.
/// assert!((molar_mass_g_per_mol("KNO3")? - 101.102).abs() < 1e-9);
/// assert!((molar_mass_g_per_mol("Fe(C6H11O7)2.2H2O")? - 482.169).abs() < 1e-9);
/// # Ok::<(), NotAFormula>(())
/// ```
pub fn molar_mass_g_per_mol(formula: &str) -> Result<f64, NotAFormula> {
    Ok(Composition::of(formula)?.molar_mass_g_per_mol())
}

fn weight_of(symbol: &str) -> f64 {
    ELEMENTS
        .iter()
        .find(|element| element.symbol == symbol)
        .map(|element| element.weight)
        .expect("a composition holds known elements only")
}

/// `₂` as `2`, and one kind of bracket for all.
fn plain_digit(character: char) -> char {
    match character {
        '[' => '(',
        ']' => ')',
        '₀'..='₉' => char::from(b'0' + (character as u32 - '₀' as u32) as u8),
        other => other,
    }
}

struct Reader<'a> {
    characters: &'a [char],
    at: usize,
}

impl Reader<'_> {
    fn peek(&self) -> Option<char> {
        self.characters.get(self.at).copied()
    }

    /// Groups up to the end or a closing parenthesis.
    fn groups(&mut self) -> Result<Composition, NotAFormula> {
        let mut atoms = Composition::default();
        while let Some(next) = self.peek() {
            let group = match next {
                ')' => break,
                '(' => {
                    self.at += 1;
                    let inner = self.groups()?;
                    if self.peek() != Some(')') {
                        return Err(NotAFormula::Unbalanced);
                    }
                    self.at += 1;
                    inner
                }
                'A'..='Z' => self.element_or_edta()?,
                other => return Err(NotAFormula::Unexpected(other)),
            };
            let times = self.count()?;
            atoms.add(&group, times)?;
        }
        if atoms.0.is_empty() { Err(NotAFormula::Empty) } else { Ok(atoms) }
    }

    fn element_or_edta(&mut self) -> Result<Composition, NotAFormula> {
        if self.characters[self.at..].starts_with(&['E', 'D', 'T', 'A']) {
            self.at += 4;
            return Ok(Composition(EDTA.iter().copied().collect()));
        }
        let mut symbol = String::new();
        symbol.extend(self.peek());
        self.at += 1;
        while let Some(next) = self.peek().filter(char::is_ascii_lowercase) {
            symbol.push(next);
            self.at += 1;
        }
        match ELEMENTS.iter().find(|element| element.symbol == symbol) {
            Some(element) => Ok(Composition(BTreeMap::from([(element.symbol, 1)]))),
            None => Err(NotAFormula::UnknownElement(symbol)),
        }
    }

    /// A count, or 1 where none is written.
    fn count(&mut self) -> Result<u64, NotAFormula> {
        let start = self.at;
        while self.peek().is_some_and(|next| next.is_ascii_digit()) {
            self.at += 1;
        }
        if self.at == start {
            return Ok(1);
        }
        let digits: String = self.characters[start..self.at].iter().collect();
        match digits.parse() {
            Ok(count) if count > 0 => Ok(count),
            _ => Err(NotAFormula::Count(digits)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn elements_are_sorted_and_stand_once() {
        for pair in ELEMENTS.windows(2) {
            assert!(pair[0].symbol < pair[1].symbol, "{}", pair[1].symbol);
        }
    }

    #[test]
    fn ways_to_write_a_formula() {
        for (formula, same) in [
            ("MgCl₂·6H₂O", "MgCl2.6H2O"),
            (" NaHCO3 ", "NaHCO3"),
            ("Ca(OH)2", "CaO2H2"),
            ("Na3PO4*12H2O", "Na3PO16H24"),
            ("((CH3)2)3", "C6H18"),
            ("NaFeEDTA.3H2O", "NaFeC10H18N2O11"),
            ("2H2O", "H4O2"),
            ("[Co(NH3)6]Cl3", "CoN6H18Cl3"),
        ] {
            assert_eq!(Composition::of(formula), Composition::of(same), "{formula}");
            assert!(Composition::of(formula).is_ok(), "{formula}");
        }
    }

    #[test]
    fn texts_that_are_no_formula() {
        for (text, why) in [
            ("", NotAFormula::Empty),
            ("KNO3.", NotAFormula::Empty),
            ("Ca()2", NotAFormula::Empty),
            ("nacl", NotAFormula::Unexpected('n')),
            ("K NO3", NotAFormula::Unexpected(' ')),
            ("Xx2", NotAFormula::UnknownElement("Xx".into())),
            ("Ca(OH2", NotAFormula::Unbalanced),
            ("CaOH)2", NotAFormula::Unbalanced),
            ("H0", NotAFormula::Count("0".into())),
            ("H99999999999999999999", NotAFormula::Count("99999999999999999999".into())),
            ("(H999999)999999", NotAFormula::Count("999999".into())),
        ] {
            assert_eq!(Composition::of(text), Err(why), "{text:?}");
        }
    }
}
