//! Both systems of units, and the words for truths, on the pages of the demonstration.

use super::site;

fn page(path: &str) -> &'static str {
    std::str::from_utf8(&site()[path]).unwrap()
}

/// Expected values by the factors of NIST SP 811, B.8 (recalled from memory): 25.4 mm an inch, 1.355 818 N·m a lbf·ft.
#[test]
fn specifications_are_shown_in_the_shops_second_system_too() {
    for language in ["", "es/"] {
        let system = page(&format!("{language}systems/service-brakes.html")).to_owned();
        for expected in ["3 mm <small>(0.118 in)</small>", "30 to 36 N·m <small>(22.1 to 26.6 lbf·ft)</small>"] {
            assert!(system.contains(expected), "{language}: {expected}");
        }
        assert!(system.contains("730 d</td>"), "what both systems share stands once");
        let check = page(&format!("{language}checks/pad-gauge.html"));
        assert!(check.contains("<small>(0.039 to &lt; 0.118 in)</small>"), "{language}: bands");
    }
    assert!(page("booklet.html").contains("3 mm <small>(0.118 in)</small>"));
}

#[test]
fn truths_are_said_in_the_language_of_the_page() {
    for (language, yes) in [("", "yes"), ("es/", "sí")] {
        let page = page(&format!("{language}conditions/starter-lead-corroded.html"));
        assert!(page.contains(&format!("<output>{yes}</output>")), "{language}");
        assert!(page.contains(&format!("data-calc-yes=\"{yes}\"")), "{language}");
        assert!(page.contains("data-calc-plot=\"{result} "), "{language}");
    }
}

/// Without scripts a result has no choice of units: the worked example stands as it was checked.
#[test]
fn the_worked_example_stands_without_a_script() {
    let page = page("systems/service-brakes.html");
    assert!(page.contains("<output>40.2 m</output>"));
    assert!(!page.contains("class=\"turn\""));
    let caption = page.split("<figcaption>").nth(1).unwrap().split("</figcaption>").next().unwrap();
    assert_eq!(caption, "stop snow for approach from 10 mph to 90 mph: between 11.8 m and 473 m");
}
