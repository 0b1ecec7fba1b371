//! Who may come in: this machine, and devices that were paired; never a page of another site.

use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use axum::body::{Body, to_bytes};
use axum::extract::{ConnectInfo, State};
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::door::{Place, held};
use crate::pages;
use crate::remembered::{Device, Remembered};
use crate::said::{t, tf};
use crate::shared::{Workshop, unpoisoned};

/// The guard of one opening.
#[derive(Debug)]
pub(crate) struct Guard {
    port: u16,
    /// How devices are paired, where it is shared.
    pairing: Option<Mutex<Pairing>>,
    /// The cookie's name: one address may serve several folders over time.
    cookie: String,
    /// Paired devices.
    remembered: Remembered,
    /// The certificate of the authority that devices are to trust, where they are spoken to encrypted.
    certificate: Option<String>,
}

/// Whether a request came encrypted.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Encrypted(pub(crate) bool);

/// The code that pairs devices now.
#[derive(Debug)]
struct Pairing {
    code: String,
    made: Instant,
    /// When a code was last tried, by any device.
    tried: Option<Instant>,
}

/// What came of an attempt to pair.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Tried {
    /// The cookie of the new device.
    Paired(String),
    /// Another code is wanted.
    Wrong,
    /// A code was tried a moment ago, by this device or another.
    TooSoon,
}

/// How long a code pairs devices.
const CODE_LIVES: Duration = Duration::from_secs(600);
/// The time between two attempts, whichever devices make them: at most 600 of a hundred million codes while one lives.
const BETWEEN_TRIES: Duration = Duration::from_secs(1);
/// How long the body of a request may take, and how large it may be.
const SLOWEST: Duration = Duration::from_secs(20);
const LARGEST: usize = 1_500_000;

fn random<const N: usize>() -> Option<[u8; N]> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).ok().map(|()| bytes)
}

/// A name that nobody can guess.
pub(crate) fn token() -> Option<String> {
    Some(random::<32>()?.iter().map(|b| format!("{b:02x}")).collect())
}

/// This machine's address on the home network; no packet is sent to find it.
pub(crate) fn own_address() -> IpAddr {
    let found = UdpSocket::bind("0.0.0.0:0").and_then(|s| s.connect("192.0.2.1:9").and_then(|()| s.local_addr()));
    found.map_or(IpAddr::from([127, 0, 0, 1]), |a| a.ip())
}

/// Eight figures, short enough to type.
fn new_code() -> Option<String> {
    random().map(|bytes| format!("{:08}", u64::from_le_bytes(bytes) % 100_000_000))
}

impl Guard {
    /// A guard for a port; shared, it makes a code.
    ///
    /// # Errors
    /// When the system has no randomness: then nothing may be shared.
    pub(crate) fn new(
        port: u16,
        share: bool,
        now: Instant,
        (folder, remembered): (&str, Remembered),
    ) -> std::io::Result<Guard> {
        let none = || std::io::Error::other("no code can be made: there is no randomness");
        let pairing = if share {
            let code = new_code().ok_or_else(none)?;
            Some(Mutex::new(Pairing { code, made: now, tried: None }))
        } else {
            None
        };
        let cookie = format!("latchwork-{}", &folder[..folder.len().min(16)]);
        Ok(Guard { port, pairing, cookie, remembered, certificate: None })
    }

    /// The same, with the certificate of the authority that vouches for it.
    pub(crate) fn vouched_by(self, certificate: Option<String>) -> Guard {
        Guard { certificate, ..self }
    }

    /// That certificate.
    pub(crate) fn certificate(&self) -> Option<&str> {
        self.certificate.as_deref()
    }

    /// The code that pairs devices now.
    pub(crate) fn code(&self) -> Option<String> {
        self.pairing.as_ref().map(|p| unpoisoned(p).code.clone())
    }

    /// A new code in place of one that has run out.
    pub(crate) fn renewed(&self, now: Instant) -> Option<String> {
        let mut pairing = unpoisoned(self.pairing.as_ref()?);
        if now.duration_since(pairing.made) < CODE_LIVES {
            return None;
        }
        pairing.code = new_code()?;
        pairing.made = now;
        Some(pairing.code.clone())
    }

    /// The devices that were paired.
    pub(crate) fn devices(&self) -> Vec<Device> {
        self.remembered.devices()
    }

    /// Takes a pairing back.
    pub(crate) fn take_back(&self, mark: &str) {
        self.remembered.take_back(mark);
    }

