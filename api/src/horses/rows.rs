//! The rows of horses.
use super::wire::{HorseIn, HorseOut, HorsePatch, HorseQuery, LimitPreset, NormalStride, NormalStrideIn, StrideSource};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::db::conn::AnyConn;
use crate::db::schema::{entry, horse, normal_stride, session};
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::bounded::Calibration;
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::patch::Patch;
use crate::wire::text::Name;
use crate::workload::presets;
use diesel::prelude::*;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Barn, Horse, Id};
use stridewright_core::stride::{Mover, Profile, guessed_stride};
use stridewright_core::units::{Factor, Metres};

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = horse, treat_none_as_default_value = false)]
pub struct HorseRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Horse>,
    pub name: String,
    pub profile: Coded<Profile>,
    pub mover: Coded<Mover>,
    pub green: bool,
    pub calibration: f64,
    pub limit_preset: Coded<LimitPreset>,
    pub removed_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

/// The row, where the horse is in the barn.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Horse>) -> QueryResult<Option<HorseRow>> {
    on_each!(c, |c| horse::table
        .find((barn, id))
        .filter(horse::removed_at.is_null())
        .select(HorseRow::as_select())
        .first(c)
        .optional())
}

/// The latest normal stride dated on or before the day; without one, a guess by profile and mover.
pub fn stride_on(c: &mut AnyConn, row: &HorseRow, day: Day) -> Result<NormalStride, Problem> {
    let found: Option<(f64, Coded<StrideSource>, Day)> = on_each!(c, |c| normal_stride::table
        .filter(normal_stride::barn_id.eq(row.barn_id).and(normal_stride::horse_id.eq(row.id)))
        .filter(normal_stride::measured_on.le(day))
        .order(normal_stride::measured_on.desc())
        .select((normal_stride::stride_m, normal_stride::source, normal_stride::measured_on))
        .first(c)
        .optional())?;
    let internal = || Problem::new(Kind::Internal);
    if let Some((stride, source, measured_on)) = found {
        let stride_m = Metres::new(stride).map_err(|_| internal())?;
        return Ok(NormalStride { stride_m, source: source.0, measured_on });
    }
    let guess = guessed_stride(row.profile.0.design_stride(), row.mover.0).map_err(|_| internal())?;
    Ok(NormalStride { stride_m: guess.stride, source: StrideSource::Guess, measured_on: day })
}

/// The horse as its readers see it.
pub fn show(c: &mut AnyConn, row: HorseRow, today: Day) -> Result<HorseOut, Problem> {
    let internal = |_| Problem::new(Kind::Internal);
    Ok(HorseOut {
        normal_stride: stride_on(c, &row, today)?,
        id: row.id,
        name: row.name.try_into().map_err(|_| Problem::new(Kind::Internal))?,
        profile: row.profile.0,
        mover: row.mover.0,
        green: row.green,
        calibration: Factor::new(row.calibration).map_err(internal)?,
        limit_preset: row.limit_preset.0,
        created_at: row.created_at,
    })
}

/// A page of the horses the caller may know of, in the order of their ids.
pub fn page(look: &mut Look<'_>, query: &HorseQuery) -> Result<Page<HorseOut>, Problem> {
    let (who, size) = (look.who, query.limit.unwrap_or_default());
    let after: Option<Id<Horse>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<HorseRow> = on_each!(look.conn(), |c| {
        let mut rows = horse::table
            .filter(horse::barn_id.eq(who.barn_id).and(horse::removed_at.is_null()))
            .select(HorseRow::as_select())
            .order(horse::id)
            .limit(size.one_more())
            .into_boxed();
        if !who.roles.trainer {
            rows = rows.filter(horse::id.eq_any(who.known_horses()));
        }
        if let Some(after) = after {
            rows = rows.filter(horse::id.gt(after));
        }
        rows.load(c)
    })?;
    let today = who.today(look.now);
    Rows::cut(rows, size, |row| row.id).show(|row| show(look.conn(), row, today))
}

