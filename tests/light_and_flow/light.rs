//! Surveys, lamps without a meter, levels, ageing and steps over weeks.

use polypary::figures::Basis;
use polypary::figures::light::PlanFor;
use polypary::science::light::Place;
use polypary::units::Length;

use super::{Read, read};

const LAMP: &str = "name: Bar\nrole: lamp\nin-service: 2025-01-10\nspec: bar\nmains: yes\n";
const SETTINGS: &str =
    "settings: [{since: 2025-01-10, level: 50 %, height: 20 cm, schedule: \"10:00 to 20:00, ramp 60 min\"}]\n";
const SHEET: (&str, &str) = ("specs/bar.md", "---\nname: Bar\npower: 100 W\n---\nA lamp.\n");
/// A hump of light at two depths, falling to a quarter from 5 to 25 cm.
const GRID: &str = "readings:\n  - [10, 10, 5, 100]\n  - [50, 10, 5, 180]\n  - [90, 10, 5, 100]\n  - [10, 40, 5, 120]\n  \
                    - [50, 40, 5, 200]\n  - [90, 40, 5, 120]\n  - [10, 10, 25, 25]\n  - [50, 10, 25, 45]\n  \
                    - [90, 10, 25, 25]\n  - [10, 40, 25, 30]\n  - [50, 40, 25, 50]\n  - [90, 40, 25, 30]\n";

fn survey(lines: &str) -> String {
    format!("on: 2026-05-20\nlamp: lamp\nlevel: 50 %\nheight: 20 cm\nsensor: borrowed\n{lines}{GRID}")
}

fn colony(x: u32, y: u32, depth: u32, needs: &str) -> String {
    format!(
        "name: C\ngroup: leather\narrived: 2025-03-01\nplacements: [{{since: 2025-03-01, tank: \".\", x: {x} cm, y: {y} cm, depth: {depth} cm}}]\n{needs}"
    )
}

const KNOWN: &str = "immersion-factor: 1.25\nfactor-applied: yes\nunits: {position: cm, light: µmol/m²/s}\n";

fn surveyed(lamp: &str, lines: &str, more: &[(&str, &str)]) -> Read {
    let (lamp, survey) = (format!("{LAMP}{lamp}"), survey(lines));
    let mut files = vec![("equipment/lamp.yaml", lamp.as_str()), SHEET, ("light/2026-05-20.yaml", survey.as_str())];
    files.extend_from_slice(more);
    read("", &files)
}

fn at(x: f64, y: f64, depth: f64) -> Place {
    Place { x: Length::centimetres(x), y: Length::centimetres(y), depth: Length::centimetres(depth) }
}

#[test]
fn the_map_returns_every_reading_at_its_point() {
    let read = surveyed(SETTINGS, KNOWN, &[]);
    let survey = &read.record.tanks["."].surveys[0];
    let map = &read.findings.tanks["."].lighting.surveys[0].map;
    assert_eq!((survey.points.len(), map.layers().len()), (12, 2));
    for point in &survey.points {
        let light = map.at(at(point.x, point.y, point.depth)).as_umol_per_m2_s();
        assert!((light - point.light).abs() < 1e-9, "{light} at {point:?}");
    }
    assert!(read.figure("light.map-error.2026-05-20").value > 0.0);
}

/// At a reading's place the colony gets that reading: 180 at the survey's level, and after the lamp was turned from 50
/// to 60 % six fifths of it. Ten hours with ramps of one hour are nine: 216 × 9 × 0.0036 = 6.9984 mol.
#[test]
fn a_colony_gets_the_reading_at_its_place_and_the_day_its_hours() {
    let c = colony(50, 10, 5, "");
    let turned = SETTINGS.replace("50 %", "60 %");
    let read = surveyed(&turned, KNOWN, &[("colonies/c.yaml", &c)]);
    read.is("light.c.par", 216.0);
    read.is("light.c.dli", 216.0 * 9.0 * 0.0036);
    let figure = read.figure("light.c.par");
    // 10 % of the meter, 5 % of the lens, and none of the map: √(0.1² + 0.05²).
    assert!((figure.uncertainty / figure.value - 0.0125f64.sqrt()).abs() < 1e-4, "{}", figure.uncertainty);
    // Half way down in ln E: √(180 × 45) = 90.
    let c = colony(50, 10, 15, "");
    surveyed(SETTINGS, KNOWN, &[("colonies/c.yaml", &c)]).is("light.c.par", 90.0);
}