    /// Takes a pairing code from a device that gives itself this name.
    pub(crate) fn pair(&self, code: &str, name: &str, now: Instant) -> Tried {
        let Some(pairing) = &self.pairing else { return Tried::Wrong };
        let mut pairing = unpoisoned(pairing);
        if pairing.tried.is_some_and(|t| now.duration_since(t) < BETWEEN_TRIES) {
            return Tried::TooSoon;
        }
        pairing.tried = Some(now);
        let given: String = code.chars().filter(char::is_ascii_digit).collect();
        if given != pairing.code || now.duration_since(pairing.made) >= CODE_LIVES {
            return Tried::Wrong;
        }
        let Some(token) = token() else { return Tried::Wrong };
        self.remembered.pair(&token, name, crate::shared::now());
        let secure = if self.certificate.is_some() { "; Secure" } else { "" };
        Tried::Paired(format!("{}={token}; Path=/; HttpOnly; SameSite=Strict; Max-Age=31536000{secure}", self.cookie))
    }

    /// Whether the request is addressed to us by a name that is ours: another name could be another site's.
    fn ours(&self, host: &str) -> bool {
        let (name, port) = host.rsplit_once(':').unwrap_or((host, "80"));
        if port.parse() != Ok(self.port) {
            return false;
        }
        let name = name.trim_matches(['[', ']']);
        let local = name == "localhost" || name.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback());
        let own = || name.parse::<IpAddr>().is_ok_and(|ip| ip == own_address());
        let named = || self.certificate.is_some() && crate::authority::local_name().as_deref() == Some(name);
        local || self.pairing.is_some() && (own() || named())
    }

    fn known(&self, headers: &HeaderMap) -> bool {
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok());
        cookies
            .flat_map(|c| c.split(';'))
            .filter_map(|c| c.trim().split_once('='))
            .any(|(name, token)| self.pairing.is_some() && name == self.cookie && self.remembered.knows(token))
    }
}

/// What a device that is not paired may have: the page that asks for the code, and its looks.
fn open_to_all(path: &str) -> bool {
    ["/pair", "/look.css", "/page.js", "/icon.svg", "/icon-192.png", "/app.webmanifest", "/authority.crt"]
        .contains(&path)
        || (path.starts_with("/serif-") && path.ends_with(".woff2"))
}

/// The page that asks for a code; where the code has run out, a new one is shown where the workshop runs.
pub(crate) fn ask_for_code(workshop: &Workshop, status: StatusCode, told: Option<&str>) -> Response {
    if let Some(code) = workshop.guard.renewed(Instant::now()) {
        (workshop.say)(&tf("code-now", &[("code", &code)]));
    }
    (status, pages::pair(told)).into_response()
}

/// A page that says why something was not done.
fn sorry(status: StatusCode, why: &str) -> Response {
    (status, pages::message(&t("sorry"), &t(why), "/")).into_response()
}

/// Stands before every page.
pub(crate) async fn stand(
    State(workshop): State<Workshop>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    request: Request<Body>,
    next: Next,
) -> Response {
    let mut response = match refused(&workshop.guard, &request) {
        Some((status, why)) => sorry(status, why),
        None if from.ip().is_loopback() || workshop.guard.known(request.headers()) => let_in(request, next).await,
        None if open_to_all(request.uri().path()) => answered(request, next).await,
        None => ask_for_code(&workshop, StatusCode::UNAUTHORIZED, None),
    };
    let out = response.headers_mut();
    let fixed = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        // With none at all a browser hides where its own forms come from.
        (header::REFERRER_POLICY, "same-origin"),
        (
            header::CONTENT_SECURITY_POLICY,
            "default-src 'self'; img-src 'self' data:; media-src 'self' blob:; style-src 'self' 'unsafe-inline'; frame-ancestors 'self'; form-action 'self'; base-uri 'none'",
        ),
    ];
    for (name, value) in fixed {
        out.entry(name).or_insert(header::HeaderValue::from_static(value));
    }
    response
}

/// Answers this machine or a paired device; its connection counts as silent again when the answer is sent.
async fn let_in(request: Request<Body>, next: Next) -> Response {
    let Some(inside) = request.extensions().get::<Place>().and_then(Place::let_in) else {
        return sorry(StatusCode::SERVICE_UNAVAILABLE, "busy");
    };
    held(answered(request, next).await, inside)
}

