//! Enumerations of the record's files, taken from the tables that the readers themselves use.

use crate::record::Parameter;
use crate::record::colony::{CauseGrade, EndKind, Grade, Group, SURE, SourceKind};
use crate::record::entry::EventKind;
use crate::record::equipment::{MADE, Position, PowerUp, Role, StandsIn};
use crate::record::sitter::{LANGUAGES, Portions, Reads};
use crate::record::supply::{KitMethod, SupplyKind};
use crate::record::survey::REPEATED_HOUR;
use crate::record::tank::{BUILT, FLOORS, TANK_KINDS};
use crate::record::upkeep::WHO;
use crate::science::plumbing::Fitting;
use crate::write::theme;

fn first<T>(words: &[(&'static str, T)]) -> Vec<&'static str> {
    words.iter().map(|(word, _)| *word).collect()
}

/// The words of an enumeration that the tables name.
pub fn words(name: &str) -> Option<Vec<&'static str>> {
    Some(match name {
        "built" => first(BUILT),
        "cause-grade" => first(CauseGrade::WORDS),
        "end-kind" => first(EndKind::WORDS),
        "event-kind" => first(EventKind::WORDS),
        "fitting" => first(Fitting::WORDS),
        "floor" => first(FLOORS),
        "grade" => first(Grade::WORDS),
        "group" => first(Group::WORDS),
        "kit-method" => first(KitMethod::WORDS),
        "language" => LANGUAGES.to_vec(),
        "made" => first(MADE),
        "parameter" => Parameter::ALL.iter().map(|parameter| parameter.key()).collect(),
        "portions" => first(Portions::WORDS),
        "position" => first(Position::WORDS),
        "power-up" => first(PowerUp::WORDS),
        "reads" => first(Reads::WORDS),
        "repeated-hour" => first(REPEATED_HOUR),
        "role" => first(Role::WORDS),
        "source-kind" => first(SourceKind::WORDS),
        "supply-kind" => first(SupplyKind::WORDS),
        "stands-in" => first(StandsIn::WORDS),
        "sure" => SURE.to_vec(),
        "tank-kind" => first(TANK_KINDS),
        "who" => first(WHO),
        _ => return None,
    })
}

/// The roles that a theme gives a colour, a typeface or a size to.
pub fn roles(group: &str) -> Option<&'static [&'static str]> {
    Some(match group {
        "colour" => &theme::COLOUR_ROLES,
        "type" => &theme::TYPE_ROLES,
        "size" => &theme::SIZE_ROLES,
        _ => return None,
    })
}
