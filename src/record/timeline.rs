//! Values that know where they were written, and values that change with time.

use jiff::civil::Date;

use crate::diagnostic::Place;

/// A value and the place in the record where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Located<T> {
    pub value: T,
    pub place: Place,
}

impl<T> Located<T> {
    pub fn new(value: T, place: Place) -> Self {
        Located { value, place }
    }
}

/// One stretch of a [`Timeline`]: from `since` on (always, when absent) the value holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch<T> {
    pub since: Option<Date>,
    pub value: T,
    pub place: Place,
}

/// A value that was set, and set anew, at known dates. Sorted by date.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline<T> {
    stretches: Vec<Stretch<T>>,
}

impl<T> Default for Timeline<T> {
    fn default() -> Self {
        Timeline { stretches: Vec::new() }
    }
}

impl<T> Timeline<T> {
    pub fn new(mut stretches: Vec<Stretch<T>>) -> Self {
        stretches.sort_by_key(|stretch| stretch.since);
        Timeline { stretches }
    }

    /// What was set on `date`. `None` before the first setting.
    pub fn at(&self, date: Date) -> Option<&Stretch<T>> {
        self.stretches.iter().rev().find(|stretch| stretch.since.is_none_or(|since| since <= date))
    }

    /// The last setting of all.
    pub fn latest(&self) -> Option<&Stretch<T>> {
        self.stretches.last()
    }

    pub fn iter(&self) -> std::slice::Iter<'_, Stretch<T>> {
        self.stretches.iter()
    }

    pub fn len(&self) -> usize {
        self.stretches.len()
    }

    pub fn is_empty(&self) -> bool {
        self.stretches.is_empty()
    }

    /// Forgets what was set after `date`.
    pub fn truncate_after(&mut self, date: Date) {
        self.stretches.retain(|stretch| stretch.since.is_none_or(|since| since <= date));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn stretch(since: Option<Date>, value: u32) -> Stretch<u32> {
        let place = Place { file: "tank.yaml".into(), line: 1, column: 1, length: 1 };
        Stretch { since, value, place }
    }

    #[test]
    fn the_setting_of_a_day_is_the_last_one_before_it() {
        let timeline = Timeline::new(vec![
            stretch(Some(date(2025, 5, 1)), 2),
            stretch(None, 1),
            stretch(Some(date(2026, 1, 1)), 3),
        ]);
        assert_eq!(timeline.at(date(2025, 4, 30)).unwrap().value, 1);
        assert_eq!(timeline.at(date(2025, 5, 1)).unwrap().value, 2);
        assert_eq!(timeline.at(date(2027, 1, 1)).unwrap().value, 3);
    }

    #[test]
    fn nothing_holds_before_the_first_dated_setting() {
        let timeline = Timeline::new(vec![stretch(Some(date(2025, 5, 1)), 2)]);
        assert!(timeline.at(date(2025, 4, 30)).is_none());
    }
}
