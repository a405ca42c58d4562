//! How ids, instants and days are stored: one text per query for SQLite and PostgreSQL.
//!
//! The types live in this crate, so the glue must too (the orphan rule); the feature `diesel` turns it on.
use crate::{calendar, ids};
use diesel::deserialize::{self, FromSql};
use diesel::pg::{Pg, PgValue};
use diesel::serialize::{self, IsNull, Output, ToSql};
use diesel::sql_types::{BigInt, Binary, Integer};
use diesel::sqlite::{Sqlite, SqliteValue};
use std::io::Write;
use uuid::Uuid;

/// `uuid` on PostgreSQL, a 16-byte `BLOB` on SQLite.
#[derive(diesel::sql_types::SqlType, diesel::query_builder::QueryId, Debug, Clone, Copy, Default)]
#[diesel(postgres_type(oid = 2950, array_oid = 2951), sqlite_type(name = "Binary"))]
pub struct Id;

/// `timestamptz` on PostgreSQL, microseconds since 1970 in an `INTEGER` on SQLite.
#[derive(diesel::sql_types::SqlType, diesel::query_builder::QueryId, Debug, Clone, Copy, Default)]
#[diesel(postgres_type(oid = 1184, array_oid = 1185), sqlite_type(name = "Long"))]
pub struct Instant;

/// `date` on PostgreSQL, days since 1970 in an `INTEGER` on SQLite.
#[derive(diesel::sql_types::SqlType, diesel::query_builder::QueryId, Debug, Clone, Copy, Default)]
#[diesel(postgres_type(oid = 1082, array_oid = 1182), sqlite_type(name = "Integer"))]
pub struct Day;

impl diesel::sql_types::SqlOrd for Id {}
impl diesel::sql_types::SqlOrd for Instant {}
impl diesel::sql_types::SqlOrd for Day {}

/// PostgreSQL counts from 2000-01-01.
const PG_EPOCH_MICROS: i64 = 946_684_800_000_000;
const PG_EPOCH_DAYS: i32 = 10_957;

impl<T: 'static> ToSql<Id, Pg> for ids::Id<T> {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> serialize::Result {
        out.write_all(self.uuid().as_bytes())?;
        Ok(IsNull::No)
    }
}
impl<T: 'static> ToSql<Id, Sqlite> for ids::Id<T> {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Sqlite>) -> serialize::Result {
        out.set_value(self.uuid().as_bytes().to_vec());
        Ok(IsNull::No)
    }
}
impl<T> FromSql<Id, Pg> for ids::Id<T> {
    fn from_sql(value: PgValue<'_>) -> deserialize::Result<Self> {
        Ok(Self::new(Uuid::from_slice(value.as_bytes())?))
    }
}
impl<T> FromSql<Id, Sqlite> for ids::Id<T> {
    fn from_sql(value: SqliteValue<'_, '_, '_>) -> deserialize::Result<Self> {
        let bytes = <Vec<u8> as FromSql<Binary, Sqlite>>::from_sql(value)?;
        Ok(Self::new(Uuid::from_slice(&bytes)?))
    }
}

impl ToSql<Instant, Pg> for calendar::Instant {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> serialize::Result {
        out.write_all(&(self.micros() - PG_EPOCH_MICROS).to_be_bytes())?;
        Ok(IsNull::No)
    }
}
impl ToSql<Instant, Sqlite> for calendar::Instant {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Sqlite>) -> serialize::Result {
        out.set_value(self.micros());
        Ok(IsNull::No)
    }
}
impl FromSql<Instant, Pg> for calendar::Instant {
    fn from_sql(value: PgValue<'_>) -> deserialize::Result<Self> {
        let micros = i64::from_be_bytes(value.as_bytes().try_into()?).saturating_add(PG_EPOCH_MICROS);
        Self::from_micros(micros).ok_or_else(|| "instant outside the calendar".into())
    }
}
impl FromSql<Instant, Sqlite> for calendar::Instant {
    fn from_sql(value: SqliteValue<'_, '_, '_>) -> deserialize::Result<Self> {
        let micros = <i64 as FromSql<BigInt, Sqlite>>::from_sql(value)?;
        Self::from_micros(micros).ok_or_else(|| "instant outside the calendar".into())
    }
}

impl ToSql<Day, Pg> for calendar::Day {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Pg>) -> serialize::Result {
        out.write_all(&(self.number() - PG_EPOCH_DAYS).to_be_bytes())?;
        Ok(IsNull::No)
    }
}
impl ToSql<Day, Sqlite> for calendar::Day {
    fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, Sqlite>) -> serialize::Result {
        out.set_value(self.number());
        Ok(IsNull::No)
    }
}
impl FromSql<Day, Pg> for calendar::Day {
    fn from_sql(value: PgValue<'_>) -> deserialize::Result<Self> {
        let number = i32::from_be_bytes(value.as_bytes().try_into()?).saturating_add(PG_EPOCH_DAYS);
        Self::from_number(number).ok_or_else(|| "day outside the calendar".into())
    }
}
impl FromSql<Day, Sqlite> for calendar::Day {
    fn from_sql(value: SqliteValue<'_, '_, '_>) -> deserialize::Result<Self> {
        let number = <i32 as FromSql<Integer, Sqlite>>::from_sql(value)?;
        Self::from_number(number).ok_or_else(|| "day outside the calendar".into())
    }
}
