//! What the process of a run says to the page's server: one line of JSON each, the bytes of files
//! behind it.

use std::io::{self, BufRead, Read, Write};

use serde::{Deserialize, Serialize};

use crate::report::bundle::NamedFile;

/// One thing that is said.
#[derive(Debug, Deserialize, Serialize)]
pub(super) enum Message {
    /// The run is at this one of its steps.
    Step(usize),
    /// The part as it was read, before anything is known of it.
    Read(Shown),
    /// The answer, before the pictures are drawn.
    Answered(Shown),
    /// All of it: the last message.
    Done(Shown),
    /// There is no answer, and why: the last message.
    Failed(String),
}

/// What the page shows of a run.
#[derive(Debug, Deserialize, Serialize)]
pub(super) struct Shown {
    /// In a few words.
    pub(super) said: String,
    /// The class that its colors go by.
    pub(super) look: String,
    /// The piece of the page that stands beside the report.
    pub(super) piece: String,
    /// The file that shows all of it, where there is one.
    pub(super) page: Option<String>,
    /// Name and length of each file; the bytes follow in this order.
    pub(super) files: Vec<(String, u64)>,
}

impl Shown {
    /// A page alone: the only one of `files`.
    pub(super) fn of(files: &[NamedFile; 1]) -> Self {
        let [page] = files;
        Self {
            said: String::new(),
            look: String::new(),
            piece: String::new(),
            page: Some(page.name.clone()),
            files: vec![(page.name.clone(), page.bytes.len() as u64)],
        }
    }
}

/// Says it; the bytes of `files` stand behind it.
///
/// # Errors
/// When nobody listens.
pub(super) fn write(
    message: &Message,
    files: &[NamedFile],
    to: &mut dyn Write,
) -> io::Result<()> {
    let mut line = serde_json::to_vec(message)?;
    line.push(b'\n');
    to.write_all(&line)?;
    files.iter().try_for_each(|file| to.write_all(&file.bytes))?;
    to.flush()
}

/// Hears the next message with its files; `None` at the end.
///
/// # Errors
/// When what is said is no message.
pub(super) fn read(
    from: &mut dyn BufRead,
) -> io::Result<Option<(Message, Vec<NamedFile>)>> {
    let mut line = Vec::new();
    from.read_until(b'\n', &mut line)?;
    if line.is_empty() {
        return Ok(None);
    }
    let message: Message = serde_json::from_slice(&line)?;
    let mut files = Vec::new();
    if let Message::Read(shown) | Message::Answered(shown) | Message::Done(shown) =
        &message
    {
        for (name, length) in &shown.files {
            files.push(NamedFile { name: name.clone(), bytes: bytes(from, *length)? });
        }
    }
    Ok(Some((message, files)))
}

/// The next `length` bytes.
///
/// # Errors
/// When there are fewer.
pub(super) fn bytes(from: &mut dyn BufRead, length: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(length).read_to_end(&mut bytes)?;
    if bytes.len() as u64 == length {
        Ok(bytes)
    } else {
        Err(io::ErrorKind::UnexpectedEof.into())
    }
}

#[cfg(test)]
mod tests {
    use super::{Message, Shown, read, write};
    use crate::report::bundle::NamedFile;

    fn file(name: &str, bytes: &[u8]) -> NamedFile {
        NamedFile { name: name.to_owned(), bytes: bytes.to_vec() }
    }

    #[test]
    fn what_is_said_is_heard_with_its_files() {
        let files = [file("a", b"{\n\n}"), file("b", b""), file("c", &[0, 10, 255])];
        let shown = Shown {
            said: "Cut it".to_owned(),
            look: "cut".to_owned(),
            piece: "<p>\n</p>".to_owned(),
            page: Some("a".to_owned()),
            files: files
                .iter()
                .map(|it| (it.name.clone(), it.bytes.len() as u64))
                .collect(),
        };
        let mut said = Vec::new();
        write(&Message::Step(3), &[], &mut said).unwrap();
        write(&Message::Done(shown), &files, &mut said).unwrap();
        let mut from = said.as_slice();
        let (first, none) = read(&mut from).unwrap().unwrap();
        assert!(matches!(first, Message::Step(3)) && none.is_empty());
        let (last, heard) = read(&mut from).unwrap().unwrap();
        assert!(matches!(last, Message::Done(shown) if shown.piece == "<p>\n</p>"));
        let pairs = heard.iter().zip(&files);
        assert!(
            pairs.clone().count() == 3 && pairs.clone().all(|(a, b)| a.bytes == b.bytes)
        );
        assert!(read(&mut from).unwrap().is_none());
        // One that breaks off is no message.
        assert!(read(&mut &said[..said.len() - 1][12..]).is_err());
    }
}
