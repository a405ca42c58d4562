//! A good answer, ready to be sent, and to be stored for a repeated request.
use actix_web::http::{StatusCode, header};
use actix_web::{HttpRequest, HttpResponse, Responder, body::BoxBody};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::marker::PhantomData;

/// The answer of a handler; `T` is what the document says of its body.
pub struct Reply<T> {
    pub(crate) sent: Sent,
    marker: PhantomData<fn() -> T>,
}

/// The same without its type.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Sent {
    pub status: u16,
    pub etag: Option<String>,
    pub location: Option<String>,
    pub content_type: String,
    pub body: String,
    /// What was written, for the audit log.
    #[serde(skip)]
    pub subject: String,
}

impl<T: Serialize> Reply<T> {
    fn of(status: u16, body: &T) -> Self {
        let body = serde_json::to_string(body).unwrap_or_default();
        let (etag, location, content_type) = (None, None, "application/json".to_owned());
        Self::from_sent(Sent { status, etag, location, content_type, body, subject: String::new() })
    }

    pub fn ok(body: &T) -> Self {
        Self::of(200, body)
    }

    /// 201 with the address of what was made.
    pub fn created(body: &T, location: String) -> Self {
        let mut reply = Self::of(201, body);
        reply.sent.subject = location.rsplit('/').next().unwrap_or_default().to_owned();
        reply.sent.location = Some(location);
        reply
    }
}

impl Reply<()> {
    /// 204.
    pub fn empty() -> Self {
        let sent = Sent {
            status: 204,
            etag: None,
            location: None,
            content_type: String::new(),
            body: String::new(),
            subject: String::new(),
        };
        Self::from_sent(sent)
    }
}

impl<T> Reply<T> {
    pub(crate) const fn from_sent(sent: Sent) -> Self {
        Self { sent, marker: PhantomData }
    }

    /// Marks the version that was read or written.
    #[must_use]
    pub fn version(mut self, version: i64) -> Self {
        self.sent.etag = Some(etag(version, self.sent.body.as_bytes()));
        self
    }
}

/// The strong ETag of what is shown of a version: what is reckoned afresh, such as who is a minor today, changes it too.
pub(super) fn etag(version: i64, shown: &[u8]) -> String {
    let digest = Sha256::digest(shown);
    let hash: String = digest.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    format!("\"v{version}-{hash}\"")
}

/// Whether whoever asks has just that already.
pub(super) fn is_known(request: &HttpRequest, etag: Option<&str>) -> bool {
    etag.is_some() && request.headers().get(header::IF_NONE_MATCH).and_then(|v| v.to_str().ok()) == etag
}

/// What `If-Match` may hold: strong ETags of versions, see [`named_version`].
pub const IF_MATCH: &str = "^ *\"v[0-9]{1,19}(-[0-9a-f]{16})?\" *(, *\"v[0-9]{1,19}(-[0-9a-f]{16})?\" *)*$";

/// The version that an ETag of ours names, in digits; none where it is no ETag of ours. A change is judged by the
/// version: what was reckoned since does not undo the decision.
pub fn named_version(tag: &str) -> Option<&str> {
    let inner = tag.strip_prefix("\"v")?.strip_suffix('"')?;
    let (number, hash) = inner.split_once('-').map_or((inner, None), |(number, hash)| (number, Some(hash)));
    let digits = (1..=19).contains(&number.len()) && number.bytes().all(|b| b.is_ascii_digit());
    let hex = |hash: &str| hash.len() == 16 && hash.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
    (digits && hash.is_none_or(hex)).then_some(number)
}

impl<T> Responder for Reply<T> {
    type Body = BoxBody;

    fn respond_to(self, request: &HttpRequest) -> HttpResponse {
        let sent = self.sent;
        let unchanged = sent.status == 200 && is_known(request, sent.etag.as_deref());
        let status = if unchanged { 304 } else { sent.status };
        let mut answer = HttpResponse::build(StatusCode::from_u16(status).unwrap_or(StatusCode::OK));
        answer.insert_header((header::CACHE_CONTROL, "no-store"));
        if let Some(etag) = sent.etag {
            answer.insert_header((header::ETAG, etag));
        }
        if let Some(location) = sent.location {
            answer.insert_header((header::LOCATION, location));
        }
        if unchanged || sent.body.is_empty() {
            return answer.finish();
        }
        answer.content_type(sent.content_type).body(sent.body)
    }
}
