//! Text STL: a grammar of words, whatever the line ends, the case and the blanks.
//!
//! The words are checked here, where the line number is known, and handed to the reader in
//! the one spelling that it understands, a batch of facets at a time.

use std::io;

use super::stl_problem::{Gathered, Oddity, StlError, StlTriangle};
use super::stl_words::{Word, Words};

/// Facets handed over at once: large enough to amortize the call, small in memory.
const BATCH: usize = 4096;

/// Whether `bytes` begin as a text STL does, with no byte that text does not have.
pub(super) fn looks_like_text_stl(bytes: &[u8]) -> bool {
    let first = Words::new(bytes).next_word().map(|word| word.text);
    let begins = first.is_some_and(|word| {
        word.eq_ignore_ascii_case(b"solid") || word.eq_ignore_ascii_case(b"facet")
    });
    begins && is_text(bytes)
}

/// Whether the beginning of `bytes` could be text in any encoding of eight bits.
pub(super) fn is_text(bytes: &[u8]) -> bool {
    bytes.iter().take(512).all(|&byte| byte >= 0x20 || (0x09..=0x0d).contains(&byte))
}

/// Reads a text STL, all its solids.
pub(super) fn read(bytes: &[u8]) -> Result<(Vec<StlTriangle>, Vec<Oddity>), StlError> {
    let mut reader = Reader::new(bytes);
    reader.solids()?;
    reader.hand_over();
    reader.gathered.mark_not_finite_normals(reader.nameless_normals);
    let mut odd = line_ends(bytes, reader.words.line);
    odd.extend(reader.odd);
    if reader.solids > 1 {
        odd.push(Oddity::SeveralSolids { solids: reader.solids });
    }
    let (triangles, normals) = reader.gathered.finish()?;
    odd.extend(normals);
    Ok((triangles, odd))
}

fn line_ends(bytes: &[u8], last_line: usize) -> Vec<Oddity> {
    if last_line == 1 {
        return vec![Oddity::OneLine];
    }
    if bytes.contains(&b'\n') { vec![] } else { vec![Oddity::CarriageReturns] }
}

struct Reader<'a> {
    words: Words<'a>,
    solids: usize,
    /// Facets taken and checked so far.
    facets: usize,
    /// Facets in the spelling of the library, not yet handed over.
    batch: Vec<u8>,
    in_batch: usize,
    /// Facets whose stored normal is not a number.
    nameless_normals: usize,
    gathered: Gathered,
    odd: Option<Oddity>,
}

