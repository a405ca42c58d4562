"""Steps 18 to 29: what is booked, refused, asked for and moved, and who may."""
import datetime
import uuid
from dataclasses import dataclass

from people import People, founder
from steps import etag, key, passed, refused, signed_in, there, told
from stridewright_client.api.horses import horses_get
from stridewright_client.api.sessions import (
    sessions_calendar, sessions_change, sessions_change_entry, sessions_create, sessions_create_entry, sessions_get,
    sessions_get_entry,
)
from stridewright_client.api.workload import workload_get_rest
from stridewright_client.models import (
    AskIn, CalendarOut, EntryIn, EntryOut, EntryPatch, Problem, RestOut, SessionIn, SessionKind, SessionOut, SessionPatch,
    SessionStatus, Source, Status,
)
from stridewright_client.types import Response
from yard import Yard


@dataclass
class Booked:
    day: datetime.date
    session_id: uuid.UUID
    entry_id: uuid.UUID
    asked_session_id: uuid.UUID
    asked_entry_id: uuid.UUID


def at(day: datetime.date, days: int, hour: int) -> datetime.datetime:
    return datetime.datetime.combine(day + datetime.timedelta(days), datetime.time(hour), datetime.timezone.utc)


def hour(day: datetime.date, days: int, starts: int, title: str, place: Yard, entries: list[EntryIn]) -> SessionIn:
    return SessionIn(kind=SessionKind.JUMPING, title=title, arena_id=place.arena_id, starts_at=at(day, days, starts),
                     ends_at=at(day, days, starts + 1), entries=entries)


def booking(people: People, place: Yard) -> tuple[datetime.date, SessionOut]:
    client, barn = people.trainer.client, people.barn_id
    rest = told(workload_get_rest.sync_detailed(barn, place.horse_id, client=people.owner.client, efforts=8, height_cm=85), 200, RestOut)
    day = rest.today
    assert (rest.violations, rest.stand_downs, rest.asked.allowed_today, rest.asked.efforts) == ([], [], True, 8)
    [owners] = [limit for limit in rest.limits if limit.workload_limit_id == place.owners_limit_id]
    assert (owners.source, owners.binding) == (Source.OWNER, True)
    assert (len(rest.next_14_days), rest.next_14_days[0].day) == (14, day)
    passed(18)

    body = hour(day, 1, 9, "Two, and two again", place, [EntryIn(
        horse_id=place.horse_id, rider_id=people.rider.person_id, planned_efforts=8, planned_height_cm=85,
        asks=[AskIn(line="A", asked=6)])])
    body.trainer_id, body.fence_set_id, body.exercise_id = people.trainer.person_id, place.fence_set_id, place.exercise_id
    session = told(sessions_create.sync_detailed(barn, client=client, body=body, idempotency_key=key()), 201, SessionOut)
    assert (session.status, session.kind, session.revision, session.starts_at) == \
        (SessionStatus.BOOKED, SessionKind.JUMPING, 1, body.starts_at)
    [entry] = session.entries
    assert (entry.status, entry.planned_efforts, entry.planned_height_cm, entry.asks) == \
        (Status.BOOKED, 8, 85, [AskIn(line="A", asked=6)])
    assert session.cautions and session.time_zone == "Europe/Lisbon"
    passed(19)

    body.entries = [EntryIn(horse_id=place.pony_id, rider_id=people.child_id, planned_efforts=4, planned_height_cm=50)]
    problem = refused(sessions_create.sync_detailed(barn, client=client, body=body, idempotency_key=key()), 409, "occupied")
    assert sorted(reason.code for reason in there(problem.reasons)) == ["above_level", "arena_taken", "fence_set_taken", "person_taken"]
    passed(20)

    many = hour(day, 2, 9, "Too many", place, [EntryIn(
        horse_id=place.horse_id, rider_id=people.rider.person_id, planned_efforts=15, planned_height_cm=85)])
    many.trainer_id = people.trainer.person_id
    problem = refused(sessions_create.sync_detailed(barn, client=client, body=many, idempotency_key=key()), 409, "rule_refused")
    [reason] = there(problem.reasons)
    assert (reason.code, reason.limit, reason.figure, reason.binding) == ("max_efforts_per_session", 14, 15, True)
    assert reason.rule_id == place.owners_limit_id
    passed(21)

    read = sessions_get.sync_detailed(barn, session.id, client=client)
    assert told(read, 200, SessionOut) == session

    def change(patch: SessionPatch, version: str) -> Response[Problem | SessionOut]:
        return sessions_change.sync_detailed(barn, session.id, client=client, body=patch, if_match=version)

    renamed = change(SessionPatch(title="Two fences"), etag(read))
    assert told(renamed, 200, SessionOut).title == "Two fences"
    refused(change(SessionPatch(title="Three fences"), etag(read)), 412, "changed_meanwhile")
    passed(22)

    moved = told(change(SessionPatch(starts_at=at(day, 0, 10), ends_at=at(day, 0, 11)), etag(renamed)), 200, SessionOut)
    assert (moved.title, moved.starts_at, moved.ends_at) == ("Two fences", at(day, 0, 10), at(day, 0, 11))
    assert [(e.id, e.status) for e in moved.entries] == [(entry.id, Status.BOOKED)]
    passed(23)
    return day, moved


