//! Steps 18 to 29: what is booked, refused, asked for and moved, and who may.
use crate::client::types::*;
use crate::people::{People, founder};
use crate::steps::{Answer, at, client, key, of, passed, refused, told, versioned};
use crate::yard::Yard;

pub struct Booked {
    pub day: Day,
    pub session_id: IdSession,
    pub entry_id: IdEntry,
    pub asked_session_id: IdSession,
    pub asked_entry_id: IdEntry,
}

fn hour(day: &Day, days: u64, starts: u32, title: &str, place: &Yard, entries: Vec<EntryIn>) -> builder::SessionIn {
    let body = SessionIn::builder().kind(SessionKind::Jumping).title(of::<Title>(title)).arena_id(place.arena_id.clone());
    body.starts_at(at(day, days, starts)).ends_at(at(day, days, starts + 1)).entries(ListEntryIn(entries))
}

fn entry(horse: &IdHorse, rider: &IdPerson, efforts: i32, height: i32, asks: Vec<AskIn>) -> EntryIn {
    let body = EntryIn::builder().horse_id(horse.clone()).rider_id(rider.clone()).asks(ListAskIn(asks));
    body.planned_efforts(Count(efforts)).planned_height_cm(Centimetres(height)).try_into().expect("an entry")
}

async fn create(people: &People, member: &crate::client::Client, body: builder::SessionIn) -> Answer<SessionOut> {
    member.sessions_create().barn_id(people.barn_id.clone()).idempotency_key(key()).body(body).send().await
}

async fn booking(people: &People, place: &Yard) -> (Day, SessionOut) {
    let by = &people.trainer.client;
    let ask = people.owner.client.workload_get_rest().barn_id(people.barn_id.clone()).horse_id(place.horse_id.clone());
    let rest = told(ask.efforts(QueryCount(8)).height_cm(QueryCentimetres(85)).send().await, 200);
    let day = rest.today;
    assert_eq!((rest.violations.len(), rest.stand_downs.len()), (0, 0));
    assert_eq!((rest.asked.allowed_today, rest.asked.efforts), (true, 8));
    let owners: Vec<_> = rest.limits.iter().filter(|l| l.workload_limit_id.as_ref() == Some(&place.owners_limit_id)).collect();
    assert!(owners.iter().map(|l| (l.source, l.binding)).eq([(Source::Owner, true)]));
    assert_eq!((rest.next_14_days.len(), &rest.next_14_days[0].day), (14, &day));
    passed(18);

    let asks = vec![AskIn { line: of("A"), asked: Some(StrideCount(6)) }];
    let pair = entry(&place.horse_id, &people.rider.person_id, 8, 85, asks.clone());
    let body = hour(&day, 1, 9, "Two, and two again", place, vec![pair]).trainer_id(people.trainer.person_id.clone());
    let body = body.fence_set_id(place.fence_set_id.clone()).exercise_id(place.exercise_id.clone());
    let session = told(create(people, by, body.clone()).await, 201);
    assert_eq!((session.status, session.kind), (SessionStatus::Booked, SessionKind::Jumping));
    assert_eq!((session.revision.map(|r| r.get()), &session.starts_at), (Some(1), &at(&day, 1, 9)));
    let [booked] = <[_; 1]>::try_from(session.entries.clone()).expect("one entry");
    assert_eq!((booked.status, booked.planned_efforts), (Status::Booked, 8));
    assert_eq!((booked.planned_height_cm, booked.asks), (Some(Centimetres(85)), asks));
    assert!(!session.cautions.is_empty() && session.time_zone.as_str() == "Europe/Lisbon");
    passed(19);

    let pony = body.entries(ListEntryIn(vec![entry(&place.pony_id, &people.child_id, 4, 50, vec![])]));
    let problem = refused(create(people, by, pony).await, 409, "occupied");
    let mut taken: Vec<_> = problem.reasons.iter().map(|reason| reason.code.as_str()).collect();
    taken.sort_unstable();
    assert_eq!(taken, ["above_level", "arena_taken", "fence_set_taken", "person_taken"]);
    passed(20);

    let pair = entry(&place.horse_id, &people.rider.person_id, 15, 85, vec![]);
    let many = hour(&day, 2, 9, "Too many", place, vec![pair]).trainer_id(people.trainer.person_id.clone());
    let problem = refused(create(people, by, many).await, 409, "rule_refused");
    let [reason] = <[_; 1]>::try_from(problem.reasons).expect("one reason");
    assert_eq!((reason.code.as_str(), reason.limit, reason.figure), ("max_efforts_per_session", Some(14), Some(15)));
    assert_eq!((reason.binding, reason.rule_id), (true, Some(place.owners_limit_id.0)));
    passed(21);

    let read = by.sessions_get().barn_id(people.barn_id.clone()).session_id(session.id.clone()).send().await;
    let (same, version) = versioned(read, 200);
    assert_eq!(same, session);
    let change = async |patch: SessionPatch, version: &Option<EntityTag>| {
        let ask = by.sessions_change().barn_id(people.barn_id.clone()).session_id(session.id.clone());
        ask.if_match(version.clone().expect("an ETag")).body(patch).send().await
    };
    let named = |title: &str| SessionPatch { title: Some(of(title)), ..SessionPatch::default() };
    let (renamed, next) = versioned(change(named("Two fences"), &version).await, 200);
    assert_eq!(renamed.title.as_str(), "Two fences");
    refused(change(named("Three fences"), &version).await, 412, "changed_meanwhile");
    passed(22);

    let (starts_at, ends_at) = (at(&day, 0, 10), at(&day, 0, 11));
    let patch = SessionPatch { starts_at: Some(starts_at.clone()), ends_at: Some(ends_at.clone()), ..SessionPatch::default() };
    let moved = told(change(patch, &next).await, 200);
    assert_eq!((moved.title.as_str(), &moved.starts_at, &moved.ends_at), ("Two fences", &starts_at, &ends_at));
    assert!(moved.entries.iter().map(|e| (&e.id, e.status)).eq([(&booked.id, Status::Booked)]));
    passed(23);
    (day, moved)
}

