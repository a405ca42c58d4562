//! The rows of arenas.
use super::hours::Opening;
use super::wire::{
    ArenaFacts, ArenaIn, ArenaOut, ArenaPatch, ArenaQuery, ArenaSide, Footing, Letters, Obstruction, SessionsAtOnce,
};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::booking::places;
use crate::db::conn::AnyConn;
use crate::db::schema::{arena, session};
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::list::List;
use crate::wire::page::{Cursor, Page, Rows};
use diesel::prelude::*;
use stridewright_core::booking;
use stridewright_core::booking::places::most_at_once;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Barn, Exercise, FenceSet, Id};

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = arena, treat_none_as_default_value = false)]
pub struct ArenaRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Arena>,
    pub name: String,
    pub length_m: f64,
    pub width_m: f64,
    pub indoor: bool,
    pub footing: Coded<Footing>,
    pub lights: bool,
    pub letters: Coded<Letters>,
    pub hours: AsJson<List<Opening>>,
    pub obstructions: AsJson<List<Obstruction>>,
    pub sessions_at_once: i32,
    pub removed_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

impl ArenaRow {
    fn new(tx: &Tx<'_>, id: Id<Arena>, facts: ArenaFacts) -> Self {
        Self {
            barn_id: tx.who.barn_id,
            id,
            name: facts.name.into_string(),
            length_m: facts.length_m.get(),
            width_m: facts.width_m.get(),
            indoor: facts.indoor,
            footing: Coded(facts.footing),
            lights: facts.lights,
            letters: Coded(facts.letters),
            hours: AsJson(facts.hours),
            obstructions: AsJson(facts.obstructions),
            sessions_at_once: facts.sessions_at_once.get(),
            removed_at: None,
            version: 1,
            created_at: tx.now,
        }
    }

    fn facts(self) -> Result<ArenaFacts, Problem> {
        let side = |value| ArenaSide::try_from(value).map_err(|_| Problem::new(Kind::Internal));
        Ok(ArenaFacts {
            name: self.name.try_into().map_err(|_| Problem::new(Kind::Internal))?,
            length_m: side(self.length_m)?,
            width_m: side(self.width_m)?,
            indoor: self.indoor,
            footing: self.footing.0,
            lights: self.lights,
            letters: self.letters.0,
            hours: self.hours.0,
            obstructions: self.obstructions.0,
            sessions_at_once: SessionsAtOnce::try_from(i64::from(self.sessions_at_once))
                .map_err(|_| Problem::new(Kind::Internal))?,
        })
    }
}

/// The row; a removed arena can still be read, for what was ridden there.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Arena>) -> QueryResult<Option<ArenaRow>> {
    on_each!(c, |c| arena::table.find((barn, id)).select(ArenaRow::as_select()).first(c).optional())
}

/// The row that a body names, if it is in use.
pub fn named(c: &mut AnyConn, barn: Id<Barn>, id: Id<Arena>, pointer: &str) -> Result<ArenaRow, Problem> {
    let found = find(c, barn, id)?.filter(|row| row.removed_at.is_none());
    found.ok_or_else(|| Problem::unknown_reference(pointer, "arena"))
}

/// The arena as its readers see it.
pub fn show(row: ArenaRow) -> Result<ArenaOut, Problem> {
    let (id, removed_at, created_at) = (row.id, row.removed_at, row.created_at);
    Ok(ArenaOut { id, facts: row.facts()?, removed_at, created_at })
}

