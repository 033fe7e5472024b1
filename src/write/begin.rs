//! A new record: commented, and rendering at once.

use std::fs;
use std::io;
use std::path::Path;

use jiff::civil::Date;

use super::texts::write_texts;

/// The files of a new record, started on a date.
fn files(date: Date) -> Vec<(&'static str, String)> {
    let day = date.to_string();
    let fill = |text: &str| text.replace("DATE", &day);
    vec![
        (
            "tank.yaml",
            fill(
                "# yaml-language-server: $schema=schema/tank.json\n\
                 # Your tank. Everything after a `#` is a remark for you; it never reaches a page.\n\
                 name: My tank\n\
                 about: One or two sentences on what it is.\n\
                 started: DATE            # the day it was first filled\n\
                 zone: Europe/Lisbon            # your time zone, as area and city\n\
                 # country: PT                  # two letters; some cautions differ by country\n\
                 size: 60 x 40 x 40 cm          # outer length, width, height; inches work too\n\
                 # glass: 8 mm\n\
                 # water-depth: 34 cm           # from the sand to the surface\n\
                 water: 75 L, counted at fill   # or: 75 L, stated / tracer / geometry\n\
                 # room: 18 to 27 °C\n\
                 # electricity: 230 V, 0.24 EUR/kWh\n\
                 # floor: ground                # or: upper\n\
                 \n\
                 # A bare number is taken in these units; without them every number needs its unit.\n\
                 usual-units: {temperature: °C, salinity: ppt, alkalinity: dKH, nitrate: mg/L NO3, phosphate: mg/L PO4}\n\
                 \n\
                 # The range you want each value in.\n\
                 bands: {temperature: 24 to 26.5, salinity: 33 to 36, alkalinity: 7 to 10, nitrate: 2 to 20}\n\
                 \n\
                 # What stands under `private:` never reaches the journal.\n\
                 # private: {price: 300 EUR}\n",
            ),
        ),
        (
            "log/DATE.yaml",
            fill(
                "# yaml-language-server: $schema=../schema/log.json\n\
                 # One entry for each moment worth writing. A date alone is a quiet entry: somebody looked, nothing to report.\n\
                 DATE:\n\
                 \x20 temperature: 25.1\n\
                 \x20 salinity: 34.5\n\
                 \x20 note: \"First entry.\"\n\
                 \x20 # nitrate: below 2\n\
                 \x20 # top-off: 1.5 L\n\
                 \x20 # water-change: 8 L\n\
                 \x20 # done: [glass]\n\
                 \x20 # photos: [DATE-front.jpg]     # from photos/\n\
                 \x20 # ask: {what: \"Will it settle?\", by: 2030-01-31}\n",
            ),
        ),
        (
            "equipment/heater.yaml",
            fill(
                "# yaml-language-server: $schema=../schema/equipment.json\n\
                 # One file for each device.\n\
                 name: Heater\n\
                 role: heater\n\
                 in-service: DATE\n\
                 watts: 50 W\n\
                 position: in-water\n\
                 mains: yes\n\
                 settings: {temperature: 25 °C}\n\
                 # forgets: {keeps-settings: yes, restarts-itself: yes, state-at-power-up: last}\n",
            ),
        ),
        (
            "upkeep/tasks.yaml",
            fill(
                "# yaml-language-server: $schema=../schema/upkeep.json\n\
                 # What comes again and again.\n\
                 tasks:\n\
                 \x20 glass: {every: 3 days, takes: 3 min, what: clean the glass, hands-in-water: yes}\n\
                 \x20 ground-fault-test: {every: 30 days, takes: 1 min, what: press the test button of the earth-leakage protection}\n",
            ),
        ),
    ]
}

/// Writes a new record into a folder that is not there yet, or is empty. `schemas` (name and text of each) go into its
/// folder `schema`, where the first line of each file has an editor look.
///
/// # Errors
/// When the folder holds anything already (nothing is overwritten), or the system refuses.
pub fn begin(folder: &Path, date: Date, schemas: &[(String, String)]) -> io::Result<Vec<String>> {
    if folder.exists() && fs::read_dir(folder)?.next().is_some() {
        return Err(io::Error::new(io::ErrorKind::AlreadyExists, format!("`{}` is not empty", folder.display())));
    }
    let texts: Vec<(String, String)> =
        files(date).into_iter().map(|(path, text)| (path.replace("DATE", &date.to_string()), text)).collect();
    write_texts(folder, &texts)?;
    write_texts(&folder.join("schema"), schemas)?;
    for empty in ["photos", "colonies", "supplies"] {
        fs::create_dir_all(folder.join(empty))?;
    }
    Ok(texts.into_iter().map(|(path, _)| path).collect())
}
