//! Errors as problems (RFC 9457): every answer of 400 and above has a registered type and says what to do.
pub mod table;

use crate::db::errors::{self, Busy};
use actix_web::http::{StatusCode, header};
use actix_web::{HttpResponse, ResponseError};
use serde::{Deserialize, Serialize};
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Entry, Id};
use table::Kind;
use utoipa::ToSchema;

/// What went wrong with one field.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(example = json!({"pointer": "/height_cm", "code": "invalid", "message": "must be a finite number from 0 to 250 (cm)"}))]
pub struct FieldError {
    /// Where it stands: a JSON pointer into the body, or `?name` for a query parameter, or a header's name.
    #[schema(max_length = 400)]
    pub pointer: String,
    /// A stable code: `required`, `unknown`, `invalid`, `too_long`, `too_many`, `not_found`, `conflict`.
    #[schema(max_length = 60)]
    pub code: String,
    /// The rule, in words.
    #[schema(max_length = 1000)]
    pub message: String,
}

impl FieldError {
    pub fn new(pointer: impl Into<String>, code: &str, message: impl Into<String>) -> Self {
        Self { pointer: quoting(&pointer.into(), 400), code: code.to_owned(), message: quoting(&message.into(), 1000) }
    }

    /// A field of the body that names something this caller does not know.
    pub fn unknown_reference(pointer: &str, what: &str) -> Self {
        Self::new(pointer, "not_found", format!("names no {what} of this barn"))
    }
}

/// At most so many characters of a text that may quote what the request said: control characters stand as escapes.
fn quoting(text: &str, most: usize) -> String {
    let shown = |c: char| if c.is_control() { c.escape_unicode().to_string() } else { c.to_string() };
    text.chars().map(shown).collect::<String>().chars().take(most).collect()
}

/// Why a rule refuses: one of possibly many reasons.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[schema(example = json!({"code": "max_efforts_per_day", "message": "42 jumps on 2026-06-04; at most 35 a day", "pointer": "/entries/0", "source": "barn_default", "day": "2026-06-04", "figure": 42, "limit": 35, "binding": false}))]
pub struct RuleReason {
    /// A stable code.
    #[schema(max_length = 60)]
    pub code: String,
    /// The reason in words.
    #[schema(max_length = 1000)]
    pub message: String,
    /// What of the request's body it is about, where that body makes it: a JSON pointer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 40)]
    pub pointer: Option<String>,
    /// The entry it is about, where that was there before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub entry_id: Option<Id<Entry>>,
    /// Who set the rule.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 40)]
    pub source: Option<String>,
    /// The rule's row, where the reader may see it; of something taken, its own id.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<uuid::Uuid>)]
    pub rule_id: Option<uuid::Uuid>,
    /// The day on which the rule would be broken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<Day>,
    /// The figure that would come about.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 100000)]
    pub figure: Option<i64>,
    /// The figure allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 100000)]
    pub limit: Option<i64>,
    /// Whether nobody may override it.
    pub binding: bool,
}

impl RuleReason {
    /// A reason that no rule's row explains.
    pub fn of(code: &str, message: String) -> Self {
        Self {
            code: code.to_owned(),
            message,
            pointer: None,
            entry_id: None,
            source: None,
            rule_id: None,
            day: None,
            figure: None,
            limit: None,
            binding: false,
        }
    }
}

/// What is to be done where no reason can be passed.
const ALL_BIND: &str = "See first_allowed_date where there is one; what stands in reasons binds trainers too.";

/// An error answer.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(example = json!({"type": "/problems/invalid-body", "title": "The body breaks a rule", "status": 422, "code": "invalid_body", "detail": "Correct the fields named in errors and send it again.", "errors": [{"pointer": "/height_cm", "code": "invalid", "message": "must be a finite number from 0 to 250 (cm)"}]}))]
pub struct Problem {
    /// The problem's type: a page that says cause and cure.
    #[serde(rename = "type")]
    #[schema(max_length = 120)]
    type_: String,
    /// The type in words.
    #[schema(max_length = 200)]
    title: &'static str,
    #[schema(minimum = 400, maximum = 599)]
    status: u16,
    /// The type's stable code.
    #[schema(max_length = 60)]
    code: &'static str,
    /// What to do about it.
    #[schema(max_length = 2000)]
    detail: String,
    /// The fields at fault.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 1000)]
    errors: Vec<FieldError>,
    /// Every rule that refuses.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 1000)]
    reasons: Vec<RuleReason>,
    /// The first day on which limits and stand-downs would allow the same, as things stand; absent where they never
    /// do, or where something else speaks against it on every day.
    #[serde(skip_serializing_if = "Option::is_none")]
    first_allowed_date: Option<Day>,
    #[serde(skip)]
    retry_after: Option<u32>,
    #[serde(skip)]
    allow: Option<String>,
}

