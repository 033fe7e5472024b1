//! What entries promised to look at again: the answer, or the date by which it is due.

use super::log::questions;
use super::view::*;
use crate::pages::model::back::*;
use crate::pages::model::*;

pub fn href(view: &View) -> String {
    view.href("promises.html")
}

/// How the promises of a tank stand. `None` where nothing was ever asked.
pub fn summary(view: &View) -> Option<String> {
    let rows = questions(view);
    let overdue = rows.iter().filter(|row| row.overdue).count();
    let answered = rows.iter().filter(|row| row.answer.is_some()).count();
    let open = rows.len() - overdue - answered;
    let mut parts = Vec::new();
    if overdue > 0 {
        parts.push(format!("{} overdue", super::water::word_number(overdue)));
    }
    if open > 0 {
        parts.push(format!("{} still open", super::water::word_number(open)));
    }
    if answered > 0 {
        parts.push(format!("{} answered", super::water::word_number(answered)));
    }
    (!rows.is_empty()).then(|| {
        format!("{}: {}.", sentence_case(&super::water::counted(rows.len(), "promise", "promises")), list(&parts, 3))
    })
}

pub fn page(view: &View) -> Option<Page> {
    let standfirst = format!("{} What an entry said it would look at again stays here, kept or not.", summary(view)?);
    let mut body = PromisesPage { standfirst, ..PromisesPage::default() };
    for row in questions(view) {
        let place = if row.answer.is_some() {
            &mut body.answered
        } else if row.overdue {
            &mut body.overdue
        } else if row.look_again.iso.is_empty() {
            &mut body.undated
        } else {
            &mut body.waiting
        };
        place.push(row);
    }
    let answered_on = |row: &QuestionRow| row.answer.as_ref().map(|answer| answer.on.iso.clone());
    body.answered.sort_by_key(|row| std::cmp::Reverse(answered_on(row)));
    let mut page = Page::new(
        href(view),
        "back",
        "Promises",
        "What entries promised to look at again, each with its answer or the date by which it is due.",
        PageBody::Promises(Box::new(body)),
    );
    page.trail = vec![PlaceLink::new("Looking back", super::back::href(view))];
    Some(page)
}
