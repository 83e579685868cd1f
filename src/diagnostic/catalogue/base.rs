//! The small folder of entries that examples change one file of. It has no mark of its own.

use super::ExampleFile;

/// The day on which examples are read, so that review dates in them mean something.
pub const EXAMPLE_DAY: &str = "2026-06-30";

macro_rules! base {
    ($($path:literal),* $(,)?) => {
        /// The files of the folder.
        pub const BASE: &[ExampleFile] =
            &[$(ExampleFile { path: $path, text: Some(include_str!(concat!("base/", $path))) }),*];
    };
}

base![
    "characteristics/tread-hum.md",
    "checks/bearing-rock.md",
    "checks/bends-change-it.md",
    "checks/hub-play.md",
    "conditions/worn-bearing.md",
    "shop.yaml",
    "symptoms/hum.md",
    "systems/wheels.md",
    "vehicles.yaml",
    "words.yaml",
];
