//! Who is let in: this machine's own page, by its address. Anything else is refused before a file is looked at.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;
use std::time::Duration;

/// How long a request may take, from its head to its answer. One that waits for changes answers in less.
const REQUEST_TIME: Duration = Duration::from_secs(30);

/// What a page of ours may do: run its own scripts and the core, show its own pictures, speak with this server. Styles may stand in the
/// page, for papers and the editor bring theirs along.
const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; connect-src 'self'; \
    style-src 'self' 'unsafe-inline'; img-src 'self' data:; manifest-src 'self'; frame-src 'self'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

pub struct Guard {
    port: u16,
    token: String,
}

impl Guard {
    /// A guard with a new token of 128 random bits.
    pub fn new(port: u16) -> Result<Guard, String> {
        let mut bytes = [0u8; 16];
        getrandom::fill(&mut bytes)
            .map_err(|e| format!("the system gives no random numbers: {e}"))?;
        let token = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
        Ok(Guard { port, token })
    }

    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token)
    }

    /// The path that all of the page lies under.
    pub fn prefix(&self) -> String {
        format!("/{}", self.token)
    }

    /// A name in a header that means this server.
    fn is_own(&self, host: &[u8]) -> bool {
        let own = |name: &str| host == format!("{name}:{}", self.port).as_bytes();
        own("127.0.0.1") || own("localhost")
    }

    /// Why a request is refused; none: it is let in.
    fn refusal(&self, headers: &HeaderMap, path: &str) -> Option<&'static str> {
        // A name of another site that leads to this machine.
        let mut hosts = headers.get_all(header::HOST).iter();
        let is_own_host = hosts.next().is_some_and(|h| self.is_own(h.as_bytes()));
        if !is_own_host || hosts.next().is_some() {
            return Some("this server is 127.0.0.1 and nothing else");
        }
        if let Some(origin) = headers.get(header::ORIGIN) {
            let host = origin.as_bytes().strip_prefix(b"http://");
            if !host.is_some_and(|h| self.is_own(h)) {
                return Some("pages of other sites are not served");
            }
        }
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        if site.is_some_and(|s| s != b"same-origin" && s != b"none") {
            return Some("pages of other sites are not served");
        }
        let said = path.trim_start_matches('/').split('/').next();
        if !said.is_some_and(|said| same(said.as_bytes(), self.token.as_bytes())) {
            return Some("the token is missing; use the address that phasewright open has said");
        }
        None
    }
}

/// Whether two texts are the same, in a time that does not tell how far they are.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |all, (a, b)| all | (a ^ b)) == 0
}

/// The layer around all requests: refuses, hurries, and puts the policy on every answer.
pub async fn layer(State(guard): State<Arc<Guard>>, request: Request, next: Next) -> Response {
    let refusal = guard.refusal(request.headers(), request.uri().path());
    let mut answer = match refusal {
        Some(why) => (StatusCode::FORBIDDEN, why).into_response(),
        None => match tokio::time::timeout(REQUEST_TIME, next.run(request)).await {
            Ok(answer) => answer,
            Err(_) => StatusCode::REQUEST_TIMEOUT.into_response(),
        },
    };
    let set = [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
    ];
    for (name, value) in set {
        answer
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
    answer
}