#[test]
fn whether_the_immersion_factor_is_applied_is_asked_and_never_guessed() {
    let c = colony(50, 10, 5, "");
    let par = |lines: &str| {
        let lines = format!("{lines}units: {{position: cm, light: µmol/m²/s}}\n");
        surveyed(SETTINGS, &lines, &[("colonies/c.yaml", &c)])
    };
    let applied = par("immersion-factor: 1.25\nfactor-applied: yes\n");
    applied.is("light.c.par", 180.0);
    assert_eq!(applied.missing("light.immersion.2026-05-20"), None);
    let to_apply = par("immersion-factor: 1.25\nfactor-applied: no\n");
    to_apply.is("light.c.par", 225.0);
    // Printed, but not said whether it is in: between 1 and 1.25.
    let unsaid = par("immersion-factor: 1.25\n");
    unsaid.is("light.c.par", 180.0 * 1.125);
    // Nothing said: between 1 and the largest factor that makers print, and wider than what is known.
    let nothing = par("");
    nothing.is("light.c.par", 180.0 * 1.16);
    for asked in [&unsaid, &nothing] {
        assert!(asked.missing("light.immersion.2026-05-20").unwrap().contains("factor-applied"));
        assert!(asked.figure("light.c.par").uncertainty > applied.figure("light.c.par").uncertainty * 1.1);
    }
}

/// Lux under daylight D65: 54.8 lx for each µmol/m²/s (Thimijan and Heins 1983 print 54 for sun and sky).
#[test]
fn lux_becomes_photons_by_the_lamps_spectrum() {
    let c = colony(50, 10, 5, "");
    let lux = GRID.replace("180]", "9000]");
    let sheet = "---\nname: Bar\npower: 100 W\nspectrum: D65\n---\nA lamp.\n";
    let lamp = format!("{LAMP}{SETTINGS}");
    let survey = format!("on: 2026-05-20\nlamp: lamp\nlevel: 50 %\nunits: {{position: cm, light: lx}}\n{lux}");
    let files = [
        ("equipment/lamp.yaml", lamp.as_str()),
        ("specs/bar.md", sheet),
        ("light/2026-05-20.yaml", survey.as_str()),
        ("colonies/c.yaml", c.as_str()),
    ];
    let read = super::read("", &files);
    let figure = read.figure("light.c.par");
    assert!((figure.value / (9000.0 / 54.0) - 1.0).abs() < 0.03, "{}", figure.value);
    // A lux app is 30 % out either way, the spectrum 10 %: a fifth and more.
    assert!((0.2..0.3).contains(&(figure.uncertainty / figure.value)), "{}", figure.uncertainty);
    // Without the spectrum a lux is worth anything from 1/20 to 1/80.
    let mut files = files;
    files[1] = SHEET;
    let blind = super::read("", &files);
    let figure = blind.figure("light.c.par");
    assert!(figure.uncertainty / figure.value > 0.35, "{} ± {}", figure.value, figure.uncertainty);
    assert!(figure.notes.iter().any(|note| note.contains("spectrum is not recorded")));
}

