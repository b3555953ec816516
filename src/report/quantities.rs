//! Quantities of a page in both systems of units: the one that is shown, and the other one beside
//! it for the switch.

use crate::units::us_words::{Piece, ShownUnits, pieces};

/// Elements whose text is no prose, or a name.
const LEFT_ALONE: [&str; 8] =
    ["title", "style", "script", "svg", "option", "button", "h1", "bdi"];

/// `page` with each quantity of its text in an element of its own.
pub(crate) fn mark(page: &str, shown: ShownUnits) -> String {
    let mut marked = String::with_capacity(page.len() + page.len() / 8);
    let mut rest = page;
    while let Some(start) = rest.find('<') {
        marked += &text(&rest[..start], shown);
        rest = &rest[start..];
        let end = match opened(rest) {
            Some(name) => rest.find(&format!("</{name}>")),
            None => rest.find('>').map(|end| end + 1),
        };
        let end = end.unwrap_or(rest.len());
        marked += &rest[..end];
        rest = &rest[end..];
    }
    marked + &text(rest, shown)
}

/// The element that `tag` opens, where its text is left alone.
fn opened(tag: &str) -> Option<&'static str> {
    let inside = tag.strip_prefix('<')?;
    let end = |name: &&&str| {
        let after = inside.strip_prefix(**name).and_then(|it| it.chars().next());
        after.is_some_and(|letter| !letter.is_alphanumeric())
    };
    LEFT_ALONE.iter().find(end).copied()
}

fn text(words: &str, shown: ShownUnits) -> String {
    let piece = |piece: Piece<'_>| match (piece, shown) {
        (Piece::Words(words), _) => words.to_owned(),
        (Piece::Quantity(metric, us), ShownUnits::Metric) => {
            format!("<span data-us=\"{us}\">{metric}</span>")
        }
        (Piece::Quantity(metric, us), ShownUnits::UsCustomary) => {
            format!("<span data-us=\"{us}\" data-metric=\"{metric}\">{us}</span>")
        }
    };
    pieces(words).into_iter().map(piece).collect()
}

#[cfg(test)]
mod tests {
    use super::mark;
    use crate::units::us_words::ShownUnits;

    #[test]
    fn text_is_marked_and_tags_scripts_and_titles_are_not() {
        let page = "<title>2 mm</title><p title=\"3 mm\">4 mm or 5 &lt; 6 N</p><script>7 mm</script>";
        assert_eq!(
            mark(page, ShownUnits::Metric),
            "<title>2 mm</title><p title=\"3 mm\"><span data-us=\"0.157 in\">4 mm</span> or 5 &lt; <span data-us=\"1.35 lbf\">6 N</span></p><script>7 mm</script>"
        );
        let shown = mark("<p>4 mm</p>", ShownUnits::UsCustomary);
        assert_eq!(
            shown,
            "<p><span data-us=\"0.157 in\" data-metric=\"4 mm\">0.157 in</span></p>"
        );
    }
}
