//! The keys of tank.yaml that say where the journal is published.

use crate::diagnostic::Kind;
use crate::record::fields::{Context, Fields};
use crate::record::site::{Site, SiteAddress, is_tagging_entity};
use crate::record::timeline::Located;

/// `site-address`, `feed-tag` and `author`; the latter two mean nothing without the first.
pub fn site(map: &mut Fields, context: &mut Context) -> Option<Site> {
    let typed = map.text("site-address", context);
    let feed_tag = map.text("feed-tag", context).filter(|tag| {
        let is_right = is_tagging_entity(&tag.value);
        if !is_right {
            let kind = Kind::BadAddress {
                typed: tag.value.clone(),
                why: "it is a domain of yours in small letters, a comma and a day on which it was yours".into(),
                suggestion: Some("feed-tag: example.org,2025-04-26".into()),
            };
            context.note(kind, &tag.place);
        }
        is_right
    });
    let author = map.plain("author", context);
    let typed = typed?;
    match SiteAddress::parse(&typed.value) {
        Ok(address) => Some(Site { address: Located::new(address, typed.place), feed_tag, author }),
        Err(bad) => {
            let kind = Kind::BadAddress { typed: typed.value, why: bad.why.into(), suggestion: bad.suggestion };
            context.note(kind, &typed.place);
            None
        }
    }
}
