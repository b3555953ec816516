//! Who may ask: this machine's own browser, on the page that `goodshot` opened.
//!
//! Another web page can make a browser send requests here. It cannot give them our host
//! name (a name that it made point here has its own), cannot hide where they come from
//! (`Origin`, `Sec-Fetch-Site`), and does not know the token in every address.

use std::sync::Arc;

use axum::extract::{Request, State as Shared};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::State;

/// Nothing but what this page itself serves; nothing inline, nothing framed but reports.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data:; connect-src 'self'; frame-src 'self'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

/// What every answer says about itself.
const SAFE: [(HeaderName, &str); 6] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::CACHE_CONTROL, "no-store"),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// Passes a request on, or says why not.
pub(super) async fn guard(
    Shared(state): Shared<Arc<State>>,
    request: Request,
    next: Next,
) -> Response {
    let refused = refusal(&state.hosts, request.method(), request.headers());
    let mut response = match refused {
        Some(why) => (StatusCode::FORBIDDEN, why).into_response(),
        None => next.run(request).await,
    };
    for (name, value) in SAFE {
        response.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    response
}

/// Why a request is turned away; nothing where it is not.
fn refusal(
    hosts: &[String; 2],
    method: &Method,
    headers: &HeaderMap,
) -> Option<&'static str> {
    let text = |name: HeaderName| {
        headers.get(name).map(|value| value.to_str().unwrap_or("not readable"))
    };
    let host = text(header::HOST).unwrap_or_default();
    if !hosts.iter().any(|known| known == host) {
        return Some(
            "goodshot answers to 127.0.0.1 only: use the address that it printed\n",
        );
    }
    let is_reading = matches!(*method, Method::GET | Method::HEAD);
    let from = text(header::ORIGIN);
    let is_ours = from.is_some_and(|from| from.strip_prefix("http://") == Some(host));
    if !(is_ours || (is_reading && from.is_none())) {
        return Some("this request does not come from the page of goodshot\n");
    }
    match text(HeaderName::from_static("sec-fetch-site")) {
        None | Some("same-origin") => None,
        // Typed, or opened from a terminal.
        Some("none") if is_reading => None,
        Some(_) => Some("another web page sent this request: it is refused\n"),
    }
}

#[cfg(test)]
mod tests {
    use axum::http::{HeaderMap, HeaderName, HeaderValue, Method};

    use super::refusal;

    fn refused(method: &Method, headers: &[(&'static str, &'static str)]) -> bool {
        let hosts = ["127.0.0.1:8080".to_owned(), "localhost:8080".to_owned()];
        let headers: HeaderMap = headers
            .iter()
            .map(|&(name, value)| {
                (HeaderName::from_static(name), HeaderValue::from_static(value))
            })
            .collect();
        refusal(&hosts, method, &headers).is_some()
    }

    #[test]
    fn only_our_own_page_may_ask() {
        let host = ("host", "127.0.0.1:8080");
        let own = ("origin", "http://127.0.0.1:8080");
        let same = ("sec-fetch-site", "same-origin");
        for (method, headers, is_refused) in [
            (Method::GET, &[host][..], false),
            (Method::GET, &[("host", "localhost:8080")], false),
            (Method::GET, &[host, ("sec-fetch-site", "none")], false),
            (Method::POST, &[host, own, same], false),
            (
                Method::POST,
                &[("host", "localhost:8080"), ("origin", "http://localhost:8080")],
                false,
            ),
            // A name that was made to point here; another port; none at all.
            (Method::GET, &[("host", "parts.example:8080")], true),
            (Method::GET, &[("host", "127.0.0.1")], true),
            (Method::GET, &[("host", "127.0.0.1:80800")], true),
            (Method::GET, &[], true),
            // Another page.
            (Method::GET, &[host, ("sec-fetch-site", "cross-site")], true),
            (Method::GET, &[host, ("sec-fetch-site", "same-site")], true),
            (Method::GET, &[host, ("origin", "http://parts.example")], true),
            (Method::POST, &[host], true),
            (Method::POST, &[host, ("origin", "null")], true),
            (Method::POST, &[host, ("origin", "https://127.0.0.1:8080")], true),
            (Method::POST, &[host, ("origin", "http://localhost:8080")], true),
            (Method::POST, &[host, own, ("sec-fetch-site", "none")], true),
            (Method::OPTIONS, &[host], true),
        ] {
            assert_eq!(refused(&method, headers), is_refused, "{method} {headers:?}");
        }
    }
}
