//! The dozen words that somebody who never molded needs, in plain sentences.

use std::ops::Range;
use std::sync::LazyLock;

use maud::{Markup, PreEscaped, html};
use regex::Regex;

use crate::report::markup_text;

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

/// Elements in which a word stands as a name, or a link has no room.
const LEFT_ALONE: [&str; 7] = ["a", "summary", "h2", "h3", "h4", "dt", "th"];

/// The terms of an entry: those before and after its comma.
fn terms(entry: &str) -> impl Iterator<Item = &str> {
    entry.split(", ")
}

/// Where an entry stands on the page.
fn anchor(entry: &str) -> String {
    format!("word-{}", entry.replace(", ", "-").replace(' ', "-"))
}

/// Each term as it stands in a sentence: alone, at its beginning, or several of it.
static TERMS: LazyLock<Vec<Option<Regex>>> = LazyLock::new(|| {
    let of_entry = |(entry, _): &(&str, &str)| {
        let all: Vec<&str> = terms(entry).collect();
        // The words are ASCII, so no table of letters is needed.
        Regex::new(&format!(r"(?i-u)\b(?:{})s?\b", all.join("|"))).ok()
    };
    WORDS.iter().map(of_entry).collect()
});

/// `markup` where the first of each word leads to its meaning, and shows it under the pointer.
pub(crate) fn link_words(markup: &str) -> String {
    let mut is_linked = [false; WORDS.len()];
    markup_text::changed(markup, &LEFT_ALONE, |text| linked(text, &mut is_linked))
}

/// `text` with a link at each word that has none yet.
fn linked(text: &str, is_linked: &mut [bool]) -> String {
    let mut places: Vec<(Range<usize>, usize)> = Vec::new();
    for (i, term) in TERMS.iter().enumerate().filter(|(i, _)| !is_linked[*i]) {
        let found = term.as_ref().and_then(|term| term.find(text));
        places.extend(found.map(|found| (found.range(), i)));
    }
    places.sort_unstable_by_key(|(place, _)| place.start);
    let mut written = String::new();
    let mut rest = 0;
    for (place, i) in places {
        // A word within another, as gate in the mark of a gate, waits for its next place.
        if place.start < rest {
            continue;
        }
        is_linked[i] = true;
        let (entry, meaning) = WORDS[i];
        let link = html! {
            a.word href=(format!("#{}", anchor(entry))) title=(meaning) {
                (PreEscaped(&text[place.clone()]))
            }
        };
        written += &text[rest..place.start];
        written += &link.into_string();
        rest = place.end;
    }
    written + &text[rest..]
}

/// All of them.
pub(crate) fn list() -> Markup {
    html! {
        details.fold.glossary #words {
            summary { h2 { "Words" } }
            dl {
                @for (word, meaning) in WORDS {
                    div id=(anchor(word)) { dt { dfn { (word) } } dd { (meaning) } }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{WORDS, anchor, link_words, list};

    #[test]
    fn words_are_in_order_and_each_has_a_meaning() {
        assert!(WORDS.is_sorted_by_key(|(word, _)| *word));
        assert!(WORDS.iter().all(|(_, meaning)| meaning.len() > 20));
    }

    #[test]
    fn the_first_of_each_word_leads_to_its_meaning() {
        let linked = link_words("<p>Gates, a gate, the weld lines &amp; <a>pull</a></p>");
        assert_eq!(linked.matches("<a class=\"word\"").count(), 2, "{linked}");
        assert!(linked.contains("the melt enters the part\">Gates</a>, a gate, the <a"));
        assert!(linked.ends_with(">weld lines</a> &amp; <a>pull</a></p>"), "{linked}");
        let list = list().into_string();
        assert!(WORDS.iter().all(|(word, _)| list.contains(&anchor(word))));
    }
}