def asking(people: People, place: Yard, day: datetime.date) -> SessionOut:
    barn, trainer = people.barn_id, people.trainer.client
    body = hour(day, 3, 15, "On my own", place, [EntryIn(
        horse_id=place.horse_id, rider_id=people.rider.person_id, planned_efforts=6, planned_height_cm=80)])
    asked = told(sessions_create.sync_detailed(barn, client=people.rider.client, body=body, idempotency_key=key()), 201, SessionOut)
    assert (asked.status, asked.entries[0].status, asked.trainer_id or None) == (SessionStatus.REQUESTED, Status.REQUESTED, None)
    passed(24)

    def confirm(session: uuid.UUID, entry: uuid.UUID) -> EntryOut:
        read = sessions_get_entry.sync_detailed(barn, session, entry, client=trainer)
        assert told(read, 200, EntryOut).status == Status.REQUESTED
        patch = EntryPatch(status=Status.BOOKED)
        return told(sessions_change_entry.sync_detailed(
            barn, session, entry, client=trainer, body=patch, if_match=etag(read)), 200, EntryOut)

    yes = confirm(asked.id, asked.entries[0].id)
    assert (yes.status, yes.flags, yes.overridden, yes.planned_efforts) == (Status.BOOKED, [], [], 6)
    passed(25)

    body = hour(day, 5, 9, "Ponies", place, [])
    body.trainer_id, body.places = people.trainer.person_id, 1
    lesson = told(sessions_create.sync_detailed(barn, client=trainer, body=body, idempotency_key=key()), 201, SessionOut)
    assert (lesson.places, lesson.places_free, lesson.entries) == (1, 1, [])
    child = EntryIn(horse_id=place.pony_id, rider_id=people.child_id, planned_efforts=4, planned_height_cm=50)
    entry = told(sessions_create_entry.sync_detailed(
        barn, lesson.id, client=people.guardian.client, body=child, idempotency_key=key()), 201, EntryOut)
    assert (entry.status, entry.rider_id, entry.horse_id) == (Status.REQUESTED, people.child_id, place.pony_id)
    assert confirm(lesson.id, entry.id).status == Status.BOOKED
    full = told(sessions_get.sync_detailed(barn, lesson.id, client=people.guardian.client), 200, SessionOut)
    assert (full.places_free, [e.id for e in full.entries]) == (0, [entry.id])
    passed(26)
    return asked


def run(people: People, place: Yard) -> Booked:
    day, session = booking(people, place)
    asked = asking(people, place, day)
    barn = people.barn_id

    read = sessions_get.sync_detailed(barn, session.id, client=people.rider.client)
    opens = SessionPatch(status=SessionStatus.OPEN)
    refused(sessions_change.sync_detailed(
        barn, session.id, client=people.rider.client, body=opens, if_match=etag(read)), 403, "forbidden")
    passed(27)

    _, elsewhere = founder(people.base, "Nobody Here")
    stranger = signed_in(people.base, elsewhere.access_token)
    theirs = horses_get.sync_detailed(barn, place.horse_id, client=stranger)
    nothing = horses_get.sync_detailed(barn, uuid.uuid4(), client=stranger)
    assert refused(theirs, 404, "not_found") == refused(nothing, 404, "not_found")
    assert theirs.content == nothing.content
    passed(28)

    answer = sessions_calendar.sync_detailed(
        barn, place.arena_id, client=people.rider.client, from_=at(day, 0, 0), to=at(day, 6, 0))
    calendar = told(answer, 200, CalendarOut)
    assert (calendar.arena_id, calendar.sessions_at_once) == (place.arena_id, 1)
    assert [taken.starts_at for taken in calendar.taken] == [at(day, 0, 10), at(day, 3, 15), at(day, 5, 9)]
    assert [taken.exercise_name or None for taken in calendar.taken] == ["Two for Sorrel", None, None]
    for name in ("Corin", "Sorrel Fen", "Pin Oak", str(people.rider.person_id)):
        assert name.encode() not in answer.content, name
    passed(29)
    return Booked(day, session.id, session.entries[0].id, asked.id, asked.entries[0].id)
