//! One line a mark, in the form that editors jump from.

use super::harmless;
use super::located::Located;

pub(super) fn write(marks: &[Located<'_>]) -> String {
    marks.iter().map(line).collect()
}

fn line(located: &Located<'_>) -> String {
    let Located { mark, words, site, .. } = located;
    let (path, headline) = (harmless(site.path), harmless(&words.headline));
    let (severity, name) = (mark.id.severity().word(), mark.id.name());
    format!("{path}:{}:{}: {severity} {name}: {headline}\n", site.start.line, site.start.column)
}
