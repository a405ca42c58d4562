//! The addresses of invitations.
use super::rows::{self, InvitationRow};
use super::wire::{InvitationIn, InvitationOut, InvitationQuery};
use crate::access::guard::{Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Id, Invitation};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of an invitation.
    pub struct InvitationKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The invitation.
        pub invitation_id: Id<Invitation>,
    }
}

/// The invitations of a barn.
pub struct Invitations;

impl Entity for Invitations {
    const NAME: &'static str = "invitations";
    const RESOURCE: Resource = Resource::Invitation;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

impl Entity for InvitationRow {
    const NAME: &'static str = "invitation";
    const RESOURCE: Resource = Resource::Invitation;
    const VERSIONED: bool = true;
    type Key = InvitationKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &InvitationKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id, key.invitation_id)
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List the invitations.
///
/// Accepted, revoked and expired ones too.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/invitations", params(BarnKey, InvitationQuery),
    responses((status = 200, description = "A page of invitations.", body = Page<InvitationOut>)))]
pub async fn list(
    may: May<Invitations, Read>,
    query: Query<InvitationQuery>,
) -> Result<Reply<Page<InvitationOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&rows::page(look, &query)?))).await
}

/// Invite somebody.
///
/// The answer holds the secret to hand over; it is shown only here.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/invitations", params(BarnKey), request_body = InvitationIn,
    responses((status = 201, description = "The new invitation, with its secret.", body = InvitationOut)))]
pub async fn create(may: May<Invitations, Create>, body: Json<InvitationIn>) -> Result<Reply<InvitationOut>, Problem> {
    may.write(body, |tx, _, new| {
        let (row, secret) = rows::create(tx, new)?;
        let location = format!("/api/v1/barns/{}/invitations/{}", row.barn_id, row.id);
        Ok(Reply::created(&row.show(Some(secret))?, location).version(1))
    })
    .await
}

/// One invitation.
///
/// Without its secret.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/invitations/{invitation_id}", params(InvitationKey),
    responses((status = 200, description = "The invitation.", body = InvitationOut)))]
pub async fn get(may: May<InvitationRow, Read>) -> Result<Reply<InvitationOut>, Problem> {
    may.read(|_, row| {
        let version = row.version;
        Ok(Reply::ok(&row.show(None)?).version(version))
    })
    .await
}

/// Revoke an invitation.
///
/// It can no longer be accepted. One that was accepted is not revoked: remove the person instead.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/invitations/{invitation_id}", params(InvitationKey),
    responses((status = 204, description = "The invitation is revoked.")))]
pub async fn revoke(may: May<InvitationRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::revoke(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
