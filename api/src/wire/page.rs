//! Pages of a list: a cursor says where the next one starts.
use super::json::literal;
use super::leaf::Leaf;
use super::list::reference;
use crate::problem::Problem;
use crate::problem::table::Kind;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use utoipa::__dev::ComposeSchema;
use utoipa::openapi::schema::{ArrayBuilder, ObjectBuilder, Schema};
use utoipa::openapi::{Ref, RefOr};
use utoipa::{PartialSchema, ToSchema};

/// The most rows a page may have.
pub const MOST: usize = 200;

/// How many rows a page has: 1 to 200, 50 where it is not said.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(try_from = "String")]
pub struct PageSize(usize);

impl PageSize {
    pub const fn get(self) -> usize {
        self.0
    }

    /// How many rows to load, so that it shows whether there is a next page.
    pub const fn one_more(self) -> i64 {
        self.0 as i64 + 1
    }
}

impl utoipa::PartialSchema for PageSize {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::Integer)
            .minimum(Some(1))
            .maximum(Some(MOST))
            .default(Some(50.into()))
            .examples([50])
            .into()
    }
}
impl ToSchema for PageSize {}

impl Default for PageSize {
    fn default() -> Self {
        Self(50)
    }
}

impl TryFrom<String> for PageSize {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        match literal(&text).and_then(|value| usize::try_from(value.as_u64()?).ok()) {
            Some(n) if (1..=MOST).contains(&n) => Ok(Self(n)),
            _ => Err("must be a whole number from 1 to 200"),
        }
    }
}
impl Leaf for PageSize {}

/// Where the next page starts: opaque, made by the service.
#[derive(Debug, Clone, Deserialize)]
#[serde(try_from = "String")]
pub struct Cursor(String);
impl Leaf for Cursor {}

impl TryFrom<String> for Cursor {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        let plain = text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_');
        if plain && (1..=600).contains(&text.len()) { Ok(Self(text)) } else { Err("is not a cursor") }
    }
}

impl utoipa::PartialSchema for Cursor {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .min_length(Some(1))
            .max_length(Some(600))
            .pattern(Some("^[A-Za-z0-9_-]+$"))
            .into()
    }
}
impl ToSchema for Cursor {}

impl Cursor {
    /// Wraps the sort key of a page's last row.
    pub fn after<T: Serialize>(key: &T) -> Self {
        Self(URL_SAFE_NO_PAD.encode(serde_json::to_vec(key).unwrap_or_default()))
    }

    /// The sort key after which the page starts.
    pub fn key<T: serde::de::DeserializeOwned>(&self) -> Result<T, Problem> {
        let refused = || Problem::field(Kind::BadRequest, "?cursor", "invalid", "is not a cursor of this list");
        let bytes = URL_SAFE_NO_PAD.decode(&self.0).map_err(|_| refused())?;
        serde_json::from_slice(&bytes).map_err(|_| refused())
    }
}

/// A page of a list.
#[derive(Debug, Serialize)]
pub struct Page<T: ToSchema> {
    pub items: Vec<T>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_cursor: Option<String>,
}

/// Derived, a page would hold a copy of its items' schema, and clients a second type of each.
impl<T: ToSchema> ComposeSchema for Page<T> {
    fn compose(_: Vec<RefOr<Schema>>) -> RefOr<Schema> {
        let mut cursor = Ref::from_schema_name(Cursor::name());
        cursor.description = "Send it as `cursor` to get the next page; absent on the last.".to_owned();
        ObjectBuilder::new()
            .description(Some("A page of a list."))
            .property("items", ArrayBuilder::new().items(reference::<T>()).max_items(Some(MOST)))
            .required("items")
            .property("next_cursor", cursor)
            .into()
    }
}

impl<T: ToSchema> ToSchema for Page<T> {
    fn name() -> Cow<'static, str> {
        "Page".into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((T::name().into(), T::schema()));
        T::schemas(schemas);
        schemas.push((Cursor::name().into(), Cursor::schema()));
    }
}

/// The rows of a page, of which one more than the page's size was loaded.
pub struct Rows<R> {
    rows: Vec<R>,
    next_cursor: Option<String>,
}

impl<R> Rows<R> {
    /// Cuts them to the size; `key` is the sort key of a row.
    pub fn cut<K: Serialize>(mut rows: Vec<R>, size: PageSize, key: impl Fn(&R) -> K) -> Self {
        let more = rows.len() > size.get();
        rows.truncate(size.get());
        let next_cursor = if more { rows.last().map(|row| Cursor::after(&key(row)).0) } else { None };
        Self { rows, next_cursor }
    }

    /// Makes each row what its reader sees.
    pub fn show<T: ToSchema>(self, show: impl FnMut(R) -> Result<T, Problem>) -> Result<Page<T>, Problem> {
        let items = self.rows.into_iter().map(show).collect::<Result<Vec<T>, Problem>>()?;
        Ok(Page { items, next_cursor: self.next_cursor })
    }
}
