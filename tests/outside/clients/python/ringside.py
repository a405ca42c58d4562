"""Steps 30 to 35: what is ridden, and logged from the rail."""
import uuid
from dataclasses import dataclass

from people import People
from sessions import Booked
from steps import etag, key, passed, signed_in, there, told
from stridewright_client.api.rail_links import rail_links_create
from stridewright_client.api.rides import rides_correct, rides_create, rides_create_batch, rides_get
from stridewright_client.api.sessions import sessions_change, sessions_change_entry, sessions_get, sessions_get_entry
from stridewright_client.models import (
    AttemptIn, BatchRideIn, ClosingAnswer, ClosingIn, CorrectionIn, EntryOut, EntryPatch, Fault, FenceIn, FenceOutcome,
    LogOutcome, RailLinkIn, RailLinkMade, RideBatchIn, RideBatchOut, RideIn, RideKind, RideLogged, RideOut, SessionOut,
    SessionPatch, SessionStatus, Standing, Status,
)
from yard import DISTANCE_M

JUMPED, RAIL, REFUSAL = FenceOutcome.JUMPED, FenceOutcome.RAIL, FenceOutcome.REFUSAL


@dataclass
class Ridden:
    corrected_id: uuid.UUID
    correction_id: uuid.UUID


def over(*outcomes: FenceOutcome) -> list[FenceIn]:
    return [FenceIn(fence=str(n), outcome=outcome) for n, outcome in enumerate(outcomes, 1)]


def stepped(people: People, booked: Booked, status: SessionStatus) -> SessionOut:
    """The session, one status on."""
    trainer, session = people.trainer.client, booked.session_id
    version = etag(sessions_get.sync_detailed(people.barn_id, session, client=trainer))
    return told(sessions_change.sync_detailed(
        people.barn_id, session, client=trainer, body=SessionPatch(status=status), if_match=version), 200, SessionOut)


def logging(people: People, booked: Booked) -> BatchRideIn:
    barn, session, entry = people.barn_id, booked.session_id, booked.entry_id
    opened = stepped(people, booked, SessionStatus.OPEN)
    assert (opened.status, [e.status for e in opened.entries]) == (SessionStatus.OPEN, [Status.OPEN])
    passed(30)

    link = told(rail_links_create.sync_detailed(
        barn, session, client=people.trainer.client, body=RailLinkIn(label="Gate"), idempotency_key=key()), 201, RailLinkMade)
    assert (link.label, link.session_id) == ("Gate", session)
    assert link.expires_at > link.created_at
    rail = signed_in(people.base, link.secret)
    six = AttemptIn(line="A", asked=6, ridden=6)
    first = told(rides_create.sync_detailed(
        barn, session, entry, client=rail, body=RideIn(go=1, fences=over(JUMPED, JUMPED), attempts=[six]),
        idempotency_key=key()), 201, RideLogged)
    assert (first.kind, first.go, first.efforts, first.standing, first.jumps_today) == (RideKind.GO, 1, 2, Standing.COUNTED, 2)
    [attempt] = first.attempts
    assert (attempt.asked, attempt.ridden, attempt.distance_m, attempt.first_height_cm) == (6, 6, DISTANCE_M, 85)
    passed(31)

    def ride(go: int, last: FenceOutcome, attempt: AttemptIn) -> BatchRideIn:
        return BatchRideIn(entry_id=entry, id=uuid.uuid4(), go=go, fences=over(JUMPED, last), attempts=[attempt])

    batch = RideBatchIn([
        ride(2, JUMPED, AttemptIn(line="A", asked=6, ridden=6, distance_m=20.9)),
        ride(3, RAIL, AttemptIn(line="A", asked=5, ridden=5, fault=Fault.RAIL)),
        ride(4, REFUSAL, AttemptIn(line="A", asked=5, fault=Fault.REFUSAL)),
    ])
    sent = told(rides_create_batch.sync_detailed(barn, client=rail, body=batch, idempotency_key=key()), 200, RideBatchOut)
    assert [r.id for r in sent.rides] == [r.id for r in batch.rides]
    assert [(r.go, r.efforts, r.outcome) for r in sent.rides] == (
        [(2, 2, LogOutcome.STORED), (3, 2, LogOutcome.STORED), (4, 1, LogOutcome.STORED)])
    [so_far] = sent.entries
    assert (so_far.entry_id, so_far.jumps_today) == (entry, 7)
    passed(32)

    again = told(rides_create_batch.sync_detailed(barn, client=rail, body=batch, idempotency_key=key()), 200, RideBatchOut)
    assert [(r.id, r.outcome, r.standing) for r in again.rides] == [(r.id, LogOutcome.KNOWN, Standing.COUNTED) for r in batch.rides]
    assert again.entries == sent.entries
    passed(33)
    return batch.rides[1]


def run(people: People, booked: Booked) -> Ridden:
    told_wrong = logging(people, booked)
    barn, trainer, session, entry = people.barn_id, people.trainer.client, booked.session_id, booked.entry_id
    corrected_id = there(told_wrong.id)
    up = CorrectionIn(go=3, fences=over(JUMPED, JUMPED), attempts=[AttemptIn(line="A", asked=5, ridden=5)], note="It stayed up.")
    new = told(rides_correct.sync_detailed(
        barn, session, entry, corrected_id, client=trainer, body=up, idempotency_key=key()), 201, RideLogged)
    assert (new.supersedes, new.standing, new.note, new.jumps_today) == (corrected_id, Standing.COUNTED, "It stayed up.", 7)
    assert [fence.outcome for fence in new.fences] == [JUMPED, JUMPED]
    old = told(rides_get.sync_detailed(barn, session, entry, corrected_id, client=trainer), 200, RideOut)
    assert (old.standing, [fence.outcome for fence in old.fences]) == (Standing.SUPERSEDED, [JUMPED, RAIL])
    passed(34)

    closed = stepped(people, booked, SessionStatus.CLOSED)
    assert (closed.status, [(e.status, e.unanswered_efforts) for e in closed.entries]) == \
        (SessionStatus.CLOSED, [(Status.UNRESOLVED, 1)])
    version = etag(sessions_get_entry.sync_detailed(barn, session, entry, client=trainer))
    answer = EntryPatch(closing=ClosingIn(answer=ClosingAnswer.NOT_JUMPED))
    done = told(sessions_change_entry.sync_detailed(
        barn, session, entry, client=trainer, body=answer, if_match=version), 200, EntryOut)
    assert (done.status, done.unanswered_efforts or None) == (Status.CLOSED, None)
    passed(35)
    return Ridden(corrected_id, new.id)
