//! Who may come in: this machine, and devices that were paired; never a page of another site.

use std::collections::BTreeSet;
use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::sync::Mutex;

use axum::body::Body;
use axum::extract::{ConnectInfo, State};
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::pages;
use crate::shared::Workshop;

/// The guard of one opening.
#[derive(Debug)]
pub(crate) struct Guard {
    port: u16,
    code: Option<String>,
    /// Cookies of paired devices.
    paired: Mutex<BTreeSet<String>>,
    /// Wrong codes given so far.
    wrong: Mutex<u32>,
}

/// Wrong codes after which no code is taken any more.
const MOST_WRONG: u32 = 20;
/// The cookie's name.
const COOKIE: &str = "latchwork";

fn random<const N: usize>() -> Option<[u8; N]> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).ok().map(|()| bytes)
}

/// This machine's address on the home network; no packet is sent to find it.
pub(crate) fn own_address() -> IpAddr {
    let found = UdpSocket::bind("0.0.0.0:0").and_then(|s| s.connect("192.0.2.1:9").and_then(|()| s.local_addr()));
    found.map_or(IpAddr::from([127, 0, 0, 1]), |a| a.ip())
}

impl Guard {
    /// A guard for a port; shared, it makes a code.
    ///
    /// # Errors
    /// When the system has no randomness: then nothing may be shared.
    pub(crate) fn new(port: u16, share: bool) -> std::io::Result<Guard> {
        let code = if share {
            let bytes = random().ok_or_else(|| std::io::Error::other("no code can be made: there is no randomness"))?;
            // Eight figures: short enough to type, and only so many tries.
            Some(format!("{:08}", u64::from_le_bytes(bytes) % 100_000_000))
        } else {
            None
        };
        Ok(Guard { port, code, paired: Mutex::default(), wrong: Mutex::default() })
    }

    pub(crate) fn code(&self) -> Option<String> {
        self.code.clone()
    }

    /// Takes a pairing code; gives the cookie of the new device.
    pub(crate) fn pair(&self, code: &str) -> Option<String> {
        let mut wrong = self.wrong.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let given: String = code.chars().filter(char::is_ascii_digit).collect();
        if *wrong >= MOST_WRONG || self.code.as_ref() != Some(&given) {
            *wrong += 1;
            return None;
        }
        let token: String = random::<24>()?.iter().map(|b| format!("{b:02x}")).collect();
        self.paired.lock().unwrap_or_else(std::sync::PoisonError::into_inner).insert(token.clone());
        Some(format!("{COOKIE}={token}; Path=/; HttpOnly; SameSite=Strict; Max-Age=2592000"))
    }

    /// Whether the request is addressed to us by a name that is ours: another name could be another site's.
    fn ours(&self, host: &str) -> bool {
        let (name, port) = host.rsplit_once(':').unwrap_or((host, "80"));
        if port.parse() != Ok(self.port) {
            return false;
        }
        let name = name.trim_matches(['[', ']']);
        let local = name == "localhost" || name.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback());
        local || self.code.is_some() && name.parse::<IpAddr>().is_ok_and(|ip| ip == own_address())
    }

    fn known(&self, headers: &HeaderMap) -> bool {
        let paired = self.paired.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok());
        cookies
            .flat_map(|c| c.split(';'))
            .filter_map(|c| c.trim().split_once('='))
            .any(|(name, token)| name == COOKIE && paired.contains(token))
    }
}

/// What a device that is not paired may have: the page that asks for the code, and its looks.
fn open_to_all(path: &str) -> bool {
    ["/pair", "/look.css", "/page.js"].contains(&path) || (path.starts_with("/serif-") && path.ends_with(".woff2"))
}

/// Stands before every page.
pub(crate) async fn stand(
    State(workshop): State<Workshop>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    request: Request<Body>,
    next: Next,
) -> Response {
    let refused = refused(&workshop.guard, from, &request);
    let mut response = match refused {
        Some(refused) => refused,
        None => next.run(request).await,
    };
    let out = response.headers_mut();
    let fixed = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        // With none at all a browser hides where its own forms come from.
        (header::REFERRER_POLICY, "same-origin"),
        (
            header::CONTENT_SECURITY_POLICY,
            "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; frame-ancestors 'self'; form-action 'self'; base-uri 'none'",
        ),
    ];
    for (name, value) in fixed {
        out.entry(name).or_insert(header::HeaderValue::from_static(value));
    }
    response
}

/// Why a request is not let in; none where it is.
fn refused(guard: &Guard, from: SocketAddr, request: &Request<Body>) -> Option<Response> {
    let headers = request.headers();
    let text = |name: header::HeaderName| headers.get(name).and_then(|v| v.to_str().ok()).map(str::to_string);
    let Some(host) = text(header::HOST).filter(|h| guard.ours(h)) else {
        return Some((StatusCode::MISDIRECTED_REQUEST, "This address is not the workshop's.").into_response());
    };
    if request.method() != Method::GET && request.method() != Method::HEAD {
        // A browser tells where a post comes from; one from another site is turned away.
        let own = format!("http://{host}");
        let from_us = match text(header::ORIGIN) {
            Some(origin) => origin == own,
            None => headers.get("sec-fetch-site").is_none_or(|s| s == "same-origin" || s == "none"),
        };
        if !from_us {
            let told = "Only the workshop's own pages may change something.";
            return Some((StatusCode::FORBIDDEN, told).into_response());
        }
    }
    // Pages of other sites may not even look: pictures cost work.
    if headers.get("sec-fetch-site").is_some_and(|s| s == "cross-site")
        && headers.get("sec-fetch-mode").is_none_or(|m| m != "navigate")
    {
        return Some((StatusCode::FORBIDDEN, "Only the workshop's own pages are served.").into_response());
    }
    let known = from.ip().is_loopback() || open_to_all(request.uri().path()) || guard.known(headers);
    (!known).then(|| (StatusCode::UNAUTHORIZED, pages::pair(false)).into_response())
}
