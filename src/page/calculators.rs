//! Calculation blocks as panels to work with, and their scripts.

use rayon::prelude::*;
use serde::Serialize;
use tera::Context;

use super::edition::Edition;
use super::entry_page::name;
use super::outlet::{Outlet, take_unless_it_stands};
use super::site::{Findings, PageFault};
use crate::calculation::{
    BlockView, CheckedSheet, GivenView, GroupOutcome, Quantity, SheetSpecification, StepView, Wording, block_view,
    has_script, javascript,
};
use crate::diagnostic::Digest;
use crate::entry::Kind;
use crate::knowledge::{EntryRef, Knowledge};

#[derive(Serialize)]
struct CalculatorContext<'a> {
    id: &'a str,
    title: &'a str,
    givens: &'a [GivenView],
    steps: &'a [StepView],
    specs: Vec<ReadContext>,
    plot_svg: &'a str,
    plot_caption: &'a str,
}

/// A specification that a block reads.
#[derive(Serialize)]
struct ReadContext {
    title: String,
    href: String,
    text: String,
}

/// The panel of one block of an entry. `None` where there is no such block, or the theme cannot draw it.
pub(super) fn calculator(edition: &Edition<'_>, owner: EntryRef, block: usize, root: &str) -> Option<String> {
    let sheet = edition.calculations.sheet(owner)?;
    let view = block_view(sheet, block, &wording(edition))?;
    let mut context = Context::new();
    context.insert("site", &edition.site_context(root));
    let name = edition.calculation_name(owner, block);
    context.insert("calc", &calculator_context(edition, &view, &name));
    edition.templates.render("calc.html", &context).ok()
}

/// Everything that decides the panels of an entry, beside its text, its place and the words of the theme: the values of
/// specifications that it reads, what their systems are called, and the vehicles that they tell apart.
pub(super) fn decided_by(knowledge: &Knowledge, sheet: &CheckedSheet) -> Digest {
    let system = |read: &SheetSpecification| knowledge.head(knowledge.find(Kind::System, &read.name.system)?);
    let systems = sheet.specifications.iter().filter_map(system).map(|system| system.title.value.as_str());
    let text = |value: &Option<Quantity>| value.as_ref().map(|value| value.text.clone());
    let texts = |group: &GroupOutcome| group.specifications.iter().map(text).collect::<Vec<_>>();
    let groups = sheet.groups.iter().map(|group| (&group.vehicles, texts(group)));
    let (systems, groups): (Vec<_>, Vec<_>) = (systems.collect(), groups.collect());
    Digest::of_written(format_args!("{:?} {systems:?} {groups:?}", sheet.specifications))
}

fn wording<'e>(edition: &'e Edition<'_>) -> Wording<'e> {
    Wording {
        yes: edition.word("calc_yes"),
        no: edition.word("calc_no"),
        either: edition.word("calc_either"),
        to: edition.word("to"),
        plot: edition.word("calc_plot"),
    }
}

fn calculator_context<'a>(edition: &Edition<'_>, view: &'a BlockView, name: &'a str) -> CalculatorContext<'a> {
    let specification = |read: &crate::calculation::SpecificationView| {
        let system = edition.knowledge.find(Kind::System, &read.system)?;
        let link = edition.link(system);
        Some(ReadContext {
            title: format!("{}, {}", link.title, read.name.replace('-', " ")),
            href: edition.place_in(&link.href, &format!("p-spec-{}", read.name)),
            text: read.text.clone(),
        })
    };
    CalculatorContext {
        id: name,
        title: "",
        givens: &view.givens,
        steps: &view.steps,
        specs: view.specs.iter().filter_map(specification).collect(),
        plot_svg: &view.plot_svg,
        plot_caption: &view.plot_caption,
    }
}

/// The anchor of a result or an input, with its `#`.
pub(super) fn anchor(edition: &Edition<'_>, owner: EntryRef, name: &str) -> Option<String> {
    let sheet = edition.calculations.sheet(owner)?;
    let statement = sheet.statements.get(sheet.position(name)?)?;
    Some(format!("#p-calc-{}-{name}", edition.calculation_name(owner, statement.block)))
}

/// Whether the pages of an entry have calculators.
pub(super) fn has_calculators(edition: &Edition<'_>, owner: EntryRef) -> bool {
    edition.calculations.sheet(owner).is_some_and(|sheet| !sheet.statements.is_empty())
}

/// Where the script of an entry's calculations lies.
pub(super) fn script_path(knowledge: &Knowledge, entry: EntryRef) -> String {
    format!("data/calculations/{}.js", knowledge.head(entry).map(name).unwrap_or_default())
}

/// Makes the scripts of all entries that calculate.
pub(super) fn scripts(found: Findings<'_>, outlet: &dyn Outlet) -> Result<(), PageFault> {
    let script = |(entry, sheet): (EntryRef, &CheckedSheet)| {
        let Some(head) = found.knowledge.head(entry).filter(|_| has_script(sheet)) else { return Ok(()) };
        let lines = head.body.calculations.iter().map(|block| block.lines.iter().map(|line| &line.value));
        let lines: Vec<Vec<&String>> = lines.map(Iterator::collect).collect();
        // What stands above the text may calculate too.
        let decided_by = Some((name(head), head.front, lines, decided_by(found.knowledge, sheet)));
        let path = script_path(found.knowledge, entry);
        take_unless_it_stands(outlet, path, decided_by, || javascript(&name(head), sheet).into_bytes())
    };
    let sheets: Vec<(EntryRef, &CheckedSheet)> = found.calculations.sheets().collect();
    sheets.into_par_iter().try_for_each(script)
}
