//! Absent, null and a value, told apart.
use super::input::Input;
use crate::problem::FieldError;
use serde_json::Value;
use std::borrow::Cow;
use utoipa::__dev::ComposeSchema;
use utoipa::ToSchema;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::{ObjectBuilder, OneOfBuilder, Schema, Type};

use super::list::reference;

/// A field that a change may set, but not clear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Patch<T> {
    Keep,
    Set(T),
}

impl<T> Patch<T> {
    pub fn or(self, present: T) -> T {
        match self {
            Self::Keep => present,
            Self::Set(value) => value,
        }
    }

    pub fn into_option(self) -> Option<T> {
        match self {
            Self::Keep => None,
            Self::Set(value) => Some(value),
        }
    }
}

impl<T: Input> Input for Patch<T> {
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        T::read(value, at, errors).map(Self::Set)
    }

    fn absent(_: &str, _: &mut Vec<FieldError>) -> Option<Self> {
        Some(Self::Keep)
    }
}

/// A field that a change may set or, with null, clear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PatchNull<T> {
    Keep,
    Clear,
    Set(T),
}

impl<T> PatchNull<T> {
    pub fn or(self, present: Option<T>) -> Option<T> {
        match self {
            Self::Keep => present,
            Self::Clear => None,
            Self::Set(value) => Some(value),
        }
    }
}

impl<T: Input> Input for PatchNull<T> {
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        if value.is_null() { Some(Self::Clear) } else { T::read(value, at, errors).map(Self::Set) }
    }

    fn absent(_: &str, _: &mut Vec<FieldError>) -> Option<Self> {
        Some(Self::Keep)
    }
}

// as a schema a change is what it sets; the document's last pass finds it by these names and drops the
// field from the list of required ones
impl<T: ToSchema> ComposeSchema for Patch<T> {
    fn compose(_: Vec<RefOr<Schema>>) -> RefOr<Schema> {
        reference::<T>()
    }
}
impl<T: ToSchema> ToSchema for Patch<T> {
    fn name() -> Cow<'static, str> {
        "Changed".into()
    }
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((T::name().into(), T::schema()));
        T::schemas(schemas);
    }
}

impl<T: ToSchema> ComposeSchema for PatchNull<T> {
    fn compose(_: Vec<RefOr<Schema>>) -> RefOr<Schema> {
        OneOfBuilder::new().item(reference::<T>()).item(ObjectBuilder::new().schema_type(Type::Null)).into()
    }
}
impl<T: ToSchema> ToSchema for PatchNull<T> {
    fn name() -> Cow<'static, str> {
        "Cleared".into()
    }
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((T::name().into(), T::schema()));
        T::schemas(schemas);
    }
}
