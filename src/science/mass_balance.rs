//! Mass balance of one substance in a tank: what the living things take up is what was there, plus what came, less what
//! went, less what is there now.
//!
//! Between two moments the water keeps a share P of what it held, gains `a` by additions and water changes, and loses to
//! a steady uptake of u a day:
//!
//! c(t) = P(t)·c₀ + a(t) − T(t)·u
//!
//! P, a and T follow from the diary alone (see [`Carried`]): an addition raises a; a water change of share f multiplies P,
//! a and T by 1 − f and brings f times what the new water holds; a day that passes adds one to T. Evaporation made good
//! with pure water changes nothing. The readings then give c₀ and u by weighted least squares, or, where some lie below
//! what the kit can see, by maximum likelihood.

use std::fmt;

use super::least_squares::{self, Row};
use super::range::{OutOfRange, within};

/// Something that happened to the water. Amounts are in the unit of the concentration: what the addition alone would
/// have raised it by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Happening {
    Added {
        raises_by: f64,
    },
    /// A share (0 to 1) of the water was replaced by water of this concentration.
    Replaced {
        share: f64,
        holds: f64,
    },
}

/// What became of the water since an origin: c = kept·c₀ + gained − exposed·u.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried {
    /// Share of what was there at the origin that is still there.
    pub kept: f64,
    /// What additions and new water brought and left, in the unit of the concentration.
    pub gained: f64,
    /// Days of uptake that still show, those before a water change counting less.
    pub exposed: f64,
}

impl Default for Carried {
    fn default() -> Self {
        Carried { kept: 1.0, gained: 0.0, exposed: 0.0 }
    }
}

impl Carried {
    /// Lets days pass.
    pub fn wait(self, days: f64) -> Carried {
        Carried { exposed: self.exposed + days, ..self }
    }

    /// Lets something happen.
    ///
    /// Errors: an addition that is no number, a share outside 0 to 1, a negative content of the new water.
    ///
    /// ```
    /// # use polypary::science::mass_balance::*;
    /// // By hand: 10 mg/L and an addition of 2, then a quarter changed for water with 4 mg/L: 0.75·12 + 0.25·4 = 10.
    /// let carried = Carried::default()
    ///     .after(Happening::Added { raises_by: 2.0 })?
    ///     .after(Happening::Replaced { share: 0.25, holds: 4.0 })?;
    /// assert!((carried.concentration(10.0, 0.0) - 10.0).abs() < 1e-12);
    /// # Ok::<(), polypary::science::OutOfRange>(())
    /// ```
    pub fn after(self, happening: Happening) -> Result<Carried, OutOfRange> {
        match happening {
            Happening::Added { raises_by } => {
                let raise = within("addition", raises_by, f64::MIN, f64::MAX, "")?;
                Ok(Carried { gained: self.gained + raise, ..self })
            }
            Happening::Replaced { share, holds } => {
                let share = within("share of the water changed", share, 0.0, 1.0, "")?;
                let holds = within("content of the new water", holds, 0.0, f64::MAX, "")?;
                let left = 1.0 - share;
                Ok(Carried {
                    kept: self.kept * left,
                    gained: self.gained * left + share * holds,
                    exposed: self.exposed * left,
                })
            }
        }
    }

    /// The concentration for one at the origin and an uptake a day.
    pub fn concentration(self, at_origin: f64, uptake_per_day: f64) -> f64 {
        self.kept * at_origin + self.gained - self.exposed * uptake_per_day
    }
}

/// What happened, in order of time, in days from any origin.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Diary {
    happenings: Vec<(f64, Happening)>,
}

impl Diary {
    /// In any order; things of one moment keep theirs. Errors: a day that is no number.
    pub fn new(mut happenings: Vec<(f64, Happening)>) -> Result<Diary, OutOfRange> {
        for (day, _) in &happenings {
            within("day", *day, f64::MIN, f64::MAX, "")?;
        }
        happenings.sort_by(|a, b| a.0.total_cmp(&b.0));
        Ok(Diary { happenings })
    }

