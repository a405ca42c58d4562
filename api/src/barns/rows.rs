//! The rows of barns.
use super::wire::{BarnIn, BarnOut, Labels, Units};
use crate::db::conn::AnyConn;
use crate::db::schema::barn;
use crate::db::types::Coded;
use crate::on_each;
use crate::people::rows::{PersonRow, insert};
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::App;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Barn, Id};
use stridewright_core::policy::Roles;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = barn, treat_none_as_default_value = false)]
pub struct BarnRow {
    pub barn_id: Id<Barn>,
    pub name: String,
    pub time_zone: String,
    pub units: Coded<Units>,
    pub labels: Coded<Labels>,
    pub riders_confirm: bool,
    pub version: i64,
    pub created_at: Instant,
}

impl BarnRow {
    /// The barn as its readers see it.
    pub fn show(self) -> Result<BarnOut, Problem> {
        let internal = |_| Problem::new(Kind::Internal);
        Ok(BarnOut {
            id: self.barn_id,
            name: self.name.try_into().map_err(internal)?,
            time_zone: self.time_zone.try_into().map_err(internal)?,
            units: self.units.0,
            labels: self.labels.0,
            riders_confirm: self.riders_confirm,
            created_at: self.created_at,
        })
    }
}

pub fn find(c: &mut AnyConn, id: Id<Barn>) -> QueryResult<Option<BarnRow>> {
    on_each!(c, |c| barn::table.find(id).select(BarnRow::as_select()).first(c).optional())
}

/// Founds a barn, with the account as its first trainer; `at` is where the barn stands in the body.
pub fn found(
    app: &App,
    c: &mut AnyConn,
    founder: (Id<Account>, String),
    new: BarnIn,
    at: &str,
    now: Instant,
) -> Result<(BarnRow, PersonRow), Problem> {
    let id = new.id.unwrap_or_else(|| app.new_id());
    if id.uuid().is_nil() {
        return Err(Problem::invalid(&format!("{at}/id"), "must not be the nil UUID"));
    }
    if find(c, id)?.is_some() {
        return Err(Problem::field(Kind::Conflict, &format!("{at}/id"), "conflict", "is the id of another barn"));
    }
    let row = BarnRow {
        barn_id: id,
        name: new.name.into_string(),
        time_zone: new.time_zone.as_str().to_owned(),
        units: Coded(new.units),
        labels: Coded(new.labels),
        riders_confirm: new.riders_confirm.unwrap_or(false),
        version: 1,
        created_at: now,
    };
    on_each!(c, |c| diesel::insert_into(barn::table).values(&row).execute(c))?;
    let (account, name) = founder;
    let roles = Roles { trainer: true, ..Roles::default() };
    let person = PersonRow::new(id, app.new_id(), Some(account), name, roles, now);
    insert(c, &person)?;
    Ok((row, person))
}