/// A lamp worked by hand: 5000 lm of daylight D65. A watt of it is photons of λ/119.6266 µmol for each nm, of which
/// Thimijan and Heins give 54 lx for each µmol/m²/s: 5000/54 = 92.6 µmol/s. Half of the level, 40 to 90 % of it into
/// 0.5 m²: 92.6 × 0.5 × 0.65/0.5 = 60.2 µmol/m²/s.
#[test]
fn a_lamp_without_a_meter_is_worked_out_from_its_lumens() {
    let sheet = "---\nname: Bar\nluminous-flux: 5000 lm\nspectrum: D65\n---\nA lamp.\n";
    let c = colony(50, 25, 0, "");
    let lamp = format!("{LAMP}{SETTINGS}");
    let files = [("equipment/lamp.yaml", lamp.as_str()), ("specs/bar.md", sheet), ("colonies/c.yaml", c.as_str())];
    let read = super::read("", &files);
    let surface = read.figure("light.estimate.surface");
    assert!((surface.value / 60.2 - 1.0).abs() < 0.03, "{}", surface.value);
    assert_eq!(surface.basis, Basis::Computed);
    let colony = read.figure("light.c.par");
    assert_eq!(colony.basis, Basis::Computed);
    // At the surface: the mean times 0.4 to 1.7, and nothing taken by water.
    assert!((colony.value / surface.value - 1.05).abs() < 1e-3, "{}", colony.value);
    assert!(colony.uncertainty / colony.value > 0.35, "an honest width: {}", colony.uncertainty);
    assert!(colony.notes.iter().any(|note| note.contains("survey")));
    assert!(read.missing("light.survey").unwrap().contains("lux app"));
    assert!(read.findings.figures.get(".", "light.c.dli").is_some());
}

#[test]
fn even_watts_alone_give_a_wide_figure_and_nothing_gives_none() {
    let c = colony(50, 25, 20, "");
    let lamp = format!("{LAMP}{SETTINGS}");
    let files = [("equipment/lamp.yaml", lamp.as_str()), SHEET, ("colonies/c.yaml", c.as_str())];
    let read = super::read("", &files);
    // 100 W × 1.8 µmol/J × 0.5 × 0.65/0.5 m².
    read.is("light.estimate.surface", 117.0);
    let colony = read.figure("light.c.par");
    assert!(colony.uncertainty / colony.value > 0.5, "{} ± {}", colony.value, colony.uncertainty);
    let bare = [("equipment/lamp.yaml", lamp.as_str()), ("specs/bar.md", "---\nname: Bar\n---\nA lamp.\n"), files[2]];
    let read = super::read("", &bare);
    assert!(read.missing("light.c.dli").unwrap().contains("luminous-flux"));
}

/// 180 at 50 %: a band of 90 to 270 lies from 25 to 75 %, its middle at 50 %; one of 288 to 324 from 80 to 90 %, and one
/// of 60 to 120 from 17 to 33 %. The first agrees with one of the others, those two never.
#[test]
fn levels_by_hand() {
    let at = |needs: &str| colony(50, 10, 5, &format!("needs: {{light: {needs} µmol/m²/s}}\n"));
    let (a, b, c) = (at("90 to 270"), at("288 to 324"), at("60 to 120"));
    let files = [("colonies/a.yaml", a.as_str()), ("colonies/b.yaml", b.as_str()), ("colonies/c.yaml", c.as_str())];
    let read = surveyed(SETTINGS, KNOWN, &files);
    read.is("light.colony.a.level", 50.0);
    read.is("light.colony.b.level", 85.0);
    read.is("light.colony.c.level", 25.0);
    let dimming = read.findings.tanks["."].lighting.dimming.as_ref().unwrap();
    assert_eq!(dimming.apart, [("a".into(), "b".into()), ("b".into(), "c".into())]);
    // a and c agree from 25 to 33.3 %.
    read.is("light.level-for-most", (25.0 + 100.0 / 3.0) / 2.0);
    let sure = read.figure("light.level-for-most").uncertainty;
    assert!(sure > 2.0 && sure < 5.0, "{sure}");
    let b = dimming.colonies.iter().find(|colony| colony.colony == "b").unwrap();
    // At 29 % nothing in the map is bright enough for it.
    assert_eq!(b.elsewhere.as_ref().unwrap().nearest, None);
    assert!(b.elsewhere.as_ref().unwrap().shares.iter().all(|(_, share)| *share == 0.0));
}

