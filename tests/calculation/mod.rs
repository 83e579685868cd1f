//! Calculations: values against outside sources, marks at their places, claims, ranges, the script against the library.

mod marks;
mod properties;
mod prose;
mod reference;
mod script;
mod systems;
mod values;
mod views;

use baybook::calculation::{
    Block, CheckedSheet, ClaimTarget, Lookup, ProseClaim, SpecificationName, Specifications, VehicleGroup, check_sheet,
};
use baybook::diagnostic::{FileId, Mark, Span, Spanned};

/// The lines of a text as one block, each with its place.
pub(crate) fn block(text: &str) -> Block {
    let mut at = 0;
    let mut lines = Vec::new();
    for line in text.split('\n') {
        lines.push(Spanned::new(line.to_owned(), Span::new(FileId(0), at..at + line.len())));
        at += line.len() + 1;
    }
    Block { lines, span: Span::new(FileId(0), 0..text.len()) }
}

/// A specification: system, name, and values for vehicles.
pub(crate) type Row = (&'static str, &'static str, &'static [(&'static str, &'static str)]);

/// A few specifications.
pub(crate) struct Table(pub(crate) &'static [Row]);

impl Specifications for Table {
    fn look_up(&self, wanted: &SpecificationName) -> Lookup {
        if !self.0.iter().any(|(system, _, _)| *system == wanted.system) {
            return Lookup::NoSystem(self.0.first().map(|(system, _, _)| (*system).to_owned()));
        }
        let known = self.0.iter().any(|(system, name, _)| *system == wanted.system && *name == wanted.name);
        if known { Lookup::Known } else { Lookup::NoName(self.0.first().map(|(_, name, _)| (*name).to_owned())) }
    }

    fn groups(&self, names: &[SpecificationName], _: usize) -> Option<Vec<VehicleGroup>> {
        let mut vehicles: Vec<&str> =
            self.0.iter().flat_map(|(_, _, values)| values.iter().map(|(vehicle, _)| *vehicle)).collect();
        vehicles.sort_unstable();
        vehicles.dedup();
        let value = |vehicle: &str, wanted: &SpecificationName| {
            let row = self.0.iter().find(|(system, name, _)| *system == wanted.system && *name == wanted.name)?;
            let found = row.2.iter().find(|(own, _)| *own == vehicle)?;
            Some(Spanned::new(found.1.to_owned(), Span::new(FileId(1), 0..found.1.len())))
        };
        let group = |vehicle: &&str| VehicleGroup {
            vehicles: (*vehicle).to_owned(),
            values: names.iter().map(|name| value(vehicle, name)).collect(),
        };
        if names.is_empty() {
            return Some(vec![VehicleGroup { vehicles: "every vehicle".into(), values: Vec::new() }]);
        }
        Some(vehicles.iter().map(group).collect())
    }
}

/// Used by most tests: a minimum that differs between vehicles, a torque range, a pressure.
pub(crate) const SPECIFICATIONS: Table = Table(&[
    ("service-brakes", "front-pad-minimum", &[("the Tarn", "3 mm"), ("the Fell", "2.5 mm")]),
    ("service-brakes", "disc-minimum", &[("the Tarn", "22 mm"), ("the Fell", "22 mm")]),
    ("wheels", "bolt-torque", &[("the Tarn", "110 to 130 N·m"), ("the Fell", "110 to 130 N·m")]),
    ("wheels", "pressure", &[("the Tarn", "2.3 barg"), ("the Fell", "2.3 barg")]),
]);

/// Checks one block with [`SPECIFICATIONS`].
pub(crate) fn sheet(text: &str) -> (CheckedSheet, Vec<Mark>) {
    with_claims(text, &[])
}

/// Checks one block and links of prose: (destination, words).
pub(crate) fn with_claims(text: &str, claims: &[(&str, &str)]) -> (CheckedSheet, Vec<Mark>) {
    let claims: Vec<ProseClaim> = claims.iter().map(|(destination, words)| claim(destination, words)).collect();
    check_sheet(&[block(text)], &claims, &SPECIFICATIONS)
}

fn claim(destination: &str, words: &str) -> ProseClaim {
    let target = match destination.split_once(':') {
        Some(("spec", path)) => {
            let (system, name) = path.split_once('/').unwrap();
            ClaimTarget::Specification(SpecificationName { system: system.into(), name: name.into() })
        }
        _ => ClaimTarget::Result(destination.trim_start_matches("calc:").into()),
    };
    let words = Spanned::new(words.to_owned(), Span::new(FileId(2), 0..words.len()));
    ProseClaim { target, words, is_plain: true, span: Span::new(FileId(3), 0..destination.len()) }
}

/// The text that a mark points at, in the calculation or in the words of the first claim.
pub(crate) fn pointed<'a>(mark: &Mark, text: &'a str, words: &'a str) -> &'a str {
    match mark.span.file.0 {
        0 => &text[mark.span.range()],
        2 => &words[mark.span.range()],
        _ => "",
    }
}

/// Marks as `name@text`, in the order of places.
pub(crate) fn told(marks: &[Mark], text: &str, words: &str) -> Vec<String> {
    let mut marks: Vec<&Mark> = marks.iter().collect();
    marks.sort_by_key(|mark| (mark.span, mark.id));
    marks.into_iter().map(|mark| format!("{}@{}", mark.id.name(), pointed(mark, text, words))).collect()
}
