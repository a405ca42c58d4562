//! Lists with a maximum.
use super::input::Input;
use crate::problem::FieldError;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::borrow::Cow;
use utoipa::__dev::ComposeSchema;
use utoipa::ToSchema;
use utoipa::openapi::schema::{ArrayBuilder, ObjectBuilder, Schema, Type};
use utoipa::openapi::{Ref, RefOr};

/// A type that stands in lists, and how many of it one list holds at least and at most.
pub trait Member {
    const LEAST: usize = 0;
    const MOST: usize;
}

/// A list of `T::LEAST` to `T::MOST` values.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct List<T>(pub Vec<T>);

impl<T> Default for List<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: Input + Member> Input for List<T> {
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        let Value::Array(values) = value else {
            errors.push(FieldError::new(at, "invalid", "must be a list"));
            return None;
        };
        let (count, most) = (values.len(), T::MOST);
        if count > most {
            errors.push(FieldError::new(at, "too_many", format!("must have at most {most} members")));
            return None;
        }
        if count < T::LEAST {
            errors.push(FieldError::new(at, "invalid", format!("must have at least {} members", T::LEAST)));
            return None;
        }
        let read: Vec<T> =
            values.into_iter().enumerate().filter_map(|(i, v)| T::read(v, &format!("{at}/{i}"), errors)).collect();
        (read.len() == count).then_some(Self(read))
    }
}

/// A reference to a schema that has a name; what has none stands in place.
pub(super) fn reference<T: ToSchema>() -> RefOr<Schema> {
    const UNNAMED: [&str; 6] = ["bool", "u8", "u16", "u32", "String", "List"];
    let name = T::name();
    if UNNAMED.contains(&name.as_ref()) || name.contains(['<', '(']) {
        T::schema()
    } else {
        Ref::from_schema_name(name).into()
    }
}

impl<T: ToSchema + Member> ComposeSchema for List<T> {
    fn compose(_: Vec<RefOr<Schema>>) -> RefOr<Schema> {
        let list = ArrayBuilder::new().items(reference::<T>()).max_items(Some(T::MOST));
        if T::LEAST > 0 { list.min_items(Some(T::LEAST)) } else { list }.into()
    }
}

impl<T: ToSchema + Member> ToSchema for List<T> {
    fn name() -> Cow<'static, str> {
        "List".into()
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((T::name().into(), T::schema()));
        T::schemas(schemas);
    }
}

/// The schema of a list of at most so many whole numbers from 0 to `max`.
pub fn numbers(max: u8, most: usize) -> RefOr<Schema> {
    let number = ObjectBuilder::new().schema_type(Type::Integer).minimum(Some(0)).maximum(Some(max));
    ArrayBuilder::new().items(number).max_items(Some(most)).into()
}
