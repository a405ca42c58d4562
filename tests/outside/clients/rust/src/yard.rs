//! Steps 9 to 17: horses, whose they are, who rides them, where, and over what.
use crate::client::types::*;
use crate::people::{Member, People};
use crate::steps::{key, of, passed, today, told};
use chrono::Days;

pub const DISTANCE_M: f64 = 21.3;

pub struct Yard {
    pub horse_id: IdHorse,
    pub pony_id: IdHorse,
    pub pairing_id: IdPairing,
    pub owners_limit_id: IdWorkloadLimit,
    pub arena_id: IdArena,
    pub fence_set_id: IdFenceSet,
    pub exercise_id: IdExercise,
}

async fn horses(people: &People) -> (IdHorse, IdHorse) {
    let measured_on = Day(today().checked_sub_days(Days::new(40)).expect("a day"));
    let stride = NormalStrideIn { stride_m: OwnStride(3.47), source: StrideSource::Counted, measured_on: measured_on.clone() };
    let body = HorseIn::builder().name(of::<Name>("Sorrel Fen")).profile(Profile::Horse).normal_stride(stride);
    let create = |key, body: builder::HorseIn| {
        let ask = people.trainer.client.horses_create().barn_id(people.barn_id.clone()).idempotency_key::<IdempotencyKey>(key);
        ask.body(body).send()
    };
    let horse = told(create(key(), body).await, 201);
    assert_eq!((horse.name.as_str(), horse.profile, horse.green), ("Sorrel Fen", Profile::Horse, false));
    let own = NormalStride { stride_m: Metres(3.47), source: StrideSource::Counted, measured_on };
    assert_eq!(horse.normal_stride, own);
    passed(9);

    let (once, body) = (key(), HorseIn::builder().name(of::<Name>("Pin Oak")).profile(Profile::MediumPony));
    let pony = told(create(once.clone(), body.clone()).await, 201);
    assert_eq!(told(create(once, body).await, 201), pony);
    assert_eq!(pony.normal_stride.source, StrideSource::Guess);
    passed(10);
    (horse.id, pony.id)
}

async fn whose(people: &People, horse: &IdHorse, pony: &IdHorse) -> IdPairing {
    let (by, owner) = (&people.trainer.client, &people.owner.person_id);
    let body = OwnershipIn { id: None, person_id: owner.clone(), kind: OwnershipKind::Owner };
    let ask = by.horses_create_ownership().barn_id(people.barn_id.clone()).horse_id(horse.clone());
    let made = told(ask.idempotency_key(key()).body(body).send().await, 201);
    assert_eq!((&made.horse_id, &made.person_id, made.kind), (horse, owner, OwnershipKind::Owner));
    passed(11);

    let pair = async |mount: &IdHorse, rider: &IdPerson, level: Pair, height: i32| {
        let body = PairingIn { id: None, rider_id: rider.clone(), level, up_to_height_cm: Centimetres(height) };
        let ask = by.horses_create_pairing().barn_id(people.barn_id.clone()).horse_id(mount.clone());
        let made = told(ask.idempotency_key(key()).body(body).send().await, 201);
        assert_eq!((&made.horse_id, &made.rider_id, made.level, made.up_to_height_cm.0), (mount, rider, level, height));
        made.id
    };
    pair(pony, &people.child_id, Pair::Novice, 60).await;
    let pairing = pair(horse, &people.rider.person_id, Pair::Usual, 100).await;
    passed(12);
    pairing
}

async fn limits(people: &People, horse: &IdHorse) -> IdWorkloadLimit {
    let limited = async |who: &Member, kind: LimitKind, source: Source, value: i32, binding: bool| {
        let body = LimitIn::builder().kind(kind).source(source).value(LimitValue(value)).hard(binding);
        let ask = who.client.workload_create_limit().barn_id(people.barn_id.clone()).horse_id(horse.clone());
        let made = told(ask.idempotency_key(key()).body(body).send().await, 201);
        assert_eq!((made.kind, made.value, &made.set_by, made.binding), (kind, Some(value), &who.person_id, binding));
        made
    };
    let trainers = limited(&people.trainer, LimitKind::MaxEffortsPerDay, Source::Trainer, 20, false).await;
    let owners = limited(&people.owner, LimitKind::MaxEffortsPerSession, Source::Owner, 14, true).await;
    assert!(trainers.words.contains("20") && owners.words.contains("14"));
    passed(13);
    owners.id
}

