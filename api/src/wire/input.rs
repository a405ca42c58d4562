//! Reading a body field by field: all faults are collected, each with its pointer.
use crate::problem::FieldError;
use serde_json::{Map, Value};

/// A value read from JSON, or the faults that prevent it.
pub trait Input: Sized {
    /// Reads the value that stands at the pointer.
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self>;

    /// What an absent field means; for most a fault.
    fn absent(at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        errors.push(FieldError::new(at, "required", "is required"));
        None
    }
}

impl<T: Input> Input for Option<T> {
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        if value.is_null() { Some(None) } else { T::read(value, at, errors).map(Some) }
    }

    fn absent(_: &str, _: &mut Vec<FieldError>) -> Option<Self> {
        Some(None)
    }
}

/// The fields of one object; what is left at the end is unknown.
pub struct Fields<'a> {
    map: Map<String, Value>,
    at: &'a str,
}

impl<'a> Fields<'a> {
    pub fn of(value: Value, at: &'a str, errors: &mut Vec<FieldError>) -> Option<Self> {
        if let Value::Object(map) = value {
            Some(Self { map, at })
        } else {
            errors.push(FieldError::new(at, "invalid", "must be an object"));
            None
        }
    }

    pub fn take<T: Input>(&mut self, name: &str, errors: &mut Vec<FieldError>) -> Option<T> {
        let at = format!("{}/{name}", self.at);
        match self.map.remove(name) {
            Some(value) => T::read(value, &at, errors),
            None => T::absent(&at, errors),
        }
    }

    pub fn finish(self, errors: &mut Vec<FieldError>) {
        for name in self.map.keys().take(20) {
            let name: String = name.chars().take(100).collect();
            let pointer = format!("{}/{}", self.at, name.replace('~', "~0").replace('/', "~1"));
            errors.push(FieldError::new(pointer, "unknown", "is not a field of this object"));
        }
    }
}

/// Declares an object of the wire that is read with [`Input`]: unknown fields are refused, and every
/// bad field is reported.
#[macro_export]
macro_rules! input {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$fmeta:meta])* pub $field:ident : $ty:ty),* $(,)? }) => {
        #[derive(Debug, Clone, utoipa::ToSchema)]
        $(#[$meta])*
        pub struct $name { $($(#[$fmeta])* pub $field: $ty),* }

        impl $crate::wire::input::Input for $name {
            fn read(
                value: serde_json::Value,
                at: &str,
                errors: &mut Vec<$crate::problem::FieldError>,
            ) -> Option<Self> {
                let mut fields = $crate::wire::input::Fields::of(value, at, errors)?;
                $(let $field: Option<$ty> = fields.take(stringify!($field), errors);)*
                fields.finish(errors);
                Some(Self { $($field: $field?),* })
            }
        }
    };
}
