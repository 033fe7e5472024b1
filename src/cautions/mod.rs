//! Rules that read the record and its figures and raise cautions.
//!
//! A caution is raised by something in the record, never as decoration; it says what raised it and defers to those who
//! decide. A missing answer is not a safe one: it raises the caution as a question, one level lower.

mod chemicals;
mod electricity;
mod structure;
mod tank_life;

use jiff::civil::Date;

use crate::diagnostic::Place;
use crate::figures::Findings;
use crate::pages::model::Danger;
use crate::record::{Record, Tank};

/// One raised caution.
#[derive(Clone, Debug)]
pub struct Caution {
    pub key: &'static str,
    /// The tank it is about; `None` when it is about the whole record.
    pub tank: Option<String>,
    pub danger: Danger,
    pub title: String,
    pub text: Vec<String>,
    /// What in the record raised it.
    pub why: Vec<(String, Option<Place>)>,
    /// Who decides.
    pub defer: &'static str,
    pub sources: Vec<&'static str>,
    /// Pages next to whose work it stands: `power`, `upkeep`, `colony`, `light`, `equipment`, `water`.
    pub topics: Vec<&'static str>,
    /// When and why the keeper answered it.
    pub acknowledged: Option<(Date, String)>,
}

/// All cautions of a record, gravest first, in an order that depends on nothing but the record.
pub fn raise(record: &Record, findings: &Findings) -> Vec<Caution> {
    let mut raised = Vec::new();
    for tank in record.tanks.values() {
        let mut of_tank = Vec::new();
        electricity::raise(record, tank, &mut of_tank);
        structure::raise(tank, findings, &mut of_tank);
        tank_life::raise(record, tank, &mut of_tank);
        chemicals::raise(record, tank, &mut of_tank);
        for caution in &mut of_tank {
            caution.tank = Some(tank.key.clone());
            caution.acknowledged = acknowledged(tank, caution.key);
        }
        raised.extend(of_tank);
    }
    raised.sort_by(|a, b| (a.danger, a.key, &a.tank).cmp(&(b.danger, b.key, &b.tank)));
    raised
}

fn acknowledged(tank: &Tank, key: &str) -> Option<(Date, String)> {
    tank.acknowledged
        .iter()
        .find(|acknowledged| acknowledged.caution.value == key)
        .map(|acknowledged| (acknowledged.on, acknowledged.reason.clone()))
}

/// A caution with nothing yet in its lists.
fn caution(
    key: &'static str,
    danger: Danger,
    title: impl Into<String>,
    defer: &'static str,
) -> Caution {
    Caution {
        key,
        tank: None,
        danger,
        title: title.into(),
        text: Vec::new(),
        why: Vec::new(),
        defer,
        sources: Vec::new(),
        topics: Vec::new(),
        acknowledged: None,
    }
}
