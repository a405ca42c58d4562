//! What an account is in which barn.
use super::rows::BarnRow;
use super::wire::{MembershipOut, WardOut};
use crate::db::conn::AnyConn;
use crate::db::schema::{barn, person};
use crate::db::scope::{enter, leave};
use crate::on_each;
use crate::people::rows::{PersonRow, wards};
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::prelude::*;
use stridewright_core::calendar::{Instant, Zone};
use stridewright_core::ids::{Account, Id, Person};

/// The most barns an account may belong to.
pub const MOST: usize = 100;

/// One membership: the barn, the account's person there, and that person's wards.
#[derive(Debug, Clone)]
pub struct Membership {
    pub barn: BarnRow,
    pub person: PersonRow,
    pub wards: Vec<(Id<Person>, String)>,
}

impl Membership {
    /// The membership as the account sees it.
    pub fn show(self) -> Result<MembershipOut, Problem> {
        let Self { barn, person, wards } = self;
        let wards = wards
            .into_iter()
            .map(|(person_id, name)| {
                let name = name.try_into().map_err(|_| Problem::new(Kind::Internal))?;
                Ok(WardOut { person_id, name })
            })
            .collect::<Result<_, Problem>>()?;
        let (barn_id, person_id, roles) = (barn.barn_id, person.id, person.roles());
        Ok(MembershipOut { barn_id, barn: barn.show()?, person_id, roles, wards })
    }
}

/// All memberships of the account, in the order of the barns' ids. Afterwards the work goes on in no barn.
pub fn of(c: &mut AnyConn, account: Id<Account>, now: Instant) -> QueryResult<Vec<Membership>> {
    let rows: Vec<(BarnRow, PersonRow)> = on_each!(c, |c| person::table
        .inner_join(barn::table.on(barn::barn_id.eq(person::barn_id)))
        .filter(person::account_id.eq(account).and(person::removed_at.is_null()))
        .order(person::barn_id)
        .select((BarnRow::as_select(), PersonRow::as_select()))
        .load(c))?;
    let memberships = rows
        .into_iter()
        .map(|(barn, person)| {
            // an account reads its own person everywhere; its wards are read in their barn
            enter(c, barn.barn_id)?;
            let zone = Zone::new(&barn.time_zone).unwrap_or_else(|_| Zone::utc());
            let wards = wards(c, barn.barn_id, person.id, now.day(&zone))?;
            Ok(Membership { barn, person, wards })
        })
        .collect::<QueryResult<_>>()?;
    leave(c)?;
    Ok(memberships)
}

/// The same as the account sees them.
pub fn show(c: &mut AnyConn, account: Id<Account>, now: Instant) -> Result<Vec<MembershipOut>, Problem> {
    of(c, account, now)?.into_iter().map(Membership::show).collect()
}

/// Refuses one more membership where there are too many.
pub fn require_room(c: &mut AnyConn, account: Id<Account>) -> Result<(), Problem> {
    let count: i64 = on_each!(c, |c| person::table
        .filter(person::account_id.eq(account).and(person::removed_at.is_null()))
        .count()
        .get_result(c))?;
    if usize::try_from(count).is_ok_and(|n| n < MOST) {
        return Ok(());
    }
    Err(Problem::new(Kind::WrongState).with_detail(format!("An account may belong to at most {MOST} barns.")))
}
