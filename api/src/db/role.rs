//! The PostgreSQL role that the service works under: it owns nothing, and row-level security holds for it.
use super::conn::AnyConn;
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Bool;

/// Its name, in the whole cluster.
pub const SERVICE: &str = "stridewright_service";

#[derive(Debug, thiserror::Error)]
pub enum RoleError {
    #[error(
        "the role {SERVICE} is a superuser or bypasses row-level security, so that barns are not kept apart; let an \
         administrator run: ALTER ROLE {SERVICE} NOSUPERUSER NOBYPASSRLS"
    )]
    Bypasses,
    #[error(
        "the role {SERVICE} may act as the owner of the tables, so that barns are not kept apart; let an \
         administrator revoke that membership"
    )]
    Owns,
    #[error("the role {SERVICE} cannot be taken on ({0}); let an administrator run: GRANT {SERVICE} TO <this user>")]
    Unusable(diesel::result::Error),
}

#[derive(QueryableByName)]
struct Powers {
    #[diesel(sql_type = Bool)]
    bypasses: bool,
    #[diesel(sql_type = Bool)]
    owns: bool,
}

/// Refuses to go on where the role could look past the policies.
pub fn require_sound(conn: &mut AnyConn) -> Result<(), RoleError> {
    let AnyConn::Pg(c) = conn else { return Ok(()) };
    c.batch_execute(&format!("SET ROLE {SERVICE}")).map_err(RoleError::Unusable)?;
    let powers = diesel::sql_query(
        "SELECT bool_or(r.rolsuper OR r.rolbypassrls) AS bypasses, \
         bool_or(pg_has_role(current_user, (SELECT relowner FROM pg_class WHERE oid = 'barn'::regclass), 'MEMBER')) \
         AS owns FROM pg_roles r WHERE r.rolname = current_user",
    )
    .get_result::<Powers>(&mut **c);
    c.batch_execute("RESET ROLE").map_err(RoleError::Unusable)?;
    match powers.map_err(RoleError::Unusable)? {
        Powers { bypasses: true, .. } => Err(RoleError::Bypasses),
        Powers { owns: true, .. } => Err(RoleError::Owns),
        Powers { .. } => Ok(()),
    }
}
