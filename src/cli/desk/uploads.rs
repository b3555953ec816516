//! What is taken in, and how it is refused.

use axum::Json;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::json;

/// Letters of a file name that are kept.
const MOST_NAME: usize = 100;

/// Why a request has no answer: one line for the user.
pub(super) struct Refused(pub(super) StatusCode, pub(super) String);

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let Self(status, why) = self;
        (status, Json(json!({ "error": why.replace('\n', " ") }))).into_response()
    }
}

impl Refused {
    pub(super) fn bad(why: impl Into<String>) -> Self {
        Self(StatusCode::BAD_REQUEST, why.into())
    }

    pub(super) fn gone(what: &str) -> Self {
        Self(
            StatusCode::NOT_FOUND,
            format!("this {what} is no longer kept: load it again"),
        )
    }

    pub(super) fn busy(why: impl Into<String>) -> Self {
        Self(StatusCode::TOO_MANY_REQUESTS, why.into())
    }
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

/// Too much is reported before it is read, where the request says how much it is.
pub(super) fn size(
    headers: &HeaderMap,
    most: usize,
    body: Result<Bytes, BytesRejection>,
) -> Answered<Bytes> {
    let declared =
        headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    let declared = declared.and_then(|length| length.parse::<usize>().ok()).unwrap_or(0);
    let too_large = || {
        let most = if most >= 1 << 20 {
            format!("{} MB", most >> 20)
        } else {
            format!("{} KB", most >> 10)
        };
        Refused(
            StatusCode::PAYLOAD_TOO_LARGE,
            format!("the file is too large: {most} at most; a coarser export is enough"),
        )
    };
    if declared > most {
        return Err(too_large());
    }
    body.map_err(|error| {
        if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
            too_large()
        } else {
            Refused::bad("the file did not arrive whole: try again")
        }
    })
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
