//! Equipment: the list, and one page a device with what its maker states beside what was observed.

use serde::Serialize;

use super::parts::*;

/// `equipment/index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct EquipmentPage {
    pub standfirst: String,
    /// By role, in the order a keeper walks round the tank.
    pub groups: Vec<DeviceGroup>,
    /// Devices out of service.
    pub retired: Vec<DeviceCard>,
    /// What hangs on which supply and protection, with load and rating.
    pub supply: Option<Table>,
    pub cautions: Vec<CautionBlock>,
    pub figures: Vec<FigureRow>,
}

/// Devices of one kind.
#[derive(Debug, Clone, Default, Serialize)]
pub struct DeviceGroup {
    /// `Light`.
    pub title: String,
    pub devices: Vec<DeviceCard>,
}

/// A device in a list.
#[derive(Debug, Clone, Default, Serialize)]
pub struct DeviceCard {
    pub name: String,
    pub href: String,
    /// `Lamp`.
    pub role: String,
    /// `96 W` with its basis.
    pub power: Option<Shown>,
    /// How it is set today, in one line.
    pub setting: String,
    /// `in service since 28 September 2024`.
    pub service: String,
    pub photo: Option<Photo>,
}

/// `equipment/NAME.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct DevicePage {
    pub name: String,
    pub role: String,
    /// What it does here, in one sentence.
    pub standfirst: String,
    pub photo: Option<Photo>,
    /// Role, in service, supply, protection, position.
    pub facts: Vec<Fact>,
    /// Settings today.
    pub today: Vec<Fact>,
    /// Settings when each video was filmed, beside today's.
    pub filmed: Vec<FilmedSettings>,
    /// Settings since the start, newest first.
    pub settings: Vec<SettingSince>,
    /// Name of the spec sheet; empty when there is none.
    pub spec_name: String,
    /// What its maker states beside what was observed.
    pub stated: Vec<StatedRow>,
    /// Prose of the spec sheet.
    pub spec_prose: Option<Html>,
    /// Stated flow against head, where a pump has one.
    pub curve: Option<ChartBlock>,
    /// What it forgets when the power goes, and what needs a hand.
    pub forgets: Vec<Fact>,
    pub forgets_note: String,
    /// `Cleaned every 95 days by habit; 143 days ago.`
    pub upkeep_note: String,
    /// Each time it was cleaned or mended, newest first, with what was gained.
    pub upkeep: Vec<UpkeepDone>,
    pub upkeep_chart: Option<ChartBlock>,
    /// Why it was chosen.
    pub why: Option<String>,
    /// `yes`, `no`, `maybe`: would the keeper choose it again.
    pub again: Option<String>,
    pub again_because: String,
    pub photos: Vec<Photo>,
    /// Entries that speak of it, newest first.
    pub history: Vec<DatedText>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
    /// The file it was read from.
    pub source: Option<PlaceLink>,
}

/// How a device was set on the day a video was filmed.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FilmedSettings {
    pub video: PlaceLink,
    pub filmed: DateText,
    pub rows: Vec<FilmedRow>,
    /// `The same as today.` or `Two settings have changed since.`
    pub sentence: String,
}

/// One setting, as filmed and today.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FilmedRow {
    pub label: String,
    pub filmed: String,
    pub today: String,
    pub changed: bool,
}

/// How a device was set from a date on.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SettingSince {
    pub since: DateText,
    /// `until 19 September 2026`, `until now`.
    pub until: String,
    pub facts: Vec<Fact>,
    pub why: Option<String>,
    pub place: Option<PlaceLink>,
}

/// A stated number beside the observed one.
#[derive(Debug, Clone, Default, Serialize)]
pub struct StatedRow {
    pub label: String,
    pub stated: Option<Shown>,
    pub observed: Option<Shown>,
    /// What stands between them: `head 0.9 m, 36 days since cleaning`.
    pub remark: String,
}

/// One piece of work done on a device.
#[derive(Debug, Clone, Default, Serialize)]
pub struct UpkeepDone {
    pub date: DateText,
    pub task: String,
    /// `95 days after the last time`.
    pub after: String,
    /// What was gained: `flow from 1500 to 2300 L/h, measured`; or that nobody measured.
    pub gained: String,
    pub href: Option<String>,
}

/// How the devices of a tank were set on two dates.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SettingsThen {
    /// What differs, lamps first.
    pub changed: Vec<ChangedSetting>,
    /// The devices set alike, those that came and those that went, named.
    pub others: Vec<Fact>,
}

/// One setting that differs.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ChangedSetting {
    pub device: PlaceLink,
    /// `Level`.
    pub label: String,
    pub then: String,
    pub now: String,
}
