//! The data every page template reads, and nothing else: plain structs whose values arrive formatted.
//!
//! One file a group of pages, and `parts` for what several pages share. Everything here is text, lists and yes-or-no;
//! no model does arithmetic, reads the record or knows where it is written.
//!
//! Links. Every field named `href` or `path` is relative to the edition's root (`water/nitrate.html`,
//! `source/log/2026.yaml.html#L12`), or starts with `#`, `https:`, `http:` or `mailto:`. The writer turns it into one
//! that is relative to the page it stands on, so a model need not know how deep its page lies. HTML that arrives ready
//! ([`Html`]) is the exception: whoever makes it writes its links for the page, with [`Page::root_of`].

pub mod back;
pub mod cautions;
pub mod colony;
pub mod equipment;
pub mod front;
pub mod heat;
pub mod light;
pub mod log;
pub mod movement;
pub mod parts;
pub mod photos;
pub mod power;
pub mod share;
pub mod sheet;
pub mod sources;
pub mod story;
pub mod tanks;
pub mod upkeep;
pub mod video;
pub mod water;

use serde::Serialize;

pub use parts::*;

/// One page of an edition: where it goes, which template writes it, and what that template is told.
#[derive(Debug, Clone, Serialize)]
pub struct Page {
    /// Path of the file below the edition's root, with `/` between folders: `water/nitrate.html`.
    pub path: String,
    /// Name of the template in `templates/`: `quantity.html`. See [`PageBody::template`].
    pub template: &'static str,
    /// What the browser's tab and a search result say, without the journal's name: `Nitrate`.
    pub title: String,
    /// One sentence for search results and link previews.
    pub description: String,
    /// `""` at the root, `"../"` one folder down, and so on; see [`Page::root_of`].
    pub root: String,
    /// Key of the navigation entry this page belongs to ([`NavItem::key`]): `water`.
    pub section: String,
    /// Pages above this one, outermost first, without the front page and without this page.
    pub trail: Vec<PlaceLink>,
    /// The page as other programs meet it; without the journal's address there is nothing to tell them.
    pub share: Option<share::Share>,
    /// What the template is told, under the name `body`.
    pub body: PageBody,
}

impl Page {
    /// A page whose template and root prefix follow from its body and path.
    pub fn new(
        path: impl Into<String>,
        section: impl Into<String>,
        title: impl Into<String>,
        description: impl Into<String>,
        body: PageBody,
    ) -> Page {
        let path = path.into();
        Page {
            root: Page::root_of(&path),
            template: body.template(),
            path,
            title: title.into(),
            description: description.into(),
            section: section.into(),
            trail: Vec::new(),
            share: None,
            body,
        }
    }

    /// The way from a page back to the edition's root: `""` for `index.html`, `"../"` for `water/nitrate.html`.
    pub fn root_of(path: &str) -> String {
        "../".repeat(path.matches('/').count())
    }
}

/// The body of a page: one variant a template.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum PageBody {
    Front(Box<front::FrontPage>),
    Story(Box<story::StoryPage>),
    Chapter(Box<story::ChapterPage>),
    Equipment(Box<equipment::EquipmentPage>),
    Device(Box<equipment::DevicePage>),
    Light(Box<light::LightPage>),
    Survey(Box<light::SurveyPage>),
    Movement(Box<movement::MovementPage>),
    Heat(Box<heat::HeatPage>),
    Power(Box<power::PowerPage>),
    Water(Box<water::WaterPage>),
    Quantity(Box<water::QuantityPage>),
    Colonies(Box<colony::ColoniesPage>),
    Colony(Box<colony::ColonyPage>),
    Upkeep(Box<upkeep::UpkeepPage>),
    Log(Box<log::LogPage>),
    Year(Box<log::YearPage>),
    Entry(Box<log::EntryPage>),
    Cautions(Box<cautions::CautionsPage>),
    Sources(Box<sources::SourcesPage>),
    SourceFile(Box<sources::SourceFilePage>),
    Tanks(Box<tanks::TanksPage>),
    Videos(Box<video::VideosPage>),
    Video(Box<video::VideoPage>),
    Photos(Box<photos::PhotosPage>),
    Photo(Box<photos::PhotoPage>),
    LookingBack(Box<back::LookingBackPage>),
    Review(Box<back::ReviewPage>),
    Compare(Box<back::ComparePage>),
    Promises(Box<back::PromisesPage>),
}

impl PageBody {
    /// The template that knows this body.
    pub fn template(&self) -> &'static str {
        match self {
            PageBody::Front(_) => "index.html",
            PageBody::Story(_) => "story.html",
            PageBody::Chapter(_) => "chapter.html",
            PageBody::Equipment(_) => "equipment.html",
            PageBody::Device(_) => "device.html",
            PageBody::Light(_) => "light.html",
            PageBody::Survey(_) => "survey.html",
            PageBody::Movement(_) => "movement.html",
            PageBody::Heat(_) => "heat.html",
            PageBody::Power(_) => "power.html",
            PageBody::Water(_) => "water.html",
            PageBody::Quantity(_) => "quantity.html",
            PageBody::Colonies(_) => "colonies.html",
            PageBody::Colony(_) => "colony.html",
            PageBody::Upkeep(_) => "upkeep.html",
            PageBody::Log(_) => "log.html",
            PageBody::Year(_) => "year.html",
            PageBody::Entry(_) => "entry.html",
            PageBody::Cautions(_) => "cautions.html",
            PageBody::Sources(_) => "sources.html",
            PageBody::SourceFile(_) => "source-file.html",
            PageBody::Tanks(_) => "tanks.html",
            PageBody::Videos(_) => "videos.html",
            PageBody::Video(_) => "video.html",
            PageBody::Photos(_) => "photos.html",
            PageBody::Photo(_) => "photo.html",
            PageBody::LookingBack(_) => "looking-back.html",
            PageBody::Review(_) => "review.html",
            PageBody::Compare(_) => "compare.html",
            PageBody::Promises(_) => "promises.html",
        }
    }
}

/// What is the same on every page of one tank, under the name `site`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Site {
    /// Name of the tank, which is the name of the journal: `Low Tide`.
    pub name: String,
    /// Language of the pages, for the `lang` attribute: `en`.
    pub language: String,
    /// `journal`.
    pub edition: String,
    /// The date the whole edition stands at.
    pub as_of: DateText,
    /// The front page of this tank: `index.html`, or `jar/index.html`.
    pub home: String,
    /// The main navigation, in order.
    pub nav: Vec<NavItem>,
    /// The tanks of the record; empty when there is one.
    pub tanks: Vec<TankLink>,
    /// Sentences at the foot of every page.
    pub notes: Vec<String>,
    /// Where the foot's "how the numbers are known" leads: `sources.html`.
    pub sources_href: String,
    /// The feed of entries and chapters, where the journal has an address: `feed.xml`.
    pub feed_href: Option<String>,
}

/// One entry of the main navigation.
#[derive(Debug, Clone, Default, Serialize)]
pub struct NavItem {
    /// Compared with [`Page::section`] to mark where the reader is: `water`.
    pub key: String,
    /// `Water`.
    pub text: String,
    pub href: String,
}

/// One tank in the switch between the tanks of a record.
#[derive(Debug, Clone, Default, Serialize)]
pub struct TankLink {
    pub name: String,
    pub href: String,
    /// Whether the pages around this switch are about this tank.
    pub current: bool,
}
