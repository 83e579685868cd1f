//! The marks by name: one row each, with how much it weighs.

use serde::{Deserialize, Serialize};

/// How much a mark weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing is published while it stands.
    Error,
    /// Published, but somebody should look.
    Warning,
    /// A wish.
    Advice,
}

impl Severity {
    /// The word used in reports.
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Advice => "advice",
        }
    }
}

macro_rules! marks {
    ($($variant:ident $name:literal $severity:ident;)*) => {
        /// Every mark that a proofreading pass can make.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum MarkId {
            $(#[doc = concat!("The mark `", $name, "`.")] $variant,)*
        }

        impl MarkId {
            /// All marks, in the order of the rooms that make them.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The name shown in reports and given to the command `marks`.
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// How much it weighs.
            pub fn severity(self) -> Severity {
                match self { $(Self::$variant => Severity::$severity,)* }
            }
        }
    };
}

marks! {
    UnreadableFile "unreadable-file" Error;
    BadFrontMatter "bad-front-matter" Error;
    UnknownField "unknown-field" Error;
    MissingField "missing-field" Error;
    BadValue "bad-value" Error;
    UnchangedDraft "unchanged-draft" Error;
    BadId "bad-id" Error;
    DuplicateId "duplicate-id" Error;
    RawHtml "raw-html" Error;
    UnsafeLink "unsafe-link" Error;
    DanglingReference "dangling-reference" Error;
    WrongKind "wrong-kind" Error;
    DanglingHeading "dangling-heading" Error;
    MissingPicture "missing-picture" Error;
    MissingAltText "missing-alt-text" Error;
    UnusedPicture "unused-picture" Warning;
    OrphanEntry "orphan-entry" Warning;
    SupersededReference "superseded-reference" Warning;
    ReplacementLoop "replacement-loop" Error;
    UnknownVehicle "unknown-vehicle" Error;
    EmptyFit "empty-fit" Error;
    TooManyGroups "too-many-groups" Error;
    ReferenceOutsideFit "reference-outside-fit" Warning;
    RepeatedCause "repeated-cause" Error;
    CalcSyntax "calc-syntax" Error;
    UnknownName "unknown-name" Error;
    UnknownUnit "unknown-unit" Error;
    DimensionMismatch "dimension-mismatch" Error;
    CalcLoop "calc-loop" Error;
    StatedValueDiffers "stated-value-differs" Error;
    SpecDiffers "spec-differs" Error;
    OutOfDomain "out-of-domain" Error;
    UnusedGiven "unused-given" Warning;
    UnknownAnswer "unknown-answer" Error;
    BandGap "band-gap" Error;
    BandOverlap "band-overlap" Error;
    NoCandidates "no-candidates" Error;
    SameEvidence "same-evidence" Warning;
    ExplainUngated "explain-ungated" Error;
    RoadTestUngated "road-test-ungated" Error;
    AlarmIgnored "alarm-ignored" Error;
    HazardNeverRuledOut "hazard-never-ruled-out" Warning;
    DeadEnd "dead-end" Error;
    FlowLoop "flow-loop" Error;
    MissingAnswer "missing-answer" Error;
    UnreachableStep "unreachable-step" Error;
    UnreachableCandidate "unreachable-candidate" Warning;
    ReviewOverdue "review-overdue" Warning;
    MissingSource "missing-source" Advice;
    HardToRead "hard-to-read" Warning;
    TitleAsQuestion "title-as-question" Advice;
    MissingHazards "missing-hazards" Error;
    MissingTranslation "missing-translation" Warning;
}

impl MarkId {
    /// The mark of that name.
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|id| id.name() == name)
    }
}