impl<'a> Reader<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        Self {
            words: Words::new(bytes),
            solids: 0,
            facets: 0,
            batch: Vec::new(),
            in_batch: 0,
            nameless_normals: 0,
            gathered: Gathered::default(),
            odd: None,
        }
    }

    /// The whole text: solids with facets in them.
    fn solids(&mut self) -> Result<(), StlError> {
        let mut ended = false;
        loop {
            let before = self.words;
            let Some(word) = self.words.next_word() else {
                if !ended {
                    self.odd = Some(Oddity::NoEnd);
                }
                return Ok(());
            };
            if word.is("facet") {
                self.facet()?;
                ended = false;
            } else if word.is("endsolid") || self.words.closes_apart(word) {
                self.words.skip_end_name();
                ended = true;
            } else if word.is("solid") {
                self.solids += 1;
                self.words.skip_name();
                ended = false;
            } else if ended && !rest_has_facets(before) {
                let bytes = self.words.bytes.len() - word.start;
                self.odd = Some(Oddity::TrailingBytes { bytes });
                return Ok(());
            } else {
                return Err(broken(word, "\"facet normal\" or \"endsolid\""));
            }
        }
    }

    /// One facet behind the word `facet`.
    fn facet(&mut self) -> Result<(), StlError> {
        self.keyword("normal", "\"normal\" after \"facet\"")?;
        let normal = self.numbers("a number of the normal")?;
        self.keyword("outer", "\"outer loop\"")?;
        self.keyword("loop", "\"loop\" after \"outer\"")?;
        let mut corners = [Numbers::default(); 3];
        for corner in &mut corners {
            self.keyword("vertex", "\"vertex\"")?;
            *corner = self.numbers("a coordinate of the vertex")?;
        }
        self.keyword("endloop", "\"endloop\" after three vertices")?;
        self.keyword("endfacet", "\"endfacet\"")?;
        self.facets += 1;
        self.spell(&normal, &corners);
        Ok(())
    }

    fn word(&mut self) -> Result<Word<'a>, StlError> {
        let (whole, line) = (self.facets, self.words.line);
        self.words.next_word().ok_or(StlError::TextCutOff { whole, line })
    }

    fn keyword(&mut self, keyword: &str, expected: &'static str) -> Result<(), StlError> {
        let word = self.word()?;
        if word.is(keyword) {
            Ok(())
        } else {
            Err(self.broken_or_cut_off(word, expected))
        }
    }

    fn numbers(&mut self, expected: &'static str) -> Result<Numbers<'a>, StlError> {
        let mut numbers = Numbers { finite: true, ..Numbers::default() };
        for spelling in &mut numbers.spellings {
            let word = self.word()?;
            let value = word.number();
            let value = value.ok_or_else(|| self.broken_or_cut_off(word, expected))?;
            numbers.finite &= value.is_finite();
            *spelling = word.text;
        }
        Ok(numbers)
    }

    /// A wrong word that is the last of the text is half a word: the text is cut off.
    fn broken_or_cut_off(&self, word: Word<'_>, expected: &'static str) -> StlError {
        if self.words.at == self.words.bytes.len() {
            return StlError::TextCutOff { whole: self.facets, line: word.line };
        }
        broken(word, expected)
    }

    /// Puts a facet into the batch. What is not finite goes to the books and not to the
    /// library, which refuses the whole file for it.
    fn spell(&mut self, normal: &Numbers<'a>, corners: &[Numbers<'a>; 3]) {
        if !corners.iter().all(|corner| corner.finite) {
            self.hand_over();
            self.gathered.triangles.push([[f32::NAN; 3]; 3]);
            self.gathered.mark_not_finite();
            return;
        }
        self.nameless_normals += usize::from(!normal.finite);
        let zero: [&[u8]; 3] = [b"0"; 3];
        let spellings = if normal.finite { &normal.spellings } else { &zero };
        append_line(&mut self.batch, b"facet normal", spellings);
        self.batch.extend_from_slice(b"outer loop\n");
        for corner in corners {
            append_line(&mut self.batch, b"vertex", &corner.spellings);
        }
        self.batch.extend_from_slice(b"endloop\nendfacet\n");
        self.in_batch += 1;
        if self.in_batch == BATCH {
            self.hand_over();
        }
    }

    /// Lets the library read the batch.
    fn hand_over(&mut self) {
        let mut text = b"solid \n".to_vec();
        text.append(&mut self.batch);
        text.extend_from_slice(b"endsolid\n");
        if let Ok(found) = stl_io::create_stl_reader(&mut io::Cursor::new(text)) {
            // Every word has been checked, so no facet can fail.
            for facet in found.map_while(Result::ok) {
                self.gathered.push(&facet);
            }
        }
        self.in_batch = 0;
    }
}

/// Three numbers as they are spelled, and whether they are all finite.
#[derive(Clone, Copy, Default)]
struct Numbers<'a> {
    spellings: [&'a [u8]; 3],
    finite: bool,
}

fn append_line(text: &mut Vec<u8>, keyword: &[u8], words: &[&[u8]; 3]) {
    text.extend_from_slice(keyword);
    for word in words {
        text.push(b' ');
        text.extend_from_slice(word);
    }
    text.push(b'\n');
}

fn broken(word: Word<'_>, expected: &'static str) -> StlError {
    let seen: String = String::from_utf8_lossy(word.text).chars().take(24).collect();
    let seen = seen.escape_debug().to_string();
    StlError::BrokenText { line: word.line, expected, seen }
}

