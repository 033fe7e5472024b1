//! The caution about what runs back into the sump when the power goes.

use super::electricity::paragraphs;
use super::{Caution, caution};
use crate::cautions::Danger;
use crate::figures::{Findings, number};
use crate::record::Tank;
use crate::science::normal::ONE_SIDED_95;

const WHO: &str = "The keeper's own rehearsal decides, not this sum; an electrician decides about sockets under a tank, and the \
                   insurer about water that leaves it.";

/// Raised where what runs back is more than the sump has room for, or cannot be told from it, or is not known.
pub(super) fn raise(tank: &Tank, findings: &Findings, out: &mut Vec<Caution>) {
    let Some(drain) = findings.tanks.get(&tank.key).and_then(|of_tank| of_tank.movement.drain.as_ref()) else {
        return;
    };
    let figure = |key: &Option<String>| findings.figures.get(&tank.key, key.as_ref()?);
    let rehearse = "Rehearse it: switch the return off and stand by. Write down the highest level in the sump, and mark it. Look \
                    again after every change of pipes, nozzle or water level.";
    let bounds = [figure(&drain.drain_back), figure(&drain.headroom)];
    let (danger, title, first) = match figure(&drain.margin) {
        Some(margin) if margin.value + ONE_SIDED_95 * margin.uncertainty < 0.0 => (
            Danger::People,
            "The sump would overflow when the power goes",
            "More water runs back than the sump has room for. Water on a floor with sockets and cords in it can kill: lower \
             the running level of the sump, or raise the mouth of the return, before anything else."
                .to_string(),
        ),
        Some(margin) if margin.value - ONE_SIDED_95 * margin.uncertainty < 0.0 => (
            Danger::Check,
            "The sump may overflow when the power goes",
            format!(
                "Between what runs back and the room in the sump lie {} L, give or take {} L: too close to tell.",
                number(margin.value),
                number(ONE_SIDED_95 * margin.uncertainty)
            ),
        ),
        Some(_) => return,
        None => (
            Danger::Check,
            "How high does the sump rise when the power goes?",
            "The record does not hold enough to say whether the sump has room for the water that runs back.".to_string(),
        ),
    };
    let mut raised = caution("flood.drain-back", danger, title, WHO);
    raised.text = vec![first];
    raised.text.extend(paragraphs(&[
        rehearse,
        "Keep the return's mouth close under the surface, with a hole above it that lets air in; keep that hole open. A check \
         valve alone is no protection.",
    ]));
    for figure in bounds.into_iter().flatten() {
        raised.why.push((format!("{}: {} L", figure.label.to_lowercase(), number(figure.value)), None));
    }
    match &tank.overflow {
        Some(overflow) => {
            raised.why.push(("what the record says of the overflow".into(), Some(overflow.place.clone())))
        }
        None => raised.why.push(("the record says nothing of the overflow".into(), Some(tank.place.clone()))),
    }
    raised.sources = vec!["common practice, no source"];
    raised.topics = vec!["flow", "equipment", "upkeep"];
    out.push(raised);
}
