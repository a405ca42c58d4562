//! What the log of a barn says.
use diesel::prelude::*;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::schema::audit;
use stridewright_api::on_each;
use stridewright_core::ids::{Account, Barn, Id};
use stridewright_tests::World;

/// One row, without its chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    pub caller: String,
    pub action: String,
    pub resource: String,
    pub subject: String,
    pub status: i32,
}

pub type Columns = (Id<Account>, String, String, String, i32);

impl From<Columns> for Row {
    fn from((caller, action, resource, subject, status): Columns) -> Self {
        Self { caller: caller.to_string(), action, resource, subject, status }
    }
}

/// The rows of a barn, as the owner of the database reads them; kept open, since a test reads often.
pub struct Log {
    db: Db,
    barn: Id<Barn>,
}

impl Log {
    pub fn of(world: &World) -> Self {
        let db = Db::open(&Location::parse(&world.server.url).unwrap()).unwrap();
        Self { db, barn: world.barn_id.parse().unwrap() }
    }

    pub fn rows(&self) -> Vec<Row> {
        self.after(0)
    }

    pub fn len(&self) -> i64 {
        on_each!(&mut self.db.conn().unwrap(), |c| audit::table
            .filter(audit::barn_id.eq(self.barn))
            .count()
            .get_result(c))
        .unwrap()
    }

    /// Those after so many.
    pub fn after(&self, seq: i64) -> Vec<Row> {
        let rows: Vec<Columns> = on_each!(&mut self.db.conn().unwrap(), |c| audit::table
            .filter(audit::barn_id.eq(self.barn).and(audit::seq.gt(seq)))
            .order(audit::seq)
            .select((audit::caller_id, audit::action, audit::resource, audit::resource_id, audit::status))
            .load(c))
        .unwrap();
        rows.into_iter().map(Row::from).collect()
    }

    /// What the work leaves.
    pub fn during<T>(&self, work: impl FnOnce() -> T) -> (T, Vec<Row>) {
        let before = self.len();
        let result = work();
        (result, self.after(before))
    }
}