async fn ground(people: &People) -> (IdArena, IdFenceSet, IdExercise) {
    let by = &people.trainer.client;
    let shed =
        Obstruction { name: of("Shed"), x_m: Metres(50.0), y_m: Metres(0.0), length_m: Extent(6.5), width_m: Extent(3.0) };
    let body = ArenaIn::builder().name(of::<Name>("Lower school")).length_m(ArenaSide(58.5)).width_m(ArenaSide(27.0));
    let body = body.footing(Footing::SandAndFibre).obstructions(ListObstruction(vec![shed.clone()]));
    let arena = told(by.arenas_create().barn_id(people.barn_id.clone()).idempotency_key(key()).body(body).send().await, 201);
    assert_eq!((arena.length_m, arena.width_m, arena.footing), (ArenaSide(58.5), ArenaSide(27.0), Footing::SandAndFibre));
    assert_eq!((arena.obstructions.0, arena.indoor, arena.sessions_at_once.get()), (vec![shed], false, 1));
    let items = FenceItems {
        wings_pairs: Pieces(5),
        poles: Pieces(19),
        planks: Pieces(1),
        fillers: Pieces(2),
        cups: Pieces(24),
        safety_cups: Pieces(4),
    };
    let body = FenceSetIn { id: None, name: of("Green set"), items: items.clone() };
    let fences = told(by.fence_sets_create().barn_id(people.barn_id.clone()).idempotency_key(key()).body(body).send().await, 201);
    assert_eq!((fences.name.as_str(), fences.items), ("Green set", items));
    passed(14);

    let fence = |label: &str, kind: FenceKind, x_m: f64| Fence {
        label: of(label),
        kind,
        height_cm: Centimetres(85),
        position: Some(Position { x_m: Coordinate(x_m), y_m: Coordinate(13.0), heading_deg: Degrees(90.0) }),
        spread_cm: None,
        combination: None,
        width_m: None,
        square: None,
    };
    let line = LayoutLine::builder().from(of::<FenceLabel>("1")).to(of::<FenceLabel>("2")).label(of::<Label>("A"));
    let line = line.kind(LineKind::Straight).distance_m(Distance(DISTANCE_M)).measured(Measured::InsideToInside);
    let revision = RevisionIn {
        level: Pair::Usual,
        fences: ListFence(vec![fence("1", FenceKind::Vertical, 15.0), fence("2", FenceKind::Wall, 36.5)]),
        lines: Some(ListLayoutLine(vec![line.try_into().expect("a line")])),
        arena_id: Some(arena.id.clone()),
    };
    let body = ExerciseIn { id: None, name: of("Two for Sorrel"), purpose: None, revision };
    let exercise = told(by.exercises_create().barn_id(people.barn_id.clone()).idempotency_key(key()).body(body).send().await, 201);
    let first = exercise.revision;
    assert_eq!((first.revision.get(), first.efforts.0, first.height_cm.0, first.pole_passes.0), (1, 2, 85, 0));
    let [line] = <[_; 1]>::try_from(first.lines.0).expect("one line");
    assert_eq!((line.from.as_str(), line.to.as_str(), line.distance_m.0), ("1", "2", DISTANCE_M));
    assert_eq!(line.measured, Measured::InsideToInside);
    assert_eq!((first.arena_id.as_ref(), &first.created_by), (Some(&arena.id), &people.trainer.person_id));
    assert!(first.fences.iter().map(|f| f.kind).eq([FenceKind::Vertical, FenceKind::Wall]));
    passed(15);
    (arena.id, fences.id, exercise.id)
}

pub async fn run(people: &People) -> Yard {
    let (horse_id, pony_id) = horses(people).await;
    let pairing_id = whose(people, &horse_id, &pony_id).await;
    let owners_limit_id = limits(people, &horse_id).await;
    let (arena_id, fence_set_id, exercise_id) = ground(people).await;

    let body = BarnLineInMetresHorse::builder().horse_id(horse_id.0).distance_m(LineDistance(DISTANCE_M)).step_m(WalkedStep(0.75));
    let body = body.first_height_cm(Centimetres(85)).second_height_cm(Centimetres(85));
    let body = BarnLineInMetresHorse::try_from(body).expect("a line");
    let asked = people.trainer.client.evaluations_barn_line().barn_id(people.barn_id.clone());
    let asked = asked.body(BarnLineIn::from(body)).send().await;
    let card = told(asked, 200);
    assert_eq!((card.distance_m.0, card.normal_stride_m.0, card.natural_count), (DISTANCE_M, 3.47, 5));
    assert_eq!(card.profile, Profile::Horse);
    let stride = |count: u32| card.counts.iter().find(|c| c.count.get() == count).expect("that count").stride_m.0;
    assert!(stride(6) < stride(5));
    assert!(card.counts.iter().filter(|c| c.natural).map(|c| c.count.get()).eq([5]));
    assert_eq!((card.on_foot.step_m.0, card.on_foot.whole), (0.75, 28));
    passed(16);

    for (member, seen) in [(&people.rider, &horse_id), (&people.guardian, &pony_id), (&people.owner, &horse_id)] {
        let page = told(member.client.horses_list().barn_id(people.barn_id.clone()).send().await, 200);
        assert!(page.items.iter().map(|h| &h.id).eq([seen]));
    }
    passed(17);
    Yard { horse_id, pony_id, pairing_id, owners_limit_id, arena_id, fence_set_id, exercise_id }
}
