//! The table of single sensor readings.

use std::fs;

use polypary::pipeline::{self, Wanted};

use super::{put, record, request};

/// Worked out by hand from the log: line by line, on the tank's wall clock, and nothing after the newest entry.
#[test]
fn single_readings_stand_in_a_table_up_to_the_date_of_the_record() {
    let folder = record();
    put(
        folder.path(),
        "readings/probe.yaml",
        "columns: {when: time, water: temperature °F, air: room-humidity %}\nzone: Europe/Berlin\ndelimiter: \";\"\ndecimal: \",\"\n",
    );
    // Berlin is an hour ahead of Lisbon; both set their clocks back at 01:00 UTC on 26 October 2025 (IANA zone data). A
    // bad contact reads 999; the newest entry is of 10 October 2026.
    let log = "when;water;air\n\
               2025-10-26 00:30;77,0;60\n\
               2025-10-26 02:30;78,8;\n\
               2025-10-26T02:45:30+01:00;78,8;61,5\n\
               2026-10-10 10:00;999;62\n\
               2026-10-11 01:30;77,9;63\n\
               2026-10-11 00:30;77,9;63\n";
    put(folder.path(), "readings/probe.csv", log);
    let edition = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap().edition;
    let table = fs::read_to_string(edition.join("data/tables/sensor-readings.csv")).unwrap();
    let expected = [
        "tank,file,line,column,when,utc,quantity,value,unit,set_aside",
        ".,probe,2,water,2025-10-25T23:30:00,2025-10-25T22:30:00Z,temperature,25,°C,false",
        ".,probe,2,air,2025-10-25T23:30:00,2025-10-25T22:30:00Z,room-humidity,60,%,false",
        // Shown twice by the clock in Berlin, so nobody knows; the first of the two is taken.
        ".,probe,3,water,2025-10-26T01:30:00,,temperature,26,°C,false",
        ".,probe,4,water,2025-10-26T01:45:30,2025-10-26T01:45:30Z,temperature,26,°C,false",
        ".,probe,4,air,2025-10-26T01:45:30,2025-10-26T01:45:30Z,room-humidity,61.5,%,false",
        ".,probe,5,water,2026-10-10T09:00:00,2026-10-10T08:00:00Z,temperature,537.2222222222222,°C,true",
        ".,probe,5,air,2026-10-10T09:00:00,2026-10-10T08:00:00Z,room-humidity,62,%,false",
        // Still 10 October in Lisbon; the row before it is not.
        ".,probe,7,water,2026-10-10T23:30:00,2026-10-10T22:30:00Z,temperature,25.5,°C,false",
        ".,probe,7,air,2026-10-10T23:30:00,2026-10-10T22:30:00Z,room-humidity,63,%,false",
    ];
    let rows: Vec<&str> = table.lines().map(|line| line.trim_end_matches('\r')).collect();
    assert_eq!(rows.len(), expected.len(), "{table}");
    for (row, expected) in rows.iter().zip(expected) {
        for (place, (cell, expected)) in row.split(',').zip(expected.split(',')).enumerate() {
            // Degrees are converted, and the last digit may differ.
            match (place, cell.parse::<f64>(), expected.parse::<f64>()) {
                (7, Ok(cell), Ok(expected)) => assert!((cell - expected).abs() < 1e-9, "{row}"),
                _ => assert_eq!(cell, expected, "{row}"),
            }
        }
    }
    let readme = fs::read_to_string(edition.join("README.txt")).unwrap();
    let flat = readme.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("- sensor-readings.csv: What sensors read, one reading a row, as the program used it. (9 rows)")
    );
    assert!(
        flat.contains("sensor-files.csv: CSVs that sensors wrote. `sensor-readings` holds what they read. (1 row)")
    );
}
