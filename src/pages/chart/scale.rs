//! The upright axis: which values it spans, where its ticks stand, and the unit above them.

use super::canvas::{Anchor, Canvas};
use super::text::{number, plain_number, text_width};

/// Values to heights.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    pub low: f64,
    pub high: f64,
    /// Height of the highest value; a drawing counts downwards.
    pub top: f64,
    pub base: f64,
}

impl Scale {
    /// A scale that shows all these values, and zero if they come near it or `to_zero` asks for it.
    pub fn fitting(values: &[f64], to_zero: bool, top: f64, base: f64) -> Scale {
        let finite = values.iter().copied().filter(|value| value.is_finite() && value.abs() < 1e12);
        let (mut low, mut high) =
            finite.fold((f64::INFINITY, f64::NEG_INFINITY), |span, value| (span.0.min(value), span.1.max(value)));
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        let all_positive = low >= 0.0;
        if to_zero || (all_positive && low < high * 0.4) {
            low = low.min(0.0);
            high = high.max(0.0);
        }
        if high - low < high.abs().max(low.abs()) * 1e-6 || high == low {
            let pad = if high == 0.0 { 1.0 } else { high.abs() * 0.05 };
            (low, high) = (low - pad, high + pad);
        }
        let pad = (high - low) * 0.06;
        let low = if low == 0.0 { 0.0 } else { low - pad };
        let high = if high == 0.0 { 0.0 } else { high + pad };
        Scale { low, high, top, base }
    }

    /// The height at which a value stands, kept within the plot.
    pub fn y(&self, value: f64) -> f64 {
        let value = if value.is_nan() { self.low } else { value.clamp(self.low, self.high) };
        self.base - (value - self.low) / (self.high - self.low) * (self.base - self.top)
    }

    /// Round values to tick, about `wanted` of them, and the digits they need.
    pub fn ticks(&self, wanted: usize) -> (Vec<f64>, usize) {
        let rough = (self.high - self.low) / wanted.max(1) as f64;
        let power = 10f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|times| times * power)
            .find(|step| *step >= rough * 0.999)
            .unwrap_or(10.0 * power);
        let decimals = (-(step * 1.000_001).log10().floor()).clamp(0.0, 6.0) as usize;
        let first = (self.low / step - 1e-9).ceil() as i64;
        let last = (self.high / step + 1e-9).floor() as i64;
        ((first..=last).take(50).map(|index| index as f64 * step).collect(), decimals)
    }
}

/// A tick of the upright axis, worded.
pub(super) struct Tick {
    pub value: f64,
    pub words: String,
    /// A limit of the band: bold, and its neighbours give way.
    pub edge: bool,
}

/// Round ticks, about `wanted` of them, and the band's edges; the round ones are left out where they would touch an
/// edge.
pub(super) fn worded_ticks(scale: &Scale, wanted: usize, edges: &[f64]) -> Vec<Tick> {
    let (round, decimals) = if wanted == 0 { (Vec::new(), 0) } else { scale.ticks(wanted) };
    let mut ticks: Vec<Tick> =
        edges.iter().map(|value| Tick { value: *value, words: plain_number(*value, decimals), edge: true }).collect();
    for value in round {
        let clear = edges.iter().all(|edge| (scale.y(*edge) - scale.y(value)).abs() > 12.5);
        if clear {
            ticks.push(Tick { value, words: number(value, decimals), edge: false });
        }
    }
    ticks.sort_by(|a, b| a.value.total_cmp(&b.value));
    ticks
}

/// How far from the left edge the plot begins so that all tick labels fit, at least `least`.
pub(super) fn room_for(ticks: &[Tick], size: f64, least: f64) -> f64 {
    ticks.iter().map(|tick| text_width(&tick.words, size, tick.edge) + 9.0).fold(least, f64::max)
}

/// Draws the ticks' words and, for the round ones above the baseline, their hairlines.
pub(super) fn draw_ticks(canvas: &mut Canvas, scale: &Scale, ticks: &[Tick], x0: f64, x1: f64) {
    for tick in ticks.iter().filter(|tick| !tick.edge) {
        let y = scale.y(tick.value);
        if scale.base - y > 0.5 {
            canvas.line("grid", x0, y, x1, y);
        }
    }
    let mut last = f64::INFINITY;
    for tick in ticks {
        let y = scale.y(tick.value);
        // Two edges may lie closer together than their words are high; the upper one then speaks for both.
        if last - y < 11.0 && tick.edge {
            canvas.text("tick strong", x0 - 6.0, last - 11.0 + 4.0, Anchor::End, &tick.words);
            last -= 11.0;
            continue;
        }
        let class = if tick.edge { "tick strong" } else { "tick" };
        canvas.text(class, x0 - 6.0, y + 4.0, Anchor::End, &tick.words);
        last = y;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round() {
        let scale = Scale { low: 0.0, high: 13.0, top: 30.0, base: 320.0 };
        assert_eq!(scale.ticks(7), (vec![0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0], 0));
        let fine = Scale { low: 7.93, high: 8.52, top: 30.0, base: 320.0 };
        let (ticks, decimals) = fine.ticks(6);
        assert_eq!(decimals, 1);
        assert_eq!(ticks.len(), 6);
        assert!((ticks[0] - 8.0).abs() < 1e-9 && (ticks[5] - 8.5).abs() < 1e-9);
    }

    #[test]
    fn equal_and_missing_values_still_span_something() {
        for values in [&[][..], &[0.0][..], &[8.2, 8.2][..], &[f64::NAN, f64::INFINITY][..]] {
            let scale = Scale::fitting(values, false, 30.0, 320.0);
            assert!(scale.high > scale.low, "{values:?}");
            assert!(scale.y(values.first().copied().unwrap_or(0.0)).is_finite());
            assert!(!scale.ticks(6).0.is_empty());
        }
    }

    #[test]
    fn zero_is_shown_when_values_come_near_it() {
        assert_eq!(Scale::fitting(&[2.0, 10.0], false, 30.0, 320.0).low, 0.0);
        assert!(Scale::fitting(&[33.0, 36.0], false, 30.0, 320.0).low > 32.0);
        assert_eq!(Scale::fitting(&[33.0, 36.0], true, 30.0, 320.0).low, 0.0);
    }

    #[test]
    fn round_ticks_give_way_to_the_edges_of_the_band() {
        let scale = Scale { low: 0.0, high: 13.0, top: 30.0, base: 320.0 };
        let words: Vec<_> = worded_ticks(&scale, 7, &[2.2, 10.0]).into_iter().map(|tick| tick.words).collect();
        assert_eq!(words, ["0", "2.2", "4", "6", "8", "10", "12"]);
    }
}