/// A page of the arenas in use, in the order of their ids.
pub fn page(look: &mut Look<'_>, query: &ArenaQuery) -> Result<Page<ArenaOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<Arena>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<ArenaRow> = on_each!(look.conn(), |c| {
        let mut rows = arena::table
            .filter(arena::barn_id.eq(barn).and(arena::removed_at.is_null()))
            .select(ArenaRow::as_select())
            .order(arena::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(arena::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(show)
}

/// Stores a new arena and answers its row.
pub fn create(tx: &mut Tx<'_>, new: ArenaIn) -> Result<ArenaRow, Problem> {
    let id = new.id.unwrap_or_else(|| tx.app.new_id());
    let facts = ArenaFacts {
        name: new.name,
        length_m: new.length_m,
        width_m: new.width_m,
        indoor: new.indoor.unwrap_or(false),
        footing: new.footing.unwrap_or(Footing::Sand),
        lights: new.lights.unwrap_or(false),
        letters: new.letters.unwrap_or(Letters::None),
        hours: new.hours.unwrap_or_default(),
        obstructions: new.obstructions.unwrap_or_default(),
        sessions_at_once: new.sessions_at_once.unwrap_or(SessionsAtOnce::ONE),
    };
    let row = ArenaRow::new(tx, id, judged(facts)?);
    on_each!(tx.conn(), |c| diesel::insert_into(arena::table).values(&row).execute(c))?;
    Ok(row)
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: ArenaRow, patch: ArenaPatch) -> Result<ArenaRow, Problem> {
    still_used(row.removed_at)?;
    let (id, version, created_at) = (row.id, row.version + 1, row.created_at);
    let old = row.facts()?;
    let facts = ArenaFacts {
        name: patch.name.or(old.name),
        length_m: patch.length_m.or(old.length_m),
        width_m: patch.width_m.or(old.width_m),
        indoor: patch.indoor.or(old.indoor),
        footing: patch.footing.or(old.footing),
        lights: patch.lights.or(old.lights),
        letters: patch.letters.or(old.letters),
        hours: patch.hours.or(old.hours),
        obstructions: patch.obstructions.or(old.obstructions),
        sessions_at_once: patch.sessions_at_once.or(old.sessions_at_once),
    };
    let row = ArenaRow { version, created_at, ..ArenaRow::new(tx, id, judged(facts)?) };
    room_for_what_is_booked(tx, &row)?;
    on_each!(tx.conn(), |c| diesel::update(arena::table.find((row.barn_id, row.id)))
        .set((
            arena::name.eq(&row.name),
            arena::length_m.eq(row.length_m),
            arena::width_m.eq(row.width_m),
            arena::indoor.eq(row.indoor),
            arena::footing.eq(row.footing),
            arena::lights.eq(row.lights),
            arena::letters.eq(row.letters),
            arena::hours.eq(&row.hours),
            arena::obstructions.eq(&row.obstructions),
            arena::sessions_at_once.eq(row.sessions_at_once),
            arena::version.eq(row.version),
        ))
        .execute(c))?;
    places::settle(tx, id.uuid(), tx.now)?;
    Ok(row)
}

fn judged(facts: ArenaFacts) -> Result<ArenaFacts, Problem> {
    let faults = facts.faults();
    if faults.is_empty() { Ok(facts) } else { Err(Problem::new(Kind::AtOdds).with_errors(faults)) }
}

/// Takes the arena out of use.
pub fn remove(tx: &mut Tx<'_>, row: &ArenaRow) -> Result<(), Problem> {
    still_used(row.removed_at)?;
    free_of_sessions(tx, Use::Arena(row.id))?;
    let now = tx.now;
    on_each!(tx.conn(), |c| diesel::update(arena::table.find((row.barn_id, row.id)))
        .set((arena::removed_at.eq(now), arena::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}

/// Refuses to change what was removed.
pub fn still_used(removed_at: Option<Instant>) -> Result<(), Problem> {
    match removed_at {
        None => Ok(()),
        Some(_) => Err(Problem::new(Kind::WrongState).with_detail("It was removed, and is kept for what was ridden.")),
    }
}

/// Refuses fewer sessions at once than are booked to come.
fn room_for_what_is_booked(tx: &mut Tx<'_>, row: &ArenaRow) -> Result<(), Problem> {
    let (id, now, room) = (row.id.uuid(), tx.now, usize::try_from(row.sessions_at_once).unwrap_or(1));
    let booked = places::held(tx, booking::Kind::Arena, id, now, None, None)?;
    if most_at_once(&places::times(&booked), now) <= room {
        return Ok(());
    }
    let detail = "More sessions than that are booked there at once; move or cancel first.";
    Err(Problem::new(Kind::WrongState).with_detail(detail))
}

/// What a session may use.
#[derive(Debug, Clone, Copy)]
pub enum Use {
    Arena(Id<Arena>),
    FenceSet(Id<FenceSet>),
    Exercise(Id<Exercise>),
}

/// Refuses while a session that is not over yet uses it.
pub fn free_of_sessions(tx: &mut Tx<'_>, thing: Use) -> Result<(), Problem> {
    let (barn, now) = (tx.who.barn_id, tx.now);
    let sessions: i64 = on_each!(tx.conn(), |c| {
        let rows = session::table
            .filter(session::barn_id.eq(barn).and(session::ends_at.gt(now)))
            .filter(session::status.eq_any(["booked", "open"]))
            .count()
            .into_boxed();
        match thing {
            Use::Arena(id) => rows.filter(session::arena_id.eq(id)),
            Use::FenceSet(id) => rows.filter(session::fence_set_id.eq(id)),
            Use::Exercise(id) => rows.filter(session::exercise_id.eq(id)),
        }
        .get_result(c)
    })?;
    if sessions == 0 {
        return Ok(());
    }
    let sessions = if sessions == 1 { "1 session uses".to_owned() } else { format!("{sessions} sessions use") };
    Err(Problem::new(Kind::WrongState).with_detail(format!("{sessions} it; move or cancel first.")))
}