    /// What was carried from a day to each of `days` (ascending, none before `from`). What happened at the very moment
    /// of a reading counts after it: a test is taken before the dose.
    ///
    /// ```
    /// # use polypary::science::mass_balance::*;
    /// let diary = Diary::new(vec![(3.0, Happening::Added { raises_by: 1.0 }), (1.0, Happening::Added { raises_by: 1.0 })])?;
    /// let carried = diary.carried(0.0, &[0.5, 3.0, 4.0])?;
    /// assert_eq!(carried.iter().map(|c| c.gained).collect::<Vec<_>>(), [0.0, 1.0, 2.0]);
    /// # Ok::<(), polypary::science::OutOfRange>(())
    /// ```
    pub fn carried(&self, from: f64, days: &[f64]) -> Result<Vec<Carried>, OutOfRange> {
        let mut now = from;
        let mut carried = Carried::default();
        let mut next = self.happenings.iter().skip_while(|(day, _)| *day < from).peekable();
        let mut found = Vec::with_capacity(days.len());
        for &day in days {
            let day = within("day of a reading", day, now, f64::MAX, "")?;
            while let Some((at, happening)) = next.next_if(|(at, _)| *at < day) {
                carried = carried.wait(at - now).after(*happening)?;
                now = *at;
            }
            carried = carried.wait(day - now);
            now = day;
            found.push(carried);
        }
        Ok(found)
    }
}

/// One reading of the substance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    pub day: f64,
    pub value: f64,
    /// Standard uncertainty, greater than zero.
    pub u: f64,
    /// The value is the kit's limit and the water holds less.
    pub below: bool,
    /// Readings of one kit and lot share a number; each further lot gets its own offset.
    pub lot: usize,
}

/// Uptake and level as the readings and the diary give them.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// In the unit of the concentration, a day. Negative: the substance comes from somewhere the diary does not know.
    pub uptake: f64,
    /// Standard uncertainty that the readings leave, widened where they scatter more than their kits explain.
    pub uptake_u: f64,
    /// At the first reading, on the scale of the latest lot.
    pub level_at_start: f64,
    /// At the last reading.
    pub level_at_end: f64,
    pub level_at_end_u: f64,
    /// Correlation coefficient of uptake and level at the end: readings too high at the end show too little uptake.
    pub correlation: f64,
    /// By how much each lot but the latest reads higher than the latest, and its standard uncertainty.
    pub offsets: Vec<(usize, f64, f64)>,
    /// Readings, and how many of them are below the limit.
    pub readings: usize,
    pub below: usize,
    /// Root of chi square by degrees of freedom, where it is more than one: the readings scatter so many times as much
    /// as their kits explain.
    pub excess_scatter: f64,
    /// From the first reading to the last.
    pub days: f64,
    /// From the first reading to the last.
    pub carried: Carried,
}

impl Balance {
    /// What water changes did on the whole, where additions brought `came`: the rest of the sum
    /// there + came + by changes − taken up = there now. They carry off some of what was added and spare some of what
    /// would have been taken from the water they replace, so that it depends on the uptake.
    ///
    /// ```
    /// # use polypary::science::mass_balance::*;
    /// // By hand: 10 loses 1 a day; after one day half is replaced by water of 8: (10 − 1 + 8)/2 = 8.5, so −0.5 + 0 = −0.5
    /// // by the change; a day later 7.5 is read.
    /// let diary = Diary::new(vec![(1.0, Happening::Replaced { share: 0.5, holds: 8.0 })])?;
    /// let at = |day, value| Reading { day, value, u: 0.1, below: false, lot: 0 };
    /// let found = balance(&[at(0.0, 10.0), at(2.0, 7.5)], &diary)?;
    /// assert!((found.uptake - 1.0).abs() < 1e-12);
    /// assert!((found.by_changes(0.0) + 0.5).abs() < 1e-12);
    /// # Ok::<(), NoBalance>(())
    /// ```
    pub fn by_changes(&self, came: f64) -> f64 {
        self.level_at_end - self.level_at_start - came + self.uptake * self.days
    }
}

