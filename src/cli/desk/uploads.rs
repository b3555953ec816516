//! What is taken in, and how it is refused.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::json;

use crate::cli::desk::form_fields::Wrong;

/// Letters of a file name that are kept.
const MOST_NAME: usize = 100;

/// Why a request has no answer: one line for the user, and the field that it is about.
pub(super) struct Refused {
    status: StatusCode,
    /// The line.
    pub(super) why: String,
    field: Option<String>,
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let Self { status, why, field } = self;
        let why = why.replace('\n', " ");
        (status, Json(json!({ "error": why, "field": field }))).into_response()
    }
}

impl From<Wrong> for Refused {
    fn from(wrong: Wrong) -> Self {
        Self { field: wrong.field, ..Self::bad(wrong.why) }
    }
}

impl Refused {
    fn new(status: StatusCode, why: impl Into<String>) -> Self {
        Self { status, why: why.into(), field: None }
    }

    pub(super) fn bad(why: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, why)
    }

    /// What is wrong with the choice in `field`.
    pub(super) fn at(field: &str, why: impl Into<String>) -> Self {
        Self { field: Some(field.to_owned()), ..Self::bad(why) }
    }

    pub(super) fn gone(what: &str) -> Self {
        let why = format!("this {what} is no longer kept: load it again");
        Self::new(StatusCode::NOT_FOUND, why)
    }

    pub(super) fn too_large(most: usize) -> Self {
        let most = if most >= 1 << 20 {
            format!("{} MB", most >> 20)
        } else {
            format!("{} KB", most >> 10)
        };
        let why =
            format!("the file is too large: {most} at most; a coarser export is enough");
        Self::new(StatusCode::PAYLOAD_TOO_LARGE, why)
    }

    pub(super) fn too_slow() -> Self {
        let why = "the file stopped arriving before it was whole: try again";
        Self::new(StatusCode::REQUEST_TIMEOUT, why)
    }

    pub(super) fn not_whole() -> Self {
        Self::bad("the file did not arrive whole: try again")
    }

    pub(super) fn busy(why: impl Into<String>) -> Self {
        Self::new(StatusCode::TOO_MANY_REQUESTS, why)
    }
}

/// What a page sent as JSON.
pub(super) fn asked<T: DeserializeOwned>(body: &[u8]) -> Answered<T> {
    serde_json::from_slice(body)
        .map_err(|why| Refused::bad(format!("this cannot be asked: {why}")))
}

pub(super) type Answered<T> = Result<T, Refused>;

/// What is said about a file beside its bytes.
#[derive(Deserialize)]
pub(super) struct Named {
    #[serde(default)]
    pub(super) name: String,
}

/// The name of a file without folders and without what is no letter; never a path.
pub(super) fn plain_name(name: &str, otherwise: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let letters = last.chars().filter(|c| !c.is_control()).take(MOST_NAME);
    let plain: String = letters.collect();
    let plain = plain.trim();
    if plain.chars().all(|c| c == '.' || c == ' ') { otherwise } else { plain }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::plain_name;

    #[test]
    fn a_name_is_never_a_path() {
        for (name, plain) in [
            ("plug.stl", "plug.stl"),
            ("../../etc/passwd", "passwd"),
            (r"C:\parts\plug.stl", "plug.stl"),
            ("..", "part.stl"),
            ("", "part.stl"),
            ("a/..", "part.stl"),
            ("a\0b\r\nc.stl", "abc.stl"),
            ("/", "part.stl"),
        ] {
            assert_eq!(plain_name(name, "part.stl"), plain, "{name:?}");
        }
        assert_eq!(plain_name(&"x".repeat(5000), "part.stl").len(), 100);
    }
}
