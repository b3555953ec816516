//! The dozen words that somebody who never molded needs, in plain sentences.

use maud::{Markup, html};

/// Word and meaning, in the order of the alphabet.
const WORDS: [(&str, &str); 14] = [
    (
        "cavity side, core side",
        "the half of the mold around the part, and the half that the part shrinks onto and stays with",
    ),
    ("core pin", "a loose steel pin that stands in one half and forms a hole"),
    ("draft", "the taper of a wall to the pull, so that it leaves the metal at once"),
    ("ejector pin", "a pin that pushes the part off the mold"),
    ("flash", "plastic that creeps into the gap between the halves"),
    ("gate", "the narrow place where the melt enters the part"),
    ("land", "the strip of metal on which the halves meet around the part"),
    ("parting line", "the line around the part where the halves meet"),
    (
        "projected area",
        "the area that part and feed cover, seen along the pull; the melt pushes on it to open the mold",
    ),
    ("pull", "the direction in which the mold opens"),
    ("runner, sprue", "the channel from the nozzle into the mold, and on to the gate"),
    ("sink", "a dent where a thick lump shrinks as it cools"),
    ("undercut", "a place that neither half can leave in a straight line"),
    ("weld line", "the line where two fronts of melt meet"),
];

/// All of them.
pub(crate) fn list() -> Markup {
    html! {
        details.fold.glossary #words {
            summary { h2 { "Words" } }
            dl {
                @for (word, meaning) in WORDS {
                    div { dt { dfn { (word) } } dd { (meaning) } }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::WORDS;

    #[test]
    fn words_are_in_order_and_each_has_a_meaning() {
        assert!(WORDS.is_sorted_by_key(|(word, _)| *word));
        assert!(WORDS.iter().all(|(_, meaning)| meaning.len() > 20));
    }
}
