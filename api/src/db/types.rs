//! Columns that hold a code (an enum's name) or a small document, as text on both databases.
use diesel::backend::Backend;
use diesel::deserialize::{self, FromSql, FromSqlRow};
use diesel::expression::AsExpression;
use diesel::pg::Pg;
use diesel::serialize::{self, IsNull, Output, ToSql};
use diesel::sql_types::Text;
use diesel::sqlite::Sqlite;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fmt::Debug;

/// An enum stored by the name it has on the wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, AsExpression, FromSqlRow)]
#[diesel(sql_type = Text)]
pub struct Coded<T: Debug>(pub T);

/// A value stored as JSON text.
#[derive(Debug, Clone, PartialEq, AsExpression, FromSqlRow)]
#[diesel(sql_type = Text)]
pub struct AsJson<T: Debug>(pub T);

fn code<T: Serialize>(value: &T) -> Result<String, Box<dyn std::error::Error + Send + Sync>> {
    match serde_json::to_value(value)? {
        serde_json::Value::String(text) => Ok(text),
        other => Err(format!("not a code: {other}").into()),
    }
}

impl<T: Serialize + Debug> ToSql<Text, Sqlite> for Coded<T> {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Sqlite>) -> serialize::Result {
        out.set_value(code(&self.0)?);
        Ok(IsNull::No)
    }
}
impl<T: Serialize + Debug> ToSql<Text, Pg> for Coded<T> {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> serialize::Result {
        std::io::Write::write_all(out, code(&self.0)?.as_bytes())?;
        Ok(IsNull::No)
    }
}
impl<T: DeserializeOwned + Debug, DB: Backend> FromSql<Text, DB> for Coded<T>
where
    String: FromSql<Text, DB>,
{
    fn from_sql(value: DB::RawValue<'_>) -> deserialize::Result<Self> {
        let text = String::from_sql(value)?;
        Ok(Self(serde_json::from_value(serde_json::Value::String(text))?))
    }
}

impl<T: Serialize + Debug> ToSql<Text, Sqlite> for AsJson<T> {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Sqlite>) -> serialize::Result {
        out.set_value(serde_json::to_string(&self.0)?);
        Ok(IsNull::No)
    }
}
impl<T: Serialize + Debug> ToSql<Text, Pg> for AsJson<T> {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> serialize::Result {
        serde_json::to_writer(out, &self.0)?;
        Ok(IsNull::No)
    }
}
impl<T: DeserializeOwned + Debug, DB: Backend> FromSql<Text, DB> for AsJson<T>
where
    String: FromSql<Text, DB>,
{
    fn from_sql(value: DB::RawValue<'_>) -> deserialize::Result<Self> {
        Ok(Self(serde_json::from_str(&String::from_sql(value)?)?))
    }
}
