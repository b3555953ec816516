//! Quantities of a page in both systems of units: the one that is shown, and the other one beside
//! it for the switch.

use crate::report::markup_text;
use crate::units::us_words::{Piece, ShownUnits, pieces};

/// `page` with each quantity of its text in an element of its own.
pub(crate) fn mark(page: &str, shown: ShownUnits) -> String {
    markup_text::changed(page, &[], |words| text(words, shown))
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
