//! The way to what looks back: years in review, dates side by side, promises.

use jiff::civil::Date;

use super::then::Dates;
use super::view::*;
use super::{compare, review};
use crate::pages::model::back::*;
use crate::pages::model::*;

pub fn href(view: &View) -> String {
    view.href("looking-back.html")
}

/// The dates at which these pages need a tank.
pub fn dates(view: &View) -> Vec<Date> {
    review::dates(view).into_iter().chain(compare::dates(view)).collect()
}

pub fn pages(view: &View, then: &Dates) -> Vec<Page> {
    let (years, mut pages): (Vec<_>, Vec<_>) = review::pages(view, then).into_iter().unzip();
    let (pairs, anniversaries, compared) = compare::pages(view, then);
    pages.extend(compared);
    let promises = super::promises::page(view);
    let mut found = Vec::new();
    if !years.is_empty() {
        found.push("each year with its figures as of its end");
    }
    if !pairs.is_empty() || !anniversaries.is_empty() {
        found.push("dates side by side");
    }
    if promises.is_some() {
        found.push("what was promised");
    }
    let words: Vec<String> = found.iter().map(|words| words.to_string()).collect();
    let body = LookingBackPage {
        standfirst: sentence(&sentence_case(&list(&words, 3))),
        years: years.into_iter().rev().collect(),
        pairs,
        anniversaries,
        promises: super::promises::summary(view).unwrap_or_default(),
        promises_href: promises.is_some().then(|| super::promises::href(view)),
    };
    pages.extend(promises);
    pages.push(Page::new(
        href(view),
        "back",
        "Looking back",
        "Years in review, dates side by side, and what was promised.",
        PageBody::LookingBack(Box::new(body)),
    ));
    pages
}
