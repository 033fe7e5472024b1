//! A formula over a table: CSV in, CSV out, a row at a time, so that memory does not grow with the file.

use std::io::{self, BufRead, BufReader, Read, Write};

use csv::{ByteRecord, ReaderBuilder, Writer, WriterBuilder};

use super::given::{Item, Value};
use super::reading::read_item;
use super::{Formula, Input, Outputs, Refusal, Typed, Work, evaluate};
use crate::diagnostic::nearest;

/// Why a table was not worked out.
#[derive(Debug)]
pub enum Failure {
    /// The table does not hold what the formula wants, in plain words.
    Unfit(String),
    /// Reading failed.
    Reading(io::Error),
    /// Writing failed.
    Writing(io::Error),
}

/// How many rows came out, and how many of them without a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Summary {
    pub rows: u64,
    pub refused: u64,
}

/// The column with the reason of a row without a result.
const REFUSED: &str = "refused";

/// Works a formula out for every row of a CSV with a header; `fixed` gives inputs that the table has no column for.
///
/// Writes the input columns as they were typed, the outputs with all their digits, and `refused`. A table of a whole
/// (see [`Work`]) gives one row without the input columns, or for a series its two columns and a row for each of its
/// own.
///
/// # Errors
/// A column is missing or stands twice; reading or writing failed.
pub fn over_table(
    formula: &Formula,
    fixed: &[(String, String)],
    table: impl Read,
    out: impl Write,
) -> Result<Summary, Failure> {
    let mut table = BufReader::with_capacity(1 << 16, table);
    let start = table.fill_buf().map_err(Failure::Reading)?;
    if start.starts_with(&[0xff, 0xfe]) || start.starts_with(&[0xfe, 0xff]) {
        return Err(Failure::Unfit("the table is in UTF-16: save it as CSV in UTF-8".into()));
    }
    let bom: &[u8] = "\u{feff}".as_bytes();
    if start.starts_with(bom) {
        table.consume(bom.len());
    }
    let mut rows = Rows {
        reader: ReaderBuilder::new().has_headers(false).flexible(true).from_reader(table),
        record: ByteRecord::new(),
    };
    let header = match rows.next()? {
        Some(record) => record.iter().map(|name| String::from_utf8_lossy(name).trim().to_string()).collect(),
        None => Vec::new(),
    };
    let mut writer = WriterBuilder::new().from_writer(out);
    let summary = match formula.work {
        Work::Row(_) => each_row(formula, fixed, &header, &mut rows, &mut writer)?,
        Work::Whole(_) | Work::Series(_) => whole(formula, fixed, &header, &mut rows, &mut writer)?,
    };
    writer.flush().map_err(Failure::Writing)?;
    Ok(summary)
}

struct Rows<R> {
    reader: csv::Reader<R>,
    record: ByteRecord,
}

impl<R: Read> Rows<R> {
    fn next(&mut self) -> Result<Option<&ByteRecord>, Failure> {
        match self.reader.read_byte_record(&mut self.record) {
            Ok(true) => Ok(Some(&self.record)),
            Ok(false) => Ok(None),
            Err(error) => Err(Failure::Reading(io::Error::from(error))),
        }
    }

    fn line(&self) -> u64 {
        self.record.position().map_or(0, csv::Position::line)
    }
}

/// Where an input comes from.
enum Origin<'a> {
    Column(usize),
    Fixed(&'a str),
}

