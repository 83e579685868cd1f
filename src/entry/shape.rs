//! The shapes that field values may have. One table of fields serves proofreading, the schema and the drafts.

use super::Kind;

/// One field of front matter or of a settings file.
#[derive(Debug)]
pub(crate) struct Field {
    pub(crate) name: &'static str,
    pub(crate) required: bool,
    /// Whether a draft fills it in although it is not required.
    pub(crate) proposed: bool,
    pub(crate) shape: Shape,
    /// One sentence for people, without a full stop; shown in drafts and by editors.
    pub(crate) about: &'static str,
    /// What a draft proposes, in YAML.
    pub(crate) example: &'static str,
}

/// What a value may look like.
#[derive(Debug)]
pub(crate) enum Shape {
    /// A text that says something.
    Text,
    /// A text in Markdown.
    Markdown,
    /// A text for customers, in one language or by language.
    Customer,
    /// The three depths of an explanation, in one language or by language.
    Tell,
    /// A calendar date.
    Date,
    /// A number in a range.
    Number(Bounds),
    /// One of some words.
    Choice(&'static [&'static str]),
    /// A likelihood: a word or a number in [0, 1].
    Likelihood,
    /// The id of an entry of one kind.
    Id(Kind),
    /// The id of an entry of the same kind.
    SameKind,
    /// A trouble code.
    Code,
    /// A language tag.
    Language,
    /// A web address.
    Url,
    /// The id of a vehicle line.
    LineId,
    /// Model years.
    Years,
    /// Option values of a line, in a `fits` box.
    FitBox,
    /// A name that the writer chooses, in the form of an id.
    Name,
    /// A path such as `symptoms/hum`.
    EntryPath,
    /// One value or a list of them.
    Some(&'static Shape),
    /// A list.
    List(&'static Shape),
    /// A map whose keys the writer chooses.
    Map(&'static Shape, &'static Shape),
    /// A map with known keys.
    Record(&'static [Field]),
    /// A text, or a map with known keys.
    TextOr(&'static [Field]),
    /// One value, or a list of one value for each group of vehicles.
    PerFit(&'static Shape, &'static [Field]),
    /// A step of a flow: `check` with answers, or `verdict`.
    Step,
    /// The values of a vehicle option: a list, or a map to words.
    OptionValues,
}

impl Shape {
    /// Whether a value holds ids of entries. Links in Markdown are found whatever else is wrong with the text, and do not count.
    pub(crate) fn refers(&self) -> bool {
        let any = |fields: &[Field]| fields.iter().any(|field| field.shape.refers());
        match self {
            Self::Id(_) | Self::SameKind | Self::EntryPath | Self::Step => true,
            Self::Some(value) | Self::List(value) => value.refers(),
            Self::Map(key, value) => key.refers() || value.refers(),
            Self::Record(fields) | Self::TextOr(fields) => any(fields),
            Self::PerFit(value, fields) => value.refers() || any(fields),
            _ => false,
        }
    }
}

/// A range of numbers.
#[derive(Debug)]
pub(crate) struct Bounds {
    pub(crate) low: f64,
    pub(crate) low_excluded: bool,
    pub(crate) high: f64,
    pub(crate) whole: bool,
}

impl Bounds {
    pub(crate) const POSITIVE: Self = Self { low: 0.0, low_excluded: true, high: f64::MAX, whole: false };
    pub(crate) const NOT_NEGATIVE: Self = Self { low: 0.0, low_excluded: false, high: f64::MAX, whole: false };
    pub(crate) const ANY: Self = Self { low: f64::MIN, low_excluded: false, high: f64::MAX, whole: false };

    pub(crate) const fn between(low: f64, high: f64) -> Self {
        Self { low, low_excluded: false, high, whole: false }
    }

    pub(crate) const fn whole(low: f64, high: f64) -> Self {
        Self { low, low_excluded: false, high, whole: true }
    }

    pub(crate) fn hold(&self, number: f64) -> bool {
        let above = if self.low_excluded { number > self.low } else { number >= self.low };
        above && number <= self.high && (!self.whole || number.fract() == 0.0)
    }

    /// The range in words: "a number above 0".
    pub(crate) fn words(&self) -> String {
        let noun = if self.whole { "a whole number" } else { "a number" };
        match (self.low == f64::MIN, self.high == f64::MAX) {
            (true, true) => noun.to_owned(),
            (_, true) if self.low_excluded => format!("{noun} above {}", self.low),
            (_, true) => format!("{noun} of at least {}", self.low),
            _ => format!("{noun} from {} to {}", self.low, self.high),
        }
    }
}

/// The words for likelihoods and their numbers where the shop sets no others.
pub const LIKELIHOOD_WORDS: [(&str, f64); 6] =
    [("always", 0.98), ("usually", 0.80), ("often", 0.65), ("sometimes", 0.30), ("rarely", 0.10), ("never", 0.02)];

/// Hazard classes that every shop has, with the signal word of each: `danger` where an accident kills or maims, unless
/// avoided, `warning` where it may, `caution` where it hurts (the words as ANSI Z535.6 uses them; which class gets
/// which is common practice, no source).
pub const HAZARD_CLASSES: [(&str, &str); 11] = [
    ("raised-vehicle", "danger"),
    ("high-voltage", "danger"),
    ("stored-pressure", "warning"),
    ("hot-surface", "caution"),
    ("moving-parts", "warning"),
    ("fuel-vapour", "danger"),
    ("airbag", "warning"),
    ("spring-force", "warning"),
    ("chemical", "caution"),
    ("road-test", "warning"),
    ("exhaust-gas", "danger"),
];
