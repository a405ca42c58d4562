"""Steps 9 to 17: horses, whose they are, who rides them, where, and over what."""
import datetime
import uuid
from dataclasses import dataclass

from people import People
from steps import key, passed, there, told
from stridewright_client.api.arenas import arenas_create
from stridewright_client.api.evaluations import evaluations_barn_line
from stridewright_client.api.exercises import exercises_create
from stridewright_client.api.fence_sets import fence_sets_create
from stridewright_client.api.horses import horses_create, horses_create_ownership, horses_create_pairing, horses_list
from stridewright_client.api.workload import workload_create_limit
from stridewright_client.models import (
    ArenaIn, ArenaOut, BarnLineInMetresHorse, ExerciseIn, ExerciseOut, Fence, FenceItems, FenceKind, FenceSetIn, FenceSetOut,
    Footing, HorseIn, HorseOut, LayoutLine, LimitIn, LimitKind, LimitOut, LineKind, Measured, NormalStrideIn,
    Obstruction, OwnershipIn, OwnershipKind, OwnershipOut, PageHorseOut, Pair, PairingIn, PairingOut, Position,
    Profile, RevisionIn, Source, StrideCardOut, StrideSource,
)

DISTANCE_M = 21.3


@dataclass
class Yard:
    horse_id: uuid.UUID
    pony_id: uuid.UUID
    pairing_id: uuid.UUID
    owners_limit_id: uuid.UUID
    arena_id: uuid.UUID
    fence_set_id: uuid.UUID
    exercise_id: uuid.UUID


def horses(people: People) -> tuple[HorseOut, HorseOut]:
    at, client = people.barn_id, people.trainer.client
    day = datetime.date.today() - datetime.timedelta(days=40)
    stride = NormalStrideIn(stride_m=3.47, source=StrideSource.COUNTED, measured_on=day)
    body = HorseIn(name="Sorrel Fen", profile=Profile.HORSE, normal_stride=stride)
    horse = told(horses_create.sync_detailed(at, client=client, body=body, idempotency_key=key()), 201, HorseOut)
    assert (horse.name, horse.profile, horse.green) == ("Sorrel Fen", Profile.HORSE, False)
    own = horse.normal_stride
    assert (own.stride_m, own.source, own.measured_on) == (3.47, StrideSource.COUNTED, day)
    passed(9)

    body, once = HorseIn(name="Pin Oak", profile=Profile.MEDIUM_PONY), key()
    pony = told(horses_create.sync_detailed(at, client=client, body=body, idempotency_key=once), 201, HorseOut)
    again = told(horses_create.sync_detailed(at, client=client, body=body, idempotency_key=once), 201, HorseOut)
    assert again == pony
    assert pony.normal_stride.source == StrideSource.GUESS
    passed(10)
    return horse, pony


def whose(people: People, horse: HorseOut, pony: HorseOut) -> PairingOut:
    at, client = people.barn_id, people.trainer.client
    owns = OwnershipIn(person_id=people.owner.person_id, kind=OwnershipKind.OWNER)
    ownership = told(horses_create_ownership.sync_detailed(
        at, horse.id, client=client, body=owns, idempotency_key=key()), 201, OwnershipOut)
    assert (ownership.horse_id, ownership.person_id, ownership.kind) == (horse.id, owns.person_id, OwnershipKind.OWNER)
    passed(11)

    made = []
    for mount, rider, level, height in ((pony, people.child_id, Pair.NOVICE, 60), (horse, people.rider.person_id, Pair.USUAL, 100)):
        body = PairingIn(rider_id=rider, level=level, up_to_height_cm=height)
        pairing = told(horses_create_pairing.sync_detailed(
            at, mount.id, client=client, body=body, idempotency_key=key()), 201, PairingOut)
        assert (pairing.horse_id, pairing.rider_id, pairing.level, pairing.up_to_height_cm) == (mount.id, rider, level, height)
        made.append(pairing)
    passed(12)
    return made[1]