/// Why there is no balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoBalance {
    /// Fewer than two readings that the kit could see, or all of one day, or each of another lot.
    TooFew {
        seen: usize,
    },
    Range(OutOfRange),
}

impl fmt::Display for NoBalance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoBalance::TooFew { seen } => write!(
                f,
                "a balance needs two readings of one kit on different days that the kit can see, there {} {seen}",
                if *seen == 1 { "is" } else { "are" }
            ),
            NoBalance::Range(why) => why.fmt(f),
        }
    }
}

impl std::error::Error for NoBalance {}

impl From<OutOfRange> for NoBalance {
    fn from(why: OutOfRange) -> Self {
        NoBalance::Range(why)
    }
}

/// Uptake a day and level from readings and diary.
///
/// c_i = P_i·c₀ + a_i − T_i·u + b_lot + e_i, with e_i normal of standard deviation u_i
///
/// Weighted least squares for c₀, u and the lots' offsets; readings below the limit enter by their likelihood
/// Φ((limit − c)/u_i) (Tobit's model), so that they pull the level down and are never taken for zero. The covariance
/// is the inverse of the information; where the readings scatter more than their uncertainties explain it is widened by
/// chi square over degrees of freedom (Birge's ratio).
///
/// Valid: readings of a steady uptake; what happened at a reading's moment counts after it.
/// Errors: too few readings to tell level and uptake apart, or a number outside its range.
/// Source: arithmetic of a mixed tank; [`aitken_1935`, `tobin_1958`, `birge_1932`](crate::science::sources).
///
/// ```
/// # use polypary::science::mass_balance::*;
/// // By hand: 8.0 dKH, ten days at +0.05 a day dosed, 8.2 dKH at the end: (8.0 + 0.5 − 8.2)/10 = 0.03 a day.
/// let diary = Diary::new((0..10).map(|day| (f64::from(day) + 0.5, Happening::Added { raises_by: 0.05 })).collect())?;
/// let at = |day, value| Reading { day, value, u: 0.2, below: false, lot: 0 };
/// let found = balance(&[at(0.0, 8.0), at(10.0, 8.2)], &diary)?;
/// assert!((found.uptake - 0.03).abs() < 1e-12);
/// // Two readings of ±0.2 ten days apart: √2·0.2/10.
/// assert!((found.uptake_u - 0.02 * 2f64.sqrt()).abs() < 1e-12);
/// assert!(balance(&[at(0.0, 8.0)], &diary).is_err());
/// # Ok::<(), NoBalance>(())
/// ```
pub fn balance(readings: &[Reading], diary: &Diary) -> Result<Balance, NoBalance> {
    let mut readings = readings.to_vec();
    readings.sort_by(|a, b| a.day.total_cmp(&b.day));
    for reading in &readings {
        within("reading", reading.value, f64::MIN, f64::MAX, "")?;
        within("uncertainty of a reading", reading.u, f64::MIN_POSITIVE, f64::MAX, "")?;
    }
    let seen = readings.iter().filter(|reading| !reading.below).count();
    let too_few = NoBalance::TooFew { seen };
    let (Some(first), Some(last)) = (readings.first().copied(), readings.last().copied()) else {
        return Err(too_few);
    };
    let days: Vec<f64> = readings.iter().map(|reading| reading.day).collect();
    let carried = diary.carried(first.day, &days)?;
    let lots = earlier_lots(&readings, last.lot);
    let rows: Vec<Row> = readings
        .iter()
        .zip(&carried)
        .map(|(reading, carried)| {
            let mut factors = vec![carried.kept, -carried.exposed];
            factors.extend(lots.iter().map(|lot| if *lot == reading.lot { 1.0 } else { 0.0 }));
            Row { factors, value: reading.value - carried.gained, u: reading.u, below: reading.below }
        })
        .collect();
    let fit = least_squares::fit(&rows).ok_or(too_few)?;
    let unknowns = 2 + lots.len();
    let freedom = seen.saturating_sub(unknowns);
    let excess = if freedom == 0 { 1.0 } else { (fit.chi_squared / freedom as f64).sqrt().max(1.0) };
    let end = carried[carried.len() - 1];
    let factors_of_end: Vec<f64> =
        [end.kept, -end.exposed].into_iter().chain(std::iter::repeat_n(0.0, lots.len())).collect();
    let level_variance = fit.variance_of(&factors_of_end);
    let together: f64 = factors_of_end.iter().enumerate().map(|(i, factor)| factor * fit.covariance[i][1]).sum();
    Ok(Balance {
        uptake: fit.values[1],
        uptake_u: excess * fit.covariance[1][1].sqrt(),
        correlation: (together / (fit.covariance[1][1] * level_variance).sqrt()).clamp(-1.0, 1.0),
        level_at_start: fit.values[0],
        level_at_end: end.concentration(fit.values[0], fit.values[1]),
        level_at_end_u: excess * level_variance.sqrt(),
        offsets: lots
            .iter()
            .enumerate()
            .map(|(place, &lot)| (lot, fit.values[2 + place], excess * fit.covariance[2 + place][2 + place].sqrt()))
            .collect(),
        readings: readings.len(),
        below: readings.len() - seen,
        excess_scatter: excess,
        days: last.day - first.day,
        carried: end,
    })
}

