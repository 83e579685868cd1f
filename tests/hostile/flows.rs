//! Questions of a symptom.

use super::End::{Mark, Page};
use super::{End, check_files, pieces};

/// A hum for which there are many questions of many answers each, beside what the base folder says of it: every cause
/// says something of all of them. With front matter lines of the symptom.
fn with_checks(name: &str, checks: usize, answers: impl Fn(usize) -> usize, flow: &str, end: End) {
    let check = |at: usize| {
        let answers = pieces(answers(at), |answer| format!("a{answer}: Answer {answer}, "));
        format!(
            "---\ntitle: Question {at}\nwhere: counter\nminutes: 1\nask: What is it in place {at}?\nbasis: demo\n\
             answers: {{{answers}other: Another one}}\n---\n"
        )
    };
    let checks: Vec<(String, String)> = (0..checks).map(|at| (format!("checks/q{at:03}.md"), check(at))).collect();
    let evidence = |likely: &str| pieces(checks.len(), |at| format!("      q{at:03}: {{a0: {likely}}}\n"));
    let cause = |hazard: &str, likely: &str, more: &str| {
        let accounts_for =
            format!("accounts_for:\n  - symptom: hum\n    prior: 1\n    evidence:\n{}", evidence(likely));
        format!("---\ntitle: {likely}\n{hazard}systems: [wheels]\nbasis: demo\n{accounts_for}{more}---\n")
    };
    let told = "because: They strike the road.\ntell: {brief: They sing., plain: They sing., full: They sing.}\n";
    let mut files = checks.clone();
    files.push(("conditions/worn-bearing.md".into(), cause("hazard: none\n", "usually", "remedy: Replace it.\n")));
    files.push(("characteristics/tread-hum.md".into(), cause("", "sometimes", told)));
    let head = "title: Hum\nheard_as: [it drones]\nsenses: [hear]\nsystems: [wheels]\nbasis: demo";
    files.push(("symptoms/hum.md".into(), format!("---\n{head}\n{flow}---\nIt hums.\n")));
    let files: Vec<(String, &[u8])> = files.iter().map(|(path, text)| (path.clone(), text.as_bytes())).collect();
    check_files(name, &files, end);
}

#[test]
fn many_questions() {
    with_checks("62 questions", 62, |at| 1 + at % 3, "", Page);
    with_checks("100 questions", 100, |_| 3, "", Page);
    with_checks("128 questions of 20 answers", 128, |_| 19, "", Page);
}

/// What was answered before decides what follows, and there are many ways to have answered before.
#[test]
fn questions_asked_twice() {
    let ask = |step: usize| {
        let next = if step == 15 { "tell".to_owned() } else { format!("s{}", step + 1) };
        let edges = pieces(19, |answer| format!("a{answer}: {next}, "));
        format!("    s{step}: {{check: q{:03}, {edges}other: {next}, not-sure: {next}}}\n", step % 8)
    };
    let tell = "    tell: {verdict: explain, characteristic: tread-hum}\n";
    let flow = format!("flow:\n  start: s0\n  steps:\n{}{tell}", pieces(16, ask));
    with_checks("questions asked twice", 8, |_| 19, &flow, Mark("explain-ungated"));
}
