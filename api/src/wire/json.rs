//! A body: taken in before the guard is asked, but judged after it.
use super::input::Input;
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};
use crate::state::App;
use actix_web::body::{BodyStream, MessageBody};
use actix_web::http::header;
use actix_web::web::{Bytes, BytesMut, Data};
use actix_web::{FromRequest, HttpRequest, dev::Payload};
use serde::de::{DeserializeSeed, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::convert::Infallible;
use std::fmt;
use std::future::Future;
use std::marker::PhantomData;
use std::pin::Pin;
use std::time::Duration;

/// The most bytes a body may have.
pub const LIMIT: usize = 2 * 1024 * 1024;

/// A body not yet judged: an extractor that cannot fail, so that nothing answers before the guard.
pub struct Json<T> {
    pub(crate) bytes: Result<Bytes, Problem>,
    marker: PhantomData<fn() -> T>,
}

impl<T> Json<T> {
    /// The JSON, if it is JSON at all: 413, 415 and 400 are said here.
    pub(crate) fn syntax(&self) -> Result<Value, Problem> {
        let bytes = self.bytes.as_ref().map_err(Clone::clone)?;
        let mut reader = serde_json::Deserializer::from_slice(bytes);
        let value = Strict.deserialize(&mut reader).and_then(|value| reader.end().map(|()| value));
        value.map_err(|e| {
            Problem::new(Kind::BadRequest).with_errors(vec![FieldError::new("", "invalid", e.to_string())])
        })
    }
}

impl<T: Input> Json<T> {
    /// The value, where it is needed before the write begins.
    pub fn value(&self) -> Result<T, Problem> {
        Self::read(self.syntax()?)
    }

    /// The value, or every fault of it.
    pub(crate) fn read(value: Value) -> Result<T, Problem> {
        let mut errors = Vec::new();
        match T::read(value, "", &mut errors) {
            Some(read) if errors.is_empty() => Ok(read),
            _ => {
                errors.truncate(1000);
                Err(Problem::new(Kind::InvalidBody).with_errors(errors))
            }
        }
    }
}

impl<T: 'static> FromRequest for Json<T> {
    type Error = Infallible;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Infallible>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let is_json = request
            .headers()
            .get(header::CONTENT_TYPE)
            .and_then(|v| v.to_str().ok())
            .and_then(|v| v.split(';').next())
            .is_some_and(|v| v.trim().eq_ignore_ascii_case("application/json"));
        // what is packed could unpack to anything
        let is_plain = !request.headers().contains_key(header::CONTENT_ENCODING);
        let length = request.headers().get(header::CONTENT_LENGTH).and_then(|v| v.to_str().ok()?.parse::<usize>().ok());
        let patience = request.app_data::<Data<App>>().map_or(0, |app| app.settings.body_seconds);
        let payload = payload.take();
        Box::pin(async move {
            let bytes = if !is_json || !is_plain {
                Err(Problem::new(Kind::UnsupportedMediaType))
            } else if length.is_some_and(|length| length > LIMIT) {
                Err(Problem::new(Kind::TooLarge))
            } else {
                take_in(payload, patience).await
            };
            Ok(Self { bytes, marker: PhantomData })
        })
    }
}

/// The whole body, unless it is too large or comes too slowly: the framework would wait for ever.
async fn take_in(payload: Payload, patience: u64) -> Result<Bytes, Problem> {
    let mut body = Box::pin(BodyStream::new(payload));
    let mut taken = BytesMut::new();
    let began = tokio::time::Instant::now();
    loop {
        let seconds = patience.saturating_add(taken.len() as u64 / 1024);
        let next = std::future::poll_fn(|context| body.as_mut().poll_next(context));
        let part = tokio::time::timeout_at(began + Duration::from_secs(seconds), next).await;
        match part.map_err(|_| Problem::new(Kind::TooSlow))? {
            None => return Ok(taken.freeze()),
            Some(Err(_)) => return Err(Problem::new(Kind::BadRequest)),
            Some(Ok(part)) if taken.len() + part.len() > LIMIT => return Err(Problem::new(Kind::TooLarge)),
            Some(Ok(part)) => taken.extend_from_slice(&part),
        }
    }
}

/// JSON Schema knows no difference between 5, 5.0 and 5e0: a whole number is one, however it is written.
fn number(v: f64) -> Value {
    const EXACT: f64 = 9_007_199_254_740_992.0; // above 2^53 not every whole number is one of these
    if v.fract() == 0.0 && v.abs() < EXACT { (v as i64).into() } else { v.into() }
}

/// Reads a number, true or false as it stands in a query string.
pub fn literal(text: &str) -> Option<Value> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let value = Strict.deserialize(&mut reader).and_then(|value| reader.end().map(|()| value)).ok()?;
    (!text.contains(char::is_whitespace)).then_some(value)
}

/// Reads a JSON value and refuses a key that stands twice in one object.
struct Strict;

impl<'de> DeserializeSeed<'de> for Strict {
    type Value = Value;
    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Strict {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }
    fn visit_bool<E>(self, v: bool) -> Result<Value, E> {
        Ok(v.into())
    }
    fn visit_i64<E>(self, v: i64) -> Result<Value, E> {
        Ok(v.into())
    }
    fn visit_u64<E>(self, v: u64) -> Result<Value, E> {
        Ok(v.into())
    }
    fn visit_f64<E>(self, v: f64) -> Result<Value, E> {
        Ok(number(v))
    }
    fn visit_str<E>(self, v: &str) -> Result<Value, E> {
        Ok(v.into())
    }
    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Value, A::Error> {
        let mut values = Vec::new();
        while let Some(value) = seq.next_element_seed(Self)? {
            values.push(value);
        }
        Ok(Value::Array(values))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = access.next_key::<String>()? {
            let value = access.next_value_seed(Self)?;
            if map.insert(key, value).is_some() {
                return Err(serde::de::Error::custom("a key stands twice in one object"));
            }
        }
        Ok(Value::Object(map))
    }
}