fn each_row<R: Read, W: Write>(
    formula: &Formula,
    fixed: &[(String, String)],
    header: &[String],
    rows: &mut Rows<R>,
    writer: &mut Writer<W>,
) -> Result<Summary, Failure> {
    let sources: Vec<Origin> =
        formula.inputs.iter().map(|input| source_of(input, fixed, header)).collect::<Result<_, _>>()?;
    let keys = formula.inputs.iter().map(|input| input.key);
    write(writer, keys.chain(formula.outputs.iter().map(|output| output.key)).chain([REFUSED]))?;
    let mut summary = Summary::default();
    let mut cells: Vec<String> = Vec::new();
    while let Some(record) = rows.next()? {
        cells.clear();
        let mut values = Vec::with_capacity(formula.inputs.len());
        let mut refusal: Option<String> = None;
        for (input, from) in formula.inputs.iter().zip(&sources) {
            let cell = match from {
                Origin::Column(column) => String::from_utf8_lossy(record.get(*column).unwrap_or_default()),
                Origin::Fixed(typed) => (*typed).into(),
            };
            match Typed::of(input, Some(&cell)) {
                Ok(typed) => values.push(typed.reading.value),
                Err(why) => refusal = refusal.or_else(|| Some(format!("{}: {why}", input.key))),
            }
            let empty = cell.trim().is_empty();
            cells.push(if empty { input.default.unwrap_or_default().to_string() } else { cell.into_owned() });
        }
        let outcome = match refusal {
            Some(why) => Err(Refusal(why)),
            None => evaluate(formula, &values).map(|mut rows| rows.pop().unwrap_or_default()),
        };
        summary.rows += 1;
        summary.refused += u64::from(outcome.is_err());
        write_outcome(formula, writer, &cells, outcome)?;
    }
    Ok(summary)
}

/// First column, and the column `value`: one series.
fn whole<R: Read, W: Write>(
    formula: &Formula,
    fixed: &[(String, String)],
    header: &[String],
    rows: &mut Rows<R>,
    writer: &mut Writer<W>,
) -> Result<Summary, Failure> {
    if let Some((key, _)) = fixed.first() {
        return Err(Failure::Unfit(format!("{key} is a column of the table: it cannot be given beside it")));
    }
    let value = match source_of(&formula.inputs[1], fixed, header)? {
        Origin::Column(0) => {
            return Err(Failure::Unfit("the first column holds the times, another one `value`".into()));
        }
        Origin::Column(column) => column,
        Origin::Fixed(_) => unreachable!("nothing is fixed"),
    };
    let mut lists: [Vec<Item>; 2] = [Vec::new(), Vec::new()];
    let mut cells: Vec<[String; 2]> = Vec::new();
    let mut refusal = None;
    while let Some(record) = rows.next()? {
        let pair =
            [0, value].map(|column| String::from_utf8_lossy(record.get(column).unwrap_or_default()).into_owned());
        // A row without a reading says nothing: the day it was left out.
        if pair.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        for ((input, cell), list) in formula.inputs.iter().zip(&pair).zip(&mut lists) {
            match read_item(input, cell) {
                Ok(item) => list.push(item),
                Err(why) => {
                    let line = rows.line();
                    refusal = refusal.or_else(|| Some(Refusal(format!("line {line}, {}: {why}", input.key))));
                }
            }
        }
        cells.push(pair);
    }
    let values = lists.map(Value::List);
    let outcome = match refusal {
        Some(why) => Err(why),
        None => evaluate(formula, &values),
    };
    let series = matches!(formula.work, Work::Series(_));
    let own = if series { vec![header[0].as_str(), "value"] } else { Vec::new() };
    write(writer, own.into_iter().chain(formula.outputs.iter().map(|output| output.key)).chain([REFUSED]))?;
    if !series {
        let refused = u64::from(outcome.is_err());
        let row = outcome.map(|mut rows| rows.pop().unwrap_or_default());
        write_outcome(formula, writer, &[], row)?;
        return Ok(Summary { rows: 1, refused });
    }
    let count = cells.len() as u64;
    match outcome {
        Ok(rows) => {
            for (pair, row) in cells.iter().zip(rows) {
                write_outcome(formula, writer, pair, Ok(row))?;
            }
            Ok(Summary { rows: count, refused: 0 })
        }
        Err(why) => {
            for pair in &cells {
                write_outcome(formula, writer, pair, Err(why.clone()))?;
            }
            Ok(Summary { rows: count, refused: count })
        }
    }
}

fn source_of<'a>(input: &Input, fixed: &'a [(String, String)], header: &[String]) -> Result<Origin<'a>, Failure> {
    let columns: Vec<usize> = (0..header.len()).filter(|&column| header[column] == input.key).collect();
    let given = fixed.iter().find(|(key, _)| key == input.key);
    match (columns.as_slice(), given) {
        ([column], None) => Ok(Origin::Column(*column)),
        ([], Some((_, typed))) => Ok(Origin::Fixed(typed)),
        ([], None) => Err(Failure::Unfit(missing(input, header))),
        (_, Some(_)) => {
            Err(Failure::Unfit(format!("{} is a column of the table and given beside it: leave one out", input.key)))
        }
        (_, None) => Err(Failure::Unfit(format!("the table has {} columns `{}`", columns.len(), input.key))),
    }
}

