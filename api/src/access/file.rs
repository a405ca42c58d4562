//! An answer that is no JSON: a drawing, a page, a document.
use super::reply::{etag, is_known};
use actix_web::http::{StatusCode, header};
use actix_web::{HttpRequest, HttpResponse, Responder, body::BoxBody};
use utoipa::openapi::schema::{ObjectBuilder, SchemaFormat, Type};
use utoipa::openapi::{KnownFormat, RefOr, Schema};

/// What a page or a drawing of ours may load: the style inside it.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Its media type, its bytes, and the ETag of what they show.
pub struct File {
    media: &'static str,
    bytes: Vec<u8>,
    etag: Option<String>,
}

impl File {
    pub fn svg(drawing: String) -> Self {
        Self { media: "image/svg+xml", bytes: drawing.into_bytes(), etag: None }
    }

    pub fn html(page: String) -> Self {
        Self { media: "text/html; charset=utf-8", bytes: page.into_bytes(), etag: None }
    }

    pub const fn pdf(bytes: Vec<u8>) -> Self {
        Self { media: "application/pdf", bytes, etag: None }
    }

    /// Marks the version of what is shown.
    #[must_use]
    pub fn version(mut self, version: i64) -> Self {
        self.etag = Some(etag(version, &self.bytes));
        self
    }
}

impl Responder for File {
    type Body = BoxBody;

    fn respond_to(self, request: &HttpRequest) -> HttpResponse {
        let unchanged = is_known(request, self.etag.as_deref());
        let status = if unchanged { StatusCode::NOT_MODIFIED } else { StatusCode::OK };
        let mut answer = HttpResponse::build(status);
        answer.insert_header((header::CACHE_CONTROL, "no-store"));
        answer.insert_header((header::CONTENT_SECURITY_POLICY, POLICY));
        if let Some(etag) = self.etag {
            answer.insert_header((header::ETAG, etag));
        }
        if unchanged { answer.finish() } else { answer.content_type(self.media).body(self.bytes) }
    }
}

/// The bytes of a document.
pub struct Bytes;

impl utoipa::PartialSchema for Bytes {
    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Binary)))
            .description(Some("A file."))
            .into()
    }
}
impl utoipa::ToSchema for Bytes {}
