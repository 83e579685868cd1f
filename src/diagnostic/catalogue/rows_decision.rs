//! Marks of evidence and of decision flows.

use super::{ExampleFile, Row};
use crate::diagnostic::MarkId;

pub(super) const ROWS: &[Row] = &[
    Row {
        id: MarkId::UnknownAnswer,
        headline: "the check `{check}` has no answer `{found}`[; did you mean `{nearest}`?]",
        help: "Its answers are: {expected}.",
        about: "Evidence, a gate or a flow names an answer that its check does not have.",
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
ruled_out_by: {bearing-rock: fine}
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
    Row {
        id: MarkId::BandGap,
        headline: "no answer of `{check}` covers {gap}[ {unit}]",
        help: "",
        about: "A reading could fall between two bands, and no answer would be right.",
        wrong: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Free play of the wheel
where: walk-round
minutes: 2
hazards: none
basis: demo
measures: {quantity: free play at the rim, unit: mm, from: 0, to: 5}
bands: {firm: < 0.3, loose: ">= 0.5"}
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Free play of the wheel
where: walk-round
minutes: 2
hazards: none
basis: demo
measures: {quantity: free play at the rim, unit: mm, from: 0, to: 5}
bands: {firm: < 0.5, loose: ">= 0.5"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::BandOverlap,
        headline: "`{first}` and `{second}` of `{check}` both cover {shared}[ {unit}]",
        help: "",
        about: "A reading could fall into two bands, and two answers would be right.",
        wrong: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Free play of the wheel
where: walk-round
minutes: 2
hazards: none
basis: demo
measures: {quantity: free play at the rim, unit: mm, from: 0, to: 5}
bands: {firm: <= 0.5, loose: ">= 0.5"}
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "checks/bearing-rock.md",
            text: Some(
                r#"---
title: Free play of the wheel
where: walk-round
minutes: 2
hazards: none
basis: demo
measures: {quantity: free play at the rim, unit: mm, from: 0, to: 5}
bands: {firm: < 0.5, loose: ">= 0.5"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::NoCandidates,
        headline: "nothing accounts for `{symptom}`",
        help: "Name it in the `accounts_for` of a condition or a characteristic.",
        about: "Without a candidate no question about the symptom can lead anywhere.",
        wrong: &[ExampleFile {
            path: "symptoms/rattle.md",
            text: Some(
                r#"---
title: Rattle over bumps
heard_as: [it drones on the motorway]
senses: [hear]
systems: [wheels]
basis: demo
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
---
A hum that rises with road speed.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::SameEvidence,
        headline: "no check tells `{candidate}` from `{other}` for `{symptom}`",
        help: "Give them evidence of one check with different likelihoods.",
        about: "Two candidates look alike to every check, so no flow can tell them apart.",
        wrong: &[ExampleFile {
            path: "conditions/loose-shield.md",
            text: Some(
                r#"---
title: Loose heat shield
hazard: none
systems: [wheels]
basis: demo
accounts_for:
  - symptom: hum
    prior: 0.1
    evidence:
      bends-change-it: {yes: rarely, no: usually}
      bearing-rock: {loose: never, firm: always}
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "conditions/loose-shield.md",
            text: Some(
                r#"---
title: Loose heat shield
hazard: none
systems: [wheels]
basis: demo
accounts_for:
  - symptom: hum
    prior: 0.1
    evidence:
      bends-change-it: {yes: sometimes, no: often}
      bearing-rock: {loose: never, firm: always}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::ExplainUngated,
        headline: "{path}[gate=hazard:, with {hazard} never ruled out][gate=only-if:, without {check} answered {answer}][gate=not-if:, although {check} was answered {answer}][gate=other-leads:, although none of the listed causes fits best]",
        help: "Nothing may be explained as normal before every hazard that fits the vehicle is ruled out, and only under the characteristic's own conditions.",
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
        id: MarkId::HazardNeverRuledOut,
        headline: "no check before the bay can rule out `{hazard}`, so nothing is ever explained for `{symptom}`",
        help: "Give a `ruled_out_by` with an answer of a counter, walk-round or road-test check; two where you can.",
        about: "As long as a hazard cannot be ruled out, the flow cannot call anything normal for the vehicles that it fits.",
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
ruled_out_by: {hub-play: firm}
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
    Row {
        id: MarkId::UnreachableCandidate,
        headline: "no verdict of the flow of `{symptom}` is right if it is `{candidate}`",
        help: "Name it among the `leads` of a verdict, or explain it.",
        about: "A candidate that no verdict speaks of would never be found.",
        wrong: &[
            ExampleFile {
                path: "conditions/loose-shield.md",
                text: Some(
                    r#"---
title: Loose heat shield
hazard: none
systems: [wheels]
basis: demo
accounts_for:
  - symptom: hum
    prior: 1
    evidence:
      bends-change-it: {yes: sometimes, no: often}
      bearing-rock: {loose: never, firm: always}
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
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
                ),
            },
        ],
        right: &[
            ExampleFile {
                path: "conditions/loose-shield.md",
                text: Some(
                    r#"---
title: Loose heat shield
hazard: none
systems: [wheels]
basis: demo
accounts_for:
  - symptom: hum
    prior: 1
    evidence:
      bends-change-it: {yes: sometimes, no: often}
      bearing-rock: {loose: never, firm: always}
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
    rock: {check: bearing-rock, firm: explain, loose: stop, not-sure: book}
    explain: {verdict: explain, characteristic: tread-hum}
    book: {verdict: book-in, leads: [worn-bearing, loose-shield]}
    stop: {verdict: do-not-drive, leads: [worn-bearing]}
---
A hum that rises with road speed.
"#,
                ),
            },
        ],
    },
];
