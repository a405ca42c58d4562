//! Steps 30 to 35: what is ridden, and logged from the rail.
use crate::client::types::*;
use crate::people::People;
use crate::sessions::Booked;
use crate::steps::{client, key, of, passed, told, versioned};
use crate::yard::DISTANCE_M;
use std::num::NonZeroU32;

pub struct Ridden {
    pub corrected_id: IdRide,
    pub correction_id: IdRide,
}

fn over(outcomes: &[FenceOutcome]) -> ListFenceIn {
    let passed = (1..).zip(outcomes).map(|(n, outcome)| FenceIn {
        fence: of(&format!("{n}")),
        outcome: *outcome,
        element: None,
        ground_pole: None,
    });
    ListFenceIn(passed.collect())
}

fn attempt(asked: i32, ridden: Option<i32>) -> builder::AttemptIn {
    AttemptIn::builder().line(of::<Label>("A")).asked(StrideCount(asked)).ridden(ridden.map(StrideCount))
}

fn one(attempt: builder::AttemptIn) -> ListAttemptIn {
    ListAttemptIn(vec![attempt.try_into().expect("an attempt")])
}

fn go(number: u32) -> GoNumber {
    GoNumber(NonZeroU32::new(number).expect("a go"))
}

/// The session, one status on.
async fn stepped(people: &People, booked: &Booked, status: SessionStatus) -> SessionOut {
    let by = &people.trainer.client;
    let read = by.sessions_get().barn_id(people.barn_id.clone()).session_id(booked.session_id.clone()).send().await;
    let patch = SessionPatch { status: Some(status), ..SessionPatch::default() };
    let ask = by.sessions_change().barn_id(people.barn_id.clone()).session_id(booked.session_id.clone());
    told(ask.if_match(versioned(read, 200).1.expect("an ETag")).body(patch).send().await, 200)
}

async fn logging(people: &People, booked: &Booked) -> IdRide {
    let opened = stepped(people, booked, SessionStatus::Open).await;
    assert_eq!(opened.status, SessionStatus::Open);
    assert!(opened.entries.iter().map(|e| e.status).eq([Status::Open]));
    passed(30);

    let ask = people.trainer.client.rail_links_create().barn_id(people.barn_id.clone());
    let ask = ask.session_id(booked.session_id.clone()).idempotency_key(key());
    let link = told(ask.body(RailLinkIn::builder().label(of::<Name>("Gate"))).send().await, 201);
    assert_eq!((link.label.as_str(), &link.session_id), ("Gate", &booked.session_id));
    assert!(link.expires_at.0 > link.created_at.0);
    let rail = client(&people.base, Some(&link.secret));
    let body = RideIn::builder().go(go(1)).fences(over(&[FenceOutcome::Jumped; 2])).attempts(one(attempt(6, Some(6))));
    let ask = rail.rides_create().barn_id(people.barn_id.clone()).session_id(booked.session_id.clone());
    let first = told(ask.entry_id(booked.entry_id.clone()).idempotency_key(key()).body(body).send().await, 201);
    assert_eq!((first.kind, first.go.map(NonZeroU32::get), first.efforts), (RideKind::Go, Some(1), 2));
    assert_eq!((first.standing, first.jumps_today), (Standing::Counted, 2));
    let [ridden] = <[_; 1]>::try_from(first.attempts).expect("one attempt");
    assert_eq!((ridden.asked, ridden.ridden), (Some(StrideCount(6)), Some(StrideCount(6))));
    assert_eq!((ridden.distance_m.0, ridden.first_height_cm.0), (DISTANCE_M, 85));
    passed(31);

    let ids = [(); 3].map(|()| IdRide(uuid::Uuid::now_v7()));
    let ride = |n: usize, last: FenceOutcome, attempt: builder::AttemptIn| -> BatchRideIn {
        let body = BatchRideIn::builder().entry_id(booked.entry_id.clone()).id(ids[n].clone()).go(go(n as u32 + 2));
        body.fences(over(&[FenceOutcome::Jumped, last])).attempts(one(attempt)).try_into().expect("a ride")
    };
    let rides = ListBatchRideIn(vec![
        ride(0, FenceOutcome::Jumped, attempt(6, Some(6)).distance_m(Distance(20.9))),
        ride(1, FenceOutcome::Rail, attempt(5, Some(5)).fault(Fault::Rail)),
        ride(2, FenceOutcome::Refusal, attempt(5, None).fault(Fault::Refusal)),
    ]);
    let send = async || {
        let ask = rail.rides_create_batch().barn_id(people.barn_id.clone()).idempotency_key(key());
        told(ask.body(RideBatchIn { rides: rides.clone() }).send().await, 200)
    };
    let sent = send().await;
    let seen: Vec<_> = sent.rides.iter().map(|r| (&r.id, r.go.map(NonZeroU32::get), r.efforts, r.outcome)).collect();
    let stored = LogOutcome::Stored;
    assert_eq!(seen, [(&ids[0], Some(2), 2, stored), (&ids[1], Some(3), 2, stored), (&ids[2], Some(4), 1, stored)]);
    assert!(sent.entries.iter().map(|e| (&e.entry_id, e.jumps_today)).eq([(&booked.entry_id, 7)]));
    passed(32);

    let again = send().await;
    let seen = again.rides.iter().map(|r| (&r.id, r.outcome, r.standing));
    assert!(seen.eq(ids.iter().map(|id| (id, LogOutcome::Known, Standing::Counted))));
    assert_eq!(again.entries, sent.entries);
    passed(33);
    ids[1].clone()
}

