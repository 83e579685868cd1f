//! Marks of files, fields and texts.

use super::{ExampleFile, Row};
use crate::diagnostic::MarkId;

pub(super) const UNREADABLE_FILE: Row = Row {
    id: MarkId::UnreadableFile,
    headline: "`{file}` cannot be used: {found}",
    help: "",
    about: "A file of the folder could not be read: it is missing, no UTF-8 text, larger than an entry (192 KiB) or a file of settings (384 KiB) may be, a folder with a file's name, or a link that leads out of the folder.",
    wrong: &[ExampleFile { path: "vehicles.yaml", text: None }],
    right: &[ExampleFile {
        path: "vehicles.yaml",
        text: Some(
            r#"lines:
  tarn: {name: Tarn, years: 2016-2024, options: {drive: [front, all]}}
  rill: {name: Rill, years: 2019-2026}
"#,
        ),
    }],
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: MarkId::BadFrontMatter,
        headline: "front matter cannot be read: {found}",
        help: "Front matter stands between two lines `---` at the top of the file, and is YAML: `field: value`, one field a line.",
        about: "The front matter is not there, not closed, or no YAML; or a key stands twice.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does the hum change in a bend?
basis: demo
minutes: 2
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
        id: MarkId::UnknownField,
        headline: "no field is called `{found}`[; did you mean `{nearest}`?]",
        help: "",
        about: "Each kind of entry has its own fields, and others are refused, so that a slip of the fingers does not drop what was written.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
tool: [a torch]
ask: Does the hum change in a bend?
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
tools: [a torch]
ask: Does the hum change in a bend?
basis: demo
answers: {yes: "Yes", no: "No"}
---
"#,
            ),
        }],
    },
    Row {
        id: MarkId::MissingField,
        headline: "the field `{field}` is missing",
        help: "{about}.",
        about: "A field without which the entry cannot be used is missing or empty.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
ask: Does the hum change in a bend?
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
        id: MarkId::BadValue,
        headline: "found `{found}`, expected {expected}[; did you mean `{nearest}`?]",
        help: "",
        about: "A value does not have the form that its field wants.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: soon
ask: Does the hum change in a bend?
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
        id: MarkId::UnchangedDraft,
        headline: "[`{field}`][{part}] still says what its draft proposed: {found}",
        help: "{about}.",
        about: "A draft says in each place what to write there. Until somebody has, there is nothing to publish.",
        wrong: &[ExampleFile {
            path: "checks/bends-change-it.md",
            text: Some(
                r#"---
title: Change in bends
where: counter
minutes: 1
ask: Does it ...?
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
        id: MarkId::BadId,
        headline: "`{found}` is no id[; did you mean `{nearest}`?]",
        help: "An id is lower-case letters and digits in words joined by hyphens, at most 64 characters; an entry's file is called after it and ends in `.md`.",
        about: "Ids stand in file names, addresses and links, so they are kept to what works everywhere.",
        wrong: &[ExampleFile {
            path: "systems/Hub_Parts.md",
            text: Some(
                r#"---
title: Hub parts
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
        id: MarkId::DuplicateId,
        headline: "a second {kind} has the id `{found}`",
        help: "Give one of the two files another name.",
        about: "Sub-folders do not count: the file's name is the id, and an id stands for one entry.",
        wrong: &[ExampleFile {
            path: "checks/more/bearing-rock.md",
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
        id: MarkId::RawHtml,
        headline: "HTML is not allowed in entries: `{found}`",
        help: "Write it in Markdown; a character `<` is written `&lt;` or inside backquotes.",
        about: "HTML could break a page, or run a script in it.",
        wrong: &[ExampleFile {
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
Ask <b>twice</b>.
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
Ask **twice**.
"#,
            ),
        }],
    },
    Row {
        id: MarkId::UnsafeLink,
        headline: "the link `{found}` must not be used[: {why}]",
        help: "",
        about: "A link may lead to another file of the folder, to a web address, to a mail address or to a telephone number.",
        wrong: &[ExampleFile {
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
[Ask](javascript:ask).
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
[Ask](https://example.org/ask).
"#,
            ),
        }],
    },
];
