//! `compare.md`: what changed, readable as it is.

use crate::compare::comparison::Comparison;
use crate::compare::{lines, outline};
use crate::report::blocks::Picture;
use crate::report::markdown::{escaped, section};

/// `comparison` as Markdown, with links to `pictures`.
pub(super) fn write(comparison: &Comparison, pictures: &[Picture<'_>]) -> String {
    let [before, after] = [&comparison.before.file, &comparison.after.file];
    let name = format!("# {} → {}\n\n", escaped(before), escaped(after));
    let mut text = format!("**{}.**\n\n", lines::headline(comparison));
    for each in outline::sections(comparison) {
        text += &section(&each);
        if each.title == outline::SHAPE {
            for Picture { caption, alt, file, .. } in pictures {
                text +=
                    &format!("![{}]({file})\n\n{}\n\n", escaped(alt), escaped(caption));
            }
        }
    }
    text += &format!("{}\n\n", outline::RULE);
    let tool = &comparison.tool;
    text += &format!("{} {}\n", escaped(&tool.name), escaped(&tool.version));
    name + &comparison.shown_units.write(&text)
}
