//! The words of a text STL and the lines on which they stand.

/// One word and the line on which it stands.
#[derive(Clone, Copy)]
pub(super) struct Word<'a> {
    pub(super) text: &'a [u8],
    /// Counted from 1.
    pub(super) line: usize,
    /// The first byte.
    pub(super) start: usize,
}

impl Word<'_> {
    pub(super) fn is(&self, keyword: &str) -> bool {
        self.text.eq_ignore_ascii_case(keyword.as_bytes())
    }

    /// The number that the word spells; NaN where it spells one that is not finite.
    pub(super) fn number(&self) -> Option<f32> {
        let text = str::from_utf8(self.text).ok()?;
        if let Ok(number) = text.parse::<f32>() {
            return Some(if number.is_finite() { number } else { f32::NAN });
        }
        // Spellings such as `-nan(ind)` and `1.#QNAN`.
        let spelled = text.to_ascii_lowercase();
        let odd = ["nan", "inf", "1.#"].iter().any(|mark| spelled.contains(mark));
        odd.then_some(f32::NAN)
    }
}

/// The words of a text with their lines; a lone CR, a lone LF and CR LF each end a line.
#[derive(Clone, Copy)]
pub(super) struct Words<'a> {
    pub(super) bytes: &'a [u8],
    pub(super) at: usize,
    pub(super) line: usize,
}

impl<'a> Words<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        let at = if bytes.starts_with(b"\xEF\xBB\xBF") { 3 } else { 0 };
        Self { bytes, at, line: 1 }
    }

    pub(super) fn next_word(&mut self) -> Option<Word<'a>> {
        while let Some(&byte) = self.bytes.get(self.at) {
            if !is_blank(byte) {
                break;
            }
            let after_cr = self.at > 0 && self.bytes.get(self.at - 1) == Some(&b'\r');
            if byte == b'\r' || (byte == b'\n' && !after_cr) {
                self.line += 1;
            }
            self.at += 1;
        }
        let start = self.at;
        let rest = self.bytes.get(start..).unwrap_or_default();
        let length = rest.iter().position(|&b| is_blank(b)).unwrap_or(rest.len());
        self.at += length;
        (length > 0).then_some(Word { text: &rest[..length], line: self.line, start })
    }

    pub(super) fn peek(mut self) -> Option<Word<'a>> {
        self.next_word()
    }

    /// Moves behind the second half of an `endsolid` that is written in two words, of which
    /// `word` is the first; whether it was.
    pub(super) fn closes_apart(&mut self, word: Word<'_>) -> bool {
        let mut ahead = *self;
        let second = ahead.next_word();
        let closes = word.is("end")
            && second.is_some_and(|next| next.is("solid") && next.line == word.line);
        if closes {
            *self = ahead;
        }
        closes
    }

    /// Moves behind a name: to the end of the line, or to where `facet normal` begins on
    /// the same line.
    pub(super) fn skip_name(&mut self) {
        let line = self.line;
        let mut ahead = *self;
        while let Some(word) = ahead.next_word() {
            if word.line != line {
                return;
            }
            let begins_facet =
                word.is("facet") && ahead.peek().is_some_and(|w| w.is("normal"));
            let ends = word.is("endsolid") || { ahead }.closes_apart(word);
            if begins_facet || ends {
                return;
            }
            *self = ahead;
        }
        *self = ahead;
    }

    /// Moves behind the name of an `endsolid`: to the end of the line, or to the next
    /// `solid` where that line goes on with facets.
    pub(super) fn skip_end_name(&mut self) {
        let line = self.line;
        let (mut ahead, mut next_solid) = (*self, None);
        loop {
            let before = ahead;
            let word = ahead.next_word().filter(|word| word.line == line);
            let Some(word) = word else { break };
            if word.is("solid") {
                next_solid = Some(before);
            }
            if word.is("facet") && ahead.peek().is_some_and(|w| w.is("normal")) {
                *self = next_solid.unwrap_or(before);
                return;
            }
            *self = ahead;
        }
    }
}

fn is_blank(byte: u8) -> bool {
    byte == b' ' || (0x09..=0x0d).contains(&byte)
}

#[cfg(test)]
mod tests {
    use super::Words;

    #[test]
    fn every_line_end_counts_once() {
        let mut words = Words::new(b"a\nb\rc\r\nd\n\re");
        let mut lines = Vec::new();
        while let Some(word) = words.next_word() {
            lines.push(word.line);
        }
        assert_eq!(lines, [1, 2, 3, 4, 6]);
    }

    #[test]
    fn numbers_that_are_not_finite_are_nan_and_words_are_none() {
        let number =
            |text: &str| Words::new(text.as_bytes()).next_word().unwrap().number();
        assert_eq!(number("-1.5E-3"), Some(-1.5e-3));
        assert!(number("-1.#IND").unwrap().is_nan() && number("1e99").unwrap().is_nan());
        assert_eq!(number("1,5"), None);
    }
}
