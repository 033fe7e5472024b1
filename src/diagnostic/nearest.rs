//! The known word that a mistyped one was most likely meant to be.

/// The nearest of the known words, if any is near enough to be meant. Capitals, spaces and underscores do not count.
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let plain = |word: &str| word.to_lowercase().replace([' ', '_', '\u{a0}'], "-");
    let typed = plain(typed);
    let limit = (typed.chars().count() / 3).max(1);
    known
        .into_iter()
        .filter_map(|word| {
            let candidate = plain(word);
            let distance = distance(&typed, &candidate);
            // One word that begins with the other is meant as often as a slip of the finger.
            let begins = typed.len().min(candidate.len()) >= 3
                && (candidate.starts_with(&typed) || typed.starts_with(&candidate));
            (distance <= limit || begins).then_some((distance, word))
        })
        .min_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.cmp(b.1)))
        .map(|(_, word)| word.to_string())
}

/// Insertions, deletions, substitutions and swaps of neighbours (optimal string alignment).
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows: Vec<Vec<usize>> = vec![(0..=b.len()).collect()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let cost = usize::from(a[i - 1] != b[j - 1]);
            let mut best = (rows[i - 1][j] + 1).min(row[j - 1] + 1).min(rows[i - 1][j - 1] + cost);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            row.push(best);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_finger() {
        let known = ["temperature", "top-off", "nitrate", "nitrite"];
        assert_eq!(nearest("temprature", known), Some("temperature".into()));
        assert_eq!(nearest("Top off", known), Some("top-off".into()));
        assert_eq!(nearest("nitrat", known), Some("nitrate".into()));
        assert_eq!(nearest("xyzzy", known), None);
        assert_eq!(nearest("lamp", ["l", "", "heater"]), None);
    }

    #[test]
    fn distances() {
        assert_eq!(distance("ca", "ac"), 1);
        assert_eq!(distance("kitten", "sitting"), 3);
        assert_eq!(distance("", "abc"), 3);
    }
}