/// Whether facets follow: then what stands between is broken and not a leftover.
fn rest_has_facets(mut words: Words<'_>) -> bool {
    while let Some(word) = words.next_word() {
        if word.is("facet") && words.peek().is_some_and(|w| w.is("normal")) {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::{Oddity, StlError, StlTriangle, read};

    const TWO: &str = "solid bar end plug\n facet normal 0 0 1\n  outer loop\n   \
        vertex 0 0 0\n   vertex 1 0 0\n   vertex 0 1 0\n  endloop\n endfacet\n \
        facet normal 0 0 1\n  outer loop\n   vertex 1 0 0\n   vertex 1.5e0 1 0\n   \
        vertex 0 1 0\n  endloop\n endfacet\nendsolid bar end plug\n";

    fn facets(text: &str) -> (Vec<StlTriangle>, Vec<Oddity>) {
        read(text.as_bytes()).unwrap()
    }

    #[test]
    fn line_ends_case_blanks_and_a_byte_order_mark_change_nothing() {
        let (plain, odd) = facets(TWO);
        assert_eq!(plain[1], [[1.0, 0.0, 0.0], [1.5, 1.0, 0.0], [0.0, 1.0, 0.0]]);
        assert!(odd.is_empty());
        let dos = TWO.replace('\n', "\r\n");
        let upper = TWO.to_uppercase();
        let tabs = TWO.replace("  ", "\t ");
        let marked = format!("\u{FEFF}\n  {TWO}");
        for text in [dos, upper, tabs, marked] {
            assert_eq!(facets(&text), (plain.clone(), vec![]));
        }
        let old = facets(&TWO.replace('\n', "\r"));
        assert_eq!(old, (plain.clone(), vec![Oddity::CarriageReturns]));
        let one_line = facets(&TWO.replace('\n', " "));
        assert_eq!(one_line, (plain, vec![Oddity::OneLine]));
    }

    #[test]
    fn every_solid_is_read() {
        let (triangles, odd) = facets(&format!("{TWO}{TWO}{TWO}"));
        assert_eq!(
            (triangles.len(), odd),
            (6, vec![Oddity::SeveralSolids { solids: 3 }])
        );
        let (triangles, odd) = facets(&format!("{TWO}{TWO}").replace('\n', " "));
        let both = vec![Oddity::OneLine, Oddity::SeveralSolids { solids: 2 }];
        assert_eq!((triangles.len(), odd), (4, both));
    }

    #[test]
    fn a_break_is_named_with_its_line() {
        let text = TWO.replace("   vertex 1.5e0 1 0", "   vertex 1,5 1 0");
        let error = read(text.as_bytes()).unwrap_err();
        let expected = "a coordinate of the vertex";
        let seen = "1,5".to_owned();
        assert_eq!(error, StlError::BrokenText { line: 12, expected, seen });
        let text = text.replace('\n', "\r\n");
        assert!(read(text.as_bytes()).unwrap_err().to_string().contains("line 12"));
        let text =
            TWO.replace("  endloop\n endfacet\n ", "vertex 3 3 3 endloop endfacet ");
        assert!(
            read(text.as_bytes()).unwrap_err().to_string().contains("three vertices")
        );
    }

    #[test]
    fn a_text_that_ends_inside_a_facet_is_cut_off() {
        let end = TWO.find("1.5e0").unwrap();
        let error = read(&TWO.as_bytes()[..end]).unwrap_err();
        assert_eq!(error, StlError::TextCutOff { whole: 1, line: 12 });
        let half_a_word = TWO.rfind("loop").unwrap();
        let error = read(&TWO.as_bytes()[..half_a_word]).unwrap_err();
        assert_eq!(error, StlError::TextCutOff { whole: 1, line: 14 });
    }

    /// Some programs write the end in two words.
    #[test]
    fn an_end_in_two_words_is_an_end() {
        for end in ["end solid", "END SOLID", "end  solid"] {
            let text = TWO.replace("endsolid", end);
            assert_eq!(facets(&text), facets(TWO), "{end}");
            let twice = format!("{text}{text}");
            assert_eq!(facets(&twice), facets(&format!("{TWO}{TWO}")), "{end}");
        }
        assert_eq!(read(b"solid a\nend solid a\n").unwrap_err(), StlError::NoFacets);
    }

    #[test]
    fn a_missing_end_and_leftovers_are_odd() {
        let end = TWO.find("endsolid").unwrap();
        assert_eq!(facets(&TWO[..end]).1, [Oddity::NoEnd]);
        let (triangles, odd) = facets(&format!("{TWO}\u{1a}\n"));
        assert_eq!((triangles.len(), odd), (2, vec![Oddity::TrailingBytes { bytes: 2 }]));
    }

    #[test]
    fn numbers_that_are_none_count_in_normals_and_stop_in_corners() {
        let text = TWO.replacen("normal 0 0 1", "normal -nan(ind) 1.#QNAN nan", 1);
        let (triangles, odd) = facets(&text);
        assert_eq!(triangles.len(), 2);
        assert_eq!(odd, [Oddity::NotFiniteNormals { facets: 1 }]);
        let error = read(TWO.replace("1.5e0", "1.5e99").as_bytes()).unwrap_err();
        assert_eq!(error, StlError::NotFinite { facets: 1, first: 2 });
    }

    #[test]
    fn a_solid_without_facets_says_so() {
        assert_eq!(read(b"solid a\nendsolid a\n").unwrap_err(), StlError::NoFacets);
    }
}
