//! The plain text for whoever opens the archive and has never heard of this program.

use super::plain::Plain;
use super::tidy::TidyTable;

/// What the text has to tell.
pub struct Contents<'a> {
    /// Name of the main tank.
    pub name: &'a str,
    /// The date at which the record stands.
    pub as_of: &'a str,
    pub tables: &'a [TidyTable<'a>],
    pub tanks: usize,
    pub colonies: usize,
    pub entries: usize,
    pub photos: usize,
    /// Whether private values were left out.
    pub without_private: bool,
}

/// The README, in lines of at most 78 characters.
pub fn readme(contents: &Contents) -> String {
    let mut text = Plain::default();
    text.heading(&format!("{}: the record of a reef aquarium", contents.name));
    text.say(&format!(
        "This folder is the archive of notes, photographs and measurements that somebody kept on a saltwater aquarium \
         and the corals and other animals in it, up to {}. It holds {}, {}, {} and {}. Nothing in it needs a \
         particular program: everything is plain text, web pages, tables of comma-separated values, and pictures.",
        contents.as_of,
        counted(contents.tanks, "tank", "tanks"),
        counted(contents.colonies, "colony or animal", "colonies and animals"),
        counted(contents.entries, "entry in its log", "entries in their log"),
        counted(contents.photos, "photograph", "photographs"),
    ));
    text.say(
        "If you have just become responsible for the animals: open data/hand-over.html in a web browser, or read \
         data/hand-over.txt, before anything else. It says what to do tonight, and what must never be changed.",
    );
    text.heading("What is where");
    point(
        &mut text,
        "data/hand-over.html",
        "for the next keeper, or whoever has to end it kindly; hand-over.txt holds the same words",
    );
    point(
        &mut text,
        "data/record/",
        if contents.without_private {
            "the keeper's own files, less what is private; see data/without-private.txt for what that means"
        } else {
            "the keeper's own files, untouched, byte for byte. They are the truth; all the rest was made from them. They may \
         hold private things (addresses, prices, names of people): think before you publish them"
        },
    );
    point(
        &mut text,
        "data/journal/",
        "the same as web pages, as the keeper would publish them, with nothing private in them. \
         Open data/journal/index.html in a web browser; no network and no program is needed",
    );
    point(
        &mut text,
        "data/tables/",
        "the same as tables, one kind of thing to a table, with nothing private in them. \
         datapackage.json says of every column what it is and in which unit",
    );
    text.heading("Is it unharmed?");
    text.say(
        "The folder is a \"bag\" as the public standard RFC 8493 (BagIt, 2018) describes it. The files manifest-sha256.txt \
         and manifest-sha512.txt list every file under data/ with its checksum, a long number that changes when a single \
         letter of the file does; tagmanifest-sha256.txt and tagmanifest-sha512.txt do so for the files beside them. To \
         check it with common tools, open a command line in this folder and type one of these:",
    );
    text.line("    sha256sum --check --quiet manifest-sha256.txt");
    text.line("    shasum -a 256 --check manifest-sha256.txt");
    text.line("");
    text.say(
        "Silence or \"OK\" for every file means that each is as it was. A file that is not listed was added later. In the \
         lists, %0A, %0D and %25 in a file's name stand for a line feed, a carriage return and a percent sign. The program \
         that wrote this folder says the same with: polypary archive --recheck FOLDER",
    );
    text.heading("How to read the keeper's files");
    text.say(
        "They are YAML: lines of `name: value`, indented lines belonging to the line above. tank.yaml describes a tank: \
         its size, its water, the room, the ranges the keeper wanted. equipment/ has one file for each device, specs/ what \
         its maker states, supplies/ the test kits, stock solutions, food and salt, colonies/ one file for each coral or \
         other animal, log/ the diary by date and hour, readings/ what sensors wrote, light/ surveys of the light, upkeep/ \
         recurring work, story/ chapters in prose, video/ marks of videos, photos/ the pictures. Quantities carry their \
         units. A reading `below 2` is no number: the kit saw nothing under 2.",
    );
    text.heading("How to read the tables");
    text.say(
        "Each is a text file of UTF-8 with commas between the cells and its column names in the first line (RFC 4180). An \
         empty cell means: not recorded. Numbers have a decimal point. Dates are year-month-day, moments are on the wall \
         clock where the tank stood (its zone is in tanks.csv). A column `u` is the standard uncertainty of the value: \
         about two times in three the truth lies within it, about nineteen times in twenty within twice of it. A column \
         `source` names the file and line under data/record/ that says so. datapackage.json follows the public \
         description of Data Packages with Table Schema. The tables are:",
    );
    for table in contents.tables {
        point(&mut text, &table.file(), &format!("{} ({})", table.about, counted(table.rows.count(), "row", "rows")));
    }
    text.heading("Words");
    for (word, meaning) in [
        ("alkalinity", "how much acid the water can take up, in dKH (German degrees of carbonate hardness)"),
        ("basis", "how a number is known: measured by the keeper, stated by a maker, computed from others, assumed"),
        ("colony", "one living coral, animal, sponge or plant, with an identity that outlives tanks and names"),
        ("dKH", "1 dKH is 0.357 milliequivalents a litre"),
        ("figure", "a number that was worked out from the record; figures.csv and figure-inputs.csv show from what"),
        ("fragment", "a piece cut from a colony, which grows into a colony of its own"),
        ("lot", "a production batch of a test kit; a new one may read differently"),
        ("PAR", "light that plants and corals can use, in micromoles of photons per square metre and second"),
        ("salinity", "salt in the water; on the practical scale about the same number as grams a kilogram"),
        ("sump", "a second tank below the first, joined to it by pipes"),
        ("top-off", "pure water given for what evaporated"),
    ] {
        text.item(&format!("{word}: {meaning}"));
    }
    text.heading("What it is not");
    text.say(
        "It is one keeper's record of one place, no recipe. Water and electricity, acids, and some of the animals can \
         injure people: palytoxin in zoanthids is one of the strongest poisons known. Local rules, a licensed electrician \
         and a vet come before anything that is written here. Never release an animal, an alga or the water itself into \
         the sea, a river or a storm drain.",
    );
    text.finish()
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn point(text: &mut Plain, name: &str, meaning: &str) {
    text.item(&format!("{name}: {meaning}"));
}