async fn asking(people: &People, place: &Yard, day: &Day) -> SessionOut {
    let by = &people.trainer.client;
    let pair = entry(&place.horse_id, &people.rider.person_id, 6, 80, vec![]);
    let asked = told(create(people, &people.rider.client, hour(day, 3, 15, "On my own", place, vec![pair])).await, 201);
    assert_eq!((asked.status, asked.entries[0].status), (SessionStatus::Requested, Status::Requested));
    assert_eq!(asked.trainer_id, None);
    passed(24);

    let confirm = async |session: &IdSession, entry: &IdEntry| {
        let ask = by.sessions_get_entry().barn_id(people.barn_id.clone()).session_id(session.clone());
        let (read, version) = versioned(ask.entry_id(entry.clone()).send().await, 200);
        assert_eq!(read.status, Status::Requested);
        let patch = EntryPatch { status: Some(Status::Booked), ..EntryPatch::default() };
        let ask = by.sessions_change_entry().barn_id(people.barn_id.clone()).session_id(session.clone());
        told(ask.entry_id(entry.clone()).if_match(version.expect("an ETag")).body(patch).send().await, 200)
    };
    let yes = confirm(&asked.id, &asked.entries[0].id).await;
    assert_eq!((yes.status, yes.flags.len(), yes.overridden.len(), yes.planned_efforts), (Status::Booked, 0, 0, 6));
    passed(25);

    let places = hour(day, 5, 9, "Ponies", place, vec![]).trainer_id(people.trainer.person_id.clone()).places(Places(1));
    let lesson = told(create(people, by, places).await, 201);
    assert_eq!((lesson.places, lesson.places_free, lesson.entries.len()), (1, 1, 0));
    let guardian = &people.guardian.client;
    let ask = guardian.sessions_create_entry().barn_id(people.barn_id.clone()).session_id(lesson.id.clone());
    let child = entry(&place.pony_id, &people.child_id, 4, 50, vec![]);
    let joined = told(ask.idempotency_key(key()).body(child).send().await, 201);
    assert_eq!((joined.status, joined.rider_id.as_ref()), (Status::Requested, Some(&people.child_id)));
    assert_eq!(joined.horse_id.as_ref(), Some(&place.pony_id));
    assert_eq!(confirm(&lesson.id, &joined.id).await.status, Status::Booked);
    let full = told(guardian.sessions_get().barn_id(people.barn_id.clone()).session_id(lesson.id).send().await, 200);
    assert_eq!(full.places_free, 0);
    assert!(full.entries.iter().map(|e| &e.id).eq([&joined.id]));
    passed(26);
    asked
}

pub async fn run(people: &People, place: &Yard) -> Booked {
    let (day, session) = booking(people, place).await;
    let asked = asking(people, place, &day).await;
    let rider = &people.rider.client;

    let read = rider.sessions_get().barn_id(people.barn_id.clone()).session_id(session.id.clone()).send().await;
    let opens = SessionPatch { status: Some(SessionStatus::Open), ..SessionPatch::default() };
    let ask = rider.sessions_change().barn_id(people.barn_id.clone()).session_id(session.id.clone());
    let ask = ask.if_match(versioned(read, 200).1.expect("an ETag"));
    refused(ask.body(opens).send().await, 403, "forbidden");
    passed(27);

    let (_, elsewhere) = founder(&people.base, "Nobody Here").await;
    let stranger = client(&people.base, Some(&elsewhere.access_token));
    let find = async |horse: IdHorse| {
        refused(stranger.horses_get().barn_id(people.barn_id.clone()).horse_id(horse).send().await, 404, "not_found")
    };
    assert_eq!(find(place.horse_id.clone()).await, find(IdHorse(uuid::Uuid::now_v7())).await);
    passed(28);

    let ask = rider.sessions_calendar().barn_id(people.barn_id.clone()).arena_id(place.arena_id.clone());
    let calendar = told(ask.from(at(&day, 0, 0)).to(at(&day, 6, 0)).send().await, 200);
    assert_eq!((&calendar.arena_id, calendar.sessions_at_once.get()), (&place.arena_id, 1));
    let starts = calendar.taken.iter().map(|taken| taken.starts_at.clone());
    assert!(starts.eq([at(&day, 0, 10), at(&day, 3, 15), at(&day, 5, 9)]));
    let names = calendar.taken.iter().map(|taken| taken.exercise_name.as_ref().map(|name| name.as_str()));
    assert!(names.eq([Some("Two for Sorrel"), None, None]));
    let text = serde_json::to_string(&calendar).expect("JSON");
    assert!(!["Corin", "Sorrel Fen", "Pin Oak", &people.rider.person_id.to_string()].iter().any(|name| text.contains(*name)));
    passed(29);
    let entry_of = |made: &SessionOut| made.entries[0].id.clone();
    Booked { day, entry_id: entry_of(&session), session_id: session.id, asked_entry_id: entry_of(&asked), asked_session_id: asked.id }
}