/// Answers a request once its body is whole.
async fn answered(request: Request<Body>, next: Next) -> Response {
    let (head, body) = request.into_parts();
    let length = head.headers.get(header::CONTENT_LENGTH).and_then(|l| l.to_str().ok()?.parse::<usize>().ok());
    if length.is_some_and(|l| l > LARGEST) {
        return sorry(StatusCode::PAYLOAD_TOO_LARGE, "too-large");
    }
    let body = match tokio::time::timeout(SLOWEST, to_bytes(body, LARGEST)).await {
        Ok(Ok(body)) => body,
        Ok(Err(_)) => return sorry(StatusCode::PAYLOAD_TOO_LARGE, "too-large"),
        Err(_) => return sorry(StatusCode::REQUEST_TIMEOUT, "too-slow"),
    };
    worded(next.run(Request::from_parts(head, Body::from(body))).await)
}

/// A refusal in words that are not ours, or without any, turned into a page of ours.
fn worded(response: Response) -> Response {
    let status = response.status();
    let kind = response.headers().get(header::CONTENT_TYPE).and_then(|k| k.to_str().ok()).unwrap_or_default();
    let ours = kind.starts_with("text/html") || kind.starts_with("application/json");
    if ours || !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let why = match status {
        StatusCode::NOT_FOUND => "missing",
        _ if status.is_server_error() => "went-wrong",
        _ => "not-understood",
    };
    let allowed = response.headers().get(header::ALLOW).cloned();
    let mut page = sorry(status, why);
    if let Some(allowed) = allowed {
        page.headers_mut().insert(header::ALLOW, allowed);
    }
    page
}

/// Why a request is turned away whoever sends it; none where it is not.
fn refused(guard: &Guard, request: &Request<Body>) -> Option<(StatusCode, &'static str)> {
    let headers = request.headers();
    let text = |name: header::HeaderName| headers.get(name).and_then(|v| v.to_str().ok()).map(str::to_string);
    let Some(host) = text(header::HOST).filter(|h| guard.ours(h)) else {
        return Some((StatusCode::MISDIRECTED_REQUEST, "not-our-address"));
    };
    if request.method() != Method::GET && request.method() != Method::HEAD {
        // A browser says where a post comes from; one from another site is turned away, and so is one that does not
        // say.
        let encrypted = request.extensions().get::<Encrypted>().is_some_and(|e| e.0);
        let own = format!("{}://{host}", if encrypted { "https" } else { "http" });
        let from_us = match text(header::ORIGIN) {
            Some(origin) => origin == own,
            None => headers.get("sec-fetch-site").is_some_and(|s| s == "same-origin" || s == "none"),
        };
        if !from_us {
            return Some((StatusCode::FORBIDDEN, "own-pages-change"));
        }
    }
    // Pages of other sites may not even look: pictures cost work.
    if headers.get("sec-fetch-site").is_some_and(|s| s == "cross-site")
        && headers.get("sec-fetch-mode").is_none_or(|m| m != "navigate")
    {
        return Some((StatusCode::FORBIDDEN, "own-pages-look"));
    }
    None
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn a_code_lives_ten_minutes_and_is_tried_once_a_second() {
        let begun = Instant::now();
        let after = |seconds: f64| begun + Duration::from_secs_f64(seconds);
        let guard = Guard::new(80, true, begun, ("folder", Remembered::nowhere())).unwrap();
        let code = guard.code().unwrap();
        let wrong = if code == "00000000" { "00000001" } else { "00000000" };
        for k in 0..500 {
            assert_eq!(guard.pair(wrong, "tablet", after(f64::from(k))), Tried::Wrong, "try {k}");
            assert_eq!(guard.pair(&code, "tablet", after(f64::from(k) + 0.9)), Tried::TooSoon, "even the right one");
        }
        assert!(matches!(guard.pair(&code, "tablet", after(500.0)), Tried::Paired(_)), "nobody is locked out");
        assert_eq!(guard.renewed(after(599.0)), None);
        assert_eq!(guard.pair(&code, "tablet", after(600.0)), Tried::Wrong, "it has run out");
        let next = guard.renewed(after(601.0)).unwrap();
        assert_ne!(next, code);
        assert_eq!(guard.code(), Some(next.clone()));
        assert_eq!(guard.pair(&code, "tablet", after(602.0)), Tried::Wrong);
        assert!(matches!(guard.pair(&next, "tablet", after(603.0)), Tried::Paired(_)));
    }
}
