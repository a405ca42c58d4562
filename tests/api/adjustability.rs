//! Adjustability and the next ask: the figures are those that core reckons from the same rides put together by
//! hand, and everyone sees only what is theirs.
use crate::ringside::{Ringside, entry_of, go, member, own, session_of, with};
use stridewright_core::adjustability::{
    Attempt, Fault, Kind, Line, Settings, Side, fit, next_ask, of_rider, pair, trend,
};
use stridewright_core::calendar::Day;
use stridewright_core::stride;
use stridewright_core::units::Metres;
use stridewright_tests::barn::Member;
use stridewright_tests::{Answer, Value, World, json, on_both};

const LINE_M: f64 = 21.9456;
const TODAY: &str = "2026-06-01";

fn metres(value: f64) -> Metres {
    Metres::new(value).unwrap()
}

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// Landing and take-off between 80 and 90 cm for a horse.
fn allowance() -> Metres {
    let line = stride::Line { distance: metres(LINE_M), first: metres(0.8), second: metres(0.9) };
    line.allowance(stride::Profile::Horse.design_stride()).unwrap()
}

/// What one ride said, and what core should make of it.
#[derive(Clone, Copy)]
struct Rode {
    on: &'static str,
    asked: u8,
    ridden: u8,
    fault: Option<Fault>,
}

fn rode(on: &'static str, asked: u8, ridden: u8) -> Rode {
    Rode { on, asked, ridden, fault: None }
}

impl Rode {
    /// Logs it as the go of that number; the hour is the same for all of a day.
    fn log(self, world: &World, of: &Ringside, n: usize) -> Answer {
        let attempt = json!({"line": "1-2", "asked": self.asked, "ridden": self.ridden, "distance_m": LINE_M,
            "first_height_cm": 80, "second_height_cm": 90, "fault": self.fault});
        let at = format!("{}T07:00:00Z", self.on);
        let body = with(go(&["jumped", "jumped"]), json!({"at": at, "go": n, "attempts": [attempt]}));
        world.trainer.post(&of.rides, body).expect(201)
    }

