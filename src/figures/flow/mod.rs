//! Movement of the water: what each pump moves, turnover by group, and what runs back when the power goes.

use jiff::civil::Date;

use super::figure::Figures;
use super::graph::NodeId;
use super::inputs::number;
use crate::record::tank::{PumpGroup, TankKind};
use crate::record::{Band, Record, Tank};

mod drain;
mod plumbing;
mod pump;

pub use drain::Drain;
pub use plumbing::PumpSystem;

/// One pump as it works today.
#[derive(Clone, Debug)]
pub struct PumpFlow {
    pub device: String,
    pub group: PumpGroup,
    pub stated: Option<String>,
    pub derated: Option<String>,
    pub last_cleaned: Option<Date>,
    pub last_test: Option<(Date, f64)>,
    /// Of the flow test that what is left was worked out from.
    pub from_test: Option<Date>,
}

/// What pages draw of the water's movement besides the pumps.
#[derive(Clone, Debug, Default)]
pub struct Movement {
    pub groups: Vec<GroupTurnover>,
    pub systems: Vec<PumpSystem>,
    pub drain: Option<Drain>,
}

/// Turnover of the pumps of one kind, beside the band it is wanted in.
#[derive(Clone, Debug)]
pub struct GroupTurnover {
    pub group: PumpGroup,
    /// Key of its figure.
    pub figure: String,
    pub band: Option<Band>,
    /// Whether the band is the keeper's; else it is common practice, no source.
    pub band_is_own: bool,
}

pub fn work_out(
    record: &Record,
    tank: &Tank,
    volume: Option<NodeId>,
    figures: &mut Figures,
) -> (Vec<PumpFlow>, Movement) {
    let mut pumps = Vec::new();
    let mut movement = Movement::default();
    let (mut found, mut returns) = (Vec::new(), Vec::new());
    for device in tank.devices_at(record.as_of) {
        let Some(group) = PumpGroup::of(device.role.value) else {
            continue;
        };
        let worked = pump::work_out(record, tank, device, group, figures);
        movement.systems.extend(worked.system);
        if group == PumpGroup::Return {
            returns.extend(worked.clean);
        }
        found.push((group, worked.stated, worked.derated));
        pumps.push(worked.pump);
    }
    let all = |group: fn(&PumpGroup) -> bool, stated: bool| -> Vec<NodeId> {
        let of_group = found.iter().filter(|(of, _, _)| group(of));
        of_group.filter_map(|(_, as_stated, derated)| if stated { *as_stated } else { *derated }).collect()
    };
    let moves_display = |group: &PumpGroup| *group != PumpGroup::Filtration;
    if let Some(volume) = volume {
        turnover(tank, "flow.turnover-stated", "Turnover as stated", &all(moves_display, true), volume, figures);
        turnover(tank, "flow.turnover", "Turnover, derated", &all(moves_display, false), volume, figures);
        let groups: [(PumpGroup, &str, Vec<NodeId>); 3] = [
            (
                PumpGroup::Circulation,
                "Turnover by circulation pumps",
                all(|group| *group == PumpGroup::Circulation, false),
            ),
            (PumpGroup::Return, "Turnover through the sump", all(|group| *group == PumpGroup::Return, false)),
            (PumpGroup::Filtration, "Turnover through filters", all(|group| *group == PumpGroup::Filtration, false)),
        ];
        for (group, label, nodes) in groups {
            let key = format!("flow.turnover.{}", group.word());
            if turnover(tank, &key, label, &nodes, volume, figures) {
                let own = tank.turnover.get(&group).map(|band| band.value);
                movement.groups.push(GroupTurnover {
                    group,
                    figure: key,
                    band: own.or_else(|| common_band(group, tank.kind.as_ref().map(|kind| kind.value))),
                    band_is_own: own.is_some(),
                });
            }
        }
    }
    // More flow stands higher over the edge and runs back longer: the clean pump is on the safe side.
    movement.drain = drain::work_out(record, tank, &returns, figures);
    (pumps, movement)
}

/// Tank volumes an hour that are usual (common practice, no source): of all pumps together by kind of tank, and of a
/// return alone.
fn common_band(group: PumpGroup, kind: Option<TankKind>) -> Option<Band> {
    let (low, high) = match (group, kind) {
        (PumpGroup::Return, _) => (3.0, 8.0),
        (PumpGroup::Filtration, _) | (PumpGroup::Circulation, None) => return None,
        (PumpGroup::Circulation, Some(TankKind::Lagoon)) => (5.0, 15.0),
        (PumpGroup::Circulation, Some(TankKind::Soft)) => (10.0, 25.0),
        (PumpGroup::Circulation, Some(TankKind::Mixed)) => (20.0, 40.0),
        (PumpGroup::Circulation, Some(TankKind::Stony)) => (40.0, 100.0),
    };
    Some(Band { low, high })
}

/// Adds a turnover; whether there was any flow to count.
fn turnover(tank: &Tank, key: &str, label: &str, flows: &[NodeId], volume: NodeId, figures: &mut Figures) -> bool {
    if flows.is_empty() {
        return false;
    }
    let graph = &mut figures.graph;
    let total = graph.sum("Flow of these pumps", "L/h", flows);
    let node = graph.compute(label, "volumes an hour", &[total, volume], |x| x[0] / x[1]);
    let numbers = format!("n = {} L/h ∕ {} L", number(graph.value(total)), number(graph.value(volume)));
    figures
        .define(&tank.key, key, label)
        .method("n = Σ Q ∕ V", numbers, &[])
        .inputs(flows)
        .inputs(&["water.net-volume"])
        .note("turnover counts pumps, not water: jets, rock and where an animal sits are not in it")
        .finish(node);
    true
}
