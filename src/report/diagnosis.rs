//! The causes of a bad part as lines of text.

use crate::diagnosis::Diagnosis;
use crate::diagnosis::cause::{Cause, Standing};
use crate::units::format;

/// What is said where no cause is left.
pub(crate) const NONE_LEFT: &str = "The numbers exclude every cause alone: two of them at once, or \
    something that no number knows.";
/// What whoever looks for the cause must know.
pub(crate) const CAUTION: &str = "Let the pressure off before you touch nozzle or mold; hot melt \
    sprays: face shield and gloves. Local codes and licensed practice come first.";

/// One line, to be broken where the screen ends.
pub struct Line {
    /// Blanks before it and before what it goes on with.
    pub indent: usize,
    /// Its words.
    pub text: String,
}

fn line(indent: usize, text: impl Into<String>) -> Line {
    Line { indent, text: text.into() }
}

/// All lines of `diagnosis`.
pub fn lines(diagnosis: &Diagnosis) -> Vec<Line> {
    let Diagnosis { file, plastic, press, seen, causes, .. } = diagnosis;
    let mut lines = vec![
        line(0, format!("{file} in {plastic} on the {press}")),
        line(2, format!("Seen: {}", seen.meaning())),
    ];
    lines.extend(diagnosis.taken.iter().map(|it| line(2, format!("Taken: {it}"))));
    let (out, in_question): (Vec<&Cause>, Vec<&Cause>) =
        causes.iter().partition(|cause| cause.standing == Standing::Excluded);
    if in_question.is_empty() {
        lines.push(line(2, format!("{NONE_LEFT} Nearest first:")));
    } else {
        lines.push(line(2, "Change one thing at a time, in this order:"));
    }
    for (cause, number) in in_question.iter().zip(1..) {
        lines.push(line(
            2,
            format!(
                "{number}. {} ({})",
                format::capitalized(&cause.title),
                standing(cause)
            ),
        ));
        lines.push(line(5, format!("Numbers: {}", cause.evidence)));
        lines.push(line(5, format!("Look: {}", cause.look)));
        lines.push(line(5, format!("Change: {}", cause.change)));
        lines.push(line(5, format!("Then: {}", cause.then)));
    }
    if !out.is_empty() {
        lines.push(line(2, "Excluded by their numbers:"));
        lines.extend(
            out.iter()
                .map(|cause| line(4, format!("{}: {}", cause.title, cause.evidence))),
        );
    }
    lines.push(line(2, CAUTION));
    lines
}

/// How strongly the numbers point to a cause, in a word.
pub(crate) fn standing(cause: &Cause) -> &'static str {
    match cause.standing {
        Standing::Likely => "likely",
        Standing::Possible => "possible",
        Standing::Unknown => "cannot tell",
        Standing::Excluded => "excluded",
    }
}
