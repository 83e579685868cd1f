//! What a region is called.

use super::{line, region, universe};
use baybook::knowledge::fit::Universe;

fn shop() -> Universe {
    universe(vec![
        line(
            "tarn",
            "Tarn",
            (2016, 2024),
            &[
                "engine: petrol=a_petrol_engine diesel=a_diesel_engine",
                "gearbox: manual=a_manual_gearbox automatic=an_automatic_gearbox",
                "drive: front=front-wheel_drive all=all-wheel_drive",
            ],
        ),
        line("fell", "Fell", (2014, 2025), &["brakes: standard heavy", "rear-axle: open limited-slip locking"]),
        line("rill", "Rill", (2019, 2026), &[]),
        line("wold", "Wold", (2020, 2020), &["lamps: halogen=halogen_headlamps led"]),
    ])
}

#[test]
fn regions_are_said_in_shop_words() {
    let universe = shop();
    let check = |text: &str, expected: &str| assert_eq!(universe.phrase(&region(&universe, text)), expected, "{text}");
    check("", "no vehicle");
    check("tarn; fell; rill; wold", "every vehicle");
    check("tarn", "Tarn");
    check("tarn 2010-2030", "Tarn");
    check("tarn 2019-2021 drive=all", "Tarn 2019–2021 with all-wheel drive");
    check("fell; rill 2021-", "Fell, and Rill from 2021");
    check("tarn; fell -2019; rill", "Tarn, Fell to 2019, and Rill");
    check("tarn -2019", "Tarn to 2019");
    check("tarn 2016", "Tarn 2016");
    check("tarn 2024", "Tarn 2024");
    check("wold 2020", "Wold");
    check("tarn -2017,2019,2021-2022,2024", "Tarn to 2017, 2019, 2021–2022 and 2024");
    check("fell brakes=heavy", "Fell with heavy brakes");
    check("fell rear-axle=open,locking", "Fell with open or locking rear axle");
    check("fell brakes=heavy rear-axle=locking", "Fell with heavy brakes and locking rear axle");
    check("fell brakes=heavy rear-axle=open,locking", "Fell with heavy brakes, and with open or locking rear axle");
    check("tarn drive=all gearbox=manual", "Tarn with a manual gearbox and all-wheel drive");
    check(
        "tarn 2018- drive=all gearbox=manual engine=diesel",
        "Tarn from 2018 with a diesel engine, a manual gearbox and all-wheel drive",
    );
    check("wold lamps=led", "Wold with led lamps");
    check("tarn drive=all; rill 2021-", "Tarn with all-wheel drive, and Rill from 2021");
    check(
        "tarn drive=all gearbox=manual; rill 2021-",
        "Tarn with a manual gearbox and all-wheel drive; Rill from 2021",
    );
}

#[test]
fn the_fewest_boxes_are_said_where_they_are_easy_to_see() {
    let universe = shop();
    let check = |text: &str, expected: &str| assert_eq!(universe.phrase(&region(&universe, text)), expected, "{text}");
    check("tarn -2019; tarn 2020-", "Tarn");
    check("tarn drive=front; tarn drive=all", "Tarn");
    check("tarn drive=all; tarn 2020-", "Tarn with all-wheel drive, and Tarn from 2020");
    check(
        "tarn 2016-2018 drive=all; tarn 2019-2021; tarn 2020-2024 drive=all",
        "Tarn with all-wheel drive, and Tarn 2019–2021",
    );
    check(
        "tarn -2018; tarn 2019- engine=diesel; fell; rill; wold",
        "every vehicle except Tarn from 2019 with a petrol engine",
    );
    check("tarn -2018; fell; rill; wold", "every vehicle except Tarn from 2019");
}

#[test]
fn a_long_list_is_cut_and_says_so() {
    let lines = (10..30).map(|at| line(&format!("l{at}"), &format!("Line {at}"), (2010, 2020), &[]));
    let universe = universe(lines.collect());
    let check = |last: usize, end: &str| {
        let text: Vec<String> = (10..last).map(|at| format!("l{at} 2015")).collect();
        let phrase = universe.phrase(&region(&universe, &text.join(";")));
        assert!(phrase.starts_with("Line 10 2015") && phrase.ends_with(end), "{phrase}");
    };
    check(22, "Line 20 2015, and Line 21 2015");
    check(23, "Line 21 2015, and Line 22 2015");
    check(24, "; Line 21 2015; and 2 more groups");
}

#[test]
fn lines_that_share_a_name_are_told_apart() {
    let lines =
        ["one", "two", "three"].map(|id| line(id, if id == "three" { "Fell" } else { "Tarn" }, (2020, 2022), &[]));
    let universe = universe(lines.into());
    assert_eq!(universe.phrase(&region(&universe, "one")), "Tarn (one)");
    assert_eq!(universe.phrase(&region(&universe, "two 2021; three")), "Tarn (two) 2021, and Fell");
}

#[test]
fn an_example_is_one_whole_vehicle() {
    let universe = shop();
    let check = |text: &str, expected: Option<&str>| {
        let example = universe.example(&region(&universe, text));
        assert_eq!(example.map(|vehicle| universe.vehicle_phrase(&vehicle)).as_deref(), expected, "{text}");
    };
    check("", None);
    check(
        "tarn 2019- drive=all engine=diesel",
        Some("Tarn 2019 with a diesel engine, a manual gearbox and all-wheel drive"),
    );
    check("rill 2022; fell 2025 brakes=heavy", Some("Fell 2025 with heavy brakes and open rear axle"));
    check("rill", Some("Rill 2019"));
}

#[test]
fn boxes_are_written_with_ids() {
    let universe = shop();
    let boxes = universe.boxes(&region(&universe, "tarn 2019-2021,2023 drive=all; rill; fell rear-axle=locking,open"));
    let written = serde_json::to_string(&boxes).unwrap();
    assert_eq!(
        written,
        r#"[{"line":"tarn","years":[[2019,2021],[2023,2023]],"options":{"drive":["all"]}},"#.to_owned()
            + r#"{"line":"fell","years":[[2014,2025]],"options":{"rear-axle":["open","locking"]}},"#
            + r#"{"line":"rill","years":[[2019,2026]],"options":{}}]"#
    );
}