impl Problem {
    pub fn new(kind: Kind) -> Self {
        let row = kind.row();
        Self {
            type_: row.path(),
            title: row.title,
            status: row.status,
            code: row.code,
            detail: row.cure.to_owned(),
            errors: Vec::new(),
            reasons: Vec::new(),
            first_allowed_date: None,
            retry_after: None,
            allow: None,
        }
    }

    /// A problem about one field.
    pub fn field(kind: Kind, pointer: &str, code: &str, message: impl Into<String>) -> Self {
        Self::new(kind).with_errors(vec![FieldError::new(pointer, code, message)])
    }

    /// A field or parameter, well-formed by itself, that does not fit the others, what stands there, or the day.
    pub fn at_odds(pointer: &str, message: impl Into<String>) -> Self {
        Self::field(Kind::AtOdds, pointer, "invalid", message)
    }

    /// A field of the body that names something this caller does not know.
    pub fn unknown_reference(pointer: &str, what: &str) -> Self {
        Self::new(Kind::AtOdds).with_errors(vec![FieldError::unknown_reference(pointer, what)])
    }

    /// Refuses where fields do not fit, naming each.
    pub fn unless_fit(errors: Vec<FieldError>) -> Result<(), Self> {
        if errors.is_empty() { Ok(()) } else { Err(Self::new(Kind::AtOdds).with_errors(errors)) }
    }

    #[must_use]
    pub fn with_errors(mut self, errors: Vec<FieldError>) -> Self {
        self.errors = errors;
        self
    }

    #[must_use]
    pub fn with_detail(mut self, detail: impl Into<String>) -> Self {
        self.detail = detail.into();
        self
    }

    #[must_use]
    pub fn with_reasons(mut self, reasons: Vec<RuleReason>, first_allowed: Option<Day>) -> Self {
        if self.code == Kind::RuleRefused.row().code && reasons.iter().all(|reason| reason.binding) {
            self.detail = ALL_BIND.to_owned();
        }
        self.reasons = reasons;
        self.first_allowed_date = first_allowed;
        self
    }

    #[must_use]
    pub fn retry_after(mut self, seconds: u32) -> Self {
        self.retry_after = Some(seconds);
        self
    }

    #[must_use]
    pub fn allowing(mut self, methods: String) -> Self {
        self.allow = Some(methods);
        self
    }

    pub fn detail(&self) -> &str {
        &self.detail
    }

    pub const fn status(&self) -> u16 {
        self.status
    }

    pub const fn code(&self) -> &'static str {
        self.code
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.code)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        let mut answer = HttpResponse::build(self.status_code());
        answer.content_type("application/problem+json").insert_header((header::CACHE_CONTROL, "no-store"));
        if self.status == 408 {
            answer.force_close(); // the rest of the body may never come
        }
        if self.status == 401 {
            answer.insert_header((header::WWW_AUTHENTICATE, "Bearer"));
        }
        if let Some(seconds) = self.retry_after {
            answer.insert_header((header::RETRY_AFTER, seconds));
        }
        if let Some(methods) = &self.allow {
            answer.insert_header((header::ALLOW, methods.as_str()));
        }
        answer.json(self)
    }
}

impl From<Busy> for Problem {
    fn from(_: Busy) -> Self {
        Self::new(Kind::Busy).retry_after(2)
    }
}

impl From<diesel::result::Error> for Problem {
    fn from(error: diesel::result::Error) -> Self {
        if errors::is_busy(&error) {
            return Busy.into();
        }
        if errors::is_overlap(&error) {
            return Self::new(Kind::Occupied);
        }
        if errors::is_unique(&error) {
            return Self::new(Kind::Conflict);
        }
        tracing::error!(%error, "database");
        Self::new(Kind::Internal)
    }
}
