//! The rows of people.
use super::wire::{PersonOut, PersonQuery, Role, from_roles};
use crate::access::read::Look;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::db::schema::{guardian, person};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::page::{Cursor, Page, Rows};
use diesel::prelude::*;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Account, Barn, Id, Person};
use stridewright_core::policy::Roles;
use stridewright_core::units::Metres;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = person, treat_none_as_default_value = false)]
pub struct PersonRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Person>,
    pub account_id: Option<Id<Account>>,
    pub name: String,
    pub trainer: bool,
    pub rider: bool,
    pub owner: bool,
    pub birth_date: Option<Day>,
    /// Said of somebody whose birth date is not known.
    pub minor: bool,
    pub step_m: Option<f64>,
    pub removed_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

impl PersonRow {
    /// A new adult.
    pub fn new(
        barn_id: Id<Barn>,
        id: Id<Person>,
        account_id: Option<Id<Account>>,
        name: String,
        roles: Roles,
        created_at: Instant,
    ) -> Self {
        let Roles { trainer, rider, owner, .. } = roles;
        let (birth_date, minor, step_m, removed_at, version) = (None, false, None, None, 1);
        Self {
            barn_id,
            id,
            account_id,
            name,
            trainer,
            rider,
            owner,
            birth_date,
            minor,
            step_m,
            removed_at,
            version,
            created_at,
        }
    }

    pub fn roles(&self) -> Vec<Role> {
        from_roles(Roles { trainer: self.trainer, rider: self.rider, owner: self.owner, rail: false })
    }

    /// Whether the person is a minor on the day.
    pub fn is_minor(&self, today: Day) -> bool {
        is_minor(self.birth_date, self.minor, today)
    }
}

/// The age from which one is no minor, in years.
const ADULT: i16 = 18;

/// By the birth date where there is one, else as said. Who was born on a 29 February comes of age on 1 March.
pub fn is_minor(birth_date: Option<Day>, said: bool, today: Day) -> bool {
    let Some(born) = birth_date.map(Day::date) else { return said };
    let today = today.date();
    (today.year(), today.month(), today.day()) < (born.year() + ADULT, born.month(), born.day())
}

/// The row, where the person is in the barn.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Person>) -> QueryResult<Option<PersonRow>> {
    on_each!(c, |c| person::table
        .find((barn, id))
        .filter(person::removed_at.is_null())
        .select(PersonRow::as_select())
        .first(c)
        .optional())
}

/// The account's own person in the barn.
pub fn of_account(c: &mut AnyConn, barn: Id<Barn>, account: Id<Account>) -> QueryResult<Option<PersonRow>> {
    on_each!(c, |c| person::table
        .filter(person::barn_id.eq(barn).and(person::account_id.eq(account)).and(person::removed_at.is_null()))
        .select(PersonRow::as_select())
        .first(c)
        .optional())
}

pub fn insert(c: &mut AnyConn, row: &PersonRow) -> QueryResult<()> {
    on_each!(c, |c| diesel::insert_into(person::table).values(row).execute(c))?;
    Ok(())
}

/// Stores a changed row, as its next version.
pub fn update(c: &mut AnyConn, row: PersonRow) -> QueryResult<PersonRow> {
    let row = PersonRow { version: row.version + 1, ..row };
    on_each!(c, |c| diesel::update(person::table.find((row.barn_id, row.id)))
        .set((
            person::account_id.eq(row.account_id),
            person::name.eq(&row.name),
            person::trainer.eq(row.trainer),
            person::rider.eq(row.rider),
            person::owner.eq(row.owner),
            person::birth_date.eq(row.birth_date),
            person::minor.eq(row.minor),
            person::step_m.eq(row.step_m),
            person::removed_at.eq(row.removed_at),
            person::version.eq(row.version),
        ))
        .execute(c))?;
    Ok(row)
}

/// The minors the person is guardian of, with their names. Who has come of age is nobody's ward.
pub fn wards(
    c: &mut AnyConn,
    barn: Id<Barn>,
    person: Id<Person>,
    today: Day,
) -> QueryResult<Vec<(Id<Person>, String)>> {
    let rows: Vec<(Id<Person>, String, Option<Day>, bool)> = on_each!(c, |c| guardian::table
        .filter(guardian::barn_id.eq(barn).and(guardian::guardian_id.eq(person)))
        .inner_join(person::table.on(person::barn_id.eq(guardian::barn_id).and(person::id.eq(guardian::minor_id))))
        .filter(person::removed_at.is_null())
        .select((person::id, person::name, person::birth_date, person::minor))
        .order(person::id)
        .load(c))?;
    Ok(rows
        .into_iter()
        .filter(|(_, _, born, said)| is_minor(*born, *said, today))
        .map(|(id, name, ..)| (id, name))
        .collect())
}

/// The person as the caller may see them.
pub fn show(row: PersonRow, who: &Standing) -> Result<PersonOut, Problem> {
    let internal = || Problem::new(Kind::Internal);
    let (id, name) = (row.id, row.name.clone().try_into().map_err(|_| internal())?);
    if !who.roles.trainer && !who.is_own(row.id) {
        let (birth_date, minor, step_m, linked, created_at) = (None, None, None, None, None);
        return Ok(PersonOut { id, name, roles: vec![Role::Trainer], birth_date, minor, step_m, linked, created_at });
    }
    Ok(PersonOut {
        id,
        name,
        roles: row.roles(),
        birth_date: row.birth_date,
        minor: Some(row.is_minor(who.today(who.now))),
        step_m: row.step_m.map(Metres::new).transpose().map_err(|_| internal())?,
        linked: Some(row.account_id.is_some()),
        created_at: Some(row.created_at),
    })
}

/// A page of the people the caller may know of, in the order of their ids.
pub fn page(look: &mut Look<'_>, query: &PersonQuery) -> Result<Page<PersonOut>, Problem> {
    let (who, size) = (look.who, query.limit.unwrap_or_default());
    let after: Option<Id<Person>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<PersonRow> = on_each!(look.conn(), |c| {
        let mut rows = person::table
            .filter(person::barn_id.eq(who.barn_id).and(person::removed_at.is_null()))
            .select(PersonRow::as_select())
            .order(person::id)
            .limit(size.one_more())
            .into_boxed();
        // of a trainer others know no other role
        rows = match (who.roles.trainer, query.role) {
            (_, Some(Role::Trainer)) => rows.filter(person::trainer),
            (true, Some(Role::Rider)) => rows.filter(person::rider),
            (true, Some(Role::Owner)) => rows.filter(person::owner),
            (true, None) => rows,
            (false, Some(Role::Rider)) => rows.filter(person::rider.and(person::id.eq_any(who.own_people()))),
            (false, Some(Role::Owner)) => rows.filter(person::owner.and(person::id.eq_any(who.own_people()))),
            (false, None) => rows.filter(person::trainer.or(person::id.eq_any(who.own_people()))),
        };
        if !who.roles.member() {
            rows = rows.filter(person::id.eq_any(who.own_people()));
        }
        if let Some(after) = after {
            rows = rows.filter(person::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(|row| show(row, who))
}
