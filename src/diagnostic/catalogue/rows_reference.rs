//! Marks of references.

use super::{ExampleFile, Row};
use crate::diagnostic::MarkId;

pub(super) const ROWS: &[Row] = &[
    Row {
        id: MarkId::DanglingReference,
        headline: "no {what} is called `{found}`[; did you mean `{nearest}`?]",
        help: "",
        about: "A reference leads to nothing.",
        wrong: &[ExampleFile {
            path: "guides/bearings.md",
            text: Some(
                r#"---
title: About bearings
basis: demo
---
See [worn bearings](../conditions/worn-bearings.md).
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "guides/bearings.md",
            text: Some(
                r#"---
title: About bearings
basis: demo
---
See [worn bearings](../conditions/worn-bearing.md).
"#,
            ),
        }],
    },
    Row {
        id: MarkId::WrongKind,
        headline: "`{found}` is a {kind}; here the id of a {expected} is wanted",
        help: "",
        about: "The field fixes the kind of entry that it refers to.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
systems: [hum]
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
systems: [wheels]
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::DanglingHeading,
        headline: "the entry has no heading `#{found}`[; did you mean `#{nearest}`?]",
        help: "The anchor of a heading is its words in lower case, joined by hyphens.",
        about: "A link leads to a heading that the entry does not have.",
        wrong: &[ExampleFile {
            path: "guides/bearings.md",
            text: Some(
                r#"---
title: About bearings
basis: demo
---
See [worn bearings](../conditions/worn-bearing.md#waer).
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "guides/bearings.md",
            text: Some(
                r#"---
title: About bearings
basis: demo
---
See [worn bearings](../conditions/worn-bearing.md#wear).
"#,
            ),
        }],
    },
    Row {
        id: MarkId::MissingPicture,
        headline: "there is no picture `{found}`[; did you mean `{nearest}`?]",
        help: "Pictures lie in media/.",
        about: "A picture that a text shows is not there.",
        wrong: &[ExampleFile {
            path: "guides/bearings.md",
            text: Some(
                r#"---
title: About bearings
basis: demo
---
See [worn bearings](../conditions/worn-bearing.md).

![A hub](../media/hub.png)
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "guides/bearings.md",
            text: Some(
                r#"---
title: About bearings
basis: demo
---
See [worn bearings](../conditions/worn-bearing.md).
"#,
            ),
        }],
    },
    Row {
        id: MarkId::MissingAltText,
        headline: "the picture `{found}` has no words for those who cannot see it",
        help: "Write them between the brackets: `![what it shows](…)`.",
        about: "A picture must say in words what it shows.",
        wrong: &[
            ExampleFile { path: "media/hub.svg", text: Some("<svg xmlns='http://www.w3.org/2000/svg'/>") },
            ExampleFile {
                path: "guides/bearings.md",
                text: Some("---\ntitle: About bearings\nbasis: demo\n---\n![](../media/hub.svg)\n"),
            },
        ],
        right: &[
            ExampleFile { path: "media/hub.svg", text: Some("<svg xmlns='http://www.w3.org/2000/svg'/>") },
            ExampleFile {
                path: "guides/bearings.md",
                text: Some("---\ntitle: About bearings\nbasis: demo\n---\n![A hub cut open](../media/hub.svg)\n"),
            },
        ],
    },
    Row {
        id: MarkId::UnusedPicture,
        headline: "no text shows the picture `{found}`",
        help: "",
        about: "It is not published. Show it, or take it out.",
        wrong: &[ExampleFile { path: "media/hub.svg", text: Some("<svg xmlns='http://www.w3.org/2000/svg'/>") }],
        right: &[
            ExampleFile { path: "media/hub.svg", text: Some("<svg xmlns='http://www.w3.org/2000/svg'/>") },
            ExampleFile {
                path: "guides/bearings.md",
                text: Some("---\ntitle: About bearings\nbasis: demo\n---\n![A hub cut open](../media/hub.svg)\n"),
            },
        ],
    },
    Row {
        id: MarkId::OrphanEntry,
        headline: "nothing leads to the {kind} “{entry}”",
        help: "Refer to it from an entry that readers reach, or take it out.",
        about: "Readers come to symptoms and guides by themselves; everything else must be led to.",
        wrong: &[ExampleFile {
            path: "systems/hubs.md",
            text: Some(
                r#"---
title: Hubs
basis: demo
---
"#,
            ),
        }],
        right: &[ExampleFile {
            path: "systems/wheels.md",
            text: Some(
                r#"---
title: Wheels
basis: demo
specifications:
  tread-minimum: 1.6 mm
---
## Tread

The tread is at least [1.6 mm](spec:wheels/tread-minimum) deep.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::SupersededReference,
        headline: "`{found}` was replaced; refer to `{nearest}`",
        help: "",
        about: "A reference leads to an entry that a newer one replaces.",
        wrong: &[
            ExampleFile { path: "guides/old-tips.md", text: Some("---\ntitle: Old tips\nbasis: demo\n---\nListen.\n") },
            ExampleFile {
                path: "guides/tips.md",
                text: Some("---\ntitle: Tips\nbasis: demo\nreplaces: [old-tips]\n---\nListen first.\n"),
            },
            ExampleFile {
                path: "guides/bearings.md",
                text: Some("---\ntitle: About bearings\nbasis: demo\n---\nRead [the tips](old-tips.md).\n"),
            },
        ],
        right: &[
            ExampleFile { path: "guides/old-tips.md", text: Some("---\ntitle: Old tips\nbasis: demo\n---\nListen.\n") },
            ExampleFile {
                path: "guides/tips.md",
                text: Some("---\ntitle: Tips\nbasis: demo\nreplaces: [old-tips]\n---\nListen first.\n"),
            },
            ExampleFile {
                path: "guides/bearings.md",
                text: Some("---\ntitle: About bearings\nbasis: demo\n---\nRead [the tips](tips.md).\n"),
            },
        ],
    },
    Row {
        id: MarkId::ReplacementLoop,
        headline: "entries replace each other in a circle: {found}",
        help: "",
        about: "Of two entries only one can be the newer.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
replaces: [bends-change-it]
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
];
