//! A finding in fewer words: without coordinates, without its subject in front, its first way
//! out alone.

use crate::findings::causes::count;
use crate::findings::{Finding, Kind};
use crate::units::format::capitalized;

/// A way that is no longer is read as a whole.
const LONG: usize = 90;

/// A title for one or more of a kind: "air shut in at 5 places".
pub(super) fn title(kind: Kind, title: &str, places: usize) -> String {
    let many = |one: &str, many: &str| capitalized(&count(places, one, many));
    match kind {
        Kind::TrappedAir if places > 1 => format!("Air shut in at {places} places"),
        Kind::TrappedAir => "Air shut in at one place".to_owned(),
        Kind::Weld => many("weld line", "weld lines"),
        Kind::Parting => worded(&title.replace("the line", "the parting line")),
        Kind::OpenSurface => {
            let bare = without_places(title);
            worded(bare.split([',', ':']).next().unwrap_or(&bare))
        }
        Kind::ShortShot => worded(title.split(" at the ").next().unwrap_or(title)),
        Kind::Clamp => worded(&title.split(", ").take(2).collect::<Vec<_>>().join(", ")),
        Kind::FeedPressure => worded(title.split(" at ").next().unwrap_or(title)),
        Kind::OddFile | Kind::Repaired if places > 1 => {
            format!("The file was put right in {places} ways")
        }
        _ if places > 1 => format!("{} (and {} more)", worded(title), places - 1),
        _ => worded(title),
    }
}

/// The first way out of a finding's cure, as an order: as its judge says it, else cut from the
/// cure.
pub(super) fn change(finding: &Finding) -> String {
    if let Some(change) = &finding.change {
        return change.words.clone();
    }
    let cure = &finding.cure;
    let usual = match finding.kind {
        Kind::TrappedAir => {
            "Let the air out through a split insert or an ejector pin there"
        }
        Kind::Parting => "Bring the outer edge to one height for a flat parting",
        Kind::Weld => "Move the gate where a weld line shows or carries a load",
        Kind::FeedPressure => "Bore the nozzle wider and its land shorter",
        Kind::SeveralSolids | Kind::OddFile | Kind::Repaired => {
            "Look at the pictures: is this the part that you drew?"
        }
        _ => return capitalized(&without_places(first_way(cure))),
    };
    usual.to_owned()
}

/// Ways are parted by "; or ", and a way by ";" from what explains it; a long list of ways has
/// commas.
fn first_way(cure: &str) -> &str {
    let way = cure.split("; ").next().unwrap_or(cure);
    if way.chars().count() <= LONG {
        way
    } else {
        way.split(", or ").next().unwrap_or(way)
    }
}

fn worded(title: &str) -> String {
    let bare = without_places(title.split("; ").next().unwrap_or(title));
    let text = bare.split_once(": ").filter(|(head, _)| is_subject(head));
    capitalized(text.map_or(bare.as_str(), |(_, tail)| tail))
}

/// "standing metal", not a clause that happens to end in a colon.
fn is_subject(head: &str) -> bool {
    head.split(' ').count() <= 2
}

/// `text` without what stands between " at (" or " around (" and the next ")".
pub(super) fn without_places(text: &str) -> String {
    let mut rest = text;
    let mut kept = String::new();
    while let Some(start) = next_place(rest) {
        let Some(end) = rest[start..].find(')') else { break };
        kept += &rest[..start];
        rest = &rest[start + end + 1..];
    }
    kept + rest
}

/// Where the next phrase with a place begins.
fn next_place(text: &str) -> Option<usize> {
    let phrases = [", the worst at (", " at (", " around ("];
    phrases.iter().filter_map(|phrase| text.find(phrase)).min()
}

#[cfg(test)]
mod tests {
    use super::{change, title, without_places};
    use crate::findings::{Finding, Kind, Severity};

    #[test]
    fn places_and_subjects_go_and_the_rest_stays() {
        assert_eq!(
            without_places("core it out at (6.1, 4.5, 23.4) from 8.7 to 5 mm"),
            "core it out from 8.7 to 5 mm"
        );
        assert_eq!(without_places("half open at ( and"), "half open at ( and");
        let thick = "thick wall: 8.7 mm at (6.1, 4.5, 23.4), 178 mm² above 5 mm";
        assert_eq!(title(Kind::ThickWall, thick, 1), "8.7 mm, 178 mm² above 5 mm");
        assert_eq!(title(Kind::Weld, "weld: any", 6), "6 weld lines");
        let cure = "use more bolts; or a thicker plate at (1, 2, 3)";
        let bolts = Finding::new(Kind::Bolts, Severity::Fix, "any").cured_by(cure);
        assert_eq!(change(&bolts), "Use more bolts");
    }
}