fn missing(input: &Input, header: &[String]) -> String {
    let key = input.key;
    if header.iter().all(String::is_empty) {
        return format!("the table has no header, and so no column `{key}`");
    }
    if let [only] = header
        && only.contains(';')
    {
        return format!(
            "the table has no column `{key}`: its cells are separated by semicolons, and commas are wanted"
        );
    }
    match nearest(key, header.iter().map(String::as_str)) {
        Some(near) => format!("the table has no column `{key}`; is it the one called `{near}`?"),
        None => format!("the table has no column `{key}`; it has: {}", header.join(", ")),
    }
}

fn write<'a, W: Write>(writer: &mut Writer<W>, cells: impl Iterator<Item = &'a str>) -> Result<(), Failure> {
    let cells: Vec<&str> = cells.collect();
    writer.write_record(cells).map_err(|error| Failure::Writing(io::Error::from(error)))
}

fn write_outcome<W: Write>(
    formula: &Formula,
    writer: &mut Writer<W>,
    inputs: &[String],
    outcome: Result<Outputs, Refusal>,
) -> Result<(), Failure> {
    let (outputs, refused) = match outcome {
        Ok(outputs) => (outputs, String::new()),
        Err(why) => (vec![None; formula.outputs.len()], why.0),
    };
    let numbers: Vec<String> = outputs.into_iter().map(|value| value.map(full).unwrap_or_default()).collect();
    write(writer, inputs.iter().chain(&numbers).map(String::as_str).chain([refused.as_str()]))
}