/// A measured curve: half of the level gives 40 % of the light, so that 180 is 450 at full. A band of 180 to 270 is 40
/// to 60 % of that: from 50 % to 66.7 % on the dial, and its middle 225, half of the light, at 58.3 %.
#[test]
fn a_measured_dimming_curve_counts() {
    let a = colony(50, 10, 5, "needs: {light: 180 to 270 µmol/m²/s}\n");
    let lamp = format!("{SETTINGS}dimming: {{50 %: 40 %, 100 %: 100 %}}\n");
    let read = surveyed(&lamp, KNOWN, &[("colonies/a.yaml", &a)]);
    read.is("light.colony.a.level", 50.0 + 50.0 / 6.0);
    let dimming = read.findings.tanks["."].lighting.dimming.as_ref().unwrap();
    let (low, high) = dimming.colonies[0].levels.unwrap();
    assert!((low - 0.5).abs() < 1e-9 && (high - 2.0 / 3.0).abs() < 1e-9, "{low} {high}");
    assert!(dimming.is_measured);
}

/// Between two surveys every reading fell by a tenth at the same level.
#[test]
fn ageing_is_found_at_the_same_places() {
    let fell = GRID.replace(", 100]", ", 90]").replace(", 180]", ", 162]").replace(", 120]", ", 108]");
    let fell = fell.replace(", 200]", ", 180]").replace(", 25]", ", 22.5]").replace(", 45]", ", 40.5]");
    let fell = fell.replace(", 30]", ", 27]").replace("25, 50]", "25, 45]");
    let later = |level: &str, height: &str| {
        format!("on: 2026-05-30\nlamp: lamp\nlevel: {level}\nheight: {height}\nsensor: borrowed\n{KNOWN}{fell}")
    };
    let read = surveyed(SETTINGS, KNOWN, &[("light/2026-05-30.yaml", &later("50 %", "20 cm"))]);
    read.is("light.change.2026-05-30", -10.0);
    let figure = read.figure("light.change.2026-05-30");
    assert!((figure.uncertainty - 90.0 * 0.04).abs() < 0.05, "{}", figure.uncertainty);
    let change = &read.findings.tanks["."].lighting.changes[0];
    assert_eq!((change.places, change.same_level, change.days), (12, true, 10));
    // At twice the level the same readings would be less than half of the light.
    let read = surveyed(SETTINGS, KNOWN, &[("light/2026-05-30.yaml", &later("100 %", "20 cm"))]);
    read.is("light.change.2026-05-30", -55.0);
    // Raised, the field is another one.
    let read = surveyed(SETTINGS, KNOWN, &[("light/2026-05-30.yaml", &later("50 %", "30 cm"))]);
    assert!(read.findings.tanks["."].lighting.changes.is_empty());
}

/// From 80 to 180: ln 2.25/ln 1.15 = 5.8, so six steps of 2.25^(1/6) = 1.1447 after the day on which it comes.
#[test]
fn an_arrival_is_led_to_its_light_in_steps() {
    let arrived = |source: &str| colony(50, 10, 5, source).replace("2025-03-01", "2026-05-10");
    let known = arrived("source: {kind: aquaculture, light: 80 µmol/m²/s}\n");
    let read = surveyed(SETTINGS, KNOWN, &[("colonies/c.yaml", &known)]);
    let plan = &read.findings.tanks["."].lighting.plans[0];
    assert_eq!((&plan.of, plan.from_is_known, plan.steps.len()), (&PlanFor::Arrival("c".into()), true, 7));
    assert!((plan.steps[0].to - 80.0).abs() < 1e-9 && (plan.steps[1].to - 80.0 * 1.5f64.cbrt()).abs() < 1e-9);
    assert!((plan.steps[3].to - 120.0).abs() < 1e-9 && (plan.steps[6].to - 180.0).abs() < 1e-9);
    assert_eq!(plan.steps[1].on.to_string(), "2026-05-17");
    // Of an unknown past: two fifths of what its place has, and the plan says so.
    let unknown = arrived("");
    let read = surveyed(SETTINGS, KNOWN, &[("colonies/c.yaml", &unknown)]);
    let plan = &read.findings.tanks["."].lighting.plans[0];
    assert!(!plan.from_is_known && (plan.from - 72.0).abs() < 1e-9);
    // From brighter light there is nothing to get used to.
    let brighter = arrived("source: {kind: aquaculture, light: 300 µmol/m²/s}\n");
    let read = surveyed(SETTINGS, KNOWN, &[("colonies/c.yaml", &brighter)]);
    assert!(read.findings.tanks["."].lighting.plans.is_empty());
}

