//! Marks of decision flows that are written by hand.

use super::{ExampleFile, Row};
use crate::diagnostic::MarkId;

pub(super) const ROWS: &[Row] = &[
    Row {
        id: MarkId::ExplainUngated,
        headline: "{path}[gate=hazard:, with {hazard} never ruled out][gate=only-if:, without {check} answered {answer}][gate=not-if:, although {check} was answered {answer}][gate=other-leads:, although none of the listed causes fits best][gate=other-leads-unproved:: so many ways lead there that it cannot be excluded that on one of them none of the listed causes fits best]",
        help: "Nothing may be explained as normal before every hazard that fits the vehicle is ruled out, and only under the characteristic's own conditions.[gate=other-leads-unproved: Let fewer questions lead on to the same step whatever is answered, or book in instead.]",
        about: "A flow by hand can call something normal that may be dangerous.",
        wrong: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: explain, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::RoadTestUngated,
        headline: "{path}: a drive, with {hazard} not yet ruled out",
        help: "Nobody drives a vehicle to find out whether it is safe to drive: rule the condition out first.",
        about: "A flow by hand can send somebody on a road test with a vehicle that may be unsafe.",
        wrong: &[
            ExampleFile {
                path: "checks/drive.md",
                text: Some(
                    r#"---
title: Drive on a smooth road
where: road-test
minutes: 10
hazards: road-test
basis: demo
answers: {stays: It stays, fades: It fades}
ask: Does the hum grow with speed?
---
"#,
                ),
            },
            ExampleFile {
                path: "symptoms/hum.md",
                text: Some(
                    r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: drive
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
    drive: {check: drive, stays: first, fades: first, not-sure: first}
---
A hum that rises with road speed.
"#,
                ),
            },
        ],
        right: &[
            ExampleFile {
                path: "checks/drive.md",
                text: Some(
                    r#"---
title: Drive on a smooth road
where: road-test
minutes: 10
hazards: road-test
basis: demo
answers: {stays: It stays, fades: It fades}
ask: Does the hum grow with speed?
---
"#,
                ),
            },
            ExampleFile {
                path: "symptoms/hum.md",
                text: Some(
                    r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: drive, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
    drive: {check: drive, stays: explain, fades: explain, not-sure: explain}
---
A hum that rises with road speed.
"#,
                ),
            },
        ],
    },
    Row {
        id: MarkId::AlarmIgnored,
        headline: "{path}, although {check}: {answer} is an alarm of {hazard}",
        help: "Expected after it: {expected}.",
        about: "After an alarming answer, reassuring ones must not talk a flow out of the alarm.",
        wrong: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: book, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::DeadEnd,
        headline: "{step}[: {answer}] leads to `{found}`, which is no step of this flow[; did you mean `{nearest}`?]",
        help: "",
        about: "An answer of a flow leads nowhere.",
        wrong: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stopp, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::FlowLoop,
        headline: "the flow goes round in a circle: {path}",
        help: "",
        about: "A flow must come to a verdict.",
        wrong: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: first}
    explain: {verdict: explain, characteristic: tread-hum}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::MissingAnswer,
        headline: "{step}: nothing says what follows when `{check}` is answered {missing}",
        help: "",
        about: "Every answer of a question must lead somewhere, `not-sure` among them.",
        wrong: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::UnreachableStep,
        headline: "no sequence of answers leads to the step `{step}`",
        help: "",
        about: "A step that nobody can reach was meant to be reached, or can be taken out.",
        wrong: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
    spare: {verdict: book-in, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "symptoms/hum.md",
            text: Some(
                r#"---
title: Hum at speed
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
flow:
  start: first
  steps:
    first: {check: bends-change-it, yes: rock, no: rock, not-sure: rock}
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
            ),
        }],
    },
];
