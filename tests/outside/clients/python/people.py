"""Steps 1 to 8: people."""
import datetime
import uuid
from dataclasses import dataclass

from steps import PASSWORD, anonymous, etag, key, passed, signed_in, there, told
from stridewright_client import AuthenticatedClient
from stridewright_client.api.barns import barns_change, barns_get
from stridewright_client.api.invitations import invitations_create, invitations_list
from stridewright_client.api.people import people_create, people_list
from stridewright_client.api.sign_in import sign_in_create, sign_in_sign_up
from stridewright_client.models import (
    AccountInFounder, AccountInInvited, AccountOut, BarnIn, BarnOut, BarnPatch, InvitationIn, InvitationOut, Labels, MembershipOut,
    PageInvitationOut, PagePersonOut, PersonIn, PersonOut, Role, SignInIn, SignInOut, Units,
)


@dataclass
class Member:
    """Somebody of the barn, signed in."""
    client: AuthenticatedClient
    person_id: uuid.UUID


@dataclass
class People:
    base: str
    barn_id: uuid.UUID
    trainer: Member
    rider: Member
    owner: Member
    guardian: Member
    child_id: uuid.UUID


def email(who: str) -> str:
    return f"{who}.{uuid.uuid4()}@example.org"


def account(base: str, body: AccountInFounder | AccountInInvited) -> tuple[AccountOut, SignInOut]:
    """Signs up, and in."""
    client = anonymous(base)
    made = told(sign_in_sign_up.sync_detailed(client=client, body=body), 201, AccountOut)
    sign_in = SignInIn(email=body.email, password=PASSWORD)
    return made, told(sign_in_create.sync_detailed(client=client, body=sign_in), 201, SignInOut)


def founder(base: str, name: str) -> tuple[AccountOut, SignInOut]:
    barn = BarnIn(name="Withy Bottom", time_zone="Europe/Lisbon", units=Units.METRIC, labels=Labels.BRITISH)
    return account(base, AccountInFounder(email=email("trainer"), name=name, password=PASSWORD, barn=barn))


def invited(
    trainer: AuthenticatedClient, base: str, barn_id: uuid.UUID, body: InvitationIn
) -> tuple[InvitationOut, Member, MembershipOut]:
    made = told(
        invitations_create.sync_detailed(barn_id, client=trainer, body=body, idempotency_key=key()), 201, InvitationOut)
    assert made.expires_at > made.created_at
    joins = AccountInInvited(email=email("member"), name=body.name, password=PASSWORD, invitation=there(made.secret))
    _, signed = account(base, joins)
    [membership] = signed.memberships
    assert (membership.barn_id, membership.roles) == (barn_id, body.roles)
    return made, Member(signed_in(base, signed.access_token), membership.person_id), membership


def run(base: str) -> People:
    made, signed = founder(base, "Ilse Marrow")
    [membership] = made.memberships
    assert (made.name, membership.roles, membership.wards) == ("Ilse Marrow", [Role.TRAINER], [])
    assert (membership.barn.name, membership.barn.units, membership.barn.riders_confirm) == ("Withy Bottom", Units.METRIC, False)
    passed(1)

    assert (signed.token_type, signed.account_id, signed.memberships[0].barn_id) == ("Bearer", made.id, membership.barn.id)
    assert signed.expires_in > 0 and signed.access_token != signed.refresh_token
    barn_id, trainer = membership.barn_id, Member(signed_in(base, signed.access_token), membership.person_id)
    passed(2)

    read = barns_get.sync_detailed(barn_id, client=trainer.client)
    before = told(read, 200, BarnOut)
    changed = barns_change.sync_detailed(
        barn_id, client=trainer.client, body=BarnPatch(name="Withy Top"), if_match=etag(read))
    after = told(changed, 200, BarnOut)
    assert (before.name, after.name) == ("Withy Bottom", "Withy Top")
    assert (after.id, after.time_zone, after.labels, after.created_at) == \
        (barn_id, "Europe/Lisbon", Labels.BRITISH, before.created_at)
    assert etag(changed) != etag(read)
    passed(3)

    born = datetime.date(datetime.date.today().year - 11, 2, 3)
    child_in = PersonIn(name="Wren Marrow", roles=[Role.RIDER], birth_date=born, step_m=0.62)
    child = told(
        people_create.sync_detailed(barn_id, client=trainer.client, body=child_in, idempotency_key=key()), 201, PersonOut)
    assert (child.minor, child.linked, child.step_m, child.birth_date) == (True, False, 0.62, born)
    passed(4)

    one, rider, _ = invited(trainer.client, base, barn_id, InvitationIn(name="Corin Vale", roles=[Role.RIDER]))
    two, owner, _ = invited(trainer.client, base, barn_id, InvitationIn(name="Odile Thorn", roles=[Role.OWNER]))
    passed(5)

    acts_for = InvitationIn(name="Bram Marrow", roles=[], guardian_of=child.id)
    three, guardian, membership = invited(trainer.client, base, barn_id, acts_for)
    [ward] = membership.wards
    assert (ward.person_id, ward.name, three.guardian_of) == (child.id, "Wren Marrow", child.id)
    passed(6)

    invitations = told(invitations_list.sync_detailed(barn_id, client=trainer.client), 200, PageInvitationOut)
    assert {i.id: i.accepted_by for i in invitations.items} == (
        {one.id: rider.person_id, two.id: owner.person_id, three.id: guardian.person_id})
    assert all(i.accepted_at and not i.secret and not i.revoked_at for i in invitations.items)
    passed(7)

    found: list[PersonOut] = []
    page = told(people_list.sync_detailed(barn_id, client=trainer.client, limit=2), 200, PagePersonOut)
    sizes = [len(page.items)]
    found += page.items
    while page.next_cursor:
        answer = people_list.sync_detailed(barn_id, client=trainer.client, limit=2, cursor=page.next_cursor)
        page = told(answer, 200, PagePersonOut)
        sizes.append(len(page.items))
        found += page.items
    assert sizes == [2, 2, 1]
    assert {p.id for p in found} == {m.person_id for m in (trainer, rider, owner, guardian)} | {child.id}
    assert sorted(p.name for p in found if p.linked) == ["Bram Marrow", "Corin Vale", "Ilse Marrow", "Odile Thorn"]
    passed(8)
    return People(base, barn_id, trainer, rider, owner, guardian, child.id)