/// From 40 to 60 % of the level at the same hours: half as much again, three steps of the third root of 1.5, 1.1447.
#[test]
fn a_lamp_that_was_raised_too_far_gets_its_steps_late() {
    let raised = "settings:\n  - {since: 2025-01-10, level: 40 %, height: 20 cm, schedule: 10:00 to 20:00}\n  \
                  - {since: 2026-05-20, level: 60 %, height: 20 cm, schedule: 10:00 to 20:00}\n";
    let read = surveyed(raised, KNOWN, &[]);
    let plan = &read.findings.tanks["."].lighting.plans[0];
    assert_eq!((&plan.of, plan.steps.len()), (&PlanFor::Raised("lamp".into()), 3));
    assert!((plan.steps[0].to - 0.4 * 1.5f64.cbrt()).abs() < 1e-9 && (plan.steps[2].to - 0.6).abs() < 1e-9);
    let slightly = raised.replace("60 %", "50 %");
    assert!(surveyed(&slightly, KNOWN, &[]).findings.tanks["."].lighting.plans.is_empty());
}

/// Published lights: shares of their photons, colour temperature, and none for a blue lamp.
#[test]
fn the_spectrum_of_a_lamp() {
    let of = |spectrum: &str| {
        let sheet = format!("---\nname: Bar\npower: 100 W\nspectrum: {spectrum}\n---\nA lamp.\n");
        let lamp = format!("{LAMP}{SETTINGS}");
        super::read("", &[("equipment/lamp.yaml", lamp.as_str()), ("specs/bar.md", &sheet)])
    };
    let warm = of("A");
    let kelvin = warm.figure("light.lamp.lamp.colour-temperature").value;
    assert!((kelvin - 2856.0).abs() < 3.0, "{kelvin}");
    let shares: Vec<f64> = ["400-500", "500-600", "600-700"]
        .iter()
        .map(|band| warm.figure(&format!("light.lamp.lamp.share-{band}")).value)
        .collect();
    assert!((shares.iter().sum::<f64>() - 100.0).abs() < 1e-6, "{shares:?}");
    assert!(shares[2] > shares[1] && shares[1] > shares[0], "a filament is reddest: {shares:?}");
    let blue = of("gaussian 450 fwhm 20 nm");
    assert!(blue.findings.figures.get(".", "light.lamp.lamp.colour-temperature").is_none());
    let light = &blue.findings.tanks["."].lighting.lamps[0];
    assert!(light.no_temperature.as_ref().unwrap().contains("0.05"));
    // 683 × V(450) = 26 lm/W, wider for the width of its band.
    let efficacy = blue.figure("light.lamp.lamp.efficacy").value;
    assert!((24.0..32.0).contains(&efficacy), "{efficacy}");
    let none = of("full spectrum");
    assert!(none.missing("light.lamp.lamp.lux-per-photon").unwrap().contains("wavelength_nm"));
}

#[test]
fn absurd_surveys_do_not_break_anything() {
    // One reading, far away; a lamp that is off; a colony without a place.
    let lines =
        "on: 2026-05-20\nlamp: lamp\nlevel: 0 %\nunits: {position: cm, light: µmol/m²/s}\nreadings: [[1, 1, 1, 0]]\n";
    let lamp = format!("{LAMP}{SETTINGS}");
    let c = colony(90, 40, 40, "needs: {light: 60 to 180 µmol/m²/s}\n");
    let files = [
        ("equipment/lamp.yaml", lamp.as_str()),
        SHEET,
        ("light/2026-05-20.yaml", lines),
        ("colonies/c.yaml", c.as_str()),
    ];
    let read = super::read("", &files);
    assert!(read.missing("light.map-error.2026-05-20").unwrap().contains("three readings"));
    assert!(read.missing("light.c.dli").unwrap().contains("within 25 cm"));
    assert!(read.findings.tanks["."].lighting.dimming.is_none());
}

