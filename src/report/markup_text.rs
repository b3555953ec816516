//! The text of finished markup, apart from its tags.

/// Elements whose text is no prose, or a name.
const NO_PROSE: [&str; 8] =
    ["title", "style", "script", "svg", "option", "button", "h1", "bdi"];

/// `markup` with its text changed by `change`, but that within elements that are no prose or
/// named in `besides`. Elements of one name in each other are not looked for.
pub(super) fn changed(
    markup: &str,
    besides: &[&str],
    mut change: impl FnMut(&str) -> String,
) -> String {
    let mut written = String::with_capacity(markup.len() + markup.len() / 8);
    let mut rest = markup;
    while let Some(start) = rest.find('<') {
        written += &change(&rest[..start]);
        rest = &rest[start..];
        let end = match opened(rest, besides) {
            Some(name) => rest.find(&format!("</{name}>")),
            None => rest.find('>').map(|end| end + 1),
        };
        let end = end.unwrap_or(rest.len());
        written += &rest[..end];
        rest = &rest[end..];
    }
    written + &change(rest)
}

/// The element that `tag` opens, where its text is left alone.
fn opened<'a>(tag: &str, besides: &[&'a str]) -> Option<&'a str> {
    let inside = tag.strip_prefix('<')?;
    let is_it = |name: &&str| {
        let after = inside.strip_prefix(*name).and_then(|it| it.chars().next());
        after.is_some_and(|letter| !letter.is_alphanumeric())
    };
    NO_PROSE.into_iter().chain(besides.iter().copied()).find(is_it)
}

#[cfg(test)]
mod tests {
    use super::changed;

    #[test]
    fn text_is_changed_and_tags_names_and_what_is_left_alone_are_not() {
        let markup =
            "a<p title=\"a\">a <b>a</b></p><a href=\"#a\">a</a><script>a<b</script>a";
        assert_eq!(
            changed(markup, &["a"], |text| text.replace('a', "o")),
            "o<p title=\"a\">o <b>o</b></p><a href=\"#a\">a</a><script>a<b</script>o"
        );
    }
}
