//! Words in a drawing: how wide they run, where they break, how a number is written.

/// Advance widths of Helvetica in thousandths of the type size, from the space to the tilde. Source: the font metrics
/// Adobe published for the fourteen standard PostScript fonts, Helvetica.afm; fonts that replace it share them.
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
];

/// How far a text runs, in units of the drawing. The reader's own sans may run wider than Helvetica, so this errs
/// on the wide side.
pub(super) fn text_width(text: &str, size: f64, bold: bool) -> f64 {
    let thousandths: f64 = text.chars().map(char_width).sum();
    thousandths / 1000.0 * size * if bold { 1.1 } else { 1.03 }
}

fn char_width(character: char) -> f64 {
    match character {
        ' '..='~' => f64::from(WIDTHS[character as usize - ' ' as usize]),
        '−' | '×' | '±' | '≤' | '≥' | '½' => 620.0,
        '→' | '…' => 1000.0,
        '·' | '’' | '²' | '³' | '\u{2009}' | '\u{202f}' => 330.0,
        '\u{a0}' => 278.0,
        '\u{2080}'..='\u{2089}' | '⁺' | '⁻' => 400.0,
        // Letters of other scripts, most of them no wider than this.
        '\u{2e80}'.. => 1000.0,
        _ => 600.0,
    }
}

/// Breaks a text at spaces so that no line runs wider than `room`, if its words allow.
pub(super) fn wrap(text: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    // A no-break space is no place to break, so only the plain one divides words.
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), size, bold) <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

/// The text as far as its first comma or bracket, for places without room for all of it.
pub(super) fn short_form(text: &str) -> &str {
    text.split([',', '(', ';']).next().unwrap_or(text).trim()
}

/// The text as far as the room goes, its end marked where something is left out.
pub(super) fn cut_to(text: &str, size: f64, room: f64) -> String {
    if text_width(text, size, false) <= room {
        return text.to_string();
    }
    let mut kept = text.to_string();
    while kept.pop().is_some() && text_width(&format!("{}…", kept.trim_end()), size, false) > room {}
    format!("{}…", kept.trim_end())
}

/// A number with a true minus and a fixed count of digits after the point; zero never carries a sign.
pub(super) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.*}", decimals, value.abs());
    let is_zero = text.bytes().all(|byte| byte == b'0' || byte == b'.');
    if value < 0.0 && !is_zero { format!("−{text}") } else { text }
}

/// A number with as few digits after the point as say it to one part in a thousand, at least `least`, at most six.
pub(super) fn plain_number(value: f64, least: usize) -> String {
    number(value, decimals_of(value, least))
}

/// The digits after the point that `plain_number` uses.
pub(super) fn decimals_of(value: f64, least: usize) -> usize {
    let tolerance = (value.abs() * 1e-3).min(10f64.powi(-(least as i32)) * 0.05).max(1e-9);
    (least..6)
        .find(|decimals| {
            let scale = 10f64.powi(*decimals as i32);
            ((value * scale).round() / scale - value).abs() < tolerance
        })
        .unwrap_or(6)
}

/// A value with one standard uncertainty, `6.0 ± 0.8`, the spaces unbreakable; up to two digits more where the
/// uncertainty would read as nothing.
pub(super) fn value_with_u(value: f64, u: f64, decimals: usize) -> String {
    if u.is_finite() && u > 0.0 {
        let enough = |decimals: &usize| u >= 0.5 * 10f64.powi(-(*decimals as i32));
        let decimals = (decimals..=decimals + 2).find(enough).unwrap_or(decimals);
        format!("{}\u{a0}±\u{a0}{}", number(value, decimals), number(u, decimals))
    } else {
        number(value, decimals)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_cut_where_the_room_ends() {
        assert_eq!(cut_to("LED bar", 13.0, 200.0), "LED bar");
        let cut = cut_to("LED bar over the tank with a name that never ends", 13.0, 120.0);
        assert_eq!(cut, "LED bar over the…");
        assert!(text_width(&cut, 13.0, false) <= 120.0);
        assert_eq!(cut_to("LED bar", 13.0, 0.0), "…");
    }

    #[test]
    fn an_uncertainty_never_reads_as_nothing_where_two_digits_more_tell_it() {
        assert_eq!(value_with_u(6.04, 0.8, 1), "6.0\u{a0}±\u{a0}0.8");
        assert_eq!(value_with_u(1.217, 0.042, 1), "1.22\u{a0}±\u{a0}0.04");
        assert_eq!(value_with_u(1.217, 1e-9, 1), "1.2\u{a0}±\u{a0}0.0");
        assert_eq!(value_with_u(1.217, 0.0, 1), "1.2");
    }

    #[test]
    fn numbers_carry_a_true_minus_and_zero_none() {
        assert_eq!(number(-1.25, 1), "−1.2");
        assert_eq!(number(-0.04, 1), "0.0");
        assert_eq!(number(10.0, 0), "10");
        assert_eq!(plain_number(0.1, 0), "0.1");
        assert_eq!(plain_number(0.03, 2), "0.03");
        assert_eq!(plain_number(10.0, 0), "10");
        assert_eq!(plain_number(-2.5, 0), "−2.5");
        assert_eq!(value_with_u(6.0, 0.84, 1), "6.0\u{a0}±\u{a0}0.8");
        assert_eq!(value_with_u(6.0, f64::NAN, 1), "6.0");
    }

    #[test]
    fn widths_are_those_of_the_published_metrics_and_a_little_more() {
        // Helvetica.afm: A 667, i 222, W 944 thousandths.
        assert!((text_width("AiW", 1000.0, false) - (667.0 + 222.0 + 944.0) * 1.03).abs() < 1e-9);
    }

    #[test]
    fn lines_break_at_plain_spaces_only() {
        assert_eq!(wrap("fragment A in the jar tank", 13.0, false, 110.0), ["fragment A in the", "jar tank"]);
        assert_eq!(wrap("6.0\u{a0}±\u{a0}0.8", 13.0, false, 10.0).len(), 1);
        assert!(wrap("", 13.0, false, 10.0).is_empty());
    }
}