/// A dial's 60 % that gives 66 % of the light, beside 45 % at the survey's 50 %: 180 × 0.66 ∕ 0.45 = 264, and these are the
/// numbers in the working, with both shares among the inputs.
#[test]
fn the_working_prints_the_shares_of_light_that_went_in() {
    let c = colony(50, 10, 5, "");
    let lamp = SETTINGS.replace("50 %", "60 %") + "dimming: {50 %: 45 %, 60 %: 66 %, 100 %: 100 %}\n";
    let read = surveyed(&lamp, KNOWN, &[("colonies/c.yaml", &c)]);
    read.is("light.c.par", 264.0);
    let figure = read.figure("light.c.par");
    assert_eq!(figure.method.substituted, "E = 180 × 1 × 0.66 ∕ 0.45 = 264 µmol/m²/s");
    let shares: Vec<f64> = figure
        .inputs
        .iter()
        .filter_map(|input| match input {
            polypary::figures::Input::Root { label, value, .. } if label.contains("share of the lamp’s full light") => {
                Some(*value)
            }
            _ => None,
        })
        .collect();
    assert_eq!(shares, [0.66, 0.45]);
}

/// A colony that stood at a reading of 180 until the lamp was turned, and moved to one of 45 afterwards: it lived in 180
/// times the level of its last day there over that of the survey, 50 over 50, ten hours with ramps of one hour: nine,
/// 180 × 9 × 0.0036 = 5.832 mol. What it gets now is a figure of today: 45 × 60 ∕ 50 = 54.
#[test]
fn a_colony_lived_in_the_light_of_its_earlier_place() {
    let c = "name: C\ngroup: leather\narrived: 2025-03-01\nplacements:\n  - {since: 2025-03-01, tank: \".\", x: 50 cm, y: 10 cm, depth: 5 cm}\n  - {since: 2026-05-25, tank: \".\", x: 50 cm, y: 10 cm, depth: 25 cm}\n";
    let gone = "name: D\ngroup: leather\narrived: 2025-03-01\nplacements:\n  - {since: 2025-03-01, tank: \".\", where: behind the rock}\nended: {on: 2026-05-01, how: lost}\n";
    let turned = SETTINGS
        .replace("]", ", {since: 2026-05-25, level: 60 %, height: 20 cm, schedule: \"10:00 to 20:00, ramp 60 min\"}]");
    let read = surveyed(&turned, KNOWN, &[("colonies/c.yaml", c), ("colonies/d.yaml", gone)]);
    read.is("lived.c.2025-03-01.par", 180.0);
    read.is("lived.c.2025-03-01.dli", 5.832);
    read.is("light.c.par", 54.0);
    // Turned up twenty days before it moved: 430 days at 180 and 20 at 216 are 181.6 in the mean, nine hours of it 5.8838 mol;
    // the last day alone would be 216.
    let twice = turned.replace("2026-05-25", "2026-05-05");
    let read = surveyed(&twice, KNOWN, &[("colonies/c.yaml", c)]);
    read.is("lived.c.2025-03-01.par", 181.6);
    read.is("lived.c.2025-03-01.dli", 181.6 * 9.0 * 0.0036);
    let figure = read.figure("lived.c.2025-03-01.dli");
    assert_eq!(figure.method.substituted, "DLI = (430 d × 180 × 9 h + 20 d × 216 × 9 h) × 0.0036 ∕ 450 d");
    assert!(figure.label.ends_with("mean from 2025-03-01 to 2026-05-24"), "{}", figure.label);
    let read = surveyed(&turned, KNOWN, &[("colonies/c.yaml", c), ("colonies/d.yaml", gone)]);
    // Where the place was not written down, it is said what would tell.
    assert!(read.missing("lived.d.2025-03-01.dli").unwrap().contains("its place then"));
    assert!(read.findings.figures.get(".", "lived.c.2026-05-25.dli").is_none(), "it still stands there");
}