    fn core(self, rider: &'static str) -> Attempt<&'static str> {
        Attempt {
            day: day(self.on),
            rider: Some(rider),
            distance: metres(LINE_M),
            allowance: allowance(),
            asked: Some(self.asked),
            ridden: Some(self.ridden),
            fault: self.fault,
            approach: None,
            height: metres(0.9),
            kind: Kind::Fence,
            combination: false,
            circle: false,
        }
    }
}

/// Two rides a day for five weeks, the count mostly met.
fn five_weeks() -> Vec<Rode> {
    let mondays = ["2026-04-27", "2026-05-04", "2026-05-11", "2026-05-18", "2026-05-25", "2026-05-28"];
    let mut rides: Vec<Rode> = mondays.iter().flat_map(|on| [rode(on, 5, 5), rode(on, 6, 6)]).collect();
    rides.push(Rode { fault: Some(Fault::Chip), ..rode("2026-05-28", 6, 6) });
    rides.push(rode("2026-05-28", 4, 5));
    rides
}

fn near(value: &Value, expected: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((value - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{value} instead of {expected}");
}

/// A horse with a measured stride, and its entry under somebody.
fn horse(world: &World) -> String {
    let stride = |m: f64, on: &str| json!({"stride_m": m, "source": "counted", "measured_on": on});
    let body = json!({"name": "Bramble", "profile": "horse", "normal_stride": stride(3.7, "2026-01-10")});
    let id = world.make("horses", body);
    let later = json!({"normal_stride": stride(3.5, "2026-05-01")});
    world.trainer.change(&world.at(&format!("horses/{id}")), later).expect(200);
    id
}

fn under(world: &World, horse: &str, rider: &Member) -> Ringside {
    let session = session_of(world, "jumping");
    entry_of(world, &session, Some(horse.to_owned()), Some(rider), "booked")
}

fn paired(world: &World, horse: &str, rider: &Member) -> String {
    let body = json!({"rider_id": rider.person_id, "level": "usual", "up_to_height_cm": 100});
    world.make(&format!("horses/{horse}/pairings"), body)
}

const NEXT: &str = "next-ask?distance_m=21.9456&first_height_cm=80&second_height_cm=90";

on_both! {
    fn a_next_ask_says_when_limits_speak_against_it_today(world) {
        let id = world.horse("Bramble");
        let at = world.at(&format!("horses/{id}"));
        let cautions = |query: &str| {
            let answer = world.trainer.get(&format!("{at}/{NEXT}{query}")).expect(200);
            answer["cautions"].as_array().unwrap().iter().filter(|c| c.as_str().unwrap().contains("rest requires")).count()
        };
        assert_eq!(cautions(""), 0);
        let down = json!({"source": "trainer", "scope": "jumping", "from_date": "2026-06-01", "free_from_date": "2026-06-03",
            "reason": "Shod late."});
        world.make(&format!("horses/{id}/stand-downs"), down);
        assert_eq!(cautions(""), 1);
        // of a day gone by it has nothing to say, nor of poles that a stand-down from jumping allows
        assert_eq!((cautions("&as_of=2026-05-31"), cautions("&poles=true")), (0, 0));
    }
}

on_both! {
    fn the_range_is_reckoned_from_the_rides_that_count(world) {
        let (horse, settings) = (horse(world), Settings::default());
        let of = under(world, &horse, &world.trainer);
        let mut known = Vec::new();
        for (n, ride) in (1..).zip(five_weeks()) {
            ride.log(world, &of, n);
            known.push(ride.core("a"));
        }
        // a slip of the pen, corrected: the first version counts no more
        let wrong = rode("2026-05-29", 7, 3).log(world, &of, 90);
        let attempt = json!({"line": "1-2", "asked": 7, "ridden": 7, "distance_m": LINE_M, "first_height_cm": 80,
            "second_height_cm": 90});
        let right = with(go(&["jumped", "jumped"]), json!({"at": "2026-05-29T07:00:00Z", "attempts": [attempt]}));
        world.trainer.post(&format!("{}/corrections", wrong.header("location")), right).expect(201);
        known.push(rode("2026-05-29", 7, 7).core("a"));

        let at = world.at(&format!("horses/{horse}/adjustability"));
        let answer = world.trainer.get(&format!("{at}?distance_m={LINE_M}&height_cm=90")).expect(200);
        let range = fit(&known, day(TODAY), metres(3.5), &settings);
        near(&answer["normal_stride"]["stride_m"], 3.5);
        near(&answer["short_end"]["stride_m"], range.short_end().stride_m.get());
        near(&answer["long_end"]["high_m"], range.long_end().band_m[1].get());
        near(&answer["ratio"]["value"], range.ratio().value.get());
        assert_eq!(answer["long_end"]["assumed"], json!(range.long_end().assumed));
        assert_eq!((&answer["attempts"], &answer["days"]), (&json!(range.attempts()), &json!(7)));
        assert_eq!(range.attempts(), 15);
        let drift = trend(&known, day(TODAY), metres(3.5), &settings);
        assert_eq!((&answer["verdict"], &answer["verdict_words"]), (&json!(drift.verdict), &json!(drift.verdict.words())));
        near(&answer["change_per_week"]["percent"], drift.percent_per_week().0);
        let weeks = answer["weeks"].as_array().unwrap();
        assert_eq!(weeks.iter().map(|w| w["as_of"].as_str().unwrap()).collect::<Vec<_>>(),
            ["2026-04-27", "2026-05-04", "2026-05-11", "2026-05-18", "2026-05-25", TODAY]);
        let then = fit(&known, day("2026-05-11"), metres(3.5), &settings);
        near(&weeks[2]["short_end"]["stride_m"], then.short_end().stride_m.get());
        for count in answer["counts"].as_array().unwrap() {
            let stride = count["stride_m"].as_f64().unwrap();
            assert!(range.short_end().stride_m.get() <= stride && stride <= range.long_end().stride_m.get());
        }
        assert!(!answer["counts"].as_array().unwrap().is_empty());

        // as it stood before the second measurement: by the first, and by what had been ridden
        let before = world.trainer.get(&format!("{at}?as_of=2026-04-30")).expect(200);
        let range = fit(&known, day("2026-04-30"), metres(3.7), &settings);
        assert_eq!(before["attempts"], json!(2));
        near(&before["short_end"]["stride_m"], range.short_end().stride_m.get());
        assert_eq!(before["counts"], Value::Null);
        let refused = world.trainer.get(&format!("{at}?as_of=2026-06-02")).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["?as_of"]);
    }

    fn the_order_of_a_day_is_that_of_the_goes(world) {
        let (horse, settings) = (horse(world), Settings::default());
        let of = under(world, &horse, &world.trainer);
        let mut rides = five_weeks();
        // at six it went wrong twice at first, and then went well
        rides.extend([rode(TODAY, 6, 5), rode(TODAY, 6, 5), rode(TODAY, 6, 6)]);
        for (n, ride) in rides.iter().enumerate().rev() {
            ride.log(world, &of, n + 1);
        }
        let line = Line { distance: metres(LINE_M), allowance: allowance(), side: Side::Short, height: metres(0.9),
            kind: Kind::Fence, combination: false };
        let asked = |rides: &[Rode]| {
            let known: Vec<_> = rides.iter().map(|ride| ride.core("a")).collect();
            let range = fit(&known, day(TODAY), metres(3.5), &settings);
            next_ask(&line, &range, &known, day(TODAY), &settings).unwrap()
        };
        let expected = asked(&rides);
        rides.reverse();
        assert_ne!(json!(expected.status), json!(asked(&rides).status), "the order would not show");
        let answer = world.trainer.get(&world.at(&format!("horses/{horse}/{NEXT}&side=short"))).expect(200);
        assert_eq!((&answer["status"], &answer["ladder"]), (&json!(expected.status), &json!(expected.ladder)));
        assert_eq!(answer["natural"], json!(expected.natural));
        let ask = expected.ask.unwrap();
        assert_eq!(answer["ask"]["count"], json!(ask.count));
        near(&answer["ask"]["cautious_chance"], ask.cautious_chance.get());
        assert_eq!(answer["efforts"], json!(2 * expected.ladder.len()));
        let poles = world.trainer.get(&world.at(&format!("horses/{horse}/{NEXT}&poles=true"))).expect(200);
        assert_eq!(poles["efforts"], json!(0));
        let fixed = world.trainer.get(&world.at(&format!("horses/{horse}/{NEXT}&combination=true"))).expect(200);
        assert_eq!(fixed["status"], json!("fixed"));
        for (query, pointer) in [
            ("next-ask?distance_m=66ft&first_height_cm=100&second_height_cm=100", "?distance_m"),
            ("next-ask?distance_m=20&first_height_cm=300&second_height_cm=100", "?first_height_cm"),
            ("next-ask?distance_m=20&first_height_cm=100&second_height_cm=100&side=left", "?side"),
        ] {
            let refused = world.trainer.get(&world.at(&format!("horses/{horse}/{query}"))).refused(422, "invalid_query");
            assert_eq!(refused.pointers(), [pointer]);
        }
        let close = "next-ask?distance_m=2&first_height_cm=100&second_height_cm=100";
        let refused = world.trainer.get(&world.at(&format!("horses/{horse}/{close}"))).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["?distance_m"]);
    }

    fn a_pair_borrows_from_the_horse_and_each_sees_their_own(world) {
        let (horse, settings) = (horse(world), Settings::default());
        let (robin, ash, owner) = (member(world, true, false), member(world, true, false), member(world, false, true));
        own(world, &horse, &owner);
        let (with_robin, with_ash) = (paired(world, &horse, &robin), paired(world, &horse, &ash));
        let mut known = Vec::new();
        let (first, second) = (under(world, &horse, &robin), under(world, &horse, &ash));
        for (n, ride) in (1..).zip(five_weeks()) {
            ride.log(world, &first, n);
            known.push(ride.core("robin"));
        }
        rode("2026-05-29", 5, 5).log(world, &second, 1);
        known.push(rode("2026-05-29", 5, 5).core("ash"));

        let whole = world.at(&format!("horses/{horse}/adjustability"));
        let of = |pairing: &str, rest: &str| world.at(&format!("horses/{horse}/pairings/{pairing}/{rest}"));
        let answer = ash.get(&of(&with_ash, "adjustability")).expect(200);
        let range = pair(&known, &"ash", day(TODAY), metres(3.5), &settings);
        near(&answer["short_end"]["stride_m"], range.short_end().stride_m.get());
        near(&answer["short_end"]["low_m"], range.short_end().band_m[0].get());
        assert_eq!(answer["attempts"], json!(1));
        assert_eq!(answer["weeks"].as_array().unwrap().len(), 1);
        let line = Line { distance: metres(LINE_M), allowance: allowance(), side: Side::Either, height: metres(0.9),
            kind: Kind::Fence, combination: false };
        let expected = next_ask(&line, &range, of_rider(&known, &"ash"), day(TODAY), &settings).unwrap();
        let next = ash.get(&of(&with_ash, NEXT)).expect(200);
        assert_eq!((&next["status"], &next["ladder"]), (&json!(expected.status), &json!(expected.ladder)));

        // a rider knows the horse but not its whole progress, nor another's pairing
        ash.get(&whole).refused(403, "forbidden");
        ash.get(&world.at(&format!("horses/{horse}/{NEXT}"))).refused(403, "forbidden");
        owner.get(&whole).expect(200);
        owner.get(&of(&with_robin, "adjustability")).expect(200);
        owner.get(&of(&with_robin, NEXT)).expect(200);
        world.trainer.get(&of(&with_robin, NEXT)).expect(200);
        let stranger = member(world, true, true);
        let elsewhere = world.elsewhere().trainer.client;
        let absent = world.trainer.get(&of(&horse, "adjustability")).refused(404, "not_found");
        for who in [&ash.client, &stranger.client, &elsewhere] {
            assert_eq!(who.get(&of(&with_robin, "adjustability")).refused(404, "not_found").bytes, absent.bytes);
            assert_eq!(who.get(&of(&with_robin, NEXT)).refused(404, "not_found").bytes, absent.bytes);
        }
        stranger.get(&whole).refused(404, "not_found");
        world.anonymous().get(&whole).refused(401, "unauthenticated");

        // the same holds for a line: the owner reckons with the horse's range, the rider with the pair's
        let body = json!({"horse_id": horse, "distance_m": LINE_M, "first_height_cm": 80, "second_height_cm": 90});
        let card = |who: &Member, body: &Value| who.ask("POST", &world.at("lines")).json(body).send();
        near(&card(&ash, &body).expect(200)["shortest_m"], range.short_end().stride_m.get());
        let horse_range = fit(&known, day(TODAY), metres(3.5), &settings);
        near(&card(&owner, &body).expect(200)["shortest_m"], horse_range.short_end().stride_m.get());
        assert_eq!(card(&stranger, &body).refused(409, "at_odds").pointers(), ["/horse_id"]);
        let by_pair = json!({"pairing_id": with_robin, "distance_m": LINE_M, "first_height_cm": 80, "second_height_cm": 90});
        card(&robin, &by_pair).expect(200);
        assert_eq!(card(&ash, &by_pair).refused(409, "at_odds").pointers(), ["/pairing_id"]);
    }
}
