//! A tidy table: one row a thing, one column a property, every column with its type, its unit and what it means.

use std::io;

use jiff::civil::{Date, DateTime};

use crate::diagnostic::Place;
use crate::record::{Located, YesNo};
use crate::units::Quantity;

/// A table of the archive, its cells already text.
pub struct TidyTable<'a> {
    /// Stem of its file.
    pub name: &'static str,
    pub title: &'static str,
    pub about: &'static str,
    pub fields: Vec<Field>,
    /// Columns that together name a row.
    pub primary: Vec<&'static str>,
    pub foreign: Vec<Foreign>,
    pub rows: Rows<'a>,
}

/// What stands below a table's heads.
pub enum Rows<'a> {
    Here(Vec<Vec<String>>),
    /// Too many to be held at once: so many, handed on one after another when they are written.
    Passing {
        count: usize,
        each: Box<Passing<'a>>,
    },
}

/// Hands every row to whoever writes it.
pub type Passing<'a> = dyn Fn(&mut dyn FnMut(&[&str]) -> io::Result<()>) -> io::Result<()> + Send + Sync + 'a;

impl Rows<'_> {
    pub fn count(&self) -> usize {
        match self {
            Rows::Here(rows) => rows.len(),
            Rows::Passing { count, .. } => *count,
        }
    }
}

#[derive(Clone, Debug)]
pub struct Field {
    pub name: &'static str,
    pub kind: FieldKind,
    /// Empty for what has none.
    pub unit: &'static str,
    pub about: &'static str,
    pub required: bool,
    /// Address of the term, for Darwin Core.
    pub term: Option<String>,
}

/// Types of the Table Schema that are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FieldKind {
    Text,
    Number,
    Whole,
    Day,
    /// Wall clock of the tank's zone, to the minute.
    Moment,
    /// The same, to the second.
    Second,
    /// Coordinated Universal Time, to the second.
    Instant,
    YesNo,
}

/// Columns whose values are those of another table's columns.
#[derive(Clone, Debug)]
pub struct Foreign {
    pub fields: Vec<&'static str>,
    pub table: &'static str,
    pub of: Vec<&'static str>,
}

/// Builds a table column by column from the things that are its rows.
pub struct Columns<'a, T> {
    items: &'a [T],
    table: TidyTable<'static>,
    rows: Vec<Vec<String>>,
}

impl<'a, T> Columns<'a, T> {
    pub fn of(name: &'static str, title: &'static str, about: &'static str, items: &'a [T]) -> Columns<'a, T> {
        let table = TidyTable {
            name,
            title,
            about,
            fields: Vec::new(),
            primary: Vec::new(),
            foreign: Vec::new(),
            rows: Rows::Here(Vec::new()),
        };
        Columns { items, table, rows: vec![Vec::new(); items.len()] }
    }

    /// A column that is part of the row's name.
    pub fn key<C: Cell>(
        mut self,
        name: &'static str,
        kind: FieldKind,
        about: &'static str,
        cell: impl Fn(&'a T) -> C,
    ) -> Columns<'a, T> {
        self.table.primary.push(name);
        self.add(name, kind, "", about, true, cell)
    }

    /// A column that no row leaves empty.
    pub fn need<C: Cell>(
        self,
        name: &'static str,
        kind: FieldKind,
        unit: &'static str,
        about: &'static str,
        cell: impl Fn(&'a T) -> C,
    ) -> Columns<'a, T> {
        self.add(name, kind, unit, about, true, cell)
    }

    /// A column that may be empty: not recorded.
    pub fn column<C: Cell>(
        self,
        name: &'static str,
        kind: FieldKind,
        unit: &'static str,
        about: &'static str,
        cell: impl Fn(&'a T) -> C,
    ) -> Columns<'a, T> {
        self.add(name, kind, unit, about, false, cell)
    }

    /// Where in the record it was written.
    pub fn source(self, place: impl Fn(&'a T) -> &'a Place) -> Columns<'a, T> {
        self.column("source", FieldKind::Text, "", "File and line of the record that says so", |item| {
            let place = place(item);
            format!("{}:{}", place.file, place.line)
        })
    }

    pub fn refers(mut self, fields: &[&'static str], table: &'static str, of: &[&'static str]) -> Columns<'a, T> {
        self.table.foreign.push(Foreign { fields: fields.to_vec(), table, of: of.to_vec() });
        self
    }

    pub fn done(self) -> TidyTable<'static> {
        TidyTable { rows: Rows::Here(self.rows), ..self.table }
    }

    fn add<C: Cell>(
        mut self,
        name: &'static str,
        kind: FieldKind,
        unit: &'static str,
        about: &'static str,
        required: bool,
        cell: impl Fn(&'a T) -> C,
    ) -> Columns<'a, T> {
        self.table.fields.push(Field { name, kind, unit, about, required, term: None });
        for (row, item) in self.rows.iter_mut().zip(self.items) {
            row.push(cell(item).cell());
        }
        self
    }
}

/// What a cell can be made from. Nothing known is an empty cell.
pub trait Cell {
    fn cell(self) -> String;
}

impl Cell for String {
    fn cell(self) -> String {
        self
    }
}

impl Cell for &str {
    fn cell(self) -> String {
        self.to_string()
    }
}

impl Cell for &String {
    fn cell(self) -> String {
        self.clone()
    }
}

impl Cell for f64 {
    /// As few digits as give the same number back.
    fn cell(self) -> String {
        if self.is_finite() { (self + 0.0).to_string() } else { String::new() }
    }
}

impl Cell for usize {
    fn cell(self) -> String {
        self.to_string()
    }
}

impl Cell for i64 {
    fn cell(self) -> String {
        self.to_string()
    }
}

impl Cell for bool {
    fn cell(self) -> String {
        if self { "true" } else { "false" }.into()
    }
}

impl Cell for Date {
    fn cell(self) -> String {
        self.to_string()
    }
}

impl Cell for DateTime {
    fn cell(self) -> String {
        self.strftime("%Y-%m-%dT%H:%M").to_string()
    }
}

impl Cell for YesNo {
    fn cell(self) -> String {
        match self {
            YesNo::Yes => "yes",
            YesNo::No => "no",
            YesNo::Unknown => "unknown",
        }
        .into()
    }
}

impl Cell for &Quantity {
    /// In the canonical unit of its dimension.
    fn cell(self) -> String {
        self.value.cell()
    }
}

impl<T> Cell for &Located<T>
where
    for<'a> &'a T: Cell,
{
    fn cell(self) -> String {
        self.value.cell()
    }
}

impl Cell for &f64 {
    fn cell(self) -> String {
        (*self).cell()
    }
}

impl Cell for &Date {
    fn cell(self) -> String {
        (*self).cell()
    }
}

impl Cell for &YesNo {
    fn cell(self) -> String {
        (*self).cell()
    }
}

impl<C: Cell> Cell for Option<C> {
    fn cell(self) -> String {
        self.map(Cell::cell).unwrap_or_default()
    }
}