/// All digits that tell a number from its neighbours: reading them gives the same number back.
pub(super) fn full(value: f64) -> String {
    // Adding 0 turns −0 into 0.
    let value = value + 0.0;
    let size = value.abs();
    match size == 0.0 || (1e-5..1e16).contains(&size) {
        true => value.to_string(),
        false => format!("{value:e}"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::find;
    use super::*;

    fn over(name: &str, fixed: &[(&str, &str)], table: &str) -> Result<(String, Summary), String> {
        let fixed: Vec<(String, String)> = fixed.iter().map(|(k, v)| (k.to_string(), v.to_string())).collect();
        let mut out = Vec::new();
        match over_table(find(name).unwrap(), &fixed, table.as_bytes(), &mut out) {
            Ok(summary) => Ok((String::from_utf8(out).unwrap(), summary)),
            Err(Failure::Unfit(why)) => Err(why),
            Err(other) => panic!("{other:?}"),
        }
    }

    #[test]
    fn byte_order_mark_line_ends_quotes_and_other_columns() {
        let table = "\u{feff}note,\"po4_mg_l\",no3_mg_l\r\n\"a, \"\"b\"\"\",0.1,1\r\n\r\nlast,\" 0.1 \",1 mg/L NO3-N";
        let (out, summary) = over("nitrogen-to-phosphorus", &[], table).unwrap();
        assert_eq!(summary, Summary { rows: 2, refused: 0 });
        let lines: Vec<&str> = out.lines().collect();
        assert_eq!(
            lines[0],
            "no3_mg_l,po4_mg_l,nitrogen_umol_l,phosphorus_umol_l,n_to_p_molar,times_redfield_16,refused"
        );
        // By hand: 1/62.004 over 0.1/94.970.
        assert!(lines[1].starts_with("1,0.1,16.12799"), "{}", lines[1]);
        assert!(lines[1].contains(",15.3167537"), "{}", lines[1]);
        assert!(lines[2].starts_with("1 mg/L NO3-N, 0.1 ,71.39287"), "{}", lines[2]);
    }

    #[test]
    fn a_row_out_of_range_keeps_its_place_and_says_why() {
        let table = "temperature_c\n25\n300\nNaN\n\nwarm\n,\n-60.5\n77F";
        let (out, summary) = over("saturation-vapour-pressure", &[], table).unwrap();
        assert_eq!(summary, Summary { rows: 7, refused: 5 });
        let lines: Vec<&str> = out.lines().collect();
        assert_eq!(lines[2], "300,,\"temperature of 300 °C is outside the formula's range, -60 to 100 °C\"");
        assert_eq!(lines[3], "NaN,,temperature_c: `NaN` is no number that can be measured");
        assert_eq!(lines[4], "warm,,temperature_c: `warm` is not a number");
        assert_eq!(lines[5], ",,temperature_c: nothing is given");
        let value = |line: &str| line.split(',').nth(1).unwrap().parse::<f64>().unwrap();
        assert!((value(lines[7]) - value(lines[1])).abs() < 1e-12);
    }

    #[test]
    fn columns_that_are_missing_or_stand_twice() {
        let why = |table: &str| over("oxygen-saturation", &[], table).unwrap_err();
        assert_eq!(
            why("salinity,temperature_c\n"),
            "the table has no column `salinity_psu`; is it the one called `salinity`?"
        );
        assert_eq!(why(""), "the table has no header, and so no column `salinity_psu`");
        assert_eq!(why("a,b\n1,2\n"), "the table has no column `salinity_psu`; it has: a, b");
        assert!(why("salinity_psu;temperature_c\n35;25\n").contains("semicolons"));
        assert_eq!(why("salinity_psu,salinity_psu,temperature_c\n"), "the table has 2 columns `salinity_psu`");
        assert_eq!(
            over("oxygen-saturation", &[("temperature_c", "25")], "salinity_psu,temperature_c\n").unwrap_err(),
            "temperature_c is a column of the table and given beside it: leave one out"
        );
        assert!(over("oxygen-saturation", &[], "\u{ff}\u{fe}").is_err());
    }

    #[test]
    fn a_value_given_beside_the_table_and_an_empty_cell_with_a_default() {
        let (out, _) = over("oxygen-saturation", &[("temperature_c", "77F")], "salinity_psu\n35\n").unwrap();
        assert!(out.lines().nth(1).unwrap().starts_with("35,77F,2"), "{out}");
        let table = "salinity_psu,temperature_c,wavelength_nm\n0,20,\n0,20,589.3\n";
        let (out, _) = over("refractive-index", &[], table).unwrap();
        let lines: Vec<&str> = out.lines().collect();
        assert_eq!(lines[1], lines[2]);
    }

    #[test]
    fn a_series_is_refused_as_a_whole_with_the_line() {
        let (out, summary) = over("trend", &[], "x,value\n0,1\n1,two\n2,3\n").unwrap();
        assert_eq!(summary, Summary { rows: 1, refused: 1 });
        assert!(out.ends_with(",\"line 3, value: `two` is not a number\"\n"), "{out}");
        for (table, words) in [
            ("x,value\n", "three readings or more, there are 0"),
            ("x,value\n0,1\n", "three readings or more, there are 1"),
            ("x,value\n0,8\n1,8\n2,8\n", "do not differ"),
            ("x,value\n5,1\n5,2\n5,3\n5,4\n", "different times"),
        ] {
            let (out, summary) = over("trend", &[], table).unwrap();
            assert!(summary.refused == 1 && out.contains(words), "{out}");
        }
        assert!(over("trend", &[], "value,x\n1,2\n").unwrap_err().contains("first column"));
        assert!(over("trend", &[], "x,y\n1,2\n").unwrap_err().contains("no column `value`"));
    }

    /// Ten readings within a minute are ten readings: the slope is steep but a number.
    #[test]
    fn ten_readings_in_a_minute() {
        let rows: String = (0..10).map(|i| format!("{},{}\n", f64::from(i) / 14400.0, 8 + i % 3)).collect();
        let (out, summary) = over("trend", &[], &format!("time_d,value\n{rows}")).unwrap();
        assert_eq!(summary.refused, 0);
        assert!(out.lines().nth(1).unwrap().starts_with("10,"), "{out}");
    }

    #[test]
    fn numbers_are_written_with_all_their_digits() {
        for (value, text) in
            [(0.1 + 0.2, "0.30000000000000004"), (-0.0, "0"), (1e-7, "1e-7"), (1e20, "1e20"), (12.0, "12")]
        {
            assert_eq!(full(value), text);
            assert_eq!(text.parse::<f64>().unwrap(), value);
        }
    }
}
