//! Simulated tanks: the interval must hold the truth as often as it says.

use polypary::science::mass_balance::{Balance, Diary, Happening, Reading, balance};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::{CARD, DROPS, SALT, STOCK, TANK, worked};

/// Normal deviates by Box and Muller's method.
struct Normals(ChaCha8Rng);

impl Normals {
    fn new(seed: u64) -> Normals {
        Normals(ChaCha8Rng::seed_from_u64(seed))
    }

    fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn next(&mut self, mean: f64, deviation: f64) -> f64 {
        let (a, b) = (self.uniform(), self.uniform());
        mean + deviation * (-2.0 * a.ln()).sqrt() * (2.0 * std::f64::consts::PI * b).cos()
    }
}

const RUNS: usize = 200;

/// How often 1.96 standard uncertainties hold the truth, over simulated tanks.
fn coverage(seed: u64, run: impl Fn(&mut Normals) -> (f64, Balance)) -> (f64, f64) {
    let mut normals = Normals::new(seed);
    let (mut held, mut error) = (0, 0.0);
    for _ in 0..RUNS {
        let (truth, found) = run(&mut normals);
        held += usize::from((found.uptake - truth).abs() <= 1.96 * found.uptake_u);
        error += found.uptake - truth;
    }
    (held as f64 / RUNS as f64, error / RUNS as f64)
}

/// Of 200 intervals of 95 in 100, between 181 and 199 hold the truth, but once in 2000 times (binomial distribution, three
/// and a half standard deviations of 3.1 either side, cut at the top).
fn is_as_stated(held: f64) -> bool {
    (0.905..=0.995).contains(&held)
}

/// Eight weeks of weekly readings, a daily dose, a fortnightly water change, a steady uptake; stepped hour by hour, apart
/// from the closed form under test.
fn tank(normals: &mut Normals, uptake: f64, u: f64, limit: f64, new_lot_at: usize, offset: f64) -> (f64, Balance) {
    let mut happenings = Vec::new();
    let mut readings = Vec::new();
    let mut c = 8.0;
    for hour in 0..=56 * 24 {
        let day = f64::from(hour) / 24.0;
        if hour % (7 * 24) == 0 {
            let n = readings.len();
            let lot = usize::from(n >= new_lot_at);
            let shown = normals.next(c, u) + if lot == 0 { offset } else { 0.0 };
            let below = shown < limit;
            readings.push(Reading { day, value: if below { limit } else { shown }, u, below, lot });
        }
        if hour % 24 == 12 {
            c += 0.9 * uptake;
            happenings.push((day, Happening::Added { raises_by: 0.9 * uptake }));
        }
        if hour % (14 * 24) == 24 * 5 {
            c = 0.9 * c + 0.1 * 6.0;
            happenings.push((day, Happening::Replaced { share: 0.1, holds: 6.0 }));
        }
        c -= uptake / 24.0;
    }
    (uptake, balance(&readings, &Diary::new(happenings).unwrap()).unwrap())
}

#[test]
fn the_interval_of_the_uptake_holds_the_truth_as_often_as_stated() {
    let (held, error) = coverage(1, |normals| tank(normals, 0.11, 0.2, f64::MIN, 0, 0.0));
    assert!(is_as_stated(held), "{held}");
    // The mean over 200 runs is good to a fourteenth of one run's 0.004 dKH a day.
    assert!(error.abs() < 0.001, "{error}");
}

#[test]
fn a_new_lot_in_the_middle_does_not_spoil_it() {
    // The lot in use is right; that before it read 0.7 high.
    let (held, error) = coverage(2, |normals| tank(normals, 0.11, 0.2, f64::MIN, 4, 0.7));
    assert!(is_as_stated(held), "{held}");
    assert!(error.abs() < 0.003, "{error}");
}

#[test]
fn readings_below_the_limit_do_not_spoil_it() {
    // From 8 downwards by 0.05 a day and more: about half of the readings lie under 6.5.
    let (held, error) = coverage(3, |normals| tank(normals, 0.4, 0.5, 6.0, 0, 0.0));
    assert!(is_as_stated(held), "{held}");
    assert!(error.abs() < 0.004, "{error}");
}