def limits(people: People, horse: HorseOut) -> LimitOut:
    def limited(who: People, body: LimitIn, by_owner: bool) -> LimitOut:
        member = who.owner if by_owner else who.trainer
        limit = told(workload_create_limit.sync_detailed(
            who.barn_id, horse.id, client=member.client, body=body, idempotency_key=key()), 201, LimitOut)
        assert (limit.kind, limit.value, limit.set_by, limit.binding) == (body.kind, body.value, member.person_id, by_owner)
        return limit

    trainers = limited(people, LimitIn(kind=LimitKind.MAX_EFFORTS_PER_DAY, source=Source.TRAINER, value=20, hard=False), False)
    owners = limited(people, LimitIn(kind=LimitKind.MAX_EFFORTS_PER_SESSION, source=Source.OWNER, value=14), True)
    assert "20" in trainers.words and "14" in owners.words
    passed(13)
    return owners


def ground(people: People) -> tuple[ArenaOut, FenceSetOut, ExerciseOut]:
    at, client = people.barn_id, people.trainer.client
    shed = Obstruction(name="Shed", x_m=50.0, y_m=0.0, length_m=6.5, width_m=3.0)
    body = ArenaIn(name="Lower school", length_m=58.5, width_m=27.0, footing=Footing.SAND_AND_FIBRE, obstructions=[shed])
    arena = told(arenas_create.sync_detailed(at, client=client, body=body, idempotency_key=key()), 201, ArenaOut)
    assert (arena.length_m, arena.width_m, arena.footing, arena.indoor) == (58.5, 27.0, Footing.SAND_AND_FIBRE, False)
    assert (arena.obstructions, arena.sessions_at_once) == ([shed], 1)
    items = FenceItems(wings_pairs=5, poles=19, planks=1, fillers=2, cups=24, safety_cups=4)
    answer = fence_sets_create.sync_detailed(
        at, client=client, body=FenceSetIn(name="Green set", items=items), idempotency_key=key())
    fences = told(answer, 201, FenceSetOut)
    assert (fences.name, fences.items) == ("Green set", items)
    passed(14)

    def fence(label: str, kind: FenceKind, x_m: float) -> Fence:
        return Fence(label=label, kind=kind, height_cm=85, position=Position(x_m=x_m, y_m=13.0, heading_deg=90.0))

    two = [fence("1", FenceKind.VERTICAL, 15.0), fence("2", FenceKind.WALL, 36.5)]
    line = LayoutLine(from_="1", to="2", label="A", kind=LineKind.STRAIGHT, distance_m=DISTANCE_M, measured=Measured.INSIDE_TO_INSIDE)
    revision = RevisionIn(level=Pair.USUAL, fences=two, lines=[line], arena_id=arena.id)
    exercise = told(exercises_create.sync_detailed(
        at, client=client, body=ExerciseIn(name="Two for Sorrel", revision=revision), idempotency_key=key()), 201, ExerciseOut)
    first = exercise.revision
    assert (first.revision, first.efforts, first.height_cm, first.pole_passes) == (1, 2, 85, 0)
    assert [(l.from_, l.to, l.distance_m, l.measured) for l in first.lines] == [("1", "2", DISTANCE_M, Measured.INSIDE_TO_INSIDE)]
    assert (first.arena_id, first.created_by, [f.kind for f in first.fences]) == \
        (arena.id, people.trainer.person_id, [FenceKind.VERTICAL, FenceKind.WALL])
    passed(15)
    return arena, fences, exercise


def run(people: People) -> Yard:
    horse, pony = horses(people)
    pairing = whose(people, horse, pony)
    limit = limits(people, horse)
    arena, fences, exercise = ground(people)

    ask = BarnLineInMetresHorse(horse_id=horse.id, distance_m=DISTANCE_M, first_height_cm=85, second_height_cm=85, step_m=0.75)
    card = told(evaluations_barn_line.sync_detailed(people.barn_id, client=people.trainer.client, body=ask), 200, StrideCardOut)
    assert (card.distance_m, card.normal_stride_m, card.natural_count, card.profile) == (DISTANCE_M, 3.47, 5, Profile.HORSE)
    strides = {count.count: count.stride_m for count in card.counts}
    assert strides[6] < strides[5] and [c.count for c in card.counts if c.natural] == [5], strides
    assert there(card.on_foot).step_m == 0.75 and card.on_foot.whole == 28, card.on_foot
    passed(16)

    for member, seen in ((people.rider, [horse.id]), (people.guardian, [pony.id]), (people.owner, [horse.id])):
        page = told(horses_list.sync_detailed(people.barn_id, client=member.client), 200, PageHorseOut)
        assert [h.id for h in page.items] == seen
    passed(17)
    return Yard(horse.id, pony.id, pairing.id, limit.id, arena.id, fences.id, exercise.id)
