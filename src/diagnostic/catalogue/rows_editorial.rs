//! Marks of the editor.

use super::{ExampleFile, Row};
use crate::diagnostic::MarkId;

pub(super) const ROWS: &[Row] = &[
    Row {
        id: MarkId::ReviewOverdue,
        headline: "the review was due on {found}",
        help: "",
        about: "An entry is read again from time to time, so that it stays right. This mark looks at the day; pages do not.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
review_by: 2026-01-31
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
review_by: 2027-01-31
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::MissingSource,
        headline: "“{entry}” names no source",
        help: "Give a `source`, or say with `basis` that it is common practice or the shop's own experience.",
        about: "Readers weigh what they read by where it comes from.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::HardToRead,
        headline: "`{field}` reads at school grade {found}; the shop's limit is {expected}",
        help: "Shorter sentences and shorter words lower the grade.",
        about: "Texts for customers must be understood at once. The grade is that of Flesch and Kincaid, for English texts.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Considering uninterrupted motorway operation, does the intermittent reverberation characteristically intensify during directional alterations?
basis: demo
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::TitleAsQuestion,
        headline: "“{entry}” has no `ask`, so that its title is asked",
        help: "Say in `ask` what to look for or to do, as a question in plain words.",
        about: "A flow puts each check as a question. Titles are names, which whoever goes around the vehicle may not understand.",
        wrong: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Rock the wheel
where: walk-round
minutes: 2
hazards: none
basis: demo
answers: {loose: It moves, firm: It is firm}
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Rock the wheel
where: walk-round
minutes: 2
hazards: none
basis: demo
answers: {loose: It moves, firm: It is firm}
ask: Does the wheel move when you rock it?
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::MissingHazards,
        headline: "work at `{found}` needs `hazards`: its hazard classes, or `none`",
        help: "Classes are raised-vehicle, high-voltage, stored-pressure, hot-surface, moving-parts, fuel-vapour, airbag, spring-force, chemical, road-test, exhaust-gas and those in cautions.yaml.",
        about: "Whoever does a check away from the counter must see its cautions.",
        wrong: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Rock the wheel
where: walk-round
minutes: 2
basis: demo
answers: {loose: It moves, firm: It is firm}
ask: Does the hum grow with speed?
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Rock the wheel
where: walk-round
minutes: 2
hazards: none
basis: demo
answers: {loose: It moves, firm: It is firm}
ask: Does the wheel move when you rock it?
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::MissingTranslation,
        headline: "`{field}` is not given in: {missing}",
        help: "",
        about: "A text for customers is not there in every language of the shop.",
        wrong: &[ExampleFile {
            path: "shop.yaml",
            text: Some(
                r#"name: Example Workshop
languages: [en, es]
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "shop.yaml",
            text: Some(
                r#"name: Example Workshop
languages: [en]
"#,
            ),
        }],
    },
];
