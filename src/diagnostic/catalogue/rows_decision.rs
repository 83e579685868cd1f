//! Marks of evidence, and of flows that are compiled from it.

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
ask: Does the wheel move when you rock it?
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
ask: Does the wheel move when you rock it?
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
ask: Does the wheel move when you rock it?
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
ask: Does the wheel move when you rock it?
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