#[test]
fn a_kit_worse_than_it_claims_is_found_out() {
    // The readings scatter twice as much as stated: Birge's ratio widens the interval to what it should be, or nearly.
    let (held, _) = coverage(4, |normals| {
        let (truth, found) = tank(normals, 0.11, 0.4, f64::MIN, 0, 0.0);
        (truth, found)
    });
    assert!(is_as_stated(held), "{held}");
    let mut normals = Normals::new(5);
    let mut held = 0;
    for _ in 0..RUNS {
        let mut happenings = Vec::new();
        let readings: Vec<Reading> = (0..9)
            .map(|week| {
                let day = 7.0 * f64::from(week);
                happenings.push((day + 0.5, Happening::Added { raises_by: 0.7 }));
                Reading { day, value: normals.next(8.0, 0.4), u: 0.2, below: false, lot: 0 }
            })
            .collect();
        let found = balance(&readings, &Diary::new(happenings).unwrap()).unwrap();
        held += usize::from((found.uptake - 0.1).abs() <= 1.96 * found.uptake_u);
    }
    // With seven degrees of freedom a normal 1.96 holds somewhat less than 95 (Student's t would be 2.36).
    assert!(held as f64 / RUNS as f64 > 0.86, "{held}");
}

/// The same through a whole record: volume, stock, salt, jug and the kit's own offset are each off by as much as the
/// record admits, and the printed interval still holds the truth.
#[test]
fn a_records_own_interval_holds_the_truth() {
    let mut normals = Normals::new(6);
    let (mut held, mut held_level, mut u_sum) = (0, 0, 0.0);
    for _ in 0..RUNS {
        let uptake = 0.11;
        let volume = normals.next(120.0, 3.0);
        // Strength 2 % and syringe 3 % beside each other.
        let dose = 10.0 * 2.804 * normals.next(1.0, 0.036) / 7.0;
        let new_water = normals.next(8.6, 0.05 * 8.6);
        let jug = normals.next(1.0, 0.03);
        let offset = normals.next(0.0, 0.2);
        let mut c = 7.8;
        let mut log = String::new();
        for day in 0..=56 {
            // Doses at night, readings in the evening.
            if day > 0 {
                c += dose / volume;
            }
            if day % 7 == 0 {
                let date = jiff::civil::date(2026, 4, 1).saturating_add(jiff::Span::new().days(day));
                log += &format!("{date} 20:00:\n  alkalinity: {:.2}\n", normals.next(c, 0.2) + offset);
                if day > 0 {
                    log += "  dose: {stock: {total: 10 mL, over: 7 days}}\n";
                }
                if day % 14 == 7 {
                    log += "  water-change: 12 L\n";
                    let share = 12.0 * jug / volume;
                    c = c * (1.0 - share) + new_water * share;
                }
            }
            c -= uptake;
        }
        // The level of the last reading, before that evening's use.
        let level = c + uptake;
        let (_, findings) = worked(&[
            ("tank.yaml", TANK),
            ("supplies/drops.yaml", DROPS),
            ("supplies/card.yaml", CARD),
            ("supplies/stock.yaml", STOCK),
            ("supplies/salt.yaml", SALT),
            ("log/2026.yaml", &log),
        ]);
        let figure = findings.figures.get(".", "water.alkalinity.uptake").unwrap();
        held += usize::from((figure.value - uptake).abs() <= 1.96 * figure.uncertainty);
        u_sum += figure.uncertainty;
        let figure = findings.figures.get(".", "water.alkalinity.level").unwrap();
        held_level += usize::from((figure.value - level).abs() <= 1.96 * figure.uncertainty);
    }
    let (held, held_level) = (held as f64 / RUNS as f64, held_level as f64 / RUNS as f64);
    assert!(is_as_stated(held), "{held}");
    assert!(is_as_stated(held_level), "{held_level}");
    // Narrow enough to be of use: a twentieth of a dKH a day can be told from nothing.
    assert!(u_sum / (RUNS as f64) < 0.01, "{}", u_sum / RUNS as f64);
}