/// Stores a new horse and answers its row.
pub fn create(tx: &mut Tx<'_>, horse: HorseIn) -> Result<HorseRow, Problem> {
    let row = HorseRow {
        barn_id: tx.who.barn_id,
        id: horse.id.unwrap_or_else(|| tx.app.new_id()),
        name: horse.name.into_string(),
        profile: Coded(horse.profile),
        mover: Coded(horse.mover.unwrap_or(Mover::Usual)),
        green: horse.green.unwrap_or(false),
        calibration: 1.0,
        limit_preset: Coded(horse.limit_preset.unwrap_or(LimitPreset::Established)),
        removed_at: None,
        version: 1,
        created_at: tx.now,
    };
    on_each!(tx.conn(), |c| diesel::insert_into(horse::table).values(&row).execute(c))?;
    presets::store(tx, row.id, row.limit_preset.0, None)?;
    if let Some(stride) = horse.normal_stride {
        record_stride(tx, row.id, &stride)?;
    }
    Ok(row)
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: HorseRow, patch: HorsePatch) -> Result<HorseRow, Problem> {
    let HorsePatch { name, mover, green, calibration, limit_preset, normal_stride } = patch;
    let old_preset = row.limit_preset;
    let calibration = calibration.into_option().map_or(row.calibration, Calibration::get);
    let row = HorseRow {
        name: name.into_option().map_or(row.name, Name::into_string),
        mover: Coded(mover.or(row.mover.0)),
        green: green.or(row.green),
        calibration,
        limit_preset: Coded(limit_preset.or(old_preset.0)),
        version: row.version + 1,
        ..row
    };
    on_each!(tx.conn(), |c| diesel::update(horse::table.find((row.barn_id, row.id)))
        .set((
            horse::name.eq(&row.name),
            horse::mover.eq(row.mover),
            horse::green.eq(row.green),
            horse::calibration.eq(row.calibration),
            horse::limit_preset.eq(row.limit_preset),
            horse::version.eq(row.version),
        ))
        .execute(c))?;
    if row.limit_preset != old_preset {
        presets::replace(tx, row.id, row.limit_preset.0)?;
    }
    if let Patch::Set(stride) = normal_stride {
        record_stride(tx, row.id, &stride)?;
    }
    Ok(row)
}

/// Takes the horse out of the barn; its log stays.
pub fn remove(tx: &mut Tx<'_>, row: &HorseRow) -> Result<(), Problem> {
    let now = tx.now;
    let still_booked: i64 = on_each!(tx.conn(), |c| entry::table
        .inner_join(session::table.on(session::barn_id.eq(entry::barn_id).and(session::id.eq(entry::session_id))))
        .filter(entry::barn_id.eq(row.barn_id).and(entry::horse_id.eq(row.id)))
        .filter(entry::status.eq_any(["booked", "open"]).and(session::ends_at.gt(now)))
        .count()
        .get_result(c))?;
    if still_booked > 0 {
        let detail = format!("The horse is still booked ({still_booked} to come): cancel or move those first.");
        return Err(Problem::new(Kind::WrongState).with_detail(detail));
    }
    on_each!(tx.conn(), |c| diesel::update(horse::table.find((row.barn_id, row.id)))
        .set((horse::removed_at.eq(now), horse::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}

fn record_stride(tx: &mut Tx<'_>, id: Id<Horse>, stride: &NormalStrideIn) -> Result<(), Problem> {
    if stride.measured_on > tx.who.today(tx.now) {
        return Err(Problem::at_odds("/normal_stride/measured_on", "must not lie in the future"));
    }
    let (barn, by, now) = (tx.who.barn_id, tx.who.person_id, tx.now);
    let values = (
        normal_stride::barn_id.eq(barn),
        normal_stride::horse_id.eq(id),
        normal_stride::measured_on.eq(stride.measured_on),
        normal_stride::stride_m.eq(stride.stride_m.get()),
        normal_stride::source.eq(Coded(stride.source)),
        normal_stride::recorded_by.eq(by),
        normal_stride::created_at.eq(now),
    );
    on_each!(tx.conn(), |c| diesel::insert_into(normal_stride::table)
        .values(values)
        .on_conflict((normal_stride::barn_id, normal_stride::horse_id, normal_stride::measured_on))
        .do_update()
        .set((
            normal_stride::stride_m.eq(stride.stride_m.get()),
            normal_stride::source.eq(Coded(stride.source)),
            normal_stride::recorded_by.eq(by),
        ))
        .execute(c))?;
    Ok(())
}
