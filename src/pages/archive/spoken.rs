//! What the keeper wrote by keys of their own, as lines that can be read aloud.

use crate::read::{Content, Node};

/// One line for each contact: who, the name, the number, and what for.
pub fn people(contacts: &Node) -> Vec<String> {
    let Content::Map(pairs) = &contacts.content else { return spoken(contacts) };
    pairs
        .iter()
        .map(|(who, contact)| {
            let who = who.as_text().unwrap_or_default().replace('-', " ");
            let Content::Map(facts) = &contact.content else { return format!("{who}: {}", inline(contact)) };
            let said = |wanted: &[&str]| -> Vec<String> {
                let facts = facts.iter().filter(|(key, _)| key.as_text().is_some_and(|key| wanted.contains(&key)));
                facts.map(|(_, value)| inline(value)).collect()
            };
            // Keys of the keeper's own stay with their words; these say themselves what they are.
            let known = ["name", "phone", "for"];
            let others = facts.iter().filter(|(key, _)| !key.as_text().is_some_and(|key| known.contains(&key)));
            let others = others.map(|(key, value)| format!("{}: {}", key.as_text().unwrap_or_default(), inline(value)));
            let notes: Vec<String> = said(&["for"]).into_iter().chain(others).collect();
            let main = said(&["name", "phone"]).join(", ");
            if notes.is_empty() { format!("{who}: {main}") } else { format!("{who}: {main} ({})", notes.join("; ")) }
        })
        .collect()
}

/// One line for each thing under a node: `neighbour: name Ana, phone 000`.
pub fn spoken(node: &Node) -> Vec<String> {
    match &node.content {
        Content::Map(pairs) => pairs
            .iter()
            .map(|(key, value)| format!("{}: {}", key.as_text().unwrap_or_default(), inline(value)))
            .collect(),
        Content::List(items) => items.iter().map(inline).collect(),
        _ => vec![inline(node)],
    }
}

fn inline(node: &Node) -> String {
    match &node.content {
        Content::Null => String::new(),
        Content::Scalar { text, .. } => text.clone(),
        Content::List(items) => items.iter().map(inline).collect::<Vec<_>>().join(", "),
        Content::Map(pairs) => pairs
            .iter()
            .map(|(key, value)| format!("{} {}", key.as_text().unwrap_or_default(), inline(value)))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::read::parse_yaml;

    #[test]
    fn contacts_are_told_without_their_keys() {
        let text = "reef-friend: {name: the club friend, phone: \"000-106\", for: knows reefs, floor: 3}\n\
                    vet: {name: the vet, phone: \"000-107\"}\nporter: ring twice\n";
        let node = parse_yaml(&Arc::from("tank.yaml"), text, 1, &mut Vec::new()).unwrap();
        assert_eq!(
            people(&node),
            [
                "reef friend: the club friend, 000-106 (knows reefs; floor: 3)",
                "vet: the vet, 000-107",
                "porter: ring twice"
            ]
        );
    }
}