pub async fn run(people: &People, booked: &Booked) -> Ridden {
    let corrected_id = logging(people, booked).await;
    let by = &people.trainer.client;
    let (barn, session, entry) = (&people.barn_id, &booked.session_id, &booked.entry_id);
    let body = CorrectionIn::builder().go(go(3)).fences(over(&[FenceOutcome::Jumped; 2])).note(of::<Note>("It stayed up."));
    let ask = by.rides_correct().barn_id(barn.clone()).session_id(session.clone()).entry_id(entry.clone());
    let ask = ask.ride_id(corrected_id.clone()).idempotency_key(key());
    let new = told(ask.body(body.attempts(one(attempt(5, Some(5))))).send().await, 201);
    assert_eq!((new.supersedes.as_ref(), new.standing, new.jumps_today), (Some(&corrected_id), Standing::Counted, 7));
    assert_eq!(new.note, Some(of("It stayed up.")));
    assert!(new.fences.iter().map(|f| f.outcome).eq([FenceOutcome::Jumped; 2]));
    let ask = by.rides_get().barn_id(barn.clone()).session_id(session.clone()).entry_id(entry.clone());
    let old = told(ask.ride_id(corrected_id.clone()).send().await, 200);
    assert_eq!(old.standing, Standing::Superseded);
    assert!(old.fences.iter().map(|f| f.outcome).eq([FenceOutcome::Jumped, FenceOutcome::Rail]));
    passed(34);

    let closed = stepped(people, booked, SessionStatus::Closed).await;
    assert_eq!(closed.status, SessionStatus::Closed);
    assert!(closed.entries.iter().map(|e| (e.status, e.unanswered_efforts)).eq([(Status::Unresolved, Some(1))]));
    let ask = by.sessions_get_entry().barn_id(barn.clone()).session_id(session.clone()).entry_id(entry.clone());
    let version = versioned(ask.send().await, 200).1.expect("an ETag");
    let closing = ClosingIn { answer: ClosingAnswer::NotJumped, efforts_in_all: None };
    let patch = EntryPatch { closing: Some(closing), ..EntryPatch::default() };
    let ask = by.sessions_change_entry().barn_id(barn.clone()).session_id(session.clone()).entry_id(entry.clone());
    let done = told(ask.if_match(version).body(patch).send().await, 200);
    assert_eq!((done.status, done.unanswered_efforts), (Status::Closed, None));
    passed(35);
    Ridden { corrected_id, correction_id: new.id }
}
