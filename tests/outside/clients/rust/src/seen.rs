//! Steps 36 to 40: what is seen of it, and by whom.
use crate::client::types::*;
use crate::people::People;
use crate::ringside::Ridden;
use crate::sessions::Booked;
use crate::steps::{day_after, key, of, passed, refused, told};
use crate::yard::{DISTANCE_M, Yard};
use std::collections::HashSet;
use std::num::NonZeroU32;

async fn work(people: &People, place: &Yard, day: &Day, later: &Day) {
    let ask = people.owner.client.workload_get_efforts().barn_id(people.barn_id.clone()).horse_id(place.horse_id.clone());
    let efforts = told(ask.from(day.clone()).to(later.clone()).send().await, 200);
    let days: Vec<_> = efforts.days.iter().filter(|d| d.logged > 0 || d.planned > 0).collect();
    assert!(days.iter().map(|d| (&d.day, d.logged, d.planned)).eq([(day, 7, 0), (later, 0, 6)]));
    assert_eq!((efforts.sum_7_days.logged, efforts.sum_28_days.logged), (7, 7));
    assert_eq!((efforts.completeness.closed, efforts.completeness.due), (1, 1));
    assert_eq!(days[0].highest_cm, Some(Centimetres(85)));
    passed(36);
}

async fn progress(people: &People, place: &Yard, day: &Day) {
    let rider = &people.rider.client;
    let ask = rider.adjustability_pair().barn_id(people.barn_id.clone()).horse_id(place.horse_id.clone());
    let pair = told(ask.pairing_id(place.pairing_id.clone()).as_of(day.clone()).send().await, 200);
    assert_eq!((pair.attempts, pair.days, pair.verdict), (4, 1, Verdict::NotEnoughRides));
    assert_eq!((pair.normal_stride.stride_m.0, &pair.as_of), (3.47, day));
    assert!(pair.ratio.low.0 <= pair.ratio.value.0 && pair.ratio.value.0 <= pair.ratio.high.0);
    assert!(pair.short_end.stride_m.0 < pair.long_end.stride_m.0);
    let ask = rider.adjustability_pair_next().barn_id(people.barn_id.clone()).horse_id(place.horse_id.clone());
    let ask = ask.pairing_id(place.pairing_id.clone()).as_of(day.clone()).distance_m(QueryDistance(DISTANCE_M));
    let ask = ask.first_height_cm(QueryCentimetres(85)).second_height_cm(QueryCentimetres(85));
    let next = told(ask.send().await, 200);
    assert_eq!((next.distance_m.0, next.natural.get(), next.efforts), (DISTANCE_M, 5, 6));
    assert_eq!((next.status, &next.ladder[..]), (NextAskStatus::Repeat, &[5, 6, 5][..]));
    let ask = next.ask.expect("an ask");
    assert_eq!((ask.count.get(), ask.distance_m.0), (6, DISTANCE_M));
    assert!(0.0 < ask.cautious_chance.0 && ask.cautious_chance.0 < ask.chance.0 && ask.chance.0 < 1.0);
    passed(37);
}

async fn stood_down(people: &People, place: &Yard, booked: &Booked, later: &Day) {
    let owner = &people.owner.client;
    let body = StandDownIn::builder().source(StandDownSource::Vet).scope(Scope::Jumping).from_date(later.clone());
    let ask = owner.workload_create_horse_stand_down().barn_id(people.barn_id.clone()).horse_id(place.horse_id.clone());
    let sent = ask.idempotency_key(key()).body(body.reason(of::<Reason>("A warm tendon."))).send().await;
    let down = told(sent, 201);
    assert_eq!((down.horse_id.as_ref(), down.needs_clearance), (Some(&place.horse_id), true));
    assert_eq!((&down.from_date, &down.recorded_by), (later, &people.owner.person_id));
    let ask = people.trainer.client.sessions_get_entry().barn_id(people.barn_id.clone());
    let ask = ask.session_id(booked.asked_session_id.clone()).entry_id(booked.asked_entry_id.clone());
    let flagged = told(ask.send().await, 200);
    assert_eq!(flagged.status, Status::Requested);
    assert!(flagged.flags.iter().map(|f| (f.code.as_str(), f.binding)).eq([("stand_down", true)]));
    let ask = owner.workload_get_rest().barn_id(people.barn_id.clone()).horse_id(place.horse_id.clone());
    let rest = told(ask.send().await, 200);
    assert!(rest.next_14_days.iter().filter(|c| c.day == *later).map(|c| c.at_most).eq([Some(0)]));
    passed(38);
}

async fn rides(people: &People, place: &Yard, ridden: &Ridden) {
    let (mut found, mut sizes, mut cursor) = (Vec::new(), Vec::new(), None);
    loop {
        let ask = people.owner.client.rides_list_all().barn_id(people.barn_id.clone()).horse_id(place.horse_id.clone());
        let ask = ask.limit(PageSize(NonZeroU32::new(2).expect("two")));
        let ask = match cursor {
            Some(cursor) => ask.cursor::<Cursor>(cursor),
            None => ask,
        };
        let page = told(ask.send().await, 200);
        sizes.push(page.items.len());
        found.extend(page.items);
        cursor = page.next_cursor;
        if cursor.is_none() {
            break;
        }
    }
    let ids: HashSet<_> = found.iter().map(|ride| ride.id.to_string()).collect();
    assert_eq!((&sizes[..], ids.len()), (&[2, 2, 1][..], 5));
    let counted: Vec<_> = found.iter().filter(|ride| ride.standing == Standing::Counted).collect();
    let mut goes: Vec<_> = counted.iter().map(|ride| ride.go.map(NonZeroU32::get)).collect();
    goes.sort_unstable();
    assert_eq!(goes, [Some(1), Some(2), Some(3), Some(4)]);
    assert_eq!(counted.iter().map(|ride| ride.efforts).sum::<i32>(), 7);
    let corrections = found.iter().filter_map(|ride| Some((&ride.id, ride.supersedes.as_ref()?)));
    assert!(corrections.eq([(&ridden.correction_id, &ridden.corrected_id)]));
    passed(39);
}

pub async fn run(people: &People, place: &Yard, booked: &Booked, ridden: &Ridden) {
    let later = day_after(&booked.day, 3);
    work(people, place, &booked.day, &later).await;
    progress(people, place, &booked.day).await;
    stood_down(people, place, booked, &later).await;
    rides(people, place, ridden).await;

    let rider = &people.rider.client;
    assert_eq!(told(rider.sign_in_get_me().send().await, 200).name.as_str(), "Corin Vale");
    told(rider.sign_in_sign_out().send().await, 204);
    refused(rider.sign_in_get_me().send().await, 401, "unauthenticated");
    passed(40);
}
