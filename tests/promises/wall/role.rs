//! The role of the service where the owner is no superuser, and where somebody gave the role too much.
use super::catalogue::tables;
use super::two_barns::count;
use diesel::connection::SimpleConnection;
use diesel::{Connection, PgConnection};
use stridewright_api::db::check::faults;
use stridewright_api::db::migrate;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::role::SERVICE;
use stridewright_tests::postgres::{Cluster, skipped};

/// Migrates as the user of the URL; answers what is wrong.
fn migrated(url: &str) -> Result<Db, String> {
    let db = Db::open(&Location::parse(url).unwrap()).unwrap();
    migrate::up(&mut db.conn().unwrap()).map_err(|e| e.to_string())?;
    Ok(db)
}

/// One test, since roles belong to the whole cluster.
#[test]
fn is_made_or_asked_for_and_refused_where_it_can_look_past_the_policies() {
    let own = std::env::var_os("STRIDEWRIGHT_TEST_POSTGRES_URL").is_none();
    let Some(cluster) = Cluster::start(false).filter(|_| own) else { return skipped() };
    let url = cluster.database();
    let mut admin = PgConnection::establish(&url).unwrap();
    let (server, name) = url.rsplit_once('/').unwrap();
    let mut run = |statement: &str| admin.batch_execute(statement).unwrap();
    run(&format!("CREATE ROLE yardmaster LOGIN; ALTER DATABASE {name} OWNER TO yardmaster"));
    let plain = format!("{server}/{name}").replace("stridewright@", "yardmaster@");

    // who may not make roles is told what to have done
    let refused = migrated(&plain).err().unwrap();
    assert!(refused.contains(&format!("CREATE ROLE {SERVICE} NOLOGIN; GRANT {SERVICE} TO yardmaster")), "{refused}");
    run(&format!("CREATE ROLE {SERVICE} NOLOGIN"));
    let refused = migrated(&plain).err().unwrap();
    assert!(refused.contains(&format!("GRANT {SERVICE} TO yardmaster")), "{refused}");
    run(&format!("GRANT {SERVICE} TO yardmaster"));
    let db = migrated(&plain).unwrap();

    // the owner, no superuser, sees everything though row-level security is forced
    let c = &mut db.conn().unwrap();
    c.batch("INSERT INTO barn VALUES ('6b1f6a3e-0000-7000-8000-000000000001', 'A', 'UTC', 'metric', 'british', false, 1, now())")
        .unwrap();
    assert_eq!(count(c, "SELECT count(*) AS n FROM barn").unwrap(), 1);
    assert_eq!(faults(c).unwrap(), Vec::<String>::new());
    let owned = "SELECT count(*) AS n FROM pg_policies WHERE policyname = 'whole' AND roles = '{yardmaster}'";
    assert_eq!(usize::try_from(count(c, owned).unwrap()).unwrap(), tables(c).len());

    // who may make roles needs nobody
    let second = cluster.database();
    let name = second.rsplit_once('/').unwrap().1;
    run(&format!("CREATE ROLE maker LOGIN CREATEROLE; ALTER DATABASE {name} OWNER TO maker"));
    migrated(&second.replace("stridewright@", "maker@")).unwrap();

    run(&format!("ALTER ROLE {SERVICE} BYPASSRLS"));
    let refused = migrated(&plain).err().unwrap();
    assert!(refused.contains("NOBYPASSRLS"), "{refused}");
    run(&format!("ALTER ROLE {SERVICE} NOBYPASSRLS SUPERUSER"));
    assert!(migrated(&plain).is_err());
    run(&format!("ALTER ROLE {SERVICE} NOSUPERUSER"));
    migrated(&plain).unwrap();
    // a database of the superuser's own, and the service made a member of its owner
    let third = cluster.database();
    migrated(&third).unwrap();
    run(&format!("GRANT stridewright TO {SERVICE}"));
    let refused = migrated(&third).err().unwrap();
    assert!(refused.contains("may act as the owner"), "{refused}");
}