/// The lots that have a reading, in order, without the latest. A lot seen only below its limit gets no offset.
fn earlier_lots(readings: &[Reading], latest: usize) -> Vec<usize> {
    let mut lots: Vec<usize> =
        readings.iter().filter(|reading| !reading.below && reading.lot != latest).map(|reading| reading.lot).collect();
    lots.sort_unstable();
    lots.dedup();
    lots
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(day: f64, value: f64) -> Reading {
        Reading { day, value, u: 0.2, below: false, lot: 0 }
    }

    fn changes(share: f64, holds: f64, every: u32, days: u32) -> Diary {
        let happenings =
            (1..=days / every).map(|n| (f64::from(n * every) - 0.5, Happening::Replaced { share, holds })).collect();
        Diary::new(happenings).unwrap()
    }

    /// A tank with a known uptake, stepped day by day apart from the closed form under test.
    #[test]
    fn the_closed_form_is_the_tank_stepped_by_hand() {
        let (uptake, mut c) = (0.13, 9.0);
        let mut happenings = Vec::new();
        let mut readings = vec![at(0.0, c)];
        for day in 0..56 {
            // Half a day, then a dose and perhaps a change, then the other half.
            c -= uptake / 2.0;
            let noon = f64::from(day) + 0.5;
            c += 0.1;
            happenings.push((noon, Happening::Added { raises_by: 0.1 }));
            if day % 7 == 3 {
                c = c * 0.9 + 0.1 * 8.0;
                happenings.push((noon, Happening::Replaced { share: 0.1, holds: 8.0 }));
            }
            c -= uptake / 2.0;
            if day % 7 == 6 {
                readings.push(at(f64::from(day + 1), c));
            }
        }
        let found = balance(&readings, &Diary::new(happenings).unwrap()).unwrap();
        assert!((found.uptake - uptake).abs() < 1e-10, "{}", found.uptake);
        assert!((found.level_at_start - 9.0).abs() < 1e-9 && (found.level_at_end - c).abs() < 1e-9);
        assert_eq!((found.readings, found.below, found.days, found.excess_scatter), (9, 0, 56.0, 1.0));
    }

    #[test]
    fn a_new_lot_has_its_own_offset_and_one_uptake() {
        let mut readings: Vec<Reading> =
            (0..6).map(|n| at(7.0 * f64::from(n), 8.0 - 0.02 * 7.0 * f64::from(n))).collect();
        for reading in &mut readings[..3] {
            reading.value += 0.6;
            reading.lot = 4;
        }
        for reading in &mut readings[3..] {
            reading.lot = 5;
        }
        let found = balance(&readings, &Diary::default()).unwrap();
        assert!((found.uptake - 0.02).abs() < 1e-12);
        assert_eq!(found.offsets.len(), 1);
        assert_eq!(found.offsets[0].0, 4);
        assert!((found.offsets[0].1 - 0.6).abs() < 1e-12);
    }

    #[test]
    fn readings_below_the_limit_pull_and_do_not_count_as_zero() {
        let mut readings: Vec<Reading> = (0..8).map(|n| at(f64::from(n), 5.0 - 0.5 * f64::from(n))).collect();
        let whole = balance(&readings, &Diary::default()).unwrap();
        for reading in &mut readings[6..] {
            *reading = Reading { value: 2.2, below: true, ..*reading };
        }
        let censored = balance(&readings, &Diary::default()).unwrap();
        let mut zeros = readings.clone();
        for reading in &mut zeros[6..] {
            *reading = Reading { value: 0.0, below: false, ..*reading };
        }
        let zeros = balance(&zeros, &Diary::default()).unwrap();
        assert!((censored.uptake - whole.uptake).abs() < 0.01, "{} {}", censored.uptake, whole.uptake);
        assert!(zeros.uptake > whole.uptake + 0.05, "{}", zeros.uptake);
        assert_eq!(censored.below, 2);
        assert!(censored.uptake_u > whole.uptake_u);
    }

    #[test]
    fn absurd_readings_are_refused() {
        let empty = Diary::default();
        for value in [f64::NAN, f64::INFINITY] {
            assert!(matches!(balance(&[at(0.0, value), at(1.0, 8.0)], &empty), Err(NoBalance::Range(_))));
            assert!(matches!(balance(&[at(value, 8.0), at(1.0, 8.0)], &empty), Err(NoBalance::Range(_))));
        }
        let no_u = Reading { u: 0.0, ..at(0.0, 8.0) };
        assert!(matches!(balance(&[no_u, at(1.0, 8.0)], &empty), Err(NoBalance::Range(_))));
        assert_eq!(balance(&[], &empty), Err(NoBalance::TooFew { seen: 0 }));
        let one_minute: Vec<Reading> = (0..10).map(|_| at(3.0, 8.0)).collect();
        assert_eq!(balance(&one_minute, &empty), Err(NoBalance::TooFew { seen: 10 }));
        let unseen: Vec<Reading> = (0..5).map(|n| Reading { below: true, ..at(f64::from(n), 2.0) }).collect();
        assert_eq!(balance(&unseen, &empty), Err(NoBalance::TooFew { seen: 0 }));
        // All equal and nothing added: no uptake, with its uncertainty.
        let equal: Vec<Reading> = (0..5).map(|n| at(f64::from(n), 8.0)).collect();
        let found = balance(&equal, &empty).unwrap();
        assert!(found.uptake.abs() < 1e-12 && found.uptake_u > 0.05);
        assert!(Diary::new(vec![(f64::NAN, Happening::Added { raises_by: 1.0 })]).is_err());
        assert!(changes(0.1, 8.0, 7, 14).carried(0.0, &[20.0, 10.0]).is_err());
        let all_out = Carried::default().after(Happening::Replaced { share: 1.2, holds: 0.0 });
        assert!(all_out.is_err());
    }

    /// Kits that scatter three times as much as they claim: the interval says so.
    #[test]
    fn wild_readings_widen_the_uncertainty() {
        let wild = [0.6, -0.6, 0.6, -0.6, 0.6, -0.6, 0.6, -0.6];
        let readings: Vec<Reading> = wild.iter().enumerate().map(|(n, e)| at(7.0 * n as f64, 8.0 + e)).collect();
        let calm: Vec<Reading> = (0..8).map(|n| at(7.0 * f64::from(n), 8.0)).collect();
        let (wild, calm) = (balance(&readings, &Diary::default()).unwrap(), balance(&calm, &Diary::default()).unwrap());
        assert!((wild.uptake_u / calm.uptake_u - wild.excess_scatter).abs() < 1e-9);
        assert!(wild.excess_scatter > 3.0);
    }
}
