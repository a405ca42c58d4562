//! The rows of barns.
use super::wire::{BarnIn, BarnOut, BarnPatch, BarnQuery, Labels, Units};
use crate::access::read::Look;
use crate::db::conn::AnyConn;
use crate::db::schema::{barn, person};
use crate::db::scope;
use crate::db::types::Coded;
use crate::on_each;
use crate::people::rows::{PersonRow, insert};
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::App;
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::text::Name;
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
        return Err(Problem::at_odds(&format!("{at}/id"), "must not be the nil UUID"));
    }
    scope::enter(c, id)?;
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

/// Applies a change and answers the new row.
pub fn change(c: &mut AnyConn, row: BarnRow, patch: BarnPatch) -> QueryResult<BarnRow> {
    let BarnPatch { name, time_zone, units, labels, riders_confirm } = patch;
    let row = BarnRow {
        name: name.into_option().map_or(row.name, Name::into_string),
        time_zone: time_zone.into_option().map_or(row.time_zone, |zone| zone.as_str().to_owned()),
        units: Coded(units.or(row.units.0)),
        labels: Coded(labels.or(row.labels.0)),
        riders_confirm: riders_confirm.or(row.riders_confirm),
        version: row.version + 1,
        ..row
    };
    on_each!(c, |c| diesel::update(barn::table.find(row.barn_id))
        .set((
            barn::name.eq(&row.name),
            barn::time_zone.eq(&row.time_zone),
            barn::units.eq(row.units),
            barn::labels.eq(row.labels),
            barn::riders_confirm.eq(row.riders_confirm),
            barn::version.eq(row.version),
        ))
        .execute(c))?;
    Ok(row)
}

/// A page of the account's barns, in the order of their ids.
pub fn page(look: &mut Look<'_>, account: Id<Account>, query: &BarnQuery) -> Result<Page<BarnOut>, Problem> {
    let size = query.limit.unwrap_or_default();
    let after: Option<Id<Barn>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<BarnRow> = on_each!(look.conn(), |c| {
        let mut rows = barn::table
            .inner_join(person::table.on(person::barn_id.eq(barn::barn_id)))
            .filter(person::account_id.eq(account).and(person::removed_at.is_null()))
            .select(BarnRow::as_select())
            .order(barn::barn_id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(barn::barn_id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.barn_id).show(BarnRow::show)
}
