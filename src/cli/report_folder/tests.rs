//! Old whole or new whole, and the user's files in both.

use std::fs;
use std::io;
use std::path::Path;

use super::{Place, clear, exchange, fill, put_in_place, write};
use crate::report::bundle::NamedFile;

fn file(name: &str, text: &str) -> NamedFile {
    NamedFile { name: name.to_owned(), bytes: text.as_bytes().to_vec() }
}

fn read(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).unwrap_or_else(|_| "none".to_owned())
}

const OWN: [&str; 3] = ["a.md", "maps/b.png", "maps/c.png"];

#[test]
fn a_report_is_replaced_whole_and_the_users_files_stay() {
    let base = tempfile::tempdir().unwrap();
    let out = base.path().join("reports");
    let folder = out.join("plug");
    let place = Place { out: &out, folder: &folder, own: &OWN };
    write(place, &[file("a.md", "old"), file("maps/c.png", "old")]).unwrap();
    fs::create_dir_all(folder.join("mine/empty")).unwrap();
    for name in ["notes.txt", "maps/mine.png", "mine/c.txt"] {
        fs::write(folder.join(name), "mine").unwrap();
    }
    write(place, &[file("a.md", "new"), file("maps/b.png", "new")]).unwrap();
    for name in ["notes.txt", "maps/mine.png", "mine/c.txt"] {
        assert_eq!(read(&folder, name), "mine");
    }
    assert!(folder.join("mine/empty").is_dir());
    assert_eq!([read(&folder, "a.md"), read(&folder, "maps/b.png")], ["new", "new"]);
    // A picture that the new report does not have is gone, and nothing lies beside.
    assert_eq!(read(&folder, "maps/c.png"), "none");
    assert_eq!(fs::read_dir(&out).unwrap().count(), 1);
    // Without its pictures the folder of them goes too, where nothing else is in it.
    fs::remove_file(folder.join("maps/mine.png")).unwrap();
    write(place, &[file("a.md", "new")]).unwrap();
    assert!(!folder.join("maps").exists());
}

#[test]
fn what_cannot_be_written_leaves_all_as_it_was() {
    let base = tempfile::tempdir().unwrap();
    let folder = base.path().join("reports/plug");
    let out = base.path().join("reports");
    let place = Place { out: &out, folder: &folder, own: &OWN };
    // A name that is a folder for the other file cannot be a file.
    let impossible = [file("maps/b.png", ""), file("maps", "")];
    let error = write(place, &impossible).unwrap_err();
    assert!(error.to_string().contains("could not be written"));
    assert!(!out.exists());
    write(place, &[file("a.md", "old")]).unwrap();
    write(place, &impossible).unwrap_err();
    assert_eq!(read(&folder, "a.md"), "old");
    assert_eq!(fs::read_dir(&out).unwrap().count(), 1);
    fs::remove_dir_all(&folder).unwrap();
    fs::write(&folder, "a file").unwrap();
    let error = write(place, &[file("a.md", "new")]).unwrap_err();
    assert!(format!("{error:#}").contains("a file of that name"));
}

/// Systems that cannot exchange move the old folder aside; a move that fails changes nothing.
#[test]
fn folders_change_places_on_every_system() {
    let base = tempfile::tempdir().unwrap();
    let [folder, fresh] =
        ["plug", ".plug.goodshot-new"].map(|name| base.path().join(name));
    type Exchange = fn(&Path, &Path) -> io::Result<()>;
    let unsupported: Exchange = |_, _| Err(io::ErrorKind::Unsupported.into());
    let failing: Exchange = |_, _| Err(io::ErrorKind::ResourceBusy.into());
    for (exchange, moves) in
        [(exchange as Exchange, true), (unsupported, true), (failing, false)]
    {
        for (at, text) in [(&folder, "old"), (&fresh, "new")] {
            fs::create_dir_all(at).unwrap();
            fs::write(at.join("a.md"), text).unwrap();
        }
        assert_eq!(put_in_place(&fresh, &folder, &exchange).is_ok(), moves);
        let wanted = if moves { ["new", "old"] } else { ["old", "new"] };
        assert_eq!([read(&folder, "a.md"), read(&fresh, "a.md")], wanted);
        assert_eq!(fs::read_dir(base.path()).unwrap().count(), 2);
    }
}

/// Every state that a kill can leave is cleared by the next run, and what the user put in
/// between is kept.
#[test]
fn what_a_killed_run_left_is_cleared() {
    let base = tempfile::tempdir().unwrap();
    let folder = base.path().join("plug");
    let at = |name: &str| base.path().join(name);
    let whole = |name: &str, text: &str| {
        fill(&at(name), &at("none"), &[file("report.md", text)], &|_| false).unwrap();
    };
    // Killed while it wrote, without and with an old report; after both changed places.
    whole(".plug.goodshot-new", "half");
    clear(base.path()).unwrap();
    assert_eq!(fs::read_dir(base.path()).unwrap().count(), 0);
    whole("plug", "old");
    whole(".plug.goodshot-new", "half");
    fs::write(at(".plug.goodshot-new/late.txt"), "mine").unwrap();
    clear(base.path()).unwrap();
    assert_eq!([read(&folder, "report.md"), read(&folder, "late.txt")], ["old", "mine"]);
    // Killed between the two moves of a system that cannot exchange.
    fs::rename(&folder, at(".plug.goodshot-old")).unwrap();
    whole(".plug.goodshot-new", "new");
    clear(base.path()).unwrap();
    assert_eq!(read(&folder, "report.md"), "old");
    assert_eq!(fs::read_dir(base.path()).unwrap().count(), 1);
}
