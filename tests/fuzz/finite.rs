//! That all numbers of an answer are numbers.

use std::fmt::Debug;

/// Asserts that nothing in `answer`, as it is written for programmers, is infinite or no number.
#[track_caller]
pub(crate) fn assert_finite(answer: &impl Debug, of: &str) {
    let text = format!("{answer:?}");
    if let Some(at) = first_odd(&text) {
        let mut begin = at.saturating_sub(300);
        while !text.is_char_boundary(begin) {
            begin -= 1;
        }
        panic!("{} in the answer to {of}", &text[begin..at + 3]);
    }
}

/// Where "NaN" or "inf" stands alone.
pub(crate) fn first_odd(text: &str) -> Option<usize> {
    ["NaN", "inf"].into_iter().find_map(|word| {
        text.match_indices(word).map(|(at, _)| at).find(|&at| {
            let is_letter = |c: char| c.is_alphanumeric() || c == '_' || c == '"';
            let before = text[..at].chars().next_back().is_some_and(is_letter);
            let after = text[at + word.len()..].chars().next().is_some_and(is_letter);
            !before && !after
        })
    })
}

#[test]
fn what_is_no_number_is_found() {
    assert_eq!(first_odd("{ a: 1.0, b: NaN }"), Some(13));
    assert_eq!(first_odd("(-inf, 2)"), Some(2));
    assert_eq!(first_odd("information, infinite, \"inf\", Infant, x_inf"), None);
}
