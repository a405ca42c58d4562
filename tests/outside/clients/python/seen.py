"""Steps 36 to 40: what is seen of it, and by whom."""
import datetime

from people import People
from ringside import Ridden
from sessions import Booked
from steps import key, passed, refused, there, told
from stridewright_client.api.adjustability import adjustability_pair, adjustability_pair_next
from stridewright_client.api.rides import rides_list_all
from stridewright_client.api.sessions import sessions_get_entry
from stridewright_client.api.sign_in import sign_in_get_me, sign_in_sign_out
from stridewright_client.api.workload import workload_create_horse_stand_down, workload_get_efforts, workload_get_rest
from stridewright_client.models import (
    AccountOut, AdjustabilityOut, Verdict, EffortsOut, EntryOut, NextAskOut, NextAskStatus, PageRideOut, RestOut,
    RideOut, Scope, Standing, StandDownIn, StandDownOut, StandDownSource, Status,
)
from yard import DISTANCE_M, Yard


def run(people: People, place: Yard, booked: Booked, ridden: Ridden) -> None:
    barn, horse, owner, rider = people.barn_id, place.horse_id, people.owner.client, people.rider.client
    day, later = booked.day, booked.day + datetime.timedelta(days=3)

    efforts = told(workload_get_efforts.sync_detailed(barn, horse, client=owner, from_=day, to=later), 200, EffortsOut)
    assert [(d.day, d.logged, d.planned) for d in efforts.days if d.logged or d.planned] == [(day, 7, 0), (later, 0, 6)]
    assert (efforts.sum_7_days.logged, efforts.sum_28_days.logged) == (7, 7)
    assert (efforts.completeness.closed, efforts.completeness.due) == (1, 1)
    assert [d.highest_cm for d in efforts.days if d.day == day] == [85]
    passed(36)

    pair = told(adjustability_pair.sync_detailed(barn, horse, place.pairing_id, client=rider, as_of=day), 200, AdjustabilityOut)
    assert (pair.attempts, pair.days, pair.verdict) == (4, 1, Verdict.NOT_ENOUGH_RIDES)
    assert (pair.normal_stride.stride_m, pair.as_of) == (3.47, day)
    assert pair.ratio.low <= pair.ratio.value <= pair.ratio.high and pair.short_end.stride_m < pair.long_end.stride_m
    ask = told(adjustability_pair_next.sync_detailed(
        barn, horse, place.pairing_id, client=rider, distance_m=DISTANCE_M, first_height_cm=85, second_height_cm=85,
        as_of=day), 200, NextAskOut)
    assert (ask.distance_m, ask.natural, ask.ladder, ask.status) == (DISTANCE_M, 5, [5, 6, 5], NextAskStatus.REPEAT)
    assert (there(ask.ask).count, there(ask.ask).distance_m, ask.efforts) == (6, DISTANCE_M, 6)
    assert 0.0 < there(ask.ask).cautious_chance < there(ask.ask).chance < 1.0
    passed(37)

    body = StandDownIn(source=StandDownSource.VET, scope=Scope.JUMPING, from_date=later, reason="A warm tendon.")
    down = told(workload_create_horse_stand_down.sync_detailed(
        barn, horse, client=owner, body=body, idempotency_key=key()), 201, StandDownOut)
    assert (down.horse_id, down.needs_clearance, down.from_date, down.recorded_by) == (horse, True, later, people.owner.person_id)
    flagged = told(sessions_get_entry.sync_detailed(
        barn, booked.asked_session_id, booked.asked_entry_id, client=people.trainer.client), 200, EntryOut)
    assert (flagged.status, [f.code for f in flagged.flags]) == (Status.REQUESTED, ["stand_down"])
    assert flagged.flags[0].binding
    rest = told(workload_get_rest.sync_detailed(barn, horse, client=owner), 200, RestOut)
    assert [c.at_most for c in rest.next_14_days if c.day == later] == [0]
    passed(38)

    found: list[RideOut] = []
    sizes, page = [], told(rides_list_all.sync_detailed(barn, client=owner, horse_id=horse, limit=2), 200, PageRideOut)
    found, sizes = found + page.items, [len(page.items)]
    while page.next_cursor:
        page = told(rides_list_all.sync_detailed(
            barn, client=owner, horse_id=horse, limit=2, cursor=page.next_cursor), 200, PageRideOut)
        found, sizes = found + page.items, sizes + [len(page.items)]
    assert (sizes, len({ride.id for ride in found})) == ([2, 2, 1], 5)
    assert sorted(there(ride.go) for ride in found if ride.standing == Standing.COUNTED) == [1, 2, 3, 4]
    assert sum(ride.efforts for ride in found if ride.standing == Standing.COUNTED) == 7
    assert {ride.id: ride.supersedes for ride in found if ride.supersedes} == {ridden.correction_id: ridden.corrected_id}
    passed(39)

    assert told(sign_in_get_me.sync_detailed(client=rider), 200, AccountOut).name == "Corin Vale"
    gone = sign_in_sign_out.sync_detailed(client=rider)
    assert (int(gone.status_code), gone.content) == (204, b"")
    refused(sign_in_get_me.sync_detailed(client=rider), 401, "unauthenticated")
    passed(40)
