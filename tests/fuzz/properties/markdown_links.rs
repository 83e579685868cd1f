//! Markdown: links, headings, pictures, quotations, as an entry's body and folded into its front matter.

use std::collections::BTreeSet;

use baybook::entry::{Prose, Target};

use super::folder::{Linked, linked};

/// Places are right, and a link whose destination is written without escapes is read from what stands there.
pub fn markdown_links(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let guide = format!("---\ntitle: Made up\nbasis: demo\n---\n{text}");
    let folded = format!(
        "---\ntitle: Tread hum\nbasis: demo\nsystems: [wheels]\naccounts_for: [{{symptom: hum, prior: 2}}]\n\
         because: >-\n    {}\nshow: |\n  {}\ntell:\n  brief: It hums.\n  plain: It hums.\n  full: \"{}\"\n---\n",
        text.replace('\n', "\n    "),
        text.replace('\n', "\n  "),
        text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n\\\n      "),
    );
    let read = linked(&[("guides/made-up.md", guide.as_bytes()), ("characteristics/tread-hum.md", folded.as_bytes())]);
    read.check(&[]);
    for guide in &read.entries.guides {
        check_prose(&read, &guide.head.body);
    }
    for characteristic in &read.entries.characteristics {
        let detail = &characteristic.detail;
        let told = detail.tell.iter().map(|(_, telling)| &telling.full);
        told.chain(&detail.because).chain(&detail.show).for_each(|prose| check_prose(&read, prose));
    }
}

fn check_prose(read: &Linked, prose: &Prose) {
    let source = |span: baybook::diagnostic::Span| {
        let text = read.folder.text(span.file).get(span.range());
        text.unwrap_or_else(|| panic!("{span:?} lies outside its file"))
    };
    for link in &prose.links {
        let written = source(link.span);
        source(link.words.span);
        let plain = !written.contains(['\\', '&', '%']) && !written.contains(char::is_whitespace);
        if let (Target::Entry { id, .. }, true) = (&link.target, plain) {
            assert!(written.contains(id.as_str()), "{written:?} is no link to {id}");
        }
        if let (Target::Calculation(name), true) = (&link.target, plain) {
            assert!(written.contains(name.as_str()), "{written:?} quotes no {name}");
        }
    }
    prose.definitions.iter().for_each(|definition| _ = source(definition.span));
    prose.pictures.iter().for_each(|picture| _ = source(picture.span));
    let anchors: BTreeSet<&str> = prose.headings.iter().map(|heading| heading.anchor.as_str()).collect();
    assert_eq!(anchors.len(), prose.headings.len(), "two headings share an anchor");
    for heading in &prose.headings {
        source(heading.span);
        assert!((1..=6).contains(&heading.level));
    }
    for line in prose.calculations.iter().flat_map(|block| &block.lines) {
        source(line.span);
        assert!(!line.value.contains('\n'), "{line:?}");
    }
}
