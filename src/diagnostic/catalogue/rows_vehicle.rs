//! Marks of what entries fit.

use super::{ExampleFile, Row};
use crate::diagnostic::MarkId;

/// Vehicle lines of which one has many options.
const OPTIONS: &str = r#"lines:
  tarn: {name: Tarn, years: 2016-2024, options: {drive: [front, all], o0: [a, b], o1: [a, b], o2: [a, b], o3: [a, b], o4: [a, b], o5: [a, b], o6: [a, b], o7: [a, b], o8: [a, b], o9: [a, b], o10: [a, b], o11: [a, b], o12: [a, b], o13: [a, b], o14: [a, b], o15: [a, b], o16: [a, b], o17: [a, b], o18: [a, b], o19: [a, b]}}
  rill: {name: Rill, years: 2019-2026}
"#;

pub(super) const ROWS: &[Row] = &[
    Row {
        id: MarkId::UnknownVehicle,
        headline: "no {what} is called `{found}`[; did you mean `{nearest}`?]",
        help: "Known are: {known}.",
        about: "A line, an option or a value of an option is not in vehicles.yaml.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
fits: [{line: tran}]
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
fits: [{line: tarn}]
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::EmptyFit,
        headline: "no vehicle is in this box; there are: {expected}",
        help: "",
        about: "A box of `fits` holds no vehicle of those that it may hold.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
fits: [{line: tarn, years: 2025-}]
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
fits: [{line: tarn, years: 2024-}]
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::TooManyGroups,
        headline: "more than {most} groups of vehicles are told apart by {what}",
        help: "Name fewer options together, or divide it among several entries.",
        about: "Boxes of vehicles, or all that one symptom or calculation depends on, take so many vehicles apart that nobody could read it.",
        wrong: &[
            ExampleFile { path: "vehicles.yaml", text: Some(OPTIONS) },
            ExampleFile {
                path: "guides/tips.md",
                text: Some(
                    r#"---
title: Tips
basis: demo
fits:
  - {line: tarn, o0: a, o1: a}
  - {line: tarn, o2: a, o3: a}
  - {line: tarn, o4: a, o5: a}
  - {line: tarn, o6: a, o7: a}
  - {line: tarn, o8: a, o9: a}
  - {line: tarn, o10: a, o11: a}
  - {line: tarn, o12: a, o13: a}
  - {line: tarn, o14: a, o15: a}
  - {line: tarn, o16: a, o17: a}
  - {line: tarn, o18: a, o19: a}
---
Listen.
"#,
                ),
            },
        ],
        right: &[
            ExampleFile { path: "vehicles.yaml", text: Some(OPTIONS) },
            ExampleFile {
                path: "guides/tips.md",
                text: Some(
                    r#"---
title: Tips
basis: demo
fits:
  - {line: tarn, o0: a, o1: a}
  - {line: tarn, o2: a, o3: a}
  - {line: tarn, o4: a, o5: a}
---
Listen.
"#,
                ),
            },
        ],
    },
    Row {
        id: MarkId::ReferenceOutsideFit,
        headline: "`{found}` is about other vehicles ({theirs}) than this entry ({ours})",
        help: "",
        about: "Two entries refer to each other but have no vehicle in common, so the reference helps nobody.",
        wrong: &[
            ExampleFile {
                path: "guides/tips.md",
                text: Some("---\ntitle: Tips\nbasis: demo\nfits: [{line: tarn}]\n---\nListen.\n"),
            },
            ExampleFile {
                path: "guides/bearings.md",
                text: Some(
                    "---\ntitle: Bearings of the Rill\nbasis: demo\nfits: [{line: rill}]\n---\nRead [the tips](tips.md).\n",
                ),
            },
        ],
        right: &[
            ExampleFile {
                path: "guides/tips.md",
                text: Some("---\ntitle: Tips\nbasis: demo\nfits: [{line: tarn}, {line: rill}]\n---\nListen.\n"),
            },
            ExampleFile {
                path: "guides/bearings.md",
                text: Some(
                    "---\ntitle: Bearings of the Rill\nbasis: demo\nfits: [{line: rill}]\n---\nRead [the tips](tips.md).\n",
                ),
            },
        ],
    },
    Row {
        id: MarkId::RepeatedCause,
        headline: "a second row for the symptom `{found}` covers vehicles of an earlier one: {vehicles}",
        help: "Take one of them out, or give them `fits` that have no vehicle in common.",
        about: "A row says how often an entry is the cause; two rows for one vehicle would count it twice.",
        wrong: &[ExampleFile {
            path: "conditions/worn-bearing.md",
            text: Some(
                r#"---
title: Worn wheel bearing
hazard: do-not-drive
systems: [wheels]
basis: demo
accounts_for:
  - symptom: hum
    prior: 1
    evidence:
      bends-change-it: {yes: usually, no: rarely}
      bearing-rock: {loose: always, firm: never}
  - symptom: hum
    prior: 2
    fits: [{line: tarn}]
    evidence:
      bends-change-it: {yes: usually, no: rarely}
      bearing-rock: {loose: always, firm: never}
ruled_out_by: {bearing-rock: firm}
alarm: {bearing-rock: loose}
confirm: {hub-play: loose}
remedy: Replace the hub unit.
---
## Wear

Play in the hub grows with distance.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "conditions/worn-bearing.md",
            text: Some(
                r#"---
title: Worn wheel bearing
hazard: do-not-drive
systems: [wheels]
basis: demo
accounts_for:
  - symptom: hum
    prior: 1
    fits: [{line: rill}]
    evidence:
      bends-change-it: {yes: usually, no: rarely}
      bearing-rock: {loose: always, firm: never}
  - symptom: hum
    prior: 2
    fits: [{line: tarn}]
    evidence:
      bends-change-it: {yes: usually, no: rarely}
      bearing-rock: {loose: always, firm: never}
ruled_out_by: {bearing-rock: firm}
alarm: {bearing-rock: loose}
confirm: {hub-play: loose}
remedy: Replace the hub unit.
---
## Wear

Play in the hub grows with distance.
"#,
            ),
        }],
    },
];
