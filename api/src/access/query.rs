//! A query string: taken in before the guard is asked, but judged after it.
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};
use crate::wire::input::Input;
use actix_web::{FromRequest, HttpRequest, dev::Payload, web};
use serde_json::{Map, Value};
use std::convert::Infallible;
use std::future::{Ready, ready};
use std::marker::PhantomData;

/// The parameters of a list or a computation.
pub struct Query<T> {
    text: String,
    marker: PhantomData<fn() -> T>,
}

impl<T: 'static> FromRequest for Query<T> {
    type Error = Infallible;
    type Future = Ready<Result<Self, Infallible>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(Self { text: request.query_string().to_owned(), marker: PhantomData }))
    }
}

impl<T: Input> Query<T> {
    pub fn read(&self) -> Result<T, Problem> {
        let refuse = |errors| Problem::new(Kind::InvalidQuery).with_errors(errors);
        let pairs = web::Query::<Vec<(String, String)>>::from_query(&self.text)
            .map_err(|_| refuse(vec![FieldError::new("?", "invalid", "is not a query string")]))?;
        let mut map = Map::new();
        for (name, value) in pairs.into_inner() {
            if map.insert(name.clone(), Value::String(value)).is_some() {
                return Err(refuse(vec![FieldError::new(format!("?{name}"), "invalid", "stands twice")]));
            }
        }
        let mut errors = Vec::new();
        match T::read(Value::Object(map), "", &mut errors) {
            Some(read) if errors.is_empty() => Ok(read),
            _ => {
                for error in &mut errors {
                    error.pointer = format!("?{}", error.pointer.trim_start_matches('/'));
                    if error.code == "unknown" {
                        error.message = "is no parameter of this address".to_owned();
                    }
                }
                Err(refuse(errors))
            }
        }
    }
}

/// Declares the parameters of a query: like `input!`, but documented as parameters.
#[macro_export]
macro_rules! query {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$fmeta:meta])* pub $field:ident : $ty:ty),* $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, utoipa::IntoParams, utoipa::ToSchema)]
        #[into_params(parameter_in = Query)]
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
